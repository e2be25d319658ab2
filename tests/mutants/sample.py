"""Rooms of the core, and a seeded sample of the slips in each."""

from __future__ import annotations

import ast
import random
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tests.mutants.names import Names
from tests.mutants.operators import Mutant, mutants

ROOT = Path(__file__).resolve().parents[2]
CORE = ROOT / "core" / "weeptrace"
ROOMS = (
    "hold", "properties", "fill", "loss", "warmup", "causes", "quote", "job", "screen", "rules",
    "practice", "door", "quantity", "bridge",
)  # fmt: skip
SINGLE = {
    "quantity": ("quantity.py", "refusal.py", "finding.py"),
    "bridge": ("bridge.py", "__main__.py"),
}
FLOOR = 25


def files(room: str) -> list[str]:
    """The files of a room, by their path under ``core/weeptrace``."""
    if room in SINGLE:
        return list(SINGLE[room])
    return sorted(path.relative_to(CORE).as_posix() for path in (CORE / room).rglob("*.py"))


def room_of(file: str) -> str:
    """The room that a file lies in."""
    single = {name: room for room, names in SINGLE.items() for name in names}
    return single.get(file) or file.split("/")[0]


def source(file: str) -> bytes:
    """A file of the core as it stands."""
    return (CORE / file).read_bytes()


@cache
def names() -> Names:
    """What the core's definitions say."""
    return Names(ast.parse(source(file)) for room in ROOMS for file in files(room))


@cache
def every(file: str) -> tuple[Mutant, ...]:
    """Every slip in a file."""
    return tuple(mutants(file, source(file), names()))


def shares(count: int) -> dict[str, int]:
    """``count`` shared out over the rooms by their lines, none below the floor (or its like)."""
    floor = min(FLOOR, count // len(ROOMS))
    lines = {room: sum(source(file).count(b"\n") for file in files(room)) for room in ROOMS}
    free = count - floor * len(ROOMS)
    parts = {room: floor + free * lines[room] // sum(lines.values()) for room in ROOMS}
    for room in sorted(ROOMS, key=lambda room: -lines[room])[: count - sum(parts.values())]:
        parts[room] += 1
    return parts


def draw(within: list[str], count: int, seed: int) -> list[Mutant]:
    """Up to ``count`` slips that compile in these files; each kind of slip as likely as another."""
    return list(_draw(within, count, random.Random(seed)))


def _draw(within: list[str], count: int, chance: random.Random) -> Iterator[Mutant]:
    by_kind: dict[str, list[Mutant]] = {}
    for file in within:
        for mutant in every(file):
            by_kind.setdefault(mutant.operator, []).append(mutant)
    for kind in sorted(by_kind):
        chance.shuffle(by_kind[kind])
    while count and any(by_kind.values()):
        kind = chance.choice(sorted(kind for kind, left in by_kind.items() if left))
        mutant = by_kind[kind].pop()
        if mutant.compiles(source(mutant.file)):
            count -= 1
            yield mutant
