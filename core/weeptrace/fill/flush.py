"""How much old coolant is left after draining and filling again and again, and what that takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from weeptrace.fill import mix
from weeptrace.properties.fraction import Glycol
from weeptrace.quote.estimate import containers
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

_MOST_CYCLES: Final = 50


@dataclass(frozen=True)
class Flush:
    """``shares``: old share after each cycle; ``waste``: m3 drained in all."""

    cycles: int
    shares: tuple[float, ...]
    waste: float


@dataclass(frozen=True)
class Rinses:
    """A flush whose fills are water, but for the last one; m3.

    ``strengths``: in the car after each water fill, mixed. ``residual_strength``: what stays after
    the last drain. ``rinse_water``: all water fills together. ``water``: with that of the final
    fill. ``water_short``: of it, more than is at hand. ``final``: the last fill; ``None`` where too
    little water is left for the rinses.
    """

    flush: Flush
    strengths: tuple[float, ...]
    residual_strength: float
    rinse_water: float
    water: float
    water_short: float
    final: mix.Plan | None


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
            "refused.flush.drained_lie_above_up",
            "drained",
            "accepted.above_zero_to_capacity",
            {"drained": Figure(drained, "volume"), "capacity": Figure(capacity, "volume")},
        )
    if not 0.0 < limit < 1.0:
        raise Refusal(
            "out_of_range",
            "refused.flush.old_share_allowed_lie",
            "limit",
            "accepted.above_below",
            {"limit": Figure(limit, "ratio")},
        )
    kept = 1.0 - drained / capacity
    shares = [kept]
    while shares[-1] > limit * (1.0 + 1e-12):
        if len(shares) == _MOST_CYCLES:
            raise Refusal(
                "out_of_range",
                "refused.flush.little_drains_each_time",
                "drained",
                "accepted.larger_drained_volume",
                {"most_cycles": _MOST_CYCLES},
            )
        shares.append(shares[-1] * kept)
    return Flush(len(shares), tuple(shares), drained * len(shares))


def rinses(
    *,
    capacity: float,
    drained: float,
    limit: float,
    strength: float,
    target: float,
    glycol: Glycol,
    at_hand: Sequence[mix.AtHand],
    limits: Mapping[str, float],
) -> Rinses:
    """A flush with water between the drains, and the final fill to the target strength.

    Of n drains (see ``flush``) the first n - 1 are followed by water, so that the strength after k
    of them is ``c0 (1 - f)^k``, c0 the ``strength`` found; that of n - 1 is what the final fill
    meets (see ``mix.plan``). What is in the car is drained n times: ``n Vd`` is the waste, and
    rinse water is waste as the old coolant is.

    Parameters
    ----------
    capacity, drained, limit: as ``flush``.
    strength, target: by volume, 0 to 1.
    glycol, at_hand, limits: as ``mix.plan``; rinses take of the water at hand first.

    Valid as ``flush`` and ``mix.plan``; ``Refusal`` otherwise. Source: dilution.

    24 L at 72 %, 13 L a drain: 15.1 % before the last drain, 10.3 L concentrate to end at 50 %.

    >>> from weeptrace.rules import limits
    >>> fluids = [mix.at_hand("concentrate", volume=12e-3), mix.at_hand("water", volume=60e-3)]
    >>> r = rinses(capacity=24e-3, drained=13e-3, limit=0.10, strength=0.72, target=0.50,
    ...     glycol="ethylene", at_hand=fluids, limits=limits())
    >>> round(r.residual_strength, 3), round(r.final.fill_strength, 3)
    (0.151, 0.795)
    """
    if not 0.0 <= strength <= 1.0:
        raise Refusal(
            "out_of_range",
            "refused.flush.strength_not_between",
            "strength",
            "accepted.percent",
            {"strength": Figure(strength, "ratio")},
        )
    found = flush(capacity=capacity, drained=drained, limit=limit)
    strengths = tuple(strength * share for share in found.shares[:-1])
    residual = strengths[-1] if strengths else strength
    rinse_water = drained * len(strengths)
    left, short = _after_rinses(at_hand, rinse_water)
    final = None
    if short == 0.0 and any(fluid.volume != 0.0 for fluid in left):
        final = mix.plan(
            capacity=capacity,
            drained=drained,
            residual_strength=residual,
            target=target,
            glycol=glycol,
            at_hand=left,
            limits=limits,
        )
    poured = [] if final is None else [a.volume for a in final.amounts if a.fluid.kind == "water"]
    return Rinses(
        flush=found,
        strengths=strengths,
        residual_strength=residual,
        rinse_water=rinse_water,
        water=rinse_water + sum(poured),
        water_short=short,
        final=final,
    )


def _after_rinses(at_hand: Sequence[mix.AtHand], needed: float) -> tuple[list[mix.AtHand], float]:
    """What is at hand once the rinses are done, and the water that they lacked."""
    left: list[mix.AtHand] = []
    for fluid in at_hand:
        if fluid.kind == "water":
            if fluid.volume is None:
                needed = 0.0
            else:
                used = min(needed, fluid.volume)
                needed -= used
                fluid = replace(fluid, volume=fluid.volume - used)
        left.append(fluid)
    return left, needed if needed > 1e-12 else 0.0


def cans(waste: float, can: float | None) -> tuple[int, float] | None:
    """Cans of a size for the ``waste``, and what does not go into one ``can``; both m3.

    ``n = waste / can``, rounded up (see ``quote.estimate.containers``); ``None`` where no size is
    known. Valid for a can above zero; ``Refusal`` (``out_of_range``) otherwise. Source: counting.

    >>> cans(39e-3, 30e-3)[0], cans(39e-3, None)
    (2, None)
    """
    if can is None:
        return None
    if can <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.flush.waste_can_hold_something",
            "can",
            "accepted.above_zero_volume",
        )
    return containers(waste, can), max(waste - can, 0.0)
