"""Airbags, timing belts, line air, warm vacuums, hot fluid, fire, and children near an open pan."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import Hands, Page, walked

COOLER = {"repair__kind": "radiator_with_cooler"}


def told(pages: list[Page]) -> str:
    """All the words of some pages."""
    return "\n".join(page.words for page in pages)


def test_a_heater_core_comes_out_with_the_battery_off_and_the_wait_over() -> None:
    work = walked("teardown", repair__kind="heater_core")
    words = told(work.seen) + work.page().words
    assert re.search(r"airbag", words, re.IGNORECASE)
    assert re.search(r"battery (is )?off|lead off|earth off", words, re.IGNORECASE), work.way()


def test_a_timing_belt_is_asked_and_turned_twice_by_hand() -> None:
    work = Hands(repair__kind="water_pump", belt__kind="timing")
    work.until("warm_log")
    words = told(work.seen)
    assert re.search(r"timing belt", words, re.IGNORECASE), work.way()
    assert re.search(r"two (crank )?turns|twice|two full turns", words, re.IGNORECASE)


def test_line_air_is_never_blown_into_it() -> None:
    page = walked("dry_pump", dry__wanted="dry_air").page()
    assert re.search(r"hand pump", page.words, re.IGNORECASE), page.words


@pytest.mark.parametrize(("warm", "opens"), [("45", False), ("35", True)])
def test_a_vacuum_is_pulled_only_below_40_degrees(warm: str, opens: bool) -> None:
    """Water boils at 7.4 kPa at 40 °C and 9.6 kPa at 45 °C (IAPWS-IF97): near what is left."""
    work = walked("vacuum_ready", fill__how="vacuum")
    work.fact("coolant.temperature", warm, "°C")
    work.fact("system.pressure_sign", "hose_soft")
    for _ in range(8):
        page = work.page()
        if page.step not in ("vacuum_ready",):
            break
        work.answer(page)
    assert (page.step == "vacuum_readings") is opens, page.words


def test_hot_transmission_fluid_and_exhaust_are_named_under_a_running_car() -> None:
    work = walked("record", **COOLER)
    page = next(page for page in work.seen if page.step == "transmission_level")
    words = page.words + told(work.since("transmission_level")[:1])
    assert re.search(r"scald|burn|hot", words, re.IGNORECASE), words
    assert re.search(r"exhaust", words, re.IGNORECASE), words


def test_spilled_coolant_on_a_hot_exhaust_is_spoken_of_before_a_start() -> None:
    caution = walked("warm_log").page().caution
    assert re.search(r"spills? (burn|catch)|fire", caution, re.IGNORECASE), caution


def test_children_and_animals_are_kept_from_an_open_pan() -> None:
    work = walked("record")
    words = told(work.since("drain_ready"))
    assert re.search(r"child", words, re.IGNORECASE)
    assert re.search(r"animal|pet|dog", words, re.IGNORECASE)
