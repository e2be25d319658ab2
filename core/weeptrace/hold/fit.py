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

from weeptrace.hold.least_squares import Fit, Matrix, Model, Prior, inverse, minimise
from weeptrace.hold.march import RATE, Found

# Mean of min(z^2, 1.5|z|) of a standard normal: what Huber's weights leave of the variance.
HUBER_VARIANCE = 0.866
# 1/quantile(0.75) of the normal: median absolute deviation -> standard deviation.
MAD_TO_SD = 1.4826
# How the fit goes on, not what it answers. It is done where no step is worth a thousandth of the
# cost; and where no weight moves by a twentieth and the noise by three in a hundred, which 16
# readings tell to 19 in a hundred, ``1/sqrt(2 (N - 2))``. Scatter takes half a reading to be seen.
TOLERANCE, MOST_STEPS = 1e-3, 30
MOST_TURNS, WEIGHT_SETTLED, NOISE_SETTLED = 6, 0.05, 0.03
LEAST_FREEDOM = 0.5
# Weight of a reading left out: nothing, but its residual can still be told.
LEFT_OUT = 1e-12
Limits = Mapping[str, float]


class Observed(Protocol):
    """Readings with a forward model behind them. Parameter ``RATE``, the first, is the leak's."""

    @property
    def pressures(self) -> tuple[float, ...]:
        """As read, Pa."""

    def predict(self, values: Sequence[float], leaks: bool = True) -> Found:
        """Pressures in Pa for these parameters, and one column of derivatives per parameter.

        ``leaks`` is false where the rate is zero and stays so.
        """


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


def weighted_model(
    observed: Observed,
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
        pressures, columns = observed.predict(all_values, leaks)
        residuals = [
            s * (p - seen) for s, p, seen in zip(scale, pressures, observed.pressures, strict=True)
        ]
        return residuals, [list(map(mul, scale, columns[index])) for index in free]

    return model


def fit_robust(
    observed: Observed,
    values: Sequence[float],
    priors: tuple[Prior, ...],
    bounds: tuple[tuple[float, float], ...],
    division: float,
    limits: Limits,
) -> FullFit:
    """The fit of all parameters, weights and noise renewed until they settle.

    Parameters
    ----------
    observed: the readings and their model.
    values: first guess.
    priors, bounds: by parameter.
    division: of the gauge, Pa.
    limits: the ``hold.*`` limits.
    """
    free = range(len(priors))
    usual = limits["hold.noise_divisions"] * division
    noise = usual
    weights = [1.0] * len(observed.pressures)
    suspects: tuple[int, ...] = ()
    for turn in range(MOST_TURNS):
        model = weighted_model(observed, weights, noise, free, values)
        fit = minimise(
            model, values, priors=priors, bounds=bounds, tolerance=TOLERANCE, max_steps=MOST_STEPS
        )
        values = fit.values
        off = [
            r * noise / math.sqrt(weight) for r, weight in zip(fit.residuals, weights, strict=True)
        ]
        new_weights, suspects = _weigh(off, usual, limits, turn > 0)
        covariance = inverse(fit.normal)
        new_noise = _noise(off, new_weights, usual, division, covariance, priors, limits)
        moved = max(abs(a - b) for a, b in zip(weights, new_weights, strict=True))
        steady = moved < WEIGHT_SETTLED and abs(new_noise / noise - 1.0) < NOISE_SETTLED
        if turn > 0 and steady:
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
    if freedom < LEAST_FREEDOM:
        return max(usual, floor)
    left = sum(w * x * x for w, x in zip(weights, off, strict=True)) / HUBER_VARIANCE
    worth = limits["hold.noise_prior_readings"]
    pooled = (worth * usual**2 + left) / (worth + freedom)
    return max(floor, math.sqrt(max(pooled, left / freedom)))
