"""A plain car on a bench for tests of the world, and what is done with it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from weeptrace.practice.car import Cap, Car, Hoses, Leak
from weeptrace.practice.world.cars import Place, WorldCar
from weeptrace.practice.world.world import World

C = 273.15
ML_MIN = 1e-6 / 60.0
Step = tuple[str, dict[str, Any]] | float | str


def car(**more: Any) -> Car:
    """8 L at sea level, 110 kPa cap, hoses that do not creep; ``more`` overrides."""
    plain = Car(
        "bench", Hoses(0.5e-9), temperature=288.15, cap=Cap(110e3), capacity=8e-3, trapped=0.5e-3
    )
    return replace(plain, **more)


def world(own: Car | None = None, place: dict[str, Any] | None = None, **more: Any) -> World:
    """The world of a bench car in a ``place``, with ``more`` of ``WorldCar``."""
    more = {"weakest": 110e3, "fault": "none", "part": "", **more}
    return World(WorldCar(own or car(), Place(**(place or {})), **more), 1)


def leaking(flow: float = 3.0, **more: Any) -> Car:
    """The bench car with a leak of ``flow`` mL/min at 100 kPa."""
    return car(leaks=(Leak("bench", flow * ML_MIN),), **more)


def after(made: World, *steps: Step) -> World:
    """The world after some steps: an act by name, an act with how, or s that pass."""
    for step in steps:
        if isinstance(step, float):
            made.wait(step)
        elif isinstance(step, str):
            made.do(step)
        else:
            made.do(step[0], **step[1])
    return made


def kinds(made: World) -> set[str]:
    """The kinds of harm so far."""
    return {each.kind for each in made.harms}


def accounted(made: World) -> float:
    """Litres of liquid that are somewhere, less all that ever came, m3: zero where none is lost."""
    true = made.truth()
    somewhere = sum(
        true[k]
        for k in (
            "liquid", "in_bottle", "leaked", "spilled", "boiled_off", "drawn", "in_pan",
            "taken_away", "in_oil", "in_fluid", "in_cabin", "in_cylinder",
        )
    )  # fmt: skip
    return float(somewhere - true["start_liquid"] - true["poured"])
