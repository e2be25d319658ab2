"""Each quantity that an operation takes: of its own dimension, in any unit, within its range; each
measured answer with its interval."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from weeptrace.door import OPERATIONS, call

Json = dict[str, Any]
Place = tuple[str | int, ...]

# Operations on figures; those on jobs take events as they were typed.
TYPED = [name for name in OPERATIONS if not name.startswith("job.")]
POUND = 0.45359237 * 9.80665 / 0.0254**2  # Pa; NIST SP 811, appendix B: pound, g_n, inch
GALLON = 231 * 0.0254**3  # m³, of the US: 231 cubic inches (NIST SP 811, appendix B)
# Unit: dimension, then factor and offset to the first unit of that dimension here.
UNITS: dict[str, tuple[str, float, float]] = {
    "kPa": ("pressure", 1.0, 0.0), "psi": ("pressure", POUND / 1e3, 0.0),
    "°C": ("temperature", 1.0, 0.0), "°F": ("temperature", 5 / 9, -160 / 9),
    "L": ("volume", 1.0, 0.0), "US gal": ("volume", GALLON * 1e3, 0.0),
    "mL": ("volume", 1e-3, 0.0), "m³": ("volume", 1e3, 0.0),
    "min": ("time", 1.0, 0.0), "s": ("time", 1 / 60, 0.0), "h": ("time", 60.0, 0.0),
    "m": ("length", 1.0, 0.0), "ft": ("length", 0.3048, 0.0), "mm": ("length", 1e-3, 0.0),
    "km": ("length", 1e3, 0.0), "mi": ("length", 1609.344, 0.0),
    "cm²": ("area", 1e-4, 0.0), "m²": ("area", 1.0, 0.0),
    "kg": ("mass", 1.0, 0.0), "g": ("mass", 1e-3, 0.0),
    "1": ("ratio", 1.0, 0.0), "%": ("ratio", 0.01, 0.0),
    "kPa/min": ("pressure_rate", 1.0, 0.0), "Pa/s": ("pressure_rate", 0.06, 0.0),
    "psi/min": ("pressure_rate", POUND / 1e3, 0.0),
    "K/min": ("temperature_rate", 1.0, 0.0), "K/s": ("temperature_rate", 60.0, 0.0),
    "mL/min": ("volume_flow", 1.0, 0.0), "m³/s": ("volume_flow", 6e7, 0.0),
    "mL/kPa": ("compliance", 1.0, 0.0), "m³/Pa": ("compliance", 1e9, 0.0),
    "L/1000 km": ("loss_per_distance", 1.0, 0.0), "m³/m": ("loss_per_distance", 1e9, 0.0),
    "min/1000 km": ("time_per_distance", 1.0, 0.0), "s/m": ("time_per_distance", 1e6 / 60, 0.0),
    "1/K": ("expansion", 1.0, 0.0), "kg/m³": ("density", 1.0, 0.0),
    "mPa·s": ("viscosity", 1.0, 0.0), "Pa·s": ("viscosity", 1e3, 0.0),
    "kJ/(kg·K)": ("specific_heat", 1.0, 0.0), "J/(kg·K)": ("specific_heat", 1e-3, 0.0),
    "K": ("temperature", 1.0, -273.15), "Pa": ("pressure", 1e-3, 0.0),
    "US qt": ("volume", GALLON * 1e3 / 4, 0.0),
}  # fmt: skip

# Quantities that may be as large as a hand types (+), as far below zero (-), or both.
FREE: dict[str, dict[str, str]] = {
    "properties.coolant": {"temperature": "+", "pressure": "+"},
    "hold.assess": {"readings[0].time": "+-", "readings[5].time": "+-"},
    "hold.expected": {"warming": "+-"},
    "hold.plan": {"stored.compliance": "+", "duration": "+", "waited": "+"},
    "hold.two_level": {
        "low.compliance": "+", "high.compliance": "+", "low.slope": "+-", "high.slope": "+-",
    },
    "fill.mix": {"capacity": "+"},
    "fill.flush": {"rinses.at_hand[0].volume": "+", "rinses.at_hand[2].volume": "+", "can": "+"},
    "fill.uptake": {"volume": "+"},
    "fill.ran_dry": {"volume": "+"},
    "fill.contraction": {"area": "+"},
    "loss.balance": {
        "missing_before": "+", "drained": "+", "spilled": "+", "filled": "+", "air_left": "+",
    },
    "loss.level_watch": {"level_change": "+-", "area": "+", "distance": "+"},
    "loss.rate": {"hold": "+", "reserve": "+", "capacity": "+", "trip": "+"},
    "loss.lines": {"container": "+"},
    "loss.classes": {"reserve": "+", "loss": "+"},
    "warmup.assess": {"log[0].time": "+-", "log[13].time": "+-"},
    "causes.rank": {"observations[0].value": "+-"},
    "quote.estimate": {
        "phases[0].high": "+", "phases[3].high": "+", "lines[1].volume": "+",
        "lines[1].container": "+", "contingencies[0].time": "+",
    },
}  # fmt: skip
# Where the quantity is in order by itself and something else no longer fits it: what is told.
TOGETHER: dict[str, dict[str, tuple[str, str]]] = {
    "hold.hoses": {
        "first.fall": ("out_of_range", "second"), "second.fall": ("out_of_range", "second"),
    },
    "hold.expected": {
        "times[0].time": ("not_computable", ""), "times[3].time": ("not_computable", ""),
        "leak_flow": ("not_computable", ""),
    },
    "hold.compare": {"before": ("bad_input", "before"), "after": ("bad_input", "after")},
    "fill.flush": {"capacity": ("out_of_range", "drained")},
    "loss.rate": {"condition.temperature": ("out_of_range", "temperature")},
    "loss.lines": {"container": ("out_of_range", "")},
    "quote.estimate": {
        f"phases[{number}].{end}": ("out_of_range", f"phases[{number}]")
        for number in (0, 3) for end in ("low", "likely", "high")
    },
}  # fmt: skip

# The answers that are measured or computed from what is not known for sure.
UNCERTAIN: dict[str, set[str]] = {
    "properties.refractometer": {"mass_fraction", "volume_fraction", "freeze_point_inhibited"},
    "properties.hydrometer": {
        f"strengths[{n}].{of}" for n in (0, 1) for of in ("mass_fraction", "volume_fraction")
    },
    "hold.assess": {"curve[0].pressure", "curve[24].pressure", "rate", "leak_flow", "per_1000_km",
                    "compliance", "fall"},
    "hold.stored_volume": {"compliance"},
    "hold.expected": {"compliance"},
    "hold.two_level": {"leak_flow", "thermal_rate"},
    "hold.compare": {"left"},
    "hold.closed_warming": {"points[0].pressure", "points[5].pressure"},
    "hold.overnight": {"tight"},
    "fill.reach": {"gauge", "residual"},
    "fill.uptake": {"uptake", "air_left"},
    "fill.contraction": {"shrinks", "falls", "vacuum", "with_return_valve"},
    "loss.balance": {"waste.used_coolant", "waste.spilled", "closure"},
    "loss.level_watch": {"volume_lost", "per_1000_km"},
    "loss.rate": {"flow", "per_1000_km", "ways[0].flow", "time_to_low",
                  "time_to_lost_circulation"},
    "loss.lines": {"out", "expected"},
    "warmup.assess": {
        "thermostat.opening_temperature", "thermostat.time", "fan.on[0].time",
        "fan.on[0].temperature", "fan.off[0].time", "fan.off[0].temperature",
        "heater.effectiveness",
    },
    "warmup.time_to_thermostat": {"time"},
    "warmup.cool_down": {"time"},
}  # fmt: skip


def places(value: Any, place: Place = ()) -> Iterator[Place]:
    """Where quantities stand; of a list, in its first and its last item."""
    if isinstance(value, dict):
        if {"value", "unit"} <= set(value) <= {"value", "unit", "low", "high"}:
            yield place
            return
        for key, each in value.items():
            yield from places(each, (*place, key))
    elif isinstance(value, list):
        for number in sorted({0, len(value) - 1}) if value else ():
            yield from places(value[number], (*place, number))


def at(value: Any, place: Place) -> Any:
    for key in place:
        value = value[key]
    return value


def name(place: Place, sample: Any) -> str:
    """``readings[0].time``; a quantity that is itself a list's item is called by its dimension."""
    words = "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in place)[1:]
    alone = place and isinstance(place[-1], int)
    return f"{words}.{UNITS[at(sample, place)['unit']][0]}" if alone else words


def broken(operation: str, place: Place, **change: Any) -> Json:
    """The answer to the sample with one quantity changed."""
    payload = json.loads(json.dumps(OPERATIONS[operation].sample))
    at(payload, place).update(change)
    return call(operation, payload)


TAKEN = [
    pytest.param(operation, place, name(place, OPERATIONS[operation].sample),
                 id=f"{operation} {name(place, OPERATIONS[operation].sample)}")
    for operation in TYPED
    for place in places(OPERATIONS[operation].sample)
]  # fmt: skip


def test_there_are_quantities_to_look_at() -> None:
    assert len(TAKEN) > 130


@pytest.mark.parametrize(("operation", "place", "path"), TAKEN)
def test_a_unit_of_another_dimension_is_refused_at_its_place(
    operation: str, place: Place, path: str
) -> None:
    unit = at(OPERATIONS[operation].sample, place)["unit"]
    other = "kPa" if UNITS[unit][0] == "density" else "kg/m³"
    error = broken(operation, place, unit=other)["error"]
    assert (error["code"], error["path"]) == ("wrong_dimension", path)
    assert UNITS[unit][0].replace("_", " ") in error["message"]


@pytest.mark.parametrize(("operation", "place", "path"), TAKEN)
def test_what_is_far_out_of_its_range_is_refused_at_its_place(
    operation: str, place: Place, path: str
) -> None:
    free = FREE.get(operation, {}).get(path, "")
    for sign, value in (("-", -1e9), ("+", 1e9)):
        error = broken(operation, place, value=value).get("error")
        if error is None:
            assert sign in free, f"{value} is taken"
            continue
        told = (error["code"], error["path"])
        if told != ("out_of_range", path):
            assert told == TOGETHER.get(operation, {}).get(path) or sign in free, error
        assert error["message"].endswith(".")


def plain(value: Any) -> Any:
    """An answer with each quantity in the first unit of its dimension."""
    if isinstance(value, list):
        return [plain(each) for each in value]
    if not isinstance(value, dict):
        return value
    if value.get("unit") in UNITS and isinstance(value.get("value"), float | int):
        dimension, factor, offset = UNITS[value["unit"]]
        ends = {key: factor * value[key] + offset for key in value if key != "unit"}
        return {**ends, "unit": dimension}
    return {key: plain(each) for key, each in value.items()}


def near(one: Any, other: Any, place: str = "") -> None:
    """Two answers are the same but for rounding."""
    if isinstance(one, dict):
        assert one.keys() == other.keys(), place
        for key in one:
            near(one[key], other[key], f"{place}.{key}")
    elif isinstance(one, list):
        assert len(one) == len(other), place
        for number, (left, right) in enumerate(zip(one, other, strict=True)):
            near(left, right, f"{place}[{number}]")
    elif isinstance(one, float | int) and not isinstance(one, bool):
        assert other == pytest.approx(one, rel=1e-5, abs=1e-9), place
    elif not isinstance(one, str):
        assert one == other, place


@pytest.mark.parametrize("operation", TYPED)
def test_the_answer_is_the_same_whatever_the_unit(operation: str) -> None:
    """Each quantity in turn in every other unit of its dimension."""
    sample = OPERATIONS[operation].sample
    whole = plain(call(operation, sample))
    for place in places(sample):
        given = at(sample, place)
        dimension, factor, offset = UNITS[given["unit"]]
        for unit, (kind, other, shift) in UNITS.items():
            if kind == dimension and unit != given["unit"]:
                ends = {
                    key: (factor * given[key] + offset - shift) / other
                    for key in given if key != "unit"
                }  # fmt: skip
                made = broken(operation, place, unit=unit, **ends)
                near(whole, plain(made), f"{name(place, sample)} in {unit}")


def objects(value: Any, place: Place = ()) -> Iterator[Place]:
    """Where an object stands that is no quantity."""
    if isinstance(value, dict):
        if not {"value", "unit"} <= set(value):
            yield place
        for key, each in value.items():
            yield from objects(each, (*place, key))
    elif isinstance(value, list) and value:
        yield from objects(value[0], (*place, 0))


@pytest.mark.parametrize("operation", TYPED)
def test_a_key_that_nothing_reads_is_refused(operation: str) -> None:
    sample = OPERATIONS[operation].sample
    for place in (*objects(sample), *places(sample)):
        error = broken(operation, place, sparkle=1).get("error")
        assert error is not None, place
        assert error["code"] == "bad_input", error
        assert "sparkle" in error["message"] or operation == "causes.rank", error


@pytest.mark.parametrize("operation", TYPED)
def test_an_answer_carries_its_interval_around_the_figure(operation: str) -> None:
    answer = call(operation, OPERATIONS[operation].sample)
    told = set()
    for place in places(answer):
        quantity = at(answer, place)
        if "low" in quantity or "high" in quantity:
            told.add(name(place, answer))
            assert quantity.get("low", -1e99) <= quantity["value"] <= quantity.get("high", 1e99)
    assert told == UNCERTAIN.get(operation, set())
