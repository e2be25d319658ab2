"""Which explanation do the readings favour: tight, settling, cooling, or a leak.

Each explanation is fitted to the same readings with the same noise and weights. Its score is

    cost + ln det(S H S),        weight ~ prior exp(-score/2), weights sum to 1

cost the least squares with priors, H the normal matrix, S the prior standard deviations: Laplace's
approximation of the evidence. The leak's rate, for which there is no prior, gets the unit
information of the Bayesian information criterion, so that it costs about ln N (R. E. Kass,
A. E. Raftery, J. Am. Stat. Assoc. 90 (1995) 773, from memory): S is root N times its standard error
in the fit of everything. Hoses only give, and a leak only takes: settling or a leak that would
come out below zero is held at zero.

Tight: nothing moves the needle. Thermal: the temperature does, as logged and with what the log
leaves open, or as far as such an engine drifts unnoticed where nobody logged. Settling and leak
stand on top of the same temperature. A leak above the liquid obeys the same balance: what tells it
from one below is only whether a place got wet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from weeptrace.hold.decay import (
    CREEP,
    DRIFT,
    EXPONENT,
    GAS,
    LOG_TAU,
    START,
    LiquidReadings,
)
from weeptrace.hold.fit import FullFit, Limits, Observed, weighted_model
from weeptrace.hold.least_squares import Matrix, log_determinant, minimise
from weeptrace.hold.march import RATE

SETTLING = (CREEP, LOG_TAU, GAS)
LEAK = (RATE, EXPONENT)
AMPLITUDES = (CREEP, GAS)
# Those with a leak, of a filled system and of a drained one.
WITH_LEAK = ("leak", "leak_and_settling", "air_side", "air_leak", "both")
CANNOT_TELL = "cannot_tell"
EXPLANATIONS = ("tight", "settling", "thermal", "vapour", *WITH_LEAK)
# How a fit goes on, not what it answers. Step over standard error: the score is then true to a
# ten-thousandth of the cost.
ROUGH, MOST_STEPS = 1e-2, 20


def explanations(series: LiquidReadings, full: FullFit, limits: Limits) -> dict[str, float]:
    """Weights of the five explanations of a filled system, which sum to 1.

    Parameters
    ----------
    series: the readings.
    full: their fit by everything together, whose noise and weights all explanations share.
    limits: for the prior weights, ``hold.prior_*``.
    """
    starts = tuple(range(START, len(full.priors)))
    everything = sorted((*LEAK, *SETTLING, DRIFT, *starts))
    both = score(full, everything, full.fit.cost, full.fit.normal)
    if min(full.fit.values[index] for index in (RATE, *AMPLITUDES)) < 0.0:
        both = fitted(series, full, everything, (RATE, *AMPLITUDES))
    settling = fitted(series, full, (*SETTLING, DRIFT, *starts), AMPLITUDES)
    thermal = fitted(series, full, (DRIFT, *starts), AMPLITUDES)
    leak = fitted(series, full, (*LEAK, DRIFT, *starts), (RATE, *AMPLITUDES))
    still = replace(series, system=replace(series.system, thermal=0.0, thermal_growth=0.0))
    tight = fitted(still, full, starts, AMPLITUDES)
    scores = {
        "tight": tight,
        "settling": settling,
        "thermal": thermal,
        "leak": leak,
        "leak_and_settling": both,
    }
    return shares(scores, {name: limits[f"hold.prior_{name}"] for name in scores})


def with_air_side(
    weights: Mapping[str, float], flow: float | None, wet: bool | None, limits: Limits
) -> dict[str, float]:
    """The weights with ``air_side``, a leak above the liquid, taken out of those of a leak.

    By Bayes' rule, from the share of such leaks and from how often each leaves a place wet:
    ``s P(seen | above)/(s P(seen | above) + (1 - s) P(seen | below))``. Valid where a leak is
    either above or below the liquid. No error is raised. Source: Bayes' rule; the limits' own
    choices.

    Parameters
    ----------
    weights: of ``explanations``.
    flow: of the leak in m3/s, ``None`` where its size is not known.
    wet: whether a wet place was found under pressure, ``None`` where nobody looked.
    limits: the ``hold.*`` limits.

    >>> from weeptrace.rules import limits
    >>> weights = {"tight": 0.0, "leak": 0.6, "leak_and_settling": 0.4}
    >>> for wet in (None, True, False):
    ...     print(round(with_air_side(weights, 5e-8, wet, limits())["air_side"], 2))
    0.2
    0.01
    0.7
    """
    share = limits["hold.air_side_share"]
    seen = flow is not None and flow > limits["hold.seen_wet"]
    dry = limits["hold.overlooked" if seen else "hold.overlooked_small"]
    stray = limits["hold.wet_otherwise"]
    if wet is not None:
        above = share * (stray if wet else 1.0 - stray)
        below = (1.0 - share) * (1.0 - dry if wet else dry)
        share = above / (above + below)
    found = dict(weights)
    leaks = [name for name in ("leak", "leak_and_settling") if name in found]
    found["air_side"] = share * sum(found[name] for name in leaks)
    for name in leaks:
        found[name] *= 1.0 - share
    return found


def favoured(weights: Mapping[str, float], limits: Limits) -> str:
    """The answer in one word: the heaviest explanation, or that nobody can tell yet.

    Leak or no leak comes first: where neither weighs ``hold.favoured_weight``, ``cannot_tell``.

    >>> from weeptrace.rules import limits
    >>> favoured({"settling": 0.5, "tight": 0.4, "leak": 0.1}, limits())
    'settling'
    >>> favoured({"settling": 0.5, "leak": 0.5}, limits())
    'cannot_tell'
    """
    leaks = sum(weight for name, weight in weights.items() if name in WITH_LEAK)
    if max(leaks, 1.0 - leaks) < limits["hold.favoured_weight"]:
        return CANNOT_TELL
    side = {name: w for name, w in weights.items() if (name in WITH_LEAK) is (leaks > 0.5)}
    return max(side, key=lambda name: side[name])


def shares(
    scores: Mapping[str, float], priors: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Weights that sum to 1, from ``scores``; ``priors`` are equal where none are given.

    ``w = prior exp(-score/2)`` over their sum. Valid for finite scores, one at least;
    ``ValueError`` for none. Source: Bayes' rule.

    >>> shares({"a": 3.0, "b": 3.0})
    {'a': 0.5, 'b': 0.5}
    >>> shares({"a": 3.0, "b": 3.0}, {"a": 3.0, "b": 1.0})
    {'a': 0.75, 'b': 0.25}
    """
    best = min(scores.values())
    raw = {
        name: (1.0 if priors is None else priors[name]) * math.exp(-0.5 * (score - best))
        for name, score in scores.items()
    }
    total = sum(raw.values())
    return {name: value / total for name, value in raw.items()}


def fitted(
    observed: Observed, full: FullFit, free: Sequence[int], amplitudes: Sequence[int]
) -> float:
    """Score of an explanation with these free parameters.

    Parameters
    ----------
    observed: the readings and their model.
    full: their fit by everything together.
    free: the explanation's parameters.
    amplitudes: parameters that are zero where they are not free, and never below.
    """
    free = sorted(free)
    fixed = list(full.fit.values)
    for index in (RATE, *amplitudes):
        if index not in free:
            fixed[index] = 0.0
    model = weighted_model(observed, full.weights, full.noise, free, fixed)
    fit = minimise(
        model,
        [fixed[index] for index in free],
        priors=[full.priors[index] for index in free],
        bounds=[(0.0, math.inf) if index in amplitudes else full.bounds[index] for index in free],
        tolerance=ROUGH,
        max_steps=MOST_STEPS,
    )
    return score(full, free, fit.cost, fit.normal)


def score(full: FullFit, free: Sequence[int], cost: float, normal: Matrix) -> float:
    """Score of an explanation with the ``free`` parameters: the module's equation.

    ``full`` is the fit of everything, ``cost`` and ``normal`` are those of this explanation's fit.
    """
    scales = []
    for index in free:
        prior = full.priors[index]
        if index == RATE:
            scales.append(math.sqrt(len(full.weights) * full.covariance[RATE][RATE]))
        else:
            scales.append(full.noise if prior is None else prior[1])
    return cost + log_determinant(normal) + 2.0 * sum(map(math.log, scales))
