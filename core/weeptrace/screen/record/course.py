"""What the record says beside the chain of proof: as found, tests, more work, after the work."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Final

from pyrsistent import pmap

from weeptrace.job import danger
from weeptrace.job.holds import LET_OFF
from weeptrace.job.state import Fact, Job
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.pages import overnight
from weeptrace.told import Figure

Rows = tuple[tuple[str, str], ...]
Facts = Mapping[str, Fact]

# A page of questions, and the word that each of its answers has where nothing is wrong.
_PAGES: Final = (
    ("place.site", "kit.seen", "kit.", "have"),
    ("", "told.seen", "told.", "no"),
    ("", "look.seen", "look.", "no"),
    ("drive.decision", "drive.decision", "drive.", "no"),
)
# The row of such a page, where its last field heads another row.
_HEAD: Final = {"drive.decision": "record.row_drive"}
# What is said where each answer of a page was this word.
_ALL_SOUND: Final = {"have": "all_here", "done": "all_done"}
# Rows of one heading; its fields joined in one line, so that a record stays on two sheets.
_FOUND: Final = {
    "told": ("car.odometer", "quote.diagnosis"),
    "cold": (
        "cold.level", "cold.strength", "coolant.condition", "oil.engine", "oil.transmission",
        "cream.person", "cream.why",
    ),
    "cap": ("cap.how", "cap.opening_1", "cap.opening_2", "cap.opening_3", "cap.holds",
            "cap.return_valve", "cap.replaced"),
}  # fmt: skip
_TEST: Final = (
    "test.kind", "test.caught", "test.caught_for", "test.block_evening", "test.air_evening",
    "test.strokes", "test.evening", "test.morning", "test.block_morning", "test.air_morning",
    "test.turned", "test.sump", "test.idled", "test.cylinders", "test.gas", "test.level_now",
    "test.level_later", "test.result",
)  # fmt: skip
_MORE: Final = (
    ("extra.what", "extra.price", "extra.how", "extra.who"),
    ("broken.what", "broken.method", "broken.method_plastic", "broken.thread", "broken.hardware",
     "broken.minutes", "broken.price", "broken.how", "broken.mended"),
)  # fmt: skip
_CEILING: Final = ("quote.ceiling_new", "ceiling.who", "ceiling.how")
_AFTER: Final = {
    "counted": ("fastener.off", "fastener.on", "fastener.why"),
    "labels": ("coolant.label_fits", "transmission.label_fits", "transmission.level_at"),
    "seen": ("bleed.no_bubbles", "after.other", "work.left_leaking", "road.driven",
             "road.hottest", "road.look"),
    "again": ("recheck.before", "recheck.after", "recheck.clamps", "recheck.strength",
              "level.end", "level.litres", "level.put_in", "level.bleed",
              "level.tow_told"),
    "clean": ("clean.washed", "clean.can", "clean.receipt", "clean.cabin"),
}  # fmt: skip
_ROUND: Final = ("finding.place", "finding.wet_again", "repair.kind", "quote.total",
                 "consent.who", "consent.how", "coolant.drained", "coolant.filled",
                 "transmission.caught", "after.old_place", "after.other", "road.look")  # fmt: skip
# What a count counts, where it is no money.
_COUNTED: Final = {
    "fastener.off": "pieces", "fastener.on": "pieces", "test.strokes": "strokes",
}  # fmt: skip


def said(show: Show, facts: Facts, names: Iterable[str]) -> Rows:
    """A row for each of these fields that was answered with a value."""
    return tuple(
        (show.say(f"field.{name}"), _words(show, facts, name, fact))
        for name in names
        if (fact := facts.get(name)) is not None and fact.value is not None
    )


def _words(show: Show, facts: Facts, name: str, fact: Fact) -> str:
    """An answer in words; a count with what it counts."""
    field = show.rules.fields[name]
    if field.kind == "yes":
        return show.say("answer.done")
    if field.kind != "count":
        return show.fact(field, fact)
    if name in _COUNTED:
        return show.say(f"record.counted.{_COUNTED[name]}", number=fact.event.typed)
    money = facts.get("shop.currency")
    currency = show.say("record.currency") if money is None else str(money.value)
    return f"{fact.event.typed}{NBSP}{currency}"


def as_found(show: Show, job: Job) -> Rows:
    """Place and kit, what the owner told, the first look, the cold coolant, the cap."""
    rows: list[tuple[str, str]] = []
    for first, ends, kin, sound in _PAGES:
        rows += said(show, job.facts, (first,))
        if job.answered(ends):
            head = show.say(_HEAD.get(ends, f"field.{ends}"))
            rows.append((head, _answers(show, job, kin, sound)))
    return (*rows, *_headed(show, job, _FOUND))


def _headed(show: Show, job: Job, headed: Mapping[str, tuple[str, ...]]) -> Rows:
    """One row a heading, of those under which something was answered."""
    return tuple(
        (show.say(f"record.row_{id}"), _joined(show, told))
        for id, names in headed.items()
        if (told := said(show, job.facts, names))
    )


def _answers(show: Show, job: Job, kin: str, sound: str) -> str:
    """How many questions were answered, and what was answered otherwise than sound, in words."""
    fields = [
        field
        for name, field in show.rules.fields.items()
        if name.startswith(kin) and field.kind == "choice" and name != "drive.decision"
    ]
    told = [(f, fact) for f in fields if (fact := job.facts.get(f.id)) and fact.value is not None]
    found = [
        show.say("answer.named", name=show.say(f"field.{f.id}"), words=show.fact(f, fact))
        for f, fact in told
        if fact.value != sound
    ]
    words = [show.say("record.line.asked", done=len(told), all=len(fields)), *found]
    if told and not found:
        words.append(show.say(f"record.{_ALL_SOUND.get(sound, 'no_findings')}"))
    return "; ".join(words)


def further_tests(show: Show, job: Job) -> Rows:
    """Each test that followed a hold, with its figures, the first one first."""
    rows = []
    for facts in (*job.cleared, job.facts):
        kind = facts.get("test.kind")
        if kind is None or kind.value in (None, "none"):
            continue
        named, *figures = said(show, facts, _TEST)
        night = overnight.rows(show, replace(job, facts=pmap(facts)))
        rows.append((named[1], _joined(show, [*figures, *night]) or show.unmeasured()))
    return tuple(rows)


def above_rating(show: Show, job: Job) -> Rows:
    """The highest needle above the cap's rating, what it was let off to, what was looked at."""
    found = list(danger.too_high(show.rules, job))
    if not found:
        return ()
    say = show.say
    highest, allowed = max(found, key=lambda pair: danger.pascal(pair[0]) - pair[1])
    needle = show.fact(show.rules.fields[highest.event.field], highest)
    words = [say("over.of", needle=needle, allowed=Figure(allowed, "pressure"))]
    words += [
        say("over.let_off_to", needle=show.fact(show.rules.fields[LET_OFF], fact))
        for _, fact in job.present(LET_OFF).times()
    ]
    looked = job.facts.get(danger.LOOKED)
    if looked is not None:
        words.append(say("over.looked_at", seen=looked.event.typed))
    evening = highest.event.field == danger.EVENING
    return ((say("over.evening" if evening else "over.title"), ", ".join(words)),)


def more_work(show: Show, job: Job) -> Rows:
    """Work that was found on the way: what, its price, who agreed and how; and the new ceiling."""
    rows = []
    for facts in (*job.cleared, job.facts):
        for names in _MORE:
            told = said(show, _with_currency(job, facts), names)
            if told:
                words = show.say(
                    "record.line.added", first=told[0][1], rest=_joined(show, told[1:])
                )
                rows.append((show.say("record.added"), words))
    return (*rows, *said(show, job.facts, _CEILING))


def _with_currency(job: Job, facts: Facts) -> Facts:
    """Facts of an earlier round, in the shop's currency."""
    money = job.facts.get("shop.currency")
    return facts if money is None else {**facts, "shop.currency": money}


def after_the_work(show: Show, job: Job) -> Rows:
    """Counts, levels, the road, clean-up."""
    rows = _headed(show, job, _AFTER)
    if job.answered("hand.seen"):
        words = _answers(show, job, "hand.", "done")
        rows = (*rows, (show.say("field.hand.seen"), words))
    return rows


def earlier_rounds(show: Show, job: Job, parts: Callable[[Show, Job], Rows]) -> Rows:
    """What was found and done before the job was opened again; its holds stand with the others."""
    rows = []
    for facts in job.cleared:
        told = said(show, _with_currency(job, facts), _ROUND)
        if "repair.kind" in facts and told:
            done = parts(show, replace(job, facts=pmap(facts)))
            rows.append((told[0][1], _joined(show, [*told[1:], *done])))
    return tuple(rows)


def _joined(show: Show, rows: Iterable[tuple[str, str]]) -> str:
    return "; ".join(show.say("answer.named", name=name, words=words) for name, words in rows)
