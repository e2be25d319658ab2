"""The forward model: pressure over time, and its derivatives by every parameter.

    C(p) dp/dt = dV/dT dT/dt - Q(p) - creep(t),      C = Ch + Vg/(p + P),  Vg (p + P) = const
    Q = k (p/pt)^n,   creep = Ch a sum_j dp_j exp(-(t - t_j)/tau)/tau

All is divided by ``C(pt)``, so that the leak is a fall of pressure ``r = k/C(pt)`` in Pa/s at the
target ``pt`` and the fit needs no stored volume. With the stored volume ``v(p) = int C dp/C(pt)``
the balance reads ``v(t) = v(p0) + G(t) - int r (p/pt)^n dt``: settling and temperature are in
closed form in ``G``, and only the leak's integral, which is smooth, is integrated (classical
Runge-Kutta of fourth order on a coarse grid, cubic Hermite between). The derivatives obey the
linear equation that follows by differentiation and are integrated in the same way.

Symbols: p gauge Pa, pt target, P = Pa - pv, t s, n exponent, a late share of the hoses' stretch,
tau settling time s, dp_j pressure steps by pumping or drawing off at t_j. Valid from full pressure
to zero gauge; below 5 % of the target the leak is taken as linear, so that it ends smoothly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from weeptrace.hold.leak_law import LINEAR_BELOW, unit_flow, unit_flow_slopes
from weeptrace.hold.settling import still_to_come
from weeptrace.hold.warmth import Course

# Order of the parameters; the start pressure of each segment follows.
RATE, EXPONENT, CREEP, LOG_TAU, GAS, DRIFT, START = range(7)


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


def trace(
    system: System,
    segment: Segment,
    values: Sequence[float],
    times: Sequence[float],
    leaks: bool = True,
) -> tuple[list[float], list[list[float]]]:
    """Pressures in Pa at ``times`` (s, rising, none before the segment's start) and derivatives.

    The module's balance for a ``system`` and one ``segment``. ``leaks`` is false where the rate is
    zero and stays so: all is in closed form then.
    ``values`` are the parameters: rate r (Pa/s), exponent n, creep share a, ln tau, cooling share
    of pumped air, temperature drift (K/s) and the segment's start pressure (Pa). A row of seven
    derivatives comes with each time. Valid as the module says. No error is raised for rising times.
    Source: volume balance of a closed gas; classical Runge-Kutta.

    A leak with n = 1 and constant C falls as ``p0 exp(-k't)``: 100 kPa, 0.02/min, 15 min.

    >>> still = Course(0.0, 0.0, 293.0, 0.0, 0.0, 0.0, 0.0, False)
    >>> known = System(100e3, 1e5, 0.0, 0.0, still, 30.0)
    >>> values = [100e3 * 0.02 / 60, 1.0, 0.0, 4.0, 0.0, 0.0, 100e3]
    >>> pressures, _ = trace(known, Segment(0.0, 1.0, 0.0, ()), values, [900.0])
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

    late0, by_tau0, cooled0 = still_to_come(steps, start, tau, gas_time)

    def drive(time: float) -> tuple[float, float, float, float, float]:
        """G(t) and its derivatives by creep, ln tau, gas share and drift."""
        late, by_tau, cooled = still_to_come(steps, time, tau, gas_time)
        by_creep = hoses * (late - late0)
        by_gas = (1.0 - hoses) * (cooled - cooled0)
        by_drift = thermal * (time - start)
        total = creep * by_creep + gas_share * by_gas + drift * by_drift
        if system.course.slope or system.course.bend:
            total += system.heat(time) - heat0
        return total, by_creep, creep * hoses * (by_tau - by_tau0), by_gas, by_drift

    def pressure(volume: float) -> float:
        """p from v: the root of ``Ch y^2 - b y - K = 0`` with ``y = p + P``."""
        half = 0.5 * (volume + hose_dry)
        return (half + math.sqrt(half * half + hoses * gas)) / hoses - dry

    def forces(p: float, driven: Sequence[float]) -> tuple[float, float, list[float]]:
        """Unit flow, lambda, and the seven forcings of the derivatives' equation."""
        unit, by_p, by_n = unit_flow_slopes(p, target, exponent)
        stiff = rate * by_p / (hoses + gas / (p + dry) ** 2)
        forcing = [unit, rate * by_n, *(stiff * g for g in driven[1:]), stiff * shape0]
        return unit, stiff, forcing

    pressures: list[float] = []
    rows: list[list[float]] = []
    if not leaks:
        for time in times:
            total, *by = drive(time)
            p = pressure(v0 + total)
            per_volume = 1.0 / (hoses + gas / (p + dry) ** 2)
            pressures.append(p)
            rows.append([0.0, 0.0, *(per_volume * g for g in by), per_volume * shape0])
        return pressures, rows
    length = times[-1] - start
    falls = abs(rate) * length / max(p0, LINEAR_BELOW * target)
    count = min(4 + int(8.0 * falls), 160) if length > 0.0 else 0
    h = length / count if count else 0.0
    out, z = 0.0, [0.0] * 7
    driven = drive(start)
    unit, _, forcing = forces(pressure(v0), driven)
    slope = -rate * unit
    z_slope = [-f for f in forcing]
    index = 0
    while index < len(times) and times[index] <= start:
        pressures.append(p0)
        rows.append([0.0] * START + [1.0])
        index += 1
    for step in range(count):
        left = start + step * h
        middle_drive, right_drive = drive(left + 0.5 * h), drive(left + h)
        base = v0 + middle_drive[0] + out
        k2 = -rate * unit_flow(pressure(base + 0.5 * h * slope), target, exponent)
        k3 = -rate * unit_flow(pressure(base + 0.5 * h * k2), target, exponent)
        k4 = -rate * unit_flow(pressure(v0 + right_drive[0] + out + h * k3), target, exponent)
        new_out = out + h / 6.0 * (slope + 2.0 * (k2 + k3) + k4)
        unit, new_stiff, new_forcing = forces(pressure(v0 + right_drive[0] + new_out), right_drive)
        new_slope = -rate * unit
        halfway = 0.5 * (out + new_out) + h / 8.0 * (slope - new_slope)
        _, mid_stiff, mid_forcing = forces(pressure(v0 + middle_drive[0] + halfway), middle_drive)
        new_z, new_z_slope = [], []
        half_stiff, whole_stiff, sixth = 0.5 * h * mid_stiff, h * new_stiff, h / 6.0
        for z0, d0, fm, f1 in zip(z, z_slope, mid_forcing, new_forcing, strict=True):
            base2 = -mid_stiff * z0 - fm
            d2 = base2 - half_stiff * d0
            d3 = base2 - half_stiff * d2
            d4 = -new_stiff * z0 - whole_stiff * d3 - f1
            z1 = z0 + sixth * (d0 + 2.0 * (d2 + d3) + d4)
            new_z.append(z1)
            new_z_slope.append(-new_stiff * z1 - f1)
        last = step == count - 1
        while index < len(times) and (last or times[index] < left + h):
            s = (times[index] - left) / h
            a1 = s * s * (3.0 - 2.0 * s)
            a0, b0, b1 = 1.0 - a1, h * s * (1.0 - s) ** 2, h * s * s * (s - 1.0)
            total, *by = drive(times[index])
            p = pressure(v0 + total + a0 * out + b0 * slope + a1 * new_out + b1 * new_slope)
            per_volume = 1.0 / (hoses + gas / (p + dry) ** 2)
            row = [
                (a0 * z0 + b0 * d0 + a1 * z1 + b1 * d1 + g) * per_volume
                for z0, d0, z1, d1, g in zip(
                    z, z_slope, new_z, new_z_slope, (0.0, 0.0, *by, shape0), strict=True
                )
            ]
            pressures.append(p)
            rows.append(row)
            index += 1
        out, slope, z, z_slope = new_out, new_slope, new_z, new_z_slope
    return pressures, rows
