"""Freezing point (first crystals) of coolant: pure glycol and water, and inhibited coolant.

K inside. The strength is the mass share of glycol; see ``fraction`` for the volume share.
"""

from __future__ import annotations

from typing import Final

from weeptrace.properties.fraction import Glycol
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

# Largest mass share that the tables reach.
PURE_LIMIT: Final[dict[Glycol, float]] = {"ethylene": 0.60, "propylene": 0.57}
INHIBITED_LIMIT: Final = 0.61  # ASHRAE ends at 60 % by mass and at 60 % by volume

# Coefficients of w, w^2, ... in K, least squares on the published rows (tests/properties/refit.py).
_PURE: Final[dict[Glycol, tuple[float, ...]]] = {
    "ethylene": (-30.7373484, -9.98214116, -194.265209, 95.5675439, 4.73107517),
    "propylene": (-20.0316553, -72.7303613, -23.301416, 200.629689, -459.652005),
}
_INHIBITED: Final[dict[Glycol, tuple[float, ...]]] = {
    "ethylene": (-31.3901616, -17.6313194, -109.232839),
    "propylene": (-34.3378565, 32.0038333, -194.507462),
}


def freeze_point(glycol: Glycol, mass_fraction: float) -> float:
    """Freezing point in K of pure glycol and water.

    ``T_f = 273.15 K + sum_i a_i w^i``, w ``mass_fraction``, a_i in K by ``glycol``.

    Valid 0 to 0.60 (ethylene), 0 to 0.57 (propylene); ``Refusal`` (``out_of_range``) beyond: the
    curve turns near its lowest point and must not be continued.
    Sources: ethylene glycol: CRC Handbook 102nd ed. and Melinder, IIR 2010; propylene glycol:
    Melinder, IIR 2010 (its printed table) and Lange's Handbook 15th ed.

    >>> round(freeze_point("ethylene", 0.40) - 273.15, 1)
    -23.8
    """
    return _polynomial(_PURE[glycol], mass_fraction, PURE_LIMIT[glycol], glycol)


def freeze_point_inhibited(glycol: Glycol, mass_fraction: float) -> float:
    """Freezing point in K of inhibited coolant, the figure that a mix plan uses.

    ``T_f = 273.15 K + sum_i a_i w^i``, w ``mass_fraction``, a_i in K by ``glycol``. Up to 3 K
    warmer than pure ethylene glycol at the same share: inhibitors and other glycols take the place
    of some of it.

    Valid 0 to 0.61; ``Refusal`` (``out_of_range``) beyond.
    Source: ASHRAE Handbook, Fundamentals 2001, inhibited glycol solutions.

    >>> round(freeze_point_inhibited("ethylene", 0.50) - 273.15, 1)
    -33.8
    """
    return _polynomial(_INHIBITED[glycol], mass_fraction, INHIBITED_LIMIT, glycol)


def mass_for_freeze_point_inhibited(glycol: Glycol, temperature: float) -> float:
    """Smallest mass share of inhibited glycol without crystals at a temperature in K.

    The inverse of ``freeze_point_inhibited`` by bisection (the curve only falls).

    Valid for temperatures that 0.61 reaches; ``Refusal`` (``out_of_range``) below.
    Source: as ``freeze_point_inhibited``.

    >>> round(mass_for_freeze_point_inhibited("ethylene", 273.15 - 33.8), 2)
    0.5
    """
    coldest = freeze_point_inhibited(glycol, INHIBITED_LIMIT)
    if temperature < coldest:
        raise Refusal(
            "out_of_range",
            "refused.freeze.no_strength_up_by",
            "temperature",
            "accepted.not_below_coldest",
            {
                "given": Figure(temperature, "temperature"),
                "coldest": Figure(coldest, "temperature"),
                "strongest": Figure(INHIBITED_LIMIT, "ratio"),
            },
        )
    low, high = 0.0, INHIBITED_LIMIT
    for _ in range(60):
        middle = (low + high) / 2.0
        if freeze_point_inhibited(glycol, middle) > temperature:
            low = middle
        else:
            high = middle
    return high


def _polynomial(a: tuple[float, ...], w: float, limit: float, glycol: Glycol) -> float:
    if not 0.0 <= w <= limit:
        raise Refusal(
            "out_of_range",
            "refused.freeze.freezing_point_glycol_known",
            "mass_fraction",
            "accepted.by_mass",
            {"glycol": glycol, "top": Figure(limit, "ratio"), "given": Figure(w, "ratio")},
        )
    return 273.15 + float(sum(c * w**i for i, c in enumerate(a, start=1)))
