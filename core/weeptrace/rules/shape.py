"""What an entry of the rules may hold: its keys, and what each is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from weeptrace.rules.source import Source, instead

_KINDS: Final = {
    "text": "a text in quotes",
    "number": "a number",
    "flag": "true or false",
    "words": 'a list of texts, each once, such as ["a", "b"]',
    "numbers": "a list of numbers, such as [5, 10, 20]",
    "two": 'two texts, such as ["0 kPa", "50 kPa"]',
    "table": "a table of key = value",
    "tables": "a list of tables",
}
# How to mend an entry that lacks a key.
_ADD: Final = {
    "source": 'add source = "common_practice", or another id of sources.toml',
    "reason": 'add reason = "…", why this is so',
    "range": 'add range = ["…", "…"], the lowest and the highest accepted, with units',
    "unit": 'add unit = "…", and "1" for a plain number',
    "value": "add value = the number, in its unit",
    "rule": 'add rule = "hard" (no way past it) or rule = "override" (a person, with a reason)',
    "comes": 'add comes = "off", "disconnected", "plugged", "marked" or "moved"',
    "for": 'add for = ["…"], the repairs it belongs to',
    "why": 'add why = "…", the reason in one sentence',
    "causes": 'add causes = ["…"], the causes that it speaks for',
    "tests": 'add tests = ["…"], the tests that it comes from',
    "values": 'add values = ["…", "…"], the quiet one first',
    "options": 'add options = ["…", "…"]',
}


@dataclass(frozen=True)
class Shape:
    """The keys of an entry and their kinds: those that it must have, and those that it may."""

    must: Mapping[str, str]
    may: Mapping[str, str] = field(default_factory=dict)


def check(source: Source, file: str, id: str, raw: Any, shape: Shape) -> dict[str, Any] | None:
    """The well-formed keys of an entry; None, with faults noted, where one it must have lacks."""
    if not isinstance(raw, dict):
        source.fault(file, id, "is no table; write its keys in lines of their own under its id")
        return None
    kinds = {**shape.must, **shape.may}
    made: dict[str, Any] = {}
    misspelt: set[str] = set()
    for key, value in raw.items():
        kind = kinds.get(key)
        if kind is None:
            mend = instead(key, kinds)
            misspelt |= {name for name in shape.must if f"“{name}”" in mend}
            source.fault(file, id, f"has an unknown key “{key}”; {mend}")
        elif not is_kind(kind, value):
            misspelt.add(key)
            source.fault(
                file, id, f"has a wrong “{key}”; write {_KINDS[kind]}, not {_short(value)}"
            )
        else:
            made[key] = value
    for key, kind in shape.must.items():
        if key not in made and key not in misspelt:
            mend = _ADD.get(key, f"add {key} = {_KINDS[kind]}")
            source.fault(file, id, f"has no {key}; {mend}")
    return made if all(key in made for key in shape.must) else None


def is_kind(kind: str, value: Any) -> bool:
    """Whether a TOML value is of a kind.

    >>> is_kind("number", True), is_kind("number", 3), is_kind("words", ["a", "a"])
    (False, True, False)
    """
    if kind == "text":
        return isinstance(value, str) and bool(value.strip())
    if kind == "number":
        number = isinstance(value, int | float) and not isinstance(value, bool)
        return number and abs(value) < math.inf
    if kind == "flag":
        return isinstance(value, bool)
    if kind == "table":
        return isinstance(value, dict)
    if not isinstance(value, list):
        return False
    if kind == "tables":
        return all(isinstance(each, dict) for each in value)
    if kind == "numbers":
        return all(is_kind("number", each) for each in value)
    texts = all(is_kind("text", each) for each in value)
    return texts and (len(value) == 2 if kind == "two" else len(set(value)) == len(value))


def _short(value: Any) -> str:
    words = str(value)
    return words if len(words) <= 40 else f"{words[:40]}…"
