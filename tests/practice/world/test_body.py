"""Hands and eyes: what was drained and poured on several visits, a vacuum tool, changed minds."""

from __future__ import annotations

import random

import pytest

from tests.practice.world.benches import after, leaking, world
from weeptrace.practice.world.answers import Eyes
from weeptrace.practice.world.body import Body
from weeptrace.practice.world.page import Page
from weeptrace.practice.world.world import World

DRAIN = ("open_pan", "open_neck", "drain")
PAGE = Page({})


def person(made: World) -> tuple[Body, Eyes]:
    """A body and its eyes at a world."""
    body = Body(made)
    return body, Eyes(made, body, random.Random(1))


def test_what_came_out_is_told_whole_on_a_second_visit_too() -> None:
    body, eyes = person(world())
    body.act(DRAIN, PAGE)
    first = eyes.type("coolant.drained")
    body.act(DRAIN, PAGE)
    assert eyes.type("coolant.drained") == first
    assert float(first[0]) > 2.0
    body.act(("fill_to where=mark",), PAGE)
    body.act(DRAIN, PAGE)
    again = eyes.type("coolant.drained")
    assert 0.8 * float(first[0]) < float(again[0]) <= float(first[0])  # of this round alone


def test_all_that_went_in_counts_what_replaced_the_drained_too() -> None:
    body, eyes = person(world())
    assert eyes.choose("level.put_in", ("little", "more")) == "little"
    body.act((*DRAIN, "fill_to where=mark"), PAGE)
    assert eyes.choose("level.put_in", ("little", "more")) == "more"


def test_a_vacuum_tool_comes_off_before_anything_is_poured() -> None:
    made = world()
    body, _ = person(made)
    body.act((*DRAIN, "pull_vacuum pressure=deep"), PAGE)
    assert not made.truth()["neck_open"]
    body.act(("open_neck", "fill_to where=neck"), PAGE)
    assert body.failed == []
    assert made.truth()["neck_open"]
    assert body.poured > 2e-3


@pytest.mark.parametrize(("named", "seen"), [("not_found", "found"), ("radiator_seam", "none")])
def test_a_wet_place_is_another_one_unless_it_is_the_old_one(named: str, seen: str) -> None:
    made = after(world(leaking(), fault="radiator", part="radiator"), "open_neck", "fit_tester",
                 ("pump_to", {"pressure": 100e3}), 600.0)  # fmt: skip
    _, eyes = person(made)
    eyes.given["finding.place"] = named
    assert eyes.choose("after.other", ("none", "found")) == seen
    dry = person(world())[1]
    assert dry.choose("after.other", ("none", "found")) == "none"


def test_who_thinks_better_of_a_choice_takes_another() -> None:
    _, eyes = person(world())
    for _ in range(40):
        eyes.dropped["test.kind"] = "gas"
        assert eyes.choose("test.kind", ("gas", "dye", "none")) in ("dye", "none")
    eyes.dropped["consent.how"] = "spoken"
    assert eyes.choose("consent.how", ("signed", "spoken", "written", "refused")) == "refused"
