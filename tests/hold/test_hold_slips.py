"""Slips of the hand: Huber's weights and readings left out, against the same by numpy."""

from __future__ import annotations

import math

import numpy
import pytest

from tests.hold.straight import fitted

TIMES = [float(t) for t in range(16)]
FALL = 0.3  # divisions a minute


def line(**slips: float) -> list[float]:
    """An exact fall with some readings off, by ``r5=1.2`` divisions."""
    return [50.0 - FALL * t + slips.get(f"r{t:.0f}", 0.0) for t in TIMES]


def huber(seen: list[float], scale: float) -> float:
    """Fall by iterated least squares with weights 1.5 scale/|r| (Huber 1964), by numpy."""
    weights = numpy.ones(len(TIMES))
    slope = level = 0.0
    for _ in range(400):
        slope, level = numpy.polyfit(TIMES, seen, 1, w=numpy.sqrt(weights))
        off = numpy.abs(numpy.array(seen) - level - slope * numpy.array(TIMES))
        weights = numpy.minimum(1.0, 1.5 * scale / numpy.maximum(off, 1e-12))
    return -float(slope)


@pytest.mark.parametrize("where", [2, 8, 15])
@pytest.mark.parametrize("by", [1.4, -3.0, 40.0])
def test_a_reading_that_is_far_off_is_named_and_counts_for_nothing(where: int, by: float) -> None:
    full = fitted(TIMES, line(**{f"r{where}": by}))
    assert full.suspects == (where,)
    assert full.fit.values[0] == pytest.approx(FALL, abs=1e-6)
    # Only the other fifteen tell the error: sigma/sqrt(sum (t - tb)^2).
    others = numpy.array([t for t in TIMES if t != where])
    spread = float(((others - others.mean()) ** 2).sum())
    sd = math.sqrt(full.covariance[0][0])
    assert sd == pytest.approx(full.noise / math.sqrt(spread), rel=1e-3)


@pytest.mark.parametrize("by", [0.8, 0.95])
def test_a_reading_somewhat_off_counts_for_less(by: float) -> None:
    # Beyond 1.5 times the usual 0.3 division, below 3.5 times it: neither named nor left out.
    seen = line(r15=by)
    full = fitted(TIMES, seen)
    assert full.suspects == ()
    # Weights are renewed until none moves by a twentieth: most of the way from the plain line.
    plain, robust = -float(numpy.polyfit(TIMES, seen, 1)[0]), huber(seen, 0.3)
    assert abs(robust - plain) > 1e-3
    assert abs(full.fit.values[0] - robust) < 0.35 * abs(plain - robust)


def test_readings_within_the_usual_scatter_all_count_alike() -> None:
    seen = line(r3=0.3, r7=-0.3, r15=0.35)
    full = fitted(TIMES, seen)
    assert full.weights == (1.0,) * 16
    plain = -float(numpy.polyfit(TIMES, seen, 1)[0])
    assert full.fit.values[0] == pytest.approx(plain, abs=1e-5)


def test_a_fifth_may_be_left_out_and_no_more() -> None:
    # 3 of 16 are; 4 of 16, a quarter, are named but kept: then it is no longer clear who is right.
    three = fitted(TIMES, line(r1=5.0, r6=-5.0, r12=5.0))
    assert three.suspects == (1, 6, 12)
    assert three.fit.values[0] == pytest.approx(FALL, abs=1e-6)
    four = fitted(TIMES, line(r1=5.0, r6=-5.0, r12=5.0, r14=5.0))
    assert four.suspects == (1, 6, 12, 14)
    assert abs(four.fit.values[0] - FALL) > 1e-3
    assert min(four.weights) > 0.01


def test_where_all_scatter_more_none_is_a_slip() -> None:
    # The scale is the readings' own where that is larger: 1.4826 median |r| (normal tables).
    rng = numpy.random.default_rng(31)
    for _ in range(20):
        seen = [p + float(rng.normal(0.0, 1.5)) for p in line()]
        full = fitted(TIMES, seen)
        plain = numpy.polyfit(TIMES, seen, 1)
        off = numpy.abs(numpy.array(seen) - numpy.polyval(plain, TIMES))
        scale = 1.4826 * float(numpy.median(off))
        assert all(off[k] > 2.5 * scale for k in full.suspects)
        if off.max() < 2.5 * scale:
            assert full.suspects == ()
