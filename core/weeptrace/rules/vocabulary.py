"""The vocabulary, checked: what each field is, what it accepts, and what it names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from weeptrace.quantity import SI
from weeptrace.rules import shows
from weeptrace.rules.figures import sourced, span
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead
from weeptrace.rules.typed import condition

REPAIR: Final = "repair.kind"  # the field whose options a part's `for` names
COMES: Final = ("off", "disconnected", "plugged", "marked", "moved")
# How a value is known. A scan tool's sensor may hang in air and read low, so it proves nothing.
SHOWN_BY: Final = ("probe", "gauge", "hand", "eye", "scan_tool")

_EFFECTS: Final = {"effects": "table", **shows.KEYS}
_SOURCED: Final = {"kind": "text", "source": "text", "reason": "text"}
_NUMBER: Final = {**_SOURCED, "range": "two"}
_QUANTITY: Final = {**_NUMBER, "dimension": "text"}
_ANY: Final = {**_EFFECTS, "shown_by": "text"}
_LIMITED: Final = {
    **_ANY, "signed": "flag", "shown_in": "text", "not_above": "words", "either_sign": "flag",
    "within_atmosphere": "flag", "rated": "text",
}  # fmt: skip
_SHAPES: Final = {
    "text": Shape({"kind": "text"}, {**_EFFECTS, "longest": "number"}),
    "choice": Shape(
        {"kind": "text", "options": "words"}, {**_ANY, "worded_as": "text", "place": "text"}
    ),
    "yes": Shape({"kind": "text"}, _ANY),
    "quantity": Shape(_QUANTITY, _LIMITED),
    "reading": Shape(_QUANTITY, _LIMITED),
    "count": Shape(_NUMBER, {**_EFFECTS, "not_above": "words"}),
    "mark": Shape(
        {"kind": "text"},
        {**_EFFECTS, **dict.fromkeys(("acts", "clears"), "words"), "marks": "text", "only": "text"},
    ),
    "photo": Shape({"kind": "text"}, shows.KEYS),
    "part": Shape(
        {"kind": "text", "comes": "text", "for": "words"},
        {**_EFFECTS, "needed_to_run": "flag", "holds_coolant": "flag"},
    ),
}  # fmt: skip


def fields(source: Source) -> dict[str, dict[str, Any]]:
    """Every word that an event's `field` may be; what it tells of the causes stands apart."""
    out: dict[str, dict[str, Any]] = {}
    stands: dict[str, str] = {}
    for file in source.files("fields"):
        for id, raw in _entries(source.read(file)):
            if id in out:
                source.twice(file, id, stands[id])
            out[id], stands[id] = _field(source, file, id, raw), file
    source.fields, source.places = out, stands
    for id, entry in out.items():
        if "clears" in entry:
            entry["clears"] = [name for each in entry["clears"] for name in _cleared(out, id, each)]
        _names(source, stands[id], id, entry)
    for id, entry in out.items():
        if "only" in entry:
            entry["only"] = condition(source, stands[id], id, entry["only"])
        source.tells[id] = {key: entry.pop(key) for key in shows.KEYS if key in entry}
    return out


def _cleared(fields: Mapping[str, Any], id: str, named: str) -> list[str]:
    """A field that a mark clears; of "hold.*" all fields of that table but the mark itself."""
    if not named.endswith(".*"):
        return [named]
    return [name for name in fields if name.startswith(named[:-1]) and name != id] or [named]


def _entries(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """The entries of nested tables: a table that holds a value that is no table."""
    for key, value in table.items():
        name = f"{before}.{key}" if before else key
        if isinstance(value, dict) and value and all(isinstance(v, dict) for v in value.values()):
            yield from _entries(value, name)
        else:
            yield name, value


def _field(source: Source, file: str, id: str, raw: Any) -> dict[str, Any]:
    """A field as the bundle holds it; of kind None where its entry is at fault."""
    kind = raw.get("kind") if isinstance(raw, dict) else None
    shape = _SHAPES.get(kind) if isinstance(kind, str) else None
    if shape is None:
        mend = instead(kind, _SHAPES)
        source.fault(file, id, f"has an unknown kind “{kind}”; {mend}")
        return {"kind": None}
    made = check(source, file, id, raw, shape)
    if made is None:
        return {"kind": None}
    sourced(source, file, id, made)
    dimension = made.get("dimension", "ratio")
    if dimension not in SI:
        source.fault(file, id, f"has an unknown dimension “{dimension}”; {instead(dimension, SI)}")
        return {"kind": None}
    if "range" in made:
        made |= span(source, file, id, made["range"], dimension) or {}
    _options(source, file, id, made)
    return {key: value for key, value in made.items() if key not in ("range", "source", "reason")}


def _options(source: Source, file: str, id: str, made: dict[str, Any]) -> None:
    """The closed words of an entry."""
    for key, words in (("comes", COMES), ("shown_by", SHOWN_BY)):
        if key in made and made[key] not in words:
            mend = instead(made[key], words)
            source.fault(file, id, f"has an unknown “{key}”, “{made[key]}”; {mend}")
    if made["kind"] == "choice" and len(made["options"]) < 2:
        source.fault(file, id, 'is a choice of one; add another option, or write kind = "yes"')
    longest = made.get("longest", 1)
    if not (isinstance(longest, int) and 1 <= longest <= 2000):
        source.fault(file, id, f"has longest = {longest}; write a whole number from 1 to 2000")
    if made["kind"] == "part":
        made["options"] = ["off", "on"]
        made["belongs"] = made.pop("for")


def _names(source: Source, file: str, id: str, entry: Mapping[str, Any]) -> None:
    """The other fields that a field names."""
    named = [entry["marks"]] if "marks" in entry else []
    rating = [entry["rated"]] if "rated" in entry else []
    for other in (*entry.get("not_above", ()), *entry.get("clears", ()), *named, *rating):
        if not source.named("fields", other):
            mend = instead(other, source.fields)
            source.fault(file, id, f"names an unknown field “{other}”; {mend}")
    for other in named:
        if source.fields.get(other, {}).get("kind") not in (None, "reading"):
            source.fault(file, id, f"marks “{other}”, no reading; write a field of kind reading")
    for other in entry.get("not_above", ()):
        cap = source.fields.get(other, {})
        here, there = entry.get("dimension", "ratio"), cap.get("dimension", "ratio")
        if cap.get("kind") is None:
            continue
        if cap["kind"] not in ("quantity", "count") or here != there:
            words = f"can't be capped by “{other}”; write in not_above a quantity of {here}"
            source.fault(file, id, words)
        elif id in _caps(source, other):
            words = f"is capped in a circle by “{other}”; remove one from not_above"
            source.fault(file, id, words)
    for other in rating:
        found = source.fields.get(other, {"kind": None})
        here = entry.get("dimension")
        if found["kind"] is not None and (found["kind"], found.get("dimension")) != (
            "quantity",
            here,
        ):
            words = f"can't be rated by “{other}”; write in rated a quantity of {here}"
            source.fault(file, id, words)
    options = source.fields.get(REPAIR, {}).get("options")
    for repair in entry.get("belongs", ()):
        if options is not None and repair not in options:
            mend = instead(repair, options)
            source.fault(file, id, f"belongs to an unknown repair “{repair}”; {mend}")


def _caps(source: Source, id: str) -> set[str]:
    """All fields that cap a field, and those that cap them."""
    found: set[str] = set()
    left = [id]
    while left:
        for other in source.fields.get(left.pop(), {}).get("not_above", ()):
            if other not in found:
                found.add(other)
                left.append(other)
    return found
