"""What coolant does to a closed system as it warms: it expands and evaporates. SI: K, Pa, 1/K."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from weeptrace.properties.boiling import vapour_pressure
from weeptrace.properties.fraction import Glycol

# K: where the vapour pressure equation begins and ends.
COLDEST: Final = 273.15
HOTTEST: Final = 523.15


def expansion_net(
    temperature: float, limits: Mapping[str, float], glycol: Glycol = "ethylene"
) -> float:
    """Net expansion in 1/K of coolant at a temperature in K, that of the metal taken off.

    ``beta = b (1 + g (T - 20 °C))``, times ``hold.expansion_propylene`` for propylene ``glycol``;
    b ``hold.expansion``, g ``hold.expansion_growth`` of ``limits``. A rise from T1 to T2 takes it
    at (T1 + T2)/2.

    Valid for 40 to 60 % glycol by volume, 10 to 100 °C, within 20 %: published densities of
    inhibited coolant and of pure glycol differ by that much. No error is raised.
    Source: slope of those densities less 5e-5 1/K of the metal (common practice 3.5e-5 to 7e-5).

    >>> from weeptrace.rules import limits
    >>> [round(1e4 * expansion_net(273.15 + t, limits()), 1) for t in (20, 40, 60, 85)]
    [4.4, 5.1, 5.7, 6.5]
    """
    growth = 1.0 + limits["hold.expansion_growth"] * (temperature - 293.15)
    factor = limits["hold.expansion_propylene"] if glycol == "propylene" else 1.0
    return limits["hold.expansion"] * growth * factor


@dataclass(frozen=True)
class Coolant:
    """The coolant's glycol and its share by mass."""

    glycol: Glycol
    mass_fraction: float

    def vapour(self, temperature: float) -> float:
        """Vapour pressure in Pa at a temperature in K; below 0 °C that of 0 °C, which is small.

        >>> round(Coolant("ethylene", 0.527).vapour(333.15) / 1e3, 1)
        15.1
        """
        return vapour_pressure(
            self.glycol, self.mass_fraction, min(max(temperature, COLDEST), HOTTEST)
        )

    def vapour_slope(self, temperature: float) -> float:
        """Its change with temperature, Pa/K: a central difference over 1 K.

        >>> round(Coolant("ethylene", 0.527).vapour_slope(328.15))
        573
        """
        return self.vapour(temperature + 0.5) - self.vapour(temperature - 0.5)
