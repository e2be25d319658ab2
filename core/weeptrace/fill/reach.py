"""How deep a vacuum can go here, before anybody pumps. SI: Pa."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from weeptrace.finding import Estimate
from weeptrace.refusal import Refusal

LimitedBy = Literal["pump", "vapour"]


@dataclass(frozen=True)
class Reach:
    """``gauge``: best vacuum, Pa gauge, below zero; ``residual``: the same in Pa absolute.

    Low and high span a good pump and a poor one. ``limited_by``: what ends the usual one.
    """

    gauge: Estimate
    residual: Estimate
    limited_by: LimitedBy


def best_vacuum(outside: float, vapour: float, limits: Mapping[str, float]) -> Reach:
    """The best vacuum of a pump at an atmosphere, over coolant with a vapour pressure.

    ``p_gauge = max(s Pa, p_v) - Pa``: Pa ``outside`` and p_v ``vapour`` in Pa absolute, s the share
    of the atmosphere that a venturi leaves; ``limits``: ``vacuum.pump_residual``, its low end, and
    ``vacuum.residual_fraction`` for a poor pump. A needle figure from another altitude says
    nothing: the share does.

    Valid for 0 <= p_v, 0 < Pa; ``Refusal`` (``out_of_range``) otherwise. Where p_v is above the
    atmosphere the coolant boils in the open and there is no vacuum. Source: the limits (common
    practice); a liquid boils at its vapour pressure.

    At 2000 m about 72 kPa, over a cold engine; at 80 °C no deeper than 36 kPa absolute.

    >>> from weeptrace.rules import limits
    >>> round(best_vacuum(79495.0, 1769.0, limits()).gauge.value / 1e3, 1)
    -71.5
    >>> best_vacuum(101325.0, 35990.0, limits()).limited_by
    'vapour'
    """
    if outside <= 0.0 or vapour < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.reach.atmosphere_above_zero_vapour",
            "outside",
            "accepted.above_absolute",
        )

    def left(share: float) -> float:
        return min(max(share * outside, vapour), outside)

    usual = limits["vacuum.pump_residual"]
    shares = (usual, limits["vacuum.pump_residual_low"], limits["vacuum.residual_fraction"])
    value, deep, poor = (left(share) for share in shares)
    return Reach(
        gauge=Estimate(value - outside, deep - outside, poor - outside),
        residual=Estimate(value, deep, poor),
        limited_by="vapour" if vapour > usual * outside else "pump",
    )
