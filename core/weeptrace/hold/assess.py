"""Judge a hold, of coolant or of a drained system: readings in, verdict and its grounds out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from weeptrace.hold.air_hold import air_hold
from weeptrace.hold.data import Assessment, Estimate, Hold
from weeptrace.hold.explain import favoured
from weeptrace.hold.judge import judge, reason_for
from weeptrace.hold.liquid_hold import liquid_hold
from weeptrace.hold.looks import next_reading, straight_fall
from weeptrace.hold.usable import UNREADABLE, is_above, unusable, unusable_vacuum
from weeptrace.told import Figure

Limits = Mapping[str, float]


def assess(hold: Hold, limits: Limits) -> Assessment:
    """Judge a hold: of coolant under pressure, or of a drained system.

    Parameters
    ----------
    hold: the readings (in any order of time) and what is known of the system.
    limits: all limits by full id, SI, as ``weeptrace.rules.limits()`` gives them.

    ``kind`` ``vacuum``, or ``pressure`` with ``medium`` ``air``: a drained system. Readings that
    cannot be judged give ``not_judged`` with a reason.

    A system that falls from 110 to 94 kPa in 15 min, 1.2 mL/kPa:

    >>> from weeptrace.hold.data import Compliance, Reading
    >>> from weeptrace.rules import limits
    >>> seen = [(0, 110), (1, 108.3), (3, 105.7), (5, 103.6), (10, 98.6), (15, 94)]
    >>> readings = tuple(Reading(60.0 * t, 1e3 * p) for t, p in seen)
    >>> result = assess(Hold(readings, 2e3, stored=Compliance(1.2e-9)), limits())
    >>> result.verdict, round(result.leak_flow.value * 60e6, 1)
    ('leaking', 1.3)

    A leak-up from 72.5 to 60.5 kPa below the atmosphere in 5 min, 5.6 L at 1900 m:

    >>> from weeptrace.properties import air
    >>> seen = [(0, -72.5), (1, -70.1), (2, -67.7), (3, -65.3), (5, -60.5)]
    >>> readings = tuple(Reading(60.0 * t, 1e3 * p) for t, p in seen)
    >>> place = air.pressure(1900.0)
    >>> hold = Hold(readings, 500.0, "vacuum", atmosphere=place, evacuated_volume=5.6e-3,
    ...     engine_temperature=288.15)
    >>> found = assess(hold, limits())
    >>> found.verdict, round(found.air_flow.value * 60e6, -1), round(found.residual_fraction, 2)
    ('gross', 170.0, 0.1)
    """
    found = _assess(hold, limits)
    if hold.kind == "vacuum":
        return found
    found = _marked(found, hold, limits)
    if hold.medium == "air":
        return found
    moments = [reading.time for reading in hold.readings]
    span = max(moments) - min(moments) if moments else 0.0
    return replace(found, next_reading=next_reading(span, found.not_larger_than, limits))


def _marked(found: Assessment, hold: Hold, limits: Limits) -> Assessment:
    """With the hint that it was pumped above its rating, where it was."""
    highest = max((r.pressure for r in hold.readings if math.isfinite(r.pressure)), default=0.0)
    if hold.rated is None or not is_above(highest, hold.rated, hold.division, limits):
        return found
    words = reason_for(
        "above_rating",
        limits,
        highest=Figure(highest, "pressure"),
        rated=Figure(hold.rated, "pressure"),
    )
    return replace(found, hints=(words, *found.hints))


def _assess(hold: Hold, limits: Limits) -> Assessment:
    """The same way for all: can it be judged, what is known, fit, explanations, verdict."""
    order = sorted(range(len(hold.readings)), key=lambda index: hold.readings[index].time)
    readings = tuple(hold.readings[index] for index in order)
    vacuum = hold.kind == "vacuum"
    reason = (unusable_vacuum if vacuum else unusable)(hold, readings, limits)
    fall = None
    if reason is None or reason.code not in UNREADABLE:
        usual = limits["hold.noise_divisions"] * hold.division
        needles = [abs(r.pressure) if vacuum else r.pressure for r in readings]
        fall = straight_fall([r.time for r in readings], needles, usual, limits)
    if reason is not None:
        return Assessment("not_judged", reason, fall=fall)
    drained = vacuum or hold.medium == "air"
    held = (air_hold if drained else liquid_hold)(hold, readings, limits)
    unfitted = replace(held.unfitted(limits), fall=fall)
    try:
        full = held.fit(limits)
        explained = held.explanations(full, limits)
        evidence = held.evidence(full, explained, limits)
        curve = held.curve(full, evidence, limits)
    except ArithmeticError:
        return unfitted
    judged = judge(evidence, limits)
    half = limits["hold.interval_factor"] * evidence.rate_sd
    weights = held.weighed(explained, judged, limits)
    found = replace(
        unfitted,
        verdict=judged.verdict,
        reason=judged.reason,
        explanations=weights,
        favoured=favoured(weights, limits),
        rate=Estimate(evidence.rate, evidence.rate - half, evidence.rate + half),
        leak_flow=judged.leak_flow,
        not_larger_than_flow=judged.not_larger_than_flow,
        smallest_detectable_flow=judged.smallest_detectable_flow,
        per_distance=judged.per_distance,
        not_larger_than=judged.not_larger_than,
        smallest_detectable=judged.smallest_detectable,
        more_time=judged.more_time,
        suspect_readings=tuple(sorted(order[index] for index in full.suspects)),
        curve=curve,
        noise=full.noise,
        look_factor=evidence.look_factor,
    )
    return held.told(found, evidence, full, limits)
