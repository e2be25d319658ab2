"""Ordinary differential equations forward in time, with a step that adapts itself."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Final

Slopes = Callable[[float, Sequence[float]], Sequence[float]]

_MOST: Final = 20_000  # steps

# Dormand and Prince 1980, table 2: RK5(4)7M. The last row of stages is the fifth-order result.
_C: Final = (1 / 5, 3 / 10, 4 / 5, 8 / 9, 1.0, 1.0)
_A2: Final = 1 / 5
_A3: Final = (3 / 40, 9 / 40)
_A4: Final = (44 / 45, -56 / 15, 32 / 9)
_A5: Final = (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729)
_A6: Final = (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656)
_B: Final = (35 / 384, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84)
_E: Final = (71 / 57600, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40)


def integrate(
    slopes: Slopes,
    start: float,
    values: Sequence[float],
    end: float,
    tolerance: Sequence[float],
    step: float | None = None,
) -> tuple[list[float], float]:
    """Values at ``end`` from ``dy/dt = f(t, y)``, and the step to go on with.

    ``f`` is ``slopes``, y ``values`` at the time ``start``; ``tolerance`` is the error allowed in
    one step, in the unit of each value; ``step`` a first step to try. Runge-Kutta of order 5 with
    an error estimate of order 4: a step whose error exceeds the tolerance is halved or worse, the
    next one is ``0.9 h (tolerance/error)^(1/5)``. A kink in f costs small steps, not accuracy.

    Valid for equations that are not stiff over one step; ``ArithmeticError`` beyond 20 000 steps,
    or where f gives no number.
    Source: J. R. Dormand, P. J. Prince, J. Comp. Appl. Math. 6 (1980) 19.

    >>> y, _ = integrate(lambda t, y: [-y[0]], 0.0, [1.0], 1.0, [1e-9])
    >>> round(y[0], 7)
    0.3678794
    """
    t, y = start, list(values)
    if end <= start:
        return y, step or 0.0
    h = min(step or (end - start) / 10.0, end - start)
    least = 1e-12 * (end - start)
    k1 = slopes(t, y)
    for _ in range(_MOST):
        last = t + h >= end - least
        if last:
            h, kept = end - t, h
        new, error, k7 = _step(slopes, t, y, h, k1, tolerance)
        if not math.isfinite(error):
            raise ArithmeticError("the equations give no number")
        grow = 5.0 if error < 1e-4 else max(0.2, min(5.0, 0.9 * error**-0.2))
        if error <= 1.0 or h <= least:
            t, y, k1 = t + h, new, k7
            if last:
                return y, max(h * grow, kept if error <= 1.0 else 0.0)
        h *= grow if error <= 1.0 else min(grow, 0.5)
    raise ArithmeticError("the equations need too many steps")


def _step(
    slopes: Slopes,
    t: float,
    y: list[float],
    h: float,
    k1: Sequence[float],
    tolerance: Sequence[float],
) -> tuple[list[float], float, Sequence[float]]:
    """One step: new values, error over tolerance, slopes at its end."""
    n = range(len(y))
    k2 = slopes(t + _C[0] * h, [y[i] + h * _A2 * k1[i] for i in n])
    a, b = _A3
    k3 = slopes(t + _C[1] * h, [y[i] + h * (a * k1[i] + b * k2[i]) for i in n])
    a, b, c = _A4
    k4 = slopes(t + _C[2] * h, [y[i] + h * (a * k1[i] + b * k2[i] + c * k3[i]) for i in n])
    a, b, c, d = _A5
    k5 = slopes(
        t + _C[3] * h,
        [y[i] + h * (a * k1[i] + b * k2[i] + c * k3[i] + d * k4[i]) for i in n],
    )
    a, b, c, d, e = _A6
    k6 = slopes(
        t + h,
        [y[i] + h * (a * k1[i] + b * k2[i] + c * k3[i] + d * k4[i] + e * k5[i]) for i in n],
    )
    a, b, c, d, e = _B
    new = [y[i] + h * (a * k1[i] + b * k3[i] + c * k4[i] + d * k5[i] + e * k6[i]) for i in n]
    k7 = slopes(t + h, new)
    a, b, c, d, e, f = _E
    error = max(
        abs(h * (a * k1[i] + b * k3[i] + c * k4[i] + d * k5[i] + e * k6[i] + f * k7[i]))
        / tolerance[i]
        for i in n
    )
    return new, error, k7
