"""From the value of tests to what is proposed, in order, and when to stop.

Tests that decide come while they gain more than they cost. Ranking is no proof: the leading cause's
proof, a look for a second leak, and the level watch are proposed whatever they promise. What is at
stake (``stake``) stands among the first three.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from weeptrace.causes import stake
from weeptrace.causes.knowledge import Check, Knowledge
from weeptrace.causes.next_test import Turn, Valued
from weeptrace.causes.observe import Evidence
from weeptrace.told import Sentence

Role = Literal["decide", "prove", "second_leak", "close", "due", "clears"]

SECOND_LEAK = "pressure_test_cold"
CLOSING = "level_watch"
_FIRST = 3  # tests that are proposed before all others


@dataclass(frozen=True)
class Proposal:
    """A test to do next: why, what it gains and costs (s of work), and what must be watched."""

    test: str
    role: Role
    why: Sentence
    time: float
    gain: float
    cost: float
    asks: tuple[str, ...]
    hazards: tuple[str, ...]
    gates: tuple[str, ...]
    turn: Turn | None


@dataclass(frozen=True)
class Plan:
    """Proposals in order. ``enough``: no test decides more than it costs; ``why`` says so, and
    is None as long as one does.
    """

    proposals: tuple[Proposal, ...]
    enough: bool
    why: Sentence | None


def proven(
    knowledge: Knowledge,
    evidence: Evidence,
    cause: str,
    chances: Mapping[str, float],
    limits: Mapping[str, float],
) -> bool:
    """Whether an answer that proves a cause was given, and the rest does not speak against it."""
    return chances[cause] >= limits["causes.decided"] and any(
        evidence.said(finding, value) for finding, value in knowledge.causes[cause].proven_by
    )


def plan(
    knowledge: Knowledge,
    evidence: Evidence,
    chances: Mapping[str, float],
    valued: Sequence[Valued],
    tests: Mapping[str, Check],
    limits: Mapping[str, float],
) -> Plan:
    """What is proposed, in order, and whether enough is known to stop looking for the cause."""
    leader = max(chances, key=lambda cause: chances[cause])
    by = {each.test: each for each in valued}
    proof = knowledge.causes[leader].proof
    decide = [
        each
        for each in valued
        if each.worth and not _held_back(each, valued, tests, chances[leader], proof, limits)
    ]
    chosen: list[tuple[str, Role]] = [(each.test, "decide") for each in decide]
    if SECOND_LEAK in by and all(id != SECOND_LEAK for id, _ in chosen):
        at = 2 if knowledge.causes[leader].leaks else len(chosen)
        _place(chosen, SECOND_LEAK, "second_leak", at)
    sure = proven(knowledge, evidence, leader, chances, limits)
    due = stake.tests_due(knowledge, evidence, chances, valued)
    musts: dict[str, Role] = dict.fromkeys(due, "due")
    if not sure:
        left = (id for id in proof if id in by and _still_proves(knowledge, evidence, leader, id))
        first = next((id for id in left if _timely(tests[id], chances[leader], limits)), None)
        clears = stake.clearing(valued, tests, due) if first is None else None
        if first is not None:
            _place(chosen, first, "prove", 2 if tests[first].teardown else 0)
        if stake.is_dear(knowledge, leader, chances, limits) and (first or clears):
            musts = {first or str(clears): "prove" if first else "clears", **musts}
    if CLOSING in by:
        _place(chosen, CLOSING, "close", len(chosen))
    chosen = _first_three(chosen, musts)
    return Plan(
        tuple(
            _proposal(knowledge, tests[id], role, leader, by[id], due.get(id))
            for id, role in chosen
        ),
        not decide,
        _stop_words(knowledge, leader, chances[leader], valued, decide, sure),
    )


def _place(chosen: list[tuple[str, Role]], test: str, role: Role, at: int) -> None:
    """Put a test in; one that is proposed already moves forward, and a proof is called one."""
    for index, (id, held) in enumerate(chosen):
        if id == test:
            if index > at or role == "prove":
                chosen.pop(index)
                at, role = min(at, index), role if held == "second_leak" else held
                break
            return
    chosen.insert(min(at, len(chosen)), (test, role))


def _first_three(
    chosen: Sequence[tuple[str, Role]], musts: Mapping[str, Role]
) -> list[tuple[str, Role]]:
    """The order with what must stand among the first three moved up there, as far as there is room.

    What stands there keeps its order; a test that else only decides bears the weightier name.
    """
    roles = dict(chosen)
    for id, role in musts.items():
        if role != "prove" and roles.get(id, "decide") == "decide":
            roles[id] = role
    order = [*(id for id, _ in chosen), *(id for id in musts if id not in dict(chosen))]
    up = list(musts)[:_FIRST]
    up += [id for id in order if id not in up][: _FIRST - len(up)]
    order.sort(key=lambda id: id not in up)
    return [(id, roles[id]) for id in order]


def spent(knowledge: Knowledge, evidence: Evidence, cause: str, test: str) -> bool:
    """Whether all that a test can prove a cause by is answered already."""
    given = [
        finding
        for finding, _ in knowledge.causes[cause].proven_by
        if finding in knowledge.tests[test].gives
    ]
    return bool(given) and all(finding in evidence.answers for finding in given)


def _still_proves(knowledge: Knowledge, evidence: Evidence, cause: str, test: str) -> bool:
    """Whether a proof is worth doing; no part comes off for one that was given already."""
    given = any(evidence.said(*answer) for answer in knowledge.causes[cause].proven_by)
    again = given and knowledge.tests[test].teardown
    return not again and not spent(knowledge, evidence, cause, test)


def _timely(test: Check, leading: float, limits: Mapping[str, float]) -> bool:
    """Whether the leader is likely enough for its proof; more so where parts come off."""
    return leading >= limits["causes.likely" if test.teardown else "causes.suspected"]


def _held_back(
    each: Valued,
    valued: Sequence[Valued],
    tests: Mapping[str, Check],
    leading: float,
    proof: Sequence[str],
    limits: Mapping[str, float],
) -> bool:
    """Whether a test that takes parts off waits: for a cheaper one, or since all is decided."""
    if not tests[each.test].teardown:
        return False
    if leading >= limits["causes.decided"] and each.test not in proof:
        return True
    return any(
        other.gain >= limits["causes.teardown_share"] * each.gain and other.worth
        for other in valued
        if not tests[other.test].teardown
    )


def _proposal(
    knowledge: Knowledge,
    test: Check,
    role: Role,
    leader: str,
    valued: Valued,
    due: Sentence | None,
) -> Proposal:
    return Proposal(
        test.id,
        role,
        due if role == "due" and due is not None else _why(knowledge, role, leader, valued),
        test.time,
        valued.gain,
        valued.cost,
        valued.asks,
        test.hazards,
        test.gates,
        valued.turn,
    )


def _why(knowledge: Knowledge, role: Role, leader: str, valued: Valued) -> Sentence:
    if role == "prove":
        return Sentence("ranked.line.prove", {"cause": _named(leader)})
    if role == "clears":
        return Sentence("ranked.line.clears", {"cause": _named(leader)})
    if role == "second_leak":
        if knowledge.causes[leader].leaks:
            return Sentence("ranked.line.second_leak")
        return Sentence("ranked.line.leak_beside")
    if role == "close":
        return Sentence("ranked.line.level_watch")
    question = Sentence(f"field.find.{valued.asks[0]}")
    if valued.turn is None:
        asked = {"question": question, "cause": _named(leader)}
        return Sentence("ranked.line.settles", asked)
    said = knowledge.said(valued.turn.finding, valued.turn.value)
    turned = {"question": question, "said": said, "cause": _named(valued.turn.leader)}
    return Sentence("ranked.line.turns", turned)


def _named(cause: str) -> Sentence:
    return Sentence(f"cause.{cause}.name")


def _stop_words(
    knowledge: Knowledge,
    leader: str,
    leading: float,
    valued: Sequence[Valued],
    decide: Sequence[Valued],
    sure: bool,
) -> Sentence | None:
    if decide:
        return None
    ends = Sentence("ranked.line.not_proven")
    if sure:
        leaks = knowledge.causes[leader].leaks
        ends = Sentence("ranked.line.proven_second" if leaks else "ranked.line.proven_beside")
    if not valued:
        return Sentence("ranked.line.no_test_left", {"cause": _named(leader), "ends": ends})
    best = max(valued, key=lambda each: each.gain - each.cost)
    return Sentence(
        "ranked.line.not_worth",
        {
            "test": Sentence(f"test.{best.test}"),
            "gain": best.gain / 60.0,
            "cost": best.cost / 60.0,
            "cause": _named(leader),
            "share": 100.0 * leading,
            "ends": ends,
        },
    )
