"""The record's finished parts as HTML: the verdict in its shape, the holds, a headed section."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from weeptrace.job import holds
from weeptrace.job.state import Job
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import verdict
from weeptrace.screen.record.drawing.classes import class_rule
from weeptrace.screen.record.drawing.holds import plots
from weeptrace.screen.record.drawing.svg import drawing, line, safe
from weeptrace.screen.record.facts import Section, name_of
from weeptrace.screen.record.holds import compared, finding, kept_holds, left


def verdict_plate(show: Show, job: Job) -> str:
    """The last hold's verdict in its shape, on the rule of classes; without a hold, that."""
    say = show.say
    before, after = kept_holds(job)
    last = after or before
    if last is None:
        lines = [say("record.no_hold_at_all"), *_seen(show, job)]
        return _plate("not_judged", say("record.no_hold"), lines) + "</section>"
    found = holds.assess(show.rules, job, last)
    block = verdict.plate(show, job, last, found)
    when = say("record.after" if after is not None else "record.before")
    head = say("answer.named", name=when, words=finding(show, found))
    over = " ".join(
        say("record.line.sentence", words=each) for each in (block["over"], left(show, job)) if each
    )
    lines = [*block["lines"], *(_seen(show, job) if after else [])]
    if block["rule"] is None:
        return _plate(found.verdict, head, [over, *lines]) + "</section>"
    scale = say("record.hold_line.scale", unit=block["unit"])
    hides = [] if block["rule"]["hides_below"] is None else [say("record.hides")]
    told = [] if block["rule"]["owner"] is None else [say("record.owner_wedge")]
    said = "".join(f"<p>{safe(each)}</p>" for each in [*lines, scale, *hides, *told])
    return (
        f"{_plate(found.verdict, head, [over])}<div class=under>"
        f"{class_rule(found.verdict, block['rule'], scale)}<div>{said}</div></div></section>"
    )


def _plate(kind: str, head: str, lines: Iterable[str]) -> str:
    scratch = ""
    if kind == "not_judged":
        strokes = [line([(x, 66), (x + 22, 14)], "tick") for x in (4, 18, 32)]
        scratch = drawing("scratch", 60, 80, "", *strokes)
    return (
        f'<section class="verdict"><div class="plate {kind}">{scratch}<h2>{safe(head)}</h2>'
        + "".join(f"<p>{safe(each)}</p>" for each in lines)
        + "</div>"
    )


def _seen(show: Show, job: Job) -> list[str]:
    """What was seen at the place after the work."""
    fact = job.facts.get("after.old_place")
    if fact is None or fact.value is None:
        return []
    field = show.rules.fields["after.old_place"]
    return [
        show.say(
            "record.line.named", name=name_of(show, job, field.id), words=show.fact(field, fact)
        )
    ]


def holds_compared(show: Show, job: Job) -> str:
    table = compared(show, job)
    if not table:
        return ""
    heads, *rows = table
    top = "<td></td>" + "".join(f"<th scope=col>{safe(each)}</th>" for each in heads[1:])
    body = "".join(
        f"<tr><th scope=row>{safe(row[0])}</th>"
        + "".join(f"<td>{safe(each)}</td>" for each in row[1:])
        + "</tr>"
        for row in rows
    )
    names = ("before", "after")
    kept = [(n, s) for n, s in zip(names, kept_holds(job), strict=True) if s is not None]
    figures = "".join(
        f"<figure>{svg}<figcaption>{safe(caption)}</figcaption></figure>"
        for svg, caption in plots(show, job, kept)
    )
    return (
        f"<section class=holds><h2>{safe(show.say('record.holds'))}</h2>"
        f"<table class=compared><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"
        f"<div class=pair>{figures}</div></section>"
    )


def pair(told: Mapping[str, Section], ids: Iterable[str]) -> str:
    """Sections side by side on paper."""
    return f"<div class=pair>{some(told, ids)}</div>"


def some(
    told: Mapping[str, Section], ids: Iterable[str], drawn: Mapping[str, str] | None = None
) -> str:
    """Those sections that were told, in this order, each with its drawing where there is one."""
    return "".join(_section(told[id], (drawn or {}).get(id, "")) for id in ids if id in told)


def _section(section: Section, drawn: str) -> str:
    rows = "".join(
        f"<tr><th scope=row>{safe(name)}</th><td>{safe(words.removesuffix('.'))}</td></tr>"
        for name, words in section.rows
    )
    lines = "".join(f"<li>{safe(each)}</li>" for each in section.lines)
    return (
        f'<section class="{section.id}"><h2>{safe(section.heading)}</h2>{drawn}'
        + (f"<table>{rows}</table>" if rows else "")
        + (f"<ul>{lines}</ul>" if lines else "")
        + "</section>"
    )
