"""A pressurised cooling system with a hidden fault: a second model, for tests only.

It shares no code with the core, so that a hold fitted by the core and a hold simulated here can
disagree. SI inside: Pa (gauge unless said), K, m3, s. Use::

    car = Car(gas_volume=150e-6, leak_100=2.0e-8)     # 2.0e-8 m3/s is 1.2 mL/min
    car.pressure_at([0, 60, 120])                     # Pa
    car.needle(60.0, 2000.0, random.Random(1))        # what a reader writes down, Pa
    car.strokes(110e3, 40e-6)                         # strokes of a 40 mL hand pump
    car.leak_flow(100e3)                              # m3/s at that pressure
    draw(random.Random(7), "leaking")                 # a random car; its fields are the truth

Model. The liquid, the closed gas above it and the give of the hoses share one volume::

    (Ch + Vg/(p + Pa - pv)) dp/dt = [beta Vl + Vg/T + Vg/(p + Pa - pv) dpv/dT] dT/dt - Q(p) - creep
    Vg (p + Pa - pv)/T = constant;   Q = k100 (p / 100 kPa)^n;   creep = Ch a p0 exp(-t/tau)/tau

integrated with fixed steps of the classical fourth-order Runge-Kutta rule.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

Kind = Literal["tight", "settling", "seeping", "leaking", "gross", "cooling", "cooling_leak"]
MILLILITRE = 1e-6
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
    step: float = 1.0  # s, of the integration

    def pressure_at(self, times: Sequence[float]) -> list[float]:
        """Gauge pressure in Pa at each of the times, s since the start (any order)."""
        return [p for p, _ in self._states(times)]

    def leaked_by(self, times: Sequence[float]) -> list[float]:
        """Volume in m3 that has left through the leak by each of the times."""
        return [out for _, out in self._states(times)]

    def leak_flow(self, pressure: float) -> float:
        """Q = k100 (p / 100 kPa)^n in m3/s; nothing flows at or below zero gauge."""
        return self.leak_100 * (max(pressure, 0.0) / 100e3) ** self.exponent

    def total_compliance(self, pressure: float) -> float:
        """C = Ch + Vg/(p + Pa - pv) in m3/Pa at the start temperature."""
        dry = pressure + self.atmosphere() - self.vapour(self.temperature)
        return self.compliance + self.gas_at(pressure, self.temperature) / dry

    def headspace(self) -> float:
        """Gas volume in m3 at zero gauge: pumping pushes liquid into the hoses' give."""
        return self.gas_volume - self.compliance * self.start

    def strokes(self, target: float, stroke_volume: float) -> float:
        """Strokes of outside air from zero gauge to the target: N Vs Pa = p Vg0 + (p + Pa) Ch p."""
        outside = self.atmosphere()
        into_gas = target * self.headspace()
        into_hoses = (target + outside) * self.compliance * target
        return (into_gas + into_hoses) / (stroke_volume * outside)

    def needle(
        self, time: float, division: float, rng: random.Random, sigma: float | None = None
    ) -> float:
        """A reading in Pa: reader scatter (0.3 division unless given), then half a division."""
        scatter = 0.3 * division if sigma is None else sigma
        seen = self.pressure_at([time])[0] + rng.gauss(0.0, scatter)
        half = division / 2.0
        return round(seen / half) * half

    def needles(
        self,
        times: Sequence[float],
        division: float,
        rng: random.Random,
        sigma: float | None = None,
    ) -> list[float]:
        """The readings of a whole hold, as ``needle`` gives them one by one."""
        scatter = 0.3 * division if sigma is None else sigma
        half = division / 2.0
        return [round((p + rng.gauss(0.0, scatter)) / half) * half for p in self.pressure_at(times)]

    def temperature_at(self, time: float) -> float:
        """Temperature in K at a time in s."""
        return self.temperature + self.cooling * time

    def atmosphere(self) -> float:
        """Standard atmosphere in Pa abs (barometric formula with the 6.5 K/km lapse)."""
        return 101325.0 * (1.0 - 0.0065 * self.altitude / 288.15) ** 5.2559

    def vapour(self, temperature: float) -> float:
        """Vapour pressure in Pa: Buck's equation for water (1981) times the water's mole share."""
        celsius = temperature - 273.15
        water = 611.21 * math.exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))
        moles_water = (1.0 - self.strength) * 0.998 / 18.015
        moles_glycol = self.strength * 1.113 / 62.07
        return water * moles_water / (moles_water + moles_glycol)

    def gas_at(self, pressure: float, temperature: float) -> float:
        """Volume in m3 of the closed gas: Vg (p + Pa - pv)/T stays."""
        outside = self.atmosphere()
        dry_start = self.start + outside - self.vapour(self.temperature)
        dry = pressure + outside - self.vapour(temperature)
        return self.gas_volume * (dry_start / dry) * (temperature / self.temperature)

    def unaccounted(self, time: float) -> float:
        """What the volume balance leaves over at a time, m3: zero for a sound integration."""
        pressure, out = self._states([time])[0]
        now = self.temperature_at(time)
        hoses = self.compliance * (pressure - self.start) + self._crept(time)
        liquid = self.expansion * self.liquid_volume * (now - self.temperature) - out
        gas = self.gas_at(pressure, now) - self.gas_volume
        return liquid + gas - hoses

    def _crept(self, time: float) -> float:
        share = 1.0 - math.exp(-time / self.creep_time)
        return self.compliance * self.creep_share * self.start * share

    def _slopes(self, time: float, pressure: float) -> tuple[float, float]:
        now = self.temperature_at(time)
        gas = self.gas_at(pressure, now)
        dry = pressure + self.atmosphere() - self.vapour(now)
        vapour_slope = (self.vapour(now + 0.01) - self.vapour(now - 0.01)) / 0.02
        thermal = self.expansion * self.liquid_volume + gas / now + gas / dry * vapour_slope
        creep = self.compliance * self.creep_share * self.start / self.creep_time
        creep *= math.exp(-time / self.creep_time)
        flow = self.leak_flow(pressure)
        return (thermal * self.cooling - flow - creep) / (self.compliance + gas / dry), flow

    def _states(self, times: Sequence[float]) -> list[tuple[float, float]]:
        """(pressure, leaked volume) at each time."""
        found: dict[float, tuple[float, float]] = {}
        time, pressure, out = 0.0, self.start, 0.0
        for goal in sorted(times):
            if goal < 0.0:
                raise ValueError("a hold starts at time 0")
            steps = max(1, math.ceil((goal - time) / self.step - 1e-9))
            h = (goal - time) / steps
            for _ in range(steps if goal > time else 0):
                a, qa = self._slopes(time, pressure)
                b, qb = self._slopes(time + h / 2, pressure + h / 2 * a)
                c, qc = self._slopes(time + h / 2, pressure + h / 2 * b)
                d, qd = self._slopes(time + h, pressure + h * c)
                pressure += h / 6 * (a + 2 * b + 2 * c + d)
                out += h / 6 * (qa + 2 * qb + 2 * qc + qd)
                time += h
            found[goal] = (pressure, out)
        return [found[t] for t in times]


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
