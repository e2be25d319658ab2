"""The words, checked: none missing, none left over, none too long for a phone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from weeptrace.rules.model import of_entry
from weeptrace.rules.shape import is_kind
from weeptrace.rules.source import Limit, Source, instead
from weeptrace.rules.vocabulary import COMES
from weeptrace.told import BARE, DENSITY, DIFFERENCE, DOWN, OF, Place, of_limit, places, tell
from weeptrace.words import flat

FOLDER: Final = "text/en"
LONGEST: Final = {
    "title": 28, "prompt": 100, "main": 24, "caution": 48, "phase": 10,
    "refused": 240, "reason": 280, "accepted": 120, "key": 24, "row": 40, "heading": 40,
    "line": 200, "spoken": 240, "door": 240, "cause": 140,
}  # fmt: skip
_LONGEST_ELSE: Final = 140
_USUAL_FIGURE: Final = "14.5 psi"
_WITH_FIGURES: Final = ("prompt", "caution", "choice", "choice_sub", "record_choice", "why")
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


def check_texts(
    source: Source,
    procedures: Mapping[str, Mapping[str, Any]],
    sets: Sequence[Mapping[str, Any]],
) -> None:
    """Each text that is needed is there, each that is there is needed, and fits a phone.

    ``sets``: of units; the figures that a text names are shown in each of them.

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
        _fits(source, id, words, sets)


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
        if not source.faults:  # until then, what caps it may only be misspelt
            needed += [f"not_above.{name}" for name in entry.get("not_above", ())]
        may.add(f"pad.{id}")
        if entry["kind"] in ("choice", "choices"):
            worded = entry.get("worded_as", id)
            needed += [f"choice.{worded}.{word}" for word in entry["options"]]
            may |= {f"record_choice.{worded}.{word}" for word in entry["options"]}
            may |= {f"ask.{id}", f"shut_by.{id}"}
            may |= {f"choice_sub.{id}.{word}" for word in entry["options"]}
        if entry["kind"] == "part" and entry["comes"] in COMES:
            needed.append(f"comes.{entry['comes']}")
    may |= {entry["caution"] for entry in source.hazards.values() if entry} | source.worded
    return dict.fromkeys(needed), may


def _fits(source: Source, id: str, words: Any, sets: Sequence[Mapping[str, Any]]) -> None:
    """A text, or a list of lines, that a phone has room for; a page may need no prompt."""
    lines = words if isinstance(words, list) else [words]
    if not all(isinstance(line, str) for line in lines) or not lines:
        told = f"is no text; write words in quotes, not {str(words)[:40]}"
        source.fault(_file(source, id), id, told)
        return
    if not all(is_kind("text", line) for line in lines) and not id.endswith(".prompt"):
        source.fault(_file(source, id), id, "is empty; write its words, or remove it")
    if not all(_figures(source, id, line, sets) for line in lines):
        return
    most, longest = signs(id, words)
    if most > longest:
        told = f"is too long for a phone: {most} signs, {longest} fit; shorten it by"
        source.fault(_file(source, id), id, f"{told} {most - longest}")


def signs(id: str, words: Any) -> tuple[int, int]:
    """How long a text, or its longest line, is with usual figures in it, and how long it may be."""
    lines = words if isinstance(words, list) else [words]
    return max(len(tell(line, lambda _: _USUAL_FIGURE)) for line in lines), _longest(id)


def figures_in(words: Any) -> list[Place]:
    """The figures that a text, or all its lines, name. ``ValueError`` for a lone brace."""
    lines = words if isinstance(words, list) else [words]
    return [place for line in lines for _, place in places(line) if place is not None]


def _longest(id: str) -> int:
    """How long a text may be: by its family, by its last word, or by where a page has it."""
    parts = id.split(".")
    inner = [] if of_entry(id) else parts[1:-1]
    named = (part for part in (parts[0], parts[-1], *inner) if part in LONGEST)
    return next((LONGEST[part] for part in named), _LONGEST_ELSE)


def _figures(source: Source, id: str, line: str, sets: Sequence[Mapping[str, Any]]) -> bool:
    """Whether each figure that a text names is there, and of its dimension; faults are noted."""
    try:
        found = [place for _, place in places(line) if place is not None]
    except ValueError:
        source.fault(_file(source, id), id, "has a lone brace; write a figure in it, or remove it")
        return False
    if not found:
        return True
    named = [each["units"] for each in sets if isinstance(each.get("units"), dict)]
    kinds = [DIFFERENCE, DENSITY, *dict.fromkeys(key for units in named for key in units)]
    if of_entry(id) and not {id.partition(".")[0], id.rpartition(".")[2]} & set(_WITH_FIGURES):
        told = "names a figure, which only a prompt, a caution or a choice may; move it"
        source.fault(_file(source, id), id, told)
        return False
    told = next(filter(None, (_wrong(source, id, place, kinds) for place in found)), "")
    if told:
        source.fault(_file(source, id), id, told)
    return not told


def _ends(kind: str) -> tuple[str, ...]:
    return kind, f"{kind}:{DOWN}", f"{kind}:{BARE}"


def _wrong(source: Source, id: str, place: Place, kinds: Sequence[str]) -> str:
    """What is wrong with the figure of a text; "" for nothing.

    What has no dot in its name the program brings: its calls are checked beside the texts.
    """
    brought = not of_entry(id) and "." not in place.name
    if brought and not place.kind:
        return ""
    if place.spec not in _ends(place.kind) or (place.kind not in kinds and len(kinds) > 2):
        return f"tells a figure as “{place.spec}”; {instead(place.kind, kinds)}"
    if brought:
        return ""
    dimension = place.kind.removeprefix("small_").removeprefix("long_")
    dimension = "temperature" if place.kind == DIFFERENCE else dimension
    *shares, last = place.name.split(OF)
    for name, wanted in (*((share, "ratio") for share in shares), (last, dimension)):
        limit = of_limit(name)
        table = "fields" if limit is None else "limits"
        named = name if limit is None else limit
        known: Mapping[str, Any] = getattr(source, table)
        if not source.named(table, named):
            return f"names an unknown figure “{name}”; {instead(named, known)}"
        is_of = _dimension(known.get(named))
        if is_of != wanted and named in known:
            return f"tells the {is_of} {name} as a {wanted}; write a limit or field of {wanted}"
    return ""


def _dimension(entry: Any) -> str | None:
    """The dimension of a limit or of a field of one value; None for a word."""
    if isinstance(entry, Limit):
        return entry.dimension
    return entry.get("dimension", "ratio") if entry and entry["kind"] == "quantity" else None
