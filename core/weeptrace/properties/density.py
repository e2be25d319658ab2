"""Density of coolant: pure glycol and water, and inhibited coolant. SI: kg/m3, K."""

from __future__ import annotations

from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import GLYCOL_20, Glycol, share
from weeptrace.properties.mixing import Reach, Terms, blend, refuse_outside
from weeptrace.refusal import Refusal
from weeptrace.told import Sentence

PURE_REACH: Final[dict[Glycol, Reach]] = {"ethylene": Reach(), "propylene": Reach(strongest=1.0)}
INHIBITED_REACH: Final[dict[Glycol, Reach]] = {
    "ethylene": Reach(strongest=0.92, strong_hottest=373.15),
    "propylene": Reach(),
}

_AT_20: Final = 293.15  # K

# Specific volume in L/kg, least squares on the published rows (tests/properties/refit.py).
_PURE: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(0.90105714, 0.0283951936, 0.00147589811),
        mixing={
            (0, 0): -0.0417023075,
            (0, 1): 0.0189486395,
            (0, 2): -0.00429965036,
            (0, 3): -0.00121257402,
            (1, 0): 0.014625228,
            (1, 1): 0.000541776637,
            (1, 2): -0.0335089903,
            (1, 3): 0.0220856103,
            (2, 0): 0.0311164547,
            (2, 1): -0.00615501911,
            (2, 2): 0.0112769206,
            (3, 0): -0.027591697,
            (3, 1): -0.0333443731,
        },
    ),
    "propylene": Terms(
        pure=(0.96811446, 0.0226322669, 0.0756122125),
        mixing={
            (0, 0): -0.0753965864,
            (0, 1): 0.0509152845,
            (0, 2): -0.154262538,
            (0, 3): -0.00148691884,
            (1, 0): 0.0235690626,
            (1, 1): -0.0568135946,
            (1, 2): 0.133699129,
            (1, 3): 0.0259734706,
            (2, 0): 0.0171082722,
            (2, 1): -0.0228235372,
            (2, 2): -0.104563263,
            (3, 0): 0.00672672442,
            (3, 1): 0.0405224121,
        },
    ),
}
_INHIBITED: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(0.88391301, 0.022830465, 0.00747523813),
        mixing={
            (0, 0): -0.0321548628,
            (0, 1): 0.00922074115,
            (0, 2): -0.0103248672,
            (1, 0): -0.000493372851,
            (1, 1): 0.000247761444,
            (2, 0): 0.00735543596,
        },
    ),
    "propylene": Terms(
        pure=(0.925475438, 0.025460846, 0.0140775325),
        mixing={
            (0, 0): -0.011765864,
            (0, 1): 0.0331436948,
            (0, 2): -0.0212819431,
            (1, 0): -0.0450222667,
            (1, 1): -0.00403658194,
            (2, 0): 0.0376650725,
        },
    ),
}


def density(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Density in kg/m3 of pure glycol and water at a temperature in K.

    ``1/rho = (1 - w)/rho_water(T) + w v_g(T) + w (1 - w) sum m_ij (1 - 2w)^i s^j``: w
    ``mass_fraction``, coefficients by ``glycol``; see ``mixing``.

    Valid from the freezing point to 100 °C up to w = 0.63; propylene glycol above that 15 to 40 °C;
    ``Refusal`` (``out_of_range``) beyond. Propylene glycol has its maximum near w = 0.7, so a
    density alone does not give its strength.
    Sources: ethylene glycol: CRC Handbook 102nd ed.; Melinder, IIR 2010. Propylene glycol:
    Melinder 2010; Nakanishi 1967; MacBeth 1951; George 2003; Khattab 2017. Above 40 °C
    Melinder's polynomial, which runs to 100 °C.

    >>> round(density("ethylene", 0.40, 293.15), -1)
    1050.0
    """
    w = share(mass_fraction, "mass_fraction")
    refuse_outside(PURE_REACH[glycol], Sentence("reason.named.density"), glycol, w, temperature)
    return _density(_PURE[glycol], w, temperature)


def density_inhibited(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Density in kg/m3 of inhibited coolant at a temperature in K: what a weighed jug holds.

    The form of ``density``, w ``mass_fraction``, with coefficients of its own by ``glycol``:
    inhibitors add about 5 kg/m3 near 50 %.

    Valid from the freezing point to 100 °C up to w = 0.63; ethylene glycol from 15 to 100 °C up to
    w = 0.92; ``Refusal`` (``out_of_range``) beyond.
    Source: ASHRAE Handbook, Fundamentals 2001, inhibited glycol solutions.

    >>> round(density_inhibited("ethylene", 0.527, 293.15), -1)
    1070.0
    """
    w = share(mass_fraction, "mass_fraction")
    refuse_outside(
        INHIBITED_REACH[glycol], Sentence("reason.named.density"), glycol, w, temperature
    )
    return _density(_INHIBITED[glycol], w, temperature)


def expansion(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Volume expansion coefficient in 1/K of inhibited coolant at a temperature in K.

    ``beta = -(1/rho) d rho/dT`` over +/- 1 K, of ``glycol`` at ``mass_fraction``. The engine's
    metal takes off 3.5e-5 to 7e-5 1/K.

    Valid 1 K inside the limits of ``density``; ``Refusal`` (``out_of_range``) beyond.
    Source: as ``density_inhibited``.

    >>> 4.0e-4 < expansion("ethylene", 0.527, 293.15) < 5.0e-4
    True
    """
    below = density_inhibited(glycol, mass_fraction, temperature - 1.0)
    above = density_inhibited(glycol, mass_fraction, temperature + 1.0)
    return (below - above) / (below + above)


def mass_from_volume_of_mixture(glycol: Glycol, volume_fraction: float) -> float:
    """Mass share of glycol from the volume it had, over the volume of the mixture, at 20 °C.

    ``w rho(w) = v rho_g``: v ``volume_fraction``, rho ``density`` of pure ``glycol`` and water, by
    fixed-point steps. The mixture is smaller than its parts, so this share reads above that of the
    unmixed volumes: by 0.5 points near 50 % by mass of ethylene glycol.

    Valid up to the strongest mixture of ``density``, 63 % by mass of ethylene glycol; ``Refusal``
    (``out_of_range``) beyond. Source: definition; ``density``.

    >>> round(mass_from_volume_of_mixture("ethylene", 0.478), 3)
    0.5
    """
    v = share(volume_fraction, "volume_fraction")
    top = volume_of_mixture_from_mass(glycol, PURE_REACH[glycol].strongest)
    if v > top:
        raise Refusal(
            "out_of_range",
            "refused.density.share_mixed_volume_known",
            "volume_fraction",
            "accepted.mixed_share",
            {"value": 100 * top, "glycol": glycol, "value_2": 100 * v},
        )
    w = 0.0
    for _ in range(60):
        w = v * GLYCOL_20[glycol] / _density(_PURE[glycol], w, _AT_20)
    return min(w, PURE_REACH[glycol].strongest)


def volume_of_mixture_from_mass(glycol: Glycol, mass_fraction: float) -> float:
    """The inverse: ``v = w rho(w) / rho_g`` at 20 °C, w ``mass_fraction`` of ``glycol``.

    Valid and refused (``Refusal``, ``out_of_range``) as ``density`` at 20 °C.
    Source: definition; ``density``.

    >>> round(volume_of_mixture_from_mass("ethylene", 0.5), 3)
    0.478
    """
    return mass_fraction * density(glycol, mass_fraction, _AT_20) / GLYCOL_20[glycol]


def _density(terms: Terms, w: float, temperature: float) -> float:
    return 1000.0 / blend(1000.0 / water.density(temperature), terms, w, temperature)
