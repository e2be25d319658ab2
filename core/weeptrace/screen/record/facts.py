"""What the hand-over record says, as headed rows and lines; nothing not measured is left out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from weeptrace.job import holds
from weeptrace.job.procedure import Known, applies
from weeptrace.job.rounds import last_filled
from weeptrace.job.state import Fact, Job
from weeptrace.screen.figures import NBSP, Show, clock
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


def sections(show: Show, job: Job) -> dict[str, Section]:
    """All that the record says but the holds before and after, by id, in order."""
    text = show.rules.text
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
        rows = (*_rows(show, filled, _COOLANT), *mix.rows(show, filled), *uptake.rows(show, filled))
        made.append(("coolant", rows, ()))
        made.append(("balance", balance.rows(show, job), (text("screen.waste"),)))
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
    return {id: Section(id, text(f"record.{id}"), rows, lines) for id, rows, lines in made}


def _owner(show: Show, job: Job) -> tuple[str, ...]:
    """What the owner takes home."""
    new_cap = job.value("cap.how") == "replaced" or job.value("cap.replaced") is not None
    ids = ("owner_level", "owner_poison", *(("owner_cap",) if new_cap else ()))
    return tuple(show.rules.text(f"record.{id}") for id in ids)


def name_of(show: Show, job: Job, field: str) -> str:
    """A field's name; a part of one's own bears the name that it was given."""
    own = job.notes.get(field) if field.startswith(ledger.OWN) else None
    return own or show.rules.text(f"field.{field}")


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
        at = f", {clock(fact.event.at)}" if fact is not None else ""
        rows.append((name_of(show, job, name), f"{said}{at}"))
    return tuple(rows)


def words(show: Show, fact: Fact | None, name: str) -> str:
    """An answer with its unit; "not measured" where there is none."""
    if fact is None:
        return "not measured"
    field = show.rules.fields[name]
    if fact.value is None:
        return _not_done(show, fact, field.kind)
    return show.fact(field, fact)


def _not_done(show: Show, fact: Fact, kind: str) -> str:
    words = {"yes": "not done", "text": "not told", "photo": show.rules.text("record.no_photo")}
    word = words.get(kind, "not measured")
    why = fact.event.typed.strip()
    return f"{word}: {why}" if why else word


def _quote(show: Show, job: Job) -> Rows:
    """The repair, its price and ceiling with their currency, and who agreed."""
    money = str(job.value("shop.currency") or show.rules.text("record.currency"))
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
        rows.append(("New part against the car", f"{match} matched"))
    found: dict[str, list[str]] = {}
    for name, state in ledger.rows_of_record(show, job):
        found.setdefault(state, []).append(name)
    rows += [(f"{state[0].upper()}{state[1:]}", ", ".join(names)) for state, names in found.items()]
    if joints := _ticked(show, job, "joint."):
        rows.append(("Joints, a second look", f"{joints} ticked"))
    return tuple(rows)


def _ticked(show: Show, job: Job, kin: str) -> str:
    """ "14 of 14", of the points that this repair asks; "" where none was answered."""
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
    return f"{done} of {len(asked)} points" if asked else ""


def not_checked(show: Show, job: Job) -> tuple[str, ...]:
    """What these tests can't see, what was not done, and every answer "not measured"."""
    text = show.rules.text
    lines = [*_blind(show, job)]
    looked = {zone.id: job.value(zone.id) for zone in answers.zones(show.rules)}
    if any(word is not None for word in looked.values()):
        for id, word in (("not_reachable", "not_reachable"), ("not_looked", None)):
            names = [text(f"field.{zone}") for zone, found in looked.items() if found == word]
            lines += [f"{text(f'record.{id}')} {', '.join(names)}."] if names else []
    lines += _unanswered(show, job)
    filled = last_filled(job)
    if filled.answered("coolant.filled") and not filled.present("warm.coolant").readings:
        lines.append(text("record.not_warmed"))
    if job.value("watch.booked") != "booked":
        lines.append(text("record.not_watched"))
    if job.stopped is not None:
        lines.append(f"The job was stopped: {job.stopped.typed}")
    if job.broken is not None:
        lines.append(
            f"An entry cannot be read; it and {len(job.waiting)} after it are not in this record."
        )
    return tuple(lines)


def _unanswered(show: Show, job: Job) -> list[str]:
    """Every answer "not measured" or the like: those that say the same in one line."""
    said: dict[str, list[str]] = {}
    for name, fact in sorted(job.facts.items()):
        kind = show.rules.fields[name].kind
        if fact.value is None and kind != "part":
            said.setdefault(_not_done(show, fact, kind), []).append(name_of(show, job, name))
    return [f"{word[0].upper()}{word[1:]}: {', '.join(names)}." for word, names in said.items()]


def _blind(show: Show, job: Job) -> list[str]:
    """Which holds are missing, and what those that were taken are blind to."""
    text = show.rules.text
    before, after = kept_holds(job)
    if before is None and after is None:
        return [text("record.no_hold_at_all")]
    lines = [] if before else [text("record.no_hold_before")]
    lines += [] if after else [text("record.no_hold_after")]
    fields = [
        f for f in (holds.PRESSURE, holds.AFTER, holds.VACUUM, holds.DRY) if job.all_series(f)
    ]
    blind = dict.fromkeys(id for field in fields for id in verdict.cannot_see(field))
    seen = "; ".join(text(f"cannot_see.{id}") for id in blind)
    return [*lines, f"{text('record.holds_cannot_see')} {seen}."]
