"""How much old coolant is left after draining and filling again and again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from weeptrace.refusal import Refusal

_MOST_CYCLES: Final = 50


@dataclass(frozen=True)
class Flush:
    """``shares``: old share after each cycle; ``waste``: m3 drained in all."""

    cycles: int
    shares: tuple[float, ...]
    waste: float


def flush(*, capacity: float, drained: float, limit: float) -> Flush:
    """Cycles of drain, fill and mix until the old share is not above a limit.

    ``share after n = (1 - f)^n`` with ``f = drained / capacity``, both m3; the fill must mix with
    the rest (one full warm cycle) before the next drain.

    Valid for 0 < drained <= capacity, 0 < limit < 1, up to 50 cycles; ``Refusal`` otherwise.
    Source: dilution; conservation of volume.

    >>> f = flush(capacity=24e-3, drained=13e-3, limit=0.10)
    >>> f.cycles, [round(s, 3) for s in f.shares], round(1e3 * f.waste)
    (3, [0.458, 0.21, 0.096], 39)
    """
    if not 0.0 < drained <= capacity:
        raise Refusal(
            "out_of_range",
            f"Drained {1e3 * drained:.4g} L must lie above 0 and up to the capacity of "
            f"{1e3 * capacity:.4g} L.",
            "drained",
            f"above 0 to {1e3 * capacity:.4g} L",
        )
    if not 0.0 < limit < 1.0:
        raise Refusal(
            "out_of_range",
            f"The old share allowed is {100 * limit:.4g} %; it must lie between 0 and 100 %.",
            "limit",
            "above 0 to below 100 %",
        )
    kept = 1.0 - drained / capacity
    shares = [kept]
    while shares[-1] > limit * (1.0 + 1e-12):
        if len(shares) == _MOST_CYCLES:
            raise Refusal(
                "out_of_range",
                f"So little drains each time that {_MOST_CYCLES} cycles do not reach the limit. "
                "Open the block drain or a low hose.",
                "drained",
                "a larger drained volume",
            )
        shares.append(shares[-1] * kept)
    return Flush(len(shares), tuple(shares), drained * len(shares))
