"""Which test buys the most certainty for what it costs.

    risk(p) = sum over causes of 4 m p (1 - p),   m = wrong * missed / (wrong + missed)
    gain    = risk now - expected risk after the test
    cost    = its time + consumables + its own risk + waiting + a second visit

``wrong`` is the work lost where a sound part is replaced, ``missed`` where a fault is left in and
the car comes back; ``m`` is the expected loss of the better decision where one is least sure, and
``4 p (1 - p)`` is how unsure one is, 1 at the most. All in s of work. A test is worth doing while
its gain is above its cost; the best is the one that gains most for what it costs.

Source: Raiffa and Schlaifer, "Applied Statistical Decision Theory", 1961 (expected value of sample
information); the risk is this project's choice.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from weeptrace.causes.knowledge import Knowledge, Test
from weeptrace.causes.observe import Evidence
from weeptrace.causes.predict import Answers, Predictor


@dataclass(frozen=True)
class Turn:
    """An answer that would put another cause in the lead, and how likely that answer is."""

    finding: str
    value: str
    chance: float
    leader: str


@dataclass(frozen=True)
class Valued:
    """A test with what it promises and what it costs, s of work."""

    test: str
    gain: float
    cost: float
    asks: tuple[str, ...]
    turn: Turn | None

    @property
    def worth(self) -> bool:
        """Whether it gains more than it costs."""
        return self.gain > self.cost


def cost(test: Test, limits: Mapping[str, float]) -> float:
    """What a test costs, all counted, s of work."""
    return (
        test.time
        + test.worth
        + test.risk
        + limits["causes.waiting"] * test.waits
        + (limits["causes.visit"] if test.visit else 0.0)
    )


def allowed(
    knowledge: Knowledge,
    evidence: Evidence,
    features: Collection[str],
    tools: Collection[str] | None,
    closed: Collection[str],
) -> dict[str, Test]:
    """The tests that can be done on this car, now, with these tools, without harm."""
    stopped = {
        what
        for block in knowledge.blocks
        if any(evidence.said(finding, value) for finding, value in block["when"])
        for what in block["stops"]
    }
    return {
        id: test
        for id, test in knowledge.tests.items()
        if not test.interview
        and (test.fitted is None or test.fitted in features)
        and (tools is None or test.tools <= set(tools))
        and not set(closed) & set(test.gates)
        and not stopped & test.needs
    }


def value(
    knowledge: Knowledge,
    evidence: Evidence,
    predictor: Predictor,
    tests: Mapping[str, Test],
    limits: Mapping[str, float],
) -> list[Valued]:
    """Every test that still has something to ask, the best for its cost first."""
    gains = _Gains(knowledge, predictor, limits["causes.missed"])
    made: dict[str, tuple[float, Answers]] = {}
    out: list[Valued] = []
    for test in tests.values():
        asks = [id for id in test.gives if _open(knowledge, evidence, id)]
        for id in asks:
            if id not in made:
                answers = predictor.answers(id)
                made[id] = (gains.gain(answers), answers)
        if not asks:
            continue
        asks.sort(key=lambda id: (-made[id][0], id))
        best = asks[0]
        gain = made[best][0]
        for other in asks[1:]:
            if not _one_state(knowledge, best, other):
                gain = max(gain, gains.gain(_joint(made[best][1], made[other][1])))
                break
        out.append(
            Valued(test.id, gain, cost(test, limits), tuple(asks), gains.turn(best, made[best][1]))
        )
    out.sort(key=lambda each: (-each.gain / each.cost, each.test))
    return out


def _open(knowledge: Knowledge, evidence: Evidence, id: str) -> bool:
    return knowledge.findings[id].kind in ("sign", "places") and id not in evidence.answers


def _one_state(knowledge: Knowledge, one: str, other: str) -> bool:
    """Whether two findings can show one state: then the second is no second sign."""
    a, b = knowledge.findings[one], knowledge.findings[other]
    return bool(
        ({a.state} | set(a.places.values())) & ({b.state} | set(b.places.values())) - {None}
    )


def _joint(one: Answers, other: Answers) -> Answers:
    """Two findings that are independent given the causes."""
    names = tuple(f"{a}+{b}" for a in one[0] for b in other[0])
    rows = [
        tuple([a * b for a in left for b in right])
        for left, right in zip(one[1], other[1], strict=True)
    ]
    return names, rows


class _Gains:
    """Expected fall of risk, over the likeliest sets of causes."""

    def __init__(self, knowledge: Knowledge, predictor: Predictor, missed: float) -> None:
        self.order = sorted({cause for each in predictor.sets for cause in each.causes})
        index = {cause: n for n, cause in enumerate(self.order)}
        self.members = [[index[cause] for cause in each.causes] for each in predictor.sets]
        self.weights = predictor.weights
        wrong = [knowledge.causes[cause].wrong for cause in self.order]
        self.stakes = [4.0 * each * missed / (each + missed) for each in wrong]
        self.now = [0.0] * len(self.order)
        for weight, members in zip(self.weights, self.members, strict=True):
            for cause in members:
                self.now[cause] += weight
        self.leader = max(range(len(self.order)), key=lambda cause: self.now[cause])

    def _shares(self, answers: Answers) -> tuple[list[float], list[list[float]]]:
        """Chance of each answer, and jointly with each cause."""
        size = len(answers[0])
        total = [0.0] * size
        joint = [[0.0] * size for _ in self.order]
        for weight, members, row in zip(self.weights, self.members, answers[1], strict=True):
            shares = [weight * chance for chance in row]
            total = [a + b for a, b in zip(total, shares, strict=True)]
            for cause in members:
                joint[cause] = [a + b for a, b in zip(joint[cause], shares, strict=True)]
        return total, joint

    def gain(self, answers: Answers) -> float:
        """sum over causes of 4 m (sum over answers of P(c, answer)^2 / P(answer) - P(c)^2)."""
        total, joint = self._shares(answers)
        gained = 0.0
        for stake, now, row in zip(self.stakes, self.now, joint, strict=True):
            after = sum([a * a / b for a, b in zip(row, total, strict=True)])
            gained += stake * (after - now * now)
        return gained

    def turn(self, finding: str, answers: Answers) -> Turn | None:
        """The likeliest answer that puts another cause in the lead."""
        total, joint = self._shares(answers)
        best: Turn | None = None
        for n, name in enumerate(answers[0]):
            most = max(row[n] for row in joint)
            leader = next(cause for cause, row in enumerate(joint) if row[n] == most)
            if leader != self.leader and (best is None or total[n] > best.chance):
                best = Turn(finding, name, total[n], self.order[leader])
        return best
