"""Explanations with their priors, the answer in one word, and what would see a smaller leak."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import pytest

from tests.hold.holds import ML, ML_PER_KPA, hold_of, minutes, readings
from tests.simulated_car import Car
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Assessment, Compliance, Hold, Reading, Strokes
from weeptrace.hold.explain import WITH_LEAK, favoured, with_air_side
from weeptrace.rules import limits

LIMITS = limits()
FLAT = Hold(readings([(k, 100) for k in range(16)]), 2e3, stored=Strokes(7.8, 40 * ML))


def test_prior_weights_make_leak_and_no_leak_even() -> None:
    none = sum(LIMITS[f"hold.prior_{name}"] for name in ("tight", "settling", "thermal"))
    assert none == pytest.approx(0.5)
    leaks = LIMITS["hold.prior_leak"] + LIMITS["hold.prior_leak_and_settling"]
    assert none + leaks == pytest.approx(1.0)


def logged(cooling: float, leak: float = 0.0) -> Hold:
    """A hold with a temperature at each reading; K/min and mL/min."""
    car = Car(
        start=100e3,
        gas_volume=150e-6,
        temperature=313.15,
        cooling=-cooling / 60.0,
        leak_100=leak * ML / 60.0,
        creep_share=0.0,
    )
    hold = hold_of(car, minutes(16), ambient_temperature=293.15)
    seen = tuple(Reading(r.time, r.pressure, car.temperature_at(r.time)) for r in hold.readings)
    return replace(hold, readings=seen)


def test_logged_cooling_explains_a_fall() -> None:
    found = assess(logged(0.4), LIMITS)
    assert found.favoured == "thermal"
    assert found.explanations["tight"] < 0.01
    assert found.verdict == "no_leak_found"


def test_a_leak_on_top_of_logged_cooling_is_a_leak() -> None:
    found = assess(logged(0.4, leak=2.0), LIMITS)
    assert found.favoured in ("leak", "leak_and_settling")
    assert found.explanations["thermal"] < 0.01


@pytest.mark.parametrize(("above", "thermal"), [(0.0, False), (30.0, True)])
def test_cooling_that_nobody_logged_explains_what_the_engine_may_do(
    above: float, thermal: bool
) -> None:
    # 0.15 kPa/min at 1.2 mL/kPa: 0.05 K/min. An engine at rest does not, one 9 K above air may.
    warm = (Reading(0.0, 100e3, 293.15), *readings([(k, 100 - 0.3 * k) for k in range(1, 16)]))
    hold = replace(FLAT, readings=warm, ambient_temperature=293.15 - above / 3.3)
    weight = assess(hold, LIMITS).explanations["thermal"]
    assert (weight > 0.3) is thermal


def test_settling_is_an_answer() -> None:
    car = Car(start=100e3, gas_volume=150e-6, creep_share=0.06, compliance=0.6 * ML_PER_KPA)
    assert assess(hold_of(car, minutes(31)), LIMITS).favoured == "settling"


def test_nobody_can_tell_yet() -> None:
    falling = replace(FLAT, readings=readings([(0, 100), (1, 99), (2, 98), (3, 98), (4, 97.5)]))
    assert assess(falling, LIMITS).favoured == "cannot_tell"
    assert assess(FLAT, LIMITS).favoured == "tight"


@pytest.mark.parametrize("weight", [0.66, 0.67, 0.68])
def test_two_to_one_is_an_answer(weight: float) -> None:
    told = favoured({"tight": 1.0 - weight, "leak": weight}, LIMITS)
    assert told == ("cannot_tell" if weight < 0.67 else "leak")


def air_side(wet: bool | None, flow: float) -> float:
    weights = with_air_side({"tight": 0.0, "leak": 1.0}, flow * ML / 60.0, wet, LIMITS)
    assert sum(weights.values()) == pytest.approx(1.0)
    return weights["air_side"]


def test_a_dry_fast_fall_points_above_the_liquid() -> None:
    # By hand: 0.2 x 0.95 against 0.8 x 0.1, and where nobody could see it wet 0.8 x 0.7.
    assert air_side(None, 3.0) == pytest.approx(0.2)
    assert air_side(False, 3.0) == pytest.approx(0.19 / (0.19 + 0.08))
    assert air_side(False, 0.1) == pytest.approx(0.19 / (0.19 + 0.56))
    assert air_side(True, 3.0) == pytest.approx(0.01 / (0.01 + 0.72))
    assert air_side(False, 0.4999) < air_side(False, 0.5001)


def test_a_leak_above_the_liquid_falls_like_one_below() -> None:
    # Own integration of both balances, 0.5 mL/kPa hoses and 150 mL of gas, 1 mL/min at 100 kPa:
    # below, Vg (p + P) stays; above, gas goes and Vg shrinks with the hoses. In kPa, mL, min.
    def course(above: bool) -> list[float]:
        p, gas, seen = 100.0, 150.0, []
        for step in range(15 * 600 + 1):
            if step % 600 == 0:
                seen.append(p)
            flow = (p / 100.0) ** 0.75 / 600.0
            fall = flow / (0.5 + gas / (p + 100.0))
            gas = gas - 0.5 * fall if above else gas * (p + 100.0) / (p - fall + 100.0)
            p -= fall
        return seen

    below, over = course(False), course(True)
    assert below[-1] < 92.0
    # Half a kPa apart after 10 kPa of fall: no gauge of the shop can tell them.
    assert max(abs(a - b) for a, b in zip(below, over, strict=True)) < 0.6


def ways(found: Assessment) -> dict[str, float]:
    assert found.smallest_detectable_flow is not None
    flows = [way.smallest_detectable_flow for way in found.advice]
    assert flows == sorted(flows)
    assert all(flow <= 0.9 * found.smallest_detectable_flow for flow in flows)
    assert all(way.time > 0.0 and way.reason.message.endswith(".") for way in found.advice)
    return {way.code: way.smallest_detectable_flow for way in found.advice}


def test_with_much_air_filling_up_shrinks_it_most() -> None:
    found = assess(replace(FLAT, stored=Compliance(5 * ML_PER_KPA)), LIMITS)
    assert found.advice[0].code == "top_up"
    assert set(ways(found)) == {"top_up", "hold_longer", "finer_gauge"}


def test_what_is_so_already_is_not_advised() -> None:
    fine = replace(FLAT, division=200.0)
    assert "finer_gauge" not in ways(assess(fine, LIMITS))
    assert "top_up" not in ways(assess(replace(FLAT, stored=Strokes(4, 40 * ML)), LIMITS))


def test_where_the_temperature_is_the_floor_it_is_logged() -> None:
    warm = (Reading(0.0, 100e3, 303.0), *FLAT.readings[1:])
    hold = replace(FLAT, readings=warm, ambient_temperature=296.0)
    found = assess(hold, LIMITS)
    assert found.advice[0].code == "log_temperature"
    logs = tuple(replace(r, temperature=303.0) for r in hold.readings)
    assert "log_temperature" not in ways(assess(replace(hold, readings=logs), LIMITS))


@pytest.mark.parametrize("stored", [1.2, 5.0])
def test_advice_comes_true(stored: float) -> None:
    hold = replace(FLAT, stored=Compliance(stored * ML_PER_KPA))
    promised = ways(assess(hold, LIMITS))["hold_longer"]
    longer = replace(hold, readings=readings([(k, 100) for k in range(31)]))
    found = assess(longer, LIMITS).smallest_detectable_flow
    assert found == pytest.approx(promised, rel=0.15)


def falling(slope: float) -> Hold:
    """A filled system whose needle falls by so many Pa/min."""
    return replace(FLAT, division=500.0, readings=sloped(100e3, -slope))


def drained(start: float, slope: float) -> Hold:
    """A drained one, gauge pressure Pa, whose air leaks by so many Pa/min."""
    kind = "vacuum" if start < 0.0 else "pressure"
    away = slope if start < 0.0 else -slope
    hold = Hold(sloped(start, away), 500.0, kind, "air", rated=120e3, evacuated_volume=6e-3)
    return replace(hold, target=None if start < 0.0 else start, engine_temperature=288.15)


def sloped(start: float, slope: float) -> tuple[Reading, ...]:
    return tuple(Reading(60.0 * k, start + slope * k) for k in range(16))


@pytest.mark.parametrize("more", [0, 1])
@pytest.mark.parametrize(
    ("made", "leaks", "without"),
    [
        (falling, ("leak", "leak_and_settling"), ("thermal", "settling")),
        (partial(drained, -90e3), ("air_leak", "both"), ("settling", "vapour")),
        (partial(drained, 100e3), ("leak", "leak_and_settling"), ("tight", "settling")),
    ],
    ids=["wet", "vacuum", "dry"],
)
def test_no_weight_jumps_where_a_leak_comes_out_as_nothing(
    made: Callable[[float], Hold], leaks: Sequence[str], without: Sequence[str], more: int
) -> None:
    # Halved again and again towards where the odds move most: no two slopes so near, which no
    # gauge could tell apart, may differ in what is said of them.
    def odds(slope: float) -> float:
        weights = assess(made(slope), LIMITS).explanations
        return math.log(weights[leaks[more]] / weights[without[more]])

    below, above = -4.0, 4.0
    low, high = odds(below), odds(above)
    for _ in range(20):
        middle = 0.5 * (below + above)
        seen = odds(middle)
        if abs(seen - low) > abs(high - seen):
            above, high = middle, seen
        else:
            below, low = middle, seen
    assert above - below < 1e-4
    assert low == pytest.approx(high, abs=0.02)


@pytest.mark.parametrize("minutes_", [0.0, 2.0, 6.0], ids=["evenly", "soon over", "slowly over"])
@pytest.mark.parametrize("by", [500.0, 1000.0, 1500.0])
@pytest.mark.parametrize("kind", ["wet", "vacuum", "dry"])
def test_no_leak_is_named_where_the_needle_goes_the_other_way(
    kind: str, by: float, minutes_: float
) -> None:
    """A filled system or air under pressure that rises, a vacuum that deepens: something warms or
    cools. A leak only takes, and hoses and vapour only give."""
    start = {"wet": 100e3, "vacuum": -90e3, "dry": 100e3}[kind]
    away = -by if kind == "vacuum" else by
    share = [(1.0 - math.exp(-k / minutes_)) if minutes_ else k / 15.0 for k in range(16)]
    hold = falling(0.0) if kind == "wet" else drained(start, 0.0)
    seen = tuple(Reading(60.0 * k, start + away * part) for k, part in enumerate(share))
    found = assess(replace(hold, readings=seen), LIMITS)
    leaks = sum(found.explanations.get(name, 0.0) for name in WITH_LEAK)
    assert leaks < 0.4
    assert found.favoured in ("tight", "settling", "thermal")
