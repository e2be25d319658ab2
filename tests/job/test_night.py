"""At what needle a night began: what was let off after the evening's, and before the morning's."""

from __future__ import annotations

import pytest

from tests.logbook import Logbook
from weeptrace.job.advance import fold
from weeptrace.job.overnight import left_at, night
from weeptrace.rules import load

RULES = load()


def evening(needle: str = "100") -> Logbook:
    log = Logbook()
    log.describe_car()
    for field, typed, unit in (
        ("test.kind", "overnight", None), ("test.block_evening", "20", "°C"),
        ("test.air_evening", "20", "°C"), ("test.strokes", "12", "1"),
    ):  # fmt: skip
        log.now += 10.0
        log.add("fact", field, typed, unit)
    let_off(log, "60")  # of an earlier hold
    log.now += 10.0
    log.add("fact", "test.evening", needle, "kPa")
    return log


def let_off(log: Logbook, needle: str) -> None:
    log.now += 10.0
    log.add("reading", "over.let_off", needle, "kPa")


def left(log: Logbook) -> float | None:
    return left_at(fold(RULES, log.events))


def test_the_last_needle_that_was_let_off_to_before_the_morning_counts() -> None:
    log = evening()
    assert left(log) is None
    let_off(log, "95")
    assert left(log) == pytest.approx(95e3)
    let_off(log, "90")
    let_off(log, "85")
    assert left(log) == pytest.approx(85e3)
    log.now += 8.0 * 3600.0
    log.add("fact", "test.morning", "120", "kPa")
    let_off(log, "10")
    assert left(log) == pytest.approx(85e3)


def test_without_an_evening_there_is_none() -> None:
    log = Logbook()
    log.describe_car()
    let_off(log, "60")
    assert left(log) is None


def test_the_night_begins_where_it_was_let_off() -> None:
    """The same warmth: a tight car keeps all but what the hoses still take."""
    log = evening()
    before = night(RULES, fold(RULES, log.events))
    let_off(log, "80")
    after = night(RULES, fold(RULES, log.events))
    assert before is not None
    assert after is not None
    assert 97e3 < before.tight.value < 100e3
    assert 77e3 < after.tight.value < 80e3
    assert (after.sign, after.block) == (None, pytest.approx(293.15))


@pytest.mark.parametrize("name", ["test.strokes", "test.block_evening", "test.evening"])
def test_what_it_rests_on_is_known_or_nothing_is_said(name: str) -> None:
    log = evening()
    log.add("not_done", name, "no time")
    assert night(RULES, fold(RULES, log.events)) is None


def test_no_air_in_the_evening_waits_for_the_mornings_block() -> None:
    log = evening()
    log.add("not_done", "test.air_evening", "no time")
    assert night(RULES, fold(RULES, log.events)) is None
    log.add("fact", "test.block_morning", "12", "°C")
    found = night(RULES, fold(RULES, log.events))
    assert found is not None
    assert (found.block, found.sign) == (pytest.approx(285.15), None)
