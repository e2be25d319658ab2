"""What starting the door costs: no rules until an operation needs them, their faults told."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from weeptrace.door import OPERATIONS
from weeptrace.rules import FOLDER

CORE = FOLDER.parent.parent
# What only some operations need: the compiler of the rules, units, the check of an input.
LATE = ("weeptrace.rules.compiler", "pint", "fastjsonschema", "calendar", "email")
LOADED = """
import sys
from weeptrace.__main__ import main
main(sys.argv[1:])
print(*sorted(sys.modules), file=sys.stderr)
"""


def run(*arguments: str, stdin: str = "", core: Path = CORE) -> subprocess.CompletedProcess[str]:
    """The interpreter on the core, as a process of its own."""
    return subprocess.run(
        [sys.executable, *arguments],
        input=stdin,
        env={**os.environ, "PYTHONPATH": str(core)},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(
    "arguments", [["--list"], ["--list", "--json"], ["--help"], ["job.view", "--help"]]
)
def test_what_is_only_listed_or_shown_loads_neither_rules_nor_units(arguments: list[str]) -> None:
    done = run("-c", LOADED, *arguments)
    assert done.returncode == 0
    assert done.stdout
    assert set(LATE) & set(done.stderr.split()) == set()


def test_an_operation_that_needs_no_rules_compiles_none() -> None:
    sample = OPERATIONS["properties.atmosphere"].sample
    done = run("-c", LOADED, "properties.atmosphere", stdin=json.dumps(sample))
    assert "error" not in json.loads(done.stdout)
    loaded = done.stderr.split()
    assert "pint" in loaded
    assert "weeptrace.rules.compiler" not in loaded


@pytest.fixture(scope="module")
def at_fault(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A core whose rule files have two faults: a line that is no TOML, and an unknown kind."""
    core = tmp_path_factory.mktemp("at_fault") / "core"
    shutil.copytree(CORE, core, ignore=shutil.ignore_patterns("__pycache__"))
    limits = core / "weeptrace" / "rules" / "limits" / "loss.toml"
    limits.write_text(f"{limits.read_text('utf-8')}\nno toml\n", "utf-8")
    gates = core / "weeptrace" / "rules" / "gates.toml"
    gates.write_text(f"{gates.read_text('utf-8')}\n[no_such_gate]\nnothing = 1\n", "utf-8")
    return core


def test_a_fault_in_a_rule_file_is_an_answer_with_file_and_line(at_fault: Path) -> None:
    lines = (at_fault / "weeptrace" / "rules" / "limits" / "loss.toml").read_text("utf-8")
    place = f"limits/loss.toml:{lines.count(chr(10))}"
    for name in ("loss.rate", "hold.assess", "job.view"):
        sample = json.dumps(OPERATIONS[name].sample)
        done = run("-m", "weeptrace", name, stdin=sample, core=at_fault)
        assert (done.returncode, done.stderr) == (2, "")
        error = json.loads(done.stdout)["error"]
        assert (error["code"], error["path"]) == ("rules_at_fault", place)
        assert re.match(
            rf"The rule files have [2-9] faults\. The first: {re.escape(place)}: is not TOML",
            error["message"],
        )
        assert error["accepted"] == "rule files that `python -m weeptrace.rules` accepts"


def test_what_needs_no_rules_still_answers_then(at_fault: Path) -> None:
    listed = run("-m", "weeptrace", "--list", core=at_fault)
    assert (listed.returncode, listed.stderr) == (0, "")
    assert len(listed.stdout.splitlines()) == len(OPERATIONS)
    sample = json.dumps(OPERATIONS["properties.atmosphere"].sample)
    done = run("-m", "weeptrace", "properties.atmosphere", stdin=sample, core=at_fault)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("buffered", ["", "1"])
def test_a_reader_that_stops_reading_ends_it_quietly(buffered: str) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "weeptrace", "--list"],
        env={**os.environ, "PYTHONPATH": str(CORE), "PYTHONUNBUFFERED": buffered},
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")
