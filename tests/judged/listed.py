"""The weakenings that are listed as equivalent, with their reasons."""

from __future__ import annotations

import tomllib
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Final

from tests.judged.weakened import weakened

LIST: Final = Path(__file__).parent / "equivalent.toml"


def listed() -> dict[str, str]:
    """Names of weakenings that hurt nobody, each with the reason; ``*`` stands for any signs.

    A name in the list that fits no weakening stays as it is.
    """
    entries = tomllib.loads(LIST.read_text("utf-8")).get("equivalent", [])
    every = [each.name for each in weakened()]
    return {
        name: entry["reason"]
        for entry in entries
        for pattern in entry["names"]
        for name in [each for each in every if fnmatchcase(each, pattern)] or [pattern]
    }
