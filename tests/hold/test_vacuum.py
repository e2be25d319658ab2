"""A vacuum's reach, its leak-up, and what it says as liquid."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.hold.drained import HALF, favoured, hold_of
from tests.hold.holds import KPA_PER_MIN, LITRE_PER_1000_KM, minutes, readings
from tests.simulated_vacuum import ML_PER_MIN, Drained, raoult
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, Assessment, EvacuatedVolume, Hold, Strokes
from weeptrace.properties import air
from weeptrace.rules import limits

CHOKED = 198.6  # m/s of air at the atmosphere through a choked opening at 20 °C
PASSES = ("no_leak_found",)
CLAIMS = ("seeping", "seeping_or_leaking", "leaking", "leaking_or_gross", "gross")

# A practice car at 1900 m, 5.6 L, 15 °C: the plug of the new radiator without its seal ring.
FIRST = [
    (0, -72.5),
    (1, -70.1),
    (2, -67.7),
    (3, -65.3),
    (5, -60.5),
    (8, -53.3),
    (10, -48.5),
    (14, -38.9),
    (18, -29.4),
    (22, -20.4),
]
AFTER = [(0, -72.5), (1, -72.1), (2, -71.9), (3, -71.9), (4, -71.9)]
PLACE = air.pressure(1900.0)


def practice(seen: list[tuple[float, float]], division: float = 1e3) -> Hold:
    return Hold(
        readings(seen),
        division,
        "vacuum",
        "air",
        rated=110e3,
        atmosphere=PLACE,
        evacuated_volume=5.6e-3,
        engine_temperature=288.15,
        mass_fraction=HALF,
    )


def claims(found: Assessment) -> bool:
    return found.verdict in CLAIMS or found.verdict == "leak_size_unknown"


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


@pytest.mark.parametrize(("share", "reached"), [(0.149, True), (0.15, True), (0.151, False)])
def test_the_residual_limit(share: float, reached: bool) -> None:
    box = Drained(start=share * 101325.0)
    hold = replace(hold_of(box, minutes(11)), atmosphere=101325.0)
    seen = tuple(replace(r, pressure=(share - 1.0) * 101325.0) for r in hold.readings)
    found = assess(replace(hold, readings=seen), limits())
    assert found.residual_fraction == pytest.approx(share)
    assert (found.verdict == "no_leak_found") is reached
    if not reached:
        assert found.verdict == "not_judged"
        assert found.reason is not None
        assert found.reason.code == "not_reached"
        assert "15 %" in found.reason.message


def test_the_altitude_is_asked_for_where_it_may_be_the_reason() -> None:
    # 72.5 kPa is all that 1900 m allows, and a poor vacuum at sea level.
    steady = replace(practice([(k, -72.5) for k in range(11)]), atmosphere=None)
    found = assess(steady, limits())
    assert "altitude" in found.assumed
    assert found.reason is not None
    assert found.reason.code == "not_reached"
    assert "altitude" in found.reason.message


def test_a_leak_is_claimed_though_the_vacuum_was_not_reached() -> None:
    box = Drained(start=40e3, orifice=300.0 * ML_PER_MIN / CHOKED)
    found = assess(hold_of(box, minutes(8)), limits())
    assert found.verdict == "gross"
    assert found.residual_fraction == pytest.approx(0.395, abs=0.001)


@pytest.mark.parametrize(
    ("count", "step", "code"),
    [(2, 60.0, "too_few_readings"), (4, 80.0, "too_few_readings"), (5, 59.0, "too_short")],
)
def test_too_few_or_too_short(count: int, step: float, code: str) -> None:
    found = assess(hold_of(Drained(), [step * k for k in range(count)]), limits())
    assert found.verdict == "not_judged"
    assert found.reason is not None
    assert found.reason.code == code
    assert found.more_time is not None
    assert found.more_time > 0.0


def test_just_enough_readings_and_time() -> None:
    assert assess(hold_of(Drained(), minutes(5)), limits()).verdict == "no_leak_found"


def test_minima_do_not_bind_a_leak() -> None:
    box = Drained(orifice=1500.0 * ML_PER_MIN / CHOKED)
    found = assess(hold_of(box, [0.0, 20.0, 40.0, 60.0]), limits())
    assert found.verdict == "gross"


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


def test_unknown_volume() -> None:
    leaks = assess(replace(practice(FIRST), evacuated_volume=None), limits())
    assert leaks.verdict == "leak_size_unknown"
    assert leaks.air_flow is None
    assert leaks.leak_flow is None
    assert leaks.not_larger_than is None
    assert leaks.rate is not None
    still = assess(replace(practice(AFTER), evacuated_volume=None), limits())
    assert still.verdict == "not_judged"
    assert still.reason is not None
    assert still.reason.code == "volume_unknown"
    # Pump strokes say nothing of a drained system.
    strokes = replace(practice(FIRST), evacuated_volume=None, stored=Strokes(5, 40e-6))
    assert assess(strokes, limits()).verdict == "leak_size_unknown"


def test_a_hold_that_could_not_see_a_gross_leak() -> None:
    box = Drained(volume=40e-3)
    found = assess(hold_of(box, minutes(5), division=4e3), limits())
    assert found.verdict == "not_judged"
    assert found.reason is not None
    assert found.reason.code == "air_too_insensitive"


def test_a_vacuum_that_deepens() -> None:
    found = assess(practice([(k, -70 - 0.2 * k) for k in range(11)], 200.0), limits())
    assert found.verdict == "not_judged"
    assert found.reason is not None
    assert found.reason.code == "deepening"


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        ([], "too_few_readings"),
        ([(0, -70)], "too_few_readings"),
        ([(0, -70), (1, -69), (1, -68)], "repeated_time"),
        ([(0, -70), (1, float("nan"))], "not_finite"),
        ([(0, -72.5), (1, 70.1), (2, -67)], "mixed_signs"),
        ([(0, -80.6), (1, -70), (2, -70)], "deeper_than_atmosphere"),
        ([(0, -120), (1, -119), (2, -118)], "deeper_than_atmosphere"),
        ([(0, -2.9), (1, -2), (2, -2)], "no_vacuum"),
        ([(0, 0), (1, 0), (2, 0)], "no_vacuum"),
    ],
)
def test_readings_that_cannot_be_judged(seen: list[tuple[float, float]], code: str) -> None:
    found = assess(practice(seen), limits())
    assert found.verdict == "not_judged"
    assert found.reason is not None
    assert found.reason.code == code
    assert found.reason.message.endswith(".")


def test_as_deep_as_the_atmosphere_is_read() -> None:
    seen = [(float(k), -PLACE / 1e3) for k in range(11)]
    found = assess(practice(seen), limits())
    assert found.residual_fraction == pytest.approx(0.0, abs=1e-9)
    assert found.verdict == "no_leak_found"


# A first reading that is too deep is not among these: that is what fast settling looks like.
@pytest.mark.parametrize(
    ("place", "slip"), [(0, 8.0), (3, 8.0), (3, -6.0), (7, 8.0), (7, -6.0), (10, 8.0), (10, -6.0)]
)
def test_one_slip_is_named(place: int, slip: float) -> None:
    seen = [(float(k), -72.0) for k in range(11)]
    seen[place] = (float(place), seen[place][1] + slip)
    found = assess(practice(seen), limits())
    assert found.suspect_readings == (place,)
    assert found.verdict == "no_leak_found"


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


def test_order_of_readings_changes_nothing() -> None:
    hold = practice(FIRST)
    mixed = list(hold.readings)
    random.Random(3).shuffle(mixed)
    assert assess(replace(hold, readings=tuple(mixed)), limits()) == assess(hold, limits())


def test_a_tester_that_leaks_itself_and_an_early_look_blunt_the_hold() -> None:
    plain = assess(practice(AFTER), limits())
    leaky = assess(replace(practice(AFTER), self_leak=5e3 / 60.0), limits())
    assert plain.not_larger_than is not None
    assert leaky.not_larger_than is not None
    assert leaky.not_larger_than > 1.01 * plain.not_larger_than
    early = assess(replace(practice(AFTER), planned=900.0), limits())
    assert early.look_factor == 5.0
    assert early.curve[-1].time == 900.0


def test_what_is_assumed_is_said() -> None:
    bare = Hold(readings(FIRST), 1e3, "vacuum")
    found = assess(bare, limits())
    assert found.assumed == ("altitude", "strength", "stored_volume", "rated", "temperature")
    assert assess(practice(FIRST), limits()).assumed == ()


# Seeded, small: 40 holds of 10 min of each sort, divisions of 0.5 to 2 kPa, 0 to 2500 m, 3 to 14 L.
def _drawn(rng: random.Random, flow: float, celsius: float, capillary: bool = False) -> Drained:
    altitude = rng.uniform(0.0, 2500.0)
    outside = Drained(altitude=altitude).atmosphere()
    wet = raoult(celsius)
    return Drained(
        volume=rng.uniform(3e-3, 14e-3),
        start=rng.uniform(0.08, 0.13) * outside,
        altitude=altitude,
        temperature=273.15 + celsius,
        orifice=0.0 if capillary else flow / CHOKED,
        capillary=2.0 * 1.81e-5 * flow / outside if capillary else 0.0,
        vapour_pressure=wet,
        vapour_start=rng.uniform(0.4, 1.0) * wet,
        vapour_time=rng.uniform(100.0, 400.0),
        give=rng.uniform(0.0, 1500.0),
        give_time=rng.uniform(30.0, 70.0),
    )


def _many(flow: float, celsius: float, capillary: bool = False) -> list[tuple[Drained, Assessment]]:
    made = []
    for seed in range(40):
        rng = random.Random(seed)
        box = _drawn(rng, flow, celsius, capillary)
        hold = hold_of(box, minutes(11), division=rng.choice([500.0, 1e3, 2e3]), rng=rng)
        made.append((box, assess(hold, limits())))
    return made


@pytest.mark.parametrize("celsius", [10.0, 20.0])
def test_false_claims_are_rare(celsius: float) -> None:
    found = [a for _, a in _many(0.0, celsius)]
    # Nominally 5 %: 2 of 40; more than 6 has a chance of 1 %.
    assert sum(map(claims, found)) <= 6
    assert sum(a.verdict in PASSES for a in found) >= 30


@pytest.mark.parametrize("capillary", [False, True])
def test_real_leaks_are_claimed_and_covered(capillary: bool) -> None:
    found = _many(150.0 * ML_PER_MIN, 15.0, capillary)
    assert sum(claims(a) for _, a in found) >= 38
    assert all(a.verdict not in PASSES for _, a in found)
    covered = 0
    for box, a in found:
        assert a.air_flow is not None
        covered += a.air_flow.low <= box.air_inflow() <= a.air_flow.high
    # Nominally 95 %: below 34 of 40 has a chance of 1 %.
    assert covered >= 34


def test_the_smallest_detectable_is_detected() -> None:
    # What such a hold says it would flag with 95 % chance, it flags: the same holds, that leak.
    seen = 0
    for seed in range(40):
        rng = random.Random(seed)
        division = rng.choice([500.0, 1e3, 2e3])
        box = replace(_drawn(rng, 0.0, 15.0), give=500.0)
        other = random.Random(seed + 500)
        tight = assess(hold_of(box, minutes(16), division=division, rng=other), limits())
        assert tight.smallest_detectable_flow is not None
        flow = tight.smallest_detectable_flow * 14.3  # liquid -> air, orifice at 100 kPa
        leaks = replace(box, orifice=flow / CHOKED)
        seen += claims(assess(hold_of(leaks, minutes(16), division=division, rng=rng), limits()))
    # Nominally 38; below 34 has a chance of 1 %.
    assert seen >= 34


@settings(max_examples=60, deadline=None)
@given(
    kind=st.sampled_from(["vacuum", "pressure"]),
    seen=st.lists(st.tuples(st.integers(0, 4000), st.floats(-130.0, 130.0, width=32)), max_size=14),
    division=st.sampled_from([10.0, 1e3, 5e3]),
    place=st.sampled_from([None, 101325.0, 55e3]),
    volume=st.sampled_from([None, 1e-3, 6e-3]),
    engine=st.sampled_from([None, 253.15, 288.15, 380.0]),
    pumped=st.sampled_from([None, 100.0]),
)
def test_any_readings_get_an_answer(
    kind: str,
    seen: list[tuple[int, float]],
    division: float,
    place: float | None,
    volume: float | None,
    engine: float | None,
    pumped: float | None,
) -> None:
    hold = Hold(
        readings([(t / 60.0, p) for t, p in seen]),
        division,
        kind,
        "air",
        atmosphere=place,
        evacuated_volume=volume,
        engine_temperature=engine,
        actions=() if pumped is None else (Action("pumped", pumped),),
    )
    found = assess(hold, limits())
    assert found.verdict not in ("tight", "too_weak")
    assert (found.reason is not None) is (found.verdict == "not_judged")
    if found.explanations:
        assert sum(found.explanations.values()) == pytest.approx(1.0)


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
