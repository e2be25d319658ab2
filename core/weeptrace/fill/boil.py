"""How far a running engine stays below boiling, with the cap as it is. SI: K, Pa, m."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from weeptrace.properties import air
from weeptrace.properties.boiling import HIGHEST, boiling_point
from weeptrace.properties.fraction import Glycol, mass_from_volume
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Margin = Literal["enough", "warn", "block", "not_measured"]
Holds = Literal["yes", "no", "not_tested"]
Cap = Literal["within", "opens_early", "opens_late", "does_not_hold", "not_tested"]


@dataclass(frozen=True)
class Boil:
    """Temperatures in K, margins in K.

    ``pressure``: gauge Pa that the cap is credited with. ``boiling``: at it; ``at_rating``: at the
    printed figure; ``without_cap``: at the atmosphere. ``lost``: K that a failed cap costs against
    the rating. ``idle``, ``load``: margins and their judgement. ``highest_outlet``: up to which a
    load test need not be warned of.
    """

    pressure: float
    boiling: float
    at_rating: float
    without_cap: float
    lost: float
    cap: Cap
    idle: float | None
    load: float | None
    judged_idle: Margin
    judged_load: Margin
    highest_outlet: float


def boil_margin(
    *,
    strength: float,
    altitude: float,
    rated: float,
    glycol: Glycol,
    limits: Mapping[str, float],
    opens: float | None = None,
    holds: Holds = "not_tested",
    level_low: bool = False,
    outlet_idle: float | None = None,
    outlet_load: float | None = None,
) -> Boil:
    """Margin to boiling at idle and under load.

    ``margin = T_boil(c, Pa + p) - (T_out + 8 K)``: c ``strength`` by volume of the ``glycol``, Pa
    standard atmosphere at the ``altitude`` m, p gauge Pa that the cap holds, T_out the engine's
    outlet ``outlet_idle``, ``outlet_load`` in K, 8 K for hot spots. Credited as p: the lowest
    measured opening ``opens`` in Pa; without one, the ``rated`` pressure less the cap's tolerance
    (10 %); nothing where the cap ``holds`` no pressure or the level is too low for it to see liquid
    (``level_low``), nor more than the rating.

    Valid for a strength up to ``fill.boil_strength`` and pressures above zero; ``Refusal``
    (``out_of_range``) otherwise: more glycol boils later but carries less heat, so a margin there
    misleads. Source: ``properties.boiling``; ``limits`` ``fill.boil_*``, ``fill.cap_*`` (common
    practice).

    50 % at 1200 m, a cap that opens at 110 kPa, 112 °C under load: 9 K.

    >>> from weeptrace.rules import limits
    >>> b = boil_margin(strength=0.5, altitude=1200.0, rated=110e3, opens=110e3,
    ...     glycol="ethylene", outlet_load=385.15, limits=limits())
    >>> round(b.boiling - 273.15), round(b.load), b.judged_load
    (129, 9, 'enough')
    """
    outside = air.pressure(altitude)
    _check(strength, rated, opens, outside, limits)
    w = mass_from_volume(glycol, strength)

    def boils(gauge: float) -> float:
        return boiling_point(glycol, w, outside + gauge)

    cap = _cap(rated, opens, holds, limits)
    lowest = rated * (1.0 - limits["fill.cap_early"]) if opens is None else min(opens, rated)
    pressure = 0.0 if holds == "no" or level_low else lowest
    boiling, spot = boils(pressure), limits["fill.boil_hot_spot"]
    idle, load = (None if t is None else boiling - t - spot for t in (outlet_idle, outlet_load))
    return Boil(
        pressure=pressure,
        boiling=boiling,
        at_rating=boils(rated),
        without_cap=boils(0.0),
        lost=boils(rated) - boils(0.0),
        cap=cap,
        idle=idle,
        load=load,
        judged_idle=_judge(idle, limits),
        judged_load=_judge(load, limits),
        highest_outlet=boiling - spot - limits["fill.boil_warn"],
    )


def _judge(margin: float | None, limits: Mapping[str, float]) -> Margin:
    if margin is None:
        return "not_measured"
    if margin < limits["fill.boil_block"] - 1e-9:
        return "block"
    return "warn" if margin < limits["fill.boil_warn"] - 1e-9 else "enough"


def _cap(rated: float, opens: float | None, holds: Holds, limits: Mapping[str, float]) -> Cap:
    if holds == "no":
        return "does_not_hold"
    if opens is None:
        return "not_tested"
    if opens < rated * (1.0 - limits["fill.cap_early"]) * (1.0 - 1e-9):
        return "opens_early"
    if opens > rated * (1.0 + limits["fill.cap_late"]) * (1.0 + 1e-9):
        return "opens_late"
    return "within"


def _check(
    strength: float,
    rated: float,
    opens: float | None,
    outside: float,
    limits: Mapping[str, float],
) -> None:
    strongest = limits["fill.boil_strength"]
    if not 0.0 <= strength <= strongest + 1e-9:
        raise Refusal(
            "out_of_range",
            "refused.boil.strength_outside_much_glycol",
            "strength",
            "accepted.up_to_strongest",
            {
                "strength": Figure(strength, "ratio"),
                "strongest": Figure(strongest, "ratio"),
            },
        )
    known = math.floor((HIGHEST - outside) / 1e3) * 1e3  # what the boiling points reach to
    highest = min(limits["hold.highest_pressure"], known)
    for name, value in (("rated", rated), ("opens", opens)):
        if value is not None and not 0.0 < value <= highest:
            raise Refusal(
                "out_of_range",
                "refused.boil.cap_is_a_slip",
                name,
                "accepted.pressure_to",
                {"value": Figure(value, "pressure"), "highest": Figure(highest, "pressure")},
            )
