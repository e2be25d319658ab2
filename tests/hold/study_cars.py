"""Cars drawn for the studies of a hold: the physics is ``weeptrace.practice``, the truth is known.

What a shop does not know (exponent, hoses and their settling, drift, pump, reader) is drawn from
the spreads that the limits state; a study fixes the rest: leak, volume stored, gauge, spacing.
SI inside; minutes, kPa and mL/min where a name says so.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from weeptrace.hold.assess import assess
from weeptrace.hold.data import Assessment, Hold, Reading, Stored, Strokes
from weeptrace.hold.looks import on_pace
from weeptrace.practice import car as parts
from weeptrace.practice.acts import HandPump, pressures, pump_to, release
from weeptrace.practice.balance import run
from weeptrace.practice.course import Course, drift
from weeptrace.practice.gauge import Gauge
from weeptrace.practice.state import charged, compliance
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.rules import limits

ML_PER_MIN: Final = 1e-6 / 60.0
ML_PER_KPA: Final = 1e-9
START: Final = 100e3
STROKE: Final = 40e-6
LIMITS: Final = limits()


@dataclass(frozen=True)
class Setting:
    """What a study fixes. ``None`` is drawn from the spread that the limits state.

    ``flow`` mL/min at 100 kPa; ``stored`` mL/kPa of hoses and gas at 100 kPa; ``division`` kPa;
    ``scatter`` of the reader in divisions; ``drift`` in K/min; ``rounded``: read to half a
    division; ``course``: temperature course in place of an even drift.
    """

    flow: float
    stored: float = 1.0
    exponent: float | None = None
    creep_share: float | None = None
    division: float = 2.0
    scatter: float = 0.25
    rounded: bool = True
    drift: float | None = None
    hoses: float | None = None
    course: Course | None = None


@dataclass(frozen=True)
class Drawn:
    """A drawn car at the end of pumping, and what the shop knows of it."""

    setting: Setting
    car: parts.Car
    gas: float
    liquid: float
    strokes: float
    course: Course
    reader: random.Random = field(compare=False)

    def truth(self, times: Sequence[float]) -> list[float]:
        """Gauge pressures in Pa at ``times``, s."""
        state = charged(self.car, self.liquid, self.gas, START)
        return pressures(self.car, run(self.car, state, times, self.course))

    def read(self, pressure: float) -> float:
        """What is written down for a pressure, Pa."""
        gauge = Gauge(1e3 * self.setting.division, self.setting.scatter)
        if self.setting.rounded:
            return max(gauge.read(pressure, self.reader), 0.0)
        return pressure + self.reader.gauss(0.0, gauge.scatter * gauge.division)

    def seen(self, times: Sequence[float]) -> list[Reading]:
        """A reader's readings at ``times``, s."""
        return [Reading(t, self.read(p)) for t, p in zip(times, self.truth(times), strict=True)]

    def hold(
        self,
        readings: Sequence[Reading],
        planned: float | None = None,
        stored: Stored | None = None,
    ) -> Hold:
        """The hold as a shop would enter it: the pump's strokes, or what is ``stored``."""
        return Hold(
            tuple(readings),
            1e3 * self.setting.division,
            target=START,
            atmosphere=self.car.atmosphere,
            liquid_volume=self.liquid,
            mass_fraction=mass_from_volume("ethylene", self.car.strength),
            stored=Strokes(self.strokes, STROKE) if stored is None else stored,
            planned=planned,
        )

    @property
    def flow(self) -> float:
        """Leak in m3/s at the target."""
        return self.setting.flow * ML_PER_MIN

    @property
    def rate(self) -> float:
        """Fall in Pa/s by the leak alone at the target."""
        return self.flow / compliance(self.car, charged(self.car, self.liquid, self.gas, START))


def normal_within(rng: random.Random, mean: float, sd: float, low: float, high: float) -> float:
    """A normal number, drawn again until it lies within."""
    while True:
        value = rng.gauss(mean, sd)
        if low <= value <= high:
            return value


def draw(setting: Setting, rng: random.Random) -> Drawn:
    """A car of a setting."""
    known = LIMITS
    exponent = setting.exponent
    if exponent is None:
        low, high = known["hold.exponent_low"], known["hold.exponent_high"]
        spread = known["hold.exponent_uncertainty"]
        exponent = normal_within(rng, known["hold.exponent"], spread, low, high)
    share = setting.creep_share
    if share is None:
        spread = known["hold.creep_share_uncertainty"]
        share = normal_within(rng, known["hold.creep_share"], spread, 0.0, 0.1)
    tau = known["hold.creep_time"] * math.exp(rng.gauss(0.0, known["hold.creep_time_spread"]))
    hoses, usual = setting.hoses, known["hold.hose_compliance"] / ML_PER_KPA
    if hoses is None:
        spread = known["hold.hose_compliance_uncertainty"] / ML_PER_KPA
        # Some give, and some gas beside it: 50 mL at the least where 1 mL/kPa is stored.
        hoses = normal_within(rng, usual, spread, 0.05, 0.8 * setting.stored)
    even = setting.drift
    if even is None:
        even = rng.gauss(0.0, 60.0 * known["hold.temperature_drift_unknown"])
    temperature = rng.uniform(283.15, 298.15)
    leak = parts.Leak("somewhere", setting.flow * ML_PER_MIN, exponent)
    car = parts.Car(
        "drawn",
        parts.Hoses(hoses * ML_PER_KPA, share, tau),
        altitude=rng.uniform(0.0, 1500.0),
        temperature=temperature,
        strength=rng.uniform(0.4, 0.55),
        expansion=rng.uniform(4.2e-4, 5.2e-4),
        leaks=(leak,) if setting.flow else (),
    )
    dry = START + car.atmosphere - car.vapour(temperature)
    gas = (setting.stored - hoses) * ML_PER_KPA * dry
    liquid = rng.uniform(5e-3, 11e-3)
    pumped = release(car, charged(car, liquid, gas, START))
    count = pump_to(car, pumped, START, HandPump(STROKE))[1] * rng.gauss(
        1.0, known["hold.stroke_uncertainty"]
    )
    strokes = max(round(count), 1)  # whole ones, as they are counted
    course = setting.course or drift(temperature, even / 60.0)
    return Drawn(setting, car, gas, liquid, strokes, course, random.Random(rng.random()))


def looks(car: Drawn, length: float) -> Iterator[tuple[list[Reading], Assessment]]:
    """The readings so far with their judgement, look by look, at the pace that the hold asks for.

    ``length`` s, as planned.
    """
    often = LIMITS["hold.often"]
    grid = [often * k for k in range(int(length / often) + 1)]
    readings: list[Reading] = []
    due = 0.0
    for time, pressure in zip(grid, car.truth(grid), strict=True):
        if time < due:
            continue
        readings.append(Reading(time, car.read(pressure)))
        found = assess(car.hold(readings, length), LIMITS)
        pace = found.next_reading
        assert pace is not None
        due = on_pace(time, pace)
        yield list(readings), found
