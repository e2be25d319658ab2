"""Each weakening of what decides danger, one at a time.

Made on the tables as they are read from the files, or, where it stands in code, by putting nothing
in place of a function. The groups:

needs     of an act: a gate that it needs, left out
acts      of a step: an act that needs gates left out, or in its place the next that asks for no
          gate which the step has not: one more gate only stops the work
gates     always open; a part of an "and" left out; an "and" made "or"
ages      a limit doubled, a part "within" made endless; how long a variable lasts left out, or
          the next longer time
effects   of a field on a variable: left out, or another word of the variable
happens   of a field: left out. Of a happening: each effect left out
stops     what is seen by code: too hot, the level falling, above the rating, liquid in a cylinder,
          a gross hold, mixed oil, air left in it
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from tests.proof import mutants as rules_of
from tests.proof.changes import (
    ALWAYS,
    Mutant,
    Table,
    dropped,
    flat,
    instead,
    next_of,
    set_to,
    table_of,
    within,
    without,
    written,
)
from weeptrace.job.car.left import BACK
from weeptrace.rules import FOLDER, conditions

GROUPS: Final = ("needs", "acts", "gates", "ages", "effects", "happens", "stops")
# Of these the world by itself must see most.
SEEN_BY_THE_WORLD: Final = ("needs", "acts", "gates")
# What takes the page by code: the module, the function, and what it says where it says nothing.
STOPS: Final[dict[str, tuple[str, str, Any]]] = {
    "too hot": ("weeptrace.job.danger", "too_hot", None),
    "level falls": ("weeptrace.job.danger", "level_falls", False),
    "above the rating": ("weeptrace.job.danger", "above_rating", None),
    "liquid in a cylinder": ("weeptrace.job.car.seen", "liquid", 0.0),
    "a gross hold": ("weeptrace.job.car.seen", "is_gross", False),
    "mixed oil": ("weeptrace.job.car.seen", "oil", 0.0),
    "air left in it": ("weeptrace.job.car.bled", "unbled", 0.0),
}
# The answer that is given at such a page alone: courses that met it are played first.
ASKED_AT: Final = {
    "too hot": "hot.happened", "level falls": "low.happened", "above the rating": "over.let_off",
}  # fmt: skip


@dataclass(frozen=True)
class Weakened:
    """One weakening: ``steps`` that it may uncover, ``gates`` that it may open, ``fields`` whose
    answers it changes. ``code``: the entry of ``STOPS`` where it changes no table.
    """

    group: str
    name: str
    steps: frozenset[str]
    gates: frozenset[str] = frozenset()
    fields: frozenset[str] = frozenset()
    mutant: Mutant | None = None
    code: str = ""


@cache
def weakened() -> tuple[Weakened, ...]:
    """All of them, in a fixed order."""
    made = (*_needs(), *_acts(), *_gates(), *_ages(), *_effects(), *_stops())
    return tuple(sorted(made, key=lambda each: GROUPS.index(each.group)))


def _made(
    group: str, name: str, file: str, change: Callable[[Table], None], steps: frozenset[str],
    gates: frozenset[str] = frozenset(), fields: frozenset[str] = frozenset(), first: str = "",
) -> Weakened:  # fmt: skip
    mutant = Mutant(group, name, file, change, steps, first or _first(gates))
    return Weakened(group, name, steps, gates, fields, mutant)


def _first(gates: frozenset[str]) -> str:
    return rules_of.slice_of(min(gates)) if gates else "order"


def _needs() -> Iterator[Weakened]:
    for id, act in rules_of.acts().items():
        for gate in act.get("needs", ()):
            change = within(id, without("needs", gate))
            name = f"{id}: does not need {gate}"
            yield _made("needs", name, "acts.toml", change, rules_of.asking(id), frozenset({gate}))


def _acts() -> Iterator[Weakened]:
    every = rules_of.acts()
    for file, phase, place, step in rules_of.steps():
        for act in step.get("acts", ()):
            gates = frozenset(every[act].get("needs", ()))
            if not gates:
                continue
            own_gates = {gate for each in step["acts"] for gate in every[each].get("needs", ())}
            more = {id for id, each in every.items() if set(each.get("needs", ())) - own_gates}
            other = next_of(list(every), act, {*step["acts"], *more})
            for words, change in (
                (f"without {act}", without("acts", act)),
                (f"{other} for {act}", instead("acts", act, other)),
            ):
                own = frozenset({step["id"]})
                name = f"{step['id']}: {words}"
                yield _made("acts", name, file, _of_step(phase, place, change), own, gates)


def _of_step(phase: int, place: int, change: Callable[[Table], None]) -> Callable[[Table], None]:
    def inside(table: Table) -> None:
        change(table["phase"][phase]["step"][place])

    return inside


def _gates() -> Iterator[Weakened]:
    for id, gate in table_of(FOLDER / "gates.toml").items():
        for words, text in (("always open", ALWAYS), *_looser(gate["opens"])):
            group = "ages" if words.startswith("endless") else "gates"
            change = within(id, set_to("opens", text))
            yield _made(
                group, f"{id}: {words}", "gates.toml", change, rules_of.behind(id), frozenset({id})
            )


def _looser(text: str) -> Iterator[tuple[str, str]]:
    """A condition that opens more often: a part of an "and" left out, "and" made "or"."""
    for words, tree in _trees(conditions.parse(text)):
        yield words, written(tree)


def _trees(tree: conditions.Tree) -> Iterator[tuple[str, conditions.Tree]]:
    if tree[0] == "within":
        yield f"endless {tree[1]}", ["known", tree[1]]
    if tree[0] not in ("and", "or"):
        return
    parts = tree[1:]
    if tree[0] == "and":
        yield f"any for all of {written(tree)}", ["or", *parts]
    for number, part in enumerate(parts):
        left = [*parts[:number], *parts[number + 1 :]]
        if tree[0] == "and":
            yield f"without {written(part)}", left[0] if len(left) == 1 else ["and", *left]
        for words, changed in _trees(part):
            yield words, [tree[0], *parts[:number], changed, *parts[number + 1 :]]


def _ages() -> Iterator[Weakened]:
    limits = table_of(FOLDER / "limits" / "gate.toml")
    variables = table_of(FOLDER / "state.toml")["variable"]
    for id in (id for id in limits if id.endswith("_age")):
        full = f"gate.{id}"
        lasting = [name for name, each in variables.items() if each.get("lasts") == full]
        named = {
            gate
            for gate, each in table_of(FOLDER / "gates.toml").items()
            if f"limit.{full}" in each["opens"]
        }
        gates = named.union(*map(gates_on, lasting))
        steps = frozenset().union(*map(rules_of.behind, gates))
        change = within(id, _doubled)
        yield _made(
            "ages", f"limit {full}: doubled", "limits/gate.toml", change, steps, frozenset(gates)
        )
    for name, variable in variables.items():
        if "lasts" not in variable:
            continue
        gates = gates_on(name)
        steps = frozenset().union(*map(rules_of.behind, gates))
        longer = "gate.air_age" if variable["lasts"] == "gate.evidence_age" else "gate.stands_age"
        for words, change in (
            ("lasts for ever", dropped("lasts")),
            (f"lasts {longer}", set_to("lasts", longer)),
        ):
            if longer == variable["lasts"] and "ever" not in words:
                continue
            inside = within(f"variable.{name}", change)
            yield _made("ages", f"{name}: {words}", "state.toml", inside, steps, gates)


def _doubled(entry: Table) -> None:
    entry["value"] *= 2


def gates_on(variable: str) -> frozenset[str]:
    """The gates that open on a variable, or on whether it is back."""
    names = {f"state.{variable}", *(id for id, back in BACK.items() if back.variable == variable)}
    return frozenset(
        id
        for id, gate in table_of(FOLDER / "gates.toml").items()
        if names & set(conditions.fields(conditions.parse(gate["opens"])))
    )


def _effects() -> Iterator[Weakened]:
    state = table_of(FOLDER / "state.toml")
    for path in sorted((FOLDER / "fields").glob("*.toml")):
        file = path.relative_to(FOLDER).as_posix()
        for id, entry in flat(table_of(path)):
            for words, names, change in _of_effects(entry.get("effects", {}), state):
                group = "happens" if words.startswith("does not happen") else "effects"
                gates = frozenset().union(*map(gates_on, names))
                steps = frozenset().union(*map(rules_of.behind, gates))
                inside = within(f"{id}.effects", change)
                yield _made(group, f"{id}: {words}", file, inside, steps, gates, frozenset({id}))
    for id, happening in state["happening"].items():
        for name in happening["effects"]:
            gates = gates_on(name)
            steps = frozenset().union(*map(rules_of.behind, gates))
            change = within(f"happening.{id}.effects", dropped(name))
            yield _made(
                "happens", f"{id}: does nothing to {name}", "state.toml", change, steps, gates
            )


def _of_effects(
    effects: Table, state: Table
) -> Iterator[tuple[str, tuple[str, ...], Callable[[Table], None]]]:
    """Words, the variables that it touches, and the change."""
    for key, value in effects.items():
        if isinstance(value, dict):
            for words, names, change in _of_effects(value, state):
                yield f"{words}, by {key}", names, within(key, change)
        elif key == "happens":
            for each in value:
                names = tuple(state["happening"][each]["effects"])
                yield f"does not happen: {each}", names, without("happens", each)
        else:
            yield f"no effect on {key}", (key,), dropped(key)
            others = [word for word in state["variable"][key].get("words", ()) if word != value]
            if others:
                yield f"{key} {others[0]} for {value}", (key,), set_to(key, others[0])


def _stops() -> Iterator[Weakened]:
    runs = frozenset({"start_engine", "pump_up", "drive_off", "drive_road", "run_under_tester"})
    steps = rules_of.asking(*runs)
    for name in STOPS:
        fields = frozenset({ASKED_AT[name]} if name in ASKED_AT else ())
        yield Weakened("stops", f"{name}: no stop", steps, fields=fields, code=name)
    change = within("highest_coolant", set_to("value", 400.0))
    yield _made("stops", "too hot: never", "limits/warmup.toml", change, steps)
    for path in sorted((FOLDER / "fields").glob("*.toml")):
        file = path.relative_to(FOLDER).as_posix()
        for id, entry in flat(table_of(path)):
            if "rated" in entry:
                change = within(id, dropped("rated"))
                own = frozenset(
                    step["id"]
                    for *_, step in rules_of.steps()
                    if id in (step.get("asks"), step.get("reads"), *step.get("checks", ()))
                )
                name = f"{id}: not rated"
                yield _made("stops", name, file, change, own, fields=frozenset({id}), first="above")
