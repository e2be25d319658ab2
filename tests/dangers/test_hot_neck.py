"""Nobody is sent to the neck, or to a tester on it, of an engine that is hot or may be."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import Hands, Page, walked

BELOW = 50.0  # °C: coolant below it scalds no skin in the time of a splash (Moritz, Henriques 1947)
WARM = {"finding__place": "not_found", "test__kind": "warm_hold"}


def last_known(work: Hands, page: Page) -> float | None:
    """The last temperature typed before a page, °C, if no engine ran since."""
    ran = ("engine.ran", "test.ran", "road.driven", "bleed.no_bubbles", "warm.ended")
    for row in reversed(work.events[: page.rows]):
        if row["field"] in ran:
            return None
        if row["field"] in ("coolant.temperature", "warm.coolant"):
            return float(row["typed"])
    return None


@pytest.mark.parametrize("kind", ["radiator", "heater_core"])
def test_the_open_neck_comes_before_the_engine_is_hot(kind: str) -> None:
    work = walked("record", repair__kind=kind, fill__how="open_neck")
    pages = [page for page in work.seen if "open neck" in page.words]
    assert pages
    for page in pages:
        known = last_known(work, page)
        assert known is not None, (page.step, work.way())
        assert known < BELOW, (page.step, known)


def test_an_engine_that_ran_shuts_the_open_neck() -> None:
    work = walked("bubbles")
    work.add("mark", "engine.ran")
    assert "open neck" not in work.page().words.split("\n")[0]
    assert work.at().startswith("gate.")


def test_a_tester_on_a_hot_neck_stays_on_until_it_is_cold() -> None:
    work = walked("test_result", **WARM)
    pages = work.since("test_release")
    assert "The tester stays on" in pages[0].words
    ways = [page.step for page in pages]
    assert "gate.cold" in ways, ways
    off = next(page for page in pages if "Tester off" in page.words)
    assert ways.index("gate.cold") < pages.index(off)
    assert (last_known(work, off) or 99.0) < BELOW


@pytest.mark.parametrize(
    ("wall", "mono"),
    [
        (3.0 * 3600.0, 30.0),  # the phone slept, its monotonic clock stood still
        (-3.0 * 3600.0, 30.0),  # the wall clock was set back
        (30.0, 3.0 * 3600.0),  # set back by as much as went by
    ],
)
@pytest.mark.parametrize("step", ["hold_level", "drain"])
def test_what_was_cold_hours_ago_by_either_clock_is_measured_again(
    step: str, wall: float, mono: float
) -> None:
    work = walked(step)
    work.wait(wall, mono)
    assert work.at().startswith("gate."), work.page().words


def test_a_phone_that_starts_anew_takes_nothing_for_cold() -> None:
    work = walked("hold_level")
    work.resume()
    assert work.at() == "gate.cold"


@pytest.mark.parametrize("step", ["cold_level", "hold_level", "drain", "after_fit", "recheck"])
def test_a_corrected_temperature_shuts_what_it_opened(step: str) -> None:
    work = walked(step, after__wanted="hold")
    work.correct("coolant.temperature", "84", "°C")
    assert work.at() == "gate.cold"
    work.undo("coolant.temperature")
    assert work.at() == "gate.cold"


@pytest.mark.parametrize("step", ["cold_level", "hold_level", "drain", "after_fit", "recheck"])
def test_a_hose_that_is_hard_shuts_it_though_it_is_cold(step: str) -> None:
    work = walked(step, after__wanted="hold")
    work.fact("system.pressure_sign", "under_pressure")
    assert work.at() == "gate.cold"


@pytest.mark.parametrize("work", [WARM, {"after__wanted": "hold"}, {"repair__kind": "none"}])
def test_every_tester_comes_off_behind_the_cool_down(work: dict[str, str]) -> None:
    """A release by itself takes no tester off: whoever lets it off may do so at a hot engine."""
    seen = walked("record", **work).seen
    off = [page for page in seen if re.search(r"tester off|take the tester", page.words)]
    assert off
    for page in off:
        assert page.caution.startswith("Hot coolant sprays"), (page.step, page.words)
