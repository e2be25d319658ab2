"""The rules of the trade as data: vocabulary, limits, hazards, gates, procedures, texts.

A wheel holds them compiled, as ``bundle.json``; a source checkout holds the TOML files and compiles
them when they are asked for.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from weeptrace.rules.model import Field, Gate, Phase, Procedure, Rules, Step, from_bundle

__all__ = [
    "FOLDER", "Field", "Gate", "Phase", "Procedure", "Rules", "Step", "bundle", "limits", "load",
    "of_bundle",
]  # fmt: skip

FOLDER = Path(__file__).parent


@cache
def bundle() -> dict[str, Any]:
    """The rules that come with this version, as they are compiled: a JSON object."""
    if (FOLDER / "fields").exists():
        from weeptrace.rules.compiler import compile_folder

        return compile_folder(FOLDER)
    compiled: dict[str, Any] = json.loads((FOLDER / "bundle.json").read_text("utf-8"))
    return compiled


@cache
def load() -> Rules:
    """The rules that come with this version."""
    return from_bundle(bundle())


def of_bundle(given: Mapping[str, Any] | None) -> Rules:
    """The rules of a bundle that was kept; those of this version where none is given.

    What the given ones have no entry for comes from this version's. Raises ``Refusal`` where they
    can't be read.
    """
    present = load()
    if given is None or given.get("hash") == present.hash:
        return present
    from weeptrace.rules.kept import completed, read

    return completed(read(given), present)


def limits() -> Mapping[str, float]:
    """Every limit by its full id, such as ``hold.minimum_readings``, as its SI value."""
    return load().limits
