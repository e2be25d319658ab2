"""The car as it is known: what gives each of its variables, what undoes it, and how old it is."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.job.test_branches import hands
from tests.logbook import Logbook
from weeptrace.job.advance import fold
from weeptrace.job.car import Car, car
from weeptrace.job.car.known import Known
from weeptrace.job.car.left import left
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import gate_state
from weeptrace.rules import load

RULES = load()
HOUR = 3600.0
ZERO = 273.15  # K at 0 °C


def seen(log: Logbook, now: dict[str, Any] | None = None) -> Car:
    moment = read_moment(log.moment() if now is None else now)
    return car(RULES, fold(RULES, log.events), moment)


def known(log: Logbook, name: str) -> Known:
    return seen(log).known[name]


def test_at_the_start_nothing_is_known() -> None:
    here = seen(Logbook())
    assert set(here.known) == set(RULES.state)
    assert all(each == Known() for each in here.known.values())
    assert (here.hottest, here.pressure, here.off) == (None, None, ())
    assert (here.unfilled, here.unlevelled, here.liquid, here.gross) == (0, 0, False, False)


def test_a_fan_is_dead_until_it_is_put_back_runs_or_a_day_is_over() -> None:
    log = Logbook()
    log.add("done", "fan.off")
    log.now = HOUR
    fan = known(log, "fan")
    assert (fan.value, fan.told, fan.by, fan.age) == ("dead", "dead", "fan.off", HOUR)
    log.now = RULES.limits["gate.fan_age"] + 1.0
    assert (known(log, "fan").value, known(log, "fan").told) == (None, "dead")
    log.add("done", "fan.on")
    assert (known(log, "fan").value, known(log, "fan").by) == ("live", "fan.on")


@pytest.mark.parametrize("run", ["engine.ran", "car.moved"])
def test_a_run_makes_the_fan_live_and_a_push_does_not(run: str) -> None:
    log = Logbook()
    log.add("done", "fan.off")
    log.now = 60.0
    log.add("mark", run)
    fan = known(log, "fan")
    ran = run == "engine.ran"
    assert (fan.value, fan.told, fan.undone) == ("live" if ran else "dead", "dead", ran)


def test_a_plug_or_a_belt_that_goes_on_by_the_ledger_makes_the_fan_live() -> None:
    for part, dead in (("part.fan_plug", "dead"), ("part.belt", "dead")):
        log = Logbook()
        log.add("done", "fan.off")
        log.add("fact", part, "off")
        assert known(log, "fan").value == dead
        assert seen(log).off == (part,)
        log.add("fact", part, "on")
        assert known(log, "fan").value == "live"


def test_the_hottest_that_it_can_be_falls_as_slowly_as_an_engine_cools() -> None:
    log = Logbook()
    log.add("fact", "coolant.temperature", "80", "°C")
    log.now = 1000.0
    # Without the air's temperature nothing is taken off.
    assert seen(log).hottest == pytest.approx(ZERO + 80.0)
    log.add("fact", "place.ambient", "20", "°C")
    # T = Ta + (T0 - Ta) exp(-t / tau), with the long time constant, 50 min (common practice).
    cooled = ZERO + 20.0 + 60.0 * math.exp(-1000.0 / 3000.0)
    assert seen(log).hottest == pytest.approx(cooled)
    log.add("mark", "engine.ran")
    assert seen(log).hottest is None
    assert known(log, "heat").value is None


def test_air_that_is_hotter_than_the_engine_counts() -> None:
    log = Logbook()
    log.add("fact", "coolant.temperature", "20", "°C")
    log.add("fact", "place.ambient", "35", "°C")
    assert seen(log).hottest == pytest.approx(ZERO + 35.0)


def test_pressure_is_none_where_it_is_shown_so_else_what_the_cap_lets_it_hold() -> None:
    log = Logbook()
    log.add("fact", "car.cap_rating", "100", "kPa")
    most = pytest.approx(100e3 * (1.0 + RULES.limits["cap.high"]))
    assert seen(log).pressure == most
    log.add("fact", "system.pressure_sign", "hose_soft")
    assert seen(log).pressure == 0.0
    log.add("fact", "hold.strokes", "12", "1")
    assert (known(log, "pressure").value, seen(log).pressure) == ("pumped", most)
    log.add("fact", "system.pressure_sign", "under_pressure")
    assert (known(log, "pressure").value, seen(log).pressure) == ("held", most)


def test_a_tester_is_on_until_it_is_let_off_though_the_hold_begins_anew() -> None:
    log = Logbook()
    log.add("done", "tester.fitted")
    assert seen(log).told("load") == "on"
    log.add("mark", "hold.again")
    assert seen(log).told("load") == "on"
    log.add("not_done", "pressure.released", "no time")
    assert seen(log).told("load") == "on"
    log.add("done", "pressure.released")
    assert seen(log).told("load") == "off"


def test_what_is_taken_back_gives_nothing() -> None:
    log = Logbook()
    event = log.add("done", "fan.off")
    log.add("undo", "fan.off", supersedes=event["id"])
    assert known(log, "fan") == Known()


# --- taken back: it may have been so all the same ------------------------------------------------


def test_a_part_whose_off_is_taken_back_counts_as_off_until_it_is_answered() -> None:
    log = Logbook()
    off = log.add("fact", "part.hose", "off")
    log.add("undo", "part.hose", supersedes=off["id"])
    assert seen(log).off == ("part.hose",)
    assert seen(log).unfilled == 1
    log.add("fact", "part.hose", "on")
    assert seen(log).off == ()
    assert fold(RULES, log.events).value("part.hose") == "on"
    assert seen(log).unfilled == 1  # what came out is still to be filled


def test_a_part_whose_off_is_taken_back_late_stays_on_as_it_was_answered() -> None:
    log = Logbook()
    off = log.add("fact", "part.hose", "off")
    log.add("fact", "part.hose", "on")
    log.add("undo", "part.hose", supersedes=off["id"])
    assert seen(log).off == ()
    assert fold(RULES, log.events).value("part.hose") == "on"


@pytest.mark.parametrize("against", ["fan.on", "engine.ran"])
def test_what_spoke_against_a_dead_fan_still_does_when_it_is_taken_back(against: str) -> None:
    log = Logbook()
    log.add("done", "fan.off")
    assert opens(log, "fan_safe") is True
    log.now = 60.0
    event = log.add("mark" if against == "engine.ran" else "done", against)
    log.add("undo", against, supersedes=event["id"])
    assert known(log, "fan").value is None
    assert opens(log, "fan_safe") is not True
    log.now = 120.0
    log.add("done", "fan.off")
    assert known(log, "fan").value == "dead"
    assert opens(log, "fan_safe") is True


def test_a_fan_may_be_live_where_its_page_is_left_to_take_another_entry_back() -> None:
    work = hands().until("gate.fan_back")
    assert opens(work.log, "fan_safe") is True
    work.log.now += 60.0
    last = work.log.events[-1]
    work.log.add("undo", last["field"], supersedes=last["id"])
    assert opens(work.log, "fan_safe") is not True
    assert opens(work.log, "fan_back") is not True
    work.log.add("done", "fan.off")
    assert opens(work.log, "fan_safe") is True


def test_a_live_fan_stays_live_where_an_entry_is_taken_back_during_the_run() -> None:
    work = hands().until("warm_log")
    mistyped = next(e for e in work.log.events if e["field"] == "car.name")
    work.log.add("undo", "car.name", supersedes=mistyped["id"])
    assert opens(work.log, "fan_back") is True
    assert opens(work.log, "cold") is not True  # the engine may have been started


def test_stands_that_are_taken_back_are_pushed_and_rocked_again() -> None:
    work = hands(car__raised="raised").until("look_below")
    assert opens(work.log, "stands") is True
    work.log.now += 60.0
    was = next(e for e in work.log.events if e["field"] == "stands.set")
    work.log.add("undo", "stands.set", supersedes=was["id"])
    work.log.add("done", "stands.set")
    assert opens(work.log, "stands") is not True
    for name in ("stands.pushed", "stands.rocked"):
        work.log.add("done", name)
    work.log.add("fact", "car.raised", "raised")
    assert opens(work.log, "stands") is True


@pytest.mark.parametrize("renewed", [False, True])
def test_cream_that_is_taken_back_is_answered_by_the_same_coolant_alone(renewed: bool) -> None:
    log = Logbook()
    for oil in ("oil.engine", "oil.transmission"):
        log.add("fact", oil, "clean")
    log.add("fact", "coolant.condition", "cream")
    shown = log.events[-1]["id"]
    if renewed:
        log.add("fact", "coolant.filled", "5", "L")
    log.add("undo", "coolant.condition", supersedes=shown)
    assert opens(log, "no_cream") is False
    log.add("fact", "coolant.condition", "clean")
    assert (opens(log, "no_cream") is True) is not renewed


def test_a_measurement_taken_back_makes_no_older_one_fresh() -> None:
    log = Logbook()
    log.pass_the_gate()
    assert opens(log, "cold") is True
    log.now += 60.0
    hot = log.add("fact", "coolant.temperature", "70", "°C")
    assert opens(log, "cold") is False
    log.add("undo", "coolant.temperature", supersedes=hot["id"])
    assert known(log, "heat").value is None
    assert opens(log, "cold") is not True


@pytest.mark.parametrize(
    ("kind", "name", "typed", "figure", "back"),
    [
        ("fact", "test.cylinders", "dry", "left.plugs", "test.plugs_in"),
        ("done", "test.isolated", "", "left.clamps", "test.clamps_off"),
        ("done", "test.fitted", "", "left.tester", "pressure.released"),
    ],
)
def test_what_was_opened_and_taken_back_is_still_to_be_put_back(
    kind: str, name: str, typed: str, figure: str, back: str
) -> None:
    log = Logbook()
    event = log.add(kind, name, typed)
    log.add("undo", name, supersedes=event["id"])
    assert left(RULES, fold(RULES, log.events), figure) == 1.0
    log.add("done", back)
    assert left(RULES, fold(RULES, log.events), figure) == 0.0


def test_a_corrected_figure_gives_what_it_was_corrected_to() -> None:
    log = Logbook()
    log.pass_the_gate()
    log.now += 60.0
    wrong = log.add("fact", "coolant.temperature", "155", "°C")
    log.add("fact", "coolant.temperature", "15.5", "°C", supersedes=wrong["id"])
    assert known(log, "heat").value == pytest.approx(ZERO + 15.5)


def test_a_clock_that_went_back_makes_all_of_it_too_old() -> None:
    log = Logbook()
    log.now = 2.0 * HOUR
    log.add("done", "fan.off")
    back = {**log.moment(HOUR), "mono": log.moment(3.0 * HOUR)["mono"]}
    fan = seen(log, back).known["fan"]
    assert (fan.value, fan.told, fan.age) == (None, "dead", math.inf)


def test_a_gate_opens_only_where_the_state_says_so() -> None:
    """Over every effect of any field: no gate is open against the state that it rests on."""
    wanted = {
        "fan_safe": {"fan": "dead"},
        "open_air": {"air": "open"},
        "cold": {"pressure": "none"},
    }
    log = Logbook()
    log.pass_the_gate()
    log.add("done", "fan.off")
    log.add("fact", "engine.air", "outdoors")
    for gate in wanted:
        assert opens(log, gate) is True
    done = 0
    for name in {name for variable in RULES.state.values() for name, *_ in variable.given}:
        field = RULES.fields[name]
        for word in field.options or ("",):
            kind = {"mark": "mark", "yes": "done", "choice": "fact", "part": "fact"}.get(field.kind)
            if kind is None or name == "work.reopened":  # taken only where nothing is open
                continue
            one = Logbook()
            one.events, one.now = list(log.events), log.now + 1.0
            one.add("resumed" if name == "app.resumed" else kind, name, word)
            here = seen(one)
            for gate, states in wanted.items():
                if opens(one, gate) is True:
                    done += 1
                    assert {id: here.known[id].value for id in states} == states, (name, word)
    assert done > 30


def opens(log: Logbook, gate: str) -> bool | None:
    moment = read_moment(log.moment())
    return gate_state(RULES, fold(RULES, log.events), RULES.gates[gate], moment).open
