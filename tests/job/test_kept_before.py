"""Jobs and rules as an earlier version stored them: they open, fold and are judged as they were.

``older_rules/kept_HASH.json.gz`` was written by that version itself: its bundle, and whole jobs,
each with what it came to: values, refusals, verdicts, the step at which it stands.
"""

from __future__ import annotations

import gzip
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import fastjsonschema
import pytest

from weeptrace import screen
from weeptrace.causes import from_bundle
from weeptrace.door import call
from weeptrace.door.blocks import VIEW
from weeptrace.job import files
from weeptrace.job.advance import fold
from weeptrace.rules import of_bundle

Json = dict[str, Any]
FOLDER: Final = Path(__file__).parent / "older_rules"
KEPT: Final = [json.loads(gzip.decompress(path.read_bytes())) for path in FOLDER.glob("*.gz")]
JOBS: Final = [(kept, job) for kept in KEPT for job in kept["jobs"]]
SOUND: Final = fastjsonschema.compile(VIEW)


def same(found: Any, was: Any) -> bool:
    """Equal, figures to a millionth: an interval is found by a search."""
    if isinstance(was, dict):
        return found.keys() == was.keys() and all(same(found[key], was[key]) for key in was)
    if isinstance(was, float):
        return isinstance(found, float) and found == pytest.approx(was, rel=1e-6, abs=1e-12)
    return bool(found == was)


def test_there_are_jobs_of_all_kinds() -> None:
    assert len(JOBS) >= 8
    assert sum(len(job["events"]) for _, job in JOBS) > 1000
    assert any(job["refused"] for _, job in JOBS)
    assert {hold["verdict"] for _, job in JOBS for hold in job["holds"]} >= {"no_leak_found"}


@pytest.mark.parametrize(("kept", "job"), JOBS, ids=[job["name"] for _, job in JOBS])
def test_a_job_that_was_kept_comes_to_the_same(kept: Json, job: Json) -> None:
    rules = of_bundle(kept["bundle"])
    assert rules.hash == kept["made_with"]["bundle"]
    text = json.dumps({"format": "weeptrace.job", "version": 1, "events": job["events"]})
    events = files.from_text(text)
    assert events == job["events"]
    folded = fold(rules, events)
    assert folded.broken is None
    assert same({name: fact.value for name, fact in folded.facts.items()}, job["facts"])
    refused = sorted(id for id, outcome in folded.seen.items() if outcome == "refused")
    assert refused == job["refused"]
    assert sorted(folded.troubles) == job["troubles"]
    judged = call("job.replay", {"events": events, "rules": kept["bundle"]})["holds"]
    assert len(judged) == len(job["holds"])
    for hold, was in zip(judged, job["holds"], strict=True):
        assert same({key: hold.get(key) for key in was}, was)
    chosen = screen.preferences(None, rules)
    shown = screen.view(rules, folded, job["now"], chosen)
    assert shown["step"] == job["step"]
    for look in ("", "so_far", "record", "find"):
        SOUND(screen.view(rules, folded, job["now"], chosen, look))


@pytest.mark.parametrize("kept", KEPT, ids=[kept["made_with"]["bundle"] for kept in KEPT])
def test_reasons_of_causes_that_stood_among_the_figures_are_told_as_they_were(kept: Json) -> None:
    old = kept["bundle"]["causes"]
    assert "why" not in old["words"]
    rules = of_bundle(kept["bundle"])
    known = from_bundle(rules.causes, rules.limits)

    def said(reasons: Mapping[str, str]) -> dict[str, str]:
        return {cause: rules.text(f"why.{reason}") for cause, reason in reasons.items()}

    for id, state in old["states"].items():
        reasons = said(known.states[id].reasons)
        assert reasons == {c: each["why"] for c, each in state["from"].items()}
    for id, finding in old["findings"].items():
        links = finding.get("from", {})
        reasons = said(known.findings[id].reasons)
        assert reasons == {c: each["why"] for c, each in links.items()}
        why = known.findings[id].why
        assert (rules.text(f"why.{why}") if why else "") == finding.get("why", "")
        for value, shifts in finding.get("shifts", {}).items():
            told = said({c: why for c, (_, why) in known.findings[id].shifts[value].items()})
            assert told == {c: each["why"] for c, each in shifts.items()}
    conflicts = [rules.text(f"why.{why}") for *_, why in known.conflicts]
    assert conflicts == [each["why"] for each in old["conflicts"]]


@pytest.mark.parametrize("kept", KEPT, ids=[kept["made_with"]["bundle"] for kept in KEPT])
def test_words_of_causes_that_stood_among_the_figures_are_told_as_they_were(kept: Json) -> None:
    old = kept["bundle"]["causes"]
    words, rules = old["words"], of_bundle(kept["bundle"])
    assert "words" not in rules.causes
    for id, name in words["cause"].items():
        assert rules.text(f"cause.{id}.name") == name
        assert rules.text(f"cause.{id}.title") == name[0].upper() + name[1:]
    for id, name in words["test"].items():
        assert rules.text(f"test.{id}") == name[0].upper() + name[1:]
    for id, told in words["caution"].items():
        assert rules.text(f"found_caution.{id}") == told
    for id, question in words["question"].items():
        assert rules.text(f"field.find.{id}") == question
        for value in old["findings"][id]["values"]:
            named = words["value"].get(id, {}).get(value) or words["place"].get(value)
            said = rules.texts[rules.fields[f"find.{id}"].word(value)]
            assert said == named[0].upper() + named[1:], (id, value)
