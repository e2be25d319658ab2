"""One state of a job, and what a hand, a phone or a bad day can do to it next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from decimal import Decimal
from functools import cache
from typing import Any, Final

from tests.proof.cells import Cuts, Value
from tests.proof.history import History, Line
from weeptrace.job.advance import advance
from weeptrace.job.events import Moment, read_moment
from weeptrace.job.state import EMPTY, Job
from weeptrace.quantity import SI
from weeptrace.rules import Field, Rules

ZERO: Final = datetime(2026, 11, 25, 14, 0, tzinfo=timezone(timedelta(hours=1)))
KINDS: Final = {"yes": "done", "mark": "mark", "reading": "reading", "photo": "photo"}


@dataclass(frozen=True)
class Move:
    """What is done next: an event to store, or time that passes, or another boot."""

    label: str
    kind: str = ""
    field: str = ""
    typed: str = ""
    unit: str | None = None
    ago: float = 0.0  # s; typed now, measured then
    supersedes: str | None = None
    wait: float = 0.0
    boots: bool = False
    sleeps: bool = False  # the monotonic clock stands still while it waits
    sets: float = 0.0  # s; the wall clock is set forward by it, back where it is negative
    departs: int = 0  # from the plain course; a search may bound how many it takes
    onward: bool = True  # answers what is asked; else it takes back, corrects or disturbs


@dataclass(frozen=True)
class Node:
    """A job, its time, and the chain of raw events that made it.

    ``now`` is the true time, s. The phone shows others: its wall clock may have been ``set``, and
    its monotonic clock begins with a boot and stands still while the phone is asleep.
    """

    job: Job
    now: float
    boot: int = 1
    began: float = 0.0  # true time at which the monotonic clock would have begun without sleep
    shift: float = 0.0  # of the wall clock
    chain: tuple[Any, Line] | None = None
    depth: int = 0

    def moment(self, ago: float = 0.0) -> dict[str, Any]:
        """``{at, mono, boot}`` now, or so many seconds ago."""
        time = self.now - ago
        return {
            "at": _at(time + self.shift),
            "mono": (time - self.began) * 1000.0,
            "boot": f"boot-{self.boot}",
        }

    def read_moment(self) -> Moment:
        """The moment as the job reads it."""
        return read_moment(self.moment())

    def lines(self) -> list[Line]:
        """The raw events, in their order."""
        made: list[Line] = []
        chain = self.chain
        while chain is not None:
            chain, line = chain
            made.append(line)
        return made[::-1]

    def history(self) -> History:
        """What the log says happened."""
        return History(self.lines(), self.job.seen)


@cache
def _at(time: float) -> str:
    return (ZERO + timedelta(seconds=time)).isoformat(timespec="microseconds")


def start(rules: Rules) -> Node:
    """A new job."""
    return after(rules, Node(EMPTY, 0.0), Move("open", "opened", "rules", rules.hash))


def after(rules: Rules, node: Node, move: Move) -> Node:
    """The state after a move, by the same ``advance`` as on the phone."""
    now = node.now + move.wait
    boot, began = (node.boot + 1, now) if move.boots else (node.boot, node.began)
    began += move.wait if move.sleeps else 0.0
    shift = node.shift + move.sets
    if not move.kind:
        return Node(node.job, now, boot, began, shift, node.chain, node.depth)
    moved = Node(node.job, now, boot, began, shift, node.chain, node.depth + 1)
    raw: dict[str, Any] = {
        "id": f"01990000-0000-7000-8000-{moved.depth:012x}",
        "device": "device-1",
        "seq": moved.depth,
        **moved.moment(move.ago),
        "job": "job-1",
        "kind": move.kind,
        "field": move.field,
        "typed": move.typed,
        "unit": move.unit,
    }
    if move.supersedes is not None:
        raw["supersedes"] = move.supersedes
    job = advance(rules, node.job, raw)
    chain = (node.chain, Line(raw, ZERO.timestamp() + now - move.ago))
    return Node(job, now, boot, began, shift, chain, moved.depth)


def answers(cuts: Cuts, field: Field) -> Iterator[Move]:
    """Every answer to a field that the rules tell apart, one of each."""
    if field.id == "job.closed":
        yield Move("close", "closed", field.id)
    elif field.kind == "part":
        for word in field.options:
            yield Move(f"{field.id} {word}", "fact", field.id, word)
    elif field.kind == "choice" or field.numeric:
        for value in cuts.values(field.id):
            yield answer(field, value)
    else:
        yield Move(field.id, KINDS.get(field.kind, "fact"), field.id, "Selwick")


def answer(field: Field, value: Value, supersedes: str | None = None) -> Move:
    """One answer, typed in the unit of SI."""
    typed = value if isinstance(value, str) else _plain(value)
    unit = SI[field.dimension or "ratio"] if field.numeric else None
    kind = "reading" if field.kind == "reading" else "fact"
    return Move(f"{field.id} {typed}", kind, field.id, typed, unit, supersedes=supersedes)


def _plain(value: float) -> str:
    return format(Decimal(f"{value:.12g}"), "f")


def undo_last(node: Node) -> Iterator[Move]:
    """Take back the last entry; the opening stays."""
    entry = node.job.log[-1] if node.job.log else None
    if entry is not None and entry.event.kind != "opened":
        yield Move("undo", "undo", entry.event.field, supersedes=entry.event.id, onward=False)


def corrections(cuts: Cuts, node: Node, fields: Iterator[str] | list[str]) -> Iterator[Move]:
    """Every known answer of some fields, changed to every other that the rules tell apart."""
    for name in fields:
        fact = node.job.facts.get(name)
        field = cuts.rules.fields[name]
        if fact is None or field.kind not in ("choice", "quantity", "count"):
            continue
        for value in cuts.values(name):
            if cuts.cell(name, value) != cuts.cell(name, fact.value):
                yield answer(field, value, supersedes=fact.event.id)
