"""What decides danger, weakened, and judged by the world: a few of each, and that it can fail.

The whole of it is ``python3 build.py study danger``.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace

import pytest

from tests.judged.courses import Unweakened, course
from tests.judged.directed import Directed
from tests.judged.judging import Judged, counted, judge
from tests.judged.kinds import KINDS, world_of
from tests.judged.listed import listed
from tests.judged.weakened import ASKED_AT, GROUPS, STOPS, weakened
from weeptrace.door.phone import Phone
from weeptrace.practice.world.drawn import some_car
from weeptrace.practice.world.play import play
from weeptrace.practice.world.world import World
from weeptrace.rules import load

ALL = {each.name: each for each in weakened()}
DRAWN = (("interrupted", 3), ("obedient", 3), ("interrupted", 7), ("obedient", 7))


@pytest.fixture(scope="module")
def base() -> Unweakened:
    """A few courses of the rules as they are."""
    return Unweakened([course(who, seed) for who, seed in DRAWN])


def test_there_are_weakenings_of_every_group_each_with_its_own_name() -> None:
    assert set(Counter(each.group for each in weakened())) == set(GROUPS)
    assert len(ALL) == len(weakened())


def test_every_gate_of_the_rules_is_opened_once() -> None:
    assert {f"{id}: always open" for id in load().gates} <= set(ALL)


def test_what_stops_by_code_is_there_to_be_taken_away() -> None:
    for module, name, _ in STOPS.values():
        assert callable(getattr(sys.modules[module], name))


def test_every_listed_name_is_a_weakening_with_a_reason() -> None:
    assert set(listed()) <= set(ALL)
    assert all(len(reason.split()) > 4 for reason in listed().values())


@pytest.mark.parametrize(
    ("name", "kinds"),
    [
        ("cold: always open", "sprayed burnt"),
        ("fan_back: always open", "handed_back_fan_off"),
    ],
)
def test_the_world_sees_a_gate_that_is_always_open(base: Unweakened, name: str, kinds: str) -> None:
    found = judge(ALL[name], base, search=False)
    assert found.changes
    assert any(kind in found.hurt for kind in kinds.split())
    assert found.other


def test_somebody_uses_the_car_before_a_step_that_lost_its_gates() -> None:
    own = Unweakened([course("hurried", 8)])
    found = judge(ALL["lines: without open_system"], own, search=False)
    assert "lines: caught" in found.hurt
    assert found.deeds
    assert found.directed == 1


def test_somebody_who_uses_the_car_hurts_nobody_by_the_rules_as_they_are() -> None:
    rules = load()
    steps = rules.procedures["coolant_loss"].steps
    some = {step.id: frozenset(step.gates) for step in steps if step.id in ("lines", "drain")}
    used = Directed(some, 8)
    played = play(World(some_car(8), 8), "hurried", 8, Phone(), before=used)
    assert {step for _, step in used.done} >= set(some)
    assert [each.harm for each in played.harms if each.untrue is None] == []


def test_a_gate_that_the_others_of_a_step_keep_shut_is_not_lost(base: Unweakened) -> None:
    each = ALL["cold_for_vacuum: without within(state.heat, limit.gate.touch_age)"]
    found = judge(each, base, search=False)
    assert (found.changes, found.directed, found.hurt) == (False, 0, "")


def test_a_harm_that_the_rules_do_as_they_are_is_no_sign(base: Unweakened) -> None:
    name = "cold: always open"
    hurt = judge(ALL[name], base, search=False).hurt
    who, seed, harm = hurt.split(maxsplit=2)
    like = next(each for each in base.courses if (each.technician, f"{each.seed}:") == (who, seed))
    known = Unweakened([replace(like, harms=like.harms | {harm})])
    assert judge(ALL[name], known, search=False).hurt != hurt


def test_a_way_past_every_gate_is_not_taken_for_danger_where_the_same_gates_follow(
    base: Unweakened,
) -> None:
    each = ALL["zones: without reach_near_belt"]  # reach_near_fan needs the same
    found = judge(each, base, search=False)
    assert found.refused == "" or not found.changes
    assert (found.changes, found.jobs, found.hurt) == (False, 0, "")


def test_a_stop_comes_back_when_it_was_judged(base: Unweakened) -> None:
    before = {name: getattr(sys.modules[module], name) for module, name, _ in STOPS.values()}
    judge(ALL["too hot: no stop"], Unweakened(base.courses[:1]), search=False, jobs=1)
    assert before == {n: getattr(sys.modules[module], n) for module, n, _ in STOPS.values()}


def test_every_answer_that_a_stop_asks_for_is_a_field_of_the_rules() -> None:
    assert set(ASKED_AT) <= set(STOPS)
    assert set(ASKED_AT.values()) <= set(load().fields)


def test_the_figures_count_what_changes_something_and_is_not_listed() -> None:
    judged = [
        Judged("a", "gates", hurt="obedient 1: x", jobs=1),
        Judged("b", "gates", refused="a fault", jobs=3, met=5),
        Judged("c", "gates", changes=False),
        Judged("d", "gates", jobs=2),
        Judged("e", "gates", jobs=2),
    ]
    told = counted(judged, {"d": "hurts nobody for a reason"})
    assert (told["made"], told["same_gates_follow"], told["equivalent"]) == (5, 1, 1)
    assert (told["change_something"], told["seen_by_the_world"]) == (3, 1)
    assert told["share_of_the_world"] == 0.333
    assert told["seen_by_none"] == ["e"]
    assert set(told["not_by_the_world"]) == {"b", "e"}
    assert counted(judged, {"a": "wrong"})["listed_yet_seen"] == ["a"]


@pytest.mark.parametrize(
    ("name", "who", "kind", "seed", "hurt"),
    [
        ("under_tester: always open", "obedient", "warm", 0, "over_pressured, weakest_part"),
        (
            "ready_to_run: without left.belt == 0",
            "hurried",
            "timing",
            0,
            "valves_bent, belt_slipped",
        ),
        ("site: always open", "obedient", "roadside", 0, "struck, traffic"),
    ],
)
def test_a_course_of_a_kind_meets_the_gate_that_it_is_there_for(
    name: str, who: str, kind: str, seed: int, hurt: str
) -> None:
    own = Unweakened([course(who, seed, kind)])
    assert own.harms == set()
    assert hurt in judge(ALL[name], own, search=False).hurt


def test_a_wish_is_chosen_where_it_is_free() -> None:
    events = course("hurried", 0, "gas").events
    assert '"test.kind", "typed": "gas"' in events


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_is_a_drawn_car_with_its_fault(kind: str) -> None:
    made = world_of(kind, 3)
    assert {key: getattr(made.car, key) for key in KINDS[kind].car} == KINDS[kind].car
    assert made.oil_mixed is bool(KINDS[kind].oil or KINDS[kind].fluid)
    assert not kind or made.place.firm
