"""Holds for the tests: from a simulated car, or from minutes and kPa."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from typing import Any

from tests.simulated_car import Car
from weeptrace.hold.data import Hold, Reading, Stored, Strokes
from weeptrace.properties.fraction import mass_from_volume

ML = 1e-6
ML_PER_MIN = 1e-6 / 60.0
ML_PER_KPA = 1e-9
KPA_PER_MIN = 1e3 / 60.0
LITRE_PER_1000_KM = 1e-9


def readings(pairs: Iterable[tuple[float, float]]) -> tuple[Reading, ...]:
    """From minutes and kPa."""
    return tuple(Reading(60.0 * minute, 1e3 * kpa) for minute, kpa in pairs)


def minutes(count: int) -> list[float]:
    """0, 60, ... s."""
    return [60.0 * k for k in range(count)]


def hold_of(
    car: Car,
    times: Sequence[float],
    *,
    division: float = 2e3,
    rng: random.Random | None = None,
    stored: Stored | None = None,
    **more: Any,
) -> Hold:
    """A hold of a car: exact pressures, or a reader's with ``rng``; the strokes that car takes.

    The first reading has the car's temperature, and the strength is the car's.
    """
    seen = car.pressure_at(times) if rng is None else car.needles(times, division, rng)
    return Hold(
        tuple(
            Reading(t, max(p, 0.0), car.temperature if t == times[0] else None)
            for t, p in zip(times, seen, strict=True)
        ),
        division,
        stored=stored or Strokes(car.strokes(car.start, 40 * ML), 40 * ML),
        atmosphere=car.atmosphere(),
        liquid_volume=car.liquid_volume,
        mass_fraction=mass_from_volume("ethylene", car.strength),
        **more,
    )
