"""The weakenings that are listed as equivalent, with their reasons."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Final

LIST: Final = Path(__file__).parent / "equivalent.toml"


def listed() -> dict[str, str]:
    """Names of weakenings that hurt nobody, each with the reason."""
    entries = tomllib.loads(LIST.read_text("utf-8")).get("equivalent", [])
    return {name: entry["reason"] for entry in entries for name in entry["names"]}
