"""When the thermostat opens, and when it is cool again: one warm body. SI: s, K, K/s."""

from __future__ import annotations

import math

from weeptrace.finding import Estimate
from weeptrace.refusal import Refusal
from weeptrace.told import Sentence
from weeptrace.warmup.data import Limits


def relax(start: float, goal: float, end: float, time_constant: float) -> float:
    """Time in s from ``start`` to ``goal`` on the way to ``end``; infinity where it is not on it.

    ``t = tau ln((T0 - Te) / (T - Te))``: T0 ``start``, T ``goal``, Te ``end`` in K, tau
    ``time_constant`` in s. Valid for tau above zero. No error is raised. Source: Newton's law of
    cooling.

    >>> round(relax(363.15, 323.15, 293.15, 90.0), 1)
    76.3
    """
    if goal == start:
        return 0.0
    if goal == end or (start - end) / (goal - end) < 1.0:
        return math.inf
    return time_constant * math.log((start - end) / (goal - end))


def cool_down(
    *,
    start: float,
    ambient: float,
    goal: float,
    limits: Limits,
    open_bonnet: bool = False,
    cooling_time: float | None = None,
) -> Estimate:
    """Time in s until an engine that stands is as cool as ``goal``; infinity where never.

    ``t = tau ln((T0 - Ta) / (T - Ta))``: T0 ``start``, Ta ``ambient``, T ``goal`` in K; tau 90 min
    (60 to 120) for a closed car in still air, 40 min (30 to 50) with an ``open_bonnet`` and the fan
    on, or the ``cooling_time`` in s measured on this car.

    Valid for a goal above ambient; ``Refusal`` (``out_of_range``) for a cooling time that is not
    above zero. Source: Newton's law of cooling; ``limits`` ``warmup.cooling_time*``,
    ``gate.cooling_*`` (common practice).

    90 to 50 °C in air of 20 °C: 76 min.

    >>> from weeptrace.rules import limits
    >>> t = cool_down(start=363.15, ambient=293.15, goal=323.15, limits=limits())
    >>> [round(v / 60.0) for v in (t.value, t.low, t.high)]
    [76, 51, 102]
    """
    if cooling_time is not None:
        _above_zero(cooling_time, "cooling_time", Sentence("reason.named.cooling_time"), "min")
        share = limits["warmup.warming_relative"]
        taus = [cooling_time * factor for factor in (1.0, 1.0 - share, 1.0 + share)]
    elif open_bonnet:
        fast, slow = limits["gate.cooling_fast"], limits["gate.cooling_slow"]
        taus = [(fast + slow) / 2.0, fast, slow]
    else:
        taus = [limits[f"warmup.cooling_time{end}"] for end in ("", "_low", "_high")]
    if goal >= start:
        return Estimate(0.0, 0.0, 0.0)
    return Estimate(*(relax(start, goal, ambient, tau) for tau in taus))


def _above_zero(value: float, path: str, name: Sentence, unit: str) -> None:
    if value <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.lumped.above_zero_leave_out",
            path,
            "accepted.above_zero_unit",
            {"name": name, "unit": unit},
        )


def time_to(
    *, start: float, ambient: float, goal: float, warming: float, cooling_time: float
) -> float:
    """Time in s until a warming body reaches ``goal``; infinity where it never does.

    ``C dT/dt = P - C (T - Ta) / tau``, so the body relaxes to ``Ta + R tau`` (see ``relax``):
    R = P / C ``warming`` without losses in K/s, tau ``cooling_time`` in s, T0 ``start``, Ta
    ``ambient``, T ``goal`` in K. Valid for R, tau > 0; ``Refusal`` (``out_of_range``) otherwise.
    Source: Newton's law of cooling with a constant source.

    20 to 90 °C at 3 kW in 80 kJ/K (2.25 K/min), tau 90 min: 38 min.

    >>> t = time_to(start=293.15, ambient=293.15, goal=363.15, warming=0.0375, cooling_time=5400.0)
    >>> round(t / 60.0)
    38
    """
    _above_zero(warming, "warming", Sentence("reason.named.warming_rate"), "K/min")
    _above_zero(cooling_time, "cooling_time", Sentence("reason.named.cooling_time"), "min")
    if goal <= start:
        return 0.0
    return relax(start, goal, ambient + warming * cooling_time, cooling_time)


def time_to_thermostat(
    *,
    coolant: float,
    ambient: float,
    opening: float,
    limits: Limits,
    brisk: bool = False,
    warming: float | None = None,
    cooling_time: float | None = None,
) -> Estimate:
    """Time in s from now until the engine is at the thermostat's opening temperature.

    Parameters
    ----------
    coolant, ambient, opening: K.
    limits: ``warmup.idle_*`` or ``warmup.brisk_*``, ``warmup.cooling_time``.
    brisk: a brisk idle instead of a plain one.
    warming: K/s measured on this engine, or its heat over its heat capacity, instead of the usual.
    cooling_time: s, of this car, instead of the usual one.

    See ``time_to``. The high end is infinity where the slowest engine would never get there.

    Valid as ``time_to``; ``Refusal`` (``out_of_range``) as there. Source: as ``time_to``; the usual
    rates are common practice.

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
    tau = limits["warmup.cooling_time"] if cooling_time is None else cooling_time
    usual, soonest, latest = (
        time_to(
            start=coolant,
            ambient=ambient,
            goal=opening,
            warming=rate,
            cooling_time=tau,
        )
        for rate in rates
    )
    return Estimate(usual, soonest, latest)
