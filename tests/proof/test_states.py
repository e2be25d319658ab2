"""The search over states of the car, bounded to seconds; it can fail.

The whole of it is ``python3 build.py study states``.
"""

from __future__ import annotations

from tests.proof.changes import ALWAYS, Mutant, set_to, within
from tests.proof.states import DANGERS, HURTS, explore
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
        rules, bound=HURTS, repairs=("cap",), only=frozenset({"cold_level"}), first=True, most=2 * LATE
    )
    assert any("not shown to be cold" in words for words in found.broken)
