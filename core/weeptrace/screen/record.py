"""The plain hand-over record: on the screen, and as one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from html import escape
from typing import Any, Final

from weeptrace import __version__
from weeptrace.job import holds
from weeptrace.job.state import Job, Series
from weeptrace.rules import Step
from weeptrace.screen import balance, mix, parts, verdict
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.parts import Json

_CAR: Final = (
    "car.name", "car.cap_rating", "car.capacity", "car.glycol", "owner.rate", "place.altitude",
    "place.ambient",
)  # fmt: skip
_TESTER: Final = ("tester.span", "tester.division", "tester.stroke_volume")
_COOLANT: Final = (
    "coolant.missing_before", "coolant.drained", "coolant.residual_strength",
    "coolant.target_strength", "coolant.at_hand", "coolant.filled", "coolant.spilled",
)  # fmt: skip
OWNER: Final = (
    "Look at the level cold, each week, four times. Below the lower mark: stop driving, call. "
    "Do not open the cap warm. Coolant is poison: keep children and animals away."
)
FOOT: Final = "States what was measured on this day. The vehicle maker's instructions come first."


@dataclass(frozen=True)
class Section:
    """A headed part of the record: rows of name and finding, or lines."""

    heading: str
    rows: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The record as the last step of a job."""
    return page(show, job, step)


def page(show: Show, job: Job, step: Step | None) -> tuple[list[Json], Json]:
    """The record on the screen; ``step`` is the present step, which the record may be itself."""
    body = [parts.title(show.rules.text("step.hand_over.title"))]
    last = job.all_series(holds.PRESSURE)[-1:]
    for series in last:
        body.append(verdict.plate(show, job, series, holds.assess(show.rules, job, series)))
    for section in sections(show, job):
        body.append(parts.heading(section.heading))
        if section.rows:
            body.append(parts.table([list(row) for row in section.rows]))
        body += [parts.state(None, "", [line]) for line in section.lines]
    keys = [
        parts.key("Save record", {"call": "save_record"}, "export"),
        parts.key("Print", {"call": "print"}, "print"),
        parts.key("Export job", {"call": "export"}, "export"),
    ]
    if step is not None and step.shows == "record":
        words = show.rules.text(f"step.{step.id}.main")
        main = parts.key(words, {"event": parts.event("job.closed", "closed")}, "tick")
    elif step is not None:
        main = parts.key("Back to the job", {"look": ""}, "back")
    else:
        main = parts.key("All jobs", {"call": "home"}, "back")
    return body, {"caution": None, "keys": keys, "main": main}


def sections(show: Show, job: Job) -> list[Section]:
    """All that the record says, in order; what was not measured is said, never left out."""
    made = [Section("Car and complaint", _rows(show, job, _CAR))]
    for number, series in enumerate(job.all_series(holds.PRESSURE), 1):
        made.append(_hold(show, job, series, number))
    if not job.all_series(holds.PRESSURE):
        made.append(Section("Holds", lines=("No hold was taken.",)))
    made.append(Section("Tester", _rows(show, job, _TESTER)))
    if job.value("work.refill") == "drain":
        made.append(Section("Coolant", (*_rows(show, job, _COOLANT), *mix.rows(show, job))))
        made.append(Section("Fluid balance", balance.rows(show, job)))
    made.append(_not_checked(show, job))
    made.append(Section("For the owner", lines=(OWNER,)))
    return made


def _rows(show: Show, job: Job, names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    rows = []
    for name in names:
        fact = job.facts.get(name)
        words = "not measured" if fact is None else show.fact(show.rules.fields[name], fact)
        rows.append((show.rules.text(f"field.{name}"), words))
    return tuple(rows)


def _hold(show: Show, job: Job, series: Series, number: int) -> Section:
    found = holds.assess(show.rules, job, series)
    plate = verdict.plate(show, job, series, found)
    head = " ".join(plate["head"])
    figure = f" {plate['figure']}{NBSP}{plate['unit']}" if plate["figure"] is not None else ""
    times = series.times()
    facts = job.facts if series.facts is None else series.facts
    level = facts.get("hold.level")
    rows = [
        ("Conditions", plate["over"]),
        ("Verdict", head + figure),
        *((("Figure", line)) for line in plate["lines"]),
        ("Level", show.fact(show.rules.fields["hold.level"], level) if level else "not measured"),
        ("Pump strokes", _words(show, facts.get("hold.strokes"), "hold.strokes")),
        ("Readings", f"{len(times)}: " + ", ".join(
            f"{fact.event.typed}" for _, fact in times) + f" {times[-1][1].event.unit}"),
    ]  # fmt: skip
    if found.not_larger_than is not None:
        limit = f"{show.loss(found.not_larger_than)}{NBSP}{show.unit('loss_per_distance')}"
        rows.append(("No leak larger than, 95 % sure", limit))
    return Section(f"Hold {number}", tuple(rows))


def _words(show: Show, fact: Any, name: str) -> str:
    return "not measured" if fact is None else show.fact(show.rules.fields[name], fact)


def _not_checked(show: Show, job: Job) -> Section:
    """What these tests cannot see, and every question answered "not measured"."""
    lines = [show.rules.text(f"cannot_see.{id}") for id in verdict.CANNOT_SEE]
    for name, fact in sorted(job.facts.items()):
        if fact.value is None:
            lines.append(f"{show.rules.text(f'field.{name}')}: not measured")
    if job.stopped is not None:
        lines.append(f"The job was stopped: {job.stopped.typed}")
    return Section("Not checked, not seen by these tests", lines=tuple(lines))


def html(show: Show, job: Job, now: Mapping[str, Any]) -> str:
    """The record as one self-contained HTML file."""
    at = datetime.fromisoformat(str(now["at"]))
    name = escape(str(job.value("car.name") or "Car not named"))
    number = escape(str(job.value("job.number") or ""))
    practice = job.value("job.practice")
    head = "" if practice is None else "<p class=practice>Practice data, not a real car.</p>"
    body = "".join(_section_html(section) for section in sections(show, job))
    return (
        "<!doctype html><html lang=en><meta charset=utf-8>"
        '<meta name=viewport content="width=device-width, initial-scale=1">'
        f"<title>Coolant loss: hand-over record, {name}</title><style>{_STYLE}</style>"
        f"<h1>Coolant loss: hand-over record</h1><p>{name} {number}, {at:%Y-%m-%d %H:%M}</p>"
        f"{head}{body}<p class=sign>Technician</p><p class=sign>Owner, received</p>"
        f"<footer>{FOOT} Rules {escape(job.rules)}, version {__version__}, "
        f"record {escape(job.id)}.</footer></html>"
    )


def _section_html(section: Section) -> str:
    rows = "".join(
        f"<tr><th scope=row>{escape(name)}</th><td>{escape(words)}</td></tr>"
        for name, words in section.rows
    )
    lines = "".join(f"<li>{escape(line)}</li>" for line in section.lines)
    table = f"<table>{rows}</table>" if rows else ""
    return f"<h2>{escape(section.heading)}</h2>{table}{f'<ul>{lines}</ul>' if lines else ''}"


_STYLE: Final = """
body{font:16px/1.4 system-ui,sans-serif;color:#000;background:#fff;max-width:44rem;margin:0 auto;
padding:1rem}h1{font-size:1.6rem;border-bottom:3px solid}h2{font-size:1.1rem;border-top:2px solid;
padding-top:.4rem;margin:1.2rem 0 .2rem}table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:.25rem .5rem .25rem 0;border-bottom:1px solid}
th{width:40%}ul{padding-left:1.1rem;margin:.3rem 0}.practice{border:3px dashed;padding:.4rem;
font-weight:700}.sign{margin-top:2.5rem;border-top:2px solid;width:60%}footer{font-size:.85rem;
margin-top:1.5rem}@media print{@page{margin:14mm}body{font-size:10pt;padding:0}}
"""
