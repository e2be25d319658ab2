"""Viscosity of coolant. SI: Pa s, K."""

from __future__ import annotations

import math
from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import Glycol, share
from weeptrace.properties.mixing import Terms, blend, refuse_outside_tables

# ln(viscosity / mPa s), least squares on the published rows (tests/properties/refit.py).
_TERMS: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(2.80733442, -2.09186438, 0.662194659, -0.13758985),
        mixing={
            (0, 0): -0.706166561,
            (0, 1): 0.472485507,
            (0, 2): -0.226557156,
            (0, 3): -0.018835721,
            (1, 0): 0.377090623,
            (1, 1): 0.272080123,
            (1, 2): 0.247278824,
            (2, 0): -0.0901805467,
            (2, 1): -0.500906471,
            (3, 0): -0.301789358,
        },
    ),
    "propylene": Terms(
        pure=(3.78642008, -2.66776981, 0.803986114, -0.190686224),
        mixing={
            (0, 0): -0.700851656,
            (0, 1): -0.669642229,
            (0, 2): 0.962578985,
            (0, 3): -0.293131369,
            (1, 0): 0.392617759,
            (1, 1): 0.210640041,
            (1, 2): -0.415663256,
            (2, 0): -0.657606801,
            (2, 1): 1.4402743,
            (3, 0): 0.232326846,
        },
    ),
}


def viscosity(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Viscosity in Pa s of glycol and water at a temperature in K.

    ``ln mu = (1 - w) ln mu_water(T) + w ln mu_g(T) + w (1 - w) sum m_ij (1 - 2w)^i s^j``: see
    ``mixing``. Inhibitors change it by less than the tables differ (10 %).

    Valid from the freezing point to 100 °C up to w = 0.63; propylene glycol above that 15 to 40 °C;
    ``Refusal`` (``out_of_range``) beyond.
    Sources: CRC Handbook 102nd ed.; Melinder, IIR 2010; ASHRAE Fundamentals 2001; Tanaka 1988;
    Gerke 2023; George 2003 at 25 °C. For propylene glycol the sources differ by up to 25 % below
    0 °C; Melinder is followed there.

    >>> round(1e3 * viscosity("ethylene", 0.40, 293.15), 1)
    2.8
    """
    w = share(mass_fraction, "mass_fraction")
    refuse_outside_tables("Viscosity", glycol, w, temperature)
    of_water = math.log(1e3 * water.viscosity(temperature))
    return 1e-3 * math.exp(blend(of_water, _TERMS[glycol], w, temperature))
