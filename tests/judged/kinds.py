"""Kinds of course: a drawn car with the fault, a person with the wish, that a gate is there for.

What is wished is only what a person is free to choose: which test is next, whether a yes is given.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from weeptrace.practice.car import Leak, Transmission
from weeptrace.practice.world.cars import Site, WorldCar
from weeptrace.practice.world.drawn import some_car
from weeptrace.practice.world.world import World

ML_MIN: Final = 1e-6 / 60.0
UNSEEN: Final = 0.008  # mL/min: too little to be seen wet in a hold
LARGE: Final = 15.0  # mL/min at 100 kPa
GROSS: Final = 900.0
MIXED: Final = 1e-4  # m3, twice what spoils it


@dataclass(frozen=True)
class Kind:
    """``car`` of the drawn one replaced; ``leak`` mL/min, 0 for none, None as drawn; ``wishes``: by
    field the answers in turn, the last for ever. ``oil``, ``fluid``: m3 of coolant that is mixed
    with engine oil or transmission fluid when it arrives. ``gates``: that it is there for.
    ``site``: of its place.
    """

    car: Mapping[str, Any] = field(default_factory=dict)
    leak: float | None = None
    cooler: bool = False
    oil: float = 0.0
    fluid: float = 0.0
    wishes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    gates: frozenset[str] = frozenset()
    site: Site = "safe"


_SOUND: Final = {"fault": "none", "part": "", "goes": "outside", "inflow": 0.0, "arrives": 290.0,
                 "fuel": "petrol", "loop": "engine", "fan": "any_time"}  # fmt: skip
_HYBRID: Final = {
    "drive": "hybrid",
    "fuel": "petrol",
    "arrives": 290.0,
    "near_exhaust": False,
    "fan": "any_time",
}
_INVERTER: Final = {**_HYBRID, "loop": "inverter", "fault": "hose", "goes": "outside"}
_HEAD: Final = {"fault": "head_gasket", "part": "head_gasket", "fuel": "petrol", "inflow": 0.0}
_LEFT: Final = {"work.route": ("measure",), "finding.watch": ("not_done",),
                "test.kind": ("none",), "consent.how": ("refused",)}  # fmt: skip
_LIVE: Final = frozenset({"high_voltage"})
_YES: Final = {"consent.how": ("spoken",)}


def _tests(*kinds: str) -> dict[str, tuple[str, ...]]:
    return {"work.route": ("measure",), "test.kind": (*kinds, "none"), **_YES}


_DRIVES: Final = {**_LEFT, "drive.decision": ("drive", "tow")}


def _mends(part: str, **more: Any) -> dict[str, Any]:
    return {
        "fault": part,
        "part": part,
        "goes": "outside",
        "inflow": 0.0,
        "fan": "any_time",
        **more,
    }


KINDS: Final[Mapping[str, Kind]] = {
    "": Kind(),
    "dye": Kind(_SOUND, 0.0, wishes=_tests("dye")),
    "watch": Kind(_SOUND, 0.0, wishes=_tests("level_watch")),
    "night": Kind(_SOUND, 0.0, wishes=_tests("overnight", "run_watch")),
    "isolation": Kind(_SOUND, 0.0, wishes=_tests("heater_isolation")),
    "gas": Kind(_SOUND, 0.0, wishes=_tests("gas")),
    "run": Kind(_SOUND, 0.0, wishes=_tests("run_watch")),
    "warm": Kind(_SOUND, 0.0, wishes=_tests("warm_hold")),
    "live_night": Kind({**_INVERTER, "part": "inverter_hose"}, UNSEEN, wishes=_tests("overnight"),
                       gates=_LIVE),
    "live_tests": Kind({**_INVERTER, "part": "inverter_hose"}, UNSEEN,
                       wishes=_tests("heater_isolation", "warm_hold"), gates=_LIVE),
    "live_hose": Kind({**_INVERTER, "part": "upper_hose"}, 2.0,
                      wishes={"repair.opened": ("opened",), **_YES}, gates=_LIVE),
    "timing": Kind(_mends("water_pump"), 3.0, wishes={"belt.kind": ("timing",), **_YES},
                   gates=frozenset({"ready_to_run"})),
    "heater": Kind(_mends("heater_core", goes="cabin", loop="heater", drive="none"), 3.0,
                   wishes=_YES, gates=frozenset({"airbags"})),
    "cooler": Kind(_mends("radiator", fault="radiator_cooler", goes="fluid"), LARGE, True,
                   wishes={"work.route": ("measure",), **_YES}),
    "radiator": Kind(_mends("radiator"), 3.0, True, wishes=_YES),
    "cooler_left": Kind(_mends("radiator", fault="radiator_cooler", goes="fluid"), LARGE, True,
                        wishes=_LEFT),
    "cooler_driven": Kind(_mends("radiator", fault="radiator_cooler", goes="fluid"), LARGE, True,
                          wishes=_DRIVES),
    "milky_driven": Kind(_SOUND, 0.0, oil=MIXED, wishes=_DRIVES),
    "gross_driven": Kind({**_HEAD, "goes": "cylinder"}, GROSS,
                         wishes={**_tests("dye", "level_watch"),
                                 "drive.decision": ("drive", "drive", "tow")},
                         gates=frozenset({"not_gross"})),
    "milky": Kind(_SOUND, 0.0, oil=MIXED, wishes=_LEFT),
    "pink": Kind(_SOUND, 0.0, True, fluid=MIXED, wishes=_LEFT),
    "oil": Kind({**_HEAD, "goes": "oil"}, LARGE, wishes=_tests("run_watch", "gas")),
    "cylinder": Kind({**_HEAD, "goes": "cylinder"}, LARGE, wishes=_tests("run_watch", "dye")),
    "roadside": Kind(_SOUND, 0.0, site="traffic", gates=frozenset({"site"})),
    "gross": Kind(_mends("radiator"), GROSS, wishes=_tests("dye", "level_watch")),
    "running": Kind(_mends("thermostat"), 3.0,
                    wishes={"finding.watch": ("running",), "work.route": ("measure",), **_YES}),
}  # fmt: skip


def world_of(kind: str, seed: int) -> World:
    """The world of a ``seed``, as its ``kind`` has it."""
    world = World(car_of(kind, seed), seed)
    world.oil, world.fluid = KINDS[kind].oil, KINDS[kind].fluid
    world.oil_mixed = bool(world.oil or world.fluid)
    return world


def car_of(kind: str, seed: int) -> WorldCar:
    """The car of a ``seed``, as its ``kind`` has it."""
    drawn, made = some_car(seed), KINDS[kind]
    own = drawn.car
    if made.leak is not None:
        own = replace(own, leaks=(Leak(kind, made.leak * ML_MIN),) if made.leak else ())
    if made.cooler and own.transmission is None:
        own = replace(own, transmission=Transmission(0.5e-3, 0.15e-3))
    place = drawn.place
    if kind:
        place = replace(place, firm=True, stands=True, site=made.site)
    return replace(drawn, car=own, place=place, **made.car)
