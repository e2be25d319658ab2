"""Density of coolant: pure glycol and water, and inhibited coolant. SI: kg/m3, K."""

from __future__ import annotations

from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import Glycol, share
from weeptrace.properties.mixing import Reach, Terms, blend, refuse_outside

PURE_REACH: Final[dict[Glycol, Reach]] = {"ethylene": Reach(), "propylene": Reach(strongest=1.0)}
INHIBITED_REACH: Final[dict[Glycol, Reach]] = {
    "ethylene": Reach(strongest=0.92, strong_hottest=373.15),
    "propylene": Reach(),
}

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
        pure=(0.968156303, 0.0273723296, 0.046027903),
        mixing={
            (0, 0): -0.0769499394,
            (0, 1): 0.043840762,
            (0, 2): -0.0926317869,
            (0, 3): -0.00297291292,
            (1, 0): 0.0223422916,
            (1, 1): -0.0255544322,
            (1, 2): 0.075907062,
            (1, 3): 0.0121267023,
            (2, 0): 0.0216064109,
            (2, 1): -0.0348374402,
            (2, 2): -0.0554536041,
            (3, 0): 0.00722793893,
            (3, 1): 0.010799219,
        },
    ),
}
_INHIBITED: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(0.884291415, 0.0228305804, 0.0074306086),
        mixing={
            (0, 0): -0.0315985319,
            (0, 1): 0.00912837075,
            (0, 2): -0.0102356202,
            (1, 0): -0.00365468543,
            (1, 1): 0.000477973543,
            (2, 0): 0.00698996531,
        },
    ),
    "propylene": Terms(
        pure=(0.922877584, 0.0265176498, 0.0137995463),
        mixing={
            (0, 0): -0.00477349356,
            (0, 1): 0.0305302481,
            (0, 2): -0.020843133,
            (1, 0): -0.0516707037,
            (1, 1): -0.00191366487,
            (2, 0): 0.0380554567,
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
    refuse_outside(PURE_REACH[glycol], "Density", glycol, w, temperature)
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
    refuse_outside(INHIBITED_REACH[glycol], "Density", glycol, w, temperature)
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


def _density(terms: Terms, w: float, temperature: float) -> float:
    return 1000.0 / blend(1000.0 / water.density(temperature), terms, w, temperature)
