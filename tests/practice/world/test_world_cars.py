"""Cars of the world: read from a file, refused with their path, drawn; the lists; the time."""

from __future__ import annotations

import inspect
import time
from collections import Counter
from typing import Any

import pytest

from tests.practice.world.benches import after
from weeptrace.practice.describe import names
from weeptrace.practice.world.acts import ACTS, SENSES, TRUTHS
from weeptrace.practice.world.cars import AT, world_from, world_load
from weeptrace.practice.world.drawn import FAULTS, some_car
from weeptrace.practice.world.parts import PARTS
from weeptrace.practice.world.senses import SENSED
from weeptrace.practice.world.world import DOES, World
from weeptrace.refusal import Refusal

Json = dict[str, Any]


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


def plain(**own: Any) -> Json:
    """A car's description with a ``[world]`` table."""
    return {
        "name": "bench", "hoses": {"compliance": q(0.5, "mL/kPa")}, "temperature": q(12, "°C"),
        "leaks": [{"place": "seam", "flow_100": q(1, "mL/min")}],
        "conditions": {"cold": {"liquid": q(6, "L"), "gas": q(1, "L"), "pressure": q(0, "kPa")}},
        "world": own,
    }  # fmt: skip


WHOLE: Json = {
    "fault": "radiator", "part": "lower_hose", "goes": "oil", "drive": "hybrid", "loop": "battery",
    "fuel": "diesel", "fan": "electric", "remote": True, "botched": True, "near_exhaust": True,
    "arrives": q(80, "°C"), "level": q(0.5, "L"), "weakest": q(90, "kPa"),
    "headspace": q(600, "mL"), "inflow": q(60, "mL/min"), "swept": q(0.5, "L"), "ratio": q(17, "1"),
    "air": q(20, "°C"), "room": q(150, "m³"), "container": q(5, "L"), "firm": False, "closed": True,
    "creature": True, "relief": False, "stands": False, "weather": "rain",
}  # fmt: skip


def test_a_description_is_carried_over_whole() -> None:
    found = world_from(plain(**WHOLE))
    wanted = {
        "arrives": 353.15, "level": 0.5e-3, "weakest": 90e3, "headspace": 0.6e-3, "inflow": 1e-6,
        "swept": 0.5e-3, "ratio": 17.0, "air": 293.15, "room": 150.0, "container": 5e-3,
    }  # fmt: skip
    for key, given in WHOLE.items():
        value = getattr(found, key, getattr(found.place, key, None))
        assert value == (pytest.approx(wanted[key]) if key in wanted else given), key


def test_everything_may_be_left_out() -> None:
    found = world_from(plain())
    assert (found.fault, found.part, found.goes) == ("hose", "upper_hose", "outside")
    assert found.place.air == found.arrives == pytest.approx(285.15)
    assert (found.capacity, found.headspace) == (8e-3, pytest.approx(0.64e-3))
    bare = plain()
    del bare["world"]
    assert world_from(bare) == found
    assert world_from(plain(drive="electric")).fuel == "none"
    assert world_from({**plain(), "leaks": []}).fault == "none"


@pytest.mark.parametrize(
    ("key", "value", "where"),
    [
        ("fault", "gremlin", "world.fault"),
        ("part", "bonnet", "world.part"),
        ("weather", "snow", "world.weather"),
        ("remote", "yes", "world.remote"),
        ("closed", 1, "world.closed"),
        ("arrives", q(200, "°C"), "world.arrives"),
        ("level", q(5, "kPa"), "world.level"),
        ("weakest", q(1, "kPa"), "world.weakest"),
        ("colour", "green", "world"),
    ],
)
def test_what_is_wrong_is_refused_by_its_path(key: str, value: Any, where: str) -> None:
    with pytest.raises(Refusal) as refused:
        world_from(plain(**{key: value}))
    assert refused.value.path == where


@pytest.mark.parametrize("name", names())
def test_each_practice_car_stands_in_a_world_of_its_own(name: str) -> None:
    found = world_load(name)
    assert found.fault != "none" or not found.car.leaks
    made = World(found, 1)
    after(made, "start_engine", 600.0, "stop_engine", ("leave_alone", {"time": 36000.0}))
    assert all(-1e5 < made.truth()[key] < 1e5 for key in ("pressure", "gas_volume"))


def test_the_drawn_cars_differ_in_all_that_matters() -> None:
    cars = [some_car(seed) for seed in range(220)]
    assert Counter(each.fault for each in cars) == dict.fromkeys(FAULTS, 20)
    assert {each.drive for each in cars} == {"none", "hybrid", "electric"}
    assert {each.loop for each in cars} == {"engine", "heater", "inverter", "battery"}
    assert {each.fan for each in cars} == {"electric", "after_run", "any_time", "belt"}
    assert {each.place.weather for each in cars} == {"still", "wind", "rain"}
    assert {each.goes for each in cars} == {"outside", "cylinder", "oil", "cabin", "fluid"}
    assert len({each.car.altitude for each in cars}) >= 5
    hot = [each.arrives > 340.0 for each in cars]
    assert 60 < sum(hot) < 160
    for flag in ("firm", "closed", "creature", "relief", "stands"):
        assert len({getattr(each.place, flag) for each in cars}) == 2, flag
    for each in cars:
        assert each.part in PARTS or each.fault == "none"
        assert 0.0 <= each.level < each.capacity
        assert not (each.voltage_near and each.drive == "none")


def test_the_same_seed_gives_the_same_car_and_the_same_world() -> None:
    assert some_car(7) == some_car(7) != some_car(18)
    ends = []
    for seed in (1, 1, 2):
        made = World(some_car(7), seed)
        after(made, "start_engine", 300.0)
        ends.append([made.sense("coolant_temperature"), made.sense("strength")])
    assert ends[0] == ends[1] != ends[2]


def test_every_fault_has_its_place() -> None:
    assert set(AT) == set(FAULTS)
    assert all(part in PARTS for part, _ in AT.values() if part)


def test_the_acts_listed_are_the_acts_and_what_each_is_told() -> None:
    assert set(ACTS) == set(DOES)
    for name, told in ACTS.items():
        has = list(inspect.signature(DOES[name]).parameters.values())[1:]
        assert tuple(
            p.name + ("" if p.default is inspect.Parameter.empty else "?") for p in has
        ) == told, name  # fmt: skip


def test_the_senses_and_truths_listed_are_there() -> None:
    assert set(SENSES) == set(SENSED)
    made = World(some_car(3), 3)
    assert set(made.truth()) == set(TRUTHS)
    assert all(isinstance(made.sense(each), float | bool | str) for each in SENSES)


def test_an_act_that_there_is_not_is_a_slip() -> None:
    made = World(some_car(3), 3)
    with pytest.raises(KeyError):
        made.do("sing")
    with pytest.raises(KeyError):
        made.do("take_off", part="spoiler")


@pytest.mark.parametrize("seed", range(0, 22, 3))
def test_a_whole_job_and_two_nights_take_under_0_3_s(seed: int) -> None:
    made = World(some_car(seed), seed)
    begun = time.process_time()
    after(
        made, ("leave_alone", {"time": 3600.0}), "start_engine", 1800.0, "stop_engine", 3600.0,
        "open_neck", ("fill_to", {"where": "neck"}), "fit_tester", ("pump_to", {"pressure": 9e4}),
        2700.0, "remove_tester", "close_neck", ("drive", {"distance": 20e3, "time": 1500.0}),
        ("leave_alone", {"time": 12 * 3600.0}), "start_engine", 1200.0, "stop_engine",
        ("leave_alone", {"time": 12 * 3600.0}), "hand_back",
    )  # fmt: skip
    assert time.process_time() - begun < 0.3
