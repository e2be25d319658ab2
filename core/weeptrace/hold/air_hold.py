"""Judge a hold of a drained system: a vacuum and its leak-up, or dry air and its fall."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from weeptrace.fill.reach import best_vacuum
from weeptrace.hold.air_course import (
    DRIFT,
    LOG_SETTLING,
    LOG_VAPOUR,
    MIX,
    RATE,
    SETTLING,
    START,
    VAPOUR,
    AirSeries,
    AirSystem,
)
from weeptrace.hold.air_explain import Known, explanations
from weeptrace.hold.air_judge import AirEvidence, gone, judge_air
from weeptrace.hold.data import (
    Action,
    Assessment,
    Estimate,
    EvacuatedVolume,
    Hold,
    LiquidEquivalent,
    Point,
    Reading,
)
from weeptrace.hold.explain import WITH_LEAK, favoured
from weeptrace.hold.fit import LEFT_OUT, FullFit, fit_robust
from weeptrace.hold.least_squares import Prior, inverse
from weeptrace.hold.looks import look_factor, straight_fall
from weeptrace.hold.usable import NO_FIT, UNREADABLE, unusable, unusable_vacuum
from weeptrace.hold.warmth import course
from weeptrace.properties import air
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.expansion import Coolant
from weeptrace.properties.openings import critical_ratio, liquid_for_air
from weeptrace.properties.viscosity import viscosity

Limits = Mapping[str, float]
STRONGEST = 0.6  # glycol by mass, where the viscosity of hot coolant is known


def assess_air(hold: Hold, limits: Limits) -> Assessment:
    """Judge a hold of a drained system.

    Parameters
    ----------
    hold: ``kind`` ``vacuum``, or ``pressure`` with ``medium`` ``air``; readings in any order.
    limits: all limits by full id, SI.

    Readings that cannot be judged give ``not_judged`` with a reason.

    A leak-up from 72.5 to 60.5 kPa below the atmosphere in 5 min, 5.6 L at 1900 m:

    >>> from weeptrace.rules import limits
    >>> seen = [(0, -72.5), (1, -70.1), (2, -67.7), (3, -65.3), (5, -60.5)]
    >>> readings = tuple(Reading(60.0 * t, 1e3 * p) for t, p in seen)
    >>> place = air.pressure(1900.0)
    >>> hold = Hold(readings, 500.0, "vacuum", atmosphere=place, evacuated_volume=5.6e-3,
    ...     engine_temperature=288.15)
    >>> found = assess_air(hold, limits())
    >>> found.verdict, round(found.air_flow.value * 60e6, -1), round(found.residual_fraction, 2)
    ('gross', 170.0, 0.1)
    """
    order = sorted(range(len(hold.readings)), key=lambda index: hold.readings[index].time)
    readings = [hold.readings[index] for index in order]
    vacuum = hold.kind == "vacuum"
    outside = hold.atmosphere if hold.atmosphere is not None else air.SEA_LEVEL
    reason = (
        unusable_vacuum(hold, readings, outside, limits)
        if vacuum
        else unusable(hold, readings, limits)
    )
    fall = None
    if reason is None or reason.code not in UNREADABLE:
        usual = limits["hold.noise_divisions"] * hold.division
        depths = [abs(r.pressure) if vacuum else r.pressure for r in readings]
        fall = straight_fall([r.time for r in readings], depths, usual, limits)
    if reason is not None:
        return Assessment("not_judged", reason, fall=fall)
    known, assumed = _known(hold, readings, outside, limits)
    target = known.shown * (known.reference - outside)
    reach = best_vacuum(outside, known.vapour, limits).gauge if vacuum else None
    residual = known.deepest / outside if vacuum else None
    base = Assessment(
        "not_judged",
        NO_FIT,
        target=target,
        fall=fall,
        residual_fraction=residual,
        best_vacuum=reach,
        assumed=assumed,
    )
    try:
        full = _fit(known, hold.division, limits)
        weights = explanations(known, full)
        evidence = _evidence(hold, known, readings, full, weights, limits)
        curve = _curve(known, full, evidence, hold.planned, limits)
    except ArithmeticError:
        after = _gone_after(known, hold.division, limits)
        return base if after is None else replace(base, verdict=gone(after, limits), reason=None)
    judged = judge_air(evidence, limits)
    wide = limits["hold.interval_factor"]
    half = wide * evidence.rate_sd
    result = replace(
        base,
        verdict=judged.verdict,
        reason=judged.reason,
        explanations=weights,
        favoured=favoured(weights, limits),
        rate=Estimate(evidence.rate, evidence.rate - half, evidence.rate + half),
        more_time=judged.more_time,
        suspect_readings=tuple(sorted(order[index] for index in full.suspects)),
        curve=curve,
        noise=full.noise,
        look_factor=evidence.look_factor,
    )
    flow = evidence.air_flow(wide)
    if flow is None or judged.leak_flow is None:
        return result
    exposure = limits["hold.exposure"]
    upper, least = judged.not_larger_than_flow or 0.0, judged.smallest_detectable_flow or 0.0
    return replace(
        result,
        air_flow=flow,
        liquid_equivalent=LiquidEquivalent(
            _times(flow, evidence.liquid.orifice), _times(flow, evidence.liquid.laminar)
        ),
        leak_flow=judged.leak_flow,
        per_distance=_times(judged.leak_flow, exposure),
        not_larger_than_flow=upper,
        not_larger_than=upper * exposure,
        smallest_detectable_flow=least,
        smallest_detectable=least * exposure,
    )


def _times(estimate: Estimate, factor: float) -> Estimate:
    return Estimate(estimate.value * factor, estimate.low * factor, estimate.high * factor)


def _known(
    hold: Hold, readings: Sequence[Reading], outside: float, limits: Limits
) -> tuple[Known, tuple[str, ...]]:
    """System and place, the readings as absolute pressures, and what had to be assumed."""
    vacuum = hold.kind == "vacuum"
    volume = hold.evacuated_volume
    if isinstance(hold.stored, EvacuatedVolume):
        volume = hold.stored.value
    if volume is not None and not volume > 0.0:
        volume = None
    log = [(r.time, r.temperature) for r in readings if r.temperature is not None]
    if not log and hold.engine_temperature is not None:
        log = [(readings[0].time, hold.engine_temperature)]
    missing = (
        ("altitude", hold.atmosphere),
        ("strength", hold.mass_fraction),
        ("stored_volume", volume),
        ("rated", hold.rated),
        ("temperature", log or None),
    )
    assumed = tuple(name for name, value in missing if value is None)
    share = hold.mass_fraction
    coolant = Coolant(hold.glycol, limits["hold.mass_fraction_unknown"] if share is None else share)
    way = course(log, hold.ambient_temperature, limits)
    engine = way.temperature if log else limits["vacuum.engine_temperature_unknown"]
    air_around = hold.ambient_temperature
    deepest_typed = max((r.pressure for r in readings), key=abs)
    shown = -1.0 if vacuum and deepest_typed > 0.0 else 1.0
    pressures = [outside + shown * r.pressure for r in readings]
    times, since = _cut(readings, hold.actions)
    firsts = [
        p for r, p in zip(readings, pressures, strict=True) if any(r.time == t[0] for t in times)
    ]
    deepest = max(min(*pressures[:2], *firsts), 0.0)
    if vacuum:
        # Where the flow is choked, and never at none.
        reference = min(max(deepest, 0.01 * outside), critical_ratio() * outside)
    elif hold.target is not None and hold.target > 0.0:
        reference = outside + hold.target
    else:
        reference = max(pressures[:2])
    system = AirSystem(
        vacuum, outside, reference, reference / engine + coolant.vapour_slope(engine), way
    )
    known = Known(
        vacuum,
        outside,
        coolant.vapour(engine),
        coolant,
        air_around if air_around is not None else limits["hold.temperature_unknown"],
        volume,
        hold.rated if hold.rated is not None else limits["vacuum.rated_unknown"],
        deepest,
        AirSeries(system, times, since, tuple(pressures)),
        shown,
    )
    return known, assumed


def _cut(
    readings: Sequence[Reading], actions: Sequence[Action]
) -> tuple[tuple[tuple[float, ...], ...], tuple[float, ...]]:
    """Times by segment between actions; and when pumping last ended before each."""
    first = readings[0].time
    edges = sorted({a.time for a in actions if a.time > first})
    pumped = [a.time for a in actions if a.kind == "pumped"]
    times: list[tuple[float, ...]] = []
    for left, right in zip([-math.inf, *edges], [*edges, math.inf], strict=True):
        part = tuple(r.time for r in readings if left <= r.time < right)
        if part:
            times.append(part)
    since = tuple(max([t for t in pumped if t <= part[0]], default=first) for part in times)
    return tuple(times), since


def _fit(known: Known, division: float, limits: Limits) -> FullFit:
    """Leak, settling, vapour and drift together."""
    series = known.series
    way = series.system.course
    priors: list[Prior] = [None] * (START + len(series.times))
    priors[MIX] = (limits["vacuum.laminar_share"], limits["vacuum.laminar_share_uncertainty"])
    priors[SETTLING] = (limits["vacuum.settling"], limits["vacuum.settling_uncertainty"])
    priors[LOG_SETTLING] = (
        math.log(limits["vacuum.settling_time"]),
        limits["vacuum.settling_time_spread"],
    )
    priors[VAPOUR] = (
        limits["vacuum.vapour_share"] * known.vapour,
        limits["vacuum.vapour_share_uncertainty"] * known.vapour,
    )
    priors[LOG_VAPOUR] = (
        math.log(limits["vacuum.vapour_time"]),
        limits["vacuum.vapour_time_spread"],
    )
    priors[DRIFT] = (way.drift, way.drift_sd)
    bounds = [(-math.inf, math.inf)] * len(priors)
    bounds[MIX] = (0.0, 1.0)
    bounds[LOG_SETTLING] = bounds[LOG_VAPOUR] = (math.log(5.0), math.log(5000.0))
    highest = limits["vacuum.vapour_share_highest"] * known.vapour
    bounds[VAPOUR] = (-highest, highest)
    starts, rates, offset = [], [], 0
    for times in series.times:
        pressures = series.pressures[offset : offset + len(times)]
        offset += len(times)
        starts.append(pressures[0])
        if len(times) > 1:
            rates.append(_first_rate(times, [abs(p - known.outside) for p in pressures]))
    guess = [
        max(rates, default=0.0),
        *(prior[0] for prior in priors[1:START] if prior is not None),
        *starts,
    ]
    return fit_robust(series, guess, tuple(priors), tuple(bounds), division, limits)


def _first_rate(times: Sequence[float], left: Sequence[float]) -> float:
    """Loss per second until half of the difference is gone, or over all readings."""
    lost = next((k for k, x in enumerate(left) if k > 0 and x <= 0.5 * left[0]), len(left) - 1)
    return (left[0] - left[lost]) / (times[lost] - times[0])


def _evidence(
    hold: Hold,
    known: Known,
    readings: Sequence[Reading],
    full: FullFit,
    weights: Mapping[str, float],
    limits: Limits,
) -> AirEvidence:
    system = known.series.system
    way = system.course
    # The tester's own fall, by the share of its small volume in the system's.
    size = known.volume if known.volume is not None else limits["vacuum.volume_unknown"]
    tester = (hold.self_leak or 0.0) * limits["vacuum.tester_volume"] / size
    without = [
        [value for j, value in enumerate(row) if j != MIX]
        for i, row in enumerate(full.fit.normal)
        if i != MIX
    ]
    span = readings[-1].time - readings[0].time
    hot = limits["vacuum.hot_temperature"]
    share = min(known.coolant.mass_fraction, STRONGEST)
    upstream, downstream = (
        (known.outside, known.reference) if known.vacuum else (known.reference, known.outside)
    )
    liquid = liquid_for_air(
        1.0,
        upstream=upstream,
        downstream=downstream,
        outside=known.outside,
        temperature=known.air_temperature,
        difference=known.rated,
        density=density_inhibited(known.coolant.glycol, share, hot),
        viscosity=viscosity(known.coolant.glycol, share, hot),
    )
    warm = (
        not known.vacuum
        and not way.logged
        and hold.ambient_temperature is not None
        and way.temperature > hold.ambient_temperature + limits["hold.warm_engine"]
    )
    per_rate = None if known.volume is None else known.volume / known.outside
    start = known.series.times[0][0]
    soon = [(start + limits["hold.gross_fall_time"],), *(() for _ in known.series.times[1:])]
    after = known.series.course(full.fit.values, soon)[0][0]
    kept = 1.0 - limits["hold.gross_fall_share"]
    at_once = abs(after - known.outside) <= kept * abs(full.fit.values[START] - known.outside)
    return AirEvidence(
        rate=full.fit.values[RATE],
        rate_sd=math.hypot(math.sqrt(full.covariance[RATE][RATE]), tester),
        rate_sd_lasting=math.hypot(way.drift_sd * system.thermal, tester),
        rate_sd_without=math.hypot(math.sqrt(inverse(without)[RATE][RATE]), tester),
        air_per_rate=per_rate,
        air_per_rate_sd=limits["vacuum.volume_uncertainty"] * (per_rate or 0.0),
        liquid=liquid,
        readings=sum(weight > LEFT_OUT for weight in full.weights),
        span=span,
        look_factor=look_factor(hold.planned, span, len(readings), limits),
        planned=hold.planned,
        falls_at_once=at_once,
        gone_after=_gone_after(known, hold.division, limits),
        air_weight=sum(weights.get(name, 0.0) for name in WITH_LEAK),
        warm_unlogged=warm,
        residual=known.deepest / known.outside if known.vacuum else None,
        altitude_known=hold.atmosphere is not None,
    )


def _gone_after(known: Known, division: float, limits: Limits) -> float | None:
    """Seconds until all that is read is as good as zero; by two readings at least."""
    least = limits["hold.least_pressure_divisions"] * division
    times = [time for part in known.series.times for time in part]
    left = [abs(p - known.outside) for p in known.series.pressures]
    last = max((k for k, x in enumerate(left) if x >= least), default=-1)
    return None if len(left) - last < 3 else times[last + 1] - times[0]


def _curve(
    known: Known, full: FullFit, evidence: AirEvidence, planned: float | None, limits: Limits
) -> tuple[Point, ...]:
    """The fit with its 95 % band, and the same hold with a leak just at the seeping limit; in the
    sign that was typed."""
    series = known.series
    first, last = series.times[0][0], series.times[-1][-1]
    end = max(last, first + (planned or 0.0))
    count = int(limits["hold.curve_points"])
    moments = [first + (end - first) * k / (count - 1) for k in range(count)]
    starts = [part[0] for part in series.times]
    times = [
        tuple(t for t in moments if begin <= t < stop)
        for begin, stop in zip(starts, [*starts[1:], math.inf], strict=True)
    ]
    pressures, columns = series.course(full.fit.values, times)
    compare: list[float] | None = None
    if evidence.air_per_rate is not None:
        at_limit = list(full.fit.values)
        liquid = limits["hold.seeping"] / limits["hold.exposure"]
        at_limit[RATE] = liquid / evidence.liquid.worse / evidence.air_per_rate
        compare, _ = series.course(at_limit, times)
    factor = limits["hold.interval_factor"]

    def typed(pressure: float) -> float:
        return known.shown * (pressure - known.outside)

    points = []
    for k, pressure in enumerate(pressures):
        row = [column[k] for column in columns]
        variance = sum(
            a * sum(c * b for c, b in zip(line, row, strict=True))
            for a, line in zip(row, full.covariance, strict=True)
        )
        band = factor * math.sqrt(max(variance, 0.0))
        limit = None if compare is None else typed(compare[k])
        value = typed(pressure)
        points.append(Point(moments[k], value, value - band, value + band, limit))
    return tuple(points)
