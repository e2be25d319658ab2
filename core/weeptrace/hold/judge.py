"""From the leak's rate and its uncertainty to a verdict of a closed set.

A leak is claimed if ``r > f u``, f = 1.645 on a single look. Its size class goes by the central
value of the loss per distance; where the 95 % interval reaches into a second class, both are named.
Without a claim the hold says only what it could have seen: ``X = max(Q, 0) + f u``. Of several
looks each has its own f, so that all together spend 5 % on a false claim, and 5 % on a false X.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from weeptrace.hold.data import Estimate, Reason, Verdict
from weeptrace.hold.looks import time_until
from weeptrace.told import Figure

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


@dataclass(frozen=True)
class Evidence:
    """What the verdict rests on: SI, rates at the target; here of coolant under pressure.

    ``rate_sd`` is the full standard uncertainty, ``rate_sd_lasting`` the part of it that more
    readings do not average out, ``rate_sd_without`` that of a tight system. ``compliance``, volume
    per pressure in m3/Pa, and its ``compliance_sd``: ``None`` and 0 where it is not known.
    ``look_factor``: standard errors that a claim needs at this look; ``planned`` duration in s,
    ``None`` for a single look. ``warm_unlogged``: an engine well above ambient without a
    temperature log. ``falls_at_once``: half of the pressure gone within the gross fall time.
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

    @property
    def as_liquid(self) -> tuple[float, float]:
        """Liquid per volume that leaves through the leak: the more of two openings, the less."""
        return 1.0, 1.0

    def claimed(self, limits: Limits) -> bool:
        """Whether a leak is claimed. Minimum counts and times bind only where none is."""
        return self.readings > 2 and self.rate > self.look_factor * self.rate_sd

    def flow(self, size: float, factor: float) -> Estimate:
        """What leaves, m3/s within ``factor`` standard errors, with ``size`` as compliance."""
        flow = self.rate * size
        sd = flow_sd(self.rate, self.rate_sd, size, self.compliance_sd)
        return Estimate(flow, flow - factor * sd, flow + factor * sd)

    def liquid_flow(self, size: float, factor: float) -> Estimate:
        """The same as liquid: value and high end by the more, the low end by the less."""
        flow = self.flow(size, factor)
        ends = [end * share for end in (flow.low, flow.high) for share in self.as_liquid]
        return Estimate(flow.value * self.as_liquid[0], min(ends), max(ends))

    def bound(self, size: float, factor: float, rate_sd: float) -> float:
        """Upper limit on the liquid, m3/s, with ``size`` as compliance and this uncertainty."""
        sd = flow_sd(self.rate, rate_sd, size, self.compliance_sd)
        return (max(self.rate * size, 0.0) + factor * sd) * self.as_liquid[0]

    def rate_of(self, liquid: float) -> float | None:
        """The rate in Pa/s of a leak of so much liquid, m3/s; None where no size is known."""
        return None if self.compliance is None else liquid / self.as_liquid[0] / self.compliance

    def rate_sd_after(self, gain: float) -> float:
        """``rate_sd`` once the readings' information has grown by this ``gain``."""
        chance = max(self.rate_sd**2 - self.rate_sd_lasting**2, 0.0) / gain
        return math.sqrt(chance + self.rate_sd_lasting**2)

    def verdict(
        self, claimed: bool, loss: Estimate | None, upper: float, limits: Limits
    ) -> tuple[Verdict, Reason | None]:
        """The word and its reason; ``loss`` and its bound ``upper`` in m3/m, None and infinite
        where the size of the leak is unknown: then a fall is sure or it is not."""
        if claimed and self.falls_at_once:
            return "gross", None
        if self.warm_unlogged:
            return "not_judged", reason_for("engine_warm", limits)
        if claimed:
            if loss is None:
                return "leak_size_unknown", None
            return claimed_class(loss, upper, limits), None
        reason = too_little(self, limits)
        if reason is None and rises(self, limits):
            reason = reason_for("rising", limits)
        if reason is None and loss is None:
            reason = reason_for("stored_volume_unknown", limits)
        if reason is not None:
            return "not_judged", reason
        if size_class(upper, limits) == 0:
            return "tight", None
        if self.owner_rate is not None:
            weak = upper > self.owner_rate * limits["hold.owner_rate_share"] * (1.0 + 1e-9)
            return ("too_weak" if weak else "no_leak_found"), None
        if size_class(upper, limits) == 3:
            return "not_judged", reason_for("too_insensitive", limits)
        return "no_leak_found", None

    def says_more(
        self, size: float, verdict: Verdict, reason: Reason | None, upper: float, limits: Limits
    ) -> Callable[[float, float], bool] | None:
        """What would say more, of the information's gain and the look's factor; None for nothing.

        Without a claim: a claim, or a bound, now ``upper`` m3/m, below a third of the owner's rate,
        or else below the next class. With two classes: one that is left. ``size``: compliance.
        """
        exposure = limits["hold.exposure"]
        if verdict in ("seeping_or_leaking", "leaking_or_gross"):
            edge = limits["hold.seeping" if verdict == "seeping_or_leaking" else "hold.gross"]
            away = abs(self.rate * size * exposure - edge) / limits["hold.interval_factor"]

            def one_class(gain: float, _: float) -> bool:
                sd = flow_sd(self.rate, self.rate_sd_after(gain), size, self.compliance_sd)
                return sd * exposure < away

            return one_class
        if verdict in ("no_leak_found", "too_weak") and self.owner_rate is not None:
            if verdict == "no_leak_found":
                return None
            wanted = self.owner_rate * limits["hold.owner_rate_share"]
        elif verdict == "no_leak_found" or (reason and reason.code == "too_insensitive"):
            wanted = next_class(upper, limits)
        else:
            return None
        return self.gets_below(size, wanted, limits)

    def gets_below(
        self, size: float, wanted: float, limits: Limits
    ) -> Callable[[float, float], bool]:
        """Whether there is a claim, or the bound is down to ``wanted`` m3/m."""

        def told(gain: float, factor: float) -> bool:
            sd = self.rate_sd_after(gain)
            bound = self.bound(size, factor, sd) * limits["hold.exposure"]
            return self.rate > factor * sd or bound <= wanted

        return told


@dataclass(frozen=True)
class Judgement:
    """A verdict with the figures that belong to it; flows in m3/s, losses in m3/m, as
    ``Assessment`` has them; ``None`` where the size of a leak is unknown."""

    verdict: Verdict
    reason: Reason | None
    more_time: float | None
    leak_flow: Estimate | None = None
    not_larger_than_flow: float | None = None
    smallest_detectable_flow: float | None = None
    per_distance: Estimate | None = None
    not_larger_than: float | None = None
    smallest_detectable: float | None = None


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
    """The verdict of a hold, of coolant or of a drained system, with its figures as liquid.

    Parameters
    ----------
    evidence: the leak's rate, its uncertainty and the circumstances.
    limits: all limits.
    """
    e, size, exposure = evidence, evidence.compliance, limits["hold.exposure"]
    claimed = e.claimed(limits)
    if size is None:
        verdict, reason = e.verdict(claimed, None, math.inf, limits)
        return Judgement(verdict, reason, _until_enough(e, reason, limits))
    flow = e.liquid_flow(size, limits["hold.interval_factor"])
    # At an early look of several the bound uses that look's factor, as a claim does.
    upper = e.bound(size, e.look_factor, e.rate_sd)
    tight_sd = flow_sd(0.0, e.rate_sd_without, size, e.compliance_sd)
    least = limits["hold.detection_factor"] * tight_sd * e.as_liquid[0]
    loss = scaled(flow, exposure)
    verdict, reason = e.verdict(claimed, loss, upper * exposure, limits)
    more = _until_enough(e, reason, limits)
    if more is None:
        good = e.says_more(size, verdict, reason, upper * exposure, limits)
        if good is not None:
            more = time_until(good, e.planned, e.span, e.readings, limits)
    return Judgement(
        verdict, reason, more, flow, upper, least, loss, upper * exposure, least * exposure
    )


def _until_enough(e: Evidence, reason: Reason | None, limits: Limits) -> float | None:
    """Seconds until there are readings enough over time enough, where that is missing."""
    if reason is not None and reason.code in ("too_few_readings", "too_short"):
        return time_to_minimum(e.readings, e.span, limits)
    return None


def scaled(estimate: Estimate, factor: float) -> Estimate:
    """An estimate in another unit, or of so many times as much."""
    return Estimate(estimate.value * factor, estimate.low * factor, estimate.high * factor)


def next_class(upper: float, limits: Limits) -> float:
    """The largest limit of a class below an ``upper`` bound, both m3/m; 0 below all."""
    edges = (limits[f"hold.{name}"] for name in ("gross", "seeping", "tight"))
    return next((edge for edge in edges if edge < upper), 0.0)


def too_little(e: Evidence, limits: Limits) -> Reason | None:
    """Too few readings, or too short, for a word without a leak."""
    if e.readings < limits["hold.minimum_readings"]:
        return reason_for("too_few_readings", limits)
    if e.span < limits["hold.minimum_span"]:
        return reason_for("too_short", limits)
    return None


def rises(e: Evidence, limits: Limits) -> bool:
    """Whether the pressure goes the other way by more than noise."""
    return e.rate < -max(limits["hold.rise_factor"], e.look_factor) * e.rate_sd


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


def reason_for(code: str, limits: Limits, **figures: Figure | float) -> Reason:
    """A reason; ``figures`` are what its words need beyond the usual limits."""
    minutes = limits["hold.minimum_span"] / 60.0
    usual = {"readings": limits["hold.minimum_readings"], "minutes": minutes}
    return Reason(code, f"reason.hold.{code}", {**usual, **figures})
