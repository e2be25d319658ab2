"""The files of the rules as read, what they name, and every fault found in them."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, NamedTuple

# Names that a job computes, plain numbers; conditions may use them.
COMPUTED: Final = (
    "ledger.out", "ledger.out_to_run", "tester.fall_in_divisions", "cap.outside", "quote.over",
    "rounds.drained", "seen.liquid", "seen.wet_since", "seen.oil", "seen.unfit", "seen.fell",
    "fill.unbled", "hold.gross", "ledger.opened", "ledger.unfilled", "ledger.unlevelled",
    "left.level", "left.neck", "left.tester", "left.plugs", "left.clamps", "left.tray",
    "left.belt", "left.raised", "left.coolant",
)  # fmt: skip

_HEADER: Final = re.compile(r"\s*\[\[?\s*([^\[\]]+?)\s*\]\]?\s*(#.*)?")
_ITEM: Final = re.compile(r"(.+)\[(\d+)\]")
_KEY: Final = re.compile(r'\s*"?([\w.-]+)"?\s*=\s*(.*)')
# How ``tomllib`` says that a name is given again.
_TWICE: Final = re.compile("twice|overwrite|[Dd]uplicate|mutate")
_FEW: Final = 12


@dataclass(frozen=True)
class Fault:
    """One fault: file and line, the entry, and what is wrong and how to mend it."""

    file: str
    line: int | None
    entry: str
    words: str

    def __str__(self) -> str:
        entry = f"[{self.entry}] " if self.entry else ""
        return f"{self.place}: {entry}{self.words}"

    @property
    def place(self) -> str:
        """File and line: ``fields/car.toml:12``."""
        return self.file if self.line is None else f"{self.file}:{self.line}"


class RulesError(ValueError):
    """The rules do not compile; ``faults`` holds every fault found."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(map(str, faults)))
        self.faults = faults


class Limit(NamedTuple):
    """A limit's value in SI and its dimension; None where its entry is at fault."""

    value: float | None
    dimension: str | None


@dataclass
class Source:
    """The files as read, what is known of them so far, and the faults found so far.

    ``partial`` names the tables of which a file did not read: a name that is missing there may
    stand in that file, so it is no fault.
    """

    folder: Path
    faults: list[Fault] = field(default_factory=list)
    partial: set[str] = field(default_factory=set)
    sources: Mapping[str, Any] = field(default_factory=dict)
    texts: Mapping[str, Any] = field(default_factory=dict)
    stands: dict[str, str] = field(default_factory=dict)  # the file of each text
    worded: set[str] = field(default_factory=set)  # the texts that tell what is known of causes
    limits: dict[str, Limit] = field(default_factory=dict)
    fields: dict[str, dict[str, Any]] = field(default_factory=dict)
    gates: dict[str, dict[str, Any]] = field(default_factory=dict)
    hazards: dict[str, dict[str, Any]] = field(default_factory=dict)
    state: dict[str, dict[str, Any]] = field(default_factory=dict)
    acts: dict[str, dict[str, Any]] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)  # the file of each field
    # what each field says that the causes learn from it
    tells: dict[str, dict[str, Any]] = field(default_factory=dict)

    def files(self, table: str) -> list[str]:
        """The TOML files of a folder of the rules, in the order of their names."""
        found = sorted((self.folder / table).rglob("*.toml"))
        return [path.relative_to(self.folder).as_posix() for path in found]

    def read(self, name: str) -> dict[str, Any]:
        """A TOML file of the folder; {} with a fault where it does not read."""
        try:
            table = tomllib.loads((self.folder / name).read_text("utf-8"))
        except tomllib.TOMLDecodeError as problem:
            found = re.search(r" \(at line (\d+), column (\d+)", str(problem))
            what = "a name stands twice" if _TWICE.search(str(problem)) else "it does not read on"
            where = f"from column {found[2]}" if found else "at the end of the file"
            mend = "mend the line; an id stands once in a file, and a text in quotes"
            words = f"is not TOML: {what} {where}; {mend}"
            self._spoilt(name, words, int(found[1]) if found else None)
        except UnicodeDecodeError as problem:
            self._spoilt(name, f"is not UTF-8 at byte {problem.start}; write it in UTF-8")
        except RecursionError:
            self._spoilt(name, "nests too deep; write plain tables")
        except OSError:
            self._spoilt(name, "does not open; add the file, or let it be read")
        else:
            if table:
                return table
            self._spoilt(name, "is empty; add its entries, or remove the file")
        return {}

    def _spoilt(self, name: str, words: str, line: int | None = None) -> None:
        self.faults.append(Fault(name, line, "", words))
        self.partial.add(name.partition("/")[0].removesuffix(".toml"))

    def fault(self, file: str, entry: str, words: str) -> None:
        """Note one fault."""
        self.faults.append(Fault(file, self._line(file, entry), entry, words))

    def twice(self, file: str, entry: str, other: str) -> None:
        """Note that an id stands in another place as well."""
        words = f"is a duplicate id; it stands in {other} too: rename or remove one"
        self.fault(file, entry, words)

    def named(self, table: str, name: object) -> bool:
        """Whether an entry of a table is known, or may stand in a file that did not read."""
        return name in getattr(self, table) or table in self.partial

    def _line(self, file: str, entry: str) -> int | None:
        """The line where an entry begins, as far as a look at the file tells."""
        try:
            lines = (self.folder / file).read_text("utf-8").splitlines()
        except (OSError, UnicodeDecodeError):
            return None
        part = _ITEM.fullmatch(entry)
        if part is None:
            return _found(lines, room_of(file), entry)
        header = f"[[{part[1]}]]"
        starts = [number for number, line in enumerate(lines, 1) if line.strip() == header]
        if starts:
            return starts[int(part[2]) - 1]
        first = _found(lines, room_of(file), part[1])
        if first is None:
            return None
        at = first + int(part[2])
        return at if at <= len(lines) and lines[at - 1].lstrip().startswith("{") else first


def room_of(file: str) -> str:
    """The room whose entries stand in a file: its name, or that of its folder within the table.

    >>> room_of("limits/gate.toml"), room_of("limits/hold/noise.toml")
    ('gate', 'hold')
    """
    return Path(file).parts[1 if "/" in file else 0].removesuffix(".toml")


def _found(lines: list[str], room: str, entry: str) -> int | None:
    header = ""
    for number, line in enumerate(lines, 1):
        if found := _HEADER.fullmatch(line):
            header = found[1].replace('"', "")
            if entry in (header, f"{room}.{header}"):
                return number
        elif found := _KEY.match(line):
            full = f"{header}.{found[1]}" if header else found[1]
            if entry in (full, f"{room}.{full}"):
                return number
            if found[1] == "id" and found[2].startswith(f'"{entry}"'):
                return number
    return None


def instead(word: object, known: Iterable[str]) -> str:
    """What to write instead of an unknown word.

    >>> instead("caracity", ["capacity", "name"])
    'did you mean “capacity”?'
    >>> instead("x", ["capacity", "name"])
    'write one of: capacity, name'
    """
    words = sorted(set(known))
    folded = {each.casefold(): each for each in words}
    near = difflib.get_close_matches(str(word).casefold(), folded, n=1)
    if near:
        return f"did you mean “{folded[near[0]]}”?"
    if not words:
        return "add it first"
    if len(words) <= _FEW:
        return f"write one of: {', '.join(words)}"
    return f"add it, or write one of the {len(words)} that there are"
