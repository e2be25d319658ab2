"""Between a hole and a crack: a short round channel; and air through a part by its rated figures.

SI: m, Pa, m3/s, kg/m3, Pa s, K.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from weeptrace.refusal import Refusal

STANDARD_TEMPERATURE: Final = 293.15  # K, reference atmosphere of ISO 8778


@dataclass(frozen=True)
class Channel:
    """Liquid through a channel: ``flow`` m3/s, ``reynolds`` number, and the local ``exponent`` n of
    Q ~ dp^n: 0.5 where the liquid's inertia rules (a hole), 1 where its viscosity does (a crack).
    """

    flow: float
    reynolds: float
    exponent: float


def liquid_through_channel(
    diameter: float,
    length: float,
    difference: float,
    density: float,
    viscosity: float,
    discharge: float,
) -> Channel:
    """Liquid through a round channel, from a sharp hole (no length) to a capillary.

    ``dp = 32 mu L v / d^2 + rho v^2 / (2 Cd^2)``, solved for v; ``Q = v pi d^2/4``,
    ``Re = rho v d / mu``, ``n = (a + b v)/(a + 2 b v)`` with a v and b v^2 the two terms. d
    ``diameter`` and L ``length`` m, dp ``difference`` Pa, rho ``density``, mu ``viscosity``, Cd
    ``discharge`` of the entrance.

    Valid for a Reynolds number below 2300 where the length matters; without length above 100.
    ``Refusal`` (``out_of_range``) for a length below zero or what else is not above zero.
    Source: Hagen and Poiseuille with Hagenbach's correction; Torricelli for the second term.

    0.1 mm at 100 kPa: a thin edge, and a wall of 3 mm.

    >>> [round(liquid_through_channel(1e-4, x, 1e5, 1068.0, 4e-3, 0.61).exponent, 2)
    ...     for x in (0.0, 3e-3)]
    [0.5, 0.92]
    """
    for name, value, unit in (
        ("diameter", diameter, "m"),
        ("difference", difference, "Pa"),
        ("density", density, "kg/m3"),
        ("viscosity", viscosity, "Pa s"),
        ("discharge", discharge, ""),
    ):
        if not value > 0.0:
            raise Refusal(
                "out_of_range",
                "refused.channel.above_zero",
                name,
                "accepted.above_zero_unit" if unit else "accepted.above_zero",
                figures={"name": name, "unit": unit},
            )
    if length < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.channel.length_not_below_zero",
            "length",
            "accepted.not_below_mm",
        )
    a = 32.0 * viscosity * length / diameter**2
    b = density / (2.0 * discharge**2)
    speed = 2.0 * difference / (a + math.sqrt(a * a + 4.0 * b * difference))
    return Channel(
        flow=speed * math.pi / 4.0 * diameter**2,
        reynolds=density * speed * diameter / viscosity,
        exponent=(a + b * speed) / (a + 2.0 * b * speed),
    )


def air_through_part(
    conductance: float, critical: float, upstream: float, downstream: float, temperature: float
) -> float:
    """Air in m3/s of the reference atmosphere through a part with rated figures C and b.

    ``q = C p1 sqrt(293.15 K / T1) sqrt(1 - ((r - b)/(1 - b))^2)``, r = p2/p1; the last root is 1 at
    r <= b (choked). C ``conductance`` in m3/(s Pa), b ``critical`` pressure ratio, p1 ``upstream``
    and p2 ``downstream`` Pa absolute, T1 ``temperature`` K.

    Valid for b from 0 to below 1; zero where p2 is not below p1. ``Refusal`` (``out_of_range``) for
    a b beyond that, or a pressure or temperature that is not above zero.
    Source: ISO 6358 (from memory).

    A part of 1 dm3/(s bar) and b 0.4, 1.6 bar to 1.013 bar, in dm3/s:

    >>> round(1e3 * air_through_part(1e-8, 0.4, 1.6e5, 1.013e5, 293.15), 3)
    1.474
    """
    if not 0.0 <= critical < 1.0:
        raise Refusal(
            "out_of_range",
            "refused.channel.critical_pressure_ratio_accepted",
            "critical",
            "accepted.pressure_ratio",
            {"critical": critical},
        )
    if not (upstream > 0.0 and temperature > 0.0):
        raise Refusal(
            "out_of_range",
            "refused.channel.pressure_upstream_temperature_absolute",
            "upstream",
            "accepted.above_pa_absolute_above",
        )
    beyond = (min(downstream / upstream, 1.0) - critical) / (1.0 - critical)
    ellipse = math.sqrt(1.0 - max(beyond, 0.0) ** 2)
    return conductance * upstream * math.sqrt(STANDARD_TEMPERATURE / temperature) * ellipse
