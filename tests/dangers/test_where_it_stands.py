"""A car on stands, the exhaust's air, a night alone under pressure, and a job that is stopped."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import Hands, walked

TICKS = ("stands.set", "stands.pushed", "stands.rocked")
ASKS_STANDS = ("gate.stands", "stands_set", "raised")
NIGHT = {"finding__place": "not_found", "test__kind": "overnight"}


@pytest.mark.parametrize("moved", ["road.driven", "work.reopened", "app.night", "test.ran"])
def test_stands_ticked_before_the_car_moved_are_ticked_again(moved: str) -> None:
    work = walked("drain", car__raised="raised")
    assert work.at() == "drain"
    if moved == "app.night":
        work.wait(14.0 * 3600.0)
    else:
        work.add("mark" if moved == "work.reopened" else "done", moved)
    work.answers["car.raised"] = "raised"
    shown = []
    for _ in range(40):
        page = work.page()
        shown.append(page.step)
        if page.step in ("drain", *ASKS_STANDS):
            break
        work.answer(page)
    assert shown[-1] in ASKS_STANDS, shown


def test_the_ground_of_yesterday_is_asked_again_today() -> None:
    work = walked("drain")
    work.wait(14.0 * 3600.0)
    page = work.until("drain", *ASKS_STANDS)
    assert page.step in ASKS_STANDS, work.way()[-6:]


def test_without_stands_nobody_is_sent_under_a_raised_car() -> None:
    work = Hands(work__where="mobile", kit__stands="missing", car__raised="raised")
    page = work.until("look_below", "gate.stands", "first_look")
    assert page.step == "gate.stands", page.words


@pytest.mark.parametrize("back", TICKS)
def test_a_tick_taken_back_keeps_a_hand_from_under_it(back: str) -> None:
    work = walked("drain", car__raised="raised")
    work.undo(back)
    assert work.at() != "drain"


def test_open_air_of_three_days_ago_is_asked_again() -> None:
    work = walked("road_test")
    work.wait(3.0 * 24.0 * 3600.0)
    work.resume()
    seen = len(work.seen)
    work.until("road_test")
    asked = set().union(*(page.asks for page in work.seen[seen:]), set())
    assert {"engine.air", "warm.extraction"} & asked, work.way()[-6:]


def test_a_closed_room_can_be_said_and_keeps_the_engine_off() -> None:
    work = walked("warm_log")
    work.fact("engine.air", "closed_room")
    page = work.page()
    assert page.step == "gate.open_air", page.words


def test_a_night_under_pressure_begins_below_the_rating_and_is_made_safe() -> None:
    work = walked("night_morning", **NIGHT)
    told = "\n".join(page.words for page in work.since("test_fit"))
    assert re.search(r"77 kPa|88 kPa|70 to 80 ?%", told), told  # 70 to 80 % of 110 kPa
    assert re.search(r"child", told, re.IGNORECASE)
    assert re.search(r"relief", told, re.IGNORECASE)
    assert re.search(r"air", told, re.IGNORECASE)


def test_a_morning_above_the_rating_is_taken_and_let_off() -> None:
    work = walked("night_morning", **NIGHT)
    work.wait(10.0 * 3600.0)
    work.fact("test.morning", "131", "kPa")
    page = work.page()
    assert "not accepted" not in page.words
    assert re.search(r"let (it )?off", page.words, re.IGNORECASE), page.words


@pytest.mark.parametrize("needle", ["112", "128"])
def test_a_needle_above_the_rating_is_taken_and_let_off(needle: str) -> None:
    work = walked("hold_readings")
    work.add("reading", "hold.pressure", needle, "kPa")
    page = work.page()
    assert "Type it again" not in page.words
    assert re.search(r"let (it )?off", page.words, re.IGNORECASE), page.words


def test_a_rating_corrected_downward_says_what_the_car_has_been_under() -> None:
    work = walked("hold_verdict")
    work.correct("car.cap_rating", "90", "kPa")
    page = work.page()
    assert page.step.startswith("stop."), page.step
    assert re.search(r"let off now, to 90 kPa", page.words, re.IGNORECASE)
    work.wait(60.0)
    work.add("reading", "over.let_off", "40", "kPa")
    after = work.page()
    assert after.step.startswith("stop."), after.step
    assert re.search(r"110 kPa", after.words), after.words


@pytest.mark.parametrize(
    ("step", "told"),
    [
        ("hold_readings", r"pressure"),
        ("residual_strength", r"Coolant is out"),
        ("transfer_radiator", r"Parts are off"),
        ("cold_level", r"fan is (disconnected|off)"),
    ],
)
def test_a_stopped_job_says_what_stands_open(step: str, told: str) -> None:
    work = walked(step)
    work.add("stopped", "gate.job", "it has grown dark")
    words = work.page().words
    assert re.search(told, words, re.IGNORECASE), words
    assert "Leave the system shut" not in words


def test_a_stopped_job_on_stands_says_so() -> None:
    work = walked("drain", car__raised="raised")
    work.add("stopped", "gate.job", "it has grown dark")
    assert re.search(r"raised", work.page().words, re.IGNORECASE)
