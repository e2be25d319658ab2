"""A drained cooling system with a hidden leak: an independent integrator, for tests only.

It shares no code with the core. SI inside: Pa absolute unless said, K, m3, s. Use::

    box = Drained(volume=5.6e-3, altitude=1900.0, orifice=1.4e-8)   # 0.13 mm
    box.gauge_at([0, 60, 120])                       # Pa, below zero for a vacuum
    box.needles(times, 1000.0, random.Random(1))     # what a reader writes down
    box.air_inflow()                                 # m3/s of outside air at the start

Model, integrated by the midpoint rule in steps of one second: dry air and vapour in one volume at
one temperature. Mass of air by the ideal nozzle, written with the Mach number, and by Poiseuille's
law; the vapour's part goes towards the vapour pressure as wet walls give it off or take it; the
hoses give way (vacuum: the volume shrinks) for a minute or so.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

R_AIR = 287.05
K = 1.4
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
        return 101325.0 * (1.0 - 0.0065 * self.altitude / 288.15) ** 5.2559

    def mass_flow(self, inside: float) -> float:
        """kg/s of air into the system; below zero outwards."""
        outside = self.atmosphere()
        high, low = max(inside, outside), min(inside, outside)
        ratio = high / max(low, 1.0)
        mach = min(math.sqrt(2.0 / (K - 1.0) * (ratio ** ((K - 1.0) / K) - 1.0)), 1.0)
        stretch = 1.0 + 0.5 * (K - 1.0) * mach**2
        nozzle = (
            self.orifice
            * high
            * math.sqrt(K / (R_AIR * self.temperature))
            * mach
            * stretch ** (-(K + 1.0) / (2.0 * (K - 1.0)))
        )
        mu = 1.81e-5 * (self.temperature / 293.15) ** 0.77
        pores = self.capillary * (high**2 - low**2) / (2.0 * mu * R_AIR * self.temperature)
        return math.copysign(nozzle + pores, outside - inside)

    def air_inflow(self, inside: float | None = None) -> float:
        """m3/s at the atmosphere, of the leak at the start (or at this pressure inside)."""
        at = self.start if inside is None else inside
        return self.mass_flow(at) * R_AIR * self.temperature / self.atmosphere()

    def gauge_at(self, times: Sequence[float]) -> list[float]:
        """Gauge pressure in Pa at each of the times, in rising order."""
        outside = self.atmosphere()
        towards = math.copysign(1.0, outside - self.start)
        factor = R_AIR * self.temperature / self.volume
        air = self.start - self.vapour_start
        time, found = 0.0, []

        def total(dry: float, at: float) -> float:
            left = math.exp(-at / self.vapour_time)
            wet = self.vapour_pressure + (self.vapour_start - self.vapour_pressure) * left
            given = self.give * (1.0 - math.exp(-at / self.give_time))
            return dry + wet + towards * given

        for goal in times:
            steps = max(1, math.ceil(goal - time))
            h = (goal - time) / steps
            for _ in range(steps if h > 0.0 else 0):
                half = air + 0.5 * h * factor * self.mass_flow(total(air, time))
                air += h * factor * self.mass_flow(total(half, time + 0.5 * h))
                time += h
            found.append(total(air, time) - outside)
        return found

    def needles(
        self, times: Sequence[float], division: float, rng: random.Random, sigma: float = 0.3
    ) -> list[float]:
        """Readings: the reader's scatter in divisions, then half a division."""
        half = division / 2.0
        return [
            round((p + rng.gauss(0.0, sigma * division)) / half) * half
            for p in self.gauge_at(times)
        ]


def raoult(celsius: float, water_share: float = 0.755) -> float:
    """Vapour pressure in Pa of half and half coolant: Buck's equation for water times its share."""
    water = 611.21 * math.exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))
    return water * water_share
