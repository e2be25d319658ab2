"""The level falls as the engine runs: one press takes the page, and what to do comes first."""

from __future__ import annotations

from typing import Any

import pytest

from tests.hands import RULES, Hands
from tests.job.test_branches import hands, opens
from weeptrace.screen import preferences, view

FALLS = "engine.level_falls"


def shown(work: Hands) -> dict[str, Any]:
    """The present view."""
    return view(RULES, work.job, work.log.moment(), preferences(None, RULES))


def keys(work: Hands) -> list[str]:
    """The fields that the keys of the foot enter."""
    return [key["do"]["event"]["field"] for key in shown(work)["foot"]["keys"]
            if "event" in key["do"]]  # fmt: skip


@pytest.mark.parametrize("step", ["bubbles", "warm_log", "road_test"])
def test_every_page_of_a_running_engine_has_its_key(step: str) -> None:
    assert FALLS in keys(hands().until(step))


def test_no_page_of_an_engine_that_stands_has_it() -> None:
    assert FALLS not in keys(hands().until("joints"))


def test_the_page_says_what_to_do_now_before_all_else() -> None:
    work = hands().until("warm_log")
    work.log.add("reading", "warm.coolant", "88", "°C")
    work.log.add("mark", FALLS)
    made = shown(work)
    assert made["step"] == "stop.level_falls"
    assert made["state"]["word"] == "The level falls"
    title, now = made["blocks"][0], made["blocks"][1]
    assert title["text"] == "The level falls"
    assert (now["shape"], now["word"]) == ("stop", "Stop the engine now")
    assert "pour nothing in" in str(now["lines"])


def test_it_goes_on_only_when_it_is_cold_and_somebody_said_why() -> None:
    work = hands().until("warm_log")
    work.log.add("reading", "warm.coolant", "88", "°C")
    work.log.add("mark", FALLS)
    work.log.add("fact", "coolant.temperature", "70", "°C")
    assert "low.happened" not in str(shown(work)["blocks"])
    work.log.now += 3600.0
    work.log.pass_the_gate("30")
    assert "low.happened" in str(shown(work)["blocks"])
    work.log.add("fact", "low.happened", "A hose end let go")
    assert shown(work)["step"] != "stop.level_falls"
    assert opens(work, "closed_up") is False  # no start before the level stands at its mark
    work.log.add("done", "pressure.level_set")
    work.log.add("done", "pressure.cap_on")
    assert opens(work, "closed_up") is True


def test_a_second_fall_stops_it_again_and_a_slip_is_taken_back() -> None:
    work = hands().until("warm_log")
    work.log.add("mark", FALLS)
    work.log.add("fact", "low.happened", "Top hose")
    again = work.log.add("mark", FALLS)
    assert shown(work)["step"] == "stop.level_falls"
    work.log.add("undo", FALLS, supersedes=again["id"])
    assert shown(work)["step"] != "stop.level_falls"
