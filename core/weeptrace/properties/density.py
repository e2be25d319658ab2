"""Density of coolant: pure glycol and water, and inhibited coolant. SI: kg/m3, K."""

from __future__ import annotations

from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import Glycol, share
from weeptrace.properties.mixing import Terms, blend, refuse_outside_tables

# Specific volume in L/kg, least squares on the published rows (tests/properties/refit.py).
_PURE: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(0.901056632, 0.0283976164, 0.00147445226),
        mixing={
            (0, 0): -0.0411043102,
            (0, 1): 0.0178942204,
            (0, 2): -0.0162181429,
            (0, 3): 0.00763989155,
            (1, 0): 0.0148315643,
            (1, 1): 0.00386263077,
            (1, 2): -0.0209742413,
            (1, 3): 0.0107232151,
            (2, 0): 0.0266692618,
            (2, 1): -0.00389599867,
            (2, 2): 0.0167659416,
            (3, 0): -0.0238175404,
            (3, 1): -0.0426089322,
        },
    ),
    "propylene": Terms(
        pure=(0.9682125, 0.0272945759, 0.0446845892),
        mixing={
            (0, 0): -0.0765323337,
            (0, 1): 0.0418436847,
            (0, 2): -0.101376734,
            (0, 3): 0.00607403412,
            (1, 0): 0.0218658191,
            (1, 1): -0.0207678115,
            (1, 2): 0.0890481704,
            (1, 3): -0.00261189534,
            (2, 0): 0.0201453137,
            (2, 1): -0.0264846695,
            (2, 2): -0.0483153529,
            (3, 0): 0.00870191652,
            (3, 1): -0.00690787782,
        },
    ),
}
_INHIBITED: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(0.884325858, 0.0224507644, 0.00767336522),
        mixing={
            (0, 0): -0.0318623181,
            (0, 1): 0.0130378665,
            (0, 2): -0.0130501383,
            (1, 0): -0.00336354181,
            (1, 1): 9.05327509e-05,
            (2, 0): 0.00731717338,
        },
    ),
    "propylene": Terms(
        pure=(0.93185697, 0.0234602084, 0.0132781009),
        mixing={
            (0, 0): -0.0230181752,
            (0, 1): 0.039888136,
            (0, 2): -0.0221714308,
            (1, 0): -0.0342804983,
            (1, 1): -0.00789761746,
            (2, 0): 0.0298876929,
        },
    ),
}


def density(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Density in kg/m3 of pure glycol and water at a temperature in K.

    ``1/rho = (1 - w)/rho_water(T) + w v_g(T) + w (1 - w) sum m_ij (1 - 2w)^i s^j``: see ``mixing``.

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
    refuse_outside_tables("Density", glycol, w, temperature)
    return _density(_PURE[glycol], w, temperature)


def density_inhibited(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Density in kg/m3 of inhibited coolant at a temperature in K: what a weighed jug holds.

    The form of ``density`` with coefficients of its own: inhibitors add about 5 kg/m3 near 50 %.

    Valid from the freezing point to 100 °C up to w = 0.63; ``Refusal`` (``out_of_range``) beyond.
    Source: ASHRAE Handbook, Fundamentals 2001, inhibited glycol solutions.

    >>> round(density_inhibited("ethylene", 0.527, 293.15), -1)
    1070.0
    """
    w = share(mass_fraction, "mass_fraction")
    refuse_outside_tables("Density", glycol, w, temperature, strong=False)
    return _density(_INHIBITED[glycol], w, temperature)


def expansion(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Volume expansion coefficient in 1/K of inhibited coolant at a temperature in K.

    ``beta = -(1/rho) d rho/dT`` over +/- 1 K. The engine's metal takes off 3.5e-5 to 7e-5 1/K.

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
