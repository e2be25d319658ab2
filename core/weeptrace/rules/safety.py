"""What keeps hands safe, checked: gates on evidence that expires, and hazards."""

from __future__ import annotations

from typing import Any, Final

from weeptrace.rules import conditions
from weeptrace.rules.figures import sourced
from weeptrace.rules.model import LEVELS
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead
from weeptrace.rules.typed import condition

_GATE: Final = Shape({"opens": "text", "source": "text", "reason": "text"}, {"stale_on": "words"})
_HAZARD: Final = Shape(
    {"caution": "text", "level": "text", "reason": "text", "source": "text"}, {"gates": "words"}
)


def gates(source: Source) -> dict[str, dict[str, Any]]:
    """What must be shown, and how lately. Evidence is what ``opens`` wants `within` an age."""
    file = "gates.toml"
    out: dict[str, dict[str, Any]] = {}
    for id, raw in source.read(file).items():
        out[id] = {}
        entry = check(source, file, id, raw, _GATE)
        if entry is None:
            continue
        sourced(source, file, id, entry)
        tree = condition(source, file, id, entry["opens"], clock=True)
        evidence = [] if tree is None else [part[1] for part in conditions.ages(tree)]
        for other in entry.get("stale_on", ()):
            name, _, word = other.partition(" ")
            if not source.named("fields", name):
                mend = instead(name, source.fields)
                source.fault(file, id, f"goes stale on an unknown field “{name}”; {mend}")
            elif word and word not in source.fields.get(name, {"options": [word]}).get(
                "options", ()
            ):
                mend = f"write “{name}”, or with “ on” or “ off” behind a part"
                source.fault(file, id, f"goes stale on “{other}”, which is no word of it; {mend}")
        _evidence(source, file, id, evidence, [] if tree is None else list(conditions.fields(tree)))
        out[id] = {
            "evidence": evidence,
            "opens": tree,
            "stale_on": entry.get("stale_on", []),
        }
    return out


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
    for name in names:
        if "shown_by" in source.fields.get(name, {}) and name not in evidence:
            words = f"opens on “{name}”, which never expires"
            source.fault(file, id, f"{words}; add within({name}, limit.room.name) to `opens`")


def hazards(source: Source) -> dict[str, dict[str, Any]]:
    """What can hurt, what is said before the hand moves, and the gates that it stands behind."""
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
        for gate in entry.get("gates", ()):
            if not source.named("gates", gate):
                mend = instead(gate, source.gates)
                source.fault(file, id, f"names an unknown gate “{gate}”; {mend}")
        out[id] = entry
    return out
