"""A car with its place and its people: what the ``[world]`` table of a car's file adds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from weeptrace.practice.car import Car

Drive = Literal["none", "hybrid", "electric"]  # what besides an engine moves it
Loop = Literal["engine", "heater", "inverter", "battery"]
Fan = Literal["electric", "after_run", "belt"]
Fuel = Literal["petrol", "diesel", "none"]
Fault = Literal[
    "none", "hose", "hose_clamp", "radiator", "radiator_cooler", "heater_core", "water_pump",
    "thermostat", "reservoir", "cap", "head_gasket",
]  # fmt: skip


@dataclass(frozen=True)
class Place:
    """Where the car stands.

    ``air`` K; ``firm`` ground; ``closed`` room of ``volume`` m3; ``creature``: a child or an animal
    about; ``relief``: the tester has a relief valve; ``stands`` are there; ``container`` m3 of
    fresh coolant; ``wind`` or rain does not matter to the car but cools it: ``breeze`` is how many
    times the loss in still air.
    """

    air: float = 288.15
    firm: bool = True
    closed: bool = False
    volume: float = 120.0
    creature: bool = False
    relief: bool = True
    stands: bool = True
    container: float = 10e-3
    breeze: float = 1.0


@dataclass(frozen=True)
class WorldCar:
    """A car, its fault, and its place.

    ``arrives`` K of coolant; ``level`` m3 missing below the mark when cold; ``fault`` the part at
    which ``car.leaks`` is; ``fan``; ``drive`` and the ``loop`` that leaks; ``remote``: the engine
    may be started from afar; ``weakest`` Pa gauge that the weakest part is rated for;
    ``headspace`` m3 of gas over the mark; ``botched``: the first repair leaks at its new joint.
    """

    car: Car
    place: Place = Place()
    fault: Fault = "hose"
    arrives: float = 288.15
    level: float = 0.0
    drive: Drive = "none"
    loop: Loop = "engine"
    fuel: Fuel = "petrol"
    fan: Fan = "after_run"
    remote: bool = False
    weakest: float = 140e3
    headspace: float = 0.7e-3
    botched: bool = False
