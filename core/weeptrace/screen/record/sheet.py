"""The hand-over record as one HTML file that needs nothing else: for a phone, and for paper."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from weeptrace import __version__
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import position
from weeptrace.job.state import Job, Series
from weeptrace.screen import own_rules
from weeptrace.screen.figures import Show
from weeptrace.screen.record.drawing.day import day, stretches
from weeptrace.screen.record.drawing.fluids import bars, fluids
from weeptrace.screen.record.drawing.svg import safe
from weeptrace.screen.record.facts import sections
from weeptrace.screen.record.holds import begun, every_hold, typed
from weeptrace.screen.record.html import holds_compared, pair, some, verdict_plate
from weeptrace.screen.record.photos import kept, pictures
from weeptrace.screen.record.style import PAGES, STYLE

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
    streams = bars(show, job)
    told = sections(show, job, drawn=bool(streams))
    drawn = {"balance": fluids(show, streams)}
    say = show.say
    at = datetime.fromisoformat(str(now["at"]))
    name = str(job.value("car.name") or say("record.car_not_named"))
    body = [
        _head(show, job, name, at),
        _edge(show, job, now),
        verdict_plate(show, job),
        pair(told, _FIRST),
        holds_compared(show, job),
        f"<div class=columns>{some(told, _WORK, drawn)}{some(told, _LAST)}"
        f"{_day(show, job)}{some(told, _BESIDE)}</div>",
        _last_parts(show, job, photos or {}),
        f"<div class=pair><p class=sign>{safe(say('record.technician'))}</p>"
        f"<p class=sign>{safe(say('record.received'))}</p></div>",
        f"<footer><span>{safe(say('record.foot'))}</span> <span>{_made(show, job)}</span></footer>",
    ]
    return (
        f'<!doctype html><html lang="{show.language}"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light">'
        f"<title>{safe(say('record.sheet'))}, {safe(name)}</title>"
        f"<style>{_style(show)}</style></head>"
        f"<body>{''.join(body)}</body></html>"
    )


def _made(show: Show, job: Job) -> str:
    """By which rules and version, and the record's own number."""
    id = "\N{OBJECT REPLACEMENT CHARACTER}"
    made = show.say("record.sheet_line.made", rules=_rules(show, job), version=__version__, id=id)
    return safe(made).replace(id, f"<b>{safe(job.id)}</b>")


def _style(show: Show) -> str:
    """The style sheet, with the words that it prints beside the number of a page."""
    counted = show.say(
        "record.sheet_line.pages", page='" counter(page) "', pages='" counter(pages) "'
    )
    return STYLE.replace(PAGES, f'"{counted}"')


def _rules(show: Show, job: Job) -> str:
    """The rules that it is judged by, and those that it began on where they are others."""
    say, began = show.say, own_rules.named(job)
    if own_rules.missing(show.rules, job):
        return say("record.sheet_line.rules_began", rules=show.rules.hash, began=began)
    if show.rules.newest is None:
        return say("record.sheet_line.rules", rules=began)
    return say("record.sheet_line.rules_earlier", rules=began)


def _head(show: Show, job: Job, name: str, at: datetime) -> str:
    say = show.say
    number, shop = job.value("job.number"), job.value("shop.name")
    about = [
        name,
        *([say("record.sheet_line.job", number=str(number))] if number else []),
        f"{at:%Y-%m-%d %H:%M}",
    ]
    notes = [say("record.practice")] if job.value("job.practice") is not None else []
    notes += [] if job.answered("job.closed") else [say("record.so_far")]
    return (
        f"<header><h1>{safe(say('record.sheet'))}</h1>"
        f"<p>{', '.join(f'<bdi>{safe(part)}</bdi>' for part in about)}</p>"
        + (f"<p><bdi>{safe(str(shop))}</bdi></p>" if shop else "")
        + "".join(f'<p class="note">{safe(note)}</p>' for note in notes)
        + "</header>"
    )


def _edge(show: Show, job: Job, now: Mapping[str, Any]) -> str:
    """The phases as a graduated edge: a thick tick is behind, a thin one ahead."""
    here = position(show.rules, job, read_moment(now))
    phases = show.rules.procedures[job.procedure].phases
    last = len(phases) if here.step is None else here.phase
    ticks, word = [], safe(show.say("record.sheet_line.phases"))
    for n, phase in enumerate(phases):
        kind = "behind" if n < last else "ahead" if n > last else "now"
        late = " late" if 2 * n >= len(phases) else ""
        current = ' aria-current="step"' if n == last else ""
        name = safe(show.say(f"phase.{phase.id}"))
        ticks.append(f'<li class="{kind}{late}"{current}><span>{name}</span></li>')
    return f'<ol class="edge" aria-label="{word}">{"".join(ticks)}</ol>'


def _last_parts(show: Show, job: Job, photos: Mapping[str, str]) -> str:
    """Pictures, then the readings; beside the picture where there is only one."""
    both = pictures(show, job, photos) + _readings(show, job)
    return f"<div class=pair>{both}</div>" if kept(show, job, photos) == 1 else both


def _day(show: Show, job: Job) -> str:
    """How the day went, phase by phase."""
    say, phases = show.say, show.rules.procedures[job.procedure].phases
    names = {phase.id: say(f"phase.{phase.id}") for phase in phases}
    drawn = day(show, names, stretches(show.rules, job))
    return f"<section><h2>{safe(say('record.day'))}</h2>{drawn}</section>" if drawn else ""


def _readings(show: Show, job: Job) -> str:
    """Every reading of every hold, as it was typed."""
    lines = "".join(
        f"<li>{safe(_reading(show, name, series))}</li>" for name, series in every_hold(show, job)
    )
    head = safe(show.say("record.readings"))
    return f"<section class=readings><h2>{head}</h2><ul>{lines}</ul></section>" if lines else ""


def _reading(show: Show, name: str, series: Series) -> str:
    return show.say(
        "record.hold_line.readings", name=name, time=begun(series), readings=typed(series)
    )
