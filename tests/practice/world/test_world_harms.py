"""Each harm is provoked by the wrong act and avoided by the proper one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.practice.world.benches import C, Step, after, car, kinds, leaking, world
from weeptrace.practice.world import harms
from weeptrace.practice.world.harms import HARMS

Case = tuple[str, str, dict[str, Any], list[Step], list[Step]]

HOT: dict[str, Any] = {"arrives": 95.0 + C}
RAISED: list[Step] = ["raise_car", "set_stands", "push_rock"]
TESTED: list[Step] = ["open_neck", "fit_tester", ("pump_to", {"pressure": 100e3}), 1800.0]
COOLS: list[Step] = ["unplug_fan", ("leave_alone", {"time": 4 * 3600.0})]
WET: dict[str, Any] = {
    "own": leaking(4.0), "fault": "head_gasket", "part": "head_gasket", "goes": "cylinder",
}  # fmt: skip
HOSE: dict[str, Any] = {"fault": "hose", "part": "upper_hose"}
MILE: Step = ("drive", {"distance": 1e3, "time": 100.0})
MARK: Step = ("fill_to", {"where": "mark"})
NECK: Step = ("fill_to", {"where": "neck"})
HYBRID: dict[str, Any] = {"drive": "hybrid", "loop": "inverter", "part": "inverter_hose"}
PRESSED: dict[str, Any] = {"own": leaking(9.0), "fault": "hose", **HYBRID}
COOLER: dict[str, Any] = {
    "own": leaking(6.0), "fault": "radiator_cooler", "part": "radiator", "goes": "fluid",
}  # fmt: skip
BACK: Step = "hand_back"

# Name, harm, car, what brings it on, what does not.
CASES: list[Case] = [
    ("opened hot", "sprayed", HOT, ["open_neck"], [*COOLS, "open_neck"]),
    ("hose off hot", "sprayed", HOT, [("take_off", {"part": "upper_hose"})],
     [*COOLS, "open_neck", ("take_off", {"part": "upper_hose"})]),
    ("hose off warm, unpressed", "burnt", {"arrives": 75.0 + C},
     ["open_neck", ("take_off", {"part": "lower_hose"})],
     [*COOLS, "open_neck", ("take_off", {"part": "lower_hose"})]),
    ("drained hot", "burnt", {"arrives": 80.0 + C}, ["drain"], [*COOLS, "open_neck", "drain"]),
    ("hot manifold", "burnt", {}, ["start_engine", 600.0, ("touch_hot", {"part": "exhaust"})],
     ["start_engine", 600.0, "stop_engine", 9 * 3600.0, ("touch_hot", {"part": "exhaust"})]),
    ("plugs out of a hot head", "burnt", HOT, ["plugs_out"], [*COOLS, "plugs_out"]),
    ("face over a boiling neck", "burnt", {},
     ["open_neck", "start_engine", 1500.0, "face_over_neck"], ["open_neck", "face_over_neck"]),
    ("poured into steam", "burnt", {"arrives": 112.0 + C},
     ["open_neck", ("pour_in", {"litres": 1.0})],
     [*COOLS, "open_neck", ("pour_in", {"litres": 1.0})]),
    ("fan of a hot engine", "caught", HOT, ["reach_near_fan"], ["battery_off", "reach_near_fan"]),
    ("fan, battery off", "caught", HOT, ["reach_near_fan"], ["battery_off", "reach_near_fan"]),
    ("fan, cooled", "caught", HOT, ["reach_near_fan"],
     [("leave_alone", {"time": 3 * 3600.0}), "reach_near_fan"]),
    ("belt, running", "caught", {}, ["start_engine", "reach_near_belt"],
     ["start_engine", "stop_engine", "reach_near_belt"]),
    ("belt of a ready hybrid", "caught", {"drive": "hybrid"}, ["reach_near_belt"],
     ["key_away", "reach_near_belt"]),
    ("belt, started from afar", "caught", {"remote": True}, ["key_away", "reach_near_belt"],
     ["battery_off", "reach_near_belt"]),
    ("belt, somebody inside", "caught", {}, ["get_in", "reach_near_belt"],
     ["get_in", "key_away", "reach_near_belt"]),
    ("turned by hand, ready", "caught", {"drive": "hybrid"}, ["turn_by_hand"],
     ["battery_off", "turn_by_hand"]),
    ("neck beside a fan", "caught", HOT, ["open_neck"], ["battery_off", "open_neck"]),
    ("fan on the belt", "caught", {"fan": "belt"}, ["start_engine", "reach_near_fan"],
     ["reach_near_fan"]),
    ("under a jack", "crushed", {}, ["raise_car", "go_under"], [*RAISED, "go_under"]),
    ("stands not rocked", "crushed", {}, ["raise_car", "set_stands", "go_under"],
     [*RAISED, "go_under"]),
    ("soft ground", "crushed", {"place": {"firm": False}},
     ["raise_car", "set_stands", "go_under"], ["move_car", *RAISED, "go_under"]),
    ("rocked over a body", "crushed", {}, [*RAISED, "go_under", "push_rock"],
     [*RAISED, "push_rock", "go_under"]),
    ("let down on a body", "crushed", {}, [*RAISED, "go_under", "lower_car"],
     [*RAISED, "go_under", "come_out", "lower_car"]),
    ("started over a body", "crushed", {}, [*RAISED, "go_under", "start_engine"],
     [*RAISED, "start_engine", "stop_engine", "push_rock", "go_under"]),
    ("stands shaken by a run", "crushed", {}, [*RAISED, "start_engine", "stop_engine", "go_under"],
     [*RAISED, "start_engine", "stop_engine", "push_rock", "go_under"]),
    ("closed room", "gassed", {"place": {"closed": True}}, ["start_engine", 1800.0],
     ["open_air", "start_engine", 1800.0]),
    ("small garage", "gassed", {}, [("close_room", {"room": 50.0}), "start_engine", 700.0],
     [("close_room", {"room": 1e4}), "start_engine", 700.0]),
    ("inverter loop", "shocked", HYBRID, [("touch_voltage", {"loop": "inverter"})],
     ["isolate_voltage", ("touch_voltage", {"loop": "inverter"})]),
    ("hose of the inverter", "shocked", HYBRID, [("loosen", {"part": "inverter_hose"})],
     ["isolate_voltage", ("loosen", {"part": "inverter_hose"})]),
    ("isolated by anybody", "shocked", HYBRID, [("isolate_voltage", {"qualified": False})],
     ["isolate_voltage"]),
    ("engine loop of a hybrid", "shocked", HYBRID, [("touch_voltage", {"loop": "battery"})],
     [("touch_voltage", {"loop": "engine"}), ("touch_voltage", {"loop": "heater"})]),
    ("open pan", "poisoned", {"place": {"creature": True}},
     ["open_pan", "drain", ("leave_alone", {"time": 600.0})],
     ["open_pan", "drain", "cover_pan", ("leave_alone", {"time": 600.0})]),
    ("spill", "poisoned", {"place": {"creature": True}},
     ["drain", ("leave_alone", {"time": 600.0})],
     ["drain", "wash_spill", ("leave_alone", {"time": 600.0})]),
    ("pan put away", "poisoned", {"place": {"creature": True}},
     ["drain", ("leave_alone", {"time": 600.0})],
     ["open_pan", "drain", "pour_away", ("leave_alone", {"time": 60.0})]),
    ("on the manifold", "glycol_fire", {"arrives": 60.0 + C},
     ["start_engine", ("rev", {"time": 900.0}), "stop_engine", "open_neck"],
     ["start_engine", ("rev", {"time": 900.0}), "stop_engine", *COOLS, "open_neck"]),
    ("drips on the manifold", "glycol_fire", {"own": leaking(9.0), **HOSE, "near_exhaust": True},
     ["start_engine", ("rev", {"time": 900.0})], ["start_engine", 300.0]),
    ("idles without its fan in the heat", "overheated",
     {"own": car(altitude=1900.0), "place": {"air": 313.15}},
     ["unplug_fan", "open_neck", "start_engine", 7200.0],
     ["open_neck", "start_engine", 7200.0]),
    ("runs without coolant", "run_dry", {},
     ["open_neck", "drain", "close_neck", "start_engine", 120.0],
     ["open_neck", "drain", MARK, "close_neck", "start_engine", 120.0]),
    ("metal without coolant", "overheated", {},
     ["open_neck", "drain", "close_neck", "start_engine", 2400.0],
     ["open_neck", "drain", "close_neck", "start_engine", 30.0]),
    ("without its belt", "run_dry", {}, [("take_off", {"part": "belt"}), "start_engine", 120.0],
     [("take_off", {"part": "belt"}), ("put_on", {"part": "belt"}), "start_engine", 120.0]),
    ("wet cylinder", "hydrolocked", WET, [*TESTED, "let_off", "start_engine"],
     [*TESTED, "let_off", "plugs_out", "crank", "plugs_in", "start_engine"]),
    ("cranked wet", "hydrolocked", WET, [*TESTED, "let_off", "crank"],
     [*TESTED, "let_off", "turn_by_hand", "plugs_out",
      ("blow_dry", {"part": "cylinder"}), "plugs_in", "crank"]),
    ("timing belt slipped", "valves_bent", {}, ["slip_belt", "start_engine"],
     ["slip_belt", "turn_by_hand", "start_engine"]),
    ("pumped too high", "over_pressured", {},
     ["open_neck", ("fit_tester", {"relief": False}), ("pump_to", {"pressure": 125e3})],
     ["open_neck", ("fit_tester", {"relief": True}), ("pump_to", {"pressure": 125e3})]),
    ("run on a tester", "over_pressured", {},
     ["open_neck", NECK, ("fit_tester", {"relief": False}),
      "start_engine", 900.0],
     ["open_neck", NECK, "close_neck", "start_engine", 900.0]),
    ("coolant in the gearbox", "oil_spoilt", COOLER, [*TESTED, "start_engine", 60.0], [*TESTED]),
    ("wrong pole first", "battery_shorted", {}, [("battery_off", {"negative_first": False})],
     ["battery_off"]),
    ("refrigerant", "refrigerant_out", {}, ["open_refrigerant"],
     [("open_refrigerant", {"recovered": True})]),
    ("driven with the tray off", "driven_unfit", {},
     [("take_off", {"part": "tray"}), MILE],
     [("take_off", {"part": "tray"}), ("put_on", {"part": "tray"}), MILE]),
    ("driven open", "driven_unfit", {}, ["open_neck", MILE],
     ["open_neck", "close_neck", MILE]),
    ("driven with its fan off", "driven_unfit", {}, ["unplug_fan", MILE],
     ["unplug_fan", "plug_fan", MILE]),
    ("driven off its stands", "driven_unfit", {}, [*RAISED, MILE],
     [*RAISED, "lower_car", MILE]),
    ("trim off over live airbags", "struck", {}, [("take_off", {"part": "trim"})],
     ["battery_off", 600.0, ("take_off", {"part": "trim"})]),
    ("trim off at once", "struck", {}, ["battery_off", ("take_off", {"part": "trim"})],
     ["battery_off", 600.0, ("take_off", {"part": "trim"})]),
    ("pressed out of a loop of the inverter", "shocked", PRESSED, [*TESTED, 600.0],
     ["isolate_voltage", *TESTED, 600.0]),
    ("hands in what drips on the inverter", "shocked", PRESSED, ["open_neck"],
     ["isolate_voltage", "open_neck"]),
    ("drained over the battery", "shocked", {**HYBRID, "loop": "battery", "part": "hose"},
     ["open_neck", "drain"], ["isolate_voltage", "open_neck", "drain"]),
    ("clamps off a hot hose", "burnt", HOT, ["heater_unclamped"], [*COOLS, "heater_unclamped"]),
    ("run with clamps on", "over_pressured", {}, ["heater_clamped", "start_engine", 3600.0],
     ["heater_clamped", "heater_unclamped", "start_engine", 3600.0]),
    ("vacuum on hot coolant", "sprayed", {"arrives": 70.0 + C},
     ["open_neck", ("pull_vacuum", {"pressure": -90e3})],
     [*COOLS, "open_neck", ("pull_vacuum", {"pressure": -90e3})]),
    ("low", "handed_back_low", {"level": 1e-3}, [BACK],
     ["open_neck", MARK, "close_neck", BACK]),
    ("oil not changed", "oil_spoilt", COOLER, [*TESTED, "let_off", "start_engine", 60.0],
     [*TESTED, "let_off", "change_oils", "start_engine", 60.0]),
    ("mixed, driven home", "oil_spoilt", COOLER, [*TESTED, "let_off", BACK],
     [*TESTED, "let_off", "tow", BACK]),
    ("mixed, started again", "oil_spoilt", COOLER,
     [*TESTED, "let_off", "leave_standing", "start_engine", "stop_engine", BACK],
     [*TESTED, "let_off", "leave_standing", BACK]),
    ("with air", "handed_back_with_air", {},
     ["open_neck", "drain", MARK, "close_neck", BACK],
     ["open_neck", "drain", MARK, "start_engine", 2400.0, "stop_engine",
      ("leave_alone", {"time": 8 * 3600.0}), MARK, "close_neck", BACK]),
    ("air, towed", "handed_back_with_air", {},
     ["open_neck", "drain", MARK, "close_neck", "tow", "start_engine", "stop_engine", BACK],
     ["open_neck", "drain", MARK, "close_neck", "tow", BACK]),
    ("runs over", "poisoned", {"place": {"creature": True}},
     ["open_neck", NECK, "start_engine", 900.0, "stop_engine", ("leave_alone", {"time": 60.0})],
     ["open_neck", "open_pan", "cover_pan", NECK, "start_engine", 900.0, "stop_engine",
      ("leave_alone", {"time": 60.0})]),
    ("pan left behind", "poisoned", {"own": leaking(9.0), **HOSE, "place": {"creature": True}},
     ["open_pan", "cover_pan", MILE, 900.0, ("leave_alone", {"time": 60.0})],
     [MILE, "open_pan", "cover_pan", "wash_spill", 900.0, ("leave_alone", {"time": 60.0})]),
    ("tray left off", "handed_back_part_off", {}, [("take_off", {"part": "tray"}), BACK],
     [("take_off", {"part": "tray"}), ("put_on", {"part": "tray"}), BACK]),
    ("cap left off", "handed_back_part_off", {}, ["open_neck", BACK],
     ["open_neck", "close_neck", BACK]),
    ("heater left clamped", "handed_back_part_off", {}, ["heater_clamped", BACK],
     ["heater_clamped", "heater_unclamped", BACK]),
    ("fan left unplugged", "handed_back_fan_off", {}, ["unplug_fan", BACK],
     ["unplug_fan", "plug_fan", BACK]),
    ("battery left off", "handed_back_fan_off", {}, ["battery_off", BACK],
     ["battery_off", "battery_on", BACK]),
    ("leak not said", "handed_back_leaking_unsaid",
     {"own": leaking(), **HOSE}, [BACK],
     [("hand_back", {"said_leaking": True})]),
    ("leak mended", "handed_back_leaking_unsaid",
     {"own": leaking(), **HOSE}, [BACK],
     [("take_off", {"part": "upper_hose"}), ("put_on", {"part": "upper_hose"}), BACK]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "harm", "own", "wrong", "right"), CASES, ids=lambda v: str(v)[:40]
)
def test_a_harm_comes_by_the_wrong_act_and_not_by_the_proper_one(
    name: str, harm: str, own: dict[str, Any], wrong: list[Step], right: list[Step]
) -> None:
    assert harm in kinds(after(world(**own), *wrong)), name
    assert harm not in kinds(after(world(**own), *right)), name


def test_a_relief_valve_is_tried_on_the_neck() -> None:
    made = after(world(), "open_neck")
    assert not made.do("try_relief")
    made.do("fit_tester", relief=False)
    assert not made.do("try_relief")
    after(made, "remove_tester", ("fit_tester", {"relief": True}))
    assert made.do("try_relief")


def test_each_kind_of_harm_is_provoked() -> None:
    assert {case[1] for case in CASES} == set(HARMS)


def test_propylene_poisons_nobody() -> None:
    made = world(car(glycol="propylene"), {"creature": True})
    assert kinds(after(made, "drain", ("leave_alone", {"time": 600.0}))) == set()


@pytest.mark.parametrize(("above", "hurt"), [(1.0, True), (-1.0, False)])
def test_the_edge_of_a_scald(above: float, hurt: bool) -> None:
    made = world(arrives=harms.SCALD + above)
    assert made.truth()["pressure"] > harms.SPRAY
    assert ("sprayed" in kinds(after(made, "open_neck"))) is hurt


def test_cold_pressure_sprays_nobody_and_hot_without_it_neither() -> None:
    assert kinds(after(world(), *TESTED, "remove_tester")) == set()
    made = world(arrives=harms.SCALD + 5.0)
    made.circuit.opened()
    made.circuit.closed(110e3, 5e3)
    assert made.truth()["pressure"] < harms.SPRAY
    assert kinds(after(made, "open_neck")) == set()


def test_superheated_coolant_flashes_when_the_neck_opens() -> None:
    made = world(arrives=118.0 + C)
    made.do("battery_off")
    made.do("open_neck")
    assert kinds(made) == {"sprayed"}
    assert made.truth()["boiled_off"] > 0.1e-3
    assert made.truth()["coolant_temperature"] < 109.0 + C


def test_barely_boiling_coolant_flashes_without_pressure_to_speak_of() -> None:
    made = world(arrives=108.0 + C)
    made.circuit.state = replace(made.circuit.state, air=0.0)  # nothing but vapour above it
    assert 0.0 < made.truth()["pressure"] < harms.SPRAY
    assert kinds(after(made, "battery_off", "open_neck")) == {"sprayed"}


def test_a_tester_s_valve_lets_gas_off_but_a_brimful_hot_car_sprays() -> None:
    gas = after(world(arrives=60.0 + C), "open_neck")
    gas.harms.clear()
    after(gas, "fit_tester", ("pump_to", {"pressure": 50e3}), "let_off")
    assert kinds(gas) == set()
    full = after(world(headspace=1e-9, arrives=60.0 + C), "open_neck", NECK)
    full.harms.clear()
    after(full, ("fit_tester", {"relief": False}))
    full.circuit.warmed(64.0 + C)
    assert full.circuit.gas < 5e-6
    assert kinds(after(full, "let_off")) == {"sprayed"}


def test_a_lasting_harm_counts_once_until_it_is_over() -> None:
    made = after(world(place={"closed": True}), "start_engine", 2400.0)
    assert [h.kind for h in made.harms] == ["gassed"]
    after(made, "open_air", 60.0, "close_room", 1800.0)
    assert [h.kind for h in made.harms] == ["gassed", "gassed"]


def test_nobody_is_gassed_who_is_away() -> None:
    made = after(world(place={"closed": True}), "start_engine", ("leave_alone", {"time": 1800.0}))
    assert "gassed" not in kinds(made)
