"""What the sound rules of ``tests/broken_rules/sound`` are compiled to, derived by hand from their
files; and how far a figure or a text may go before it is refused."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from weeptrace.rules import bundle, found
from weeptrace.rules.compiler import compile_folder
from weeptrace.rules.kept import hash_of
from weeptrace.rules.model import Never, Phase, Step, from_bundle
from weeptrace.rules.source import RulesError

SOUND = Path(__file__).parent.parent / "broken_rules" / "sound"
BUNDLE = compile_folder(SOUND)
RULES = from_bundle(BUNDLE)
ZERO = 273.15  # K at 0 °C


def field(id: str) -> dict[str, Any]:
    made: dict[str, Any] = BUNDLE["fields"][id]
    return made


def test_a_quantity_is_kept_in_si_with_its_dimension() -> None:
    assert field("car.capacity") == {
        "kind": "quantity", "dimension": "volume",
        "low": pytest.approx(0.5e-3), "high": pytest.approx(80e-3),
    }  # fmt: skip
    assert field("coolant.temperature") == {
        "kind": "quantity", "dimension": "temperature", "shown_by": "probe", "signed": True,
        "low": pytest.approx(ZERO - 40.0), "high": pytest.approx(ZERO + 150.0),
    }  # fmt: skip
    assert field("hold.strokes") == {"kind": "count", "low": 1.0, "high": 300.0}
    assert field("hold.pressure") == {
        "kind": "reading", "dimension": "pressure", "low": 0.0, "high": pytest.approx(700e3),
        "not_above": ["car.cap_limit"], "rated": "car.cap_rating",
    }  # fmt: skip
    assert field("car.cap_limit")["not_above"] == ["car.cap_rating"]


def test_words_parts_and_marks_are_kept_as_they_stand() -> None:
    assert field("car.name") == {"kind": "text", "longest": 28}
    assert field("car.glycol") == {"kind": "choice", "options": ["ethylene", "propylene"]}
    assert field("part.hose") == {
        "kind": "part", "comes": "off", "needed_to_run": True, "options": ["off", "on"],
        "belongs": ["radiator"],
    }  # fmt: skip
    assert field("hold.ended") == {"kind": "mark", "marks": "hold.pressure"}
    cleared = ["hold.strokes", "hold.pressure", "hold.ended"]
    assert field("hold.again") == {"kind": "mark", "clears": cleared}


def test_what_the_causes_ask_becomes_fields() -> None:
    assert field("find.age")["options"] == ["young", "old", "unknown"]
    assert field("find.wet_at") == {
        "kind": "choices", "options": ["none", "plug"], "worded_as": "find.place",
    }  # fmt: skip
    assert field("find.ground") == {"kind": "choices", "options": ["none", "front"]}
    assert field("car.features") == {"kind": "choices", "options": ["drain_plug"]}
    assert field("shop.tools") == {"kind": "choices", "options": ["lamp"]}


def test_limits_gates_hazards_and_rules_that_are_never_broken() -> None:
    assert BUNDLE["limits"] == {
        "gate.temperature": pytest.approx(ZERO + 50.0), "gate.sign_age": 10 * 60.0,
        "gate.evidence_age": 20 * 60.0, "hold.pressure": pytest.approx(100e3),
    }  # fmt: skip
    (cold,) = RULES.gates.values()
    assert (cold.id, cold.stale_on) == ("cold", ("hold.pressure",))
    # A name that is no evidence of a cold system, such as the car's, is not among it.
    assert cold.evidence == ("coolant.temperature", "system.pressure_sign")
    assert BUNDLE["gates"]["cold"]["opens"] == [
        "and",
        ["within", "coolant.temperature", ["limit", "gate.evidence_age"]],
        ["<", ["field", "coolant.temperature"], ["limit", "gate.temperature"]],
        ["within", "system.pressure_sign", ["limit", "gate.sign_age"]],
        ["==", ["field", "system.pressure_sign"], ["word", "soft"]],
        ["known", "car.name"],
    ]
    cautions = {"hot_coolant": "caution.hot_coolant", "poison": "caution.poison"}
    assert BUNDLE["cautions"] == cautions
    assert dict(RULES.never) == {
        "open_only_cold": Never(
            "open_only_cold", "hard", acts=("open_system",), gates=("cold",),
            hazards=("hot_coolant",),
            capped=("hold.pressure",), texts=("screen.stop",),
        ),
        "no_start_on_cream": Never(
            "no_start_on_cream", "override", person="cream.person", why="cream.why",
            asked=("coolant.cream",),
        ),
    }  # fmt: skip


def step(id: str, phase: str, **more: Any) -> Step:
    given: dict[str, Any] = {
        "asks": None, "shows": None, "reads": None, "checks": (), "when": None, "done": None,
        "again": None, "skip": False, "hazards": (), "gates": (), "acts": (),
    }  # fmt: skip
    return Step(id=id, phase=phase, **{**given, **more})


def test_the_procedure_has_its_phases_and_steps_in_order() -> None:
    leak = RULES.procedures["leak"]
    assert leak.phases == (
        Phase("intake", None, None, (), ()), Phase("cool_down", "cold", None, (), ()),
        Phase("hold", None, None, (), ()),
    )  # fmt: skip
    off, on = ["known", "ledger.off_complete"], ["known", "ledger.on_complete"]
    assert leak.open == ["and", off, ["not", on]]
    radiator = ["==", ["field", "repair.kind"], ["word", "radiator"]]
    cream = ["==", ["field", "coolant.cream"], ["word", "cream"]]
    none_out = ["==", ["field", "ledger.out"], ["number", 0.0]]
    assert leak.steps == (
        step("car_name", "intake", asks="car.name"),
        step("capacity", "intake", asks="car.capacity", skip=True),
        step("glycol", "intake", asks="car.glycol",
             when=[">", ["field", "car.capacity"], ["number", 0.0]]),
        step("strokes", "intake", asks="hold.strokes", hazards=("poison",),
             acts=("handle_coolant",)),
        step("readings", "hold", shows="recorder", reads="hold.pressure", again="hold.again",
             done=["known", "hold.ended"]),
        step("repair", "hold", asks="repair.kind"),
        step("comes_off", "hold", shows="ledger_off", asks="ledger.off_complete", when=radiator,
             hazards=("hot_coolant",), gates=("cold",), acts=("open_system",)),
        step("goes_on", "hold", shows="ledger_on", asks="ledger.on_complete", when=radiator,
             done=["and", on, none_out]),
        step("cream", "hold", asks="coolant.cream"),
        step("cream_person", "hold", asks="cream.person", when=cream),
        step("cream_why", "hold", asks="cream.why", when=cream),
    )  # fmt: skip


def test_units_and_words_are_kept() -> None:
    assert [each["id"] for each in RULES.unit_sets] == ["kpa", "bar"]
    assert RULES.unit_sets[1]["units"] == {"pressure": "bar", "temperature": "°C", "volume": "L"}
    assert RULES.decimals == {"kPa": 0, "bar": 2, "°C": 0, "L": 2}
    assert RULES.text("step.comes_off.main") == "No more"
    assert RULES.text("field.coolant.temperature") == "Top tank, by probe"
    assert RULES.text(RULES.fields["car.glycol"].word("propylene")) == "Propylene"
    assert RULES.fields["coolant.temperature"].unit_key == "temperature"
    assert RULES.fields["hold.strokes"].unit_key == "ratio"
    numeric = [id for id, each in RULES.fields.items() if each.numeric]
    assert numeric == [
        "car.capacity", "car.cap_rating", "car.cap_limit", "coolant.temperature", "hold.strokes",
        "hold.pressure",
    ]  # fmt: skip


def test_a_field_that_says_no_more_has_nothing_more() -> None:
    said = {key: value for key, value in vars(RULES.fields["car.glycol"]).items() if value}
    assert said == {
        "id": "car.glycol", "kind": "choice", "options": ("ethylene", "propylene"), "longest": 140,
    }  # fmt: skip


QUIET = {
    "waits": 0, "worth": 0, "risk": 0, "tools": [], "hazards": [], "gates": [],
    "runs": False, "drives": False, "cranks": False, "leaves": False, "teardown": False,
    "visit": False, "fitted": None, "interview": False,
}  # fmt: skip
HOT = {"hazards": ["hot_coolant"], "gates": ["cold"]}


def test_tests_causes_and_states() -> None:
    causes = BUNDLE["causes"]
    assert causes["tests"] == {
        "intake": {**QUIET, "minutes": 5, "interview": True},
        "look": {**QUIET, "minutes": 10, "tools": ["lamp"], "hazards": ["poison"]},
        "cap_test": {**QUIET, **HOT, "minutes": 5},
        "pressure_test": {**QUIET, **HOT, "minutes": 30, "fitted": "drain_plug"},
    }
    assert causes["causes"] == {
        "cap": {
            "leaks": True, "needs": None, "weight": 8, "zone": "filler", "part": "cap",
            "wrong": 30, "proof": ["cap_test"], "proven_by": ["cap=weak"],
        },
        "plug": {
            "leaks": True, "needs": "drain_plug", "weight": 3, "zone": "front", "part": "plug",
            "wrong": 40, "proof": ["pressure_test"], "proven_by": ["wet_at=plug"],
        },
    }  # fmt: skip
    # hardly_ever is 0.01, often 0.5, usually 0.8 there; twice is 2.
    assert causes["states"]["at_plug"]["background"] == 0.01
    assert causes["states"]["at_plug"]["run_down"] == 0.01
    told = {"plug": {"chance": 0.8}}
    assert causes["states"]["at_plug"]["from"] == told


def test_findings() -> None:
    made = BUNDLE["causes"]["findings"]
    assert made["age"]["shifts"] == {
        "young": {"plug": {"by": 2.0}},
        "old": {"cap": {"by": 2.0}},
    }
    assert (made["age"]["values"], made["age"]["neutral"]) == (["young", "old"], ["unknown"])
    edges = {"dimension": "ratio", "edges": [12.0], "values": ["young", "old"]}
    assert made["age"]["measure"] == edges
    assert made["cap"]["background"] == pytest.approx([1 - 0.01, 0.0, 0.01])
    assert made["cap"]["from"]["cap"]["chance"] == pytest.approx([1 - 0.01 - 0.5, 0.01, 0.5])
    assert made["cap"]["given_state"] == [1.0, 0.0, 0.0]
    assert made["drops"]["given_state"] == pytest.approx([1 - 0.5, 0.5])
    assert (made["drops"]["state"], made["drops"]["background"]) == ("at_plug", [1.0, 0.0])
    assert made["wet_at"]["places"] == {"plug": "at_plug"}  # "all": each state's own place
    assert made["ground"]["places"] == {"front": "at_plug"}
    assert [made[id]["seen"] for id in ("wet_at", "ground")] == [0.8, 0.5]
    assert [made[id]["misread"] for id in ("age", "cap", "drops", "ground")] == [
        0.03, 0.06, 0.05, 0.01,
    ]  # fmt: skip
    assert made["looked"]["doubts"][0] == {
        "value": "cold", "finding": "wet_at", "seen": 0.5,
    }  # fmt: skip


def test_the_questions_have_their_words_and_none_stand_without_findings() -> None:
    assert RULES.text("field.find.age") == "How old is it?"
    assert RULES.text("choice.find.cap.weak") == "Opens early"
    # Findings of any place share the places' words; those of named places have their own.
    assert RULES.text(RULES.fields["find.wet_at"].word("plug")) == "Drain plug"
    assert RULES.text(RULES.fields["find.ground"].word("none")) == "Dry"
    assert found.fields({"findings": {}, "causes": {}, "cautions": {}, "tests": {}}) == {}


def test_each_link_is_told_by_the_reason_of_its_first_cause_and_no_reason_is_left_over() -> None:
    told = BUNDLE["causes"]["reasons"]
    assert told == {key: key for key in told}  # each link of one cause there
    assert {f"why.{key}" for key in told} == {id for id in BUNDLE["texts"] if id[:4] == "why."}
    whole = bundle()["causes"]["reasons"]
    link = "state.coolant_on_ground.head_gasket_internal"
    assert whole["state.coolant_on_ground.egr_cooler"] == link == whole[link]


def test_neither_reasons_nor_words_are_in_the_hash() -> None:
    without = {key: each for key, each in BUNDLE["causes"].items() if key != "reasons"}
    assert hash_of({**BUNDLE, "causes": without}) == BUNDLE["hash"]
    assert hash_of({**BUNDLE, "causes": {**without, "words": {}}}) == BUNDLE["hash"]
    assert hash_of({**BUNDLE, "causes": {**without, "states": {}}}) != BUNDLE["hash"]


def test_conflicts_blocks_and_cautions_of_the_causes() -> None:
    causes = BUNDLE["causes"]
    (conflict,) = causes["conflicts"]
    assert (conflict["a"], conflict["b"]) == (["drops", "none"], ["wet_at", "any"])
    (block,) = causes["blocks"]
    assert (block["when"], block["stops"]) == ([["cap", "weak"]], ["drives"])
    assert causes["cautions"]["drive"] == [["answer", "cap", "weak"], ["cause", "cap"],
                                           ["always", ""]]  # fmt: skip


# --- how far ------------------------------------------------------------------------------------


def compiled(folder: Path, file: str, old: str, new: str) -> list[str]:
    """The faults that are told with one change in a copy of the sound rules."""
    copy = shutil.copytree(SOUND, folder / "rules", dirs_exist_ok=True)
    text = (copy / file).read_text("utf-8")
    assert text.count(old) >= 1, (file, old)
    (copy / file).write_text(text.replace(old, new, 1), "utf-8")
    try:
        json.dumps(compile_folder(copy))
    except RulesError as problem:
        return [str(fault) for fault in problem.faults]
    return []


def refused_beside(folder: Path, file: str, old: str, fits: str, does_not: str) -> str:
    """The one fault that is told of what does not fit, where what just fits is taken."""
    assert compiled(folder, file, old, fits) == []
    faults = compiled(folder, file, old, does_not)
    assert len(faults) == 1, faults
    return faults[0]


LONG = "x" * 200
STEPS, FIELDS = "text/en/steps.toml", "text/en/fields.toml"


@pytest.mark.parametrize(
    ("file", "old", "fits", "does_not", "told"),
    [
        ("units.toml", '"L" = 2', '"L" = 6', '"L" = 7', "from 0 to 6"),
        ("units.toml", '"L" = 2', '"L" = 0', '"L" = -1', "from 0 to 6"),
        ("units.toml", '"L" = 2', '"L" = 1', '"L" = true', "from 0 to 6"),
        ("limits/gate.toml", "value = 50", "value = 30", "value = 29.99", "outside its own range"),
        ("limits/gate.toml", "value = 50", "value = 60", "value = 60.01", "outside its own range"),
        ("limits/gate.toml", "value = 20", "value = 0.01", "value = 0", "not above zero"),
        ("procedures/leak.toml", '"car.capacity > 0"', '"known(car.capacity)"',
         '"limit.hold.pressure > 0"', "never change"),
        ("limits/gate.toml", "value = 10", "value = 1e3", "value = inf", "write a number"),
        ("limits/gate.toml", "value = 10", "value = 11", "value = -inf", "write a number"),
        ("limits/gate.toml", "value = 10", "value = 12", "value = nan", "write a number"),
        ("limits/gate.toml", "value = 10", "value = 13", "value = true", "write a number"),
        ("fields/car.toml", '["0.5 L", "80 L"]', '["0.5 L", "0.51 L"]', '["0.5 L", "0.5 L"]',
         "upside down"),
        (STEPS, '"The car"', f'"{LONG[:28]}"', f'"{LONG[:29]}"', "shorten it by 1"),
        (STEPS, '"Type its name."', f'"{LONG[:100]}"', f'"{LONG[:103]}"', "shorten it by 3"),
        (STEPS, '"No more"', f'"{LONG[:24]}"', f'"{LONG[:25]}"', "25 signs, 24 fit"),
        (STEPS, '"Intake"', f'"{LONG[:10]}"', f'"{LONG[:11]}"', "11 signs, 10 fit"),
        (STEPS, '"Poison."', f'"{LONG[:48]}"', f'"{LONG[:49]}"', "49 signs, 48 fit"),
        (STEPS, '"Stop, refer"', f'"{LONG[:140]}"', f'"{LONG[:141]}"', "141 signs, 140 fit"),
        (STEPS, '"Type its name."', '["Type", "its name."]', f'["Type", "{LONG[:101]}"]',
         "shorten it by 1"),
        (STEPS, '"Stop, refer"', '["Stop", "refer"]', '["Stop", 3]', "is no text"),
        (STEPS, '"Stop, refer"', '["Stop"]', "[]", "is no text"),
        (STEPS, '"Stop, refer"', '["Stop"]', '["Stop", ""]', "is empty"),
    ],
)  # fmt: skip
def test_what_just_fits_and_what_does_not(
    tmp_path: Path, file: str, old: str, fits: str, does_not: str, told: str
) -> None:
    fault = refused_beside(tmp_path, file, old, fits, does_not)
    assert told in fault
    place = "gates.toml" if "expire" in fault else file  # where the limit is used
    assert re.match(rf"{re.escape(place)}(:\d+)?: ", fault)


def test_a_star_stands_for_the_fields_of_one_room_but_itself(tmp_path: Path) -> None:
    copy = shutil.copytree(SOUND, tmp_path / "rules")
    file = copy / "fields/hold.toml"
    old = 'clears = ["hold.strokes", "hold.pressure", "hold.ended"]'
    text = file.read_text("utf-8")
    assert old in text
    cars = ["car.name", "car.capacity", "car.cap_rating", "car.cap_limit", "car.glycol"]
    for star, meant in (
        ("hold.*", ["hold.strokes", "hold.pressure", "hold.ended"]), ("car.*", cars),
    ):  # fmt: skip
        file.write_text(text.replace(old, f'clears = ["{star}"]'), "utf-8")
        assert compile_folder(copy)["fields"]["hold.again"]["clears"] == meant


def test_an_entry_that_holds_a_table_among_its_values_is_an_entry(tmp_path: Path) -> None:
    faults = compiled(tmp_path, "fields/car.toml", "longest = 28", "longest = 28\nmore = {a = 1}")
    assert len(faults) == 1
    assert "[car.name]" in faults[0]
    assert "more" in faults[0]
