"""The rules that are never broken: each has its mark, and something that keeps it.

``hard``: no way past it, only "stop, refer". ``override``: a person may go on, and types a name and
a reason first.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from weeptrace.rules.figures import sourced
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead

FILE: Final = "never.toml"
MARKS: Final = ("hard", "override")
_KEEPERS: Final = ("acts", "gates", "hazards", "capped", "asked", "texts")
_SHAPE: Final = Shape(
    {"rule": "text", "source": "text", "reason": "text"},
    {**dict.fromkeys(_KEEPERS, "words"), "person": "text", "why": "text"},
)


def never(source: Source, procedures: Mapping[str, Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """The rules as the bundle holds them: the mark, and what keeps each."""
    steps = [step for each in procedures.values() for step in each["steps"]]
    out: dict[str, dict[str, Any]] = {}
    for id, raw in source.read(FILE).items():
        entry = check(source, FILE, id, raw, _SHAPE)
        if entry is None:
            continue
        sourced(source, FILE, id, entry)
        _mark(source, id, entry, steps)
        _kept(source, id, entry, steps)
        out[id] = {key: value for key, value in entry.items() if key not in ("source", "reason")}
    return out


def _mark(
    source: Source, id: str, entry: Mapping[str, Any], steps: list[Mapping[str, Any]]
) -> None:
    """Hard has no way past it; an override asks a person's name and reason."""
    rule = entry["rule"]
    if rule not in MARKS:
        source.fault(FILE, id, f"has an unknown rule “{rule}”; {instead(rule, MARKS)}")
        return
    for key in ("person", "why"):
        name = entry.get(key)
        if rule == "hard" and name is not None:
            words = f"is hard, yet names “{key}” for a way past it"
            source.fault(FILE, id, f'{words}; remove it, or write rule = "override"')
        elif rule == "override" and name is None:
            words = f"is an override without “{key}”"
            source.fault(FILE, id, f"{words}; add {key} = the text field that it is typed into")
        elif rule == "override" and not _is_text(source, str(name)):
            words = f"has its “{key}” typed into “{name}”, which is no text field"
            source.fault(FILE, id, f"{words}; write a field of kind text")
        elif rule == "override":
            _asked(source, id, str(name), steps)


def _is_text(source: Source, name: str) -> bool:
    """Whether a field is a text, as far as its entry reads."""
    kind = source.fields[name]["kind"] if name in source.fields else None
    return source.named("fields", name) and kind in (None, "text")


def _kept(
    source: Source, id: str, entry: Mapping[str, Any], steps: list[Mapping[str, Any]]
) -> None:
    """Something keeps the rule, and it is there."""
    if not any(key in entry for key in _KEEPERS):
        words = "is kept by nothing"
        source.fault(FILE, id, f"{words}; add one of: {', '.join(_KEEPERS)}")
    for key, table in (
        ("acts", "acts"), ("gates", "gates"), ("hazards", "hazards"), ("texts", "texts"),
    ):  # fmt: skip
        for name in entry.get(key, ()):
            if not source.named(table, name):
                mend = instead(name, getattr(source, table))
                source.fault(FILE, id, f"names an unknown one of {key}, “{name}”; {mend}")
    for name in entry.get("acts", ()):
        needs = source.acts.get(name, {"needs": entry.get("gates", ())})["needs"]
        for gate in entry.get("gates", ()):
            if gate not in needs and gate in source.gates:
                words = f"is kept by “{gate}”, which the act “{name}” does not need"
                source.fault(FILE, id, f"{words}; add it to its needs, or remove the act")
    for name in entry.get("capped", ()):
        if not source.fields.get(name, {"rated": True}).get("rated"):
            words = f"wants “{name}” rated, and it has no rating"
            source.fault(FILE, id, f"{words}; add rated to that field")
    for name in (*entry.get("capped", ()), *entry.get("asked", ())):
        if not source.named("fields", name):
            mend = instead(name, source.fields)
            source.fault(FILE, id, f"names an unknown field “{name}”; {mend}")
    for name in entry.get("asked", ()):
        if name in source.fields:
            _asked(source, id, name, steps)


def _asked(source: Source, id: str, name: str, steps: list[Mapping[str, Any]]) -> None:
    """A step asks it, and may not be skipped."""
    asking = [step for step in steps if step["asks"] == name or name in step["checks"]]
    if "procedures" in source.partial or any(not step["skip"] for step in asking):
        return
    words = f"needs “{name}”, which no step asks, or only one that may be skipped"
    source.fault(FILE, id, f"{words}; add a step that asks it, without skip")
