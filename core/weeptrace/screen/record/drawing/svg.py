"""Line drawings as SVG text: a scale, ticks, a path, words. Markup goes in as markup, data escaped.

What a hand has typed reaches a drawing only through ``words`` or an attribute, and both escape it.
Sizes are in the drawing's own units; the page scales it to its width.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

# Signs that HTML forbids even when escaped, and those that turn the writing direction of others.
_FORBIDDEN = dict.fromkeys((*range(9), 11, 12, *range(14, 32), 127), "�")
_FORBIDDEN |= dict.fromkeys(range(55296, 57344), "�")
_TURNING = dict.fromkeys((*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F))
_CLEAN = {**_FORBIDDEN, **_TURNING}


def safe(text: str) -> str:
    """Text as it may stand in HTML, within an element or a quoted attribute.

    >>> safe('<b onclick="x">')
    '&lt;b onclick=&quot;x&quot;&gt;'
    """
    return escape(text.translate(_CLEAN), quote=True)


@dataclass(frozen=True)
class Scale:
    """A straight map from ``low..high`` of a quantity to ``start..end`` of the drawing.

    >>> Scale(0.0, 10.0, 40.0, 240.0)(2.5)
    90.0
    """

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """``start + (value - low) / (high - low) (end - start)``; ``start`` where low is high."""
        span = self.high - self.low
        share = (value - self.low) / span if span else 0.0
        return self.start + share * (self.end - self.start)


def tag(name: str, *inside: str, **attributes: str | float) -> str:
    """An element around finished markup; ``text_anchor`` becomes ``text-anchor``.

    >>> tag("path", d="M0 0h5", class_="axis")
    '<path d="M0 0h5" class="axis"/>'
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{safe(_neat(value))}"'
        for key, value in attributes.items()
    )
    return f"<{name}{written}>{''.join(inside)}</{name}>" if inside else f"<{name}{written}/>"


def words(x: float, y: float, text: str, anchor: str = "start", kind: str = "") -> str:
    """A line of text at a point.

    >>> words(4, 9, "a < b")
    '<text x="4" y="9" text-anchor="start">a &lt; b</text>'
    """
    more = {"class_": kind} if kind else {}
    return tag("text", safe(text), x=x, y=y, text_anchor=anchor, **more)


def path(points: Iterable[tuple[float, float]], closed: bool = False) -> str:
    """The ``d`` of a path through points.

    >>> path([(0, 0), (10, 2.25)])
    'M0 0L10 2.25'
    """
    return "M" + "L".join(f"{_neat(x)} {_neat(y)}" for x, y in points) + ("Z" if closed else "")


def line(points: Sequence[tuple[float, float]], kind: str) -> str:
    """A line through points."""
    return tag("path", d=path(points), class_=kind)


def multiples(low: float, high: float, each: float) -> list[float]:
    """All multiples of a step from ``low`` to ``high``, both included.

    >>> multiples(0.0, 1.0, 0.25)
    [0.0, 0.25, 0.5, 0.75, 1.0]
    """
    first, last = math.ceil(low / each - 1e-9), math.floor(high / each + 1e-9)
    return [n * each for n in range(first, last + 1)]


def step(span: float, most: int) -> float:
    """The smallest step of 1, 2 or 5 times a power of ten that goes at most ``most`` times in.

    >>> [step(span, 6) for span in (0.9, 5.0, 7.6, 40.0)]
    [0.2, 1.0, 2.0, 10.0]
    """
    ten = 10.0 ** math.floor(math.log10(max(span, 1e-9) / most))
    return next(round(ten * m, 9) for m in (1, 2, 5, 10) if span / (ten * m) <= most + 1e-9)


def hatch(id: str) -> str:
    """Definitions with one pattern: lines at 45 degrees, to be filled with ``url(#id)``."""
    stroke = tag("path", d="M-1 7L7 -1M-1 1L1 -1M5 7L7 5", class_="hatch")
    pattern = tag("pattern", stroke, id=id, width=6, height=6, patternUnits="userSpaceOnUse")
    return tag("defs", pattern)


def drawing(kind: str, width: float, height: float, sentence: str, *inside: str) -> str:
    """A drawing of this size; ``sentence`` is what a screen reader says of it."""
    box = f"0 0 {_neat(width)} {_neat(height)}"
    return tag("svg", *inside, class_=kind, viewBox=box, role="img", aria_label=sentence)


def _neat(value: str | float) -> str:
    return value if isinstance(value, str) else f"{round(value, 2):g}"
