"""Jobs in forked children, some at a time; one that hangs is ended."""

from __future__ import annotations

import json
import os
import resource
import select
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

SLOW_MACHINE = 8  # times the processor's seconds that a child may take by the clock


@dataclass
class Job:
    """Some work, its limit in seconds of the processor, and what it brought."""

    what: Any
    work: Callable[[], Any]
    limit: float
    answer: Any = None  # None where it hung or fell
    fell: str = ""
    began: float = field(default=0, init=False)
    said: bytes = field(default=b"", init=False)


def run(jobs: Iterable[Job], hands: int) -> Iterator[Job]:
    """Each job done, in the order in which they end."""
    waiting, running = iter(jobs), dict[int, tuple[Job, int]]()
    try:
        while True:
            while len(running) < hands and (job := next(waiting, None)) is not None:
                pipe, pid = _begin(job)
                running[pipe] = (job, pid)
            if not running:
                return
            yield from _ended(running)
    finally:
        for _, pid in running.values():
            os.killpg(pid, signal.SIGKILL)


def _ended(running: dict[int, tuple[Job, int]]) -> Iterator[Job]:
    """Listen for a second: the jobs that ended meanwhile."""
    ready, _, _ = select.select(list(running), [], [], 1.0)
    for pipe, (job, pid) in list(running.items()):
        if time.monotonic() - job.began > job.limit * SLOW_MACHINE:
            os.killpg(pid, signal.SIGKILL)
        if pipe in ready and (part := os.read(pipe, 1 << 20)):
            job.said += part
        elif pipe in ready:
            del running[pipe]
            _end(job, pipe, pid)
            yield job


def _begin(job: Job) -> tuple[int, int]:
    out, into = os.pipe()
    sys.stdout.flush()
    sys.stderr.flush()
    job.began = time.monotonic()
    pid = os.fork()
    if pid:
        os.close(into)
        return out, pid
    try:
        os.setsid()
        os.close(out)
        seconds = int(job.limit) + 1
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        try:
            answer = {"answer": job.work()}
        except BaseException:
            answer = {"fell": traceback.format_exc()}
        with os.fdopen(into, "wb") as pipe:
            pipe.write(json.dumps(answer).encode())
    finally:
        os._exit(0)


def _end(job: Job, pipe: int, pid: int) -> None:
    os.close(pipe)
    _, status = os.waitpid(pid, 0)
    try:
        said = json.loads(job.said)
        job.answer, job.fell = said.get("answer"), said.get("fell", "")
    except ValueError:
        job.fell = f"ended by signal {os.WTERMSIG(status)}"
