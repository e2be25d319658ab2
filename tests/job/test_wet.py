"""What a hold is told of a wet place: only what was seen while it stood under pressure."""

from __future__ import annotations

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.test_view import RULES, blocks, holding, view
from weeptrace.job import holds
from weeptrace.job.advance import fold

ZONES = [id for id, field in RULES.fields.items() if field.place]
# 8 kPa in seven minutes: a leak that would wet a place.
LEAKING = ("110", "109", "107", "106", "105", "104", "103", "102")


def held() -> Logbook:
    log = holding(*LEAKING)
    log.add("mark", "hold.ended")
    log.add("done", "hold.seen")
    return log


def look(log: Logbook, **words: str) -> Logbook:
    """All zones dry, but for those named."""
    for id in ZONES:
        log.now += 5.0
        log.add("fact", id, words.get(id.removeprefix("zone."), "dry"))
    log.add("done", "zone.seen")
    return log


def wet(log: Logbook, field: str = holds.PRESSURE, which: int = -1) -> bool | None:
    job = fold(RULES, log.events)
    made = holds.hold(RULES, job, job.all_series(field)[which])
    assert made is not None
    return made.wet


def test_before_anybody_looks_it_is_not_known() -> None:
    assert wet(held()) is None


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ({}, False),
        ({"upper_hose": "wet"}, True),
        ({"upper_hose": "wet", "valley": "not_reachable"}, True),
        ({"valley": "not_reachable"}, None),
    ],
)
def test_the_zones_tell_it(words: dict[str, str], found: bool | None) -> None:
    assert wet(look(held(), **words)) is found


def test_a_zone_that_was_not_looked_at_leaves_it_open() -> None:
    log = held()
    for id in ZONES[1:]:
        log.add("fact", id, "dry")
    assert wet(log) is None
    log.add("fact", ZONES[0], "dry")
    assert wet(log) is False


def test_the_highest_wet_point_and_its_proof_tell_it() -> None:
    log = look(held())
    log.add("fact", "finding.place", "not_found")
    assert wet(log) is False
    log = look(held())
    log.add("fact", "finding.place", "upper_hose")
    assert wet(log) is True
    log.add("fact", "finding.wet_again", "dry")
    assert wet(log) is None
    log.add("fact", "finding.wet_again", "wet")
    assert wet(log) is True


def test_the_question_of_the_causes_tells_it_too() -> None:
    log = held()
    log.add("fact", "find.wet_under_pressure_at", "none")
    assert wet(log) is False
    log.add("fact", "find.wet_under_pressure_at", "hose_end")
    assert wet(log) is True


def test_what_was_seen_before_the_pump_is_not_of_this_hold() -> None:
    log = holding()
    look(log, cap_neck="wet")
    for needle in LEAKING:
        log.read(needle)
    assert wet(log) is None


def test_what_was_seen_after_the_pressure_was_off_is_not_of_this_hold() -> None:
    log = look(held())
    log.add("done", "pressure.released")
    log.add("fact", "finding.place", "water_pump")  # found by another test
    assert wet(log) is False


def test_each_hold_has_its_own_look() -> None:
    log = look(held(), cap_neck="wet")
    log.add("mark", "hold.again")
    log.fit_the_tester()
    for needle in LEAKING:
        log.read(needle)
    assert [wet(log, which=n) for n in (0, 1)] == [True, None]
    look(log)
    assert [wet(log, which=n) for n in (0, 1)] == [True, False]


def test_a_job_that_is_opened_again_keeps_what_the_first_hold_saw() -> None:
    log = look(held())
    log.add("done", "pressure.released")
    log.add("mark", "work.reopened")
    look(log, water_pump="wet")
    assert fold(RULES, log.events).value("zone.water_pump") == "wet"
    assert wet(log) is False


def test_an_answer_taken_back_or_corrected_counts_as_it_is_now() -> None:
    log = look(held(), upper_hose="wet")
    said = next(event for event in log.events if event["field"] == "zone.upper_hose")
    log.add("done", "pressure.released")
    log.add("fact", "zone.upper_hose", "dry", supersedes=said["id"])
    assert wet(log) is False
    log.add("undo", "zone.upper_hose", supersedes=log.events[-1]["id"])
    assert wet(log) is None


@pytest.mark.parametrize(
    ("old", "other", "found"),
    [
        ("dry", "none", False),
        ("wet", "none", True),
        ("dry", "found", True),
        ("dry", "", None),
        ("", "none", None),
    ],
)
def test_after_the_repair_the_old_place_and_the_others_tell_it(
    old: str, other: str, found: bool | None
) -> None:
    log = look(held(), radiator_seam="wet")
    answers = {"after.wanted": ("hold", None), "quote.hours": ("3", "h"), "quote.parts": ("9", "1")}
    Hands(log, answers).until("old_place")
    assert wet(log, holds.AFTER) is None
    if old:
        log.add("fact", "after.old_place", old)
    if other:
        log.add("fact", "after.other", other)
    assert wet(log, holds.AFTER) is found
    assert wet(log) is True


def test_a_fall_with_nothing_wet_points_above_the_liquid() -> None:
    def weight(log: Logbook) -> float:
        job = fold(RULES, log.events)
        return holds.assess(RULES, job, job.present(holds.PRESSURE)).explanations["air_side"]

    share = RULES.limits["hold.air_side_share"]
    assert weight(held()) == pytest.approx(share, rel=0.02)
    assert weight(look(held())) > 3.0 * share
    assert weight(look(held(), upper_hose="wet")) < share / 3.0


@pytest.mark.parametrize(
    ("zone", "told"), [("dry", True), ("wet", False), ("not_reachable", False)]
)
def test_it_is_said_while_the_pressure_is_still_on(zone: str, told: bool) -> None:
    log = look(held(), cap_neck=zone)

    def rows() -> list[str]:
        made = [row for row in blocks(view(log), "state") if row["word"] == "Leak above the liquid"]
        return [line for row in made for line in row["lines"]]

    assert view(log)["step"] == "place"
    assert bool(rows()) is told
    log.add("fact", "finding.place", "not_found")
    assert view(log)["step"] == "release"
    assert bool(rows()) is told
    assert not told or "Fill above it, and hold again." in rows()[0]
    log.add("done", "pressure.released")
    assert rows() == []
