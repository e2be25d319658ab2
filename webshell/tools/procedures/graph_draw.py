"""The signs of a procedure's picture: SVG text, all escaped, styled by attributes alone."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from graph_layout import (
    BOX,
    BRANCH,
    COLUMN,
    EDGE,
    FONT_HEIGHT,
    FOOT,
    KINDS,
    LANE,
    RIGHT,
    SIGN,
    TITLE,
    Box,
    Item,
    Line,
    Picture,
    wrapped,
)  # fmt: skip

from weeptrace.screen.record.drawing.svg import path, safe, tag
from weeptrace.words import LANGUAGE

INK: Final = "#0d1317"
PAPER: Final = "#ffffff"
FONT: Final = "'Atkinson Hyperlegible Next', system-ui, sans-serif"


def document(made: Picture) -> str:
    """The whole picture as an SVG file."""
    parts = [_defs(), _head(made)]
    for column in range(made.columns):
        boxes = [box for box in made.boxes if box.column == column]
        parts += [_rule(made, column, boxes), *_branches(boxes), *(_box(box) for box in boxes)]
    parts += [_back(made, n) for n in range(len(made.backs))]
    ground = tag("rect", width=made.width, height=made.height, fill=PAPER)
    about = tag("title", safe(made.name)) + tag("desc", safe(made.about))
    return tag(
        "svg", about, ground, *parts, xmlns="http://www.w3.org/2000/svg", width=made.width,
        height=made.height, viewBox=f"0 0 {made.width:g} {made.height:g}", font_family=FONT,
        fill=INK, lang=LANGUAGE,
    ) + "\n"  # fmt: skip


def index(made: Mapping[str, Picture], rules: str) -> str:
    """The page that leads to the pictures: text, links, and each picture small, for paper too."""
    parts = "".join(
        f"<section><h2>{safe(each.name)}</h2>"
        f'<p>{safe(each.about)} <a href="{safe(id)}.svg">Open it alone</a> to '
        "make it larger.</p>"
        f'<a href="{safe(id)}.svg"><img src="{safe(id)}.svg" width="{each.width:g}" '
        f'height="{each.height:g}" alt="{safe(each.name)}: the procedure as a picture" /></a>'
        "</section>"
        for id, each in made.items()
    )
    return (
        f'<!doctype html>\n<html lang="{LANGUAGE}" data-theme="day"><head><meta charset="utf-8" />'
        '<meta name="viewport" content="width=device-width, initial-scale=1" />'
        "<title>Procedures as pictures</title>"
        '<link rel="icon" href="../icons/app.svg" type="image/svg+xml" />'
        '<link rel="stylesheet" href="../styles/tokens.css" />'
        '<link rel="stylesheet" href="../styles/procedures.css" /></head><body>'
        "<h1>Procedures as pictures</h1>"
        f"<p>As the rules {safe(rules)} have them. Each step is one box.</p>{parts}"
        "</body></html>\n"
    )


def _defs() -> str:
    stroke = tag("path", d="M-1 7L7 -1M-1 1L1 -1M5 7L7 5", stroke=INK, stroke_width=1.6)
    pattern = tag("pattern", stroke, id="hatch", width=6, height=6, patternUnits="userSpaceOnUse")
    return tag("defs", pattern)


def _text(x: float, y: float, lines: tuple[Line, ...]) -> tuple[str, float]:
    """Lines from a top left corner on, and the y under them."""
    made = ""
    for line in lines:
        size, weight, height = KINDS[line.kind]
        base = y + 0.5 * height + 0.35 * size
        made += tag("text", safe(line.text), x=x, y=base, font_size=size, font_weight=weight)
        y += height
    return made, y


def _stroke(points: list[tuple[float, float]], width: float, **more: str) -> str:
    return tag("path", d=path(points), fill="none", stroke=INK, stroke_width=width, **more)


def _head(made: Picture) -> str:
    """Title and how to read it."""
    wide = RIGHT - BOX
    signs = [
        Item("step", "", (Line("One step", "title"),)),
        Item("step", "", (Line("May stay “not measured”"),), skip=True),
        Item("gate", "", (Line("Gate: shut until it is shown"),)),
        Item("step", "", (), caution=(Line("Warning or caution", "caution"),)),
    ]
    top = made.head - 30 - SIGN * math.ceil(len(signs) / made.columns)
    row = "".join(
        _box(Box(item, 0, 20 + n % made.columns * COLUMN, top + n // made.columns * SIGN, wide))
        for n, item in enumerate(signs)
    )
    title = tag("text", safe(made.name), x=20, y=40, font_size=32, font_weight=800)
    return title + _text(20, 48, wrapped(made.about, made.width - 40))[0] + row


def _rule(made: Picture, column: int, boxes: list[Box]) -> str:
    """The graduated edge of a column: a thick tick a phase, a thin tick a step; and where it goes
    on from the last column."""
    x = column * COLUMN + EDGE
    end = boxes[-1].bottom
    last = column == made.columns - 1 or not any(box.column > column for box in made.boxes)
    marks = _stroke([(x, made.head - 10), (x, end)], 3)
    for box in boxes:
        item = box.item
        y = box.y + (item.lines[0].height / 2 if item.kind == "phase" else TITLE)
        if item.kind == "phase" and item.id:
            marks += _stroke([(x - 14, y), (x + 12, y)], 6)
        elif item.kind in ("step", "gate"):
            marks += _stroke([(x - 9, y), (x, y)], 2)
            if not item.branch:
                marks += _stroke([(x, y), (box.x, y)], 2)
    if not last:
        foot, gutter, top = made.height - FOOT / 2, (column + 1) * COLUMN - 4, made.head - 24
        to = x + COLUMN
        marks += _stroke([(x, end), (x, foot), (gutter, foot), (gutter, top), (to, top),
                          (to, made.head - 10)], 2)  # fmt: skip
        marks += _wedge(to, made.head - 10)
    return marks


def _shut(x: float, y: float) -> str:
    """An open wedge on the way into a box: a gate stands before it."""
    points = [(x - 7, y - 6), (x - 7, y + 6), (x + 3, y)]
    return tag("path", d=path(points, closed=True), fill=PAPER, stroke=INK, stroke_width=2)


def _wedge(x: float, y: float) -> str:
    """A filled wedge that points down."""
    points = [(x - 6, y - 6), (x + 6, y - 6), (x, y + 4)]
    return tag("path", d=path(points, closed=True), fill=INK)


def _branches(boxes: list[Box]) -> list[str]:
    """A line beside the boxes that hang on one condition: it leaves the rule and comes back."""
    made, run = [], list[list[Box]]()
    for box in boxes:
        if box.item.kind == "condition":
            run.append([box])
        elif box.item.branch and run:
            run[-1].append(box)
    for group in run:
        rule = group[0].column * COLUMN + EDGE
        x = group[0].column * COLUMN + BRANCH - 10
        top, foot = group[0].y + FONT_HEIGHT / 2, group[-1].bottom - 2
        made.append(_stroke([(rule, top), (x, top), (x, foot), (rule, foot)], 2))
        made += [_stroke([(x, box.y + TITLE), (box.x, box.y + TITLE)], 2) for box in group[1:]]
    return made


def _box(box: Box) -> str:
    """One item: its frame, its lines, its caution."""
    item, pad = box.item, 8.0
    if item.kind in ("phase", "condition"):
        return _text(box.x, box.y, item.lines)[0]
    dash = {"stroke_dasharray": "7 5"} if item.skip else {}
    frame = tag("rect", x=box.x, y=box.y, width=box.width, height=item.height, fill=PAPER,
                stroke=INK, stroke_width=3 if item.kind == "gate" else 2, **dash)  # fmt: skip
    left = box.x + pad + (20 if item.kind == "gate" else 0)
    lines, y = _text(left, box.y + pad, item.lines)
    made = frame + lines
    if item.kind == "gate":
        top = box.y + pad + 3
        wedge = [(box.x + pad, top), (box.x + pad, top + 16), (box.x + pad + 14, top + 8)]
        made += tag("path", d=path(wedge, closed=True), fill=PAPER, stroke=INK, stroke_width=2.5)
    if item.caution:
        y += pad / 2
        high = sum(line.height for line in item.caution)
        made += tag("rect", x=box.x + pad, y=y, width=22, height=high, fill="url(#hatch)",
                    stroke=INK, stroke_width=1.5)  # fmt: skip
        made += _text(box.x + pad + 30, y, item.caution)[0]
    if item.gated:
        made += _shut(box.x, box.y + TITLE)
    title = tag("title", safe(item.told)) if item.told else ""
    return tag("g", title, made, **({"id": f"{item.kind}-{item.id}"} if item.id else {}))


def _back(made: Picture, n: int) -> str:
    """A way back: out at the right, up its lane, in again with a wedge."""
    back = made.backs[n]
    x = back.start.right + 10 + back.lane * LANE
    low, high = back.start.bottom - 10, back.end.y + TITLE
    end = back.end.right
    head = [(end, high), (end + 9, high - 5), (end + 9, high + 5)]
    return _stroke([(back.start.right, low), (x, low), (x, high), (end, high)], 2) + tag(
        "path", d=path(head, closed=True), fill=INK
    )
