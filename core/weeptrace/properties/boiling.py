"""Vapour pressure and boiling point of coolant. SI: Pa absolute, K."""

from __future__ import annotations

from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import Glycol, mole_share_of_water
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

LOWEST: Final = 2e3  # Pa absolute
HIGHEST: Final = 400e3
COLDEST: Final = 273.15  # K
HOTTEST: Final = 523.15

# A, B, C of log10(p / kPa) = A - B / (t + C), t in °C.
# Ethylene: the producer's constants of 2008 as its boiling points of the neat glycol give them
# (tests/properties/refit.py). Propylene: Stull 1947 (from memory).
_ANTOINE: Final[dict[Glycol, tuple[float, float, float]]] = {
    "ethylene": (7.33898315, 2163.71613, 208.620518),
    "propylene": (8.07936, 2692.187, 255.21),
}


def vapour_pressure(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Vapour pressure in Pa absolute over glycol and water at a temperature in K.

    Raoult's law with both vapours: ``p = x_w p_water(T) + (1 - x_w) p_glycol(T)``, x_w the mole
    share of water at ``mass_fraction``, p_water by IAPWS-IF97, p_glycol by Antoine's equation.

    Valid 0 to 1 by mass, 0 to 250 °C; ``Refusal`` (``out_of_range``) beyond.
    Sources: IAPWS-IF97; the producer's Antoine constants (ethylene glycol, 2008); Stull 1947.

    >>> round(vapour_pressure("ethylene", 0.527, 333.15) / 1e3, 1)
    15.1
    """
    if not COLDEST <= temperature <= HOTTEST:
        raise Refusal(
            "out_of_range",
            "refused.boiling.vapour_pressure_known_from",
            "temperature",
            "accepted.temperature_between",
            {
                "given": Figure(temperature, "temperature"),
                "low": Figure(COLDEST, "temperature"),
                "high": Figure(HOTTEST, "temperature"),
            },
        )
    x = mole_share_of_water(glycol, mass_fraction)
    return x * water.saturation_pressure(temperature) + (1.0 - x) * _neat(glycol, temperature)


def boiling_point(glycol: Glycol, mass_fraction: float, pressure: float) -> float:
    """Boiling point in K of glycol and water at an absolute pressure in Pa.

    The temperature at which ``vapour_pressure`` at ``mass_fraction`` equals the pressure, by
    bisection between 0 and 250 °C to 1e-9 K.

    Valid 0 to 1 by mass, 2 to 400 kPa absolute; ``Refusal`` (``out_of_range``) beyond. A cap that
    opens at 100 kPa gauge at sea level is 201 kPa absolute.
    Sources: as ``vapour_pressure``; within 1 K of the producer's table up to neat glycol.

    >>> round(boiling_point("ethylene", 0.50, 101325.0) - 273.15, 1)
    107.1
    """
    if not LOWEST <= pressure <= HIGHEST:
        raise Refusal(
            "out_of_range",
            "refused.boiling.boiling_point_known_from",
            "pressure",
            "accepted.pressure_between",
            {
                "given": Figure(pressure, "pressure"),
                "low": Figure(LOWEST, "pressure"),
                "high": Figure(HIGHEST, "pressure"),
            },
        )
    low, high = COLDEST, HOTTEST
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        if vapour_pressure(glycol, mass_fraction, middle) < pressure:
            low = middle
        else:
            high = middle
    return high


def _neat(glycol: Glycol, temperature: float) -> float:
    a, b, c = _ANTOINE[glycol]
    return 1e3 * float(10.0 ** (a - b / (temperature - 273.15 + c)))
