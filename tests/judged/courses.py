"""Jobs on the rules as they are: how each went, and what it did to anybody."""

from __future__ import annotations

import hashlib
import json
import random
import signal
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from types import FrameType
from typing import Any, Final

from tests.judged.directed import Directed
from tests.judged.kinds import KINDS, world_of
from tests.judged.weakened import Weakened
from weeptrace.door.phone import Phone
from weeptrace.job.advance import advance
from weeptrace.job.events import Moment, read_moment
from weeptrace.job.procedure import position
from weeptrace.job.state import EMPTY, Job
from weeptrace.practice.world.play import play
from weeptrace.practice.world.player import Played, Player
from weeptrace.rules import load

TRUE: Final = ("obedient", "hurried", "confused", "interrupted")
SEEDS: Final = 150  # of each technician, that are played unweakened
OF_A_KIND: Final = [(who, seed) for who in ("obedient", "hurried") for seed in range(3)]
LONGEST: Final = 30.0  # s of one job, of the processor


@dataclass(frozen=True)
class Course:
    """A job as it went: ``behind``, pairs of a shut gate and the step after it; ``events`` as they
    were stored, ``stood`` the step and the shut gate before each of them, JSON.
    """

    technician: str
    seed: int
    steps: frozenset[str]
    behind: frozenset[tuple[str, str]]
    fields: frozenset[str]
    harms: frozenset[str]
    digest: str
    events: str = "[]"
    stood: str = "[]"
    kind: str = ""

    @property
    def who(self) -> tuple[str, int, str]:
        """Technician, seed and kind: the same, the same job."""
        return self.technician, self.seed, self.kind

    @property
    def named(self) -> str:
        """Technician, seed and kind in words."""
        return " ".join((self.technician, str(self.seed), self.kind)).strip()


@dataclass
class Unweakened:
    """The courses of the rules as they are."""

    courses: list[Course] = field(default_factory=list)

    @cached_property
    def harms(self) -> frozenset[str]:
        """Step, kind and why of each harm in any course."""
        return frozenset().union(*(course.harms for course in self.courses))

    def likely(self, weak: Weakened) -> list[Course]:
        """The courses in which it may show, the likeliest first, technicians mixed."""
        mixed = list(self.courses)
        random.Random(weak.name).shuffle(mixed)
        pairs = {(gate, step) for gate in weak.gates for step in weak.steps}

        def fits(course: Course) -> tuple[bool, ...]:
            told, met = bool(weak.fields & course.fields), bool(weak.steps & course.steps)
            shut = bool(pairs & course.behind)
            return shut and (told or not weak.fields), told and met, told, met

        return [each for each in sorted(mixed, key=fits, reverse=True) if any(fits(each))]


def course(technician: str, seed: int, kind: str = "") -> Course:
    """The course of a job of a ``kind`` on the rules as they are."""
    engine = _Kept()
    played = job_of((technician, seed, kind), engine)
    answered = frozenset(page["answer"]["field"] for page in played.pages)
    made = Course(
        technician, seed, frozenset(played.steps), frozenset(), answered, harms_of(played),
        digest_of(played), json.dumps(engine.events), kind=kind,
    )  # fmt: skip
    stood = _stood(made)
    behind = frozenset((gate, step) for step, gate in stood if gate)
    steps = made.steps | {step for _, step in behind}
    return replace(made, steps=steps, behind=behind, stood=json.dumps(stood))


class _Kept(Phone):
    """A phone of which the events are kept."""

    def __init__(self) -> None:
        super().__init__()
        self.events: list[Mapping[str, Any]] = []

    def advance(self, event: Mapping[str, Any]) -> str:
        """Take a stored event; what became of it."""
        self.events.append(event)
        return super().advance(event)


@lru_cache(maxsize=700)
def moments(like: Course) -> list[tuple[Job, Moment]]:
    """The job before each of its events."""
    rules, job, found = load(), EMPTY, []
    for event in json.loads(like.events):
        found.append((job, read_moment(event)))
        job = advance(rules, job, event)
    return found


def _stood(like: Course) -> list[tuple[str, str]]:
    """The step and the shut gate at each of these moments by the rules as they are; "" for none."""
    rules, found = load(), []
    for job, now in moments(like):
        here = position(rules, job, now)
        found.append((here.step.id if here.step else "", here.gate.id if here.gate else ""))
    return found


def job_of(who: tuple[str, int, str], engine: Phone, directed: Directed | None = None) -> Played:
    """One job. Raises ``TimeoutError`` after ``LONGEST`` of its own time."""
    technician, seed, kind = who

    def before(player: Player) -> bool:
        if not player.eyes.wished:
            player.eyes.wished = {key: list(each) for key, each in KINDS[kind].wishes.items()}
        return directed is not None and directed(player)

    def late(number: int, frame: FrameType | None) -> None:
        raise TimeoutError

    handler = signal.signal(signal.SIGVTALRM, late)
    signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST)
    try:
        return play(world_of(kind, seed), technician, seed, engine, before=before)
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, handler)


def harms_of(played: Played) -> frozenset[str]:
    return frozenset(
        f"{hurt.step}: {hurt.harm.kind}, {hurt.harm.why}"
        for hurt in played.harms
        if hurt.untrue is None
    )


def words_of(harm: str) -> str:
    """A harm without its step."""
    return harm.partition(": ")[2]


def digest_of(played: Played) -> str:
    """The course of a job, but for the name of its rules."""
    told = [
        (page["step"], page["answer"]["field"], page["answer"]["typed"])
        for page in played.pages
        if page["answer"]["kind"] != "opened"
    ]
    return hashlib.blake2b(repr(told).encode(), digest_size=16).hexdigest()
