"""A view as a person sees it: its words, and what can be pressed. Nothing else of it is used."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from weeptrace.practice.world import hands
from weeptrace.quantity import dimension_of, to_si

Json = Mapping[str, Any]

_FIGURE: Final = re.compile(r"([-−]?\d+(?:[.,]\d+)?)\s?(kPa|°C|km|mm|min|L|h)\b")
_CLOCK: Final = re.compile(r"\b([01]?\d|2[0-3]):([0-5]\d)\b")
DIMENSION: Final = {"pressure": "pressure", "distance": "long_length", "temperature": "temperature"}
_UNITS: Final = {"pressure": ("kPa",), "distance": ("km",), "temperature": ("°C",)}


@dataclass(frozen=True)
class Page:
    """One view of the job, as its blocks."""

    view: Json

    @property
    def step(self) -> str:
        """The name of the step, the gate or the stop."""
        return str(self.view["step"])

    def blocks(self, kind: str) -> list[Json]:
        """The blocks of one kind, in their order."""
        return [block for block in self.view["blocks"] if block["block"] == kind]

    @property
    def main(self) -> Json | None:
        """The main key."""
        return self.view["foot"]["main"]  # type: ignore[no-any-return]

    @property
    def keys(self) -> list[Json]:
        """The second keys."""
        return list(self.view["foot"]["keys"])

    @property
    def more(self) -> list[Json]:
        """The keys of the menu."""
        return list(self.view["more"])

    def key(self, how: str, kind: str = "") -> Json | None:
        """The first second key that does this (and stores an event of this kind), if any."""
        for each in self.keys:
            do = each["do"]
            if how in do and (not kind or do[how]["kind"] == kind):
                return each
        return None

    @property
    def words(self) -> list[str]:
        """All that is to be read on the page, from the top down."""
        return [words for words in self._words() if words]

    def _words(self) -> Iterator[str]:
        for block in self.view["blocks"]:
            yield from _said(block)
        caution = self.view["foot"]["caution"]
        if caution is not None:
            yield caution["text"]
        for each in (*self.keys, *([self.main] if self.main else [])):
            yield each["label"]
            yield each["sub"] or ""

    def cautions(self, words: str) -> bool:
        """Whether the page shows a caution with these words."""
        caution = self.view["foot"]["caution"]
        return caution is not None and caution["text"] == words

    def says(self, phrase: str) -> bool:
        """Whether the page has the words of a phrase."""
        said = " ".join(self.words)
        return any(words in said for words in hands.phrases()[phrase])

    def shown(self, kind: str) -> list[float]:
        """The figures of a kind (pressure, distance, temperature) on the page, SI, in order."""
        said = " ".join(self.words).replace("\N{NO-BREAK SPACE}", " ")
        return [
            to_si(float(number.replace(",", ".").replace("−", "-")), unit, dimension_of(unit))
            for number, unit in _FIGURE.findall(said)
            if unit in _UNITS[kind]
        ]

    def clock(self) -> tuple[int, int] | None:
        """The hour and minute that a waiting row names first."""
        for block in self.blocks("state"):
            found = _CLOCK.search(block["word"]) if block["shape"] == "waits" else None
            if found:
                return int(found[1]), int(found[2])
        return None


def _said(block: Json) -> Iterator[str]:
    kind = block["block"]
    if kind in ("title", "prompt", "heading", "caution"):
        yield block["text"]
    elif kind == "state":
        yield from (block["word"], *block["lines"], block["figure"])
    elif kind == "value":
        yield f"{block['label']} {block['value']} {block['unit']}"
        yield block["word"]
    elif kind in ("checklist", "choice"):
        for row in block["rows"]:
            yield row["label"]
            yield row.get("sub", "")
    elif kind == "ledger":
        for row in block["rows"]:
            yield from (row["word"], *row["lines"])
    elif kind == "table":
        for cells in block["rows"]:
            yield from cells
    elif kind in ("text", "pad", "signature"):
        yield block["label"]
    elif kind == "verdict":
        yield from (block["over"], *block["head"], *block["lines"])
