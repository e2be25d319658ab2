"""The words, checked: none missing, none left over, none too long for a phone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from weeptrace.rules.shape import is_kind
from weeptrace.rules.source import Source
from weeptrace.rules.vocabulary import COMES

FOLDER: Final = "text/en"
LONGEST: Final = {"title": 28, "prompt": 100, "main": 24, "caution": 48, "phase": 10}
_LONGEST_ELSE: Final = 140
# Kinds of field whose key bears the step's own words.
_KEYED: Final = ("yes", "photo", "mark")


def texts(source: Source) -> dict[str, Any]:
    """Every text of the language's folder by its full id; where each stands is noted."""
    made: dict[str, Any] = {}
    for file in source.files(FOLDER):
        for id, words in flat(source.read(file)):
            if id in made:
                source.twice(file, id, source.stands[id])
            else:
                made[id], source.stands[id] = words, file
    if "text" in source.partial:
        source.partial.add("texts")
    return made


def flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """``{"a": {"b": "x"}}`` as ``("a.b", "x")``."""
    for key, value in table.items():
        name = f"{before}.{key}" if before else key
        if isinstance(value, dict):
            yield from flat(value, name)
        else:
            yield name, value


def check_texts(source: Source, procedures: Mapping[str, Mapping[str, Any]]) -> None:
    """Each text that is needed is there, each that is there is needed, and fits a phone.

    What is left over is told once all else is sound: until then its owner may only be misspelt.
    """
    needed, may = _needed(source, procedures)
    if "texts" not in source.partial:
        for id in needed:
            if id not in source.texts:
                source.fault(_file(source, id), id, "is missing; add its words")
    families = {id.partition(".")[0] for id in (*needed, *may)}
    sound = not source.faults
    for id, words in source.texts.items():
        part = id.partition(".")[0]
        if sound and part in families and id not in needed and id not in may:
            told = "belongs to nothing in these rules; rename or remove it"
            source.fault(_file(source, id), id, told)
        _fits(source, id, words)


def _file(source: Source, id: str) -> str:
    """The file where a text stands, or else its next of kin; the folder where it has none."""
    if id in source.stands:
        return source.stands[id]
    family = id
    while family := family.rpartition(".")[0]:
        for kin, file in source.stands.items():
            if kin.startswith(f"{family}."):
                return file
    return FOLDER


def _needed(
    source: Source, procedures: Mapping[str, Mapping[str, Any]]
) -> tuple[dict[str, None], set[str]]:
    """The texts that the entries need, in order, and those that they may have."""
    needed: list[str] = []
    may: set[str] = set()
    for each in procedures.values():
        needed += [f"phase.{phase['id']}" for phase in each["phases"]]
        for step in each["steps"]:
            needed += [f"step.{step['id']}.{part}" for part in ("title", "prompt")]
            keyed = source.fields.get(step["asks"] or "", {}).get("kind") in _KEYED
            (needed.append if keyed else may.add)(f"step.{step['id']}.main")
    for id, entry in source.fields.items():
        needed.append(f"field.{id}")
        may.add(f"pad.{id}")
        if entry["kind"] in ("choice", "choices"):
            worded = entry.get("worded_as", id)
            needed += [f"choice.{worded}.{word}" for word in entry["options"]]
            may |= {f"choice_sub.{id}.{word}" for word in entry["options"]}
        if entry["kind"] == "part" and entry["comes"] in COMES:
            needed.append(f"comes.{entry['comes']}")
    may |= {entry["caution"] for entry in source.hazards.values() if entry}
    return dict.fromkeys(needed), may


def _fits(source: Source, id: str, words: Any) -> None:
    """A text, or a list of lines, that a phone has room for; a page may need no prompt."""
    lines = words if isinstance(words, list) else [words]
    if not all(isinstance(line, str) for line in lines) or not lines:
        told = f"is no text; write words in quotes, not {str(words)[:40]}"
        source.fault(_file(source, id), id, told)
        return
    if not all(is_kind("text", line) for line in lines) and not id.endswith(".prompt"):
        source.fault(_file(source, id), id, "is empty; write its words, or remove it")
    first, last = id.partition(".")[0], id.rpartition(".")[2]
    longest = LONGEST.get(first if first in LONGEST else last, _LONGEST_ELSE)
    most = max(map(len, lines))
    if most > longest:
        told = f"is too long for a phone: {most} signs, {longest} fit; shorten it by"
        source.fault(_file(source, id), id, f"{told} {most - longest}")
