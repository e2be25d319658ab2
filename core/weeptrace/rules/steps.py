"""The steps of a procedure, checked: what each names is there, and its gates follow from its acts.

A procedure is one file, or a folder of files that are read in the order of their names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from weeptrace.rules import acts, conditions
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead
from weeptrace.rules.typed import condition
from weeptrace.rules.ways import evidence, ways

# The pages that the screen draws. Their keys can set the field that the step asks, and those that
# are kin to what it reads: of "hold.pressure", all that begin with "hold.".
PAGES: Final = (
    "recorder", "verdict", "checks", "ledger_off", "ledger_on", "mix", "uptake", "warm_log",
    "warm_result", "balance", "watch", "record", "adapter", "self_test", "answers", "price",
    "transmission", "cap", "drive", "signature", "reopen", "recheck", "idle",
    "overnight", "tested", "hand_back",
)  # fmt: skip
_PROCEDURE: Final = Shape({"id": "text", "phase": "tables"}, {"open": "text", "terms": "table"})
_PHASE: Final = Shape(
    {"id": "text"},
    {
        **dict.fromkeys(("gate", "entry"), "text"),
        "step": "tables",
        "minutes": "numbers",
        "evidence": "words",
    },
)
_STEP: Final = Shape(
    {"id": "text"},
    {
        **dict.fromkeys(("asks", "shows", "reads", "when", "done", "again"), "text"),
        **dict.fromkeys(("checks", "acts"), "words"),
        "skip": "flag",
        "says": "table",
    },
)


def procedures(source: Source) -> dict[str, dict[str, Any]]:
    """Every procedure by its id: a file, or the files of a folder, of that name."""
    out: dict[str, _Procedure] = {}
    stands: dict[str, str] = {}
    for file in source.files("procedures"):
        raw = source.read(file)
        entry = check(source, file, str(raw.get("id", "")), raw, _PROCEDURE) if raw else None
        if entry is None:
            source.partial.add("procedures")
            continue
        name = file.removeprefix("procedures/").removesuffix(".toml").partition("/")[0]
        if entry["id"] != name:
            words = f"stands in a file of another name; write id = “{name}”"
            source.fault(file, entry["id"], words)
        out.setdefault(name, _Procedure(source, stands)).add(file, entry)
    made = {name: each.made() for name, each in out.items()}
    _gates_used(source, made)
    acts.declared(source, [step for each in made.values() for step in each["steps"]])
    return made


class _Procedure:
    """One procedure as its files are read: its phases, its steps, and while what it stands open."""

    def __init__(self, source: Source, stands: dict[str, str]) -> None:
        self.source, self.stands = source, stands
        self.terms: dict[str, conditions.Tree] = {}
        self.open: conditions.Tree | None = None
        self.phases: list[dict[str, Any]] = []
        self.steps: list[dict[str, Any]] = []
        self.files: list[str] = []  # of each step

    def add(self, file: str, raw: Mapping[str, Any]) -> None:
        """One file of it."""
        source = self.source
        for name, text in raw.get("terms", {}).items():
            tree = condition(source, file, name, str(text), self.terms)
            if tree is not None:
                self.terms[name] = tree
        if "open" in raw:
            self.open = condition(source, file, "open", raw["open"], self.terms)
        for each in raw["phase"]:
            phase = check(source, file, str(each.get("id", "phase")), each, _PHASE)
            if phase is None:
                source.partial.add("procedures")
                continue
            self._phase(file, phase)

    def _phase(self, file: str, raw: Mapping[str, Any]) -> None:
        source, id = self.source, raw["id"]
        _gate(source, file, raw)
        made = {
            "id": id,
            "gate": raw.get("gate"),
            "entry": condition(source, file, id, raw["entry"], self.terms)
            if "entry" in raw
            else None,
            "minutes": _minutes(source, file, id, raw.get("minutes", [])),
            "evidence": raw.get("evidence", []),
        }
        self._stands("phase", id, file)
        self.phases.append(made)
        for inner in raw.get("step", []):
            step = check(source, file, str(inner.get("id", "step")), inner, _STEP)
            if step is None:
                source.partial.add("procedures")
                continue
            self.steps.append(self._step(file, made, step))
            acts.worded(self.source, file, step)
            self.files.append(file)
            self._stands("step", step["id"], file)

    def _stands(self, kind: str, id: str, file: str) -> None:
        if (known := f"{kind} {id}") in self.stands:
            words = f"is a duplicate id of a {kind}; it stands in {self.stands[known]} too"
            self.source.fault(file, id, f"{words}: rename or remove one")
        self.stands[known] = file

    def _step(self, file: str, phase: Mapping[str, Any], raw: Mapping[str, Any]) -> dict[str, Any]:
        """A step; it applies while its phase's entry holds, and its own `when`."""
        when, done = (
            condition(self.source, file, raw["id"], raw[key], self.terms) if key in raw else None
            for key in ("when", "done")
        )
        both = [each for each in (phase["entry"], when) if each is not None]
        return {
            "id": raw["id"],
            "phase": phase["id"],
            **{key: raw.get(key) for key in ("asks", "shows", "reads")},
            "checks": raw.get("checks", []),
            "when": ["and", *both] if len(both) == 2 else (both or [None])[0],
            "done": done,
            "again": raw.get("again"),
            "skip": raw.get("skip", False),
            "acts": raw.get("acts", []),
            **acts.follow(self.source, file, raw["id"], raw.get("acts", [])),
        }

    def made(self) -> dict[str, Any]:
        """What the bundle holds of it, every way through it checked."""
        for file, step in zip(self.files, self.steps, strict=True):
            _names(self.source, file, step)
            acts.done(self.source, file, step["id"], step["acts"], acts.of_step(self.source, step))
        ways(self.source, self.files, self.steps)
        evidence(self.source, self._phase_files(), self.phases, self.steps)
        return {"phases": self.phases, "steps": self.steps, "open": self.open}

    def _phase_files(self) -> Iterator[str]:
        return (self.stands[f"phase {phase['id']}"] for phase in self.phases)


def _gate(source: Source, file: str, phase: Mapping[str, Any]) -> None:
    gate = phase.get("gate")
    if gate is not None and not source.named("gates", gate):
        source.fault(
            file, phase["id"], f"names an unknown gate “{gate}”; {instead(gate, source.gates)}"
        )
    if (gate is not None) == bool(phase.get("step")):
        words = "is a phase that needs either steps or a gate of its own"
        source.fault(file, phase["id"], f"{words}; add the one, or remove the other")


def _minutes(source: Source, file: str, id: str, minutes: list[float]) -> list[float]:
    """Low, likely and high, rising from above zero; [] where they are not told."""
    rises = len(minutes) == 3 and 0.0 < minutes[0] <= minutes[1] <= minutes[2]
    if minutes and not rises:
        words = f"has the minutes {minutes}"
        source.fault(file, id, f"{words}; write low, likely, high, rising from above zero")
    return [float(each) for each in minutes]


def _names(source: Source, file: str, step: Mapping[str, Any]) -> None:
    """What a step names is there."""
    id = step["id"]
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


def _gates_used(source: Source, made: Mapping[str, Mapping[str, Any]]) -> None:
    used = {gate for act in source.acts.values() for gate in act["needs"]}
    used |= {phase["gate"] for each in made.values() for phase in each["phases"]}
    if "procedures" in source.partial or "acts" in source.partial:
        return
    for id in source.gates:
        if id not in used:
            source.fault("gates.toml", id, "is never used; add it to an act, or remove it")
