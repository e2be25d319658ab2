"""Holds on equal axes: readings as squares, the fit, its hatched 95 % band, what was done to it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from weeptrace.job import holds
from weeptrace.job.state import Job, Series
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.pages import recorder
from weeptrace.screen.record.drawing.svg import (
    Scale,
    drawing,
    hatch,
    line,
    multiples,
    path,
    step,
    tag,
    words,
)
from weeptrace.screen.record.holds import falls

WIDTH, HEIGHT = 320.0, 168.0
_LEFT, _RIGHT, _TOP, _FOOT = 44.0, 308.0, 22.0, 138.0
_CAPTION = 0.45  # share of the height that stays free at the foot, for the caption
_HALF = 3.5  # half a reading's square


def plots(show: Show, job: Job, named: Sequence[tuple[str, Series]]) -> list[tuple[str, str]]:
    """Each hold as a drawing and its caption, all with the same time and pressure axes."""
    found = [holds.assess(show.rules, job, series) for _, series in named]
    data = [recorder.plot(show, s, f, None) for (_, s), f in zip(named, found, strict=True)]
    if not data:
        return []
    shown = [value for each in data for value in _values(each)]
    low, high = min(shown), max(shown)
    room = max(high - low, 1e-3 * abs(high)) * _CAPTION / (1.0 - _CAPTION)
    y = _axis(low - room, high)
    x = recorder.minutes_axis(max(each["x"]["high"] for each in data))
    captions = [
        show.say("answer.named", name=show.say(f"record.when.{name}"), words=falls(show, each.fall))
        for (name, _), each in zip(named, found, strict=True)
    ]
    return [
        (_plot(each, x, y, f"{name}-band"), caption)
        for (name, _), each, caption in zip(named, data, captions, strict=True)
    ]


def _axis(low: float, high: float) -> dict[str, Any]:
    """Three to five labelled values from a multiple of the step to the next above all."""
    each = step(max(high - low, 1e-3 * abs(high), 1e-6), 4)
    bottom, top = math.floor(low / each) * each, math.ceil(high / each) * each
    return {"low": bottom, "high": top, "labels": multiples(bottom, top, each)}


def _fit(data: dict[str, Any]) -> list[list[float]]:
    """The fit up to the last reading: a record shows nothing ahead of what was measured."""
    now = data["now"]
    before = [point for point in data["fit"] if point[0] <= now + 1e-9]
    after = next((point for point in data["fit"] if point[0] > now + 1e-9), None)
    if not before or after is None:
        return before
    last = before[-1]
    share = (now - last[0]) / (after[0] - last[0])
    return [*before, [a + share * (b - a) for a, b in zip(last, after, strict=True)]]


def _values(data: dict[str, Any]) -> list[float]:
    fitted = [value for point in _fit(data) for value in point[1:]]
    return [point["y"] for point in data["points"]] + fitted


def _plot(data: dict[str, Any], x: dict[str, Any], y: dict[str, Any], id: str) -> str:
    across = Scale(x["low"], x["high"], _LEFT, _RIGHT)
    up = Scale(y["low"], y["high"], _FOOT, _TOP)
    fit = _fit(data)
    return drawing(
        "plot", WIDTH, HEIGHT, data["sentence"],
        hatch(id),
        *_band(fit, across, up, id),
        *(_mark(mark, across) for mark in data["marks"]),
        *_axes(x, y, data["y"]["unit"], across, up),
        *(_reading(across(p["x"]), up(p["y"]), p["kind"]) for p in data["points"]),
    )  # fmt: skip


def _band(fit: list[list[float]], x: Scale, y: Scale, id: str) -> list[str]:
    if len(fit) < 2:
        return []
    low = [(x(point[0]), y(point[2])) for point in fit]
    high = [(x(point[0]), y(point[3])) for point in fit]
    between = path([*low, *reversed(high)], closed=True)
    return [
        tag("path", d=between, fill=f"url(#{id})", class_="band"),
        line(low, "edge"),
        line(high, "edge"),
        line([(x(point[0]), y(point[1])) for point in fit], "fit"),
    ]


def _axes(x: dict[str, Any], y: dict[str, Any], unit: str, across: Scale, up: Scale) -> list[str]:
    made = [line([(_LEFT, _TOP - 6), (_LEFT, _FOOT), (_RIGHT, _FOOT)], "axis")]
    for at in y["labels"]:
        made.append(line([(_LEFT, up(at)), (_LEFT - 6, up(at))], "tick"))
        made.append(words(_LEFT - 9, up(at) + 5, f"{at:g}", "end"))
    made.append(words(_LEFT - 9, _TOP - 9, unit, "end"))
    for at in multiples(x["low"], x["high"], x["minor"]):
        made.append(line([(across(at), _FOOT), (across(at), _FOOT + 5)], "minor"))
    for at in x["labels"]:
        made.append(line([(across(at), _FOOT), (across(at), _FOOT + 8)], "tick"))
        last = at == x["labels"][-1]
        label = f"{at:g}{NBSP}{x['unit']}" if last else f"{at:g}"
        end = last and across(at) > _RIGHT - 24
        made.append(
            words(_RIGHT if end else across(at), _FOOT + 25, label, "end" if end else "middle")
        )
    return made


def _mark(mark: dict[str, Any], x: Scale) -> str:
    at = x(mark["x"])
    left = at > _RIGHT - 70
    return line([(at, _TOP), (at, _FOOT)], "happened") + words(
        at - 4 if left else at + 4, _TOP + 8, mark["words"], "end" if left else "start"
    )


def _reading(x: float, y: float, kind: str) -> str:
    """A filled square; an open one with a stroke where it stands apart from the others."""
    square = tag("rect", x=x - _HALF, y=y - _HALF, width=2 * _HALF, height=2 * _HALF,
                 class_=kind)  # fmt: skip
    if kind != "suspect":
        return square
    return square + line([(x - 6, y + 6), (x + 6, y - 6)], "tick")
