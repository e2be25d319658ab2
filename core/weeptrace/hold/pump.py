"""What a hand pump put in, and the gas volume that its strokes tell. SI: Pa, m3."""

from __future__ import annotations

import math

from weeptrace.hold.data import Strokes
from weeptrace.refusal import Refusal
from weeptrace.told import Figure


def efficiency(strokes: Strokes, pressure: float, atmosphere: float) -> float:
    """Air that went in over ``N Vs``, on a pump-up from zero gauge to ``pressure``.

    ``e = x/-ln(1 - x)``, ``x = (Vd/Vs) p/Pa``: the dead volume Vd keeps air at p + Pa in the pump,
    which expands on the way back, so that a stroke at p draws in only ``Vs - Vd p/Pa``; the air
    needed grows with p. To first order ``1 - x/2``. ``strokes`` has N, Vs, Vd in m3; p in Pa gauge,
    Pa ``atmosphere`` in Pa abs.

    Valid for slow strokes (one temperature) and x below 1; at 1 the pump only squeezes its own air:
    ``Refusal`` (``out_of_range``). Source: Boyle's law.

    A fifth of the stroke left in the pump, to 100 kPa:

    >>> round(efficiency(Strokes(27, 40e-6, 8e-6), 100e3, 100e3), 3)
    0.896
    """
    x = strokes.dead / strokes.volume * pressure / atmosphere
    if x >= 1.0:
        high = strokes.volume / strokes.dead * atmosphere
        raise Refusal(
            "out_of_range",
            "refused.pump.pump_dead_volume_cant",
            "dead_volume",
            "accepted.pressure_below",
            {"high": Figure(high, "pressure")},
        )
    return x / -math.log1p(-x) if x > 1e-9 else 1.0


def air_pumped(strokes: Strokes, pressure: float, atmosphere: float) -> float:
    """Outside air in m3 that ``strokes`` put in up to a gauge ``pressure``: ``N Vs e``.

    ``atmosphere`` Pa abs; e ``efficiency``, whose validity and ``Refusal`` it shares. Source: as
    there.

    >>> round(air_pumped(Strokes(27, 40e-6), 100e3, 101325.0) * 1e6)
    1080
    """
    return strokes.count * strokes.volume * efficiency(strokes, pressure, atmosphere)


def gas_from_strokes(
    strokes: Strokes, pressure: float, hoses: float, atmosphere: float, vapour: float = 0.0
) -> float:
    """Gas volume in m3 at a gauge ``pressure`` after pumping up from zero gauge.

    ``Vg = Pa N Vs e/p - P Ch``: ``strokes`` N of Vs m3 of outside air at Pa (``atmosphere``), e
    ``efficiency``, Ch ``hoses`` in m3/Pa, P = Pa - pv (``vapour``). Never below zero. From the mass
    balance of the dry gas, ``N Vs e Pa = p V0 + (p + P) Ch p``, with ``Vg = V0 + Ch p``.

    Valid for one temperature, the pumped air cooled down; ``Refusal`` as ``efficiency``.
    Source: Boyle's law. 27 strokes of 40 mL to 100 kPa, hoses 0.4 mL/kPa: Vg and V0 in mL.

    >>> gas = gas_from_strokes(Strokes(27, 40e-6), 100e3, 0.4e-9, 101325.0)
    >>> round(gas * 1e6), round((gas - 0.4e-9 * 100e3) * 1e6)
    (1054, 1014)
    """
    pumped = air_pumped(strokes, pressure, atmosphere) * atmosphere / pressure
    return max(pumped - (atmosphere - vapour) * hoses, 0.0)
