"""Figures of a page in a unit that its reader did not choose; a shop that types in its own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from typing import Any, Final

from tests.exact_units import EXACT
from tests.logbook import Logbook
from tests.screen.hand.told import out, si
from weeptrace.rules import load

RULES: Final = load()
SETS: Final[dict[str, dict[str, str]]] = {each["id"]: each["units"] for each in RULES.unit_sets}
ANYWHERE: Final = {"s", "min", "h", "1", "%", "kg/m³"}
# Units in words, as a sentence may hide them.
IN_WORDS: Final = ("litres?", "quarts?", "gallons?", "miles?", "feet", "degrees", "kilometres?")
# What a page holds that is no sentence: what is stored, and the units that a pad offers.
UNSAID: Final = (
    "event",
    "photo",
    "units",
    "unit",
    "typed",
    "erase",
    "look",
    "block",
    "id",
    "refused",
)
_LABELS: Final = "|".join(map(re.escape, sorted(EXACT, key=len, reverse=True)))
_FIGURE: Final = re.compile(
    rf"\d(?:\s|\N{{NO-BREAK SPACE}})?({_LABELS}|{'|'.join(IN_WORDS)})(?![\w°/·])"
)
_PER: Final = re.compile(r"\bper 1000 (km|mi)\b|(?<!/)\b1000 (km|mi)\b")


def foreign(text: str, units: dict[str, str]) -> list[str]:
    """The units beside a figure in a text that are none of a reader's."""
    own = {*units.values(), *ANYWHERE}
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    found = [match[1] for match in _FIGURE.finditer(text) if match[1] not in own]
    if any(f"{match[1] or match[2]}" not in own for match in _PER.finditer(text)):
        found.append("per distance")
    return found


def on_paper(html: str) -> list[str]:
    """The texts of a record's file."""
    body = re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL)
    return [unescape(text) for text in re.split(r"<[^>]*>", body)]


def said(made: Any) -> Iterator[str]:
    """Every text of a page that a reader may read."""
    if isinstance(made, str):
        yield made
    elif isinstance(made, list):
        for each in made:
            yield from said(each)
    elif isinstance(made, dict):
        for key, each in made.items():
            if key not in UNSAID:
                yield from said(each)


class Shop(Logbook):
    """A logbook whose hand reads all gauges in one set of units."""

    def __init__(self, units: dict[str, str]) -> None:
        self.units = units
        super().__init__()

    def add(
        self, kind: str, field: str, typed: str = "", unit: str | None = None, **more: Any
    ) -> dict[str, Any]:
        return super().add(kind, field, *in_units(self.units, field, typed, unit), **more)


def in_units(
    units: dict[str, str], field: str, typed: str, unit: str | None
) -> tuple[str, str | None]:
    """What was typed of a field, as a hand with these units types it; nonsense as it is."""
    known = RULES.fields.get(field)
    if known is None or unit not in EXACT or known.dimension != EXACT[unit][0]:
        return typed, unit
    own = units[known.unit_key]
    if own == unit or not re.fullmatch(r"-?\d+(\.\d+)?", typed):
        return typed, unit
    return f"{out(si(typed, unit), own):.4f}".rstrip("0").rstrip("."), own
