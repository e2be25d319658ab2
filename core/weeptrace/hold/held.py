"""A hold whose system is known, before and after its fit: what filled and drained ones share."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from weeptrace.hold.data import Action, Assessment, Hold, Point, Reading
from weeptrace.hold.fit import LEFT_OUT, FullFit, Observed, fit_robust
from weeptrace.hold.judge import Evidence, Judgement
from weeptrace.hold.least_squares import Prior, inverse
from weeptrace.hold.looks import look_factor
from weeptrace.hold.march import LAW, RATE, Found
from weeptrace.hold.priors import Bounds
from weeptrace.hold.warmth import Course
from weeptrace.properties.expansion import Coolant

Limits = Mapping[str, float]


class Warmed(Protocol):
    """A system that a temperature acts on: its ``course``, and ``thermal`` in Pa/K."""

    @property
    def course(self) -> Course:
        """Of the temperature."""

    @property
    def thermal(self) -> float:
        """Change of pressure per kelvin at the first temperature, Pa/K."""


class Segmented(Observed, Protocol):
    """Readings of a hold, cut into segments by what was done to it."""

    @property
    def system(self) -> Warmed:
        """What is known of the system."""

    @property
    def times(self) -> tuple[tuple[float, ...], ...]:
        """Of the readings, s, by segment."""

    def at(
        self, values: Sequence[float], times: Sequence[Sequence[float]], leaks: bool = True
    ) -> Found:
        """As ``predict``, at other ``times`` by segment."""


def split(
    readings: Sequence[Reading], actions: Sequence[Action]
) -> list[tuple[list[Reading], list[Action]]]:
    """The readings between actions, in order of time, each part with what was done before it.

    ``readings`` in order of time, ``actions`` in any; those before the first reading cut nothing.
    """
    first = readings[0].time
    cuts = sorted((a for a in actions if a.time > first), key=lambda a: a.time)
    parts: list[tuple[list[Reading], list[Action]]] = []
    rest, done = list(readings), list[Action]()
    for action in [*cuts, None]:
        part = [r for r in rest if action is None or r.time < action.time]
        if part:
            parts.append((part, done))
            rest, done = rest[len(part) :], []
        if action is not None:
            done.append(action)
    return parts


def coolant_of(hold: Hold, limits: Limits) -> Coolant:
    """The coolant as told, or the usual mix."""
    share = hold.mass_fraction
    return Coolant(hold.glycol, limits["hold.mass_fraction_unknown"] if share is None else share)


@dataclass(frozen=True)
class Held(ABC):
    """A hold with its readings in order of time, and what is known of its system; SI.

    ``series``: the readings cut into segments with the forward model behind them. ``assumed``:
    names of what had to be assumed. The parameters are in the model's order: the leak's rate and
    what tells its law first, the start pressures of the segments last.
    """

    hold: Hold
    readings: tuple[Reading, ...]
    series: Segmented
    assumed: tuple[str, ...]

    @abstractmethod
    def priors(self, limits: Limits) -> list[Prior]:
        """What is known of the parameters before the fit; of rate and start pressures nothing."""

    @abstractmethod
    def bounds(self, limits: Limits) -> Bounds:
        """Between which values each parameter is looked for."""

    @abstractmethod
    def first_rate(self) -> float:
        """A first guess of the leak's rate, Pa/s."""

    @abstractmethod
    def explanations(self, full: FullFit, limits: Limits) -> dict[str, float]:
        """Weights of what the readings favour, which sum to 1."""

    @abstractmethod
    def evidence(self, full: FullFit, weights: Mapping[str, float], limits: Limits) -> Evidence:
        """What the verdict rests on."""

    @abstractmethod
    def over(self, pressure: float) -> float:
        """How far a pressure of the model is from that outside, Pa."""

    @abstractmethod
    def typed(self, pressure: float) -> float:
        """A pressure of the model as a gauge shows it, Pa."""

    @abstractmethod
    def unfitted(self, limits: Limits) -> Assessment:
        """What can be said without a fit: target, what was assumed, and why there is none."""

    @abstractmethod
    def told(
        self, found: Assessment, evidence: Evidence, full: FullFit, limits: Limits
    ) -> Assessment:
        """The judgement with what only this kind of hold tells."""

    def weighed(
        self, weights: Mapping[str, float], judged: Judgement, limits: Limits
    ) -> Mapping[str, float]:
        """The weights with what the verdict adds to them; here nothing."""
        return weights

    def starts(self) -> list[float]:
        """The first pressure read in each segment."""
        found, offset = [], 0
        for times in self.series.times:
            found.append(self.series.pressures[offset])
            offset += len(times)
        return found

    def fit(self, limits: Limits) -> FullFit:
        """The fit of everything together."""
        priors, bounds = self.priors(limits), self.bounds(limits)
        means = (prior[0] for prior in priors if prior is not None)
        guess = [self.first_rate(), *means, *self.starts()]
        return fit_robust(
            self.series, guess, tuple(priors), tuple(bounds), self.hold.division, limits
        )

    def usual_evidence(
        self, full: FullFit, compliance: float | None, sd: float, tester: float, limits: Limits
    ) -> Evidence:
        """What the verdict rests on in any hold.

        Parameters
        ----------
        full: the fit of everything.
        compliance, sd: volume per pressure of the system with its uncertainty, m3/Pa.
        tester: what the tester's own leak does to the system, Pa/s.
        limits: the ``hold.*`` limits.
        """
        hold, system = self.hold, self.series.system
        way, values = system.course, full.fit.values
        without = [
            [value for j, value in enumerate(row) if j != LAW]
            for i, row in enumerate(full.fit.normal)
            if i != LAW
        ]
        warm = (
            hold.kind != "vacuum"
            and not way.logged
            and hold.ambient_temperature is not None
            and way.temperature > hold.ambient_temperature + limits["hold.warm_engine"]
        )
        span = self.readings[-1].time - self.readings[0].time
        return Evidence(
            rate=values[RATE],
            rate_sd=math.hypot(math.sqrt(full.covariance[RATE][RATE]), tester),
            rate_sd_lasting=math.hypot(way.drift_sd * system.thermal, tester),
            rate_sd_without=math.hypot(math.sqrt(inverse(without)[RATE][RATE]), tester),
            compliance=compliance,
            compliance_sd=sd,
            readings=sum(weight > LEFT_OUT for weight in full.weights),
            span=span,
            look_factor=look_factor(hold.planned, span, len(self.readings), limits),
            planned=hold.planned,
            warm_unlogged=warm,
            falls_at_once=self._falls_at_once(full, limits),
            owner_rate=hold.owner_rate,
        )

    def _falls_at_once(self, full: FullFit, limits: Limits) -> bool:
        """Whether the fitted pressure loses the gross fall share within the gross fall time."""
        values, times = full.fit.values, self.series.times
        soon = [(times[0][0] + limits["hold.gross_fall_time"],), *(() for _ in times[1:])]
        after = self.series.at(values, soon)[0][0]
        kept = 1.0 - limits["hold.gross_fall_share"]
        return self.over(after) <= kept * self.over(values[-len(times)])

    def curve(self, full: FullFit, evidence: Evidence, limits: Limits) -> tuple[Point, ...]:
        """The fit with its 95 % band, and the same hold with a leak just at the seeping limit; as
        a gauge shows it."""
        series, values = self.series, full.fit.values
        first, last = series.times[0][0], series.times[-1][-1]
        end = max(last, first + (self.hold.planned or 0.0))
        count = int(limits["hold.curve_points"])
        moments = [first + (end - first) * k / (count - 1) for k in range(count)]
        starts = [part[0] for part in series.times]
        times = [
            tuple(t for t in moments if begin <= t < stop)
            for begin, stop in zip(starts, [*starts[1:], math.inf], strict=True)
        ]
        pressures, columns = series.at(values, times)
        limit: list[float | None] = [None] * count
        rate = evidence.rate_of(limits["hold.seeping"] / limits["hold.exposure"])
        if rate is not None:
            limit = [self.typed(p) for p in series.at([rate, *values[1:]], times)[0]]
        factor = limits["hold.interval_factor"]
        points = []
        for k, pressure in enumerate(pressures):
            row = [column[k] for column in columns]
            variance = sum(
                a * sum(c * b for c, b in zip(line, row, strict=True))
                for a, line in zip(row, full.covariance, strict=True)
            )
            band = factor * math.sqrt(max(variance, 0.0))
            shown = self.typed(pressure)
            points.append(Point(moments[k], shown, shown - band, shown + band, limit[k]))
        return tuple(points)
