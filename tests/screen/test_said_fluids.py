"""What the pages of the coolant say, reckoned by hand: mix, vacuum fill, balance, levels."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Final

import pytest

from tests.hands import SKIP, Answer, Hands
from tests.logbook import Logbook
from tests.screen.hand import fluids
from tests.screen.hand.jobs import SHOPS, Shop, shift_of
from tests.screen.hand.page import Line, differences, lines
from tests.screen.hand.reader import Reader
from tests.screen.hand.told import SETS, Told
from tests.screen.test_view import view

READERS: Final = [Reader(id) for id in SETS]
Page = Callable[[Told, Reader], Iterator[Line]]


def agree(log: Logbook, step: str, page: Page) -> None:
    """A page against the hand, for a reader of each set of units."""
    told = Told(log.events)
    for reader in READERS:
        made = view(log, units=reader.id)
        assert made["step"] == step
        assert differences(page(told, reader), lines(made)) == []


def poured(rng: random.Random, shop: Shop) -> dict[str, Answer]:
    """A car, and what came out of it and goes into it."""
    capacity = shift_of(shop.types(rng.uniform(5e-3, 14e-3), "volume"))
    missing = rng.choice([0.0, 0.1, 0.25]) * capacity
    drained = rng.uniform(0.3, 0.7) * capacity
    spilled = rng.choice([0.0, 0.02]) * capacity
    return {
        "car.capacity": shop.types(capacity, "volume"),
        "car.glycol": (rng.choice(["ethylene", "propylene"]), None),
        "place.altitude": shop.types(rng.choice([-200.0, 190.0, 2100.0]), "length"),
        "coolant.missing_before": shop.types(missing, "volume"),
        "coolant.drained": shop.types(drained, "volume"),
        "coolant.residual_strength": (f"{rng.choice([12.5, 33.0, 47.25, 58.0])}", "%"),
        "coolant.target_strength": (f"{rng.randrange(34, 61)}", "%"),
        "coolant.at_hand": (rng.choice(["concentrate", "concentrate", "premix_50"]), None),
        "coolant.spilled": shop.types(spilled, "volume"),
        "coolant.filled": shop.types(drained + missing + rng.choice([0, 0, -9e-4, 6e-4]), "volume"),
        "fill.how": (rng.choice(["vacuum", "open_neck"]), None),
    }


CASES: Final = [(seed, shop) for seed in (0, 3, 5) for shop in SHOPS]


@pytest.mark.parametrize(("seed", "shop"), CASES)
def test_mix_balance_levels_and_vacuum_fill_say_what_was_poured(seed: int, shop: str) -> None:
    rng = random.Random(f"{seed} {shop}")
    answers = poured(rng, Shop(shop))
    log = Logbook()
    hands = Hands(log, answers).until("residual_strength")
    hands.until("mix_plan")
    agree(log, "mix_plan", fluids.mix_page)
    if answers["fill.how"][0] == "vacuum":
        hands.until("vacuum_readings")
        deep = 0.75 * fluids.atmosphere(shift_of(answers["place.altitude"]))
        for part in (0.6, 1.0, 0.99, 0.99):
            log.now += 60.0
            log.add("reading", "vacuum.pressure", *Shop(shop).types(-part * deep, "pressure"))
        log.add("mark", "vacuum.ended")
        hands.until("container")
        ready = Shop(shop).types(rng.uniform(3e-3, 16e-3), "volume")
        log.add(
            *(("not_done", "fill.container") if seed == 0 else ("fact", "fill.container", *ready))
        )
        agree(log, "uptake_plan", fluids.uptake_page)
    hands.until("recheck")
    agree(log, "recheck", fluids.recheck_page)
    for name, low, high in (("recheck.before", -20, 40), ("recheck.after", -60, 40)):
        log.add("fact", name, f"{rng.randrange(low, high)}", "mm")
    agree(log, "recheck", fluids.recheck_page)
    log.add("fact", "watch.area", f"{rng.randrange(20, 400)}", "cm²")
    agree(log, "recheck", fluids.recheck_page)
    hands.until("fluid_balance")
    agree(log, "fluid_balance", fluids.balance_page)
    hands.until("level_watch")
    log.add("fact", "watch.level", f"{rng.randrange(0, 30)}", "mm")
    agree(log, "level_watch", fluids.watch_page)


@pytest.mark.parametrize("unknown", ["coolant.missing_before", "coolant.spilled"])
def test_a_balance_without_a_stream_says_the_others(unknown: str) -> None:
    log = Logbook()
    Hands(log, {unknown: SKIP}).until("fluid_balance")
    agree(log, "fluid_balance", fluids.balance_page)
