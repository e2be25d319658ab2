"""Slips in the code of the core, one at a time, against the tests (``python3 build.py study
mutants``): 600 drawn with a fixed seed, shared out over the rooms.

Fails where slips that survive bring a room below 88 % or the whole below 92 %, and where one that
``tests/mutants/equivalent/`` lists as harmless is caught. Survivors are in the result file and
printed. ``--room``, ``--file``, ``--replay`` run a part and write no result file; ``--list`` prints
the survivors of the last whole run.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import time
from pathlib import Path
from typing import Any

from tests.mutants import child, hunt, sample, traces
from tests.mutants.operators import Mutant
from tests.studies.report import RESULTS, write

ROOM, WHOLE = 0.88, 0.92


def main() -> None:
    """Run what the command line asks for."""
    options = _options()
    if options.list:
        told = json.loads((RESULTS / "mutants.json").read_text("utf-8"))
        for room in told["rooms"].values():
            for each in room["survivors"]:
                print(f"{each['at']}\n  - {each['before']}\n  + {each['after']}")
        return
    child.prepare("CoolProp.CoolProp")
    began = time.perf_counter()
    drawn = _drawn(options)
    known = traces.gather(options.hands, _near(drawn) if options.near else None)
    found = hunt.hunt(drawn, known, options.hands)
    rooms, stale = hunt.by_room(found)
    for each in stale:
        print(f"listed as harmless, yet caught by {each.by}: {_told(each)}")
    for name, room in rooms.items():
        print(f"\n{name}: {len(room.caught)} of {len(room.caught) + len(room.survived)} caught, "
              f"{len(room.listed)} harmless")  # fmt: skip
        for each in room.survived:
            told = _told(each)
            print(
                f"{told['at']}  ({each.ran} tests ran)\n  - {told['before']}\n  + {told['after']}"
            )
    if options.part:
        return
    low = {name: room.share for name, room in rooms.items() if room.share < ROOM}
    caught = sum(len(room.caught) for room in rooms.values())
    counted = caught + sum(len(room.survived) for room in rooms.values())
    left = {test: round(s) for test, s in known.seconds.items() if s > hunt.LONGEST}
    write(
        "mutants",
        {
            "seed": options.seed,
            "run": len(found),
            "caught": caught,
            "share": round(caught / counted, 3),
            "rooms": {name: _room(room) for name, room in rooms.items()},
            "listed_yet_caught": [_told(each) for each in stale],
            "tests_left_out_as_long": left,
            "tests_left_out": known.apart,
            "seconds": round(time.perf_counter() - began),
        },
    )
    if low or stale or caught < WHOLE * counted:
        print(f"Below {ROOM:.0%}: {low}; the whole: {caught / counted:.1%} (asked: {WHOLE:.0%})")
        sys.exit(1)


def _options() -> Any:
    parser = argparse.ArgumentParser(prog="build.py study mutants")
    parser.add_argument("--room", nargs="+", choices=sample.ROOMS, help="slips of some rooms")
    parser.add_argument("--file", help="of one file only, such as hold/fit.py")
    parser.add_argument("--replay", help="one by its id, or all on a line: hold/fit.py:120")
    parser.add_argument("--count", type=int, help="how many: 600, or 40 of each room or of a file")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--hands", type=int, default=2, help="how many at a time")
    parser.add_argument("--near", action="store_true", help="only the room's own tests: quick")
    parser.add_argument("--list", action="store_true", help="survivors of the last whole run")
    options = parser.parse_args()
    options.part = any((options.room, options.file, options.replay, options.count, options.near))
    return options


def _drawn(options: Any) -> list[Mutant]:
    """The slips that the command line asks for."""
    if options.replay:
        file = options.replay.split(":")[0]
        asked = [
            mutant for mutant in sample.every(file)
            if f"{mutant.id}:".startswith(f"{options.replay}:")
            and mutant.compiles(sample.source(file))
        ]  # fmt: skip
        if not asked:
            sys.exit(f"No slip is made at {options.replay}.")
        return asked
    if options.file:
        return sample.draw([options.file], options.count or 40, options.seed)
    if options.room:
        shares = dict.fromkeys(options.room, options.count or 40)
    else:
        shares = sample.shares(options.count or 600)
    return [
        mutant
        for room, count in shares.items()
        for mutant in sample.draw(sample.files(room), count, options.seed)
    ]


def _near(drawn: list[Mutant]) -> set[str]:
    """The tests in the folders of the rooms, or that import the single files; the doctests."""
    rooms = {sample.room_of(mutant.file) for mutant in drawn}
    folders = tuple(f"tests/{room}/" for room in rooms)
    ends = tuple(f"_{room}" for room in rooms)  # such as test_hold_door.py
    modules = [Path(file).stem for room in rooms for file in sample.SINGLE.get(room, ())]
    out = {f"doctests of {room}" for room in rooms}
    for unit in traces.units():
        if unit.startswith("tests"):
            lines = (sample.ROOT / unit).read_text("utf-8").splitlines()
            imported = [line for line in lines if line.startswith(("from weeptrace", "import"))]
            named = any(re.search(rf"\b{name}\b", line) for name in modules for line in imported)
            near = unit.startswith(folders) or unit.removesuffix(".py").endswith(ends)
            out |= {unit} if named or near else set()
    return out


def _told(each: hunt.Hunted) -> dict[str, str]:
    before, after = each.mutant.shown(sample.source(each.mutant.file))
    return {"at": each.mutant.id, "before": before, "after": after}


def _room(room: hunt.Room) -> dict[str, Any]:
    return {
        "run": len(room.caught) + len(room.survived) + len(room.listed),
        "caught": len(room.caught),
        "survivors": [_told(each) for each in room.survived],
        "listed_as_harmless": [_told(each) for each in room.listed],
    }


if __name__ == "__main__":
    main()
