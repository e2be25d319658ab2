"""When the thermostat will open: engine and coolant as one warm body. SI: s, K, K/s."""

from __future__ import annotations

import math

from weeptrace.finding import Estimate
from weeptrace.refusal import Refusal
from weeptrace.warmup.data import Limits


def time_to(
    *, start: float, ambient: float, goal: float, warming: float, cooling_time: float
) -> float:
    """Time in s until a warming body reaches ``goal``; infinity where it never does.

    ``C dT/dt = P - C (T - Ta) / tau``, so ``t = tau ln((R tau - (T0 - Ta)) / (R tau - (T - Ta)))``:
    R = P / C ``warming`` without losses in K/s, tau ``cooling_time`` in s, T0 ``start``, Ta
    ``ambient``, T ``goal`` in K. Valid for R, tau > 0; ``Refusal`` (``out_of_range``) otherwise.
    Source: Newton's law of cooling with a constant source.

    20 to 90 °C at 3 kW in 80 kJ/K (2.25 K/min), tau 90 min: 38 min.

    >>> t = time_to(start=293.15, ambient=293.15, goal=363.15, warming=0.0375, cooling_time=5400.0)
    >>> round(t / 60.0)
    38
    """
    if warming <= 0.0 or cooling_time <= 0.0:
        words = "The warming rate must be above zero. Leave it out if it is not known."
        raise Refusal("out_of_range", words, "warming", "above 0 K/min")
    if goal <= start:
        return 0.0
    reach = warming * cooling_time
    left = reach - (goal - ambient)
    if left <= 0.0:
        return math.inf
    return cooling_time * math.log((reach - (start - ambient)) / left)


def time_to_thermostat(
    *,
    coolant: float,
    ambient: float,
    opening: float,
    limits: Limits,
    brisk: bool = False,
    warming: float | None = None,
) -> Estimate:
    """Time in s from now until the engine is at the thermostat's opening temperature.

    Parameters
    ----------
    coolant, ambient, opening: K.
    limits: ``warmup.idle_*`` or ``warmup.brisk_*``, ``warmup.cooling_time``.
    brisk: a brisk idle instead of a plain one.
    warming: K/s measured on this engine, instead of the usual one.

    See ``time_to``. The high end is infinity where the slowest engine would never get there.

    >>> from weeptrace.rules import limits
    >>> brisk = time_to_thermostat(coolant=293.15, ambient=293.15, opening=363.15, brisk=True,
    ...     limits=limits())
    >>> round(brisk.value / 60.0)
    14
    """
    if warming is None:
        name = "brisk" if brisk else "idle"
        rates = [limits[f"warmup.{name}_warming{end}"] for end in ("", "_high", "_low")]
    else:
        share = limits["warmup.warming_relative"]
        rates = [warming, warming * (1.0 + share), warming * (1.0 - share)]
    usual, soonest, latest = (
        time_to(
            start=coolant,
            ambient=ambient,
            goal=opening,
            warming=rate,
            cooling_time=limits["warmup.cooling_time"],
        )
        for rate in rates
    )
    return Estimate(usual, soonest, latest)
