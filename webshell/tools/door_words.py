"""Each part of what the door asks and answers has its words, and no words of it are left over.

A part is a property, a row of a list, an id of an enum, a pattern.

The words of an operation are texts by its name and path (``weeptrace.door.shown``).
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

CORE = Path(__file__).resolve().parents[2] / "core"
sys.path.insert(0, str(CORE))
from weeptrace.door import OPERATIONS, Operation  # noqa: E402
from weeptrace.door.shown import Part, ids, kinds, told  # noqa: E402
from weeptrace.rules import FOLDER  # noqa: E402
from weeptrace.rules.source import Fault, Source  # noqa: E402
from weeptrace.rules.words import texts as texts_of  # noqa: E402

NEEDED = ("title", "row", "option", "pattern")
LONGEST = 36  # signs of a title: a line of the narrowest phone
_FAMILY = "door."


def faults(folder: Path = FOLDER, operations: Mapping[str, Operation] = OPERATIONS) -> list[str]:
    """All that is wrong with the door's words in a folder of rules, each with file and line."""
    source = Source(folder)
    texts = {id: words for id, words in texts_of(source).items() if id.startswith(_FAMILY)}
    used: set[str] = set()
    for name, each in operations.items():
        for need in (f"door.{name}.title", f"door.{name}.help", f"door.room.{name.split('.')[0]}"):
            used.add(need)
            if need not in texts:
                source.faults.append(_missing(each, need, "has no words; add them"))
        for side, kind, path in places(each):
            asked = list(ids(name, side, kind, path))
            found = next((id for id in asked if id in texts), None)
            if found is not None:
                used.add(found)
            elif kind in NEEDED:
                words = f"has no {kind}; add it, or one as {asked[1]}"
                source.faults.append(_missing(each, asked[0], words))
    for id, words in texts.items():
        if id not in used:
            source.fault(source.stands[id], id, "belongs to no part of an operation; remove it")
        elif id.split(".")[-2] in NEEDED and len(words) > LONGEST:
            source.fault(source.stands[id], id, f"is {len(words)} signs long, {LONGEST} fit")
    return [str(each) for each in source.faults]


def places(operation: Operation) -> Iterator[tuple[str, str, str]]:
    """Every side, kind of words and path at which an operation may have some."""
    found: list[tuple[str, str, str]] = []
    for side, schema in (("in", operation.input), ("out", operation.output)):

        def words_at(path: str, part: Part, side: str = side) -> dict[str, str]:
            found.extend((side, kind, path) for kind in kinds(side, part))
            return {}

        told(schema, words_at)
    yield from found


def _missing(operation: Operation, id: str, words: str) -> Fault:
    """What the texts lack, told where the operation stands."""
    code = operation.run.__code__
    file = Path(code.co_filename).relative_to(CORE / "weeptrace").as_posix()
    return Fault(file, code.co_firstlineno, id, f"{words} to text/en/door")
