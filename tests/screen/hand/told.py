"""What a log tells, read by hand: the latest answer of each field in SI, readings, limits, words.

Nothing of the core reads here: the log's own JSON, the rules' TOML as text, exact unit factors.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from tests.exact_units import EXACT, ZERO

RULES: Final = Path(__file__).parents[3] / "core" / "weeptrace" / "rules"
Json = dict[str, Any]


def _toml(folder: str) -> list[tuple[Path, Json]]:
    return [(p, tomllib.loads(p.read_text("utf-8"))) for p in sorted(RULES.glob(folder))]


def _flat(tree: Mapping[str, Any], above: str = "") -> dict[str, Any]:
    made: dict[str, Any] = {}
    for name, value in tree.items():
        path = f"{above}.{name}" if above else name
        made |= _flat(value, path) if isinstance(value, dict) else {path: value}
    return made


WORDS: Final = {
    key: value for _, tree in _toml("text/en/**/*.toml") for key, value in _flat(tree).items()
}
# Texts that a page may say as they stand; what it makes of the others is told by hand.
TEXTS: Final = frozenset(
    value
    for _, tree in _toml("text/en/*.toml")
    for value in _flat(tree).values()
    if isinstance(value, str)
)
FIELDS: Final[dict[str, Json]] = {
    f"{kin}.{name}": field
    for _, tree in _toml("fields/*.toml")
    for kin, fields in tree.items()
    for name, field in fields.items()
}
_UNITS: Final = _toml("units.toml")[0][1]
SETS: Final[dict[str, dict[str, str]]] = {each["id"]: each["units"] for each in _UNITS["set"]}
DECIMALS: Final[dict[str, int]] = _UNITS["decimals"]


def si(value: str | float, unit: str) -> float:
    """A typed number in a unit, in SI, by the exact factor."""
    number = Fraction(str(value).replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    return float(number * EXACT[unit][1] + ZERO.get(unit, 0))


def out(value: float, unit: str) -> float:
    """An SI value in a unit, by the exact factor."""
    return float((Fraction(value) - Fraction(ZERO.get(unit, 0))) / EXACT[unit][1])


def _limits() -> dict[str, float]:
    made = {}
    for path, tree in _toml("limits/**/*.toml"):
        kin = "hold" if path.parent.name == "hold" else path.stem
        for name, entry in tree.items():
            made[f"{kin}.{name}"] = si(entry["value"], entry["unit"])
    return made


LIMITS: Final = _limits()


def word(id: str) -> str:
    """A text of the rules, by its id, as far as its first figure."""
    found = WORDS[id]
    told = " ".join(found) if isinstance(found, list) else str(found)
    return re.split(r"\{\w+[:}]", told)[0].rstrip()  # a figure of the rules has a dot in its name


def by_hand(event: Mapping[str, Any]) -> str:
    """A figure as it was typed, with its unit; what is below zero has a true minus."""
    number = re.sub("^-", "\N{MINUS SIGN}", event["typed"])
    return number if event["unit"] in (None, "1") else f"{number} {event['unit']}"


class Told:
    """A log as a reader of its entries has it; what was taken back or corrected is not told."""

    def __init__(self, events: list[Json]) -> None:
        moments = {event["id"]: event for event in events}
        gone = {event.get("supersedes") for event in events}
        self.events: list[Json] = []
        for event in events:
            if event["id"] in gone or event["kind"] == "undo":
                continue
            first = event
            while first.get("supersedes"):
                first = moments[first["supersedes"]]
            when = {key: first[key] for key in ("at", "mono", "boot", "seq")}
            self.events.append({**event, **when})
        self.events.sort(key=lambda event: event["seq"])

    def event(self, field: str) -> Json | None:
        """The latest entry of a field."""
        own = [event for event in self.events if event["field"] == field]
        return own[-1] if own else None

    def typed(self, field: str) -> str | None:
        """The figure as it was typed, with its unit; None where it was not measured."""
        event = self.event(field)
        if event is None or event["kind"] == "not_done":
            return None
        return by_hand(event)

    def choice(self, field: str) -> str | None:
        """The word that was chosen."""
        event = self.event(field)
        return None if event is None or event["kind"] == "not_done" else str(event["typed"])

    def number(self, field: str, until: Json | None = None) -> float | None:
        """The figure in SI; None where it was not measured. ``until``: as known at that entry."""
        own = [
            event
            for event in self.events
            if event["field"] == field and (until is None or event["seq"] < until["seq"])
        ]
        if not own or own[-1]["kind"] == "not_done":
            return None
        return si(own[-1]["typed"], own[-1]["unit"] or "1")

    def readings(self, field: str) -> list[tuple[float, Json, float]]:
        """Seconds since the first, the entry, its SI value without a sign; in order of time."""
        read = [e for e in self.events if e["field"] == field and e["kind"] == "reading"]
        read.sort(key=lambda event: float(event["mono"]))
        dimension = FIELDS[field]["dimension"]
        return [
            (
                (event["mono"] - read[0]["mono"]) / 1000.0,
                event,
                si(event["typed"], event["unit"])
                if dimension == "temperature"
                else abs(si(event["typed"], event["unit"])),
            )
            for event in read
        ]

    def clock(self, field: str) -> str:
        """The local clock time of a field's latest entry."""
        event = self.event(field)
        assert event is not None
        return str(event["at"])[11:16]
