"""Which test buys the most certainty for what it costs.

    risk(p) = sum over causes of 4 m p (1 - p),   m = wrong * missed / (wrong + missed)
    gain    = risk now - expected risk after the test
    cost    = its time + what it uses up + its own risk + waiting + a second visit

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

from weeptrace.causes.knowledge import Check, Knowledge
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
    """A test with what it promises and what it costs, s of work.

    ``speaks``: the most that one of its questions gains on the leading cause alone.
    """

    test: str
    gain: float
    cost: float
    asks: tuple[str, ...]
    turn: Turn | None
    speaks: float = 0.0

    @property
    def worth(self) -> bool:
        """Whether it gains more than it costs."""
        return self.gain > self.cost


def cost(test: Check, limits: Mapping[str, float]) -> float:
    """What a test costs, all counted, s of work.

    ``time + worth + risk + waiting + visit`` of the ``test``; what an hour of waiting and a
    second visit count for is in ``limits``. Valid for any test. No error is raised. Source: own
    choice.

    >>> from weeptrace.causes import from_bundle
    >>> from weeptrace.rules import limits, load
    >>> tests = from_bundle(load().causes, limits()).tests.values()
    >>> all(cost(test, limits()) >= test.time for test in tests)
    True
    """
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
) -> dict[str, Check]:
    """The tests that can be done on this car, now, with these tools, without harm."""
    stopped = {what for block in knowledge.in_force(evidence.said) for what in block["stops"]}
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
    tests: Mapping[str, Check],
    limits: Mapping[str, float],
) -> list[Valued]:
    """Every test that still has something to ask, the best for its cost first."""
    gains = _Gains(knowledge, predictor, limits["causes.missed"])
    made: dict[str, Answers] = {}
    worth: dict[str, float] = {}
    turns: dict[str, Turn | None] = {}
    speaks: dict[str, float] = {}
    out: list[Valued] = []
    for test in tests.values():
        asks = [id for id in test.gives if _open(knowledge, evidence, id)]
        for id in asks:
            if id not in made:
                made[id] = predictor.answers(id)
                worth[id], turns[id], speaks[id] = gains.gain(id, made[id])
        if not asks:
            continue
        asks.sort(key=lambda id: (-worth[id], id))
        best = asks[0]
        gain = worth[best]
        price = cost(test, limits)
        for other in asks[1:]:
            if gain + worth[other] < price / 2.0:
                break  # far from worth it: what a second finding adds does not matter
            if not _one_state(knowledge, best, other):
                both = _joint(made[best], made[other])
                gain = max(gain, gains.gain("", both)[0])
                break
        most = max(speaks[id] for id in asks)
        out.append(Valued(test.id, gain, price, tuple(asks), turns[best], most))
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
    return (), [
        [a * b for a, b in zip(left, right, strict=True)] for left in one[1] for right in other[1]
    ]


class _Gains:
    """Expected fall of risk, over the likeliest sets of causes."""

    def __init__(self, knowledge: Knowledge, predictor: Predictor, missed: float) -> None:
        self.order = sorted({cause for each in predictor.sets for cause in each.causes})
        self.holders = [
            [n for n, each in enumerate(predictor.sets) if cause in each.causes]
            for cause in self.order
        ]
        self.weights = predictor.weights
        wrong = [knowledge.causes[cause].wrong for cause in self.order]
        self.stakes = [4.0 * each * missed / (each + missed) for each in wrong]
        now = [sum([self.weights[n] for n in those]) for those in self.holders]
        self.sure = sum([stake * p * p for stake, p in zip(self.stakes, now, strict=True)])
        self.leader = now.index(max(now))
        self.leading = now[self.leader]

    def gain(self, finding: str, answers: Answers) -> tuple[float, Turn | None, float]:
        """Expected fall of risk, the likeliest answer that puts another cause in the lead, and the
        fall of the leading cause's own risk.

        gain = sum over causes of 4 m (sum over answers of P(c, answer)^2 / P(answer) - P(c)^2)
        """
        sure = own = 0.0
        turn: Turn | None = None
        for n, column in enumerate(answers[1]):
            shares = [a * b for a, b in zip(self.weights, column, strict=True)]
            total = sum(shares)
            joint = [sum([shares[k] for k in those]) for those in self.holders]
            sure += sum([m * p * p for m, p in zip(self.stakes, joint, strict=True)]) / total
            own += joint[self.leader] ** 2 / total
            leader = joint.index(max(joint))
            if finding and leader != self.leader and (turn is None or total > turn.chance):
                turn = Turn(finding, answers[0][n], total, self.order[leader])
        return sure - self.sure, turn, self.stakes[self.leader] * (own - self.leading**2)
