"""Damaged, strange and hostile jobs: clear words, and nothing that was stored is lost."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from weeptrace.door import call, call_text

FILES = sorted((Path(__file__).parent.parent / "broken_jobs").glob("*.json"))
NOW = {"at": "2026-11-25T15:00:00+01:00", "mono": 3600000, "boot": "boot-1"}
LONGEST_ANSWER = 400


def _id(number: int) -> str:
    return f"01990000-0000-7000-8000-{number:012x}"


def _value(value: Any) -> Any:
    """Long texts and numbers are written short: {"repeat": [text, times]}, {"power": of ten}."""
    if isinstance(value, dict) and "repeat" in value:
        return value["repeat"][0] * value["repeat"][1]
    if isinstance(value, dict) and "power" in value:
        return 10 ** value["power"]
    return value


def events_of(spec: dict[str, Any]) -> list[dict[str, Any]]:
    """The events as a phone would have stored them; a file says only what it changes."""
    made = []
    for number, given in enumerate(spec["events"]):
        event: dict[str, Any] = {
            "id": number,
            "device": "device-1",
            "seq": number,
            "at": f"2026-11-25T14:00:{number:02d}+01:00",
            "mono": number * 1000,
            "boot": "boot-1",
            "job": "job-1",
        }
        event |= {key: _value(value) for key, value in given.items()}
        event["id"] = _id(event["id"])
        made.append(event)
    return made


def specs(*operations: str) -> list[Any]:
    found = [(path.stem, json.loads(path.read_text("utf-8"))) for path in FILES]
    return [pytest.param(spec, id=name) for name, spec in found if spec["through"] in operations]


def test_every_file_is_run() -> None:
    ways = ("job.from_file", "job.fold", "job.replay", "job.record")
    assert len(specs(*ways)) == len(FILES) > 40


@pytest.mark.parametrize("spec", specs("job.from_file"))
def test_a_damaged_file_is_refused_whole_with_its_place(spec: dict[str, Any]) -> None:
    text = spec["text"] if "text" in spec else json.dumps(spec["content"])
    error = call("job.from_file", {"text": text})["error"]
    assert error["code"] == spec["code"]
    for words in spec["says"]:
        assert words in error["message"], error
    assert len(error["message"]) < LONGEST_ANSWER


@pytest.mark.parametrize("spec", specs("job.fold"))
def test_a_strange_event_is_told_and_nothing_is_lost(spec: dict[str, Any]) -> None:
    events = events_of(spec)
    job = call("job.fold", {"events": events})
    assert "error" not in job, job
    told = [*job["troubles"].values(), job["broken"] or ""]
    for words in spec["says"]:
        assert any(words in each for each in told), told
    assert all(len(each) < LONGEST_ANSWER for each in told)
    refused = {events[number]["id"] for number in spec["refused"]}
    assert {id for id, outcome in job["outcomes"].items() if outcome == "refused"} == refused
    assert (job["broken"] is not None) == (spec["broken"] is not None)
    if spec["broken"] is not None:
        _mended(events, spec["broken"])
    else:
        assert set(job["outcomes"]) == {event["id"] for event in events}
    for field, value in spec.get("facts", {}).items():
        assert job["facts"][field]["value"] == value
    if "readings" in spec:
        typed = {event["id"]: event["typed"] for event in events}
        (hold,) = job["holds"]
        assert [[each["time"], typed[each["event"]]] for each in hold] == spec["readings"]


def _mended(events: list[dict[str, Any]], number: int) -> None:
    """The event that stops the fold is shown raw; taken back, the job goes on behind it."""
    broken = events[number]
    last = {**events[0], "id": _id(99), "seq": 99, "kind": "undo", "field": "car.name"}
    mended = call("job.fold", {"events": [*events, {**last, "supersedes": broken["id"]}]})
    assert mended["broken"] is None
    assert set(mended["outcomes"]) == {*(event["id"] for event in events), _id(99)}


@pytest.mark.parametrize("spec", specs("job.fold", "job.replay", "job.record"))
def test_a_strange_job_can_still_be_seen_and_exported(spec: dict[str, Any]) -> None:
    events = events_of(spec)
    for look in ("", "so_far", "record"):
        view = call("job.view", {"events": events, "now": NOW, "look": look})
        assert view.get("blocks"), view
    kept = json.loads(call("job.to_file", {"events": events})["text"])
    assert kept["events"] == events
    answer = json.loads(call_text("job.replay", json.dumps({"events": events})))
    assert "holds" in answer, answer


@pytest.mark.parametrize("spec", specs("job.replay"))
def test_what_can_not_be_judged_is_not_judged(spec: dict[str, Any]) -> None:
    (hold,) = call("job.replay", {"events": events_of(spec)})["holds"]
    for words in spec["says"]:
        assert words in hold["verdict"], hold


@pytest.mark.parametrize("spec", specs("job.record"))
def test_a_picture_that_is_gone_is_named_in_the_record(spec: dict[str, Any]) -> None:
    answer = call("job.record", {"events": events_of(spec), "now": NOW, "photos": {}})
    for words in spec["says"]:
        assert words in answer["html"]
    assert "<img" not in answer["html"]
