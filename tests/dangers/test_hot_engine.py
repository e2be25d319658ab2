"""A car that arrives hot, an engine that gets too hot, and hands beside an engine that ran."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import Hands, walked

RUN = {"finding__place": "not_found", "test__kind": "run_watch", "test__result": "found"}


def test_heat_is_asked_before_anything_near_the_engine() -> None:
    work = walked("record")
    near = re.compile(r"bonnet|fan's plug|under the car|Pull|Disconnect", re.IGNORECASE)
    first = next(n for n, page in enumerate(work.seen) if near.search(page.words))
    before = " ".join(page.words for page in work.seen[:first])
    assert re.search(r"steam|hiss", before, re.IGNORECASE), work.seen[first].words


def test_a_car_that_hisses_is_kept_away_from() -> None:
    work = Hands(arrival__hot="yes")
    page = work.until("stand_off", "fan_off", "secured")
    assert re.search(r"stay away|keep back|keep away|stand back|stay back", page.words, re.I), (
        page.words
    )
    work.until("fan_off", "record")
    assert "arrival_cool" in work.way()
    assert {"coolant.temperature", "arrival.cooled"} & {row["field"] for row in work.events}


def test_no_cold_water_on_a_hot_engine() -> None:
    work = Hands(arrival__hot="yes")
    page = work.until("stand_off", "fan_off")
    assert re.search(r"no (cold )?water|cold water", page.words, re.I), page.words


def test_the_housing_is_measured_too_where_a_tank_may_hold_air() -> None:
    page = Hands().until("gate.cold")
    assert re.search(r"thermostat housing", page.words, re.I), page.words
    assert "igher" in page.words


@pytest.mark.parametrize("gate", ["cold", "cool_metal", "cold_for_vacuum"])
def test_no_wait_for_it_to_cool_leaves_the_engine_running(gate: str) -> None:
    work = Hands(arrival__hot="yes", fill__how="vacuum")
    if gate == "cold_for_vacuum":
        work = walked("vacuum_readings", fill__how="vacuum")
        work.fact("coolant.temperature", "45", "°C")
    page = work.until(f"gate.{gate}")
    assert re.search(r"engine off", page.words, re.I), page.words


@pytest.mark.parametrize("hot", ["118", "124"])
def test_too_hot_in_a_warm_up_says_stop_at_once(hot: str) -> None:
    work = walked("warm_log")
    work.add("reading", "warm.coolant", "90", "°C")
    work.wait(60.0)
    work.add("reading", "warm.coolant", hot, "°C")
    page = work.page()
    assert re.search(r"stop the engine", page.words, re.I), page.words
    assert "READ" not in page.words


def test_the_limit_stands_on_the_page_before_the_engine_runs() -> None:
    page = walked("warm_log").page()
    assert re.search(r"Stop the engine above 115 °C", page.words), page.words


def test_too_hot_stays_a_stop_through_a_new_start_and_a_night() -> None:
    work = walked("warm_log")
    work.add("reading", "warm.coolant", "124", "°C")
    work.resume()
    assert work.at() == "stop.too_hot"
    work.wait(30_000.0)
    assert work.at() == "stop.too_hot"


def test_hands_that_dry_a_place_after_a_run_come_behind_fan_and_heat() -> None:
    work = Hands(**RUN)
    work.until("test_found", "repair_kind")
    work.answers["finding.place"] = "water_pump"
    ran = len(work.events)
    page = work.until("dried", "repair_kind")
    assert page.step == "dried"
    rows = [row["field"] for row in work.events[ran:]]
    assert "fan.off" in rows, (work.way()[-8:], page.words)
    assert re.search(r"hot|burn", page.caution, re.I), page.caution


def test_nobody_is_invited_to_run_it_from_a_safe_place() -> None:
    work = walked("record", work__route="seen")
    assert not any("running from a safe place" in page.words for page in work.seen)


def test_on_the_quick_way_a_place_is_dried_only_on_cool_metal() -> None:
    work = Hands(work__route="seen")
    work.until("dried")
    assert {"coolant.temperature", "arrival.cooled"} & {r["field"] for r in work.events}, work.way()
