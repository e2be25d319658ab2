"""The ways through a procedure, checked: no dead end, nothing unreachable, every part put back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from weeptrace.rules import conditions, reach
from weeptrace.rules.source import COMPUTED, Source

Step = dict[str, Any]


def ways(source: Source, files: Sequence[str], steps: list[Step]) -> None:
    """Every step can be reached and done, every gate opened, every part put back."""
    if source.partial & {"fields", "gates", "procedures"}:
        return
    given = [_given(source, step) for step in steps]
    asked = set().union(*given)
    parts = {name for name, entry in source.fields.items() if entry["kind"] == "part"}
    marks = {name for name, entry in source.fields.items() if entry.get("clears")}
    for file, step, here in zip(files, steps, given, strict=True):
        id = step["id"]
        ends = set(conditions.fields(step["done"])) if step["done"] else {step["asks"]}
        if not (ends & here or (step["checks"] and step["shows"] == "checks")):
            words = "is a dead end: nothing on it can make it done"
            source.fault(file, id, f"{words}; write in `done` or `asks` a field that it lets set")
        for name in conditions.fields(step["when"]) if step["when"] else ():
            if name not in asked | parts | marks and name in source.fields:
                words = f"is unreachable: no step asks “{name}”"
                source.fault(file, id, f"{words}; add a step that asks it, or mend `when`")
        for gate in step["gates"]:
            _opens(source, file, id, gate, asked)
    free = parts | marks | set(COMPUTED)  # of the ledger or the menu, at any time
    for step in reach.unreached(steps, [names | free for names in given]):
        names = set(conditions.fields(step["when"]))
        if names <= asked | free:
            words = f"waits in a circle: {', '.join(sorted(names))} is asked only after it"
            file = files[steps.index(step)]
            source.fault(file, step["id"], f"{words}; remove one `when` of the circle")
    _parts_back(source, files, steps)


def _opens(source: Source, file: str, id: str, gate: str, asked: set[str]) -> None:
    """What opens a gate is asked somewhere, or shown at the gate itself."""
    opens = source.gates.get(gate, {}).get("opens")
    for name in conditions.fields(opens) if opens else ():
        shown = "shown_by" in source.fields.get(name, {})
        if name in source.fields and name not in asked and not shown:
            words = f"stands behind “{gate}”, which never opens: no step asks “{name}”"
            source.fault(file, id, f"{words}; add a step that asks it, or mend `opens`")


def evidence(
    source: Source,
    files: Iterable[str],
    phases: Sequence[Mapping[str, Any]],
    steps: Sequence[Step],
) -> None:
    """What a phase ends with is asked, ticked or read in it, or shown at its gate."""
    if source.partial & {"fields", "gates", "procedures"}:
        return
    for file, phase in zip(files, phases, strict=True):
        here = [_given(source, step) for step in steps if step["phase"] == phase["id"]]
        shown = source.gates.get(phase["gate"] or "", {}).get("evidence", ())
        for name in phase["evidence"]:
            if name not in set(shown).union(*here):
                words = f"ends with “{name}”, which no step of it asks"
                source.fault(file, phase["id"], f"{words}; add the step, or mend `evidence`")


def _parts_back(source: Source, files: Sequence[str], steps: Sequence[Step]) -> None:
    """After parts come off, a step on the same condition, or a wider, waits until all are on."""
    for number, step in enumerate(steps):
        if step["shows"] != "ledger_off":
            continue
        later = [each for each in steps[number:] if each["shows"] == "ledger_on"]
        if not any(
            _as_wide(each["when"], step["when"])
            and "ledger.out" in conditions.fields(each["done"] or ["and"])
            for each in later
        ):
            words = "takes parts off, with no way back on"
            mend = "add a later step, ledger_on, with the same `when`, done at ledger.out == 0"
            source.fault(files[number], step["id"], f"{words}; {mend}")


def _as_wide(this: conditions.Tree | None, other: conditions.Tree | None) -> bool:
    """Whether a step applies wherever another does, as far as the shape of its condition tells."""
    return this in (None, other) or (this is not None and this[0] == "or" and other in this[1:])


def _given(source: Source, step: Mapping[str, Any]) -> set[str]:
    """The fields that a hand can set on a step, its gates' evidence among them."""
    kin = (step["reads"] or "").partition(".")[0]
    near = {name for name in source.fields if kin and name.startswith(f"{kin}.")}
    gates = (source.gates.get(gate, {}) for gate in step["gates"])
    shown = {name for gate in gates for name in gate.get("evidence", ())}
    on = {"ledger.out", "ledger.out_to_run"} if step["shows"] == "ledger_on" else set()
    return ({step["asks"], step["reads"], *step["checks"]} - {None}) | near | shown | on
