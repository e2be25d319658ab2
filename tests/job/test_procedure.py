"""Where a job stands, and the gate whose evidence grows old."""

from __future__ import annotations

import pytest

from tests.logbook import Logbook
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import Position, gate_state, position
from weeptrace.rules import load

RULES = load()
AGE = RULES.limits["gate.evidence_age"]


def stand(log: Logbook, at: float | None = None) -> Position:
    return position(RULES, fold(RULES, log.events), read_moment(log.moment(at)))


def step(log: Logbook, at: float | None = None) -> str:
    here = stand(log, at)
    name = "closed" if here.step is None else here.step.id
    return f"gate before {name}" if here.gate is not None else name


def described() -> Logbook:
    log = Logbook()
    log.describe_car()
    log.add("done", "fan.off")
    return log


def test_the_first_step_that_is_not_done() -> None:
    log = Logbook()
    assert step(log) == "car_name"
    log.add("fact", "car.name", "Corvane Larkspur 2.4")
    assert step(log) == "cap_rating"
    log.add("not_done", "car.cap_rating", "worn off")
    assert step(log) == "cap_rating"  # it may not be skipped
    log.add("fact", "car.cap_rating", "110", "kPa")
    log.add("not_done", "car.capacity", "no book")
    assert step(log) == "glycol"  # it may


@pytest.mark.parametrize(
    ("temperature", "pressure", "opens"),
    [
        ("49.9", "hose_soft", True),
        ("50", "hose_soft", False),
        ("50.1", "hose_soft", False),
        ("20", "gauge_zero", True),
        ("20", "under_pressure", False),
    ],
)
def test_the_gate_opens_below_50_and_without_pressure(
    temperature: str, pressure: str, opens: bool
) -> None:
    log = described()
    assert step(log) == "gate before hold_level"
    log.pass_the_gate(temperature, pressure)
    assert step(log) == ("hold_level" if opens else "gate before hold_level")


@pytest.mark.parametrize(("later", "opens"), [(-0.1, True), (0.0, True), (0.1, False)])
def test_evidence_expires(later: float, opens: bool) -> None:
    log = described()
    log.pass_the_gate()
    assert (step(log, log.now + AGE + later) == "hold_level") is opens


def test_evidence_is_stale_after_a_restart_an_engine_run_or_pumping() -> None:
    for kind, field, typed in (
        ("resumed", "app.resumed", ""),
        ("mark", "engine.ran", ""),
        ("fact", "hold.strokes", "5"),
    ):
        log = described()
        log.pass_the_gate()
        assert step(log) == "hold_level"
        log.add(kind, field, typed)
        assert step(log) == "gate before hold_level"
        log.pass_the_gate()
        assert step(log) == "hold_level"


def test_one_missing_proof_keeps_the_gate_shut_and_says_which() -> None:
    log = described()
    log.add("fact", "coolant.temperature", "20", "°C")
    state = gate_state(
        RULES, fold(RULES, log.events), RULES.gates["cold"], read_moment(log.moment())
    )
    assert state.open is None
    assert state.missing == ("system.pressure_sign",)


def test_a_hold_goes_on_after_a_restart_without_asking_the_gate_again() -> None:
    log = described()
    log.pass_the_gate()
    log.fit_the_tester()
    log.read("110")
    log.reboot()
    assert step(log) == "hold_readings"


def test_stop_refer_and_going_on() -> None:
    log = described()
    stop = log.add("stopped", "gate.cold", "hose hard and hissing")
    job = fold(RULES, log.events)
    assert job.stopped is not None
    log.add("undo", "gate.cold", supersedes=stop["id"])
    assert fold(RULES, log.events).stopped is None


def test_the_whole_way_without_draining_and_with_it() -> None:
    log = described()
    log.pass_the_gate()
    log.fit_the_tester()
    for typed in ("110", "109", "109", "109", "109", "109"):
        log.read(typed)
    log.add("mark", "hold.ended")
    log.add("done", "hold.seen")
    log.add("done", "pressure.released")
    assert step(log) == "refill_or_not"
    choice = log.add("fact", "work.refill", "nothing")
    assert step(log) == "hand_over"
    log.add("fact", "work.refill", "drain", supersedes=choice["id"])
    assert step(log) == "missing_before"
    log.add("not_done", "coolant.missing_before")
    assert step(log) == "gate before drain"  # pumped up since: measured anew before it is opened
