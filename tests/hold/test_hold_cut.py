"""A hold cut at what was done to it: which readings belong together, which step the hoses feel."""

from __future__ import annotations

import pytest

from weeptrace.hold.air_hold import cut_air
from weeptrace.hold.data import Action, ActionKind, Reading
from weeptrace.hold.liquid_hold import cut_liquid

HOSES, GAS, DRY = 0.5e-9, 300e-6 * 200e3, 99e3
SEEN = [Reading(60.0 * k, 100e3 - 500.0 * k) for k in range(1, 9)]  # from 1 to 8 min
PUMPED: ActionKind = "pumped"
DREW: ActionKind = "drew_off"
TOUCHED: ActionKind = "disturbed"


def parts(*actions: tuple[ActionKind, float]) -> list[list[float]]:
    """Minutes of the readings between the actions."""
    told = [Action(kind, 60.0 * minute) for kind, minute in actions]
    segments, times = cut_liquid(SEEN, told, HOSES, GAS, DRY)
    drained, _ = cut_air(SEEN, told)
    assert times == drained
    assert [segment.start for segment in segments] == [part[0] for part in times]
    return [[t / 60.0 for t in part] for part in times]


@pytest.mark.parametrize(
    ("actions", "ends"),
    [
        ([], [8]),
        ([(TOUCHED, 3.5)], [3, 8]),
        ([(TOUCHED, 4.0)], [3, 8]),  # at a reading: that one is read after it
        ([(TOUCHED, 1.0)], [8]),  # at the first one: nothing is cut
        ([(TOUCHED, 1.01)], [1, 8]),
        ([(TOUCHED, 0.5), (TOUCHED, 9.0)], [8]),  # before all, after all
        ([(TOUCHED, 8.0)], [7, 8]),
        ([(TOUCHED, 5.5), (TOUCHED, 2.5)], [2, 5, 8]),  # told in any order
        ([(TOUCHED, 3.2), (PUMPED, 3.7)], [3, 8]),  # nothing read between
    ],
)
def test_readings_between_actions(actions: list[tuple[ActionKind, float]], ends: list[int]) -> None:
    wanted = []
    first = 1
    for end in ends:
        wanted.append([float(k) for k in range(first, end + 1)])
        first = end + 1
    assert parts(*actions) == wanted


@pytest.mark.parametrize(
    ("pumped", "since"),
    [([], 60.0), ([30.0], 30.0), ([10.0, 30.0], 30.0), ([30.0, 10.0], 30.0), ([60.0], 60.0)],
)
def test_hoses_give_since_the_last_pumping_before_the_first_reading(
    pumped: list[float], since: float
) -> None:
    told = [Action(PUMPED, time) for time in pumped] + [Action(DREW, 45.0)]
    segments, _ = cut_liquid(SEEN, told, HOSES, GAS, DRY)
    assert segments[0].steps == ((since, SEEN[0].pressure),)
    assert (segments[0].hoses, segments[0].gas) == (HOSES, GAS)
    assert cut_air(SEEN, told)[1] == (since,)


@pytest.mark.parametrize(
    ("kinds", "step", "fresh"),
    [
        ([PUMPED], 240.0, True),
        ([DREW], 240.0, False),
        ([TOUCHED], None, False),
        ([TOUCHED, PUMPED], 252.0, True),
        ([PUMPED, TOUCHED], 240.0, True),
        ([PUMPED, DREW], 252.0, False),  # the last one that moved anything says what was moved
        ([DREW, PUMPED], 252.0, True),
    ],
)
def test_what_each_action_moves(kinds: list[ActionKind], step: float | None, fresh: bool) -> None:
    """Pumping and drawing off are a step for the hoses; only pumping adds gas: the liquid's space
    stays but for what the hoses take up."""
    told = [Action(kind, 240.0 + 12.0 * k) for k, kind in enumerate(kinds)]
    before, after = 97e3, 110e3
    seen = [Reading(180.0, before + 300.0), Reading(230.0, before), Reading(300.0, after)]
    first, second = cut_liquid(seen, told, HOSES, GAS, DRY)[0]
    assert first.steps == ((180.0, before + 300.0),)
    assert second.start == 300.0
    moved = () if step is None else ((step, after - before),)
    assert second.steps == (*first.steps, *moved)
    more = (GAS / (before + DRY) + HOSES * (after - before)) * (after + DRY)
    assert second.gas == pytest.approx(more if fresh else GAS)
    assert second.hoses == HOSES


def test_gas_pumped_in_is_never_less_than_none() -> None:
    seen = [Reading(0.0, 100e3), Reading(60.0, 20e3)]
    little = 10e-6 * 199e3
    second = cut_liquid(seen, [Action(PUMPED, 30.0)], HOSES, little, DRY)[0][1]
    assert second.gas == 0.0


def test_when_pumping_ended_before_each_stretch_of_a_drained_system() -> None:
    told = [Action(PUMPED, 10.0), Action(DREW, 150.0), Action(PUMPED, 250.0), Action(PUMPED, 300.0)]
    times, since = cut_air(SEEN, told)
    assert [part[0] for part in times] == [60.0, 180.0, 300.0]
    assert since == (10.0, 10.0, 300.0)
