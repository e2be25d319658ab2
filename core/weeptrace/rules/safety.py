"""What keeps hands safe, checked: gates on evidence that expires, and hazards."""

from __future__ import annotations

from typing import Any, Final

from weeptrace.rules import conditions, state
from weeptrace.rules.figures import sourced
from weeptrace.rules.model import LEVELS
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead
from weeptrace.rules.typed import PREFIX, condition

LEFT: Final = "left."  # computed of a variable: whether it is not put back
_GATE: Final = Shape({"opens": "text", "source": "text", "reason": "text"})
_HAZARD: Final = Shape({"caution": "text", "level": "text", "reason": "text", "source": "text"})


def gates(source: Source) -> dict[str, dict[str, Any]]:
    """What must be known of the car, and how lately.

    ``opens`` names fields only: those that give the variables of the state in it.
    ``evidence`` is what it wants within an age, ``stale_on`` what undoes that: a field, or for a
    word of it "part.belt on".
    """
    file = "gates.toml"
    out: dict[str, dict[str, Any]] = {}
    read: set[str] = set()
    for id, raw in source.read(file).items():
        out[id] = {}
        entry = check(source, file, id, raw, _GATE)
        if entry is None:
            source.partial.add("gates")
            continue
        sourced(source, file, id, entry)
        before = len(source.faults)
        tree = condition(source, file, id, entry["opens"], clock=True)
        stale: list[str] = []
        if tree is not None:
            names = {n for n in conditions.fields(tree) if n.startswith(PREFIX)}
            read |= {name.removeprefix(PREFIX) for name in names}
            read |= {n.removeprefix(LEFT) for n in conditions.fields(tree) if n.startswith(LEFT)}
            tree = None if names and len(source.faults) > before else tree
        if tree is not None:
            _through_the_state(source, id, tree)
            tree, stale = state.expanded(source, tree)
        evidence = [] if tree is None else list(dict.fromkeys(p[1] for p in conditions.ages(tree)))
        _evidence(source, file, id, evidence, [] if tree is None else list(conditions.fields(tree)))
        out[id] = {"evidence": evidence, "opens": tree, "stale_on": stale}
    state.read_by(source, read)
    return out


def _through_the_state(source: Source, id: str, tree: conditions.Tree) -> None:
    """Evidence that gives a variable is asked for by the variable: so it is undone with it."""
    gives = {name: variable for variable, entry in source.state.items()
             for name, *_ in entry["given"]}  # fmt: skip
    for part in conditions.ages(tree):
        if part[1] in gives:
            words = f"rests on “{part[1]}” itself, past what undoes it"
            source.fault("gates.toml", id, f"{words}; write state.{gives[part[1]]} instead")


def _evidence(source: Source, file: str, id: str, evidence: list[str], names: list[str]) -> None:
    """Evidence says how it is shown, not by a scan tool, and all that is shown expires."""
    for name in evidence:
        entry = source.fields.get(name, {"kind": None})
        by = entry.get("shown_by")
        if entry["kind"] is not None and by is None:
            words = f"rests on “{name}”, which does not say how it is shown"
            source.fault(file, id, f'{words}; add shown_by = "probe" or another kind to that field')
        elif by == "scan_tool":
            words = f"rests on “{name}” by a scan tool, whose sensor may hang in air"
            source.fault(file, id, f'{words}; write shown_by = "probe" and measure it so')
    given = {name for entry in source.state.values() for name, *_ in entry["given"]}
    for name in set(names) - given:  # of the state its variable says how long
        if "shown_by" in source.fields.get(name, {}) and name not in evidence:
            words = f"opens on “{name}”, which never expires"
            source.fault(file, id, f"{words}; add within({name}, limit.room.name) to `opens`")


def hazards(source: Source) -> dict[str, dict[str, Any]]:
    """What can hurt, and what is said before the hand moves."""
    file = "hazards.toml"
    out: dict[str, dict[str, Any]] = {}
    for id, raw in source.read(file).items():
        out[id] = {}
        entry = check(source, file, id, raw, _HAZARD)
        if entry is None:
            continue
        sourced(source, file, id, entry)
        if not source.named("texts", entry["caution"]):
            words = f"is a hazard without a caution: “{entry['caution']}” is no text"
            source.fault(file, id, f"{words}; {instead(entry['caution'], source.texts)}")
        if entry["level"] not in LEVELS:
            mend = instead(entry["level"], LEVELS)
            source.fault(file, id, f"has an unknown level “{entry['level']}”; {mend}")
        out[id] = entry
    return out
