"""From TOML files to one checked bundle; every fault of every file is told at once.

Refused: an unknown name, an unreachable step, a dead end, a figure without a source, a duplicate
id, a hazard without a caution, a hazard outside its gate, a text too long for a phone.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from weeptrace.quantity import SI, UNITS, parse, to_si, units_of
from weeptrace.refusal import Refusal
from weeptrace.rules import conditions
from weeptrace.rules.source import RulesError, Source, condition
from weeptrace.rules.steps import procedure

KINDS: Final = (
    "text", "choice", "yes", "quantity", "count", "reading", "mark", "photo", "part",
)  # fmt: skip
_FIELD_KEYS: Final = (
    "kind", "dimension", "signed", "either_sign", "within_atmosphere", "shown_in", "options",
    "longest", "not_above", "clears", "marks", "comes", "needed_to_run", "for", "worded_as",
)  # fmt: skip
LONGEST: Final = {"title": 28, "prompt": 100, "main": 24, "caution": 48, "phase": 10}


def compile_folder(folder: Path) -> dict[str, Any]:
    """The bundle of a folder of rules, a JSON object. Raises ``RulesError``."""
    source = Source(folder)
    sources = source.read("sources.toml")
    texts = dict(_flat(source.read("text/en.toml")))
    limits = _limits(source, sources)
    fields = _fields(source, sources)
    gates = _gates(source, sources, fields, limits)
    hazards = _hazards(source, sources, gates, texts)
    procedures = {
        path.stem: procedure(source, path.name, fields, limits, gates, hazards)
        for path in sorted((folder / "procedures").glob("*.toml"))
    }
    units = _units(source, fields)
    _texts(source, texts, fields, procedures)
    if source.faults:
        raise RulesError(source.faults)
    bundle: dict[str, Any] = {
        "fields": fields,
        "limits": limits,
        "gates": gates,
        "cautions": {id: entry["caution"] for id, entry in hazards.items()},
        "procedures": procedures,
        "unit_sets": units.get("set", []),
        "decimals": units.get("decimals", {}),
    }
    canonical = json.dumps(bundle, sort_keys=True, ensure_ascii=False).encode()
    return {"hash": hashlib.sha256(canonical).hexdigest()[:12], **bundle, "texts": texts}


def _flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """``{"a": {"b": "x"}}`` as ``("a.b", "x")``."""
    for key, value in table.items():
        name = f"{before}.{key}" if before else key
        if isinstance(value, dict):
            yield from _flat(value, name)
        else:
            yield name, value


def _entries(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """The entries of nested tables: a table that holds a value that is no table."""
    for key, value in table.items():
        name = f"{before}.{key}" if before else key
        if not isinstance(value, dict):
            continue
        if all(isinstance(inner, dict) for inner in value.values()):
            yield from _entries(value, name)
        else:
            yield name, value


def _check_source(
    source: Source, sources: Mapping[str, Any], file: str, id: str, entry: Mapping[str, Any]
) -> None:
    named = entry.get("source")
    if named is None:
        source.fault(file, id, "has a figure but no source; name one of sources.toml")
    elif named not in sources:
        source.fault(file, id, f"names an unknown source “{named}”; add it to sources.toml")


def _limits(source: Source, sources: Mapping[str, Any]) -> dict[str, float]:
    out: dict[str, float] = {}
    for path in sorted((source.folder / "limits").glob("*.toml")):
        file = f"limits/{path.name}"
        for key, entry in source.read(file).items():
            id = f"{path.stem}.{key}"
            _check_source(source, sources, file, id, entry)
            if not str(entry.get("reason", "")).strip():
                source.fault(file, id, "has no reason; say why this figure")
            unit = entry.get("unit")
            if unit not in UNITS:
                source.fault(file, id, f"has an unknown unit “{unit}”")
            elif not isinstance(entry.get("value"), int | float):
                source.fault(file, id, "has no number as value")
            else:
                out[id] = to_si(float(entry["value"]), unit, UNITS[unit][1])
    return out


def _fields(source: Source, sources: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    out: dict[str, dict[str, Any]] = {}
    stands: dict[str, str] = {}
    for path in sorted((source.folder / "fields").glob("*.toml")):
        file = f"fields/{path.name}"
        for id, entry in _entries(source.read(file)):
            if id in out:
                source.fault(file, id, f"is a duplicate id; it stands in {stands[id]} too")
            made = _field(source, sources, file, id, entry)
            if made is not None:
                out[id], stands[id] = made, file
    for id, entry in out.items():
        named = [entry["marks"]] if "marks" in entry else []
        for other in (*entry.get("not_above", ()), *entry.get("clears", ()), *named):
            if other not in out:
                source.fault(stands[id], id, f"names an unknown field “{other}”")
    return out


def _field(
    source: Source, sources: Mapping[str, Any], file: str, id: str, entry: Mapping[str, Any]
) -> dict[str, Any] | None:
    if entry.get("kind") not in KINDS:
        source.fault(file, id, f"has an unknown kind “{entry.get('kind')}”; use {KINDS}")
        return None
    made: dict[str, Any] = {key: entry[key] for key in _FIELD_KEYS if key in entry}
    if "range" in entry:
        _check_source(source, sources, file, id, entry)
        made |= _range(source, file, id, entry)
    elif entry["kind"] in ("quantity", "count", "reading"):
        source.fault(file, id, "has no range; say what is accepted, with unit and source")
    if entry["kind"] == "choice" and not entry.get("options"):
        source.fault(file, id, "has no options")
    if entry["kind"] == "part":
        made["options"] = ["off", "on"]
        made["belongs"] = made.pop("for", [])
        if not entry.get("comes") or not made["belongs"]:
            source.fault(file, id, "is a part that does not say how it comes off, or for what")
    return made


def _range(source: Source, file: str, id: str, entry: Mapping[str, Any]) -> dict[str, float]:
    dimension = entry.get("dimension", "ratio" if entry["kind"] == "count" else None)
    if dimension not in SI:
        source.fault(file, id, f"has an unknown dimension “{dimension}”")
        return {}
    try:
        low, high = (_quantity(text, dimension) for text in entry["range"])
    except (Refusal, ValueError) as problem:
        source.fault(file, id, f"has a range that does not read as two quantities: {problem}")
        return {}
    return {"low": low, "high": high}


def _quantity(text: str, dimension: str) -> float:
    number, _, unit = text.partition(" ")
    return to_si(parse(number).value, unit or "1", dimension)


def _gates(
    source: Source,
    sources: Mapping[str, Any],
    fields: Mapping[str, dict[str, Any]],
    limits: Mapping[str, float],
) -> dict[str, dict[str, Any]]:
    file = "gates.toml"
    out: dict[str, dict[str, Any]] = {}
    for id, entry in source.read(file).items():
        _check_source(source, sources, file, id, entry)
        if entry.get("rule") not in ("hard", "override"):
            source.fault(file, id, "has a rule that is neither “hard” nor “override”")
        tree = condition(source, file, id, entry.get("opens", ""), fields, limits)
        evidence = set(entry.get("evidence", ()))
        if tree is not None and evidence and set(conditions.fields(tree)) != evidence:
            source.fault(file, id, "must name in `evidence` just the fields that `opens` names")
        for other in (*entry.get("evidence", ()), *entry.get("stale_on", ())):
            if other not in fields:
                source.fault(file, id, f"names an unknown field “{other}”")
        if evidence and entry.get("age") not in limits:
            source.fault(file, id, f"names an unknown limit “{entry.get('age')}” as age")
        out[id] = {
            "rule": entry.get("rule"),
            "evidence": entry.get("evidence", []),
            "opens": tree,
            "age": entry.get("age"),
            "stale_on": entry.get("stale_on", []),
        }
    return out


def _hazards(
    source: Source,
    sources: Mapping[str, Any],
    gates: Mapping[str, Any],
    texts: Mapping[str, Any],
) -> dict[str, dict[str, Any]]:
    file = "hazards.toml"
    hazards = source.read(file)
    for id, entry in hazards.items():
        _check_source(source, sources, file, id, entry)
        if entry.get("caution") not in texts:
            source.fault(file, id, "is a hazard without a caution; name a text of text/en.toml")
        if "gate" in entry and entry["gate"] not in gates:
            source.fault(file, id, f"names an unknown gate “{entry['gate']}”")
    return hazards


def _units(source: Source, fields: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    file = "units.toml"
    units = source.read(file)
    for entry in units.get("set", []):
        for kind, unit in entry.get("units", {}).items():
            dimension = kind.removeprefix("small_")
            if unit not in units_of(dimension):
                source.fault(file, str(entry.get("id")), f"has “{unit}”, no unit of {dimension}")
            elif unit not in units.get("decimals", {}):
                source.fault(file, str(entry.get("id")), f"has “{unit}” with no decimals given")
        for id, made in fields.items():
            shown = made.get("shown_in") or made.get("dimension")
            if shown is not None and shown not in entry.get("units", {}):
                source.fault(file, str(entry.get("id")), f"has no unit of {shown} for {id}")
    return units


def _texts(
    source: Source,
    texts: Mapping[str, Any],
    fields: Mapping[str, dict[str, Any]],
    procedures: Mapping[str, dict[str, Any]],
) -> None:
    file = "text/en.toml"
    phases = [phase for each in procedures.values() for phase in each["phases"]]
    steps = [step for each in procedures.values() for step in each["steps"]]
    needed = [f"phase.{phase['id']}" for phase in phases]
    needed += [f"step.{step['id']}.{part}" for step in steps for part in ("title", "prompt")]
    needed += [f"field.{id}" for id in fields]
    needed += [
        f"choice.{entry.get('worded_as', id)}.{word}"
        for id, entry in fields.items()
        if entry["kind"] == "choice"
        for word in entry["options"]
    ]
    for id in needed:
        if id not in texts:
            source.fault(file, id, "is missing")
    for id, words in texts.items():
        part = id.split(".")[0] if id.split(".")[0] in LONGEST else id.split(".")[-1]
        longest = LONGEST.get(part, 140)
        if isinstance(words, str) and len(words) > longest:
            source.fault(file, id, f"is too long for a phone: {len(words)} signs, {longest} fit")
