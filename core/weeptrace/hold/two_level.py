"""Two pressures tell a leak from drift: the drift is common to both, the leak is not. SI.

    C_lo s_lo = E - Q_lo,   C_hi s_hi = E - Q_hi,   Q_lo = Q_hi (p_lo/p_hi)^n

s signed slope Pa/s, C compliance m3/Pa, E volume per second by temperature, Q leak m3/s. Held low,
high, low again for equal times, the mean of the two low slopes takes out an even change of E. The
price is noise, large where there is much air: fill up first. Hoses that recover after a step down
mimic a rise: let them settle again and leave those readings out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from weeptrace.finding import Estimate
from weeptrace.hold.data import Reading
from weeptrace.hold.leak_law import exponent_between
from weeptrace.hold.looks import slope_of, slope_sd
from weeptrace.refusal import Refusal
from weeptrace.told import Figure


@dataclass(frozen=True)
class Level:
    """A stretch at one pressure: gauge Pa, signed slope Pa/s and its standard error, C m3/Pa."""

    pressure: float
    slope: float
    slope_sd: float
    compliance: float

    @property
    def flow(self) -> float:
        """``C s``, m3/s: what the system gains."""
        return self.compliance * self.slope


@dataclass(frozen=True)
class TwoLevel:
    """The leak and the thermal rate (m3/s) with 95 % intervals, at the higher pressure.

    ``noise``: standard error in m3/s of the leak by the needle alone, which decides whether there
    is one. ``smallest_detectable`` and ``not_larger_than`` m3/s as of any hold. ``claimed``: the
    leak is above zero. ``measured_exponent``: only where the thermal rate was known.
    """

    flow: Estimate
    thermal: Estimate
    noise: float
    claimed: bool
    not_larger_than: float
    smallest_detectable: float
    exponent: float
    measured_exponent: float | None


def two_level(
    low: Level,
    high: Level,
    limits: Mapping[str, float],
    compliance_relative: float = 0.0,
    thermal: float | None = None,
) -> TwoLevel:
    """The leak at the higher pressure from two slopes.

    ``Q_hi = (C_lo s_lo - C_hi s_hi)/(1 - (p_lo/p_hi)^n)``, ``E = C_hi s_hi + Q_hi``. Its noise is
    ``sqrt((C_lo u_lo)^2 + (C_hi u_hi)^2)/(1 - (p_lo/p_hi)^n)``; the exponent's uncertainty and that
    of both compliances (one scale) widen the size, not the question whether there is a leak.

    Parameters
    ----------
    low, high: the two levels.
    limits: the ``hold.*`` limits: exponent and its uncertainty, factors.
    compliance_relative: standard uncertainty of both compliances, relative.
    thermal: E in m3/s where it is known, as of an engine at rest (0): then both leaks are
        ``E - C s`` and ``n = ln(Q_hi/Q_lo)/ln(p_hi/p_lo)`` is measured.

    Valid for pressures above zero, the lower at most 0.8 of the higher, and leaks small enough that
    a stretch is straight; ``Refusal`` (``out_of_range``) for pressures beyond. Source: volume
    balance at both levels.

    6.02 and 3.88 mL/kPa, -0.0497 and -0.1458 kPa/min at 20 and 100 kPa, exponent 0.9:

    >>> from weeptrace.rules import limits
    >>> known = limits() | {"hold.exponent": 0.9}
    >>> lo, hi = Level(20e3, -0.0497e3 / 60, 0.0, 6.02e-9), Level(1e5, -0.1458e3 / 60, 0.0, 3.88e-9)
    >>> round(two_level(lo, hi, known).flow.value * 6e7, 3)
    0.348
    """
    if not 0.0 < low.pressure <= limits["hold.two_level_ratio"] * high.pressure * (1.0 + 1e-9):
        share = limits["hold.two_level_ratio"]
        raise Refusal(
            "out_of_range",
            "refused.two_level.levels_too_near",
            "low.pressure",
            "accepted.above_zero_to_most",
            {"most": Figure(share * high.pressure, "pressure")},
        )
    n, n_sd = limits["hold.exponent"], limits["hold.exponent_uncertainty"]
    measured = None
    if thermal is not None:
        at_low, at_high = thermal - low.flow, thermal - high.flow
        if at_low > 0.0 and at_high > 0.0:
            measured = exponent_between(low.pressure, at_low, high.pressure, at_high)
    ratio = low.pressure / high.pressure
    part = 1.0 - ratio**n
    flow = (low.flow - high.flow) / part
    noise = math.hypot(low.compliance * low.slope_sd, high.compliance * high.slope_sd) / part
    by_n = flow * ratio**n * math.log(ratio) / part
    sd = math.sqrt(noise**2 + (by_n * n_sd) ** 2 + (flow * compliance_relative) ** 2)
    wide = limits["hold.interval_factor"]
    # E = (C_lo s_lo - (p_lo/p_hi)^n C_hi s_hi)/(1 - ...): most of the high slope drops out again.
    rate = high.flow + flow
    by_high = ratio**n * high.compliance * high.slope_sd
    rate_noise = math.hypot(low.compliance * low.slope_sd, by_high) / part
    rate_sd = math.hypot(rate_noise, by_n * n_sd, rate * compliance_relative)
    return TwoLevel(
        flow=Estimate(flow, flow - wide * sd, flow + wide * sd),
        thermal=Estimate(rate, rate - wide * rate_sd, rate + wide * rate_sd),
        noise=noise,
        claimed=flow > limits["hold.claim_factor"] * noise,
        not_larger_than=max(flow, 0.0) + limits["hold.claim_factor"] * sd,
        smallest_detectable=limits["hold.detection_factor"] * noise,
        exponent=n,
        measured_exponent=measured,
    )


def level(stretches: Sequence[Sequence[Reading]], noise: float, compliance: float) -> Level:
    """A level from its stretches of readings: the plain mean of their slopes.

    ``s = mean(s_j)``, ``u = sqrt(sum u_j^2)/k`` with ``u_j = noise/sqrt(sum (t - tbar)^2)``.

    Parameters
    ----------
    stretches: k of them, each with two readings or more at different times.
    noise: standard deviation of a reading in Pa.
    compliance: at this level, m3/Pa.

    Valid where no stretch bends. ``Refusal`` (``too_few_readings``) for fewer readings.
    Source: least squares.

    >>> one = [Reading(0.0, 20e3), Reading(60.0, 19.9e3)]
    >>> round(level([one, one], 0.0, 1e-9).slope * 60)
    -100
    """
    slopes, squares, pressures = [], 0.0, []
    for part in stretches:
        if len({reading.time for reading in part}) < 2:
            raise Refusal(
                "too_few_readings",
                "refused.two_level.stretch_has_fewer_two",
                "stretches",
                "accepted.two_readings_more_each_stretch",
            )
        times = [reading.time for reading in part]
        seen = [reading.pressure for reading in part]
        slopes.append(slope_of(times, seen))
        squares += slope_sd(noise, times) ** 2
        pressures += seen
    count = len(slopes)
    return Level(
        sum(pressures) / len(pressures), sum(slopes) / count, math.sqrt(squares) / count, compliance
    )
