"""What was done stays done: a later "not measured" closes no neck, and opens none."""

from __future__ import annotations

from tests.proof.slicing import PROCEDURE
from tests.proof.world import Move, Node, after, start
from weeptrace.job.car.left import left
from weeptrace.rules import load

RULES = load()


def job_of(*moves: Move) -> Node:
    node = start(RULES)
    assert node.job.procedure == PROCEDURE
    for move in moves:
        node = after(RULES, node, move)
    return node


def neck(*moves: Move) -> float:
    return left(RULES, job_of(*moves).job, "left.neck")


CAP_ON = Move("", "done", "pressure.cap_on")
LEVEL = Move("", "fact", "cold.level", "-5", "mm")
NOT_SEEN = Move("", "not_done", "cold.level", "no time")
NO_CAP = Move("", "not_done", "pressure.cap_on", "no time")
ANEW = Move("", "mark", "hold.again")


def test_a_neck_that_was_opened_stays_open_when_its_level_is_called_not_measured() -> None:
    assert neck(CAP_ON) == 0.0
    assert neck(CAP_ON, LEVEL) == 1.0
    assert neck(CAP_ON, LEVEL, NOT_SEEN) == 1.0


def test_what_was_only_ever_not_measured_did_nothing() -> None:
    assert neck(CAP_ON, NOT_SEEN) == 0.0
    assert neck(CAP_ON, LEVEL, NO_CAP) == 1.0


def test_a_new_beginning_makes_nothing_done_of_what_was_not() -> None:
    assert "pressure.cap_on" in RULES.fields["hold.again"].clears
    assert neck(LEVEL, NO_CAP, ANEW) == 1.0
