"""The contract with the shell, from both sides: what it takes, and that it takes nothing else."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any, Final

import fastjsonschema
import pytest

from weeptrace.door.blocks import BLOCKS, VIEW

Json = dict[str, Any]
Path = tuple[str | int, ...]
# By the block alone: a view tries each block in turn, and that takes a while.
VALID: Final = {
    "view": fastjsonschema.compile(VIEW),
    **{
        name: fastjsonschema.compile({**block, "definitions": VIEW["definitions"]})
        for name, block in BLOCKS.items()
    },
}

EVENT: Final[Json] = {"kind": "fact", "field": "car.name", "typed": "", "unit": "L",
                      "supersedes": "id"}  # fmt: skip
PAD: Final[Json] = {
    "block": "pad", "event": EVENT, "label": "Needle", "unit": "kPa", "units": ["kPa", "psi"],
    "step": 1.0, "division": 2.0, "signed": False,
    "last": {"typed": "110", "value": 110.0}, "same_as_last": True, "hints": ["division 2"],
}  # fmt: skip
DO: Final[Json] = {"event": EVENT}
ACTION: Final[Json] = {"label": "End", "sub": "Stops", "icon": "stop", "do": DO}
PLOT: Final[Json] = {
    "block": "plot",
    "x": {"low": 0.0, "high": 15.0, "labels": [0.0], "minor": 1.0, "unit": "min"},
    "y": {"low": 80.0, "high": 110.0, "labels": [90.0], "unit": "kPa"},
    "points": [{"x": 0.0, "y": 110.0, "kind": "read"}], "fit": [[0.0, 110.0, 109.0, 111.0]],
    "now": 3.0, "limit": {"line": [[0.0, 110.0]], "words": "a leak"},
    "marks": [{"x": 1.0, "words": "bumped"}], "next": 4.0, "words": "fit", "sentence": "It falls.",
}  # fmt: skip
SCALE: Final[Json] = {
    "block": "scale", "low": 0.0, "high": 100.0, "major": 10.0, "minor": 2.0, "unit": "°C",
    "limit": {"at": 50.0, "words": "open below"},
    "marks": [{"at": 74.0, "words": "now", "filled": True, "from": 72.0, "to": 76.0}],
    "sentence": "Now 74.",
}  # fmt: skip
VERDICT: Final[Json] = {
    "block": "verdict", "verdict": "leaking", "over": "Hold", "head": ["Leaking"], "figure": "1.2",
    "unit": "L", "lines": ["sure"],
    "rule": {"low": 0.01, "high": 20.0, "limits": [0.3], "words": ["tight", "leaking"], "tip": 1.2,
             "span": [0.8, 1.7], "hides_below": 0.1, "owner": 0.4, "under": "L"},
}  # fmt: skip
RECORDER: Final[Json] = {
    "block": "recorder", "last": {"value": "110", "unit": "kPa", "label": "Last"},
    "fall": {"label": "Fall", "value": "1", "unit": "kPa/min", "interval": "0 to 2"},
    "start": {"at": "14:00", "mono": 0.0, "boot": "boot-1"}, "due": 60.0, "interval": 60.0,
    "due_label": "READ", "call": "read", "plot": PLOT,
}  # fmt: skip
EACH: Final[list[Json]] = [
    {"block": "title", "text": "Hold", "count": "1 of 2"}, {"block": "prompt", "text": "Pump."},
    {"block": "heading", "text": "Waste"}, {"block": "caution", "level": "warning", "text": "Hot."},
    {"block": "state", "shape": "done", "word": "Cold", "lines": ["a"], "figure": "1",
     "framed": True, "do": DO, "refused": "id"},
    {"block": "value", "label": "Coolant", "value": "74", "unit": "°C", "shape": "stop",
     "word": "Too hot"},
    SCALE, PAD, PLOT, VERDICT, RECORDER,
    {"block": "choice", "rows": [{"label": "Yes", "sub": "", "chosen": False, "do": DO}]},
    {"block": "text", "event": EVENT, "label": "Name", "longest": 60, "store": "Store"},
    {"block": "bars", "sentence": "Likely", "rows": [
        {"label": "Seam", "sub": "", "figure": "40 %", "share": 0.4, "solid": True, "do": DO}]},
    {"block": "signature", "event": EVENT, "label": "R. Sand", "store": "Keep"},
    {"block": "checklist", "rows": [{"shape": "to_do", "label": "Ports", "figure": "", "do": DO}]},
    {"block": "table", "heads": ["a"], "rows": [["b", "c"]], "figures": [1]},
    {"block": "picture", "picture": "tank", "high": 8.0, "major": 2.0, "unit": "L",
     "sentence": "Pour.", "parts": [
         {"amount": 2.0, "pattern": "solid", "value": "2", "word": "L", "sub": "water"}]},
    {"block": "ledger", "rows": [{"off": "off", "on": "to_do", "now": True, "word": "Tray",
                                  "lines": ["Off"], "do": DO, "more": [ACTION]}]},
    {"block": "photo", "photos": [{"id": "p1", "caption": "Wet"}]},
]  # fmt: skip
AROUND: Final[Json] = {
    "job": "job-1", "practice": False, "bar": {"title": "Heron", "number": "7"},
    "edge": {"phases": ["Place"], "now": 0}, "step": "hold",
    "state": {"shape": "now", "word": "Hold", "figure": ""}, "rules": "", "blocks": [],
    "foot": {
        "caution": {"block": "caution", "level": "warning", "text": "Hot."}, "keys": [ACTION],
        "main": ACTION,
    },
    "more": [ACTION], "awake": True, "open": False,
}  # fmt: skip
SAMPLES: Final = {**{each["block"]: each for each in EACH}, "view": AROUND}
# What may be left out, and what may be null: the key, of what has it.
MAY_LACK: Final = {"supersedes", "from", "to", "refused"}
MAY_BE_NULL: Final = {
    ("event", "unit"), ("pad", "division"), ("pad", "last"), ("action", "sub"), ("action", "icon"),
    ("plot", "limit"), ("plot", "next"), ("scale", "limit"),
    ("verdict", "figure"), ("verdict", "rule"), ("rule", "tip"), ("rule", "span"),
    ("rule", "hides_below"), ("rule", "owner"), ("state", "shape"), ("value", "shape"),
    ("row", "shape"), ("row", "do"), ("recorder", "last"), ("recorder", "fall"),
    ("recorder", "start"), ("recorder", "due"), ("recorder", "plot"), ("foot", "caution"),
    ("foot", "main"),
}  # fmt: skip
WORDS: Final = {
    ("state", "shape"): ["done", "now", "to_do", "waits", "not_measured", "not_done", "stop", None],
    ("points", "kind"): ["read", "suspect"],
    ("parts", "pattern"): ["hatched", "solid", "dotted", "open"],
    ("picture", "picture"): ["tank"], ("ledger", "off"): ["off", "to_do"],
    ("ledger", "on"): ["on", "to_do", "waits"],
    ("verdict", "verdict"): [
        "no_leak_found", "tight", "seeping", "seeping_or_leaking", "leaking", "leaking_or_gross",
        "gross", "leak_size_unknown", "too_weak", "not_judged",
    ],
}  # fmt: skip


def takes(made: Json, name: str = "view") -> bool:
    try:
        VALID[name](made)
    except fastjsonschema.JsonSchemaException:
        return False
    return True


def walk(value: Any, at: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every place within a block or a view."""
    yield at, value
    if isinstance(value, dict | list):
        for key, each in value.items() if isinstance(value, dict) else enumerate(value):
            yield from walk(each, (*at, key))


def put(view: Json, at: Path, change: Any) -> Json:
    """A copy with another value there; without it for ``put``'s own name."""
    made: Any = copy.deepcopy(view)
    here = made
    for key in at[:-1]:
        here = here[key]
    if change is put:
        del here[at[-1]]
    else:
        here[at[-1]] = change
    return made  # type: ignore[no-any-return]


def owner(view: Json, at: Path) -> str:
    """What has a key: a block by its name, a part by the key that it stands under."""
    here: Any = view
    for key in at[:-1]:
        here = here[key]
    if isinstance(here, dict) and "block" in here:
        return str(here["block"])
    if isinstance(here, dict) and {"icon", "do"} <= set(here):
        return "action"
    if isinstance(here, dict) and "typed" in here and "kind" in here:
        return "event"
    names = [key for key in at[:-1] if isinstance(key, str)]
    if names[-1:] == ["rows"] and view.get("block") in ("checklist", "ledger"):
        return "row"
    return names[-1] if names else "view"


@pytest.mark.parametrize("name", SAMPLES)
def test_it_takes_a_whole_view_and_nothing_that_lacks_or_adds_a_key(name: str) -> None:
    view = SAMPLES[name]
    assert takes(view, name)
    for at, value in walk(view):
        if isinstance(value, dict):
            more = {**value, "extra": 1}
            assert not takes(put(view, at, more) if at else more, name)
            for key in value:
                may = key in MAY_LACK or (value.get("block") == "state" and key == "do")
                assert takes(put(view, (*at, key), put), name) is may, (at, key)


@pytest.mark.parametrize("name", SAMPLES)
def test_each_value_is_of_its_kind_and_null_only_where_it_may_be(name: str) -> None:
    view = SAMPLES[name]
    for at, value in walk(view):
        if not at:
            continue
        others: list[Any] = [{"a": 1}]
        if not isinstance(value, str):
            others.append("a")
        if isinstance(value, str | bool | list | dict):
            others.append(5)
        if not isinstance(value, bool):
            others.append(True)
        if isinstance(value, int) and not isinstance(value, bool):
            others.append(5.5)
        for other in others:
            assert not takes(put(view, at, other), name), (at, other)
        if isinstance(at[-1], str):
            null = (owner(view, at), at[-1]) in MAY_BE_NULL
            assert takes(put(view, at, None), name) is null, at
        if isinstance(value, list) and "fit" not in at:
            assert takes(put(view, at, []), name)


@pytest.mark.parametrize("name", SAMPLES)
def test_each_word_of_a_closed_set_and_no_other(name: str) -> None:
    view = SAMPLES[name]
    for at, _ in walk(view):
        key = (owner(view, at), at[-1]) if at else None
        key = ("ledger", at[-1]) if at and name == "ledger" and at[-1] in ("off", "on") else key
        if at and at[-1] == "shape":
            key = ("state", "shape")
        if key in WORDS:
            assert all(takes(put(view, at, word), name) for word in WORDS[key]), at
            assert not takes(put(view, at, "another"), name)


def test_a_point_of_a_fit_has_its_band() -> None:
    view = SAMPLES["plot"]
    for length in range(7):
        assert takes(put(view, ("fit", 0), [1.0] * length), "plot") is (length == 4)


@pytest.mark.parametrize(
    ("do", "taken"),
    [
        *(({key: EVENT}, True) for key in ("event", "reason", "photo")),
        *(({key: PAD}, True) for key in ("read", "pad", "earlier")),
        *(({"call": call}, True) for call in ("home", "export", "print", "save_record",
                                              "calendar")),
        ({"erase": "picture-1"}, True), ({"look": ""}, True), ({"look": "so_far"}, True),
        ({"call": "another"}, False), ({"store": EVENT}, False), ({}, False),
        ({"event": PAD}, False), ({"pad": EVENT}, False), ({"look": "", "event": EVENT}, False),
    ],
)  # fmt: skip
def test_what_a_press_may_do(do: Json, taken: bool) -> None:
    assert takes(put(AROUND, ("foot", "main", "do"), do)) is taken


def test_every_block_is_held_to_it() -> None:
    assert {each["block"] for each in EACH} == set(BLOCKS)
    for block in EACH:
        assert takes({**AROUND, "blocks": [block]})
        assert not takes({**AROUND, "blocks": [{**block, "block": "another"}]})
