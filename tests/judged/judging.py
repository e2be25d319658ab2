"""Weakened rules, played by technicians who tick nothing untrue, until the world says who is hurt.

Jobs are played on the rules as they are first. A weakening is played on the same cars where, at a
moment of such a job, it opens or shuts what the rules as they are do not. What those do to anybody
in any job is no sign, nor is a job that shows an error or that never ends.
"""

from __future__ import annotations

import json
import random
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Final

from tests.judged.courses import Course, Unweakened, digest_of, harms_of, job_of, moments, words_of
from tests.judged.directed import Directed
from tests.judged.implied import implied, never_shut
from tests.judged.kinds import KINDS
from tests.judged.weakened import SEEN_BY_THE_WORLD, STOPS, Weakened
from tests.proof.never_broken import never_broken
from tests.proof.slices import slices
from tests.proof.slicing import prove
from tests.proof.walk import walk
from weeptrace.door.phone import Phone
from weeptrace.job.events import Moment
from weeptrace.job.procedure import gate_state
from weeptrace.job.state import EMPTY, Job
from weeptrace.rules import Rules, Step, load

LOOKED: Final = 150  # courses in which a weakening is looked for
JOBS: Final = 16  # that it is played for at most
SHORT: Final = 30_000  # signs of the events of a job by which one is longer than another
REPAIRS: Final = ("radiator_with_cooler",)  # of the plain course, the one with the most steps
BROKEN: Final = (ArithmeticError, LookupError, TypeError, ValueError, AttributeError, TimeoutError)


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
                played = job_of(like.who, Phone(rules))
            except BROKEN:
                judged.broken += 1
                continue
            judged.other += digest_of(played) != like.digest
            if found := sorted(harms_of(played) - base.harms):
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
        one = random.Random(f"{weak.name}:{number}").choice(sorted(lost.keys() & like.steps))
        where = {one: lost[one]} if number % 2 else lost  # every second time at one step alone
        used = [Directed(where, like.seed, leaves=bool(number // 2 % 2))]
        for directed in [None, *used] if pairs & like.behind else used:
            judged.jobs += directed is None
            try:
                played = job_of(like.who, Phone(rules), directed)
            except BROKEN:
                judged.broken += 1
                continue
            judged.other += digest_of(played) != like.digest
            found = harms_of(played) - base.harms
            if found and directed is not None:  # what the rules as they are let be done as well
                same = job_of(like.who, Phone(), replace(directed, done=[], left=False, returned=0))
                told = {words_of(each) for each in harms_of(same)}
                found = frozenset(each for each in found if words_of(each) not in told)
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
            job, now = moments(like)[number]
            if _shut(rules, job, now, steps[step]) != gate:
                return True
    return False


def _shut(rules: Rules, job: Job, now: Moment, step: Step) -> str:
    """The first shut gate before a step, or none."""
    gates = (rules.gates[id] for id in step.gates)
    shut = (gate for gate in gates if gate_state(rules, job, gate, now).open is not True)
    return next((gate.id for gate in shut), "")


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
