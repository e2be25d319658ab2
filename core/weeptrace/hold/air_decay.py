"""The forward model of a drained system: its pressure over time, and the derivatives.

    vacuum:    p = p0 + S (1 - exp(-t/ts)) + V (1 - exp(-t/tv)) + heat + r int phi(p) dt
    pressure:  p = p0 - S (1 - exp(-t/ts)) + V (1 - exp(-t/tv)) + heat - r int phi(p) dt

p pressure inside, Pa absolute; r the leak alone at the reference pressure, Pa/s; S settling Pa
with its time ts, V what vapour still adds with its time tv (it stops at the vapour pressure); heat
of the logged temperatures and their unlogged drift. phi is the air's flow over that at the
reference:

    phi = (1 - m) orifice(p) + m capillary(p)
    orifice ~ p1 psi(p2/p1),   capillary ~ p1^2 - p2^2

with p1 upstream, p2 downstream and m the laminar share. As V dp/dt = P q (q air at the atmosphere
P, one temperature), an orifice gives a straight line while it is choked, p2 < 0.528 p1. Near the
atmosphere, below 2 % of the difference at the reference, the flow is taken as linear.

Only the leak's integral is integrated, as ``march`` does it. Valid for one gas volume and one
temperature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from weeptrace.hold.march import LAW, Balance, Base, Found, by_segments, march, still
from weeptrace.hold.warmth import Course
from weeptrace.properties.openings import flow_factor, flow_factor_slope

# Order of the parameters after the rate, the law first; the start pressure of each segment follows.
MIX, SETTLING, LOG_SETTLING, VAPOUR, LOG_VAPOUR, DRIFT, START = range(LAW, 8)
LINEAR_BELOW = 0.02
# Nothing is left when this part of the difference is; by so many times the difference over the rate
# even a capillary has let all of it through.
EMPTY_BELOW = 1e-3
EMPTY_AFTER = 10.0
# Steps of the integration: within EMPTY_BELOW of ten times finer ones, for leaks up to 2 kPa/s. The
# most are those of a leak that lets EMPTY_AFTER differences through, and a few more.
LEAST_STEPS, STEPS_A_FALL, MOST_STEPS = 8, 10.0, 120


@dataclass(frozen=True)
class AirSystem:
    """What is known before the fit: vacuum or not, atmosphere and reference in Pa absolute,
    ``thermal`` in Pa/K at the first temperature of the course."""

    vacuum: bool
    outside: float
    reference: float
    thermal: float
    course: Course

    def raw_flow(self, p: float) -> tuple[float, float, float, float]:
        """Orifice and its derivative by p, capillary and its derivative, not normalised."""
        outside = self.outside
        if self.vacuum:
            r = p / outside
            orifice = outside * flow_factor(r)
            return orifice, flow_factor_slope(r), outside**2 - p * p, -2.0 * p
        r = outside / p
        psi = flow_factor(r)
        return p * psi, psi - r * flow_factor_slope(r), p * p - outside**2, 2.0 * p

    def heat(self, time: float) -> float:
        """Change of pressure by the logged temperatures, Pa."""
        return self.thermal * (self.course.at(time) - self.course.temperature)


class UnitFlow:
    """phi of the module's equation, normalised once."""

    def __init__(self, system: AirSystem) -> None:
        """Normalise at the system's reference."""
        self.system = system
        self.sign = 1.0 if system.vacuum else -1.0
        self.orifice_unit, _, self.capillary_unit, _ = system.raw_flow(system.reference)
        self.edge = LINEAR_BELOW * abs(system.reference - system.outside)

    def at(self, p: float, mix: float) -> tuple[float, float, float]:
        """phi, its derivative by p, and its derivative by the laminar share."""
        left = self.sign * (self.system.outside - p)
        where = p if left >= self.edge else self.system.outside - self.sign * self.edge
        orifice, by_p, capillary, capillary_by_p = self.system.raw_flow(where)
        orifice, by_p = orifice / self.orifice_unit, by_p / self.orifice_unit
        capillary, capillary_by_p = (
            capillary / self.capillary_unit,
            capillary_by_p / self.capillary_unit,
        )
        phi = (1.0 - mix) * orifice + mix * capillary
        if left >= self.edge:
            slope = (1.0 - mix) * by_p + mix * capillary_by_p
            return phi, slope, capillary - orifice
        share = left / self.edge
        return phi * share, -self.sign * phi / self.edge, (capillary - orifice) * share


@dataclass(frozen=True)
class AirReadings:
    """Readings of a drained system: ``times`` s by segment, ``pressures`` Pa absolute.

    ``since``: when each segment's settling began, s, at or before its first reading.
    """

    system: AirSystem
    times: tuple[tuple[float, ...], ...]
    since: tuple[float, ...]
    pressures: tuple[float, ...]

    def predict(self, values: Sequence[float], leaks: bool = True) -> Found:
        """Pressures at the readings, and one column of derivatives per parameter."""
        return self.at(values, self.times, leaks)

    def at(
        self, values: Sequence[float], times: Sequence[Sequence[float]], leaks: bool = True
    ) -> Found:
        """The same at other ``times``, by segment."""

        def part(index: int, own: list[float], moments: Sequence[float]) -> Found:
            start, since = self.times[index][0], self.since[index]
            return air_decay(self.system, start, since, own, moments, leaks)

        return by_segments(part, values, times)


def air_decay(
    system: AirSystem,
    start: float,
    since: float,
    values: Sequence[float],
    times: Sequence[float],
    leaks: bool = True,
) -> Found:
    """Pressures in Pa absolute at ``times`` and a row of eight derivatives with each.

    Parameters
    ----------
    system: what is known.
    start, since: s, first reading of the segment and the beginning of its settling.
    values: the parameters in the module's order, with one start pressure.
    times: s, rising, none before ``start``.
    leaks: false where the rate is zero and stays so: all is in closed form then.

    The module's ``vacuum`` or ``pressure``. Valid for rising times. No error is raised. Source:
    volume balance of an ideal gas; ``properties.openings``.

    8 L, a sharp hole of 0.3 mm, 20 °C: 10 kPa absolute becomes 50 in 225 s, on a straight line.

    >>> still = Course(0.0, 0.0, 293.0, 0.0, 0.0, 0.0, 0.0, False)
    >>> system = AirSystem(True, 101325.0, 1e4, 0.0, still)
    >>> pressures, _ = air_decay(system, 0.0, 0.0, [177.83, 0, 0, 4, 0, 5, 0, 1e4], [100.0, 224.93])
    >>> [round(p / 1e3, 1) for p in pressures]
    [27.8, 50.0]
    """
    rate, mix, settling, log_settling, vapour, log_vapour, drift, p0 = values
    tau_s, tau_v = math.exp(log_settling), math.exp(log_vapour)
    unit_flow = UnitFlow(system)
    sign, thermal = unit_flow.sign, system.thermal
    kept_s0, kept_v0 = math.exp((since - start) / tau_s), math.exp((since - start) / tau_v)
    late_s0, late_v0 = kept_s0 * (start - since) / tau_s, kept_v0 * (start - since) / tau_v
    heat0 = system.heat(start)
    warm = bool(system.course.slope or system.course.bend)

    def base(time: float) -> Base:
        """The pressure without the leak, and its derivatives by all parameters."""
        age = time - since
        kept_s, kept_v = math.exp(-age / tau_s), math.exp(-age / tau_v)
        by_s, by_v = sign * (kept_s0 - kept_s), kept_v0 - kept_v
        by_tau_s = sign * settling * (late_s0 - kept_s * age / tau_s)
        by_tau_v = vapour * (late_v0 - kept_v * age / tau_v)
        by_drift = thermal * (time - start)
        total = settling * by_s + vapour * by_v + drift * by_drift
        if warm:
            total += system.heat(time) - heat0
        return p0 + total, (0.0, 0.0, by_s, by_tau_s, by_v, by_tau_v, by_drift, 1.0)

    def flow(p: float) -> float:
        return sign * rate * unit_flow.at(p, mix)[0]

    def slopes(p: float) -> tuple[float, float, float, float]:
        phi, by_p, by_mix = unit_flow.at(p, mix)
        return sign * rate * phi, sign * rate * by_p, sign * phi, sign * rate * by_mix

    def gone(p: float) -> bool:
        return rate > 0.0 and sign * (system.outside - p) < EMPTY_BELOW * span

    balance = Balance(base, flow, slopes, lambda p: (p, 1.0), gone)
    if not leaks:
        return still(balance, times)
    span = abs(system.reference - system.outside)
    length, end = times[-1] - start, times[-1]
    if rate > 0.0 and length > EMPTY_AFTER * span / rate:
        length = EMPTY_AFTER * span / rate
        end = start + length
    count = min(LEAST_STEPS + int(STEPS_A_FALL * abs(rate) * length / span), MOST_STEPS)
    pressures, rows = march(balance, times, start, end, count)
    for _ in times[len(pressures) :]:  # all is gone: the atmosphere, whatever the parameters
        pressures.append(system.outside)
        rows.append([0.0] * (START + 1))
    return pressures, rows
