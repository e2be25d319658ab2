"""Liquid in a cylinder, oil in the coolant, coolant in an oil: no start until somebody answers."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import Hands, walked

STARTS = ("test_run", "warm_run", "gas_run", "dye_drive", "watch_run", "bubbles", "warm_log")
ANSWERS = ("liquid_person", "gate.no_liquid")
MIXED = ("cream_person", "gate.no_cream", "engine_oil", "transmission_oil")
NONE = {"finding__place": "not_found"}


@pytest.mark.parametrize(
    ("test", "field", "word"),
    [("overnight", "test__cylinders", "wet"), ("gas", "test__gas", "changed")],
)
@pytest.mark.parametrize("then", ["run_watch", "dye", "warm_hold", "gas"])
def test_liquid_in_a_cylinder_stops_the_next_start(
    test: str, field: str, word: str, then: str
) -> None:
    work = walked("test_enough", **NONE, test__kind=test, **{field: word})
    work.add("mark", "test.again")
    work.answers["test.kind"] = then
    page = work.until(*STARTS, *ANSWERS)
    assert page.step in ANSWERS, work.way()[-8:]
    assert re.search(r"cylinder|liquid", page.words, re.IGNORECASE)


@pytest.mark.parametrize("kind", ["radiator", "hose_or_clamp"])
def test_liquid_in_a_cylinder_stops_the_run_after_the_repair(kind: str) -> None:
    work = walked("test_enough", **NONE, test__kind="overnight", test__cylinders="wet",
                  repair__kind=kind)  # fmt: skip
    page = work.until(*STARTS, *ANSWERS, "record")
    assert page.step in ANSWERS, work.way()[-8:]


def test_a_wet_cylinder_outlives_undo_of_another_answer_a_new_start_and_a_new_round() -> None:
    work = walked("test_enough", **NONE, test__kind="overnight", test__cylinders="wet")
    work.add("mark", "test.again")
    work.fact("test.kind", "overnight")
    work.fact("test.cylinders", "not_looked")
    work.resume()
    work.add("mark", "test.again")
    work.answers["test.kind"] = "run_watch"
    page = work.until(*STARTS, *ANSWERS)
    assert page.step in ANSWERS, work.way()[-8:]


@pytest.mark.parametrize("route", ["measure", "seen"])
def test_both_oils_are_asked_before_any_start(route: str) -> None:
    work = walked("record", work__route=route, repair__kind="radiator_with_cooler")
    first = next(n for n, page in enumerate(work.seen) if page.step in STARTS)
    told = " ".join(page.words for page in work.seen[:first])
    assert re.search(r"engine oil|dip ?stick", told, re.IGNORECASE), work.way()
    assert re.search(r"transmission fluid\b.*(pink|milk|cream|mixed|colour)", told, re.I | re.S)


@pytest.mark.parametrize(
    ("field", "typed"),
    [("coolant__condition", "cream"), ("oil__engine", "mixed"), ("oil__transmission", "mixed")],
)
@pytest.mark.parametrize("kind", ["hose_or_clamp", "radiator", "none"])
def test_a_mixed_oil_neither_starts_nor_closes_without_a_person_or_a_tow(
    field: str, typed: str, kind: str
) -> None:
    work = Hands(repair__kind=kind, **{field: typed}, drive__decision="tow")
    work.until("record", "cream_person", "drive")
    assert work.at() != "record", work.way()
    assert not {page.step for page in work.seen} & set(STARTS)


@pytest.mark.parametrize(
    ("field", "typed"),
    [("find.engine_oil_look", "milky"), ("find.atf_look", "pink_milky"),
     ("find.coolant_look", "brown_emulsion")],
)  # fmt: skip
def test_what_is_seen_on_the_page_of_causes_stops_the_engine_too(field: str, typed: str) -> None:
    work = walked("test_air", **NONE, test__kind="run_watch")
    work.fact(field, typed)
    page = work.until("test_run", "cream_person", "gate.no_cream", "test_result")
    assert page.step in ("cream_person", "gate.no_cream"), (page.step, page.words)


def test_oil_that_is_found_when_the_gate_stood_open_shuts_it() -> None:
    for step in ("bubbles", "warm_log", "road_test"):
        work = walked(step)
        work.fact("coolant.condition", "oil_film")
        assert work.at() in MIXED, (step, work.at())
