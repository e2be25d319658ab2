"""The rules of the trade as data: vocabulary, limits, hazards, gates, procedures, texts.

A wheel holds them compiled, as ``bundle.json``; a source checkout holds the TOML files and compiles
them when they are asked for.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from weeptrace.rules.model import Field, Gate, Phase, Procedure, Rules, Step, from_bundle

__all__ = ["FOLDER", "Field", "Gate", "Phase", "Procedure", "Rules", "Step", "limits", "load"]

FOLDER = Path(__file__).parent


@cache
def load() -> Rules:
    """The rules that come with this version."""
    if (FOLDER / "fields").exists():
        from weeptrace.rules.compiler import compile_folder

        return from_bundle(compile_folder(FOLDER))
    return from_bundle(json.loads((FOLDER / "bundle.json").read_text("utf-8")))


def limits() -> Mapping[str, float]:
    """Every limit by its full id, such as ``hold.minimum_readings``, as its SI value."""
    return load().limits
