"""Draws every procedure of the rules as an SVG: columns that hang on a graduated edge.

``python graph.py FOLDER`` writes one ``<procedure>.svg`` each and an ``index.html``. Each column is
read downward, then the next: a thick tick begins a phase, a thin tick a step. Nothing is fetched,
nothing is styled from outside: the app's policy forbids both within a picture.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator, Sized
from pathlib import Path
from typing import Final

from graph_draw import document, index
from graph_layout import (
    BOX,
    BRANCH,
    COLUMN,
    FOOT,
    LANES,
    PAD,
    RIGHT,
    Back,
    Box,
    Item,
    Line,
    Picture,
    head,
    least_height,
    placed_boxes,
    wrapped,
)  # fmt: skip
from plain_words import parts_of, plain

from weeptrace.rules import Gate, Phase, Procedure, Rules, Step, load
from weeptrace.screen.figures import Preferences, Show

SHAPE: Final = math.sqrt(2.0)  # width by height of a sheet that lies
LIES: Final = (1, 16)  # columns that are tried


def picture(rules: Rules, id: str) -> Picture:
    """One procedure, laid out on a sheet of about the shape of A4 that lies."""
    procedure = rules.procedures[id]
    items = list(_items(rules, procedure))
    tallest = max(item.height for item in items)
    tried = []
    for columns in range(*LIES):
        height = least_height(items, columns, tallest)
        tried.append(
            (abs(math.log(columns * COLUMN / (head(columns) + height + FOOT) / SHAPE)), columns)
        )
    columns = min(tried)[1]
    height = least_height(items, columns, tallest)
    made = Picture(
        name=id.replace("_", " ").capitalize(),
        about=f"{_count(procedure.phases, 'phase')}, {_count(procedure.steps, 'step')}. Read each "
        "column downward, then the next; a line up its right side leads back.",
        columns=columns,
        height=head(columns) + height + FOOT,
    )
    made.boxes = list(placed_boxes(items, height, made.head))
    made.backs = list(_backs(rules, procedure, made.boxes))
    return made


def _count(things: Sized, name: str) -> str:
    return f"{len(things)} {name}{'' if len(things) == 1 else 's'}"


def _items(rules: Rules, procedure: Procedure) -> Iterator[Item]:
    """Phases, gates and steps in their order; a gate stands where it is met first."""
    show = Show(rules, Preferences(rules.unit_sets[0]["units"]).units)
    met: set[str] = set()
    for phase in procedure.phases:
        yield _phase(show, phase, met)
        steps = [step for step in procedure.steps if step.phase == phase.id]
        for id in (phase.gate, *(gate for step in steps for gate in step.gates)):
            if id is not None and id not in met:
                met.add(id)
                yield _gate(show, rules.gates[id])
        for step in steps:
            yield _step(show, procedure, step)


def _phase(show: Show, phase: Phase, met: set[str]) -> Item:
    """A phase; one that is a gate drawn earlier names it."""
    lines = wrapped(show.rules.text(f"phase.{phase.id}"), RIGHT - BOX, "phase")
    if phase.minutes:
        low, likely, high = (f"{minutes:g}" for minutes in phase.minutes)
        lines += wrapped(f"{low} to {high} min, mostly {likely}", RIGHT - BOX)
    if phase.entry is not None:
        lines += wrapped(f"Only if {plain(show, phase.entry)}.", RIGHT - BOX)
    if phase.gate in met:
        lines += wrapped(f"Gate: {show.rules.text(f'gate.{phase.gate}.title')}", RIGHT - BOX)
    return Item("phase", phase.id, lines)


def _gate(show: Show, gate: Gate) -> Item:
    text, wide = show.rules.text, RIGHT - BOX - 2 * PAD - 20
    title = text(f"gate.{gate.id}.title")
    lines = wrapped(f"Gate: {title}", wide, "title")
    lines += wrapped(f"Opens only if {plain(show, gate.opens)}.", wide)
    if gate.stale_on:
        names = ", ".join(dict.fromkeys(_label(show.rules, each) for each in gate.stale_on))
        lines += wrapped(f"Shuts again after: {names}.", wide)
    return Item("gate", gate.id, lines, told=f"Gate: {title}")


def _step(show: Show, procedure: Procedure, step: Step) -> Item:
    rules = show.rules
    entry = parts_of(next(each.entry for each in procedure.phases if each.id == step.phase))
    own = [part for part in parts_of(step.when) if part not in entry]
    branch = f"Only if {plain(show, ['and', *own])}." if own else ""
    wide = RIGHT - (BRANCH if branch else BOX) - 2 * PAD
    title = rules.text(f"step.{step.id}.title")
    lines = wrapped(title, wide, "title")
    for id in step.gates:
        lines += wrapped(f"Behind: {rules.text(f'gate.{id}.title')}", wide, "behind")
    if step.done is not None:
        lines += wrapped(f"Done when {plain(show, step.done)}.", wide)
    if step.skip:
        lines += wrapped("May stay “not measured”.", wide)
    for id in way_back(rules, procedure, step):
        lines += wrapped(f"Way back to: {rules.text(f'step.{id}.title')}", wide)
    if step.shows == "ledger_off":
        back = next(each for each in procedure.steps if each.shows == "ledger_on")
        lines += wrapped(f"Way back: {rules.text(f'step.{back.id}.title')}, last off first", wide)
    caution: tuple[Line, ...] = ()
    for hazard in step.hazards:
        level = rules.level(hazard).capitalize()
        said = f"{level}. {show.rules.text(rules.cautions[hazard])}"
        caution += wrapped(said, wide - 30, "caution")
    told = show.rules.text(f"step.{step.id}.prompt")
    return Item("step", step.id, lines, branch, step.skip, caution, told, bool(step.gates))


def _label(rules: Rules, id: str) -> str:
    return str(rules.texts.get(f"field.{id}") or id)


def way_back(rules: Rules, procedure: Procedure, step: Step) -> list[str]:
    """The earlier steps that it may lead back to: the first one that its mark makes undone."""
    if step.again is None:
        return []
    cleared = {step.again, *rules.fields[step.again].clears}
    for other in procedure.steps[: procedure.steps.index(step)]:
        if cleared & {other.asks, other.reads, *other.checks}:
            return [other.id]
    return []


def _backs(rules: Rules, procedure: Procedure, boxes: list[Box]) -> Iterator[Back]:
    """The ways back that stay in one column, each in a lane that is free over its length."""
    steps = {box.item.id: box for box in boxes if box.item.kind == "step"}
    taken: list[Back] = []
    for step in procedure.steps:
        for id in way_back(rules, procedure, step):
            start, end = steps[step.id], steps[id]
            crossing = {
                back.lane
                for back in taken
                if back.start.column == start.column
                and back.end.y <= start.bottom
                and end.y <= back.start.bottom
            }
            free = [lane for lane in range(LANES) if lane not in crossing]
            if start.column == end.column and free:
                taken.append(Back(start, end, free[0]))
                yield taken[-1]


def main(folder: Path) -> None:
    """Write all pictures and their index."""
    rules = load()
    folder.mkdir(parents=True, exist_ok=True)
    made = {id: picture(rules, id) for id in rules.procedures}
    for id, each in made.items():
        (folder / f"{id}.svg").write_text(document(each), "utf-8")
    (folder / "index.html").write_text(index(made, rules.hash), "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
