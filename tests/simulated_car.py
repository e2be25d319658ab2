"""Random cars under pressure for tests, in one flat record; the physics is ``weeptrace.practice``.

SI: Pa (gauge), K, m3, s. Use::

    car = Car(gas_volume=150e-6, leak_100=2.0e-8)     # 2.0e-8 m3/s is 1.2 mL/min
    car.pressure_at([0, 60, 120])                     # Pa
    car.needles([0, 60], 2000.0, random.Random(1))    # what a reader writes down, Pa
    draw(random.Random(7), "leaking")                 # a random car; its fields are the truth
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from weeptrace.practice import car as parts
from weeptrace.practice.acts import HandPump, pressures, pump_to, release
from weeptrace.practice.balance import run
from weeptrace.practice.course import drift
from weeptrace.practice.gauge import Gauge
from weeptrace.practice.state import State, charged, compliance, gas_volume

Kind = Literal["tight", "settling", "seeping", "leaking", "gross", "cooling", "cooling_leak"]
ML_PER_MIN = 1e-6 / 60.0
ML_PER_KPA = 1e-9


@dataclass(frozen=True)
class Car:
    """One closed system at the start of a hold. Every field is a truth the reader does not see."""

    start: float = 110e3  # Pa gauge
    gas_volume: float = 150e-6  # m3 of gas at the start pressure
    liquid_volume: float = 7.5e-3  # m3
    compliance: float = 0.45e-9  # m3/Pa, hoses and plastic
    leak_100: float = 0.0  # m3/s at 100 kPa
    exponent: float = 0.6
    altitude: float = 0.0  # m
    temperature: float = 288.15  # K at the start
    cooling: float = 0.0  # K/s, dT/dt: negative when the car cools
    expansion: float = 5.0e-4  # 1/K, liquid less the metal around it
    strength: float = 0.5  # ethylene glycol by volume
    creep_share: float = 0.03
    creep_time: float = 90.0  # s

    def physical(self) -> parts.Car:
        """The same car as the room ``practice`` has it."""
        hoses = parts.Hoses(self.compliance, self.creep_share, self.creep_time, self.start)
        leak = parts.Leak("somewhere", self.leak_100, self.exponent)
        return parts.Car(
            "drawn",
            hoses,
            altitude=self.altitude,
            temperature=self.temperature,
            strength=self.strength,
            expansion=self.expansion,
            leaks=(leak,) if self.leak_100 else (),
        )

    def charged(self) -> State:
        """Its state at the start of the hold."""
        return charged(self.physical(), self.liquid_volume, self.gas_volume, self.start)

    def pressure_at(self, times: Sequence[float]) -> list[float]:
        """Gauge pressure in Pa at each of the times, s since the start, rising."""
        car, course = self.physical(), drift(self.temperature, self.cooling)
        return pressures(car, run(car, self.charged(), times, course))

    def needles(
        self,
        times: Sequence[float],
        division: float,
        rng: random.Random,
        sigma: float | None = None,
    ) -> list[float]:
        """The readings of a whole hold; ``sigma`` in Pa, 0.3 division unless given."""
        gauge = Gauge(division) if sigma is None else Gauge(division, sigma / division)
        return gauge.readings(self.pressure_at(times), rng)

    def leak_flow(self, pressure: float) -> float:
        """Q = k100 (p / 100 kPa)^n in m3/s; nothing flows at or below zero gauge."""
        return parts.Leak("", self.leak_100, self.exponent).outwards(pressure)

    def total_compliance(self, pressure: float) -> float:
        """C in m3/Pa when the liquid was let out, or pressed in, until this pressure."""
        car, state = self.physical(), self.charged()
        gas = gas_volume(car, state) * (self.start + car.atmosphere - state.vapour)
        gas /= pressure + car.atmosphere - state.vapour
        return compliance(car, charged(car, self.liquid_volume, gas, pressure))

    def strokes(self, target: float, stroke_volume: float) -> float:
        """Strokes of outside air from zero gauge to the target."""
        car = self.physical()
        return pump_to(car, release(car, self.charged()), target, HandPump(stroke_volume))[1]

    def atmosphere(self) -> float:
        """Standard atmosphere in Pa abs."""
        return self.physical().atmosphere

    def temperature_at(self, time: float) -> float:
        """Temperature in K at a time in s."""
        return self.temperature + self.cooling * time


def draw(rng: random.Random, kind: Kind) -> Car:
    """A random car of a kind; the ranges are common practice for cars and vans.

    tight: no leak, hardly any settling. settling: no leak, the hoses give for minutes.
    seeping, leaking, gross: 0.02-0.2, 0.2-3.3, 5-60 mL/min at 100 kPa. cooling: no leak, cools
    0.1-0.6 K/min. cooling_leak: leaks while it cools.
    """
    fill = rng.choice(["neck", "neck", "as found"])
    car = Car(
        start=rng.choice([100e3, 110e3, 140e3]),
        gas_volume=(rng.uniform(100, 300) if fill == "neck" else rng.uniform(600, 1700)) * 1e-6,
        liquid_volume=rng.uniform(4.5, 12.0) * 1e-3,
        compliance=rng.uniform(0.3, 0.8) * ML_PER_KPA,
        exponent=rng.uniform(0.5, 1.0),
        altitude=rng.uniform(0.0, 1500.0),
        temperature=rng.uniform(278.15, 298.15),
        expansion=rng.uniform(4.5e-4, 5.5e-4),
        strength=rng.uniform(0.4, 0.55),
        creep_share=rng.uniform(0.02, 0.04),
        creep_time=rng.uniform(60.0, 120.0),
    )
    flow = {
        "tight": 0.0,
        "settling": 0.0,
        "cooling": 0.0,
        "seeping": _log_uniform(rng, 0.02, 0.2),
        "leaking": _log_uniform(rng, 0.2, 3.3),
        "cooling_leak": _log_uniform(rng, 0.2, 3.3),
        "gross": _log_uniform(rng, 5.0, 60.0),
    }[kind]
    car = replace(car, leak_100=flow * ML_PER_MIN)
    if kind == "tight":
        car = replace(car, creep_share=rng.uniform(0.0, 0.002))
    if kind == "settling":
        car = replace(car, creep_share=rng.uniform(0.03, 0.06), creep_time=rng.uniform(90.0, 180.0))
    if kind in ("cooling", "cooling_leak"):
        car = replace(
            car, temperature=rng.uniform(303.15, 328.15), cooling=-rng.uniform(0.1, 0.6) / 60.0
        )
    return car


def _log_uniform(rng: random.Random, low: float, high: float) -> float:
    return math.exp(rng.uniform(math.log(low), math.log(high)))
