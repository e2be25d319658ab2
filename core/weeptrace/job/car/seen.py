"""What was seen of engine and leak in all of a job; it holds until it is seen otherwise."""

from __future__ import annotations

from weeptrace.job import holds as holds_of
from weeptrace.job import rounds
from weeptrace.job.state import Job
from weeptrace.rules import Rules


def liquid(job: Job) -> float:
    """1 where liquid may stand in a cylinder, else 0, by all tests of the job, not the present one.

    A wet cylinder until a later look finds all dry; an engine that stops hard as it is turned;
    combustion gas shown in the coolant; or coolant in a cylinder by what was answered for driving.
    """
    looks = [word for word in rounds.every(job, "test.cylinders") if word in ("wet", "dry")]
    gas = "changed" in rounds.every(job, "test.gas")
    told = rounds.every(job, "drive.coolant_in_cylinder")[-1:] == ["yes"]
    turned = rounds.every(job, "test.turned")[-1:] == ["stops"]
    return float(looks[-1:] == ["wet"] or gas or told or turned)


def oil(job: Job) -> float:
    """1 where coolant came out of the sump's bottom in any test of the job, else 0."""
    return float("coolant" in rounds.every(job, "test.sump"))


def is_gross(rules: Rules, job: Job) -> bool:
    """Whether a hold of this round was judged gross; after a repair only the hold after it counts.

    Another test forgets no gross hold of an earlier one.
    """
    if holds_of.AFTER in job.series and job.present(holds_of.AFTER).readings:
        series = [job.present(holds_of.AFTER)]
    elif job.value("coolant.filled") is not None or job.value("ledger.on_complete") is not None:
        return False
    else:
        opened_at = job.facts.get("work.reopened")
        tests = [
            each for each in job.all_series(holds_of.TEST)
            if each.facts is None or each.facts.get("work.reopened") == opened_at
        ]  # fmt: skip
        series = [job.present(holds_of.PRESSURE), *tests]
    return any(
        "gross" in holds_of.assess(rules, job, each).verdict for each in series if each.readings
    )
