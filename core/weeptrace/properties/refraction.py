"""Refractive index of coolant at the sodium line, as a refractometer reads it. K inside."""

from __future__ import annotations

from typing import Final

from weeptrace.properties.fraction import Glycol, share
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

COLDEST: Final = 283.15  # K
HOTTEST: Final = 313.15  # K
INDEX_OF_WATER: Final = 1.33299  # at 20 °C, CRC Handbook 102nd ed.
_WATER_SLOPE: Final = -0.98e-4  # 1/K, the same, mean of 10 to 40 °C

# Coefficients of w, w^2, w^3 and of w (T - 293.15 K) (tests/properties/refit.py).
_ABOVE_WATER: Final[dict[Glycol, tuple[float, float, float, float]]] = {
    "ethylene": (0.0931557547, 0.0220892444, -0.0164490601, -0.000161156343),
    "propylene": (0.111185788, 0.0121830897, -0.0235378263, -0.000238933761),
}

STRONGEST_BRIX: Final = 60.0  # end of the rows that it was fitted to
# Coefficients of (b/100)^0, ^1, ... (tests/properties/refit.py).
_SUCROSE: Final = (1.33298736, 0.142799792, 0.0537830733, 0.017738561, 0.000546861222)


def refractive_index(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Refractive index n_D of glycol and water at a temperature in K.

    ``n = n_water(T) + a w + b w^2 + c w^3 + d w (T - 293.15 K)``: w ``mass_fraction``, a to d by
    ``glycol``.

    Valid 0 to 1 by mass, 10 to 40 °C; ``Refusal`` (``out_of_range``) beyond. A drop 10 K hotter
    than the prism's scale reads about 2 % of glycol low.
    Sources: CRC Handbook 102nd ed. (ethylene); MacBeth 1951, Gerke 2023 (propylene); the slope of
    neat ethylene glycol, -2.6e-4 1/K, from memory; by the printed densities of its mixtures
    (Gladstone and Dale) they fall 5 to 13 % faster, 0.0003 over 10 K.

    >>> round(refractive_index("ethylene", 0.40, 293.15), 3)
    1.373
    """
    w = share(mass_fraction, "mass_fraction")
    if not COLDEST <= temperature <= HOTTEST:
        raise Refusal(
            "out_of_range",
            "refused.refraction.refractive_index_known_from",
            "temperature",
            "accepted.temperature_between",
            {
                "given": Figure(temperature, "temperature"),
                "low": Figure(COLDEST, "temperature"),
                "high": Figure(HOTTEST, "temperature"),
            },
        )
    a, b, c, d = _ABOVE_WATER[glycol]
    warmer = temperature - 293.15
    return INDEX_OF_WATER + _WATER_SLOPE * warmer + w * (a + w * (b + w * c) + d * warmer)


def index_from_brix(brix: float) -> float:
    """Refractive index at 20 °C that a sucrose scale shows as ``brix`` (% of sucrose by mass).

    ``n = sum a_i (b/100)^i``.

    Valid 0 to 60 within 2e-5; ``Refusal`` (``out_of_range``) beyond. Neat glycol reads about 56.
    Source: ICUMSA SPS-3 (1974), least squares.

    >>> round(index_from_brix(30.0), 4)
    1.3812
    """
    if not 0.0 <= brix <= STRONGEST_BRIX:
        raise Refusal(
            "out_of_range",
            "refused.refraction.sucrose_scale_known_from",
            "brix",
            "accepted.bx",
            {"strongest_brix": STRONGEST_BRIX, "brix": brix},
        )
    return float(sum(a * (brix / 100.0) ** i for i, a in enumerate(_SUCROSE)))


def brix_from_index(index: float) -> float:
    """The inverse of ``index_from_brix``, by bisection: what a sucrose scale shows.

    ``index`` is n_D at 20 °C. Valid from water to 60 °Bx; ``Refusal`` (``out_of_range``) beyond.
    Source: as ``index_from_brix``.

    40 % by mass of ethylene glycol:

    >>> round(brix_from_index(1.3728), 1)
    25.3
    """
    low, high = 0.0, STRONGEST_BRIX
    if not index_from_brix(low) - 1e-4 <= index <= index_from_brix(high):
        raise Refusal(
            "out_of_range",
            "refused.refraction.sucrose_scale_runs_from",
            "index",
            "accepted.index_between",
            {
                "least": index_from_brix(low),
                "most": index_from_brix(high),
                "index": index,
            },
        )
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        if index_from_brix(middle) < index:
            low = middle
        else:
            high = middle
    return high
