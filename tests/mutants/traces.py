"""Which test runs which line of the core, and how long it takes; kept in ``build/mutants/``.

A line is known by its function and its text, so that the traces outlive a change elsewhere in the
file. A file of tests is traced again when it has changed.
"""

from __future__ import annotations

import ast
import hashlib
import json
import sys
import time
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import coverage
import pytest

from tests.mutants import child
from tests.mutants.forks import Job, run
from tests.mutants.sample import CORE, ROOMS, ROOT, files, source

KEPT = ROOT / "build" / "mutants"
# The app, this folder, and what takes minutes: the search of the rules and the random walks.
LEFT_OUT = ("browser/", "release/", "mutants/", "proof/", "job/test_walks.py")
LIMIT = 1800.0  # s of the processor for the tests of one file, traced


@dataclass
class Traces:
    """Tests with their seconds, and the tests of each line."""

    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, dict[int, set[str]]] = field(default_factory=dict)  # file, line's key, tests
    apart: dict[str, str] = field(default_factory=dict)  # tests that can't be used, and why


def units() -> dict[str, list[str]]:
    """What is traced at once: each file of tests, and the doctests of each room."""
    found = {}
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        name = path.relative_to(ROOT).as_posix()
        if not name.removeprefix("tests/").startswith(LEFT_OUT):
            found[name] = [name]
    for room in ROOMS:
        found[f"doctests of {room}"] = [f"core/weeptrace/{file}" for file in files(room)]
    return found


@cache
def keys(file: str) -> dict[int, int]:
    """The key of each line of a file of the core: of its function's name and its own text."""
    text = source(file)
    within = dict.fromkeys(range(1, text.count(b"\n") + 2), "")
    _name(ast.parse(text), "", within)
    return {
        number: zlib.crc32(within[number].encode() + b"\0" + line.strip())
        for number, line in enumerate(text.split(b"\n"), 1)
    }


def _name(node: ast.AST, above: str, within: dict[int, str]) -> None:
    for inner in ast.iter_child_nodes(node):
        name = above
        if isinstance(inner, ast.FunctionDef | ast.ClassDef):
            name = f"{above}.{inner.name}"
            within.update(dict.fromkeys(range(inner.lineno, (inner.end_lineno or 0) + 1), name))
        _name(inner, name, within)


class _Tracer:
    """A pytest plugin: the lines of each test, its seconds, and whether it leaves the process."""

    def __init__(self) -> None:
        self.coverage = coverage.Coverage(
            data_file=None, source=[str(CORE)], config_file=False, messages=False
        )
        self.seconds: dict[str, float] = {}
        self.apart: dict[str, str] = {}
        self.now = ""
        sys.addaudithook(self._heard)

    def _heard(self, event: str, _: Any) -> None:
        if event == "subprocess.Popen" and self.now:
            self.apart[self.now] = "starts another process"

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: Any) -> Iterator[None]:
        self.now, began = item.nodeid, time.process_time()
        self.coverage.switch_context(item.nodeid)
        try:
            return (yield)
        finally:
            self.coverage.switch_context("")
            self.seconds[self.now], self.now = time.process_time() - began, ""

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.apart[report.nodeid] = "fails without any mutant"


def _trace(paths: list[str]) -> Any:
    tracer = _Tracer()
    tracer.coverage.start()
    code = pytest.main([*child.OPTIONS, *paths], plugins=[tracer])
    tracer.coverage.stop()
    data = tracer.coverage.get_data()
    numbers = {name: number for number, name in enumerate(tracer.seconds)}
    lines = {}
    for path in data.measured_files():
        file = path.removeprefix(f"{CORE}/")
        known, kept = keys(file), dict[int, set[int]]()
        for number, contexts in data.contexts_by_lineno(path).items():
            tests = {numbers[name] for name in contexts if name in numbers}
            if tests and number in known:
                kept.setdefault(known[number], set()).update(tests)
        lines[file] = {key: sorted(tests) for key, tests in kept.items()}
    return {"code": int(code), "tests": tracer.seconds, "apart": tracer.apart, "lines": lines}


def _digest(unit: str, paths: list[str]) -> str:
    """Of the file of tests; of the examples, where they are in the core."""
    text = b"".join((ROOT / path).read_bytes() for path in paths)
    if not unit.startswith("tests"):
        lines = (line.strip() for line in text.splitlines())
        text = b"\n".join(line for line in lines if line.startswith((b">>>", b"...")))
    return hashlib.sha256(text).hexdigest()[:16]


def gather(hands: int, only: set[str] | None = None) -> Traces:
    """The traces of every file of tests, or of some; what has changed is traced first."""
    KEPT.mkdir(parents=True, exist_ok=True)
    kept, jobs = {}, []
    for unit, paths in units().items():
        if only is not None and unit not in only:
            continue
        name = unit.replace("/", "+").replace(" ", "_")
        file = kept[unit] = KEPT / f"{name}.{_digest(unit, paths)}.json"
        if not file.exists():
            work = lambda paths=paths: child.quietly(lambda: _trace(paths))  # noqa: E731
            jobs.append(Job((name, file), work, LIMIT))
    for done, job in enumerate(run(jobs, hands), 1):
        name, file = job.what
        print(f"traced {done} of {len(jobs)}: {name}", file=sys.stderr, flush=True)
        if job.answer is None:
            raise RuntimeError(f"{name} can't be traced: {job.fell}")
        for old in KEPT.glob(f"{name}.*.json"):
            old.unlink()
        file.write_text(json.dumps(job.answer), "utf-8")
    return _together([json.loads(file.read_text("utf-8")) for file in kept.values()])


def _together(parts: list[Any]) -> Traces:
    out = Traces()
    for part in parts:
        names = list(part["tests"])
        out.seconds |= part["tests"]
        out.apart |= part["apart"]
        for file, lines in part["lines"].items():
            known = out.lines.setdefault(file, {})
            for key, numbers in lines.items():
                known.setdefault(int(key), set()).update(names[n] for n in numbers)
    return out
