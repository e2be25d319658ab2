"""The rule of leak classes under a verdict's plate: its tip, its interval, what can hide."""

from __future__ import annotations

import math
from typing import Any

from weeptrace.screen.record.drawing.svg import Scale, drawing, hatch, line, path, tag, words

WIDTH, HEIGHT = 320.0, 92.0
_AXIS = 34.0
_OUTLINED = ("seeping", "seeping_or_leaking")


def class_rule(kind: str, rule: dict[str, Any], sentence: str) -> str:
    """The rule of a verdict block (``door.blocks``): logarithmic, ticks and words, no shading."""
    logs = Scale(math.log(rule["low"]), math.log(rule["high"]), 6.0, WIDTH - 6.0)

    def x(value: float) -> float:
        return logs(min(max(math.log(max(value, 1e-12)), logs.low), logs.high))

    made = [hatch("hides"), line([(0, _AXIS), (WIDTH, _AXIS)], "axis")]
    for at in _decades(rule["low"], rule["high"]):
        made.append(line([(x(at), _AXIS), (x(at), _AXIS + 7)], "minor"))
    edges = [rule["low"], *rule["limits"], rule["high"]]
    for at in rule["limits"]:
        made.append(line([(x(at), _AXIS), (x(at), _AXIS + 16)], "limit"))
        made.append(words(x(at), _AXIS + 34, f"{at:.2g}", "middle", "b"))
    for name, low, high in zip(rule["words"], edges[:-1], edges[1:], strict=True):
        made.append(words((x(low) + x(high)) / 2, _AXIS + 54, name, "middle"))
    made += _foot(kind, rule, x)
    if rule["hides_below"] is not None:
        end = x(rule["hides_below"])
        made.append(tag("rect", x=0, y=_AXIS - 14, width=end, height=14, fill="url(#hides)",
                        class_="edge"))  # fmt: skip
    owner = rule["owner"]
    if owner is not None:
        wedge = [(x(owner), _AXIS + 3), (x(owner) + 7, _AXIS + 15), (x(owner) - 7, _AXIS + 15)]
        made.append(tag("path", d=path(wedge, closed=True), class_="open"))
    return drawing("class-rule", WIDTH, HEIGHT, sentence, *made)


def _foot(kind: str, rule: dict[str, Any], x: Any) -> list[str]:
    """What hangs from the plate: a tip at the figure, or a foot as wide as the interval."""
    if rule["span"] is None or rule["tip"] is None:
        return []
    low, high = (x(value) for value in rule["span"])
    made = [
        line([(low, _AXIS), (high, _AXIS)], "span"),
        line([(low, _AXIS - 8), (low, _AXIS + 8)], "tick"),
        line([(high, _AXIS - 8), (high, _AXIS + 8)], "tick"),
    ]
    if "_or_" in kind:
        made.append(tag("rect", x=low, y=-1, width=max(8.0, high - low), height=19, class_="solid"))
        return made
    tip = x(rule["tip"])
    shape = path([(tip - 18, -2), (tip + 18, -2), (tip, 20)], closed=True)
    made.append(tag("path", d=shape, class_="solid" if kind not in _OUTLINED else "open"))
    return made


def _decades(low: float, high: float) -> list[float]:
    """1 to 9 of each power of ten within the rule."""
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)))
    every = (digit * 10.0**power for power in powers for digit in range(1, 10))
    return [value for value in every if low <= value <= high]
