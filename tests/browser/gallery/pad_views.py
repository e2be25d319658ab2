"""The view of every step that asks a number, as the real core makes it, also with a notice."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from unittest.mock import patch

from tests.browser.gallery.pieces import Json
from tests.logbook import Logbook
from tests.screen.records import measured
from weeptrace import screen
from weeptrace.job.advance import advance, fold
from weeptrace.job.procedure import Position
from weeptrace.job.state import Job
from weeptrace.rules import Step, load
from weeptrace.rules.model import Field

RULES = load()
RECORDERS = ("recorder", "warm_log")
NOW = Logbook().moment(20000.0)


@cache
def pad_views() -> dict[str, Json]:
    """Each view by its name, "step, unit set, variant"; views of the same words stand once.

    The job is put at the step by hand: no walk reaches them all, and what a step shows of its
    words, its caution and its range hangs on what the job knows, not on how it was reached.
    """
    made = {"cold gate, kpa, plain": _gate()}
    for units in RULES.unit_sets:
        above = _above(units["units"])
        above["bar"]["number"] = f"P-{len(made):03}"
        made[f"stop.above_rating, {units['id']}, plain"] = above
    known: set[str] = set()
    for procedure, inner in RULES.procedures.items():
        phases = [phase.id for phase in inner.phases]
        for step in inner.steps:
            if not _asks_a_number(step):
                continue
            here = Position(step, None, phases.index(step.phase))
            for variant, job in _jobs(procedure, step):
                for units in RULES.unit_sets:
                    drawn = _view(job, here, units["units"])
                    words = json.dumps(drawn, sort_keys=True)
                    if words in known:
                        continue
                    known.add(words)
                    drawn["bar"]["number"] = f"P-{len(made):03}"
                    made[f"{step.id}, {units['id']}, {variant}"] = drawn
    return made


def _asks_a_number(step: Step) -> bool:
    inline = step.asks is not None and RULES.fields[step.asks].numeric
    return inline or (step.reads is not None and step.shows in RECORDERS)


def _jobs(procedure: str, step: Step) -> Iterator[tuple[str, Job]]:
    """A job that knows much, the same with an entry that was refused, and one of a warm engine."""
    name = step.reads if step.shows in RECORDERS else step.asks
    assert name is not None
    yield "plain", _KNOWN[procedure]
    yield "refused", _refused(_KNOWN[procedure], RULES.fields[name])
    if step.phase in ("hold", "proof"):
        yield "warm", _WARM


def _gate() -> Json:
    """Told to wait, with the caution at hand: its pad is on a page of its own."""
    log = Logbook()
    log.describe_car()
    log.add("done", "fan.off")
    log.pass_the_gate("74")
    shown = screen.view(
        RULES, fold(RULES, log.events), log.moment(), screen.preferences(None, RULES)
    )
    return {**shown, "bar": {**shown["bar"], "number": "P-000"}}


def _above(units: dict[str, str]) -> Json:
    """The needle is above its rating: what is let off to is typed on the page that says so."""
    log = Logbook()
    log.describe_car()
    log.add("done", "fan.off")
    log.pass_the_gate()
    log.fit_the_tester()
    log.read("128")
    chosen = screen.preferences({"units": units}, RULES)
    shown = screen.view(RULES, fold(RULES, log.events), log.moment(), chosen)
    return {**shown, "bar": dict(shown["bar"])}


def _shop() -> Job:
    log = Logbook()
    log.events[0]["field"] = "rules.shop"
    return fold(RULES, log.events)


def _warm() -> Job:
    log = Logbook()
    log.describe_car()
    log.pass_the_gate("38")
    return fold(RULES, log.events)


_KNOWN = {"coolant_loss": fold(RULES, measured().events), "shop": _shop()}
_WARM = _warm()


def _refused(job: Job, field: Field) -> Job:
    """The job after an entry that is out of range: the page of its step tells it."""
    log = Logbook(job=job.id)
    log.now = 20000.0
    unit = "1" if field.kind == "count" else RULES.unit_sets[0]["units"].get(field.unit_key, "1")
    kind = "reading" if field.kind == "reading" else "fact"
    later = {"id": "01990000-0000-7000-8000-aaaaaaaaaaaa", "seq": 10_000}
    entry = {**log.add(kind, field.id, "99999999", unit), **later}
    after = advance(RULES, job, entry)
    assert field.id in after.troubles, field.id
    return after


def _view(job: Job, here: Position, units: dict[str, str]) -> Json:
    chosen = screen.preferences({"units": units}, RULES)
    with (
        patch("weeptrace.screen.position", lambda *_: here),
        patch("weeptrace.screen.pages.step.applies", lambda *_: True),
    ):
        return screen.view(RULES, job, NOW, chosen)
