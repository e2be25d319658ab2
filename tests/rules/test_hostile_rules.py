"""Rules cut, renamed and retyped at random: faults are told, never a traceback."""

from __future__ import annotations

import json
import random
import re
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from weeptrace.rules import FOLDER
from weeptrace.rules.compiler import compile_source
from weeptrace.rules.model import from_bundle
from weeptrace.rules.source import RulesError, Source

SEED = 20261125
TRIES = 30
# Values of every TOML kind, and some of the right kind that make no sense.
VALUES = (
    "0", "-1", "nan", "inf", "1e300", "99999999999999999999", "true", '""', '"x"', '"known("',
    '"known(car.name)"', "[]", '["x"]', '[1, "x"]', "[[]]", "{}", '{ a = 1 }', "1979-05-27",
    '["10 kPa", "x"]', '"limit.gate.temperature"', "[{}]", '"0 kPa"', '"hard"', '"\\u0000"',
)  # fmt: skip
NAMES = ("x", '"a.b"', "kind", "id", "source", "gate", '""', "range")


def mutate(rng: random.Random, text: str) -> str:
    """One line deleted, doubled, renamed or given another value."""
    lines = text.splitlines()
    numbers = [n for n, line in enumerate(lines) if line.strip() and not line.startswith("#")]
    at = rng.choice(numbers)
    line = lines[at]
    how = rng.choice(("delete", "rename", "retype", "retype", "double", "swap"))
    if how == "delete":
        del lines[at]
    elif how == "double":
        lines.insert(at, line)
    elif how == "swap":
        other = rng.choice(numbers)
        lines[at], lines[other] = lines[other], line
    elif "=" in line and not line.lstrip().startswith("["):
        key, _, value = line.partition("=")
        lines[at] = f"{rng.choice(NAMES)} ={value}" if how == "rename" else f"{key}= {_value(rng)}"
    else:
        lines[at] = re.sub(r"[a-z]+", rng.choice(("x", "id", "step", "phase")), line, count=1)
    return "\n".join(lines)


def _value(rng: random.Random) -> str:
    return rng.choice(VALUES)


class Read(Source):
    """The real files, of which all but one are read already."""

    def __init__(self, folder: Path, tables: dict[str, str], changed: Path) -> None:
        super().__init__(folder)
        self.tables, self.changed = tables, changed.relative_to(folder).as_posix()

    def read(self, name: str) -> dict[str, Any]:
        """The changed file from the folder, each other as it was read."""
        if name == self.changed:
            return super().read(name)
        table: dict[str, Any] = json.loads(self.tables[name])
        return table


@pytest.fixture(scope="module")
def real(tmp_path_factory: pytest.TempPathFactory) -> Path:
    ignored = shutil.ignore_patterns("*.py", "bundle.json", "__*", "*.md")
    return shutil.copytree(FOLDER, tmp_path_factory.mktemp("hostile") / "rules", ignore=ignored)


def test_mutated_rules_are_told_or_compile(real: Path) -> None:
    rng = random.Random(SEED)
    files = [path for path in sorted(real.rglob("*.toml")) if path.parent.name != "causes"]
    worded = [path for path in files if "text" in path.parts]
    kinds = worded, [path for path in files if path not in worded]
    tables = {
        path.relative_to(real).as_posix(): json.dumps(tomllib.loads(path.read_text("utf-8")))
        for path in real.rglob("*.toml")
    }
    outcomes = {"refused": 0, "not TOML": 0, "compiled": 0}
    for number in range(TRIES):
        file = rng.choice(rng.choice(kinds))
        text = file.read_text("utf-8")
        changed = text
        for _ in range(rng.choice((1, 1, 3))):
            changed = mutate(rng, changed)
        file.write_text(changed, "utf-8")
        try:
            from_bundle(compile_source(Read(real, tables, file)))
        except RulesError as problem:
            for fault in map(str, problem.faults):
                assert re.match(r"[A-Za-z0-9_/-]+(\.toml(:\d+)?)?: \S", fault), (number, fault)
                assert "\n" not in fault, (number, fault)
            outcomes["not TOML" if "is not TOML" in str(problem) else "refused"] += 1
        except Exception as problem:
            raise AssertionError((SEED, number, file.name, _differs(text, changed))) from problem
        else:
            tomllib.loads(changed)
            outcomes["compiled"] += 1
        finally:
            file.write_text(text, "utf-8")
    assert outcomes["refused"] > TRIES / 4, outcomes


def _differs(old: str, new: str) -> list[str]:
    kept = set(old.splitlines())
    return [line for line in new.splitlines() if line not in kept]
