"""Where a slow rise turns into a fast one: two straight lines that meet.

    y(t) = a + b1 t               for t <= tc
    y(t) = a + b1 t + d (t - tc)  for t > tc

Least squares over tc: for every split of the readings both lines are fitted; where they cross
between the two readings at the split, that is the optimum of this split (Hudson, Journal of the
American Statistical Association 61, 1966), else the change is tried at the readings themselves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from weeptrace.finding import Estimate
from weeptrace.warmup.data import Limits

_STEPS = 200  # of the search for the interval's ends


@dataclass(frozen=True)
class Hinge:
    """The change: its time in s with 95 %, slopes before and after in K/s, p of a straight line."""

    time: Estimate
    before: float
    after: float
    p_value: float

    def accepted(self, limits: Limits) -> bool:
        """Whether the change is believed: improbable without it, and much steeper after."""
        steep = self.after > 0.0 and self.after > limits["warmup.slope_ratio"] * self.before
        return steep and self.p_value < limits["warmup.hinge_p"]


class _Sums:
    """Running sums of 1, t, t2, y, t y, y2 from the last reading back: any part in one step."""

    def __init__(self, t: Sequence[float], y: Sequence[float]) -> None:
        self.t = t
        rows: list[tuple[float, ...]] = [(0.0,) * 6]
        for time, value in zip(reversed(t), reversed(y), strict=True):
            new = (1.0, time, time * time, value, time * value, value * value)
            rows.append(tuple(a + b for a, b in zip(rows[-1], new, strict=True)))
        self.tail = rows[::-1]  # tail[i]: readings from i on

    def part(self, start: int, end: int) -> tuple[float, ...]:
        return tuple(a - b for a, b in zip(self.tail[start], self.tail[end], strict=True))

    def line(self, start: int, end: int) -> tuple[float, float, float]:
        """Intercept, slope and residual sum of squares of one line."""
        n, st, stt, sy, sty, syy = self.part(start, end)
        spread = stt - st * st / n
        slope = (sty - st * sy / n) / spread
        level = (sy - slope * st) / n
        return level, slope, max(syy - sy * sy / n - slope * slope * spread, 0.0)

    def hinge(self, tc: float) -> tuple[float, float, float] | None:
        """b1, d and residual sum of squares with the change at ``tc``; ``None``: no such fit."""
        count = len(self.t)
        start = next((i for i, time in enumerate(self.t) if time > tc), count)
        n, st, stt, sy, sty, syy = self.tail[0]
        m, rt, rtt, ry, rty, _ = self.tail[start]
        su, suu = rt - m * tc, rtt - 2.0 * tc * rt + m * tc * tc
        stu, suy = rtt - tc * rt, rty - tc * ry
        att, atu, auu = stt - st * st / n, stu - st * su / n, suu - su * su / n
        aty, auy = sty - st * sy / n, suy - su * sy / n
        determinant = att * auu - atu * atu
        if determinant <= 1e-12 * att * att:
            return None
        b1 = (aty * auu - auy * atu) / determinant
        d = (auy * att - aty * atu) / determinant
        return b1, d, max(syy - sy * sy / n - b1 * aty - d * auy, 0.0)


def find(times: Sequence[float], values: Sequence[float], limits: Limits) -> Hinge | None:
    """The best change point of ``values`` in K over rising ``times`` in s.

    F = ((RSS0 - RSS1) / 2) / (RSS1 / v) with v = N - 4 against one straight line; for two numerator
    degrees of freedom its tail is exactly ``p = (RSS1 / RSS0)^(v / 2)``. The 95 % interval of tc
    holds every tc with ``RSS(tc) <= RSS1 x 0.05^(-2 / v)``, and half the gap between readings to
    each side: wide on purpose, by F of two degrees of freedom where tc alone has one, since the
    place is searched for. RSS is never taken below v times the squared noise of a reading.

    Valid for ``warmup.side_points`` readings to each side; ``None`` for fewer. No error is raised.
    Source: Seber and Lee, Linear Regression Analysis, 2003, ch. 4 (F-test, from memory).

    >>> from weeptrace.rules import limits
    >>> t = [60.0 * i for i in range(14)]
    >>> y = [300.0 + 0.01 * s + 0.2 * max(s - 400.0, 0.0) for s in t]
    >>> found = find(t, y, limits())
    >>> round(found.time.value, 6), round(found.after, 6), found.accepted(limits())
    (400.0, 0.21, True)
    """
    count, side = len(times), round(limits["warmup.side_points"])
    if count < 2 * side:
        return None
    # Centred, so that the sums keep their figures.
    t0, y0 = times[0] + (times[-1] - times[0]) / 2.0, math.fsum(values) / count
    t, y = [time - t0 for time in times], [value - y0 for value in values]
    sums = _Sums(t, y)
    best: tuple[float, float] | None = None
    for split in range(side, count - side + 1):
        a1, b1, rss1 = sums.line(0, split)
        a2, b2, rss2 = sums.line(split, count)
        if b2 != b1 and t[split - 1] <= (cross := (a1 - a2) / (b2 - b1)) <= t[split]:
            best = _better(best, (rss1 + rss2, cross))
            continue
        # A change at a reading leaves enough of them to each side, that one counted to both.
        for tc in (t[split - 1], t[split]):
            fit = sums.hinge(tc)
            if fit is not None:
                best = _better(best, (fit[2], tc))
    if best is None:
        return None
    rss, tc = best
    fit = sums.hinge(tc)
    if fit is None:
        return None
    free = count - 4
    floor = free * limits["warmup.temperature_noise"] ** 2
    straight = max(sums.line(0, count)[2], floor)
    p_value = min((max(rss, floor) / straight) ** (free / 2.0), 1.0)
    allowed = max(rss, floor) * limits["warmup.interval_p"] ** (-2.0 / free)
    low, high = _ends(sums, t, tc, allowed)
    return Hinge(Estimate(tc + t0, low + t0, high + t0), fit[0], fit[0] + fit[1], p_value)


def _better(
    best: tuple[float, float] | None, candidate: tuple[float, float]
) -> tuple[float, float]:
    return candidate if best is None or candidate[0] < best[0] else best


def _ends(sums: _Sums, t: Sequence[float], tc: float, allowed: float) -> tuple[float, float]:
    """Ends of the interval of tc on a fine grid, at least half a gap between readings away."""
    after = next((i for i, time in enumerate(t) if time > tc), len(t) - 1)
    half_gap = (t[after] - t[max(after - 1, 0)]) / 2.0
    low, high = tc - half_gap, tc + half_gap
    step = (t[-1] - t[0]) / _STEPS
    for k in range(1, _STEPS):
        at = t[0] + k * step
        fit = sums.hinge(at)
        if fit is not None and fit[2] <= allowed:
            low, high = min(low, at), max(high, at)
    return max(low, t[0]), min(high, t[-1])
