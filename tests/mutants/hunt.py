"""Each slip against the tests that run its line, cheapest and nearest first."""

from __future__ import annotations

import sys
import tomllib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.mutants import child
from tests.mutants.forks import Job, run
from tests.mutants.operators import Mutant
from tests.mutants.sample import room_of, source
from tests.mutants.traces import Traces, keys

LONGEST = 15.0  # s traced; a longer test is left out
NOTHING = 0.01  # s
ON_LINE, ON_FILE, ELSEWHERE = 12.0, 4.0, 3.0  # s of tests, where none of them fails
# Slips that change nothing anybody could see, a file a room, each an [[equivalent]] with: file,
# under core/weeptrace; before and after, the line as it stands and as it becomes, blanks at its
# ends left out; reason.
LISTED = Path(__file__).with_name("equivalent")


@dataclass
class Hunted:
    """A slip, what caught it ("" where nothing did), and how many tests ran."""

    mutant: Mutant
    by: str
    ran: int
    seconds: float = 0.0


@dataclass
class Room:
    """What became of a room's slips."""

    caught: list[Hunted] = field(default_factory=list)
    survived: list[Hunted] = field(default_factory=list)
    listed: list[Hunted] = field(default_factory=list)

    @property
    def share(self) -> float:
        """Caught, of those that are not listed as harmless."""
        counted = len(self.caught) + len(self.survived)
        return len(self.caught) / counted if counted else 1.0


def to_meet(mutant: Mutant, traces: Traces) -> list[str]:
    """The tests that run the line, then some that run the file, then some that import it."""
    known, lines = keys(mutant.file), traces.lines.get(mutant.file, {})
    text = source(mutant.file)
    last = mutant.line + text[mutant.start : mutant.end].count(b"\n")
    at = 1 + text.count(b"\n", 0, mutant.start)
    on_line = {
        test
        for number in {mutant.line, *range(at, last + 1)}
        for test in lines.get(known.get(number, -1), ())
    }
    on_file = {test for tests in lines.values() for test in tests}
    room = room_of(mutant.file)
    near = {t for t in traces.seconds if _folder(t) in (room, f"doctests of {room}")}
    later = {t for t in traces.seconds if _folder(t) in ("job", "screen", "door", "rules")}
    out: list[str] = []
    for some, seconds in ((on_line, ON_LINE), (on_file, ON_FILE), (near | later, ELSEWHERE)):
        out += _cheapest(some - set(out), seconds, room, traces)
    return out


def _folder(test: str) -> str:
    parts = test.split("/")
    if parts[0] == "core":
        return f"doctests of {room_of('/'.join(parts[2:]).split('::')[0])}"
    return parts[1]


def _cheapest(tests: set[str], seconds: float, room: str, traces: Traces) -> Iterator[str]:
    files: dict[str, list[str]] = {}
    for test in tests:
        if test not in traces.apart and traces.seconds[test] <= LONGEST:
            files.setdefault(test.split("::")[0], []).append(test)

    def rank(file: str) -> tuple[bool, bool, float]:
        folder = _folder(file)
        mine = folder in (room, f"doctests of {room}")
        cost = sum(traces.seconds[test] for test in files[file]) / len(files[file])
        return not mine, folder in ("screen", "job", "proof"), cost

    # Each test once, with the values that cost least, before any with its next values, which tell
    # much the same; those that cost next to nothing at once.
    order: list[tuple[tuple[bool, bool], int, float, str]] = []
    for file, some in files.items():
        seen: Counter[str] = Counter()
        for test in sorted(some, key=lambda test: traces.seconds[test]):
            cost, name = traces.seconds[test], test.split("[")[0]
            order.append((rank(file)[:2], seen[name] if cost > NOTHING else 0, cost, test))
            seen[name] += 1
    chosen: dict[str, list[str]] = {}
    for _, _, cost, test in sorted(order):
        seconds -= cost
        if seconds < 0:
            break
        chosen.setdefault(test.split("::")[0], []).append(test)
    for file in sorted(chosen, key=rank):
        yield from sorted(chosen[file], key=lambda test: traces.seconds[test])


def hunt(sample: Sequence[Mutant], traces: Traces, hands: int) -> list[Hunted]:
    """Each slip hunted. Raises where a test that caught one also fails without it."""
    jobs = [_job(mutant, traces) for mutant in sample]
    out = []
    for done, job in enumerate(run(jobs, hands), 1):
        answer = job.answer or {"failed": [job.fell.strip().splitlines()[-1]], "ran": 0}
        by = answer["failed"][0] if answer["failed"] else ""
        found = Hunted(job.what, by, answer["ran"], answer.get("seconds", 0.0))
        out.append(found)
        print(f"{done}/{len(jobs)} {job.what.id}: {by or 'SURVIVES'}", file=sys.stderr, flush=True)
    _must_pass_without({each.by for each in out} & set(traces.seconds), hands)
    order = {mutant.id: number for number, mutant in enumerate(sample)}
    return sorted(out, key=lambda each: order[each.mutant.id])


def _job(mutant: Mutant, traces: Traces) -> Job:
    tests = to_meet(mutant, traces)
    limit = 30 + 3 * sum(traces.seconds[test] for test in tests)
    text = mutant.source(source(mutant.file))
    work = lambda: child.quietly(lambda: child.judge(mutant.file, text, tests))  # noqa: E731
    return Job(mutant, work, limit)


def _must_pass_without(catchers: set[str], hands: int) -> None:
    """A test that fails for another reason has caught nothing."""
    jobs = []
    for at in range(hands):
        some = sorted(catchers)[at::hands]
        work = lambda some=some: child.quietly(  # noqa: E731
            lambda: child.judge("", None, some, first=False)
        )
        jobs.append(Job(None, work, 3600))
    failing = []
    for job in run(jobs, hands):
        if job.answer is None:
            raise RuntimeError(job.fell)
        failing += job.answer["failed"]
    if failing:
        raise RuntimeError(f"These fail without any mutant, so they prove nothing: {failing}")


def listed() -> list[dict[str, Any]]:
    """The slips that change nothing that anybody could see, each with its reason."""
    files = sorted(LISTED.glob("*.toml"))
    return [
        entry for each in files for entry in tomllib.loads(each.read_text("utf-8"))["equivalent"]
    ]


def entry_of(mutant: Mutant, entries: list[dict[str, Any]]) -> dict[str, Any] | None:
    """The entry that speaks of a slip, by its file and its lines before and after."""
    before, after = mutant.shown(source(mutant.file))
    told = (mutant.file, before, after)
    return next((e for e in entries if (e["file"], e["before"], e["after"]) == told), None)


def by_room(found: Sequence[Hunted]) -> tuple[dict[str, Room], list[Hunted]]:
    """What became of each room's slips, and those that are listed as harmless yet were caught."""
    rooms: dict[str, Room] = {}
    stale, entries = [], listed()
    for each in found:
        room = rooms.setdefault(room_of(each.mutant.file), Room())
        harmless = entry_of(each.mutant, entries)
        if each.by:
            room.caught.append(each)
            if harmless:
                stale.append(each)
        else:
            (room.listed if harmless else room.survived).append(each)
    return rooms, stale
