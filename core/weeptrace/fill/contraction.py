"""What a filled and closed system does when it cools: the level falls, or a vacuum is drawn. SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from weeptrace.finding import Estimate
from weeptrace.properties.expansion import expansion_net
from weeptrace.refusal import Refusal
from weeptrace.told import Figure
from weeptrace.warmup.data import Cold
from weeptrace.warmup.gas import warming_pressure


@dataclass(frozen=True)
class Contraction:
    """``shrinks``: m3 of coolant; ``falls``: m, of a level with that area; both where it can fall.

    ``vacuum``: Pa gauge, in a system closed on all sides; ``with_return_valve``: the same with a
    cap whose return valve opens. ``None``: not known.
    """

    shrinks: Estimate
    falls: Estimate | None
    vacuum: Estimate | None
    with_return_valve: Estimate | None


def contraction(
    *,
    cold: Cold,
    hot: float,
    cool: float,
    limits: Mapping[str, float],
    area: float | None = None,
    pressure: float = 0.0,
) -> Contraction:
    """How far the level falls, or what vacuum is drawn, on cooling from ``hot`` to ``cool`` in K.

    ``dV = beta Vl (T_hot - T_cool)``, beta net of the metal's. Open to a reservoir, the level falls
    by ``dV / A`` with its ``area`` A in m2. Closed, the gas keeps its amount: ``(p + Pa - p_v) (Vg
    + dV + Ch p) / T = constant`` from the gauge ``pressure`` in Pa at the shut-in. ``cold`` is the
    system as shut in: its headspace Vg and liquid Vl in m3. The low and high ends take beta 20 %
    more and less and the hoses' give Ch as uncertain as it is.

    Valid for hot above cool and a known liquid volume; ``Refusal`` (``out_of_range``, ``missing``)
    otherwise. The vacuum never passes the coolant's vapour pressure. Source: conservation of volume
    and ideal gas; ``limits`` ``hold.expansion``, ``hold.hose_compliance``, ``fill.return_valve``.

    8 L from 90 to 20 °C shrink by 0.31 L: 31 mm on 100 cm2. Shut in at zero gauge under 1 L of gas,
    half of it vapour, and no return valve: about 69 kPa below the atmosphere.

    >>> from weeptrace.rules import limits
    >>> c = contraction(cold=Cold(1e-3, 8e-3), hot=363.15, cool=293.15, area=100e-4,
    ...     limits=limits())
    >>> round(1e3 * c.shrinks.value, 2), round(1e3 * c.falls.value), round(c.vacuum.value / 1e3)
    (0.31, 31, -69)
    """
    if cool >= hot:
        raise Refusal(
            "out_of_range",
            "refused.contraction.does_not_cool_second",
            "cool",
            "accepted.below_hot",
            {"hot": Figure(hot, "temperature")},
        )
    liquid, gas = cold.liquid_volume, cold.headspace
    if liquid is None:
        raise Refusal(
            "missing",
            "refused.contraction.how_much_coolant_shrinks",
            "liquid_volume",
            "accepted.above_zero_volume",
        )
    for name, value, kind in (("liquid_volume", liquid, "volume"), ("area", area, "area")):
        if value is not None and value <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.contraction.above_zero_type_again",
                name,
                "accepted.above_least",
                {"name": name.replace("_", " "), "least": Figure(0.0, kind)},
            )
    shrinks = expansion_net((hot + cool) / 2.0, limits, cold.glycol) * liquid * (hot - cool)
    share = limits["level.correction_relative"]
    lost = Estimate(shrinks, shrinks * (1.0 - share), shrinks * (1.0 + share))
    drawn = None if gas is None else _vacuum(cold, hot, cool, pressure, limits)
    valve = -limits["fill.return_valve"]
    return Contraction(
        shrinks=lost,
        falls=None
        if area is None
        else Estimate(*(v / area for v in (lost.value, lost.low, lost.high))),
        vacuum=drawn,
        with_return_valve=None
        if drawn is None
        else Estimate(*(max(v, valve) for v in (drawn.value, drawn.low, drawn.high))),
    )


def _vacuum(
    cold: Cold, hot: float, cool: float, pressure: float, limits: Mapping[str, float]
) -> Estimate:
    """Gauge pressure after cooling; the deepest is the low end."""
    if (cold.headspace or 0.0) <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.contraction.without_gas_inside_nothing",
            "headspace",
            "accepted.above_zero_volume",
        )
    hose, unsure = (
        limits["hold.hose_compliance"], limits["hold.hose_compliance_uncertainty"]
    )  # fmt: skip
    share = limits["level.correction_relative"]

    def drawn(beta: float, give: float) -> float:
        changed = {**limits, "hold.expansion": limits["hold.expansion"] * beta}
        return warming_pressure(replace(cold), hot, pressure, cool, give, changed)

    ends = [drawn(b, c) for b in (1.0 - share, 1.0 + share) for c in (hose - unsure, hose + unsure)]
    return Estimate(drawn(1.0, hose), min(ends), max(ends))
