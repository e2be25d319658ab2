"""Weakened rules, played by technicians who tick nothing untrue, until the world says who is hurt.

Jobs are played on the rules as they are first. A weakening is played on the same cars where, at a
moment of such a job, it opens or shuts what the rules as they are do not. What those do to anybody
in any job is no sign, nor is a job that shows an error or that never ends.
"""

from __future__ import annotations

import hashlib
import json
import random
import signal
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, lru_cache
from types import FrameType
from typing import Any, Final

from tests.judged.directed import Directed
from tests.judged.implied import implied, never_shut
from tests.judged.kinds import KINDS, world_of
from tests.judged.weakened import SEEN_BY_THE_WORLD, STOPS, Weakened
from tests.proof.never_broken import never_broken
from tests.proof.slices import slices
from tests.proof.slicing import prove
from tests.proof.walk import walk
from weeptrace.door.phone import Phone
from weeptrace.job.advance import advance
from weeptrace.job.events import Moment, read_moment
from weeptrace.job.procedure import gate_state, position
from weeptrace.job.state import EMPTY, Job
from weeptrace.practice.world.play import play
from weeptrace.practice.world.player import Played, Player
from weeptrace.rules import Rules, Step, load

TRUE: Final = ("obedient", "hurried", "confused", "interrupted")
SEEDS: Final = 150  # of each technician, that are played unweakened
OF_A_KIND: Final = [(who, seed) for who in ("obedient", "hurried") for seed in range(3)]
LOOKED: Final = 150  # courses in which a weakening is looked for
JOBS: Final = 16  # that it is played for at most
SHORT: Final = 30_000  # signs of the events of a job by which one is longer than another
LONGEST: Final = 30.0  # s of one job, of the processor
REPAIRS: Final = ("radiator_with_cooler",)  # of the plain course, the one with the most steps
BROKEN: Final = (ArithmeticError, LookupError, TypeError, ValueError, AttributeError, TimeoutError)


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
class Judged:
    """What became of a weakening. ``changes``: whether anything that decides danger differs.

    ``refused``: the compiler's first fault; ``searched``: the search's first; ``hurt``: the harm,
    with who and seed. ``met``: courses in which it was looked for; ``jobs``: that were played;
    ``other``: of all jobs, that went another way. ``directed``: jobs in which somebody used the car
    before a step that lost a gate; ``deeds``: what was done there, and how often.
    """

    name: str
    group: str
    changes: bool = True
    refused: str = ""
    searched: str = ""
    hurt: str = ""
    met: int = 0
    jobs: int = 0
    other: int = 0
    broken: int = 0
    directed: int = 0
    deeds: dict[str, int] = field(default_factory=dict)


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
    played = _play((technician, seed, kind), engine)
    answered = frozenset(page["answer"]["field"] for page in played.pages)
    made = Course(
        technician, seed, frozenset(played.steps), frozenset(), answered, _harms(played),
        _digest(played), json.dumps(engine.events), kind=kind,
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


def judge(weak: Weakened, base: Unweakened, *, jobs: int = JOBS, search: bool = True) -> Judged:
    """Who sees a weakening: the compiler, the search, the world, each asked by itself."""
    judged = Judged(weak.name, weak.group)
    rules = load()
    if weak.mutant is not None:
        try:
            rules, judged.refused = weak.mutant.anyway()
        except BROKEN as problem:
            judged.refused = f"does not compile: {problem!r}"
            return judged
        judged.changes = _deciding(rules) != _deciding(load()) and (
            weak.group not in SEEN_BY_THE_WORLD or bool(_lost(rules))
        )
    if not judged.changes:
        return judged
    if not weak.code:
        _directed(judged, rules, weak, base, jobs)
    with _without(weak.code):
        for like in [] if judged.hurt else base.likely(weak)[:LOOKED]:
            judged.met += 1
            if weak.steps and not weak.code and not _opens_otherwise(like, rules, weak):
                continue
            judged.jobs += 1
            try:
                played = _play(like.who, Phone(rules))
            except BROKEN:
                judged.broken += 1
                continue
            judged.other += _digest(played) != like.digest
            if found := sorted(_harms(played) - base.harms):
                judged.hurt = f"{like.named}: {found[0]}"
                break
            if judged.jobs >= jobs:
                break
        if search:
            judged.searched = _searched(rules, weak)
    return judged


def _directed(judged: Judged, rules: Rules, weak: Weakened, base: Unweakened, jobs: int) -> None:
    """Jobs in which somebody uses the car before a step that lost a gate, or its condition."""
    lost = _lost(rules)
    fit = [each for each in base.courses if lost.keys() & each.steps]
    random.Random(weak.name).shuffle(fit)
    pairs = {(gate, step) for step, gates in lost.items() for gate in gates}
    gates = frozenset[str]().union(*lost.values())
    fit.sort(key=lambda each: (
        not pairs & each.behind, not KINDS[each.kind].gates & gates, len(each.events) // SHORT
    ))  # fmt: skip
    deeds = Counter[str]()
    for number, like in enumerate(fit[: jobs + 1]):
        used = [Directed(lost, like.seed, leaves=bool(number % 2))]
        for directed in [None, *used] if pairs & like.behind else used:
            try:
                played = _play(like.who, Phone(rules), directed)
            except BROKEN:
                judged.broken += 1
                continue
            judged.other += _digest(played) != like.digest
            found = _harms(played) - base.harms
            if found and directed is not None:  # what the rules as they are let be done as well
                same = _play(like.who, Phone(), replace(directed, done=[], left=False))
                told = {_words(each) for each in _harms(same)}
                found = frozenset(each for each in found if _words(each) not in told)
            if found:
                judged.hurt = f"{like.named}: {min(found)}"
                break
        deeds.update(f"{name} at {step}" for name, step in used[0].done)
        judged.directed += bool(used[0].done)
        if judged.hurt or judged.directed >= jobs:
            break
    judged.deeds = dict(deeds)


def _lost(rules: Rules) -> dict[str, frozenset[str]]:
    """The gates that a step of the rules as they are has lost, or that open otherwise there.

    Not those that never matter there, for its other gates or for the steps before it.
    """
    own, found = load(), {}
    steps = {step.id: step.gates for step in rules.procedures[EMPTY.procedure].steps}
    for step in own.procedures[EMPTY.procedure].steps:
        left = [rules.gates[gate] for gate in steps[step.id]]
        gone = {
            gate
            for gate in step.gates
            if (gate not in steps[step.id] or rules.gates[gate].opens != own.gates[gate].opens)
            and not implied(own, own.gates[gate], left)
            and not never_shut(own, own.gates[gate], left, step)
        }
        if gone:
            found[step.id] = frozenset(gone)
    return found


def _opens_otherwise(like: Course, rules: Rules, weak: Weakened) -> bool:
    """Whether other rules shut other gates, at a moment of a course when it stands at its steps."""
    steps = {step.id: step for step in rules.procedures[EMPTY.procedure].steps}
    for number, (step, gate) in enumerate(json.loads(like.stood)):
        if step in weak.steps and step in steps:
            job, now = _moments(like)[number]
            if _shut(rules, job, now, steps[step]) != gate:
                return True
    return False


def _shut(rules: Rules, job: Job, now: Moment, step: Step) -> str:
    """The first shut gate before a step, or none."""
    gates = (rules.gates[id] for id in step.gates)
    shut = (gate for gate in gates if gate_state(rules, job, gate, now).open is not True)
    return next((gate.id for gate in shut), "")


@lru_cache(maxsize=700)
def _moments(like: Course) -> list[tuple[Job, Moment]]:
    """The job before each of its events."""
    rules, job, found = load(), EMPTY, []
    for event in json.loads(like.events):
        found.append((job, read_moment(event)))
        job = advance(rules, job, event)
    return found


def _stood(like: Course) -> list[tuple[str, str]]:
    """The step and the shut gate at each of these moments by the rules as they are; "" for none."""
    rules, found = load(), []
    for job, now in _moments(like):
        here = position(rules, job, now)
        found.append((here.step.id if here.step else "", here.gate.id if here.gate else ""))
    return found


def _play(who: tuple[str, int, str], engine: Phone, directed: Directed | None = None) -> Played:
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


def _harms(played: Played) -> frozenset[str]:
    return frozenset(
        f"{hurt.step}: {hurt.harm.kind}, {hurt.harm.why}"
        for hurt in played.harms
        if hurt.untrue is None
    )


def _words(harm: str) -> str:
    """A harm without its step."""
    return harm.partition(": ")[2]


def _digest(played: Played) -> str:
    """The course of a job, but for the name of its rules."""
    told = [
        (page["step"], page["answer"]["field"], page["answer"]["typed"])
        for page in played.pages
        if page["answer"]["kind"] != "opened"
    ]
    return hashlib.blake2b(repr(told).encode(), digest_size=16).hexdigest()


def _deciding(rules: Rules) -> tuple[Any, ...]:
    """All of the rules that decides danger: gates of steps, conditions, state, limits, ratings."""
    return (
        [(step.id, step.gates, step.when, step.done)
         for procedure in rules.procedures.values() for step in procedure.steps],
        {id: (gate.evidence, list(gate.opens), gate.stale_on) for id, gate in rules.gates.items()},
        rules.state,
        rules.limits,
        [field.rated for field in rules.fields.values()],
    )  # fmt: skip


@contextmanager
def _without(code: str) -> Iterator[None]:
    """Nothing in place of a function of ``STOPS``, wherever it was imported."""
    if not code:
        yield
        return
    module, name, nothing = STOPS[code]
    own = getattr(sys.modules[module], name)

    def instead(*given: Any) -> Any:
        return nothing

    modules = [vars(each) for id, each in sys.modules.items() if id.startswith("weeptrace")]
    tables = [each for module in modules for each in module.values() if type(each) is dict]
    held = [(table, key) for table in (*modules, *tables) for key in table if table[key] is own]
    for table, key in held:
        table[key] = instead
    try:
        yield
    finally:
        for table, key in held:
            table[key] = own


def _searched(rules: Rules, weak: Weakened) -> str:
    """What the search says of rules that is not so of those as they are."""
    told = never_broken(rules)
    if told and told != never_broken(load()):
        return f"table: {told}"
    first = "order" if weak.mutant is None else weak.mutant.first
    pieces = slices(rules, set(weak.steps)) if weak.steps else ()
    for piece in sorted(pieces, key=lambda each: (each.kind != first, each.clock)):
        broken = prove(piece, first=True).broken
        if broken and not _known(piece.name, frozenset(weak.steps)):
            return f"slices: {piece.name}: {broken[0]}"
    if (broken := walk(rules, 0, first=True, repairs=REPAIRS).broken) and not _walked():
        return f"walk: {broken[0]}"
    return ""


@cache
def _known(name: str, steps: frozenset[str]) -> bool:
    """Whether a slice of the rules as they are is broken."""
    own = [piece for piece in slices(load(), set(steps)) if piece.name == name]
    return any(prove(piece, first=True).broken for piece in own)


@cache
def _walked() -> bool:
    return bool(walk(load(), 0, first=True, repairs=REPAIRS).broken)


def counted(judged: list[Judged], listed: dict[str, str]) -> dict[str, Any]:
    """The figures of some weakenings of one group; ``listed``: equivalent, with the reason."""
    real = [each for each in judged if each.changes and each.name not in listed]
    by = Counter[str]()
    for each in real:
        by["refused"] += bool(each.refused)
        by["searched"] += bool(each.searched)
        by["hurt"] += bool(each.hurt)
        by["by_any"] += bool(each.refused or each.searched or each.hurt)
    left = [each for each in real if not each.hurt]
    met = [each for each in real if each.jobs or each.directed]
    return {
        "made": len(judged),
        "same_gates_follow": sum(not each.changes for each in judged),
        "equivalent": sum(each.name in listed for each in judged),
        "change_something": len(real),
        "refused_by_the_compiler": by["refused"],
        "seen_by_the_search": by["searched"],
        "seen_by_the_world": by["hurt"],
        "seen_by_any": by["by_any"],
        "share_of_the_world": round(by["hurt"] / len(real), 3) if real else None,
        "share_of_those_that_a_job_met": round(by["hurt"] / len(met), 3) if met else None,
        "met_by_no_job": sum(not each.jobs and not each.directed for each in left),
        "seen_by_none": sorted(
            each.name for each in left if not each.refused and not each.searched
        ),
        "not_by_the_world": {
            each.name: f"met by {each.jobs} of {each.met} jobs, {each.other} went another way; "
            f"somebody used the car in {each.directed}"
            for each in left
        },
        "listed_yet_seen": sorted(
            each.name for each in judged if each.hurt and each.name in listed
        ),
    }
