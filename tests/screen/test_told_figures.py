"""Refusals, reasons and limits as each reader is told them: converted by hand, limits never up."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import pytest

from tests.hands import Answer, Hands
from tests.logbook import Logbook
from tests.screen.foreign import RULES, SETS, Shop, foreign, said
from weeptrace import screen
from weeptrace.fill import mix
from weeptrace.fill.uptake import evacuated
from weeptrace.finding import Reason
from weeptrace.hold.data import Hold, Reading
from weeptrace.hold.usable import unusable, unusable_vacuum
from weeptrace.job.advance import fold
from weeptrace.loss.lines import lines as lines_hold
from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.screen.figures import Show
from weeptrace.told import Figure, Told, plain
from weeptrace.warmup.assess import assess as assess_warm
from weeptrace.warmup.data import Point

LIMITS: Final = limits()
# Exact by definition: pound-force per square inch; 231 cubic inches of 25.4 mm in four quarts.
PSI: Final = 0.45359237 * 9.80665 / 0.0254**2
QUART: Final = 231 * 0.0254**3 / 4
FOOT: Final = 0.3048


def refused(call: Callable[[], object]) -> Refusal:
    with pytest.raises(Refusal) as caught:
        call()
    return caught.value


def show(id: str) -> Show:
    return Show(RULES, SETS[id])


def figures(text: str) -> list[float]:
    """The numbers of a sentence."""
    plain_text = text.replace("\N{MINUS SIGN}", "-")
    return [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", plain_text)]


def held(*kilopascals: float) -> list[Reading]:
    return [Reading(60.0 * n, 1e3 * each) for n, each in enumerate(kilopascals)]


def pour() -> Refusal:
    return refused(lambda: mix.plan(
        capacity=7.6e-3, drained=7e-3, residual_strength=0.3, target=0.5, glycol="ethylene",
        at_hand=[mix.at_hand("concentrate")], limits=LIMITS, missing_before=1.5e-3,
    ))  # fmt: skip


def nothing_to_lift() -> Refusal:
    return refused(lambda: evacuated(100e3, 1000.0, 288.15, 0.5, 0.5, LIMITS))


def too_high() -> Refusal:
    return refused(lambda: evacuated(8e3, 0.0, 288.15, 0.5, -9.0, LIMITS))


def too_much_caught() -> Refusal:
    return refused(lambda: lines_hold(caught=20.0, limits=LIMITS))


def no_pressure() -> Reason:
    found = unusable(Hold((), division=2e3), held(0.1, 0.0, 0.0), LIMITS)
    assert found is not None
    return found


def too_deep() -> Reason:
    hold = Hold((), division=2e3, atmosphere=84.6e3)
    found = unusable_vacuum(hold, held(-95.0, -95.0), LIMITS)
    assert found is not None
    return found


def too_hot() -> Reason:
    log = [Point(60.0 * n, 273.15 + c) for n, c in enumerate((80.0, 118.0))]
    return assess_warm(log, 291.15, LIMITS).stop[0].reason


# Each sentence, and its figures in SI with what one of their units is.
TELLS: Final[dict[str, tuple[Callable[[], Told], list[tuple[float, str]]]]] = {
    "mix": (pour, [(7e-3, "volume"), (1.5e-3, "volume"), (7.6e-3, "volume")]),
    "uptake": (nothing_to_lift, [(100e3, "pressure")]),
    "lift": (too_high, [(-LIMITS["fill.lowest_lift"], "length")]),
    "transmission": (too_much_caught, [(20.0 / 850.0, "volume")]),
    "no pressure": (no_pressure, [(2e3 * LIMITS["hold.least_pressure_divisions"], "pressure")]),
    "too deep": (too_deep, [(95e3, "pressure"), (84.6e3, "pressure")]),
    "too hot": (too_hot, [(273.15 + 118.0, "temperature")]),
}


def in_psi(value: float, kind: str) -> float:
    """Own arithmetic: psi, °F, US quarts, feet."""
    if kind == "temperature":
        return value * 9.0 / 5.0 - 459.67
    return value / {"pressure": PSI, "volume": QUART, "length": FOOT}[kind]


@pytest.mark.parametrize("what", TELLS)
def test_a_sentence_tells_its_figures_in_psi_fahrenheit_and_quarts(what: str) -> None:
    call, wanted = TELLS[what]
    told = show("psi").told(call())
    found = figures(told)
    for (value, kind), number in zip(wanted, found, strict=False):
        assert number == pytest.approx(in_psi(value, kind), rel=6e-4), told
    assert len(found) >= len(wanted)


@pytest.mark.parametrize("id", SETS)
@pytest.mark.parametrize("what", TELLS)
def test_a_sentence_holds_no_foreign_unit(what: str, id: str) -> None:
    told = TELLS[what][0]()
    assert foreign(show(id).told(told), SETS[id]) == []
    assert "{" not in plain(told)
    assert foreign(plain(told), SETS["kpa"]) == []  # the command line's units


def test_one_psi_and_one_quart_are_what_they_are_defined_to_be() -> None:
    assert pytest.approx(6894.757, abs=5e-4) == PSI
    assert pytest.approx(0.946352946e-3, abs=1e-12) == QUART
    brought = {"a": Figure(PSI, "pressure"), "b": Figure(QUART, "volume")}
    told = Reason("x", "{a:pressure}, {b:volume}", brought)
    assert show("psi").told(told).replace("\xa0", " ") == "1 psi, 1 US qt"
    assert plain(told) == "6.895 kPa, 0.9464 L"


@dataclass(frozen=True)
class Limited:
    """A limit that must not be passed, in SI."""

    value: float
    kind: str


SAFE: Final = [
    *(Limited(v, "pressure") for v in (90e3, 96.5e3, 103421.4, 110e3, 137.9e3, 16 * PSI)),
    *(Limited(LIMITS[id], "temperature")
      for id in ("gate.temperature", "warmup.highest_coolant", "fill.open_neck_stop")),
]  # fmt: skip


def si(number: float, unit: str) -> float:
    """Own arithmetic: a number in a unit of the sets, in SI."""
    if unit == "°C":
        return number + 273.15
    if unit == "°F":
        return (number + 459.67) * 5.0 / 9.0
    return number * {"kPa": 1e3, "bar": 1e5, "psi": PSI}[unit]


@pytest.mark.parametrize("id", SETS)
@pytest.mark.parametrize("limited", SAFE, ids=str)
def test_a_limit_is_never_told_higher_than_it_is(limited: Limited, id: str) -> None:
    number, unit = show(id).limit(limited.value, limited.kind).split("\xa0")
    step = 10.0 ** -RULES.decimals[unit]
    assert si(float(number), unit) <= limited.value * (1.0 + 1e-9)
    assert si(float(number) + 1.001 * step, unit) > limited.value


def test_a_limit_at_a_round_figure_stays_it() -> None:
    assert show("psi").limit(16 * PSI, "pressure") == "16.0\xa0psi"
    assert show("kpa").limit(110e3, "pressure") == "110\xa0kPa"
    assert show("bar").limit(1.1e5, "pressure") == "1.10\xa0bar"


def texts(units: Mapping[str, str], work: Hands, look: str = "") -> list[str]:
    made = screen.view(RULES, work.job, work.log.moment(), screen.Preferences(units), look)
    return list(said([made["blocks"], made["foot"], made["state"]]))


@pytest.mark.parametrize("id", SETS)
def test_a_mix_that_can_not_be_and_its_balance_are_refused_in_the_readers_units(id: str) -> None:
    units = SETS[id]
    answers: dict[str, Answer] = {"coolant.drained": ("7.5", "L"),
                                  "coolant.missing_before": ("1.5", "L")}  # fmt: skip
    work = Hands(Shop(units), answers).until("mix_plan")
    told = texts(units, work)
    assert any("must lie between zero and the capacity" in each for each in told)
    assert [each for each in told if foreign(each, units)] == []
    work.until("fluid_balance")
    told = texts(units, work)
    assert any("out is more than the car holds" in each for each in told)
    assert [each for each in told if foreign(each, units)] == []


@pytest.mark.parametrize("id", SETS)
def test_a_hold_without_pressure_and_a_refused_needle_are_told_in_the_readers_units(
    id: str,
) -> None:
    units = SETS[id]
    work = Hands(Shop(units)).until("hold_readings")
    work.log.now += 60.0
    work.log.add("reading", "hold.pressure", "700", "kPa")
    told = texts(units, work)
    assert any("is not accepted" in each for each in told)
    assert [each for each in told if foreign(each, units)] == []
    for _ in range(5):
        work.log.now += 60.0
        work.log.add("reading", "hold.pressure", "0", "kPa")
    work.log.add("mark", "hold.ended")
    told = texts(units, work)
    assert any("can't tell that from zero" in each for each in told)
    assert [each for each in told if foreign(each, units)] == []
    assert [each for each in texts(units, work, "so_far") if foreign(each, units)] == []


@pytest.mark.parametrize("id", SETS)
def test_a_vacuum_deeper_than_the_place_allows_is_told_in_the_readers_units(id: str) -> None:
    units = SETS[id]
    work = Hands(Shop(units), {"fill.how": ("vacuum", None)}).until("uptake_plan")
    height = next(e for e in work.log.events if e["field"] == "place.altitude")
    work.log.add("fact", "place.altitude", "2500", "m", supersedes=height["id"])
    told = [*texts(units, work), *texts(units, work, "so_far")]
    assert any("is not accepted: above the air pressure here" in each for each in told)
    assert [each for each in told if foreign(each, units)] == []


def test_an_unknown_rating_is_told_by_its_name() -> None:
    told = Show(RULES, SETS["psi"]).rules.text("step.pump_up.prompt")
    assert told.startswith("Pump slowly to “Cap rating”, the cap's rating, not above.")
    log = Logbook()
    log.add("fact", "car.cap_rating", "16", "psi")
    job = fold(RULES, log.events)
    for id, figure in (("psi", "16.0\xa0psi"), ("kpa", "110\xa0kPa"), ("bar", "1.10\xa0bar")):
        words = Show(RULES, SETS[id], job).rules.text("step.pump_up.prompt")
        assert words.startswith(f"Pump slowly to {figure}, the cap's rating, not above.")


@pytest.mark.parametrize("id", SETS)
def test_a_needle_above_the_rating_is_told_in_the_readers_units(id: str) -> None:
    units = SETS[id]
    work = Hands(Shop(units)).until("hold_readings")
    work.log.now += 60.0
    work.log.add("reading", "hold.pressure", "125", "kPa")
    told = texts(units, work)
    assert any("Above the cap rating" in each for each in told)
    assert any(units["pressure"] in each for each in told)
    assert [each for each in told if foreign(each, units)] == []
    assert [each for each in texts(units, work, "so_far") if foreign(each, units)] == []
