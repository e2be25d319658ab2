"""Air that leaves while the engine warms: each escape is a step down of the level. SI: s, m, m3."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from weeptrace.finding import Estimate
from weeptrace.refusal import Refusal
from weeptrace.warmup.data import Limits, Point, Purge, PurgeStep


def assess(points: Sequence[Point], area: float | None, limits: Limits) -> Purge:
    """Steps down of the level between two looks, and the air that went with them.

    ``V = A dh``, A ``area`` of the reservoir in m2, dh the fall in m from one reading to the next
    of the log ``points``, in rising time. A fall counts from ``warmup.purge_step`` on; warming
    coolant lifts the level meanwhile, so the volume is a lower bound. Half-width (95 %) of a step:
    ``sqrt(2) A`` times ``level.reading``; of the sum, the first and the last look of each run of
    steps only.

    Valid for an area above zero; ``Refusal`` (``out_of_range``) otherwise. Without an area there
    are steps but no volume. Source: conservation of volume; ``limits`` as named.

    5 mm on 100 cm2 are 50 mL.

    >>> from weeptrace.rules import limits
    >>> log = [Point(60.0 * i, 360.0, level=h) for i, h in enumerate((0.040, 0.041, 0.036))]
    >>> found = assess(log, 100e-4, limits())
    >>> found.sign, round(found.volume.value * 1e6)
    ('yes', 50)
    """
    if area is not None and area <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.purge.area_above_zero",
            "area",
            "accepted.above_zero_area",
        )
    seen = [(p.time, p.level) for p in points if p.level is not None]
    if len(seen) < 2:
        return Purge("not_measured")
    least = limits["warmup.purge_step"] - 1e-9
    falls = [(after, h0 - h1) for (_, h0), (after, h1) in pairwise(seen)]
    look = math.sqrt(2.0) * limits["level.reading"]
    steps = tuple(
        PurgeStep(time, fall, None if area is None else _around(area * fall, area * look))
        for time, fall in falls
        if fall >= least
    )
    if not steps:
        return Purge("no")
    # Steps that follow each other share a look, whose error then drops out of their sum.
    runs = sum(
        fall >= least and (i == 0 or falls[i - 1][1] < least) for i, (_, fall) in enumerate(falls)
    )
    if area is None:
        return Purge("yes", steps)
    total = area * math.fsum(step.fall for step in steps)
    return Purge("yes", steps, _around(total, area * look * math.sqrt(runs)))


def _around(value: float, half: float) -> Estimate:
    return Estimate(value, max(value - half, 0.0), value + half)
