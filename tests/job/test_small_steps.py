"""The fold's small steps by themselves: two needles of one moment, the way back, an older boot."""

from __future__ import annotations

import pytest

from tests.logbook import ZERO, Logbook
from weeptrace.job.advance import advance, fold
from weeptrace.job.events import read_event, read_moment
from weeptrace.job.judge import judge_reading
from weeptrace.job.overnight import left_at
from weeptrace.job.procedure import gate_state
from weeptrace.job.state import EMPTY, Job
from weeptrace.refusal import Refusal
from weeptrace.rules import load

RULES = load()
NEEDLE = RULES.fields["hold.pressure"]


@pytest.mark.parametrize("first", [60.0, 60.25, 60.75, 60.999])
@pytest.mark.parametrize("apart", [-1.5, -1.0, -0.9, -0.3, 0.0, 0.3, 0.9, 1.0, 1.5])
def test_a_needle_is_read_once_a_second_at_most(first: float, apart: float) -> None:
    log = Logbook()
    log.add("reading", "hold.pressure", "100", "kPa", at=first)
    job = fold(RULES, log.events)
    # The phone's clock ticks in thousandths.
    second = round(first + apart, 3)
    event = read_event(log.add("reading", "hold.pressure", "99", "kPa", at=second))
    if abs(round(second - first, 3)) < 1.0:
        with pytest.raises(Refusal) as caught:
            judge_reading(RULES, job, NEEDLE, event)
        assert caught.value.code == "repeated_time"
        assert "100 kPa" in caught.value.message
    else:
        assert judge_reading(RULES, job, NEEDLE, event).value == pytest.approx(99e3)


def same(one: Job, other: Job) -> None:
    assert (one.facts, one.series, one.touched) == (other.facts, other.series, other.touched)
    assert [entry.event.id for entry in one.log] == [entry.event.id for entry in other.log]


def test_going_back_twice_forgets_the_checkpoints_that_no_longer_hold() -> None:
    """Forty names one after the other, an early one taken back, ten more, then a late one."""
    log = Logbook()
    named = [log.add("fact", "car.name", f"Heron {n}") for n in range(40)]
    job = EMPTY
    for event in log.events:
        job = advance(RULES, job, event)
    back = [log.add("undo", "car.name", supersedes=named[3]["id"])]
    back += [log.add("fact", "car.name", f"Larkspur {n}") for n in range(10)]
    back.append(log.add("undo", "car.name", supersedes=named[20]["id"]))
    back.append(log.add("undo", "car.name", supersedes=named[38]["id"]))
    for event in back:
        job = advance(RULES, job, event)
    counts = [each.count for each in job.checkpoints]
    assert counts == sorted(set(counts))
    assert counts[-1] <= job.count
    gone = {named[n]["id"] for n in (3, 20, 38)}
    left = [e for e in log.events if e["id"] not in gone and e["kind"] != "undo"]
    same(job, fold(RULES, left))


def test_what_ran_before_in_the_log_undoes_nothing_though_its_clock_was_ahead() -> None:
    """The phone's clock ran two hours ahead, then it was started again and set right."""
    log = Logbook()
    ran = log.add("mark", "engine.ran")
    ran["at"] = ZERO.replace(hour=16).isoformat(timespec="milliseconds")
    log.now = 100.0
    log.reboot()
    log.pass_the_gate()
    job = fold(RULES, log.events)
    state = gate_state(RULES, job, RULES.gates["cold"], read_moment(log.moment()))
    assert (state.stale, state.missing) == ((), ())
    log.now += 10.0
    log.add("mark", "engine.ran")
    job = fold(RULES, log.events)
    after = gate_state(RULES, job, RULES.gates["cold"], read_moment(log.moment()))
    assert set(after.stale) == {"coolant.temperature", "system.pressure_sign"}


def test_the_needle_that_a_night_began_at_by_three_entries() -> None:
    log = Logbook()
    for kind, field, typed in (
        ("reading", "over.let_off", "60"), ("fact", "test.evening", "100"),
        ("reading", "over.let_off", "95"), ("reading", "over.let_off", "90"),
        ("reading", "over.let_off", "85"), ("fact", "test.morning", "70"),
        ("reading", "over.let_off", "10"),
    ):  # fmt: skip
        log.now += 10.0
        log.add(kind, field, typed, "kPa")
    assert left_at(fold(RULES, log.events)) == pytest.approx(85e3)
    assert left_at(fold(RULES, log.events[:3])) is None
    assert left_at(fold(RULES, log.events[:4])) == pytest.approx(95e3)
