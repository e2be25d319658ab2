"""What a hold will be able to see, before it: noise, drift, settling, tester. SI."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from weeptrace.hold.looks import slope_sd


@dataclass(frozen=True)
class Plan:
    """``slope_sd`` Pa/s by the needle; the parts of the flow's uncertainty and all of it, m3/s;
    the largest leak that a hold without a fall leaves open, and the smallest that it flags."""

    slope_sd: float
    by_needle: float
    by_drift: float
    by_settling: float
    by_tester: float
    uncertainty: float
    not_larger_than: float
    smallest_detectable: float


def plan(
    times: Sequence[float],
    noise: float,
    compliance: float,
    limits: Mapping[str, float],
    *,
    per_kelvin: float = 0.0,
    hoses: float = 0.0,
    pressure: float = 0.0,
    waited: float = 0.0,
    self_leak: float = 0.0,
) -> Plan:
    """Planning figures of a hold, by a straight line.

    ``u^2 = (C us)^2 + (dV/dT u_dT)^2 + u_creep^2 + u_tester^2`` with
    ``us = sigma/sqrt(sum (t - tb)^2)``;
    ``X = 1.645 u`` where nothing falls, ``L = 3.29 u``. Only the first part shrinks with more
    readings. ``u_creep``: the settling that the usual share's uncertainty leaves open, on average
    over the hold, ``Ch u_a p (exp(-w/tau) - exp(-(w + T)/tau))/T``.

    Parameters
    ----------
    times: of the readings, s; two or more.
    noise: sigma of a reading, Pa.
    compliance: C, m3/Pa.
    limits: the ``hold.*`` limits: drift of an engine at rest, settling, factors.
    per_kelvin: dV/dT in m3/K, see ``warmth``.
    hoses, pressure: Ch m3/Pa and p Pa of the settling.
    waited: w, s between pumping and the first reading.
    self_leak: the tester's own fall, Pa/s.

    Valid for leaks that leave the fall straight. No error is raised for rising times.
    Source: propagation of uncertainty; factors of the normal distribution.

    16 readings in 15 min, a 2 kPa division, C 1 mL/kPa, dV/dT 3.3 mL/K, in mL/min:

    >>> from weeptrace.rules import limits
    >>> p = plan([60.0 * k for k in range(16)], 600.0, 1e-9, limits(), per_kelvin=3.3e-6)
    >>> round(p.slope_sd * 60e-3, 4), round(p.not_larger_than * 6e7, 2)
    (0.0325, 0.08)
    >>> round(p.smallest_detectable * 6e7, 2)
    0.15
    """
    slope = slope_sd(noise, times)
    span = max(times) - min(times)
    tau = limits["hold.creep_time"]
    left = math.exp(-waited / tau) - math.exp(-(waited + span) / tau)
    settling = hoses * limits["hold.creep_share_uncertainty"] * pressure * left / span
    parts = (
        compliance * slope,
        per_kelvin * limits["hold.temperature_drift_unknown"],
        settling,
        self_leak * limits["hold.tester_compliance"],
    )
    u = math.hypot(*parts)
    return Plan(
        slope, *parts, u, limits["hold.claim_factor"] * u, limits["hold.detection_factor"] * u
    )
