"""What follows from the state: probe, heater, pockets, level, fan, stands, wet places, repairs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.practice.world.benches import C, after, car, kinds, leaking, world


def test_a_probe_in_the_steam_pocket_reads_cool() -> None:
    full, low = world(arrives=95.0 + C), world(arrives=95.0 + C, level=1.5e-3)
    assert full.sense("coolant_temperature") == pytest.approx(95.0 + C, abs=2.0)
    assert float(low.sense("coolant_temperature")) < 60.0 + C
    assert low.truth()["coolant_temperature"] == pytest.approx(95.0 + C)


def test_a_heater_starves_of_air_and_of_a_low_level() -> None:
    warm = ("start_engine", 1500.0)
    assert after(world(), *warm).sense("heater_warm") is True
    assert after(world(level=2.4e-3), *warm).sense("heater_warm") is False
    aired = world()
    aired.circuit.trapped = 0.4e-3
    after(aired, "start_engine", 200.0)
    assert aired.truth()["air_trapped"]
    assert aired.sense("heater_warm") is False
    assert after(world(), "heater_clamped", *warm).sense("heater_warm") is False


def test_much_trapped_air_starves_the_pump() -> None:
    made = world(car(trapped=2.5e-3))
    made.circuit.trapped = 2.5e-3
    after(made, "start_engine", 90.0)
    assert "run_dry" in kinds(made)
    assert not made.truth()["engine_fed"]


def test_poured_coolant_leaves_pockets_that_come_up_and_lower_the_level() -> None:
    made = after(world(), "open_neck", "drain", ("fill_to", {"where": "neck"}))
    pocket, spilled = made.truth()["trapped_volume"], made.truth()["spilled"]
    assert pocket == pytest.approx(0.5e-3, rel=0.05)
    assert made.sense("level") == "to_neck"
    after(made, "close_neck", "start_engine", 2400.0, "stop_engine", 20 * 3600.0)
    assert made.truth()["trapped_volume"] < 0.05 * pocket
    wanted = pocket - made.car.headspace + made.truth()["spilled"] - spilled
    assert made.truth()["level_missing"] == pytest.approx(wanted, abs=0.03e-3)


def test_cold_pockets_stay() -> None:
    made = after(world(), "open_neck", "drain", ("fill_to", {"where": "neck"}))
    before = made.truth()["trapped_volume"]
    made.wait(3600.0)
    assert made.truth()["trapped_volume"] == before


@pytest.mark.parametrize(
    ("missing", "seen"), [(0.0, "at_mark"), (0.4e-3, "low"), (1.5e-3, "empty")]
)
def test_level_by_eye(missing: float, seen: str) -> None:
    made = world(level=missing)
    assert made.sense("level") == seen
    assert made.sense("level_missing") == pytest.approx(missing, abs=1e-6)


def test_a_warm_level_stands_higher() -> None:
    # By hand: 8 L x 5e-4 1/K x 70 K = 280 mL, less what the hoses take.
    cold, hot = world(), world(arrives=85.0 + C)
    rise = float(cold.sense("level_missing")) - float(hot.sense("level_missing"))
    assert rise == pytest.approx(0.28e-3 - 0.5e-9 * hot.truth()["pressure"], rel=0.02)


def test_a_fan_starts_by_itself_after_a_stop_until_its_plug_is_out() -> None:
    made = world(place={"air": 308.15})
    after(made, "start_engine", 600.0)
    while made.warm.coolant < made.car.engine.fan_on - 2.0:
        made.wait(10.0)
    after(made, "stop_engine", "key_away")
    assert made.truth()["fan_can_start"]
    assert not made.truth()["fan_running"]
    made.wait(120.0)
    assert made.truth()["fan_running"]
    made.do("unplug_fan")
    assert not made.truth()["fan_running"]
    assert not made.truth()["fan_can_start"]
    made.wait(600.0)
    assert not made.truth()["fan_running"]


def test_a_fan_of_the_ignition_stops_with_it() -> None:
    made = world(arrives=100.0 + C, fan="electric")
    assert not made.truth()["fan_can_start"]
    after(made, "start_engine")
    assert made.truth()["fan_running"]
    made.do("stop_engine")
    assert not made.truth()["fan_running"]


def test_belts_move_with_the_engine() -> None:
    made = world()
    assert not made.truth()["belt_moving"]
    assert after(made, "start_engine").truth()["belt_moving"]
    assert not after(made, "stop_engine").truth()["belt_moving"]
    assert not after(world(fuel="none", drive="electric"), "start_engine").truth()["belt_moving"]


def test_what_lets_an_engine_start() -> None:
    assert not world().truth()["engine_can_start"]
    hybrid = world(drive="hybrid")
    assert hybrid.truth()["engine_can_start"]
    assert not after(hybrid, "key_away").truth()["engine_can_start"]
    assert not hybrid.do("start_engine")
    afar = after(world(remote=True), "key_away")
    assert afar.truth()["engine_can_start"]
    assert not after(afar, "battery_off").truth()["engine_can_start"]


def test_stands() -> None:
    made = after(world(), "raise_car")
    assert (made.truth()["raised"], made.truth()["stood"]) == (True, False)
    after(made, "set_stands")
    assert not made.truth()["stood"]
    after(made, "push_rock")
    assert made.truth()["stood"]
    after(made, "crank", "start_engine")
    assert not made.truth()["stood"]
    soft = after(world(place={"firm": False}), "raise_car", "set_stands")
    assert not soft.do("push_rock")
    assert not soft.truth()["raised"]
    bare = after(world(place={"stands": False}), "raise_car")
    assert not bare.do("set_stands")


def test_a_cylinder_is_wet_when_looked_into_and_dry_when_blown_out() -> None:
    made = world(leaking(4.0), fault="head_gasket", part="head_gasket", goes="cylinder")
    after(made, "open_neck", "fit_tester", ("pump_to", {"pressure": 100e3}), 900.0)
    assert made.truth()["cylinder_liquid"] == pytest.approx(45e-6, rel=0.4)
    assert made.sense("cylinder_wet") is False
    after(made, "plugs_out")
    assert made.sense("cylinder_wet") is True
    after(made, ("blow_dry", {"part": "cylinder"}))
    assert made.sense("cylinder_wet") is False
    assert made.truth()["in_cylinder"] > 10e-6


def test_a_running_engine_blows_a_little_liquid_out() -> None:
    made = world(fault="head_gasket", part="head_gasket", goes="cylinder")
    made.cylinder = 8e-6
    after(made, "start_engine", 10.0)
    assert kinds(made) == set()
    assert made.truth()["cylinder_liquid"] == 0.0


def test_a_head_that_gives_gas_presses_and_shows_gas() -> None:
    sound, blown = world(), world(inflow=100e-6 / 60.0, fault="head_gasket", part="head_gasket")
    for made in (sound, blown):
        after(made, "start_engine", 120.0)
    assert blown.truth()["pressure"] > sound.truth()["pressure"] + 20e3
    assert (sound.sense("gas_in_coolant"), blown.sense("gas_in_coolant")) == (False, True)
    after(blown, "stop_engine", 7200.0, "open_neck", ("take_off", {"part": "head"}))
    after(blown, ("put_on", {"part": "head"}), ("fill_to", {"where": "mark"}), "close_neck")
    assert not blown.truth()["leaking"]


def test_oil_and_fluid_are_mixed_by_a_run() -> None:
    made = world(leaking(6.0), fault="radiator_cooler", part="radiator", goes="fluid")
    after(made, "open_neck", "fit_tester", ("pump_to", {"pressure": 100e3}), 600.0)
    assert not made.truth()["oil_mixed"]
    assert made.sense("wet_place") == "none"
    after(made, "let_off", "start_engine", 10.0)
    assert made.truth()["oil_mixed"]
    assert made.sense("fluid_look") == "milky"


def test_wet_places_are_seen_wiped_and_come_again() -> None:
    made = world(leaking(), fault="radiator", part="radiator")
    after(made, "open_neck", "fit_tester", ("pump_to", {"pressure": 100e3}), 300.0)
    assert made.sense("wet_place") == "radiator"
    after(made, ("wipe", {"part": "radiator"}))
    assert made.sense("wet_place") == "none"
    made.wait(300.0)
    assert made.sense("wet_place") == "radiator"
    assert made.sense("drip_rate") == pytest.approx(
        3e-6 / 60.0 * (made.truth()["pressure"] / 100e3) ** 0.6
    )


def test_a_heater_core_leaks_into_the_cabin_until_it_is_clamped_off() -> None:
    made = world(leaking(), fault="heater_core", part="heater_core", goes="cabin")
    after(made, "open_neck", "fit_tester", ("pump_to", {"pressure": 100e3}), 300.0)
    into = made.truth()["in_cabin"]
    assert into > 5e-6
    assert (made.sense("wet_place"), made.sense("cabin_fogged")) == ("carpet", True)
    after(made, "heater_clamped", 300.0)
    assert made.truth()["in_cabin"] == into


def test_a_botched_joint_leaks_and_is_mended_by_tightening() -> None:
    made = world(leaking(), fault="hose", part="upper_hose", botched=True)
    off_and_on = (
        "open_neck", ("take_off", {"part": "upper_hose"}), ("put_on", {"part": "upper_hose"}),
    )  # fmt: skip
    after(made, *off_and_on, ("fill_to", {"where": "mark"}))
    assert made.truth()["leaking"]
    after(made, "fit_tester", ("pump_to", {"pressure": 100e3}), 300.0)
    assert made.sense("wet_place") == "upper_hose"
    assert not after(made, ("tighten", {"part": "upper_hose"})).truth()["leaking"]
    sound = after(world(leaking(), fault="hose", part="upper_hose"), *off_and_on)
    assert not sound.truth()["leaking"]
    other = after(world(leaking(), fault="radiator", part="radiator"), *off_and_on)
    assert other.truth()["leaking"]
    kept = world(leaking(), fault="hose", part="upper_hose")
    after(kept, *off_and_on[:2], ("put_on", {"part": "upper_hose", "renewed": False}))
    assert kept.truth()["leaking"]


def test_a_loose_clamp_is_tightened() -> None:
    made = world(leaking(), fault="hose_clamp", part="lower_hose")
    assert not after(made, ("tighten", {"part": "clamp"})).truth()["leaking"]


def test_a_part_that_is_off_runs_out_to_its_height() -> None:
    made = after(world(), "open_pan", ("take_off", {"part": "upper_hose"}))
    assert made.truth()["liquid"] == pytest.approx(0.6 * 8e-3)
    assert made.truth()["in_pan"] == pytest.approx(0.4 * 8e-3)
    after(made, "open_neck", ("pour_in", {"litres": 1.0}))
    assert made.truth()["liquid"] == pytest.approx(0.6 * 8e-3)
    assert made.truth()["parts_off"] == ["upper_hose"]
    assert not after(made, "fit_tester").do("pump_to", pressure=50e3)


def test_a_radiator_takes_transmission_fluid_with_it() -> None:
    from weeptrace.practice.car import Transmission

    made = world(car(transmission=Transmission(0.5e-3, 0.15e-3)))
    assert made.sense("fluid_low") is False
    assert after(made, ("take_off", {"part": "radiator"})).sense("fluid_low") is True
    assert made.truth()["fluid_short"] == pytest.approx(0.65e-3)
    assert after(made, "top_fluid").sense("fluid_low") is False


def test_strength_mixes() -> None:
    made = after(world(level=4e-3), "open_neck", ("pour_in", {"litres": 4.0, "strength": 0.0}))
    assert made.truth()["strength"] == pytest.approx(0.25)
    assert made.sense("strength") == pytest.approx(0.25, abs=0.05)


def test_cold_coolant_cools_what_it_is_poured_into() -> None:
    made = world(arrives=60.0 + C, level=4e-3)
    after(made, "open_neck", ("pour_in", {"litres": 4.0}))
    # By hand: (14.8 + 12) kJ/K at 60 °C and 14.8 kJ/K at 15 °C.
    assert made.truth()["coolant_temperature"] - C == pytest.approx(
        (26.8 * 60.0 + 14.8 * 15.0) / 41.6, abs=0.2
    )


def test_what_cannot_be_done_is_not_done() -> None:
    made = world()
    before = made.truth()
    for act, how in (
        ("pump_to", {"pressure": 50e3}), ("pour_in", {"litres": 1.0}),
        ("draw_off", {"litres": 1.0}),
        ("fit_tester", {}), ("remove_tester", {}), ("let_off", {}), ("fill_by_vacuum", {}),
        ("pull_vacuum", {"pressure": -50e3}), ("close_neck", {}), ("stop_engine", {}), ("rev", {}),
        ("put_on", {"part": "belt"}), ("set_stands", {}), ("push_rock", {}), ("lower_car", {}),
        ("cover_pan", {}), ("pour_away", {}), ("dye_in", {}), ("come_out", {}),
        ("blow_dry", {"part": "cylinder"}), ("isolate_voltage", {}),
    ):  # fmt: skip
        assert made.do(act, **how) is False, act
    assert made.truth() == before


def test_senses_of_hoses_needle_and_cap() -> None:
    made = after(world(), "open_neck", "fit_tester", ("pump_to", {"pressure": 80e3}))
    assert made.sense("needle") == pytest.approx(80e3, abs=2e3)
    assert made.sense("hose_hard") is True
    assert after(made, "let_off").sense("hose_hard") is False
    assert made.sense("cap_opens") == pytest.approx(110e3, abs=4e3)
    weak = world(replace(car(), cap=replace(car().cap, opens=(60e3,))))  # type: ignore[type-var]
    assert weak.sense("cap_opens") == pytest.approx(60e3)
    hot = world(arrives=90.0 + C)
    assert hot.sense("hissing") is True
    assert after(hot, "open_neck").sense("hissing") is False


def test_a_drive_and_the_odometer() -> None:
    made = after(world(), ("drive", {"distance": 12e3, "time": 900.0}))
    assert (made.sense("odometer"), made.now) == (12e3, 900.0)
    assert made.sense("engine_running") is False
    assert not after(world(), "battery_off").do("drive", distance=1e3, time=60.0)
