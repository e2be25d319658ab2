"""A neck that is idled open has no tester on it, whatever was fitted again on the way."""

from __future__ import annotations

from tests.job.test_branches import hands


def test_a_tester_fitted_again_comes_off_before_the_idle_at_the_open_neck() -> None:
    work = hands().until("bubbles")
    assert work.at() == "bubbles"
    fitted = next(e for e in reversed(work.log.events) if e["field"] == "tester.fitted")
    work.log.add("undo", "tester.fitted", supersedes=fitted["id"])
    work.log.add("done", "tester.fitted")
    work.until("gate.neck_free")
    work.log.add("done", "pressure.released")
    assert work.at() != "gate.neck_free"
