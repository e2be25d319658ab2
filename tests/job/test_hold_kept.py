"""A hold is judged once by the same limits: who asks again gets what was judged."""

from __future__ import annotations

import gc
import weakref
from dataclasses import replace
from typing import Any

import pytest

from tests.logbook import Logbook
from tests.screen.records import measured
from weeptrace.door import call
from weeptrace.hold import held
from weeptrace.hold.data import Assessment, Hold, Reason
from weeptrace.hold.fit import FullFit, Observed
from weeptrace.job import holds
from weeptrace.job.advance import fold
from weeptrace.job.state import Entry, Job
from weeptrace.refusal import Refusal
from weeptrace.rules import Rules, load
from weeptrace.screen import preferences, view

RULES = load()
FINE = {"hold.noise_divisions": 0.6}


@pytest.fixture(autouse=True)
def _nothing_kept() -> None:
    holds.judged.cache_clear()


@pytest.fixture
def fits(monkeypatch: pytest.MonkeyPatch) -> list[tuple[float, ...]]:
    """The readings that were fitted anew, as they come."""
    anew: list[tuple[float, ...]] = []
    fit = held.fit_robust

    def counted(observed: Observed, *more: Any) -> FullFit:
        anew.append(observed.pressures)
        return fit(observed, *more)

    monkeypatch.setattr(held, "fit_robust", counted)
    return anew


def running(count: int = 60) -> Logbook:
    """A hold read each half minute, still going on."""
    log = Logbook()
    log.describe_car()
    log.add("done", "fan.off")
    log.pass_the_gate()
    log.fit_the_tester()
    for k in range(count):
        log.read(str(110 - k // 6), after=30.0)
    return log


def shown(log: Logbook, rules: Rules = RULES, job: Job | None = None, look: str = "") -> Any:
    job = fold(rules, log.events) if job is None else job
    return view(rules, job, log.moment(), preferences(None, rules), look)


def test_a_running_hold_is_fitted_once_for_each_new_reading(fits: list[tuple[float, ...]]) -> None:
    log = running()
    job = fold(RULES, log.events)
    before = shown(log, job=job)
    assert before["step"] == "hold_readings"
    assert len(fits) == 1
    log.now += 30.0
    assert shown(log, job=job)["blocks"] == before["blocks"]
    assert shown(log)["blocks"] == before["blocks"]  # the same events, folded anew
    for look in ("find", "so_far", "record"):
        shown(log, job=job, look=look)
    assert len(fits) == 1
    log.read("100")
    shown(log)
    assert [len(pressures) for pressures in fits] == [60, 61]


def test_a_record_of_two_holds_takes_two_fits(fits: list[tuple[float, ...]]) -> None:
    log = measured()
    about = {"events": log.events, "now": log.moment()}
    assert "error" not in call("job.record", about)
    assert len(fits) == 2
    assert fits[0] != fits[1]
    shown(log, look="record")
    call("job.replay", {"events": log.events})
    assert len(fits) == 2


def test_other_facts_and_other_limits_are_judged_anew(fits: list[tuple[float, ...]]) -> None:
    log = running(12)
    job = fold(RULES, log.events)
    series = job.present(holds.PRESSURE)
    usual = holds.assess(RULES, job, series)
    rough = replace(RULES, limits={**RULES.limits, **FINE})
    other = holds.assess(rough, job, series)
    assert other.noise is not None
    assert usual.noise is not None
    assert other.noise > usual.noise
    alike = replace(RULES, limits=dict(RULES.limits))
    assert holds.assess(alike, job, series) == usual
    assert len(fits) == 3
    log.add("fact", "owner.rate", "0.9", "L/1000 km")
    later = fold(RULES, log.events)
    holds.assess(RULES, later, later.present(holds.PRESSURE))
    assert len(fits) == 4
    assert holds.assess(RULES, job, series) == usual
    assert len(fits) == 4


def test_what_cannot_be_judged_is_kept_as_well(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def refused(hold: Hold, _: object) -> Assessment:
        asked.append(hold)
        raise Refusal("out_of_range", "No such volume.", "stored", "more")

    monkeypatch.setattr(holds, "assess_hold", refused)
    job = fold(RULES, running(4).events)
    found = [holds.assess(RULES, job, job.present(holds.PRESSURE)) for _ in range(2)]
    assert found[0] is found[1]
    assert found[0].verdict == "not_judged"
    assert found[0].reason == Reason("out_of_range", "No such volume.")
    assert len(asked) == 1


class _Limits(dict[str, float]):
    """Limits whose end can be seen."""


def test_only_the_latest_judgements_are_kept_with_their_limits() -> None:
    log = running(4)
    job = fold(RULES, log.events)
    series = job.present(holds.PRESSURE)
    limits = _Limits(RULES.limits)
    gone = weakref.ref(limits)
    holds.assess(replace(RULES, limits=limits), job, series)
    del limits
    gc.collect()
    assert gone() is not None  # or another mapping could come to stand in its place
    most = holds.judged.cache_parameters()["maxsize"]
    assert most is not None
    for _ in range(most):
        holds.assess(replace(RULES, limits=_Limits(RULES.limits)), job, series)
    gc.collect()
    assert gone() is None
    assert holds.judged.cache_info().currsize == most


class _Log(list[Entry]):
    """A log that counts which entries are looked at."""

    looked = 0

    def __getitem__(self, index: Any) -> Any:
        self.looked += 1
        return super().__getitem__(index)


def test_of_the_log_only_what_came_since_the_first_reading_is_gone_through() -> None:
    log = running(6)
    job = fold(RULES, log.events)
    counted = _Log(job.log)
    told = replace(job, log=counted)  # type: ignore[arg-type]
    series = job.present(holds.PRESSURE)
    assert holds.hold(RULES, told, series) == holds.hold(RULES, job, series)
    assert len(counted) > 40
    assert counted.looked == 12  # six to find the first reading, six to go through
