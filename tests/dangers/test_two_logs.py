"""Two phones on a job, a file taken in again, a row that comes late: no gate opens by it."""

from __future__ import annotations

import pytest

from tests.dangers.pages import Hands, walked
from weeptrace.door import call


def shown(work: Hands, rows: list[dict[str, object]]) -> str:
    """The page of a job of these rows."""
    return str(call("job.view", {"events": rows, "now": work.moment()})["step"])


@pytest.mark.parametrize("step", ["cold_level", "hold_level", "drain", "recheck"])
def test_a_second_phone_knows_nothing_of_the_first_ones_clock(step: str) -> None:
    """Its boot is another: what was measured counts by the wall clock, and that went on."""
    work = walked(step)
    work.device = "device-2"
    work.boot, work.mono = 77, 5.0
    work.wait(3600.0)
    assert work.at().startswith("gate."), work.page().words


@pytest.mark.parametrize("step", ["cold_level", "hold_level", "drain"])
def test_an_engine_that_the_other_phone_ran_counts_here(step: str) -> None:
    work = walked(step)
    first = work.device, work.boot, work.mono
    work.device, work.boot, work.mono = "device-2", 77, 5.0
    work.add("mark", "engine.ran")
    work.device, work.boot, work.mono = first
    work.wait(5.0)
    assert work.at().startswith("gate."), work.page().words


def test_a_row_of_an_hour_ago_that_is_typed_now_shows_nothing_cold_now() -> None:
    work = walked("gate.cold")
    now = work.wall, work.mono
    work.wait(-3600.0)
    work.fact("coolant.temperature", "20", "°C")
    work.fact("system.pressure_sign", "hose_soft")
    work.wall, work.mono = now
    assert work.at() == "gate.cold"


@pytest.mark.parametrize("ahead", [600.0, 86_400.0])
def test_a_row_from_the_future_shows_nothing_cold_now(ahead: float) -> None:
    """A wall clock that was wrong then, or is now: in another boot nothing else tells the age."""
    work = walked("gate.cold")
    work.wait(ahead)
    work.fact("coolant.temperature", "20", "°C")
    work.fact("system.pressure_sign", "hose_soft")
    work.wait(-ahead)
    assert work.at() == "gate.cold"


def test_rows_that_stand_twice_are_read_once() -> None:
    work = walked("bubbles")
    work.add("mark", "engine.ran")
    here = work.at()
    assert shown(work, [*work.events, *work.events[-30:-1]]) == here


RESTS = {
    "hold_level": ("fan.off", "safe.key", "coolant.temperature", "system.pressure_sign"),
    "drain": ("fan.off", "safe.key", "coolant.temperature", "system.pressure_sign"),
    "bubbles": ("fan.on",),
    "warm_log": ("fan.on", "engine.air"),
    "road_test": ("fan.on",),
}


@pytest.mark.parametrize(("step", "field"), [(s, name) for s in RESTS for name in RESTS[s]])
def test_what_a_page_stands_on_can_be_taken_back_and_shuts_it(step: str, field: str) -> None:
    work = walked(step)
    work.undo(field)
    assert work.at() != step


def test_a_job_that_went_through_its_file_stands_where_it_stood() -> None:
    for step in ("hold_level", "warm_log"):
        work = walked(step)
        file = call("job.to_file", {"events": work.events})["text"]
        back = call("job.from_file", {"text": file})["events"]
        assert shown(work, back) == step
        work.wait(3600.0)
        work.resume()
        late = [*back, work.events[-1]]
        assert shown(work, late).startswith("gate."), step
