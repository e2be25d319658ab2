"""Which explanation do the readings favour: tight, settling, a leak, or a leak and settling.

Each explanation is fitted to the same readings with the same noise and weights. Its score is

    cost + ln det(S H S),        weight ~ exp(-score/2), weights sum to 1

cost the least squares with priors, H the normal matrix, S the prior standard deviations: Laplace's
approximation of the evidence. The leak's rate, for which there is no prior, gets the unit
information of the Bayesian information criterion, so that it costs about ln N (R. E. Kass,
A. E. Raftery, J. Am. Stat. Assoc. 90 (1995) 773, from memory): S is root N times its standard error
in the fit of everything. A leak below zero is no leak: such an explanation scores as the one
without it, plus ln N. Hoses only give: settling below zero is held at zero.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from weeptrace.hold.decay import CREEP, DRIFT, EXPONENT, GAS, LOG_TAU, RATE, START
from weeptrace.hold.fit import TOLERANCE, FullFit, Observed, Series, weighted_model
from weeptrace.hold.least_squares import Matrix, log_determinant, minimise

SETTLING = (CREEP, LOG_TAU, GAS)
LEAK = (RATE, EXPONENT)
AMPLITUDES = (CREEP, GAS)


def explanations(series: Series, full: FullFit) -> dict[str, float]:
    """Weights of the four explanations, which sum to 1.

    Parameters
    ----------
    series: the readings.
    full: their fit by everything together, whose noise and weights all explanations share.
    """
    starts = tuple(range(START, len(full.priors)))
    everything = sorted((*LEAK, *SETTLING, DRIFT, *starts))
    both = score(full, everything, full.fit.cost, full.fit.normal)
    settling, _ = fitted(series, full, (*SETTLING, DRIFT, *starts), AMPLITUDES)
    tight, _ = fitted(series, full, (DRIFT, *starts), AMPLITUDES)
    leak, rate = fitted(series, full, (*LEAK, DRIFT, *starts), AMPLITUDES)
    penalty = math.log(series.count)
    return shares(
        {
            "tight": tight,
            "settling": settling,
            "leak": leak if rate > 0.0 else tight + penalty,
            "leak_and_settling": both if full.fit.values[RATE] > 0.0 else settling + penalty,
        }
    )


def shares(scores: Mapping[str, float]) -> dict[str, float]:
    """Weights that sum to 1, from scores.

    >>> shares({"a": 3.0, "b": 3.0})
    {'a': 0.5, 'b': 0.5}
    """
    best = min(scores.values())
    raw = {name: math.exp(-0.5 * (score - best)) for name, score in scores.items()}
    total = sum(raw.values())
    return {name: value / total for name, value in raw.items()}


def fitted(
    series: Observed, full: FullFit, free: Sequence[int], amplitudes: Sequence[int]
) -> tuple[float, float]:
    """Score of an explanation with these free parameters, and its leak rate.

    Parameters
    ----------
    series: the readings.
    full: their fit by everything together.
    free: the explanation's parameters.
    amplitudes: parameters that are zero where they are not free, and never below.
    """
    free = sorted(free)
    fixed = list(full.fit.values)
    for index in (RATE, *amplitudes):
        if index not in free:
            fixed[index] = 0.0
    model = weighted_model(series, full.weights, full.noise, free, fixed)
    fit = minimise(
        model,
        [fixed[index] for index in free],
        priors=[full.priors[index] for index in free],
        bounds=[(0.0, math.inf) if index in amplitudes else full.bounds[index] for index in free],
        tolerance=TOLERANCE,
        max_steps=20,
    )
    rate = fit.values[0] if free[0] == RATE else 0.0
    return score(full, free, fit.cost, fit.normal), rate


def score(full: FullFit, free: Sequence[int], cost: float, normal: Matrix) -> float:
    """Score of an explanation: the module's equation."""
    scales = []
    for index in free:
        prior = full.priors[index]
        if index == RATE:
            scales.append(math.sqrt(len(full.weights) * full.covariance[RATE][RATE]))
        else:
            scales.append(full.noise if prior is None else prior[1])
    return cost + log_determinant(normal) + 2.0 * sum(map(math.log, scales))
