"""What runs in a forked child: pytest on some tests, with one file of the core replaced.

The parent has imported what is not ours, so that a child begins at once. Nothing is written into
the tree: no byte code, no caches; Hypothesis draws the same examples each time.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Sequence
from importlib import import_module
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from pathlib import Path
from typing import Any

import pytest

from tests.mutants.sample import CORE, ROOT

OPTIONS = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--no-header", "--no-summary",
           "-o", "addopts=--doctest-modules", "-o", "timeout=0",
           "-W", "ignore::pytest.PytestAssertRewriteWarning"]  # fmt: skip
FILES_A_ROUND = 6


class Changed(MetaPathFinder):
    """Serves one file of the core from a text in memory."""

    def __init__(self, file: str, text: bytes) -> None:
        dotted = ["weeptrace", *Path(file).with_suffix("").parts]
        self.name = ".".join(dotted[:-1] if dotted[-1] == "__init__" else dotted)
        self.path, self.text = str(CORE / file), text

    def find_spec(self, name: str, path: Any, target: Any = None) -> ModuleSpec | None:
        """The spec of the changed module; of no other."""
        if name != self.name:
            return None
        spec = PathFinder.find_spec(name, path)
        if spec is not None:
            spec.loader = _Loader(name, self.path, self.text)
        return spec


class _Loader(SourceFileLoader, Loader):
    def __init__(self, name: str, path: str, text: bytes) -> None:
        super().__init__(name, path)
        self.text = text

    def get_code(self, fullname: str) -> Any:
        return compile(self.text, self.path, "exec", dont_inherit=True)


def prepare(*dear: str) -> None:
    """In the parent: import what is not ours. The core and the tests stay out.

    ``dear``: modules that take seconds to import and that only some tests use.
    """
    import fastjsonschema  # noqa: F401
    import hypothesis.strategies  # noqa: F401
    import numpy  # noqa: F401
    import pint
    import pyrsistent  # noqa: F401
    from hypothesis import Phase, settings

    pint.UnitRegistry  # noqa: B018
    for name in dear:
        import_module(name)
    phases = (Phase.explicit, Phase.generate)
    settings.register_profile(
        "mutants", derandomize=True, database=None, deadline=None, phases=phases
    )
    settings.load_profile("mutants")
    sys.dont_write_bytecode = True
    for folder in (str(ROOT), str(CORE.parent)):
        if folder not in sys.path:
            sys.path.insert(0, folder)
    os.chdir(ROOT)
    ours = [name for name in sys.modules if name.split(".")[0] == "weeptrace"]
    if ours:
        raise RuntimeError(f"the core is loaded before the fork: {ours}")


class Chosen:
    """Keeps the wanted tests in the wanted order, and notes the first failure."""

    def __init__(self, wanted: Sequence[str], changed: Changed | None) -> None:
        self.changed = changed
        self.order = {name: number for number, name in enumerate(wanted)}
        self.failed = ""
        self.ran = 0

    def pytest_sessionstart(self) -> None:
        if self.changed:  # before pytest's own finder, which reads files with doctests itself
            sys.meta_path.insert(0, self.changed)

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = [item for item in items if item.nodeid in self.order]
        items.sort(key=lambda item: self.order[item.nodeid])

    def pytest_collectreport(self, report: Any) -> None:
        if report.failed:
            self.failed = self.failed or f"import of {report.nodeid}"

    def pytest_runtest_logreport(self, report: Any) -> None:
        self.ran += report.when == "call"
        if report.failed:
            self.failed = self.failed or report.nodeid


def judge(file: str, text: bytes | None, tests: Sequence[str], first: bool = True) -> Any:
    """The test that fails with this text of a file (``None``: as it is), and how many ran.

    ``first``: stop there; else every failing one is told.
    """
    changed = None if text is None else Changed(file, text)
    paths = list(dict.fromkeys(test.split("::")[0] for test in tests))
    ran, failed = 0, []
    while paths:
        now, paths = paths[:FILES_A_ROUND], paths[FILES_A_ROUND:]
        wanted = [test for test in tests if test.split("::")[0] in now]
        while True:
            chosen = Chosen(wanted, changed)
            pytest.main([*OPTIONS, "-x", *now], plugins=[chosen])
            ran += chosen.ran
            if not chosen.failed:
                break
            failed.append(chosen.failed)
            if first or chosen.failed not in wanted:
                break
            wanted.remove(chosen.failed)
        if failed and first:
            break
    return {"failed": failed, "ran": ran}


def quietly(work: Callable[[], Any]) -> Any:
    """Do some work with standard output and error thrown away."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    began = time.process_time()
    return {**work(), "seconds": round(time.process_time() - began, 2)}
