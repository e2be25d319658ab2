"""Every way to remove, weaken or swap what keeps hands safe in the source of the rules.

A mutant is one change to one entry, made on the tables as they are read from the files, so that the
compiler judges it as it would judge the same change typed by a hand. The kinds:

gate      of a step: an act that needs it left out, or another for it. Of an act: left out. Its
          condition: a part of it left out, "and" made "or", a comparison that takes its edge in,
          always open. Its limits: shifted
caution   of a step: an act that only warns left out, or another in its place. Of an act: another
          hazard. Of a hazard: the words of another
way back  a step that puts on, lets off or goes back: left out; its key to begin anew left out; part
          of its "done" left out; a part that need not be on to run
expiry    how long a variable of the state lasts left out; each effect left out; a longer age
cap       what a pressure is not above: left out
never     each rule left out, each of its keepers left out, hard made override and back; a step that
          such a rule needs made one that may be skipped
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, Final

from tests.proof import trade
from weeptrace.rules import FOLDER, Rules, conditions
from weeptrace.rules.compiler import compile_source
from weeptrace.rules.model import from_bundle
from weeptrace.rules.source import Source

Table = dict[str, Any]
ALWAYS: Final = "known(car.name) or not known(car.name)"
ANY: Final = "any part for all"
# A limit, and what it is shifted to, within what the compiler accepts.
SHIFTED: Final = {
    "temperature": "59 °C", "evidence_age": "30 min", "fan_age": "23 h", "stands_age": "23 h",
    "touch_age": "23 h",
    "air_age": "11 h",
}  # fmt: skip
_EDGES: Final = {"<": "<=", "<=": "<", ">": ">=", ">=": ">"}


@dataclass(frozen=True)
class Mutant:
    """One change: of which kind, of what, and the steps whose proof it may touch."""

    kind: str
    name: str
    file: str
    change: Callable[[Table], None]
    steps: frozenset[str] = field(default_factory=frozenset)
    first: str = ""  # the kind of slice that is likeliest to tell

    def rules(self) -> Rules:
        """The mutant's rules. Raises ``RulesError`` where the compiler refuses it."""
        return from_bundle(compile_source(_Changed(FOLDER, self)))


class _Changed(Source):
    """The files of the rules, one table changed."""

    def __init__(self, folder: Path, mutant: Mutant) -> None:
        super().__init__(folder)
        self.mutant = mutant

    def read(self, name: str) -> Table:
        """A table as it stands in its file, or as the mutant has it."""
        table = copy.deepcopy(_read(self.folder / name))
        if name == self.mutant.file:
            self.mutant.change(table)
        return table

    def _line(self, file: str, entry: str) -> int | None:
        return None


@cache
def _read(path: Path) -> Table:
    return tomllib.loads(path.read_text("utf-8"))


@cache
def mutants() -> tuple[Mutant, ...]:
    """All of them, in a fixed order."""
    return (
        *_of_steps(), *_of_acts(), *_of_gates(), *_of_state(), *_of_hazards(), *_of_fields(),
        *_of_never(),
    )  # fmt: skip


@cache
def _steps() -> list[tuple[str, int, int, Table]]:
    """File, phase, place and entry of every step of the main procedure."""
    return [
        (path.relative_to(FOLDER).as_posix(), number, place, step)
        for path in sorted((FOLDER / "procedures" / "coolant_loss").glob("*.toml"))
        for number, phase in enumerate(_read(path).get("phase", ()))
        for place, step in enumerate(phase.get("step", ()))
    ]


def _behind(gate: str) -> frozenset[str]:
    """The steps behind a gate."""
    return _with(*(id for id, act in _acts().items() if gate in act.get("needs", ())))


def _with(*acts: str) -> frozenset[str]:
    """The steps that name one of some acts."""
    return frozenset(step["id"] for *_, step in _steps() if {*acts} & {*step.get("acts", ())})


def _acts() -> Table:
    return _read(FOLDER / "acts.toml")


def _slice(gate: str) -> str:
    """The kind of slice that looks at a gate."""
    return {"cold": "cold", "cool_metal": "cool", "key_away": "key", "fan_safe": "fan",
            "fan_back": "fan"}.get(gate, "ledger")  # fmt: skip


def _of_steps() -> Iterator[Mutant]:
    needed = {n for rule in _read(FOLDER / "never.toml").values() for n in rule.get("asked", ())}
    for file, phase, place, step in _steps():
        id, own = step["id"], frozenset({step["id"]})

        def made(
            kind: str, what: str, change: Callable[[Table], None],
            file: str = file, phase: int = phase, place: int = place,
            id: str = id, own: frozenset[str] = own, first: str = "order",
        ) -> Mutant:  # fmt: skip
            def within(table: Table) -> None:
                change(table["phase"][phase]["step"][place])

            return Mutant(kind, f"{id}: {what}", file, within, own, first)

        for act in step.get("acts", ()):
            needs = _acts()[act].get("needs", ())
            kind, first = ("gate", _slice(needs[0])) if needs else ("caution", "order")
            other = _next(list(_acts()), act, step["acts"])
            yield made(kind, f"without {act}", _without("acts", act), first=first)
            yield made(kind, f"{other} for {act}", _instead("acts", act, other), first=first)
        if "again" in step:
            yield made("way back", "without its key to begin anew", _dropped("again"))
        if "done" in step and (step.get("acts") or _way_back(step)):
            for words, tree in _weaker(step["done"]):
                yield made("way back", f"done {words}", _set("done", tree))
        if near := _way_back(step):
            yield Mutant(
                "way back", f"{id}: left out", file, _left_out(phase, place), near, "undone"
            )
        if not step.get("skip") and needed & {step.get("asks"), *step.get("checks", ())}:
            yield made("never", "may be skipped", _set("skip", True))


def _way_back(step: Table) -> frozenset[str]:
    """The steps that a way back belongs to; none where the step is not one."""
    asked, shown = step.get("asks"), step.get("shows")
    if shown in ("ledger_on", "reopen"):
        return frozenset(s["id"] for *_, s in _steps() if s.get("shows") == "ledger_off")
    if asked in trade.FOLLOWS:
        before = trade.FOLLOWS[asked]
        return frozenset(s["id"] for *_, s in _steps() if s.get("asks") == before)
    gate = {**dict.fromkeys(trade.FAN_OFF, "fan_safe"), **dict.fromkeys(trade.FAN_ON, "fan_back")}
    return _behind(gate[asked]) if asked in gate else frozenset()


def _of_acts() -> Iterator[Mutant]:
    hazards = list(_read(FOLDER / "hazards.toml"))
    for id, act in _acts().items():
        for gate in act.get("needs", ()):
            change = _entry(id, _without("needs", gate))
            name = f"{id}: does not need {gate}"
            yield Mutant("gate", name, "acts.toml", change, _with(id), _slice(gate))
        other = _next(hazards, act["warns"], ())
        change = _entry(id, _set("warns", other))
        yield Mutant("caution", f"{id}: warns of {other}", "acts.toml", change, _with(id), "order")


def _of_gates() -> Iterator[Mutant]:
    for id, gate in _read(FOLDER / "gates.toml").items():
        behind = _behind(id)
        for words, text in (*_weaker(gate["opens"]), ("always open", ALWAYS)):
            change = _entry(id, _set("opens", text))
            yield Mutant("gate", f"{id}: {words}", "gates.toml", change, behind, _slice(id))
    for id, text in SHIFTED.items():
        value, unit = text.split()
        file, every = (
            "limits/gate.toml",
            frozenset().union(*map(_behind, ("cold", "cool_metal", "key_away", "fan_safe"))),
        )

        def shift(entry: Table, value: str = value, unit: str = unit) -> None:
            entry.update(value=float(value), unit=unit)

        kind = "gate" if id == "temperature" else "expiry"
        first = "fan" if id == "fan_age" else "cold"
        yield Mutant(kind, f"limit {id}: {text}", file, _entry(id, shift), every, first)


def _of_state() -> Iterator[Mutant]:
    table = _read(FOLDER / "state.toml")
    for id, variable in table["variable"].items():
        if "lasts" in variable and id in _read_by():
            change = _entry(f"variable.{id}", _dropped("lasts"))
            yield Mutant("expiry", f"{id}: lasts for ever", "state.toml", change, _resting(id))
    for id, happening in table["happening"].items():
        for name in happening["effects"]:
            if name in _read_by():
                change = _entry(f"happening.{id}.effects", _dropped(name))
                first = _slice(_read_by()[name])
                words = f"{id}: does nothing to {name}"
                yield Mutant("expiry", words, "state.toml", change, _resting(name), first)


@cache
def _read_by() -> dict[str, str]:
    """The variables of the state that a gate opens on, and a gate that does."""
    found: dict[str, str] = {}
    for id, gate in _read(FOLDER / "gates.toml").items():
        for name in conditions.fields(conditions.parse(gate["opens"])):
            if name.startswith("state."):
                found.setdefault(name.removeprefix("state."), id)
    return found


def _resting(variable: str) -> frozenset[str]:
    """The steps behind the gates that open on a variable."""
    gates = _read(FOLDER / "gates.toml").items()
    return frozenset().union(
        *(_behind(id) for id, gate in gates if f"state.{variable} " in gate["opens"])
    )


def _effects(effects: Table) -> Iterator[tuple[str, str, Callable[[Table], None]]]:
    """Each effect of a field that a gate rests on: words, a variable, and the way without it."""
    happenings = _read(FOLDER / "state.toml")["happening"]
    for key, value in effects.items():
        if isinstance(value, dict):
            for words, name, change in _effects(value):
                yield f"{words} by {key}", name, _entry(key, change)
        elif key == "happens":
            for each in value:
                name = next(iter(happenings[each]["effects"]))
                yield each, name, _without("happens", each)
        elif key in _read_by():
            yield f"effect on {key}", key, _dropped(key)


def _of_hazards() -> Iterator[Mutant]:
    hazards = _read(FOLDER / "hazards.toml")
    for id in hazards:
        own = _with(*(act for act, entry in _acts().items() if entry["warns"] == id))
        other = hazards[_next(list(hazards), id, ())]["caution"]
        change = _entry(id, _set("caution", other))
        yield Mutant("caution", f"{id}: says {other}", "hazards.toml", change, own, "order")


def _of_fields() -> Iterator[Mutant]:
    for path in sorted((FOLDER / "fields").glob("*.toml")):
        file = path.relative_to(FOLDER).as_posix()
        for id, entry in _flat(_read(path)):
            own = frozenset(
                s["id"]
                for *_, s in _steps()
                if id in (s.get("asks"), s.get("reads"), *s.get("checks", ()))
            )
            first = "above" if id in trade.RATED else "order"
            if id == trade.EASED:  # a page asks it, whatever the step
                read = {*trade.RATED}
                own = frozenset(
                    s["id"] for *_, s in _steps() if read & {s.get("asks"), s.get("reads")}
                )
            for other in entry.get("not_above", ()):
                change = _entry(id, _without("not_above", other))
                yield Mutant("cap", f"{id}: may be above {other}", file, change, own, first)
            if "rated" in entry:
                change = _entry(id, _set("rated", "tester.span"))
                yield Mutant("cap", f"{id}: rated by the scale", file, change, own, "above")
            if entry.get("needed_to_run"):
                runs = _behind("ready_to_run")
                change = _entry(id, _set("needed_to_run", False))
                yield Mutant("way back", f"{id}: not needed to run", file, change, runs, "ledger")
            if "shown_by" in entry:
                gates = ("cold", "key_away", "fan_safe", "fan_back")
                gone = frozenset().union(*map(_behind, gates))
                change = _entry(id, _set("shown_by", "scan_tool"))
                yield Mutant("gate", f"{id}: by a scan tool", file, change, gone)
            for words, name, change in _effects(entry.get("effects", {})):
                change = _entry(f"{id}.effects", change)
                first, behind = _slice(_read_by()[name]), _resting(name)
                yield Mutant("expiry", f"{id}: without {words}", file, change, behind, first)
            if "only" in entry:
                before = trade.FOLLOWS.values()
                every = frozenset(s["id"] for *_, s in _steps() if s.get("asks") in before)
                for words, text in _weaker(entry["only"]):
                    change = _entry(id, _set("only", text))
                    yield Mutant("way back", f"{id}: only {words}", file, change, every, "undone")


def _of_never() -> Iterator[Mutant]:
    for id, rule in _read(FOLDER / "never.toml").items():
        yield Mutant("never", f"never {id}: left out", "never.toml", _gone(id))
        other = {"hard": "override", "override": "hard"}[rule["rule"]]
        change = _entry(id, _set("rule", other))
        yield Mutant("never", f"never {id}: {other}", "never.toml", change)
        for key in ("gates", "hazards", "capped", "asked", "texts"):
            for name in rule.get(key, ()):
                change = _entry(id, _without(key, name))
                yield Mutant("never", f"never {id}: not kept by {name}", "never.toml", change)


def _weaker(text: str) -> Iterator[tuple[str, str]]:
    """A condition with one part left out, with "and" made "or", or with an edge moved."""
    tree = conditions.parse(text) if _plain(text) else None
    if tree is None:
        return
    for words, changed in _trees(tree):
        yield words, _written(changed)


def _plain(text: str) -> bool:
    """Whether a condition reads without the terms of its procedure."""
    try:
        conditions.parse(text)
    except ValueError:
        return False
    return True


def _trees(tree: conditions.Tree) -> Iterator[tuple[str, conditions.Tree]]:
    if tree[0] in ("and", "or"):
        parts = tree[1:]
        for number, part in enumerate(parts):
            if part[0] == "within":  # its expiry goes; the value stays wanted
                yield from (
                    (words, [tree[0], *parts[:number], changed, *parts[number + 1 :]])
                    for words, changed in _trees(part)
                )
                continue
            left = [*parts[:number], *parts[number + 1 :]]
            yield f"without {_written(part)}", left[0] if len(left) == 1 else [tree[0], *left]
            for words, changed in _trees(part):
                inner = f"{words}, of part {number + 1}" if words.startswith(ANY) else words
                yield inner, [tree[0], *parts[:number], changed, *parts[number + 1 :]]
        if tree[0] == "and":
            yield ANY, ["or", *parts]
    elif tree[0] == "within":
        yield f"without {_written(tree)}", ["known", tree[1]]
    elif tree[0] in _EDGES:
        changed = [_EDGES[tree[0]], *tree[1:]]
        yield f"{_written(changed)} for {_written(tree)}", changed


def _written(tree: conditions.Tree) -> str:
    """A condition as it is typed; every part within brackets, so that it reads the same."""
    word = tree[0]
    if word in ("and", "or"):
        return f" {word} ".join(f"({_written(part)})" for part in tree[1:])
    if word == "not":
        return f"not ({_written(tree[1])})"
    if word == "known":
        return f"known({tree[1]})"
    if word == "within":
        return f"within({tree[1]}, limit.{tree[2][1]})"
    if word == "field":
        return str(tree[1])
    if word == "limit":
        return f"limit.{tree[1]}"
    if word == "word":
        return f'"{tree[1]}"'
    if word == "number":
        return f"{tree[1]:g}"
    return f"{_written(tree[1])} {word} {_written(tree[2])}"


def _flat(table: Table, above: str = "") -> Iterator[tuple[str, Table]]:
    """The entries of a file of fields, by their full names."""
    for key, value in table.items():
        name = f"{above}.{key}" if above else key
        if isinstance(value, dict) and "kind" in value:
            yield name, value
        elif isinstance(value, dict):
            yield from _flat(value, name)


def _next(all: list[str], one: str, taken: Any) -> str:
    """The next of a list that is not taken; the list goes in a circle."""
    at = all.index(one)
    return next(each for each in (*all[at + 1 :], *all[:at]) if each not in taken)


def _entry(id: str, change: Callable[[Table], None]) -> Callable[[Table], None]:
    def within(table: Table) -> None:
        for word in id.split("."):
            table = table[word]
        change(table)

    return within


def _set(key: str, value: Any) -> Callable[[Table], None]:
    def change(entry: Table) -> None:
        entry[key] = value

    return change


def _dropped(key: str) -> Callable[[Table], None]:
    def change(entry: Table) -> None:
        del entry[key]

    return change


def _gone(id: str) -> Callable[[Table], None]:
    def change(table: Table) -> None:
        del table[id]

    return change


def _without(key: str, name: str) -> Callable[[Table], None]:
    def change(entry: Table) -> None:
        entry[key] = [each for each in entry[key] if each != name]
        if not entry[key]:
            del entry[key]

    return change


def _instead(key: str, name: str, other: str) -> Callable[[Table], None]:
    def change(entry: Table) -> None:
        entry[key] = [other if each == name else each for each in entry[key]]

    return change


def _left_out(phase: int, place: int) -> Callable[[Table], None]:
    def change(table: Table) -> None:
        del table["phase"][phase]["step"][place]

    return change
