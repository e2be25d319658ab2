"""The readings' best explanation by settling, temperature and a leak together, with its errors.

Least squares on the forward model with Gaussian priors on what the readings say little about
(exponent, settling, drift): systematic parts then stand in the uncertainty and do not average down.
Slips of the hand: Huber's weights, and a reading beyond ``hold.suspect_sigma`` is named and left
out (P. J. Huber, Ann. Math. Statist. 35 (1964) 73, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import mul
from typing import Protocol

from weeptrace.hold.data import Action, Reading
from weeptrace.hold.decay import CREEP, DRIFT, EXPONENT, GAS, LOG_TAU, RATE, START, Segment, System
from weeptrace.hold.decay import trace as trace_segment
from weeptrace.hold.least_squares import Fit, Matrix, Model, Prior, inverse, minimise

# Mean of min(z^2, 1.5|z|) of a standard normal: what Huber's weights leave of the variance.
HUBER_VARIANCE = 0.866
# 1/quantile(0.75) of the normal: median absolute deviation -> standard deviation.
MAD_TO_SD = 1.4826
TOLERANCE = 1e-3
# Weight of a reading left out: nothing, but its residual can still be told.
LEFT_OUT = 1e-12
Limits = Mapping[str, float]


class Observed(Protocol):
    """Readings with a forward model behind them. Parameter ``RATE``, the first, is the leak's."""

    @property
    def pressures(self) -> tuple[float, ...]:
        """As read, Pa."""

    def predict(self, values: Sequence[float], leaks: bool = True) -> tuple[list[float], Matrix]:
        """Pressures in Pa for these parameters, and one column of derivatives per parameter.

        ``leaks`` is false where the rate is zero and stays so.
        """


@dataclass(frozen=True)
class Series:
    """The readings cut into segments: times and pressures in s and Pa, by segment."""

    system: System
    segments: tuple[Segment, ...]
    times: tuple[tuple[float, ...], ...]
    pressures: tuple[float, ...]

    def predict(self, values: Sequence[float], leaks: bool = True) -> tuple[list[float], Matrix]:
        """As ``Observed`` says."""
        return trace(self, values, self.times, leaks)


def cut(
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
    cuts = sorted((a for a in actions if a.time > first.time), key=lambda a: a.time)
    segments: list[Segment] = []
    times: list[tuple[float, ...]] = []
    rest, last = list(readings), first
    pending: list[Action] = []
    for action in [*cuts, None]:
        part = [r for r in rest if action is None or r.time < action.time]
        if part:
            change = part[0].pressure - last.pressure
            moved = [a for a in pending if a.kind != "disturbed"]
            if moved:
                steps.append((moved[-1].time, change))
            if moved and moved[-1].kind == "pumped":
                volume = gas / (last.pressure + dry) + hoses * change
                gas = max(volume, 0.0) * (part[0].pressure + dry)
            segments.append(Segment(part[0].time, hoses, gas, tuple(steps)))
            times.append(tuple(r.time for r in part))
            rest, last, pending = rest[len(part) :], part[-1], []
        if action is not None:
            pending.append(action)
    return tuple(segments), tuple(times)


def trace(
    series: Series,
    values: Sequence[float],
    times: Sequence[Sequence[float]],
    leaks: bool = True,
) -> tuple[list[float], Matrix]:
    """Pressures of all segments and one column of derivatives per parameter."""
    pressures: list[float] = []
    rows: Matrix = []
    starts = len(series.segments)
    for index, (segment, moments) in enumerate(zip(series.segments, times, strict=True)):
        if not moments:
            continue
        found, by = trace_segment(
            series.system, segment, [*values[:START], values[START + index]], moments, leaks
        )
        pressures += found
        if starts == 1:
            rows += by
        else:
            before, after = [0.0] * index, [0.0] * (starts - index - 1)
            rows += [[*row[:START], *before, row[START], *after] for row in by]
    return pressures, [list(column) for column in zip(*rows, strict=True)]


def first_guess(series: Series, priors: Sequence[Prior]) -> list[float]:
    """Priors' means, and the median slope between readings that still hold pressure."""
    slopes: list[float] = []
    offset = 0
    starts: list[float] = []
    for times in series.times:
        pressures = series.pressures[offset : offset + len(times)]
        offset += len(times)
        starts.append(pressures[0])
        kept = [
            (t, p)
            for index, (t, p) in enumerate(zip(times, pressures, strict=True))
            if index < 2 or p > 0.3 * pressures[0]
        ]
        gap = max(1, len(kept) // 2)
        slopes += [(a[1] - b[1]) / (b[0] - a[0]) for a, b in zip(kept, kept[gap:], strict=False)]
    slopes.sort()
    rate = slopes[len(slopes) // 2] if slopes else 0.0
    return [rate, *(prior[0] for prior in priors[1:START] if prior is not None), *starts]


@dataclass(frozen=True)
class FullFit:
    """The fit of everything: parameters, covariance, noise in Pa, weights and suspects."""

    fit: Fit
    covariance: Matrix
    priors: tuple[Prior, ...]
    bounds: tuple[tuple[float, float], ...]
    noise: float
    weights: tuple[float, ...]
    suspects: tuple[int, ...]


def prior_knowledge(series: Series, limits: Limits) -> tuple[Prior, ...]:
    """The priors of all parameters, from the limits; rate and start pressures have none.

    The creep's volume is hoses times share: that the hoses' give is not known either widens it.
    """
    course = series.system.course
    known: list[Prior] = [None] * (START + len(series.segments))
    known[EXPONENT] = (limits["hold.exponent"], limits["hold.exponent_uncertainty"])
    share = limits["hold.creep_share"]
    by_hoses = limits["hold.hose_compliance_uncertainty"] / limits["hold.hose_compliance"]
    known[CREEP] = (share, math.hypot(limits["hold.creep_share_uncertainty"], share * by_hoses))
    known[LOG_TAU] = (math.log(limits["hold.creep_time"]), limits["hold.creep_time_spread"])
    known[GAS] = (0.0, limits["hold.gas_settling_share"])
    known[DRIFT] = (course.drift, course.drift_sd)
    return tuple(known)


def weighted_model(
    series: Observed,
    weights: Sequence[float],
    noise: float,
    free: Sequence[int],
    fixed: Sequence[float],
) -> Model:
    """Residuals over the noise, and their derivatives by the free parameters."""
    scale = [math.sqrt(weight) / noise for weight in weights]
    leaks = RATE in free

    def model(values: list[float]) -> tuple[list[float], Matrix]:
        all_values = list(fixed)
        for index, value in zip(free, values, strict=True):
            all_values[index] = value
        pressures, columns = series.predict(all_values, leaks)
        residuals = [
            s * (p - seen) for s, p, seen in zip(scale, pressures, series.pressures, strict=True)
        ]
        return residuals, [list(map(mul, scale, columns[index])) for index in free]

    return model


def fit_all(series: Series, division: float, limits: Limits) -> FullFit:
    """Fit leak, settling and drift together.

    Parameters
    ----------
    series: the readings.
    division: of the gauge, Pa.
    limits: the ``hold.*`` limits.
    """
    priors = prior_knowledge(series, limits)
    low = [-math.inf] * len(priors)
    high = [math.inf] * len(priors)
    low[EXPONENT], high[EXPONENT] = limits["hold.exponent_low"], limits["hold.exponent_high"]
    low[LOG_TAU], high[LOG_TAU] = math.log(10.0), math.log(1000.0)
    for index in range(START, len(priors)):
        low[index] = 0.0
    bounds = tuple(zip(low, high, strict=True))
    return fit_robust(series, first_guess(series, priors), priors, bounds, division, limits)


def fit_robust(
    series: Observed,
    values: Sequence[float],
    priors: tuple[Prior, ...],
    bounds: tuple[tuple[float, float], ...],
    division: float,
    limits: Limits,
) -> FullFit:
    """The fit of all parameters, weights and noise renewed until they settle.

    Parameters
    ----------
    series: the readings and their model.
    values: first guess.
    priors, bounds: by parameter.
    division: of the gauge, Pa.
    limits: the ``hold.*`` limits.
    """
    free = range(len(priors))
    usual = limits["hold.noise_divisions"] * division
    noise = usual
    weights = [1.0] * len(series.pressures)
    suspects: tuple[int, ...] = ()
    for turn in range(6):
        model = weighted_model(series, weights, noise, free, values)
        fit = minimise(
            model, values, priors=priors, bounds=bounds, tolerance=TOLERANCE, max_steps=30
        )
        values = fit.values
        off = [
            r * noise / math.sqrt(weight) for r, weight in zip(fit.residuals, weights, strict=True)
        ]
        new_weights, suspects = _weigh(off, usual, limits, turn > 0)
        covariance = inverse(fit.normal)
        new_noise = _noise(off, new_weights, usual, division, covariance, priors, limits)
        moved = max(abs(a - b) for a, b in zip(weights, new_weights, strict=True))
        settled = turn > 0 and moved < 0.05 and abs(new_noise / noise - 1.0) < 0.03
        if settled:
            break
        weights, noise = new_weights, new_noise
    return FullFit(fit, covariance, priors, bounds, noise, tuple(weights), suspects)


def _weigh(
    off: Sequence[float], usual: float, limits: Limits, leave_out: bool
) -> tuple[list[float], tuple[int, ...]]:
    """Huber's weights, and the readings that are too far off (left out if they are few)."""
    spread = MAD_TO_SD * sorted(map(abs, off))[len(off) // 2]
    scale = max(usual, spread)
    robust = limits["hold.robust_sigma"] * scale
    weights = [min(1.0, robust / abs(x)) if x else 1.0 for x in off]
    far = limits["hold.suspect_sigma"] * scale
    suspects = tuple(index for index, x in enumerate(off) if abs(x) > far)
    if leave_out and len(suspects) <= limits["hold.suspect_share"] * len(off):
        for index in suspects:
            weights[index] = LEFT_OUT
    return weights, suspects


def _noise(
    off: Sequence[float],
    weights: Sequence[float],
    usual: float,
    division: float,
    covariance: Matrix,
    priors: Sequence[Prior],
    limits: Limits,
) -> float:
    """Standard deviation of a reading in Pa: the usual one and the scatter seen, pooled.

    Never below the scatter seen nor below the floor: rounded readings can fit perfectly by chance.
    """
    by_priors = sum(
        covariance[j][j] / prior[1] ** 2 for j, prior in enumerate(priors) if prior is not None
    )
    used = sum(weight > LEFT_OUT for weight in weights)
    freedom = used - (len(priors) - by_priors)
    floor = limits["hold.noise_floor_divisions"] * division
    if freedom < 0.5:
        return max(usual, floor)
    left = sum(w * x * x for w, x in zip(weights, off, strict=True)) / HUBER_VARIANCE
    worth = limits["hold.noise_prior_readings"]
    pooled = (worth * usual**2 + left) / (worth + freedom)
    return max(floor, math.sqrt(max(pooled, left / freedom)))
