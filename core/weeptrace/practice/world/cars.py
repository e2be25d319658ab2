"""A car with its place and its people: what the ``[world]`` table of a car's file adds."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, cast, get_args

from weeptrace.practice import CARS
from weeptrace.practice.car import Car, Engine
from weeptrace.practice.describe import car_from, load
from weeptrace.practice.tables import Fields, Table, no_others, quantities, table_of
from weeptrace.practice.world.parts import PARTS
from weeptrace.refusal import Refusal

Drive = Literal["none", "hybrid", "electric"]  # what besides an engine moves it
Loop = Literal["engine", "heater", "inverter", "battery"]
Fan = Literal["electric", "after_run", "any_time", "belt"]
Fuel = Literal["petrol", "diesel", "none"]
Weather = Literal["still", "wind", "rain"]
Site = Literal["safe", "traffic", "storm"]
Goes = Literal["outside", "cylinder", "oil", "cabin", "fluid"]
Fault = Literal[
    "none", "hose", "hose_clamp", "radiator", "radiator_cooler", "heater_core", "water_pump",
    "thermostat", "reservoir", "cap", "head_gasket",
]  # fmt: skip

# Where a fault sits and where its liquid goes, unless the file says otherwise.
AT: Final[dict[str, tuple[str, Goes]]] = {
    "none": ("", "outside"),
    "hose": ("upper_hose", "outside"),
    "hose_clamp": ("lower_hose", "outside"),
    "radiator": ("radiator", "outside"),
    "radiator_cooler": ("radiator", "fluid"),
    "heater_core": ("heater_core", "cabin"),
    "water_pump": ("water_pump", "outside"),
    "thermostat": ("thermostat", "outside"),
    "reservoir": ("reservoir", "outside"),
    "cap": ("cap", "outside"),
    "head_gasket": ("head_gasket", "cylinder"),
}
# Wind and rain carry heat off an open bonnet: own choice.
BREEZE: Final[dict[str, float]] = {"still": 1.0, "wind": 1.4, "rain": 1.5}
# The figures of the heated practice car: own choice.
ENGINE: Final = Engine(
    heat_capacity=80e3, power=7e3, loss=16.0, radiator_capacity=12e3, flow=900.0, still=60.0,
    fan=700.0, opens=355.15, full_open=365.15, fan_on=371.15, fan_off=365.15, heater_units=1.0,
)  # fmt: skip


@dataclass(frozen=True)
class Place:
    """Where the car stands.

    ``air`` K; ``firm`` ground; ``closed`` room of ``room`` m3; ``creature``: a child or an animal
    about; ``relief``: the tester has a relief valve; ``stands`` are there; ``container`` m3 of
    fresh coolant; ``weather`` cools an open bonnet; ``site``: beside traffic, or in a storm with
    lightning.
    """

    air: float = 288.15
    firm: bool = True
    closed: bool = False
    room: float = 120.0
    creature: bool = False
    relief: bool = True
    stands: bool = True
    container: float = 10e-3
    weather: Weather = "still"
    site: Site = "safe"


@dataclass(frozen=True)
class WorldCar:
    """A car, its fault, and its place.

    ``fault`` is at ``part``, and what leaks there ``goes`` outside, into a cylinder, the oil, the
    cabin or the transmission's fluid. ``arrives`` K of coolant; ``level`` m3 missing below the mark
    when cold; ``drive`` and the ``loop`` that leaks; ``fan``: on the belt, or electric, by itself
    with the engine alone, after a hot run too, or at any time (a timer, a relay that sticks);
    ``remote``: it may be started from afar, or charges; ``weakest`` Pa gauge that the weakest part
    is rated for; ``headspace`` m3 of gas over the mark; ``inflow`` m3/s of combustion gas while it
    runs; ``botched``: the first repair leaks at its new joint; ``near_exhaust``: it drips on the
    exhaust; ``swept`` m3 and ``ratio`` of a cylinder.
    """

    car: Car
    place: Place = Place()
    fault: Fault = "hose"
    part: str = "upper_hose"
    goes: Goes = "outside"
    arrives: float = 288.15
    level: float = 0.0
    drive: Drive = "none"
    loop: Loop = "engine"
    fuel: Fuel = "petrol"
    fan: Fan = "after_run"
    remote: bool = False
    weakest: float = 140e3
    headspace: float = 0.7e-3
    inflow: float = 0.0
    botched: bool = False
    near_exhaust: bool = False
    swept: float = 0.45e-3
    ratio: float = 10.5

    @property
    def engine(self) -> Engine:
        """The car's heat figures, or those of a usual one."""
        return self.car.engine or ENGINE

    @property
    def capacity(self) -> float:
        """What is inside at the mark when cold, m3."""
        return self.car.capacity or 8e-3

    @property
    def voltage_near(self) -> bool:
        """The loop that leaks runs through a high-voltage part."""
        return self.drive != "none" and self.loop in ("inverter", "battery")


_FIELDS: Final[Fields] = {
    "arrives": ("arrives", "temperature", 243.15, 400.0),
    "level": ("level", "volume", 0.0, 0.1),
    "weakest": ("weakest", "pressure", 10e3, 500e3),
    "headspace": ("headspace", "volume", 1e-4, 0.02),
    "inflow": ("inflow", "volume_flow", 0.0, 1.0),
    "swept": ("swept", "volume", 1e-4, 5e-3),
    "ratio": ("ratio", "ratio", 5.0, 30.0),
}
_PLACE: Final[Fields] = {
    "air": ("air", "temperature", 243.15, 330.0),
    "room": ("room", "volume", 10.0, 1e5),
    "container": ("container", "volume", 0.0, 0.1),
}
_CHOICES: Final[dict[str, Any]] = {
    "fault": Fault, "goes": Goes, "drive": Drive, "loop": Loop, "fuel": Fuel, "fan": Fan,
}  # fmt: skip
_FLAGS: Final = ("remote", "botched", "near_exhaust")
_PLACE_FLAGS: Final = ("firm", "closed", "creature", "relief", "stands")


def world_from(table: Table) -> WorldCar:
    """A car and its place from a description ``table``; what it has wrong is refused by its path.

    The ``[world]`` table may leave anything out, and may be missing.
    """
    return _world(car_from(table), table_of(table.get("world", {}), "world"))


def world_load(name: str) -> WorldCar:
    """A practice car by its file ``name`` with its place; refused where there is none."""
    car = load(name)
    given = tomllib.loads((CARS / f"{name}.toml").read_text("utf-8"))
    return _world(car, given.get("world", {}))


def _world(car: Car, table: Table) -> WorldCar:
    no_others(
        table,
        {*_FIELDS, *_PLACE, *_CHOICES, *_FLAGS, *_PLACE_FLAGS, "part", "weather", "site"},
        "world",
    )
    own: dict[str, Any] = {k: _one_of(table, k, c) for k, c in _CHOICES.items() if k in table}
    own |= quantities(table, _FIELDS, "world") | _flags(table, _FLAGS)
    place: dict[str, Any] = {"air": car.temperature}
    place |= quantities(table, _PLACE, "world") | _flags(table, _PLACE_FLAGS)
    if "weather" in table:
        place["weather"] = _one_of(table, "weather", Weather)
    if "site" in table:
        place["site"] = _one_of(table, "site", Site)
    fault = own.setdefault("fault", "hose" if car.leaks else "none")
    part, goes = AT[fault]
    own.setdefault("goes", goes)
    own["part"] = _one_of(table, "part", Literal[tuple(PARTS)]) if "part" in table else part
    own.setdefault("arrives", place["air"])
    rating = car.cap.rating if car.cap else 110e3
    own.setdefault("weakest", rating)
    own.setdefault("headspace", max(0.08 * (car.capacity or 8e-3), 0.4e-3))
    if own.get("drive") == "electric":
        own.setdefault("fuel", "none")
    made = WorldCar(car, Place(**place), **own)
    return made if car.capacity else replace(made, car=replace(car, capacity=8e-3))


def _one_of(table: Table, key: str, choice: Any) -> str:
    known = get_args(choice)
    if table[key] not in known:
        raise Refusal(
            "bad_input",
            "refused.describe.not_known",
            f"world.{key}",
            "accepted.these",
            {"key": str(table[key])[:40], "these": ", ".join(known)},
        )
    return cast(str, table[key])


def _flags(table: Table, known: tuple[str, ...]) -> dict[str, bool]:
    for key in known:
        if not isinstance(table.get(key, False), bool):
            raise Refusal(
                "bad_input",
                "refused.describe.not_known",
                f"world.{key}",
                "accepted.these",
                {"key": str(table[key])[:40], "these": ", ".join(("true", "false"))},
            )
    return {key: table[key] for key in known if key in table}
