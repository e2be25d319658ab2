"""The one shape that density and viscosity share: two pure liquids and what mixing adds.

``y(w, T) = (1 - w) y_water(T) + w sum_j p_j s^j + w (1 - w) sum_ij m_ij (1 - 2 w)^i s^j`` with
``s = (T - 298.15 K) / 50 K``: y is the specific volume (an excess volume after Redlich and Kister,
1948) or the logarithm of the viscosity (after Grunberg and Nissan, 1949). The coefficients come
from a weighted least-squares fit to published tables; the tests repeat the fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from weeptrace.properties.fraction import Glycol
from weeptrace.properties.freeze import PURE_LIMIT, freeze_point
from weeptrace.refusal import Refusal
from weeptrace.told import Figure, Figures, Sentence

_FREEZING_KNOWN_TO = 0.5  # K
_ROUNDING = 1e-9  # K: -30 °C is not exactly 243.15 K in binary


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


@dataclass(frozen=True)
class Reach:
    """How far the published tables reach, for one property of one glycol.

    Up to ``dilute`` by mass: from the freezing point, or ``coldest`` if that is higher, to
    ``hottest``. From there up to ``strongest``: ``strong_coldest`` to ``strong_hottest``. K.
    """

    coldest: float = 228.15
    hottest: float = 373.15
    dilute: float = 0.63
    strongest: float = 0.63
    strong_coldest: float = 288.15
    strong_hottest: float = 313.15

    def told(self) -> Sentence:
        """The reach in words."""
        dilute: Figures = {
            "coldest": Figure(self.coldest, "temperature"),
            "hottest": Figure(self.hottest, "temperature"),
            "dilute": Figure(self.dilute, "ratio"),
        }
        if self.strongest <= self.dilute:
            return Sentence("reason.reach.dilute", dilute)
        return Sentence(
            "reason.reach.strong",
            {
                **dilute,
                "strong_coldest": Figure(self.strong_coldest, "temperature"),
                "strong_hottest": Figure(self.strong_hottest, "temperature"),
                "strongest": Figure(self.strongest, "ratio"),
            },
        )


def refuse_outside(reach: Reach, what: Sentence, glycol: Glycol, w: float, kelvin: float) -> None:
    """Raise ``Refusal`` (``out_of_range``) where no published table backs the equation.

    The freezing point itself is known to 0.5 K, so that much below it passes.
    """
    if w > reach.strongest:
        raise Refusal(
            "out_of_range",
            "refused.mixing.glycol_known_up_by",
            "mass_fraction",
            "accepted.by_mass",
            {
                "what": what,
                "glycol": glycol,
                "top": Figure(reach.strongest, "ratio"),
                "given": Figure(w, "ratio"),
            },
        )
    low, high = reach.coldest, reach.hottest
    if w > reach.dilute:
        low, high = reach.strong_coldest, reach.strong_hottest
    elif w <= PURE_LIMIT[glycol]:
        low = max(low, freeze_point(glycol, w) - _FREEZING_KNOWN_TO)
    if not low - _ROUNDING <= kelvin <= high + _ROUNDING:
        raise Refusal(
            "out_of_range",
            "refused.mixing.at_glycol_by_mass",
            "temperature",
            "accepted.temperature_between",
            {
                "what": what,
                "share": Figure(w, "ratio"),
                "low": Figure(low, "temperature"),
                "high": Figure(high, "temperature"),
                "given": Figure(kelvin, "temperature"),
            },
        )
