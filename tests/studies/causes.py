"""Ranking of causes on drawn cars (``python3 build.py study causes``).

Likelihoods off by up to a factor of 2, one answer in ten misread.
"""

from __future__ import annotations

import random
import statistics
import time

from tests.causes.drawn_cars import disturbed, draw
from tests.causes.support import CASES, KNOWLEDGE, LIMITS, observations, ranked
from tests.causes.trials import by_gain, calibrate, calibration_error, in_order, to_be_right
from tests.studies.report import write
from weeptrace.causes import from_bundle, rank
from weeptrace.rules import load

CARS = 1500
DECIDED = 150
DISTURBED = 15


def main() -> None:
    """Calibration, cost of a right decision, and what the cases make of other likelihoods."""
    bundle, limits = dict(load().causes), dict(LIMITS)
    found = calibrate(bundle, limits, seed=1, cars=CARS)
    rolls = random.Random(2)
    cars = [draw(disturbed(bundle, rolls), rolls, limits["causes.several"]) for _ in range(DECIDED)]
    gain = [by_gain(KNOWLEDGE, car, limits) for car in cars]
    whole = [in_order(KNOWLEDGE, car, limits, None) for car in cars]
    until = [in_order(KNOWLEDGE, car, limits, limits["causes.decided"]) for car in cars]
    changed = kept = 0
    for _ in range(DISTURBED):
        other = from_bundle(disturbed(bundle, rolls), limits)
        for case in CASES:
            first = rank(other, case["vehicle"]["features"], observations(case), limits).causes[0]
            changed += first.id != ranked(case).causes[0].id
            kept += first.id == case["true_cause"]
    taken = []
    for case in CASES * 5:
        began = time.process_time()
        ranked(case)
        taken.append(1000.0 * (time.process_time() - began))
    ways = {"by_gain": gain, "in_order_all": whole, "in_order_until_likely": until}
    write(
        "causes",
        {
            "cars": CARS,
            "calibration_error_leader": round(calibration_error(found.leader), 4),
            "calibration_error_every_cause": round(calibration_error(found.every), 4),
            "leader_is_a_fault": round(statistics.mean(true for _, true in found.leader), 3),
            "leader_mean_probability": round(statistics.mean(said for said, _ in found.leader), 3),
            "leader_changes_with_the_likelihoods": round(found.changed / CARS, 3),
            "cases_leader_changes": round(changed / (DISTURBED * len(CASES)), 3),
            "cases_true_cause_leads": round(kept / (DISTURBED * len(CASES)), 3),
            "cars_decided": DECIDED,
            **{
                f"{name}_{what}": round(value, 2)
                for name, gone in ways.items()
                for what, value in (
                    ("cost_min", statistics.mean(each.cost for each in gone) / 60.0),
                    ("right", statistics.mean(each.right for each in gone)),
                    ("tests", statistics.mean(each.tests for each in gone)),
                    ("cost_a_right_decision_min", to_be_right(gone) / 60.0),
                )
            },
            "share_of_all_in_order": round(to_be_right(gain) / to_be_right(whole), 3),
            "share_of_in_order_until_likely": round(to_be_right(gain) / to_be_right(until), 3),
            "update_ms_median": round(statistics.median(taken), 1),
            "update_ms_worst": round(max(taken), 1),
        },
    )


if __name__ == "__main__":
    main()
