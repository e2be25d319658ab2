"""A job as one file: JSON, with its format's name and version; opened whole or not at all.

``{"format": "weeptrace.job", "version": 1, "events": [...]}``, the events as they were stored.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

from weeptrace.job.events import ID, KEYS, read_event
from weeptrace.refusal import Refusal
from weeptrace.told import Sentence

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
            "refused.files.file_damaged_at_line",
            f"line {problem.lineno}",
            "accepted.job_file_as_app_writes",
            {"lineno": problem.lineno, "colno": problem.colno},
        ) from None
    except Refusal:
        raise
    except ValueError:  # a number of thousands of digits
        raise Refusal("damaged_file", "refused.files.file_holds_bad_number") from None
    except RecursionError:
        raise Refusal("damaged_file", "refused.files.file_nests_too_deep") from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise Refusal(
            "not_a_job_file",
            "refused.files.file_no_job_file",
            "format",
            "accepted.these",
            {"these": FORMAT},
        )
    version = content.get("version")
    if version != VERSION or isinstance(version, bool):
        raise Refusal(
            "other_version",
            "refused.files.file_version_app_reads",
            "version",
            "accepted.these",
            {"dumps": json.dumps(version)[:20], "version": VERSION, "these": str(VERSION)},
        )
    for key in content:
        if key not in _KEYS:
            raise Refusal(
                "damaged_file",
                "refused.files.file_says_which_no",
                key[:20],
                "accepted.these",
                {"key": key[:20], "these": ", ".join(_KEYS)},
            )
    events = content.get("events")
    if not isinstance(events, list) or not all(isinstance(event, dict) for event in events):
        raise Refusal(
            "damaged_file", "refused.files.file_holds_no_list", "events", "accepted.list_events"
        )
    try:
        _check(events)
    except Refusal as problem:
        raise Refusal(
            "damaged_file",
            "refused.files.file_damaged_at_nothing",
            problem.path,
            "accepted.these",
            {
                "path": problem.path,
                "message": Sentence.of(problem),
                "these": Sentence.of(problem.range),
            },
        ) from None
    return events


def _not_finite(name: str) -> None:
    raise Refusal("damaged_file", "refused.files.file_holds_no_number", figures={"name": name})


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    content = dict(pairs)
    if len(content) != len(pairs):
        raise Refusal("damaged_file", "refused.files.file_damaged_key_stands")
    return content


def _check(events: Sequence[dict[str, Any]]) -> None:
    """Every event reads, the first opens the job, and all belong to it."""
    if not events:
        raise Refusal(
            "damaged_file", "refused.files.no_events", "events", "accepted.at_least_one_event"
        )
    if len(events) > MOST:
        raise Refusal(
            "damaged_file",
            "refused.files.events_job_holds_at",
            "events",
            "accepted.at_most",
            {"count": len(events), "most": MOST},
        )
    ids: set[str] = set()
    for index, raw in enumerate(events):
        _check_one(raw, events[0].get("job"), f"events[{index}]")
        if raw["id"] in ids:
            raise Refusal(
                "damaged_file",
                "refused.files.event_stands_twice",
                f"events[{index}].id",
                "accepted.each_id_once",
            )
        ids.add(raw["id"])
    if not any(raw["kind"] == "opened" for raw in events):
        raise Refusal(
            "damaged_file",
            "refused.files.no_event_opens_job",
            "events",
            "accepted.one_event_kind_opened",
        )


def _check_one(raw: dict[str, Any], job: Any, path: str) -> None:
    """An event of a file: as a phone stores it, with nothing more in it, and of this job."""
    event = read_event(raw, path)
    for key in raw:
        if key not in KEYS:
            raise Refusal(
                "damaged_file",
                "refused.files.event_says_which_no",
                path,
                "accepted.these",
                {"key": key[:20], "these": ", ".join(KEYS)},
            )
    if not 0 <= event.seq < _COUNTS_TO:
        raise Refusal(
            "damaged_file",
            "refused.files.event_has_number_seq",
            f"{path}.seq",
            "accepted.counts_to",
            {"value": _COUNTS_TO - 1},
        )
    if not -_CLOCK_TO <= raw["mono"] <= _CLOCK_TO:
        raise Refusal(
            "damaged_file",
            "refused.files.event_has_mono_no",
            f"{path}.mono",
            "accepted.up_ms",
            {"clock_to": _CLOCK_TO},
        )
    if event.job != job:
        raise Refusal(
            "damaged_file",
            "refused.files.events_belong_more_one",
            f"{path}.job",
            "accepted.one_job",
        )
    if not ID.fullmatch(event.job):
        raise Refusal(
            "damaged_file",
            "refused.files.not_name_customers_job",
            f"{path}.job",
            "accepted.uuid",
            {"job": event.job[:40]},
        )
