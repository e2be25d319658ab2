"""Steps of a build: said while they run, with seconds; done again only when an input changed."""

from __future__ import annotations

import hashlib
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BUILD = ROOT / "build"
IGNORED = {"__pycache__", "node_modules", ".DS_Store"}


class Stop(Exception):  # noqa: N818 - the run stops here, with words
    """The run can't go on; the message says why and what to do."""


@contextmanager
def step(words: str) -> Iterator[None]:
    """Say what runs, that it still runs (every 15 s), and how long it took."""
    start = time.monotonic()
    ended = threading.Event()

    def still() -> None:
        while not ended.wait(15):
            print(f"  {words}: {time.monotonic() - start:.0f} s so far", flush=True)

    print(f"  {words} ...", flush=True)
    threading.Thread(target=still, daemon=True).start()
    try:
        yield
    finally:
        ended.set()
    print(f"  {words}: {time.monotonic() - start:.1f} s", flush=True)


def run(command: list[str | Path], **options: object) -> None:
    """Run a command, quiet unless it fails; then show all it said and stop."""
    options = {"cwd": ROOT, **options}
    done = subprocess.run(
        [str(part) for part in command],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **options,  # type: ignore[call-overload]
    )  # fmt: skip
    if done.returncode:
        sys.stderr.write(done.stdout)
        words = " ".join(Path(str(part)).name for part in command[:4])
        raise Stop(f"{words} ended with status {done.returncode}; what it said stands above.")


def files_of(paths: Iterable[Path]) -> list[Path]:
    """All files of these files and folders, sorted, without what tools leave behind."""
    found = []
    for path in paths:
        for file in path.rglob("*") if path.is_dir() else [path]:
            if file.is_file() and not IGNORED & set(file.relative_to(path).parts):
                found.append(file)
    return sorted(found)


def digest(paths: Iterable[Path], *more: str) -> str:
    """SHA-256 over the names and contents of files and folders."""
    total = hashlib.sha256()
    for file in files_of(paths):
        content = hashlib.sha256(file.read_bytes()).hexdigest()
        total.update(f"{file.relative_to(ROOT)} {content}\n".encode())
    total.update("\n".join(more).encode())
    return total.hexdigest()


def once(
    words: str, stamp: Path, inputs: str, outputs: list[Path], make: Callable[[], None]
) -> None:
    """Run ``make``, unless it has run on these inputs and its outputs are as it left them."""
    if stamp.is_file() and stamp.read_text() == f"{inputs} {digest(outputs)}":
        return
    stamp.unlink(missing_ok=True)
    with step(words):
        make()
    stamp.parent.mkdir(parents=True, exist_ok=True)
    stamp.write_text(f"{inputs} {digest(outputs)}")
