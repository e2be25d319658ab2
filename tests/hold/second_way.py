"""A filled system and a drained one by numpy: pressures in steps, least squares by differences.

    filled:   (Ch + G/(p + P)^2) dp/dt = dV/dt - r C phi(p),   phi = (p/pt)^n
    drained:  dp/dt = dV/dt +- r phi(p),   phi = (1 - m) orifice + m capillary, over the reference

V what hoses, pumped air and temperature do without the leak. Many sets of parameters go at once, a
row each. SI. It shares nothing with the room: all is told from the hold as it was typed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy

Floats = numpy.ndarray[Any, numpy.dtype[numpy.float64]]
Prior = tuple[float, float] | None
STEP = 60.0
GAMMA = 1.4
CHOKED = (2.0 / (GAMMA + 1.0)) ** (GAMMA / (GAMMA - 1.0))


@dataclass(frozen=True)
class Stretch:
    """Between two actions: first reading s, gas ``G = Vg (p + P)`` m3 Pa, steps (s, Pa), times."""

    start: float
    gas: float
    steps: tuple[tuple[float, float], ...]
    times: tuple[float, ...]


@dataclass(frozen=True)
class Filled:
    """Parameters r, n, creep share, ln tau, gas share, drift, then a start pressure a stretch.

    ``warmth``: kelvin above the first at a time; dV/dT ``per_kelvin`` + ``growth`` of it, m3/K.
    """

    target: float
    dry: float
    compliance: float
    hoses: float
    stretches: tuple[Stretch, ...]
    per_kelvin: float
    growth: float = 0.0
    warmth: Callable[[float], float] = lambda time: 0.0
    gas_time: float = 30.0

    def pressures(self, values: Floats) -> Floats:
        """At all times of all stretches, a row for each row of values."""
        found = []
        for number, stretch in enumerate(self.stretches):
            found.append(self._stretch(stretch, values[:, :6], values[:, 6 + number]))
        return numpy.concatenate(found, axis=1)

    def _stretch(self, stretch: Stretch, values: Floats, start: Floats) -> Floats:
        rate, n, creep, log_tau, share, drift = values.T
        tau = numpy.exp(log_tau)

        def given(time: float) -> Floats:
            """Volume since the start, m3."""
            total = numpy.zeros(len(values))
            for moment, step in stretch.steps:
                age, before = time - moment, stretch.start - moment
                late = numpy.exp(-age / tau) - numpy.exp(-before / tau)
                air = math.exp(-age / self.gas_time) - math.exp(-before / self.gas_time)
                total += creep * self.hoses * step * late
                total += share * (self.compliance - self.hoses) * step * air
            now, first = self.warmth(time), self.warmth(stretch.start)
            total += self.per_kelvin * (now - first) + 0.5 * self.growth * (now**2 - first**2)
            return total + drift * self.per_kelvin * (time - stretch.start)

        def leak(p: Floats) -> Floats:
            part = p / self.target
            slow = 0.05 ** (n - 1.0) * part
            return numpy.where(part < 0.05, slow, numpy.maximum(part, 1e-9) ** n)

        def pressure(volume: Floats) -> Floats:
            """By Newton from the start: ``Ch (p - p0) + G/(p0 + P) - G/(p + P) = V``."""
            p = start.copy()
            for _ in range(30):
                stored = self.hoses * (p - start) + stretch.gas / (start + self.dry)
                off = stored - stretch.gas / (p + self.dry) - volume
                p = p - off / (self.hoses + stretch.gas / (p + self.dry) ** 2)
                if numpy.abs(off).max() < 1e-7 * self.compliance:
                    break
            return p

        scale = rate * self.compliance
        flow = lambda gone, time: scale * leak(pressure(given(time) - gone))  # noqa: E731
        return _followed(stretch.times, flow, lambda t, gone: pressure(given(t) - gone), rate)


@dataclass(frozen=True)
class Drained:
    """Parameters r, m, settling S, its ln time, vapour V, its ln time, drift, then starts (Pa abs).

    ``since``: of each stretch, when pumping ended; ``thermal`` Pa/K.
    """

    outside: float
    reference: float
    thermal: float
    times: tuple[tuple[float, ...], ...]
    since: tuple[float, ...]
    warmth: Callable[[float], float] = lambda time: 0.0

    def pressures(self, values: Floats) -> Floats:
        """At all times of all stretches, a row for each row of values."""
        found = []
        for number, times in enumerate(self.times):
            start = values[:, 7 + number]
            found.append(self._stretch(times, self.since[number], values[:, :7], start))
        return numpy.concatenate(found, axis=1)

    def _stretch(
        self, times: Sequence[float], since: float, values: Floats, start: Floats
    ) -> Floats:
        rate, mix, settling, log_s, vapour, log_v, drift = values.T
        sign = 1.0 if self.reference < self.outside else -1.0
        first, ts, tv = times[0], numpy.exp(log_s), numpy.exp(log_v)

        def given(time: float) -> Floats:
            settled = numpy.exp((since - first) / ts) - numpy.exp((since - time) / ts)
            dried = numpy.exp((since - first) / tv) - numpy.exp((since - time) / tv)
            warm = self.thermal * (self.warmth(time) - self.warmth(first))
            own = sign * settling * settled + vapour * dried
            return numpy.asarray(own + warm + drift * self.thermal * (time - first))

        def sharp(p: Floats | float) -> Floats:
            up, down = numpy.maximum(p, self.outside), numpy.minimum(p, self.outside)
            r = numpy.clip(down / up, CHOKED, 1.0)
            psi = r ** (2.0 / GAMMA) - r ** ((GAMMA + 1.0) / GAMMA)
            return numpy.asarray(up * numpy.sqrt(numpy.maximum(psi, 0.0)))

        def fine(p: Floats | float) -> Floats:
            return numpy.asarray(numpy.abs(p * p - self.outside**2))

        edge = 0.02 * abs(self.reference - self.outside)

        def phi(p: Floats) -> Floats:
            left = sign * (self.outside - p)
            at = numpy.where(left < edge, self.outside - sign * edge, p)
            whole = (1.0 - mix) * sharp(at) / sharp(self.reference)
            whole = whole + mix * fine(at) / fine(self.reference)
            return numpy.where(left < edge, whole * left / edge, whole)

        flow = lambda gone, time: rate * phi(start + given(time) + sign * gone)  # noqa: E731
        shown = lambda time, gone: start + given(time) + sign * gone  # noqa: E731
        return _followed(times, flow, shown, rate)


def _followed(
    times: Sequence[float],
    flow: Callable[[Floats, float], Floats],
    shown: Callable[[float, Floats], Floats],
    like: Floats,
) -> Floats:
    """What is shown at the times, the leak followed by Runge-Kutta in steps of some seconds."""
    gone, now, seen = numpy.zeros_like(like), times[0], []
    for goal in times:
        count = math.ceil((goal - now) / STEP - 1e-9)
        h = (goal - now) / count if count else 0.0
        for _ in range(count):
            k1 = flow(gone, now)
            k2 = flow(gone + 0.5 * h * k1, now + 0.5 * h)
            k3 = flow(gone + 0.5 * h * k2, now + 0.5 * h)
            k4 = flow(gone + h * k3, now + h)
            gone, now = gone + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4), now + h
        seen.append(shown(goal, gone))
    return numpy.array(seen).T


Model = Filled | Drained


def around(
    model: Model, values: Sequence[float], steps: Sequence[float], free: Sequence[int]
) -> tuple[Floats, Floats]:
    """Pressures, and their derivatives by central differences: a row a reading, a column a free
    parameter."""
    some, at = list(free), numpy.array(values)
    h = numpy.diag(steps)[some]
    seen = model.pressures(numpy.concatenate((at + h, at - h, [at])))
    up, down = seen[: len(h)], seen[len(h) : 2 * len(h)]
    return seen[-1], numpy.asarray(((up - down) / (2.0 * numpy.array(steps)[some][:, None])).T)


def slopes(model: Model, values: Sequence[float], steps: Sequence[float]) -> Floats:
    """The derivatives by all parameters."""
    return around(model, values, steps, range(len(values)))[1]


@dataclass
class Least:
    """Least squares with priors of some of a model's parameters, by Gauss and Newton."""

    model: Model
    seen: Sequence[float]
    noise: float
    priors: Sequence[Prior]
    steps: Sequence[float]
    weights: Sequence[float] | None = None
    never_below: dict[int, float] = field(default_factory=dict)
    never_above: dict[int, float] = field(default_factory=dict)

    def look(self, values: Sequence[float], free: Sequence[int]) -> tuple[Floats, Floats, float]:
        """H, the gradient of half the cost, and the cost: squares of the readings' and of the
        priors' standard errors."""
        root = numpy.sqrt(numpy.ones(len(self.seen)) if self.weights is None else self.weights)
        pressures, by = around(self.model, values, self.steps, free)
        by, off = by * root[:, None] / self.noise, (pressures - self.seen) * root / self.noise
        h, g, cost = by.T @ by, by.T @ off, float(off @ off)
        for k, j in enumerate(free):
            if (prior := self.priors[j]) is not None:
                away = (values[j] - prior[0]) / prior[1]
                h[k, k] += 1.0 / prior[1] ** 2
                g[k] += away / prior[1]
                cost += away**2
        return h, g, cost

    def found(self, start: Sequence[float], free: Sequence[int]) -> tuple[Floats, float]:
        """H and the cost at the minimum; a parameter at its end is held while it would go
        beyond."""
        low = [self.never_below.get(j, -math.inf) for j in free]
        high = [self.never_above.get(j, math.inf) for j in free]
        values, step, cost = list(start), numpy.zeros(len(free)), math.inf
        at, h = numpy.clip([values[j] for j in free], low, high), numpy.zeros((0, 0))
        for _ in range(30):
            new = numpy.clip(at + step, low, high)
            for j, v in zip(free, new, strict=True):
                values[j] = float(v)
            there, g, now = self.look(values, free)
            if now > cost + 1e-6:
                step = 0.5 * step  # half as far, until it helps
                continue
            at, h, cost = new, there, now
            held = ((at <= low) & (g > 0.0)) | ((at >= high) & (g < 0.0))
            step = numpy.zeros(len(free))
            step[~held] = -numpy.linalg.solve(h[~held][:, ~held], g[~held])
            if step @ h @ step < 1e-4:
                break
        return h, cost

    def score(self, start: Sequence[float], free: Sequence[int], spreads: Sequence[float]) -> float:
        """Laplace: cost and ln det of H scaled by the spreads of all parameters."""
        h, cost = self.found(start, free)
        scale = numpy.diag([spreads[j] for j in free])
        sign, log = numpy.linalg.slogdet(scale @ h @ scale)
        assert sign > 0.0
        return cost + float(log)
