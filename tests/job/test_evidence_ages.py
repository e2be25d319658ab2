"""What a gate rests on grows old by the longer clock, and what undoes it is whatever undoes it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.logbook import Logbook
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import gate_state
from weeptrace.rules import load

RULES = load()
HOUR = 3600.0
TICKS = ("stands.set", "stands.pushed", "stands.rocked")


def opens(log: Logbook, gate: str, now: dict[str, Any] | None = None) -> bool | None:
    moment = read_moment(log.moment() if now is None else now)
    return gate_state(RULES, fold(RULES, log.events), RULES.gates[gate], moment).open


def raised() -> Logbook:
    log = Logbook()
    log.add("fact", "car.raised", "raised")
    for tick in TICKS:
        log.add("done", tick)
    assert opens(log, "stands") is True
    return log


def cold() -> Logbook:
    log = Logbook()
    log.pass_the_gate()
    log.add("done", "fan.off")
    assert opens(log, "cold") is True
    assert opens(log, "fan_safe") is True
    return log


def clocks(log: Logbook, wall: float, mono: float) -> dict[str, Any]:
    """A moment at which the wall clock and the monotonic one went on by different times, s."""
    return {**log.moment(log.now + wall), "mono": log.moment(log.now + mono)["mono"]}


@pytest.mark.parametrize(
    ("wall", "mono", "open"),
    [
        (60.0, 60.0, True),
        (3.0 * HOUR, 30.0, None),  # the phone was asleep
        (-3.0 * HOUR, 30.0, None),  # the wall clock was set back
        (-0.5, 30.0, True),  # a slip
        (30.0, 3.0 * HOUR, None),  # set back by as much as went by
    ],
)
def test_coldness_is_as_old_as_the_longer_clock_says(
    wall: float, mono: float, open: bool | None
) -> None:
    log = cold()
    assert opens(log, "cold", clocks(log, wall, mono)) is open


def test_a_clock_set_back_across_a_restart_makes_the_fan_live() -> None:
    log = cold()
    log.now += 60.0
    log.reboot()
    assert opens(log, "fan_safe") is True
    assert opens(log, "fan_safe", clocks(log, -HOUR, 5.0)) is None


def test_a_fan_made_safe_before_the_engine_ran_in_an_earlier_boot_is_live() -> None:
    """Typed after a restart, for a moment before the run."""
    log = Logbook()
    log.now = HOUR
    log.add("mark", "engine.ran")
    log.reboot()
    log.now += 60.0
    log.add("done", "fan.off", at=0.5 * HOUR)
    assert opens(log, "fan_safe") is None
    log.add("done", "fan.off")
    assert opens(log, "fan_safe") is True


@pytest.mark.parametrize(
    "moved",
    ["car.moved", "engine.ran", "test.ran", "road.driven", "work.reopened", "warm.coolant"],
)
def test_stands_are_looked_at_again_when_the_car_moved_or_shook(moved: str) -> None:
    log = raised()
    kind = RULES.fields[moved].kind
    if kind == "reading":
        log.add("reading", moved, "60", "°C")
    else:
        log.add("done" if kind == "yes" else "mark", moved)
    assert opens(log, "stands") is None
    log.now += 60.0
    log.add("fact", "car.raised", "raised")
    assert opens(log, "stands") is None  # each tick is a look of its own
    for tick in TICKS:
        log.add("done", tick)
    assert opens(log, "stands") is True


def test_stands_and_the_ground_are_not_taken_for_granted_the_next_day() -> None:
    log = raised()
    log.now += 13.0 * HOUR
    assert opens(log, "stands") is None
    ground = Logbook()
    ground.add("fact", "car.raised", "on_ground")
    assert opens(ground, "stands") is True
    ground.now += 13.0 * HOUR
    assert opens(ground, "stands") is None


def test_without_stands_nobody_goes_under_a_raised_car() -> None:
    log = raised()
    log.add("fact", "kit.stands", "missing")
    assert opens(log, "stands") is False
    log.add("fact", "car.raised", "on_ground")
    assert opens(log, "stands") is True


def test_every_group_of_work_under_the_car_asks_the_stands_anew() -> None:
    steps = {step.id: step for step in RULES.procedures["coolant_loss"].steps}
    for id in ("look_below", "drain", "transmission_lines", "teardown", "reassembly",
               "transmission_level"):  # fmt: skip
        assert "stands" in steps[id].gates


def test_a_closed_room_keeps_the_engine_off() -> None:
    log = Logbook()
    log.add("fact", "engine.air", "closed_room")
    assert opens(log, "open_air") is False
    for word in ("outdoors", "hose_on_tailpipe"):
        log.add("fact", "engine.air", word)
        assert opens(log, "open_air") is True


@pytest.mark.parametrize("since", ["app.resumed", "car.moved", "road.driven", "later"])
def test_where_the_exhaust_goes_is_asked_again(since: str) -> None:
    log = Logbook()
    log.add("fact", "engine.air", "outdoors")
    if since == "later":
        log.now += 2.1 * HOUR
    elif since == "app.resumed":
        log.reboot()
    else:
        log.add("done" if since == "road.driven" else "mark", since)
    assert opens(log, "open_air") is None


@pytest.mark.parametrize("part", ["part.fan_plug", "part.belt"])
def test_a_plug_or_belt_put_on_by_the_ledger_makes_the_fan_live(part: str) -> None:
    log = cold()
    log.add("fact", part, "off")
    assert opens(log, "fan_safe") is True
    log.add("fact", part, "on")
    assert opens(log, "fan_safe") is None
    log.add("done", "fan.off")
    assert opens(log, "fan_safe") is True


def test_a_plug_taken_off_by_the_ledger_takes_the_fan_away() -> None:
    log = cold()
    log.add("done", "fan.on")
    assert opens(log, "fan_back") is True
    log.add("fact", "part.fan_plug", "off")
    assert opens(log, "fan_back") is None
