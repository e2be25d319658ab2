"""Fan, heater, gas, the stop reasons and the lumped model: boundaries and practice cars."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from weeptrace.properties.boiling import vapour_pressure
from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.warmup import fan, gas, heater, lumped
from weeptrace.warmup.assess import assess
from weeptrace.warmup.data import Assessment, Cold, Heater, Point

C = 273.15
MINUTE = 60.0
KPA = 1e3


def fans(states: str) -> str:
    points = [
        Point(MINUTE * i, 360.0 + i, fan={"1": True, "0": False}.get(state))
        for i, state in enumerate(states)
    ]
    return fan.assess(points, limits()).signature


@pytest.mark.parametrize(
    ("states", "signature"),
    [
        ("000110", "cycled"),
        ("0.1.0", "cycled"),
        ("10010", "cycled"),
        ("00011", "on_only"),
        ("11001", "on_only"),  # off and on again: that it goes off hot was not seen after an on
        ("11000", "off_only"),
        ("11111", "always_on"),
        ("00000", "not_seen"),
        ("0", "not_seen"),
        (".....", "not_measured"),
    ],
)
def test_fan_needs_both_edges_in_order(states: str, signature: str) -> None:
    assert fans(states) == signature


def test_fan_edges_lie_between_readings() -> None:
    log = [
        Point(0.0, 365.0, fan=False),
        Point(90.0, 371.0, fan=True),
        Point(150.0, 367.0, fan=False),
    ]
    found = fan.assess(log, limits())
    assert (found.on[0].time.low, found.on[0].time.high) == (0.0, 90.0)
    assert found.on[0].temperature.value == 368.0
    assert (found.off[0].temperature.low, found.off[0].temperature.high) == (365.0, 373.0)


# --- heater --------------------------------------------------------------------------------------


def heat(coolant: Sequence[float], vent: Sequence[float | None], ambient: float = 18.0) -> Heater:
    points = [
        Point(MINUTE * i, c + C, vent=None if v is None else v + C)
        for i, (c, v) in enumerate(zip(coolant, vent, strict=True))
    ]
    return heater.assess(points, ambient + C, limits())


@pytest.mark.parametrize(
    ("coolant", "vent", "share", "judgement"), [(88, 62, 0.63, "good"), (86, 38, 0.29, "weak")]
)
def test_a_van_before_and_after_bleeding(
    coolant: float, vent: float, share: float, judgement: str
) -> None:
    """A practice car: (62 - 18) / (88 - 18) = 0.63, (38 - 18) / (86 - 18) = 0.29 (computed)."""
    alone = heat([coolant], [vent])
    assert alone.effectiveness is not None
    assert alone.effectiveness.value == pytest.approx(share, abs=0.005)
    assert alone.effectiveness.low < share < alone.effectiveness.high
    assert alone.effectiveness.high - share < 0.05
    assert (alone.heat, alone.steady, alone.falling) == (judgement, "not_shown", "not_measured")
    long = heat([coolant] * 4, [vent] * 4)
    assert (long.heat, long.steady, long.falling) == (judgement, "yes", "no")


@pytest.mark.parametrize(("share", "judgement"), [(0.599, "weak"), (0.6, "good"), (0.601, "good")])
def test_heater_just_at_its_limit(share: float, judgement: str) -> None:
    assert heat([88.0] * 3, [18.0 + 70.0 * share] * 3).heat == judgement


@pytest.mark.parametrize(
    ("coolant", "ambient", "judged"),
    [(69.9, 18.0, False), (70.0, 18.0, True), (80.0, 50.1, False), (80.0, 50.0, True)],
)
def test_heater_needs_a_hot_engine_and_cold_air(
    coolant: float, ambient: float, judged: bool
) -> None:
    found = heat([coolant] * 3, [60.0] * 3, ambient)
    assert (found.heat != "not_measured") == judged


def test_the_hottest_steady_stretch_counts() -> None:
    coolant = [60, 70, 75, 80, 80, 81, 85, 90, 91, 92, 91]
    vent = [30, 35, 38, 40, 40, 40, 50, 62, 62, 62, 62]
    found = heat(coolant, vent)
    assert found.steady == "yes"
    assert found.effectiveness is not None
    assert found.effectiveness.value == pytest.approx((62 - 18) / (91 - 18))
    rising = heat([70, 75, 80, 85], [40, 42, 44, 46])
    assert rising.steady == "not_shown"
    assert rising.effectiveness is not None
    assert rising.effectiveness.value == pytest.approx((46 - 18) / (85 - 18))


@pytest.mark.parametrize(("fall", "falling"), [(0.099, "no"), (0.1, "no"), (0.101, "yes")])
def test_falling_at_idle(fall: float, falling: str) -> None:
    vent = [18.0 + 70.0 * (0.75 - fall * i / 4) for i in range(5)]
    found = heat([88.0] * 5, vent)
    assert found.falling == falling
    assert found.fall == pytest.approx(fall)


@pytest.mark.parametrize(("drop", "cold"), [(0.249, False), (0.25, True), (0.251, True)])
def test_suddenly_cold_just_at_its_limit(drop: float, cold: bool) -> None:
    shares = [0.7, 0.7, 0.7, 0.7 - drop]
    log = [Point(MINUTE * i, 88 + C, vent=18 + 70 * e + C) for i, e in enumerate(shares)]
    assert (heater.suddenly_cold(log, 18 + C, limits()) is not None) == cold


def test_slowly_cold_is_not_sudden() -> None:
    log = [Point(MINUTE * 2 * i, 88 + C, vent=18 + 70 * (0.8 - 0.12 * i) + C) for i in range(5)]
    assert heater.suddenly_cold(log, 18 + C, limits()) is None


# --- gas -----------------------------------------------------------------------------------------

COLD = Cold(headspace=0.8e-3, liquid_volume=5.6e-3, atmosphere=97.8 * KPA)
TEMPERATURES = (18, 22, 27, 32, 37, 41, 45)


def gas_log(pressures: Sequence[float]) -> list[Point]:
    return [
        Point(MINUTE * i, t + C, pressure=p * KPA)
        for i, (t, p) in enumerate(zip(TEMPERATURES, pressures, strict=True))
    ]


def test_a_gasket_that_lets_gas_in() -> None:
    """A practice car: 120 mL/min of gas from a cold start; at minute 3 about 45 kPa too much."""
    log = gas_log([0, 17, 36, 56, 77, 97, 118])
    found = gas.assess(log, 18 + C, COLD, limits())
    assert found.sign == "yes"
    assert found.inflow is not None
    assert found.inflow * 6e7 == pytest.approx(120, abs=30)
    until_three = gas.assess(log[:4], 18 + C, COLD, limits())
    assert until_three.excess is not None
    assert until_three.excess / KPA == pytest.approx(45, abs=10)


def test_the_same_car_without_gas() -> None:
    found = gas.assess(gas_log([0, 3, 7, 11, 16, 20, 24]), 18 + C, COLD, limits())
    assert found.sign == "no"
    assert found.not_larger_than is not None
    assert found.excess is not None
    assert abs(found.excess / KPA) < 5.0
    assert 5 < found.not_larger_than * 6e7 < 60  # a slow inflow is below this test


def test_the_model_with_rigid_walls_by_its_own_equation() -> None:
    """1 L above 8 L, closed at 20 °C: the equation holds at the root, and the root is near the
    rule-of-thumb row 9/20/33/48 kPa at 30/40/50/60 °C (computed with beta 5e-4 /K)."""
    cold = Cold(headspace=1e-3, liquid_volume=8e-3)
    for celsius, rough in ((30, 9), (40, 20), (50, 33), (60, 48)):
        t = celsius + C
        p = gas.warming_pressure(cold, 20 + C, 0.0, t, 1e-14, limits())
        assert p / KPA == pytest.approx(rough, abs=3.0)
        beta = 4.4e-4 * (1 + 0.0075 * ((celsius + 20) / 2 - 20))
        left = (p + 101325 - vapour_pressure("ethylene", 0.527, t)) * (
            1e-3 - beta * 8e-3 * (celsius - 20) + 1e-14 * p
        )
        right = (101325 - vapour_pressure("ethylene", 0.527, 20 + C)) * 1e-3
        assert left / t == pytest.approx(right / (20 + C), rel=1e-9)


@pytest.mark.parametrize("hose", [1e-13, 5e-10, 1.5e-9])
def test_gas_amount_is_kept_where_nothing_comes_in(hose: float) -> None:
    """The model and the amount are two sides of one equation: no inflow, no change."""
    start = gas.gas_amount(COLD, 291.0, 291.0, 0.0, hose, limits())
    for t in (300.0, 315.0, 322.0):
        p = gas.warming_pressure(COLD, 291.0, 0.0, t, hose, limits())
        assert gas.gas_amount(COLD, 291.0, t, p, hose, limits()) == pytest.approx(start, rel=1e-9)


@pytest.mark.parametrize(("factor", "sign"), [(2.9, "no"), (3.1, "yes")])
def test_gas_just_at_three_uncertainties(factor: float, sign: str) -> None:
    quiet = gas.assess(gas_log([0] * 7), 18 + C, COLD, limits())
    assert quiet.uncertainty is not None
    pressures = [0.0]
    for i in range(1, 7):
        part = gas.assess(gas_log([0] * 7)[: i + 1], 18 + C, COLD, limits())
        assert part.excess is not None
        assert part.uncertainty is not None
        excess = factor if i >= 5 else 0.0
        pressures.append((-part.excess + excess * part.uncertainty) / KPA)
    assert gas.assess(gas_log(pressures), 18 + C, COLD, limits()).sign == sign
    slip = [*pressures[:5], quiet.uncertainty / KPA * 9 + pressures[5], pressures[4]]
    assert gas.assess(gas_log(slip), 18 + C, COLD, limits()).sign == "no"


def test_gas_is_not_measured_without_what_it_needs() -> None:
    log = gas_log([0, 17, 36, 56, 77, 97, 118])

    def code(points: list[Point], ambient: float, cold: Cold) -> str:
        found = gas.assess(points, ambient + C, cold, limits())
        assert found.sign == "not_measured"
        assert found.reason is not None
        return found.reason.code

    assert code([Point(p.time, p.coolant) for p in log], 18, COLD) == "no_pressure"
    hot = [Point(p.time, p.coolant + 40, pressure=p.pressure) for p in log]
    assert code(hot, 18, COLD) == "no_pressure"
    assert code(log, 18, Cold(headspace=1e-3)) == "no_volumes"
    assert code(log, 18, Cold(liquid_volume=5e-3)) == "no_volumes"
    assert code(log, 7.9, COLD) == "not_cold_start"
    assert gas.assess(log, 8.0 + C, COLD, limits()).sign == "yes"
    assert code(gas_log([0, 3, 7, 11, 16, 20, 24])[:2], 18, COLD) == "too_little_rise"
    with pytest.raises(Refusal, match="The liquid volume must be above zero") as refused:
        gas.assess(log, 18 + C, Cold(headspace=1e-3, liquid_volume=0.0), limits())
    assert refused.value.path == "liquid_volume"
    with pytest.raises(Refusal, match="headspace must be above zero"):
        gas.assess(log, 18 + C, Cold(headspace=-1.0, liquid_volume=5e-3), limits())


# --- the whole -----------------------------------------------------------------------------------


def whole(points: list[Point], **known: float) -> Assessment:
    return assess(points, 18 + C, limits(), **known)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("hottest", "fan_on", "stops"),
    [(101.9, 97.0, False), (102.0, 97.0, False), (102.1, 97.0, True), (115.0, None, False),
     (115.1, None, True)],
)  # fmt: skip
def test_stop_when_too_hot(hottest: float, fan_on: float | None, stops: bool) -> None:
    """Limits warmup.fan_margin 5 K, warmup.highest_coolant 115 °C."""
    known = {} if fan_on is None else {"fan_on": fan_on + C}
    found = whole([Point(0.0, 80 + C), Point(MINUTE, hottest + C)], **known)
    assert [stop.reason.code for stop in found.stop] == (["too_hot"] if stops else [])
    pipe = whole([Point(0.0, 80 + C, radiator_inlet=hottest + C)], **known)
    assert bool(pipe.stop) == stops


def test_stop_when_the_heater_goes_cold_on_a_hot_engine() -> None:
    shares = [0.7, 0.7, 0.7, 0.2]
    log = [Point(MINUTE * i, 95 + C, vent=18 + 77 * e + C) for i, e in enumerate(shares)]
    found = whole(log)
    assert [(stop.reason.code, stop.time) for stop in found.stop] == [
        ("heater_suddenly_cold", 3 * MINUTE)
    ]
    assert found.air_sign == "yes"


def test_air_sign() -> None:
    def sign(shares: Sequence[float]) -> str:
        log = [Point(MINUTE * i, 88 + C, vent=18 + 70 * e + C) for i, e in enumerate(shares)]
        return whole(log).air_sign

    assert sign([0.65] * 4) == "no"
    assert sign([0.29] * 4) == "yes"
    assert sign([0.80, 0.75, 0.70, 0.65]) == "yes"  # falls at idle
    assert whole([Point(0.0, 88 + C)]).air_sign == "not_measured"


def test_one_row_says_what_it_can_and_no_more() -> None:
    found = whole([Point(0.0, 88 + C)])
    assert found.thermostat.signature == "not_measured"
    assert found.fan.signature == "not_measured"
    assert found.heater.heat == "not_measured"
    assert found.gas.sign == "not_measured"
    assert found.stop == ()
    assert found.not_measured == ("radiator_inlet", "vent", "fan", "pressure")


def test_order_does_not_matter_but_a_time_stands_once() -> None:
    log = [Point(MINUTE * i, 80 + i + C, fan=i > 2) for i in range(5)]
    assert whole(log[::-1]) == whole(log)
    with pytest.raises(Refusal, match="same time") as refusal:
        whole([log[0], log[0]])
    assert refusal.value.code == "repeated_time"
    with pytest.raises(Refusal, match="empty"):
        whole([])


# --- time to the thermostat ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kilowatt", "tau_min", "minutes"),
    [(3.0, 1e7, 31), (7.0, 1e7, 13), (3.0, 90.0, 38), (7.0, 90.0, 14)],
)
def test_common_warm_up_times(kilowatt: float, tau_min: float, minutes: float) -> None:
    """80 kJ/K from 20 to 90 °C (common practice, computed from the stated formula)."""
    found = lumped.time_to(
        start=20 + C,
        ambient=20 + C,
        goal=90 + C,
        warming=kilowatt / 80.0,
        cooling_time=tau_min * MINUTE,
    )
    assert found / MINUTE == pytest.approx(minutes, abs=0.6)


def test_the_lumped_model_against_its_differential_equation() -> None:
    t, step, rate, tau = 293.15, 0.5, 0.0375, 5400.0
    seconds = 0.0
    while t < 350.0:
        t += step * (rate - (t - 288.15) / tau)
        seconds += step
    found = lumped.time_to(start=293.15, ambient=288.15, goal=350.0, warming=rate, cooling_time=tau)
    assert found == pytest.approx(seconds, rel=1e-3)


def test_an_engine_that_never_gets_there() -> None:
    found = lumped.time_to_thermostat(
        coolant=253.15, ambient=233.15, opening=373.15, limits=limits(), warming=1.4 / 60.0
    )
    assert found.value == float("inf")
    assert np.isfinite(found.low)
    there = lumped.time_to_thermostat(coolant=370.0, ambient=293.0, opening=360.0, limits=limits())
    assert there.value == 0.0
    with pytest.raises(Refusal, match="warming rate"):
        lumped.time_to_thermostat(
            coolant=290.0, ambient=290.0, opening=360.0, limits=limits(), warming=0.0
        )
