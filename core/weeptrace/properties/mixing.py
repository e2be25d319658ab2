"""The one shape that density and viscosity share: two pure liquids and what mixing adds.

``y(w, T) = (1 - w) y_water(T) + w sum_j p_j s^j + w (1 - w) sum_ij m_ij (1 - 2 w)^i s^j`` with
``s = (T - 298.15 K) / 50 K``: y is the specific volume (an excess volume after Redlich and Kister)
or the logarithm of the viscosity (after Grunberg and Nissan). The coefficients come from a weighted
least-squares fit to published tables; the tests repeat the fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from weeptrace.properties.fraction import Glycol
from weeptrace.properties.freeze import PURE_LIMIT, freeze_point
from weeptrace.refusal import Refusal

_DILUTE = 0.63  # mass share up to which the tables reach from freezing to 100 °C
COLDEST = 228.15  # K: -45 °C
_HOTTEST = 373.15  # K: 100 °C
_FREEZING_KNOWN_TO = 0.5  # K
_ROUNDING = 1e-9  # K: -30 °C is not exactly 243.15 K in binary
_STRONG_COLDEST, _STRONG_HOTTEST = 288.15, 313.15  # K: 15 and 40 °C


@dataclass(frozen=True)
class Terms:
    """Coefficients of one glycol: ``pure`` by power of s, ``mixing`` by (power of 1-2w, of s)."""

    pure: Sequence[float]
    mixing: dict[tuple[int, int], float]


def blend(water: float, terms: Terms, mass_fraction: float, temperature: float) -> float:
    """The mixture's y from water's y, the mass share of glycol and the temperature in K."""
    w, s = mass_fraction, (temperature - 298.15) / 50.0
    glycol = sum(p * s**j for j, p in enumerate(terms.pure))
    excess = sum(m * (1.0 - 2.0 * w) ** i * s**j for (i, j), m in terms.mixing.items())
    return float((1.0 - w) * water + w * glycol + w * (1.0 - w) * excess)


def refuse_outside_tables(
    what: str,
    glycol: Glycol,
    mass_fraction: float,
    kelvin: float,
    *,
    coldest: float = COLDEST,
    strong: bool = True,
) -> None:
    """Raise ``Refusal`` (``out_of_range``) where no published table backs the equation.

    Up to 63 % by mass: from the freezing point (``coldest`` in K at the lowest) to 100 °C; the
    freezing point itself is known to 0.5 K, so that much below it passes. Above 63 % only
    pure propylene glycol, 15 to 40 °C, and not where ``strong`` is false.
    """
    w = mass_fraction
    celsius = kelvin - 273.15
    if w > _DILUTE and not (strong and glycol == "propylene"):
        raise Refusal(
            "out_of_range",
            f"{what} of {glycol} glycol is known up to 63 % by mass; this is {100 * w:.4g} %.",
            "mass_fraction",
            "0 to 0.63 by mass",
        )
    low, high = coldest, _HOTTEST
    if w > _DILUTE:
        low, high = _STRONG_COLDEST, _STRONG_HOTTEST
    elif w <= PURE_LIMIT[glycol]:
        low = max(low, freeze_point(glycol, w) - _FREEZING_KNOWN_TO)
    if not low - _ROUNDING <= kelvin <= high + _ROUNDING:
        accepted = f"{low - 273.15:.1f} to {high - 273.15:.1f} °C"
        raise Refusal(
            "out_of_range",
            f"{what} at {100 * w:.4g} % glycol by mass is known from {accepted}; "
            f"this is {celsius:.4g} °C.",
            "temperature",
            accepted,
        )
