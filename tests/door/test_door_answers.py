"""What is given beside the needed is read, and all that an answer may hold is given by some input,
as its schema says."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from functools import cache
from typing import Any

import fastjsonschema
import pytest

from tests.door.test_every_quantity import TYPED
from weeptrace.door import OPERATIONS, call
from weeptrace.door.hold.assess import VACUUM_SAMPLE

Json = dict[str, Any]


def q(value: float, unit: str, **ends: float) -> Json:
    return {"value": value, "unit": unit, **ends}


def drawn(kind: str, amount: Json) -> Json:
    return {kind: amount, "before": q(100, "kPa"), "after": q(60, "kPa")}


COOLANT: Json = {"glycol": "propylene"}
STRENGTH: Json = {"strength": q(30, "%")}
PLACE: list[Json] = [{"altitude": q(3000, "m")}, {"temperature": q(80, "°C")}]
STROKES: Json = {"strokes": 27, "stroke_volume": q(40, "mL")}
DIVISION: Json = {"division": q(2, "kPa")}
GAUGE: Json = {"pressure": None, "gauge_pressure": q(50, "kPa")}
WARM: Json = {"temperature": q(80, "°C")}
LOG: Json = {
    "log": [
        {"time": q(t, "min"), "temperature": q(k, "°C"), "pressure": q(p, "kPa")}
        for t, k, p in ((0, 20, 0), (5, 32, 30), (10, 45, 62), (15, 58, 100), (20, 65, 140))
    ]
}


def stretches(fall: float) -> list[list[Json]]:
    return [[{"time": q(t, "min"), "pressure": q(20 - fall * t, "kPa")} for t in (0, 2, 4, 6, 8)]]


def warm_up(**rows: Any) -> Json:
    """The sample's log with a key added in each row: ``key=(unit, figures)``."""
    log = copy.deepcopy(OPERATIONS["warmup.assess"].sample["log"])
    for key, (unit, figures) in rows.items():
        for row, figure in zip(log, figures, strict=False):
            row[key] = q(figure, unit)
    return {"log": log}


PIPES = warm_up(heater_in=("°C", [88.0] * 14), heater_out=("°C", [60.0] * 14))
PURGE = warm_up(level=("mm", [50] * 9 + [45] * 5))
PUFFED = warm_up(
    pressure=("kPa", [0, 30, 60, 95, 130, 150, 160, 165, 170, 172, 174, 176, 178, 150])
)
COLD: Json = {"headspace": q(1, "L"), "liquid_volume": q(8, "L")}
NO_LOAD: Json = {"log": warm_up()["log"][:5]}
RINSES: Json = OPERATIONS["fill.flush"].sample["rinses"]
OWNER: Json = {"owner": {"added": q(1, "L"), "distance": q(1000, "km")}}

STEADY: Json = {
    "readings": [{"time": q(t, "min"), "pressure": q(110, "kPa")} for t in range(0, 31, 2)]
}
HOLDS: list[Json] = [
    VACUUM_SAMPLE,
    {"readings": OPERATIONS["hold.assess"].sample["readings"][:2]},
    {"readings": STEADY["readings"][:3]},
    {"medium": "air", "stored": {"evacuated_volume": q(6, "L")}},
]

# Operation, what stands there without it, and what is added: the answer is another then.
READ: list[tuple[str, Json, Json]] = [
    ("properties.coolant", {}, {"volume_basis": "mixture"}),
    ("properties.coolant", {}, {"volume_fraction": None, "mass_fraction": q(50, "%")}),
    ("properties.coolant", GAUGE, {"altitude": q(3000, "m")}),
    ("properties.coolant", {}, {  # outside all tables
        "volume_fraction": q(95, "%"), "temperature": q(260, "°C"), "pressure": q(1, "MPa"),
    }),
    ("properties.water", {}, {"pressure": None, "temperature": q(80, "°C")}),
    ("properties.atmosphere", {}, {"altitude_kind": "geometric"}),
    ("properties.refractometer", {}, {"zeroed_at": q(15, "°C")}),
    ("properties.refractometer", {}, {"half_division": q(1, "%")}),
    ("properties.refractometer", {}, {"volume_fraction": None, "mass_fraction": q(50, "%")}),
    ("properties.refractometer", {}, {"volume_fraction": None, "freeze_point": q(-30, "°C")}),
    ("properties.refractometer", {}, {"volume_fraction": None, "index": q(1.38, "1")}),
    ("properties.refractometer", {}, {"volume_fraction": None, "brix": q(30, "%")}),
    ("properties.hydrometer", {}, {"half_division": q(0.002, "1")}),
    ("properties.hydrometer", {}, {"reference_temperature": q(20, "°C")}),
    ("properties.hydrometer", {}, {"specific_gravity": None, "density": q(1030, "kg/m³")}),
    ("properties.hydrometer", {}, {"inhibited": True, "glycol": "ethylene"}),
    ("properties.opening", {}, {"altitude": q(100, "m")}),
    ("properties.opening", {}, {"air_temperature": q(60, "°C")}),
    ("properties.opening", {}, {"discharge": q(0.8, "1")}),
    ("properties.opening", {}, {"air_flow": None, "liquid_flow": q(0.4, "mL/min")}),
    ("properties.opening", {}, {"air_flow": None, "diameter": q(0.1, "mm")}),
    ("properties.opening", {"air_flow": None, "diameter": q(0.1, "mm")}, {"length": q(3, "mm")}),
    ("properties.opening", {"air_flow": None, "diameter": q(0.1, "mm")},
     {"discharge": q(0.8, "1")}),
    ("properties.thread", {}, {"pitch": q(0.75, "mm")}),
    ("hold.assess", {}, {"target": q(90, "kPa")}),
    ("hold.assess", {}, {"self_leak": q(0.1, "kPa/min")}),
    ("hold.assess", {}, {"wet": False}),
    ("hold.assess", STEADY, {"owner_rate": q(0.001, "L/1000 km")}),
    ("hold.assess", {}, {"planned": q(40, "min")}),
    ("hold.assess", {}, {"actions": [{"kind": "drew_off", "time": q(3, "min")}]}),
    ("hold.assess", {}, {"stored": {"headspace": q(1, "L")}}),
    ("hold.stored_volume", {}, {"target": q(60, "kPa")}),
    ("hold.stored_volume", {"stored": drawn("drawn_volume", q(50, "mL")), **DIVISION},
     {"division": q(5, "kPa")}),
    ("hold.stored_volume", {}, {"hoses": q(2, "mL/kPa")}),
    ("hold.stored_volume", {"stored": drawn("drawn_mass", q(50, "g")), **DIVISION}, COOLANT),
    ("hold.stored_volume", {"stored": drawn("drawn_mass", q(50, "g")), **DIVISION}, STRENGTH),
    ("hold.stored_volume", {"stored": drawn("drawn_mass", q(50, "g")), **DIVISION},
     {"stored": drawn("caught_mass", q(60, "g"))}),
    ("hold.stored_volume", {}, {"stored": {**STROKES, "dead_volume": q(4, "mL")}}),
    ("hold.stored_volume", {}, {"stored": {"compliance": q(9, "mL/kPa")}}),
    ("hold.stored_volume", {}, {"stored": {"headspace": q(2, "L")}}),
    *(("hold.stored_volume", {}, each) for each in PLACE),
    *(("hold.hoses", {}, each) for each in PLACE),
    ("hold.expected", {}, {"creep_time": q(20, "min")}),
    ("hold.expected", {}, {"exponent": 2.0}),
    ("hold.expected", {}, {"liquid_volume": q(20, "L")}),
    ("hold.expected", {}, {"hoses": q(2, "mL/kPa")}),
    *(("hold.expected", {}, {key: None}) for key in ("leak_flow", "creep_share", "warming")),
    *(("hold.expected", {}, each) for each in PLACE),
    ("hold.plan", {}, {"self_leak": q(0.5, "kPa/min")}),
    ("hold.plan", {}, {"waited": q(30, "min")}),
    *(("hold.plan", {}, {key: None}) for key in ("waited", "liquid_volume")),
    ("hold.plan", {}, {"liquid_volume": q(70, "L")}),
    ("hold.plan", {}, {"target": q(50, "kPa")}),
    ("hold.two_level", {}, {"compliance_uncertainty": q(60, "%")}),
    ("hold.two_level", {}, {"thermal_rate": q(3, "mL/min")}),
    ("hold.two_level", {}, {"exponent": 0.5}),
    ("hold.two_level", {}, {"low": {"compliance": q(6, "mL/kPa"), "stretches": stretches(0.05)},
                            **DIVISION}),
    ("hold.closed_warming", {}, {"first": q(10, "kPa")}),
    ("hold.closed_warming", {}, {"hoses": q(2, "mL/kPa")}),
    ("hold.closed_warming", {}, {"expansion": q(1e-4, "1/K")}),
    ("hold.closed_warming", {}, COOLANT),
    ("hold.closed_warming", {}, STRENGTH),
    ("hold.closed_warming", {}, LOG),
    ("hold.closed_warming", {}, {"log": LOG["log"][:1]}),
    *(("hold.closed_warming", {}, each) for each in PLACE),
    ("fill.mix", {}, {"missing_before": q(1, "L")}),
    ("fill.mix", {}, {"at_hand": [{"kind": "concentrate", "volume": q(1, "L")}]}),
    ("fill.mix", {}, {"target": q(20, "%"), "at_hand": [{"kind": "concentrate"}]}),
    ("fill.mix", {}, {"drained": q(0.5, "L")}),
    ("fill.flush", {}, {"can": None}),
    ("fill.flush", {}, {"rinses": {**RINSES, "at_hand": [
        {"kind": "concentrate", "volume": q(1, "L")}, {"kind": "water", "volume": q(5, "L")},
    ]}}),
    ("fill.flush", {}, {"rinses": {**RINSES, "target": q(65, "%")}}),
    ("fill.reach", {"temperature": q(60, "°C")}, COOLANT),
    ("fill.reach", {"temperature": q(60, "°C")}, {"strength": q(20, "%")}),
    ("fill.uptake", {}, {"residual_pressure": None, "gauge": q(-70, "kPa")}),
    ("fill.uptake", {}, {"lift": q(0.5, "m")}),
    ("fill.uptake", {}, {"strength": q(0, "%"), "lift": q(1, "m")}),
    ("fill.uptake", {}, {"measured": q(4.5, "L")}),
    ("fill.uptake", {"measured": q(4.5, "L")}, {"pressure_after": q(30, "kPa")}),
    ("fill.ran_dry", {}, {"second_pressure": q(20, "kPa")}),
    ("fill.ran_dry", {}, {"residual_pressure": None, "gauge": q(70, "kPa")}),
    ("fill.ran_dry", {}, {"lift": q(0.5, "m")}),
    ("fill.boil_margin", {}, COOLANT),
    ("fill.boil_margin", {}, {"opens": q(90, "kPa")}),
    ("fill.boil_margin", {}, {"holds": "no"}),
    ("fill.boil_margin", {}, {"level_low": "yes"}),
    ("fill.boil_margin", {}, {"outlet_idle": q(100, "°C")}),
    ("fill.contraction", {}, COOLANT),
    ("fill.contraction", {}, {"strength": q(20, "%")}),
    ("fill.contraction", {}, {"altitude": q(3000, "m")}),
    ("fill.contraction", {}, {"pressure": q(50, "kPa")}),
    *(("fill.contraction", {}, {key: None}) for key in ("headspace", "area")),
    ("loss.balance", {}, {"topped_up": q(1, "L")}),
    ("loss.balance", {}, {"kept_for_reuse": q(1, "L")}),
    ("loss.balance", {}, {"transmission_fluid": q(0.5, "L")}),
    ("loss.balance", {}, {"rinsed": q(9, "L")}),
    ("loss.balance", {}, {"capacity": q(7, "L"), "left_in": q(2, "L")}),
    ("loss.balance", {}, {"drained": q(5.1, "L", low=5.0, high=5.4)}),
    ("loss.balance", {}, {"air_left": q(0, "L"), "filled": q(9, "L")}),
    ("loss.level_watch", {}, {"topped_up": q(1, "L")}),
    ("loss.level_watch", {"distance": q(500, "km")}, {"owner_rate": q(0.05, "L/1000 km")}),
    ("loss.level_watch", {}, {"level_change": q(-4, "mm")}),
    ("loss.level_watch", {}, {"filled": "vacuum"}),
    ("loss.level_watch", {}, COOLANT),
    ("loss.level_watch", {}, {"liquid_volume": q(20, "L")}),
    ("loss.level_watch", {}, {"level_change": q(1, "mm", low=-3, high=5)}),
    ("loss.level_watch", {}, {"area": q(100, "cm²", low=10, high=190)}),
    ("loss.level_watch", {}, {"temperature_after": q(15, "°C", low=5, high=25)}),
    ("loss.level_watch", {"temperature_after": q(15, "°C", low=5, high=25)},
     {"temperature_before": q(12, "°C", low=-8, high=32)}),
    ("loss.rate", {}, {"drops": {"count": 30, "time": q(1, "min")}}),
    ("loss.rate", {}, {"catch": {"mass": q(20, "g"), "time": q(10, "min")}}),
    ("loss.rate", {"catch": {"mass": q(20, "g"), "time": q(10, "min")}},
     {"catch": {"mass": q(20, "g"), "time": q(10, "min"), "density": q(1000, "kg/m³")}}),
    ("loss.rate", {}, {"puddle": {"area": q(200, "cm²"), "time": q(10, "min")}}),
    ("loss.rate", {"puddle": {"area": q(200, "cm²"), "time": q(10, "min")}},
     {"puddle": {"area": q(200, "cm²"), "time": q(10, "min"), "thickness": q(2, "mm")}}),
    ("loss.rate", {}, OWNER),
    ("loss.rate", OWNER, {"exposure": q(500, "min/1000 km")}),
    ("loss.rate", {}, {"hold": q(4, "mL/min", low=1, high=9)}),
    *(("loss.rate", {}, {key: None}) for key in ("reserve", "capacity")),
    *(
        ("loss.rate", {}, {"condition": {**OPERATIONS["loss.rate"].sample["condition"], **each}})
        for each in (COOLANT, {"strength": q(20, "%")}, {"running_pressure": q(60, "kPa")},
                     {"exponent": 0.9})
    ),
    ("loss.lines", {}, {"spilled": q(0.1, "L")}),
    ("loss.lines", {}, {"density": q(700, "kg/m³")}),
    ("loss.lines", {}, {"cooler": q(0.3, "L")}),
    ("loss.lines", {}, {"container": None}),
    ("loss.lines", {}, {"lines": None}),
    ("loss.classes", {}, {"service": q(20000, "km")}),
    ("loss.classes", {}, {"look": q(1500, "km")}),
    ("loss.classes", {}, {"trip": q(50, "km")}),
    ("loss.classes", {}, {"exposure": q(500, "min/1000 km")}),
    ("warmup.assess", {}, PIPES),
    ("warmup.assess", {}, PURGE),
    ("warmup.assess", PURGE, {"area": q(100, "cm²")}),
    ("warmup.assess", PUFFED, COLD),
    ("warmup.assess", {**PUFFED, **COLD}, {"altitude": q(3000, "m")}),
    ("warmup.assess", {**PUFFED, **COLD}, COOLANT),
    ("warmup.assess", {**PUFFED, **COLD}, {"strength": q(10, "%")}),
    ("warmup.assess", {}, NO_LOAD),
    ("warmup.assess", {}, {"opening": q(60, "°C")}),
    ("warmup.assess", {}, {"fan_on": q(80, "°C")}),
    ("warmup.time_to_thermostat", {}, {"warming": q(5, "K/min")}),
    ("warmup.time_to_thermostat", {}, {"cooling_time": q(20, "min")}),
    ("warmup.cool_down", {}, {"bonnet": "open"}),
    ("warmup.cool_down", {}, {"cooling_time": q(20, "min")}),
    ("causes.rank", {}, {"tools": ["lamp"]}),
    ("causes.rank", {}, {"closed_gates": ["cold"]}),
    ("causes.rank", {}, {"observations": [
        {"finding": "loss_rate", "value": q(0.29, "L/1000 km", low=0.1, high=0.5)},
        {"finding": "gas_test", "value": "negative"},
        {"finding": "neck_bubbles", "value": "steady_follow_rpm"},
    ]}),
    ("quote.estimate", {}, {"authorised": None}),
    ("practice.readings", {}, {"stroke_volume": None}),
    ("practice.readings", {}, {"seed": 2}),
    # Only who ticks what is not so is hurt; of three jobs one at least.
    *(("practice.job", {}, {"technician": "untrue", "seed": seed}) for seed in (1, 13, 27)),
]  # fmt: skip


def given(operation: str, *changes: Json) -> Json:
    payload = copy.deepcopy(OPERATIONS[operation].sample)
    for each in changes:
        payload |= each
    return {key: each for key, each in payload.items() if each is not None}


def answer(operation: str, *changes: Json) -> Json:
    """The answer, which must be one and be as the schema says."""
    found = call(operation, given(operation, *changes))
    assert "error" not in found, found
    fastjsonschema.compile(OPERATIONS[operation].output)(found)
    return found


@cache
def both(number: int) -> tuple[Json, Json]:
    """The answers of a row of ``READ``, without and with what is added."""
    operation, before, change = READ[number]
    return answer(operation, before), answer(operation, before, change)


@pytest.mark.parametrize("number", range(len(READ)))
def test_what_is_given_changes_the_answer(number: int) -> None:
    without, with_it = both(number)
    assert without != with_it, READ[number]


# A plan's schema, shared with `fill.mix`: what is drained off first is a flush by itself. No
# strength is beyond the end of the sucrose scale.
SHARED = {
    "fill.flush": (".final.draw_off_first", ".final.short"),
    "properties.coolant": (".validity.brix.reason",),
}


def keys(value: Any, path: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for key, each in value.items():
            yield f"{path}.{key}"
            yield from keys(each, f"{path}.{key}")
    elif isinstance(value, list):
        for each in value:
            yield from keys(each, f"{path}[]")


def named(schema: Json, path: str = "") -> Iterator[str]:
    for key, each in schema.get("properties", {}).items():
        if key not in ("low", "high", "quantity", "probability"):
            yield f"{path}.{key}"
            yield from named(each, f"{path}.{key}")
    if "items" in schema:
        yield from named(schema["items"], f"{path}[]")
    for each in schema.get("oneOf", ()):
        yield from named(each, path)


@pytest.mark.parametrize("operation", TYPED)
def test_each_key_that_an_answer_may_hold_is_given_by_some_input(operation: str) -> None:
    told = set(keys(answer(operation)))
    for number, (name, _, _) in enumerate(READ):
        if name == operation:
            told |= set(keys(both(number)[1]))
    if operation == "hold.assess":
        for payload in HOLDS:
            told |= set(keys(answer(operation, payload)))
    missing = set(named(OPERATIONS[operation].output)) - told
    assert {each for each in missing if not each.startswith(SHARED.get(operation, "!"))} == set()
