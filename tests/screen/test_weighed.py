"""What the phone says of a hold beside its verdict: the answer, the smallest leak, what is left."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.logbook import Logbook
from tests.screen.records import measured
from tests.screen.test_view import RULES, blocks, holding, view
from weeptrace import screen
from weeptrace.hold.data import Assessment
from weeptrace.job import holds
from weeptrace.job.advance import fold
from weeptrace.screen import weighed
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.pages import recorder
from weeptrace.screen.record.html import verdict_plate

LEAKING = ("110", "109", "107", "106", "105", "104", "103", "102")
SHOW = Show(RULES, screen.preferences({}, RULES).units)


def ended(log: Logbook) -> Logbook:
    log.add("mark", "hold.ended")
    return log


def words(log: Logbook) -> dict[str, tuple[str, str]]:
    """Rows by word: their first line and their figure."""
    rows = blocks(view(log), "state")
    return {row["word"]: ((row["lines"] or [""])[0], row["figure"]) for row in rows}


def smallest(log: Logbook) -> list[list[str]]:
    """The rows of the smallest leak: this hold, and what would see a smaller one."""
    tables = blocks(view(log), "table")
    rows: list[list[str]] = next(t["rows"] for t in tables if "sees from" in t["heads"])
    return rows


def after_the_repair() -> Logbook:
    log = measured()
    seen = next(n for n, e in enumerate(log.events) if e["field"] == "after.seen")
    del log.events[seen:]
    return log


def found_in(log: Logbook, field: str) -> Assessment:
    job = fold(RULES, log.events)
    return holds.assess(RULES, job, job.all_series(field)[-1])


def test_the_verdict_says_what_the_readings_speak_for() -> None:
    found = words(ended(holding(*LEAKING)))
    assert "A leak, very likely" in found
    assert found["A leak, very likely"][0].startswith("Best: Leak")


def test_where_nobody_can_tell_it_says_so() -> None:
    log = ended(holding("110", "109", "108", "108", "108", "107", "107", "107"))
    assert found_in(log, holds.PRESSURE).favoured == "cannot_tell"
    line = words(log)["Can't tell yet"][0]
    shares = [int(word) for word in line.replace(NBSP, " ").split() if word.isdigit()]
    assert sum(shares) == 100
    assert min(shares) > 33


@pytest.mark.parametrize(
    ("weights", "favoured", "answer"),
    [
        ({"leak": 0.7, "tight": 0.3}, "leak", "A leak, likely"),
        ({"leak": 0.5, "leak_and_settling": 0.46, "tight": 0.04}, "leak", "A leak, very likely"),
        ({"settling": 0.8, "leak": 0.2}, "settling", "No leak, likely"),
        ({"vapour": 0.96, "both": 0.04}, "vapour", "No leak, very likely"),
        ({"tight": 0.5, "leak": 0.5}, "cannot_tell", "Can't tell yet"),
        ({}, None, ""),
    ],
)
def test_a_weight_in_words(weights: dict[str, float], favoured: str | None, answer: str) -> None:
    found = Assessment("not_judged", explanations=weights, favoured=favoured)
    assert weighed.answer(SHOW, found) == answer


def test_a_hold_that_proves_nothing_says_what_would_see_a_smaller_leak() -> None:
    log = ended(holding(*("110" for _ in range(10))))
    found = found_in(log, holds.PRESSURE)
    assert found.smallest_detectable is not None
    rows = smallest(log)
    assert rows[0] == ["This hold", "", SHOW.loss(found.smallest_detectable)]
    assert len(rows) == 1 + len(found.advice) > 2
    best = found.advice[0]
    figure = SHOW.loss(best.smallest_detectable)
    minutes = f"{round(best.time / 60)}{NBSP}min"
    assert rows[1] == [RULES.text(f"advice.{best.code}"), minutes, figure]


def test_a_proven_leak_needs_no_advice() -> None:
    log = ended(holding(*LEAKING))
    least = found_in(log, holds.PRESSURE).smallest_detectable
    assert least is not None
    tables = blocks(view(log), "table")
    assert not [table for table in tables if "sees from" in table["heads"]]
    told = {row[0]: row[1] for table in tables for row in table["rows"]}
    assert told["Smallest leak it could see"].startswith(SHOW.loss(least))


def test_no_weight_is_rounded_to_all_or_nothing() -> None:
    lines = next(row for row in blocks(view(ended(holding(*LEAKING))), "state"))["lines"]
    assert lines[-1] == f"Leak >99{NBSP}%, no leak <1{NBSP}%"


def test_every_advice_has_its_words() -> None:
    told = {id.removeprefix("reason.") for id in RULES.texts if id.startswith("reason.advice.")}
    assert told == {id for id in RULES.texts if id.startswith("advice.")}


def test_a_running_hold_says_how_it_stands_and_how_long_it_still_takes() -> None:
    log = holding("110", "109", "109")
    found = found_in(log, holds.PRESSURE)
    assert found.more_time == 120.0  # five readings, one a minute
    row = next(row for row in blocks(view(log), "state") if row["word"].startswith("So far"))
    assert row["lines"] == [f"About 2{NBSP}min more would decide it"]


def test_where_no_time_is_enough_a_running_hold_says_that_too() -> None:
    # A third of the owner's 0.35 L/1000 km is below what an engine's unnoticed drift could hide.
    log = holding(*("110" for _ in range(7)))
    assert found_in(log, holds.PRESSURE).more_time is None
    row = next(row for row in blocks(view(log), "state") if row["word"].startswith("So far"))
    assert row["lines"] == ["More time alone will not decide it"]


@pytest.mark.parametrize("over", [False, True])
def test_a_reading_that_stands_apart_is_named_and_asked_again(over: bool) -> None:
    log = holding("110", "109", "109", "19", "109", "109", "109", "109", "109")
    slip = next(e for e in log.events if e["typed"] == "19")
    if over:
        ended(log)
    row = next(row for row in blocks(view(log), "state") if "does not fit" in row["word"])
    assert row["word"] == f"19{NBSP}kPa at 3:00 does not fit"
    pad = row["do"]["pad"]
    assert pad["event"]["supersedes"] == slip["id"]
    log.add("reading", "hold.pressure", "109", "kPa", supersedes=slip["id"])
    assert not [r for r in blocks(view(log), "state") if "does not fit" in r["word"]]


def test_after_the_repair_it_says_what_is_left_of_the_leak() -> None:
    log = after_the_repair()
    part = holds.left(RULES, found_in(log, holds.PRESSURE), found_in(log, holds.AFTER))
    assert part is not None
    assert part.low == 0.0
    assert 0.0 < part.high < 0.5
    told = [row for table in blocks(view(log), "table") for row in table["rows"]]
    shown = next(row[1] for row in told if row[0] == "Leak left")
    value, low, high = (f"{100 * x:.0f}{NBSP}%" for x in (part.value, part.low, part.high))
    assert shown == f"{value} ({low} to {high})"


def test_the_record_says_what_is_left_on_the_screen_and_on_paper() -> None:
    log = measured()
    lines = [line for row in blocks(view(log, "record"), "state") for line in row["lines"]]
    said = next(line for line in lines if line.startswith("Leak left: "))
    assert said.endswith("%)")
    job = fold(RULES, log.events)
    assert f"{said}." in verdict_plate(SHOW, job)


def test_without_a_leak_before_nothing_is_compared() -> None:
    log = after_the_repair()
    after = found_in(log, holds.AFTER)
    assert holds.left(RULES, after, after) is None
    assert holds.left(RULES, replace(after, leak_flow=None), after) is None


@pytest.mark.parametrize(("last", "reached"), [(899.9, False), (900.0, True), (900.1, True)])
def test_the_planned_time_is_reached_at_its_last_second(last: float, reached: bool) -> None:
    job = fold(RULES, holding("110", "110").events)
    series = job.all_series("hold.pressure")[-1]
    rows = recorder._words(SHOW, job, series, Assessment("not_judged"), last, 900.0)
    assert [row["word"] for row in rows] == ["Planned time reached"] * reached
