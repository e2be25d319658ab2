"""The ledger: what comes off, where it lies, and how it goes back on."""

from __future__ import annotations

from weeptrace.job.car.parts import parts_out
from weeptrace.job.state import Job
from weeptrace.rules import Field, Rules, Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, clock
from weeptrace.screen.pages.step import step_caution
from weeptrace.screen.parts import Json

OWN = "part.own_"


def off_blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """Take apart: every part of this repair, in the usual order; the next one is the main key."""
    rules = show.rules
    listed = [field for field in _listed(rules, job) if not _is_own(field) or _known(job, field)]
    left = [field for field in listed if not job.answered(field.id)]
    next_one = left[0] if left else None
    rows = [_row(show, job, field, field is next_one, back=False) for field in listed]
    body = [
        parts.title(
            rules.text(f"step.{step.id}.title"),
            show.say("ledger.off", done=len(parts_out(rules, job))),
        ),
        parts.prompt(show.say(f"step.{step.id}.prompt")),
        {"block": "ledger", "rows": rows},
    ]
    finish = {"event": parts.event("ledger.off_complete", "done")}
    keys = [*_own_key(rules, job)]
    if next_one is None:
        main = parts.key(rules.text(f"step.{step.id}.main"), finish, "tick")
    else:
        words = rules.text("screen.stays_on")
        keys.insert(0, parts.key(words, {"event": parts.event(next_one.id, "not_done", words)}))
        keys.append(parts.key(rules.text(f"step.{step.id}.main"), finish))
        words = show.say(
            "ledger.comes",
            how=rules.text(f"comes.{next_one.comes}"),
            part=_name(rules, job, next_one),
        )
        main = parts.key(words, {"event": parts.event(next_one.id, "fact", "off")})
    return body, {"caution": step_caution(show, step), "keys": keys, "main": main}


def on_blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """Put together again: the last that came off goes on first."""
    rules = show.rules
    out = parts_out(rules, job)[::-1]
    on = [field for field in _listed(rules, job) if job.value(field.id) == "on"]
    rows = [_row(show, job, field, field is out[0], back=True) for field in out]
    rows += [_row(show, job, field, False, back=True) for field in on]
    count = show.say("ledger.on", done=len(on), all=len(on) + len(out))
    body = [
        parts.title(rules.text(f"step.{step.id}.title"), count),
        {"block": "ledger", "rows": rows},
    ]
    if out:
        words = show.say("ledger.is_on", part=_name(rules, job, out[0]))
        main = parts.key(words, {"event": parts.event(out[0].id, "fact", "on")})
    else:
        done = {"event": parts.event("ledger.on_complete", "done")}
        main = parts.key(rules.text(f"step.{step.id}.main"), done, "tick")
    return body, {"caution": step_caution(show, step), "keys": [], "main": main}


def rows_of_record(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """What came off and went on, for the record."""
    rules = show.rules
    touched = [field for field in _listed(rules, job) if job.answered(field.id)]
    return tuple((_name(rules, job, field), _now(show, job, field)) for field in touched)


def _now(show: Show, job: Job, field: Field) -> str:
    """How a part stands at the end."""
    value = job.value(field.id)
    if value is None:
        return show.say("ledger.row.left_on")
    if field.comes == "moved":
        return show.say(f"ledger.row.aside_{value}")
    return show.say(f"ledger.row.{value}")


def _listed(rules: Rules, job: Job) -> list[Field]:
    kind = job.value("repair.kind")
    return [field for field in rules.fields.values() if kind in field.belongs]


def _is_own(field: Field) -> bool:
    return field.id.startswith(OWN)


def _known(job: Job, field: Field) -> bool:
    return job.answered(field.id) or field.id in job.notes


def _name(rules: Rules, job: Job, field: Field) -> str:
    if _is_own(field):
        return job.notes.get(field.id, rules.text(f"field.{field.id}"))
    return rules.text(f"field.{field.id}")


def _own_key(rules: Rules, job: Job) -> list[Json]:
    """The key for a part that the list does not have."""
    free = [f for f in _listed(rules, job) if _is_own(f) and not _known(job, f)]
    if not free:
        return []
    note = {"reason": parts.event(free[0].id, "note")}
    return [parts.key(rules.text("screen.own_part"), note, "plus")]


def _row(show: Show, job: Job, field: Field, now: bool, back: bool) -> Json:
    rules = show.rules
    value = job.value(field.id)
    fact = job.facts.get(field.id)
    lines = [rules.text(f"comes.{field.comes}")]
    note = job.notes.get(field.id)
    if note and not _is_own(field):
        lines.append(note)
    if fact is not None and value is not None:
        lines.append(clock(fact.event.at))
    if fact is not None and value is None:
        lines = [show.say("ledger.left_on")]
    if field.needed_to_run and value == "off":
        lines.append(rules.text("screen.needed_to_run"))
    wanted = "on" if back else "off"
    can = value != "on" if back else fact is None
    do = {"event": parts.event(field.id, "fact", wanted)} if can else None
    more = []
    if not back and value == "off":
        if not _is_own(field):
            where = {"reason": parts.event(field.id, "note")}
            more.append(parts.key(rules.text("screen.where"), where))
        photo = {"photo": parts.event(field.id, "photo")}
        more.append(parts.key(rules.text("screen.photo"), photo, "camera"))
    return {
        "off": "off" if value == "off" else "to_do",
        "on": "on" if value == "on" else "waits" if value is None else "to_do",
        "now": now,
        "word": _name(rules, job, field),
        "lines": lines,
        "do": do,
        "more": more,
    }
