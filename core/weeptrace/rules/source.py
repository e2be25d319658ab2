"""The files of the rules as read, the faults found in them, and the conditions that they hold."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from weeptrace.rules import conditions

# Names that a job computes; conditions may use them.
COMPUTED: Final = ("ledger.out", "ledger.out_to_run", "tester.fall_in_divisions")


@dataclass(frozen=True)
class Fault:
    """One fault: the file, the entry in it, and what is wrong and how to mend it."""

    file: str
    entry: str
    words: str

    def __str__(self) -> str:
        return f"{self.file}: [{self.entry}] {self.words}"


class RulesError(ValueError):
    """The rules do not compile; ``faults`` holds every fault found."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(map(str, faults)))
        self.faults = faults


@dataclass
class Source:
    """The files as read, and the faults found so far."""

    folder: Path
    faults: list[Fault] = field(default_factory=list)

    def read(self, name: str) -> dict[str, Any]:
        """A TOML file of the folder; {} with a fault where it does not read."""
        try:
            return tomllib.loads((self.folder / name).read_text("utf-8"))
        except tomllib.TOMLDecodeError as problem:
            self.fault(name, "file", f"is not TOML, or has a duplicate id: {problem}")
        except FileNotFoundError:
            self.fault(name, "file", "is missing")
        return {}

    def fault(self, file: str, entry: str, words: str) -> None:
        """Note one fault."""
        self.faults.append(Fault(file, entry, words))


def condition(
    source: Source,
    file: str,
    id: str,
    text: str,
    fields: Mapping[str, dict[str, Any]],
    limits: Mapping[str, float],
) -> conditions.Tree | None:
    """The tree of a condition whose names and options are all known; faults are noted."""
    try:
        tree = conditions.parse(text)
    except ValueError as problem:
        source.fault(file, id, str(problem))
        return None
    for name in conditions.fields(tree):
        if name not in fields and name not in COMPUTED:
            source.fault(file, id, f"names an unknown field “{name}” in “{text}”")
    for name in conditions.limits(tree):
        if name not in limits:
            source.fault(file, id, f"names an unknown limit “{name}” in “{text}”")
    for name, word in _choices(tree):
        options = fields.get(name, {}).get("options", ())
        if word not in options:
            source.fault(file, id, f"compares {name} with “{word}”, which is none of its options")
    return tree


def _choices(tree: conditions.Tree) -> Iterator[tuple[str, str]]:
    """The (field, word) pairs that a condition compares."""
    kinds = {part[0]: part[1] for part in tree[1:] if isinstance(part, list) and len(part) == 2}
    if "field" in kinds and "word" in kinds:
        yield kinds["field"], kinds["word"]
    for part in tree[1:]:
        if isinstance(part, list):
            yield from _choices(part)
