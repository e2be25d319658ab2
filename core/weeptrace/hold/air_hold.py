"""A drained system: what is known of it before its readings are fitted, and told after.

A vacuum and its leak-up, or dry air under pressure and its fall.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from weeptrace.fill.reach import best_vacuum
from weeptrace.hold.air_decay import AirReadings, AirSystem
from weeptrace.hold.air_explain import air_explanations
from weeptrace.hold.air_judge import AirEvidence, gone
from weeptrace.hold.air_side import STRONGEST
from weeptrace.hold.data import (
    Action,
    Assessment,
    EvacuatedVolume,
    Hold,
    LiquidEquivalent,
    Reading,
)
from weeptrace.hold.explain import WITH_LEAK
from weeptrace.hold.fit import FullFit
from weeptrace.hold.held import Held, coolant_of, split
from weeptrace.hold.judge import Evidence, scaled
from weeptrace.hold.least_squares import Prior
from weeptrace.hold.priors import Bounds, air_bounds, air_priors
from weeptrace.hold.usable import NO_FIT
from weeptrace.hold.warmth import course
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.openings import LiquidBounds, critical_ratio, liquid_for_air
from weeptrace.properties.viscosity import viscosity

Limits = Mapping[str, float]
# The first guess is taken until this part of the difference is left: the leak bends near none.
HALF_LEFT = 0.5
# So many readings of nothing tell that all is gone; one alone may be a slip.
OF_NOTHING = 2


@dataclass(frozen=True)
class AirHold(Held):
    """A hold of a drained system; SI, Pa absolute.

    ``vapour`` pressure of what is left of the coolant; ``volume`` that was drained, None where it
    is not known; ``deepest`` of the pressures that count as reached; ``shown``: needle as typed
    over pressure less outside, -1 where a vacuum was typed without its sign.
    """

    series: AirReadings
    vapour: float
    volume: float | None
    deepest: float
    shown: float

    @property
    def reference(self) -> float:
        """Where rates are given."""
        return self.series.system.reference

    def priors(self, limits: Limits) -> list[Prior]:
        """Of opening, settling, vapour and drift."""
        return air_priors(self.series, self.vapour, limits)

    def bounds(self, limits: Limits) -> Bounds:
        """Of the same."""
        return air_bounds(self.series, self.vapour, limits)

    def first_rate(self) -> float:
        """The fastest of the segments."""
        rates, offset = [], 0
        for moments in self.series.times:
            pressures = self.series.pressures[offset : offset + len(moments)]
            offset += len(moments)
            if len(moments) > 1:
                rates.append(rate_to_half(moments, [self.over(p) for p in pressures]))
        return max(rates, default=0.0)

    def explanations(self, full: FullFit, limits: Limits) -> dict[str, float]:
        """Tight, settling, a leak, vapour, and both of these."""
        return air_explanations(self.series, full)

    def over(self, pressure: float) -> float:
        """How far from the atmosphere, whichever way."""
        return abs(pressure - self.hold.outside)

    def typed(self, pressure: float) -> float:
        """With the sign that was typed."""
        return self.shown * (pressure - self.hold.outside)

    def unfitted(self, limits: Limits) -> Assessment:
        """Target, reach, residual and what was assumed; gross where all is gone soon."""
        after = self.gone_after(limits)
        vacuum, outside = self.series.system.vacuum, self.hold.outside
        return Assessment(
            "not_judged" if after is None else gone(after, limits),
            NO_FIT if after is None else None,
            target=self.typed(self.reference),
            residual_fraction=self.deepest / outside if vacuum else None,
            best_vacuum=best_vacuum(outside, self.vapour, limits).gauge if vacuum else None,
            assumed=self.assumed,
        )

    def evidence(self, full: FullFit, weights: Mapping[str, float], limits: Limits) -> AirEvidence:
        """What the verdict rests on."""
        # The tester's own fall, by the share of its small volume in the system's.
        size = self.volume if self.volume is not None else limits["vacuum.volume_unknown"]
        tester = (self.hold.self_leak or 0.0) * limits["vacuum.tester_volume"] / size
        outside = self.hold.outside
        per_rate = None if self.volume is None else self.volume / outside
        per_rate_sd = limits["vacuum.volume_uncertainty"] * (per_rate or 0.0)
        usual = self.usual_evidence(full, per_rate, per_rate_sd, tester, limits)
        return AirEvidence(
            **vars(usual),
            liquid=self._liquid(limits),
            gone_after=self.gone_after(limits),
            air_weight=sum(weights.get(name, 0.0) for name in WITH_LEAK),
            residual=self.deepest / outside if self.series.system.vacuum else None,
            altitude_known=self.hold.atmosphere is not None,
        )

    def _liquid(self, limits: Limits) -> LiquidBounds:
        """Hot liquid at the rated pressure per air, through the same opening."""
        hold, outside, reference = self.hold, self.hold.outside, self.reference
        coolant, hot = coolant_of(hold, limits), limits["vacuum.hot_temperature"]
        share = min(coolant.mass_fraction, STRONGEST)
        ambient, rated = hold.ambient_temperature, hold.rated
        return liquid_for_air(
            1.0,
            upstream=max(outside, reference),
            downstream=min(outside, reference),
            outside=outside,
            temperature=limits["hold.temperature_unknown"] if ambient is None else ambient,
            difference=limits["vacuum.rated_unknown"] if rated is None else rated,
            density=density_inhibited(coolant.glycol, share, hot),
            viscosity=viscosity(coolant.glycol, share, hot),
        )

    def gone_after(self, limits: Limits) -> float | None:
        """Seconds until all that is read is as good as zero; by two readings at least."""
        least = limits["hold.least_pressure_divisions"] * self.hold.division
        moments = [time for part in self.series.times for time in part]
        left = [self.over(p) for p in self.series.pressures]
        last = max((k for k, x in enumerate(left) if x >= least), default=-1)
        enough = len(left) - (last + 1) >= OF_NOTHING
        return moments[last + 1] - moments[0] if enough else None

    def told(
        self, found: Assessment, evidence: Evidence, full: FullFit, limits: Limits
    ) -> Assessment:
        """With the air that flows, and both liquids through the same opening."""
        assert isinstance(evidence, AirEvidence)
        if evidence.compliance is None:
            return found
        flow = evidence.flow(evidence.compliance, limits["hold.interval_factor"])
        liquid = evidence.liquid
        pair = LiquidEquivalent(scaled(flow, liquid.orifice), scaled(flow, liquid.laminar))
        return replace(found, air_flow=flow, liquid_equivalent=pair)


def air_hold(hold: Hold, readings: Sequence[Reading], limits: Limits) -> AirHold:
    """The system as far as it is known, and its readings as absolute pressures in segments.

    ``readings`` in order of time.
    """
    vacuum, outside = hold.kind == "vacuum", hold.outside
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
    coolant, way = coolant_of(hold, limits), course(log, hold.ambient_temperature, limits)
    engine = way.temperature if log else limits["vacuum.engine_temperature_unknown"]
    shown = -1.0 if vacuum and max((r.pressure for r in readings), key=abs) > 0.0 else 1.0
    pressures = [outside + shown * r.pressure for r in readings]
    moments, since = cut_air(readings, hold.actions)
    firsts = [
        p for r, p in zip(readings, pressures, strict=True) if any(r.time == t[0] for t in moments)
    ]
    deepest = max(min(*pressures[:2], *firsts), 0.0)
    if vacuum:
        # Where the flow is choked, and never at none.
        least = limits["vacuum.reference_least"] * outside
        reference = min(max(deepest, least), critical_ratio() * outside)
    elif hold.target is not None and hold.target > 0.0:
        reference = outside + hold.target
    else:
        reference = max(pressures[:2])
    thermal = reference / engine + coolant.vapour_slope(engine)
    system = AirSystem(vacuum, outside, reference, thermal, way)
    return AirHold(
        hold,
        tuple(readings),
        AirReadings(system, moments, since, tuple(pressures)),
        tuple(name for name, value in missing if value is None),
        coolant.vapour(engine),
        volume,
        deepest,
        shown,
    )


def cut_air(
    readings: Sequence[Reading], actions: Sequence[Action]
) -> tuple[tuple[tuple[float, ...], ...], tuple[float, ...]]:
    """Times by segment between actions; and when pumping last ended before each."""
    moments = tuple(tuple(r.time for r in part) for part, _ in split(readings, actions))
    pumped = [a.time for a in actions if a.kind == "pumped"]
    first = readings[0].time
    since = tuple(max([t for t in pumped if t <= part[0]], default=first) for part in moments)
    return moments, since


def rate_to_half(moments: Sequence[float], left: Sequence[float]) -> float:
    """Loss per second until half of the difference is gone, or over all readings."""
    half = HALF_LEFT * left[0]
    lost = next((k for k, x in enumerate(left) if k > 0 and x <= half), len(left) - 1)
    return (left[0] - left[lost]) / (moments[lost] - moments[0])
