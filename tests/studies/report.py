"""Writes a study's figures with the commit that they belong to."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

RESULTS = Path(__file__).parent / "results"


def write(name: str, figures: dict[str, Any]) -> None:
    """Write ``results/NAME.json`` and print it."""
    told = {"commit": _commit(), **figures}
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / f"{name}.json").write_text(json.dumps(told, indent=1) + "\n", "utf-8")
    print(json.dumps(told, indent=1))


def _commit() -> str:
    """The commit of the checkout, marked where something in it is not committed."""

    def git(*words: str) -> str:
        done = subprocess.run(["git", *words], capture_output=True, text=True, check=True)
        return done.stdout.strip()

    return git("rev-parse", "--short", "HEAD") + ("+changes" if git("status", "--short") else "")
