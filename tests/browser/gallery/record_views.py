"""The record of whole jobs as the real core draws it on the phone, in every set of units."""

from __future__ import annotations

from functools import cache

from tests.browser.gallery.pieces import Json
from tests.logbook import Logbook
from tests.screen import records
from weeptrace import screen
from weeptrace.job.advance import fold

JOBS = {
    "every section": records.with_every_section,
    "mended before": records.mended_before,
    "seen": records.seen,
}


@cache
def record_views() -> dict[str, Json]:
    """Each record by its name, "record of JOB, unit set"."""
    return {
        f"record of {name}, {units['id']}": _record(made(), units["units"])
        for name, made in JOBS.items()
        for units in records.RULES.unit_sets
    }


def _record(log: Logbook, units: dict[str, str]) -> Json:
    chosen = screen.preferences({"units": units}, records.RULES)
    return screen.view(
        records.RULES, fold(records.RULES, log.events), log.moment(), chosen, "record"
    )
