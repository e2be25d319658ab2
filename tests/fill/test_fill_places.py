"""Fills at altitude, with a lift, with either glycol and to two targets; the ends of the intervals.

Atmospheres: ISO 2533 (1000 m 89 874.6 Pa, 2000 m 79 495.2 Pa). Saturation of water: IAPWS-IF97 as
CoolProp evaluates it. The rest is arithmetic in the test.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from CoolProp.CoolProp import PropsSI

from weeptrace.fill.boil import Boil, boil_margin
from weeptrace.fill.contraction import Contraction, contraction
from weeptrace.fill.flush import rinses
from weeptrace.fill.mix import Plan, at_hand, plan
from weeptrace.fill.ran_dry import ran_dry
from weeptrace.fill.uptake import Uptake, uptake
from weeptrace.properties.fraction import Glycol, volume_from_mass
from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.warmup.data import Cold

C, GRAVITY = 273.15, 9.80665
AT_1000, AT_2000 = 89874.6, 79495.2
# Inhibited ethylene glycol at 20 °C, 30 and 50 % by volume: ASHRAE Fundamentals 2001, kg/m3.
DENSITY = {0.3: 1045.25, 0.5: 1073.35}


def steam(celsius: float) -> float:
    """Saturation pressure of water in Pa."""
    return float(PropsSI("P", "T", celsius + C, "Q", 0, "IF97::Water"))


def water_moles(strength: float, glycol: Glycol = "ethylene") -> float:
    """Mole share of water at a strength by volume; densities and molar masses of handbooks."""
    density, mass = {"ethylene": (1113.2, 62.068), "propylene": (1036.1, 76.095)}[glycol]
    n_water, n_glycol = (1.0 - strength) * 998.2 / 18.015, strength * density / mass
    return n_water / (n_water + n_glycol)


# --- uptake ---------------------------------------------------------------------------------------


def taken(**change: Any) -> Uptake:
    given: dict[str, Any] = {
        "volume": 10e-3,
        "residual_pressure": 12e3,
        "altitude": 2000.0,
        "temperature": 20 + C,
        "strength": 0.5,
        "lift": 1.0,
    }
    return uptake(**{**given, **change}, limits=limits())


@pytest.mark.parametrize("altitude", [1000.0, 2000.0])
@pytest.mark.parametrize("lift", [-0.5, 0.0, 1.0])
@pytest.mark.parametrize("strength", [0.3, 0.5])
def test_uptake_by_the_gas_left(altitude: float, lift: float, strength: float) -> None:
    outside = {1000.0: AT_1000, 2000.0: AT_2000}[altitude]
    vapour = water_moles(strength) * steam(20.0)
    end = outside - DENSITY[strength] * GRAVITY * lift
    dry = (12e3 - vapour) / (end - vapour)
    found = taken(altitude=altitude, lift=lift, strength=strength)
    assert found.uptake == pytest.approx(10e-3 * (1.0 - dry), rel=2e-4)
    assert found.air_left == pytest.approx(10e-3 * dry, rel=1e-3)
    assert found.low == found.uptake
    # Hoses pulled flat by 10 % hold a tenth less dry air.
    assert found.high == pytest.approx(10e-3 * (1.0 - 0.9 * dry), rel=2e-4)
    assert found.container == pytest.approx(1.15 * 10e-3 * (1.0 - dry) + 1e-3, rel=2e-4)
    assert found.vacuum_volume == pytest.approx((9.0e-3, 9.7e-3))


def test_where_no_strength_is_known_the_ends_are_water_and_the_strongest() -> None:
    """Water's vapour at 20 °C is 2.34 kPa and its lift 9.79 kPa/m; at 65 % by volume the vapour is
    1.47 kPa. The lift weighs less of water, the vapour more, so water gives the high end."""
    found = taken(strength=None, lift=0.0)
    ends = []
    for strength, flat in ((0.0, 0.9), (0.65, 1.0)):
        vapour = water_moles(strength) * steam(20.0)
        ends.append(10e-3 * (1.0 - flat * (12e3 - vapour) / (AT_2000 - vapour)))
    assert found.high == pytest.approx(ends[0], rel=2e-4)
    assert found.low == pytest.approx(ends[1], rel=2e-4)
    assert found.uptake == pytest.approx(taken(lift=0.0).uptake)


def test_the_highest_lift_is_of_the_place_and_not_of_the_jug() -> None:
    """(79.5 - 12) kPa over 1073.35 kg/m3: 6.41 m at 2000 m, wherever the jug stands."""
    expected = (AT_2000 - 12e3) / (1073.35 * GRAVITY)
    assert taken().highest_lift == pytest.approx(expected, rel=2e-3)
    assert taken(lift=3.0).highest_lift == taken(lift=0.0).highest_lift


@pytest.mark.parametrize(("after", "judgement"), [(4.9, "as_expected"), (5.1, "flow_stopped")])
@pytest.mark.parametrize("lift", [-1.0, 2.0])
def test_a_lift_holds_a_vacuum_that_is_no_stopped_flow(
    after: float, judgement: str, lift: float
) -> None:
    """2 m of 1073 kg/m3 leave 21 kPa of vacuum inside when all is well. More than 5 kPa beyond that
    (limit fill.vacuum_left) is a stopped flow."""
    end = AT_2000 - 1073.35 * GRAVITY * lift
    expected = taken(lift=lift).uptake
    inside = end - 1e3 * after
    found = taken(lift=lift, measured=expected, pressure_after=inside)
    assert found.judgement == judgement


@pytest.mark.parametrize("lift", [-1.0, 0.0, 2.0])
def test_no_more_is_left_inside_than_the_atmosphere_or_the_jug_presses(lift: float) -> None:
    """A jug above the neck presses by its height; 5 kPa of needle are let pass."""
    most = max(AT_2000, AT_2000 - 1073.35 * GRAVITY * lift)
    assert taken(lift=lift, pressure_after=most + 4.5e3).still_to_come is None
    with pytest.raises(Refusal) as refused:
        taken(lift=lift, pressure_after=most + 5.5e3)
    assert refused.value.path == "pressure_after"


def test_still_to_come_is_what_the_plan_lacks() -> None:
    whole = taken().uptake
    found = taken(measured=0.6 * whole, pressure_after=30e3)
    assert found.judgement == "flow_stopped"
    assert found.still_to_come == pytest.approx(0.4 * whole)
    assert found.look_at == ("pinched_hose", "closed_valve")
    more = taken(measured=1.1 * whole, pressure_after=30e3)
    assert more.still_to_come == 0.0
    assert taken(measured=1.1 * whole).look_at == ("capacity_figure", "missing_before")
    assert taken(measured=whole).look_at == ()
    assert taken(measured=whole).still_to_come is None
    assert taken(measured=None).judgement is None


@pytest.mark.parametrize(
    ("change", "refused"),
    [
        ({"lift": 6.4}, False),
        ({"lift": 6.45}, True),  # 67.5 kPa lift no more than 6.41 m
        ({"residual_pressure": 1.80e3, "lift": 0.0}, False),
        ({"residual_pressure": 1.75e3, "lift": 0.0}, True),  # 0.7555 of 2.339 kPa is the vapour's
    ],
)
def test_the_edges_of_a_lift_and_a_residual(change: dict[str, float], refused: bool) -> None:
    if not refused:
        assert taken(**change).uptake > 0.0
        return
    with pytest.raises(Refusal) as caught:
        taken(**change)
    assert caught.value.path == "residual_pressure"


@pytest.mark.parametrize("lift", [0.0, 1.5])
def test_a_dry_container_with_a_lift_by_counting_the_gas(lift: float) -> None:
    """Air comes in through the dry tube up to where the flow ended. A second vacuum leaves what it
    leaves, pressed to the same end."""
    found = ran_dry(
        volume=10e-3, residual_pressure=12e3, altitude=2000.0, temperature=20 + C, strength=0.5,
        lift=lift, taken=4e-3, second_pressure=20e3, limits=limits(),
    )  # fmt: skip
    vapour = water_moles(0.5) * steam(20.0)
    end = AT_2000 - 1073.35 * GRAVITY * lift
    planned = 10e-3 * (end - 12e3) / (end - vapour)
    assert found.expected == pytest.approx(planned, rel=2e-4)
    assert found.share == pytest.approx(4e-3 / planned, rel=2e-4)
    assert found.air_entered == pytest.approx(planned - 4e-3, rel=4e-4)
    assert found.room == pytest.approx(6e-3)
    assert found.second_uptake == pytest.approx(6e-3 * (end - 20e3) / (end - vapour), rel=2e-4)
    assert found.air_left == pytest.approx(6e-3 - found.second_uptake)
    # The partial vacuum: as much dry air as the first plan left, in 6 L.
    first = (12e3 - vapour) * 10e-3 / (end - vapour)
    enough = vapour + first / 6e-3 * (end - vapour)
    assert found.enough_pressure == pytest.approx(enough, rel=1e-3)
    assert found.container == pytest.approx(1.15 * found.second_uptake + 1e-3)


# --- mix, flush -----------------------------------------------------------------------------------


def mixed(glycol: Glycol, target: float, **change: Any) -> Plan:
    given: dict[str, Any] = {
        "capacity": 9e-3,
        "drained": 6e-3,
        "residual_strength": 0.4,
        "at_hand": [at_hand("concentrate"), at_hand("water")],
    }
    return plan(**{**given, **change}, glycol=glycol, target=target, limits=limits())


# Mass %, freezing point of inhibited glycol: ASHRAE Fundamentals 2001.
FREEZES: list[tuple[Glycol, float, float, float]] = [
    ("ethylene", 40.0, -22.3, 0.5), ("ethylene", 53.0, -37.9, 0.5),
    ("propylene", 40.0, -21.1, 0.1), ("propylene", 50.0, -33.5, 0.1),
    ("propylene", 55.0, -41.6, 0.1),
]  # fmt: skip


@pytest.mark.parametrize(("glycol", "mass", "freezes", "tol"), FREEZES)
def test_a_plan_freezes_where_its_own_glycol_does(
    glycol: Glycol, mass: float, freezes: float, tol: float
) -> None:
    target = volume_from_mass(glycol, mass / 100.0)
    found = mixed(glycol, target)
    assert found.reachable
    assert found.freeze_point is not None
    assert found.freeze_point - C == pytest.approx(freezes, abs=tol)


def test_propylene_freezes_earlier_than_ethylene_at_one_strength() -> None:
    points = [mixed(glycol, 0.33).freeze_point for glycol in ("ethylene", "propylene")]
    assert None not in points
    assert points[0] < points[1]  # type: ignore[operator]


def test_beyond_the_tables_no_freezing_point_is_said() -> None:
    """65 % by volume is 67 % by mass; ASHRAE ends at 60 %."""
    assert mixed("ethylene", 0.65).freeze_point is None


@pytest.mark.parametrize("target", [0.40, 0.50])
@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
def test_two_targets_by_counting_litres(glycol: Glycol, target: float) -> None:
    """9 L, 3 L stay at 40 %: 1.2 L of glycol inside, 9 L x target wanted, the rest concentrate."""
    found = mixed(glycol, target)
    concentrate = 9.0 * target - 1.2
    poured = {a.fluid.kind: 1e3 * a.volume for a in found.amounts}
    assert poured == pytest.approx({"concentrate": concentrate, "water": 6.0 - concentrate})
    assert found.fill_strength == pytest.approx(concentrate / 6.0)
    assert found.result == pytest.approx(target)
    again = rinses(
        capacity=9e-3, drained=6e-3, limit=0.2, strength=0.6, target=target, glycol=glycol,
        at_hand=[at_hand("concentrate"), at_hand("water")], limits=limits(),
    )  # fmt: skip
    # 3/9 stays each time: 11 % after two drains, one of them filled with water.
    assert again.flush.cycles == 2
    assert again.residual_strength == pytest.approx(0.2)
    assert again.final is not None
    glycol_in = sum(a.volume * a.fluid.strength for a in again.final.amounts)
    assert 1e3 * glycol_in == pytest.approx(9.0 * target - 3.0 * 0.2)
    assert again.final.freeze_point == found.freeze_point


# --- boiling --------------------------------------------------------------------------------------


def boils(glycol: Glycol, strength: float, altitude: float, **more: Any) -> Boil:
    return boil_margin(
        strength=strength, altitude=altitude, rated=100e3, glycol=glycol, limits=limits(), **more
    )


@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
@pytest.mark.parametrize(("altitude", "outside"), [(1000.0, AT_1000), (2000.0, AT_2000)])
@pytest.mark.parametrize("strength", [0.4, 0.5])
def test_boiling_lies_just_below_that_by_waters_vapour_alone(
    glycol: Glycol, altitude: float, outside: float, strength: float
) -> None:
    """Raoult's law: water boils where its share of the vapour makes up the pressure; the glycol's
    own vapour takes less than 0.4 K off."""
    found = boils(glycol, strength, altitude, opens=80e3)
    x = water_moles(strength, glycol)
    for kelvin, gauge in ((found.boiling, 80e3), (found.at_rating, 100e3), (found.without_cap, 0)):
        alone = float(PropsSI("T", "P", (outside + gauge) / x, "Q", 0, "IF97::Water"))
        assert alone - 0.4 < kelvin < alone
    assert found.lost == pytest.approx(found.at_rating - found.without_cap)


def test_propylene_boils_earlier_than_ethylene_at_one_strength() -> None:
    """Fewer moles of it in a litre."""
    for altitude in (0.0, 2000.0):
        assert boils("propylene", 0.5, altitude).boiling < boils("ethylene", 0.5, altitude).boiling


# --- contraction ----------------------------------------------------------------------------------

NET = 4.4e-4  # 1/K at 20 °C; grows by 0.75 % a kelvin; limits hold.expansion, expansion_growth


def cooled(glycol: Glycol = "ethylene", **change: Any) -> Contraction:
    cold = Cold(1e-3, 8e-3, atmosphere=AT_2000, glycol=glycol, mass_fraction=0.0)
    given: dict[str, Any] = {"cold": cold, "hot": 70 + C, "cool": 10 + C, "area": 120e-4}
    return contraction(**{**given, **change}, limits=limits())


@pytest.mark.parametrize(("glycol", "factor"), [("ethylene", 1.0), ("propylene", 1.25)])
def test_how_far_a_level_falls_within_20_percent(glycol: Glycol, factor: float) -> None:
    """From 70 to 10 °C, in the middle 40 °C: 8 L x 4.4e-4 x 1.15 x 60 K; propylene a quarter more
    (limit hold.expansion_propylene)."""
    found = cooled(glycol)
    shrinks = 8e-3 * NET * factor * (1.0 + 0.0075 * 20.0) * 60.0
    assert found.shrinks.value == pytest.approx(shrinks)
    assert found.shrinks.low == pytest.approx(0.8 * shrinks)
    assert found.shrinks.high == pytest.approx(1.2 * shrinks)
    assert found.falls is not None
    assert found.falls.low == pytest.approx(0.8 * shrinks / 120e-4)
    assert found.falls.high == pytest.approx(1.2 * shrinks / 120e-4)


def test_propylene_expands_more_than_ethylene_as_published() -> None:
    """Inhibited, half by volume, 0 to 40 °C, less 5e-5 /K of metal (ASHRAE Fundamentals 2001):
    propylene 1052.71 and 1030.98; ethylene the mean of 40 % (1066.80, 1050.62) and 60 % (1094.64,
    1075.95)."""

    def net(cold: float, warm: float) -> float:
        return 2.0 * (cold - warm) / (cold + warm) / 40.0 - 5e-5

    ethylene = (net(1066.80, 1050.62) + net(1094.64, 1075.95)) / 2.0
    ratio = net(1052.71, 1030.98) / ethylene
    ours = cooled("propylene").shrinks.value / cooled("ethylene").shrinks.value
    assert ours == pytest.approx(ratio, rel=0.1)


@pytest.mark.parametrize("start", [0.0, 40e3])
def test_the_ends_of_a_vacuum_by_the_gas_law(start: float) -> None:
    """Water as the coolant, so that the vapour is IF97's. The four corners: 20 % more and less
    shrinkage, hoses that give 0.25 and 0.75 mL/kPa (0.5 +/- 0.25, limits hold.hose_compliance)."""
    middle = 8e-3 * NET * 1.15 * 60.0

    def drawn(share: float, give: float) -> float:
        amount = (start + AT_2000 - steam(70.0)) * (1e-3 + give * start) / (70 + C)
        dry = AT_2000 - steam(10.0)
        low, high = -dry, 100e3
        for _ in range(100):
            p = (low + high) / 2.0
            now = (p + dry) * (1e-3 + share * middle + give * p) / (10 + C)
            low, high = (p, high) if now < amount else (low, p)
        return low

    corners = [drawn(*each) for each in product((0.8, 1.2), (0.25e-9, 0.75e-9))]
    found = cooled(pressure=start).vacuum
    assert found is not None
    assert found.value == pytest.approx(drawn(1.0, 0.5e-9), rel=1e-4)
    assert found.low == pytest.approx(min(corners), rel=1e-4)
    assert found.high == pytest.approx(max(corners), rel=1e-4)
    assert max(corners) - drawn(0.8, 0.5e-9) > 100 * abs(found.high - max(corners))  # hoses matter
