"""The hand-over record as one HTML file that needs nothing else: for a phone, and for paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from weeptrace import __version__
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import position
from weeptrace.job.state import Job
from weeptrace.screen import own_rules
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import balance
from weeptrace.screen.record.drawing.day import day, stretches
from weeptrace.screen.record.drawing.fluids import bars, fluids
from weeptrace.screen.record.drawing.svg import safe
from weeptrace.screen.record.facts import Section, sections
from weeptrace.screen.record.holds import begun, every_hold, typed
from weeptrace.screen.record.html import holds_compared, pair, some, verdict_plate
from weeptrace.screen.record.photos import pictures
from weeptrace.screen.record.style import STYLE

# No script, nothing fetched: even if an entry slipped through as markup, it could do nothing.
_POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
_FIRST: Final = ("car", "cause")
_WORK: Final = (
    "found", "tests", "quote", "parts", "coolant", "balance", "transmission", "warm", "after_work",
    "earlier", "watch",
)  # fmt: skip
_LAST: Final = ("not_checked", "owner")
_BESIDE: Final = ("other_holds", "tester")


def html(
    show: Show, job: Job, now: Mapping[str, Any], photos: Mapping[str, str] | None = None
) -> str:
    """The record of a job as the text of an HTML file.

    ``photos`` are data: URLs by the id that an event names; a picture that is not among them is
    named as missing. Raises ``Refusal`` (``damaged_event``) where ``now`` is no moment.
    """
    told = sections(show, job)
    drawn = {}
    if "balance" in told and (streams := bars(show, job)):
        drawn["balance"] = fluids(show, streams)
        for id in ("coolant", "balance"):
            told[id] = _without_streams(show, told[id])
    text = show.rules.text
    at = datetime.fromisoformat(str(now["at"]))
    name = str(job.value("car.name") or text("record.car_not_named"))
    body = [
        _head(show, job, name, at),
        _edge(show, job, now),
        verdict_plate(show, job),
        pair(told, _FIRST),
        holds_compared(show, job),
        f"<div class=columns>{some(told, _WORK, drawn)}{some(told, _LAST)}"
        f"{_day(show, job)}{some(told, _BESIDE)}</div>",
        _last_parts(pictures(show, job, photos or {}), _readings(show, job)),
        f"<div class=pair><p class=sign>{safe(text('record.technician'))}</p>"
        f"<p class=sign>{safe(text('record.received'))}</p></div>",
        f"<footer><span>{safe(text('record.foot'))}</span> <span>{_rules(show, job)}, "
        f"version {__version__}, record <b>{safe(job.id)}</b></span></footer>",
    ]
    return (
        f'<!doctype html><html lang="{show.language}"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light">'
        f"<title>{safe(text('record.sheet'))}, {safe(name)}</title><style>{STYLE}</style></head>"
        f"<body>{''.join(body)}</body></html>"
    )


def _rules(show: Show, job: Job) -> str:
    """The rules that it is judged by, and those that it began on where they are others."""
    text = show.rules.text
    if own_rules.missing(show.rules, job):
        began = f"{text('record.rules_began')} {own_rules.named(job)}"
        return safe(f"{text('record.rules')} {show.rules.hash} ({began})")
    earlier = "" if show.rules.newest is None else f" {text('record.rules_earlier')}"
    return safe(f"{text('record.rules')} {own_rules.named(job)}{earlier}")


def _head(show: Show, job: Job, name: str, at: datetime) -> str:
    text = show.rules.text
    number, shop = job.value("job.number"), job.value("shop.name")
    about = [name, *([f"job {number}"] if number else []), f"{at:%Y-%m-%d %H:%M}"]
    notes = ["record.practice"] if job.value("job.practice") is not None else []
    notes += [] if job.answered("job.closed") else ["record.so_far"]
    return (
        f"<header><h1>{safe(text('record.sheet'))}</h1>"
        f"<p>{', '.join(f'<bdi>{safe(part)}</bdi>' for part in about)}</p>"
        + (f"<p><bdi>{safe(str(shop))}</bdi></p>" if shop else "")
        + "".join(f'<p class="note">{safe(text(note))}</p>' for note in notes)
        + "</header>"
    )


def _edge(show: Show, job: Job, now: Mapping[str, Any]) -> str:
    """The phases as a graduated edge: a thick tick is behind, a thin one ahead."""
    here = position(show.rules, job, read_moment(now))
    phases = show.rules.procedures[job.procedure].phases
    last = len(phases) if here.step is None else here.phase
    ticks = []
    for n, phase in enumerate(phases):
        kind = "behind" if n < last else "ahead" if n > last else "now"
        late = " late" if 2 * n >= len(phases) else ""
        current = ' aria-current="step"' if n == last else ""
        name = safe(show.rules.text(f"phase.{phase.id}"))
        ticks.append(f'<li class="{kind}{late}"{current}><span>{name}</span></li>')
    return f'<ol class="edge" aria-label="Phases">{"".join(ticks)}</ol>'


def _without_streams(show: Show, section: Section) -> Section:
    """A section less the rows that the drawing of the balance tells, figure and unit."""
    drawn = {show.rules.text(f"field.{name}") for name in balance.STREAMS}
    rows = (row for row in section.rows if row[0] not in drawn and not row[0].startswith("Waste"))
    return replace(section, rows=tuple(rows))


def _last_parts(shown: str, read: str) -> str:
    """Pictures, then the readings; beside the picture where there is only one."""
    return f"<div class=pair>{shown}{read}</div>" if shown.count("<img") == 1 else shown + read


def _day(show: Show, job: Job) -> str:
    """How the day went, phase by phase."""
    text, phases = show.rules.text, show.rules.procedures[job.procedure].phases
    names = {phase.id: text(f"phase.{phase.id}") for phase in phases}
    drawn = day(names, stretches(show.rules, job))
    return f"<section><h2>{safe(text('record.day'))}</h2>{drawn}</section>" if drawn else ""


def _readings(show: Show, job: Job) -> str:
    """Every reading of every hold, as it was typed."""
    lines = "".join(
        f"<li>{safe(name)}, {safe(begun(series))}: {safe(typed(series))}.</li>"
        for name, series in every_hold(job)
    )
    head = safe(show.rules.text("record.readings"))
    return f"<section class=readings><h2>{head}</h2><ul>{lines}</ul></section>" if lines else ""
