"""A small seeded sample of the study: cars drawn from likelihoods off by up to a factor of 2."""

from __future__ import annotations

import random

from tests.causes.drawn_cars import disturbed, draw
from tests.causes.support import KNOWLEDGE, LIMITS
from tests.causes.trials import by_gain, calibrate, calibration_error, in_order, to_be_right
from weeptrace.rules import load


def test_what_it_says_comes_true_as_often_as_it_says() -> None:
    """Every cause of 150 cars: an error of 0.08 is allowed; the leader's has more scatter."""
    found = calibrate(dict(load().causes), dict(LIMITS), seed=1, cars=150)
    assert calibration_error(found.every) <= 0.02
    assert calibration_error(found.leader, bins=5) <= 0.08 + 0.04


def test_a_right_decision_costs_at_most_07_of_the_fixed_order() -> None:
    bundle, limits = dict(load().causes), dict(LIMITS)
    rolls = random.Random(2)
    cars = [draw(disturbed(bundle, rolls), rolls, limits["causes.several"]) for _ in range(16)]
    gain = [by_gain(KNOWLEDGE, car, limits) for car in cars]
    until = [in_order(KNOWLEDGE, car, limits, limits["causes.decided"]) for car in cars]
    assert to_be_right(gain) <= 0.7 * to_be_right(until)
    assert sum(each.right for each in gain) >= 0.75 * sum(each.right for each in until)


def test_the_error_of_a_liar_is_seen() -> None:
    assert calibration_error([(0.9, False)] * 5 + [(0.9, True)] * 5) > 0.3
    assert calibration_error([(0.5, False)] * 5 + [(0.5, True)] * 5) < 1e-9
