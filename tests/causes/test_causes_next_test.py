"""The next best test: what it gains, what it respects, when it stops."""

from __future__ import annotations

import pytest

from tests.causes.support import CASES, KNOWLEDGE, LIMITS, observations, ranked, spoken, told
from weeptrace.causes import Observation, next_test, rank
from weeptrace.causes.likelihood import layout
from weeptrace.causes.observe import evidence
from weeptrace.causes.posterior import posterior
from weeptrace.causes.predict import Predictor


def proposed(*answers: Observation, tools: set[str] | None = None, closed: tuple[str, ...] = ()):  # type: ignore[no-untyped-def]
    features = ["drain_plug", "oil_cooler", "egr_cooler", "atf_cooler_in_radiator", "wet_intake"]
    return rank(KNOWLEDGE, features, answers, LIMITS, tools=tools, closed=closed)


@pytest.mark.parametrize("case", CASES[:4], ids=[case["id"] for case in CASES[:4]])
def test_predicted_answers_are_chances_and_no_gain_is_negative(case: dict) -> None:  # type: ignore[type-arg]
    known = evidence(KNOWLEDGE, case["vehicle"]["features"], observations(case))
    terms = layout(KNOWLEDGE, known, LIMITS["causes.attention"])
    predictor = Predictor(KNOWLEDGE, terms, posterior(terms, known.odds).sets)
    for finding in KNOWLEDGE.findings.values():
        if finding.kind in ("sign", "places"):
            names, columns = predictor.answers(finding.id)
            assert len(columns) == len(names)
            for row in zip(*columns, strict=True):
                assert sum(row) == pytest.approx(1.0)
                assert min(row) >= 0.0
    tests = next_test.allowed(KNOWLEDGE, known, case["vehicle"]["features"], None, ())
    for each in next_test.value(KNOWLEDGE, known, predictor, tests, LIMITS):
        assert each.gain >= -1e-9


def test_the_gain_is_the_risk_now_less_the_mean_risk_after() -> None:
    """By asking the engine itself again after each answer of a finding without misreading ties."""
    base = told(overflow_behaviour="pushes_out_hot", level_trend="falls_only_with_hot_trips")
    known = evidence(KNOWLEDGE, [], base)
    terms = layout(KNOWLEDGE, known, LIMITS["causes.attention"])
    now = posterior(terms, known.odds)
    predictor = Predictor(KNOWLEDGE, terms, now.sets)
    gains = {
        each.test: each
        for each in next_test.value(
            KNOWLEDGE, known, predictor, {"cap_test": KNOWLEDGE.tests["cap_test"]}, LIMITS
        )
    }

    def risk(chances) -> float:  # type: ignore[no-untyped-def]
        missed = LIMITS["causes.missed"]
        return sum(
            4.0
            * KNOWLEDGE.causes[c].wrong
            * missed
            / (KNOWLEDGE.causes[c].wrong + missed)
            * p
            * (1 - p)
            for c, p in chances.items()
        )

    after = 0.0
    weighed = 0.0
    for value in KNOWLEDGE.findings["cap_test"].values:
        told_ = evidence(KNOWLEDGE, [], [*base, Observation("cap_test", value)])
        then = posterior(layout(KNOWLEDGE, told_, LIMITS["causes.attention"]), told_.odds)
        after += then.total * risk(then.causes)
        weighed += then.total
    assert weighed == pytest.approx(now.total, rel=0.01)
    wanted = risk(now.causes) - after / weighed
    # `cap_test` asks for the seat too, which can only add; sets beyond the likeliest are left out.
    assert gains["cap_test"].gain == pytest.approx(wanted, rel=0.3)


def test_mixed_oil_stops_every_test_that_runs_the_engine() -> None:
    for answer in (
        Observation("engine_oil_look", "milky"),
        Observation("coolant_look", "pink_emulsion"),
        Observation("borescope", "wet_one"),
    ):
        for each in proposed(answer).next_tests:
            assert not KNOWLEDGE.tests[each.test].needs, each.test


def test_nothing_is_proposed_that_needs_a_tool_not_at_hand_or_a_gate_that_is_closed() -> None:
    tools = {"lamp", "mirror", "paper"}
    for each in proposed(tools=tools, closed=("cold",)).next_tests:
        test = KNOWLEDGE.tests[each.test]
        assert test.tools <= tools
        assert "cold" not in test.gates


def test_a_test_can_be_done_with_just_the_tools_that_it_needs() -> None:
    every = {each.test for each in proposed(tools=None).next_tests}
    at_hand = {tool for test in KNOWLEDGE.tests.values() for tool in test.tools}
    assert {each.test for each in proposed(tools=at_hand).next_tests} == every
    for name in every:
        needs = set(KNOWLEDGE.tests[name].tools)
        assert name in {each.test for each in proposed(tools=needs).next_tests}, name


def test_no_part_comes_off_while_a_look_decides() -> None:
    found = proposed(Observation("exhaust_white", "persistent_sweet"))
    kinds = [KNOWLEDGE.tests[each.test].teardown for each in found.next_tests]
    assert True not in kinds[:2]
    assert not any(
        KNOWLEDGE.tests[each.test].teardown for each in found.next_tests if each.role == "decide"
    )


def test_one_begins_with_cheap_looks() -> None:
    first = proposed().next_tests[0]
    assert first.time <= 10 * 60
    assert first.gain > first.cost


def test_it_stops_and_says_so_when_nothing_is_worth_its_cost() -> None:
    case = next(case for case in CASES if case["id"] == "P12")
    plan = ranked(case).plan
    assert plan.enough
    assert "costs" in spoken(plan.why)
    assert {each.role for each in plan.proposals} <= {"prove", "second_leak", "close"}


def test_while_a_test_is_worth_its_cost_it_does_not_stop() -> None:
    plan = proposed().plan
    assert not plan.enough
    assert plan.why is None


def test_an_answer_that_would_change_the_leader_is_told() -> None:
    found = proposed(Observation("wet_ground_zone", "below_pump_end"))
    turns = [each.turn for each in found.next_tests if each.turn is not None]
    assert turns
    for turn in turns:
        assert turn.leader != found.causes[0].id
        assert 0.0 < turn.chance < 1.0
