"""What goes on the neck beside the fan, and a tester that is fitted anew."""

from __future__ import annotations

import pytest

from tests.hands import RULES
from tests.job.test_branches import hands, opens


@pytest.mark.parametrize("step", ["vacuum_readings", "dry_pump"])
def test_what_is_put_on_the_neck_is_put_on_behind_a_dead_fan(step: str) -> None:
    steps = {each.id: each for each in RULES.procedures["coolant_loss"].steps}
    assert {"key_away", "fan_safe"} <= set(steps[step].gates)


def test_dry_air_goes_into_an_empty_system_alone() -> None:
    work = hands(dry__wanted="dry_air").until("warm_log")
    assert "dry_pump" in work.passed
    pumped = next(e for e in work.log.events if e["field"] == "dry.pumped_up")
    work.log.add("undo", "dry.pumped_up", supersedes=pumped["id"])
    before = len(work.passed)
    assert "dry_pump" not in work.until("closed").passed[before:]


def test_another_hold_with_the_clamps_still_on_is_not_warmed() -> None:
    work = hands(finding__place="not_found", test__kind="warm_hold").until("warm_run")
    assert opens(work, "under_tester") is True
    work.log.add("done", "test.isolated")
    assert opens(work, "under_tester") is False
    work.log.add("done", "test.clamps_off")
    assert opens(work, "under_tester") is True


def test_a_tester_that_came_off_is_fitted_again() -> None:
    work = hands(finding__place="not_found", test__kind="heater_isolation").until("test_readings")
    assert work.passed.count("test_fit") == 1
    work.log.add("done", "test.level_set")  # at the open neck
    assert work.until("test_fit").at() == "test_fit"


def test_new_joints_are_looked_at_without_a_hold_too() -> None:
    way = hands(repair__kind="radiator", after__wanted="no_hold").until("closed").passed
    assert "other_place" in way
    assert "after_fit" not in way
