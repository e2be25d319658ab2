"""``advance(rules, job, event) -> job``: pure, and its cost does not grow with the job.

Store first, judge after: an event that reaches here is already stored. It is accepted, or refused
with words, or, where it can't be understood at all, the fold stops short of it and shows it raw.
A correction or an undo goes back to the job before the event that it names, by the nearest
checkpoint, and comes forward again without it; nothing in the log is lost.
"""

from __future__ import annotations

import json
import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from pyrsistent import PMap, PVector, pmap, pvector

from weeptrace.job.asked import asked
from weeptrace.job.events import KINDS, Event, is_number, read_event
from weeptrace.job.judge import judge, judge_reading, short
from weeptrace.job.state import EMPTY, Broken, Entry, Fact, Job, Touch, Trouble, changed
from weeptrace.refusal import Refusal
from weeptrace.rules import Field, Rules
from weeptrace.told import Sentence

_EACH: Final = 16  # entries between two checkpoints


def fold(rules: Rules, events: Iterable[Mapping[str, Any]]) -> Job:
    """The job of a list of stored events (JSON objects), in order of their numbers."""
    job = EMPTY
    for raw in _in_order(events):
        job = advance(rules, job, raw)
    return job


def _in_order(events: Iterable[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """By number, then device; one that lost its number stays behind the one it was stored after.

    A phone that takes a job over counts on from the highest number in it (Lamport's logical clock,
    Communications of the ACM 21, 1978), so what was done later never sorts before what it rests on.
    """
    last: dict[str, float] = {}
    keyed = []
    for raw in events:
        device, seq = str(raw.get("device")), raw.get("seq")
        last[device] = seq if is_number(seq) else last.get(device, -math.inf)
        keyed.append(((last[device], device), raw))
    return [raw for _, raw in sorted(keyed, key=lambda pair: pair[0])]


def advance(rules: Rules, job: Job, raw: Mapping[str, Any]) -> Job:
    """The job after one more stored event (a JSON object)."""
    if job.broken is not None and not _mends(raw, job.broken.raw):
        return changed(job, waiting=job.waiting.append(_text(raw)))
    try:
        event = read_event(raw)
        if event.kind not in KINDS:
            raise Refusal(
                "unknown_kind",
                "refused.advance.kind_not_known_version",
                figures={"kind": event.kind},
            )
        if job.broken is not None:
            return _mend(rules, job, event)
        if event.id in job.seen:
            return job
        if event.supersedes is not None or event.kind == "undo":
            return _supersede(rules, job, event)
        return _apply(rules, job, event)
    except Refusal as problem:
        return changed(job, broken=Broken(_text(raw), Sentence.of(problem)))


def _mends(raw: Mapping[str, Any], broken: str) -> bool:
    """Whether an event supersedes the broken one; one that lost its id can't be named."""
    id = json.loads(broken).get("id")
    return isinstance(id, str) and raw.get("supersedes") == id


def _text(raw: Mapping[str, Any]) -> str:
    return json.dumps(raw, ensure_ascii=False)


def _mend(rules: Rules, job: Job, event: Event) -> Job:
    """The broken event is superseded: go on with what waited behind it."""
    assert job.broken is not None
    raw, waiting = job.broken.raw, job.waiting
    seen = job.seen.set(json.loads(raw)["id"], "superseded").set(event.id, "accepted")
    mended = job.mended.append(raw)
    job = changed(job, broken=None, waiting=pvector(), mended=mended, seen=seen)
    job = job if event.kind == "undo" else _apply(rules, job, event._replace(supersedes=None))
    for text in waiting:
        job = advance(rules, job, json.loads(text))
    return job


def _apply(rules: Rules, job: Job, event: Event) -> Job:
    if job.count % _EACH == 0:
        job = _checkpoint(job)
    try:
        after = _take(rules, job, event)
        outcome, said = "accepted", None
    except Refusal as problem:
        outcome, said = "refused", Sentence.of(problem)
        trouble = Trouble(event, said, Sentence.of(problem.range))
        after = changed(job, troubles=job.troubles.set(event.field, trouble))
    return changed(
        after,
        count=job.count + 1,
        seen=job.seen.set(event.id, outcome),
        log=job.log.append(Entry(event, outcome, said)),
    )


def _checkpoint(job: Job) -> Job:
    """The job with itself among its checkpoints: what its log makes of it, without the log."""
    none: PVector[Any] = pvector()
    bare = changed(
        job, log=none, checkpoints=none, seen=pmap(), superseded=none, mended=none, interrupted=none
    )
    kept = job.checkpoints
    again = bool(kept) and kept[-1].count == job.count
    kept = kept.set(len(kept) - 1, bare) if again else kept.append(bare)
    return changed(job, checkpoints=kept)


def _back(rules: Rules, job: Job, number: int) -> Job:
    """The job before an entry of its log: from the nearest checkpoint, and forward again."""
    nearest = bisect_right(job.checkpoints, number, key=lambda each: each.count)
    start = job.checkpoints[nearest - 1]
    back = changed(
        start,
        log=job.log[: start.count],
        checkpoints=job.checkpoints[:nearest],
        seen=job.seen,
        superseded=job.superseded,
        interrupted=job.interrupted,
        mended=job.mended,
    )
    for entry in job.log[start.count : number]:
        back = _apply(rules, back, entry.event)
    return back


def course(rules: Rules, job: Job) -> Iterator[tuple[Job, Entry]]:
    """Each entry of the log in order, with the job before it."""
    before = EMPTY
    for entry in job.log:
        yield before, entry
        before = _apply(rules, before, entry.event)


def _take(rules: Rules, job: Job, event: Event) -> Job:
    if event.kind == "opened":
        if job.count:
            raise Refusal("already_open", "refused.advance.job_open_already_nothing")
        procedure = event.field.partition(".")[2] or job.procedure
        if procedure not in rules.procedures:
            raise Refusal(
                "unknown_procedure",
                "refused.advance.no_procedure",
                figures={"procedure": procedure},
            )
        return changed(job, id=event.job, rules=event.typed, procedure=procedure)
    if not job.id:
        raise Refusal("not_open", "refused.advance.job_not_opened_its")
    if event.job != job.id:
        raise Refusal("other_job", "refused.advance.event_belongs_another_job")
    if event.kind == "stopped":
        short(event.typed)
        return changed(job, stopped=event)
    known = rules.fields.get(event.field)
    if known is None:
        raise Refusal(
            "unknown_field", "refused.advance.not_word_rules", figures={"field": event.field}
        )
    if event.kind == "note":
        return _note(job, known, event)
    touched = job.touched.set(known.id, _touch(job, known.id, event))
    if known.kind in ("part", "choice") and event.kind == "fact":
        word = f"{known.id} {event.typed}"
        touched = touched.set(word, _touch(job, word, event))
    if event.kind == "resumed":
        return changed(job, touched=touched)
    job = changed(job, touched=touched, stopped=None)
    if event.kind != "not_done":
        job = changed(job, done=job.done.set(known.id, touched[known.id]))
    if known.kind == "reading":
        fact = judge_reading(rules, job, known, event)
        series = job.present(known.id)
        if not series.readings:
            temperature = job.facts.get("coolant.temperature")
            series = changed(series, first=event.moment, temperature=temperature)
        series = changed(series, readings=series.readings.set(event.moment.second(), fact))
        return changed(
            job,
            series=job.series.set(known.id, series),
            troubles=job.troubles.discard(known.id),
        )
    fact = judge(rules, job, known, event)
    if event.kind == "photo":
        photos = job.photos.get(known.id, pvector())
        job = changed(job, photos=job.photos.set(known.id, photos.append(event.typed)))
        if known.kind == "part":
            return job
    if known.clears:
        job = _begin_anew(rules, job, known.clears)
    if known.marks:
        series = job.present(known.marks)
        series = changed(series, marks=series.marks.append(event))
        job = changed(job, series=job.series.set(known.marks, series))
    return changed(
        job,
        facts=_with_the_same(rules, job, known.id, fact).set(known.id, fact),
        troubles=job.troubles.discard(known.id),
    )


def _with_the_same(rules: Rules, job: Job, name: str, fact: Fact) -> PMap[str, Fact]:
    """The facts, and the answer to a finding's question as that of the field that asks the same.

    Only where that field was never answered itself, and has a word that shows the same.
    """
    other = rules.same.get(name)
    if other is None or other in job.touched or other not in rules.fields:
        return job.facts
    shows = rules.shows[other].get(name.partition(".")[2], {})
    words = [each for each in rules.fields[other].options if shows.get(each) == fact.value]
    facts = job.facts.discard(other)
    return facts.set(other, Fact(fact.event, words[0])) if words else facts


def _touch(job: Job, name: str, event: Event) -> Touch:
    """An event of a field: what is typed late does not make an earlier one forgotten."""
    before, moment = job.touched.get(name), event.moment
    if before is not None and before.moment.boot == moment.boot:
        moment = max(moment, before.moment, key=lambda each: each.mono)
    return Touch(job.count, moment)


def _note(job: Job, known: Field, event: Event) -> Job:
    """Words about a field. A part of one's own begins with its name, and is off by that."""
    words = short(event.typed, known.longest)
    job = changed(job, notes=job.notes.set(known.id, words))
    if known.kind == "part" and not job.answered(known.id):
        job = changed(job, facts=job.facts.set(known.id, Fact(event, "off")))
    return job


def _begin_anew(rules: Rules, job: Job, clears: tuple[str, ...]) -> Job:
    """Put finished series away, and clear what belongs to them; nothing of it is lost.

    A part that is off stays off: only a hand puts it back.
    """
    facts, series, past = job.facts, job.series, job.past
    taken: PMap[str, Fact] = pmap()
    for name in clears:
        if name in facts and not (rules.fields[name].kind == "part" and job.value(name) == "off"):
            taken, facts = taken.set(name, facts[name]), facts.discard(name)
        series = series.discard(name)
        if job.present(name).readings:
            past = past.append(changed(job.present(name), facts=job.facts))
    cleared = job.cleared.append(taken) if taken else job.cleared
    return changed(job, facts=facts, series=series, past=past, cleared=cleared, troubles=pmap())


def _supersede(rules: Rules, job: Job, event: Event) -> Job:
    """Go back to the job before the named event, and come forward without it."""
    number = next(
        (n for n in reversed(range(job.count)) if job.log[n].event.id == event.supersedes), None
    )
    if number is None:
        problem = Refusal("nothing_to_change", "refused.advance.entry_would_change_not")
        trouble = Trouble(event, Sentence.of(problem), Sentence.of(problem.range))
        job = changed(
            job,
            troubles=job.troubles.set(event.field, trouble),
            seen=job.seen.set(event.id, "refused"),
        )
        return _checkpoint(job)  # no entry of the log tells this trouble
    found, passed = job.log[number].event, job.log[number + 1 :]
    back = _back(rules, job, number)
    seen = job.seen
    for later in passed:  # they are judged again below
        seen = seen.discard(later.event.id)
    seen = seen.set(found.id, "superseded").set(event.id, "accepted")
    interrupted = job.interrupted.append((event, asked(rules, job, event.moment)))
    back = changed(
        back, seen=seen, superseded=job.superseded.append(found), interrupted=interrupted
    )
    if event.kind != "undo":
        # A corrected reading keeps the moment at which the needle was read.
        back = _apply(rules, back, event._replace(moment=found.moment, at=found.at))
    for later in passed:
        back = _apply(rules, back, later.event)
    return back
