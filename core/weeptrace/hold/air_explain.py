"""What the readings of a drained system favour: tight, settling, an air leak, vapour, or both."""

from __future__ import annotations

import math

from weeptrace.hold.air_decay import (
    DRIFT,
    LOG_SETTLING,
    LOG_VAPOUR,
    MIX,
    SETTLING,
    START,
    VAPOUR,
    AirReadings,
)
from weeptrace.hold.explain import fitted, score, shares
from weeptrace.hold.fit import FullFit
from weeptrace.hold.march import RATE

SETTLES, EVAPORATES = (SETTLING, LOG_SETTLING), (VAPOUR, LOG_VAPOUR)
LEAKS = (RATE, MIX)
AMPLITUDES = (RATE, SETTLING, VAPOUR)


def air_explanations(series: AirReadings, full: FullFit) -> dict[str, float]:
    """Weights of what the readings favour. A leak below zero is held at zero.

    Of a vacuum: ``tight``, ``settling`` (the first two minutes), ``air_leak``, ``vapour``, ``both``
    of these; the last three with settling. Two causes at once are rarer than one: ``both`` costs a
    further ln N, so that it is not named where the readings can't tell. Of air under pressure the
    four of any pressure hold.
    """
    others = (DRIFT, *range(START, len(full.priors)))
    penalty = math.log(len(series.pressures))

    def scored(*free: int) -> float:
        return fitted(series, full, (*free, *others), AMPLITUDES)

    tight, settling, leak_settling = scored(), scored(*SETTLES), scored(*LEAKS, *SETTLES)
    if not series.system.vacuum:
        return shares(
            {
                "tight": tight,
                "settling": settling,
                "leak": scored(*LEAKS),
                "leak_and_settling": leak_settling,
            }
        )
    vapour = scored(*SETTLES, *EVAPORATES)
    everything = sorted((*LEAKS, *SETTLES, *EVAPORATES, *others))
    both = score(full, everything, full.fit.cost, full.fit.normal)
    if min(full.fit.values[index] for index in AMPLITUDES) < 0.0:
        both = fitted(series, full, everything, AMPLITUDES)
    return shares(
        {
            "tight": tight,
            "settling": settling,
            "air_leak": leak_settling,
            "vapour": vapour,
            "both": both + penalty,
        }
    )
