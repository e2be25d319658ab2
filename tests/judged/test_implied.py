"""Which gates follow from others, whatever is known: shown on the gates of the rules."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.judged.implied import implied
from weeptrace.rules import conditions, load

GATES = load().gates


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
