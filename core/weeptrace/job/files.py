"""A job as one file: JSON, with its format's name and version; opened whole or not at all.

``{"format": "weeptrace.job", "version": 1, "events": [...]}``, the events as they were stored.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

from weeptrace.job.events import read_event
from weeptrace.refusal import Refusal

FORMAT: Final = "weeptrace.job"
VERSION: Final = 1


def to_text(events: Sequence[dict[str, Any]]) -> str:
    """The text of a job's file: the events as stored, also those that the fold can't read."""
    return json.dumps(
        {"format": FORMAT, "version": VERSION, "events": events}, ensure_ascii=False, indent=1
    )


def from_text(text: str) -> list[dict[str, Any]]:
    """The events of a job's file. Raises ``Refusal`` with the reason and the place in the file."""
    try:
        content = json.loads(text, parse_constant=_not_finite)
    except json.JSONDecodeError as problem:
        raise Refusal(
            "damaged_file",
            f"The file is damaged at line {problem.lineno}, column {problem.colno}: "
            f"{problem.msg}. Nothing was taken from it.",
            f"line {problem.lineno}",
            "a job file as this app writes it",
        ) from None
    except ValueError as problem:  # NaN, or a number of thousands of digits
        raise Refusal(
            "damaged_file", f"The file holds a bad number: {problem}. Nothing was taken from it."
        ) from None
    except RecursionError:
        raise Refusal(
            "damaged_file", "The file nests too deep. Nothing was taken from it."
        ) from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise Refusal(
            "not_a_job_file",
            "The file is no job file of this app. Nothing was taken from it.",
            "format",
            FORMAT,
        )
    version = content.get("version")
    if version != VERSION or isinstance(version, bool):
        raise Refusal(
            "other_version",
            f"The file is of version {json.dumps(version)[:20]}; this app reads version {VERSION}. "
            "Nothing was taken from it. Open it with a newer app.",
            "version",
            str(VERSION),
        )
    events = content.get("events")
    if not isinstance(events, list) or not all(isinstance(event, dict) for event in events):
        raise Refusal(
            "damaged_file",
            "The file holds no list of events. Nothing was taken from it.",
            "events",
            "a list of events",
        )
    try:
        _check(events)
    except Refusal as problem:
        raise Refusal(
            "damaged_file",
            f"The file is damaged at {problem.path}: {problem.message} Nothing was taken from it.",
            problem.path,
            problem.accepted,
        ) from None
    return events


def _not_finite(name: str) -> None:
    raise ValueError(f"{name} is none")


def _check(events: Sequence[dict[str, Any]]) -> None:
    """Every event reads, the first opens the job, and all belong to it."""
    if not events:
        raise Refusal("damaged_file", "There are no events.", "events", "at least one event")
    ids: set[str] = set()
    for index, raw in enumerate(events):
        event = read_event(raw, f"events[{index}]")
        if event.job != events[0]["job"]:
            raise Refusal(
                "damaged_file",
                "The events belong to more than one job.",
                f"events[{index}].job",
                "one job",
            )
        if event.id in ids:
            raise Refusal(
                "damaged_file",
                "An event stands there twice.",
                f"events[{index}].id",
                "each id once",
            )
        ids.add(event.id)
    if not any(raw["kind"] == "opened" for raw in events):
        raise Refusal(
            "damaged_file", "No event opens the job.", "events", "one event of kind “opened”"
        )
