"""Statistics around the fit: repeated looks, more time, and the plain straight line."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from weeptrace.hold.data import Estimate

Limits = Mapping[str, float]


def slope_sd(noise: float, times: Sequence[float]) -> float:
    """Standard error of a straight line's slope: ``sigma / sqrt(sum (t - tbar)^2)``.

    ``noise`` sigma in Pa, ``times`` in s, two or more different ones; in Pa/s. Valid for
    independent readings of one noise. ``ArithmeticError`` where all times are the same.
    Source: least squares.

    Noise 0.6 kPa, 16 readings, one a minute, in kPa/min:

    >>> round(slope_sd(0.6, range(16)), 4)
    0.0325
    """
    middle = sum(times) / len(times)
    return noise / math.sqrt(sum((time - middle) ** 2 for time in times))


def slope_of(times: Sequence[float], pressures: Sequence[float]) -> float:
    """Least-squares slope in Pa/s, signed: ``sum (t - tb)(p - pb)/sum (t - tb)^2``.

    ``times`` s, two or more different ones, and ``pressures`` Pa. Valid for any readings;
    ``ArithmeticError`` where all times are the same. Source: least squares.

    >>> slope_of([0.0, 1.0, 2.0], [5.0, 4.0, 3.0])
    -1.0
    """
    middle, level = sum(times) / len(times), sum(pressures) / len(pressures)
    spread = sum((time - middle) ** 2 for time in times)
    return (
        sum((time - middle) * (p - level) for time, p in zip(times, pressures, strict=True))
        / spread
    )


def straight_fall(
    times: Sequence[float], pressures: Sequence[float], usual: float, limits: Limits
) -> Estimate | None:
    """Least-squares fall in Pa/s, positive when the pressure falls, with its 95 % interval.

    Parameters
    ----------
    times, pressures: s and Pa; fewer than three give ``None``.
    usual: noise of a reading in Pa; the scatter about the line counts where it is larger.
    limits: the ``hold.*`` limits.

    ``-slope -+ 1.96 s/sqrt(sum (t - tb)^2)``, s the larger of usual and ``sqrt(sum r^2/(N - 2))``.
    Valid where the fall is straight. ``ArithmeticError`` where all times are the same. Source:
    least squares.

    >>> from weeptrace.rules import limits
    >>> found = straight_fall([0.0, 60.0, 120.0], [100e3, 99e3, 98e3], 600.0, limits())
    >>> round(found.value * 60), round((found.high - found.value) * 60)
    (1000, 832)
    """
    count = len(times)
    if count < 3:
        return None
    middle, level = sum(times) / count, sum(pressures) / count
    slope = slope_of(times, pressures)
    left = sum(
        (p - level - slope * (time - middle)) ** 2 for time, p in zip(times, pressures, strict=True)
    )
    half = limits["hold.interval_factor"] * slope_sd(
        max(usual, math.sqrt(left / (count - 2))), times
    )
    return Estimate(-slope, -slope - half, -slope + half)


def look_factor(planned: float | None, span: float, count: int, limits: Limits) -> float:
    """Standard errors that a claim, or a bound without one, needs now.

    A single look needs 1.645. Where a duration was planned the readings are looked at as they come:
    each look needs ``c (I_max/I_k)^d`` with ``I = sum (t - tbar)^2``, c the boundary of that
    duration and d ``hold.boundary_power``. All looks together then spend less than 5 % on false
    claims, most of it late (S. K. Wang, A. A. Tsiatis, Biometrics 43 (1987) 193, from memory).
    Above the cap a claim is sure anyway. Going on after the plan is a longer plan.
    Valid for plans of 15 to 60 min, and held at those ends. No error is raised. Source: as named.

    Parameters
    ----------
    planned: planned duration in s, or ``None``.
    span: duration so far in s.
    count: number of readings so far.
    limits: the ``hold.*`` limits.

    >>> from weeptrace.rules import limits
    >>> look_factor(None, 900.0, 16, limits())
    1.645
    >>> [round(look_factor(900.0, 60.0 * k, k + 1, limits()), 2) for k in (2, 6, 15)]
    [3.2, 3.2, 2.35]
    """
    if planned is None or count < 2 or span <= 0.0:
        return limits["hold.claim_factor"]
    length = max(planned, span)
    plans = [(900.0, "15"), (1800.0, "30"), (3600.0, "60")]
    points = [(math.log(time), limits[f"hold.boundary_{name}_min"]) for time, name in plans]
    x = min(max(math.log(length), points[0][0]), points[-1][0])
    left, right = points[:2] if x <= points[1][0] else points[1:]
    boundary = left[1] + (right[1] - left[1]) * (x - left[0]) / (right[0] - left[0])
    gain = information_gain(length, span, count)
    early = math.exp(limits["hold.boundary_power"] * math.log(gain))
    return min(boundary * early, limits["hold.boundary_cap"])


def next_reading(span: float, upper: float | None, limits: Limits) -> float:
    """Seconds from the last reading to the next one.

    Often at first, while the leak may still be gross: a leak that empties the system on the way
    home is to be called within minutes. Then at the usual pace, which leaves the hands free.

    Parameters
    ----------
    span: from the first reading to the last, s.
    upper: what the leak is not larger than so far, m3/m; ``None`` where nobody can tell.
    limits: the ``hold.*`` and ``recorder.*`` limits.

    Often for ``hold.often_at_first`` always, and up to ``hold.often_at_most`` while ``upper`` is
    above ``hold.gross``. Valid for any span. No error is raised. Source: own choice.

    >>> from weeptrace.rules import limits
    >>> [next_reading(60.0 * k, 9e-9, limits()) for k in (0, 2, 5)]
    [15.0, 15.0, 60.0]
    >>> next_reading(120.0, 1e-9, limits()), next_reading(120.0, None, limits())
    (60.0, 60.0)
    """
    maybe_gross = upper is not None and upper > limits["hold.gross"]
    often = limits["hold.often_at_most" if maybe_gross else "hold.often_at_first"]
    return limits["hold.often" if span < often else "recorder.interval"]


def on_pace(last: float, pace: float) -> float:
    """When the next reading is due: at a whole ``pace``, not too soon after the ``last``; s.

    ``(floor(last/pace + 0.4) + 1) pace``. Valid from zero on. ``ArithmeticError`` at pace 0.
    Source: own choice.

    >>> [on_pace(last, 60.0) for last in (0.0, 34.0, 58.0, 65.0)]
    [60.0, 60.0, 120.0, 120.0]
    """
    return (math.floor(last / pace + 0.4) + 1) * pace


def information_gain(later: float, span: float, count: int) -> float:
    """``I`` at a ``later`` span over ``I`` now, readings going on at the same pace.

    ``I = N (N^2 - 1) h^2/12`` of N = ``count`` readings, h apart, in ``span`` s. Valid for even
    spacing; ``ArithmeticError`` below two readings. Source: the sum of squares.

    >>> round(information_gain(1800.0, 900.0, 16), 2)
    7.29
    """
    more = later / span * (count - 1) + 1.0
    return more * (more * more - 1.0) / (count * (count * count - 1.0))


def time_until(
    good: Callable[[float, float], bool],
    planned: float | None,
    span: float,
    count: int,
    limits: Limits,
) -> float | None:
    """Seconds from now until ``good(information gain, look factor)``, in whole minutes.

    ``None`` where it would take longer than ``hold.more_time``, or where no time is enough.
    Readings go on at the pace of ``count`` in ``span`` s; ``planned`` as for ``look_factor``.
    """
    pace = (count - 1) / span
    for minute in range(1, int(limits["hold.more_time"] // 60.0) + 1):
        later = span + 60.0 * minute
        factor = look_factor(planned, later, round(later * pace) + 1, limits)
        if good(information_gain(later, span, count), factor):
            return 60.0 * minute
    return None
