"""The temperature of the engine over time: steady, drifting, or as logged."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

_DAY = 86400.0


@dataclass(frozen=True)
class Course:
    """Temperatures in K at times in s, rising; straight between, and held before and after."""

    points: tuple[tuple[float, float], ...]

    def at(self, time: float) -> float:
        """Temperature in K at a time in s."""
        points = self.points
        if len(points) == 1 or time <= points[0][0]:
            return points[0][1]
        if time >= points[-1][0]:
            return points[-1][1]
        k = bisect_right(points, (time, float("inf")))
        (t0, a), (t1, b) = points[k - 1], points[k]
        return a + (b - a) * (time - t0) / (t1 - t0)


def steady(temperature: float) -> Course:
    """One temperature in K throughout."""
    return Course(((0.0, temperature),))


def drift(temperature: float, rate: float) -> Course:
    """From a temperature in K at the start, ``rate`` in K/s for a day; negative when it cools.

    ``T = T0 + r t``: T0 ``temperature``, r ``rate``. Valid for a day. No error is raised. Source:
    definition.

    >>> drift(300.0, -0.01).at(60.0)
    299.4
    """
    return Course(((0.0, temperature), (_DAY, temperature + _DAY * rate)))
