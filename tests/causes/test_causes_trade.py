"""What a master of the trade expects, on stories beside the constructed cases."""

from __future__ import annotations

from typing import Any

import pytest

from tests.causes.support import CASES, KNOWLEDGE, LIMITS, observations, spoken, told
from weeptrace.causes import Observation, Ranking, rank

ALL = tuple(feature for feature in KNOWLEDGE.features if feature != "high_voltage")


def ranked(*features: str, **answers: str) -> Ranking:
    return rank(KNOWLEDGE, features, told(**answers), LIMITS)


def chances(found: Ranking) -> dict[str, float]:
    return {each.id: each.probability for each in found.causes}


@pytest.mark.parametrize(
    ("leader", "least", "answers"),
    [
        ("no_fault_look_alike", 0.5, {"loss_rate": "trace", "cabin_sign": "wet_carpet_water",
                                      "ac_used": "yes", "level_cold": "at_mark"}),
        ("no_fault_look_alike", 0.5, {"loss_rate": "one_time_drop", "level_cold": "above_max",
                                      "overflow_behaviour": "pushes_out_hot",
                                      "level_trend": "steady_after_topup"}),
        ("heater_core", 0.35, {"loss_rate": "seep", "cabin_sign": "wet_carpet_sticky"}),
        ("heater_core", 0.8, {"cabin_sign": "windscreen_film", "heater_drain_fluid": "coolant"}),
        ("pump_or_stat_joint", 0.7, {"residue_at": "pump_or_stat_joint", "weep_hole": "dry",
                                     "recent_work": "pump_or_belt"}),
        ("pressure_cap", 0.5, {"hose_feel": "collapsed_after_cooling",
                               "overflow_behaviour": "does_not_draw_back"}),
        ("radiator_drain_plug", 0.7, {"residue_at": "radiator_bottom_plug",
                                      "recent_work": "coolant_change",
                                      "wet_again_at": "radiator_bottom_plug"}),
        ("core_plug", 0.8, {"age": "old", "coolant_look": "rusty", "loss_rate": "gross",
                            "residue_at": "block_side_plug"}),
        ("oil_cooler_engine", 0.8, {"coolant_look": "oily_film", "oil_cooler_bench": "fails"}),
        ("atf_cooler_in_radiator", 0.9, {"atf_sample": "glycol_found", "atf_look": "pink_milky"}),
        ("egr_cooler", 0.7, {"exhaust_white": "persistent_sweet", "egr_isolated": "loss_stops"}),
        ("overheat_expulsion", 0.85, {"thermostat_run": "stays_closed", "gas_test": "negative",
                                     "temp_behaviour": "climbs_load",
                                     "overflow_behaviour": "pushes_out_hot"}),
    ],
)  # fmt: skip
def test_a_story_has_its_leader(leader: str, least: float, answers: dict[str, str]) -> None:
    found = ranked(*ALL, **answers)
    assert found.causes[0].id == leader
    assert found.causes[0].probability >= least


def test_three_signs_of_gas_leave_the_gasket_or_a_crack() -> None:
    known = chances(
        ranked(
            gas_test="positive",
            neck_bubbles="steady_follow_rpm",
            cold_start_pressure="well_above_model",
        )
    )
    assert known["head_gasket_internal"] + known["head_or_block_crack"] > 0.9


def test_gas_by_coolant_drawn_in_is_no_gas_and_the_gas_test_is_to_be_done_again() -> None:
    found = ranked(
        gas_test="positive",
        gas_conditions="coolant_drawn_in",
        neck_bubbles="none",
        cold_start_pressure="as_thermal_model",
    )
    assert chances(found)["head_gasket_internal"] < 0.1
    assert {each.recheck for each in found.contradictions} == {"gas_test"}


def test_an_old_dry_stain_at_the_weep_hole_accuses_nobody() -> None:
    assert ranked(weep_hole="dry_stain").causes[0].id != "pump_shaft_seal"


def test_a_cap_that_does_not_seal_stands_beside_a_leaking_seam() -> None:
    found = ranked(
        residue_at="radiator_side_tank",
        wet_under_pressure_at="radiator_side_tank",
        pressure_hold_cold="slow_fall",
        cap_test="will_not_seal",
    )
    assert {each.id for each in found.causes[:2]} == {"radiator_tank_seam", "pressure_cap"}
    assert chances(found)["pressure_cap"] > 0.4


def test_cream_on_the_dipstick_asks_for_a_sample_before_the_engine_runs() -> None:
    found = ranked("wet_intake", engine_oil_look="milky", loss_rate="leak", gas_test="negative")
    assert "oil_check_and_sample" in {each.test for each in found.next_tests[:3]}
    assert {"drive_with_mixed_oil", "flush_before_sample"} <= set(found.cautions)


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_what_was_seen_forbids_its_tests_whatever_else_is_known(case: dict[str, Any]) -> None:
    for block in KNOWLEDGE.blocks:
        for finding, value in block["when"]:
            seen = [*observations(case, finding), Observation(finding, value)]
            found = rank(KNOWLEDGE, ALL, seen, LIMITS)
            for each in found.next_tests:
                needs = KNOWLEDGE.tests[each.test].needs
                assert needs.isdisjoint(block["stops"]), (finding, value, each.test)
            assert block["caution"] in found.cautions


def test_every_block_stops_something_that_there_is() -> None:
    for block in KNOWLEDGE.blocks:
        for what in block["stops"]:
            assert any(what in test.needs for test in KNOWLEDGE.tests.values())


def test_a_proof_is_not_proposed_twice() -> None:
    found = ranked(weep_hole="wet", wet_ground_zone="below_pump_end", residue_at="reservoir_body")
    assert found.causes[0].id == "pump_shaft_seal"
    proofs = [each.test for each in found.next_tests if each.role == "prove"]
    assert "weep_hole_look" not in proofs


def test_no_parts_come_off_for_a_proof_that_was_given() -> None:
    found = ranked(
        onset="after_overheat",
        gas_test="positive",
        engine_oil_look="milky",
        leakdown_bubbles="one_cylinder",
    )
    assert found.causes[0].id == "head_gasket_internal"
    assert "borescope_cylinders" not in {each.test for each in found.next_tests}


def test_a_leak_is_looked_for_beside_what_is_no_leak() -> None:
    found = ranked(thermostat_run="stays_closed", temp_behaviour="climbs_load")
    assert found.causes[0].id == "overheat_expulsion"
    second = next(each for each in found.next_tests if each.test == "pressure_test_cold")
    assert second.role in ("second_leak", "decide")


def test_a_quiet_answer_speaks_for_a_cause_that_leaves_no_sign() -> None:
    found = ranked(pressure_hold_cold="holds", weep_hole="wet")
    cap = next(each for each in found.causes if each.id == "pressure_cap")
    (hold,) = [each for each in cap.plus if each.finding == "pressure_hold_cold"]
    assert spoken(hold.why) == "This cause leaves no such sign, and none is there."
    joint = next(each for each in found.causes if each.id == "hose_joint")
    (against,) = [each for each in joint.minus if each.finding == "pressure_hold_cold"]
    assert spoken(against.why).startswith("It would show.")


def test_of_two_places_the_reason_names_the_one_that_the_cause_wets() -> None:
    places = [Observation("residue_at", place) for place in ("radiator_side_tank", "cap_neck")]
    for cause, place in (
        ("pressure_cap", "cap_neck"),
        ("radiator_tank_seam", "radiator_side_tank"),
    ):
        found = rank(KNOWLEDGE, (), places, LIMITS)
        reasons = next(each.plus for each in found.causes if each.id == cause)
        assert reasons[0].value == place


def test_what_is_forbidden_by_something_seen_is_said_first() -> None:
    assert ranked(pump_bearing="noisy_or_play").cautions[0] == "drive_with_loose_pump"
    assert ranked().cautions[0] == "open_hot"
