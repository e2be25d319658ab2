"""The forward model: pressure over time, and its derivatives by every parameter.

    C(p) dp/dt = dV/dT dT/dt - Q(p) - creep(t),      C = Ch + Vg/(p + P),  Vg (p + P) = const
    Q = k (p/pt)^n,   creep = Ch a sum_j dp_j exp(-(t - t_j)/tau)/tau

All is divided by ``C(pt)``, so that the leak is a fall of pressure ``r = k/C(pt)`` in Pa/s at the
target ``pt`` and the fit needs no stored volume. With the stored volume ``v(p) = int C dp/C(pt)``
the balance reads ``v(t) = v(p0) + G(t) - int r (p/pt)^n dt``: settling and temperature are in
closed form in ``G``, and only the leak's integral is integrated, as ``march`` does it.

Symbols: p gauge Pa, pt target, P = Pa - pv, t s, n exponent, a late share of the hoses' stretch,
tau settling time s, dp_j pressure steps by pumping or drawing off at t_j. Valid from full pressure
to zero gauge; below 5 % of the target the leak is taken as linear, so that it ends smoothly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from weeptrace.hold.leak_law import LINEAR_BELOW, unit_flow, unit_flow_slopes
from weeptrace.hold.march import LAW, Balance, Base, Found, by_segments, march, still
from weeptrace.hold.settling import still_to_come
from weeptrace.hold.warmth import Course

# Order of the parameters after the rate, the law first; the start pressure of each segment follows.
EXPONENT, CREEP, LOG_TAU, GAS, DRIFT, START = range(LAW, 7)
# Steps of the integration: within a ten-thousandth of the target of ten times finer ones, for
# leaks up to 2 kPa/s. The most are for what falls twenty times over: it is empty at once.
LEAST_STEPS, STEPS_A_FALL, MOST_STEPS = 4, 8.0, 160


@dataclass(frozen=True)
class Segment:
    """A stretch of the hold between two actions.

    ``start`` s; ``hoses = Ch/C(pt)`` and ``gas = Vg (p + P)/C(pt)`` are the shares of the stored
    volume; ``steps`` are ``(t_j, dp_j)`` so far; ``gas_time`` s the time in which pumped air cools.
    """

    start: float
    hoses: float
    gas: float
    steps: tuple[tuple[float, float], ...]

    def over(self, compliance: float) -> Segment:
        """The same with hoses and gas over a compliance."""
        return replace(self, hoses=self.hoses / compliance, gas=self.gas / compliance)


@dataclass(frozen=True)
class System:
    """What is known of the system before the fit. ``thermal`` is dV/dT over C(pt), in Pa/K, at the
    first temperature of the course, and ``thermal_growth`` its change per kelvin."""

    target: float
    dry: float
    thermal: float
    thermal_growth: float
    course: Course
    gas_time: float

    def heat(self, time: float) -> float:
        """Volume by the logged change of temperature, over C(pt): Pa."""
        change = self.course.at(time) - self.course.temperature
        return (self.thermal + 0.5 * self.thermal_growth * change) * change


@dataclass(frozen=True)
class LiquidReadings:
    """Readings of a filled system, cut into segments: ``times`` s by segment, ``pressures`` Pa."""

    system: System
    segments: tuple[Segment, ...]
    times: tuple[tuple[float, ...], ...]
    pressures: tuple[float, ...]

    def predict(self, values: Sequence[float], leaks: bool = True) -> Found:
        """Pressures at the readings, and one column of derivatives per parameter."""
        return self.at(values, self.times, leaks)

    def at(
        self, values: Sequence[float], times: Sequence[Sequence[float]], leaks: bool = True
    ) -> Found:
        """The same at other ``times``, by segment."""

        def part(index: int, own: list[float], moments: Sequence[float]) -> Found:
            return decay(self.system, self.segments[index], own, moments, leaks)

        return by_segments(part, values, times)


def decay(
    system: System,
    segment: Segment,
    values: Sequence[float],
    times: Sequence[float],
    leaks: bool = True,
) -> Found:
    """Pressures in Pa at ``times`` (s, rising, none before the segment's start) and derivatives.

    The module's balance for a ``system`` and one ``segment``. ``leaks`` is false where the rate is
    zero and stays so: all is in closed form then.
    ``values`` are the parameters: rate r (Pa/s), exponent n, creep share a, ln tau, cooling share
    of pumped air, temperature drift (K/s) and the segment's start pressure (Pa). A row of seven
    derivatives comes with each time. Valid as the module says. No error is raised for rising times.
    Source: volume balance of a closed gas; classical Runge-Kutta.

    A leak with n = 1 and constant C falls as ``p0 exp(-k't)``: 100 kPa, 0.02/min, 15 min.

    >>> still = Course(0.0, 0.0, 293.0, 0.0, 0.0, 0.0, 0.0, False)
    >>> system = System(100e3, 1e5, 0.0, 0.0, still, 30.0)
    >>> values = [100e3 * 0.02 / 60, 1.0, 0.0, 4.0, 0.0, 0.0, 100e3]
    >>> pressures, _ = decay(system, Segment(0.0, 1.0, 0.0, ()), values, [900.0])
    >>> round(pressures[0] / 1e3, 1)
    74.1
    """
    rate, exponent, creep, log_tau, gas_share, drift, p0 = values
    target, dry, hoses, gas = system.target, system.dry, segment.hoses, segment.gas
    tau, gas_time, start, steps = math.exp(log_tau), system.gas_time, segment.start, segment.steps
    heat0 = system.heat(start)
    thermal = system.thermal
    v0 = hoses * p0 - gas / (p0 + dry)
    shape0 = hoses + gas / (p0 + dry) ** 2
    hose_dry = hoses * dry
    warm = bool(system.course.slope or system.course.bend)

    late0, by_tau0, cooled0 = still_to_come(steps, start, tau, gas_time)

    def base(time: float) -> Base:
        """v(p0) + G(t) and its derivatives by all parameters."""
        late, by_tau, cooled = still_to_come(steps, time, tau, gas_time)
        by_creep = hoses * (late - late0)
        by_gas = (1.0 - hoses) * (cooled - cooled0)
        by_drift = thermal * (time - start)
        total = creep * by_creep + gas_share * by_gas + drift * by_drift
        if warm:
            total += system.heat(time) - heat0
        by_log_tau = creep * hoses * (by_tau - by_tau0)
        return v0 + total, (0.0, 0.0, by_creep, by_log_tau, by_gas, by_drift, shape0)

    def pressure(volume: float) -> float:
        """p from v: the root of ``Ch y^2 - b y - K = 0`` with ``y = p + P``."""
        half = 0.5 * (volume + hose_dry)
        return (half + math.sqrt(half * half + hoses * gas)) / hoses - dry

    def flow(volume: float) -> float:
        return -rate * unit_flow(pressure(volume), target, exponent)

    def slopes(volume: float) -> tuple[float, float, float, float]:
        p = pressure(volume)
        unit, by_p, by_n = unit_flow_slopes(p, target, exponent)
        by_volume = -rate * by_p / (hoses + gas / (p + dry) ** 2)
        return -rate * unit, by_volume, -unit, -rate * by_n

    def read(volume: float) -> tuple[float, float]:
        p = pressure(volume)
        return p, 1.0 / (hoses + gas / (p + dry) ** 2)

    balance = Balance(base, flow, slopes, read)
    if not leaks:
        return still(balance, times)
    end = times[-1]
    falls = abs(rate) * (end - start) / max(p0, LINEAR_BELOW * target)
    count = min(LEAST_STEPS + int(STEPS_A_FALL * falls), MOST_STEPS)
    return march(balance, times, start, end, count)
