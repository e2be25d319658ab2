"""The door: every operation answers its sample, and any text gets a reply, never a traceback."""

from __future__ import annotations

import io
import json
import os
import random
import re
import subprocess
import sys
from collections.abc import Callable
from typing import Any, NamedTuple

import fastjsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.refusals import holds_with_its_figures
from weeptrace.__main__ import main
from weeptrace.door import OPERATIONS, call, call_text, help_of, shown
from weeptrace.rules import FOLDER

CORE = FOLDER.parent.parent


class Done(NamedTuple):
    """What a command line left behind."""

    status: int
    out: str
    err: str


Run = Callable[..., Done]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """The command line within this process: its status, what it printed."""

    def run(*arguments: str, stdin: str = "") -> Done:
        monkeypatch.setattr(sys, "stdin", io.StringIO(stdin))
        return Done(main(list(arguments)), *capsys.readouterr())

    return run


@pytest.mark.parametrize("name", OPERATIONS)
def test_a_sample_answers_as_its_schemas_say(name: str) -> None:
    operation = OPERATIONS[name]
    fastjsonschema.compile(operation.input)(operation.sample)
    answer = call(name, operation.sample)
    assert "error" not in answer
    fastjsonschema.compile(operation.output)(json.loads(json.dumps(answer)))


def test_the_command_line_lists_helps_and_runs(run: Run) -> None:
    listed = run("--list")
    assert listed.status == 0
    lines = listed.out.splitlines()
    assert [line.split()[0] for line in lines] == list(OPERATIONS)
    widest = max(map(len, OPERATIONS))
    for line, operation in zip(lines, OPERATIONS.values(), strict=True):
        assert line[:widest].rstrip() == operation.name
        assert line[widest:] == f"  {help_of(operation)}"
    told = run("--list", "--json").out
    assert '\n "fill.mix": {\n  "title": ' in told
    assert "°C" in told  # for eyes, not in escapes
    schemas = json.loads(told)
    assert schemas == {name: shown(each) for name, each in OPERATIONS.items()}
    helped = run("fill.mix", "--help")
    assert helped.status == 0
    assert re.search(r'^Sample:\n\{\n "\w', helped.out, re.MULTILINE)
    assert "°C" in run("fill.reach", "--help").out
    mix = shown(OPERATIONS["fill.mix"])
    assert helped.out.startswith(f"fill.mix: {mix['help']}\n")
    parts = re.findall(r"^(Input|Output|Sample):\n(.*?)\n\n", helped.out, re.DOTALL | re.MULTILINE)
    assert {title: json.loads(part) for title, part in parts} == {
        "Input": mix["input"], "Output": mix["output"], "Sample": mix["sample"],
    }  # fmt: skip
    assert helped.out.endswith("Try: python -m weeptrace fill.mix < sample.json\n")
    done = run("fill.mix", stdin=dict(parts)["Sample"])
    assert (done.status, done.err) == (0, "")
    assert json.loads(done.out)["reachable"] is True


def test_the_command_line_without_an_operation_says_how(run: Run) -> None:
    for arguments, status in (((), 2), (("--help",), 0), (("-h",), 0), (("--help", "no.such"), 0)):
        said = run(*arguments)
        assert (said.status, said.err) == (status, "")
        assert said.out.startswith("usage: python -m weeptrace ")
        for word in ("OP", "--list", "--json", "--help"):
            assert word in said.out


@pytest.mark.parametrize(
    ("arguments", "stdin", "code"),
    [
        (["hold.assess"], "[1, 2", "not_json"),
        (["hold.assess"], "[]", "bad_input"),
        (["no.such"], "{}", "unknown_operation"),
    ],
)
def test_bad_input_on_the_command_line(
    run: Run, arguments: list[str], stdin: str, code: str
) -> None:
    done = run(*arguments, stdin=stdin)
    assert (done.status, done.err) == (2, "")
    assert json.loads(done.out)["error"]["code"] == code


@pytest.mark.parametrize(
    ("text", "figures", "words"),
    [
        (" \n", {}, "The input is empty. Give a JSON object"),
        ("[1, 2", {"line": 1, "column": 6}, "is not JSON from line 1, column 6. Mend it there:"),
        ('{\n "a": x}', {"line": 2, "column": 7}, "is not JSON from line 2, column 7."),
        ('{"readings": NaN}', {"word": "NaN"}, "NaN is no number in JSON. Leave out what"),
        ("-Infinity", {"word": "-Infinity"}, "-Infinity is no number in JSON."),
        ("9" * 5000, {}, "A number has too many digits. Give fewer."),
        ("[" * 200_000, {}, "The input nests too deep."),
    ],
)
def test_what_is_no_json_is_told_in_our_words_with_its_place(
    text: str, figures: dict[str, Any], words: str
) -> None:
    error = json.loads(call_text("hold.assess", text))["error"]
    assert (error["code"], error["path"], error["figures"]) == ("not_json", "", figures)
    assert words in error["message"]
    holds_with_its_figures(error)


def test_the_figures_of_a_refusal_are_given_out_in_si() -> None:
    litres = {key: {"value": value, "unit": "L"} for key, value in
              (("capacity", 7.6), ("drained", 9.0))}  # fmt: skip
    error = call("fill.mix", {**OPERATIONS["fill.mix"].sample, **litres})["error"]
    drained = error["figures"]["drained"]
    assert drained == {"value": pytest.approx(0.009), "unit": "m³", "dimension": "volume"}
    assert error["text"].startswith("refused.")
    holds_with_its_figures(error)
    # An open end of a range has no figure: infinity is no JSON.
    error = call("properties.water", {"temperature": {"value": 4, "unit": "m"}})["error"]
    holds_with_its_figures(error)


def test_the_program_ends_with_that_status() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "weeptrace", "hold.assess"],
        input="[]",
        env={**os.environ, "PYTHONPATH": str(CORE)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (2, "")
    assert json.loads(done.stdout)["error"]["code"] == "bad_input"


def _altitude(value: Any, unit: str = "m") -> dict[str, Any]:
    return {"altitude": {"value": value, "unit": unit}}


@pytest.mark.parametrize(
    ("payload", "code", "path"),
    [
        (_altitude(float("inf")), "not_finite", "altitude.value"),
        (_altitude(float("nan")), "not_finite", "altitude.value"),
        (_altitude(100, "kPa"), "wrong_dimension", "altitude"),
        (_altitude(100, "furlong"), "unknown_unit", "altitude"),
        (_altitude(1e300), "absurd", "altitude"),
        (_altitude("high"), "bad_input", "altitude.value"),
        ({}, "bad_input", ""),
        ({**_altitude(1), "more": 1}, "bad_input", ""),
    ],
)
def test_errors_name_the_place_and_what_is_accepted(
    payload: dict[str, Any], code: str, path: str
) -> None:
    error = call("properties.atmosphere", payload)["error"]
    assert error["code"] == code
    assert error["path"] == path
    assert error["message"].endswith((".", "?"))


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=8,
)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(sorted(OPERATIONS)), st.text() | json_values.map(lambda v: json.dumps(v)))
def test_any_text_gets_a_reply(name: str, text: str) -> None:
    answer = json.loads(call_text(name, text))
    assert isinstance(answer, dict)
    if "error" in answer:
        assert answer["error"]["code"] != "internal"
        holds_with_its_figures(answer["error"])


def _leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if isinstance(value, dict):
        return [leaf for key, item in value.items() for leaf in _leaves(item, (*path, key))]
    if isinstance(value, list):
        return [leaf for i, item in enumerate(value) for leaf in _leaves(item, (*path, i))]
    return [path]


@pytest.mark.parametrize("name", OPERATIONS)
def test_a_sample_with_one_thing_wrong_gets_an_answer_or_a_clear_error(name: str) -> None:
    sample = OPERATIONS[name].sample
    rng = random.Random(5)
    leaves = _leaves(sample)
    for path in rng.sample(leaves, min(len(leaves), 14)):
        for wrong in (None, -1, 0, 1e9, -1e-9, "x", [], {}, True):
            broken = json.loads(json.dumps(sample))
            place = broken
            for key in path[:-1]:
                place = place[key]
            place[path[-1]] = wrong
            answer = call(name, broken)
            error = answer.get("error")
            if error is not None:
                assert error["code"] != "internal", (path, wrong, error)
                assert error["message"]
                holds_with_its_figures(error)
            else:
                json.dumps(answer, allow_nan=False)
