"""Find it: the ranking on a phone, from what was answered and from what was measured."""

from __future__ import annotations

import pytest

from tests.logbook import Logbook
from tests.screen.test_view import RULES, blocks, described, holding, view
from weeptrace.causes import Figure, Observation
from weeptrace.job import observed
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment


def answer(log: Logbook, finding: str, *words: str) -> None:
    log.add("fact", f"find.{finding}", ",".join(words))


def told(log: Logbook) -> list[Observation]:
    return observed.observations(RULES, fold(RULES, log.events))


def test_every_question_has_a_page_and_every_answer_is_taken() -> None:
    log = Logbook()
    known = observed.knowledge(RULES)
    for id, finding in known.findings.items():
        made = view(log, f"find.ask.{id}")
        if f"find.{id}" in RULES.same:
            answer(log, id, finding.values[0])  # its page asks the job's own field
            made = view(log, f"find.ask.{id}")
        (choice,) = blocks(made, "choice")
        assert len(choice["rows"]) == len((*finding.values, *finding.neutral))
        event = choice["rows"][0]["do"]["event"]
        log.add(event["kind"], event["field"], event["typed"])
        made = view(log, f"find.ask.{id}")
        assert blocks(made, "choice")[0]["rows"][0]["chosen"]
        job = fold(RULES, log.events)
        assert job.value(f"find.{id}") == finding.values[0]
    view(log, "find.asks")
    view(log, "find")


def test_what_another_page_learnt_is_known_and_not_asked_again() -> None:
    log = described()
    before = {each.get("word") for each in blocks(view(log, "find.asks"), "state")}
    log.add("fact", "test.gas", "changed")
    made = view(log, "find.asks")
    rows = {block["word"]: block for block in blocks(made, "state")}
    question = RULES.text("field.find.gas_test")
    assert question in before
    assert rows[question]["shape"] == "done"
    assert "do" not in rows[question]
    test = {row["word"] for row in blocks(view(log, "find.test.combustion_gas_test"), "state")}
    assert question not in test
    assert RULES.text("field.find.gas_conditions") in test


def test_the_question_of_a_field_of_the_job_is_answered_as_that_field() -> None:
    log = described()
    (choice,) = blocks(view(log, "find.ask.atf_look"), "choice")
    fields = {row["do"]["event"]["field"] for row in choice["rows"]}
    assert fields == {"oil.transmission"}
    assert blocks(view(Logbook(), "find.ask.loss_rate"), "pad")


def test_an_answer_beside_the_causes_counts_for_the_field_that_asks_the_same() -> None:
    log = Logbook()
    answer(log, "engine_oil_look", "milky")
    assert fold(RULES, log.events).value("oil.engine") == "mixed"
    answer(log, "engine_oil_look", "level_rising")  # no word of the dip stick's question
    assert fold(RULES, log.events).value("oil.engine") is None
    log.add("fact", "oil.engine", "clean")
    answer(log, "engine_oil_look", "milky")
    assert fold(RULES, log.events).value("oil.engine") == "clean"  # its own answer stands


def test_no_cause_is_masked_until_it_was_told_that_its_part_is_not_fitted() -> None:
    log = described()
    masked = RULES.text("find.masked")

    def lines() -> list[str]:
        return [line for row in blocks(view(log, "find"), "state") for line in row["lines"]]

    assert masked not in lines()
    log.add("fact", "car.features", "drain_plug")
    assert masked not in lines()
    log.add("fact", "car.lacks", "egr_cooler,atf_cooler_in_radiator")
    assert lines().count(masked) == 2
    log.add("fact", "repair.kind", "radiator_with_cooler")  # what is repaired is there
    assert lines().count(masked) == 1


def test_each_cause_and_each_test_has_a_page() -> None:
    log = described()
    answer(log, "weep_hole", "wet")
    known = observed.knowledge(RULES)
    log.add("fact", "car.features", ",".join(known.features))
    for id in known.causes:
        assert blocks(view(log, f"find.cause.{id}"), "heading")
    for id, test in known.tests.items():
        made = view(log, f"find.test.{id}")
        assert (made["foot"]["caution"] is not None) == bool(test.hazards)


def test_the_likeliest_stands_first_with_its_reason_and_the_next_test_is_the_one_big_key() -> None:
    log = described()
    answer(log, "weep_hole", "wet")
    made = view(log, "find")
    (bars,) = blocks(made, "bars")
    assert bars["rows"][0]["label"].startswith("Water-pump shaft seal")
    shares = [row["share"] for row in bars["rows"]]
    assert shares == sorted(shares, reverse=True)
    assert made["foot"]["main"]["label"] == "Next test"
    assert made["foot"]["main"]["do"]["look"].startswith("find.test.")


def test_places_take_several_words_and_none_excludes_the_others() -> None:
    log = described()
    log.add("fact", "find.residue_at", "hose_end,radiator_side_tank")
    job = fold(RULES, log.events)
    assert job.value("find.residue_at") == "radiator_side_tank,hose_end"
    rows = blocks(view(log, "find.ask.residue_at"), "choice")[0]["rows"]
    assert sum(row["chosen"] for row in rows) == 2
    assert rows[0]["do"]["event"]["typed"] == "none"
    log.add("fact", "find.residue_at", "hose_end,nowhere")
    assert "none of" in fold(RULES, log.events).troubles["find.residue_at"].words


def test_what_was_measured_enters_as_numbers() -> None:
    log = holding("110", "109", "107", "106", "104", "103", "102", "100", "99", "98")
    seen = {each.finding: each.value for each in told(log)}
    assert isinstance(seen["pressure_hold_cold"], Figure)
    assert seen["pressure_hold_cold"].value * 6e7 == pytest.approx(1.3, abs=0.5)  # mL/min
    assert isinstance(seen["loss_rate"], Figure)
    # A hand's own answer stands before the measured one.
    answer(log, "pressure_hold_cold", "holds")
    assert [each.value for each in told(log) if each.finding == "pressure_hold_cold"] == ["holds"]


def test_zones_and_the_proof_are_findings() -> None:
    log = holding("110", "109", "107", "106", "104", "103")
    log.add("fact", "zone.radiator_seam", "wet")
    log.add("fact", "finding.place", "radiator_seam")
    log.add("fact", "finding.wet_again", "wet")
    assert Observation("wet_under_pressure_at", "radiator_side_tank") in told(log)
    assert Observation("wet_again_at", "radiator_side_tank") in told(log)
    (bars,) = blocks(view(log, "find"), "bars")
    assert bars["rows"][0]["solid"]
    assert bars["rows"][0]["sub"] == "proven"


def test_every_zone_names_a_place_that_the_causes_know() -> None:
    places = observed.knowledge(RULES).findings["residue_at"].places
    zones = [
        field for id, field in RULES.fields.items() if id.startswith("zone.") and field.options
    ]
    assert len(zones) == 12
    assert all(field.place in places for field in zones)


def test_a_test_behind_a_shut_gate_is_not_proposed() -> None:
    log = described()
    answer(log, "weep_hole", "dry")
    job = fold(RULES, log.events)
    before = observed.rank(RULES, job, read_moment(log.moment()))
    assert any("cold" in test.gates for test in before.next_tests)
    log.add("fact", "coolant.temperature", "85", "°C")
    log.add("fact", "system.pressure_sign", "under_pressure")
    job = fold(RULES, log.events)
    after = observed.rank(RULES, job, read_moment(log.moment()))
    assert not any("cold" in test.gates for test in after.next_tests)
    assert after.next_tests


def test_contradictions_ask_for_the_least_reliable_again() -> None:
    log = described()
    answer(log, "pressure_hold_cold", "holds")
    log.add("fact", "find.wet_under_pressure_at", "hose_end")
    made = view(log, "find")
    stops = [row for row in blocks(made, "state") if row["shape"] == "stop"]
    found = observed.rank(RULES, fold(RULES, log.events), read_moment(log.moment()))
    looks = [f"find.ask.{each.recheck}" for each in found.contradictions]
    assert looks
    assert [row["do"]["look"] for row in stops] == looks


def test_a_tool_that_is_not_at_hand_is_not_asked_for() -> None:
    log = described()
    answer(log, "loss_when", "any_time")
    log.add("fact", "shop.tools", "lamp,mirror,paper")
    found = observed.rank(RULES, fold(RULES, log.events), read_moment(log.moment()))
    known = observed.knowledge(RULES)
    at_hand = {"lamp", "mirror", "paper"}
    assert all(known.tests[each.test].tools <= at_hand for each in found.next_tests)


def test_all_cautions_are_said_and_that_of_something_seen_stands_at_the_foot() -> None:
    log = described()
    answer(log, "pump_bearing", "noisy_or_play")
    made = view(log, "find")
    assert "belt" in made["foot"]["caution"]["text"]
    lines = [line for block in blocks(made, "state") for line in block["lines"]]
    assert any("hot or under pressure" in line for line in lines)
    assert any("leak sealer" in line for line in lines)


def test_the_gas_test_asks_how_it_was_done() -> None:
    log = described()
    answer(log, "hose_feel", "hard_soon_after_cold_start")
    made = view(log, "find.test.combustion_gas_test")
    asked = {block["word"] for block in blocks(made, "state")}
    assert "How was the gas test done?" in asked


def test_questions_stand_under_the_test_that_they_come_from() -> None:
    made = view(described(), "find.asks")
    words = [block.get("text") or block.get("word") for block in made["blocks"]]
    assert words.index("Cold first look with light and mirror, covers on") < words.index(
        "Where is dried crust or a fresh track?"
    )
