"""What is begun anew: a second leak, another test, a job opened again."""

from __future__ import annotations

import pytest

from tests.hands import RULES, Hands
from tests.job.test_branches import hands
from tests.logbook import Logbook
from weeptrace.job.coolant import fluid_balance
from weeptrace.job.procedure import over_the_ceiling
from weeptrace.job.rounds import drained, last_filled, total


def test_what_was_added_to_the_first_price_is_not_added_to_the_next() -> None:
    work = hands(after__wanted="hold", after__other="found").until("teardown")
    work.log.add("mark", "extra.found")
    work.until("teardown")
    assert over_the_ceiling(work.job) == pytest.approx(480.0 + 40.0 - 560.0)
    work.until("reopen")
    work.log.add("mark", "work.reopened")
    work.answers |= {"repair.kind": ("hose_or_clamp", None), "quote.total": ("30", "1")}
    work.until("teardown")
    assert over_the_ceiling(work.job) == pytest.approx(0.0)


def test_a_second_leak_at_the_wet_hold_leads_back_to_the_place_and_loses_nothing() -> None:
    work = hands(after__wanted="hold", after__other="found").until("reopen")
    readings = len(work.job.present("after.pressure").readings)
    work.log.add("mark", "work.reopened")
    assert work.at() == "key_off"
    work.until("place")
    held = [series for series in work.job.past if series.field == "after.pressure"]
    assert [len(series.readings) for series in held] == [readings]
    before = next(facts for facts in work.job.cleared if "finding.place" in facts)
    assert before["finding.place"].value == "radiator_seam"
    assert work.job.value("car.capacity") is not None
    work.answers["after.other"] = ("none", None)
    work.answers["repair.kind"] = ("hose_or_clamp", None)
    work.until("closed")
    assert over_the_ceiling(work.job) == pytest.approx(0.0)  # a price of its own
    # What the first round began is brought to its end: the road, the cold level, every litre.
    for step in ("road_test", "recheck", "fluid_balance", "washed"):
        assert work.passed.count(step) == 1
    found = fluid_balance(RULES, work.job)
    assert found.closure is not None
    assert found.closure.value == pytest.approx(0.0, abs=1e-9)
    assert found.waste["used_coolant"].value == pytest.approx(4.3e-3)


def test_two_rounds_with_the_coolant_out_are_one_balance() -> None:
    work = hands(after__wanted="hold", after__other="found").until("reopen")
    work.log.add("mark", "work.reopened")
    work.answers |= {
        "after.other": ("none", None), "repair.kind": ("water_pump", None),
        "coolant.drained": ("5.1", "L"), "coolant.filled": ("5.0", "L"),
        "coolant.spilled": ("0.1", "L"),
    }  # fmt: skip
    work.until("closed")
    assert work.passed.count("drain") == 2
    assert work.passed.count("fluid_balance") == 1
    assert total(work.job, "coolant.drained") == pytest.approx(9.4e-3)
    assert total(work.job, "coolant.filled") == pytest.approx(9.3e-3)
    assert total(work.job, "coolant.spilled") == pytest.approx(0.1e-3)
    # Opened once more, its balance is struck; the next round begins from nothing.
    work.log.add("mark", "work.reopened")
    assert total(work.job, "coolant.drained") is None
    assert drained(work.job) == 0
    assert last_filled(work.job).value("coolant.drained") == pytest.approx(5.1e-3)


def test_what_was_read_in_an_earlier_round_stands_with_its_fluids() -> None:
    work = hands(after__wanted="hold", after__other="found").until("reopen")
    work.log.add("mark", "work.reopened")
    assert not work.job.present("warm.coolant").readings
    filled = last_filled(work.job)
    assert len(filled.present("warm.coolant").readings) == 5
    assert filled.value("fill.how") == "open_neck"
    assert filled.value("finding.place") is None
    assert last_filled(Hands(Logbook()).job).value("coolant.drained") is None


@pytest.mark.parametrize(
    "again", [{"finding__place": "not_found"}, {"finding__wet_again": "dry"}], ids=["none", "dry"]
)
def test_a_place_that_a_test_showed_and_that_stays_dry_offers_another_test(
    again: dict[str, str],
) -> None:
    work = hands(finding__place="not_found", test__kind="run_watch", test__result="found")
    work.until("test_found")
    work.log.add("mark", "test.found")
    work.answers["finding.place"] = ("radiator_seam", None)
    work.answers |= {name.replace("__", "."): (word, None) for name, word in again.items()}
    assert "repair_kind" not in work.until("test_enough").passed
    work.log.add("mark", "test.again")
    assert work.at() == "test_kind"


def test_it_loses_again_after_the_job_was_closed() -> None:
    work = hands().until("closed")
    work.log.add("mark", "work.reopened")
    assert work.at() == "key_off"


def test_nothing_is_begun_anew_while_parts_are_off_coolant_is_out_or_pressure_is_in() -> None:
    for step in ("transfer_radiator", "fill_up", "after_verdict", "after_release"):
        work = hands(after__wanted="hold").until(step)
        refused = work.log.add("mark", "work.reopened")
        assert work.job.seen[refused["id"]] == "refused"
        assert "Put that right first" in work.job.troubles["work.reopened"].words
        assert work.at() == step


def test_what_still_leaks_may_be_left_with_a_reason_only() -> None:
    work = hands(after__old_place="wet").until("reopen")
    work.log.add("not_done", "work.left_leaking")
    assert work.at() == "reopen"
    work.log.add("fact", "work.left_leaking", "owner tops up until the part comes")
    work.until("closed")


def test_a_wet_place_after_the_road_leads_back() -> None:
    work = hands(road__driven="yes", road__look="wet").until("reopen")
    assert "road_look" in work.passed
