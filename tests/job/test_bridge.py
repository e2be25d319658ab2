"""The page gets an answer of the engine in JSON, whatever was asked and whatever went wrong."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from weeptrace import bridge


def _answer(name: str, text: str) -> Any:
    def no_number(digits: str) -> None:
        raise AssertionError(f"{digits} is no JSON")

    return json.loads(bridge.ask(name, text), parse_constant=no_number)


@pytest.mark.parametrize("number", [math.inf, -math.inf, math.nan])
def test_an_answer_that_is_no_json_is_told_in_words(
    number: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(bridge._ANSWERS, "about", lambda _: {"figure": number})
    error = _answer("about", "{}")["error"]
    assert error["code"] == "internal"
    assert "“about”" in error["message"]
    assert "Traceback" not in error["message"]


def test_an_answer_that_holds_no_plain_things_is_told_in_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(bridge._ANSWERS, "about", lambda _: {"figure": {1, 2}})
    assert _answer("about", "{}")["error"]["code"] == "internal"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("about", "{"),
        ("no such", "{}"),
        ("view", '{"job": "never opened"}'),
        ("open", "[" * 100000),
    ],
)
def test_a_question_that_has_no_answer_is_told_in_words(name: str, text: str) -> None:
    assert _answer(name, text)["error"]["message"]
