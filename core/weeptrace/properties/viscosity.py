"""Viscosity of coolant. SI: Pa s, K."""

from __future__ import annotations

import math
from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import Glycol, share
from weeptrace.properties.mixing import Reach, Terms, blend, refuse_outside

REACH: Final[dict[Glycol, Reach]] = {
    "ethylene": Reach(coldest=243.15),
    "propylene": Reach(coldest=243.15, strongest=1.0),
}

# ln(viscosity / mPa s), least squares on the published rows (tests/properties/refit.py).
_TERMS: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(2.79948998, -2.02150018, 0.834971137, -0.292278731),
        mixing={
            (0, 0): -0.699912554,
            (0, 1): 0.330998941,
            (0, 2): -0.149901734,
            (1, 0): 0.398829366,
            (1, 1): 0.19710073,
            (2, 0): -0.312644058,
        },
    ),
    "propylene": Terms(
        pure=(3.78244219, -2.68766899, 0.546080351),
        mixing={
            (0, 0): -0.734923545,
            (0, 1): -0.504008476,
            (0, 2): 1.99483064,
            (0, 3): -1.08945201,
            (1, 0): 0.391773409,
            (1, 1): 0.684119215,
            (1, 2): -0.647853343,
            (2, 0): -0.638788875,
            (2, 1): 0.945486625,
        },
    ),
}


def viscosity(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Viscosity in Pa s of glycol and water at a temperature in K.

    ``ln mu = (1 - w) ln mu_water(T) + w ln mu_g(T) + w (1 - w) sum m_ij (1 - 2w)^i s^j``: w
    ``mass_fraction``, coefficients by ``glycol``; see ``mixing``. Inhibitors change it by less than
    the tables differ (10 %).

    Valid from the freezing point (-30 °C at the lowest) to 100 °C up to w = 0.63; propylene glycol
    above that 15 to 40 °C;
    ``Refusal`` (``out_of_range``) beyond.
    Sources: CRC Handbook 102nd ed.; Melinder, IIR 2010; ASHRAE Fundamentals 2001; Tanaka 1988;
    Gerke 2023; George 2003 at 25 °C. When cold, ASHRAE stands 10 to 30 % below Melinder;
    Melinder is followed there.

    >>> round(1e3 * viscosity("ethylene", 0.40, 293.15), 1)
    2.8
    """
    w = share(mass_fraction, "mass_fraction")
    refuse_outside(REACH[glycol], "Viscosity", glycol, w, temperature)
    of_water = math.log(1e3 * water.viscosity(temperature))
    return 1e-3 * math.exp(blend(of_water, _TERMS[glycol], w, temperature))
