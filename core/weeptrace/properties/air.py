"""Air: the standard atmosphere at an altitude. SI: m, Pa, K, kg/m3."""

from __future__ import annotations

from typing import Final

from weeptrace.refusal import Refusal
from weeptrace.told import Figure

LOWEST: Final = -500.0  # m
HIGHEST: Final = 5000.0  # m
SEA_LEVEL: Final = 101325.0  # Pa
_EARTH: Final = 6356766.0  # m, nominal radius of the standard


def pressure(altitude: float) -> float:
    """Standard atmospheric pressure in Pa at a geopotential altitude in m.

    ``p = 101325 Pa (1 - 0.0065 H / 288.15)^5.255880`` (the exponent is g_n / (R 0.0065 K/m)).

    The standard is written in geopotential altitude H. A map gives geometric altitude Z; the two
    differ by 0.6 m at 2000 m and 3.9 m at 5000 m, far below the weather's +/- 3 kPa, so a map's
    figure may be used as it stands. ``geopotential`` converts where it matters.

    Valid -500 m to 5000 m; ``Refusal`` (``out_of_range``) beyond.
    Source: ISO 2533:1975, troposphere.

    >>> round(pressure(1900.0))
    80487
    """
    if not LOWEST <= altitude <= HIGHEST:
        raise Refusal(
            "out_of_range",
            "refused.air.altitude_accepted_check_unit",
            "altitude",
            "accepted.altitude",
            {
                "altitude": Figure(altitude, "length"),
                "low": Figure(LOWEST, "length"),
                "high": Figure(HIGHEST, "length"),
            },
        )
    return float(SEA_LEVEL * (1.0 - 0.0065 * altitude / 288.15) ** 5.255880)


def geopotential(altitude: float) -> float:
    """Geopotential altitude in m of a geometric altitude in m: ``H = r Z / (r + Z)``.

    Valid wherever ``pressure`` is. No error is raised.
    Source: ISO 2533:1975, r = 6 356 766 m.

    >>> round(geopotential(2000.0), 2)
    1999.37
    """
    return _EARTH * altitude / (_EARTH + altitude)


def temperature(altitude: float) -> float:
    """Standard temperature in K at a geopotential altitude in m: ``T = 288.15 K - 0.0065 K/m H``.

    Valid -500 m to 5000 m, H ``altitude``; ``Refusal`` (``out_of_range``) beyond.
    Source: ISO 2533:1975, troposphere.

    >>> temperature(2000.0)
    275.15
    """
    pressure(altitude)
    return 288.15 - 0.0065 * altitude


def density(altitude: float) -> float:
    """Standard density of air in kg/m3 at a geopotential altitude in m: ``rho = p / (R T)``.

    R = 287.05287 J/(kg K), p ``pressure`` and T ``temperature`` at H ``altitude``.

    Valid -500 m to 5000 m; ``Refusal`` (``out_of_range``) beyond. Source: ISO 2533:1975.

    >>> round(density(0.0), 4)
    1.225
    """
    return pressure(altitude) / (287.05287 * temperature(altitude))
