"""A refusal held to its code, its place, what it accepts, its words and their figures."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from tests.exact_units import EXACT
from weeptrace.refusal import Refusal
from weeptrace.told import Brought, Figure, Sentence, places, plain
from weeptrace.words import words_of


def refused(call: Callable[[], object], code: str, path: str, accepted: str, words: str) -> None:
    """Call, and hold what is raised to all that a reader is told."""
    with pytest.raises(Refusal) as caught:
        call()
    refusal = caught.value
    assert (refusal.code, refusal.path, refusal.accepted) == (code, path, accepted)
    assert words in refusal.message
    holds_with_its_figures(refusal.as_dict())


def holds_with_its_figures(error: Mapping[str, Any]) -> None:
    """An error as the door gives it out has each figure that its sentence names, finite, and tells
    the same sentence again from them."""
    error = json.loads(json.dumps(error, allow_nan=False))
    figures = _brought(error["figures"])
    words = words_of(error["text"], figures)
    names = {place.name for _, place in places(words) if place is not None}
    assert names - {"0"} <= figures.keys(), error
    assert plain(Sentence(text=error["text"], figures=figures)) == error["message"]


def _brought(figures: Mapping[str, Any]) -> dict[str, Brought]:
    return {name: _again(each) for name, each in figures.items()}


def _again(given: Any) -> Any:
    """A figure of a sentence, as it was before it was given out."""
    if isinstance(given, list):
        return tuple(_again(each) for each in given)
    if not isinstance(given, dict):
        return given
    if "text" in given:
        made = Sentence(text=given["text"], figures=_brought(given["figures"]))
        assert plain(made) == given["message"]
        return made
    assert EXACT[given["unit"]][1] == 1  # SI, so its factor is 1
    return Figure(given["value"], given["dimension"], given.get("told_in", ""))
