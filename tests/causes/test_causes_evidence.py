"""How evidence counts: one sign seen twice, weak negatives, doubts, figures, two faults at once."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import pytest

from tests.causes.support import KNOWLEDGE, LIMITS, told
from weeptrace.causes import Figure, Observation, rank
from weeptrace.causes.observe import evidence
from weeptrace.refusal import Refusal
from weeptrace.rules import load

BUNDLE: dict[str, Any] = dict(load().causes)


def chance(cause: str, *features: str, **answers: str) -> float:
    found = rank(KNOWLEDGE, features, told(**answers), LIMITS)
    return next(each.probability for each in found.causes if each.id == cause)


def odds(p: float) -> float:
    return p / (1.0 - p)


def test_two_signs_of_one_state_count_less_than_their_product() -> None:
    none = odds(chance("radiator_tank_seam"))
    one = odds(chance("radiator_tank_seam", residue_at="radiator_side_tank"))
    other = odds(chance("radiator_tank_seam", dye_at="radiator_side_tank"))
    both = odds(
        chance("radiator_tank_seam", residue_at="radiator_side_tank", dye_at="radiator_side_tank")
    )
    assert one < both
    assert both / none < 0.5 * (one / none) * (other / none)


def test_wet_again_after_drying_says_more_than_a_track() -> None:
    track = chance("radiator_tank_seam", residue_at="radiator_side_tank")
    assert chance("radiator_tank_seam", wet_again_at="radiator_side_tank") > track


def test_dry_is_weaker_while_cold_and_without_pressure() -> None:
    unknown = chance("radiator_core")
    dry = chance("radiator_core", residue_at="none")
    dry_cold = chance("radiator_core", residue_at="none", looked_when="cold_and_dry")
    assert dry < dry_cold < unknown


def test_a_doubtful_gas_test_moves_less() -> None:
    plain = chance("head_gasket_internal", gas_test="positive")
    doubtful = chance(
        "head_gasket_internal", gas_test="positive", gas_conditions="coolant_drawn_in"
    )
    assert chance("head_gasket_internal") < doubtful < plain / 3


def test_what_is_not_known_changes_nothing() -> None:
    assert chance("pump_shaft_seal", weep_hole="not_visible", onset="unknown") == pytest.approx(
        chance("pump_shaft_seal")
    )


def test_no_single_answer_weighs_more_than_50_to_1() -> None:
    before = {
        each.id: odds(each.probability)
        for each in rank(KNOWLEDGE, KNOWLEDGE.features, [], LIMITS, tools=()).causes
    }
    for finding in KNOWLEDGE.findings.values():
        for value in finding.values:
            told_ = [Observation(finding.id, value)]
            found = rank(KNOWLEDGE, KNOWLEDGE.features, told_, LIMITS, tools=())
            for each in found.causes:
                assert odds(each.probability) < 50 * before[each.id], (finding.id, value, each.id)


def test_one_mind_is_changed_by_proof() -> None:
    story = {"wet_ground_zone": "front_edge", "residue_at": "radiator_side_tank"}
    assert chance("radiator_tank_seam", **story) > 0.4
    assert chance("hose_joint", **story, wet_again_at="hose_end") > chance(
        "radiator_tank_seam", **story, wet_again_at="hose_end"
    )


def test_two_faults_are_both_found() -> None:
    answers = {
        "weep_hole": "wet",
        "pump_bearing": "noisy_or_play",
        "cap_test": "opens_early",
        "overflow_behaviour": "pushes_out_hot",
    }
    found = rank(KNOWLEDGE, [], told(**answers), LIMITS)
    assert {each.id for each in found.causes[:2]} == {"pump_shaft_seal", "pressure_cap"}
    assert all(each.probability > 0.5 for each in found.causes[:2])
    assert found.several > 0.5


def test_a_second_cause_is_never_ruled_out_by_the_first() -> None:
    found = rank(KNOWLEDGE, [], told(weep_hole="wet", wet_again_at="pump_weep"), LIMITS)
    assert found.causes[0].probability > 0.9
    left = {each.id for each in found.not_ruled_out}
    assert {"hose_joint", "radiator_tank_seam", "pressure_cap"} <= left
    assert "second_leak" in {each.role for each in found.next_tests}


def test_history_told_twice_counts_once() -> None:
    work = chance("trapped_air_after_service", recent_work="coolant_change")
    both = chance(
        "trapped_air_after_service", recent_work="coolant_change", onset="after_cooling_work"
    )
    assert 0.8 * work < both < 1.05 * work


def test_a_cause_of_a_part_that_is_not_fitted_is_masked_and_named() -> None:
    found = rank(KNOWLEDGE, [], told(exhaust_white="persistent_sweet"), LIMITS)
    assert found.masked["egr_cooler"] == "egr_cooler"
    assert "egr_cooler" not in {each.id for each in found.causes}


@pytest.mark.parametrize(
    ("figure", "word"),
    [(0.02e-9, "trace"), (0.03e-9, "seep"), (0.3e-9, "leak"), (4.9e-9, "leak"), (5e-9, "gross")],
)  # L/1000 km is 1e-9 m3/m; bands of the rules
def test_a_figure_falls_into_its_band(figure: float, word: str) -> None:
    by_figure = rank(KNOWLEDGE, [], [Observation("loss_rate", Figure(figure))], LIMITS)
    by_word = rank(KNOWLEDGE, [], told(loss_rate=word), LIMITS)
    assert by_figure.causes == by_word.causes


def test_a_figure_near_an_edge_counts_as_both() -> None:
    def gas(*figure: float) -> float:
        told_ = [Observation("cold_start_pressure", Figure(*figure))]
        found = rank(KNOWLEDGE, [], told_, LIMITS)
        return {each.id: each.probability for each in found.causes}["head_gasket_internal"]

    assert gas(9e3) < gas(9e3, 4e3, 14e3) < gas(11e3, 6e3, 16e3) < gas(11e3)


# Normal tables (NIST/SEMATECH e-Handbook 1.3.6.7.1): the share below 0, 0.5, 1 and 2 sd.
@pytest.mark.parametrize(
    ("sds", "below"), [(0.0, 0.5), (0.5, 0.69146), (1.0, 0.84134), (-1.0, 0.15866), (2.0, 0.97725)]
)
def test_a_figure_is_split_at_an_edge_by_its_interval(sds: float, below: float) -> None:
    """A 95 % interval of 3.92 sd; the edge lies so many sd above the value. 10 kPa is the edge of
    the rules between a small and a large pressure of a cold start."""
    measure = KNOWLEDGE.findings["cold_start_pressure"].measure
    assert measure is not None
    edges, values = list(measure["edges"]), list(measure["values"])
    at, sd = len(edges) - 1, 1e-3 * edges[-1]
    value = edges[at] - sds * sd
    figure = Figure(value, value - 1.96 * sd, value + 1.96 * sd)
    known = evidence(KNOWLEDGE, [], [Observation("cold_start_pressure", figure)])
    shares = known.signs["cold_start_pressure"]
    assert shares[values[at]] == pytest.approx(below, abs=1e-4)
    assert shares[values[at + 1]] == pytest.approx(1.0 - below, abs=1e-4)


@pytest.mark.parametrize(
    ("observation", "code", "accepted"),
    [
        (Observation("no_such", "x"), "unknown_finding", "weep_hole"),
        (Observation("weep_hole", "damp"), "unknown_value", "dry_stain"),
        (Observation("weep_hole", Figure(1.0)), "not_a_measure", "dry_stain"),
    ],
)
def test_what_is_unknown_is_refused_with_what_is_accepted(
    observation: Observation, code: str, accepted: str
) -> None:
    with pytest.raises(Refusal) as refused:
        rank(KNOWLEDGE, [], [observation], LIMITS)
    assert refused.value.code == code
    assert accepted in refused.value.accepted


def test_an_unknown_feature_is_refused() -> None:
    with pytest.raises(Refusal, match="turbine"):
        rank(KNOWLEDGE, ["turbine"], [], LIMITS)


@pytest.mark.parametrize(
    ("answers", "pair", "recheck"),
    [
        (
            {"pressure_hold_cold": "holds", "wet_under_pressure_at": "hose_end"},
            {"pressure_hold_cold", "wet_under_pressure_at"},
            "wet_under_pressure_at",
        ),
        (
            {"gas_test": "negative", "neck_bubbles": "steady_follow_rpm"},
            {"gas_test", "neck_bubbles"},
            "neck_bubbles",
        ),
        (
            {"wet_ground_zone": "none", "ground_fluid": "coolant"},
            {"wet_ground_zone", "ground_fluid"},
            "wet_ground_zone",
        ),
    ],
)
def test_contradictions_are_named_and_the_weaker_one_is_to_be_looked_at_again(
    answers: dict[str, str], pair: set[str], recheck: str
) -> None:
    found = rank(KNOWLEDGE, [], told(**answers), LIMITS).contradictions
    assert [set(each.findings) for each in found] == [pair]
    assert found[0].recheck == recheck
    assert found[0].why


def test_one_question_answered_twice_is_a_contradiction() -> None:
    twice = [Observation("gas_test", "positive"), Observation("gas_test", "negative")]
    found = rank(KNOWLEDGE, [], twice, LIMITS).contradictions
    assert found[0].findings == ("gas_test",)


def test_two_wet_places_are_no_contradiction() -> None:
    places = [Observation("residue_at", "hose_end"), Observation("residue_at", "pump_weep")]
    found = rank(KNOWLEDGE, [], places, LIMITS)
    assert not found.contradictions
    assert {each.id for each in found.causes[:2]} == {"hose_joint", "pump_shaft_seal"}


GROUPED = [
    (one, other)
    for one, other in itertools.permutations(
        [id for id, each in BUNDLE["findings"].items() if each["kind"] == "history"], 2
    )
    if BUNDLE["findings"][one]["group"] == BUNDLE["findings"][other]["group"]
]


@pytest.mark.parametrize(("first", "second"), GROUPED)
def test_of_one_group_the_strongest_shift_counts_whichever_was_told_first(
    first: str, second: str
) -> None:
    def shift(cause: str, finding: str, value: str) -> float:
        entry = BUNDLE["findings"][finding]
        link = entry["shifts"].get(value, {}).get(cause, {"by": 1.0})
        return float((1.0 - entry["misread"]) * link["by"] + entry["misread"])

    plain = evidence(KNOWLEDGE, KNOWLEDGE.features, []).odds
    told = (BUNDLE["findings"][id]["values"] for id in (first, second))
    for values in itertools.product(*told):
        answers = list(zip((first, second), values, strict=True))
        found = evidence(KNOWLEDGE, KNOWLEDGE.features, [Observation(*a) for a in answers])
        for cause, odds in plain.items():
            sizes = [shift(cause, *each) for each in answers]
            strongest = max(abs(math.log(by)) for by in sizes)
            moved = math.log(found.odds[cause] / odds)
            assert abs(moved) == pytest.approx(strongest, abs=1e-9), (cause, values)
            assert any(moved == pytest.approx(math.log(by), abs=1e-9) for by in sizes)


def test_of_two_as_strong_in_one_group_the_first_told_is_the_reason() -> None:
    twin = replace(KNOWLEDGE.findings["odometer"], id="age")
    knowledge = replace(KNOWLEDGE, findings={**KNOWLEDGE.findings, "age": twin})
    for value in twin.values:
        told_of = [Observation(id, value) for id in ("odometer", "age")]
        for some in (told_of, told_of[::-1]):
            shifted = evidence(knowledge, knowledge.features, some).shifted
            named = {cause: [each[0] for each in found] for cause, found in shifted.items()}
            moved = twin.shifts[value]
            assert named == {c: [some[0].finding] if c in moved else [] for c in named}
