"""What a hold asks for next: more time, the next reading; each told by arithmetic of its own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.hold.holds import LITRE_PER_1000_KM, ML_PER_KPA, minutes, readings
from tests.hold.test_hold_judge import SHARP, rate_for
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Compliance, Hold, Reading
from weeptrace.hold.judge import Evidence, judge, time_to_minimum
from weeptrace.hold.looks import look_factor, next_reading, on_pace
from weeptrace.rules import limits

LIMITS = limits()


def evidence(litres: float, sd: float, lasting: float = 0.0) -> Evidence:
    """16 readings, one a minute; L/1000 km with its standard error, and the part that stays."""
    return replace(
        SHARP,
        rate=rate_for(litres),
        rate_sd=rate_for(sd),
        rate_sd_lasting=rate_for(lasting),
        rate_sd_without=rate_for(sd),
    )


def sd_after(sd: float, lasting: float, minutes_more: float) -> float:
    """Noise falls as 1/root I with I as N (N^2 - 1) at one reading a minute."""
    count = 16 + minutes_more
    gain = count * (count**2 - 1) / (16 * (16**2 - 1))
    return math.sqrt((sd**2 - lasting**2) / gain + lasting**2)


@pytest.mark.parametrize(
    ("litres", "sd", "edge", "word"),
    [
        (4.5, 0.4, 5.0, "leaking_or_gross"),
        (5.4, 0.4, 5.0, "leaking_or_gross"),
        (0.35, 0.05, 0.3, "seeping_or_leaking"),
        (0.27, 0.03, 0.3, "seeping_or_leaking"),
    ],
)
def test_between_two_classes_until_one_is_left(
    litres: float, sd: float, edge: float, word: str
) -> None:
    found = judge(evidence(litres, sd, 0.1 * sd), LIMITS)
    assert found.verdict == word
    assert found.more_time is not None
    more = found.more_time / 60.0
    assert more == round(more) >= 1
    assert 1.96 * sd_after(sd, 0.1 * sd, more) < abs(litres - edge)
    assert more == 1 or 1.96 * sd_after(sd, 0.1 * sd, more - 1) >= abs(litres - edge)


@pytest.mark.parametrize(("litres", "sd"), [(0.0, 0.5), (0.2, 0.3), (-0.2, 0.3)])
def test_without_a_claim_until_the_bound_is_in_the_next_class_or_there_is_a_claim(
    litres: float, sd: float
) -> None:
    # The bound now, max(Q, 0) + 1.645 u, is above 0.3: until below, or until Q > 1.645 u.
    found = judge(evidence(litres, sd), LIMITS)
    assert found.verdict == "no_leak_found"
    assert max(litres, 0.0) + 1.645 * sd > 0.3
    assert found.more_time is not None

    def told(minutes_more: float) -> bool:
        later = sd_after(sd, 0.0, minutes_more)
        return litres > 1.645 * later or max(litres, 0.0) + 1.645 * later <= 0.3

    more = found.more_time / 60.0
    assert told(more)
    assert not told(more - 1)


def test_below_the_seeping_limit_until_tight() -> None:
    found = judge(evidence(0.0, 0.05), LIMITS)
    assert found.more_time is not None
    more = found.more_time / 60.0
    assert 1.645 * sd_after(0.05, 0.0, more) <= 0.03 < 1.645 * sd_after(0.05, 0.0, more - 1)


def test_too_insensitive_until_a_gross_leak_would_show() -> None:
    found = judge(evidence(0.0, 4.0), LIMITS)
    assert found.reason is not None
    assert found.reason.code == "too_insensitive"
    assert found.more_time is not None
    more = found.more_time / 60.0
    assert 1.645 * sd_after(4.0, 0.0, more) <= 5.0 < 1.645 * sd_after(4.0, 0.0, more - 1)


def test_an_uncertain_compliance_is_no_matter_of_time() -> None:
    # A leak of 4.5 with a compliance known to 10 % spans 5.0 for good.
    sure = evidence(4.5, 0.4)
    assert judge(sure, LIMITS).more_time is not None
    assert judge(replace(sure, compliance_sd=0.1 * ML_PER_KPA), LIMITS).more_time is None


def test_the_owners_third_is_reached() -> None:
    good = replace(evidence(0.0, 0.05), owner_rate=0.3 * LITRE_PER_1000_KM)
    assert judge(good, LIMITS).more_time is None
    weak = replace(evidence(0.0, 0.1), owner_rate=0.3 * LITRE_PER_1000_KM)
    found = judge(weak, LIMITS)
    assert found.verdict == "too_weak"
    assert found.more_time is not None
    more = found.more_time / 60.0
    assert 1.645 * sd_after(0.1, 0.0, more) <= 0.1 < 1.645 * sd_after(0.1, 0.0, more - 1)


@pytest.mark.parametrize(
    ("count", "span", "expected"),
    [
        (3, 120.0, 120.0),  # 4 min at the least: two more
        (3, 230.0, 120.0),  # two readings are missing, at a minute each though they came slower
        (4, 300.0, 60.0),
        (4, 45.0, 195.0),
        (9, 120.0, 120.0),
        (1, 0.0, 240.0),
    ],
)
def test_time_to_enough_readings(count: int, span: float, expected: float) -> None:
    assert time_to_minimum(count, span, LIMITS) == pytest.approx(expected)


@pytest.mark.parametrize("compliance", [ML_PER_KPA, None])
def test_too_few_readings_say_how_long(compliance: float | None) -> None:
    few = replace(evidence(0.0, 0.05), readings=4, span=180.0, compliance=compliance)
    found = judge(few, LIMITS)
    assert found.verdict == "not_judged"
    assert found.more_time == pytest.approx(60.0)
    warm = replace(few, warm_unlogged=True, readings=16, span=900.0)
    assert judge(warm, LIMITS).more_time is None


# --- looks ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "boundary"),
    # Between 15, 30 and 60 min evenly in the logarithm: by hand.
    [(1200.0, 2.35 + 0.03 * math.log(4 / 3) / math.log(2)), (2700.0, 2.38 + 0.06 * math.log2(1.5))],
)
def test_the_boundary_between_two_durations(length: float, boundary: float) -> None:
    count = round(length / 60.0) + 1
    assert look_factor(length, length, count, LIMITS) == pytest.approx(boundary)
    # Half way: I = N (N^2 - 1)/12 of half the intervals.
    half = (count - 1) // 2 + 1
    gain = count * (count**2 - 1) / (half * (half**2 - 1))
    expected = min(boundary * gain**0.2, 3.2)
    assert look_factor(length, length / 2.0, half, LIMITS) == pytest.approx(expected)


@pytest.mark.parametrize(("span", "count"), [(0.0, 5), (60.0, 1)])
def test_a_first_look_has_no_boundary_yet(span: float, count: int) -> None:
    assert look_factor(900.0, span, count, LIMITS) == 1.645


@pytest.mark.parametrize(
    ("span", "litres", "pace"),
    [
        (0.0, None, 15.0),
        (44.0, 0.1, 15.0),
        (45.0, 0.1, 60.0),
        (45.0, None, 60.0),
        (45.0, 5.1, 15.0),
        (45.0, 4.9, 60.0),
        (299.0, 5.1, 15.0),
        (300.0, 5.1, 60.0),
    ],
)
def test_often_at_first_and_while_it_may_be_gross(
    span: float, litres: float | None, pace: float
) -> None:
    upper = None if litres is None else litres * LITRE_PER_1000_KM
    assert next_reading(span, upper, LIMITS) == pace


@pytest.mark.parametrize(
    ("last", "due"), [(0.0, 15.0), (8.0, 15.0), (10.0, 30.0), (15.0, 30.0), (16.0, 30.0)]
)
def test_the_next_reading_is_due_at_a_whole_pace(last: float, due: float) -> None:
    # Late by up to six tenths of the pace it stays with the next whole one, later it skips one.
    assert on_pace(last, 15.0) == due


def test_a_hold_asks_for_its_next_reading_by_its_bound() -> None:
    flat = [(k / 4, 100.0) for k in range(5)]
    coarse = Hold(readings(flat), 5e3, stored=Compliance(5 * ML_PER_KPA))
    found = assess(coarse, LIMITS)
    assert found.not_larger_than is not None
    assert found.not_larger_than > 5.0 * LITRE_PER_1000_KM
    assert found.next_reading == 15.0
    long = replace(coarse, readings=readings((k, 100.0) for k in range(16)))
    assert assess(long, LIMITS).next_reading == 60.0
    none = Hold((Reading(0.0, 100e3),), 2e3)
    assert assess(none, LIMITS).next_reading == 15.0
    assert assess(Hold((), 2e3), LIMITS).next_reading == 15.0


def test_a_slope_needs_the_times_apart() -> None:
    # Any order of the readings is the same hold.
    seen = readings((k, 100.0 - 0.1 * k) for k in range(16))
    hold = Hold(seen, 2e3, stored=Compliance(ML_PER_KPA))
    turned = replace(hold, readings=tuple(reversed(seen)))
    assert assess(turned, LIMITS) == assess(hold, LIMITS)
    assert len(minutes(16)) == len(seen)
