"""What decides danger, weakened bit by bit, and judged by the world alone (``python3 build.py study
danger``).

Plays each weakening with technicians who tick nothing untrue, and asks compiler and search beside
it. What is judged is kept in ``build/danger/`` for the core as it is: a study that was stopped goes
on there. ``--sample N`` judges N of all and ``--group`` those of some groups; both write no result
file. ``--no-search`` leaves the search out, ``--fresh`` begins anew.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import random
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.judged.courses import OF_A_KIND, SEEDS, TRUE, Course, Unweakened, course
from tests.judged.judging import BROKEN, Judged, counted, judge
from tests.judged.kinds import KINDS
from tests.judged.listed import listed
from tests.judged.weakened import GROUPS, SEEN_BY_THE_WORLD, Weakened, weakened
from tests.studies.report import write
from weeptrace.rules import load

ROOT = Path(__file__).parents[2]
KEPT = ROOT / "build" / "danger"
CORES = 2
ASKED = 0.8  # of the weakenings of gates, that the world sees
BASE = Unweakened()
ALL = {each.name: each for each in weakened()}


def main() -> None:
    """Judge all, or what the command line asks for."""
    options = _options()
    began = time.perf_counter()
    drawn = [each for each in ALL.values() if each.group in options.group]
    if options.sample:
        drawn = random.Random(options.seed).sample(drawn, min(options.sample, len(drawn)))
    folder = KEPT / _name(options)
    if options.fresh and folder.exists():
        for file in folder.iterdir():
            file.unlink()
    folder.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(CORES) as pool:
        BASE.courses = list(_courses(pool, folder / "courses.json", options.seeds))
    print(f"{len(BASE.courses)} courses, {len(BASE.harms)} harms, {_minutes(began)}", flush=True)
    found = {each.name: each for each in _judged(drawn, folder / "judged.jsonl", options.search)}
    judged = [found[each.name] for each in drawn]
    known = listed()
    groups = {
        group: counted([each for each in judged if each.group == group], known)
        for group in options.group
    }
    gates = [each for each in judged if each.group in SEEN_BY_THE_WORLD]
    whole = counted(gates, known)
    told = {
        "rules": load().hash[:12],
        "technicians": list(TRUE),
        "courses": len(BASE.courses),
        "harms_of_the_rules_as_they_are": sorted(BASE.harms),
        "gates": {key: each for key, each in whole.items() if not isinstance(each, (list, dict))},
        "groups": groups,
        "minutes": round((time.perf_counter() - began) / 60.0, 1),
    }
    if options.sample or set(options.group) != set(GROUPS):
        print(json.dumps(told, indent=1))
        return
    write("danger", told)
    gone = sorted(set(known) - set(ALL))
    stale = [name for each in groups.values() for name in each["listed_yet_seen"]]
    if gone or stale or (whole["share_of_the_world"] or 0.0) < ASKED:
        print(f"listed and no more: {gone}; listed and seen: {stale}; asked: {ASKED:.0%}")
        sys.exit(1)


def _options() -> Any:
    parser = argparse.ArgumentParser(prog="build.py study danger")
    parser.add_argument("--sample", type=int, default=0, help="how many of all, drawn")
    parser.add_argument("--seed", type=int, default=1, help="of the draw")
    parser.add_argument("--group", nargs="+", choices=GROUPS, default=list(GROUPS))
    parser.add_argument("--seeds", type=int, default=SEEDS, help="courses of each technician")
    parser.add_argument("--no-search", dest="search", action="store_false")
    parser.add_argument("--fresh", action="store_true", help="nothing of what is kept")
    return parser.parse_args()


def _name(options: Any) -> str:
    """The folder of what is kept: by all of the core that a job runs on."""
    made = hashlib.blake2b(digest_size=8)
    for path in sorted((ROOT / "core" / "weeptrace").rglob("*")):
        if path.suffix in (".py", ".toml") and "/text/" not in path.as_posix():
            made.update(path.read_bytes())
    return f"{made.hexdigest()}-{options.seeds}{'' if options.search else '-world'}"


def _courses(pool: ProcessPoolExecutor, kept: Path, seeds: int) -> Iterator[Course]:
    if kept.exists():
        for each in json.loads(kept.read_text("utf-8")):
            pairs = frozenset((gate, step) for gate, step in each.pop("behind"))
            words = {key: frozenset(each.pop(key)) for key in ("steps", "fields", "harms")}
            yield Course(behind=pairs, **words, **each)
        return
    drawn = [(who, seed, "") for seed in range(seeds) for who in TRUE]
    drawn += [(who, seed, kind) for kind in KINDS if kind for who, seed in OF_A_KIND]
    waiting = [pool.submit(_course, *each) for each in drawn]
    made = [each for each in (done.result() for done in waiting) if each is not None]
    kept.write_text(json.dumps([asdict(each) for each in made], default=sorted), "utf-8")
    yield from made


def _course(technician: str, seed: int, kind: str) -> Course | None:
    try:
        return course(technician, seed, kind)
    except BROKEN as problem:
        print(f"{technician} {seed} {kind} is left out: {problem!r}", flush=True)
        return None


def _judged(drawn: list[Weakened], kept: Path, search: bool) -> Iterator[Judged]:
    """Those that are kept, then the others as they come."""
    lines = kept.read_text("utf-8").splitlines() if kept.exists() else []
    known = [Judged(**json.loads(line)) for line in lines]
    yield from known
    left = [each for each in drawn if each.name not in {one.name for one in known}]
    began = time.perf_counter()
    with ProcessPoolExecutor(CORES) as pool, kept.open("a", encoding="utf-8") as file:
        waiting = [pool.submit(_judge, each.name, search) for each in left]
        for number, done in enumerate(as_completed(waiting), 1):
            judged = done.result()
            file.write(json.dumps(asdict(judged)) + "\n")
            file.flush()
            seen = [word for word in ("refused", "searched", "hurt") if getattr(judged, word)]
            print(
                f"{number}/{len(left)} {_minutes(began)} {judged.group} {judged.name}: "
                f"{', '.join(seen) or ('none' if judged.changes else 'same')} "
                f"({judged.other}/{judged.jobs}/{judged.met}) {judged.hurt}",
                flush=True,
            )
            yield judged


def _judge(name: str, search: bool) -> Judged:
    return judge(ALL[name], BASE, search=search)  # BASE came with the fork


def _minutes(began: float) -> str:
    return f"{(time.perf_counter() - began) / 60.0:.1f} min"


if __name__ == "__main__":
    main()
