"""Viscosity of coolant: pure glycol and water, and inhibited coolant. SI: Pa s, K."""

from __future__ import annotations

import math
from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import Glycol, share
from weeptrace.properties.mixing import Reach, Terms, blend, refuse_outside
from weeptrace.told import Sentence

REACH: Final[dict[Glycol, Reach]] = {
    "ethylene": Reach(coldest=243.15),
    "propylene": Reach(coldest=243.15, strongest=1.0),
}
INHIBITED_REACH: Final = Reach(coldest=243.15)

# ln(viscosity / mPa s), least squares on the published rows (tests/properties/refit.py).
_PURE: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(2.80961294, -2.03874111, 0.672340519, -0.312972089, 0.0959441725),
        mixing={
            (0, 0): -0.709989408,
            (0, 1): 0.460914929,
            (0, 2): -0.0650969527,
            (0, 3): -0.060379963,
            (1, 0): 0.382145764,
            (1, 1): 0.651244757,
            (1, 2): 0.152791559,
            (1, 3): -0.219195657,
            (2, 0): -0.196736713,
            (2, 1): -3.22800082,
            (2, 2): 0.341079069,
            (3, 0): -0.148250914,
            (3, 1): 3.12284069,
        },
    ),
    "propylene": Terms(
        pure=(3.78797022, -2.81916377, 0.781247478, -0.0995663652),
        mixing={
            (0, 0): -0.758026313,
            (0, 1): -0.125505463,
            (0, 2): 1.58254642,
            (0, 3): -0.99833503,
            (1, 0): 0.281470467,
            (1, 1): -1.09440399,
            (1, 2): 0.165815662,
            (1, 3): 1.32757806,
            (2, 0): -0.413510032,
            (2, 1): 2.74343323,
            (2, 2): -3.57692858,
            (3, 0): 0.653344785,
            (3, 1): -0.570826268,
        },
    ),
}
_INHIBITED: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(4.13293119, -4.76914106, 0.186417165),
        mixing={
            (0, 0): -3.52108553,
            (0, 1): 5.92089892,
            (0, 2): 1.08911409,
            (0, 3): -0.500575382,
            (1, 0): 2.93716953,
            (1, 1): -4.80512869,
            (1, 2): -0.686017815,
            (2, 0): -2.71211306,
            (2, 1): 4.00598542,
        },
    ),
    "propylene": Terms(
        pure=(4.78650117, -6.3041079, -0.0164180157),
        mixing={
            (0, 0): -2.66110394,
            (0, 1): 6.54679011,
            (0, 2): 2.47341246,
            (0, 3): -0.490084467,
            (1, 0): 2.11061694,
            (1, 1): -6.37290763,
            (1, 2): -1.55007765,
            (2, 0): -1.86171873,
            (2, 1): 5.45312983,
        },
    ),
}


def viscosity(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Viscosity in Pa s of pure glycol and water at a temperature in K.

    ``ln mu = (1 - w) ln mu_water(T) + w ln mu_g(T) + w (1 - w) sum m_ij (1 - 2w)^i s^j``: w
    ``mass_fraction``, coefficients by ``glycol``; see ``mixing``.

    Valid from the freezing point (-30 °C at the lowest) to 100 °C up to w = 0.63; propylene glycol
    above that 15 to 40 °C; ``Refusal`` (``out_of_range``) beyond.
    Sources: CRC Handbook 102nd ed.; Melinder, IIR 2010; Tanaka 1988; Gerke 2023; George 2003 at
    25 °C; from 40 °C up ASHRAE Fundamentals 2001 too. Published tables of propylene glycol differ
    by up to 8 % at one share and temperature.

    >>> round(1e3 * viscosity("ethylene", 0.40, 293.15), 1)
    2.8
    """
    w = share(mass_fraction, "mass_fraction")
    refuse_outside(REACH[glycol], Sentence("reason.named.viscosity"), glycol, w, temperature)
    return _viscosity(_PURE[glycol], w, temperature)


def viscosity_inhibited(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Viscosity in Pa s of inhibited coolant at a temperature in K.

    The form of ``viscosity``, w ``mass_fraction``, with coefficients of its own by ``glycol``. When
    cold it stands 5 to 15 % below that of pure glycol, and up to 25 % for propylene glycol.

    Valid from the freezing point (-30 °C at the lowest) to 100 °C up to w = 0.63, within 10 %;
    ``Refusal`` (``out_of_range``) beyond.
    Source: ASHRAE Handbook, Fundamentals 2001, inhibited glycol solutions.

    >>> round(1e3 * viscosity_inhibited("ethylene", 0.523, 293.15), 1)
    3.9
    """
    w = share(mass_fraction, "mass_fraction")
    refuse_outside(INHIBITED_REACH, Sentence("reason.named.viscosity"), glycol, w, temperature)
    return _viscosity(_INHIBITED[glycol], w, temperature)


def _viscosity(terms: Terms, w: float, temperature: float) -> float:
    of_water = math.log(1e3 * water.viscosity(temperature))
    return 1e-3 * math.exp(blend(of_water, terms, w, temperature))
