"""Holds of drained systems for the tests: from the independent integrator."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

from tests.simulated_vacuum import Drained
from weeptrace.hold.data import Assessment, Hold, Reading
from weeptrace.properties.fraction import mass_from_volume

HALF = mass_from_volume("ethylene", 0.5)


def hold_of(
    box: Drained,
    times: Sequence[float],
    *,
    division: float = 1e3,
    rng: random.Random | None = None,
    **more: Any,
) -> Hold:
    """A vacuum, or dry air where the box starts above the atmosphere; exact without ``rng``."""
    seen = box.gauge_at(times) if rng is None else box.needles(times, division, rng)
    known: dict[str, Any] = {
        "kind": "vacuum" if box.start < box.atmosphere() else "pressure",
        "medium": "air",
        "atmosphere": box.atmosphere(),
        "evacuated_volume": box.volume,
        "engine_temperature": box.temperature,
        "mass_fraction": HALF,
        "rated": 100e3,
    }
    readings = tuple(
        Reading(t, max(p, 0.0) if known["kind"] == "pressure" else p)
        for t, p in zip(times, seen, strict=True)
    )
    return Hold(readings, division, **{**known, **more})


def favoured(found: Assessment) -> str:
    """The explanation with the largest weight."""
    return max(found.explanations, key=lambda name: found.explanations[name])
