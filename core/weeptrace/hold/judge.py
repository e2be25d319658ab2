"""From the leak's rate and its uncertainty to a verdict of a closed set.

A leak is claimed if ``r > f u``, f = 1.645 on a single look. Its size class goes by the central
value of the loss per distance; where the 95 % interval reaches into a second class, both are named.
Without a claim the hold says only what it could have seen: ``X = max(Q, 0) + f u``. Of several
looks each has its own f, so that all together spend 5 % on a false claim, and 5 % on a false X.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.hold.data import Estimate, Reason, Verdict
from weeptrace.hold.looks import time_until

Limits = Mapping[str, float]
CLASSES: tuple[Verdict, ...] = ("tight", "seeping", "leaking", "gross")
# A leak of some size was found.
LEAKS: tuple[Verdict, ...] = (
    "seeping",
    "seeping_or_leaking",
    "leaking",
    "leaking_or_gross",
    "gross",
)

REASONS = {
    "too_few_readings": "Too few readings to judge. Take at least {readings:.0f}.",
    "too_short": "Too short to judge: hoses settle for minutes. Hold for at least {minutes:.3g} "
    "min.",
    "engine_warm": "The engine is well above ambient and its temperature was not logged: it "
    "contracts, and that looks like a leak. Log the temperature, or wait until it is cold.",
    "rising": "The pressure rises: something warms, and that can hide a leak. Wait until the "
    "temperature is steady, or log it.",
    "not_reached": "Too much air was left: {residual:.0f} % of the atmosphere, accepted is up to "
    "{accepted:.0f} %. A leak, an engine that is not cold, or too little air at the pump.",
    "not_reached_altitude_unknown": "Too much air was left: {residual:.0f} % of the atmosphere at "
    "sea level, accepted is up to {accepted:.0f} %. The altitude was not typed; higher up less is "
    "left than that. Type it, or look for a leak, a warm engine or too little air at the pump.",
    "deepening": "The vacuum deepens by itself: something cools, and that can hide a leak. Wait "
    "until the temperature is steady.",
    "volume_unknown": "No leak-up seen, but without the drained volume nobody can say how small a "
    "leak this would have shown. Type how much was drained.",
    "air_too_insensitive": "No leak seen, but this hold could not have seen even a gross leak. "
    "Hold longer, or use a finer gauge.",
    "stored_volume_unknown": "No fall seen, but without the stored volume nobody can say how small "
    "a leak this would have shown. Count the pump strokes, or draw off and weigh a little.",
    "above_rating": "It stood at {highest:pressure}, above its rating of {rated:pressure:down}. "
    "Let off to the rating. Look at tank, radiator seams and heater hoses.",
    "air_side": "It falls fast and nothing is wet: most often a leak above the liquid, at the "
    "cap, the neck, the adapter or the top of the reservoir. Fill above it, and hold again.",
    "too_insensitive": "No fall seen, but this hold could not have seen even a gross leak. Fill to "
    "the neck, hold longer, or use a finer gauge.",
}


@dataclass(frozen=True)
class Evidence:
    """What the verdict rests on: SI, rates at the target.

    ``rate_sd`` is the full standard uncertainty, ``rate_sd_lasting`` the part of it that more
    readings do not average out, ``rate_sd_without`` that of a tight system. ``compliance`` and its
    ``compliance_sd`` are ``None`` where the stored volume is not known. ``look_factor``: standard
    errors that a claim needs at this look; ``planned`` duration in s, ``None`` for a single look.
    ``warm_unlogged``: an engine well above ambient without a temperature log. ``falls_at_once``:
    half of the pressure gone within the gross fall time.
    """

    rate: float
    rate_sd: float
    rate_sd_lasting: float
    rate_sd_without: float
    compliance: float | None
    compliance_sd: float
    readings: int
    span: float
    look_factor: float
    planned: float | None
    warm_unlogged: bool
    falls_at_once: bool
    owner_rate: float | None


@dataclass(frozen=True)
class Judgement:
    """A verdict with the figures that belong to it; flows in m3/s, losses in m3/m."""

    verdict: Verdict
    reason: Reason | None
    more_time: float | None
    leak_flow: Estimate | None
    not_larger_than_flow: float | None
    smallest_detectable_flow: float | None


def flow_sd(rate: float, rate_sd: float, compliance: float, compliance_sd: float) -> float:
    """Standard uncertainty of ``Q = r C``: the variance of a product of independent factors.

    ``u^2 = (C u_r)^2 + (r u_C)^2 + (u_r u_C)^2``: r ``rate`` and u_r ``rate_sd`` in Pa/s, C
    ``compliance`` and u_C ``compliance_sd`` in m3/Pa. Valid for independent factors. No error is
    raised. Source: L. A. Goodman, J. Am. Stat. Assoc. 55 (1960) 708, from memory.

    >>> round(flow_sd(2.0, 0.3, 5.0, 0.5), 2)
    1.81
    """
    return math.sqrt(
        (compliance * rate_sd) ** 2 + (rate * compliance_sd) ** 2 + (rate_sd * compliance_sd) ** 2
    )


def size_class(loss: float, limits: Limits) -> int:
    """0 tight, 1 seeping, 2 leaking, 3 gross; a ``loss`` just at a limit is in the lower class.

    ``sum (loss > limit)`` over the ``hold.*`` classes of the ``limits``, m3/m. Valid for any loss.
    No error is raised. Source: the limits' reasons.

    >>> from weeptrace.rules import limits
    >>> [size_class(ml * 1e-12, limits()) for ml in (30, 31, 300, 301, 5000, 5001)]
    [0, 1, 1, 2, 2, 3]
    """
    return sum(
        loss > limits[f"hold.{name}"] * (1.0 + 1e-9) for name in ("tight", "seeping", "gross")
    )


def claimed_class(loss: Estimate, upper: float, limits: Limits) -> Verdict:
    """The word for a leak that is there: one class, or two where the interval reaches over.

    Parameters
    ----------
    loss: m3/m with its two-sided 95 % interval.
    upper: one-sided 95 % upper limit, m3/m.
    limits: the ``hold.*`` limits.
    """
    centre = size_class(loss.value, limits)
    if centre == 0:
        return "tight" if size_class(upper, limits) == 0 else "seeping"
    low, high = max(size_class(loss.low, limits), 1), size_class(loss.high, limits)
    if low == high:
        return CLASSES[centre]
    if high - low == 2:  # three classes: the centre's, and the nearer neighbour's
        middle = math.sqrt(limits["hold.seeping"] * limits["hold.gross"])
        high = 2 if centre == 1 or (centre == 2 and loss.value < middle) else 3
    return "seeping_or_leaking" if high == 2 else "leaking_or_gross"


def judge(evidence: Evidence, limits: Limits) -> Judgement:
    """The verdict of a hold.

    Parameters
    ----------
    evidence: the leak's rate, its uncertainty and the circumstances.
    limits: the ``hold.*`` limits.

    Minimum counts and times bind only verdicts that find no leak.
    """
    e = evidence
    two_sided = limits["hold.interval_factor"]
    claimed = e.readings > 2 and e.rate > e.look_factor * e.rate_sd
    if e.compliance is None:
        return _judge_without_size(e, claimed, limits)
    c, c_sd = e.compliance, e.compliance_sd
    flow = e.rate * c
    sd = flow_sd(e.rate, e.rate_sd, c, c_sd)
    # At an early look of several the bound uses that look's factor, as a claim does.
    upper = max(flow, 0.0) + e.look_factor * sd
    exposure = limits["hold.exposure"]
    loss = Estimate(
        flow * exposure, (flow - two_sided * sd) * exposure, (flow + two_sided * sd) * exposure
    )
    verdict, reason = _verdict(e, claimed, loss, upper * exposure, limits)
    return Judgement(
        verdict,
        reason,
        _more_time(e, c, c_sd, verdict, reason, upper * exposure, limits),
        Estimate(flow, flow - two_sided * sd, flow + two_sided * sd),
        upper,
        limits["hold.detection_factor"] * flow_sd(0.0, e.rate_sd_without, c, c_sd),
    )


def _more_time(
    e: Evidence,
    c: float,
    c_sd: float,
    verdict: Verdict,
    reason: Reason | None,
    upper: float,
    limits: Limits,
) -> float | None:
    """Seconds until the hold is expected to say more, should the estimate stay where it is.

    Without a claim: until there is one, or until the bound, now ``upper`` m3/m, is below a third of
    the owner's rate, or else below the next class. With two classes: until one is left.
    """
    if reason is not None and reason.code in ("too_few_readings", "too_short"):
        return time_to_minimum(e.readings, e.span, limits)
    exposure = limits["hold.exposure"]
    loss = e.rate * c * exposure

    def rate_sd_after(gain: float) -> float:
        chance = max(e.rate_sd**2 - e.rate_sd_lasting**2, 0.0) / gain
        return math.sqrt(chance + e.rate_sd_lasting**2)

    def sd_after(gain: float) -> float:
        return flow_sd(e.rate, rate_sd_after(gain), c, c_sd) * exposure

    if verdict in ("seeping_or_leaking", "leaking_or_gross"):
        edge = limits["hold.seeping" if verdict == "seeping_or_leaking" else "hold.gross"]
        away = abs(loss - edge) / limits["hold.interval_factor"]
        return time_until(
            lambda gain, _: sd_after(gain) < away, e.planned, e.span, e.readings, limits
        )
    if verdict in ("no_leak_found", "too_weak") and e.owner_rate is not None:
        if verdict == "no_leak_found":
            return None
        wanted = e.owner_rate * limits["hold.owner_rate_share"]
    elif verdict == "no_leak_found" or (reason is not None and reason.code == "too_insensitive"):
        below = [limits[f"hold.{name}"] for name in ("gross", "seeping", "tight")]
        wanted = next((edge for edge in below if edge < upper), 0.0)
    else:
        return None

    def told(gain: float, factor: float) -> bool:
        claimed = e.rate > factor * rate_sd_after(gain)
        return claimed or max(loss, 0.0) + factor * sd_after(gain) <= wanted

    return time_until(told, e.planned, e.span, e.readings, limits)


def _verdict(
    e: Evidence, claimed: bool, loss: Estimate, upper: float, limits: Limits
) -> tuple[Verdict, Reason | None]:
    if claimed and e.falls_at_once:
        return "gross", None
    if e.warm_unlogged:
        return "not_judged", reason_for("engine_warm", limits)
    if claimed:
        return claimed_class(loss, upper, limits), None
    reason = _unfit(e, limits)
    if reason is not None:
        return "not_judged", reason
    if size_class(upper, limits) == 0:
        return "tight", None
    if e.owner_rate is not None:
        weak = upper > e.owner_rate * limits["hold.owner_rate_share"] * (1.0 + 1e-9)
        return ("too_weak" if weak else "no_leak_found"), None
    if size_class(upper, limits) == 3:
        return "not_judged", reason_for("too_insensitive", limits)
    return "no_leak_found", None


def _judge_without_size(e: Evidence, claimed: bool, limits: Limits) -> Judgement:
    """Without the stored volume a fall is sure or it is not; its size stays unknown."""
    more: float | None = None
    verdict: Verdict = "not_judged"
    reason: Reason | None = None
    if claimed and e.falls_at_once:
        verdict = "gross"
    elif e.warm_unlogged:
        reason = reason_for("engine_warm", limits)
    elif claimed:
        verdict = "leak_size_unknown"
    else:
        reason = _unfit(e, limits) or reason_for("stored_volume_unknown", limits)
        if reason.code in ("too_few_readings", "too_short"):
            more = time_to_minimum(e.readings, e.span, limits)
    return Judgement(verdict, reason, more, None, None, None)


def _unfit(e: Evidence, limits: Limits) -> Reason | None:
    if e.readings < limits["hold.minimum_readings"]:
        return reason_for("too_few_readings", limits)
    if e.span < limits["hold.minimum_span"]:
        return reason_for("too_short", limits)
    if e.rate < -max(limits["hold.rise_factor"], e.look_factor) * e.rate_sd:
        return reason_for("rising", limits)
    return None


def time_to_minimum(readings: int, span: float, limits: Limits) -> float:
    """Seconds until there are enough readings over enough time, at the same pace.

    ``max(least span - span, missing h)``: ``readings`` so far in ``span`` s, h apart, a minute at
    most; ``limits`` the ``hold.*`` ones. Valid from the first reading. No error is raised. Source:
    own choice of the pace.

    >>> from weeptrace.rules import limits
    >>> time_to_minimum(3, 120.0, limits())
    120.0
    """
    missing = limits["hold.minimum_readings"] - readings
    pace = min(span / max(readings - 1, 1), 60.0)
    return max(limits["hold.minimum_span"] - span, missing * pace)


def reason_for(code: str, limits: Limits, **figures: float) -> Reason:
    """A reason with its words; ``figures`` are what the words need beyond the usual limits."""
    minutes = limits["hold.minimum_span"] / 60.0
    usual = {"readings": limits["hold.minimum_readings"], "minutes": minutes}
    return Reason(code, REASONS[code], {**usual, **figures})
