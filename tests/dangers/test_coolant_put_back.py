"""What was opened is filled, run and levelled; what was lowered or raised is at its mark."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import Hands, Page, walked

HOSE = {"repair__kind": "hose_or_clamp", "repair__opened": "opened"}
RUNS = ("warm_run", "gas_run", "test_run", "dye_drive", "watch_run", "warm_log", "road_test")
MARK = re.compile(r"cold MAX|cold mark|to the mark|at the mark", re.IGNORECASE)
CAP = re.compile(r"\bcap\b.*\bon\b", re.IGNORECASE)


def before_run(work: Hands, since: str) -> list[Page]:
    """The pages from one on to the next that runs the engine."""
    pages = work.since(since)
    ends = [n for n, page in enumerate(pages) if page.step in RUNS]
    assert ends, work.way()
    return pages[: ends[0]]


def levelled(pages: list[Page]) -> None:
    """A page asks for the level at the cold mark, and for the cap."""
    told = [page.words for page in pages[1:]]
    assert any(MARK.search(words) for words in told), [page.step for page in pages]
    assert any(CAP.search(words) for words in told), [page.step for page in pages]


@pytest.mark.parametrize("route", ["measure", "seen"])
def test_a_hose_job_puts_its_coolant_back(route: str) -> None:
    work = walked("record", **HOSE, work__route=route)
    asked = set().union(*(page.asks for page in work.since("reassembly")))
    assert {"coolant.filled", "warm.coolant"} <= asked, work.way()
    assert any(re.search(r"\blevel\b", p.words, re.I) for p in work.since("reassembly"))
    before = set().union(*(page.asks for page in work.seen))
    assert {"coolant.drained", "coolant.label_fits"} <= before


def test_a_hose_that_came_off_by_the_way_is_filled_too() -> None:
    work = Hands(repair__kind="cap")
    work.until("reassembly", "joints", "after_wanted", "end_level", "level_watch")
    for typed in ("off", "on"):
        work.fact("part.upper_hose", typed)
    work.until("record")
    assert any("coolant.filled" in page.asks for page in work.seen), work.way()


def test_filled_0_litres_opens_no_run() -> None:
    work = walked("fill_up")
    work.answers["coolant.filled"] = ("0", "L")
    work.fact("coolant.filled", "0", "L")
    seen = []
    for _ in range(12):
        page = work.page()
        seen.append(page.step)
        if page.step in ("bubbles", "warm_log", "gate.ready_to_run", "stop.too_hot"):
            break
        if page.step == "fill_up":
            break
        work.answer(page)
    assert seen[-1] not in ("bubbles", "warm_log"), seen


def test_a_hold_to_the_neck_is_lowered_before_the_engine_runs() -> None:
    work = walked("test_run", hold__level="to_neck", finding__place="not_found",
                  test__kind="run_watch")  # fmt: skip
    work.until("test_caught", "test_result")
    levelled(before_run(work, "release"))


def test_a_warm_hold_begins_at_the_mark_with_a_relief_valve() -> None:
    work = walked("test_readings", hold__level="to_neck", finding__place="not_found",
                  test__kind="warm_hold")  # fmt: skip
    run = next(n for n, p in enumerate(work.seen) if p.step in ("warm_run", "test_run"))
    told = [page.words for page in work.seen[:run]]
    assert any(MARK.search(words) for words in told), work.way()
    asks = [page for page in work.seen[:run] if re.search("relief valve works", page.words)]
    assert asks, work.way()
    assert re.search(r"above 110 kPa", work.seen[run].words), work.seen[run].words


def test_without_a_relief_valve_no_closed_system_is_warmed() -> None:
    work = walked("warm_run", finding__place="not_found", test__kind="warm_hold")
    work.undo("test.relief_works")
    assert work.at() not in ("warm_run", "test_run")


def test_after_the_hold_at_the_end_it_is_levelled_and_capped_before_the_road() -> None:
    work = walked("record", after__wanted="hold")
    levelled(before_run(work, "after_release"))


def test_after_any_release_the_car_does_not_go_back_open() -> None:
    work = walked("record", hold__level="to_neck", repair__kind="none")
    pages = work.since("release")
    told = [page.words for page in pages[1:]]
    assert any(CAP.search(words) for words in told), work.way()
    assert any(MARK.search(words) for words in told), work.way()


def test_what_was_drawn_off_for_the_gas_test_is_put_back_before_the_next_run() -> None:
    work = walked("test_enough", finding__place="not_found", test__kind="gas",
                  test__gas="not_changed")  # fmt: skip
    levelled(work.since("gas_level"))


def test_clamps_of_the_heater_come_off_again() -> None:
    work = walked("test_enough", finding__place="not_found", test__kind="heater_isolation")
    told = [page.words for page in work.since("test_isolate")[1:]]
    assert any(re.search(r"clamps off", words, re.IGNORECASE) for words in told), work.way()


def test_clamps_come_off_though_another_test_was_chosen_with_the_hand_at_them() -> None:
    work = walked("test_isolate", finding__place="not_found", test__kind="heater_isolation")
    work.undo("test.kind")
    work.answers["test.kind"] = "run_watch"
    work.until("test_run")
    told = [page.words for page in work.since("test_kind")[1:]]
    assert any(re.search(r"clamps off", words, re.IGNORECASE) for words in told), work.way()


@pytest.mark.parametrize("also", [(), ("coolant.drained",), ("consent.how", "coolant.drained")])
def test_what_is_drained_runs_no_engine_before_it_is_filled(also: tuple[str, ...]) -> None:
    work = walked("teardown", finding__watch="running")
    work.answers["consent.how"] = "refused"
    for field in ("finding.ran", *also):
        work.undo(field)
    run = work.until("watch_run", "warm_log", "bubbles").step
    filled = [event for event in work.events if event["field"] == "coolant.filled"]
    assert filled, (run, work.way())
