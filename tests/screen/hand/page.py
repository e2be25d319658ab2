"""A page as lines of text, and whether a hand that reckons for itself writes the same lines.

Each line is a row with its label: ``table: It will take | 4.25 L``. What the hand writes has the
words in full and the figures as numbers, compared within what the page's own rounding leaves open.
A line with a figure that the hand does not write is a fault, and so is one that the page lacks.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from tests.screen.hand.told import TEXTS

Json = dict[str, Any]
NBSP: Final = "\N{NO-BREAK SPACE}"
MINUS: Final = "\N{MINUS SIGN}"


@dataclass(frozen=True)
class Shown:
    """A figure to so many decimals; ``slack`` where the hand's own source is less exact.

    ``down``: what must not be passed, so never shown above its value.
    """

    value: float
    decimals: int
    slack: float = 0.0
    down: bool = False
    pattern = f"({MINUS}?[0-9]+(?:\\.[0-9]+)?)"

    def fits(self, text: str) -> bool:
        read = float(text.replace(MINUS, "-"))
        if len(text.partition(".")[2]) != self.decimals or (MINUS in text and read == 0.0):
            return False
        bit = 1e-7 * abs(self.value) + 1e-9 + self.slack
        if self.down:
            return -bit <= self.value - read < 10.0**-self.decimals + bit
        return abs(read - self.value) <= 0.5 * 10.0**-self.decimals + bit


@dataclass(frozen=True)
class Two:
    """A figure to two significant digits, never with a sign."""

    value: float
    pattern = "([0-9]+(?:\\.[0-9]+)?)"

    def fits(self, text: str) -> bool:
        read = float(text)
        if self.value <= 0.0 or read == 0.0:
            return text == "0" and self.value <= 0.0
        last = 10.0 ** (math.floor(math.log10(read) + 1e-12) - 1)
        decimals = max(0, round(-math.log10(last)))
        close = abs(read - self.value) <= 0.5 * last * (1.0 + 1e-6)
        return close and len(text.partition(".")[2]) == decimals


@dataclass(frozen=True)
class Plain:
    """A number of the contract itself, as the shell draws it."""

    value: float
    slack: float = 0.0
    pattern = "(-?[0-9.e+-]+)"

    def fits(self, text: str) -> bool:
        return abs(float(text) - self.value) <= 1e-6 * abs(self.value) + 1e-9 + self.slack


@dataclass(frozen=True)
class Count:
    """ "2 of 7": which one of how many, neither less than one."""

    pattern = "([1-9][0-9]* of [1-9][0-9]*)"

    def fits(self, text: str) -> bool:
        first, _, last = text.partition(" of ")
        return int(first) <= int(last)


Figure = Shown | Two | Plain | Count
Piece = str | Figure
Line = tuple[Piece, ...]


def line(*pieces: Piece | Iterable[Piece]) -> Line:
    """A line of words and figures, in order; a list of pieces stands for its pieces."""
    made: list[Piece] = []
    for piece in pieces:
        if isinstance(piece, (str, Shown, Two, Plain, Count)):
            made.append(piece)
        else:
            made += piece
    return tuple(made)


def spoken(said: Line) -> str:
    return "".join(piece if isinstance(piece, str) else f"<{piece}>" for piece in said)


def agrees(said: Line, shown: str) -> bool:
    """Whether a line of the page is this one: each word, each figure within its rounding."""
    figures = [piece for piece in said if not isinstance(piece, str)]
    pattern = "".join(re.escape(p) if isinstance(p, str) else p.pattern for p in said)
    found = re.fullmatch(pattern, shown)
    return found is not None and all(
        f.fits(text) for f, text in zip(figures, found.groups(), strict=True)
    )


def differences(said: Iterable[Line], shown: Iterable[str]) -> list[str]:
    """What the hand writes and the page does not, and each figure of the page left over."""
    left = list(dict.fromkeys(shown))
    missing = []
    for each in dict.fromkeys(said):
        match = next((text for text in left if agrees(each, text)), None)
        if match is None:
            missing.append(f"by hand: {spoken(each)}")
        else:
            left.remove(match)
    over = [f"on page: {text}" for text in left if re.search("[0-9]", text)]
    return sorted(missing) + over


def lines(view: Json) -> list[str]:
    """All that a view says, a line a row, spaces plain; words of the rules' own left out."""
    made = [*_bar(view)]
    for block in view["blocks"]:
        made += _block(block)
    foot = view["foot"]
    made += _action("key", [*foot["keys"], *([foot["main"]] if foot["main"] else [])])
    if foot["caution"]:
        made.append(f"caution: {foot['caution']['text']}")
    return [text.replace(NBSP, " ") for text in made if text.partition(": ")[2] not in TEXTS]


def _bar(view: Json) -> Iterator[str]:
    state = view["state"]
    yield f"state of the job: {state['word']} | {state['figure']}"


def _joined(*parts: str) -> str:
    return " | ".join(part for part in parts if part)


def _action(kind: str, keys: Iterable[Json]) -> Iterator[str]:
    for key in keys:
        yield f"{kind}: {_joined(key['label'], key['sub'] or '')}"
        yield from _do(key["do"])


def _do(do: Json | None) -> Iterator[str]:
    for name in ("read", "pad", "earlier"):
        if do and name in do:
            yield from _block({"block": "pad", **do[name]})


def _block(block: Json) -> list[str]:
    return list(_BLOCKS[block["block"]](block))


def _title(block: Json) -> Iterator[str]:
    yield f"title: {_joined(block['text'], block['count'])}"


def _text(block: Json) -> Iterator[str]:
    yield f"{block['block']}: {block.get('text') or block['label']}"


def _state(block: Json) -> Iterator[str]:
    sign = f"{block['shape'] or ''}{', framed' if block['framed'] else ''}"
    yield f"state {sign}: {_joined(block['word'], block['figure'], *block['lines'])}"
    yield from _do(block.get("do"))


def _table(block: Json) -> Iterator[str]:
    for row in (block["heads"], *block["rows"]):
        yield f"table: {_joined(*row)}"


def _value(block: Json) -> Iterator[str]:
    yield f"value: {block['label']} | {block['value']} {block['unit']} | {block['word']}"


def _rows(block: Json) -> Iterator[str]:
    for row in block["rows"]:
        name = row.get("label") or row["word"]
        told = [row.get("sub", ""), row.get("figure", ""), *row.get("lines", [])]
        yield f"row: {_joined(name, *told)}"


def _pad(block: Json) -> Iterator[str]:
    name = f"pad of {block['event']['field']}"
    yield f"{name}: {block['label']} | {' '.join(block['units'])} | {block['unit']}"
    yield f"{name}: step {block['step']!r}"
    if block["division"] is not None:
        yield f"{name}: division {block['division']!r}"
    if block["last"] is not None:
        yield f"{name}: last {block['last']['typed']}, {block['last']['value']!r}"
    for hint in block["hints"]:
        yield f"{name}: hint {hint}"


def _verdict(block: Json) -> Iterator[str]:
    yield f"over: {block['over']}"
    yield f"plate: {' '.join(block['head'])} | {block['figure']} {block['unit']}"
    for each in block["lines"]:
        yield f"plate line: {each}"
    rule = block["rule"]
    if rule is None:
        return
    yield f"rule: {rule['low']!r} to {rule['high']!r}, {rule['under']}"
    edges = [*(repr(limit) for limit in rule["limits"]), ""]
    for word, edge in zip(rule["words"], edges, strict=True):
        yield f"rule: {word} up to {edge}"
    for name in ("tip", "hides_below", "owner"):
        if rule[name] is not None:
            yield f"rule: {name} {rule[name]!r}"
    if rule["span"] is not None:
        yield f"rule: span {rule['span'][0]!r} to {rule['span'][1]!r}"


def _recorder(block: Json) -> Iterator[str]:
    last, fall, start = block["last"], block["fall"], block["start"]
    if last is not None:
        yield f"last: {last['label']} | {last['value']} {last['unit']}"
    if fall is not None:
        yield f"fall: {fall['label']} | {fall['value']} {fall['unit']} | {fall['interval']}"
    if start is not None:
        yield f"start: {start['at']} | {start['mono']!r} | {start['boot']}"
    yield f"due: {block['due']!r} by {block['interval']!r} | {block['due_label']}"
    yield f"call: {block['call']}"
    if block["plot"] is not None:
        yield from _plot(block["plot"])


def _plot(block: Json) -> Iterator[str]:
    for point in block["points"]:
        yield f"plot: {point['kind']} {point['x']!r} {block['x']['unit']} | {point['y']!r}"
    yield f"plot: in {block['y']['unit']}, now {block['now']!r}"
    for point in block["fit"]:
        yield f"plot: fit {' '.join(map(repr, point))}"
    if block["limit"] is not None:
        yield f"plot: limit {block['limit']['words']}"
        for x, y in block["limit"]["line"]:
            yield f"plot: limit {x!r} {y!r}"
    for mark in block["marks"]:
        yield f"plot: {mark['words']} {mark['x']!r}"
    if block["next"] is not None:
        yield f"plot: next {block['next']!r}"
    yield f"plot: {block['words']}"
    yield f"plot: {block['sentence']}"


def _scale(block: Json) -> Iterator[str]:
    for mark in block["marks"]:
        ends = f" {mark['from']!r} to {mark['to']!r}" if "from" in mark else ""
        yield f"scale: {mark['words']} | {mark['at']!r}{ends}"
    if block["limit"] is not None:
        yield f"scale: limit {block['limit']['words']} | {block['limit']['at']!r}"
    yield f"scale: {block['sentence']}"


def _picture(block: Json) -> Iterator[str]:
    for part in block["parts"]:
        yield f"tank: {part['value']} {part['word']} | {part['sub']} | {part['amount']!r}"
    yield f"tank: full {block['high']!r} {block['unit']}"
    yield f"tank: {block['sentence']}"


_BLOCKS: Final = {
    "title": _title, "prompt": _text, "heading": _text, "text": _text, "caution": _text,
    "signature": _text, "state": _state, "table": _table, "value": _value, "choice": _rows,
    "checklist": _rows, "ledger": _rows, "pad": _pad, "verdict": _verdict, "recorder": _recorder,
    "plot": _plot, "scale": _scale, "picture": _picture,
}  # fmt: skip


def axes(view: Json) -> Iterator[tuple[Json, list[float], str]]:
    """Each graduated axis of a page, with all that is drawn on it, and its name."""
    for block in view["blocks"]:
        plot = block.get("plot") if block["block"] == "recorder" else block
        if plot and plot["block"] == "plot":
            yield (
                plot["y"],
                [p["y"] for p in plot["points"]]
                + [value for point in plot["fit"] for value in point[1:2]],
                "pressure",
            )
            yield plot["x"], [p["x"] for p in plot["points"]], "time"
        if block["block"] == "scale":
            drawn = [m[end] for m in block["marks"] for end in ("at", "from", "to") if end in m]
            drawn += [block["limit"]["at"]] if block["limit"] else []
            labels = [
                block["low"] + n * block["major"]
                for n in range(int((block["high"] - block["low"]) / block["major"]) + 1)
            ]
            yield {**block, "labels": labels}, drawn, "temperature"
