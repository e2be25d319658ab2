"""How long the coolant lasts, and whether the car may drive. SI: m3, m3/s, s."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from weeptrace.finding import Estimate
from weeptrace.loss.rate import Rate, is_gross
from weeptrace.refusal import Refusal

Decision = Literal["drive", "tow", "not_judged"]
Answer = Literal["yes", "no"]

# Findings that forbid driving whatever the litres; common practice.
NEVER_DRIVE: Final = (
    "oil_mixed",
    "transmission_oil_mixed",
    "coolant_in_cylinder",
    "combustion_gas",
    "cabin_film",
    "drip_on_exhaust_or_electrics",
    "high_voltage_loop",
    "not_secure",
)


# Why tow, or what is not known.
REASONS: Final = (
    *NEVER_DRIVE,
    "gross",
    "trip_too_long",
    "reserve_not_measured",
    "trip_not_measured",
    "findings_not_answered",
)


@dataclass(frozen=True)
class Lasts:
    """Times in s; ``None`` is "not measured". ``reasons``: why tow, or what is not known yet."""

    to_low: Estimate | None
    to_lost_circulation: Estimate | None
    decision: Decision
    reasons: tuple[str, ...]
    not_answered: tuple[str, ...]


def time_until(volume: float, flow: Estimate) -> Estimate:
    """``t = V / Q`` in s, V m3, Q m3/s; the fastest flow gives the low end.

    Valid for a ``volume`` V and a flow above zero; a flow that may be zero lasts for ever at its
    high end. No error is raised. Source: conservation of volume.

    350 mL at 4.7 mL/min last 74 min.

    >>> time_until(6.0, Estimate(2.0, 1.0, 3.0))
    Estimate(value=3.0, low=2.0, high=6.0)
    """
    slow = volume / flow.low if flow.low > 0.0 else float("inf")
    return Estimate(volume / flow.value, volume / flow.high, slow)


def lasts(
    rate: Rate,
    limits: Mapping[str, float],
    *,
    reserve: float | None = None,
    capacity: float | None = None,
    trip: float | None = None,
    findings: Mapping[str, Answer] | None = None,
) -> Lasts:
    """Time to the lower mark and to lost circulation, and drive or tow.

    ``t_low = R / Q``, R reserve above the lower mark in m3; ``t_lost = 0.2 capacity / Q``. Drive
    only if the trip (s) is shorter than half of t_low, the loss is not gross, and every finding of
    ``NEVER_DRIVE`` was asked and answered no: what is not known does not permit. Any yes means tow.

    Valid for volumes above zero; ``Refusal`` (``out_of_range``) otherwise. Source: limits
    ``loss.lost_circulation``, ``loss.trip_share``, ``hold.gross`` (common practice).
    ``rate``: the loss; ``findings``: answers to ``NEVER_DRIVE``.

    Half a litre at 0.6 mL/min, nothing else known:

    >>> from weeptrace.finding import Estimate
    >>> from weeptrace.loss.rate import Found, combine
    >>> from weeptrace.rules import limits
    >>> found = combine([Found("drops", Estimate(1e-8, 0.9e-8, 1.1e-8))], limits())
    >>> said = lasts(found, limits(), reserve=0.5e-3)
    >>> round(said.to_low.value / 3600.0, 1), said.decision
    (13.9, 'not_judged')
    """
    for name, value in (("reserve", reserve), ("capacity", capacity), ("trip", trip)):
        if value is not None and value <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.lasts.above_zero_leave_out",
                name,
                "accepted.above_zero",
                {"name": name},
            )
    answers = dict(findings or {})
    to_low = None if reserve is None else time_until(reserve, rate.flow)
    share = limits["loss.lost_circulation"]
    lost = None if capacity is None else time_until(share * capacity, rate.flow)
    reasons = [name for name in NEVER_DRIVE if answers.get(name) == "yes"]
    if is_gross(rate, limits):
        reasons.append("gross")
    if to_low is not None and trip is not None and trip >= limits["loss.trip_share"] * to_low.value:
        reasons.append("trip_too_long")
    open_points = tuple(name for name in NEVER_DRIVE if name not in answers)
    if reasons:
        return Lasts(to_low, lost, "tow", tuple(reasons), open_points)
    unknown = [
        f"{name}_not_measured"
        for name, value in (("reserve", reserve), ("trip", trip))
        if value is None
    ]
    if open_points:
        unknown.append("findings_not_answered")
    return Lasts(to_low, lost, "not_judged" if unknown else "drive", tuple(unknown), open_points)
