"""What a change of temperature does to the pressure: the liquid shrinks, the gas cools.

    dV/dT = beta Vl + Vg/T + Vg/(p + Pa - pv) dpv/dT          (m3/K)

beta net expansion 1/K (liquid less metal), Vl liquid and Vg gas in m3, T in K, p gauge, Pa and pv
absolute pressures in Pa, dpv/dT the slope of the coolant's vapour pressure. Volume balance of an
ideal gas saturated with vapour above an incompressible liquid. Valid for a cooling system between
freezing and boiling.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from weeptrace.properties.expansion import Coolant, expansion_net

Limits = Mapping[str, float]


@dataclass(frozen=True)
class PerKelvin:
    """``dV/dT`` in m3/K by its parts: the liquid's expansion, the gas's, and more vapour."""

    liquid: float
    gas: float
    vapour: float

    @property
    def total(self) -> float:
        """Their sum."""
        return self.liquid + self.gas + self.vapour


def thermal_volume(
    temperature: float,
    liquid: float,
    gas: float,
    dry: float,
    coolant: Coolant,
    limits: Limits,
) -> PerKelvin:
    """``dV/dT`` in m3/K of the module's equation, by its parts.

    Parameters
    ----------
    temperature: K.
    liquid, gas: volumes in m3.
    dry: ``p + Pa - pv`` in Pa abs.
    coolant: for its expansion and its vapour.
    limits: the ``hold.*`` limits.

    Valid from 0 to 100 °C. No error is raised. Source: volume balance, see the module.
    7 L and 0.5 L of gas at 100 kPa: at 20 °C the vapour adds a sixth to the gas's part, at 55 °C
    as much again.

    >>> from weeptrace.rules import limits
    >>> mix = Coolant("ethylene", 0.527)
    >>> cold = thermal_volume(293.15, 7e-3, 0.5e-3, 199.6e3, mix, limits())
    >>> [round(1e6 * part, 1) for part in (cold.liquid, cold.gas, cold.vapour, cold.total)]
    [3.1, 1.7, 0.3, 5.1]
    >>> warm = thermal_volume(328.15, 7e-3, 0.5e-3, 189.4e3, mix, limits())
    >>> round(warm.vapour / warm.gas, 1)
    1.0
    """
    return PerKelvin(
        expansion_net(temperature, limits, coolant.glycol) * liquid,
        gas / temperature,
        gas / dry * coolant.vapour_slope(temperature),
    )


@dataclass(frozen=True)
class Course:
    """Temperature during the hold: ``T(t) = temperature + slope s + bend s^2`` with ``s = t - t0``.

    ``drift`` and ``drift_sd`` (K/s) say what is not in that: its mean and standard deviation.
    ``logged`` is false where the drift is only a bound from how such engines behave.
    """

    start: float
    end: float
    temperature: float
    slope: float
    bend: float
    drift: float
    drift_sd: float
    logged: bool

    def at(self, time: float) -> float:
        """Temperature in K at a time in s; after the last logged one it goes straight on."""
        s = min(max(time, self.start), self.end) - self.start
        beyond = time - self.start - s
        return (
            self.temperature
            + s * (self.slope + self.bend * s)
            + beyond * (self.slope + 2.0 * self.bend * s)
        )


def course(log: Sequence[tuple[float, float]], ambient: float | None, limits: Limits) -> Course:
    """The temperature course from the logged ones.

    Parameters
    ----------
    log: times in s and temperatures in K; may be empty.
    ambient: air temperature in K, if measured.
    limits: the ``hold.*`` limits.

    A log that agrees with an engine at rest is weighed against that; one that does not is fitted by
    a line, or by a parabola from five temperatures on.

    ``T = T0 + s t + b t^2``. Valid within the log. No error is raised. Source: least squares, own
    choice of the weights.

    >>> from weeptrace.rules import limits
    >>> warm = course([(0.0, 328.0), (900.0, 319.0)], 294.0, limits())
    >>> warm.logged, round(warm.slope * 60, 2), round(warm.at(450.0), 1)
    (True, -0.6, 323.5)
    """
    rest_sd = limits["hold.temperature_drift_unknown"]
    mean = sum(t for _, t in log) / len(log) if log else None
    level = mean if mean is not None else ambient
    if level is None:
        level = limits["hold.temperature_unknown"]
    if mean is not None and ambient is not None:
        # A body that cools towards ambient drifts by the difference over its time constant.
        rest_sd = math.hypot(rest_sd, (mean - ambient) / limits["hold.cooling_time"])
    times = [time for time, _ in log]
    middle = sum(times) / len(times) if times else 0.0
    spread = sum((time - middle) ** 2 for time in times)
    if mean is None or spread <= 0.0:
        return Course(0.0, 0.0, level, 0.0, 0.0, 0.0, rest_sd, False)
    slope = sum((time - middle) * (t - mean) for time, t in log) / spread
    slope_sd = limits["hold.temperature_noise"] / math.sqrt(spread)
    if abs(slope) <= 2.0 * math.hypot(slope_sd, limits["hold.temperature_drift_unknown"]):
        trust = rest_sd**2 / (rest_sd**2 + slope_sd**2)
        sd = slope_sd * math.sqrt(trust)
        return Course(times[0], times[-1], mean, 0.0, 0.0, trust * slope, sd, True)
    first, bend = _parabola(log, mean, middle, slope)
    sd = math.hypot(slope_sd, limits["hold.temperature_gain"] * slope)
    s0 = times[0] - middle
    at_start = mean + first * s0 + bend * (s0 * s0 - spread / len(log))
    return Course(times[0], times[-1], at_start, first + 2.0 * bend * s0, bend, 0.0, sd, True)


def _parabola(
    log: Sequence[tuple[float, float]], mean: float, middle: float, slope: float
) -> tuple[float, float]:
    """Slope at the middle and bend of a least-squares parabola; fewer than five points: a line."""
    if len({time for time, _ in log}) < 5:
        return slope, 0.0
    count = len(log)
    s = [time - middle for time, _ in log]
    s2, s3, s4 = (sum(x**k for x in s) for k in (2, 3, 4))
    y1 = sum(x * (t - mean) for x, (_, t) in zip(s, log, strict=True))
    y2 = sum((x * x - s2 / count) * (t - mean) for x, (_, t) in zip(s, log, strict=True))
    a = s4 - s2 * s2 / count
    determinant = s2 * a - s3 * s3
    return (y1 * a - y2 * s3) / determinant, (s2 * y2 - s3 * y1) / determinant
