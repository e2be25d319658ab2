"""Judge a pressure hold: readings in, verdict and what it rests on out."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from weeptrace.hold.advice import Present, advise
from weeptrace.hold.air_hold import assess_air
from weeptrace.hold.air_side import as_liquid, looks_like_air
from weeptrace.hold.data import (
    Assessment,
    Estimate,
    Exponent,
    Hold,
    LiquidEquivalent,
    Point,
    Reading,
)
from weeptrace.hold.decay import EXPONENT, RATE, START, System
from weeptrace.hold.explain import explanations, favoured, with_air_side
from weeptrace.hold.fit import LEFT_OUT, FullFit, Series, cut, fit_all, trace
from weeptrace.hold.judge import LEAKS, Evidence, judge, reason_for
from weeptrace.hold.least_squares import inverse
from weeptrace.hold.looks import look_factor, next_reading, straight_fall
from weeptrace.hold.stored import StoredVolume, stored_volume
from weeptrace.hold.usable import NO_FIT, UNREADABLE, is_above, unusable
from weeptrace.hold.warmth import course, thermal_volume
from weeptrace.properties import air
from weeptrace.properties.expansion import Coolant

Limits = Mapping[str, float]


def assess(hold: Hold, limits: Limits) -> Assessment:
    """Judge a hold: of coolant under pressure here, of a drained system in ``air_hold``.

    Parameters
    ----------
    hold: the readings (in any order of time) and what is known of the system.
    limits: all limits by full id, SI, as ``weeptrace.rules.limits()`` gives them.

    Readings that cannot be judged give ``not_judged`` with a reason.

    A system that falls from 110 to 94 kPa in 15 min, 1.2 mL/kPa:

    >>> from weeptrace.hold.data import Compliance
    >>> from weeptrace.rules import limits
    >>> seen = [(0, 110), (1, 108.3), (3, 105.7), (5, 103.6), (10, 98.6), (15, 94)]
    >>> readings = tuple(Reading(60.0 * t, 1e3 * p) for t, p in seen)
    >>> result = assess(Hold(readings, 2e3, stored=Compliance(1.2e-9)), limits())
    >>> result.verdict, round(result.leak_flow.value * 60e6, 1)
    ('leaking', 1.3)
    """
    if hold.kind == "vacuum":
        return assess_air(hold, limits)
    if hold.medium == "air":
        return _marked(assess_air(hold, limits), hold, limits)
    found = _marked(_assess_coolant(hold, limits), hold, limits)
    times = [reading.time for reading in hold.readings]
    span = max(times) - min(times) if times else 0.0
    return replace(found, next_reading=next_reading(span, found.not_larger_than, limits))


def _marked(found: Assessment, hold: Hold, limits: Limits) -> Assessment:
    """With the hint that it was pumped above its rating, where it was."""
    highest = max((r.pressure for r in hold.readings if math.isfinite(r.pressure)), default=0.0)
    if hold.rated is None or not is_above(highest, hold.rated, hold.division, limits):
        return found
    words = reason_for("above_rating", limits, highest=highest, rated=hold.rated)
    return replace(found, hints=(words, *found.hints))


def _assess_coolant(hold: Hold, limits: Limits) -> Assessment:
    """The judgement of a system full of coolant under pressure."""
    order = sorted(range(len(hold.readings)), key=lambda index: hold.readings[index].time)
    readings = [hold.readings[index] for index in order]
    reason = unusable(hold, readings, limits)
    usual = limits["hold.noise_divisions"] * hold.division
    fall = None
    if reason is None or reason.code not in UNREADABLE:
        times, pressures = [r.time for r in readings], [r.pressure for r in readings]
        fall = straight_fall(times, pressures, usual, limits)
    if reason is not None:
        return Assessment("not_judged", reason, fall=fall)
    target, stored, series, assumed = _series(hold, readings, limits)
    try:
        full = fit_all(series, hold.division, limits)
        evidence = _evidence(hold, readings, stored, series, full, limits)
        weights = explanations(series, full, limits)
        curve = _curve(series, full, evidence, hold.planned, limits)
    except ArithmeticError:
        return Assessment("not_judged", NO_FIT, target=target, fall=fall, assumed=assumed)
    judged = judge(evidence, limits)
    size = None if judged.leak_flow is None else judged.leak_flow.value
    weights = with_air_side(weights, size, hold.wet, limits)
    half = limits["hold.interval_factor"] * evidence.rate_sd
    exposure = limits["hold.exposure"]
    result = Assessment(
        judged.verdict,
        judged.reason,
        explanations=weights,
        favoured=favoured(weights, limits),
        target=target,
        rate=Estimate(evidence.rate, evidence.rate - half, evidence.rate + half),
        leak_flow=judged.leak_flow,
        not_larger_than_flow=judged.not_larger_than_flow,
        smallest_detectable_flow=judged.smallest_detectable_flow,
        exponent=_exponent(full, limits),
        more_time=judged.more_time,
        suspect_readings=tuple(sorted(order[index] for index in full.suspects)),
        curve=curve,
        fall=fall,
        noise=full.noise,
        look_factor=evidence.look_factor,
        assumed=assumed,
    )
    if judged.leak_flow is None or stored.uncertainty is None:
        return result
    flow, upper, least = (
        judged.leak_flow,
        judged.not_larger_than_flow or 0.0,
        judged.smallest_detectable_flow or 0.0,
    )
    wide = limits["hold.interval_factor"] * stored.uncertainty
    return replace(
        _hinted(result, hold, target, series.system.course.temperature, limits),
        per_distance=Estimate(flow.value * exposure, flow.low * exposure, flow.high * exposure),
        not_larger_than=upper * exposure,
        smallest_detectable=least * exposure,
        advice=advise(_present(hold, stored, series, full), least, limits),
        compliance=Estimate(
            stored.compliance, max(stored.compliance - wide, 0.0), stored.compliance + wide
        ),
    )


def _present(hold: Hold, stored: StoredVolume, series: Series, full: FullFit) -> Present:
    """The hold as it is, for what would see more."""
    system = series.system
    return Present(
        times=sorted(time for part in series.times for time in part),
        noise=full.noise,
        division=hold.division,
        hoses=stored.hoses,
        gas=stored.gas,
        per_kelvin=system.thermal * stored.compliance,
        system=system,
        self_leak=hold.self_leak or 0.0,
    )


def _hinted(
    found: Assessment, hold: Hold, target: float, temperature: float, limits: Limits
) -> Assessment:
    """With the hint that the leak is above the liquid, where it looks like that."""
    flow = found.leak_flow
    claimed = found.verdict in LEAKS
    if flow is None or not looks_like_air(claimed, flow.value, hold.wet, limits):
        return found
    outside = hold.atmosphere if hold.atmosphere is not None else air.SEA_LEVEL
    one = as_liquid(1.0, target, outside, temperature, _coolant(hold, limits))
    pair = LiquidEquivalent(
        *(
            Estimate(flow.value * part, flow.low * part, flow.high * part)
            for part in (one.orifice, one.laminar)
        )
    )
    return replace(found, hints=(reason_for("air_side", limits),), air_side=pair)


def _coolant(hold: Hold, limits: Limits) -> Coolant:
    share = hold.mass_fraction
    return Coolant(hold.glycol, limits["hold.mass_fraction_unknown"] if share is None else share)


def _series(
    hold: Hold, readings: Sequence[Reading], limits: Limits
) -> tuple[float, StoredVolume, Series, tuple[str, ...]]:
    """The known system and the readings cut into segments; and what had to be assumed."""
    assumed = [
        name
        for name, value in (
            ("altitude", hold.atmosphere),
            ("strength", hold.mass_fraction),
            ("liquid_volume", hold.liquid_volume),
            ("stored_volume", hold.stored),
        )
        if value is None
    ]
    log = [(r.time, r.temperature) for r in readings if r.temperature is not None]
    if not log:
        assumed.append("temperature")
    atmosphere = hold.atmosphere if hold.atmosphere is not None else air.SEA_LEVEL
    coolant = _coolant(hold, limits)
    liquid = hold.liquid_volume
    if liquid is None:
        liquid = limits["hold.liquid_volume_unknown"]
    # The higher of the first two, so that one slip cannot set the scale of everything.
    start = max(r.pressure for r in readings[:2])
    target = hold.target if hold.target is not None and hold.target > 0.0 else start
    way = course(log, hold.ambient_temperature, limits)
    vapour = coolant.vapour(way.temperature)
    noise = limits["hold.noise_divisions"] * hold.division
    stored = stored_volume(hold.stored, start, target, atmosphere, vapour, limits, noise)
    dry = atmosphere - vapour
    segments, times = cut(readings, hold.actions, stored.hoses, stored.gas, dry)
    # What was pumped in between counts: the compliance at the target is that of the stretch there.
    firsts = [r.pressure for r in readings if any(r.time == part[0] for part in times)]
    near = min(range(len(segments)), key=lambda index: abs(firsts[index] - target))
    stored = stored.with_gas(segments[near].gas, target + dry)
    ends = []
    for temperature, pressure in (
        (way.temperature, start),
        (way.at(readings[-1].time), readings[-1].pressure),
    ):
        gas = stored.gas / (pressure + dry)
        over = pressure + atmosphere - coolant.vapour(temperature)
        volume = thermal_volume(temperature, liquid, gas, over, coolant, limits).total
        ends.append((temperature, volume / stored.compliance))
    (t0, first), (t1, last) = ends
    growth = (last - first) / (t1 - t0) if abs(t1 - t0) > 0.5 else 0.0
    system = System(target, dry, first, growth, way, limits["hold.gas_settling_time"])
    shares = tuple(segment.over(stored.compliance) for segment in segments)
    series = Series(system, shares, times, tuple(r.pressure for r in readings))
    return target, stored, series, tuple(assumed)


def _evidence(
    hold: Hold,
    readings: Sequence[Reading],
    stored: StoredVolume,
    series: Series,
    full: FullFit,
    limits: Limits,
) -> Evidence:
    way = series.system.course
    tester = (hold.self_leak or 0.0) * limits["hold.tester_compliance"] / stored.compliance
    without = [
        [value for j, value in enumerate(row) if j != EXPONENT]
        for i, row in enumerate(full.fit.normal)
        if i != EXPONENT
    ]
    warm = (
        not way.logged
        and hold.ambient_temperature is not None
        and any(r.temperature is not None for r in readings)
        and way.temperature > hold.ambient_temperature + limits["hold.warm_engine"]
    )
    span = readings[-1].time - readings[0].time
    used = sum(weight > LEFT_OUT for weight in full.weights)
    return Evidence(
        rate=full.fit.values[RATE],
        rate_sd=math.hypot(math.sqrt(full.covariance[RATE][RATE]), tester),
        rate_sd_lasting=math.hypot(way.drift_sd * series.system.thermal, tester),
        rate_sd_without=math.hypot(math.sqrt(inverse(without)[RATE][RATE]), tester),
        compliance=None if stored.uncertainty is None else stored.compliance,
        compliance_sd=stored.uncertainty or 0.0,
        readings=used,
        span=span,
        look_factor=look_factor(hold.planned, span, len(readings), limits),
        planned=hold.planned,
        warm_unlogged=warm,
        falls_at_once=_falls_at_once(series, full, limits),
        owner_rate=hold.owner_rate,
    )


def _falls_at_once(series: Series, full: FullFit, limits: Limits) -> bool:
    """Whether the fitted pressure loses the gross fall share within the gross fall time."""
    start = series.segments[0].start
    soon = [(start + limits["hold.gross_fall_time"],), *(() for _ in series.segments[1:])]
    pressures, _ = trace(series, full.fit.values, soon)
    kept = 1.0 - limits["hold.gross_fall_share"]
    return pressures[0] <= kept * full.fit.values[START]


def _exponent(full: FullFit, limits: Limits) -> Exponent:
    sd = math.sqrt(full.covariance[EXPONENT][EXPONENT])
    wide = limits["hold.exponent_shrinkage"] * limits["hold.exponent_uncertainty"]
    return Exponent(full.fit.values[EXPONENT], sd > wide)


def _curve(
    series: Series, full: FullFit, evidence: Evidence, planned: float | None, limits: Limits
) -> tuple[Point, ...]:
    """The fit with its 95 % band, and the same hold with a leak just at the seeping limit."""
    first, last = series.times[0][0], series.times[-1][-1]
    end = max(last, first + (planned or 0.0))
    count = int(limits["hold.curve_points"])
    moments = [first + (end - first) * k / (count - 1) for k in range(count)]
    starts = [segment.start for segment in series.segments]
    times = [
        tuple(t for t in moments if begin <= t < stop)
        for begin, stop in zip(starts, [*starts[1:], math.inf], strict=True)
    ]
    pressures, columns = trace(series, full.fit.values, times)
    compare: list[float] | None = None
    if evidence.compliance is not None:
        at_limit = list(full.fit.values)
        at_limit[RATE] = limits["hold.seeping"] / limits["hold.exposure"] / evidence.compliance
        compare, _ = trace(series, at_limit, times)
    factor = limits["hold.interval_factor"]
    points = []
    for k, pressure in enumerate(pressures):
        row = [column[k] for column in columns]
        variance = sum(
            a * sum(c * b for c, b in zip(line, row, strict=True))
            for a, line in zip(row, full.covariance, strict=True)
        )
        band = factor * math.sqrt(max(variance, 0.0))
        limit = None if compare is None else compare[k]
        points.append(Point(moments[k], pressure, pressure - band, pressure + band, limit))
    return tuple(points)
