"""From the leak of a drained system to a verdict: gates before filling, never a proof of tightness.

Any resolved leak is claimed, ``r > f u``, unless the readings clearly favour another cause; its
class goes by the liquid that the same opening would
let through at the rated pressure, hot, as an orifice and as a capillary. Both belong to the
interval, so a verdict may name two classes. Without a claim nothing better than ``no_leak_found``
is said: a vacuum does not load the joints in the working direction, and air is not coolant. The
owner's rate is not judged here for the same reason.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from weeptrace.hold.data import Estimate, Reason, Verdict
from weeptrace.hold.judge import (
    Judgement,
    claimed_class,
    flow_sd,
    reason_for,
    size_class,
    time_to_minimum,
)
from weeptrace.hold.looks import time_until
from weeptrace.properties.openings import LiquidBounds

Limits = Mapping[str, float]


@dataclass(frozen=True)
class AirEvidence:
    """What the verdict rests on: SI, rates at the reference.

    ``rate_sd`` is the full standard uncertainty, ``rate_sd_lasting`` the part that more readings do
    not average out, ``rate_sd_without`` that of a tight system. ``air_per_rate``: Ve/P in m3/Pa
    with its standard uncertainty, ``None`` where the volume is not known. ``liquid``: liquid flow
    per flow of air. ``air_weight``: of the explanations with a leak. ``residual``: fraction of the
    atmosphere left, ``None`` under pressure. ``gone_after``: s from the first reading until nothing
    was left, ``None`` where something is.
    """

    rate: float
    rate_sd: float
    rate_sd_lasting: float
    rate_sd_without: float
    air_per_rate: float | None
    air_per_rate_sd: float
    liquid: LiquidBounds
    readings: int
    span: float
    look_factor: float
    planned: float | None
    falls_at_once: bool
    gone_after: float | None
    air_weight: float
    warm_unlogged: bool
    residual: float | None
    altitude_known: bool

    def air_flow(self, factor: float) -> Estimate | None:
        """Flow of air at the atmosphere, m3/s, within ``factor`` standard errors."""
        if self.air_per_rate is None:
            return None
        sd = flow_sd(self.rate, self.rate_sd, self.air_per_rate, self.air_per_rate_sd)
        flow = self.rate * self.air_per_rate
        return Estimate(flow, flow - factor * sd, flow + factor * sd)


def judge_air(e: AirEvidence, limits: Limits) -> Judgement:
    """The verdict of a hold of a drained system, with its figures as liquid.

    Parameters
    ----------
    e: the leak's rate, its uncertainty and the circumstances.
    limits: all limits.
    """
    claimed = (
        e.readings > 2
        and e.rate > e.look_factor * e.rate_sd
        and e.air_weight >= limits["vacuum.air_weight"]
    )
    air = e.air_flow(limits["hold.interval_factor"])
    if e.air_per_rate is None or air is None:
        verdict, reason = _verdict(e, claimed, None, math.inf, limits)
        return Judgement(verdict, reason, _more_time(e, reason, limits), None, None, None)
    worse, exposure = e.liquid.worse, limits["hold.exposure"]
    spread = sorted(
        end * factor for end in (air.low, air.high) for factor in (worse, e.liquid.better)
    )
    flow = Estimate(air.value * worse, spread[0], spread[-1])
    size, size_sd = e.air_per_rate, e.air_per_rate_sd

    def upper_at(factor: float, rate_sd: float) -> float:
        sd = flow_sd(e.rate, rate_sd, size, size_sd)
        return (max(air.value, 0.0) + factor * sd) * worse

    loss = Estimate(flow.value * exposure, flow.low * exposure, flow.high * exposure)
    # At an early look of several the bound uses that look's factor, as a claim does.
    upper = upper_at(e.look_factor, e.rate_sd)
    verdict, reason = _verdict(e, claimed, loss, upper * exposure, limits)
    more = _more_time(e, reason, limits)
    if verdict == "no_leak_found":
        below = [limits[f"hold.{name}"] for name in ("gross", "seeping", "tight")]
        wanted = next((edge for edge in below if edge < upper * exposure), 0.0)
        chance = max(e.rate_sd**2 - e.rate_sd_lasting**2, 0.0)

        def good(gain: float, factor: float) -> bool:
            sd = math.sqrt(chance / gain + e.rate_sd_lasting**2)
            return e.rate > factor * sd or upper_at(factor, sd) * exposure <= wanted

        more = time_until(good, e.planned, e.span, e.readings, limits)
    return Judgement(
        verdict,
        reason,
        more,
        flow,
        upper,
        limits["hold.detection_factor"] * flow_sd(0.0, e.rate_sd_without, size, size_sd) * worse,
    )


def _verdict(
    e: AirEvidence, claimed: bool, loss: Estimate | None, upper: float, limits: Limits
) -> tuple[Verdict, Reason | None]:
    if claimed and e.falls_at_once:
        return "gross", None
    if not claimed and e.gone_after is not None:
        return gone(e.gone_after, limits), None
    if e.warm_unlogged:
        return "not_judged", reason_for("engine_warm", limits)
    if claimed:
        if loss is None:
            return "leak_size_unknown", None
        found = claimed_class(loss, math.inf, limits)  # never "tight": the smallest is seeping
        return found, None
    reason = _unfit(e, limits)
    if reason is not None:
        return "not_judged", reason
    if loss is None:
        return "not_judged", reason_for("volume_unknown", limits)
    if size_class(upper, limits) == 3:
        return "not_judged", reason_for("air_too_insensitive", limits)
    return "no_leak_found", None


def gone(after: float, limits: Limits) -> Verdict:
    """The word where nothing is left ``after`` so many seconds, too soon to follow the course.

    >>> from weeptrace.rules import limits
    >>> gone(60.0, limits()), gone(300.0, limits())
    ('gross', 'leak_size_unknown')
    """
    return "gross" if after <= limits["hold.gross_fall_time"] else "leak_size_unknown"


def _unfit(e: AirEvidence, limits: Limits) -> Reason | None:
    if e.readings < limits["hold.minimum_readings"]:
        return reason_for("too_few_readings", limits)
    if e.span < limits["hold.minimum_span"]:
        return reason_for("too_short", limits)
    accepted = limits["vacuum.residual_fraction"]
    if e.residual is not None and e.residual > accepted * (1.0 + 1e-9):
        code = "not_reached" if e.altitude_known else "not_reached_altitude_unknown"
        told = reason_for(code, limits, residual=100.0 * e.residual, accepted=100.0 * accepted)
        return replace(told, code="not_reached")
    if e.rate < -max(limits["hold.rise_factor"], e.look_factor) * e.rate_sd:
        return reason_for("rising" if e.residual is None else "deepening", limits)
    return None


def _more_time(e: AirEvidence, reason: Reason | None, limits: Limits) -> float | None:
    if reason is not None and reason.code in ("too_few_readings", "too_short"):
        return time_to_minimum(e.readings, e.span, limits)
    return None
