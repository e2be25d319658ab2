"""A leak above the liquid: the gauge sees air go, nothing gets wet. SI.

The balance of a hold is the same, with the air's volume flow at the pressure inside for Q. Through
one opening far more air goes than liquid, so a fast fall with nothing wet is most often the cap,
the neck, the adapter or the top of the reservoir: fill above it, and it drips.
"""

from __future__ import annotations

from collections.abc import Mapping

from weeptrace.properties.density import density_inhibited
from weeptrace.properties.expansion import Coolant
from weeptrace.properties.openings import LiquidBounds, liquid_for_air
from weeptrace.properties.viscosity import viscosity

STRONGEST = 0.6  # glycol by mass, where density and viscosity are known from 0 to 100 °C


def as_liquid(
    upstream_flow: float, pressure: float, atmosphere: float, temperature: float, coolant: Coolant
) -> LiquidBounds:
    """Liquid in m3/s through the opening that lets this much air through at the same pressure.

    ``q = Q (p + Pa)/Pa`` at the atmosphere, then ``openings.liquid_for_air``: by a sharp hole
    ``Q/14.5`` at 100 kPa, by a fine crack Q/160 cold and Q/33 hot.

    Parameters
    ----------
    upstream_flow: Q, m3/s of air at the pressure inside: the leak flow of a hold.
    pressure, atmosphere: p gauge above zero and Pa absolute, Pa.
    temperature: of engine and air, K; taken within 0 and 100 °C.
    coolant: its glycol and strength, taken up to 60 % by mass.

    ``Refusal`` as ``liquid_for_air``. Valid for one opening and one direction of the pressure.
    Source: as ``openings``.

    >>> pair = as_liquid(1.0, 100e3, 101325.0, 293.15, Coolant("ethylene", 0.527))
    >>> round(1.0 / pair.orifice, 1), 150 < 1.0 / pair.laminar < 180
    (14.6, True)
    """
    inside = pressure + atmosphere
    warm = min(max(temperature, 273.15), 373.15)
    share = min(coolant.mass_fraction, STRONGEST)
    return liquid_for_air(
        upstream_flow * inside / atmosphere,
        upstream=inside,
        downstream=atmosphere,
        outside=atmosphere,
        temperature=temperature,
        difference=pressure,
        density=density_inhibited(coolant.glycol, share, warm),
        viscosity=viscosity(coolant.glycol, share, warm),
    )


def looks_like_air(
    claimed: bool, flow: float, wet: bool | None, limits: Mapping[str, float]
) -> bool:
    """Whether a fall points at a leak above the liquid.

    A leak is ``claimed``, of ``flow`` m3/s above ``hold.seen_wet`` of ``limits``, and somebody
    looked and found nothing ``wet``; ``None``: nobody looked. No error is raised. Valid as a hint.
    Source: common practice.

    >>> from weeptrace.rules import limits
    >>> looks_like_air(True, 5e-8, False, limits()), looks_like_air(True, 5e-8, None, limits())
    (True, False)
    """
    return claimed and wet is False and flow > limits["hold.seen_wet"]
