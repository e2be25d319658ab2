"""Holds of drained systems for the tests: from the independent integrator."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

from tests.hold.holds import readings
from tests.simulated_vacuum import Drained
from weeptrace.hold.data import Assessment, Hold, Reading
from weeptrace.properties import air
from weeptrace.properties.fraction import mass_from_volume

HALF = mass_from_volume("ethylene", 0.5)
CHOKED = 198.6  # m/s of air at the atmosphere through a choked opening at 20 °C
CLAIMS = ("seeping", "seeping_or_leaking", "leaking", "leaking_or_gross", "gross")

# A practice car at 1900 m, 5.6 L, 15 °C: the plug of the new radiator without its seal ring.
FIRST = [
    (0, -72.5),
    (1, -70.1),
    (2, -67.7),
    (3, -65.3),
    (5, -60.5),
    (8, -53.3),
    (10, -48.5),
    (14, -38.9),
    (18, -29.4),
    (22, -20.4),
]
AFTER = [(0, -72.5), (1, -72.1), (2, -71.9), (3, -71.9), (4, -71.9)]
PLACE = air.pressure(1900.0)


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


def practice(seen: list[tuple[float, float]], division: float = 1e3) -> Hold:
    """A vacuum of that car."""
    return Hold(
        readings(seen),
        division,
        "vacuum",
        "air",
        rated=110e3,
        atmosphere=PLACE,
        evacuated_volume=5.6e-3,
        engine_temperature=288.15,
        mass_fraction=HALF,
    )


def claims(found: Assessment) -> bool:
    """Whether a leak of any size is claimed."""
    return found.verdict in CLAIMS or found.verdict == "leak_size_unknown"
