"""What lies just outside a quantity's range is refused, and the range is told: in the unit that was
typed, or in one that fits what is asked."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.door.hold.assess import VACUUM_SAMPLE

Json = dict[str, Any]

SHARE = (-0.01, 1.01, "0 to 100 %")  # typed as a plain ratio
HOT = (-40.1, 150.1, "-40 to 150 °C")
PRESSURE = (0.0009, 500.1, "0.001 to 500 kPa")
FROM_ZERO = (-0.1, 500.1, "0 to 500 kPa")
ANY_VOLUME = (-0.01, 200.1, "0 to 200 L")
ALTITUDE = (-1641, 16405, "-500 to 5000 m")  # 500 m are 1640.4 ft, 5000 m 16404.2 ft
AIR = (-99.8, 440.4, "-73.15 to 226.85 °C")  # 200 K are -99.67 °F, 500 K 440.33 °F
ABSOLUTE = (-0.01, None, "not below 0 kPa")  # typed in psi
LITRES = (-0.01, None, "not below 0 L")  # typed in US quarts
HOLE: Json = {"air_flow": None, "diameter": {"value": 0.2, "unit": "mm"}}
DRAWN: Json = {
    "stored": {
        "drawn_volume": {"value": 50, "unit": "mL"},
        "before": {"value": 100, "unit": "kPa"},
        "after": {"value": 60, "unit": "kPa"},
    },
    "division": {"value": 2, "unit": "kPa"},
}
WEIGHED: Json = {
    "stored": {
        **{key: each for key, each in DRAWN["stored"].items() if key != "drawn_volume"},
        "caught_mass": {"value": 50, "unit": "g"},
    },
    "division": {"value": 2, "unit": "kPa"},
}
GAS_LOG: Json = {
    "log": [
        {
            "time": {"value": 0, "unit": "min"},
            "temperature": {"value": 20, "unit": "°C"},
            "pressure": {"value": 0, "unit": "kPa"},
        }
    ]
}

Row = tuple[str, str, str, tuple[float | None, float | None, str]]
# Operation, where, unit typed; just below, just above, what is told.
ROWS: list[Row] = [
    ("properties.coolant", "volume_fraction", "1", SHARE),
    ("properties.coolant", "pressure", "kPa", (-0.01, None, "not below 0 kPa")),
    ("properties.water", "pressure", "Pa", (611.2, 22064100, "0.611213 to 22064 kPa")),
    ("properties.atmosphere", "altitude", "ft", ALTITUDE),
    ("properties.refractometer", "temperature", "°F", (49.9, 104.1, "10 to 40 °C")),
    ("properties.refractometer", "zeroed_at", "°F", (49.9, 104.1, "10 to 40 °C")),
    ("properties.refractometer", "half_division", "%", (-0.1, 10.1, "0 to 0.1 1")),
    ("properties.hydrometer", "temperature", "°F", (58.9, 104.1, "15 to 40 °C")),
    ("properties.hydrometer", "half_division", "%", (-0.1, 10.1, "0 to 0.1 1")),
    ("properties.hydrometer", "specific_gravity", "%", (89.9, 120.1, "0.9 to 1.2 1")),
    ("properties.hydrometer", "reference_temperature", "°F", (31.9, 212.1, "0 to 100 °C")),
    ("properties.opening", "altitude", "ft", ALTITUDE),
    ("properties.opening", "air_pressure", "Pa", (-101224, 1000001, "-101.224 to 1000 kPa")),
    ("properties.opening", "liquid_pressure", "Pa", (99, 1000001, "0.1 to 1000 kPa")),
    ("properties.opening", "air_temperature", "°F", AIR),
    ("properties.opening", "discharge", "%", (9.9, 100.1, "0.1 to 1 1")),
    ("properties.rated_part", "rated_flow", "m³/s", (-0.01, 1.01, "0 to 6e+07 mL/min")),
    ("properties.rated_part", "critical_ratio", "%", (-0.1, 99.95, "0 to 0.999 1")),
    ("properties.rated_part", "upstream", "Pa", (0.9, 10000001, "0.001 to 10000 kPa")),
    ("properties.rated_part", "downstream", "Pa", (-1, 140001, "0 to 140 kPa")),
    ("properties.rated_part", "temperature", "°F", AIR),
    ("properties.thread", "diameter", "m", (-0.001, 0.1001, "0 to 100 mm")),
    ("properties.thread", "pitch", "m", (-0.001, 0.0101, "0 to 10 mm")),
    ("hold.assess", "division", "kPa", PRESSURE),
    ("hold.assess", "target", "kPa", PRESSURE),
    ("hold.assess", "rated", "kPa", PRESSURE),
    ("hold.assess", "self_leak", "kPa/min", (-0.01, None, "not below 0 kPa/min")),
    ("hold.assess", "owner_rate", "L/1000 km", (-0.01, None, "not below 0 L/1000 km")),
    ("hold.assess", "planned", "min", (-0.01, None, "not below 0 min")),
    ("hold.assess", "readings[0].pressure", "kPa", FROM_ZERO),
    ("hold.assess", "readings[0].temperature", "°C", HOT),
    ("hold.assess", "strength", "1", SHARE),
    ("hold.assess", "liquid_volume", "L", ANY_VOLUME),
    ("hold.assess", "stored.stroke_volume", "L", ANY_VOLUME),
    ("hold.assess", "stored.dead_volume", "L", ANY_VOLUME),
    ("hold.stored_volume", "pressure", "kPa", PRESSURE),
    ("hold.stored_volume", "target", "kPa", PRESSURE),
    ("hold.stored_volume", "division", "kPa", PRESSURE),
    ("hold.stored_volume", "hoses", "mL/kPa", (0.0009, None, "not below 0.001 mL/kPa")),
    ("hold.stored_volume", "temperature", "°C", HOT),
    ("hold.hoses", "first.fall", "kPa/min", (-0.01, None, "not below 0 kPa/min")),
    ("hold.hoses", "second.fall", "kPa/min", (-0.01, None, "not below 0 kPa/min")),
    ("hold.hoses", "first.gas", "L", ANY_VOLUME),
    ("hold.hoses", "pressure", "kPa", PRESSURE),
    ("hold.expected", "times[0].time", "min", (-0.01, None, "not below 0 min")),
    ("hold.expected", "leak_flow", "mL/min", (-0.01, None, "not below 0 mL/min")),
    ("hold.expected", "creep_share", "1", SHARE),
    ("hold.expected", "creep_time", "s", (0.9, None, "not below 1 s")),
    ("hold.plan", "duration", "s", (0.9, None, "not below 1 s")),
    ("hold.plan", "waited", "min", (-0.01, None, "not below 0 min")),
    ("hold.plan", "self_leak", "kPa/min", (-0.01, None, "not below 0 kPa/min")),
    ("hold.plan", "stored.compliance", "mL/kPa", (-0.01, None, "not below 0 mL/kPa")),
    ("hold.two_level", "low.compliance", "mL/kPa", (0.00009, None, "not below 0.0001 mL/kPa")),
    ("hold.two_level", "high.pressure", "kPa", PRESSURE),
    ("hold.two_level", "compliance_uncertainty", "%", (-1, 101, "0 to 100 %")),
    ("hold.closed_warming", "first", "kPa", FROM_ZERO),
    ("hold.closed_warming", "hoses", "mL/kPa", (-0.01, None, "not below 0 mL/kPa")),
    ("hold.closed_warming", "expansion", "1/K", (-1e-4, None, "not below 0 1/K")),
    ("hold.closed_warming", "headspace", "L", ANY_VOLUME),
    ("hold.closed_warming", "liquid_volume", "L", ANY_VOLUME),
    ("hold.closed_warming", "temperatures[0].temperature", "°C", HOT),
    ("fill.mix", "drained", "US qt", LITRES),
    ("fill.mix", "missing_before", "US qt", LITRES),
    ("fill.mix", "residual_strength", "1", SHARE),
    ("fill.mix", "target", "1", SHARE),
    ("fill.mix", "at_hand[0].volume", "US qt", LITRES),
    ("fill.flush", "capacity", "US qt", LITRES),
    ("fill.flush", "limit", "1", SHARE),
    ("fill.flush", "rinses.strength", "1", SHARE),
    ("fill.reach", "strength", "1", SHARE),
    ("fill.reach", "temperature", "°C", HOT),
    ("fill.uptake", "residual_pressure", "psi", ABSOLUTE),
    ("fill.uptake", "pressure_after", "psi", ABSOLUTE),
    ("fill.uptake", "measured", "US qt", LITRES),
    ("fill.ran_dry", "taken", "US qt", LITRES),
    ("fill.ran_dry", "second_pressure", "psi", ABSOLUTE),
    ("fill.boil_margin", "strength", "1", SHARE),
    ("fill.boil_margin", "outlet_idle", "°C", HOT),
    ("fill.boil_margin", "outlet_load", "°C", HOT),
    ("fill.contraction", "strength", "1", SHARE),
    ("fill.contraction", "hot", "°C", HOT),
    ("fill.contraction", "cool", "°C", HOT),
    ("fill.contraction", "pressure", "kPa", FROM_ZERO),
    ("fill.contraction", "headspace", "US qt", (None, 211.4, "not above 200 L")),  # 211.34 qt
    ("fill.contraction", "liquid_volume", "US qt", (None, 211.4, "not above 200 L")),
    *(
        ("loss.balance", key, "US qt", LITRES)
        for key in ("drained", "filled", "spilled", "missing_before", "air_left", "topped_up")
    ),
    ("loss.level_watch", "temperature_before", "°C", HOT),
    ("loss.level_watch", "temperature_after", "°C", HOT),
    ("loss.level_watch", "liquid_volume", "L", ANY_VOLUME),
    ("loss.level_watch", "topped_up", "US qt", LITRES),
    ("loss.level_watch", "owner_rate", "L/1000 km", (-0.01, None, "not below 0 L/1000 km")),
    ("loss.rate", "condition.strength", "1", SHARE),
    ("loss.rate", "condition.pressure", "kPa", (None, 500.1, "not above 500 kPa")),
    ("loss.rate", "condition.rated", "kPa", (None, 500.1, "not above 500 kPa")),
    ("loss.rate", "condition.running_pressure", "kPa", (None, 500.1, "not above 500 kPa")),
    ("loss.lines", "lines.diameter", "m", (0.0019, 0.0301, "2 to 30 mm")),
    ("loss.lines", "lines.length", "mm", (0.9, 20001, "0.001 to 20 m")),
    ("loss.classes", "loss", "L/1000 km", (-0.01, None, "not below 0 L/1000 km")),
    ("warmup.assess", "log[0].pressure", "kPa", FROM_ZERO),
    *(
        ("warmup.assess", f"log[0].{key}", "°C", HOT)
        for key in ("coolant", "radiator_inlet", "vent", "heater_in", "heater_out")
    ),
    *(("warmup.assess", key, "°C", HOT) for key in ("ambient", "opening", "fan_on")),
    ("warmup.assess", "headspace", "US qt", (None, 211.4, "not above 200 L")),
    ("warmup.assess", "liquid_volume", "US qt", (None, 211.4, "not above 200 L")),
    ("warmup.assess", "strength", "1", SHARE),
    *(("warmup.time_to_thermostat", key, "°C", HOT) for key in ("coolant", "ambient", "opening")),
    *(("warmup.cool_down", key, "°C", HOT) for key in ("coolant", "ambient", "goal")),
    ("quote.estimate", "lines[1].volume", "US qt", LITRES),
    ("practice.readings", "division", "Pa", (9, 50001, "0.01 to 50 kPa")),
    ("practice.readings", "stroke_volume", "L", (0.0009, 1.01, "1 to 1000 mL")),
]
# With other keys in the place of some that the sample has.
OTHER_FORMS: list[tuple[Row, Json]] = [
    (("properties.coolant", "mass_fraction", "1", SHARE), {"volume_fraction": None}),
    (("properties.coolant", "altitude", "ft", ALTITUDE),
     {"pressure": None, "gauge_pressure": {"value": 5, "unit": "kPa"}}),
    (("properties.coolant", "gauge_pressure", "Pa", (-101326, None, "not below -101.325 kPa")),
     {"pressure": None}),
    (("properties.water", "temperature", "°F", (31.9, 705.2, "0 to 373.946 °C")),
     {"pressure": None}),  # 373.946 °C are 705.103 °F
    (("properties.hydrometer", "density", "kg/m³", (899, 1201, "900 to 1200 kg/m³")),
     {"specific_gravity": None}),
    (("properties.refractometer", "half_division", "K", (None, 20.1, "0 to 20 K")),
     {"volume_fraction": None, "freeze_point": {"value": -20, "unit": "°C"}}),
    (("properties.opening", "diameter", "m", (0.9e-6, 0.0201, "0.001 to 20 mm")),
     {"air_flow": None}),
    (("properties.opening", "length", "m", (-0.001, 0.1001, "0 to 100 mm")), HOLE),
    (("hold.stored_volume", "stored.before", "kPa", FROM_ZERO), DRAWN),
    (("hold.stored_volume", "stored.after", "kPa", FROM_ZERO), DRAWN),
    (("hold.stored_volume", "stored.drawn_volume", "L", ANY_VOLUME), DRAWN),
    (("hold.stored_volume", "stored.caught_mass", "kg", (-0.01, None, "not below 0 kg")), WEIGHED),
    (("hold.stored_volume", "stored.headspace", "L", ANY_VOLUME), {"stored": {}}),
    (("hold.assess", "stored.evacuated_volume", "L", ANY_VOLUME),
     {**VACUUM_SAMPLE, "stored": {}}),
    (("hold.closed_warming", "log[0].pressure", "kPa", (-0.01, None, "not below 0 kPa")), GAS_LOG),
]  # fmt: skip


def put(payload: Json, path: str, value: Any) -> Json:
    """The payload with a value at a path such as ``lines[1].volume``."""
    keys: list[str | int] = [int(k) if k.isdigit() else k for k in re.findall(r"\w+", path)]
    # A quantity that is a list's item is called by what it is; it has no key of its own.
    if path.startswith(("times[", "temperatures[")):
        keys.pop()
    holder: Any = payload
    for key in keys[:-1]:
        holder = holder[key]
    holder[keys[-1]] = value
    return payload


def told(row: Row, change: Json, value: float) -> Json | None:
    operation, path, unit, _ = row
    payload = copy.deepcopy({**OPERATIONS[operation].sample, **change})
    payload = {key: each for key, each in payload.items() if each is not None}
    answer = call(operation, put(payload, path, {"value": value, "unit": unit}))
    error: Json | None = answer.get("error")
    return error


@pytest.mark.parametrize(
    ("row", "change"),
    [pytest.param(row, {}, id=f"{row[0]} {row[1]}") for row in ROWS]
    + [pytest.param(row, change, id=f"{row[0]} {row[1]}") for row, change in OTHER_FORMS],
)
def test_just_outside_is_refused_with_the_range(row: Row, change: Json) -> None:
    _, path, unit, (below, above, words) = row
    for value in (below, above):
        if value is None:
            continue
        error = told(row, change, value)
        assert error is not None, value
        assert (error["code"], error["path"], error["accepted"]) == ("out_of_range", path, words)
        assert f"{value:g} {unit}; accepted is {words}." in error["message"]


# --- lists, plain numbers and names --------------------------------------------------------------

LISTS = [  # operation, list, fewest, most
    ("hold.assess", "readings", 0, 2000),
    ("hold.expected", "times", 0, 500),
    ("hold.closed_warming", "temperatures", 1, 200),
    ("fill.mix", "at_hand", 1, 20),
    ("fill.flush", "rinses.at_hand", 1, 20),
    ("warmup.assess", "log", 1, 1000),
    ("causes.rank", "features", 0, 50),
    ("causes.rank", "observations", 0, 300),
    ("quote.estimate", "phases", 1, 60),
    ("quote.estimate", "lines", 0, 200),
    ("quote.estimate", "contingencies", 0, 10),
]


@pytest.mark.parametrize(("operation", "path", "fewest", "most"), LISTS)
def test_a_list_has_so_many_items_and_no_more(
    operation: str, path: str, fewest: int, most: int
) -> None:
    def answer(count: int) -> Json:
        payload = copy.deepcopy(OPERATIONS[operation].sample)
        holder: Any = payload
        for key in path.split("."):
            holder = holder[key]
        return call(operation, put(payload, path, [holder[0]] * count)).get("error", {})

    long = answer(most + 1)
    assert (long["code"], long["path"], long["accepted"]) == ("bad_input", path, str(most))
    assert answer(most).get("path") != path or answer(most)["code"] != "bad_input"
    if fewest:
        empty = answer(0)
        assert (empty["code"], empty["path"], empty["accepted"]) == (
            "bad_input", path, str(fewest),
        )  # fmt: skip


NUMBERS = [  # operation, key, some just outside, some at the edge
    ("hold.expected", "exponent", (0.29, 2.51), (0.3, 2.5)),
    ("hold.two_level", "exponent", (0.29, 2.51), (0.3, 2.5)),
    ("hold.plan", "count", (1, 2001, 15.5), (2, 2000)),
    ("hold.assess", "stored.strokes", (0, 5001), (0.5, 5000)),
    ("quote.estimate", "rate.value", (-0.01, 1.01e12), (0, 1e12)),
    ("quote.estimate", "authorised", (-0.01, 1.01e12), (0, 1e12)),
    ("quote.estimate", "lines[0].quantity", (-0.01, 1.01e12), (0, 1e12)),
    ("quote.estimate", "contingencies[0].probability", (-0.01, 1.01), (0, 1)),
    ("quote.estimate", "phases[0].id", ("", "n" * 81), ("n", "n" * 80)),
    ("quote.estimate", "rate.currency", ("XT", "XTSS", "xts", "XT1"), ("XTS",)),
    ("loss.reminder", "summary", ("n" * 201,), ("n" * 200,)),
    ("loss.reminder", "description", ("n" * 2001,), ("n" * 2000,)),
]


@pytest.mark.parametrize(("operation", "path", "outside", "edge"), NUMBERS)
def test_a_number_or_a_name_at_its_edges(
    operation: str, path: str, outside: tuple[Any, ...], edge: tuple[Any, ...]
) -> None:
    def error(value: Any) -> Json:
        payload = copy.deepcopy(OPERATIONS[operation].sample)
        return call(operation, put(payload, path, value)).get("error", {})

    for value in outside:
        assert (error(value)["code"], error(value)["path"]) == ("bad_input", path), value
    for value in edge:
        assert error(value).get("code") != "bad_input", value
