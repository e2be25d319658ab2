"""Small parts of the compiler by themselves: what can come out, what is named instead, what a mark
clears, what the causes ask."""

from __future__ import annotations

import pytest

from weeptrace.rules import conditions, found
from weeptrace.rules.reach import possible, unreached
from weeptrace.rules.source import Fault, instead, room_of
from weeptrace.rules.vocabulary import _cleared


@pytest.mark.parametrize(
    ("text", "known", "so", "not_so"),
    [
        ("known(a.x)", "", False, True),
        ("known(a.x)", "a.x", True, True),
        ("not known(a.x)", "", True, False),
        ("known(a.x) or known(b.x)", "", False, True),
        ("known(a.x) or known(b.x)", "b.x", True, True),
        ("known(a.x) and known(b.x)", "a.x", False, True),
        ("known(a.x) and known(b.x)", "a.x b.x", True, True),
        ("not (known(a.x) or known(b.x))", "", True, False),
        ("not (known(a.x) and known(b.x))", "", True, False),
        ("not known(a.x) and not known(b.x)", "", True, False),
        ("a.x == 'yes'", "", False, False),
        ("a.x == 'yes'", "a.x", True, True),
        ("a.x == 'yes' or known(b.x)", "b.x", True, False),
        ("a.x == 'yes' and known(b.x)", "a.x", False, True),
    ],
)
def test_what_a_condition_can_come_to(text: str, known: str, so: bool, not_so: bool) -> None:
    """With only some fields that can be known: what is unknown is known to be so, and no more."""
    tree = conditions.parse(text)
    assert possible(tree, set(known.split())) is so
    assert possible(tree, set(known.split()), wanted=False) is not_so


def test_steps_that_no_order_of_answers_leads_to() -> None:
    """The second waits for the first, the third for the second; two wait for each other."""
    when = [None, "known(a.x)", "known(b.x)", "known(d.x)", "known(c.x)", "known(z.x)"]
    steps = [
        {"id": n, "when": None if text is None else conditions.parse(text)}
        for n, text in enumerate(when)
    ]
    given = [{"a.x"}, {"b.x"}, {"e.x"}, {"c.x"}, {"d.x"}, {"f.x"}]
    assert [each["id"] for each in unreached(steps, given)] == [3, 4, 5]
    assert unreached(steps[:3], given[:3]) == []


def test_what_to_write_instead() -> None:
    """A word that is near; else all of a dozen; of more, how many."""
    assert instead("Caracity", ["capacity", "name"]) == "did you mean “capacity”?"
    assert instead("x", []) == "add it first"
    dozen = [f"{letter}{letter}" for letter in "abcdefghijkl"]
    assert instead("zzz", reversed(dozen)) == f"write one of: {', '.join(dozen)}"
    assert instead("zzz", [*dozen, "mm", "aa"]) == ("add it, or write one of the 13 that there are")


def test_a_fault_names_its_place() -> None:
    assert str(Fault("gates.toml", 7, "cold", "is at fault")) == "gates.toml:7: [cold] is at fault"
    assert str(Fault("gates.toml", None, "", "is empty")) == "gates.toml: is empty"
    assert (room_of("gates.toml"), room_of("text/en/gate.toml")) == ("gates", "en")


def test_a_mark_clears_all_of_its_table_but_itself() -> None:
    names = ["hold.again", "hold.start", "hold.end", "hose.end", "holder.end"]
    fields: dict[str, dict[str, str]] = {name: {} for name in names}
    assert _cleared(fields, "hold.again", "hold.*") == ["hold.start", "hold.end"]
    assert _cleared(fields, "hold.again", "hose.end") == ["hose.end"]
    assert _cleared(fields, "hold.again", "none.*") == ["none.*"]  # then told as unknown


def test_what_the_causes_ask_with_the_features_and_tools_that_they_name() -> None:
    one = {
        "findings": {
            "drip": {"kind": "places", "values": ["none", "hose"], "neutral": ["unknown"]},
            "sound": {"kind": "sign", "values": ["no", "yes"], "neutral": []},
        },
        "causes": {"a": {"needs": "turbo"}, "b": {"needs": None}},
        "cautions": {"x": [["feature", "battery"], ["always"]]},
        "tests": {"look": {"tools": ["mirror", "lamp"]}},
    }  # fmt: skip
    assert found.fields(one) == {
        "find.drip": {"kind": "choices", "options": ["none", "hose", "unknown"]},
        "find.sound": {"kind": "choice", "options": ["no", "yes"]},
        "car.features": {"kind": "choices", "options": ["battery", "turbo"]},
        "car.lacks": {
            "kind": "choices",
            "options": ["battery", "turbo"],
            "worded_as": "car.features",
        },
        "shop.tools": {"kind": "choices", "options": ["lamp", "mirror"]},
    }
