"""What a job is at one moment: the fold of its events so far, immutable and shared."""

from __future__ import annotations

import dataclasses
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from pyrsistent import PMap, PVector, pmap, pvector

from weeptrace.job.events import Event, Moment
from weeptrace.told import Sentence, plain

_DOES: Final = ("fact", "reading", "mark", "done", "closed")  # an event that says what was done


class Fact(NamedTuple):
    """An accepted value: a number in SI, or a word; None where it was answered "not done"."""

    event: Event
    value: float | str | None

    @property
    def reason(self) -> str:
        """Why it was not done; "" for a value."""
        return self.event.typed if self.value is None else ""


@dataclass(frozen=True)
class Trouble:
    """An entry that was stored but not taken: why, and what is accepted instead."""

    event: Event
    said: Sentence
    accepted: Sentence

    @property
    def words(self) -> str:
        """Why, in the usual SI units."""
        return plain(self.said)


class Broken(NamedTuple):
    """The raw event that the fold stops short of, and why."""

    raw: str
    said: Sentence

    @property
    def words(self) -> str:
        """Why, in the usual SI units."""
        return plain(self.said)


class Touch(NamedTuple):
    """The latest event of a field: its number in the job, and the latest moment of any of them.

    The number of one that was taken back lies between those of the entries around it.

    A part, and a choice, is kept apart by its words too: "part.belt on".
    """

    number: float
    moment: Moment


@dataclass(frozen=True)
class Series:
    """One run of readings of a field (SI) by their second, and its marks.

    ``temperature`` is the coolant's as known at the first reading; ``facts`` all that the job knew
    when the series was put away, None while it is the present one.
    """

    field: str = ""
    readings: PMap[tuple[str, int], Fact] = dataclasses.field(default_factory=pmap)
    marks: PVector[Event] = dataclasses.field(default_factory=pvector)
    first: Moment | None = None  # of the first reading stored
    temperature: Fact | None = None
    facts: PMap[str, Fact] | None = None

    def start(self) -> Moment | None:
        """The moment of the earliest reading; one typed later may lie before the first stored."""
        return self._timed[0]

    def times(self) -> list[tuple[float, Fact]]:
        """Seconds since the start, and the reading, in order of time."""
        return list(self._timed[1])

    @cached_property
    def _timed(self) -> tuple[Moment | None, list[tuple[float, Fact]]]:
        """Start and times, once for all who ask: a page of a running hold asks a dozen times."""
        first, facts = self.first, list(self.readings.values())
        if first is None:
            return None, []
        start = min((fact.event.moment for fact in facts), key=lambda moment: moment.since(first))
        timed = [(fact.event.moment.since(start), fact) for fact in facts]
        return start, sorted(timed, key=lambda pair: pair[0])


class Entry(NamedTuple):
    """One line of the job's log: the event, and what became of it."""

    event: Event
    outcome: str  # accepted | refused
    said: Sentence | None  # why it was refused

    @property
    def words(self) -> str:
        """Why, in the usual SI units; "" where it was accepted."""
        return "" if self.said is None else plain(self.said)


@dataclass(frozen=True)
class Job:
    """The job. Every change makes a new one that shares all that did not change."""

    id: str = ""
    rules: str = ""
    procedure: str = "coolant_loss"
    facts: PMap[str, Fact] = dataclasses.field(default_factory=pmap)
    series: PMap[str, Series] = dataclasses.field(
        default_factory=pmap
    )  # the present one of each field
    past: PVector[Series] = dataclasses.field(default_factory=pvector)
    cleared: PVector[PMap[str, Fact]] = dataclasses.field(
        default_factory=pvector
    )  # what each new beginning took back
    notes: PMap[str, str] = dataclasses.field(default_factory=pmap)
    photos: PMap[str, PVector[str]] = dataclasses.field(default_factory=pmap)
    troubles: PMap[str, Trouble] = dataclasses.field(default_factory=pmap)
    touched: PMap[str, Touch] = dataclasses.field(default_factory=pmap)
    # of `touched`, the last that was an answer: not "not done"
    done: PMap[str, Touch] = dataclasses.field(default_factory=pmap)
    stopped: Event | None = None
    log: PVector[Entry] = dataclasses.field(default_factory=pvector, compare=False, repr=False)
    # What it was before some entries, oldest first, for the way back (advance.py). None of them
    # holds a log or others: were each to hold the one before, freeing the last would free all
    # within each other, deeper than a stack reaches.
    checkpoints: PVector[Job] = dataclasses.field(
        default_factory=pvector, compare=False, repr=False
    )
    count: int = 0  # entries in the log
    seen: PMap[str, str] = dataclasses.field(default_factory=pmap)  # event id -> outcome
    superseded: PVector[Event] = dataclasses.field(default_factory=pvector)
    # each event that took one back or corrected it, and what its page asked for just then
    interrupted: PVector[tuple[Event, tuple[str, ...]]] = dataclasses.field(default_factory=pvector)
    broken: Broken | None = None
    waiting: PVector[str] = dataclasses.field(default_factory=pvector)  # raw events behind it
    mended: PVector[str] = dataclasses.field(default_factory=pvector)  # broken ones taken back

    # Plain copies of what is looked up hundreds of times in one job: a persistent map takes a
    # microsecond for each, and two where there is nothing.
    @cached_property
    def answers(self) -> Mapping[str, Fact]:
        """The facts."""
        return dict(self.facts.iteritems())

    @cached_property
    def touches(self) -> Mapping[str, Touch]:
        """What was touched."""
        return dict(self.touched.iteritems())

    @cached_property
    def dones(self) -> Mapping[str, Touch]:
        """What was done."""
        return dict(self.done.iteritems())

    @cached_property
    def values(self) -> Mapping[str, float | str | None]:
        """The value of each answered field, SI or a word, None where it was not measured."""
        return {name: fact.value for name, fact in self.answers.items()}

    @cached_property
    def withdrawn(self) -> list[tuple[Event, Touch]]:
        """What was taken back and not corrected, and where in the log it stood.

        Nobody knows whether it was typed by a slip, or done and undone: so it still speaks against
        what was shown before it, and gives nothing itself.
        """
        if not self.superseded:
            return []
        corrected = {entry.event.supersedes for entry in self.log}
        numbers = [entry.event.seq for entry in self.log]
        return [
            (event, Touch(bisect_left(numbers, event.seq) - 0.5, event.moment))
            for event in self.superseded
            if event.id not in corrected and event.kind in _DOES
        ]

    @cached_property
    def begun(self) -> list[tuple[str, Touch]]:
        """The fields that a page asked for while an entry was taken back or corrected, and when.

        Nobody knows whether what that page asked for was done by then.
        """
        return [(field, touch) for _, touch, fields in self._turned() for field in fields]

    @cached_property
    def taken_back(self) -> list[tuple[str, Touch]]:
        """The fields of which an entry was taken back, and when that was done."""
        fields = {event.id: event.field for event in self.superseded}
        turned = self._turned() if fields else []
        return [(fields[e.supersedes or ""], touch) for e, touch, _ in turned if e.kind == "undo"]

    def _turned(self) -> list[tuple[Event, Touch, tuple[str, ...]]]:
        numbers = [entry.event.seq for entry in self.log] if self.interrupted else []
        return [
            (event, Touch(bisect_left(numbers, event.seq) - 0.5, event.moment), fields)
            for event, fields in self.interrupted
        ]

    def value(self, name: str) -> float | str | None:
        """A field's value, SI or a word; None where it is unknown or not measured."""
        return self.values.get(name)

    def answered(self, name: str) -> bool:
        """Whether the field has a value or was answered "not done"."""
        return name in self.facts

    def present(self, name: str) -> Series:
        """The present series of a reading field; an empty one before its first reading."""
        return self.series.get(name) or _empty(name)

    def all_series(self, name: str) -> list[Series]:
        """The series of a field put away and the present one, in order, without empty ones."""
        present = self.present(name)
        past = [series for series in self.past if series.field == name]
        return [*past, *([present] if present.readings else [])]


EMPTY: Final = Job()


@cache
def _empty(name: str) -> Series:
    """The series of a field before its first reading."""
    return Series(name)


if TYPE_CHECKING:
    changed = dataclasses.replace
else:

    def changed(whole: Any, /, **changes: Any) -> Any:
        """As ``dataclasses.replace``, of a job or a series, which each event makes anew.

        Nothing of it is set one by one; what was worked out of the old one is left behind.
        """
        new = object.__new__(type(whole))
        kept = vars(new)
        kept.update(vars(whole))
        if len(kept) > len(whole.__dataclass_fields__):
            for name in kept.keys() - whole.__dataclass_fields__.keys():
                del kept[name]
        kept.update(changes)
        return new
