"""Refractive index of coolant at the sodium line, as a refractometer reads it. K inside."""

from __future__ import annotations

from typing import Final

from weeptrace.properties.fraction import Glycol, share
from weeptrace.refusal import Refusal

COLDEST: Final = 283.15  # K
HOTTEST: Final = 313.15  # K
_WATER_20: Final = 1.33299  # CRC Handbook 102nd ed.
_WATER_SLOPE: Final = -0.98e-4  # 1/K, the same, mean of 10 to 40 °C

# Coefficients of w, w^2, w^3 and of w (T - 293.15 K) (tests/properties/refit.py).
_ABOVE_WATER: Final[dict[Glycol, tuple[float, float, float, float]]] = {
    "ethylene": (0.0931557547, 0.0220892444, -0.0164490601, -1.61156343e-4),
    "propylene": (0.111185788, 0.0121830897, -0.0235378263, -2.38933761e-4),
}


def refractive_index(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Refractive index n_D of glycol and water at a temperature in K.

    ``n = n_water(T) + a w + b w^2 + c w^3 + d w (T - 293.15 K)``: w ``mass_fraction``, a to d by
    ``glycol``.

    Valid 0 to 1 by mass, 10 to 40 °C; ``Refusal`` (``out_of_range``) beyond. A drop 10 K hotter
    than the prism's scale reads about 2 % of glycol low.
    Sources: CRC Handbook 102nd ed. (ethylene); MacBeth 1951, Gerke 2023 (propylene); the slope of
    neat ethylene glycol, -2.6e-4 1/K, from memory.

    >>> round(refractive_index("ethylene", 0.40, 293.15), 3)
    1.373
    """
    w = share(mass_fraction, "mass_fraction")
    if not COLDEST <= temperature <= HOTTEST:
        raise Refusal(
            "out_of_range",
            f"The refractive index is known from 10 to 40 °C; this is "
            f"{temperature - 273.15:.4g} °C. Let the drop come to the temperature of the prism.",
            "temperature",
            "10 to 40 °C",
        )
    a, b, c, d = _ABOVE_WATER[glycol]
    warmer = temperature - 293.15
    return _WATER_20 + _WATER_SLOPE * warmer + w * (a + w * (b + w * c) + d * warmer)
