"""Which gates follow from others, whatever is known: shown on the gates of the rules."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.judged.implied import implied, never_shut
from weeptrace.rules import conditions, load

GATES = load().gates
STEPS = {step.id: step for step in load().procedures["coolant_loss"].steps}


@pytest.mark.parametrize(
    ("lost", "left", "so"),
    [
        ("cool_metal", ("cold",), True),
        ("cool_metal", ("cold_for_vacuum",), True),
        ("cold_for_vacuum", ("cool_metal",), False),  # warmer than for a vacuum
        ("cold", ("cool_metal",), False),  # pressed, or measured too long ago
        ("cold", ("key_away", "fan_safe"), False),
        ("cold", (), False),
        ("key_away", ("key_away",), True),
        ("airbags", ("key_away",), False),
    ],
)
def test_a_gate_follows_from_others(lost: str, left: tuple[str, ...], so: bool) -> None:
    assert implied(load(), GATES[lost], [GATES[id] for id in left]) is so


@pytest.mark.parametrize("id", sorted(GATES))
def test_nothing_follows_from_a_gate_that_is_always_open(id: str) -> None:
    field = next(iter(conditions.fields(GATES[id].opens)))
    always = conditions.parse(f"known({field}) or not known({field})")
    open_ = replace(GATES[id], opens=conditions.Condition(always))
    assert not implied(load(), GATES[id], [open_])


def test_what_an_event_makes_stale_for_one_does_not_follow_from_another() -> None:
    believes = replace(GATES["cold"], stale_on=())
    assert not implied(load(), GATES["cool_metal"], [believes])


@pytest.mark.parametrize(
    ("lost", "step", "so"),
    [
        ("agreed", "drain", True),  # the consent and the ceiling come before it
        ("agreed", "ceiling_stop", False),  # here the work stops at the ceiling
        ("no_liquid", "test_run", True),  # somebody has answered for it
        ("no_liquid", "end_run", False),
        ("closed_up", "hand_over", False),
        ("cold", "drain", False),  # what was measured grows old
    ],
)
def test_a_gate_may_never_be_shut_where_a_job_stands(lost: str, step: str, so: bool) -> None:
    assert never_shut(load(), GATES[lost], [], STEPS[step]) is so


def test_what_comes_before_counts_only_where_it_is_asked_for() -> None:
    rules = load()
    procedure = rules.procedures["coolant_loss"]
    asked = {"consent_how", "ceiling_stop"}
    fewer = tuple(step for step in procedure.steps if step.id not in asked)
    other = replace(rules, procedures={"coolant_loss": replace(procedure, steps=fewer)}, hash="-")
    assert not never_shut(other, GATES["agreed"], [], STEPS["drain"])


def test_a_gate_that_a_step_still_has_keeps_its_own_part_shut() -> None:
    oil = GATES["oil_goes"]
    assert never_shut(load(), oil, [oil], STEPS["hand_over"])
    assert not never_shut(load(), oil, [], STEPS["hand_over"])


def test_oil_that_is_seen_is_seen_whichever_answer_shows_it() -> None:
    tree = conditions.parse('seen.oil == 0 and not (known(oil.engine) and oil.engine == "mixed")')
    less = conditions.parse("seen.oil == 0")
    lost = replace(GATES["oil_goes"], opens=conditions.Condition(tree))
    left = replace(lost, opens=conditions.Condition(less))
    assert never_shut(load(), lost, [left], STEPS["hand_over"])
    assert not never_shut(load(), left, [GATES["closed_up"]], STEPS["hand_over"])
