"""A car from its description: the same shape as a TOML file in ``cars/`` and as JSON at the door.

A quantity is ``{value, unit}``. ``load("larkspur_seam")`` reads one that comes with this version.
"""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any, Final

from weeptrace.practice import CARS, names
from weeptrace.practice.car import Cap, Car, Condition, Engine, Hoses, Leak, Transmission
from weeptrace.practice.course import Course, drift
from weeptrace.practice.tables import (
    Fields,
    Table,
    entries,
    need,
    no_others,
    numbers,
    quantities,
    quantity,
    table_of,
)
from weeptrace.refusal import Refusal

_HOSES: Final[Fields] = {
    "compliance": ("compliance", "compliance", 0.0, 1e-6),
    "creep_share": ("creep_share", "ratio", 0.0, 1.0),
    "creep_time": ("creep_time", "time", 1.0, 86400.0),
    "flat_volume": ("flat_volume", "volume", 0.0, 1.0),
}
_LEAK: Final[Fields] = {
    "flow_100": ("flow_100", "volume_flow", 0.0, 1.0),
    "exponent": ("exponent", "ratio", 0.1, 4.0),
    "orifice": ("orifice", "area", 0.0, 1.0),
    "closed_above": ("closed_above", "temperature", 0.0, 1e3),
    "turning": ("turning", "volume_flow", 0.0, 1.0),
}
_TRANSMISSION: Final[Fields] = {
    "stays": ("stays", "volume", 0.0, 1.0),
    "lines": ("lines", "volume", 0.0, 1.0),
}
_ENGINE: Final[Fields] = {
    "opens": ("opens", "temperature", 273.15, 400.0),
    "full_open": ("full_open", "temperature", 273.15, 400.0),
    "fan_on": ("fan_on", "temperature", 273.15, 400.0),
    "fan_off": ("fan_off", "temperature", 273.15, 400.0),
}
_ENGINE_SI: Final = (
    "heat_capacity", "power", "loss", "radiator_capacity", "flow", "still", "fan", "heater_units",
)  # fmt: skip
_CAR: Final[Fields] = {
    "altitude": ("altitude", "length", -500.0, 5000.0),
    "temperature": ("temperature", "temperature", 273.15, 400.0),
    "strength": ("strength", "ratio", 0.0, 1.0),
    "expansion": ("expansion", "expansion", 0.0, 1e-2),
    "vapour_time": ("vapour_time", "time", 0.0, 86400.0),
    "capacity": ("capacity", "volume", 0.0, 1.0),
    "trapped": ("trapped", "volume", 0.0, 1.0),
    "reservoir": ("reservoir", "volume", 0.0, 1.0),
    "drop": ("drop", "volume", 1e-9, 1e-6),
}
_CONDITION: Final[Fields] = {
    "liquid": ("liquid", "volume", 0.0, 1.0),
    "gas": ("gas", "volume", 0.0, 1.0),
    "pressure": ("pressure", "pressure", -110e3, 500e3),
    "vapour": ("vapour", "pressure", 0.0, 500e3),
    "expansion": ("expansion", "expansion", 0.0, 1e-2),
    "inflow": ("inflow", "volume_flow", 0.0, 1.0),
    "blocked": ("blocked", "ratio", 0.0, 1.0),
}


@cache
def load(name: str) -> Car:
    """A practice car by its file ``name``; refused (``unknown_car``) where there is none."""
    if name not in names():
        raise Refusal(
            "unknown_car",
            "refused.describe.no_practice_car",
            "car",
            "accepted.these",
            {"name": name[:40], "these": ", ".join(names())},
        )
    return car_from(tomllib.loads((CARS / f"{name}.toml").read_text("utf-8")))


def car_from(table: Table) -> Car:
    """A car from its description ``table``; what it has wrong is refused with its path.

    What the table leaves out is the default of ``car``; a car needs ``hoses`` and ``conditions``.
    """
    known = {
        "name", "says", "glycol", "hoses", "leaks", "cap", "transmission", "engine", "conditions",
        "world", *_CAR,
    }  # fmt: skip
    no_others(table, known, "")
    own = quantities(table, _CAR, "")
    temperature = own.get("temperature", 288.15)
    cap, transmission, engine = (table.get(k) for k in ("cap", "transmission", "engine"))
    glycol = table.get("glycol", "ethylene")
    if glycol not in ("ethylene", "propylene"):
        raise Refusal(
            "bad_input",
            "refused.describe.glycol_not_known",
            "glycol",
            "accepted.ethylene_propylene",
        )
    return Car(
        name=str(table.get("name", "")),
        hoses=Hoses(**quantities(need(table, "hoses", ""), _HOSES, "hoses", ("compliance",))),
        glycol=glycol,
        leaks=tuple(
            _leak(leak, f"leaks[{i}]") for i, leak in enumerate(entries(table, "leaks", ""))
        ),
        cap=None if cap is None else _cap(cap),
        transmission=None
        if transmission is None
        else Transmission(
            **quantities(transmission, _TRANSMISSION, "transmission", tuple(_TRANSMISSION))
        ),
        engine=None if engine is None else _engine(engine),
        conditions=tuple(
            _condition(name, each, temperature)
            for name, each in table_of(need(table, "conditions", ""), "conditions").items()
        ),
        **own,
    )


def _leak(table: Table, path: str) -> Leak:
    no_others(table, {"place", "side", *_LEAK}, path)
    side = table.get("side", "liquid")
    if side not in ("liquid", "air"):
        raise Refusal(
            "bad_input", "refused.describe.leak_on_one_side", f"{path}.side", "accepted.liquid_air"
        )
    return Leak(str(table.get("place", "")), side=side, **quantities(table, _LEAK, path))


def _cap(table: Table) -> Cap:
    no_others(table, {"rating", "opens"}, "cap")
    rating = quantity(need(table, "rating", "cap"), "pressure", "cap.rating", 1e3, 500e3)
    opens = tuple(
        quantity(each, "pressure", f"cap.opens[{i}]", 1e3, 500e3)
        for i, each in enumerate(entries(table, "opens", "cap"))
    )
    return Cap(rating, opens)


def _engine(table: Table) -> Engine:
    no_others(table, {*_ENGINE, *_ENGINE_SI}, "engine")
    plain = {}
    for key in _ENGINE_SI:
        value = need(table, key, "engine")
        if not isinstance(value, int | float) or not 0.0 < value < 1e9:
            raise Refusal(
                "bad_input",
                "refused.describe.above",
                f"engine.{key}",
                "accepted.above_si",
                {"key": key},
            )
        plain[key] = float(value)
    return Engine(**plain, **quantities(table, _ENGINE, "engine", tuple(_ENGINE)))


def _condition(name: str, table: Table, temperature: float) -> Condition:
    path = f"conditions.{name}"
    no_others(table, {"temperature", "drift", "log", "minutes", "sealed", *_CONDITION}, path)
    start = temperature
    if "temperature" in table:
        at = f"{path}.temperature"
        start = quantity(table["temperature"], "temperature", at, 273.15, 400.0)
    rate = 0.0
    if "drift" in table:
        rate = quantity(table["drift"], "temperature_rate", f"{path}.drift", -0.1, 0.1)
    course = drift(start, rate)
    if "log" in table:  # °C at each whole minute
        degrees = numbers(table["log"], f"{path}.log", 0.0, 126.0)
        course = Course(tuple((60.0 * k, t + 273.15) for k, t in enumerate(degrees)))
    more: dict[str, Any] = {}
    if "minutes" in table:
        given = numbers(table["minutes"], f"{path}.minutes", 0.0, 1440.0)
        more["times"] = tuple(60.0 * each for each in given)
    own = quantities(table, _CONDITION, path, ("liquid", "gas", "pressure"))
    sealed = table.get("sealed", False) is True
    return Condition(name, course=course, sealed=sealed, **own, **more)
