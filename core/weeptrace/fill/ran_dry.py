"""A vacuum fill whose container ran dry: the air that got in, and the second vacuum. SI: m3, Pa."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.fill.uptake import container, evacuated
from weeptrace.refusal import Refusal
from weeptrace.told import Figure


@dataclass(frozen=True)
class RanDry:
    """m3 and Pa absolute.

    ``expected``: uptake had it not run dry. ``share``: of it that went in. ``air_entered``: at the
    atmosphere, through the dry tube. ``room``: gas now inside, to be evacuated again.
    ``enough_pressure``: residual of the second vacuum that leaves no more air than the first would
    have. ``second_uptake``, ``air_left``: after the second vacuum; ``container``: for it.
    """

    expected: float
    share: float
    air_entered: float
    room: float
    enough_pressure: float
    second_uptake: float
    air_left: float
    container: float


def ran_dry(
    *,
    volume: float,
    residual_pressure: float,
    altitude: float,
    temperature: float,
    taken: float,
    limits: Mapping[str, float],
    strength: float | None = None,
    lift: float = 0.0,
    second_pressure: float | None = None,
) -> RanDry:
    """What a container that ran dry costs, and how to go on.

    U the uptake of ``uptake.uptake``, f = ``taken`` / U the share that went in: air ``(1 - f) U``
    enters at the atmosphere. The gas then fills ``Ve2 = Ve - f U``; a second vacuum to p2
    ``second_pressure`` takes ``U2 = Ve2 [1 - (p2 - p_v) / (p_end - p_v)]``. A partial one is
    enough: ``p2 = p_v + (Ve - U) / Ve2 (p_end - p_v)`` leaves the air of the first plan, and that
    is taken where no ``second_pressure`` is given.

    Parameters
    ----------
    volume, residual_pressure, altitude, temperature, strength, lift: as ``uptake.uptake``.
    taken: m3 that went in until the container was dry.
    limits: ``fill.*``.
    second_pressure: residual of the second vacuum, Pa absolute.

    Valid for 0 <= taken < U; ``Refusal`` (``out_of_range``) otherwise, and as ``uptake.uptake``.
    Source: ideal gas; conservation of volume.

    A 5.6 L system that takes 5.13 L ran dry after 3 L: 2.13 L of air came in.

    >>> from weeptrace.rules import limits
    >>> r = ran_dry(volume=5.6e-3, residual_pressure=8e3, altitude=1900.0, temperature=288.15,
    ...     strength=0.5, taken=3e-3, limits=limits())
    >>> round(1e3 * r.air_entered, 2), round(r.enough_pressure / 1e3, 1)
    (2.13, 15.7)
    >>> round(1e3 * r.second_uptake, 2), round(1e3 * r.air_left, 2)
    (2.13, 0.47)
    """
    c = limits["fill.usual_strength"] if strength is None else strength
    first = evacuated(residual_pressure, altitude, temperature, c, lift, limits)
    if volume <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.ran_dry.volume_above_zero",
            "volume",
            "accepted.above_zero_volume",
        )
    expected = first.uptake(volume)
    if not 0.0 <= taken < expected:
        raise Refusal(
            "out_of_range",
            "refused.ran_dry.container_ran_dry_gave",
            "taken",
            "accepted.below_expected",
            {"expected": Figure(expected, "volume")},
        )
    room = volume - taken
    enough = first.vapour + (volume - expected) / room * (first.end - first.vapour)
    again = enough if second_pressure is None else second_pressure
    try:
        second = evacuated(again, altitude, temperature, c, lift, limits)
    except Refusal as refusal:
        raise refusal.at("second_pressure") from None
    more = second.uptake(room)
    return RanDry(
        expected=expected,
        share=taken / expected,
        air_entered=expected - taken,
        room=room,
        enough_pressure=enough,
        second_uptake=more,
        air_left=room - more,
        container=container(more, limits),
    )
