"""What the door's schemas say: a title for each part, words by the texts, units to choose from."""

from __future__ import annotations

import ast
import shutil
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.refusals import holds_with_its_figures
from weeptrace import door
from weeptrace.door import OPERATIONS, call, shown
from weeptrace.door.registry import is_quantity
from weeptrace.quantity import dimension_of, to_si, units_of
from weeptrace.rules import FOLDER, load
from weeptrace.screen.figures import Show
from weeptrace.told import places
from weeptrace.words import sentences

TOOLS = Path(__file__).parents[2] / "webshell" / "tools"
sys.path.insert(0, str(TOOLS))
import door_words  # noqa: E402

Json = dict[str, Any]
PSI = next(each["units"] for each in load().unit_sets if each["id"] == "psi")
SHOWN = {name: shown(each) for name, each in OPERATIONS.items()}


def parts(schema: Json, path: str = "") -> Iterator[tuple[str, Json]]:
    """Every property of a schema, with its path."""
    for key, part in schema.get("properties", {}).items() if not is_quantity(schema) else ():
        here = f"{path}.{key}" if path else key
        yield here, part
        yield from parts(part, here)
        yield from parts(part.get("items", {}), here)


def asked() -> Iterator[tuple[str, str, Json]]:
    for name, each in SHOWN.items():
        for path, part in parts(each["input"]):
            yield name, path, part


@pytest.mark.parametrize("side", ["input", "output"])
def test_each_part_has_a_title_and_no_words_are_in_the_registered_schema(side: str) -> None:
    found = [(name, path, part) for name, each in SHOWN.items() for path, part in parts(each[side])]
    assert len(found) > 300
    assert [(name, path) for name, path, part in found if not part.get("title")] == []
    bare = [part for each in OPERATIONS.values() for _, part in parts(getattr(each, side))]
    assert [part for part in bare if {"title", "description", "x-absent"} & set(part)] == []


def test_each_operation_has_a_title_of_its_own() -> None:
    titles = [each["title"] for each in SHOWN.values()]
    assert len(set(titles)) == len(titles)
    assert all(
        each["help"].endswith(".") or name.startswith("job.") for name, each in SHOWN.items()
    )


def test_a_row_of_a_list_has_a_name() -> None:
    lists = [part for _, _, part in asked() if part.get("type") == "array"]
    assert len(lists) > 15
    assert all(each["items"]["title"] for each in lists)
    stretches = SHOWN["hold.two_level"]["input"]["properties"]["low"]["properties"]["stretches"]
    assert stretches["items"]["title"] == "Stretch"
    assert stretches["items"]["items"]["title"] == "Reading"


def test_what_is_taken_where_it_is_left_out_is_told_apart() -> None:
    trip = SHOWN["loss.classes"]["input"]["properties"]["trip"]
    assert trip["x-absent"] == "100 km"
    assert trip["description"] == "one long"
    assert not any("absent" in part.get("description", "") for _, _, part in asked())


def test_a_figure_in_the_words_is_told_as_written_or_in_the_readers_units() -> None:
    trip = ("loss.classes", "trip", "x-absent")
    hydro = ("properties.hydrometer", "temperature", "description")
    for (name, key, part), here, there in (
        (trip, "100 km", "62.14 mi"),  # a mile is 1.609344 km
        (hydro, "of the sample, 15 to 40 °C", "of the sample, 59 to 104 °F"),
    ):
        assert SHOWN[name]["input"]["properties"][key][part] == here
        own = shown(OPERATIONS[name], Show(load(), PSI).told)["input"]["properties"][key][part]
        assert own.replace("\N{NO-BREAK SPACE}", " ") == there
    for _, path, part in asked():
        assert "{" not in f"{part['title']}{part.get('description')}{part.get('x-absent')}", path


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        ("hold.plan.in_absent.temperature", "hold.temperature_unknown"),
        ("hold.plan.in_absent.liquid_volume", "hold.liquid_volume_unknown"),
        ("loss.absent.service", "loss.class_service"),
        ("loss.absent.look", "loss.class_look"),
        ("loss.classes.in_absent.trip", "loss.class_trip"),
    ],
)
def test_what_is_said_to_be_taken_is_what_the_rules_take(text: str, limit: str) -> None:
    place = next(each for _, each in places(sentences()[f"door.{text}"]) if each is not None)
    value, _, unit = place.name.partition(" ")
    assert to_si(float(value), unit, dimension_of(unit)) == pytest.approx(
        load().limits[limit], rel=3e-4
    )


def test_units_are_those_of_the_dimension_and_a_form_begins_with_one_of_them() -> None:
    quantities = [each for _, _, each in asked() if "x-dimension" in each]
    assert len(quantities) > 200
    for each in quantities:
        units = each["properties"]["unit"]["enum"]
        assert units[: len(units_of(each["x-dimension"]))] == units_of(each["x-dimension"])
        assert each["x-default-unit"] in units
    half = SHOWN["properties.refractometer"]["input"]["properties"]["half_division"]
    assert half["properties"]["unit"]["enum"] == ["1", "%", "K"]


def test_a_form_begins_with_the_unit_of_the_sample_or_one_that_fits() -> None:
    began = {(name, path): each.get("x-default-unit") for name, path, each in asked()}
    assert began["loss.level_watch", "level_change"] == "mm"  # as in the sample
    assert began["loss.classes", "trip"] == "km"
    assert began["loss.rate", "puddle.time"] == "min"
    assert began["hold.assess", "strength"] == "%"


def test_a_unit_by_another_name_is_still_read() -> None:
    for unit in ("degC", "C"):
        payload = {"temperature": {"value": 100, "unit": unit}}
        assert "error" not in call("properties.water", payload)
    told = call("properties.water", {"temperature": {"value": 100, "unit": "kPa"}})["error"]
    assert told["code"] == "wrong_dimension"


def test_no_prose_is_left_in_the_code_of_the_door() -> None:
    """No words are handed to a schema: neither as its description nor beside a dimension."""
    for path in Path(door.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "quantity_schema":
                assert len(node.args) == 1, f"{path}:{node.lineno}"
            if isinstance(node, ast.Dict):
                keys = {each.value for each in node.keys if isinstance(each, ast.Constant)}
                assert not ({"type", "enum"} & keys and "description" in keys), path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The rules' texts, to be changed."""
    shutil.copytree(FOLDER / "text", tmp_path / "text")
    return tmp_path


@pytest.mark.parametrize(
    ("file", "was", "becomes", "words"),
    [
        ("hold", 'wet = "Wet place found"\n', "",
         "[door.hold.assess.in.wet] has no title; add it, or one as door.hold.title.wet"),
        ("hold", 'wet = "Wet place found"\n', 'wet = "Wet place found"\nwett = "Wet"\n',
         "[door.hold.title.wett] belongs to no part of an operation; remove it"),
        ("operations", "[door.fill.mix]\ntitle = ", "[door.fill.mix]\ntitel = ",
         "[door.fill.mix.title] has no words"),
        ("hold", 'wet = "Wet place found"', f'wet = "{"Wet " * 12}"',
         "[door.hold.title.wet] is 48 signs long, 36 fit"),
    ],
)  # fmt: skip
def test_a_title_that_is_missing_left_over_or_too_long_is_told_with_its_line(
    folder: Path, file: str, was: str, becomes: str, words: str
) -> None:
    path = folder / "text" / "en" / "door" / f"{file}.toml"
    text = path.read_text("utf-8")
    assert text.count(was) == 1
    path.write_text(text.replace(was, becomes), "utf-8")
    found = door_words.faults(folder)
    assert any(words in each and each.split(":")[1].isdigit() for each in found), found


def test_the_words_as_they_are_have_no_fault(folder: Path) -> None:
    assert door_words.faults(folder) == []
    mix = OPERATIONS["fill.mix"]
    more = {**mix.input, "properties": {**mix.input["properties"], "odd": {"type": "number"}}}
    changed = {**OPERATIONS, "fill.mix": replace(mix, input=more)}
    assert ["[door.fill.mix.in.odd] has no title" in each for each in
            door_words.faults(folder, changed)] == [True]  # fmt: skip


@pytest.mark.parametrize(
    ("operation", "change", "path", "message", "accepted"),
    [
        ("properties.water", {"pressure": {"unit": "kPa"}}, "pressure",
         "Left out: value.", "value, unit"),
        ("fill.mix", {"glycol": "maple"}, "glycol",
         "“maple” is none of the accepted words.",
         'ethylene ("ethylene"), propylene ("propylene")'),
        ("fill.mix", {"glycol": 3}, "glycol", "", ""),
        ("fill.mix", {"at_hand": {}}, "at_hand",
         "This is of another type than is accepted here: dict.", "a list"),
        ("fill.mix", {"at_hand": [{"kind": "punch"}]}, "at_hand[0].kind",
         "“punch” is none of the accepted words.",
         'concentrate ("concentrate"), premix ("premix"), water ("water")'),
        ("properties.coolant", {"volume_basis": "sum"}, "volume_basis",
         "“sum” is none of the accepted words.",
         'unmixed volumes ("unmixed"), volume of the mixture ("mixture")'),
        ("hold.plan", {"count": 2.5}, "count",
         "This is of another type than is accepted here: 2.5.", "a whole number"),
        ("hold.plan", {"count": 1}, "count", "1 is too small.", "2"),
        ("hold.plan", {"count": 2001}, "count", "2001 is too large.", "2000"),
        ("hold.overnight", {"strokes": 0}, "strokes", "0 is too small.", "0"),
        ("fill.mix", {"at_hand": []}, "at_hand", "The list is too short.", "1"),
        ("quote.estimate", {"rate": {"value": 1, "currency": "x"}}, "rate.currency",
         "“x” is not written in the accepted form.", "three capital letters, such as EUR"),
        ("loss.reminder", {"uid": 5}, "uid",
         "This is of another type than is accepted here: 5.", "words in quotes"),
        ("causes.rank", {"observations": [{"finding": "weep_hole", "value": True}]},
         "observations[0].value", "This is in none of the accepted forms.",
         "words in quotes, value and unit"),
    ],
)  # fmt: skip
def test_an_input_that_is_not_as_its_schema_says_is_refused_in_words(
    operation: str, change: Json, path: str, message: str, accepted: str
) -> None:
    error = call(operation, {**OPERATIONS[operation].sample, **change})["error"]
    assert (error["code"], error["path"]) == ("bad_input", path)
    assert error["message"] == message or not message
    assert error["accepted"] == accepted or not accepted
    holds_with_its_figures(error)
