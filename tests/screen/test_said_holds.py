"""What the pages of a hold say: every figure, name, unit, interval and sign, reckoned by hand."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import Any, Final

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand.holds import assessment, recorder_page, verdict_page
from tests.screen.hand.jobs import HOLDS, held
from tests.screen.hand.page import axes, differences, lines
from tests.screen.hand.reader import Reader
from tests.screen.hand.told import SETS, Told
from tests.screen.test_view import described, view
from tests.simulated_car import Kind

READERS: Final = [Reader(id) for id in SETS]


def agree(log: Logbook, reader: Reader, field: str, ended: bool, wet: bool | None = None) -> str:
    """The page against the hand; the verdict that it shows."""
    told, kin = Told(log.events), field.partition(".")[0]
    page = (
        verdict_page(told, reader, field, wet) if ended else recorder_page(told, reader, field, wet)
    )
    made = view(log, units=reader.id)
    assert made["step"] == f"{kin}_{'verdict' if ended else 'readings'}"
    assert differences(page, lines(made)) == []
    for axis, drawn, kind in axes(made):
        graduated(axis, drawn, reader.unit("pressure") if kind == "pressure" else "min")
    found = assessment(told, field, wet)
    assert found is not None
    return found.verdict


def graduated(axis: dict[str, Any], drawn: list[float], unit: str) -> None:
    """An axis in the reader's unit, in even steps of 1, 2 or 5, which holds all that is drawn."""
    assert axis["unit"] == unit
    labels = axis["labels"]
    assert 2 <= len(labels) <= 8
    each = labels[1] - labels[0]
    assert labels == pytest.approx([labels[0] + n * each for n in range(len(labels))])
    assert round(each / 10.0 ** math.floor(math.log10(each) + 1e-9), 6) in (
        (1.0, 2.0, 5.0, 6.0) if unit == "min" else (1.0, 2.0, 5.0)
    )
    assert labels[0] % each == pytest.approx(0.0, abs=1e-6) or labels[0] % each == pytest.approx(
        each
    )
    assert axis["low"] <= min(drawn) <= max(drawn) <= axis["high"]
    assert axis["low"] <= labels[0] + 1e-9
    assert labels[-1] <= axis["high"] + 1e-9


@pytest.mark.parametrize(("kind", "shop"), [*itertools.product(HOLDS, ("kpa", "psi"))])
def test_the_recorder_says_what_the_readings_come_to(kind: Kind, shop: str) -> None:
    for n, count in enumerate((1, 6, 9, 16)):
        agree(held(1, kind, shop, count), READERS[n % 3], "hold.pressure", ended=False)


@pytest.mark.parametrize(("kind", "shop"), [*itertools.product(HOLDS, ("bar", "old"))])
def test_the_verdict_says_what_the_hold_comes_to(kind: Kind, shop: str) -> None:
    log = held(2, kind, shop)
    log.add("mark", "hold.ended")
    for reader in READERS:
        agree(log, reader, "hold.pressure", ended=True)


def small(fall: float, count: int, strokes: str = "1") -> Logbook:
    """A fine gauge on a system that stores little: so many readings, falling so much a minute."""
    log = described()
    log.add("not_done", "owner.rate")
    log.add("fact", "tester.division", "0.1", "kPa")
    log.pass_the_gate("8")
    log.fit_the_tester(strokes)
    for n in range(count):
        log.read(f"{110.0 - fall * n:.2f}")
    return log


VERDICTS: Final[dict[str, Callable[[], Logbook]]] = {
    "no_leak_found": lambda: held(3, "tight", "kpa", unknown=("owner.rate",)),
    "tight": lambda: small(0.08, 90),
    "seeping": lambda: small(0.15, 20),
    "seeping_or_leaking": lambda: held(2, "leaking", "kpa"),
    "leaking": lambda: held(2, "leaking", "bar"),
    "leaking_or_gross": lambda: held(3, "leaking", "bar"),
    "gross": lambda: held(3, "gross", "psi"),
    "leak_size_unknown": lambda: held(3, "gross", "kpa", 16, ("hold.strokes", "car.capacity")),
    "too_weak": lambda: held(2, "settling", "psi"),
    "not_judged": lambda: held(3, "leaking", "kpa", 3),
}


@pytest.mark.parametrize("verdict", VERDICTS)
def test_each_of_the_ten_verdicts_says_its_own_figure(verdict: str) -> None:
    log = VERDICTS[verdict]()
    log.add("mark", "hold.ended")
    for reader in READERS:
        assert agree(log, reader, "hold.pressure", ended=True) == verdict


def test_a_gross_leak_that_empties_at_once_has_no_figure_of_its_own() -> None:
    log = described()
    log.pass_the_gate("8")
    log.fit_the_tester()
    for needle in ("110", "20", "6", "3", "1", "0"):
        log.read(needle)
    log.add("mark", "hold.ended")
    for reader in READERS:
        assert agree(log, reader, "hold.pressure", ended=True) == "gross"


@pytest.mark.parametrize("altitude", ["-100", "190", "1900"])
def test_a_vacuum_says_how_far_it_reached_and_what_comes_in(altitude: str) -> None:
    log = Logbook()
    answers = {"place.altitude": (altitude, "m"), "fill.how": ("vacuum", None),
               "coolant.missing_before": ("0.4", "L")}  # fmt: skip
    Hands(log, answers).until("vacuum_readings")
    deep = {"-100": 85.0, "190": 82.0, "1900": 66.0}[altitude]
    for n in range(12):
        log.now += 60.0
        log.add("reading", "vacuum.pressure", f"{-deep + 0.5 * n:.1f}", "kPa")
        if n in (0, 6):
            agree(log, READERS[n % 3], "vacuum.pressure", ended=False)
    log.add("mark", "vacuum.ended")
    for reader in READERS:
        agree(log, reader, "vacuum.pressure", ended=True)


@pytest.mark.parametrize("fall", [0.0, 0.4, 3.0])
def test_dry_air_says_how_much_air_goes_out(fall: float) -> None:
    log = Logbook()
    Hands(log, {"dry.wanted": ("dry_air", None), "place.altitude": ("4200", "ft")}).until(
        "dry_readings"
    )
    for n in range(12):
        log.now += 60.0
        log.add("reading", "dry.pressure", f"{14.0 - 0.145 * fall * n:.2f}", "psi")
        if n in (0, 8):
            agree(log, READERS[n % 3], "dry.pressure", ended=False)
    log.add("mark", "dry.ended")
    for reader in READERS:
        agree(log, reader, "dry.pressure", ended=True)


@pytest.mark.parametrize("fall", [0.05, 0.5, 4.0])
def test_a_hold_after_the_work_says_what_is_left_of_the_leak(fall: float) -> None:
    log = Logbook()
    Hands(log, {"after.wanted": ("hold", None)}).until("after_readings")
    for n in range(14):
        log.now += 60.0
        log.add("reading", "after.pressure", f"{95.0 - fall * n:.1f}", "kPa")
        if n in (0, 7):
            agree(log, READERS[n % 3], "after.pressure", ended=False)
    log.add("mark", "after.ended")
    for reader in READERS:
        agree(log, reader, "after.pressure", ended=True)
