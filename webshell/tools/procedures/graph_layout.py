"""How a procedure lies on its sheet: lines of text, boxes in columns, ways back in lanes.

Sizes are px. No font is at hand when this is laid out: widths are those of a wide sans serif.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Final

COLUMN: Final = 320.0  # from edge to edge, px
EDGE: Final = 20.0  # the rule, from the column's left
BOX: Final = 38.0  # a box without a condition
BRANCH: Final = 54.0  # a box on a branch
RIGHT: Final = 284.0  # where boxes end; beyond it lie the ways back
LANE: Final = 9.0  # from one way back to the next
LANES: Final = 3
PAD: Final = 8.0
GAP: Final = 8.0
SIGN: Final = 44.0  # one row of the legend
SIGNS: Final = 4  # signs in it
FOOT: Final = 40.0
# Size, weight and line height of each kind of text, px.
KINDS: Final = {
    "phase": (22, 800, 27), "title": (17, 700, 21), "caution": (14, 700, 18),
    "only": (14, 600, 18), "behind": (14, 600, 18), "": (14, 500, 18),
}  # fmt: skip
FONT_HEIGHT: Final = 18.0
TITLE: Final = PAD + 10.5  # from a box's top to the middle of its title
# Widths by the size of the font, of a wide sans serif: no font is at hand when this is drawn.
NARROW: Final = 0.36
USUAL: Final = 0.6
WIDE: Final = 0.9
BOLD: Final = 1.17


@dataclass(frozen=True)
class Line:
    """One line of text of a kind."""

    text: str
    kind: str = ""

    @property
    def height(self) -> float:
        """Its line height, px."""
        return float(KINDS[self.kind][2])


def width_of(text: str, kind: str) -> float:
    """How wide a text is at most, px."""
    size, weight, _ = KINDS[kind]
    signs = sum(
        NARROW if sign in " .,:;'“”ijlt|()!" else WIDE if sign in "mwMW%" else USUAL
        for sign in text
    )
    return signs * size * (BOLD if weight >= 600 else 1.0)


@cache
def wrapped(text: str, width: float, kind: str = "") -> tuple[Line, ...]:
    """A text in lines that are no wider than that; a word that is wider is cut."""
    lines = [""]
    for word in text.split(" "):
        while width_of(word, kind) > width:
            fits = next(n for n in range(len(word), 0, -1) if width_of(word[:n], kind) <= width)
            lines, word = [*lines, word[:fits]], word[fits:]
        longer = f"{lines[-1]} {word}".strip()
        if width_of(longer, kind) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(Line(line, kind) for line in lines if line)


@dataclass(frozen=True)
class Item:
    """One thing in a column: its kind, what it stands for, and its lines.

    kind: phase | condition | gate | step. ``branch``: the condition that it hangs on, in words.
    """

    kind: str
    id: str
    lines: tuple[Line, ...]
    branch: str = ""
    skip: bool = False
    caution: tuple[Line, ...] = ()
    told: str = ""  # for a screen reader
    gated: bool = False

    @property
    def left(self) -> float:
        """Its left side, from the column's."""
        return BRANCH if self.branch else BOX

    @property
    def height(self) -> float:
        """What it needs, with its frame."""
        frame = 0.0 if self.kind in ("phase", "condition") else 2 * PAD
        strip = PAD + sum(line.height for line in self.caution) if self.caution else 0.0
        return frame + sum(line.height for line in self.lines) + strip


@dataclass(frozen=True)
class Box:
    """An item at its place, px."""

    item: Item
    column: int
    x: float
    y: float
    width: float

    @property
    def right(self) -> float:
        """Its right side."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower side."""
        return self.y + self.item.height


@dataclass(frozen=True)
class Back:
    """A way back within a column: from a box up to another, in a lane of its own."""

    start: Box
    end: Box
    lane: int


def head(columns: int) -> float:
    """Title and legend over so many columns, each sign as wide as one column."""
    return 110.0 + SIGN * math.ceil(SIGNS / columns)


@dataclass
class Picture:
    """A procedure laid out."""

    name: str
    about: str
    columns: int
    height: float
    boxes: list[Box] = field(default_factory=list)
    backs: list[Back] = field(default_factory=list)

    @property
    def width(self) -> float:
        """All columns."""
        return self.columns * COLUMN

    @property
    def head(self) -> float:
        """Where the columns begin."""
        return head(self.columns)


def _column(items: list[Item], start: int, height: float) -> tuple[list[tuple[Item, float]], int]:
    """What fits into one column from an item on, with its y from the top; and the next item.

    A phase that goes on, and a condition, stand again at the top of the column.
    """
    placed: list[tuple[Item, float]] = []
    y, branch, n = 0.0, "", start
    while n < len(items):
        item = items[n]
        add: list[Item] = []
        if not placed and item.kind != "phase":
            add.append(_goes_on(items, n))
        if item.branch and (item.branch != branch or not placed):
            add.append(_condition(item))
        add.append(item)
        room = 0.0
        if item.kind == "phase" and n + 1 < len(items):  # never alone at the foot
            after = items[n + 1]
            first = [_condition(after), after] if after.branch else [after]
            room = sum(each.height + _gap(each) for each in first)
        need = sum(each.height + _gap(each) for each in add)
        if placed and y + need + room > height:
            break
        for each in add:
            y += _gap(each) if placed else 0.0
            placed.append((each, y))
            y += each.height
        branch, n = item.branch, n + 1
    return placed, n


def _condition(item: Item) -> Item:
    """The head of a branch: the condition that the item and those after it hang on."""
    return Item("condition", "", wrapped(item.branch, RIGHT - BRANCH, "only"), item.branch)


def _goes_on(items: list[Item], n: int) -> Item:
    """The head of the phase that an item stands in, told once more."""
    head = next(item for item in reversed(items[:n]) if item.kind == "phase")
    return Item("phase", "", (head.lines[0], Line("goes on")))


def _gap(item: Item) -> float:
    return {"phase": 3 * GAP, "condition": 1.5 * GAP}.get(item.kind, GAP)


def _fits(items: list[Item], columns: int, height: float) -> bool:
    n = 0
    for _ in range(columns):
        placed, n = _column(items, n, height)
        if any(y + item.height > height for item, y in placed):
            return False
    return n == len(items)


def least_height(items: list[Item], columns: int, tallest: float) -> float:
    """The height, to 4 px, at which all fits into so many columns."""
    low, high = tallest, 2 * tallest + sum(item.height + 8 * GAP for item in items) * 2
    while high - low > 4.0:
        middle = (low + high) / 2
        low, high = (low, middle) if _fits(items, columns, middle) else (middle, high)
    return high


def placed_boxes(items: list[Item], height: float, top: float) -> Iterator[Box]:
    n, column = 0, 0
    while n < len(items):
        placed, n = _column(items, n, height)
        for item, y in placed:
            x = column * COLUMN
            yield Box(item, column, x + item.left, top + y, RIGHT - item.left)
        column += 1
