"""What is said beside the chances: why a reason holds, what to look at again, which cautions
stand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.causes.support import CASES, KNOWLEDGE, LIMITS, ranked, spoken, told
from tests.causes.test_causes_plan import made, roles
from weeptrace.causes import Observation, rank
from weeptrace.causes.explain import reasons
from weeptrace.causes.fit import contradictions
from weeptrace.causes.likelihood import layout
from weeptrace.causes.observe import evidence
from weeptrace.causes.posterior import posterior
from weeptrace.rules import load
from weeptrace.told import Sentence

BUNDLE: dict[str, Any] = dict(load().causes)
TEXTS = load().texts
WHY: dict[str, str] = BUNDLE["reasons"]
FEATURES = list(KNOWLEDGE.features)
ASKED = [f for f, entry in BUNDLE["findings"].items() if entry["kind"] in ("sign", "places")]


def _linked(finding: str, value: str, cause: str) -> str | None:
    """The rules' own reason that ties a cause to an answer: of the sign, else of its state."""
    entry = BUNDLE["findings"][finding]
    own = WHY.get(f"finding.{finding}.{cause}")
    if own:
        return own
    if entry["kind"] == "places":
        named = [entry["places"][value]] if value in entry["places"] else entry["places"].values()
    else:
        named = [entry["state"]] if entry["state"] else []
    return next((why for s in named if (why := WHY.get(f"state.{s}.{cause}"))), None)


@pytest.mark.parametrize("finding", ASKED)
def test_why_a_reason_holds(finding: str) -> None:
    """The rules' sentence where they tie the two; that it would show, where it does not."""
    entry = BUNDLE["findings"][finding]
    for value in entry["values"]:
        known = evidence(KNOWLEDGE, FEATURES, [Observation(finding, value)])
        for cause, found in reasons(KNOWLEDGE, known, LIMITS["causes.attention"]).items():
            for each in (*found.plus, *found.minus):
                linked, quiet = _linked(finding, value, cause), value == entry["values"][0]
                reason, otherwise = Sentence(f"why.{linked}"), f"finding.{finding}.otherwise"
                if linked and quiet and each.weight < 0.0:
                    assert each.why == Sentence("ranked.line.would_show", {"why": reason})
                    assert spoken(each.why) == f"It would show. {TEXTS[reason.text]}"
                elif linked:
                    assert each.why == reason
                    assert spoken(each.why) == TEXTS[reason.text]
                elif quiet and each.weight > 0.0:
                    assert spoken(each.why).startswith("This cause leaves no such sign")
                elif not quiet and each.weight < 0.0:
                    assert spoken(each.why) == "This cause does not bring it about."
                else:
                    assert otherwise in WHY
                    assert each.why == Sentence(f"why.{otherwise}")


def test_what_no_link_and_no_finding_explains_is_said_in_general() -> None:
    """A middle answer, which a cause that is not linked gives more often than a linked one."""
    finding, value = "pressure_hold_warm", "falls_with_cooling"
    bare = replace(KNOWLEDGE.findings[finding], why="")
    known = replace(KNOWLEDGE, findings={**KNOWLEDGE.findings, finding: bare}, kept={})
    given = evidence(known, FEATURES, [Observation(finding, value)])
    found = reasons(known, given, LIMITS["causes.attention"])
    said = {each.why.text for each_of in found.values() for each in each_of.plus}
    own = evidence(KNOWLEDGE, FEATURES, [Observation(finding, value)])
    was = reasons(KNOWLEDGE, own, LIMITS["causes.attention"])
    otherwise = f"why.finding.{finding}.otherwise"
    assert otherwise in {each.why.text for each_of in was.values() for each in each_of.plus}
    assert "ranked.line.others_more" in said
    assert otherwise not in said


def _doubt(finding: str) -> float:
    entry = BUNDLE["findings"][finding]
    return 1.0 - entry["seen"] if entry["kind"] == "places" else float(entry["misread"])


@pytest.mark.parametrize("conflict", BUNDLE["conflicts"], ids=lambda c: f"{c['a']}-{c['b']}")
def test_a_conflict_of_the_rules_is_named_with_what_to_look_at_again(
    conflict: dict[str, Any],
) -> None:
    """Of two that stand alone the more often misread, or the search that sees less."""
    answers = {}
    for finding, value in (conflict["a"], conflict["b"]):
        places = list(BUNDLE["findings"][finding].get("places", {}))
        answers[finding] = places[0] if value == "any" else value
    found = rank(KNOWLEDGE, FEATURES, told(**answers), LIMITS).contradictions
    why = WHY["conflict." + "--".join("-".join(conflict[side]) for side in ("a", "b"))]
    (one,) = [each for each in found if each.why == Sentence(f"why.{why}")]
    assert set(one.findings) == set(answers)
    if len(found) == 1:
        assert one.recheck == max(answers, key=lambda id: (_doubt(id), id))


def test_a_finding_stands_in_one_misfit_only_and_not_beside_a_conflict() -> None:
    """With the limit at a half, so that nearly all are misfits of some other."""
    answers = told(
        gas_test="negative", neck_bubbles="steady_follow_rpm", weep_hole="wet",
        cap_test="opens_early", pressure_hold_cold="holds", cabin_sign="sweet_smell",
    )  # fmt: skip
    known = evidence(KNOWLEDGE, FEATURES, answers)
    terms = layout(KNOWLEDGE, known, LIMITS["causes.attention"])
    limits = {**LIMITS, "causes.misfit": 0.5}
    found = contradictions(KNOWLEDGE, known, terms, posterior(terms, known.odds), limits)
    assert set(found[0].findings) == {"gas_test", "neck_bubbles"}
    assert len(found) > 1
    named = [id for each in found for id in each.findings]
    assert len(named) == len(set(named))
    assert set(named) <= {each.finding for each in answers}


def test_one_finding_alone_is_no_misfit() -> None:
    """There is none that could speak against it."""
    known = evidence(KNOWLEDGE, FEATURES, told(weep_hole="wet"))
    terms = layout(KNOWLEDGE, known, LIMITS["causes.attention"])
    limits = {**LIMITS, "causes.misfit": 0.0}
    assert contradictions(KNOWLEDGE, known, terms, posterior(terms, known.odds), limits) == ()


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_which_cautions_stand(case: dict[str, Any]) -> None:
    """Those of an answer first; then those of the first three causes and the first three tests."""
    found = ranked(case)
    answered = {(each["finding"], each["value"]) for each in case["observations"]}
    causes = {each.id for each in found.causes[:3]}
    tests = {each.test for each in found.next_tests[:3]}
    hazards = {h for id in tests for h in BUNDLE["tests"][id]["hazards"]}
    leaks = BUNDLE["causes"][found.causes[0].id]["leaks"]
    first, then = [], []
    for id, conditions in BUNDLE["cautions"].items():
        if any(c[0] == "answer" and (c[1], c[2]) in answered for c in conditions):
            first.append(id)
        elif any(
            c[0] == "always"
            or (c[0] == "cause" and c[1] in causes)
            or (c[0] == "test" and c[1] in tests)
            or (c[0] == "hazard" and c[1] in hazards)
            or (c[0] == "feature" and c[1] in case["vehicle"]["features"])
            or (c[0] == "leading" and leaks)
            for c in conditions
        ):
            then.append(id)
    assert list(found.cautions) == [*first, *then]


def test_a_proof_that_is_proposed_already_moves_to_the_front() -> None:
    """A look for a second leak becomes the proof; a test that decides stays one, and comes
    first."""
    looks = {"cold_visual": (900.0, 60.0), "cap_test": (800.0, 300.0)}
    second = made("radiator_core", 0.6, {**looks, "pressure_test_cold": (1.0, 1800.0)})
    assert roles(second)[0] == ("pressure_test_cold", "prove")
    assert [id for id, _ in roles(second)].count("pressure_test_cold") == 1
    decides = made("radiator_core", 0.6, {**looks, "pressure_test_cold": (5000.0, 1800.0)})
    assert roles(decides)[0] == ("pressure_test_cold", "decide")
    alone = made("radiator_core", 0.6, {"pressure_test_cold": (1.0, 1800.0)})
    assert roles(alone) == [("pressure_test_cold", "prove")]
