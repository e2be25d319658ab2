"""The moment of an entry: typed late, corrected later, the clock set back, a second apart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.logbook import Logbook
from tests.screen.test_view import RULES, blocks, described, holding, view
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import gate_state
from weeptrace.rules import Rules


def cold(log: Logbook, at: float | None = None) -> bool:
    """Whether the cool-down gate is open."""
    now = read_moment(log.moment(at))
    return gate_state(RULES, fold(RULES, log.events), RULES.gates["cold"], now).open is True


@pytest.mark.parametrize(("ahead", "opens"), [(0.0, True), (0.9, True), (1.1, False), (900, False)])
@pytest.mark.parametrize("restarted", [False, True])
def test_evidence_from_the_future_is_not_fresh(ahead: float, opens: bool, restarted: bool) -> None:
    """A clock set back makes old evidence lie ahead; a slip of a second is none."""
    log = described()
    if restarted:
        log.reboot()
        log.now += 5.0
        log.boot_began = log.now
    log.pass_the_gate()
    measured = log.now
    assert cold(log, measured)
    assert cold(log, measured - ahead) is opens


def test_a_clock_set_back_after_a_restart_does_not_make_a_measurement_young() -> None:
    log = described()
    log.now += 7200.0
    log.pass_the_gate("20")
    log.boot, log.boot_began, log.now = "boot-2", log.now - 7200.0, log.now - 7200.0
    assert not cold(log)


def test_a_run_that_is_typed_late_does_not_hide_a_later_one() -> None:
    """The engine ran at 300 s. Typed after it: it ran at 100 s too; cold was measured at 200 s."""
    log = described()
    log.now = 300.0
    log.add("mark", "engine.ran")
    log.add("mark", "engine.ran", at=100.0)
    log.add("fact", "coolant.temperature", "20", "°C", at=200.0)
    log.add("fact", "system.pressure_sign", "hose_soft", at=200.0)
    assert not cold(log, 310.0)


def test_a_run_that_is_typed_late_leaves_what_was_measured_after_both() -> None:
    log = described()
    log.now = 300.0
    log.add("mark", "engine.ran")
    log.add("mark", "engine.ran", at=100.0)
    log.now = 400.0
    log.pass_the_gate("20")
    assert cold(log, 410.0)


def without_the_bar(rules: Rules) -> Rules:
    """Rules in which a job may be opened again whatever is off, as an older bundle might say."""
    freed = replace(rules.fields["work.reopened"], only=None)
    return replace(rules, fields={**rules.fields, "work.reopened": freed})


def test_a_part_that_is_off_stays_off_when_a_round_begins_anew() -> None:
    log = Logbook()
    log.add("fact", "repair.kind", "radiator")
    log.add("fact", "part.radiator", "off")
    log.add("fact", "part.upper_hose", "off")
    log.add("fact", "part.upper_hose", "on")
    log.add("mark", "work.reopened")
    job = fold(without_the_bar(RULES), log.events)
    assert job.value("repair.kind") is None
    assert job.value("part.radiator") == "off"  # only a hand puts it back
    assert job.value("part.upper_hose") is None


def clock_of(made: object) -> str:
    assert isinstance(made, dict)
    return str(made["start"]["at"])[11:19]


def test_a_corrected_reading_keeps_the_time_at_which_the_needle_was_read() -> None:
    log = holding("110", "109", "108", "107")
    first = next(event for event in log.events if event["kind"] == "reading")
    (before,) = blocks(view(log), "recorder")
    log.now += 600.0
    log.add("reading", "hold.pressure", "109.5", "kPa", supersedes=first["id"])
    (after,) = blocks(view(log), "recorder")
    assert clock_of(after) == clock_of(before) == first["at"][11:19]
    assert (after["start"]["mono"], after["start"]["boot"]) == (first["mono"], first["boot"])
    assert [round(point["x"], 6) for point in after["plot"]["points"]] == [0.0, 1.0, 2.0, 3.0]
    assert after["plot"]["points"][0]["y"] == pytest.approx(109.5)
    heads = next(t["heads"] for t in blocks(view(log, "record"), "table") if t["heads"])
    assert heads[1] == f"before, {first['at'][11:16]}"


def test_a_reading_corrected_after_a_restart_keeps_its_place_in_the_hold() -> None:
    log = holding("110", "109", "108")
    third = next(event for event in reversed(log.events) if event["kind"] == "reading")
    log.now += 60.0
    log.reboot()
    log.now += 30.0
    log.add("reading", "hold.pressure", "108.5", "kPa", supersedes=third["id"])
    job = fold(RULES, log.events)
    timed = [(time, fact.value) for time, fact in job.present("hold.pressure").times()]
    assert timed == [(0.0, 110e3), (60.0, 109e3), (120.0, pytest.approx(108.5e3))]


@pytest.mark.parametrize("second", [0.0, 0.25, 0.75])
@pytest.mark.parametrize(
    ("apart", "taken"),
    [(0.5, False), (-0.5, False), (0.999, False), (1.0, True), (-1.0, True), (1.5, True)],
)
def test_two_readings_of_one_moment_are_one_too_many(
    second: float, apart: float, taken: bool
) -> None:
    """A needle is read once a second at most, wherever the clock's seconds begin."""
    log = holding("110")
    log.now += 60.0 + second
    log.add("reading", "hold.pressure", "109", "kPa")
    log.add("reading", "hold.pressure", "108", "kPa", at=log.now + apart)
    log.now += 2.0
    read = [point["y"] for point in blocks(view(log), "recorder")[0]["plot"]["points"]]
    assert len(read) == (3 if taken else 2)
    words = " ".join(line for row in blocks(view(log), "state") for line in row["lines"])
    assert ("109 kPa" in words.replace("\N{NO-BREAK SPACE}", " ")) is not taken


@pytest.mark.parametrize(
    ("field", "typed", "unit", "words"),
    [
        ("hold.pressure", "160.5", "kPa",
         "160.5 kPa is not accepted: above the gauge, end of scale. Accepted: 0 to 160 kPa."),
        ("hold.pressure", "23.3", "psi",
         "23.3 psi is not accepted: above the gauge, end of scale. Accepted: 0 to 23.2 psi."),
        ("hold.pressure", "-1", "kPa", "-1 kPa is not accepted. Accepted: 0 to 160 kPa."),
        ("place.ambient", "56", "°C", "56 °C is not accepted. Accepted: -40 to 55 °C."),
        ("hold.strokes", "301", "1", "301 is not accepted. Accepted: 1 to 300."),
        ("coolant.drained", "7.7", "L",
         "7.7 L is not accepted: above the system capacity. Accepted: 0 to 7.60 L."),
    ],
)  # fmt: skip
def test_a_figure_out_of_its_range_is_told_what_caps_it(
    field: str, typed: str, unit: str, words: str
) -> None:
    # The job's gauge ends at 160 kPa, 23.2 psi; its system holds 7.6 L.
    log = holding("110")
    log.now += 60.0
    log.add("reading" if field == "hold.pressure" else "fact", field, typed, unit)
    trouble = fold(RULES, log.events).troubles[field]
    assert trouble.words.replace("\N{NO-BREAK SPACE}", " ") == f"{words} Type it again."
