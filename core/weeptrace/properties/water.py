"""Water: saturation (IAPWS-IF97 region 4); density, viscosity, specific heat at one atmosphere.

SI: K, Pa, kg/m3, Pa s, J/(kg K).
"""

from __future__ import annotations

import math
from typing import Final

from weeptrace.refusal import Refusal
from weeptrace.told import Figure

TRIPLE: Final = 273.15  # K, lower end of region 4
CRITICAL: Final = 647.096  # K, its upper end
LOWEST_PRESSURE: Final = 611.213  # Pa, saturation at 273.15 K
HIGHEST_PRESSURE: Final = 22.064e6  # Pa, critical pressure

# IAPWS-IF97, table 34.
_N: Final = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)

_HEAT: Final = (4218.97631, -320.678527, 974.415989, -1447.79341, 1135.2898, -345.035775)


def saturation_pressure(temperature: float) -> float:
    """Saturation pressure in Pa of water at a temperature in K.

    ``p = 1 MPa [2C / (-B + sqrt(B^2 - 4AC))]^4`` with ``v = T + n9/(T - n10)`` and A, B, C
    quadratic in v: the closed form of the region-4 equation.

    Valid 273.15 K to 647.096 K; ``Refusal`` (``out_of_range``) beyond.
    Source: IAPWS-IF97, region 4, equation 30; its table 35 gives 3.53658941 kPa at 300 K.

    >>> round(saturation_pressure(300.0), 5)
    3536.58941
    """
    if not TRIPLE <= temperature <= CRITICAL:
        raise Refusal(
            "out_of_range",
            "refused.water.waters_saturation_known_from",
            "temperature",
            "accepted.temperature_between",
            {
                "given": Figure(temperature, "temperature"),
                "low": Figure(TRIPLE, "temperature"),
                "high": Figure(CRITICAL, "temperature"),
            },
        )
    v = temperature + _N[8] / (temperature - _N[9])
    a = v * v + _N[0] * v + _N[1]
    b = _N[2] * v * v + _N[3] * v + _N[4]
    c = _N[5] * v * v + _N[6] * v + _N[7]
    return 1e6 * float((2.0 * c / (-b + math.sqrt(b * b - 4.0 * a * c))) ** 4)


def saturation_temperature(pressure: float) -> float:
    """Saturation temperature in K of water at an absolute pressure in Pa.

    ``T = [n10 + D - sqrt((n10 + D)^2 - 4 (n9 + n10 D))] / 2`` with ``D = 2G / (-F - sqrt(F^2 -
    4EG))`` and E, F, G quadratic in ``(p / 1 MPa)^(1/4)``.

    Valid 611.213 Pa to 22.064 MPa; ``Refusal`` (``out_of_range``) beyond.
    Source: IAPWS-IF97, region 4, equation 31; its table 36 gives 372.755919 K at 0.1 MPa.

    >>> round(saturation_temperature(0.1e6), 6)
    372.755919
    """
    if not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
        raise Refusal(
            "out_of_range",
            "refused.water.waters_saturation_known_from_2",
            "pressure",
            "accepted.pressure_between",
            {
                "given": Figure(pressure, "pressure"),
                "low": Figure(LOWEST_PRESSURE, "pressure"),
                "high": Figure(HIGHEST_PRESSURE, "pressure"),
            },
        )
    b = math.pow(pressure / 1e6, 0.25)
    e = b * b + _N[2] * b + _N[5]
    f = _N[0] * b * b + _N[3] * b + _N[6]
    g = _N[1] * b * b + _N[4] * b + _N[7]
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    return (_N[9] + d - math.sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d))) / 2.0


def density(temperature: float) -> float:
    """Density in kg/m3 of air-free water at 101.325 kPa at a temperature in K.

    Kell's ratio of a fifth-order polynomial to ``1 + 0.01687985 t``, t in °C.

    Valid 0 to 150 °C. Below 0 °C it goes on along its tangent and serves only inside the mixture
    equations, which were fitted with it: water itself is ice there. No error is raised.
    Source: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, equation 16 (from memory; checked against
    published densities in the tests).

    >>> round(density(293.15), 2)
    998.2
    """
    t = temperature - 273.15
    if t < 0.0:
        return 999.83952 + 0.068035 * t
    top = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return top / (1.0 + 16.879850e-3 * t)


def viscosity(temperature: float) -> float:
    """Viscosity in Pa s of water at 0.1 MPa at a temperature in K.

    ``mu = 1e-6 Pa s  sum a_i (T / 300 K)^b_i``.

    Valid 273.15 K to 383.15 K. Below 0 °C its logarithm goes on along its tangent and serves only
    inside the mixture equations, which were fitted with it. No error is raised.
    Source: IAPWS, Revised Release on the viscosity of ordinary water substance (2008), section 3.1,
    as in the supplementary release for liquid water at 0.1 MPa (from memory; checked in the tests).

    >>> round(1e3 * viscosity(298.15), 3)
    0.89
    """
    if temperature < TRIPLE:
        return viscosity(TRIPLE) * math.exp(-0.034841 * (temperature - TRIPLE))
    r = temperature / 300.0
    terms = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
    return 1e-6 * math.fsum(a * math.pow(r, b) for a, b in terms)


def specific_heat(temperature: float) -> float:
    """Specific heat in J/(kg K) of water at 101.325 kPa at a temperature in K.

    ``c = sum a_i (t / 100 °C)^i``, t in °C.

    Valid 0 to 100 °C within 0.05 %. Below 0 °C it goes on along its tangent and serves only inside
    the mixture equation, which was fitted with it. No error is raised.
    Source: IAPWS-95 as CoolProp evaluates it, least squares (``tests/properties/refit.py``).

    >>> round(specific_heat(293.15), -1)
    4180.0
    """
    t = (temperature - 273.15) / 100.0
    if t < 0.0:
        return _HEAT[0] + _HEAT[1] * t
    return math.fsum(a * t**i for i, a in enumerate(_HEAT))
