"""Flow through a small opening: liquid and air, as a sharp orifice and as a fine capillary.

No leak is one or the other; a conversion from air to liquid is therefore given as both, which are
bounds. They hold for one opening of one size in one direction only: a hose on a neck is sucked
tight by a vacuum and leaks under pressure, and a flap seal can do the reverse. SI: Pa absolute
unless called a difference, K, m2, m3/s, kg/s, Pa s, kg/m3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from weeptrace.refusal import Refusal
from weeptrace.told import Figure, Sentence

GAS_CONSTANT: Final = 287.05  # J/(kg K), dry air
GAMMA: Final = 1.4  # heat capacities of air, cp/cv


_ABSOLUTE: Final = Sentence("accepted.absolute_unit")  # of a pressure


def critical_ratio(gamma: float = GAMMA) -> float:
    """Pressure ratio p2/p1 at and below which the flow is choked: ``(2/(k+1))^(k/(k-1))``.

    k = ``gamma``. Valid for k above 1. No error is raised.
    Source: isentropic flow of an ideal gas (A. Barre de Saint-Venant, L. Wantzel 1839).

    >>> round(critical_ratio(), 3)
    0.528
    """
    return float((2.0 / (gamma + 1.0)) ** (gamma / (gamma - 1.0)))


def flow_factor(ratio: float, gamma: float = GAMMA) -> float:
    """Flow factor of an orifice, ``m sqrt(R T1) / (A p1)``, at a pressure ratio r = p2/p1.

    ``sqrt(2k/(k-1) (r^(2/k) - r^((k+1)/k)))``; constant at and below the critical ratio (choked),
    zero at r = 1 and above; k ``gamma``. Valid for an ideal gas. No error is raised.
    Source: Saint-Venant and Wantzel 1839.

    >>> round(flow_factor(0.2), 4), round(flow_factor(0.8), 4), flow_factor(1.0)
    (0.6847, 0.5607, 0.0)
    """
    if ratio >= 1.0:
        return 0.0
    r = max(ratio, critical_ratio(gamma))
    k = gamma
    return math.sqrt(2.0 * k / (k - 1.0) * (r ** (2.0 / k) - r ** ((k + 1.0) / k)))


def flow_factor_slope(ratio: float, gamma: float = GAMMA) -> float:
    """Derivative of ``flow_factor`` by the ratio; zero where choked, and at r = 1 and above.

    ``gamma`` as there. Valid as ``flow_factor``; it grows without bound towards r = 1.
    No error is raised. Source: differentiation.

    >>> round(flow_factor_slope(0.8), 4)
    -1.0202
    >>> flow_factor_slope(0.5)
    0.0
    """
    if ratio >= 1.0 or ratio <= critical_ratio(gamma):
        return 0.0
    k = gamma
    by_ratio = 2.0 / k * ratio ** (2.0 / k - 1.0) - (k + 1.0) / k * ratio ** (1.0 / k)
    return float(k / (k - 1.0) * by_ratio / flow_factor(ratio, gamma))


def air_through_orifice(
    area: float,
    upstream: float,
    downstream: float,
    temperature: float,
    discharge: float = 1.0,
    gamma: float = GAMMA,
    gas_constant: float = GAS_CONSTANT,
) -> float:
    """Mass flow of air in kg/s: ``m = Cd A p1 / sqrt(R T1) psi(p2/p1)``.

    Cd ``discharge``, A ``area`` m2, p1 ``upstream`` and p2 ``downstream`` Pa absolute, T1
    ``temperature`` upstream in K, R ``gas_constant`` J/(kg K), psi ``flow_factor`` by ``gamma``.
    Choked at p2/p1 of 0.528 and below. Valid where the opening is short against its width.
    ``Refusal`` (``out_of_range``) for a pressure or temperature that is not above zero. Source: as
    ``flow_factor``.

    0.1 mm, 100 kPa above the sea level atmosphere, 20 °C:

    >>> m = air_through_orifice(math.pi * 1e-8 / 4, 201325.0, 101325.0, 293.15)
    >>> round(m * 1e6, 3)
    3.732
    """
    _above_zero("upstream", upstream, _ABSOLUTE)
    _above_zero("temperature", temperature, "K")
    return (
        discharge
        * area
        * upstream
        / math.sqrt(gas_constant * temperature)
        * flow_factor(downstream / upstream, gamma)
    )


def air_through_capillary(
    conductance: float, upstream: float, downstream: float, temperature: float
) -> float:
    """Flow of air through a fine capillary in Pa m3/s: ``Q = K (p1^2 - p2^2) / (2 mu)``.

    K ``conductance`` m3 (a round one: pi r^4 / (8 L)), p1 ``upstream`` and p2 ``downstream`` Pa
    absolute, mu of air at ``temperature`` K. Valid for isothermal laminar flow, much longer than
    wide. No error is raised. Source: Poiseuille's law for a gas, as in EN 1779.

    >>> round(air_through_capillary(1e-17, 2e5, 1e5, 293.15) * 1e3, 1)
    8.3
    """
    return conductance * (upstream**2 - downstream**2) / (2.0 * air_viscosity(temperature))


def liquid_through_orifice(
    area: float, difference: float, density: float, discharge: float = 1.0
) -> float:
    """Flow of liquid in m3/s: ``Q = Cd A sqrt(2 dp / rho)``.

    Cd ``discharge``, A ``area`` m2, dp ``difference`` Pa, rho ``density`` kg/m3. Valid for a sharp
    edge and a Reynolds number well above 100. Zero for a difference below zero. No error is raised.
    Source: Torricelli, Bernoulli.

    Speed at 100 kPa, coolant: 13.7 m/s.

    >>> round(liquid_through_orifice(1.0, 100e3, 1068.0), 1)
    13.7
    """
    return discharge * area * math.sqrt(2.0 * max(difference, 0.0) / density)


def liquid_through_capillary(conductance: float, difference: float, viscosity: float) -> float:
    """Flow of liquid in m3/s: ``Q = K dp / mu``.

    K ``conductance`` m3, dp ``difference`` Pa, mu ``viscosity`` Pa s. Valid for laminar flow.
    No error is raised. Source: Poiseuille's law.

    >>> round(liquid_through_capillary(1e-17, 100e3, 1e-3) * 60e6, 3)
    0.06
    """
    return conductance * difference / viscosity


def air_viscosity(temperature: float) -> float:
    """Viscosity of air in Pa s at a temperature in K: Sutherland's law.

    ``mu = 1.716e-5 (T/273.15)^1.5 (273.15 + 110.4)/(T + 110.4)``. Valid 200 to 400 K within 1 %.
    No error is raised. Source: US Standard Atmosphere 1976 (its constants, from memory).

    >>> round(air_viscosity(293.15) * 1e6, 1)
    18.1
    """
    return float(1.716e-5 * (temperature / 273.15) ** 1.5 * 383.55 / (temperature + 110.4))


@dataclass(frozen=True)
class LiquidBounds:
    """Liquid flow in m3/s through one opening, as an ``orifice`` and as a laminar capillary."""

    orifice: float
    laminar: float

    @property
    def worse(self) -> float:
        """The larger of the two."""
        return max(self.orifice, self.laminar)

    @property
    def better(self) -> float:
        """The smaller of the two."""
        return min(self.orifice, self.laminar)


def liquid_for_air(
    air_flow: float,
    *,
    upstream: float,
    downstream: float,
    outside: float,
    temperature: float,
    difference: float,
    density: float,
    viscosity: float,
) -> LiquidBounds:
    """Liquid flow through the opening that lets this much air through, as a pair of bounds.

    Orifice: ``Q = (q P / (p1 psi)) sqrt(2 dp/rho) / sqrt(R T)``; capillary:
    ``Q = 2 q P mu_air dp / ((p1^2 - p2^2) mu)``. The discharge coefficient is taken as the same for
    air and liquid; choked air reaches up to a third more (0.6 to 0.8), so the orifice figure is a
    high one. Valid for the same direction of the pressure only; see the module.

    Parameters
    ----------
    air_flow: q, m3/s of air at the pressure ``outside`` (P) and the temperature of the air.
    upstream, downstream: p1 and p2 of the air, Pa absolute, p1 above p2.
    outside: P, atmosphere, Pa absolute.
    temperature: of the air, K.
    difference: dp of the liquid, Pa.
    density, viscosity: of the liquid, kg/m3 and Pa s.

    ``Refusal`` (``out_of_range``) where p1 is not above p2, or what must be above zero is not.
    Sources: as the flows above.

    Into a vacuum of 10 kPa absolute; hot coolant at 100 kPa:

    >>> pair = liquid_for_air(1.0, upstream=101325.0, downstream=10e3, outside=101325.0,
    ...     temperature=293.15, difference=100e3, density=1068.0, viscosity=0.83e-3)
    >>> round(1.0 / pair.orifice, 1), round(1.0 / pair.laminar)
    (14.5, 23)
    """
    for name, value, unit in (
        ("upstream", upstream, _ABSOLUTE),
        ("temperature", temperature, "K"),
        ("density", density, "kg/m3"),
        ("viscosity", viscosity, "Pa s"),
    ):
        _above_zero(name, value, unit)
    if downstream >= upstream:
        raise Refusal(
            "out_of_range",
            "refused.openings.air_flows_from_higher",
            "downstream",
            "accepted.below_upstream",
            {"upstream": Figure(upstream, "pressure")},
        )
    density_of_air = outside / (GAS_CONSTANT * temperature)
    area = air_flow * density_of_air / air_through_orifice(1.0, upstream, downstream, temperature)
    conductance = air_flow * outside / air_through_capillary(1.0, upstream, downstream, temperature)
    return LiquidBounds(
        liquid_through_orifice(area, difference, density),
        liquid_through_capillary(conductance, difference, viscosity),
    )


def _above_zero(name: str, value: float, unit: str | Sentence) -> None:
    if not value > 0.0:
        raise Refusal(
            "out_of_range",
            "refused.openings.above_zero",
            name,
            "accepted.above_zero_unit",
            {"name": name, "unit": unit},
        )
