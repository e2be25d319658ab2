"""Drained systems with a hidden leak for tests, in one flat record, on ``weeptrace.practice``.

Rigid walls, and a give of the hoses that is a pressure, as the judgement of a hold states it.
`tests/practice` holds it against the whole car.

SI: Pa absolute unless said, K, m3, s. Use::

    box = Drained(volume=5.6e-3, altitude=1900.0, orifice=1.4e-8)   # 0.13 mm
    box.gauge_at([0, 60, 120])                       # Pa, below zero for a vacuum
    box.needles(times, 1000.0, random.Random(1))     # what a reader writes down
    box.air_inflow()                                 # m3/s of outside air at the start
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

from weeptrace.practice.car import Car, Hoses
from weeptrace.practice.flow import air_through
from weeptrace.practice.gauge import Gauge
from weeptrace.practice.integrate import integrate
from weeptrace.properties.air import pressure
from weeptrace.properties.openings import GAS_CONSTANT

ML_PER_MIN = 1e-6 / 60.0


@dataclass(frozen=True)
class Drained:
    """One drained system at the start of a hold. Every field is a truth the reader does not see."""

    volume: float = 6e-3
    start: float = 8e3  # Pa absolute, air and vapour
    altitude: float = 0.0
    temperature: float = 288.15
    orifice: float = 0.0  # m2, Cd A
    capillary: float = 0.0  # m3, K of Q = K (p1^2 - p2^2)/(2 mu)
    vapour_pressure: float = 0.0  # Pa absolute, of what wets the walls
    vapour_start: float = 0.0  # Pa, vapour inside at the start
    vapour_time: float = 240.0  # s
    give: float = 0.0  # Pa, what the hoses' give alone moves the pressure towards the atmosphere
    give_time: float = 45.0  # s

    def atmosphere(self) -> float:
        """Standard atmosphere, Pa."""
        return pressure(self.altitude)

    def mass_flow(self, inside: float) -> float:
        """kg/s of air into the system; below zero outwards."""
        outside = self.atmosphere()
        return air_through(self.orifice, self.capillary, inside, outside, self.temperature)

    def air_inflow(self, inside: float | None = None) -> float:
        """m3/s at the atmosphere, of the leak at the start (or at this pressure inside)."""
        at = self.start if inside is None else inside
        return self.mass_flow(at) * GAS_CONSTANT * self.temperature / self.atmosphere()

    def gauge_at(self, times: Sequence[float]) -> list[float]:
        """Gauge pressure in Pa at each of the times, in rising order."""
        outside = self.atmosphere()
        towards = math.copysign(self.give, outside - self.start)
        factor = GAS_CONSTANT * self.temperature / self.volume

        def total(air: float, time: float) -> float:
            left = math.exp(-time / self.vapour_time)
            wet = self.vapour_pressure + (self.vapour_start - self.vapour_pressure) * left
            return air + wet + towards * (1.0 - math.exp(-time / self.give_time))

        def slope(time: float, y: Sequence[float]) -> list[float]:
            return [factor * self.mass_flow(total(y[0], time))]

        now, air, found = 0.0, [self.start - self.vapour_start], []
        for goal in times:
            air, _ = integrate(slope, now, air, goal, [0.1])
            now = goal
            found.append(total(air[0], goal) - outside)
        return found

    def needles(
        self, times: Sequence[float], division: float, rng: random.Random, sigma: float = 0.3
    ) -> list[float]:
        """Readings: the reader's scatter in divisions, then half a division."""
        return Gauge(division, sigma).readings(self.gauge_at(times), rng)


def raoult(celsius: float) -> float:
    """Vapour pressure in Pa of half and half coolant."""
    return Car("", Hoses(0.0)).vapour(celsius + 273.15)
