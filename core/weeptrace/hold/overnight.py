"""A closed system left alone over night: what the needle of a tight one shows in the morning. SI.

    (p + Pa - pv(T)) Vg / T = constant, with Vg = V0 - beta Vl (T - T0) + Ch p

as ``warmup.gas`` has it, from the evening's coolant temperature T0 to the morning's T, less what
the hoses still took: ``Ch a p0 / C``. p gauge and Pa, pv absolute pressures in Pa, Vg gas, V0
headspace and Vl liquid in m3, beta net expansion 1/K, Ch hoses and C the whole compliance in m3/Pa,
a the late share of their stretch, p0 the evening's needle.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from weeptrace.finding import Estimate
from weeptrace.hold.data import Strokes
from weeptrace.hold.stored import headspace, stored_volume
from weeptrace.properties import air
from weeptrace.properties.expansion import Coolant
from weeptrace.properties.fraction import Glycol
from weeptrace.warmup.data import Cold
from weeptrace.warmup.gas import warming_pressure

Limits = Mapping[str, float]
Sign = Literal["as_a_tight_one", "below", "above"]


@dataclass(frozen=True)
class Warmth:
    """The block's temperature and the air's around it, K; ``None`` where it was not measured."""

    block: float
    air: float | None = None


@dataclass(frozen=True)
class Evening:
    """The system as it was left: ``strokes`` that pumped it up to ``pumped``, and the needle then.

    Gauge pressures in Pa; ``start`` may lie below ``pumped`` where some was let off again. What is
    ``None`` takes the usual.
    """

    strokes: Strokes
    pumped: float
    start: float
    warmth: Warmth
    liquid_volume: float | None = None
    atmosphere: float | None = None
    glycol: Glycol = "ethylene"
    mass_fraction: float | None = None


def expected(evening: Evening, morning: Warmth, limits: Limits) -> Estimate:
    """The needle of a tight system in the morning, gauge Pa, never below zero, with its 95 %.

    ``evening`` and ``morning`` as the system was left and found, ``limits`` the ``hold.*`` ones. By
    the module's equation. The coolant's mean lies ``hold.overnight_air_share`` of the way from
    the block to the air, give or take half of that. Uncertainty by differences, root sum square:
    strokes, hoses, their late stretch, both temperatures, and the growth of the liquid.

    Valid from freezing to boiling, nothing drawn off. No error is raised. Source: ideal gas law and
    volume balance, see ``warmup.gas``.

    10 strokes of 40 mL to 85 kPa, 8 L: the same at the same warmth, but for the hoses; and 10 K
    colder.

    >>> from weeptrace.rules import limits
    >>> left = Evening(Strokes(10, 40e-6), 85e3, 85e3, Warmth(293.15, 293.15), 8e-3)
    >>> [round(expected(left, Warmth(t, t), limits()).value / 1e3) for t in (293.15, 283.15)]
    [84, 67]
    """
    t0, wide0 = _mean(evening.warmth, limits)
    t1, wide1 = _mean(morning, limits)
    usual = _needle(evening, t0, t1, limits)
    strokes = evening.strokes
    counted = math.hypot(limits["hold.stroke_uncertainty"], 0.29 / strokes.count)
    more = replace(evening, strokes=replace(strokes, count=strokes.count * (1.0 + counted)))
    changed = [
        _needle(more, t0, t1, limits),
        _needle(evening, t0 + wide0, t1, limits),
        _needle(evening, t0, t1 + wide1, limits),
        *(
            _needle(evening, t0, t1, {**limits, name: limits[name] + by})
            for name, by in (
                ("hold.hose_compliance", limits["hold.hose_compliance_uncertainty"]),
                ("hold.creep_share", limits["hold.creep_share_uncertainty"]),
                ("hold.expansion", limits["hold.overnight_growth"] * limits["hold.expansion"]),
            )
        ),
    ]
    wide = limits["hold.interval_factor"] * math.hypot(*(each - usual for each in changed))
    return Estimate(*(max(x, 0.0) for x in (usual, usual - wide, usual + wide)))


def sign(seen: float, tight: Estimate, division: float, limits: Limits) -> Sign:
    """What the morning's needle says, Pa: within what a tight system shows, below it, or above.

    ``seen``: the morning's needle; ``tight``: as ``expected`` gives it. It was read twice, each to
    ``hold.noise_divisions`` of a ``division`` in Pa; ``limits`` by full id. A needle below is no
    size of a leak: nobody saw when it fell. Valid for one night. No error is raised. Source: own
    choice.

    >>> from weeptrace.rules import limits
    >>> [sign(p, Estimate(60e3, 55e3, 65e3), 2e3, limits()) for p in (55e3, 40e3, 75e3)]
    ['as_a_tight_one', 'below', 'above']
    """
    read = limits["hold.interval_factor"] * limits["hold.noise_divisions"] * division
    read *= math.sqrt(2.0)
    if seen < tight.value - math.hypot(tight.value - tight.low, read):
        return "below"
    above = seen > tight.value + math.hypot(tight.high - tight.value, read)
    return "above" if above else "as_a_tight_one"


def _mean(warmth: Warmth, limits: Limits) -> tuple[float, float]:
    """The coolant's mean temperature and its standard uncertainty, K."""
    apart = 0.0 if warmth.air is None else warmth.block - warmth.air
    share = limits["hold.overnight_air_share"]
    return warmth.block - share * apart, math.hypot(
        limits["hold.overnight_temperature"], 0.5 * share * apart
    )


def _needle(evening: Evening, start: float, end: float, limits: Limits) -> float:
    """The module's equation, Pa, without an end at zero."""
    outside = air.SEA_LEVEL if evening.atmosphere is None else evening.atmosphere
    share = evening.mass_fraction
    coolant = Coolant(
        evening.glycol, limits["hold.mass_fraction_unknown"] if share is None else share
    )
    vapour = coolant.vapour(start)
    pumped, dry = evening.pumped, outside - vapour
    stored = stored_volume(evening.strokes, pumped, pumped, outside, vapour, limits)
    volume = headspace(stored, pumped, dry)
    liquid = evening.liquid_volume
    cold = Cold(
        volume,
        limits["hold.liquid_volume_unknown"] if liquid is None else liquid,
        outside,
        evening.glycol,
        coolant.mass_fraction,
    )
    hose = stored.hoses
    needle = warming_pressure(cold, start, evening.start, end, hose, limits)
    squeezed = (volume + hose * evening.start) / (evening.start + dry)
    late = limits["hold.creep_share"] * hose * evening.start / (hose + squeezed)
    return needle - late
