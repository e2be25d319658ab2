"""The steps of a procedure, checked: no dead end, nothing unreachable, hazards behind gates."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, Final

from weeptrace.rules import conditions
from weeptrace.rules.source import COMPUTED, Source, condition

# The pages that the screen draws. Their keys can set the field that the step asks, and those that
# are kin to what it reads: of "hold.pressure", all that begin with "hold.".
PAGES: Final = (
    "recorder", "verdict", "checks", "ledger_off", "ledger_on", "mix", "uptake", "warm_log",
    "warm_result", "balance", "watch", "record", "adapter", "self_test", "zones", "price",
)  # fmt: skip


def procedure(
    source: Source,
    name: str,
    fields: Mapping[str, dict[str, Any]],
    limits: Mapping[str, float],
    gates: Mapping[str, Any],
    hazards: Mapping[str, dict[str, Any]],
) -> dict[str, Any]:
    """One procedure, checked: its phases, its steps, and while what a system stands open."""
    file = f"procedures/{name}"
    raw = source.read(file)
    is_open = None
    if "open" in raw:
        is_open = condition(source, file, "open", raw["open"], fields, limits)
    phases: list[dict[str, Any]] = []
    steps: list[dict[str, Any]] = []
    for phase in raw.get("phase", []):
        phases.append({"id": phase["id"], "gate": phase.get("gate")})
        if "gate" in phase and phase["gate"] not in gates:
            source.fault(file, phase["id"], f"names an unknown gate “{phase['gate']}”")
        for each in phase.get("step", []):
            steps.append(_step(source, file, phase["id"], each, fields, limits))
    asked = {name for step in steps for name in _gives(step, fields)}
    asked |= {name for id, name in _parts(fields)}
    for step in steps:
        _check_step(source, file, step, fields, gates, hazards, asked)
    ids = Counter([phase["id"] for phase in phases]) + Counter([step["id"] for step in steps])
    for id, count in ids.items():
        if count > 1:
            source.fault(file, id, "is a duplicate id")
    return {"phases": phases, "steps": steps, "open": is_open}


def _step(
    source: Source,
    file: str,
    phase: str,
    raw: Mapping[str, Any],
    fields: Mapping[str, dict[str, Any]],
    limits: Mapping[str, float],
) -> dict[str, Any]:
    id = str(raw.get("id"))
    trees = {
        key: condition(source, file, id, raw[key], fields, limits) if key in raw else None
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


def _check_step(
    source: Source,
    file: str,
    step: Mapping[str, Any],
    fields: Mapping[str, dict[str, Any]],
    gates: Mapping[str, Any],
    hazards: Mapping[str, dict[str, Any]],
    asked: set[str],
) -> None:
    id = step["id"]
    for name in (step["asks"], step["reads"], step["again"], *step["checks"]):
        if name is not None and name not in fields:
            source.fault(file, id, f"names an unknown field “{name}”")
    if step["shows"] is not None and step["shows"] not in PAGES:
        source.fault(file, id, f"shows an unknown page “{step['shows']}”; use {sorted(PAGES)}")
    if step["gate"] is not None and step["gate"] not in gates:
        source.fault(file, id, f"names an unknown gate “{step['gate']}”")
    for hazard in step["hazards"]:
        if hazard not in hazards:
            source.fault(file, id, f"names an unknown hazard “{hazard}”")
        elif hazards[hazard].get("gate") not in (None, step["gate"]):
            source.fault(
                file, id, f"has the hazard “{hazard}” outside its gate “{hazards[hazard]['gate']}”"
            )
    if step["gate"] is not None and not step["hazards"]:
        source.fault(file, id, "stands behind a gate but has no hazard, so no caution is shown")
    here = _gives(step, fields)
    ends = set(conditions.fields(step["done"])) if step["done"] else {step["asks"]} - {None}
    if not (ends & here or (step["checks"] and step["shows"] == "checks")):
        source.fault(file, id, "is a dead end: nothing on it can make it done")
    for name in conditions.fields(step["when"]) if step["when"] else ():
        if name not in asked and name not in COMPUTED:
            source.fault(file, id, f"is unreachable: no step asks “{name}”")


def _gives(step: Mapping[str, Any], fields: Mapping[str, dict[str, Any]]) -> set[str]:
    """The fields that a hand can set on a step."""
    kin = (step["reads"] or "").partition(".")[0]
    near = {name for name in fields if kin and name.startswith(f"{kin}.")}
    return ({step["asks"], step["reads"], *step["checks"]} - {None}) | near


def _parts(fields: Mapping[str, dict[str, Any]]) -> Iterator[tuple[str, str]]:
    """(kind of repair, field) of every part that the ledger offers."""
    for name, entry in fields.items():
        for kind in entry.get("belongs", ()):
            yield kind, name
