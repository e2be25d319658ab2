"""How a leak grows with pressure, and how small a hole it is. SI: Pa, m3/s, m.

    Q = k (p/pt)^n

n 0.5 for a sharp hole, 1 for a fine crack; 1 to 2.5 where lips open with pressure, below 0.5 where
a seal closes with it (common practice).
"""

from __future__ import annotations

import math
from typing import Final

from weeptrace.properties.openings import liquid_through_orifice
from weeptrace.refusal import Refusal

# Below this part of the target the leak is taken as linear, so that it ends smoothly.
LINEAR_BELOW: Final = 0.05
SHARP_EDGE: Final = 0.61  # discharge coefficient of a sharp-edged hole (textbooks; from memory)
SURFACE_TENSION: Final = 0.055  # N/m, glycol mix at 20 °C (common practice)


def unit_flow(pressure: float, target: float, exponent: float) -> float:
    """``(p/pt)^n``: the leak over that at the target.

    p ``pressure`` Pa gauge, pt ``target`` above zero, n ``exponent``. Valid from zero gauge up;
    linear below 5 % of the target. No error is raised. Source: power law of leaks, common practice.

    >>> unit_flow(25e3, 100e3, 0.5)
    0.5
    """
    share = pressure / target
    if share >= LINEAR_BELOW:
        unit: float = share**exponent
    else:
        unit = share / LINEAR_BELOW * LINEAR_BELOW**exponent
    return unit


def unit_flow_slopes(pressure: float, target: float, exponent: float) -> tuple[float, float, float]:
    """``unit_flow`` with its derivatives by p and by n.

    ``n (p/pt)^n/p`` and ``(p/pt)^n ln(p/pt)``. ``pressure``, ``target``, ``exponent`` and validity
    as there. No error is raised. Source: differentiation.

    >>> [round(x, 6) for x in unit_flow_slopes(25e3, 100e3, 0.5)]
    [0.5, 1e-05, -0.693147]
    """
    share = pressure / target
    if share >= LINEAR_BELOW:
        unit = share**exponent
        return unit, exponent * unit / pressure, unit * math.log(share)
    edge = LINEAR_BELOW**exponent / LINEAR_BELOW
    return share * edge, edge / target, share * edge * math.log(LINEAR_BELOW)


def exponent_between(low: float, at_low: float, high: float, at_high: float) -> float:
    """Exponent from the leak at two pressures: ``n = ln(Q2/Q1)/ln(p2/p1)``.

    p1 ``low`` and p2 ``high`` in Pa gauge, Q1 ``at_low`` and Q2 ``at_high`` in m3/s. Valid where
    all are above zero and the pressures differ; ``Refusal`` (``out_of_range``) otherwise.
    Source: the power law.

    >>> round(exponent_between(20e3, 0.0818, 100e3, 0.348), 2)
    0.9
    """
    if not (0.0 < low < high and at_low > 0.0 and at_high > 0.0):
        raise Refusal(
            "out_of_range",
            "refused.leak_law.exponent_needs_two_different",
            "low",
            "accepted.low_high_both_leaks_above",
        )
    return math.log(at_high / at_low) / math.log(high / low)


def hole(flow: float, pressure: float, density: float) -> float:
    """Diameter in m of the sharp-edged hole that passes a ``flow`` in m3/s of liquid.

    ``d = sqrt(4 Q/(pi Cd v))``, v speed at gauge ``pressure`` Pa and ``density`` kg/m3, Cd 0.61.
    Valid as a size to imagine: below about 0.05 mm the Reynolds number is too low for that Cd, and
    the true hole is wider. No error is raised for pressures above zero.
    Source: Torricelli, see ``openings``.

    0.02, 0.2 and 3.3 mL/min at 100 kPa, in micrometres:

    >>> [round(1e6 * hole(q * 1e-6 / 60, 100e3, 1068.0)) for q in (0.02, 0.2, 3.3)]
    [7, 23, 92]
    """
    area = flow / liquid_through_orifice(1.0, pressure, density, SHARP_EDGE)
    return math.sqrt(4.0 * max(area, 0.0) / math.pi)


def pore(pressure: float) -> float:
    """Diameter in m below which a pore lets air through but no liquid: ``d = 4 s/p``.

    s surface tension 0.055 N/m, p gauge ``pressure`` in Pa above zero. Valid for a round, dry-
    sided pore in air. No error is raised. Source: Young and Laplace.

    >>> round(1e6 * pore(100e3), 1)
    2.2
    """
    return 4.0 * SURFACE_TENSION / pressure
