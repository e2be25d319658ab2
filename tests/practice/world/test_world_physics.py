"""Heat, pressure, boiling, leak and monoxide against hand calculations and published values."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.practice.world.benches import ML_MIN, C, accounted, after, car, kinds, leaking, world
from weeptrace.practice.car import Cap
from weeptrace.practice.world import harms
from weeptrace.practice.world.cars import ENGINE, WorldCar, world_load
from weeptrace.practice.world.drawn import some_car
from weeptrace.practice.world.heat import two_lumps
from weeptrace.practice.world.world import World

# 100 kPa stands at 110.9 m: p = 101325 Pa (1 - 2.25577e-5 h)^5.25588, ISO 2533.
AT_100_KPA = (1.0 - (100.0 / 101.325) ** (1.0 / 5.25588)) / 2.25577e-5


# --- heat ---


def test_a_stopped_engine_cools_along_an_exponential() -> None:
    # By hand: 58 kJ/K of metal, 12 of the radiator, 8 L of 3.7 MJ/(m3 K): 99.4 kJ/K over 16 W/K.
    constant = (80e3 - 0.006 * 3.7e6 + 12e3 + 0.008 * 3.7e6) / 16.0
    assert 60.0 < constant / 60.0 < 120.0  # min, common practice
    made = world(place={"air": 15.0 + C}, arrives=46.0 + C)
    made.do("unplug_fan")
    for hours in (1.0, 2.0, 5.0):
        made.wait(hours * 3600.0 - made.now)
        wanted = 15.0 + 31.0 * math.exp(-hours * 3600.0 / constant)
        assert made.truth()["coolant_temperature"] - C == pytest.approx(wanted, abs=0.01)
        assert made.truth()["metal_temperature"] - C == pytest.approx(wanted, abs=0.01)


def test_a_long_wait_is_many_short_ones() -> None:
    ends = []
    for step in (1.0, 7.0, 600.0):
        made = world(leaking(), arrives=90.0 + C)
        while made.now < 7200.0 - 1e-6:
            made.wait(min(step, 7200.0 - made.now))
        ends.append(made.truth())
    for key, error in (("coolant_temperature", 0.3), ("pressure", 500.0), ("liquid", 2e-6)):
        assert [e[key] for e in ends] == pytest.approx([ends[0][key]] * 3, abs=error), key


def test_two_lumps_against_small_steps() -> None:
    c1, c2, h1, h2, k, power, air = 58e3, 40e3, 9.0, 90.0, 450.0, 7e3, 290.0
    hot, wet, step = 300.0, 295.0, 0.05
    for _ in range(int(600.0 / step)):  # Euler
        flow = k * (hot - wet)
        hot, wet = (
            hot + step * (power - flow - h1 * (hot - air)) / c1,
            wet + step * (flow - h2 * (wet - air)) / c2,
        )
    found = two_lumps((300.0, 295.0), (c1, c2), (h1, h2), k, power, air, 600.0)
    assert found == pytest.approx((hot, wet), abs=0.01)


def test_metal_warms_the_coolant_after_a_stop() -> None:
    made = after(world(), "unplug_fan", "start_engine", 900.0, ("rev", {"time": 200.0}))
    running = made.truth()
    assert running["metal_temperature"] > running["coolant_temperature"] + 15.0
    made.do("stop_engine")
    made.wait(120.0)
    soaked = made.truth()
    rise = soaked["coolant_temperature"] - running["coolant_temperature"]
    assert 3.0 < rise < 15.0  # common practice
    assert soaked["metal_temperature"] < running["metal_temperature"]
    made.wait(3600.0)
    assert made.truth()["coolant_temperature"] < running["coolant_temperature"]


def test_the_thermostat_holds_a_driven_car_below_full_open() -> None:
    made = after(world(), ("drive", {"distance": 40e3, "time": 2400.0}))
    assert ENGINE.opens < made.warm.coolant < ENGINE.full_open


def test_the_fan_goes_on_and_off_at_its_switch() -> None:
    made = after(world(place={"air": 308.15}), "start_engine")
    went_on: list[float] = []
    went_off: list[float] = []
    before = False
    for _ in range(800):
        made.wait(5.0)
        if made.fan != before:
            (went_on if made.fan else went_off).append(made.warm.coolant)
        before = made.fan
    assert min(went_on) >= ENGINE.fan_on
    assert max(went_off) < ENGINE.fan_off
    assert max(went_on) < ENGINE.fan_on + 2.0


# --- pressure ---


def test_a_liquid_full_system_warms_into_its_hoses() -> None:
    # By hand: 5e-4 1/K x 8 L x 10 K = 40 mL into 0.5 mL/kPa: 80 kPa.
    made = world(car(cap=Cap(400e3)), headspace=1e-9, place={"air": 298.15})
    made.wait(48 * 3600.0)
    assert made.truth()["coolant_temperature"] == pytest.approx(298.15, abs=0.02)
    assert made.truth()["pressure"] == pytest.approx(80e3, rel=0.01)


def test_gas_takes_the_expansion_up() -> None:
    # By hand, from 15 to 25 °C: 40 mL into 640 mL of air and 0.5 mL/kPa, at 1.70 and 3.17 kPa of
    # vapour over water; half-and-half coolant has 0.75 to 0.8 of it, so 1.3 and 2.4 kPa.
    made = world(car(cap=Cap(400e3)), headspace=640e-6, place={"air": 298.15})
    made.wait(48 * 3600.0)
    dry, low, high = 101.325 - 1.3, 0.0, 40.0
    while high - low > 1e-6:
        p = 0.5 * (low + high)
        gas = 640.0 - 40.0 + 0.5 * p
        fits = dry * 640.0 * (298.15 / 288.15) / gas + 2.4 - 101.325
        low, high = (p, high) if fits > p else (low, p)
    assert made.truth()["pressure"] / 1e3 == pytest.approx(low, abs=0.5)
    assert 5.0 < low < 15.0


def test_the_cap_holds_its_opening_pressure_and_lets_gas_out_first() -> None:
    made = after(world(headspace=0.3e-3), "unplug_fan", "start_engine", 1800.0)
    true = made.truth()
    assert true["pressure"] == pytest.approx(110e3, rel=1e-3)
    assert (true["spilled"], true["boiled_off"]) == (0.0, 0.0)
    assert true["gas_volume"] > 0.0


def test_a_brimful_car_pushes_liquid_out_and_draws_it_back_from_its_bottle() -> None:
    made = world(car(trapped=0.0, reservoir=0.8e-3), headspace=1e-6)
    begun = made.truth()["in_bottle"]
    after(made, "unplug_fan", "start_engine", 1500.0, "stop_engine")
    pushed = made.truth()
    # By hand: 8 L x 5e-4 1/K x dT, less what the hoses take at 110 kPa.
    wanted = 8e-3 * 5e-4 * (pushed["coolant_temperature"] - 288.15) - 0.5e-9 * 110e3
    assert pushed["in_bottle"] - begun == pytest.approx(wanted, rel=0.25)
    made.wait(24 * 3600.0)
    assert made.truth()["in_bottle"] == pytest.approx(begun, abs=10e-6)
    assert made.truth()["pressure"] >= -5.1e3


def test_a_bottle_gives_back_what_the_gas_that_left_took() -> None:
    made = world(car(trapped=0.0, reservoir=0.8e-3), headspace=0.3e-3)
    begun = made.truth()["in_bottle"]
    after(made, "unplug_fan", "start_engine", 1800.0, "stop_engine", 1200.0)
    stayed = made.circuit.state.air
    made.wait(24 * 3600.0)
    # By hand: 5 kPa below the atmosphere the air that stayed fills less than the 300 mL.
    true = made.truth()
    gas = stayed * 287.05 * 288.15 / (101325.0 - 5e3 - 1.3e3)
    drawn = begun - true["in_bottle"]
    assert drawn == pytest.approx(300e-6 - 0.5e-9 * 5e3 - gas, abs=5e-6)
    assert 20e-6 < drawn < 300e-6


def test_a_cooling_car_without_a_bottle_draws_air_at_its_vacuum_valve() -> None:
    made = after(world(headspace=0.3e-3), "unplug_fan", "start_engine", 1800.0, "stop_engine")
    made.wait(24 * 3600.0)
    assert made.truth()["pressure"] == pytest.approx(-5e3, abs=100.0)


def test_a_leak_loses_what_its_flow_says_and_the_pressure_what_was_stored() -> None:
    made = world(leaking(2.0), headspace=0.6e-3)
    after(made, "open_neck", "fit_tester", ("pump_to", {"pressure": 100e3}))
    first = made.truth()
    made.wait(300.0)
    last = made.truth()
    mean = 0.5 * (first["pressure"] + last["pressure"])
    wanted = 5 * 2e-6 * (mean / 100e3) ** 0.6
    assert last["leaked"] == pytest.approx(wanted, rel=0.02)
    # Stored: gas over its absolute pressure, and hoses.
    stored = first["gas_volume"] / (101325.0 + mean - 1.3e3) + 0.5e-9
    fell = first["pressure"] - last["pressure"]
    assert fell == pytest.approx(last["leaked"] / stored, rel=0.05)


def test_the_weakest_part_is_over_its_rating_by_warming_a_full_closed_car() -> None:
    # 50 mL of air stand in it at 100 kPa pumped, so 0.75 mL/kPa; 7 K: 28 mL, 37 kPa: above 121.
    hot = world(headspace=1e-8, place={"air": 295.15})
    after(hot, "open_neck", ("fill_to", {"where": "neck"}), ("fit_tester", {"relief": False}))
    after(hot, ("pump_to", {"pressure": 100e3}))
    assert kinds(hot) == set()
    hot.wait(24 * 3600.0)
    assert kinds(hot) == {"over_pressured"}
    held = world(headspace=1e-8, place={"air": 295.15})
    after(held, "open_neck", ("fill_to", {"where": "neck"}), ("fit_tester", {"relief": True}))
    after(held, ("pump_to", {"pressure": 100e3}), 24 * 3600.0)
    assert kinds(held) == set()
    assert held.truth()["pressure"] <= 110e3 + 1.0


# --- boiling ---


@pytest.mark.parametrize(
    ("opening", "boils"),
    [
        (None, 372.755919),  # 0.1 MPa: IAPWS-IF97, table 36
        (100e3, 120.21 + C),  # 0.2 MPa: steam tables to IAPWS-IF97 (from memory)
        (50e3, 111.35 + C),  # 0.15 MPa: the same
    ],
)
def test_water_boils_at_its_pressure(opening: float | None, boils: float) -> None:
    cap = Cap(opening or 100e3)
    water = car(strength=0.0, cap=cap, altitude=AT_100_KPA, engine=replace(ENGINE, power=20e3))
    made = world(water, place={"air": 303.15})
    after(made, "unplug_fan", *([] if opening else ["open_neck"]), "start_engine", 1200.0)
    true = made.truth()
    assert true["atmosphere"] == pytest.approx(100e3, abs=20.0)
    assert true["boiling"]
    assert true["coolant_temperature"] == pytest.approx(boils, abs=0.1)
    assert true["boiled_off"] > 0.0
    assert "overheated" in kinds(made)
    assert abs(accounted(made)) < 1e-12


def test_heat_that_boils_is_paid_in_liquid() -> None:
    water = car(
        strength=0.0, cap=Cap(100e3), altitude=AT_100_KPA, engine=replace(ENGINE, power=2e4)
    )
    made = after(world(water), "unplug_fan", "open_neck", "start_engine", 900.0)
    first = made.truth()
    made.wait(120.0)
    last = made.truth()
    lost = last["boiled_off"] - first["boiled_off"]
    # By hand: 20 kW less what the radiator gives off at 84.6 K, less what the block gives off and
    # takes up itself, over 2.26 MJ/kg (steam tables) and 0.96 kg/L.
    metal = 0.5 * (first["metal_temperature"] + last["metal_temperature"]) - 288.15
    block = 57.8e3 * (last["metal_temperature"] - first["metal_temperature"])
    away = 120.0 * (84.6 * (60.0 * 900.0 / 960.0 + 7.0) + 9.0 * metal)
    assert lost == pytest.approx((120.0 * 20e3 - block - away) / 2.26e6 / 960.0, rel=0.04)


# --- monoxide and cylinder ---


def test_monoxide_in_a_closed_room_rises_as_a_mixed_volume() -> None:
    made = world(place={"closed": True, "room": 100.0})
    made.do("start_engine")
    share, step = 0.0, 0.1
    for _ in range(3000):  # five minutes of 4.4e-5 m3/s, a third of the air an hour
        share += step * (4.4e-5 - share * 0.3 * 100.0 / 3600.0) / 100.0
    made.wait(300.0)
    assert made.truth()["carbon_monoxide"] == pytest.approx(share, rel=1e-3)
    reached = -math.log(1.0 - 200e-6 * 0.3 * 100.0 / 3600.0 / 4.4e-5) * 3600.0 / 0.3
    assert reached > 300.0
    assert kinds(made) == set()
    made.wait(reached - 300.0 + 10.0)
    (harm,) = made.harms
    assert (harm.kind, harm.at) == ("gassed", pytest.approx(reached, abs=11.0))


def test_a_cylinder_locks_when_its_clearance_is_nearly_full() -> None:
    # 0.45 L at 10.5 : 1 leaves 47 mL. 40 mL: 7.4 of 457 mL, (457/7.4)^1.3 = 213 bar.
    assert harms.compression(40e-6, 0.45e-3, 10.5, 101325.0) == pytest.approx(21.6e6, rel=0.02)
    assert harms.compression(20e-6, 0.45e-3, 10.5, 101325.0) < harms.ROD < 21e6
    assert harms.compression(0.0, 0.45e-3, 10.5, 101325.0) == pytest.approx(2.15e6, rel=0.02)


@pytest.mark.parametrize(
    ("time", "celsius"), [(1.0, 65.0), (10.0, 56.0), (60.0, 51.0), (600.0, 48.0), (3600.0, 48.0)]
)
def test_contact_burns(time: float, celsius: float) -> None:
    assert harms.burns_from(time) - C == pytest.approx(celsius)  # ISO 13732-1 (from memory)


# --- every litre, and the time it takes ---


@pytest.mark.parametrize("seed", range(22))
def test_every_litre_is_accounted_for(seed: int) -> None:
    made = World(some_car(seed), seed)
    steps = (
        ("leave_alone", {"time": 3600.0}), "start_engine", 1200.0, "stop_engine", 1800.0,
        "open_pan", "open_neck", ("take_off", {"part": "upper_hose"}), "drain",
        ("put_on", {"part": "upper_hose"}), "pour_away", ("pour_in", {"litres": 3.0}),
        ("fill_to", {"where": "neck"}), "fit_tester", ("pump_to", {"pressure": 80e3}), 900.0,
        ("draw_off", {"litres": 0.1}), "remove_tester", "close_neck", "start_engine", 900.0,
        ("drive", {"distance": 9e3, "time": 600.0}), ("leave_alone", {"time": 30000.0}),
    )  # fmt: skip
    for step in steps:
        after(made, step)
        assert abs(accounted(made)) < 1e-12, step
    assert made.truth()["liquid"] >= 0.0


def test_a_vacuum_fill_takes_what_the_air_left() -> None:
    made = world(car(trapped=0.5e-3))
    after(made, "open_neck", "drain", ("pull_vacuum", {"pressure": -75e3}))
    true = made.truth()
    assert true["pressure"] == pytest.approx(-75e3, abs=10.0)
    # By hand: 5.94 L of gas at 26.3 kPa with 1.3 kPa of vapour shrinks to a quarter at 101.3 kPa.
    gas = true["gas_volume"]
    wanted = gas - gas * (26.325 - 1.3) / (101.325 - 1.3) + 0.5e-9 * 75e3
    made.do("fill_by_vacuum")
    assert made.truth()["poured"] == pytest.approx(wanted, rel=0.01)
    assert abs(accounted(made)) < 1e-12
    poured = after(world(car(trapped=0.5e-3)), "open_neck", "drain", ("fill_to", {"where": "neck"}))
    assert made.truth()["trapped_volume"] < poured.truth()["trapped_volume"]


def test_a_vacuum_fill_clears_pockets_unless_its_container_runs_dry() -> None:
    left = []
    for litres in (10.0, 2.0):
        made = after(world(), "open_neck", "drain")
        made.circuit.trapped = 0.5e-3
        after(made, ("pull_vacuum", {"pressure": -85e3}), ("fill_by_vacuum", {"litres": litres}))
        left.append(made.truth()["trapped_volume"])
    assert left[0] < 0.25e-3
    assert left[1] == pytest.approx(0.5e-3)


def test_a_vacuum_is_lost_through_an_opening() -> None:
    hole = car(leaks=(replace(leaking().leaks[0], flow_100=0.0, orifice=1.4137e-8),))
    made = world(hole, fault="radiator", part="drain_plug")
    after(made, "open_neck", "drain", ("pull_vacuum", {"pressure": -70e3}))
    gas = made.truth()["gas_volume"]
    made.wait(120.0)
    # By hand, choked: dp/dt = A Pa 0.6847 sqrt(R T) / V.
    rate = 1.4137e-8 * 101325.0 * 0.6847 * math.sqrt(287.05 * 288.15) / gas
    assert made.truth()["pressure"] == pytest.approx(-70e3 + 120.0 * rate, abs=0.03 * 120.0 * rate)


def test_a_container_that_runs_dry_lets_air_in() -> None:
    made = after(world(), "open_neck", "drain", ("pull_vacuum", {"pressure": -75e3}))
    assert made.do("fill_by_vacuum", litres=2.0)
    assert made.truth()["poured"] == pytest.approx(2e-3)
    assert made.truth()["pressure"] == 0.0


def test_a_flow_through_a_shut_seam_waits_for_the_cold() -> None:
    seam = leaking(3.0, cap=Cap(300e3))
    seam = replace(seam, leaks=(replace(seam.leaks[0], closed_above=45.0 + C),))
    made = after(world(seam, fault="radiator", part="radiator"), "start_engine", 1800.0)
    hot = made.truth()["leaked"]
    made.wait(600.0)
    assert made.truth()["leaked"] == hot
    after(made, "stop_engine", 12 * 3600.0)
    assert made.truth()["leaked"] > hot


def test_a_shaft_seal_leaks_as_it_turns() -> None:
    seal = car(leaks=(replace(leaking().leaks[0], flow_100=0.0, turning=2.0 * ML_MIN),))
    made = after(world(seal, fault="water_pump", part="water_pump"), 3600.0)
    assert made.truth()["leaked"] == 0.0
    assert made.sense("drips") is False
    after(made, "start_engine", 600.0)
    assert made.sense("drips") is True
    assert made.truth()["leaked"] == pytest.approx(10.0 * 2e-6 * 800.0 / 2000.0, rel=1e-6)


def test_the_practice_cars_stand_in_the_world() -> None:
    found: WorldCar = world_load("larkspur_seam")
    assert found.car.hoses.compliance == pytest.approx(0.45e-9)
    made = World(found, 3)
    assert made.truth()["liquid"] == pytest.approx(7.6e-3 - 1.2e-3)
