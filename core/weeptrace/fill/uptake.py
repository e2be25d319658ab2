"""What a vacuum fill takes up, and the air that it leaves. SI: m3, Pa absolute, K, m."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from weeptrace.properties import air
from weeptrace.properties.boiling import vapour_pressure
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.refusal import Refusal

Judgement = Literal["as_expected", "air_left", "volume_differs"]
_GRAVITY: Final = 9.80665  # m/s2


@dataclass(frozen=True)
class Uptake:
    """Volumes in m3 with low and high; ``container``: what must stand ready in one container."""

    uptake: float
    low: float
    high: float
    air_left: float
    container: float
    judgement: Judgement | None


def uptake(
    *,
    volume: float,
    residual_pressure: float,
    altitude: float,
    temperature: float,
    limits: Mapping[str, float],
    strength: float | None = None,
    lift: float = 0.0,
    measured: float | None = None,
) -> Uptake:
    """Volume that a vacuum fill draws in.

    ``U = Ve [1 - (p_res - p_v) / (Pa - rho g h - p_v)]``: Ve evacuated volume m3, p_res residual
    pressure Pa absolute, p_v vapour pressure of the coolant, Pa standard atmosphere at the
    altitude, h lift of the neck above the jug's surface in m. Vapour condenses; only dry air stays.
    Air left = Ve - U at atmospheric pressure. ``measured`` over U is judged by ``limits``. Where
    the strength is not known, ``low`` and ``high`` span water to the highest strength. The coolant
    in the jug is ethylene glycol and water.

    Valid for p_v < p_res < Pa - rho g h; ``Refusal`` otherwise (below p_v the coolant boils).
    Source: ideal gas and hydrostatics; the container's reserve is common practice.

    >>> from weeptrace.rules import limits
    >>> u = uptake(volume=5.6e-3, residual_pressure=8e3, altitude=1900.0, temperature=288.15,
    ...     limits=limits(), strength=0.5)
    >>> round(1e3 * u.uptake, 2), round(1e3 * u.air_left, 2), round(1e3 * u.container, 1)
    (5.13, 0.47, 6.9)
    """
    if volume <= 0.0:
        raise Refusal("out_of_range", "The volume must be above zero.", "volume", "above 0 L")
    if measured is not None and measured < 0.0:
        raise Refusal("out_of_range", "The measured uptake is negative.", "measured", "above 0 L")
    outside = air.pressure(altitude)
    highest = limits["fill.highest_strength"]
    centre = limits["fill.usual_strength"] if strength is None else strength
    ends = (0.0, highest) if strength is None else (strength,)
    taken = [
        _taken(volume, residual_pressure, outside, temperature, c, lift) for c in (*ends, centre)
    ]
    expected = taken[-1]
    container = limits["fill.container_factor"] * expected + limits["fill.container_reserve"]
    return Uptake(
        uptake=expected,
        low=min(taken),
        high=max(taken),
        air_left=volume - expected,
        container=container,
        judgement=None if measured is None else _judge(measured / expected, limits),
    )


def _taken(
    volume: float, residual: float, outside: float, temperature: float, c: float, lift: float
) -> float:
    w = mass_from_volume("ethylene", c)
    vapour = vapour_pressure("ethylene", w, temperature)
    head = density_inhibited("ethylene", w, temperature) * _GRAVITY * lift
    if residual <= vapour:
        raise Refusal(
            "out_of_range",
            f"A residual of {residual / 1e3:.3g} kPa absolute is below the coolant's vapour "
            f"pressure of {vapour / 1e3:.3g} kPa at this temperature: it boils. "
            "Check the reading, or let the engine cool.",
            "residual_pressure",
            f"above {vapour / 1e3:.3g} kPa absolute",
        )
    if residual >= outside - head:
        raise Refusal(
            "out_of_range",
            f"A residual of {residual / 1e3:.4g} kPa absolute leaves no vacuum to lift with: the "
            f"atmosphere less the lift is {(outside - head) / 1e3:.4g} kPa.",
            "residual_pressure",
            f"below {(outside - head) / 1e3:.4g} kPa absolute",
        )
    return volume * (1.0 - (residual - vapour) / (outside - head - vapour))


def _judge(share: float, limits: Mapping[str, float]) -> Judgement:
    if share < limits["fill.uptake_low"] - 1e-9:
        return "air_left"
    if share > limits["fill.uptake_high"] + 1e-9:
        return "volume_differs"
    return "as_expected"
