"""What a job computes for its gates: of a few entries each, worked out beside them."""

from __future__ import annotations

from typing import Final

import pytest

from tests.logbook import Logbook
from weeptrace.job.advance import fold
from weeptrace.job.procedure import Known
from weeptrace.rules import load

RULES: Final = load()
Told = tuple[str, ...]
AGAIN: Final = ("mark", "work.reopened")


def value(name: str, *told: Told) -> object:
    """``(field, typed, unit)``, ``(kind, field)``; "not done" for one left out."""
    log = Logbook()
    for first, *rest in told:
        log.now += 5.0
        if first in ("mark", "done"):
            log.add(first, rest[0])
        elif rest == ["not done"]:
            log.add("not_done", first)
        else:
            log.add("fact", first, rest[0], rest[1] if rest[1:] else None)
    job = fold(RULES, log.events)
    assert not job.troubles
    return Known(RULES, job)[name]


LOOK: Final = "test.cylinders"
DROVE: Final = "drive.coolant_in_cylinder"
GAS: Final = "test.gas"
TURNED: Final = "test.turned"


@pytest.mark.parametrize(
    ("told", "wet"),
    [
        ((), 0.0),
        (((LOOK, "wet"),), 1.0),
        (((LOOK, "wet"), AGAIN, (LOOK, "dry")), 0.0),  # a later look finds all dry
        (((LOOK, "dry"), AGAIN, (LOOK, "wet")), 1.0),
        (((LOOK, "wet"), AGAIN, (LOOK, "not_looked")), 1.0),  # which is no look
        (((LOOK, "wet"), AGAIN, (LOOK, "not done")), 1.0),
        (((GAS, "changed"),), 1.0),
        (((GAS, "changed"), AGAIN, (GAS, "not_changed")), 1.0),  # gas once shown stays shown
        (((GAS, "not_changed"),), 0.0),
        (((GAS, "changed"), AGAIN, (LOOK, "dry")), 1.0),
        (((DROVE, "yes"),), 1.0),
        (((DROVE, "yes"), AGAIN, (DROVE, "no")), 0.0),  # the last word told for driving
        (((DROVE, "no"), AGAIN, (DROVE, "yes")), 1.0),
        (((DROVE, "no"),), 0.0),
        (((TURNED, "stops"),), 1.0),
        (((TURNED, "stops"), AGAIN, (TURNED, "freely")), 0.0),
        (((TURNED, "freely"),), 0.0),
        (((TURNED, "not_here"),), 0.0),
        (((TURNED, "stops"), AGAIN, (TURNED, "not_here")), 1.0),  # nobody turned it since
        (((TURNED, "stops"), AGAIN, (LOOK, "dry")), 1.0),  # each takes back its own alone
    ],
)
def test_liquid_in_a_cylinder_by_the_last_look_the_gas_and_the_last_word(
    told: tuple[Told, ...], wet: float
) -> None:
    assert value("seen.liquid", *told) == wet


def test_coolant_from_the_bottom_of_the_sump_is_remembered() -> None:
    sump = "test.sump"
    assert value("seen.oil") == 0.0
    assert value("seen.oil", (sump, "oil")) == 0.0
    assert value("seen.oil", (sump, "coolant")) == 1.0
    assert value("seen.oil", (sump, "coolant"), AGAIN, (sump, "oil")) == 1.0


LOW: Final = ("cold.level", "-30", "mm")
FULL: Final = ("cold.level", "15", "mm")
TO_NECK: Final = ("hold.level", "to_neck")
BELOW: Final = ("level.end", "below_mark")
LITRES: Final = "level.litres"
DROVE_IT: Final = ("done", "road.driven")
ENGINE: Final = ("car.drive", "no_high_voltage")
HOTTEST: Final = "road.hottest"


@pytest.mark.parametrize(
    ("told", "air"),
    [
        ((), 0.0),
        ((LOW,), 1.0),
        ((FULL,), 0.0),
        ((FULL, TO_NECK), 0.0),  # it was seen full before
        ((TO_NECK,), 1.0),  # nobody looked before it was filled
        ((("hold.level", "as_found"),), 0.0),
        ((("done", "pressure.level_set"),), 1.0),
        ((FULL, BELOW, ("level.end", "at_mark")), 1.0),
        ((FULL, (LITRES, "0.8", "L")), 0.0),
        ((FULL, (LITRES, "1.2", "L")), 2.0),
        ((FULL, (LITRES, "not done")), 1.0),
        ((ENGINE, LOW, DROVE_IT), 0.0),
        ((LOW, DROVE_IT), 1.0),  # an electric drive may stay cool
        ((LOW, DROVE_IT, (HOTTEST, "92", "°C")), 0.0),
        ((ENGINE, LOW, DROVE_IT, (HOTTEST, "72", "°C")), 1.0),  # its thermostat stayed shut
        ((LOW, ("done", "level.ran")), 0.0),
        ((("coolant.filled", "4", "L"),), 2.0),
        ((ENGINE, ("coolant.filled", "4", "L"), DROVE_IT), 0.0),
        ((ENGINE, DROVE_IT, ("coolant.filled", "4", "L")), 2.0),  # filled after the drive
        ((("coolant.filled", "0.5", "L"),), 0.0),
        ((("coolant.filled", "4", "L"), AGAIN), 2.0),  # begun anew, and not driven since
    ],
)
def test_air_is_in_it_after_a_large_top_up_until_it_is_driven_or_warmed_up(
    told: tuple[Told, ...], air: float
) -> None:
    assert value("fill.unbled", *told) == air


@pytest.mark.parametrize(("hottest", "air"), [("98", 0.0), ("84", 2.0), ("86", 0.0)])
def test_a_warm_up_bleeds_with_fan_on_and_thermostat_open(hottest: str, air: float) -> None:
    log = Logbook()
    log.add("fact", "coolant.filled", "4", "L")
    log.add("reading", "warm.coolant", hottest, "°C")
    assert Known(RULES, fold(RULES, log.events))["fill.unbled"] == 2.0  # no fan yet
    log.add("mark", "warm.fan_on")
    assert Known(RULES, fold(RULES, log.events))["fill.unbled"] == air


# At 20 °C air and 90 °C coolant, by what the vents blow: 80 °C is hot, 30 °C a seventh of the way.
@pytest.mark.parametrize(("vents", "air"), [("80", 0.0), ("30", 2.0)])
def test_vents_that_stayed_cold_say_that_air_is_in_it_until_it_was_run_for_that(
    vents: str, air: float
) -> None:
    log = Logbook()
    log.add("fact", "place.ambient", "20", "°C")
    log.add("fact", "coolant.filled", "4", "L")
    for _ in range(4):
        log.now += 60.0
        log.add("reading", "warm.coolant", "90", "°C")
        log.add("reading", "warm.vent", vents, "°C")
    log.add("mark", "warm.fan_on")
    log.add("done", "road.driven")
    assert Known(RULES, fold(RULES, log.events))["fill.unbled"] == air
    log.add("done", "level.ran")
    assert Known(RULES, fold(RULES, log.events))["fill.unbled"] == 0.0


HOSE: Final = "part.upper_hose"  # coolant behind it, and needed to run
TRAY: Final = "part.under_tray"  # neither
RADIATOR: Final = ("repair.kind", "radiator")


@pytest.mark.parametrize(
    ("told", "out", "to_run", "opened"),
    [
        ((RADIATOR,), 0.0, 0.0, 0.0),
        ((RADIATOR, (TRAY, "off")), 1.0, 0.0, 0.0),
        ((RADIATOR, (TRAY, "off"), (HOSE, "off")), 2.0, 1.0, 1.0),
        ((RADIATOR, (HOSE, "off"), (HOSE, "on")), 0.0, 0.0, 1.0),
        ((RADIATOR, (HOSE, "not done")), 0.0, 0.0, 0.0),
    ],
)
def test_what_is_off_and_what_was_opened(
    told: tuple[Told, ...], out: float, to_run: float, opened: float
) -> None:
    assert value("ledger.out", *told) == out
    assert value("ledger.out_to_run", *told) == to_run
    assert value("ledger.opened", *told) == opened


FILLED: Final = ("coolant.filled", "4", "L")
LEVEL: Final = ("level.end", "at_mark")


@pytest.mark.parametrize(("name", "after"), [("unfilled", FILLED), ("unlevelled", LEVEL)])
def test_what_came_off_or_went_on_since_it_was_filled_and_since_its_level(
    name: str, after: Told
) -> None:
    id = f"ledger.{name}"
    assert value(id, RADIATOR) == 0.0
    assert value(id, RADIATOR, (TRAY, "off")) == 0.0  # nothing behind it
    off, on = (HOSE, "off"), (HOSE, "on")
    assert value(id, RADIATOR, off) == 1.0
    assert value(id, RADIATOR, off, on, after) == 0.0
    assert value(id, RADIATOR, off, after) == 0.0
    assert value(id, RADIATOR, off, after, on) == 1.0  # it went on after that
    assert value(id, RADIATOR, after, off) == 1.0
    assert value(id, RADIATOR, off, on, (after[0], "not done")) == 1.0
    two = ((HOSE, "off"), ("part.radiator", "off"))
    assert value(id, RADIATOR, *two, after) == 0.0
    assert value(id, RADIATOR, two[0], after, two[1]) == 1.0
    assert value(id, RADIATOR, *two) == 2.0


PRICE: Final = ("quote.total", "480", "1")
CEILING: Final = ("quote.ceiling", "560", "1")


@pytest.mark.parametrize(
    ("told", "over"),
    [
        ((), None),
        ((PRICE,), 0.0),  # where no ceiling was agreed the price is it
        ((PRICE, ("extra.price", "100", "1")), 100.0),
        ((CEILING,), None),
        ((PRICE, CEILING), -80.0),
        ((PRICE, CEILING, ("extra.price", "100", "1")), 20.0),
        ((PRICE, CEILING, ("extra.price", "100", "1"), ("extra.how", "spoken")), 20.0),
        ((PRICE, CEILING, ("extra.price", "100", "1"), ("extra.how", "refused")), -80.0),
        ((PRICE, CEILING, ("extra.price", "not done")), -80.0),
        ((PRICE, CEILING, ("extra.price", "50", "1"), ("broken.price", "60", "1")), 30.0),
        ((PRICE, CEILING, ("broken.price", "60", "1"), ("broken.how", "refused")), -80.0),
        ((PRICE, CEILING, ("extra.price", "100", "1"), ("quote.ceiling_new", "600", "1")), -20.0),
    ],
)
def test_how_far_the_price_stands_over_what_was_agreed(
    told: tuple[Told, ...], over: float | None
) -> None:
    assert value("quote.over", *told) == (None if over is None else pytest.approx(over))


RATING: Final = ("car.cap_rating", "100", "kPa")


@pytest.mark.parametrize(
    ("opened", "outside"),
    [((), None), (("100",), 0.0), (("90",), 0.0), (("89",), 1.0), (("115",), 0.0), (("116",), 1.0),
     (("89", "100", "120"), 2.0), (("100", "100", "100"), 0.0)],
)  # fmt: skip
def test_a_cap_opens_outside_where_it_is_a_tenth_below_or_an_eighth_above(
    opened: tuple[str, ...], outside: float | None
) -> None:
    """From 0.90 to 1.15 of the print: the rules' own shares."""
    span = ("tester.span", "200", "kPa")
    told = [(f"cap.opening_{n}", typed, "kPa") for n, typed in enumerate(opened, 1)]
    assert value("cap.outside", RATING, span, *told) == outside
    assert value("cap.outside", span, *told) is None  # against no print nothing is outside


def test_a_tester_s_own_fall_in_divisions() -> None:
    fall, division = ("tester.self_fall", "0.5", "kPa"), ("tester.division", "2", "kPa")
    assert value("tester.fall_in_divisions", fall, division) == pytest.approx(0.25)
    assert value("tester.fall_in_divisions", fall) is None
    assert value("tester.fall_in_divisions", division) is None
    unknown = ("tester.self_fall", "not done")
    assert value("tester.fall_in_divisions", unknown, division) is None


def test_a_plain_field_is_its_value_and_an_unknown_one_nothing() -> None:
    assert value("car.capacity", ("car.capacity", "8", "L")) == pytest.approx(8e-3)
    assert value("car.capacity", ("car.capacity", "not done")) is None
    assert value("car.capacity") is None
