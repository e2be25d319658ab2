"""The parts of a practice car one by one, at the edges where each begins to act."""

from __future__ import annotations

import random
import tomllib
from dataclasses import replace
from typing import Any

import pytest

from weeptrace.practice.acts import HandPump, open_cap, pump_to, release
from weeptrace.practice.balance import run
from weeptrace.practice.car import Cap, Hoses, Leak
from weeptrace.practice.describe import CARS, car_from, load
from weeptrace.practice.flow import through
from weeptrace.practice.gauge import Gauge
from weeptrace.practice.state import gas_volume, pressure, under
from weeptrace.refusal import Refusal

R_AIR = 287.05  # J/(kg K), dry air: 8.314 J/(mol K) over 28.96 g/mol


@pytest.mark.parametrize("flat", [0.0, 0.3e-3])
@pytest.mark.parametrize("gauge", [-60e3, -20e3, -5e3, 5e3, 100e3])
def test_the_slope_of_the_hoses_is_that_of_their_volume(flat: float, gauge: float) -> None:
    hoses = Hoses(0.5e-9, flat_volume=flat)
    step = 10.0
    rise = (hoses.volume(gauge + step) - hoses.volume(gauge - step)) / (2.0 * step)
    assert hoses.slope(gauge) == pytest.approx(rise, rel=1e-5)


def test_hoses_lie_half_flat_at_their_own_vacuum_and_never_under_pressure() -> None:
    hoses = Hoses(0.5e-9, flat_volume=0.3e-3, flat_at=20e3)
    assert hoses.flat(-20e3) == pytest.approx(0.5)  # p² / (p² + p²)
    assert hoses.flat(20e3) == hoses.flat(0.0) == 0.0
    assert hoses.volume(-20e3) == pytest.approx(-0.5e-9 * 20e3 - 0.15e-3)
    assert hoses.volume(20e3) == pytest.approx(0.5e-9 * 20e3)


def test_creep_goes_with_the_pressure_or_stays_at_what_was_given() -> None:
    assert Hoses(0.5e-9, creep_share=0.2).creep(100e3) == pytest.approx(0.2 * 0.5e-9 * 100e3)
    fixed = Hoses(0.5e-9, creep_share=0.2, creep_at=40e3)
    assert fixed.creep(100e3) == fixed.creep(0.0) == pytest.approx(0.2 * 0.5e-9 * 40e3)


CAR = load("larkspur_seam")
WET = Leak("seam", 1e-8, 0.5)
DRY = replace(WET, side="air")


def flows(leak: Leak, gauge: float, *, wet: bool, area: float = 0.0, at: float = 288.15) -> Any:
    return through(CAR, leak, area, gauge, at, 2.4, wet)


def test_a_leak_passes_liquid_where_it_stands_and_else_gas() -> None:
    # (p / 100 kPa) ^ 0.5 of 1e-8 m3/s; at 25 kPa that is one half.
    assert flows(WET, 25e3, wet=True) == (pytest.approx(0.5e-8), 0.0)
    assert flows(DRY, 25e3, wet=True) == (0.0, pytest.approx(-0.5e-8 * 2.4))
    # Nothing stands before it and it has no measured bore: nothing of the power law goes out.
    assert flows(WET, 25e3, wet=False) == (0.0, 0.0)
    # In a vacuum air comes in through the same hole, on either side.
    for leak in (WET, DRY):
        liquid, air = flows(leak, -25e3, wet=True, area=1e-9)
        assert liquid == 0.0
        assert air > 0.0
    assert flows(WET, 0.0, wet=True) == (0.0, 0.0)


def test_a_bore_that_was_measured_goes_by_torricelli() -> None:
    bore = Leak("bore", orifice=1e-8)
    # Q = C A sqrt(2 dp / rho)
    speed = (2.0 * 50e3 / CAR.density) ** 0.5
    assert flows(bore, 50e3, wet=True) == (pytest.approx(1e-8 * speed, rel=1e-6), 0.0)
    liquid, air = flows(bore, 50e3, wet=False, area=1e-8)
    assert liquid == 0.0
    assert air < 0.0


def test_warm_plastic_seals_above_its_temperature_only() -> None:
    seam = replace(WET, closed_above=330.0)
    assert flows(seam, 100e3, wet=True, at=330.0)[0] == pytest.approx(1e-8)
    assert flows(seam, 100e3, wet=True, at=330.1) == (0.0, 0.0)


def test_a_leak_gives_nothing_at_or_below_zero() -> None:
    assert WET.outwards(0.0) == WET.outwards(-1.0) == 0.0
    assert Leak("none").outwards(50e3) == 0.0
    assert WET.outwards(400e3) == pytest.approx(2e-8)


def tight(**cap: Any) -> Any:
    """A car that nothing leaves but through its cap, cold and at zero gauge."""
    car = replace(CAR, leaks=(), hoses=Hoses(0.5e-9), cap=Cap(110e3, **cap))
    return car, release(car, under(CAR, "to_neck")[1])


def test_a_cap_lets_air_in_below_its_own_vacuum_and_not_before() -> None:
    car, state = tight(opens=(110e3,))
    still = run(car, state, [60.0], capped=True)[0]
    assert still.air == pytest.approx(state.air, rel=1e-9)
    # Half the air gone: a vacuum, far beyond the 5 kPa at which the cap lets air back in.
    drawn = replace(state, air=0.5 * state.air)
    depth = pressure(car, drawn)
    assert depth < -8e3
    step = 0.01
    after = run(car, drawn, [step], capped=True)[0]
    density = car.atmosphere / (R_AIR * state.temperature)
    assert (after.air - drawn.air) / step == pytest.approx(
        1e-9 * (-5e3 - depth) * density, rel=0.02
    )
    assert run(car, drawn, [step])[0].air == pytest.approx(drawn.air, rel=1e-9)
    slight = replace(state, air=0.97 * state.air)
    assert -5e3 < pressure(car, slight) < -1e3
    assert run(car, slight, [60.0], capped=True)[0].air == pytest.approx(slight.air, rel=1e-9)


def test_a_cap_lets_gas_out_above_its_opening_and_not_before() -> None:
    car, state = tight(opens=(100e3, 104e3))
    assert car.cap is not None
    assert car.cap.opening == pytest.approx(102e3)  # the mean of its tests
    high, _ = pump_to(car, state, 106e3, HandPump(40e-6))
    step = 0.01
    after = run(car, high, [step], capped=True)[0]
    density = high.air / gas_volume(car, high)
    assert (after.air - high.air) / step == pytest.approx(-1e-9 * 4e3 * density, rel=0.02)
    low, _ = pump_to(car, state, 100e3, HandPump(40e-6))
    assert run(car, low, [60.0], capped=True)[0].air == pytest.approx(low.air, rel=1e-9)
    assert Cap(90e3).opening == pytest.approx(90e3)  # never tested: as printed


def test_a_cap_is_tested_as_often_as_asked() -> None:
    cap = Cap(110e3, (108e3, 112e3))
    assert open_cap(cap, random.Random(1), 1) == [108e3]
    assert open_cap(cap, random.Random(1), 2) == [108e3, 112e3]
    more = open_cap(cap, random.Random(1), 400)
    assert more[:2] == [108e3, 112e3]
    assert len(more) == 400
    mean = sum(more) / 400
    scatter = (sum((each - mean) ** 2 for each in more) / 399) ** 0.5
    assert mean == pytest.approx(110e3, abs=4 * 1e3 / 20)  # four standard errors of the mean
    assert scatter == pytest.approx(1e3, rel=0.15)


def test_a_turning_seal_leaks_in_proportion_to_the_speed_while_it_is_wet() -> None:
    car = replace(CAR, leaks=(Leak("shaft", turning=2e-8, turning_speed=20.0),))
    state = release(car, under(CAR, "to_neck")[1])
    for speed, flow in ((0.0, 0.0), (20.0, 2e-8), (10.0, 1e-8)):
        after = run(car, state, [10.0], speed=speed)[0]
        assert after.leaked - state.leaked == pytest.approx(10.0 * flow, rel=1e-3, abs=1e-12)

    dry = replace(state, liquid=0.0)
    assert run(car, dry, [10.0], speed=20.0)[0].leaked == 0.0


def test_a_stroke_takes_its_time() -> None:
    car, state = tight()
    for every in (0.05, 2.0):
        after, strokes = pump_to(car, state, 100e3, HandPump(40e-6), every)
        assert after.time - state.time == pytest.approx(every * int(strokes))
    assert pump_to(car, state, 100e3, HandPump(40e-6))[0].time == state.time


def test_a_reader_scatters_by_what_the_gauge_says() -> None:
    gauge = Gauge(2e3)
    found = gauge.readings([100e3] * 4000, random.Random(3))
    assert all(each % 1e3 == 0.0 for each in found)
    mean = sum(found) / len(found)
    spread = (sum((each - mean) ** 2 for each in found) / len(found)) ** 0.5
    # 0.3 divisions of 2 kPa, and rounding to 1 kPa adds 1/12 of its square.
    assert spread == pytest.approx((600.0**2 + 1e3**2 / 12.0) ** 0.5, rel=0.05)
    assert mean == pytest.approx(100e3, abs=60.0)


# --- its description ----------------------------------------------------------------------------


def described(name: str) -> dict[str, Any]:
    return tomllib.loads((CARS / f"{name}.toml").read_text("utf-8"))


ENGINE = [
    "heat_capacity", "power", "loss", "radiator_capacity", "flow", "still", "fan", "heater_units",
]  # fmt: skip


@pytest.mark.parametrize("key", ENGINE)
@pytest.mark.parametrize("value", [0.0, -1.0, 1e9, "x", None, [1.0]])
def test_an_engine_s_figures_are_numbers_above_zero(key: str, value: Any) -> None:
    table = described("fjell_heater")
    table["engine"][key] = value
    with pytest.raises(Refusal) as refused:
        car_from(table)
    assert (refused.value.code, refused.value.path) == ("bad_input", f"engine.{key}")
    assert key in refused.value.message


def test_an_engine_is_as_its_file_says() -> None:
    table = described("fjell_heater")
    engine = car_from(table).engine
    assert engine is not None
    assert {key: getattr(engine, key) for key in ENGINE} == {
        key: float(table["engine"][key]) for key in ENGINE
    }
    for key in ("opens", "full_open", "fan_on", "fan_off"):
        given = table["engine"][key]
        assert given["unit"] == "°C"
        assert getattr(engine, key) == pytest.approx(given["value"] + 273.15)


def test_a_long_name_of_an_unknown_car_is_told_in_part() -> None:
    with pytest.raises(Refusal) as refused:
        load("x" * 60)
    assert f"“{'x' * 40}”" in refused.value.message


@pytest.mark.parametrize(
    ("place", "quantity", "path"),
    [
        (("temperature",), (-1, "°C"), "temperature"),
        (("strength",), (101, "%"), "strength"),
        (("strength",), (-1, "%"), "strength"),
        (("altitude",), (-501, "m"), "altitude"),
        (("altitude",), (5001, "m"), "altitude"),
        (("hoses", "compliance"), (-1, "mL/kPa"), "hoses.compliance"),
        (("hoses", "creep_share"), (101, "%"), "hoses.creep_share"),
        (("hoses", "creep_time"), (0.5, "s"), "hoses.creep_time"),
        (("hoses", "creep_time"), (25, "h"), "hoses.creep_time"),
        (("leaks", 0, "flow_100"), (-1, "mL/min"), "leaks[0].flow_100"),
        (("leaks", 0, "exponent"), (0.05, "1"), "leaks[0].exponent"),
        (("leaks", 0, "exponent"), (4.1, "1"), "leaks[0].exponent"),
        (("cap", "rating"), (0.9, "kPa"), "cap.rating"),
        (("cap", "rating"), (501, "kPa"), "cap.rating"),
        (("cap", "opens", 0), (501, "kPa"), "cap.opens[0]"),
        (("conditions", "to_neck", "drift"), (7, "K/min"), "conditions.to_neck.drift"),
        (("conditions", "to_neck", "drift"), (-7, "K/min"), "conditions.to_neck.drift"),
        (("conditions", "to_neck", "temperature"), (130, "°C"), "conditions.to_neck.temperature"),
    ],
)
def test_a_figure_out_of_its_range_is_refused_at_its_place(
    place: tuple[str | int, ...], quantity: tuple[float, str], path: str
) -> None:
    table = described("larkspur_seam")
    holder: Any = table
    for key in place[:-1]:
        holder = holder.setdefault(key, {}) if isinstance(holder, dict) else holder[key]
    holder[place[-1]] = {"value": quantity[0], "unit": quantity[1]}
    with pytest.raises(Refusal) as refused:
        car_from(table)
    assert (refused.value.code, refused.value.path) == ("out_of_range", path)
    assert f"{quantity[0]:g} {quantity[1]}" in refused.value.message


def test_a_condition_is_as_its_file_says() -> None:
    table = described("larkspur_seam")
    table["conditions"]["to_neck"] |= {
        "minutes": [0, 2.5], "log": [10.0, 12.0], "sealed": True,
    }  # fmt: skip
    found = {each.name: each for each in car_from(table).conditions}["to_neck"]
    assert found.times == (0.0, 150.0)
    assert found.sealed
    assert [found.course.at(t) for t in (0.0, 30.0, 60.0)] == pytest.approx(
        [283.15, 284.15, 285.15]
    )
    del table["conditions"]["to_neck"]["log"]
    table["conditions"]["to_neck"] |= {
        "sealed": False, "temperature": {"value": 20, "unit": "°C"},
        "drift": {"value": -0.3, "unit": "K/min"},
    }  # fmt: skip
    found = {each.name: each for each in car_from(table).conditions}["to_neck"]
    assert not found.sealed
    assert [found.course.at(t) for t in (0.0, 600.0)] == pytest.approx([293.15, 290.15])
