"""The table of hands: what the words of a page make a body do, written by hand from the words.

``hands/*.toml`` has an entry for each page, by the name of its step or gate. Each quotes the words
that it was written from, so that a reader can judge it; a test compares them with the texts.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, Final

FOLDER: Final = Path(__file__).parent / "hands"

Acts = tuple[str, ...]
ByWords = dict[str, Acts]


@dataclass(frozen=True)
class Entry:
    """One page: the words that it was written from, and the acts, each ``name key=value …``.

    ``cautioned`` come first where the page shows its caution, ``acts`` before any answer,
    ``earlier`` ahead of both where an answer with these words was given before; ``asked`` before
    the question under this heading, ``chosen`` by the answer, ``rows`` by the row, ``keys`` by the
    key.
    """

    title: str
    prompt: str
    caution: str = ""
    main: str = ""
    acts: Acts = ()
    cautioned: Acts = ()
    chosen: ByWords = field(default_factory=dict)
    rows: ByWords = field(default_factory=dict)
    earlier: ByWords = field(default_factory=dict)
    keys: ByWords = field(default_factory=dict)
    asked: ByWords = field(default_factory=dict)


_TABLES: Final = ("chosen", "rows", "earlier", "keys", "asked")


def _entry(table: dict[str, Any]) -> Entry:
    plain = {
        key: value for key, value in table.items() if key not in (*_TABLES, "acts", "cautioned")
    }
    inner: dict[str, Any] = {name: _by_words(table.get(name, {})) for name in _TABLES}
    cautioned = tuple(table.get("cautioned", ()))
    return Entry(acts=tuple(table["acts"]), cautioned=cautioned, **plain, **inner)


def _by_words(table: dict[str, list[str]]) -> ByWords:
    return {words: tuple(acts) for words, acts in table.items()}


@cache
def pages() -> dict[str, Entry]:
    """Every page's entry, by the name that a view gives its step."""
    found: dict[str, Entry] = {}
    for path in sorted(FOLDER.glob("[0-8]*.toml")):
        for name, table in tomllib.loads(path.read_text("utf-8")).items():
            if name in found:
                raise ValueError(f"{name} stands twice in the table of hands")
            found[name] = _entry(table)
    return found


@cache
def pressed() -> dict[str, ByWords]:
    """Acts by the words of a row that stands on several pages: gate, away, off, on, left."""
    table = tomllib.loads((FOLDER / "90_pressed").with_suffix(".toml").read_text("utf-8"))
    return {name: _by_words(rows) for name, rows in table.items()}


@cache
def phrases() -> dict[str, list[str]]:
    """Words by which a page says when to go on."""
    return tomllib.loads((FOLDER / "phrases").with_suffix(".toml").read_text("utf-8"))
