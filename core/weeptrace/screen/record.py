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
from weeptrace.screen import balance, ledger, mix, parts, uptake, verdict, warm_up
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.parts import Json

_CAR: Final = (
    "car.name", "complaint.words", "owner.rate", "car.cap_rating", "car.capacity", "car.glycol",
    "place.altitude", "place.ambient",
)  # fmt: skip
_CAUSE: Final = ("finding.place", "finding.dried", "finding.wet_again")
_QUOTE: Final = ("repair.kind", "quote.total", "quote.ceiling", "consent.who", "consent.how")
_TESTER: Final = ("tester.span", "tester.division", "tester.stroke_volume", "tester.self_fall")
_COOLANT: Final = (
    "coolant.missing_before", "coolant.drained", "coolant.residual_strength",
    "coolant.target_strength", "coolant.at_hand", "fill.how", "coolant.filled", "coolant.spilled",
)  # fmt: skip
_TRANSMISSION: Final = ("transmission.caught", "transmission.filled")
_WATCH: Final = ("watch.level", "watch.area", "watch.booked")
_HOLDS: Final = (
    (holds.PRESSURE, "Hold"), (holds.VACUUM, "Vacuum hold"), (holds.AFTER, "Hold after the repair"),
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
    last = [*job.all_series(holds.PRESSURE), *job.all_series(holds.AFTER)][-1:]
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
    for field, name in _HOLDS:
        every = job.all_series(field)
        for number, series in enumerate(every, 1):
            heading = f"{name} {number}" if len(every) > 1 else name
            made.append(_hold(show, job, series, heading))
    if not job.all_series(holds.PRESSURE):
        made.append(Section("Hold", lines=("No hold was taken before the work.",)))
    if job.answered("finding.place"):
        rows = (*_rows(show, job, _CAUSE), *_old_place(show, job))
        made.append(Section("Cause and proof", rows))
    if job.answered("repair.kind"):
        made.append(Section("Quote and consent", _rows(show, job, _QUOTE)))
        made.append(Section("Parts off and on", ledger.rows_of_record(show, job)))
    if job.answered("coolant.drained"):
        rows = (*_rows(show, job, _COOLANT), *mix.rows(show, job), *uptake.rows(show, job))
        made.append(Section("Coolant", rows))
        made.append(Section("Fluid balance", balance.rows(show, job)))
    if job.answered("transmission.caught"):
        made.append(Section("Transmission fluid", _rows(show, job, _TRANSMISSION)))
    if job.present("warm.coolant").readings:
        made.append(Section("Warm-up", warm_up.rows(show, job)))
    if job.answered("watch.booked"):
        made.append(Section("Level watch", _rows(show, job, _WATCH)))
    made.append(Section("Tester", _rows(show, job, _TESTER)))
    made.append(_not_checked(show, job))
    made.append(Section("For the owner", lines=(OWNER,)))
    return made


def _old_place(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    return _rows(show, job, ("after.old_place",)) if job.answered("after.old_place") else ()


def _rows(show: Show, job: Job, names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    rows = []
    for name in names:
        fact = job.facts.get(name)
        words = "not measured" if fact is None else show.fact(show.rules.fields[name], fact)
        rows.append((show.rules.text(f"field.{name}"), words))
    return tuple(rows)


def _hold(show: Show, job: Job, series: Series, heading: str) -> Section:
    found = holds.assess(show.rules, job, series)
    plate = verdict.plate(show, job, series, found)
    head = " ".join(plate["head"])
    figure = f" {plate['figure']}{NBSP}{plate['unit']}" if plate["figure"] is not None else ""
    times = series.times()
    facts = job.facts if series.facts is None else series.facts
    kin = series.field.partition(".")[0]
    rows = [
        ("Conditions", plate["over"]),
        ("Verdict", head + figure),
        *((("Figure", line)) for line in plate["lines"]),
        *(
            (show.rules.text(f"field.{name}"), _words(show, facts.get(name), name))
            for name in (f"{kin}.level", f"{kin}.strokes")
            if name in show.rules.fields
        ),
        ("Readings", f"{len(times)}: " + ", ".join(
            f"{fact.event.typed}" for _, fact in times) + f" {times[-1][1].event.unit}"),
    ]  # fmt: skip
    if found.not_larger_than is not None:
        limit = f"{show.loss(found.not_larger_than)}{NBSP}{show.unit('loss_per_distance')}"
        rows.append(("No leak larger than, 95 % sure", limit))
    return Section(heading, tuple(rows))


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


def html(
    show: Show, job: Job, now: Mapping[str, Any], photos: Mapping[str, str] | None = None
) -> str:
    """The record as one self-contained HTML file; ``photos`` are data: URLs by picture id."""
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
        f"{head}{body}{_photos_html(show, job, photos or {})}"
        "<p class=sign>Technician</p><p class=sign>Owner, received</p>"
        f"<footer>{FOOT} Rules {escape(job.rules)}, version {__version__}, "
        f"record {escape(job.id)}.</footer></html>"
    )


def _photos_html(show: Show, job: Job, photos: Mapping[str, str]) -> str:
    """The pictures that are still kept, each under what it shows."""
    figures = "".join(
        f'<figure><img src="{escape(photos[id])}" alt="">'
        f"<figcaption>{escape(show.rules.text(f'field.{name}'))}</figcaption></figure>"
        for name, ids in sorted(job.photos.items())
        for id in ids
        if id in photos
    )
    return f"<h2>Pictures</h2>{figures}" if figures else ""


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
font-weight:700}.sign{margin-top:2.5rem;border-top:2px solid;width:60%}
figure{margin:.5rem 0;break-inside:avoid}
figure img{max-width:100%;max-height:20rem}footer{font-size:.85rem;
margin-top:1.5rem}@media print{@page{margin:14mm}body{font-size:10pt;padding:0}}
"""
