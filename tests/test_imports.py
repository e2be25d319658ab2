"""Which room of the core imports which: downward only, in no circle, as the guide draws it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Final

import pytest

ROOT: Final = Path(__file__).parents[1]
CORE: Final = ROOT / "core" / "weeptrace"
GUIDE: Final = (ROOT / "DEVELOPERS.md").read_text("utf-8")

# Each room, from the lowest up, and what it imports of those above it in this table.
ROOMS: Final = {
    "words": "",
    "told": "words",
    "finding": "told",
    "refusal": "told finding",
    "quantity": "told refusal",
    "properties": "told refusal",
    "rules": "words told refusal quantity",
    "practice": "told refusal quantity properties",
    "quote": "refusal",
    "causes": "told refusal",
    "warmup": "told finding refusal properties",
    "fill": "told finding refusal properties quote warmup",
    "hold": "told finding refusal properties warmup fill",
    "loss": "told finding refusal properties quote hold",
    "job": "told finding refusal quantity properties rules quote causes warmup fill hold loss",
    "screen": "words told refusal quantity properties rules causes warmup fill hold loss job",
    "door": "words told finding refusal quantity properties rules practice quote causes warmup "
    "fill hold loss job screen",
    "bridge": "told refusal quantity rules job screen door",
    "__main__": "door",
}
# A room within a room: what it may import besides itself. Nothing else in the outer one imports it.
WITHIN: Final = {"practice.world": "practice told refusal quantity properties"}
# Imported where a sentence is told, and not before: the units stand on the refusals.
LATE: Final = {("weeptrace.told", "weeptrace.quantity")}


def module_of(path: Path, core: Path = CORE) -> str:
    """The dotted name of a file of the core."""
    parts = path.relative_to(core.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def sources(core: Path = CORE) -> dict[str, str]:
    """Every module of the core and its text."""
    return {module_of(path, core): path.read_text("utf-8") for path in sorted(core.rglob("*.py"))}


def imported(name: str, text: str, known: Mapping[str, str]) -> Iterator[str]:
    """The modules of the core that a module names, wherever in it."""
    for module, inner in lines(text):
        assert module is not None, f"{name} imports by dots"
        found = [each if each in known else module or each for each in inner]
        yield from (each for each in found if each.partition(".")[0] == "weeptrace")


@cache
def lines(text: str) -> list[tuple[str | None, list[str]]]:
    """The imports of a text: from which module, "" for none and None where it is told by dots."""
    found: list[tuple[str | None, list[str]]] = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found.append(("", [alias.name for alias in node.names]))
        elif isinstance(node, ast.ImportFrom):
            module = None if node.level else str(node.module)
            found.append((module, [f"{node.module}.{alias.name}" for alias in node.names]))
    return found


def arrows(known: Mapping[str, str]) -> set[tuple[str, str]]:
    """Who imports whom, module by module."""
    return {
        (name, other)
        for name, text in known.items()
        for other in imported(name, text, known)
        if other not in (name, "weeptrace")
    }


def room(module: str) -> str:
    return module.split(".")[1]


def circle(known: Mapping[str, str]) -> list[str]:
    """The modules of a circle of imports, [] where there is none."""
    graph: dict[str, set[str]] = {}
    for name, other in arrows(known) - LATE:
        graph.setdefault(name, set()).add(other)
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as problem:
        return list(problem.args[1])
    return []


def upward(known: Mapping[str, str]) -> set[tuple[str, str]]:
    """Imports of a room that does not stand lower in the table."""
    order = list(ROOMS)
    return {
        (name, other)
        for name, other in arrows(known) - LATE
        if room(name) != room(other) and order.index(room(name)) <= order.index(room(other))
    }


SOURCES: Final = sources()


def test_the_table_names_every_room() -> None:
    assert {room(name) for name in SOURCES if name != "weeptrace"} == set(ROOMS)


def test_no_room_imports_one_above_it() -> None:
    assert len(arrows(SOURCES)) > 500
    assert upward(SOURCES) == set()


@pytest.mark.parametrize("name", ROOMS)
def test_a_room_imports_what_the_table_says_and_no_more(name: str) -> None:
    found = {room(other) for own, other in arrows(SOURCES) - LATE if room(own) == name}
    assert found - {name} == set(ROOMS[name].split())


@pytest.mark.parametrize("inner", WITHIN)
def test_a_room_within_a_room_imports_what_it_may_and_no_neighbour_imports_it(inner: str) -> None:
    own = f"weeptrace.{inner}"
    inside = [(n, o) for n, o in arrows(SOURCES) if n.startswith(own) and not o.startswith(own)]
    assert len(inside) > 5
    assert {room(other) for _, other in inside} <= set(WITHIN[inner].split())
    outer = f"weeptrace.{inner.partition('.')[0]}"
    users = {n for n, o in arrows(SOURCES) if o.startswith(own) and not n.startswith(own)}
    assert {n for n in users if n.startswith(outer)} == set()


def test_no_module_imports_itself_in_a_circle() -> None:
    assert circle(SOURCES) == []


def test_what_is_imported_late_is_imported_within_a_function() -> None:
    for name, other in LATE:
        tree = ast.parse(SOURCES[name])
        top = {n.module for n in tree.body if isinstance(n, ast.ImportFrom)}
        assert other not in top
        assert other in set(imported(name, SOURCES[name], SOURCES))


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("weeptrace.hold.fit", "from weeptrace.job import holds"),
        ("weeptrace.quantity", "from weeptrace.properties import air"),
        ("weeptrace.rules.model", "import weeptrace.screen.figures"),
        ("weeptrace.fill.mix", "def late():\n    from weeptrace.hold.assess import assess"),
    ],
)
def test_an_arrow_upward_is_found(name: str, line: str) -> None:
    made = {**SOURCES, name: f"{SOURCES[name]}\n{line}\n"}
    ((own, _),) = upward(made)
    assert own == name


def test_a_circle_within_a_room_is_found() -> None:
    name, other = "weeptrace.screen.parts", "weeptrace.screen.pages.gate"
    assert (other, name) in arrows(SOURCES)
    made = {**SOURCES, name: f"{SOURCES[name]}\nfrom weeptrace.screen.pages import gate\n"}
    assert {name, other} <= set(circle(made))


def test_the_guide_draws_the_same_arrows() -> None:
    table = GUIDE.partition("| room | imports |")[2].partition("\n\n")[0]
    rows = re.findall(r"^\| `(\w+)` \| (.*) \|$", table, re.MULTILINE)
    drawn = {name: set(re.findall(r"`(\w+)`", told)) for name, told in rows}
    assert drawn == {name: set(told.split()) for name, told in ROOMS.items()}
    assert [name for name, _ in rows] == [*reversed(ROOMS)]
    for inner, told in WITHIN.items():
        said = GUIDE.partition(f"Within `{inner.replace('.', '/')}`: ")[2].partition(".")[0]
        assert set(re.findall(r"`(\w+)`", said)) == set(told.split())
