"""What the cap's page, the shut gate, the price and the warm-up say, reckoned by hand."""

from __future__ import annotations

import random
from typing import Final

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand import others
from tests.screen.hand.jobs import SHOPS, Shop
from tests.screen.hand.page import axes, differences, line, lines
from tests.screen.hand.reader import Reader
from tests.screen.hand.told import SETS, Told, out
from tests.screen.test_view import described, view

READERS: Final = [Reader(id) for id in SETS]


@pytest.mark.parametrize("shop", SHOPS)
@pytest.mark.parametrize(("rating", "opened"), [(110e3, 0.98), (137e3, 0.84), (90e3, 1.2)])
def test_the_cap_is_pumped_to_four_fifths_of_its_rating(
    shop: str, rating: float, opened: float
) -> None:
    types = Shop(shop).types
    log = described()
    log.pass_the_gate()
    log.add("fact", "car.cap_rating", *types(rating, "pressure"))
    log.add("fact", "tester.span", *types(2.0 * rating, "pressure"))
    log.add("fact", "cap.how", "tested")
    for n, share in enumerate((opened, opened + 0.01), 1):
        log.add("fact", f"cap.opening_{n}", *types(share * rating, "pressure"))
    log.add("fact", "cap.opening_3", *types((opened + 0.02) * rating, "pressure"))
    outside = not 0.9 <= opened <= 1.15
    for step in ("cap_hold", *(("cap_new",) if outside else ())):
        if step == "cap_new":
            log.add("fact", "cap.holds", "falls")
            log.add("fact", "cap.return_valve", "stuck")
        told = Told(log.events)
        for reader in READERS:
            made = view(log, units=reader.id)
            assert made["step"] == step
            page = [*others.cap_page(told, reader)]
            if step == "cap_hold":
                page.append(line("prompt: ", reader.text("step.cap_hold.prompt", told)))
                page.append(line("caution: ", reader.text("caution.stored_pressure", told)))
            shown = [each for each in lines(made) if not each.startswith(("title", "state of"))]
            assert differences(page, shown) == []


@pytest.mark.parametrize("shop", SHOPS)
@pytest.mark.parametrize(
    ("coolant", "ambient", "fresh"),
    [(98.0, 21.0, True), (74.0, -15.0, True), (50.0, 8.0, True), (61.0, 50.0, True),
     (-12.0, -14.0, True), (22.0, 8.0, True), (80.0, 8.0, False), (-3.0, 8.0, False)],
)  # fmt: skip
def test_a_shut_gate_says_how_hot_and_when_it_will_be_cold(
    shop: str, coolant: float, ambient: float, fresh: bool
) -> None:
    log = described()
    log.add("fact", "place.ambient", *Shop(shop).types(ambient + 273.15, "temperature"))
    log.now += 77.0
    log.add("fact", "coolant.temperature", *Shop(shop).types(coolant + 273.15, "temperature"))
    log.now += 30.0 if fresh else 1300.0
    told = Told(log.events)
    for reader in READERS:
        made = view(log, units=reader.id)
        assert made["step"] == "gate.cold"
        assert differences(others.gate_page(told, reader, fresh), lines(made)) == []
        for axis, drawn, _ in axes(made):
            assert axis["unit"] == reader.unit("temperature")
            assert axis["low"] < min(drawn) <= max(drawn) < axis["high"]


REPAIRS: Final = ("radiator", "radiator_with_cooler", "water_pump", "hose_or_clamp")


@pytest.mark.parametrize("repair", REPAIRS)
@pytest.mark.parametrize("likely", [(), ("risk.fitting",), others.RISKS])
def test_the_price_says_what_hours_parts_and_risks_come_to(
    repair: str, likely: tuple[str, ...]
) -> None:
    log = Logbook()
    rng = random.Random(f"{repair} {len(likely)}")
    hours, unit = rng.choice(
        [(f"{rng.uniform(1.0, 9.0):.2f}", "h"), (f"{rng.randrange(40, 700)}", "min")]
    )
    answers = {"repair.kind": (repair, None), "quote.hours": (hours, unit),
               "quote.parts": (f"{rng.randrange(10, 900)}", "1")}  # fmt: skip
    Hands(log, answers).until("quote_total")
    for name in likely:
        log.add("fact", name, "likely")
    log.add("fact", "quote.hours", hours, unit)
    log.add("fact", "shop.currency", "EUR")
    for rate in (None, f"{rng.randrange(35, 160)}"):
        if rate is not None:
            log.add("fact", "shop.rate", rate)
        told = Told(log.events)
        for reader in READERS:
            made = view(log, units=reader.id)
            assert made["step"] == "quote_total"
            assert differences(others.price_page(told, reader), lines(made)) == []


@pytest.mark.parametrize("shop", ["kpa", "psi"])
@pytest.mark.parametrize(("vent", "heat"), [(62.0, "good"), (38.0, "weak")])
def test_the_warm_up_says_how_hot_and_what_the_heater_gives(
    shop: str, vent: float, heat: str
) -> None:
    log = Logbook()
    types = Shop(shop).types
    hands = Hands(log, {"place.ambient": types(261.15, "temperature")}).until("warm_log")
    steady = 4
    for celsius in (-10.0, 2.0, 31.0, 60.0, *(88.0,) * steady):
        log.now += 60.0
        log.add("reading", "warm.coolant", *types(celsius + 273.15, "temperature"))
        log.now += 20.0
        log.add("reading", "warm.vent", *types(min(vent, celsius - 1.0) + 273.15, "temperature"))
        for reader in READERS:
            made = view(log, units=reader.id)
            shown = [each for each in lines(made) if not each.startswith("call: ")]
            assert differences(others.warm_log_page(Told(log.events), reader), shown) == []
    log.add("mark", "warm.ended")
    assert hands.at() == "warm_result"
    for reader in READERS:
        page = others.warm_result_page(Told(log.events), reader, steady)
        shown = lines(view(log, units=reader.id))
        assert differences(page, shown) == []
    assert any(f" | {others.word(f'warm.heater_{heat}')}" in each for each in shown)
    assert out(261.15, "°C") == pytest.approx(-12.0)
