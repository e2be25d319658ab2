"""A job as long as a file may hold: folded, taken back anywhere, freed, written out and read in."""

from __future__ import annotations

import gc
import json
import random
from dataclasses import replace
from typing import Any

import pytest

from tests.logbook import Logbook
from weeptrace.door import call
from weeptrace.job import advance as advancing
from weeptrace.job.advance import advance, fold
from weeptrace.job.holds import PRESSURE
from weeptrace.job.state import EMPTY, Job
from weeptrace.rules import load

RULES = load()
MOST = 20_000
FRESH = "01990000-0000-7000-8000-ffffffffffff"
JOB = "01990000-0000-7000-8000-0000000000a1"


def long_log(length: int) -> Logbook:
    """A hold that is read every 5 s until the job has so many entries."""
    log = Logbook(job=JOB)
    log.describe_car()
    log.pass_the_gate()
    log.fit_the_tester()
    while len(log.events) < length:
        log.read(str(90 + len(log.events) % 10), after=5.0)
    return log


def undo_of(event: dict[str, Any]) -> dict[str, Any]:
    return {**event, "id": FRESH, "seq": MOST + 1, "kind": "undo", "supersedes": event["id"]}


@pytest.fixture(scope="module")
def longest() -> tuple[list[dict[str, Any]], Job]:
    events = long_log(MOST).events
    return events, fold(RULES, events)


def test_the_longest_job_folds_whole(longest: tuple[list[dict[str, Any]], Job]) -> None:
    events, job = longest
    typed = [event["typed"] for event in events if event["kind"] == "reading"]
    times = job.present(PRESSURE).times()
    assert [fact.event.typed for _, fact in times] == typed
    assert [time for time, _ in times] == pytest.approx([5.0 * n for n in range(len(typed))])
    assert [entry.event.id for entry in job.log] == [event["id"] for event in events]


@pytest.mark.parametrize("number", [MOST - 1, MOST // 2 + 7, 60], ids=["last", "middle", "early"])
def test_any_reading_of_it_can_be_taken_back(
    number: int, longest: tuple[list[dict[str, Any]], Job]
) -> None:
    events, job = longest
    after = advance(RULES, job, undo_of(events[number]))
    kept = [*events[:number], *events[number + 1 :]]
    typed = [event["typed"] for event in kept if event["kind"] == "reading"]
    assert [fact.event.typed for _, fact in after.present(PRESSURE).times()] == typed
    assert [entry.event.id for entry in after.log] == [event["id"] for event in kept]
    assert after.seen[events[number]["id"]] == "superseded"


def test_what_is_done_at_its_end_is_judged_alone(
    longest: tuple[list[dict[str, Any]], Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Work is counted, not timed: how many entries are judged for one more, and for one less."""
    events, job = longest
    judged: list[str] = []
    take = advancing._take

    def counted(*given: Any) -> Job:
        judged.append(given[2].id)
        return take(*given)

    monkeypatch.setattr(advancing, "_take", counted)
    advance(RULES, job, {**events[-1], "id": FRESH, "kind": "fact", "field": "car.name"})
    assert judged == [FRESH]
    judged.clear()
    advance(RULES, job, undo_of(events[-1]))
    assert len(judged) <= 16


def _within(outer: Job) -> list[list[Job]]:
    """The jobs that a job keeps alive, by how many jobs deep they lie in one another."""
    layers: list[list[Job]] = []
    front: list[Any] = [outer]
    seen: set[int] = {id(outer)}
    while front:
        deeper: list[Job] = []
        while front:
            for each in gc.get_referents(front.pop()):
                if id(each) in seen or isinstance(each, type):
                    continue
                seen.add(id(each))
                (deeper if isinstance(each, Job) else front).append(each)
        if deeper:
            layers.append(deeper)
        front = list(deeper)
    return layers


def test_a_job_holds_no_chain_of_jobs() -> None:
    """Freed, such a chain is followed to its end within one call; a stack is not so deep."""
    length = 2000
    layers = _within(fold(RULES, long_log(length).events))
    assert len(layers) <= 2
    assert sum(map(len, layers)) < length / 10


@pytest.mark.parametrize("undo", [True, False], ids=["taken back", "corrected"])
def test_going_back_is_as_if_it_had_not_been_wherever_it_was(undo: bool) -> None:
    """Against the fold of the same events without the first, or with the other value at once."""
    log = long_log(100)
    job = fold(RULES, log.events)
    for number in range(1, 100):
        was = log.events[number]
        typed = "3" if was["kind"] in ("fact", "reading") else was["typed"]
        later = undo_of(was) if undo else {**undo_of(was), "kind": was["kind"], "typed": typed}
        after = advance(RULES, job, later)
        rest = log.events[:number], log.events[number + 1 :]
        instead = [] if undo else [{**was, "id": FRESH, "typed": typed, "supersedes": was["id"]}]
        plain = fold(RULES, rest[0])
        for event in instead:
            plain = advance(RULES, plain, {**event, "supersedes": None})
        for event in rest[1]:
            plain = advance(RULES, plain, event)
        known = {name: fact.value for name, fact in plain.facts.items()}
        assert {name: fact.value for name, fact in after.facts.items()} == known
        assert {name: each.words for name, each in after.troubles.items()} == {
            name: each.words for name, each in plain.troubles.items()
        }
        assert [(time, fact.value) for time, fact in after.present(PRESSURE).times()] == [
            (time, fact.value) for time, fact in plain.present(PRESSURE).times()
        ]
        assert after.touched.keys() == plain.touched.keys()
        again = advance(RULES, after, {**log.events[0], "id": FRESH[:-1] + "e", "kind": "resumed"})
        assert again.facts == after.facts


def test_a_trouble_that_no_entry_tells_outlives_the_undo_of_a_later_one() -> None:
    log = Logbook()
    log.add("undo", "car.name", supersedes=FRESH)
    wrong = log.add("fact", "car.capacity", "7", "L")
    log.add("undo", "car.capacity", supersedes=wrong["id"])
    assert "does not exist" in fold(RULES, log.events).troubles["car.name"].words


def test_what_was_mended_stays_told_after_the_undo_of_an_earlier_entry() -> None:
    log = Logbook()
    wrong = log.add("fact", "car.capacity", "7", "L")
    poison = log.add("sparkle", "car.name")
    log.add("undo", "car.name", supersedes=poison["id"])
    log.add("undo", "car.capacity", supersedes=wrong["id"])
    job = fold(RULES, log.events)
    assert [json.loads(raw)["id"] for raw in job.mended] == [poison["id"]]
    assert not job.answered("car.capacity")
    assert replace(job, mended=job.mended.delete(0)) != job


def test_what_a_file_may_hold_can_be_written_and_read_again(
    longest: tuple[list[dict[str, Any]], Job],
) -> None:
    events, _ = longest
    text = call("job.to_file", {"events": events})["text"]
    assert call("job.from_file", {"text": text})["events"] == events


def test_one_entry_more_is_refused_in_words_and_still_written_out(
    longest: tuple[list[dict[str, Any]], Job],
) -> None:
    more = [*longest[0], {**longest[0][-1], "id": FRESH, "seq": MOST}]
    text = call("job.to_file", {"events": more})["text"]
    assert json.loads(text)["events"] == more
    error = call("job.from_file", {"text": text})["error"]
    assert "20001 events; a job holds 20000 at most" in error["message"]


@pytest.mark.parametrize("seed", range(6))
def test_whatever_is_taken_back_in_whatever_order_each_field_has_its_last_standing_answer(
    seed: int,
) -> None:
    """The same facts in a plain list: undone is struck out, corrected is replaced in its place."""
    chance, log, job = random.Random(seed), Logbook(), EMPTY
    names = ("car.name", "complaint.words", "tester.adapter", "shop.name", "job.number")
    stands: list[list[str]] = []  # id, field, words; in the order of the first of each
    job = advance(RULES, job, log.events[0])
    for number in range(140):
        log.now += 5.0
        kind = chance.choices(("fact", "undo", "correction"), (5, 1, 1))[0] if stands else "fact"
        if kind == "fact":
            event = log.add("fact", chance.choice(names), f"words {number}")
            stands.append([event["id"], event["field"], event["typed"]])
        else:
            each = chance.choice(stands)
            typed = "" if kind == "undo" else f"words {number}"
            kind = "fact" if typed else "undo"
            event = log.add(kind, each[1], typed, supersedes=each[0])
            if typed:
                each[0], each[2] = event["id"], typed
            else:
                stands.remove(each)
        job = advance(RULES, job, event)
        told = {field: words for _, field, words in stands}
        assert {name: job.value(name) for name in names if job.answered(name)} == told
        assert job.count == len(job.log) == 1 + len(stands)
        assert [entry.event.typed for entry in job.log][1:] == [words for _, _, words in stands]
