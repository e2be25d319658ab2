"""What a level's change between two cold looks says about the leak. SI: m, m2, K, m3.

The most sensitive test of all: 35 mL unsure over 2000 km is 0.018 L/1000 km, which no hold of a
quarter of an hour reaches.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from weeptrace.hold.data import Estimate, Reason, Verdict
from weeptrace.hold.judge import claimed_class, size_class
from weeptrace.properties.expansion import expansion_net
from weeptrace.properties.fraction import Glycol
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Filled = Literal["vacuum", "poured"]
Limits = Mapping[str, float]
# What is assumed where it was not measured.
ASSUMED = ("temperature_change", "liquid_volume")


@dataclass(frozen=True)
class Watch:
    """What the level says; volumes in m3, losses in m3/m, distances in m.

    ``corrected``: the part of ``volume_lost`` that the temperature took off or put on.
    ``not_larger_than``: one-sided 95 % upper limit. ``distance_for_tight``: how far to drive until
    an unchanged level, read as well as this one, would show a tight system.
    """

    volume_lost: Estimate
    per_distance: Estimate
    not_larger_than: float
    verdict: Verdict
    reason: Reason | None
    distance_for_tight: float
    corrected: float
    assumed: tuple[str, ...]


def half_width(value: float, low: float | None, high: float | None, usual: float) -> float:
    """Half of a 95 % interval, its wider side; ``usual`` where none is given.

    ``max(v - l, h - v)``: v ``value``, l ``low``, h ``high``, all in one unit. Valid for l <= v <=
    h. No error is raised. Source: own choice, the safe side.

    >>> half_width(5.0, 4.0, 5.5, 2.0), half_width(5.0, None, None, 2.0)
    (1.0, 2.0)
    """
    if low is None and high is None:
        return usual
    below = 0.0 if low is None else value - low
    above = 0.0 if high is None else high - value
    return max(below, above)


def watch(
    *,
    level_change: float,
    area: float,
    distance: float,
    limits: Limits,
    level_half: float | None = None,
    area_half: float | None = None,
    temperature_before: float | None = None,
    temperature_after: float | None = None,
    temperature_half: float | None = None,
    liquid_volume: float | None = None,
    glycol: Glycol = "ethylene",
    topped_up: float = 0.0,
    filled: Filled | None = None,
    owner_rate: float | None = None,
) -> Watch:
    """The loss from the fall of a level between two cold looks.

    ``V = A dh + beta Vl (T_after - T_before) + top-ups``: A reservoir's area m2, dh fall m, beta
    net expansion 1/K, Vl liquid m3, T of the whole cold engine in K. Half-widths (95 %) add by root
    sum square: ``sqrt(2) A x 2 mm`` for two looks, ``dh x`` that of the area, and beta Vl times
    5 K where no temperatures were taken. ``loss = V / distance``, m3/m. Right after a fill, up to
    ``level.air_after_*`` of the fall may be air that left: the low end goes down by it.

    Parameters
    ----------
    level_change, level_half: dh and the half-width of one look, m.
    area, area_half: A and its half-width, m2.
    distance: driven between the looks, m.
    temperature_before, temperature_after, temperature_half: K, and the half-width of one.
    liquid_volume: Vl. glycol: sets beta. topped_up: between the looks, m3.
    filled: how, if just before the first look. owner_rate: what the owner adds, m3/m.

    Verdict: a leak is claimed where the one-sided 95 % lower limit is above zero, with the classes
    ``hold.tight``, ``hold.seeping``, ``hold.gross``; tight where the one-sided 95 % upper limit is
    not above ``hold.tight``.

    Valid for area and distance above zero and both temperatures or none; ``Refusal``
    (``out_of_range``, ``missing``) otherwise. Source: conservation of volume; limits ``level.*``.

    >>> from weeptrace.rules import limits
    >>> w = watch(level_change=0.0, area=100e-4, distance=2e6, limits=limits())
    >>> round(1e6 * w.volume_lost.high), round(1e9 * w.per_distance.high, 3), w.verdict
    (36, 0.018, 'tight')
    """
    for name, value, kind in (("area", area, "area"), ("distance", distance, "long_length")):
        if value <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.level_watch.above_zero_type_again",
                name,
                "accepted.above_least",
                {"name": name, "least": Figure(0.0, kind)},
            )
    if topped_up < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.level_watch.what_topped_up_cant",
            "topped_up",
            "accepted.not_below",
        )
    liquid = limits["hold.liquid_volume_unknown"] if liquid_volume is None else liquid_volume
    shift, shift_half = _by_temperature(
        temperature_before, temperature_after, temperature_half, liquid, glycol, limits
    )
    look = math.sqrt(2.0) * limits["level.reading"] if level_half is None else level_half
    side = limits["level.area_relative"] * area if area_half is None else area_half
    half = math.hypot(area * look, level_change * side, shift_half)
    lost = area * level_change + shift + topped_up
    air = 0.0 if filled is None else _air(filled, limits)
    sd = half / limits["hold.interval_factor"]
    one_sided = limits["hold.claim_factor"] * sd
    loss = Estimate(lost / distance, (lost - half - air) / distance, (lost + half) / distance)
    upper = (max(lost, 0.0) + one_sided) / distance
    claimed = lost - air > one_sided
    verdict, reason = _verdict(loss, upper, claimed, lost < -one_sided, owner_rate, limits)
    assumed = [] if temperature_before is not None else ["temperature_change"]
    if liquid_volume is None:
        assumed.append("liquid_volume")
    return Watch(
        volume_lost=Estimate(lost, lost - half - air, lost + half),
        per_distance=loss,
        not_larger_than=upper,
        verdict=verdict,
        reason=reason,
        distance_for_tight=one_sided / limits["hold.tight"],
        corrected=shift,
        assumed=tuple(assumed),
    )


def _by_temperature(
    before: float | None,
    after: float | None,
    reading_half: float | None,
    liquid: float,
    glycol: Glycol,
    limits: Limits,
) -> tuple[float, float]:
    """Volume to add because the engine is warmer now, and its half-width, m3."""
    if before is None and after is None:
        unknown = limits["level.expansion_unknown"] * limits["level.temperature_unknown"]
        return 0.0, unknown * liquid
    if before is None or after is None:
        raise Refusal(
            "missing",
            "refused.level_watch.one_temperature_says_nothing",
            "temperature_before" if before is None else "temperature_after",
            "accepted.both_temperatures_none",
        )
    per_kelvin = expansion_net((before + after) / 2.0, limits, glycol) * liquid
    shift = per_kelvin * (after - before)
    one = limits["level.temperature_reading"] if reading_half is None else reading_half
    return shift, math.hypot(
        math.sqrt(2.0) * one * per_kelvin, limits["level.correction_relative"] * shift
    )


def _air(filled: Filled, limits: Limits) -> float:
    return limits[
        "level.air_after_vacuum_fill" if filled == "vacuum" else "level.air_after_pouring"
    ]


def _verdict(
    loss: Estimate,
    upper: float,
    claimed: bool,
    rose: bool,
    owner_rate: float | None,
    limits: Limits,
) -> tuple[Verdict, Reason | None]:
    if rose:
        return "not_judged", Reason("rose", "reason.level_watch.rose")
    if claimed:
        return claimed_class(loss, upper, limits), None
    if size_class(upper, limits) == 0:
        return "tight", None
    if owner_rate is not None:
        weak = upper > owner_rate * limits["hold.owner_rate_share"] * (1.0 + 1e-9)
        return ("too_weak" if weak else "no_leak_found"), None
    if size_class(upper, limits) == 3:
        return "not_judged", Reason("too_short", "reason.level_watch.too_short")
    return "no_leak_found", None
