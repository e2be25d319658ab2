"""From the leak of a drained system to a verdict: gates before filling, never a proof of tightness.

Any resolved leak is claimed, ``r > f u``, unless the readings clearly favour another cause; its
class goes by the liquid that the same opening would let through at the rated pressure, hot, as an
orifice and as a capillary. Both belong to the interval, so a verdict may name two classes. Without
a claim nothing better than ``no_leak_found`` is said: a vacuum does not load the joints in the
working direction, and air is not coolant. The owner's rate is not judged here for the same reason.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from weeptrace.hold.data import Estimate, Reason, Verdict
from weeptrace.hold.judge import (
    Evidence,
    claimed_class,
    next_class,
    reason_for,
    rises,
    size_class,
    too_little,
)
from weeptrace.properties.openings import LiquidBounds

Limits = Mapping[str, float]


@dataclass(frozen=True)
class AirEvidence(Evidence):
    """What the verdict rests on, of a drained system: SI, rates at the reference.

    ``compliance`` is the volume over the atmosphere, Ve/P: what leaves is air at the atmosphere.
    ``liquid``: liquid flow per flow of air. ``air_weight``: of the explanations with a leak.
    ``residual``: fraction of the atmosphere left, ``None`` under pressure. ``gone_after``: s from
    the first reading until nothing was left, ``None`` where something is.
    """

    liquid: LiquidBounds
    gone_after: float | None
    air_weight: float
    residual: float | None
    altitude_known: bool

    @property
    def as_liquid(self) -> tuple[float, float]:
        """Liquid per air through the same opening: as the worse of the two, as the better."""
        return self.liquid.worse, self.liquid.better

    def claimed(self, limits: Limits) -> bool:
        """Whether a leak is claimed: not where vapour or settling explains the slope far better."""
        return super().claimed(limits) and self.air_weight >= limits["vacuum.air_weight"]

    def verdict(
        self, claimed: bool, loss: Estimate | None, upper: float, limits: Limits
    ) -> tuple[Verdict, Reason | None]:
        """The word and its reason, as of coolant, but never a proof that all is tight."""
        if claimed and self.falls_at_once:
            return "gross", None
        if not claimed and self.gone_after is not None:
            return gone(self.gone_after, limits), None
        if self.warm_unlogged:
            return "not_judged", reason_for("engine_warm", limits)
        if claimed:
            if loss is None:
                return "leak_size_unknown", None
            # Never "tight": the smallest is seeping.
            return claimed_class(loss, math.inf, limits), None
        reason = self._unfit(limits)
        if reason is None and loss is None:
            reason = reason_for("volume_unknown", limits)
        if reason is None and size_class(upper, limits) == 3:
            reason = reason_for("air_too_insensitive", limits)
        return ("no_leak_found" if reason is None else "not_judged"), reason

    def _unfit(self, limits: Limits) -> Reason | None:
        reason = too_little(self, limits)
        accepted = limits["vacuum.residual_fraction"]
        if reason is not None:
            return reason
        if self.residual is not None and self.residual > accepted * (1.0 + 1e-9):
            code = "not_reached" if self.altitude_known else "not_reached_altitude_unknown"
            left, least = 100.0 * self.residual, 100.0 * accepted
            return replace(
                reason_for(code, limits, residual=left, accepted=least), code="not_reached"
            )
        if rises(self, limits):
            return reason_for("rising" if self.residual is None else "deepening", limits)
        return None

    def says_more(
        self, size: float, verdict: Verdict, reason: Reason | None, upper: float, limits: Limits
    ) -> Callable[[float, float], bool] | None:
        """Without a claim: a claim, or a bound below the next class; else nothing."""
        if verdict != "no_leak_found":
            return None
        return self.gets_below(size, next_class(upper, limits), limits)


def gone(after: float, limits: Limits) -> Verdict:
    """The word where nothing is left ``after`` so many seconds, too soon to follow the course.

    >>> from weeptrace.rules import limits
    >>> gone(60.0, limits()), gone(300.0, limits())
    ('gross', 'leak_size_unknown')
    """
    return "gross" if after <= limits["hold.gross_fall_time"] else "leak_size_unknown"
