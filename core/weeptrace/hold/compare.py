"""Before against after a repair: how much of a leak is left. Estimates in any one unit."""

from __future__ import annotations

import math
from collections.abc import Mapping

from weeptrace.finding import Estimate
from weeptrace.refusal import Refusal


def ratio(before: Estimate, after: Estimate, limits: Mapping[str, float]) -> Estimate:
    """``after/before`` with its 95 % interval, by Fieller's theorem.

    ``a/b`` of two independent normal estimates lies within the q for which
    ``(a - q b)^2 <= z^2 (sa^2 + q^2 sb^2)``: with ``B = b^2 - z^2 sb^2`` and
    ``A = a^2 - z^2 sa^2``, ``q = (a b +- sqrt((a b)^2 - A B))/B``. A leak is not below zero, so
    the interval isn't either.

    Parameters
    ----------
    before, after: estimates with 95 % intervals, of the same kind: flows, or rates at one target
        and one stored volume.
    limits: the ``hold.*`` limits.

    Valid where both estimates are independent and about normal. ``Refusal``
    (``before_not_resolved``) where the interval before the repair reaches zero: then no ratio is
    bounded. Source: E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175, from memory.

    >>> from weeptrace.rules import limits
    >>> left = ratio(Estimate(1.2, 1.0, 1.4), Estimate(0.06, 0.0, 0.12), limits())
    >>> round(left.value, 3), round(left.low, 3), round(left.high, 3)
    (0.05, 0.0, 0.103)
    """
    z = limits["hold.interval_factor"]
    b, a = before.value, after.value
    sb, sa = ((one.high - one.low) / (2.0 * z) for one in (before, after))
    large = b * b - (z * sb) ** 2
    if b <= 0.0 or large <= 0.0:
        raise Refusal(
            "before_not_resolved",
            "refused.compare.hold_before_repair_found",
            "before",
            "accepted.leak_whose_interval_lies_above_zero",
        )
    root = math.sqrt(max((a * b) ** 2 - (a * a - (z * sa) ** 2) * large, 0.0))
    return Estimate(max(a / b, 0.0), max((a * b - root) / large, 0.0), (a * b + root) / large)
