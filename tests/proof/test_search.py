"""The search, bounded to seconds: the plain course, and the slices that are small.

The whole of it is ``python3 build.py study search``.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from tests.proof import invariants, trade
from tests.proof.cells import Cuts
from tests.proof.never_broken import NEVER_BROKEN, never_broken
from tests.proof.search import Found
from tests.proof.slices import slices
from tests.proof.slicing import PROCEDURE, Slice, prove
from tests.proof.walk import FREE, WIDE, walk
from tests.proof.world import after, answers, start
from weeptrace.rules import Rules, load

RULES = load()
STEPS = {step.id: step for step in RULES.procedures[PROCEDURE].steps}
# One of each kind, the longest left to the study; what must have been asked there.
LOOKED_AT = {
    "look_below": {"on_stands"},
    "test_run": {"fan_back", "ready_to_run", "consented", "fit_to_drive", "put_back"},
    "transmission_lines": {"on_stands", "warned"},
    "release": {"let_off", "begins_anew"},
    "reassembly": {"fan_off", "key_away", "closes_whole"},
    "end_level": {"opens_cold", "isolated", "filled_up", "levelled", "stop_offered"},
}  # fmt: skip
LONG = 25  # slices of one part each, of which a few stand for all here


def without(rules: Rules, step: str, gate: str) -> Rules:
    """The rules with a step outside one of its gates."""
    procedure = rules.procedures[PROCEDURE]
    steps = tuple(
        replace(each, gates=tuple(id for id in each.gates if id != gate))
        if each.id == step
        else each
        for each in procedure.steps
    )
    return replace(
        rules, procedures={**rules.procedures, PROCEDURE: replace(procedure, steps=steps)}
    )


def stands(rules: Rules, gate: str) -> bool:
    """Whether a step of the main procedure stands behind a gate."""
    return any(gate in step.gates for step in rules.procedures[PROCEDURE].steps)


def pieces(rules: Rules, steps: set[str]) -> list[Slice]:
    """The slices of some steps; of those that go part by part or field by field, each twelfth."""
    found = list(slices(rules, steps))
    by_part = [
        piece
        for piece in found
        if piece.name.split()[-1].startswith("part.") or piece.kind == "back"
    ]
    return [piece for piece in found if piece not in by_part] + by_part[:: LONG // 2]


def test_every_rule_that_is_never_broken_has_its_mark_its_keepers_and_its_proof() -> None:
    assert never_broken(RULES) is None
    assert sorted(id for _, id, *_ in NEVER_BROKEN) == sorted(RULES.never)


@pytest.mark.parametrize("step", LOOKED_AT)
def test_nothing_breaks_in_the_slices_that_are_looked_at(step: str) -> None:
    total = Found()
    for piece in pieces(RULES, {step}):
        total.add(prove(piece))
    print(f"\n{total.states} states, {total.moves} moves, {dict(total.checked)}")
    assert total.broken == []
    assert total.whole
    assert total.states > 50
    assert {*LOOKED_AT[step], "nothing_lost"} <= set(total.checked)


# Where the coolant stays in, nothing is drained and no warm-up is logged; nothing repaired, less.
SHORT = {
    "hose_or_clamp": {"drain", "warm_log"},
    "cap": {"drain", "warm_log"},
    "none": {"drain", "warm_log", "after_wanted", "teardown"},
}


# Every wet place and none before these, and an entry taken back anywhere; the study does so in all.
WIDELY = ("hose_or_clamp",)
TAKEN_BACK = ("radiator_with_cooler", "cap", "none", *WIDELY)


@pytest.mark.parametrize("repair", RULES.fields["repair.kind"].options)
def test_the_plain_course_breaks_nothing_and_always_leads_on(repair: str) -> None:
    free = WIDE if repair in WIDELY else (*FREE, "cap.how")
    found = walk(RULES, 0, free=free, repairs=(repair,), undo=repair in TAKEN_BACK)
    print(f"\n{found.states} states, {found.moves} moves, {dict(found.checked)}")
    assert found.broken == []
    assert found.whole
    assert found.ended
    assert found.checked["leads_on"]
    assert {check.__name__ for check in invariants.ALL} <= set(found.checked)
    steps = {"drain", "teardown", "warm_log", "after_wanted", "hand_over", "cap_hold"}
    assert steps - SHORT.get(repair, set()) <= found.steps


@pytest.mark.parametrize(
    ("step", "gate", "told"),
    [
        ("cold_strength", "cold", "offers to open a system"),
        ("road_look", "fan_safe", "the fan is live"),
        ("fan_off", "key_away", "the engine can start"),
        ("zones", "key_away", "the engine can start"),
        ("night_cylinders", "key_away", "the engine can start"),
        ("dried", "cool_metal", "a hand to hot metal"),
        ("arrival_cool", "cool_metal", "a hand to hot metal"),
        ("hand_over", "oil_goes", "and nobody answers for it"),
        ("road_test", "fan_back", "without its fan"),
        ("road_test", "open_air", "before the exhaust is answered"),
        ("road_test", "no_cream", "with oil in the coolant"),
        ("dye_drive", "test_closed", "drives without"),
        ("level_now", "test_closed", "drives without"),
        ("level_now", "fan_back", "without its fan"),
        ("road_test", "road_closed", "drives without"),
        ("dried", "fan_safe", "the fan is live"),
        ("watch_run", "fan_back", "without its fan"),
        ("road_test", "no_liquid", "with liquid in a cylinder"),
        ("bubbles", "cool_metal", "a hand to hot metal"),
        ("pump_up", "high_voltage", "opens a loop"),
        ("drain", "high_voltage", "opens a loop"),
        ("teardown", "agreed", "takes off"),
        ("teardown", "airbags", "live airbags"),
        ("vacuum_readings", "cold_for_vacuum", "draws a vacuum"),
        ("look_below", "stands", "stands.set, stands.pushed"),
        ("kit", "site", "begins where the ground is"),
    ],
)
def test_a_gate_that_is_left_out_is_found(step: str, gate: str, told: str) -> None:
    assert gate in STEPS[step].gates
    behind = {piece.name for piece in slices(RULES, {step}) if stands(piece.rules, gate)}
    found = [piece for piece in slices(without(RULES, step, gate), {step}) if piece.name in behind]
    found.sort(key=lambda piece: piece.clock)
    assert any(told in words for piece in found for words in prove(piece, first=True).broken)


@pytest.mark.parametrize(
    ("step", "gate", "told"),
    [
        ("warm_log", "closed_up", "neck"),
        ("road_test", "closed_up", "clamps"),
        ("test_run", "ready_to_run", "plugs"),
        ("hand_over", "on_wheels", "tray"),
        ("hand_over", "on_wheels", "car"),
    ],
)
def test_what_is_not_put_back_is_found(step: str, gate: str, told: str) -> None:
    assert gate in STEPS[step].gates
    found = slices(without(RULES, step, gate), {step})
    piece = next(p for p in found if p.name.startswith(f"back {step} {told}"))
    assert any(told in words.partition(" not put back")[0] for words in prove(piece).broken)


def test_an_invariant_says_on_which_way_it_was_broken() -> None:
    piece = next(p for p in slices(without(RULES, "teardown", "agreed"), {"teardown"})
                 if p.kind == "ledger")  # fmt: skip
    assert any("consent.how refused" in words for words in prove(piece).broken)


def test_every_slice_of_the_study_has_its_own_name() -> None:
    counted = Counter(piece.name for piece in slices(RULES))
    assert max(counted.values()) == 1
    assert len(counted) > 150


def test_every_answer_of_the_search_reads_as_what_it_is() -> None:
    cuts = Cuts(RULES, {**trade.APART, trade.RATING: (60e3,), trade.SPAN: (50e3,)})
    begun = start(RULES)
    tried = 0
    for field in RULES.fields.values():
        for move in answers(cuts, field):
            tried += 1
            told = [t.words for t in after(RULES, begun, move).job.troubles.values()]
            assert not any("is not a" in words for words in told), (move, told)
    assert tried > 500
