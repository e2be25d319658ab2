"""Before a hold with a warm engine: told to wait, until when, and measured again with one press."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.logbook import ZERO, Logbook
from tests.screen.records import measured
from tests.screen.test_view import blocks, described, view

Json = dict[str, Any]
NBSP = "\N{NO-BREAK SPACE}"
HOLDS_LIMIT = 10.0  # K above the air: common practice, as the hold's rules say
FAST, SLOW = 30.0, 50.0  # min, time constants with an open bonnet: common practice
AIR = 8.0  # °C, as the car of these tests stands


def warm(celsius: str) -> Logbook:
    """At the pump with a warm engine, the tester fitted."""
    log = described()
    log.pass_the_gate(celsius)
    for kind, field, typed in (
        ("fact", "hold.level", "to_neck"),
        ("done", "tester.fitted", ""),
    ):
        log.now += 5.0
        log.add(kind, field, typed)
    return log


def notice(made: Json) -> Json | None:
    return next((b for b in blocks(made, "state") if b["word"] == "Too warm: measure again"), None)


def key(made: Json) -> Json:
    found = notice(made)
    assert found is not None
    return found


def cool_at(measured: datetime, celsius: float, minutes: float) -> str:
    """Clock time of t = tau ln((T0 - Ta) / (T - Ta)), Newton's law of cooling."""
    wait = minutes * math.log((celsius - AIR) / HOLDS_LIMIT)
    return f"{measured + timedelta(minutes=wait):%H:%M}"


def store(log: Logbook, row: Json, typed: str, unit: str) -> Json:
    """As the phone does after STORE: the pad's own event with what was typed, and its moment."""
    event = row["do"]["pad"]["event"]
    return log.add(event["kind"], event["field"], typed, unit, supersedes=event.get("supersedes"))


def test_a_warm_engine_is_told_to_wait_until_a_clock_time_and_can_be_measured_again() -> None:
    log = warm("38")
    measured = ZERO + timedelta(seconds=log.now - 10.0)
    made = view(log)
    assert made["step"] == "pump_up"
    again = key(made)
    low, about, high = (cool_at(measured, 38.0, tau) for tau in (FAST, (FAST + SLOW) / 2.0, SLOW))
    assert again["lines"][:2] == [
        f"Cool enough at about {about}",
        f"{low} to {high}, bonnet open.",
    ]
    assert again["do"]["pad"]["unit"] == "°C"


def test_the_new_temperature_has_its_own_time_and_the_notice_goes_by_it() -> None:
    log = warm("38")
    first = log.events[-4]
    assert first["field"] == "coolant.temperature"
    log.now += 90.0 * 60.0
    event = store(log, key(view(log)), "30", "°C")
    assert "supersedes" not in event  # no correction: the first one stays as it was measured
    made = view(log)
    assert made["step"] == "pump_up"
    again = key(made)
    assert again["lines"][0].endswith(
        cool_at(ZERO + timedelta(seconds=log.now), 30.0, (FAST + SLOW) / 2.0)
    )
    log.now += 60.0 * 60.0
    store(log, again, "17", "°C")
    made = view(log)
    assert made["step"] == "pump_up"
    assert notice(made) is None
    kept = [e for e in log.events if e["field"] == "coolant.temperature"]
    assert [e["typed"] for e in kept] == ["38", "30", "17"]
    assert len({e["at"] for e in kept}) == 3
    told = view(log, "so_far")
    words = str(told["blocks"])
    assert "17" in words


@pytest.mark.parametrize(
    ("units", "words"), [("kpa", f"10{NBSP}°C"), ("bar", f"10{NBSP}°C"), ("psi", f"18{NBSP}°F")]
)
def test_the_difference_is_in_degrees_of_the_reader(units: str, words: str) -> None:
    told = key(view(warm("38"), units=units))
    assert f"within {words} of the air" in told["lines"][2]
    assert f"{NBSP}K" not in str(told)


def test_ten_degrees_above_the_air_may_be_held() -> None:
    assert notice(view(warm("18"))) is None
    assert notice(view(warm("18.1"))) is not None


def test_behind_the_cool_down_gate_the_pressure_is_asked_again_once_it_is_old() -> None:
    log = described()
    log.pass_the_gate("38")
    made = view(log)
    assert made["step"] == "hold_level"
    assert notice(made) is not None
    log.now += 15.0 * 60.0
    store(log, key(made), "36", "°C")
    log.now += 10.0 * 60.0  # the temperature is ten minutes old, the pressure's sign twenty-five
    made = view(log)
    assert made["step"] == "gate.cold"
    assert blocks(made, "choice")  # how it shows that no pressure is in it
    log.add("fact", "system.pressure_sign", "hose_soft")
    made = view(log)
    assert made["step"] == "hold_level"
    assert notice(made) is not None


def test_no_notice_once_the_hold_is_read() -> None:
    log = warm("38")
    log.add("fact", "hold.strokes", "5", "1")
    assert notice(view(log)) is not None
    log.read("110")
    assert notice(view(log)) is None


def test_the_hold_after_the_repair_is_told_the_same() -> None:
    log = after_the_repair("38")
    made = view(log)
    assert made["step"] == "after_pump"
    assert notice(made) is not None
    log.now += 40.0 * 60.0
    store(log, key(made), "15", "°C")
    made = view(log)
    assert made["step"] == "after_pump"
    assert notice(made) is None


def after_the_repair(celsius: str) -> Logbook:
    """A whole job up to the pump of its second hold, the engine at a temperature again."""
    log = measured()
    at = next(n for n, e in enumerate(log.events) if e["field"] == "after.fitted")
    temperature = log.events[at - 2]
    assert temperature["field"] == "coolant.temperature"
    log.events = log.events[: at + 1]
    temperature["typed"] = celsius
    log.now = seconds(log.events[-1])
    return log


def seconds(event: Json) -> float:
    return (datetime.fromisoformat(event["at"]) - ZERO).total_seconds()
