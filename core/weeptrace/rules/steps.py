"""The steps of a procedure, checked: no dead end, nothing unreachable, hazards behind gates."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from weeptrace.rules import conditions, reach
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import COMPUTED, Source, instead
from weeptrace.rules.typed import condition

# The pages that the screen draws. Their keys can set the field that the step asks, and those that
# are kin to what it reads: of "hold.pressure", all that begin with "hold.".
PAGES: Final = (
    "recorder", "verdict", "checks", "ledger_off", "ledger_on", "mix", "uptake", "warm_log",
    "warm_result", "balance", "watch", "record", "adapter", "self_test", "zones", "price",
    "transmission",
)  # fmt: skip
_PROCEDURE: Final = Shape({"id": "text", "phase": "tables"}, {"open": "text"})
_PHASE: Final = Shape({"id": "text"}, {"gate": "text", "step": "tables"})
_STEP: Final = Shape(
    {"id": "text"},
    {
        **dict.fromkeys(("asks", "shows", "reads", "when", "done", "again", "gate"), "text"),
        **dict.fromkeys(("checks", "hazards"), "words"),
        "skip": "flag",
    },
)


def procedures(source: Source) -> dict[str, dict[str, Any]]:
    """Every procedure by its id."""
    out: dict[str, dict[str, Any]] = {}
    stands: dict[str, str] = {}
    for file in source.files("procedures"):
        raw = source.read(file)
        entry = check(source, file, str(raw.get("id", "")), raw, _PROCEDURE) if raw else None
        if entry is None:
            source.partial.add("procedures")
            continue
        stem = file.removeprefix("procedures/").removesuffix(".toml")
        if entry["id"] != stem:
            words = f"stands in a file of another name; write id = “{stem}”"
            source.fault(file, entry["id"], words)
        out[stem] = _procedure(source, file, entry, stands)
    _gates_used(source, out)
    return out


def _procedure(
    source: Source, file: str, raw: Mapping[str, Any], stands: dict[str, str]
) -> dict[str, Any]:
    """One procedure: its phases, its steps, and while what a system stands open."""
    is_open = condition(source, file, "open", raw["open"]) if "open" in raw else None
    phases: list[dict[str, Any]] = []
    steps: list[dict[str, Any]] = []
    for each in raw["phase"]:
        phase = check(source, file, str(each.get("id", "phase")), each, _PHASE)
        if phase is None:
            source.partial.add("procedures")
            continue
        phases.append({"id": phase["id"], "gate": phase.get("gate")})
        _phase(source, file, phase)
        for inner in phase.get("step", []):
            step = check(source, file, str(inner.get("id", "step")), inner, _STEP)
            if step is None:
                source.partial.add("procedures")
            else:
                steps.append(_step(source, file, phase["id"], step))
    for entry in (*phases, *steps):
        id, kind = entry["id"], "step" if "phase" in entry else "phase"
        if (known := f"{kind} {id}") in stands:
            words = f"is a duplicate id of a {kind}; it stands in {stands[known]} too"
            source.fault(file, id, f"{words}: rename or remove one")
        stands[known] = file
    for step in steps:
        _names(source, file, step)
    _ways(source, file, steps)
    return {"phases": phases, "steps": steps, "open": is_open}


def _phase(source: Source, file: str, phase: Mapping[str, Any]) -> None:
    gate = phase.get("gate")
    if gate is not None and not source.named("gates", gate):
        source.fault(
            file, phase["id"], f"names an unknown gate “{gate}”; {instead(gate, source.gates)}"
        )
    if (gate is not None) == bool(phase.get("step")):
        words = "is a phase that needs either steps or a gate of its own"
        source.fault(file, phase["id"], f"{words}; add the one, or remove the other")


def _step(source: Source, file: str, phase: str, raw: Mapping[str, Any]) -> dict[str, Any]:
    id = raw["id"]
    trees = {
        key: condition(source, file, id, raw[key]) if key in raw else None
        for key in ("when", "done")
    }
    return {
        "id": id,
        "phase": phase,
        "asks": raw.get("asks"),
        "shows": raw.get("shows"),
        "reads": raw.get("reads"),
        "checks": raw.get("checks", []),
        **trees,
        "again": raw.get("again"),
        "skip": raw.get("skip", False),
        "hazards": raw.get("hazards", []),
        "gate": raw.get("gate"),
    }


def _names(source: Source, file: str, step: Mapping[str, Any]) -> None:
    """What a step names is there, and its hazards stand behind their gates."""
    id, gate = step["id"], step["gate"]
    for name in (step["asks"], step["reads"], step["again"], *step["checks"]):
        if name is not None and not source.named("fields", name):
            mend = instead(name, source.fields)
            source.fault(file, id, f"names an unknown field “{name}”; {mend}")
    for key, kind in (("reads", "reading"), ("again", "mark")):
        field = source.fields.get(step[key] or "", {"kind": None})
        if field["kind"] not in (None, kind):
            words = f"{key} “{step[key]}”, a field of kind {field['kind']}"
            source.fault(file, id, f"{words}; write one of kind {kind}")
    if step["shows"] is not None and step["shows"] not in PAGES:
        mend = instead(step["shows"], PAGES)
        source.fault(file, id, f"shows an unknown page “{step['shows']}”; {mend}")
    if gate is not None and not source.named("gates", gate):
        source.fault(file, id, f"names an unknown gate “{gate}”; {instead(gate, source.gates)}")
    for hazard in step["hazards"]:
        if not source.named("hazards", hazard):
            mend = instead(hazard, source.hazards)
            source.fault(file, id, f"names an unknown hazard “{hazard}”; {mend}")
            continue
        wanted = source.hazards.get(hazard, {}).get("gate")
        if wanted not in (None, gate):
            words = f"has the hazard “{hazard}” outside its gate “{wanted}”"
            source.fault(file, id, f'{words}; add gate = "{wanted}"')
    if len(step["hazards"]) > 1:
        words = "has more than one hazard, and a phone shows one caution"
        source.fault(file, id, f"{words}; remove the lesser, or add a step that warns of it")
    if gate is not None and not step["hazards"]:
        words = "stands behind a gate but has no hazard, so no caution is shown"
        source.fault(file, id, f"{words}; add hazards = […], or remove the gate")


def _ways(source: Source, file: str, steps: list[dict[str, Any]]) -> None:
    """Every step can be reached and done, every gate opened, every part put back."""
    if source.partial & {"fields", "gates", "procedures"}:
        return
    given = [_given(source, step) for step in steps]
    asked = set().union(*given)
    parts = {name for name, entry in source.fields.items() if entry["kind"] == "part"}
    for step, here in zip(steps, given, strict=True):
        id = step["id"]
        ends = set(conditions.fields(step["done"])) if step["done"] else {step["asks"]}
        if not (ends & here or (step["checks"] and step["shows"] == "checks")):
            words = "is a dead end: nothing on it can make it done"
            source.fault(file, id, f"{words}; write in `done` or `asks` a field that it lets set")
        for name in conditions.fields(step["when"]) if step["when"] else ():
            if name not in asked | parts and name in source.fields:
                words = f"is unreachable: no step asks “{name}”"
                source.fault(file, id, f"{words}; add a step that asks it, or mend `when`")
        gate = source.gates.get(step["gate"] or "", {})
        for name in conditions.fields(gate["opens"]) if gate.get("opens") else ():
            shown = "shown_by" in source.fields.get(name, {})
            if name in source.fields and name not in asked and not shown:
                words = f"stands behind “{step['gate']}”, which never opens: no step asks “{name}”"
                source.fault(file, id, f"{words}; add a step that asks it, or mend `opens`")
    free = parts | set(COMPUTED)  # of the ledger, at any time
    for step in reach.unreached(steps, [names | free for names in given]):
        names = set(conditions.fields(step["when"]))
        if names <= asked | free:
            words = f"waits in a circle: {', '.join(sorted(names))} is asked only after it"
            source.fault(file, step["id"], f"{words}; remove one `when` of the circle")
    _parts_back(source, file, steps)


def _parts_back(source: Source, file: str, steps: list[dict[str, Any]]) -> None:
    """After parts come off, a step on the same condition waits until all are back on."""
    for number, step in enumerate(steps):
        if step["shows"] != "ledger_off":
            continue
        later = [each for each in steps[number:] if each["shows"] == "ledger_on"]
        if not any(
            each["when"] == step["when"]
            and "ledger.out" in conditions.fields(each["done"] or ["and"])
            for each in later
        ):
            words = "takes parts off, with no way back on"
            mend = "add a later step, ledger_on, with the same `when`, done at ledger.out == 0"
            source.fault(file, step["id"], f"{words}; {mend}")


def _given(source: Source, step: Mapping[str, Any]) -> set[str]:
    """The fields that a hand can set on a step, its gate's evidence among them."""
    kin = (step["reads"] or "").partition(".")[0]
    near = {name for name in source.fields if kin and name.startswith(f"{kin}.")}
    shown = source.gates.get(step["gate"] or "", {}).get("evidence", ())
    return ({step["asks"], step["reads"], *step["checks"], *shown} - {None}) | near


def _gates_used(source: Source, made: Mapping[str, Mapping[str, Any]]) -> None:
    used = {entry["gate"] for each in made.values() for entry in (*each["phases"], *each["steps"])}
    if "procedures" in source.partial:
        return
    for id in source.gates:
        if id not in used:
            source.fault("gates.toml", id, "is never used; add it to a step, or remove it")
