"""A vacuum that is too short, too poor or unreadable, and what stays unknown."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.hold.drained import (
    AFTER,
    CHOKED,
    FIRST,
    PLACE,
    hold_of,
    practice,
)
from tests.hold.holds import minutes, readings
from tests.simulated_vacuum import ML_PER_MIN, Drained
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, Hold, Strokes
from weeptrace.rules import limits


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


def test_order_of_readings_changes_nothing() -> None:
    hold = practice(FIRST)
    mixed = list(hold.readings)
    random.Random(3).shuffle(mixed)
    assert assess(replace(hold, readings=tuple(mixed)), limits()) == assess(hold, limits())


def test_what_is_assumed_is_said() -> None:
    bare = Hold(readings(FIRST), 1e3, "vacuum")
    found = assess(bare, limits())
    assert found.assumed == ("altitude", "strength", "stored_volume", "rated", "temperature")
    assert assess(practice(FIRST), limits()).assumed == ()


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
