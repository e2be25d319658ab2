"""The room: what it may import, what it says of itself, its descriptions, its door."""

from __future__ import annotations

import ast
import copy
import importlib
import inspect
import json
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from weeptrace import practice
from weeptrace.door import call
from weeptrace.practice.describe import CARS, car_from, load, names
from weeptrace.refusal import Refusal

ROOM = Path(practice.__file__).parent
MODULES = sorted(
    ".".join(path.relative_to(ROOM).with_suffix("").parts)
    for path in ROOM.rglob("*.py")
    if path.stem != "__init__"
)
MAY = (
    "weeptrace.practice", "weeptrace.properties", "weeptrace.quantity", "weeptrace.refusal",
    "weeptrace.told", "weeptrace.words", "weeptrace.finding",  # how a refusal is told
)  # fmt: skip


def imported(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        if isinstance(node, ast.ImportFrom):
            found.add("." * node.level + (node.module or ""))
    return found


@pytest.mark.parametrize("name", MODULES)
def test_a_module_imports_nothing_that_judges(name: str) -> None:
    for module in imported((ROOM / name.replace(".", "/")).with_suffix(".py")):
        own = module.startswith((".", "weeptrace"))
        assert not own or module.startswith(MAY), module
        assert own or module.split(".")[0] in sys.stdlib_module_names, module


def test_nothing_that_judges_is_loaded_behind_it() -> None:
    modules = ", ".join(f"weeptrace.practice.{name}" for name in MODULES)
    code = f"import sys, {modules}; print(*[m for m in sys.modules if m.startswith('weeptrace')])"
    path = str(ROOM.parent.parent)
    done = subprocess.run(
        [sys.executable, "-c", code], env={"PYTHONPATH": path}, capture_output=True, text=True
    )
    loaded = done.stdout.split()
    assert "weeptrace.practice.balance" in loaded, done.stderr
    assert all(m == "weeptrace" or m.startswith(MAY) for m in loaded)


def test_no_engine_imports_it() -> None:
    users = [
        path.relative_to(ROOM.parent).as_posix()
        for path in ROOM.parent.rglob("*.py")
        if not path.is_relative_to(ROOM)
        and any(m.startswith("weeptrace.practice") for m in imported(path))
    ]
    assert users == ["door/practice.py"]


@pytest.mark.parametrize("name", MODULES)
def test_public_things_say_what_they_are(name: str) -> None:
    module = importlib.import_module(f"weeptrace.practice.{name}")
    for label, item in vars(module).items():
        if label.startswith("_") or getattr(item, "__module__", "") != module.__name__:
            continue
        text = inspect.getdoc(item) or ""
        assert len(text) > 20, label
        if inspect.isfunction(item):
            for parameter in inspect.signature(item).parameters:
                assert parameter in text or parameter in (module.__doc__ or "") or parameter in (
                    "car", "state", "hoses", "scene",
                ), f"{label} does not explain {parameter}"  # fmt: skip


# --- descriptions -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", names())
def test_every_car_can_be_read(name: str) -> None:
    car = load(name)
    assert car.conditions
    assert car.capacity is not None


def described(name: str) -> dict[str, Any]:
    return tomllib.loads((CARS / f"{name}.toml").read_text("utf-8"))


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("hoses", "compliance"), None, "hoses.compliance is missing"),
        (("hoses", "compliance"), {"value": 0.45, "unit": "kPa"}, "unit of pressure"),
        (("hoses", "compliance"), 0.45, "a value and a unit"),
        (("altitude",), {"value": 9000, "unit": "m"}, "altitude is 9000 m"),
        (("glycol",), "methanol", "glycol"),
        (("colour",), "green", "“colour” is not known"),
        (("leaks", 0, "side"), "left", "one side"),
        (("leaks", 0, "exponent"), {"value": 9, "unit": "1"}, "exponent is 9"),
        (("conditions", "to_neck", "liquid"), None, "liquid is missing"),
        (("conditions", "to_neck", "log"), [], "list of numbers"),
        (("cap", "rating"), {"value": 16, "unit": "bar"}, "cap.rating is 16 bar"),
        (("conditions",), 5, "conditions"),
    ],
)
def test_a_description_is_refused(path: tuple[Any, ...], value: Any, words: str) -> None:
    table = described("larkspur_seam")
    holder: Any = table
    for key in path[:-1]:
        holder = holder[key]
    if value is None:
        del holder[path[-1]]
    else:
        holder[path[-1]] = value
    with pytest.raises(Refusal) as refused:
        car_from(table)
    assert words in refused.value.message
    assert refused.value.accepted


def test_an_unknown_car_is_refused_with_the_names() -> None:
    with pytest.raises(Refusal) as refused:
        load("no_such_car")
    assert "larkspur_seam" in refused.value.accepted


# --- the door ---------------------------------------------------------------------------------

ASK: dict[str, Any] = {
    "car": "larkspur_seam",
    "condition": "to_neck",
    "seed": 3,
    "division": {"value": 2, "unit": "kPa"},
    "stroke_volume": {"value": 40, "unit": "mL"},
}


def test_a_name_and_a_description_give_the_same() -> None:
    by_name = call("practice.readings", ASK)
    whole = json.loads(json.dumps(described("larkspur_seam")))
    assert call("practice.readings", {**ASK, "car": whole}) == by_name
    assert by_name["strokes"] == pytest.approx(5.4, abs=0.05)
    assert by_name["gas_volume"]["value"] == pytest.approx(150.0)
    assert [r["time"]["value"] for r in by_name["readings"]] == list(range(16))
    assert by_name["readings"][15]["truth"]["value"] == pytest.approx(94.0, abs=0.5)
    assert all(r["pressure"]["value"] % 1.0 == 0.0 for r in by_name["readings"])
    assert call("practice.readings", {**ASK, "seed": 4})["readings"] != by_name["readings"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"car": "no_such_car"}, "unknown_car"),
        ({"car": {}}, "bad_input"),
        ({"car": 5}, "bad_input"),
        ({"condition": "upside_down"}, "unknown_condition"),
        ({"division": {"value": 0, "unit": "kPa"}}, "out_of_range"),
        ({"seed": 1.5}, "bad_input"),
    ],
)
def test_the_door_refuses(change: dict[str, Any], code: str) -> None:
    answer = call("practice.readings", {**copy.deepcopy(ASK), **change})
    assert answer["error"]["code"] == code


def test_a_car_that_cannot_be_computed_is_answered() -> None:
    # A creep of one second keeps every step of a day short: more steps than are allowed.
    table = described("larkspur_seam")
    table["hoses"]["creep_time"] = {"value": 1, "unit": "s"}
    table["conditions"]["to_neck"]["minutes"] = [0, 1440]
    answer = call("practice.readings", {**ASK, "car": table})
    assert answer["error"]["code"] == "not_computable"
