"""What is proposed at which chance: the gates of the plan with chances and gains put in by hand.

Limits causes.suspected 25 %, likely 50 %, decided 90 %, teardown_share 50 %, ruled_out 0.5 %.
"""

from __future__ import annotations

import pytest

from tests.causes import every_set
from tests.causes.support import CASES, KNOWLEDGE, LIMITS, ranked, spoken, told
from weeptrace.causes import rank
from weeptrace.causes.next_test import Turn, Valued
from weeptrace.causes.observe import evidence
from weeptrace.causes.plan import Plan, plan, proven
from weeptrace.rules import load

TEARDOWNS = [id for id, test in KNOWLEDGE.tests.items() if test.teardown]


def made(leader: str, chance: float, tests: dict[str, tuple[float, float]], **answers: str) -> Plan:
    """The plan for a leader of that chance; ``tests``: gain and cost of each, s."""
    chances = dict.fromkeys(KNOWLEDGE.causes, 0.0) | {leader: chance}
    valued = [
        Valued(id, gain, cost, KNOWLEDGE.tests[id].gives, None)
        for id, (gain, cost) in tests.items()
    ]
    known = evidence(KNOWLEDGE, KNOWLEDGE.features, told(**answers))
    return plan(KNOWLEDGE, known, chances, valued, KNOWLEDGE.tests, LIMITS)


def roles(found: Plan) -> list[tuple[str, str]]:
    return [(each.test, each.role) for each in found.proposals]


def test_which_tests_take_parts_off() -> None:
    assert {"cylinder_leakdown_bubbles", "borescope_cylinders"} <= set(TEARDOWNS)
    assert not {"pressure_test_cold", "weep_hole_look", "cap_test"} & set(TEARDOWNS)


@pytest.mark.parametrize(
    ("chance", "proposed"), [(0.251, False), (0.40, False), (0.499, False), (0.50, True)]
)
def test_parts_come_off_for_a_proof_only_where_the_leader_is_likely(
    chance: float, proposed: bool
) -> None:
    """A head gasket is proven with the plugs out; not worth it below an even chance."""
    found = made("head_gasket_internal", chance, {"borescope_cylinders": (1.0, 3000.0)})
    assert (("borescope_cylinders", "prove") in roles(found)) is proposed


@pytest.mark.parametrize(
    ("chance", "proposed"), [(0.1, False), (0.249, False), (0.25, True), (0.4, True)]
)
def test_a_look_proves_where_the_leader_is_suspected(chance: float, proposed: bool) -> None:
    found = made("pump_shaft_seal", chance, {"weep_hole_look": (1.0, 300.0)})
    assert (("weep_hole_look", "prove") in roles(found)) is proposed


@pytest.mark.parametrize(("chance", "proposed"), [(0.6, True), (0.899, True), (0.90, False)])
def test_once_all_is_decided_no_part_comes_off_for_another_cause(
    chance: float, proposed: bool
) -> None:
    """The leader is a hose; a leak-down test would gain more than it costs, and proves no hose."""
    found = made("hose_joint", chance, {"cylinder_leakdown_bubbles": (5000.0, 3600.0)})
    assert (("cylinder_leakdown_bubbles", "decide") in roles(found)) is proposed
    assert found.enough is not proposed


def test_the_leaders_own_proof_may_take_parts_off_even_then() -> None:
    found = made("head_gasket_internal", 0.95, {"borescope_cylinders": (5000.0, 3000.0)})
    assert ("borescope_cylinders", "decide") in roles(found)


@pytest.mark.parametrize(("gain", "waits"), [(2499.0, False), (2500.0, True), (4000.0, True)])
def test_taking_parts_off_waits_for_a_look_that_gains_half_as_much(
    gain: float, waits: bool
) -> None:
    tests = {"borescope_cylinders": (5000.0, 3000.0), "combustion_gas_test": (gain, 900.0)}
    found = made("head_gasket_internal", 0.4, tests)
    assert ("combustion_gas_test", "decide") in roles(found)
    assert (("borescope_cylinders", "decide") in roles(found)) is not waits


def test_it_does_not_wait_for_a_look_that_is_not_worth_doing() -> None:
    tests = {"borescope_cylinders": (5000.0, 3000.0), "combustion_gas_test": (4000.0, 4001.0)}
    found = made("head_gasket_internal", 0.4, tests)
    assert roles(found) == [("borescope_cylinders", "decide")]


def test_the_order_proof_second_leak_level_watch() -> None:
    """A proof by a look stands first, a second leak is looked for third at the latest, and the
    level watch is last."""
    tests = {
        "level_watch": (1.0, 900.0), "cold_visual": (900.0, 60.0), "cap_test": (800.0, 300.0),
        "combustion_gas_test": (700.0, 300.0), "pressure_test_cold": (1.0, 1800.0),
        "weep_hole_look": (1.0, 300.0),
    }  # fmt: skip
    found = roles(made("pump_shaft_seal", 0.6, tests))
    assert found[0] == ("weep_hole_look", "prove")
    assert ("pressure_test_cold", "second_leak") in found[:4]
    assert found[-1] == ("level_watch", "close")
    assert [role for _, role in found].count("decide") == len(found) - 3


def test_a_proof_that_takes_parts_off_stands_third() -> None:
    """Two looks that decide come first; a proof by a look would stand before them."""
    looks = {"cold_visual": (900.0, 60.0), "cap_test": (800.0, 300.0), "oil_check_and_sample": (
        700.0, 300.0)}  # fmt: skip
    found = roles(made("head_gasket_internal", 0.6, {**looks, "borescope_cylinders": (1.0, 3e3)}))
    assert [id for id, _ in found] == [*list(looks)[:2], "borescope_cylinders", list(looks)[2]]
    assert found[2] == ("borescope_cylinders", "prove")


def test_a_proof_that_is_given_is_not_asked_again() -> None:
    tests = {"weep_hole_look": (1.0, 300.0), "pressure_test_cold": (1.0, 1800.0)}
    found = made("pump_shaft_seal", 0.95, tests, weep_hole="wet")
    assert roles(found) == [("pressure_test_cold", "second_leak")]
    assert "It is proven; look for a second leak." in spoken(found.why)
    open_ = made("pump_shaft_seal", 0.95, tests)
    assert "It is not proven yet." in spoken(open_.why)
    assert "would gain" in spoken(open_.why)


@pytest.mark.parametrize(("chance", "sure"), [(0.899, False), (0.90, True), (1.0, True)])
def test_proven_takes_the_answer_and_the_rest_for_it(chance: float, sure: bool) -> None:
    known = evidence(KNOWLEDGE, [], told(weep_hole="wet"))
    chances = {"pump_shaft_seal": chance}
    assert proven(KNOWLEDGE, known, "pump_shaft_seal", chances, LIMITS) is sure
    bare = evidence(KNOWLEDGE, [], told(weep_hole="dry_stain"))
    assert not proven(KNOWLEDGE, bare, "pump_shaft_seal", chances, LIMITS)


def test_why_names_the_answer_that_would_turn_it() -> None:
    turn = Turn("cap_test", "opens_early", 0.3, "pressure_cap")
    valued = [
        Valued("cap_test", 900.0, 300.0, ("cap_test",), turn),
        Valued(
            "combustion_gas_test", 800.0, 300.0, KNOWLEDGE.tests["combustion_gas_test"].gives, None
        ),
    ]
    chances = dict.fromkeys(KNOWLEDGE.causes, 0.0) | {"hose_joint": 0.4}
    known = evidence(KNOWLEDGE, [], [])
    found = plan(KNOWLEDGE, known, chances, valued, KNOWLEDGE.tests, LIMITS)
    leads, leader = (load().texts[f"cause.{id}.name"] for id in ("pressure_cap", "hose_joint"))
    first, second = found.proposals[:2]
    assert spoken(first.why).endswith(f"“{leads}” leads.")
    assert spoken(second.why).endswith(f"It settles how sure “{leader}” is.")
    assert (first.gain, first.cost, first.time) == (900.0, 300.0, KNOWLEDGE.tests["cap_test"].time)


@pytest.mark.parametrize("case", CASES[::3], ids=[case["id"] for case in CASES[::3]])
def test_what_is_not_ruled_out_is_all_above_half_a_percent(case: dict) -> None:  # type: ignore[type-arg]
    found = ranked(case)
    left = {each.id: each.probability for each in found.not_ruled_out}
    assert left == {
        each.id: each.probability for each in found.causes[1:] if each.probability >= 0.005
    }
    assert min(left.values()) < 0.015  # the rarest stands near the limit, so the limit binds


def test_what_is_not_ruled_out_by_a_sum_over_every_set() -> None:
    """Without history: each cause above 0.6 % by the other way is named, none below 0.4 % is."""
    answers = [("weep_hole", "wet"), ("residue_at", "pump_weep"), ("gas_test", "negative")]
    chances = every_set.probabilities(
        dict(load().causes), [], answers, LIMITS["causes.several"], LIMITS["causes.attention"]
    )
    found = rank(KNOWLEDGE, [], told(**dict(answers)), LIMITS)
    left = {each.id for each in found.not_ruled_out}
    leader = max(chances, key=lambda id: chances[id])
    assert leader == found.causes[0].id
    assert {id for id, p in chances.items() if p > 0.006 and id != leader} <= left
    assert not {id for id, p in chances.items() if p < 0.004} & left
    assert sum(0.006 < p < 0.015 for p in chances.values()) >= 2
