"""What was seen of engine and leak in all of a job; it holds until it is seen otherwise."""

from __future__ import annotations

from typing import Final

from weeptrace.job import holds as holds_of
from weeptrace.job import rounds
from weeptrace.job.car.known import kept, runs_taken_back
from weeptrace.job.state import Job, Series
from weeptrace.rules import Rules


def liquid(rules: Rules, job: Job) -> float:
    """1 where liquid may stand in a cylinder, else 0, by all tests of the job, not the present one.

    A wet cylinder until a later look finds all dry; an engine that stops hard as it is turned until
    it turns freely; combustion gas shown in the coolant; or coolant in a cylinder by what was
    answered for driving.
    """
    variable = rules.state["liquid"]
    taken_back = any(
        made == "wet" and word in _unanswered(job, name) for name, word, made in variable.given
    )
    return float(taken_back or kept(job, variable))


def wet_since(rules: Rules, job: Job) -> float:
    """1 where liquid may be in a cylinder again since somebody said why none is left; else 0.

    It was shown again, or the engine ran and that was taken back: a hot system presses it in again.
    """
    said = job.touched.get("liquid.why")
    if said is None:
        return 0.0
    shown = any(
        made == "wet" and job.value(name) == word and job.touched[name].number > said.number
        for name, word, made in rules.state["liquid"].given
    )
    return float(shown or any(at > said.number for at in runs_taken_back(rules, job)))


_RENEWS: Final = ("coolant.drained", "coolant.filled")


def _unanswered(job: Job, name: str) -> set[str | float | None]:
    """The words of a field that were taken back, with nothing answered for it since.

    What was drained or filled since is another coolant: a look at that answers for none before it.
    """
    fact = job.facts.get(name)
    others = [job.facts[each].event.seq for each in _RENEWS if each in job.facts]
    return {
        event.typed
        for event, _ in job.withdrawn
        if event.field == name
        and (fact is None or any(event.seq < seq < fact.event.seq for seq in others)
             or fact.event.seq < event.seq)
    }  # fmt: skip


# By a look, a sample, or what was answered for driving: what shows coolant and oil mixed.
MIXED: Final = {
    "coolant.condition": ("cream", "oil_film"),
    "oil.engine": ("mixed",),
    "oil.transmission": ("mixed",),
    "drive.oil_mixed": ("yes",),
    "drive.transmission_oil_mixed": ("yes",),
    "find.engine_oil_look": ("milky",),
    "find.oil_analysis": ("glycol_found",),
    "find.atf_look": ("pink_milky",),
    "find.atf_sample": ("glycol_found",),
    "find.coolant_look": ("oily_film", "brown_emulsion", "pink_emulsion"),
}


def oil(job: Job) -> float:
    """1 where anything answered shows coolant and an oil mixed, else 0: as it stands now, or as it
    came out of the sump's bottom in any test of the job. What was taken back counts until it is
    answered again."""
    shown = any(
        job.value(name) in words or _unanswered(job, name) & {*words}
        for name, words in MIXED.items()
    )
    return float(shown or "coolant" in rounds.every(job, "test.sump"))


def fell(job: Job) -> float:
    """1 where the level of the watch was below MIN, and none was set after it; else 0."""
    level = job.value("watch.level")
    if not isinstance(level, float) or level >= 0.0:
        return 0.0
    end = job.touched.get("level.end")
    return float(end is None or end.number < job.touched["watch.level"].number)


def is_gross(rules: Rules, job: Job) -> bool:
    """Whether a hold of this round was judged gross; after a repair only the hold after it counts.

    Another test forgets no gross hold of an earlier one. A hold that lost half of its pressure may
    be gross where its leak has no size, or where it was too short to be judged.
    """
    if holds_of.AFTER in job.series and job.present(holds_of.AFTER).readings:
        series = [job.present(holds_of.AFTER)]
    elif job.value("ledger.on_complete") is not None or (
        job.value("coolant.filled") is not None and job.answered("coolant.drained")
    ):  # what is filled up before a run, where nothing was drained, is no repair
        return False
    else:
        opened_at = job.facts.get("work.reopened")
        tests = [
            each for each in job.all_series(holds_of.TEST)
            if each.facts is None or each.facts.get("work.reopened") == opened_at
        ]  # fmt: skip
        series = [job.present(holds_of.PRESSURE), *tests]
    return any(_gross(rules, job, each) for each in series if each.readings)


def _gross(rules: Rules, job: Job, series: Series) -> bool:
    verdict = holds_of.assess(rules, job, series).verdict
    if verdict not in ("leak_size_unknown", "not_judged"):
        return "gross" in verdict
    needles = [float(fact.value) for _, fact in series.times() if isinstance(fact.value, float)]
    kept = 1.0 - rules.limits["hold.gross_fall_share"]
    return bool(needles) and needles[-1] <= kept * max(needles)
