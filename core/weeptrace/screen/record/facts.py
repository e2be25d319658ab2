"""What the hand-over record says, as headed rows and lines; nothing not measured is left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from weeptrace.job import holds
from weeptrace.job.procedure import Known, applies
from weeptrace.job.rounds import last_filled
from weeptrace.job.state import Fact, Job
from weeptrace.screen.figures import NBSP, NOT_DONE, NOT_MEASURED, Show, clock
from weeptrace.screen.pages import answers, balance, ledger, mix, uptake, verdict, warm_up
from weeptrace.screen.record.course import (
    Rows,
    above_rating,
    after_the_work,
    as_found,
    earlier_rounds,
    further_tests,
    more_work,
    said,
)
from weeptrace.screen.record.holds import kept_holds, other_holds

_CAR: Final = (
    "complaint.words", "owner.rate", "car.cap_rating", "car.capacity", "car.glycol",
    "place.altitude", "place.ambient",
)  # fmt: skip
_CAUSE: Final = ("finding.place", "finding.watch", "finding.dried", "finding.wet_again")
_CONSENT: Final = ("consent.who", "consent.how")
_TESTER: Final = (
    "tester.span", "tester.division", "tester.stroke_volume", "tester.adapter", "tester.self_fall",
)  # fmt: skip
_COOLANT: Final = (
    "coolant.missing_before", "coolant.drained", "coolant.residual_strength",
    "coolant.target_strength", "coolant.at_hand", "fill.how", "coolant.filled", "coolant.spilled",
)  # fmt: skip
_TRANSMISSION: Final = ("transmission.caught", "transmission.filled")
_WATCH: Final = ("watch.level", "watch.area", "watch.booked")


@dataclass(frozen=True)
class Section:
    """A headed part of the record: rows of name and finding, or lines. ``id`` names its heading."""

    id: str
    heading: str
    rows: Rows = ()
    lines: tuple[str, ...] = ()


def sections(show: Show, job: Job, drawn: bool = False) -> dict[str, Section]:
    """All that the record says but the holds before and after, by id, in order.

    ``drawn``: a drawing tells the streams of the balance and the waste, so no row does.
    """
    say = show.say
    made: list[tuple[str, Rows, tuple[str, ...]]] = [
        ("car", _rows(show, job, _asked(show, job, _CAR)), ())
    ]
    if found := as_found(show, job):
        made.append(("found", found, ()))
    if job.answered("finding.place"):
        again = ("after.old_place",) if job.answered("after.old_place") else ()
        made.append(("cause", _timed(show, job, (*_CAUSE, *again)), ()))
    if others := other_holds(show, job):
        made.append(("other_holds", others, ()))
    if tests := (*further_tests(show, job), *above_rating(show, job)):
        made.append(("tests", tests, ()))
    if job.answered("repair.kind"):
        made.append(("quote", _quote(show, job), ()))
        made.append(("parts", _parts(show, job), ()))
    filled = last_filled(job)
    if filled.answered("coolant.drained"):
        asked = tuple(name for name in _COOLANT if not (drawn and name in balance.STREAMS))
        rows = (*_rows(show, filled, asked), *mix.rows(show, filled), *uptake.rows(show, filled))
        made.append(("coolant", rows, ()))
        made.append(("balance", balance.rows(show, job, waste=not drawn), (say("screen.waste"),)))
    if filled.answered("transmission.caught"):
        made.append(("transmission", _rows(show, filled, _TRANSMISSION), ()))
    if filled.present("warm.coolant").readings:
        made.append(("warm", warm_up.rows(show, filled), ()))
    if after := after_the_work(show, job):
        made.append(("after_work", after, ()))
    if earlier := earlier_rounds(show, job, _parts):
        made.append(("earlier", earlier, ()))
    if job.answered("watch.booked"):
        made.append(("watch", _rows(show, job, _WATCH), ()))
    if tester := _rows(show, job, _asked(show, job, _TESTER)):
        made.append(("tester", tester, ()))
    made.append(("not_checked", (), not_checked(show, job)))
    made.append(("owner", (), _owner(show, job)))
    return {id: Section(id, say(f"record.{id}"), rows, lines) for id, rows, lines in made}


def _owner(show: Show, job: Job) -> tuple[str, ...]:
    """What the owner takes home."""
    new_cap = job.value("cap.how") == "replaced" or job.value("cap.replaced") is not None
    ids = ("owner_level", "owner_poison", *(("owner_cap",) if new_cap else ()))
    return tuple(show.say(f"record.{id}") for id in ids)


def name_of(show: Show, job: Job, field: str) -> str:
    """A field's name; a part of one's own bears the name that it was given."""
    own = job.notes.get(field) if field.startswith(ledger.OWN) else None
    return own or show.say(f"field.{field}")


def _asked(show: Show, job: Job, names: tuple[str, ...]) -> tuple[str, ...]:
    """Those of these fields that are answered, or that a step of this job asks."""
    steps = show.rules.procedures[job.procedure].steps
    known = Known(show.rules, job)
    asks = {step.asks for step in steps if applies(known, step)}
    return tuple(name for name in names if name in job.facts or name in asks)


def _rows(show: Show, job: Job, names: tuple[str, ...]) -> Rows:
    return tuple(
        (name_of(show, job, name), words(show, job.facts.get(name), name)) for name in names
    )


def _timed(show: Show, job: Job, names: tuple[str, ...]) -> Rows:
    """Rows with the clock time of each answer: a proof is a sequence."""
    rows = []
    for name in names:
        fact = job.facts.get(name)
        said = words(show, fact, name)
        if fact is not None:
            said = show.say("record.line.timed", words=said, time=clock(fact.event.at))
        rows.append((name_of(show, job, name), said))
    return tuple(rows)


def words(show: Show, fact: Fact | None, name: str) -> str:
    """An answer with its unit; "not measured" where there is none."""
    if fact is None:
        return show.unmeasured()
    field = show.rules.fields[name]
    if fact.value is None:
        return show.not_done(field.kind, fact.event.typed.strip())
    return show.fact(field, fact)


def _quote(show: Show, job: Job) -> Rows:
    """The repair, its price and ceiling with their currency, and who agreed."""
    money = str(job.value("shop.currency") or show.say("record.currency"))
    told = [name for name in ("repair.kind", "quote.hours") if job.answered(name)]
    rows = [*_rows(show, job, tuple(told)), *said(show, job.facts, ("quote.reason",))]
    for name in ("quote.parts", "quote.total", "quote.ceiling"):
        if name in job.facts:
            amount = words(show, job.facts[name], name)
            known = job.value(name) is not None
            rows.append((name_of(show, job, name), f"{amount}{NBSP}{money}" if known else amount))
    rows += said(show, job.facts, ("quote.left_out",))
    rows += _rows(show, job, _CONSENT) if job.answered("consent.how") else ()
    return (*rows, *more_work(show, job))


def _parts(show: Show, job: Job) -> Rows:
    """What was compared, what came off and went on, what was looked at again."""
    rows = []
    if match := _ticked(show, job, "match."):
        done, every = match
        matched = show.say("record.line.matched", done=done, all=every)
        rows.append((show.say("record.row.matched"), matched))
    found: dict[str, list[str]] = {}
    for name, state in ledger.rows_of_record(show, job):
        found.setdefault(state, []).append(name)
    rows += [(state, "; ".join(names)) for state, names in found.items()]
    if joints := _ticked(show, job, "joint."):
        done, every = joints
        ticked = show.say("record.line.ticked", done=done, all=every)
        rows.append((show.say("record.row.joints"), ticked))
    return tuple(rows)


def _ticked(show: Show, job: Job, kin: str) -> tuple[int, int] | None:
    """How many of the points that this repair asks were ticked; None where none was answered."""
    steps = show.rules.procedures[job.procedure].steps
    every = [n for s in steps for n in s.checks if n.startswith(kin)]
    known = Known(show.rules, job)
    asked = {
        name
        for step in steps
        for name in step.checks
        if name in every
        and applies(known, step)
        and any(other in job.facts for other in step.checks)
    }
    done = sum(job.value(name) is not None for name in asked)
    return (done, len(asked)) if asked else None


def not_checked(show: Show, job: Job) -> tuple[str, ...]:
    """What these tests can't see, what was not done, and every answer "not measured"."""
    say = show.say
    lines = [*_blind(show, job)]
    looked = {zone.id: job.value(zone.id) for zone in answers.zones(show.rules)}
    if any(word is not None for word in looked.values()):
        if shut := _zones(show, looked, "not_reachable"):
            lines.append(say("record.line.not_reachable", names=shut))
        if unseen := _zones(show, looked, None):
            lines.append(say("record.line.not_looked", names=unseen))
    lines += _unanswered(show, job)
    filled = last_filled(job)
    if filled.answered("coolant.filled") and not filled.present("warm.coolant").readings:
        lines.append(say("record.not_warmed"))
    if job.value("watch.booked") != "booked":
        lines.append(say("record.not_watched"))
    if job.stopped is not None:
        lines.append(say("record.line.stopped", reason=job.stopped.typed))
    if job.broken is not None:
        lines.append(say("record.line.broken", count=len(job.waiting)))
    return tuple(lines)


def _zones(show: Show, looked: Mapping[str, object], word: str | None) -> str:
    """The zones of which this was answered."""
    return "; ".join(show.say(f"field.{zone}") for zone, found in looked.items() if found == word)


def _unanswered(show: Show, job: Job) -> list[str]:
    """Every answer "not measured" or the like: those that say the same in one line."""
    said: dict[tuple[str, str], list[str]] = {}
    for name, fact in sorted(job.facts.items()):
        kind = show.rules.fields[name].kind
        if fact.value is None and kind != "part":
            why = (NOT_DONE.get(kind, NOT_MEASURED), fact.event.typed.strip())
            said.setdefault(why, []).append(name_of(show, job, name))
    return [_listed(show, word, why, "; ".join(names)) for (word, why), names in said.items()]


def _listed(show: Show, word: str, why: str, names: str) -> str:
    """The fields that were left out in one way and for one reason."""
    if why:
        return show.say(f"record.unanswered_why.{word}", why=why, names=names)
    return show.say(f"record.unanswered.{word}", names=names)


def _blind(show: Show, job: Job) -> list[str]:
    """Which holds are missing, and what those that were taken are blind to."""
    say = show.say
    before, after = kept_holds(job)
    if before is None and after is None:
        return [say("record.no_hold_at_all")]
    lines = [] if before else [say("record.no_hold_before")]
    lines += [] if after else [say("record.no_hold_after")]
    fields = [
        f for f in (holds.PRESSURE, holds.AFTER, holds.VACUUM, holds.DRY) if job.all_series(f)
    ]
    blind = dict.fromkeys(id for field in fields for id in verdict.cannot_see(field))
    seen = "; ".join(say(f"cannot_see.{id}") for id in blind)
    return [*lines, say("record.line.cannot_see", names=seen)]
