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

from collections.abc import Callable, Iterator
from functools import cache
from typing import Final

from tests.proof import trade
from tests.proof.changes import (
    ALWAYS,
    Mutant,
    Table,
    dropped,
    flat,
    gone,
    instead,
    left_out,
    next_of,
    set_to,
    table_of,
    weaker,
    within,
    without,
)
from weeptrace.rules import FOLDER, conditions

# A limit, and what it is shifted to, within what the compiler accepts.
SHIFTED: Final = {
    "temperature": "59 °C", "evidence_age": "30 min", "fan_age": "23 h", "stands_age": "23 h",
    "touch_age": "23 h",
    "air_age": "11 h",
}  # fmt: skip


@cache
def mutants() -> tuple[Mutant, ...]:
    """All of them, in a fixed order."""
    return (
        *_of_steps(), *_of_acts(), *_of_gates(), *_of_state(), *_of_hazards(), *_of_fields(),
        *_of_never(),
    )  # fmt: skip


@cache
def steps() -> list[tuple[str, int, int, Table]]:
    """File, phase, place and entry of every step of the main procedure."""
    return [
        (path.relative_to(FOLDER).as_posix(), number, place, step)
        for path in sorted((FOLDER / "procedures" / "coolant_loss").glob("*.toml"))
        for number, phase in enumerate(table_of(path).get("phase", ()))
        for place, step in enumerate(phase.get("step", ()))
    ]


def behind(gate: str) -> frozenset[str]:
    """The steps behind a gate."""
    return asking(*(id for id, act in acts().items() if gate in act.get("needs", ())))


def asking(*acts: str) -> frozenset[str]:
    """The steps that name one of some acts."""
    return frozenset(step["id"] for *_, step in steps() if {*acts} & {*step.get("acts", ())})


def acts() -> Table:
    """The acts, as typed."""
    return table_of(FOLDER / "acts.toml")


def slice_of(gate: str) -> str:
    """The kind of slice that looks at a gate."""
    return {"cold": "cold", "cool_metal": "cool", "key_away": "key", "fan_safe": "fan",
            "fan_back": "fan", "closed_up": "back", "under_tester": "back",
            "on_wheels": "back"}.get(gate, "ledger")  # fmt: skip


def _of_steps() -> Iterator[Mutant]:
    needed = {n for rule in table_of(FOLDER / "never.toml").values() for n in rule.get("asked", ())}
    for file, phase, place, step in steps():
        id, own = step["id"], frozenset({step["id"]})

        def made(
            kind: str, what: str, change: Callable[[Table], None],
            file: str = file, phase: int = phase, place: int = place,
            id: str = id, own: frozenset[str] = own, first: str = "order",
        ) -> Mutant:  # fmt: skip
            def inside(table: Table) -> None:
                change(table["phase"][phase]["step"][place])

            return Mutant(kind, f"{id}: {what}", file, inside, own, first)

        for act in step.get("acts", ()):
            needs = acts()[act].get("needs", ())
            kind, first = ("gate", slice_of(needs[0])) if needs else ("caution", "order")
            other = next_of(list(acts()), act, {*step["acts"], *_alike(act)})
            yield made(kind, f"without {act}", without("acts", act), first=first)
            yield made(kind, f"{other} for {act}", instead("acts", act, other), first=first)
        if "again" in step:
            yield made("way back", "without its key to begin anew", dropped("again"))
        if "done" in step and (step.get("acts") or _way_back(step)):
            for words, tree in weaker(step["done"]):
                yield made("way back", f"done {words}", set_to("done", tree))
        if near := _way_back(step):
            yield Mutant(
                "way back", f"{id}: left out", file, left_out(phase, place), near, "undone"
            )
        if not step.get("skip") and needed & {step.get("asks"), *step.get("checks", ())}:
            yield made("never", "may be skipped", set_to("skip", True))


def _alike(act: str) -> list[str]:
    """The acts that need and warn of just what this one does: one for the other changes nothing."""
    asks = {id: (each.get("needs"), each.get("warns")) for id, each in acts().items()}
    return [id for id in asks if id != act and asks[id] == asks[act]]


def _way_back(step: Table) -> frozenset[str]:
    """The steps that a way back belongs to; none where the step is not one."""
    asked, shown = step.get("asks"), step.get("shows")
    if shown in ("ledger_on", "reopen"):
        return frozenset(s["id"] for *_, s in steps() if s.get("shows") == "ledger_off")
    if asked in trade.FOLLOWS:
        before = trade.FOLLOWS[asked]
        return frozenset(s["id"] for *_, s in steps() if s.get("asks") == before)
    gate = {**dict.fromkeys(trade.FAN_OFF, "fan_safe"), **dict.fromkeys(trade.FAN_ON, "fan_back")}
    return behind(gate[asked]) if asked in gate else frozenset()


def _of_acts() -> Iterator[Mutant]:
    hazards = list(table_of(FOLDER / "hazards.toml"))
    for id, act in acts().items():
        for gate in act.get("needs", ()):
            change = within(id, without("needs", gate))
            name = f"{id}: does not need {gate}"
            yield Mutant("gate", name, "acts.toml", change, asking(id), slice_of(gate))
        other = next_of(hazards, act["warns"], ())
        change = within(id, set_to("warns", other))
        yield Mutant("caution", f"{id}: warns of {other}", "acts.toml", change, asking(id), "order")


def _of_gates() -> Iterator[Mutant]:
    for id, gate in table_of(FOLDER / "gates.toml").items():
        shut = behind(id)
        for words, text in (*weaker(gate["opens"]), ("always open", ALWAYS)):
            change = within(id, set_to("opens", text))
            yield Mutant("gate", f"{id}: {words}", "gates.toml", change, shut, slice_of(id))
    for id, text in SHIFTED.items():
        value, unit = text.split()
        file, every = (
            "limits/gate.toml",
            frozenset().union(*map(behind, ("cold", "cool_metal", "key_away", "fan_safe"))),
        )

        def shift(entry: Table, value: str = value, unit: str = unit) -> None:
            entry.update(value=float(value), unit=unit)

        kind = "gate" if id == "temperature" else "expiry"
        first = "fan" if id == "fan_age" else "cold"
        yield Mutant(kind, f"limit {id}: {text}", file, within(id, shift), every, first)


def _of_state() -> Iterator[Mutant]:
    table = table_of(FOLDER / "state.toml")
    for id, variable in table["variable"].items():
        if "lasts" in variable and id in _read_by():
            change = within(f"variable.{id}", dropped("lasts"))
            yield Mutant("expiry", f"{id}: lasts for ever", "state.toml", change, _resting(id))
    for id, happening in table["happening"].items():
        for name in happening["effects"]:
            if name in _read_by():
                change = within(f"happening.{id}.effects", dropped(name))
                first = slice_of(_read_by()[name])
                words = f"{id}: does nothing to {name}"
                yield Mutant("expiry", words, "state.toml", change, _resting(name), first)


@cache
def _read_by() -> dict[str, str]:
    """The variables of the state that a gate opens on, and a gate that does."""
    found: dict[str, str] = {}
    for id, gate in table_of(FOLDER / "gates.toml").items():
        for name in conditions.fields(conditions.parse(gate["opens"])):
            if name.startswith("state."):
                found.setdefault(name.removeprefix("state."), id)
    return found


def _resting(variable: str) -> frozenset[str]:
    """The steps behind the gates that open on a variable."""
    gates = table_of(FOLDER / "gates.toml").items()
    return frozenset().union(
        *(behind(id) for id, gate in gates if f"state.{variable} " in gate["opens"])
    )


def _effects(effects: Table) -> Iterator[tuple[str, str, Callable[[Table], None]]]:
    """Each effect of a field that a gate rests on: words, a variable, and the way without it."""
    happenings = table_of(FOLDER / "state.toml")["happening"]
    for key, value in effects.items():
        if isinstance(value, dict):
            for words, name, change in _effects(value):
                yield f"{words} by {key}", name, within(key, change)
        elif key == "happens":
            for each in value:
                name = next(iter(happenings[each]["effects"]))
                yield each, name, without("happens", each)
        elif key in _read_by():
            yield f"effect on {key}", key, dropped(key)


def _of_hazards() -> Iterator[Mutant]:
    hazards = table_of(FOLDER / "hazards.toml")
    for id in hazards:
        own = asking(*(act for act, entry in acts().items() if entry["warns"] == id))
        other = hazards[next_of(list(hazards), id, ())]["caution"]
        change = within(id, set_to("caution", other))
        yield Mutant("caution", f"{id}: says {other}", "hazards.toml", change, own, "order")


def _of_fields() -> Iterator[Mutant]:
    for path in sorted((FOLDER / "fields").glob("*.toml")):
        file = path.relative_to(FOLDER).as_posix()
        for id, entry in flat(table_of(path)):
            own = frozenset(
                s["id"]
                for *_, s in steps()
                if id in (s.get("asks"), s.get("reads"), *s.get("checks", ()))
            )
            first = "above" if id in trade.RATED else "order"
            if id == trade.EASED:  # a page asks it, whatever the step
                read = {*trade.RATED}
                own = frozenset(
                    s["id"] for *_, s in steps() if read & {s.get("asks"), s.get("reads")}
                )
            for other in entry.get("not_above", ()):
                change = within(id, without("not_above", other))
                yield Mutant("cap", f"{id}: may be above {other}", file, change, own, first)
            if "rated" in entry:
                change = within(id, set_to("rated", "tester.span"))
                yield Mutant("cap", f"{id}: rated by the scale", file, change, own, "above")
            if entry.get("needed_to_run"):
                runs = behind("ready_to_run")
                change = within(id, set_to("needed_to_run", False))
                yield Mutant("way back", f"{id}: not needed to run", file, change, runs, "ledger")
            if "shown_by" in entry:
                gates = ("cold", "key_away", "fan_safe", "fan_back")
                gone = frozenset().union(*map(behind, gates))
                change = within(id, set_to("shown_by", "scan_tool"))
                yield Mutant("gate", f"{id}: by a scan tool", file, change, gone)
            for words, name, change in _effects(entry.get("effects", {})):
                change = within(f"{id}.effects", change)
                first, shut = slice_of(_read_by()[name]), _resting(name)
                yield Mutant("expiry", f"{id}: without {words}", file, change, shut, first)
            if "only" in entry:
                before = trade.FOLLOWS.values()
                every = frozenset(s["id"] for *_, s in steps() if s.get("asks") in before)
                for words, text in weaker(entry["only"]):
                    change = within(id, set_to("only", text))
                    yield Mutant("way back", f"{id}: only {words}", file, change, every, "undone")


def _of_never() -> Iterator[Mutant]:
    for id, rule in table_of(FOLDER / "never.toml").items():
        yield Mutant("never", f"never {id}: left out", "never.toml", gone(id))
        other = {"hard": "override", "override": "hard"}[rule["rule"]]
        change = within(id, set_to("rule", other))
        yield Mutant("never", f"never {id}: {other}", "never.toml", change)
        for key in ("acts", "gates", "hazards", "capped", "asked", "texts"):
            for name in rule.get(key, ()):
                change = within(id, without(key, name))
                yield Mutant("never", f"never {id}: not kept by {name}", "never.toml", change)
