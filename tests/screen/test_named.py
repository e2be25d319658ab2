"""What the ids of the causes' figure are called: each key's table, each id in the rules' words."""

from __future__ import annotations

import tomllib
from typing import Any, Final

from tests.exact_units import EXACT
from tests.screen.hand.page import NBSP, agrees
from tests.screen.hand.reader import Reader
from tests.screen.hand.told import RULES as FOLDER
from tests.screen.hand.told import Told, word
from weeptrace.door import OPERATIONS
from weeptrace.rules import load
from weeptrace.screen import named

Json = dict[str, Any]
MADE: Final = named.words(load())


def read(pattern: str) -> Json:
    """Files of the rules together, table within table."""
    made: Json = {}

    def add(to: Json, more: Json) -> None:
        for key, value in more.items():
            if isinstance(value, dict):
                add(to.setdefault(key, {}), value)
            else:
                to[key] = value

    for path in sorted(FOLDER.glob(pattern)):
        add(made, tomllib.loads(path.read_text("utf-8")))
    return made


KNOWN: Final = read("causes/*.toml")


def named_by(schema: Json) -> dict[str, set[str]]:
    """The keys whose ids a schema names by each table; a list's by the list's key."""
    found: dict[str, set[str]] = {}
    for key, part in schema.get("properties", {}).items():
        inner = part.get("items", part)
        if "x-names" in inner:
            found.setdefault(inner["x-names"], set()).add(key)
        for table, keys in named_by(inner).items():
            found.setdefault(table, set()).update(keys)
    return found


def test_each_key_names_the_table_of_its_ids() -> None:
    assert set(MADE) == {"tables", "answers", "units"}
    rank = OPERATIONS[named.FOR]
    asked, answered = named_by(rank.input), named_by(rank.output)
    assert asked == {
        "question": {"finding"}, "feature": {"features"}, "tool": {"tools"},
        "gate": {"closed_gates"},
    }  # fmt: skip
    assert answered == {
        "question": {"finding", "findings", "recheck", "asks", "same_sign_as"},
        "feature": {"lacks"}, "gate": {"gates"}, "hazard": {"hazards"}, "test": {"test"},
        "cause": {"leader"},
    }  # fmt: skip
    assert set(MADE["tables"]) == set(asked) | set(answered)


def test_each_id_has_the_words_of_the_rules() -> None:
    tables = MADE["tables"]
    assert tables["gate"] == {id: word(f"gate.{id}.title") for id in read("gates.toml")}
    hazards = read("hazards.toml")
    assert set(tables["hazard"]) == set(hazards)
    for id, each in hazards.items():  # of no job: a figure of it goes by the field's name
        said = Reader("kpa").text(each["caution"], Told([]))
        assert agrees(said, tables["hazard"][id].replace(NBSP, " ")), id
    tools = {tool for test in KNOWN["test"].values() for tool in test.get("tools", ())}
    assert tables["tool"] == {tool: word(f"choice.shop.tools.{tool}") for tool in tools}
    assert tables["cause"] == {id: word(f"cause.{id}.name") for id in KNOWN["cause"]}
    assert tables["test"] == {id: word(f"test.{id}") for id in KNOWN["test"]}
    assert tables["question"] == {id: word(f"field.find.{id}") for id in KNOWN["finding"]}
    needed = {each["needs"] for each in KNOWN["cause"].values() if "needs" in each}
    assert needed <= set(tables["feature"])
    assert tables["feature"] == {
        id: word(f"choice.car.features.{id}") for id in tables["feature"]
    }  # fmt: skip


def test_each_question_has_its_answers_and_where_it_is_a_figure_the_units_of_that() -> None:
    assert set(MADE["answers"]) == set(KNOWN["finding"])
    for id, entry in KNOWN["finding"].items():
        shared = entry.get("places") == "all"
        for value, said in MADE["answers"][id].items():
            words = word(f"choice.find.{'place' if shared else id}.{value}")
            if "{" not in words:  # a figure of the rules is told in a unit, elsewhere held to it
                assert said == words, (id, value)
        own = [entry["none"], *entry["places"]] if "places" in entry and not shared else []
        assert set(MADE["answers"][id]) >= set(own or entry.get("values", ())), id
    measured = {
        id: each["measure"]["dimension"] for id, each in KNOWN["finding"].items()
        if "measure" in each
    }  # fmt: skip
    assert MADE["units"] == {
        id: [unit for unit, (of, _) in EXACT.items() if of == dimension]
        for id, dimension in measured.items()
    }
