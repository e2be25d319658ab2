"""A vacuum's reach, its leak-up, and what it says as liquid."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.hold.drained import (
    AFTER,
    CHOKED,
    FIRST,
    HALF,
    PLACE,
    claims,
    favoured,
    hold_of,
    practice,
)
from tests.hold.holds import KPA_PER_MIN, LITRE_PER_1000_KM, minutes, readings
from tests.simulated_vacuum import ML_PER_MIN, Drained, raoult
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, EvacuatedVolume, Hold
from weeptrace.rules import limits


@pytest.mark.parametrize("division", [200.0, 500.0, 1000.0, 2000.0])
def test_practice_leak_up(division: float) -> None:
    found = assess(practice(FIRST, division), limits())
    assert found.verdict == "gross"
    assert favoured(found) == "air_leak"
    assert found.rate is not None
    assert found.rate.value / KPA_PER_MIN == pytest.approx(2.4, abs=0.05)
    assert found.air_flow is not None
    assert found.air_flow.value / ML_PER_MIN == pytest.approx(167, abs=5)
    assert found.liquid_equivalent is not None
    assert found.liquid_equivalent.orifice.value / ML_PER_MIN == pytest.approx(12, abs=0.6)
    assert found.leak_flow is not None
    assert found.leak_flow.low <= found.liquid_equivalent.laminar.low
    assert found.leak_flow.value == found.liquid_equivalent.orifice.value
    assert found.residual_fraction == pytest.approx(0.099, abs=0.001)
    assert found.suspect_readings == ()
    assert sum(found.explanations.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("division", [200.0, 500.0, 1000.0, 2000.0])
def test_practice_after_the_fix(division: float) -> None:
    found = assess(practice(AFTER, division), limits())
    assert found.verdict == "no_leak_found"
    assert found.explanations["air_leak"] + found.explanations["both"] < 0.35
    if division <= 500.0:
        assert favoured(found) == "settling"
        assert found.explanations["tight"] < 0.01
    assert found.rate is not None
    assert found.rate.low < 0.0 < found.rate.high
    assert found.not_larger_than is not None
    assert found.smallest_detectable is not None
    assert 0.0 < found.not_larger_than < found.smallest_detectable


def test_best_vacuum_by_place_and_engine() -> None:
    cold = assess(practice(FIRST), limits()).best_vacuum
    assert cold is not None
    assert cold.value == pytest.approx(-72.5e3, abs=200)
    assert cold.low == pytest.approx(-0.92 * PLACE)
    assert cold.high == pytest.approx(-0.85 * PLACE)
    # Common practice: at 80 °C not below 36 kPa absolute, at 60 °C not below 15.
    for celsius, kpa in ((80, 36), (60, 15)):
        hot = replace(practice(FIRST), engine_temperature=273.15 + celsius)
        best = assess(hot, limits()).best_vacuum
        assert best is not None
        assert (best.low + PLACE) / 1e3 == pytest.approx(kpa, abs=0.5)


def test_either_sign_is_the_same_vacuum() -> None:
    below = assess(practice(FIRST), limits())
    above = assess(practice([(t, -p) for t, p in FIRST]), limits())
    assert above.verdict == below.verdict
    assert above.rate == below.rate
    assert above.air_flow == below.air_flow
    assert [p.pressure for p in above.curve] == [-p.pressure for p in below.curve]
    assert all(p.low < p.pressure < p.high for p in (*above.curve, *below.curve))
    assert above.target == pytest.approx(72.5e3)
    assert below.target == pytest.approx(-72.5e3)


def test_common_practice_figures() -> None:
    # 6 L at sea level, 1 kPa in 10 min: 5.9 mL/min of air, 0.41 (orifice) and 0.27 (laminar, hot)
    # mL/min of liquid at 100 kPa: 0.4 to 0.6 L/1000 km.
    seen = [(k, -91.3 + 0.1 * k) for k in range(61)]
    hold = Hold(
        readings(seen),
        50.0,
        "vacuum",
        atmosphere=101325.0,
        stored=EvacuatedVolume(6e-3),
        engine_temperature=288.15,
        mass_fraction=HALF,
        rated=100e3,
    )
    found = assess(hold, limits())
    assert found.air_flow is not None
    assert found.liquid_equivalent is not None
    assert found.air_flow.value / ML_PER_MIN == pytest.approx(5.9, rel=0.04)
    assert found.liquid_equivalent.orifice.value / ML_PER_MIN == pytest.approx(0.41, rel=0.05)
    assert found.liquid_equivalent.laminar.value / ML_PER_MIN == pytest.approx(0.27, rel=0.05)
    assert found.verdict == "leaking"


@pytest.mark.parametrize("altitude", [0.0, 1900.0, 3000.0])
@pytest.mark.parametrize("volume", [3e-3, 6e-3, 14e-3])
@pytest.mark.parametrize("shape", ["orifice", "capillary"])
def test_an_air_leak_over_altitude_and_volume(altitude: float, volume: float, shape: str) -> None:
    flow = 60.0 * ML_PER_MIN
    outside = Drained(altitude=altitude).atmosphere()
    size = (
        {"orifice": flow / CHOKED}
        if shape == "orifice"
        else {"capillary": 2.0 * 1.81e-5 * flow / outside}
    )
    box = Drained(volume=volume, start=0.1 * outside, altitude=altitude, **size)
    found = assess(hold_of(box, minutes(16), division=500.0), limits())
    assert found.verdict in ("leaking_or_gross", "gross", "leaking")
    assert favoured(found) == "air_leak"
    assert found.air_flow is not None
    assert found.air_flow.value == pytest.approx(box.air_inflow(), rel=0.06)
    assert found.air_flow.low < box.air_inflow() < found.air_flow.high


def test_the_subsonic_part_belongs_to_the_same_leak() -> None:
    # 40 min from 8 to 80 kPa absolute: straight, then bending; one rate.
    box = Drained(start=8e3, orifice=135.0 * ML_PER_MIN / CHOKED)
    hold = hold_of(box, minutes(41), division=500.0)
    assert hold.readings[-1].pressure > -0.4 * box.atmosphere()
    found = assess(hold, limits())
    assert favoured(found) == "air_leak"
    assert found.suspect_readings == ()
    assert found.air_flow is not None
    assert found.air_flow.value == pytest.approx(box.air_inflow(), rel=0.02)
    for point in found.curve:
        assert point.pressure == pytest.approx(box.gauge_at([point.time])[0], abs=300.0)


def test_vapour_bends_and_stops() -> None:
    box = Drained(
        start=8e3,
        temperature=333.15,
        vapour_pressure=raoult(60.0),
        vapour_start=7e3,
        vapour_time=200.0,
    )
    found = assess(hold_of(box, minutes(21), division=500.0), limits())
    assert favoured(found) == "vapour"
    assert not claims(found)
    assert found.rate is not None
    assert found.rate.low < 0.0 < found.rate.high


def test_vapour_and_air() -> None:
    box = Drained(
        start=8e3,
        temperature=333.15,
        vapour_pressure=raoult(60.0),
        vapour_start=5e3,
        vapour_time=150.0,
        orifice=60.0 * ML_PER_MIN / CHOKED,
    )
    found = assess(hold_of(box, minutes(26), division=500.0), limits())
    assert favoured(found) == "both"
    assert found.verdict in ("leaking", "leaking_or_gross")
    assert found.air_flow is not None
    assert found.air_flow.value == pytest.approx(60.0 * ML_PER_MIN, rel=0.2)


def test_nothing_moves() -> None:
    found = assess(hold_of(Drained(), minutes(11)), limits())
    assert found.verdict == "no_leak_found"
    assert favoured(found) == "tight"
    assert found.noise is not None
    assert found.noise >= 150.0


def test_never_tight_however_long() -> None:
    found = assess(hold_of(Drained(volume=1e-3), minutes(241), division=20.0), limits())
    assert found.verdict == "no_leak_found"
    assert found.not_larger_than is not None
    assert found.not_larger_than < 0.03 * LITRE_PER_1000_KM


def test_a_leak_below_all_classes_is_still_a_leak() -> None:
    # 0.2 mL/min of air, 0.014 of liquid: seen by a fine gauge in four hours, never called tight.
    box = Drained(volume=1e-3, orifice=0.2 * ML_PER_MIN / CHOKED)
    assert assess(hold_of(box, minutes(241), division=20.0), limits()).verdict == "seeping"


def test_a_leak_is_claimed_though_the_vacuum_was_not_reached() -> None:
    box = Drained(start=40e3, orifice=300.0 * ML_PER_MIN / CHOKED)
    found = assess(hold_of(box, minutes(8)), limits())
    assert found.verdict == "gross"
    assert found.residual_fraction == pytest.approx(0.395, abs=0.001)


@pytest.mark.parametrize("step", [20.0, 60.0])
def test_all_gone_within_a_minute(step: float) -> None:
    box = Drained(volume=3e-3, orifice=6e-3 / 60.0 / CHOKED)
    found = assess(hold_of(box, [step * k for k in range(8)]), limits())
    assert found.verdict == "gross"
    assert assess(
        replace(hold_of(box, [step * k for k in range(8)]), evacuated_volume=None), limits()
    ).verdict == "gross"  # fmt: skip


def test_all_gone_between_two_readings() -> None:
    seen = [(0, -90), (10, 0), (20, 0), (30, 0), (40, 0)]
    found = assess(replace(practice(seen), atmosphere=None, evacuated_volume=None), limits())
    assert found.verdict == "leak_size_unknown"


def test_a_hold_that_could_not_see_a_gross_leak() -> None:
    box = Drained(volume=40e-3)
    found = assess(hold_of(box, minutes(5), division=4e3), limits())
    assert found.verdict == "not_judged"
    assert found.reason is not None
    assert found.reason.code == "air_too_insensitive"


def test_pumped_again_in_between() -> None:
    box = Drained(start=8e3, orifice=60.0 * ML_PER_MIN / CHOKED)
    up = [p / 1e3 for p in box.gauge_at(minutes(7))]
    seen = [*enumerate(up), *((k + 8.0, p) for k, p in enumerate(up))]
    told = replace(
        practice(seen),
        atmosphere=101325.0,
        evacuated_volume=6e-3,
        actions=(Action("pumped", 7.5 * 60.0),),
    )
    found = assess(told, limits())
    assert found.air_flow is not None
    assert found.air_flow.value == pytest.approx(60.0 * ML_PER_MIN, rel=0.08)
    assert found.suspect_readings == ()


def test_a_tester_that_leaks_itself_and_an_early_look_blunt_the_hold() -> None:
    plain = assess(practice(AFTER), limits())
    leaky = assess(replace(practice(AFTER), self_leak=5e3 / 60.0), limits())
    assert plain.not_larger_than is not None
    assert leaky.not_larger_than is not None
    assert leaky.not_larger_than > 1.01 * plain.not_larger_than
    early = assess(replace(practice(AFTER), planned=900.0), limits())
    assert early.look_factor is not None
    assert early.look_factor > 3.0
    assert early.curve[-1].time == 900.0


@pytest.mark.parametrize(
    ("liquid", "verdict"),
    [(0.5, "leaking"), (2.9, "leaking_or_gross"), (3.5, "leaking_or_gross"), (20.0, "gross")],
)
def test_classes_by_the_liquid_equivalent(liquid: float, verdict: str) -> None:
    # mL/min of liquid through the orifice at 100 kPa; 3.33 is the limit of gross.
    box = Drained(volume=3e-3, orifice=14.3 * liquid * ML_PER_MIN / CHOKED)
    found = assess(hold_of(box, minutes(31), division=100.0), limits())
    assert found.verdict == verdict
    assert found.liquid_equivalent is not None
    assert found.liquid_equivalent.orifice.value / ML_PER_MIN == pytest.approx(liquid, rel=0.06)
