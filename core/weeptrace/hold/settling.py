"""What hoses and pumped air still do after a change of pressure, without a leak. SI: Pa, s, m3.

    creep(t) = Ch a dp exp(-t/tau)/tau

Ch hoses m3/Pa, a late share of their stretch, dp step of pressure Pa, tau settling time s. Pumped
air that cools falls in the same form with a time of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence


def creep(hoses: float, share: float, step: float, tau: float, time: float) -> float:
    """Volume that the hoses still take per second, m3/s, ``time`` s after a ``step`` in Pa.

    The module's equation: ``hoses`` Ch, ``share`` a (0.02 to 0.06), ``tau`` 60 to 180 s. Valid for
    times from 0. No error is raised. Source: common practice for a's and tau's range; one
    relaxation time.

    0.5 mL/kPa, 3 % of 100 kPa, 1.5 min, at once and after 5 min, in mL/min:

    >>> [round(6e7 * creep(0.5e-9, 0.03, 100e3, 90.0, t), 2) for t in (0.0, 300.0)]
    [1.0, 0.04]
    """
    return hoses * share * step * math.exp(-time / tau) / tau


def still_to_come(
    steps: Sequence[tuple[float, float]], time: float, tau: float, gas_time: float
) -> tuple[float, float, float]:
    """Late stretch left at ``time`` s per share, its derivative by ln tau, and the air's cooling.

    ``sum dp_j exp(-(t - t_j)/tau)`` over ``steps`` (t_j s, dp_j Pa): the time integral of ``creep``
    over Ch and a. ``gas_time`` s takes tau's place for pumped air. Valid from the last step on. No
    error is raised. Source: as ``creep``, integrated.

    >>> [round(x / 1e3, 1) for x in still_to_come([(0.0, 100e3)], 90.0, 90.0, 30.0)]
    [36.8, 36.8, 5.0]
    """
    late = by_tau = cooled = 0.0
    exp = math.exp
    for at, step in steps:
        x = (time - at) / tau
        kept = step * exp(-x)
        late += kept
        by_tau += kept * x
        cooled += step * exp((at - time) / gas_time)
    return late, by_tau, cooled
