"""A filled system under pressure: what is known of it before its readings are fitted, and told."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from weeptrace.hold.advice import Present, advise
from weeptrace.hold.air_side import as_liquid, looks_like_air
from weeptrace.hold.data import (
    Action,
    Assessment,
    Estimate,
    Exponent,
    Hold,
    LiquidEquivalent,
    Reading,
)
from weeptrace.hold.decay import EXPONENT, LiquidReadings, Segment, System
from weeptrace.hold.explain import explanations, with_air_side
from weeptrace.hold.fit import FullFit
from weeptrace.hold.held import Held, coolant_of, split
from weeptrace.hold.judge import LEAKS, Evidence, Judgement, reason_for, scaled
from weeptrace.hold.least_squares import Prior
from weeptrace.hold.priors import Bounds, liquid_bounds, liquid_priors
from weeptrace.hold.stored import StoredVolume, stored_volume
from weeptrace.hold.usable import NO_FIT
from weeptrace.hold.warmth import course, thermal_volume

Limits = Mapping[str, float]
# The first guess is taken where this part of the pressure is left: a leak bends near zero.
HOLDS_PRESSURE = 0.3
# From so far between first and last temperature on, K, their volumes tell how the volume per kelvin
# grows; nearer ones only tell rounding.
APART = 0.5


@dataclass(frozen=True)
class LiquidHold(Held):
    """A hold of coolant under pressure: ``target`` Pa gauge, ``stored`` there."""

    series: LiquidReadings
    target: float
    stored: StoredVolume

    def priors(self, limits: Limits) -> list[Prior]:
        """Of leak law, settling and drift."""
        return liquid_priors(self.series, limits)

    def bounds(self, limits: Limits) -> Bounds:
        """Of the same."""
        return liquid_bounds(self.series, limits)

    def first_rate(self) -> float:
        """The median slope of what still holds pressure."""
        return median_slope(self.series)

    def explanations(self, full: FullFit, limits: Limits) -> dict[str, float]:
        """Tight, settling, thermal, leak, or leak and settling."""
        return explanations(self.series, full, limits)

    def weighed(
        self, weights: Mapping[str, float], judged: Judgement, limits: Limits
    ) -> Mapping[str, float]:
        """The weights with that of a leak above the liquid."""
        size = None if judged.leak_flow is None else judged.leak_flow.value
        return with_air_side(weights, size, self.hold.wet, limits)

    def over(self, pressure: float) -> float:
        """A gauge pressure is that over outside."""
        return pressure

    def typed(self, pressure: float) -> float:
        """As it is."""
        return pressure

    def unfitted(self, limits: Limits) -> Assessment:
        """The target, and what was assumed."""
        return Assessment("not_judged", NO_FIT, target=self.target, assumed=self.assumed)

    def evidence(self, full: FullFit, weights: Mapping[str, float], limits: Limits) -> Evidence:
        """What the verdict rests on."""
        stored = self.stored
        own = (self.hold.self_leak or 0.0) * limits["hold.tester_compliance"]
        size = None if stored.uncertainty is None else stored.compliance
        return self.usual_evidence(
            full, size, stored.uncertainty or 0.0, own / stored.compliance, limits
        )

    def told(
        self, found: Assessment, evidence: Evidence, full: FullFit, limits: Limits
    ) -> Assessment:
        """With the exponent; where the size of the leak is known with hints and advice."""
        found = replace(found, exponent=exponent(full, limits))
        size, least = self.stored.compliance, found.smallest_detectable_flow
        if least is None:
            return found
        wide = limits["hold.interval_factor"] * evidence.compliance_sd
        return replace(
            self._hinted(found, limits),
            advice=advise(self._present(full), least, limits),
            compliance=Estimate(size, max(size - wide, 0.0), size + wide),
        )

    def _present(self, full: FullFit) -> Present:
        """The hold as it is, for what would see more."""
        system = self.series.system
        return Present(
            times=[reading.time for reading in self.readings],
            noise=full.noise,
            division=self.hold.division,
            hoses=self.stored.hoses,
            gas=self.stored.gas,
            per_kelvin=system.thermal * self.stored.compliance,
            system=system,
            self_leak=self.hold.self_leak or 0.0,
        )

    def _hinted(self, found: Assessment, limits: Limits) -> Assessment:
        """With the hint that the leak is above the liquid, where it looks like that."""
        flow, hold = found.leak_flow, self.hold
        claimed = found.verdict in LEAKS
        if flow is None or not looks_like_air(claimed, flow.value, hold.wet, limits):
            return found
        warmth = self.series.system.course.temperature
        one = as_liquid(1.0, self.target, hold.outside, warmth, coolant_of(hold, limits))
        pair = LiquidEquivalent(scaled(flow, one.orifice), scaled(flow, one.laminar))
        return replace(found, hints=(reason_for("air_side", limits),), air_side=pair)


def liquid_hold(hold: Hold, readings: Sequence[Reading], limits: Limits) -> LiquidHold:
    """The system as far as it is known, and its readings cut into segments.

    ``readings`` in order of time.
    """
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
    atmosphere, coolant = hold.outside, coolant_of(hold, limits)
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
    segments, moments = cut_liquid(readings, hold.actions, stored.hoses, stored.gas, dry)
    # What was pumped in between counts: the compliance at the target is that of the stretch there.
    firsts = [r.pressure for r in readings if any(r.time == part[0] for part in moments)]
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
    growth = (last - first) / (t1 - t0) if abs(t1 - t0) > APART else 0.0
    system = System(target, dry, first, growth, way, limits["hold.gas_settling_time"])
    shares = tuple(segment.over(stored.compliance) for segment in segments)
    series = LiquidReadings(system, shares, moments, tuple(r.pressure for r in readings))
    return LiquidHold(hold, tuple(readings), series, tuple(assumed), target, stored)


def cut_liquid(
    readings: Sequence[Reading], actions: Sequence[Action], hoses: float, gas: float, dry: float
) -> tuple[tuple[Segment, ...], tuple[tuple[float, ...], ...]]:
    """Segments between actions, and their times.

    Parameters
    ----------
    readings: in order of time.
    actions: in any order; those before the first reading only say when pumping ended.
    hoses, gas: Ch in m3/Pa, and Vg (p + P) in m3 Pa at the first reading.
    dry: P = Pa - pv in Pa.

    Pumping adds gas at almost constant gas volume (the hoses give by ``Ch dp``), so ``Vg (p + P)``
    grows with p; drawing off liquid or a disturbance leaves it.
    """
    first = readings[0]
    pumped = [a.time for a in actions if a.kind == "pumped" and a.time <= first.time]
    steps = [(max(pumped, default=first.time), first.pressure)]
    segments: list[Segment] = []
    times: list[tuple[float, ...]] = []
    last = first
    for part, done in split(readings, actions):
        change = part[0].pressure - last.pressure
        moved = [a for a in done if a.kind != "disturbed"]
        if moved:
            steps.append((moved[-1].time, change))
        if moved and moved[-1].kind == "pumped":
            volume = gas / (last.pressure + dry) + hoses * change
            gas = max(volume, 0.0) * (part[0].pressure + dry)
        segments.append(Segment(part[0].time, hoses, gas, tuple(steps)))
        times.append(tuple(r.time for r in part))
        last = part[-1]
    return tuple(segments), tuple(times)


def median_slope(series: LiquidReadings) -> float:
    """The median slope between readings that still hold pressure, Pa/s; 0 where there is none."""
    slopes: list[float] = []
    offset = 0
    for times in series.times:
        pressures = series.pressures[offset : offset + len(times)]
        offset += len(times)
        kept = [
            (t, p)
            for index, (t, p) in enumerate(zip(times, pressures, strict=True))
            if index < 2 or p > HOLDS_PRESSURE * pressures[0]
        ]
        gap = max(1, len(kept) // 2)
        slopes += [(a[1] - b[1]) / (b[0] - a[0]) for a, b in zip(kept, kept[gap:], strict=False)]
    slopes.sort()
    return slopes[len(slopes) // 2] if slopes else 0.0


def exponent(full: FullFit, limits: Limits) -> Exponent:
    """Of the leak law; assumed where the readings did not narrow it enough."""
    sd = math.sqrt(full.covariance[EXPONENT][EXPONENT])
    wide = limits["hold.exponent_shrinkage"] * limits["hold.exponent_uncertainty"]
    return Exponent(full.fit.values[EXPONENT], sd > wide)
