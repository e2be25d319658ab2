"""What is looked for whatever it gains, since something is at stake.

What was seen makes a test due: an overheat that of combustion gas, a part that burst again that of
what overloads it. And before a dear repair its proof comes, or what clears it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from weeptrace.causes.knowledge import Check, Knowledge
from weeptrace.causes.next_test import Valued
from weeptrace.causes.observe import Evidence
from weeptrace.told import Sentence


def due(
    knowledge: Knowledge, evidence: Evidence, chances: Mapping[str, float]
) -> Iterator[tuple[str, Mapping[str, object], Sentence]]:
    """What is due by what was answered, and why, in the rules' order: id, entry, reason."""
    first = sorted(chances, key=lambda cause: (-chances[cause], cause))[:3]
    for id, entry in knowledge.dues.items():
        seen = any(evidence.said(finding, value) for finding, value in entry["when"])
        beside = "beside" not in entry or entry["beside"] in first
        given = any(finding in evidence.answers for finding in entry["until"])
        if seen and beside and not given:
            why = knowledge.why(f"due.{id}")
            assert why is not None
            yield id, entry, why


def tests_due(
    knowledge: Knowledge,
    evidence: Evidence,
    chances: Mapping[str, float],
    valued: Sequence[Valued],
) -> dict[str, Sentence]:
    """The tests that are due and can be done, each with its reason."""
    can = {each.test for each in valued}
    out: dict[str, Sentence] = {}
    for _, entry, why in due(knowledge, evidence, chances):
        tests = entry["tests"]
        assert isinstance(tests, list)
        test = next((id for id in tests if id in can), None)
        if test is not None:
            out.setdefault(test, why)
    return out


def is_dear(
    knowledge: Knowledge, cause: str, chances: Mapping[str, float], limits: Mapping[str, float]
) -> bool:
    """Whether a leading cause may be repaired next, at a high price if it is wrong."""
    wrong = knowledge.causes[cause].wrong
    return wrong >= limits["causes.dear"] and chances[cause] >= limits["causes.at_stake"]


def clearing(
    valued: Sequence[Valued], tests: Mapping[str, Check], due: Collection[str]
) -> str | None:
    """The test that speaks most on the leading cause and takes no part off.

    None where none does, or one that is ``due`` speaks half as much already.
    """
    looks = [each for each in valued if not tests[each.test].teardown and each.speaks > 0.0]
    best = max(looks, key=lambda each: each.speaks, default=None)
    if best is None or any(e.test in due and e.speaks >= best.speaks / 2.0 for e in looks):
        return None
    return best.test
