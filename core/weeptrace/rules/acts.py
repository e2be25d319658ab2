"""The acts, checked: what a hand can be asked to do, what it needs first, and what it warns of.

A step names its acts; its gates and its cautions follow from them, and its words are held against
them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, Final

from weeptrace.rules.figures import sourced
from weeptrace.rules.model import LEVELS
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead

FILE: Final = "acts.toml"
_ACT: Final = Shape(
    {"warns": "text", "source": "text", "reason": "text"},
    {"needs": "words", "does": "words", "says": "words"},
)


def acts(source: Source) -> dict[str, dict[str, Any]]:
    """Every act: ``needs``, gates; ``warns``, a hazard; ``does``, what of the car it changes;
    ``says``, how words ask for it.
    """
    out: dict[str, dict[str, Any]] = {}
    for id, raw in source.read(FILE).items():
        entry = check(source, FILE, id, raw, _ACT)
        out[id] = {"needs": [], "warns": None, "does": [], "says": []}
        if entry is None:
            source.partial.add("acts")
            continue
        sourced(source, FILE, id, entry)
        for gate in entry.get("needs", ()):
            if not source.named("gates", gate):
                mend = instead(gate, source.gates)
                source.fault(FILE, id, f"needs an unknown gate “{gate}”; {mend}")
        if not source.named("hazards", entry["warns"]):
            mend = instead(entry["warns"], source.hazards)
            source.fault(FILE, id, f"warns of an unknown hazard “{entry['warns']}”; {mend}")
        for name in entry.get("does", ()):
            if name not in source.state and "state" not in source.partial:
                mend = instead(name, source.state)
                source.fault(FILE, id, f"does something to an unknown variable “{name}”; {mend}")
        out[id] |= {key: entry[key] for key in out[id] if key in entry}
    return out


def follow(source: Source, file: str, id: str, named: Iterable[str]) -> dict[str, list[str]]:
    """A step's gates, in the order of their file, and hazards, what kills first, by its acts.

    Unknown acts are noted.
    """
    for name in named:
        if not source.named("acts", name):
            source.fault(file, id, f"names an unknown act “{name}”; {instead(name, source.acts)}")
    mine = [source.acts[name] for name in named if name in source.acts]
    needs = {gate for act in mine for gate in act["needs"]}
    warns = {act["warns"] for act in mine}
    hazards = [
        hazard
        for level in LEVELS
        for hazard, entry in source.hazards.items()
        if hazard in warns and entry.get("level") == level
    ]
    return {"hazards": hazards, "gates": [gate for gate in source.gates if gate in needs]}


def gates_of(source: Source, hazard: str) -> set[str]:
    """The gates that every act with this warning needs."""
    needs = [set(act["needs"]) for act in source.acts.values() if act["warns"] == hazard]
    return set.intersection(*needs) if needs else set()


def done(source: Source, file: str, id: str, named: Iterable[str], fields: Iterable[str]) -> None:
    """What these acts do to the car is said by the effects of the fields beside them."""
    beside = {*fields}
    for act in named:
        for name in source.acts.get(act, {"does": ()})["does"]:
            given = source.state[name]["given"] if name in source.state else None
            if given is not None and not any(field in beside for field, *_ in given):
                words = f"asks to {act}, and no field of it has an effect on “{name}”"
                source.fault(file, id, f"{words}; add that to the effects of one")


def of_step(source: Source, step: Mapping[str, Any]) -> set[str]:
    """The fields that a step's page can enter: of a series its marks too, of a ledger its parts."""
    own = {name for name in (step["asks"], step["reads"], *step["checks"]) if name}
    kin = {name for name, each in source.fields.items() if "marks" in each and each["marks"] in own}
    if not str(step["shows"]).startswith("ledger_"):
        return own | kin
    return own | kin | {name for name, each in source.fields.items() if each["kind"] == "part"}


def keys(source: Source, steps: Iterable[Mapping[str, Any]]) -> set[str]:
    """A mark that no step enters is a key of its own: it says which acts it tells of, if any.

    The fields lose their ``acts``. The acts that are told of so.
    """
    every = list(steps)
    inside = {n for step in every for n in (*of_step(source, step), step["again"])}
    told: set[str] = set()
    for id, field in source.fields.items():
        named = field.pop("acts", None)
        file = source.places.get(id, "fields")
        if named is None:
            if field["kind"] == "mark" and "marks" not in field and id not in inside:
                words = "is a key outside the steps that does not say its acts"
                source.fault(file, id, f"{words}; write acts = [], or what a hand did")
            continue
        for name in named:
            if not source.named("acts", name):
                mend = instead(name, source.acts)
                source.fault(file, id, f"tells of an unknown act “{name}”; {mend}")
        done(source, file, id, named, [id])
        told |= set(named)
    return told


def declared(source: Source, steps: Iterable[Mapping[str, Any]]) -> None:
    """Each act is asked for by a step, and each hazard is warned of by an act."""
    every = list(steps)
    told = set() if source.faults else keys(source, every)
    if source.faults:
        return
    asked = told | {name for step in every for name in step["acts"]}
    for id in source.acts:
        if id not in asked:
            source.fault(FILE, id, "is asked for by no step; add it to one, or remove it")
    warned = {act["warns"] for act in source.acts.values()}
    for id in source.hazards:
        if id not in warned:
            words = "is warned of by no act"
            source.fault("hazards.toml", id, f"{words}; write it in warns of one, or remove it")


def worded(source: Source, file: str, step: Mapping[str, Any]) -> None:
    """What a step's words ask for is among its acts, or excepted with a reason."""
    if source.partial & {"texts", "text", "acts"}:
        return
    id, excepted = step["id"], dict(step.get("says", {}))
    named, met = set(step.get("acts", ())), set()
    stems: dict[str, list[str]] = {}
    for act, entry in source.acts.items():
        for stem in entry["says"]:
            stems.setdefault(stem, []).append(act)
    other = {stem: able for stem, able in stems.items() if named.isdisjoint(able)}
    for line in filter(_said(*stems).search, _lines(source, step)):
        for stem, able in other.items():
            found = _said(stem).search(line)
            if found is None:
                continue
            if stem in excepted:
                met.add(stem)
                continue
            words = f"says “{found[0]}” in “{line}”, which asks to {' or '.join(able)}"
            source.fault(file, id, f'{words}; add it to acts, or says = {{"{stem}" = "reason"}}')
    for stem, why in excepted.items():
        if not str(why).strip():
            source.fault(file, id, f"excepts “{stem}” without a reason; write why")
            met.add(stem)
    for stem in sorted(set(excepted) - met):
        words = f"excepts “{stem}”, which its words don't say or its acts allow"
        source.fault(file, id, f"{words}; remove it")


@cache
def _said(*stems: str) -> re.Pattern[str]:
    """A word that begins with one of these stems."""
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, stems))})\w*", re.IGNORECASE)


def _lines(source: Source, step: Mapping[str, Any]) -> Iterator[str]:
    """What a step says: its title, its prompt, its key, the names of what it asks for and ticks."""
    fields = [name for name in (step.get("asks"), *step.get("checks", ())) if name]
    ids = [f"step.{step['id']}.{part}" for part in ("title", "prompt", "main")]
    for text in (*ids, *(f"field.{name}" for name in fields)):
        words = source.texts.get(text, "")
        yield from words if isinstance(words, list) else [str(words)]
