"""One change to one table of the rules: how it is made, and how the rules compile with it."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, Final

from weeptrace.rules import FOLDER, Rules, conditions
from weeptrace.rules.compiler import compile_source
from weeptrace.rules.model import from_bundle
from weeptrace.rules.source import Fault, Source

Table = dict[str, Any]
ALWAYS: Final = "known(car.name) or not known(car.name)"
ANY: Final = "any part for all"
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

    def anyway(self) -> tuple[Rules, str]:
        """The mutant's rules though the compiler refuses it, and its first fault, or "".

        Raises ``LookupError``, ``TypeError`` or ``ValueError`` where nothing can be compiled.
        """
        source = _Suffered(FOLDER, self)
        rules = from_bundle(compile_source(source))
        return rules, str(source.suffered[0]) if source.suffered else ""


class _Changed(Source):
    """The files of the rules, one table changed."""

    def __init__(self, folder: Path, mutant: Mutant) -> None:
        super().__init__(folder)
        self.mutant = mutant

    def read(self, name: str) -> Table:
        """A table as it stands in its file, or as the mutant has it."""
        table = copy.deepcopy(table_of(self.folder / name))
        if name == self.mutant.file:
            self.mutant.change(table)
        return table

    def _line(self, file: str, entry: str) -> int | None:
        return None


class _Suffered(_Changed):
    """The same, each fault noted but let pass."""

    def __init__(self, folder: Path, mutant: Mutant) -> None:
        super().__init__(folder, mutant)
        self.suffered: list[Fault] = []

    def fault(self, file: str, entry: str, words: str) -> None:
        """Note one fault."""
        self.suffered.append(Fault(file, None, entry, words))


@cache
def table_of(path: Path) -> Table:
    """A file of the rules, read once."""
    return tomllib.loads(path.read_text("utf-8"))


def weaker(text: str) -> Iterator[tuple[str, str]]:
    """A condition with one part left out, with "and" made "or", or with an edge moved."""
    tree = conditions.parse(text) if _plain(text) else None
    if tree is None:
        return
    for words, changed in _trees(tree):
        yield words, written(changed)


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
            yield f"without {written(part)}", left[0] if len(left) == 1 else [tree[0], *left]
            for words, changed in _trees(part):
                inner = f"{words}, of part {number + 1}" if words.startswith(ANY) else words
                yield inner, [tree[0], *parts[:number], changed, *parts[number + 1 :]]
        if tree[0] == "and":
            yield ANY, ["or", *parts]
    elif tree[0] == "within":
        yield f"without {written(tree)}", ["known", tree[1]]
    elif tree[0] in _EDGES:
        changed = [_EDGES[tree[0]], *tree[1:]]
        yield f"{written(changed)} for {written(tree)}", changed


def written(tree: conditions.Tree) -> str:
    """A condition as it is typed; every part within brackets, so that it reads the same."""
    word = tree[0]
    if word in ("and", "or"):
        return f" {word} ".join(f"({written(part)})" for part in tree[1:])
    if word == "not":
        return f"not ({written(tree[1])})"
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
    return f"{written(tree[1])} {word} {written(tree[2])}"


def flat(table: Table, above: str = "") -> Iterator[tuple[str, Table]]:
    """The entries of a file of fields, by their full names."""
    for key, value in table.items():
        name = f"{above}.{key}" if above else key
        if isinstance(value, dict) and "kind" in value:
            yield name, value
        elif isinstance(value, dict):
            yield from flat(value, name)


def next_of(all: list[str], one: str, taken: Any) -> str:
    """The next of a list that is not taken; the list goes in a circle."""
    at = all.index(one)
    return next(each for each in (*all[at + 1 :], *all[:at]) if each not in taken)


def within(id: str, change: Callable[[Table], None]) -> Callable[[Table], None]:
    """A change of the entry of a table with this name; of fields, the keys joined by dots."""

    def inside(table: Table) -> None:
        for word in id.split("."):
            table = table[word]
        change(table)

    return inside


def set_to(key: str, value: Any) -> Callable[[Table], None]:
    """Another value."""

    def change(entry: Table) -> None:
        entry[key] = value

    return change


def dropped(key: str) -> Callable[[Table], None]:
    """A key left out."""

    def change(entry: Table) -> None:
        del entry[key]

    return change


def gone(id: str) -> Callable[[Table], None]:
    """An entry left out."""

    def change(table: Table) -> None:
        del table[id]

    return change


def without(key: str, name: str) -> Callable[[Table], None]:
    """A word of a list left out, and an empty list with it."""

    def change(entry: Table) -> None:
        entry[key] = [each for each in entry[key] if each != name]
        if not entry[key]:
            del entry[key]

    return change


def instead(key: str, name: str, other: str) -> Callable[[Table], None]:
    """Another word in a list."""

    def change(entry: Table) -> None:
        entry[key] = [other if each == name else each for each in entry[key]]

    return change


def left_out(phase: int, place: int) -> Callable[[Table], None]:
    """A step left out."""

    def change(table: Table) -> None:
        del table["phase"][phase]["step"][place]

    return change
