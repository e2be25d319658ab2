"""The runner sees a slip that a test sees, and no other; a sample of 20 slips dies."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.mutants.hunt import Hunted, by_room, listed, to_meet
from tests.mutants.operators import Mutant
from tests.mutants.sample import CORE, ROOT, every, source
from tests.mutants.traces import Traces, keys

# In a process of its own: the core must not be loaded before the runner forks.
JUDGE = """
import json, sys
from tests.mutants import child, forks
child.prepare()
file, text, test, limit = json.load(sys.stdin)
work = lambda: child.quietly(lambda: child.judge(file, text.encode(), [test]))
[job] = forks.run([forks.Job(None, work, limit)], 1)
print(json.dumps([job.answer and job.answer["failed"], job.answer and job.answer["ran"], job.fell]))
"""
FILE = "quote/estimate.py"
TESTED = "tests/quote/test_estimate.py::test_nothing_uncertain_is_one_number"


def python(*arguments: str, stdin: str = "") -> str:
    path = os.pathsep.join([str(CORE.parent), str(ROOT)])
    done = subprocess.run(
        [sys.executable, *arguments],
        input=stdin, capture_output=True, text=True, check=False, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": path},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def judged(old: str, new: str, limit: float = 60.0) -> tuple[list[str] | None, int, str]:
    text = source(FILE).decode()
    assert text.count(old) == 1
    told = json.dumps([FILE, text.replace(old, new), TESTED, limit])
    failed, ran, fell = json.loads(python("-c", JUDGE, stdin=told).splitlines()[-1])
    return failed, ran, fell


FIRST = "def estimate("
PLANTED = "def planted() -> float:\n    return 1 / 0\n\n\n"


def test_a_planted_function_that_no_test_calls_survives() -> None:
    failed, ran, fell = judged(FIRST, f"{PLANTED}{FIRST}")
    assert (failed, ran, fell) == ([], 1, "")


def test_the_same_slip_in_a_function_that_a_test_calls_dies() -> None:
    failed, _, fell = judged(
        FIRST, f"def planted() -> float:\n    return 1 / 0\n\n\nplanted()\n{FIRST}"
    )
    assert (failed, fell) == (["import of tests/quote/test_estimate.py"], "")


def test_what_hangs_is_ended() -> None:
    failed, _, fell = judged(FIRST, f"while True:\n    pass\n\n\n{FIRST}", 1.0)
    assert failed is None
    assert fell.startswith("ended by signal")


def written() -> dict[Path, int]:
    """When each file was written; but the byte code of ``python -m weeptrace``, run elsewhere."""
    files = (path for path in CORE.rglob("*.*") if not path.name.startswith("__main__."))
    return {path: path.stat().st_mtime_ns for path in files}


def test_nothing_is_written_into_the_core() -> None:
    before = written()
    judged(FIRST, f"1 / 0\n{FIRST}")
    assert written() == before


def slip(line: int) -> Mutant:
    return next(mutant for mutant in every(FILE) if mutant.line >= line)


def test_tests_of_the_line_come_first_then_cheap_ones_of_the_file() -> None:
    mutant = slip(100)
    known = keys(FILE)
    seconds = {"tests/quote/a.py::dear": 2.0, "tests/quote/a.py::cheap": 1.0,
               "tests/quote/a.py::elsewhere": 0.1, "tests/job/b.py::far": 0.1,
               "tests/quote/a.py::apart": 0.1, "tests/quote/a.py::long": 60.0}  # fmt: skip
    on_line = {"tests/quote/a.py::dear", "tests/quote/a.py::cheap", "tests/job/b.py::far",
               "tests/quote/a.py::apart", "tests/quote/a.py::long"}  # fmt: skip
    lines = {known[mutant.line]: on_line, 7: {"tests/quote/a.py::elsewhere"}}
    traces = Traces(seconds, {FILE: lines}, {"tests/quote/a.py::apart": "fails"})
    assert to_meet(mutant, traces) == [
        "tests/quote/a.py::cheap", "tests/quote/a.py::dear", "tests/job/b.py::far",
        "tests/quote/a.py::elsewhere",
    ]  # fmt: skip


def test_each_test_comes_once_before_any_comes_with_other_values() -> None:
    mutant = slip(100)
    many = {f"tests/quote/a.py::many[{k}]": 0.9 + 0.001 * k for k in range(20)}
    seconds = {**many, "tests/quote/b.py::one": 3.0, "tests/job/c.py::far": 0.1}
    traces = Traces(seconds, {FILE: {keys(FILE)[mutant.line]: set(seconds)}}, {})
    met = to_meet(mutant, traces)
    within = met[: met.index("tests/quote/b.py::one") + 1]
    assert within == [*list(many)[: len(within) - 1], "tests/quote/b.py::one"]
    assert 1 < len(within) < 15  # of 12 s


def test_a_line_keeps_its_key_where_lines_above_it_move() -> None:
    mutant = slip(100)
    assert len(set(keys(FILE).values())) > 100
    assert keys(FILE)[mutant.line] != keys(FILE)[mutant.line + 1]


def test_what_is_listed_as_harmless_is_not_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    one, other = slip(100), slip(160)
    before, after = one.shown(source(FILE))
    entry = {"file": FILE, "before": before, "after": after, "reason": "none"}
    monkeypatch.setattr("tests.mutants.hunt.listed", lambda: [entry])
    rooms, stale = by_room([Hunted(one, "", 3), Hunted(other, "", 3)])
    assert (len(rooms["quote"].listed), len(rooms["quote"].survived), stale) == (1, 1, [])
    assert rooms["quote"].share == 0.0
    caught = Hunted(one, "a test", 3)
    rooms, stale = by_room([caught])
    assert stale == [caught]
    assert rooms["quote"].share == 1.0


def test_what_is_listed_is_still_made_and_has_its_reason() -> None:
    for entry in listed():
        shown = {mutant.shown(source(entry["file"])) for mutant in every(entry["file"])}
        assert (entry["before"], entry["after"]) in shown, entry
        assert len(entry["reason"].split()) > 4, entry


def test_a_sample_of_twenty_dies() -> None:
    said = python(
        "-m", "tests.studies.mutants", "--room", "quote", "fill", "--near", "--count", "10",
        "--seed", "11",
    )  # fmt: skip
    told = re.findall(r"^(\w+): (\d+) of (\d+) caught, (\d+) harmless$", said, re.MULTILINE)
    assert [(room, int(of) + int(harmless)) for room, _, of, harmless in told] == [
        ("quote", 10), ("fill", 10),
    ]  # fmt: skip
    assert sum(int(caught) for _, caught, _, _ in told) >= 16, said
