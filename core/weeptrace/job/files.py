"""A job as one file: JSON, with its format's name and version; opened whole or not at all.

``{"format": "weeptrace.job", "version": 1, "events": [...]}``, the events as they were stored.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

from weeptrace.job.events import ID, KEYS, read_event
from weeptrace.refusal import Refusal

FORMAT: Final = "weeptrace.job"
VERSION: Final = 1
_KEYS: Final = ("format", "version", "events")
MOST: Final = 20_000
"""Entries that a job's file holds at most; the shell (`store.js`) stores no more for a job."""
# A phone counts its entries from 1 and goes on from the highest number of a file that it takes in
# (`store.js` mends what lies beyond): a thousand million are more than a phone can hold.
_COUNTS_TO: Final = 10**9
_CLOCK_TO: Final = 1e12  # ms, 31 years: no page stays loaded for so long


def to_text(events: Sequence[dict[str, Any]]) -> str:
    """The text of a job's file: the events as stored, also those that the fold can't read."""
    return json.dumps(
        {"format": FORMAT, "version": VERSION, "events": events}, ensure_ascii=False, indent=1
    )


def from_text(text: str) -> list[dict[str, Any]]:
    """The events of a job's file. Raises ``Refusal`` with the reason and the place in the file."""
    try:
        content = json.loads(text, parse_constant=_not_finite, object_pairs_hook=_each_key_once)
    except json.JSONDecodeError as problem:
        raise Refusal(
            "damaged_file",
            f"The file is damaged at line {problem.lineno}, column {problem.colno}: "
            f"{problem.msg}. Nothing was taken from it.",
            f"line {problem.lineno}",
            "a job file as this app writes it",
        ) from None
    except Refusal:
        raise
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
    for key in content:
        if key not in _KEYS:
            words = (
                f"The file says “{key[:20]}”, which no job file says. Nothing was taken from it."
            )
            raise Refusal("damaged_file", words, key[:20], ", ".join(_KEYS))
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


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    content = dict(pairs)
    if len(content) != len(pairs):
        words = "The file is damaged: a key stands twice in it. Nothing was taken from it."
        raise Refusal("damaged_file", words)
    return content


def _check(events: Sequence[dict[str, Any]]) -> None:
    """Every event reads, the first opens the job, and all belong to it."""
    if not events:
        raise Refusal("damaged_file", "There are no events.", "events", "at least one event")
    if len(events) > MOST:
        words = f"There are {len(events)} events; a job holds {MOST} at most."
        raise Refusal("damaged_file", words, "events", f"at most {MOST}")
    ids: set[str] = set()
    for index, raw in enumerate(events):
        _check_one(raw, events[0].get("job"), f"events[{index}]")
        if raw["id"] in ids:
            raise Refusal(
                "damaged_file",
                "An event stands there twice.",
                f"events[{index}].id",
                "each id once",
            )
        ids.add(raw["id"])
    if not any(raw["kind"] == "opened" for raw in events):
        raise Refusal(
            "damaged_file", "No event opens the job.", "events", "one event of kind “opened”"
        )


def _check_one(raw: dict[str, Any], job: Any, path: str) -> None:
    """An event of a file: as a phone stores it, with nothing more in it, and of this job."""
    event = read_event(raw, path)
    for key in raw:
        if key not in KEYS:
            words = f"The event says “{key[:20]}”, which no event says."
            raise Refusal("damaged_file", words, path, ", ".join(KEYS))
    if not 0 <= event.seq < _COUNTS_TO:
        words = "The event has a number “seq” that no phone counts to."
        raise Refusal("damaged_file", words, f"{path}.seq", f"0 to {_COUNTS_TO - 1}")
    if not -_CLOCK_TO <= raw["mono"] <= _CLOCK_TO:
        words = "The event has a “mono” that no clock runs to."
        raise Refusal("damaged_file", words, f"{path}.mono", f"up to {_CLOCK_TO:.0f} ms")
    if event.job != job:
        words = "The events belong to more than one job."
        raise Refusal("damaged_file", words, f"{path}.job", "one job")
    if not ID.fullmatch(event.job):
        words = f"“{event.job[:40]}” is not the name of a customer's job."
        raise Refusal("damaged_file", words, f"{path}.job", "a UUIDv7")
