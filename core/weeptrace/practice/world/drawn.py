"""Practice cars drawn by a seed: every kind of fault, fill, drive, arrival, height and weather."""

from __future__ import annotations

import random
from typing import Any, Final, get_args

from weeptrace.practice.car import Cap, Car, Hoses, Leak, Transmission
from weeptrace.practice.world.cars import AT, Drive, Fault, Goes, Place, Site, Weather, WorldCar

FAULTS: Final[tuple[Fault, ...]] = get_args(Fault)
_SITES: Final[tuple[Site, ...]] = get_args(Site)
_PER_MINUTE: Final = 1e-6 / 60.0
# Where the coolant of a blown head gasket goes: own choice.
_HEAD: Final[tuple[Goes, ...]] = ("cylinder", "cylinder", "oil", "outside")


def some_car(seed: int) -> WorldCar:
    """The car of a ``seed``: the same for the same seed; eleven in a row have each fault once."""
    rng = random.Random(seed)
    fault = FAULTS[seed % len(FAULTS)]
    part, goes = AT[fault]
    capacity = rng.uniform(4.5e-3, 13e-3)
    rating = rng.choice([90e3, 110e3, 140e3])
    air = 273.15 + rng.uniform(1.0, 34.0)
    drive, loop = _drive(rng, fault)
    fuel: Any = "none" if drive == "electric" else rng.choice(["petrol", "petrol", "diesel"])
    if fault == "head_gasket":
        goes = rng.choice(_HEAD)
    own: dict[str, Any] = {
        "arrives": air if rng.random() < 0.5 else 273.15 + rng.uniform(70.0, 100.0),
        "level": rng.choice([0.0, 0.2e-3, 0.1 * capacity, 0.3 * capacity]),
        "fan": "belt" if fuel == "diesel" and rng.random() < 0.3 else _fan(rng),
        "remote": rng.random() < 0.2,
        "botched": rng.random() < 0.2,
        "near_exhaust": goes == "outside" and rng.random() < 0.1,
        "inflow": rng.uniform(60.0, 300.0) * _PER_MINUTE if fault == "head_gasket" else 0.0,
        "weakest": rating,
        "headspace": max(0.08 * capacity, 0.4e-3),
        "swept": rng.uniform(0.3e-3, 0.6e-3),
        "ratio": 17.0 if fuel == "diesel" else 10.5,
    }
    if loop in ("inverter", "battery"):
        part = "inverter_hose" if loop == "inverter" else "battery_cooler"
    return WorldCar(
        _car(rng, seed, fault, capacity, rating, air), _place(rng, air), fault=fault, part=part,
        goes=goes, drive=drive, loop=loop, fuel=fuel, **own,
    )  # fmt: skip


def _drive(rng: random.Random, fault: Fault) -> tuple[Drive, Any]:
    if fault in ("hose", "hose_clamp", "heater_core"):
        drive: Drive = rng.choice(["none", "hybrid", "electric"])
    else:
        drive = rng.choice(["none", "none", "hybrid"])
    if fault == "heater_core":
        return drive, "heater"
    if drive != "none" and fault in ("hose", "hose_clamp"):
        return drive, rng.choice(["inverter", "battery", "engine"])
    return drive, "engine"


def _fan(rng: random.Random) -> str:
    return rng.choice(["electric", "after_run", "after_run", "any_time"])


def _car(
    rng: random.Random, seed: int, fault: Fault, capacity: float, rating: float, air: float
) -> Car:
    flow = 10.0 ** rng.uniform(-0.7, 1.3) * _PER_MINUTE
    closed = 318.15 if fault == "radiator" and rng.random() < 0.4 else None
    leak = Leak(fault, flow, rng.uniform(0.5, 0.9), closed_above=closed)
    if fault == "water_pump":  # a worn seal leaks as it turns, and often at rest as well
        leak = Leak(fault, rng.choice([0.0, flow]), turning=flow)
    sound = fault in ("none", "cap")
    opens = rating * (rng.uniform(0.4, 0.7) if fault == "cap" else rng.uniform(0.98, 1.03))
    automatic = fault == "radiator_cooler" or rng.random() < 0.3
    return Car(
        name=str(seed),
        hoses=Hoses(rng.uniform(0.3e-9, 0.9e-9), 0.03),
        altitude=rng.choice([0.0, 50.0, 300.0, 900.0, 1900.0, 3000.0]),
        temperature=air,
        glycol=rng.choice(["ethylene", "ethylene", "ethylene", "propylene"]),
        strength=rng.uniform(0.35, 0.6),
        leaks=() if sound else (leak,),
        cap=Cap(rating, (opens,)),
        capacity=capacity,
        trapped=rng.choice([0.0, 0.2e-3, 0.5e-3]),
        reservoir=rng.choice([0.0, 0.5e-3]),
        transmission=Transmission(0.5e-3, 0.15e-3) if automatic else None,
    )


def _place(rng: random.Random, air: float) -> Place:
    weather: Weather = rng.choice(["still", "still", "wind", "rain"])
    return Place(
        air=air,
        firm=rng.random() < 0.8,
        closed=weather != "wind" and rng.random() < 0.3,
        room=rng.uniform(60.0, 400.0),
        creature=rng.random() < 0.3,
        relief=rng.random() < 0.7,
        stands=rng.random() < 0.9,
        container=rng.uniform(2e-3, 14e-3),
        weather=weather,
        site=rng.choices(_SITES, (96, 2, 2))[0],
    )
