"""The cases and what the tests of the room share."""

from __future__ import annotations

import json
from collections.abc import Collection
from pathlib import Path
from typing import Any

from weeptrace.causes import Knowledge, Observation, Ranking, from_bundle, rank
from weeptrace.rules import limits, load
from weeptrace.told import Sentence, plain

# Constructed cases: `python -m json.tool tests/causes/cases.json` shows them.
CASES: list[dict[str, Any]] = json.loads((Path(__file__).parent / "cases.json").read_text("utf-8"))[
    "cases"
]
LIMITS = limits()
KNOWLEDGE: Knowledge = from_bundle(load().causes, LIMITS)


def observations(case: dict[str, Any], without: str = "") -> list[Observation]:
    """A case's observations, one finding left out."""
    return [
        Observation(each["finding"], each["value"])
        for each in case["observations"]
        if each["finding"] != without
    ]


def ranked(
    case: dict[str, Any], without: str = "", tools: Collection[str] | None = None
) -> Ranking:
    """The ranking of a case; without ``tools`` few tests are weighed, which takes most of it."""
    features = case["vehicle"]["features"]
    return rank(KNOWLEDGE, features, observations(case, without), LIMITS, tools=tools)


def told(**answers: str) -> list[Observation]:
    """Observations by finding."""
    return [Observation(finding, value) for finding, value in answers.items()]


def spoken(told: Sentence | None) -> str:
    """A sentence of the engine as the command line tells it."""
    assert told is not None
    return plain(told, load().named)
