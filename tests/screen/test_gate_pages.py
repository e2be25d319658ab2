"""A gate's page whatever its rule says: what is missing stands there, and a way to give it.

Each gate's condition is changed in every way that the compiler takes: another comparison, another
word, another figure, a piece more, a piece less, ``and`` for ``or``. On an empty job, and on one
that was answered wrong throughout, the page names what its rule wants, and whoever does what the
page offers gets the gate open, wherever some answers open it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Final

import pytest

from tests.logbook import Logbook
from tests.screen.hand.told import word
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import gate_state
from weeptrace.job.state import Job
from weeptrace.rules import Field, Gate, conditions, load
from weeptrace.rules.conditions import Condition
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import gate as pages

Json = dict[str, Any]
Tree = list[Any]
RULES: Final = load()
SHOW: Final = Show(RULES, RULES.unit_sets[0]["units"])
COMPARED: Final = ("<", "<=", ">", ">=", "==", "!=")
KINDS: Final = {"yes": "done", "mark": "mark", "photo": "photo", "reading": "reading"}
# One more field of each kind, of no gate: what somebody may add to a rule. Parts go by the ledger's
# counts.
MORE: Final = (
    "cold.level", "place.ambient", "car.cap_rating", "hold.strokes", "kit.stands", "car.name",
    "joint.home", "coolant.spilled",
)  # fmt: skip


def atoms(tree: Tree) -> Iterator[Tree]:
    if tree[0] in ("and", "or", "not"):
        for part in tree[1:]:
            yield from atoms(part)
    else:
        yield tree


def changed(atom: Tree) -> Iterator[Tree]:
    """Other pieces that the compiler would take in the place of one."""
    yield ["not", atom]
    if atom[0] not in COMPARED:
        return
    how, left, right = atom
    if right[0] == "word":
        options = RULES.fields[left[1]].options
        yield from ([h, left, ["word", each]] for h in ("==", "!=") for each in options)
    else:
        yield from ([each, left, right] for each in COMPARED if each != how)
        value = RULES.limits[right[1]] if right[0] == "limit" else right[1]
        yield from ([how, left, ["number", factor * value + 1.0]] for factor in (0.9, 1.1))


def replaced(tree: Tree, old: Tree, new: Tree) -> Tree:
    if tree is old:
        return new
    if tree[0] in ("and", "or", "not"):
        return [tree[0], *(replaced(part, old, new) for part in tree[1:])]
    return tree


def one_more(name: str) -> Tree:
    """A piece that somebody may add of a field."""
    field = RULES.fields[name]
    if field.options:
        return ["==", ["field", name], ["word", field.options[-1]]]
    if field.numeric:
        low, high = field.low or 0.0, field.high or 1.0
        return [">", ["field", name], ["number", low + 0.5 * (high - low)]]
    return ["known", name]


def variants(gate: Gate) -> Iterator[Tree]:
    """A gate's condition as it stands, and changed in every legal way."""
    whole = list(gate.opens)
    yield whole
    pieces = list(atoms(whole))
    for atom in pieces:
        yield from (replaced(whole, atom, new) for new in changed(atom))
    if whole[0] in ("and", "or"):
        yield ["or" if whole[0] == "and" else "and", *whole[1:]]
        if len(whole) > 2:
            yield from ([whole[0], *whole[1:n], *whole[n + 1 :]] for n in range(1, len(whole)))
    yield from (["and", whole, one_more(name)] for name in MORE)


def candidates(field: Field) -> list[tuple[str, str | None]]:
    """Answers of a field that between them meet whatever a condition may ask of it."""
    if field.options:
        return [(option, None) for option in field.options]
    if field.numeric:
        low, high = field.low or 0.0, field.high or 1.0
        held = {low, high, low + 0.6 * (high - low)}
        for tree in (gate.opens for gate in RULES.gates.values()):
            for _, left, right in conditions.comparisons(tree):
                if left == ["field", field.id]:
                    edge = RULES.limits[right[1]] if right[0] == "limit" else right[1]
                    held |= {factor * edge + more for factor in (0.85, 1.0, 1.2) for more in (0, 1)}
        unit = "1" if field.kind == "count" else SI[field.dimension or "ratio"]
        return [(f"{value:.9f}"[:12], unit) for value in sorted(held) if low <= value <= high]
    return [("Reed", None) if field.kind == "text" else ("", None)]


SI: Final = {"temperature": "K", "pressure": "Pa", "volume": "m³", "length": "m", "ratio": "1",
             "time": "s", "mass": "kg"}  # fmt: skip


def event_of(field: Field) -> str:
    return KINDS.get(field.kind, "fact")


def answered_wrong(names: list[str]) -> Logbook:
    """A job in which every field was given its last answer, which opens few gates."""
    log = Logbook()
    for name in names:
        field = RULES.fields[name]
        typed, unit = candidates(field)[-1]
        if field.kind == "part":
            typed = "off"
        log.now += 5.0
        log.add(event_of(field), name, typed, unit)
    return log


def offered(made: list[Json], foot: Json) -> Iterator[Json]:
    """What can be done on a page: events to store, and pads or lines to type an event on."""
    for block in made:
        if block["block"] == "text":
            yield block["event"]
        for row in (block, *block.get("rows", ())):
            yield from _events(row.get("do"))
    for key in (foot["main"], *foot["keys"]):
        yield from _events(key and key["do"])


def _events(do: Json | None) -> Iterator[Json]:
    if do and "event" in do:
        yield do["event"]
    elif do and "pad" in do:
        yield do["pad"]["event"]


def said(made: list[Json]) -> str:
    return repr(made)


def opens(gate: Gate, log: Logbook) -> bool:
    job = fold(RULES, log.events)
    return gate_state(RULES, job, gate, read_moment(log.moment())).open is True


def page(gate: Gate, log: Logbook) -> tuple[Job, list[Json], Json]:
    job = fold(RULES, log.events)
    return job, *pages.blocks(SHOW, job, gate, read_moment(log.moment()))


def can_open(gate: Gate, names: list[str]) -> bool:
    """Whether some answers open it."""
    known = {name: [None, *_values(RULES.fields[name])] for name in names}
    count = 1
    for values in known.values():
        count *= len(values)
    if count > 60_000:
        return False  # not tried
    return any(
        conditions.evaluate(
            gate.opens, dict(zip(known, each, strict=True)).get, RULES.limits,
            lambda _: 0.0,
        ) is True
        for each in itertools.product(*known.values())
    )  # fmt: skip


def _values(field: Field) -> list[float | str]:
    if field.numeric:
        return [float(typed) for typed, _ in candidates(field)]
    return [typed or "yes" for typed, _ in candidates(field)]


def follow(gate: Gate, log: Logbook) -> bool:
    """Do what the page offers until it opens: each answer, and each figure, that it may be."""
    tried: set[tuple[str, str]] = set()
    for _ in range(60):
        if opens(gate, log):
            return True
        _, made, foot = page(gate, log)
        for event in offered(made, foot):
            field = RULES.fields[event["field"]]
            if event["kind"] == "undo":
                choices: list[tuple[str, str | None]] = [("undo", None)]
            elif event["typed"] or field.options:
                choices = [(event["typed"], None)]
            else:
                choices = candidates(field)
            told = event.get("supersedes", "")
            fresh = [each for each in choices if (field.id, each[0] + told) not in tried]
            if fresh:
                break
        else:
            return False
        typed, unit = fresh[0]
        tried.add((field.id, typed + told))
        log.now += 2.0
        if typed == "undo":
            log.add("undo", field.id, supersedes=event["supersedes"])
        else:
            log.add(event["kind"], field.id, typed, unit)
    return False


@pytest.mark.parametrize("id", RULES.gates)
def test_a_page_shows_what_its_rule_wants_and_a_way_to_give_it(id: str) -> None:
    ways = tried = 0
    for tree in variants(RULES.gates[id]):
        names = list(
            dict.fromkeys(name for name in conditions.fields(tree) if name in RULES.fields)
        )
        aged = tuple(dict.fromkeys(each[1] for each in conditions.ages(tree)))
        gate = replace(RULES.gates[id], opens=Condition(tree), evidence=aged)
        computed = set(conditions.fields(tree)) - set(names)
        for log in (Logbook(), answered_wrong(names)):
            if opens(gate, log):
                continue
            tried += 1
            job, made, foot = page(gate, log)
            shut = pages._shut(SHOW, job, gate, read_moment(log.moment()))
            for name in shut.unmet:
                if name in RULES.fields:
                    own = f"shut_by.{name}"
                    shown = (word(f"field.{name}"), word(own) if own in RULES.texts else "?")
                    assert any(each in said(made) for each in shown), (tree, name)
            assert list(offered(made, foot)) or computed, tree
            if not computed and can_open(gate, names):
                ways += 1
                assert follow(gate, log), (tree, [e["typed"] for e in log.events])
    print(f"\n{tried} pages, {ways} led to open")
    assert tried > 10
