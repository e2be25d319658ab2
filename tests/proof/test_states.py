"""The search over states of the car, bounded to seconds; it can fail.

The whole of it is ``python3 build.py study states``.
"""

from __future__ import annotations

import pytest

from tests.proof.changes import ALWAYS, Mutant, set_to, within
from tests.proof.offered import State
from tests.proof.states import BOUND, DANGERS, ELSEWHERE, HURTS, States, explore
from tests.proof.world import Move, after, start
from weeptrace.rules import load

RULES = load()
LATE = 800  # states; the study has them all


def test_no_act_is_offered_on_the_plain_course_while_it_is_dangerous() -> None:
    found = explore(RULES, bound=0, repairs=("cap",))
    assert found.broken == []
    assert found.whole
    assert found.ended
    assert {"cold_level", "hand_over"} <= found.steps
    assert {check.__name__ for check in DANGERS} <= set(found.checked)


def test_no_act_is_offered_after_a_departure_where_one_can_hurt() -> None:
    plain = explore(RULES, bound=0, repairs=("cap",))
    found = explore(RULES, bound=HURTS, repairs=("cap",), only=frozenset({"cold_level"}), most=LATE)
    assert found.broken == []
    assert found.states > plain.states


def test_a_gate_that_is_always_open_is_found() -> None:
    change = within("key_away", set_to("opens", ALWAYS))
    rules, _ = Mutant("gate", "key_away: always open", "gates.toml", change).anyway()
    found = explore(rules, bound=0, repairs=("cap",), first=True)
    assert any("the engine can start" in words for words in found.broken)


def test_age_alone_shuts_what_was_open() -> None:
    change = within("variable.heat", set_to("lasts", "gate.stands_age"))
    rules, _ = Mutant("gate", "heat: lasts a day", "state.toml", change).anyway()
    found = explore(
        rules,
        bound=HURTS,
        repairs=("cap",),
        only=frozenset({"cold_level"}),
        first=True,
        most=2 * LATE,
    )
    assert any("not shown to be cold" in words for words in found.broken)


def test_a_departure_that_only_a_shut_gate_catches_is_found() -> None:
    change = within("stands", set_to("opens", ALWAYS))
    rules, _ = Mutant("gate", "stands: always open", "gates.toml", change).anyway()
    found = explore(
        rules, bound=HURTS, repairs=("cap",), only=frozenset({"look_below"}), first=True, most=LATE
    )
    assert any("under a" in words for words in found.broken)


def test_the_bound_has_one_departure_anywhere_and_another_where_an_act_can_hurt() -> None:
    assert 2 * HURTS <= BOUND
    assert HURTS + ELSEWHERE <= BOUND < min(2 * ELSEWHERE, 3 * HURTS)


def test_a_search_that_is_ended_says_what_of_it_was_whole() -> None:
    found = explore(RULES, bound=0, repairs=("cap",), most=20)
    assert not found.whole
    assert found.least == 0  # not even the plain course had ended
    assert explore(RULES, bound=0, repairs=("cap",)).least is None


KEYS = States(RULES)


def keyed(field: str, word: str) -> object:
    """The key of a job that answered one field alone."""
    node = after(RULES, start(RULES), Move("", "fact", field, word))
    return KEYS.key(State(RULES, node))


@pytest.mark.parametrize(
    ("field", "one", "other"),
    [
        ("told.high_voltage", "yes", "no"),
        ("car.drive", "no_high_voltage", "high_voltage"),
        ("kit.stands", "missing", "have"),
        ("oil.engine", "mixed", "clean"),
        ("drive.decision", "tow", "drive"),
        ("consent.how", "refused", "signed"),
        ("car.raised", "raised", "on_ground"),
        ("system.pressure_sign", "under_pressure", "hose_soft"),
        ("repair.kind", "heater_core", "radiator"),
        ("fill.how", "vacuum", "open_neck"),
    ],
)
def test_a_key_keeps_apart_what_a_gate_or_a_danger_reads(field: str, one: str, other: str) -> None:
    assert {one, other} <= set(RULES.fields[field].options)
    assert keyed(field, one) != keyed(field, other)


def test_a_key_keeps_nothing_apart_that_no_gate_and_no_danger_reads() -> None:
    assert keyed("told.overheated", "hot") == keyed("told.overheated", "no")
