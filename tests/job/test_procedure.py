"""Where a job stands, and the gate whose evidence grows old."""

from __future__ import annotations

import pytest

from tests.logbook import Logbook
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import Position, gate_state, parts_out, position
from weeptrace.rules import load

RULES = load()
STEPS = RULES.procedures["coolant_loss"].steps
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
    assert step(log) == "route"
    log.add("fact", "work.route", "measure")
    log.add("not_done", "complaint.words")
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


def proven() -> Logbook:
    """A leak held, found, dried and wet again; the pressure is off."""
    log = described()
    log.pass_the_gate()
    log.fit_the_tester()
    for typed in ("110", "109", "107", "106", "105", "103"):
        log.read(typed)
    log.add("mark", "hold.ended")
    log.add("done", "hold.seen")
    log.add("done", "zone.seen")
    log.add("fact", "finding.place", "radiator_seam")
    log.add("not_done", "finding.photo_wet")
    log.add("done", "finding.dried")
    log.add("fact", "finding.wet_again", "wet")
    log.add("not_done", "finding.photo_again")
    log.add("done", "pressure.released")
    return log


def quoted(kind: str) -> Logbook:
    log = proven()
    log.add("fact", "repair.kind", kind)
    if kind == "radiator":
        log.add("fact", "quote.hours", "3", "h")
        log.add("not_done", "quote.parts")
    log.add("fact", "quote.total", "500", "1")
    if kind == "radiator":
        log.add("fact", "quote.ceiling", "600", "1")
    log.add("fact", "consent.who", "The owner")
    log.add("fact", "consent.how", "signed")
    return log


def test_nothing_is_quoted_before_the_proof_and_nothing_taken_off_before_consent() -> None:
    log = proven()
    assert step(log) == "repair_kind"
    log.add("fact", "repair.kind", "hose_or_clamp")
    log.add("fact", "quote.total", "80", "1")
    log.add("fact", "consent.who", "The owner")
    refused = log.add("fact", "consent.how", "refused")
    assert step(log) == "after_wanted" or step(log) == "level_watch"
    log.add("fact", "consent.how", "spoken", supersedes=refused["id"])
    assert step(log) == "match_hose"


def test_a_radiator_is_drained_behind_the_gate_which_pumping_made_stale() -> None:
    log = quoted("radiator")
    for name in next(s for s in STEPS if s.id == "match_radiator").checks:
        assert step(log) == "match_radiator"
        log.add("done", name)
    assert step(log) == "missing_before"
    log.add("not_done", "coolant.missing_before")
    assert step(log) == "gate before drain"
    log.pass_the_gate()
    assert step(log) == "drain"


def test_what_comes_off_goes_back_last_first_and_blocks_until_it_is_on() -> None:
    log = quoted("hose_or_clamp")
    log.add("done", "match.hose_shape")
    log.add("done", "match.clamp_size")
    log.pass_the_gate()
    assert step(log) == "teardown"
    too_soon = log.add("fact", "part.clamp", "on")
    assert "not off" in fold(RULES, log.events).troubles["part.clamp"].words
    assert fold(RULES, log.events).seen[too_soon["id"]] == "refused"
    log.add("fact", "part.clamp", "off")
    log.add("fact", "part.hose", "off")
    log.add("note", "part.own_1", "Clip of the air pipe")
    out = [part.id for part in parts_out(RULES, fold(RULES, log.events))]
    assert out == ["part.clamp", "part.hose", "part.own_1"]
    log.add("done", "ledger.off_complete")
    log.add("done", "ledger.on_complete")
    assert step(log) == "reassembly"  # three are still off
    for part in out[::-1]:
        log.add("fact", part, "on")
    assert step(log) == "joints"
    late = log.add("fact", "part.hose", "off")
    assert step(log) == "reassembly"  # a detour: it came off again
    log.add("undo", "part.hose", supersedes=late["id"])
    assert step(log) == "joints"


def test_no_engine_runs_with_a_hose_off() -> None:
    log = quoted("radiator")
    gate = RULES.gates["ready_to_run"]
    now = read_moment(log.moment())
    assert gate_state(RULES, fold(RULES, log.events), gate, now).open is False
    log.add("fact", "coolant.filled", "4", "L")
    assert gate_state(RULES, fold(RULES, log.events), gate, now).open is True
    log.add("fact", "part.upper_hose", "off")
    assert gate_state(RULES, fold(RULES, log.events), gate, now).open is False
    log.add("fact", "part.upper_hose", "on")
    log.add("fact", "part.under_tray", "off")  # not needed to run
    assert gate_state(RULES, fold(RULES, log.events), gate, now).open is True
