"""The fold: store first, judge after; corrections, undo, refused entries, broken entries."""

from __future__ import annotations

import random

import pytest

from tests.logbook import Logbook
from weeptrace.job.advance import advance, fold
from weeptrace.job.holds import PRESSURE
from weeptrace.job.state import EMPTY, Job
from weeptrace.rules import load

RULES = load()


def folded(log: Logbook) -> Job:
    return fold(RULES, log.events)


def hold() -> Logbook:
    log = Logbook()
    log.describe_car()
    log.pass_the_gate()
    log.fit_the_tester()
    return log


def test_facts_are_si_and_keep_what_was_typed() -> None:
    log = Logbook()
    log.add("fact", "car.capacity", "7,60", "L")
    job = folded(log)
    assert job.value("car.capacity") == pytest.approx(7.6e-3, rel=1e-12)
    assert job.facts["car.capacity"].event.typed == "7,60"


def test_unknown_stays_unknown() -> None:
    log = Logbook()
    log.add("not_done", "car.capacity", "no book here")
    job = folded(log)
    assert job.value("car.capacity") is None
    assert job.answered("car.capacity")
    assert not job.answered("owner.rate")


@pytest.mark.parametrize(
    ("field", "typed", "unit", "words"),
    [
        ("car.capacity", "seven", "L", "not a number"),
        ("car.capacity", "7.6", "furlong", "not known"),
        ("car.capacity", "7.6", "kPa", "unit of pressure"),
        ("car.capacity", "0.4", "L", "0.5 to 80.00"),
        ("car.capacity", "81", "L", "0.5 to 80.00"),
        ("car.glycol", "water", None, "none of"),
        ("car.name", "", None, "1 to 28 characters"),
        ("hold.strokes", "0", "1", "1 to 300"),
        ("hold.strokes", "5", "kPa", "count"),
        ("no.such.field", "1", None, "not a field"),
    ],
)
def test_a_bad_entry_is_kept_and_told(field: str, typed: str, unit: str | None, words: str) -> None:
    log = Logbook()
    event = log.add("fact", field, typed, unit)
    job = folded(log)
    assert job.seen[event["id"]] == "refused"
    assert words in job.troubles[field].words
    assert job.value(field) is None
    assert any(entry.event.id == event["id"] for entry in job.log)


@pytest.mark.parametrize(
    ("typed", "taken"), [("0.5", True), ("0.499", False), ("80", True), ("80.001", False)]
)
def test_ranges_at_and_just_beyond_their_ends(typed: str, taken: bool) -> None:
    log = Logbook()
    log.add("fact", "car.capacity", typed, "L")
    assert (folded(log).value("car.capacity") is not None) is taken


@pytest.mark.parametrize(
    ("typed", "words"),
    [("161", "above the gauge, end of scale"), ("abc", "not a number"), ("-1", "0 to 160")],
)
def test_a_bad_reading_is_refused_and_the_others_stay(typed: str, words: str) -> None:
    log = hold()
    log.read("110")
    log.read("109")
    bad = log.read(typed)
    log.read("108")
    job = folded(log)
    assert [fact.event.typed for _, fact in job.present(PRESSURE).times()] == ["110", "109", "108"]
    assert job.seen[bad["id"]] == "refused"
    assert any(words in entry.words for entry in job.log)


def test_the_gauge_span_caps_a_reading_too() -> None:
    log = Logbook()
    log.describe_car()
    log.add("fact", "tester.span", "100", "kPa")
    log.read("101")
    assert "above the gauge, end of scale" in folded(log).troubles["hold.pressure"].words


def test_a_rating_typed_in_psi_takes_the_same_figure_as_a_reading() -> None:
    log = Logbook()
    log.add("fact", "car.cap_rating", "16.0", "psi")
    log.read("16.0", "psi")
    assert len(folded(log).present(PRESSURE).readings) == 1


def test_a_repeated_time_is_refused_an_earlier_one_is_sorted_in() -> None:
    log = hold()
    first = log.read("110")
    again = log.add("reading", "hold.pressure", "109", "kPa")  # the same moment
    log.read("106", after=120.0)
    log.add("reading", "hold.pressure", "108", "kPa", at=log.now - 60.0)
    job = folded(log)
    assert [fact.event.typed for _, fact in job.present(PRESSURE).times()] == ["110", "108", "106"]
    assert [time for time, _ in job.present(PRESSURE).times()] == pytest.approx([0.0, 60.0, 120.0])
    assert job.seen[again["id"]] == "refused"
    assert job.seen[first["id"]] == "accepted"


def test_durations_go_by_the_monotonic_clock_and_by_the_wall_across_boots() -> None:
    log = hold()
    log.read("110")
    wrong = log.read("109")
    wrong["at"] = "2026-11-25T19:00:00.000+01:00"  # somebody set the phone's clock meanwhile
    log.reboot()
    log.read("108")
    assert [time for time, _ in folded(log).present(PRESSURE).times()] == pytest.approx(
        [0.0, 60.0, 120.0]
    )


def test_a_correction_takes_the_place_and_the_moment_of_the_first() -> None:
    log = hold()
    log.read("110")
    slip = log.read("19")
    log.read("108")
    log.now += 30.0
    log.add("reading", "hold.pressure", "109", "kPa", supersedes=slip["id"])
    job = folded(log)
    assert [fact.event.typed for _, fact in job.present(PRESSURE).times()] == ["110", "109", "108"]
    assert [time for time, _ in job.present(PRESSURE).times()] == pytest.approx([0.0, 60.0, 120.0])
    assert [event.typed for event in job.superseded] == ["19"]


def test_a_correction_of_an_early_fact_is_judged_again_down_the_line() -> None:
    log = Logbook()
    span = log.add("fact", "tester.span", "100", "kPa")
    log.read("110")
    assert not folded(log).present(PRESSURE).readings
    log.add("fact", "tester.span", "160", "kPa", supersedes=span["id"])
    assert len(folded(log).present(PRESSURE).readings) == 1


def test_undo_gives_back_the_job_before() -> None:
    log = hold()
    before = folded(log)
    reading = log.read("110")
    log.add("undo", "hold.pressure", supersedes=reading["id"])
    after = folded(log)
    assert after.series == before.series
    assert after.facts == before.facts
    assert after.seen[reading["id"]] == "superseded"


def test_undo_of_something_that_is_not_there_is_told() -> None:
    log = Logbook()
    log.add("undo", "car.name", supersedes="01990000-0000-7000-8000-0000000000ff")
    assert "does not exist" in folded(log).troubles["car.name"].words


def test_a_duplicate_event_changes_nothing() -> None:
    log = hold()
    log.read("110")
    assert fold(RULES, [*log.events, log.events[-1], log.events[3]]) == folded(log)


def test_a_broken_event_stops_the_fold_and_can_be_taken_back() -> None:
    log = hold()
    log.read("110")
    poison = log.add("sparkle", "hold.pressure", "1")  # a kind of a newer version
    log.read("109")
    job = folded(log)
    assert job.broken is not None
    assert "sparkle" in job.broken[0]
    assert "not known" in job.broken.words
    assert len(job.present(PRESSURE).readings) == 1
    assert len(job.waiting) == 1
    log.add("undo", "hold.pressure", supersedes=poison["id"])
    mended = folded(log)
    assert mended.broken is None
    assert [fact.event.typed for _, fact in mended.present(PRESSURE).times()] == ["110", "109"]


@pytest.mark.parametrize("lost", ["id", "at", "mono", "boot", "seq", "kind", "typed"])
def test_an_event_that_lost_a_part_does_not_brick_the_job(lost: str) -> None:
    log = hold()
    event = log.read("110")
    del event[lost]
    job = folded(log)
    assert job.broken is not None
    assert lost in job.broken.words


def test_a_new_hold_puts_the_last_one_away_and_asks_anew() -> None:
    log = hold()
    log.read("110")
    log.read("109")
    log.add("mark", "hold.ended")
    log.add("mark", "hold.again")
    log.pass_the_gate("19")
    job = folded(log)
    assert [len(series.readings) for series in job.all_series(PRESSURE)] == [2]
    assert not job.present(PRESSURE).readings
    assert not job.answered("hold.level")
    assert job.past[0].facts is not None
    assert job.past[0].facts["hold.strokes"].value == 5.0
    temperature = job.past[0].temperature
    assert temperature is not None
    assert temperature.event.typed == "10"


def test_replay_is_live_and_the_order_of_independent_facts_does_not_matter() -> None:
    log = hold()
    for typed in ("110", "109", "111", "108"):
        log.read(typed)
    live = EMPTY
    for event in log.events:
        live = advance(RULES, live, event)
    assert live == folded(log)
    opened, *facts = log.events
    for seed in range(20):
        mixed = facts[:9]
        random.Random(seed).shuffle(mixed)
        other = EMPTY
        for event in (opened, *mixed, *facts[9:]):
            other = advance(RULES, other, event)
        assert other.facts == live.facts
        assert other.series == live.series


def test_behind_an_event_that_lost_its_id_all_waits() -> None:
    log = hold()
    del log.read("110")["id"]
    log.read("109")
    job = folded(log)
    assert job.broken is not None
    assert len(job.waiting) == 1


def test_a_job_goes_on_on_another_phone_whatever_its_id() -> None:
    log = Logbook()
    log.describe_car()
    other = {**log.events[-1], "device": "a-device-of-a-lower-id", "seq": len(log.events)}
    later = [
        {**other, "id": "01990000-0000-7000-8000-0000000000ff", "kind": "done", "field": "fan.off",
         "typed": "", "unit": None},
    ]  # fmt: skip
    job = fold(RULES, [*later, *log.events])
    assert job.broken is None
    assert job.value("fan.off") == "yes"
    assert job.value("car.name") == "Selwick Larkspur 2.4"
