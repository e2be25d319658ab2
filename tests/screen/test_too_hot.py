"""A reading above the stop limit takes the page; the limit is printed before anybody meets it."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from weeptrace import screen
from weeptrace.job.advance import fold
from weeptrace.rules import load

RULES = load()
Json = dict[str, Any]
UNITS = {each["id"]: each["units"] for each in RULES.unit_sets}


def view(log: Logbook, units: str = "kpa", look: str = "") -> Json:
    chosen = screen.preferences({"units": UNITS[units]}, RULES)
    return screen.view(RULES, fold(RULES, log.events), log.moment(), chosen, look)


def warming() -> Hands:
    """The warm-up is about to be read."""
    return Hands(Logbook()).until("warm_log")


def read(work: Hands, celsius: str) -> Json:
    work.log.now += 60.0
    return work.log.add("reading", "warm.coolant", celsius, "°C")


@pytest.mark.parametrize(("celsius", "stops"), [("115", False), ("115.6", True), ("124", True)])
def test_a_reading_above_the_limit_takes_the_page_at_once(celsius: str, stops: bool) -> None:
    """115 °C, limits: fans come on below 110 °C (common practice)."""
    work = warming()
    read(work, "90")
    read(work, celsius)
    made = view(work.log)
    assert (made["step"] == "stop.too_hot") is stops
    if stops:
        first = made["blocks"][1]
        assert first["word"] == "Stop the engine now"
        assert any("heater full hot" in line for line in first["lines"])
        assert any("Do not open" in line for line in first["lines"])
        assert made["state"]["shape"] == "stop"
        assert "READ" not in json.dumps(made)


def test_it_goes_on_only_when_it_is_cold_and_somebody_said_why() -> None:
    work = warming()
    read(work, "124")
    assert not [block for block in view(work.log)["blocks"] if block["block"] == "text"]
    work.log.now += 7200.0
    work.log.pass_the_gate("30")
    asked = [block for block in view(work.log)["blocks"] if block["block"] == "text"]
    assert asked[0]["event"]["field"] == "hot.happened"
    work.log.add("fact", "hot.happened", "Fan fuse blown, replaced")
    assert view(work.log)["step"] != "stop.too_hot"
    assert "Fan fuse blown" in json.dumps(view(work.log, look="record"))
    read(work, "118")  # and again
    assert view(work.log)["step"] == "stop.too_hot"


def test_a_slip_that_is_corrected_stops_nothing() -> None:
    work = warming()
    slip = read(work, "140")
    assert view(work.log)["step"] == "stop.too_hot"
    work.log.add("reading", "warm.coolant", "90", "°C", supersedes=slip["id"])
    assert view(work.log)["step"] == "warm_log"


def test_what_was_seen_on_the_road_stops_too() -> None:
    work = Hands(Logbook(), {"road.driven": ("done", None)}).until("road_hottest")
    work.log.add("fact", "road.hottest", "121", "°C")
    assert view(work.log)["step"] == "stop.too_hot"


def test_the_stop_condition_is_printed_beforehand_in_the_readers_unit() -> None:
    """115 °C = 1.8 * 115 + 32 = 239 °F, exact by definition."""
    work = warming()
    assert "Stop the engine above 115\N{NO-BREAK SPACE}°C" in json.dumps(
        view(work.log), ensure_ascii=False
    )
    fahrenheit = json.dumps(view(work.log, "psi"), ensure_ascii=False)
    assert "Stop the engine above 239\N{NO-BREAK SPACE}°F" in fahrenheit
    assert "°C" not in fahrenheit.replace('"°C"', "")


def test_the_very_first_entry_of_a_job_can_stop_it() -> None:
    log = Logbook()
    log.add("reading", "warm.coolant", "124", "°C")
    assert view(log)["step"] == "stop.too_hot"
    log.add("not_done", "hot.happened", "")
    assert view(log)["step"] == "stop.too_hot"  # nobody said what happened
