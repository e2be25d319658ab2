"""Where every litre went: the fluid balance of a drain and fill. SI: m3.

Streams of coolant, as a technician measures them:

- ``drained``: out of the car into the pan.
- ``spilled``: out of the car but not into the pan (on the ground, the belt, the carpet).
- ``filled``: out of the container into the car (container before less container after).
- ``topped_up``: added later, once the level had been set.
- ``missing_before``: below full when the car came.
- ``air_left``: below full when it leaves, because air takes the place.
- ``left_in``: old coolant known to have stayed inside.

Two balances follow, each of which is zero when everything was counted::

    by what came out:  missing_before + drained + spilled - filled - topped_up - air_left
    by capacity:       capacity - left_in - filled - topped_up - air_left

The first needs no capacity. What was not measured stays unknown: a balance with an unknown stream
is not judged. ``topped_up`` is an event, and absent means that none was done.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Closes = Literal["yes", "no", "not_judged"]
Cause = Literal["air_left", "old_coolant_left", "wrong_capacity", "uncounted_spill"]
# The streams that the first balance needs.
NEEDED = ("missing_before", "drained", "spilled", "filled", "air_left")


@dataclass(frozen=True)
class Volume:
    """A volume in m3 with its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Misfit:
    """What most likely explains an open balance, its size in m3, and what else may."""

    cause: Cause
    size: float
    or_else: tuple[Cause, ...]


@dataclass(frozen=True)
class Balance:
    """The balances of one drain and fill.

    Attributes
    ----------
    closure: by what came out; ``None`` while a stream is unknown.
    capacity_closure: by capacity; ``None`` while a stream is unknown.
    closes: whether zero lies in the interval of every balance that could be made.
    misfit: set where ``closes`` is "no".
    left_behind: old coolant that stayed inside, by capacity; ``None`` while a stream is unknown.
    waste: m3 by stream: ``used_coolant`` (drained and rinsed, less what is kept), ``spilled``,
        ``transmission_fluid``, which is kept apart.
    not_measured: streams that the first balance needs and does not have.
    """

    closure: Volume | None
    capacity_closure: Volume | None
    closes: Closes
    misfit: Misfit | None
    left_behind: Volume | None
    waste: Mapping[str, Volume]
    not_measured: tuple[str, ...]


def measured(
    value: float,
    limits: Mapping[str, float],
    *,
    low: float | None = None,
    high: float | None = None,
    how: Literal["measured", "estimated", "capacity"] = "measured",
) -> Volume:
    """A volume with its interval: the one given, else the usual one of how it was found.

    ``half-width = max(relative * value, absolute)``, m3; 95 %.

    Valid for value >= 0 and low <= value <= high; ``Refusal`` (``out_of_range``) otherwise.
    Source: limits ``loss.*`` (common practice).

    >>> from weeptrace.rules import limits
    >>> v = measured(5e-3, limits())
    >>> round(1e3 * v.low, 2), round(1e3 * v.high, 2)
    (4.9, 5.1)
    """
    relative = limits[f"loss.{how}_relative"] * value
    absolute = 0.0 if how == "capacity" else limits[f"loss.{how}_absolute"]
    half = max(relative, absolute)
    found = Volume(
        value,
        max(value - half, 0.0) if low is None else low,
        value + half if high is None else high,
    )
    if value < 0.0 or not found.low <= value <= found.high:
        raise Refusal(
            "out_of_range",
            "refused.balance.volume_impossible",
            "",
            "accepted.rising_not_below_zero",
            {
                "value": Figure(value, "volume"),
                "low": Figure(found.low, "volume"),
                "high": Figure(found.high, "volume"),
            },
        )
    return found


def close(
    *,
    drained: Volume | None,
    filled: Volume | None,
    spilled: Volume | None,
    missing_before: Volume | None,
    air_left: Volume | None,
    limits: Mapping[str, float],
    topped_up: Volume | None = None,
    capacity: Volume | None = None,
    left_in: Volume | None = None,
    kept_for_reuse: Volume | None = None,
    rinsed: Volume | None = None,
    transmission_fluid: Volume | None = None,
) -> Balance:
    """Close the balance of a drain and fill.

    ``closure = missing_before + drained + spilled - filled - topped_up - air_left`` and
    ``capacity_closure = capacity - left_in - filled - topped_up - air_left``, m3; independent
    intervals add by root sum square. A balance closes where its interval holds zero; one whose
    interval is wider than ``loss.widest_interval`` to a side is too vague to say so. Above zero,
    more is gone than came back: air is left. Below zero, more went in than room was made: something
    left the car uncounted. Where only the capacity balance is open, old coolant or the capacity
    figure is wrong.

    ``left_behind = capacity - missing_before - drained - spilled``.

    Waste: all that was drained and the rinse water ``rinsed``, less ``kept_for_reuse`` where that
    is known; all that was spilled; ``transmission_fluid``, apart.

    Valid for any volumes; ``Refusal`` (``out_of_range``) where more is kept than was drained, or
    more is out than the car can hold. Source: conservation of volume.

    >>> from weeptrace.rules import limits
    >>> m = limits()
    >>> litres = lambda v: measured(1e-3 * v, m)
    >>> b = close(drained=litres(5.1), filled=litres(5.13), spilled=litres(0.0),
    ...     missing_before=litres(0.5), air_left=litres(0.47), limits=m)
    >>> b.closes, abs(b.closure.value) < 1e-9
    ('yes', True)
    """
    _refuse_impossible([drained, spilled, missing_before], capacity)
    _refuse_kept(drained, kept_for_reuse)
    later = [] if topped_up is None else [topped_up]
    needed = {
        "missing_before": missing_before,
        "drained": drained,
        "spilled": spilled,
        "filled": filled,
        "air_left": air_left,
    }
    unknown = tuple(name for name, volume in needed.items() if volume is None)
    by_out = _sum([missing_before, drained, spilled], [filled, air_left, *later])
    by_capacity = _sum([capacity], [left_in, filled, air_left, *later])
    closes = _judge([v for v in (by_out, by_capacity) if v is not None], limits)
    return Balance(
        closure=by_out,
        capacity_closure=by_capacity,
        closes=closes,
        misfit=_misfit(by_out, by_capacity),
        left_behind=_sum([capacity], [missing_before, drained, spilled]),
        waste=_waste(drained, rinsed, kept_for_reuse, spilled, transmission_fluid),
        not_measured=unknown,
    )


def _sum(plus: Iterable[Volume | None], minus: Iterable[Volume | None]) -> Volume | None:
    """Sum and difference with intervals by root sum square; ``None`` where a part is unknown."""
    gains, costs = list(plus), list(minus)
    value = below = above = 0.0
    for part, sign in [(v, 1.0) for v in gains] + [(v, -1.0) for v in costs]:
        if part is None:
            return None
        down, up = part.value - part.low, part.high - part.value
        value += sign * part.value
        below += (down if sign > 0.0 else up) ** 2
        above += (up if sign > 0.0 else down) ** 2
    return Volume(value, value - math.sqrt(below), value + math.sqrt(above))


def _open(balance: Volume | None) -> bool:
    """Whether zero lies outside the interval of a balance that is known."""
    return balance is not None and not balance.low <= 0.0 <= balance.high


def _judge(balances: list[Volume], limits: Mapping[str, float]) -> Closes:
    if any(_open(balance) for balance in balances):
        return "no"
    widest = limits["loss.widest_interval"]
    sharp = [b for b in balances if max(b.value - b.low, b.high - b.value) <= widest]
    return "yes" if sharp else "not_judged"


def _misfit(by_out: Volume | None, by_capacity: Volume | None) -> Misfit | None:
    if by_out is not None and _open(by_out):
        cause: Cause = "air_left" if by_out.value > 0.0 else "uncounted_spill"
        return Misfit(cause, abs(by_out.value), ())
    if by_capacity is None or not _open(by_capacity):
        return None
    size = abs(by_capacity.value)
    if by_capacity.value < 0.0:
        return Misfit("wrong_capacity", size, ("uncounted_spill",))
    if by_out is None:
        return Misfit("air_left", size, ("old_coolant_left", "wrong_capacity"))
    return Misfit("old_coolant_left", size, ("wrong_capacity",))


def _waste(
    drained: Volume | None,
    rinsed: Volume | None,
    kept: Volume | None,
    spilled: Volume | None,
    transmission_fluid: Volume | None,
) -> dict[str, Volume]:
    waste = {}
    used = _sum([drained] if rinsed is None else [drained, rinsed], [] if kept is None else [kept])
    if used is not None:
        waste["used_coolant"] = Volume(max(used.value, 0.0), max(used.low, 0.0), used.high)
    apart = {"spilled": spilled, "transmission_fluid": transmission_fluid}
    return waste | {name: volume for name, volume in apart.items() if volume is not None}


def _refuse_impossible(parts: list[Volume | None], capacity: Volume | None) -> None:
    """More out than the system holds, by what is known of it."""
    out = _sum([part for part in parts if part is not None], [])
    if out is not None and capacity is not None and out.low > capacity.high:
        raise Refusal(
            "out_of_range",
            "refused.balance.out_more_car_holds",
            "drained",
            "accepted.what_missing_spilled_up",
            {
                "out": Figure(out.value, "volume"),
                "capacity": Figure(capacity.value, "volume"),
                "high": Figure(capacity.high, "volume"),
            },
        )


def _refuse_kept(drained: Volume | None, kept: Volume | None) -> None:
    if kept is not None and (drained is None or kept.value > drained.value):
        most = 0.0 if drained is None else drained.value
        raise Refusal(
            "out_of_range",
            "refused.balance.kept_reuse_more_drained",
            "kept_for_reuse",
            "accepted.up_to_most",
            {"kept": Figure(kept.value, "volume"), "most": Figure(most, "volume")},
        )
