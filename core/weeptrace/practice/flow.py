"""What flows through openings: leaks, the pump's and the jug's hose on the neck."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from weeptrace.practice.car import Car, Leak
from weeptrace.properties import openings
from weeptrace.properties.openings import GAS_CONSTANT

GRAVITY: Final = 9.80665  # m/s2, standard
TRICKLE: Final = 0.1  # m/s, own choice: below this speed a hose's resistance is laminar
REFERENCE: Final = 100e3  # Pa gauge of ``Leak.flow_100``


@dataclass(frozen=True)
class VacuumPump:
    """A pump on the neck: ``speed`` m3/s of what stands there, ``lowest`` Pa abs that it reaches.

    A venturi leaves 8 to 15 % of the atmosphere: common practice.
    """

    speed: float
    lowest: float

    def flow(self, inside: float) -> float:
        """``S (1 - p_lowest / p)`` in m3/s at an absolute pressure inside; never backwards.

        >>> VacuumPump(1e-3, 8e3).flow(80e3)
        0.0009000000000000001
        """
        return max(0.0, self.speed * (1.0 - self.lowest / max(inside, 1.0)))


@dataclass(frozen=True)
class Jug:
    """A container of coolant on a hose to the neck.

    ``content`` and ``dead`` (which the pick-up tube does not reach) in m3, ``strength`` by volume;
    ``lift`` m, neck above the surface; ``opening`` m2 of valve and hose; ``line`` m3 of air in the
    hose where it was not primed.
    """

    content: float
    strength: float = 0.5
    dead: float = 0.0
    lift: float = 0.0
    opening: float = 2e-5
    line: float = 0.0

    def flow(self, vacuum: float, density: float) -> float:
        """``A v`` in m3/s, ``v = (2 dp/rho) / sqrt(2 dp/rho + v0^2)``, dp = vacuum less lift.

        ``vacuum``: Pa below the atmosphere at the neck; ``density`` rho in kg/m3; v0 ``TRICKLE``.
        Torricelli's speed but for the last trickle, which is laminar. Nothing flows back.

        >>> round(Jug(5e-3).flow(72e3, 1070.0) * 1e3, 2)
        0.23
        """
        square = 2.0 * (vacuum - density * GRAVITY * self.lift) / density
        if square <= 0.0:
            return 0.0
        return self.opening * square / math.sqrt(square + TRICKLE**2)


def inlet(car: Car, leak: Leak) -> float:
    """Orifice in m2 through which air comes in at a leak.

    The measured one; else, of the power law ``flow_100`` q at 100 kPa, of liquid
    ``A = q / sqrt(2 dp / rho)``, of gas ``A = q / (sqrt(R T) psi(Pa/(Pa + dp)))``.

    Valid as a bound: what opens under pressure may close in a vacuum. No error is raised.
    Source: ``properties.openings``.

    >>> from weeptrace.practice.describe import load
    >>> car = load("larkspur_seam")
    >>> 0.0 < inlet(car, car.leaks[0]) < 1e-6
    True
    """
    if leak.orifice or leak.capillary or not leak.flow_100:
        return leak.orifice
    if leak.side == "liquid":
        return leak.flow_100 / openings.liquid_through_orifice(1.0, REFERENCE, car.density)
    factor = openings.flow_factor(car.atmosphere / (car.atmosphere + REFERENCE))
    return leak.flow_100 / (math.sqrt(GAS_CONSTANT * car.temperature) * factor)


def air_through(
    area: float, capillary: float, inside: float, outside: float, temperature: float
) -> float:
    """Air in kg/s through an orifice and a capillary; above zero into the car.

    ``area`` m2, ``capillary`` m3, ``inside`` and ``outside`` Pa abs, ``temperature`` K. Choked
    where the lower is below 0.528 of the higher pressure: see ``properties.openings``.

    ``m = m_orifice + q_capillary / (R T)``. Valid for an ideal gas. No error is raised. Source: as
    there.

    >>> out, back = (air_through(1e-8, 0.0, *p, 293.15) for p in ((2e5, 1e5), (1e5, 2e5)))
    >>> out == -back < 0.0
    True
    """
    high, low = max(inside, outside), min(inside, outside)
    mass = 0.0
    if area:
        mass = openings.air_through_orifice(area, high, low, temperature)
    if capillary:
        pores = openings.air_through_capillary(capillary, high, low, temperature)
        mass += pores / (GAS_CONSTANT * temperature)
    return mass if outside >= inside else -mass


def through(
    car: Car,
    leak: Leak,
    area: float,
    gauge: float,
    temperature: float,
    gas_density: float,
    wet: bool,
) -> tuple[float, float]:
    """Liquid out in m3/s and air in, kg/s (below zero: out), through one leak.

    ``area``: the ``inlet`` of the ``leak``; ``gauge`` pressure Pa; ``temperature`` K;
    ``gas_density`` kg/m3 inside the ``car``; ``wet``: liquid stands before it. Outwards the power
    law, or Torricelli and Poiseuille where it was measured; inwards, and out of a drained car, air.

    ``Q = q_100 (p / 100 kPa)^n``. Valid for either sign of the pressure. No error is raised.
    Source: as ``inlet``; ``properties.openings``.

    >>> from weeptrace.practice.describe import load
    >>> car = load("larkspur_seam")
    >>> leak = car.leaks[0]
    >>> through(car, leak, 0.0, 100e3, 288.15, 2.4, wet=True) == (leak.flow_100, 0.0)
    True
    """
    if leak.closed_above is not None and temperature > leak.closed_above:
        return 0.0, 0.0
    measured = leak.orifice > 0.0 or leak.capillary > 0.0
    if gauge > 0.0 and leak.side == "liquid" and wet:
        if not measured:
            return leak.outwards(gauge), 0.0
        out = openings.liquid_through_orifice(leak.orifice, gauge, car.density)
        if leak.capillary:
            out += openings.liquid_through_capillary(leak.capillary, gauge, car.viscosity)
        return out, 0.0
    if gauge > 0.0 and leak.side == "air" and not measured:
        return 0.0, -leak.outwards(gauge) * gas_density
    inside = gauge + car.atmosphere
    return 0.0, air_through(area, leak.capillary, inside, car.atmosphere, temperature)
