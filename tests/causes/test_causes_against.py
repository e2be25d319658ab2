"""Which answer speaks against another, by sums over sets; what is spent; what the plan says when it
stops; which test is named for what is left open."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import pytest

from tests.causes import one_by_one
from tests.causes.support import CASES, KNOWLEDGE, LIMITS, ranked, spoken, told
from tests.causes.test_causes_plan import made
from weeptrace.causes import Figure, Observation, Ranking, next_test, rank
from weeptrace.causes.explain import _strength
from weeptrace.causes.fit import misfits
from weeptrace.causes.likelihood import layout
from weeptrace.causes.observe import evidence
from weeptrace.causes.plan import spent
from weeptrace.causes.posterior import posterior
from weeptrace.causes.rank import _shows
from weeptrace.rules import load

BUNDLE: dict[str, Any] = dict(load().causes)
STORIES = [
    {"gas_test": "negative", "neck_bubbles": "steady_follow_rpm", "weep_hole": "wet",
     "cold_start_pressure": "as_thermal_model"},
    {"atf_sample": "glycol_found", "atf_look": "normal", "pressure_hold_cold": "holds"},
    {"weep_hole": "wet", "gas_test": "positive", "gas_test_second": "negative",
     "pressure_hold_cold": "holds"},
]  # fmt: skip


@pytest.mark.parametrize("story", STORIES, ids=str)
def test_what_speaks_against_a_misfit_most_by_a_sum_over_sets(story: dict[str, str]) -> None:
    """The answer without which the misfit is most to be expected; two causes at once at the most.
    Where two come within a twentieth of each other, either will do."""
    total = sum(each["weight"] for each in BUNDLE["causes"].values())
    odds = {
        id: each["weight"] / total * LIMITS["causes.several"]
        for id, each in BUNDLE["causes"].items()
    }
    sets = [s for size in (1, 2) for s in itertools.combinations(odds, size)]
    weights = [math.prod(odds[c] for c in s) for s in sets]

    def expected(finding: str, others: dict[str, str]) -> float:
        """P(the finding | the others)."""
        both = {**others, finding: story[finding]}
        with_it = without = 0.0
        for weight, causes in zip(weights, sets, strict=True):
            without += weight * one_by_one.together(BUNDLE, others, causes)
            with_it += weight * one_by_one.together(BUNDLE, both, causes)
        return with_it / without

    known = evidence(KNOWLEDGE, list(KNOWLEDGE.features), told(**story))
    terms = layout(KNOWLEDGE, known, LIMITS["causes.attention"])
    limits = {**LIMITS, "causes.misfit": 1.3}
    found = misfits(KNOWLEDGE, known, terms, posterior(terms, known.odds), limits)
    assert found
    for finding, against in found.items():
        state = BUNDLE["findings"][finding]["state"]
        by = {}
        for other in story:
            if other != finding and (state is None or BUNDLE["findings"][other]["state"] != state):
                rest = {f: v for f, v in story.items() if f not in (finding, other)}
                by[other] = expected(finding, rest)
        assert by[against] > 0.95 * max(by.values()), (finding, against, by)


def test_a_reason_is_clear_from_three_to_one_and_strong_from_ten() -> None:
    for odds, word in ((1.6, "weak"), (2.99, "weak"), (3.0, "clear"), (9.99, "clear"),
                       (10.0, "strong"), (40.0, "strong")):  # fmt: skip
        assert _strength(math.log(odds)) == _strength(-math.log(odds)) == word


def test_a_test_is_spent_when_all_that_it_can_prove_by_is_answered() -> None:
    """A cause that either of two answers of one test proves."""
    test = KNOWLEDGE.tests["combustion_gas_test"]
    first, second = [id for id in test.gives if KNOWLEDGE.findings[id].kind == "sign"][:2]
    ends = {id: KNOWLEDGE.findings[id].values[-1] for id in (first, second)}
    cause = replace(KNOWLEDGE.causes["head_gasket_internal"], proven_by=tuple(ends.items()))
    known = replace(KNOWLEDGE, causes={**KNOWLEDGE.causes, cause.id: cause})
    quiet = {id: KNOWLEDGE.findings[id].values[0] for id in ends}
    for answers, gone in (
        ({}, False), ({first: quiet[first]}, False), ({second: quiet[second]}, False),
        (quiet, True), (ends, True),
    ):  # fmt: skip
        seen = evidence(known, [], told(**answers))
        assert spent(known, seen, cause.id, test.id) is gone, answers
    whole = evidence(known, [], told(**ends))
    assert not spent(known, whole, cause.id, "weep_hole_look")  # it proves none of it


def test_the_stop_names_the_test_that_comes_nearest_to_its_cost() -> None:
    """10 min gained for 15, and 15 for 25: the first lacks 5 min, the second 10."""
    for looks in (
        {"cap_test": (600.0, 900.0), "cold_visual": (900.0, 1500.0)},
        {"cold_visual": (900.0, 1500.0), "cap_test": (600.0, 900.0)},
    ):
        found = made("hose_joint", 0.234, looks)
        assert found.enough
        words = load().texts["test.cap_test"], load().texts["cause.hose_joint.name"]
        told_why = spoken(found.why)
        assert f"“{words[0]}” would gain 10 min of work and costs 15 min." in told_why
        assert f"“{words[1]}” leads with 23 %." in told_why
    none = made("hose_joint", 0.234, {})
    assert spoken(none.why).startswith("No test is left that can be done now.")


# --- two answers to one question ------------------------------------------------------------------


def test_two_figures_for_one_question_count_each_word_by_its_larger_share() -> None:
    """Bands of a loss: 0.03 and 0.3 L/1000 km are edges (the rules'). One figure on the lower edge,
    half below and half above; one well above: of three halves, the middle word has two."""
    measure = KNOWLEDGE.findings["loss_rate"].measure
    assert measure is not None
    low, high = measure["edges"][:2]
    below, middle = measure["values"][:2]
    onedge = Observation("loss_rate", Figure(low, 0.9 * low, 1.1 * low))
    inside = Observation("loss_rate", Figure((low + high) / 2.0))
    for order in ([onedge, inside], [inside, onedge]):
        shares = evidence(KNOWLEDGE, [], order).signs["loss_rate"]
        assert shares[below] == pytest.approx(0.5 / 1.5)
        assert shares[middle] == pytest.approx(1.0 / 1.5)


def test_the_gravest_doubt_counts() -> None:
    """Of a search that saw less, the least; of a sign misread more often, the most."""
    checked = 0
    for id, entry in BUNDLE["findings"].items():
        for doubt in entry.get("doubts", ()):
            about = BUNDLE["findings"][doubt["finding"]]
            value = doubt["value"]
            sign = about["values"][-1] if about["kind"] == "sign" else about["values"][0]
            answers = {doubt["finding"]: sign, id: value}
            seen = evidence(KNOWLEDGE, list(KNOWLEDGE.features), told(**answers))
            if "misread" in doubt:
                wanted = max(about["misread"], doubt["misread"])
                assert seen.misread[doubt["finding"]] == pytest.approx(wanted)
                checked += 1
            if "seen" in doubt:
                assert seen.seen[doubt["finding"]] == pytest.approx(
                    min(about["seen"], doubt["seen"])
                )
                checked += 1
    assert checked >= 3


# --- which test for what is left open ------------------------------------------------------------


def _tied(finding: str, cause: str) -> bool:
    """Whether the rules tie a finding to a cause, by itself or by one of its states."""
    entry = BUNDLE["findings"][finding]
    states = [entry.get("state"), *(entry.get("places") or {}).values()]
    return cause in entry.get("from", {}) or any(
        cause in BUNDLE["states"][state]["from"] for state in states if state
    )


def test_a_finding_can_show_a_cause_by_itself_or_by_a_state() -> None:
    ties = {
        (finding, cause): _tied(finding, cause)
        for finding in BUNDLE["findings"] for cause in BUNDLE["causes"]
    }  # fmt: skip
    assert {key: _shows(KNOWLEDGE, *key) for key in ties} == ties
    assert {True, False} == set(ties.values())


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_the_test_named_for_what_is_open_is_the_cheapest_that_can_show_it(
    case: dict[str, Any],
) -> None:
    seen = [Observation(each["finding"], each["value"]) for each in case["observations"]]
    _named_for_what_is_open(ranked(case), case["vehicle"]["features"], seen)


PROVES = {
    text.partition("=")[0] for cause in BUNDLE["causes"].values() for text in cause["proven_by"]
}


@pytest.mark.parametrize("finding", sorted(PROVES))
def test_a_test_that_could_prove_it_and_did_not_is_not_named_again(finding: str) -> None:
    """Whatever else it asks: what proves a cause was looked at, and was not so."""
    seen = [Observation(finding, BUNDLE["findings"][finding]["values"][0])]
    features = list(KNOWLEDGE.features)
    _named_for_what_is_open(rank(KNOWLEDGE, features, seen, LIMITS), features, seen)


def _named_for_what_is_open(found: Ranking, features: list[str], seen: list[Observation]) -> None:
    answers = {each.finding for each in seen}
    known = evidence(KNOWLEDGE, features, seen)
    can = next_test.allowed(KNOWLEDGE, known, features, None, ())
    asks = {
        id: [
            f for f, entry in BUNDLE["findings"].items()
            if id in entry["tests"] and entry["kind"] in ("sign", "places") and f not in answers
        ]
        for id in can
    }  # fmt: skip

    def price(id: str) -> float:
        entry = BUNDLE["tests"][id]
        minutes = entry["minutes"] + entry["worth"] + entry["risk"] + 0.05 * entry["waits"]
        return float(minutes + (30.0 if entry["visit"] else 0.0))

    for each in found.not_ruled_out:
        cause = BUNDLE["causes"][each.id]
        proves = [text.partition("=")[0] for text in cause["proven_by"]]
        left = [
            id for id in can if id in cause["proof"] and asks[id]
            and (not set(proves) & _gives(id) or set(proves) & _gives(id) - answers)
        ]  # fmt: skip
        left = left or [id for id in can if any(_tied(f, each.id) for f in asks[id])]
        if each.test is None:
            assert not left
        else:
            assert each.test in left
            assert price(each.test) == pytest.approx(min(map(price, left)))


def _gives(test: str) -> set[str]:
    return {f for f, entry in BUNDLE["findings"].items() if test in entry["tests"]}
