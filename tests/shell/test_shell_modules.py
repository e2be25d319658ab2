"""What the shell computes without a browser: each ``*.test.mjs`` beside this file, run by Node."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[1] / "webshell" / "tools"))
import machine  # noqa: E402

FILES = sorted(HERE.glob("*.test.mjs"))


def told(output: str, name: str) -> int:
    """A count of Node's summary, such as ``# pass 12``."""
    (count,) = re.findall(rf"^# {name} (\d+)$", output, re.MULTILINE)
    return int(count)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name.partition(".")[0])
def test_a_module_of_the_shell(path: Path) -> None:
    done = subprocess.run(
        [*machine.node(), "--test", "--test-reporter=tap", str(path)],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    # Node counts a file that ends before its tests as one that passed.
    written = len(re.findall(r"^test\(", path.read_text("utf-8"), re.MULTILINE))
    assert told(done.stdout, "pass") == written > 1
    assert told(done.stdout, "fail") == told(done.stdout, "skipped") == 0
