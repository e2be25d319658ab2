"""Figures of the rules: where they come from, limits, ranges, and the units to show them in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from weeptrace.quantity import SI, UNITS, parse, to_si, units_of
from weeptrace.refusal import Refusal
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Limit, Source, instead, room_of

_SOURCE: Final = Shape({"title": "text", "note": "text"})
_LIMIT: Final = Shape(
    {"value": "number", "unit": "text", "source": "text", "reason": "text"}, {"range": "two"}
)
_UNITS: Final = Shape({"set": "tables", "decimals": "table"})
_SET: Final = Shape({"id": "text", "units": "table"})
_MOST_DECIMALS: Final = 6


def sources(source: Source) -> dict[str, Any]:
    """Where figures come from."""
    table = source.read("sources.toml")
    for id, raw in table.items():
        check(source, "sources.toml", id, raw, _SOURCE)
    return table


def sourced(source: Source, file: str, id: str, entry: Mapping[str, Any]) -> None:
    """Note a fault where an entry names a source that there is not."""
    named = entry.get("source")
    if named is not None and not source.named("sources", named):
        mend = instead(named, source.sources)
        source.fault(file, id, f"names an unknown source “{named}”; {mend}")


def limits(source: Source) -> dict[str, Limit]:
    """Every figure that decides something, by room (a file, or a folder of files) and name."""
    out: dict[str, Limit] = {}
    stands: dict[str, str] = {}
    for file in source.files("limits"):
        for key, raw in source.read(file).items():
            id = f"{room_of(file)}.{key}"
            if id in out:
                source.twice(file, id, stands[id])
                continue
            stands[id] = file
            entry = check(source, file, id, raw, _LIMIT)
            out[id] = Limit(None, None) if entry is None else _limit(source, file, id, entry)
    return out


def _limit(source: Source, file: str, id: str, entry: Mapping[str, Any]) -> Limit:
    sourced(source, file, id, entry)
    unit = entry["unit"]
    if unit not in UNITS:
        source.fault(file, id, f"has an unknown unit “{unit}”; {instead(unit, UNITS)}")
        return Limit(None, None)
    dimension = UNITS[unit][1]
    try:
        value = to_si(float(entry["value"]), unit, dimension)
    except Refusal as problem:
        source.fault(file, id, f"has a value that can't be: {problem.message} Write another value.")
        return Limit(None, dimension)
    if "range" in entry:
        ends = span(source, file, id, entry["range"], dimension)
        if ends is not None and not ends["low"] <= value <= ends["high"]:
            low, high = entry["range"]
            words = (
                f"has the value {entry['value']:g} {unit}, outside its own range {low} to {high}"
            )
            source.fault(
                file, id, f"{words}; write a value inside, or move the range with a reason"
            )
    return Limit(value, dimension)


def span(
    source: Source, file: str, id: str, texts: list[str], dimension: str
) -> dict[str, float] | None:
    """A range's two ends in SI; None, with the fault noted, where it is none."""
    try:
        low, high = (_quantity(text, dimension) for text in texts)
    except Refusal as problem:
        units = ", ".join(units_of(dimension))
        source.fault(
            file, id, f"has a range that does not read: {problem.message} Write two in: {units}"
        )
        return None
    if not low < high:
        words = f"has its range upside down, {texts[0]} to {texts[1]}"
        source.fault(file, id, f"{words}; write the lowest first, then a higher one")
        return None
    return {"low": low, "high": high}


def _quantity(text: str, dimension: str) -> float:
    number, _, unit = text.partition(" ")
    return to_si(parse(number).value, unit or "1", dimension)


def unit_sets(source: Source) -> dict[str, Any]:
    """The sets of units to choose from, and the decimals that a phone shows."""
    file = "units.toml"
    raw = source.read(file)
    units = check(source, file, "", raw, _UNITS) if raw else None
    if units is None:
        return {"set": [], "decimals": {}}
    for unit, places in units["decimals"].items():
        if unit not in UNITS:
            source.fault(
                file, "decimals", f"names an unknown unit “{unit}”; {instead(unit, UNITS)}"
            )
        whole = isinstance(places, int) and not isinstance(places, bool)
        if not (whole and 0 <= places <= _MOST_DECIMALS):
            words = f"has {places!r} decimals for “{unit}”"
            source.fault(file, "decimals", f"{words}; write a whole number from 0 to 6")
    seen: set[str] = set()
    for entry in units["set"]:
        made = check(source, file, str(entry.get("id", "set")), entry, _SET)
        if made is not None:
            if made["id"] in seen:
                source.fault(file, made["id"], "is a duplicate id; write another one")
            seen.add(made["id"])
            _set(source, file, made, units["decimals"])
    return units


def _set(source: Source, file: str, entry: Mapping[str, Any], decimals: Mapping[str, Any]) -> None:
    id, units = entry["id"], entry["units"]
    for kind, unit in units.items():
        dimension = kind.removeprefix("small_").removeprefix("long_")
        if dimension not in SI:
            source.fault(file, id, f"names an unknown dimension “{kind}”; {instead(kind, SI)}")
        elif unit not in units_of(dimension):
            mend = instead(unit, units_of(dimension))
            source.fault(file, id, f"has “{unit}”, no unit of {dimension}; {mend}")
        elif unit not in decimals:
            source.fault(file, id, f"has “{unit}” with no decimals given; add it under [decimals]")
    missing: dict[str, str] = {}
    for name, made in source.fields.items():
        shown = made.get("shown_in") or made.get("dimension")
        if shown is not None and shown not in units:
            missing.setdefault(shown, name)
    for shown, name in missing.items():
        source.fault(file, id, f"has no unit of {shown} for {name}; add {shown} to its units")
