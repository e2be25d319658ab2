"""Liquid in a cylinder: what shows it, who answers for a start, and what brings it back."""

from __future__ import annotations

import pytest

from tests.hands import RULES
from tests.job.test_branches import hands, opens


@pytest.mark.parametrize(
    ("test", "field", "word"),
    [("overnight", "test.cylinders", "wet"), ("gas", "test.gas", "changed")],
)
def test_liquid_in_a_cylinder_stops_every_start_until_a_person_answers(
    test: str, field: str, word: str
) -> None:
    work = hands(
        finding__place="not_found", test__kind=test, test__result="not_found",
        **{field.replace(".", "__"): word},
    ).until("test_enough")  # fmt: skip
    assert opens(work, "no_liquid") is not True
    work.log.add("mark", "test.again")  # another test forgets nothing of it
    assert opens(work, "no_liquid") is not True
    work.log.add("fact", "test.kind", "dye")
    assert work.at() == "liquid_person"
    work.log.add("not_done", "liquid.person", "nobody here")
    assert work.at() == "liquid_person"
    work.log.add("fact", "liquid.person", "R. Sand")
    assert opens(work, "no_liquid") is not True
    work.log.add("fact", "liquid.why", "plugs out, turned, blown dry")
    assert opens(work, "no_liquid") is True


def test_liquid_that_is_shown_again_is_answered_for_again() -> None:
    work = hands(finding__place="not_found", test__kind="run_watch", test__turned="stops")
    work.until("liquid_why").answer()
    assert opens(work, "no_liquid") is True
    work.log.add("fact", "test.turned", "stops")
    assert opens(work, "no_liquid") is False
    work.until("liquid_why").answer()
    assert opens(work, "no_liquid") is True


def test_a_run_that_was_taken_back_may_have_pressed_it_in_again() -> None:
    work = hands(finding__place="not_found", test__kind="run_watch", test__turned="stops")
    work.until("test_result")
    assert opens(work, "no_liquid") is True
    ran = work.job.facts["test.ran"].event
    work.log.add("undo", ran.field, supersedes=ran.id)
    assert opens(work, "no_liquid") is False
    work.until("liquid_why").answer()
    assert opens(work, "no_liquid") is True


def test_after_a_run_that_was_taken_back_the_level_is_set_again() -> None:
    work = hands(finding__place="not_found", test__kind="run_watch").until("test_result")
    ran = work.job.facts["test.ran"].event
    work.log.add("undo", ran.field, supersedes=ran.id)
    assert opens(work, "closed_up") is False
    work.log.add("done", "pressure.level_set")
    work.log.add("done", "pressure.cap_on")
    assert opens(work, "closed_up") is True


@pytest.mark.parametrize(("turned", "driven"), [("stops", False), ("freely", True)])
def test_a_car_with_liquid_in_a_cylinder_is_driven_for_no_test(turned: str, driven: bool) -> None:
    work = hands(
        finding__place="not_found", test__kind="dye", drive__decision="drive",
        test__turned=turned, test__result="not_found",
    ).until("test_enough")  # fmt: skip
    assert ("dye_drive" in work.passed) is driven


def test_only_a_look_that_finds_all_dry_takes_a_wet_cylinder_back() -> None:
    work = hands()
    for look, starts in (("dry", True), ("wet", False), ("not_looked", False), ("dry", True)):
        work.log.add("fact", "test.cylinders", look)
        assert (opens(work, "no_liquid") is True) is starts, look
        work.log.add("mark", "test.again")


def test_every_step_that_starts_the_engine_stands_behind_it() -> None:
    steps = RULES.procedures["coolant_loss"].steps
    starting = {s.id for s in steps if "open_air" in s.gates}
    assert {"test_run", "warm_log", "bubbles", "transmission_level", "road_test"} <= starting
    assert all("no_liquid" in s.gates for s in steps if s.id in starting)
