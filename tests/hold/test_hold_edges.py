"""What stands around the fit of a hold: order, ends, targets, the log of temperatures, segments."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy
import pytest

from tests.hold.drained import PLACE, practice
from tests.hold.holds import ML, ML_PER_KPA, ML_PER_MIN, readings
from weeptrace.finding import Estimate
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, Assessment, Compliance, Headspace, Hold, Reading
from weeptrace.hold.warmth import course
from weeptrace.rules import limits

LIMITS = limits()
FALLING = readings((k, 100.0 - 0.4 * k) for k in range(16))
HOLD = Hold(FALLING, 2e3, stored=Compliance(ML_PER_KPA), atmosphere=101325.0)
VACUUM = practice([(k, -72.5 + 0.8 * k) for k in range(16)])
AIR = replace(VACUUM, kind="pressure", readings=readings((k, 90.0 - 0.5 * k) for k in range(16)))
ALL = {"coolant": HOLD, "vacuum": VACUUM, "dry air": AIR}


def half(found: Estimate | None) -> float:
    assert found is not None
    return found.high - found.value


@pytest.mark.parametrize("name", ALL)
def test_any_order_is_the_same_hold_and_a_slip_keeps_its_place(name: str) -> None:
    hold = ALL[name]
    step = 12e3 if hold.readings[0].pressure > 0.0 else 9e3
    slip = replace(hold.readings[4], pressure=hold.readings[4].pressure + step)
    wrong = replace(hold, readings=(*hold.readings[:4], slip, *hold.readings[5:]))
    wrong = replace(wrong, rated=None)
    found = assess(wrong, LIMITS)
    assert found.suspect_readings == (4,)
    turned = replace(wrong, readings=tuple(reversed(wrong.readings)))
    again = assess(turned, LIMITS)
    assert again.suspect_readings == (11,)
    assert replace(again, suspect_readings=(4,)) == found


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize(
    ("planned", "end"), [(None, 900.0), (600.0, 900.0), (900.0, 900.0), (1800.0, 1800.0)]
)
def test_the_curve_runs_from_the_first_reading_to_the_last_or_to_the_plan(
    name: str, planned: float | None, end: float
) -> None:
    later = tuple(replace(r, time=r.time + 100.0) for r in ALL[name].readings)
    found = assess(replace(ALL[name], readings=later, planned=planned), LIMITS)
    assert found.curve[0].time == 100.0
    assert found.curve[-1].time == pytest.approx(100.0 + end)
    assert len(found.curve) == 25
    shown = [p.pressure for p in found.curve]
    assert shown[0] == pytest.approx(later[0].pressure, abs=800.0)
    assert all(p.low < p.pressure < p.high for p in found.curve)


def seen(hold: Hold, **more: object) -> Assessment:
    return assess(replace(hold, **more), LIMITS)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["coolant", "dry air"])
def test_without_a_target_the_higher_of_the_first_two_is_it(name: str) -> None:
    hold = replace(ALL[name], rated=None)
    first, second, *rest = hold.readings
    low = replace(first, pressure=60e3)
    assert seen(hold, readings=(low, second, *rest)).target == second.pressure
    assert seen(hold).target == first.pressure
    high = replace(rest[0], pressure=120e3)
    assert seen(hold, readings=(first, second, high, *rest[1:])).target == first.pressure
    assert seen(hold, target=70e3).target == 70e3
    assert seen(hold, target=0.0).target == first.pressure


def test_the_vacuum_reached_is_the_deeper_of_the_first_two() -> None:
    first, second, *rest = VACUUM.readings
    for a, b in ((-70e3, -72e3), (-72e3, -70e3)):
        pair = (replace(first, pressure=a), replace(second, pressure=b))
        found = seen(VACUUM, readings=(*pair, *rest))
        assert found.residual_fraction == pytest.approx((PLACE - 72e3) / PLACE)
        assert found.target == pytest.approx(-72e3)
    # Where the flow is no longer choked, the rate is told where it just is: 0.528 of outside.
    shallow = tuple(replace(r, pressure=r.pressure + 50e3) for r in VACUUM.readings)
    assert seen(VACUUM, readings=shallow).target == pytest.approx((0.5283 - 1.0) * PLACE, rel=1e-3)


@pytest.mark.parametrize(
    ("known", "name"),
    [
        ({"atmosphere": None}, "altitude"),
        ({"mass_fraction": None}, "strength"),
        ({"liquid_volume": None}, "liquid_volume"),
        ({"stored": None}, "stored_volume"),
    ],
)
def test_what_was_not_measured_is_told(known: dict[str, object], name: str) -> None:
    whole = replace(
        HOLD,
        mass_fraction=0.5,
        liquid_volume=7e-3,
        readings=(replace(FALLING[0], temperature=290.0), *FALLING[1:]),
    )
    assert assess(whole, LIMITS).assumed == ()
    assert seen(whole, **known).assumed == (name,)
    assert seen(whole, readings=FALLING).assumed == ("temperature",)


@pytest.mark.parametrize(
    ("known", "name"),
    [
        ({"atmosphere": None}, "altitude"),
        ({"mass_fraction": None}, "strength"),
        ({"evacuated_volume": None}, "stored_volume"),
        ({"evacuated_volume": 0.0}, "stored_volume"),
        ({"rated": None}, "rated"),
        ({"engine_temperature": None}, "temperature"),
    ],
)
def test_what_was_not_measured_of_a_drained_system(known: dict[str, object], name: str) -> None:
    assert seen(VACUUM).assumed == ()
    assert seen(VACUUM, **known).assumed == (name,)


@pytest.mark.parametrize("name", ALL)
def test_a_hold_that_is_not_judged_still_shows_its_straight_fall(name: str) -> None:
    hold = replace(ALL[name], rated=None)
    times = [r.time for r in hold.readings]
    slope = numpy.polyfit(times, [abs(r.pressure) for r in hold.readings], 1)[0]
    fall = assess(hold, LIMITS).fall
    assert fall is not None
    assert fall.value == pytest.approx(-slope)
    few = seen(hold, readings=hold.readings[:4])
    assert few.fall is not None
    assert few.fall.value == pytest.approx(-slope)
    # Unusable, but readable: a pressure below zero, a vacuum deeper than the atmosphere.
    bad = (
        replace(hold, atmosphere=50e3)
        if name == "vacuum"
        else replace(hold, readings=(*hold.readings[:-1], Reading(900.0, -5e3)))
    )
    found = assess(bad, LIMITS)
    assert found.verdict == "not_judged"
    assert found.fall is not None


def test_an_uncertain_volume_never_goes_below_none() -> None:
    found = assess(replace(HOLD, stored=Headspace(1 * ML)), LIMITS).compliance
    assert found is not None
    assert found.low == pytest.approx(max(found.value - half(found), 0.0))
    small = {**LIMITS, "hold.hose_compliance_uncertainty": 1e-9}
    wide = assess(replace(HOLD, stored=Headspace(1 * ML)), small).compliance
    assert wide is not None
    assert wide.low == 0.0


@pytest.mark.parametrize(("above", "warm"), [(9.9, False), (10.1, True)])
@pytest.mark.parametrize("name", ["coolant", "dry air"])
def test_a_warm_engine_needs_a_log(name: str, above: float, warm: bool) -> None:
    hold = replace(ALL[name], rated=None, ambient_temperature=290.0)
    still = tuple(replace(r, pressure=hold.readings[0].pressure) for r in hold.readings)
    one = (replace(still[0], temperature=290.0 + above), *still[1:])
    found = seen(hold, readings=one)
    assert (found.reason is not None and found.reason.code == "engine_warm") is warm
    log = tuple(replace(r, temperature=290.0 + above) for r in still)
    told = seen(hold, readings=log).reason
    assert told is None or told.code != "engine_warm"
    # Without the air's temperature nobody can say that it is warm.
    told = seen(hold, readings=one, ambient_temperature=None).reason
    assert told is None or told.code != "engine_warm"


# --- the course of the temperature ---------------------------------------------------------------


def test_a_log_of_four_is_a_line_and_of_five_a_parabola() -> None:
    times = [0.0, 200.0, 450.0, 700.0, 900.0]
    temps = [360.0, 352.0, 345.0, 341.0, 340.0]
    for count, degree in ((4, 1), (5, 2)):
        way = course(list(zip(times[:count], temps[:count], strict=True)), 293.0, LIMITS)
        fitted = numpy.polynomial.Polynomial.fit(times[:count], temps[:count], degree)
        for t in (0.0, 100.0, 333.0, times[count - 1]):
            assert way.at(t) == pytest.approx(float(fitted(t)), abs=1e-6)
        # Beyond the last one it goes straight on, as steep as it was there.
        end = times[count - 1]
        straight = float(fitted(end)) + 300.0 * float(fitted.deriv()(end))
        assert way.at(end + 300.0) == pytest.approx(straight, abs=1e-6)
        before = float(fitted(0.0)) - 60.0 * float(fitted.deriv()(0.0))
        assert way.at(-60.0) == pytest.approx(before, abs=1e-6)
        slope = numpy.polyfit(times[:count], temps[:count], 1)[0]
        spread = float(((numpy.array(times[:count]) - numpy.mean(times[:count])) ** 2).sum())
        # A probe of 0.1 K, and a tenth of the slope (common practice).
        assert way.drift_sd == pytest.approx(math.hypot(0.1 / math.sqrt(spread), 0.1 * slope))
        assert way.drift == 0.0
        assert way.logged


def test_a_log_of_an_engine_at_rest_is_weighed_against_that() -> None:
    # 0.01 K/min is what an engine at rest drifts by (one sigma), plus what 5 K above the air cool
    # in 90 min; the probe's 0.1 K: the mean of both by their weights, as of two measurements.
    times = [60.0 * k for k in range(16)]
    temps = [298.0 + 0.2 * ((k * 7) % 5 - 2) / 5.0 for k in range(16)]
    way = course(list(zip(times, temps, strict=True)), 293.0, LIMITS)
    slope = float(numpy.polyfit(times, temps, 1)[0])
    spread = float(((numpy.array(times) - 450.0) ** 2).sum())
    probe = 0.1 / math.sqrt(spread)
    rest = math.hypot(0.01 / 60.0, (numpy.mean(temps) - 293.0) / 5400.0)
    assert way.drift == pytest.approx(slope * rest**2 / (rest**2 + probe**2))
    assert way.drift_sd == pytest.approx(1.0 / math.sqrt(1.0 / rest**2 + 1.0 / probe**2))
    assert way.slope == way.bend == 0.0
    assert way.temperature == pytest.approx(numpy.mean(temps))
    assert way.logged


@pytest.mark.parametrize(
    ("log", "ambient", "level", "drift"),
    [
        ([], None, 293.15, 0.01 / 60.0),
        ([], 280.0, 280.0, 0.01 / 60.0),
        ([(0.0, 310.0)], None, 310.0, 0.01 / 60.0),
        ([(0.0, 310.0)], 290.0, 310.0, math.hypot(0.01 / 60.0, 20.0 / 5400.0)),
        ([(60.0, 310.0), (60.0, 312.0)], None, 311.0, 0.01 / 60.0),
    ],
)
def test_without_two_temperatures_the_drift_is_a_bound(
    log: list[tuple[float, float]], ambient: float | None, level: float, drift: float
) -> None:
    way = course(log, ambient, LIMITS)
    assert (way.logged, way.drift, way.slope) == (False, 0.0, 0.0)
    assert way.at(500.0) == pytest.approx(level)
    assert way.drift_sd == pytest.approx(drift)


# --- pumped, drawn off, disturbed ----------------------------------------------------------------


def in_two(kind: str, leak: float) -> Hold:
    """Ten minutes at 100 kPa, then moved to 70 kPa or pumped to 120, and ten minutes more.

    Own balance in steps of half a second: hoses 0.5 mL/kPa, 300 mL of gas at first, n = 0.75.
    Liquid drawn off leaves the gas its amount; pumped air adds to it.
    """
    hoses, dry, p = 0.5 * ML_PER_KPA, 99.6e3, 100e3
    amount = 300 * ML * (p + dry)
    rows = []
    for step in range(2 * 1200 + 121):
        time = 0.5 * step
        if time == 630.0:
            new = 120e3 if kind == "pumped" else 70e3
            if kind == "pumped":  # the liquid stays, but for what the hoses take up
                amount = (amount / (p + dry) + hoses * (new - p)) * (new + dry)
            p = new
        if time % 60.0 == 0.0:
            rows.append(Reading(time, p))
        flow = leak * (p / 100e3) ** 0.75
        p -= 0.5 * flow / (hoses + amount / (p + dry) ** 2)
    return Hold(
        tuple(rows),
        100.0,
        target=100e3,
        atmosphere=101325.0,
        stored=Headspace(300 * ML - hoses * 100e3),
        actions=(Action(kind, 630.0),),  # type: ignore[arg-type]
    )


QUIET = {
    **LIMITS,
    "hold.creep_share": 0.0,
    "hold.creep_share_uncertainty": 1e-5,
    "hold.creep_time_spread": 1e-4,
    "hold.hose_compliance_uncertainty": 1e-15,
    "hold.gas_settling_share": 1e-6,
    "hold.temperature_drift_unknown": 1e-8,
    "hold.exponent_uncertainty": 1e-3,
}


@pytest.mark.parametrize("kind", ["pumped", "drew_off", "disturbed"])
def test_both_stretches_tell_the_one_leak(kind: str) -> None:
    leak = 1.0 * ML_PER_MIN
    hold = in_two(kind, leak)
    found = assess(hold, QUIET)
    assert found.leak_flow is not None
    assert found.leak_flow.value == pytest.approx(leak, rel=0.01)
    assert found.suspect_readings == ()
    # The curve jumps where the hold did, and follows both.
    by_time = {r.time: r.pressure for r in hold.readings}
    for point in found.curve:
        near = min(by_time, key=lambda t: abs(t - point.time))
        if abs(near - point.time) < 1.0:
            assert point.pressure == pytest.approx(by_time[near], abs=60.0)
    # Without the action told, the step is no leak of this size.
    bare = assess(replace(hold, actions=()), QUIET)
    assert bare.rate != found.rate
    # An action before the first reading only says when pumping ended.
    early = replace(hold, readings=hold.readings[11:], actions=(Action("pumped", 100.0),))
    assert assess(early, QUIET).leak_flow is not None


def test_hoses_give_after_the_last_pumping_even_before_the_first_reading() -> None:
    # 3.5 % of 0.5 mL/kPa x 100 kPa with 1.7 min: read from the tenth minute on nothing is left.
    def rate(pumped: float) -> float:
        still = readings((k, 100.0) for k in range(16))
        hold = replace(HOLD, readings=still, actions=(Action("pumped", pumped),))
        sure = {**QUIET, "hold.creep_share": 0.035, "hold.hose_compliance": 0.5e-9}
        found = assess(hold, sure).rate
        assert found is not None
        return found.value

    # The needle stands still: where hoses should still give, so much must come in instead; by a
    # straight line through what they give in 15 min.
    times = 60.0 * numpy.arange(16)
    for pumped in (0.0, -60.0, -300.0, -1200.0):
        given = -0.5 * 0.035 * 100e3 * numpy.exp(-(times - pumped) / 102.0)
        slope = float(numpy.polyfit(times, given, 1)[0])
        assert rate(pumped) == pytest.approx(-slope, rel=0.15, abs=0.01)


@pytest.mark.parametrize(
    ("name", "volume", "share"),
    # The tester's 60 mL in 5.6 L, and in 3 L where nobody typed the volume (common practice).
    [("vacuum", 5.6e-3, 60.0 / 5600.0), ("vacuum", None, 0.02), ("dry air", None, 0.02)],
)
def test_the_testers_own_fall_is_part_of_the_error(
    name: str, volume: float | None, share: float
) -> None:
    hold = replace(ALL[name], evacuated_volume=volume)
    plain, leaky = half(seen(hold).rate), half(seen(hold, self_leak=400.0).rate)
    assert math.sqrt(leaky**2 - plain**2) / 1.96 == pytest.approx(400.0 * share, rel=1e-6)


def test_the_testers_own_fall_of_a_filled_system() -> None:
    # 0.3 mL/kPa of tester (common practice) in 1 mL/kPa.
    plain, leaky = half(seen(HOLD).rate), half(seen(HOLD, self_leak=20.0).rate)
    assert math.sqrt(leaky**2 - plain**2) / 1.96 == pytest.approx(20.0 * 0.3, rel=1e-6)
