"""The fluid balance as lengths on a rule of litres: gone, in, left over, waste."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Final

from weeptrace.job import coolant
from weeptrace.job.rounds import total
from weeptrace.job.state import Job
from weeptrace.loss.balance import Balance
from weeptrace.quantity import from_si
from weeptrace.refusal import Refusal
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.record.drawing.svg import (
    Scale,
    drawing,
    hatch,
    line,
    multiples,
    step,
    tag,
    words,
)

WIDTH: Final = 320.0
_LEFT, _RIGHT, _TOP = 4.0, 300.0, 30.0
_BAR, _WORDS, _GAP = 11.0, 18.0, 8.0
_BETWEEN: Final = " · "  # two parts on one line
_LONGEST: Final = 32  # signs of a line


@dataclass(frozen=True)
class Part:
    """A length of a bar, m3; None is "not measured", drawn dashed at no length of its own."""

    word: str
    volume: float | None
    kind: str


def bars(show: Show, job: Job) -> list[tuple[str, list[Part]]]:
    """What is gone, what went in, what is left over and what is waste; [] without a balance."""
    try:
        found = coolant.fluid_balance(show.rules, job)
    except Refusal:
        return []
    say = show.say
    gone = [
        Part(say("fluids.part.out"), total(job, "coolant.drained"), "solid"),
        Part(say("fluids.part.missing_before"), total(job, "coolant.missing_before"), "hatched"),
        Part(say("fluids.part.spilled"), total(job, "coolant.spilled"), "open"),
    ]
    waste = [
        Part(word, found.waste[id].value if id in found.waste else None, kind)
        for id, word, kind in (
            ("used_coolant", say("fluids.part.used_coolant"), "solid"),
            ("spilled", say("fluids.part.absorbed"), "open"),
        )
    ]
    return [
        (say("fluids.gone"), gone),
        (say("fluids.in"), [Part(say("fluids.part.in"), total(job, "coolant.filled"), "solid")]),
        (say("fluids.left_over"), [_left(show, found)]),
        (say("fluids.waste"), waste),
    ]


def _left(show: Show, found: Balance) -> Part:
    """Out less in: above zero it was not put back, below zero more went in than was gone."""
    if found.closure is None:
        return Part(show.say("fluids.part.left_over"), None, "open")
    below = found.closure.value < 0.0
    word = show.say("fluids.part.more_in" if below else "fluids.part.left_over")
    return Part(word, abs(found.closure.value), "open")


def fluids(show: Show, named: Sequence[tuple[str, list[Part]]]) -> str:
    """The bars on one rule; "" without any."""
    if not named:
        return ""
    unit = show.unit("volume")
    sums = [sum(part.volume or 0.0 for part in parts) for _, parts in named]
    high = from_si(max(*sums, 1e-4), unit)
    each = step(high, 5)
    across = Scale(0.0, high, _LEFT, _RIGHT)
    made = [hatch("missing"), line([(_LEFT, _TOP), (_RIGHT, _TOP)], "axis")]
    labels = multiples(0.0, high, each)
    for at in multiples(0.0, high, each / 5):
        made.append(line([(across(at), _TOP), (across(at), _TOP - 5)], "minor"))
    for at in labels:
        made.append(line([(across(at), _TOP), (across(at), _TOP - 9)], "tick"))
        label = f"{at:g} {unit}" if at == labels[-1] else f"{at:g}"
        made.append(words(across(at), _TOP - 13, label, "middle" if at else "start"))
    y, said = _TOP + _GAP, []
    for name, parts in named:
        level = 0.0
        for part in parts:
            if part.volume is None:
                made.append(tag("rect", x=across(level) + 3, y=y, width=_BAR, height=_BAR,
                                class_="unknown"))  # fmt: skip
                continue
            x1 = across(level)
            level += from_si(part.volume, unit)
            fill = {"fill": "url(#missing)"} if part.kind == "hatched" else {}
            made.append(tag("rect", x=x1, y=y, width=max(across(level) - x1, 0.0), height=_BAR,
                            class_=part.kind, **fill))  # fmt: skip
        lines = [
            show.say("fluids.line.volume", word=part.word, volume=_volume(show, part))
            for part in parts
        ]
        said.append(show.say("fluids.line.bar", name=name, parts=", ".join(lines)))
        y += _BAR
        for text in _joined(lines):
            made.append(words(_LEFT, y + 15, text))
            y += _WORDS
        y += _GAP
    return drawing("fluids", WIDTH, y, "; ".join(said), *made)


def _joined(lines: list[str]) -> list[str]:
    """As many parts on one line as fit; one that is longer goes on below, its figure whole."""
    made: list[str] = []
    for text in lines:
        if made and len(made[-1]) + len(text) <= _LONGEST:
            made[-1] += f"{_BETWEEN}{text}"
        else:
            made += wrap(text, _LONGEST, break_on_hyphens=False)
    return made


def _volume(show: Show, part: Part) -> str:
    if part.volume is None:
        return show.unmeasured()
    return show.figure(part.volume, "volume").replace(" ", NBSP)  # "US qt" is one word
