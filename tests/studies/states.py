"""The search over states of the car (``python3 build.py study states``).

Each kind of repair by itself, on two cores: one departure anywhere from the plain course and
another at each step whose acts can hurt. ``--bound`` and ``--most`` (states of each kind) give
less, ``--repairs`` some kinds; then no result file is written. ``--minutes`` ends each kind after
that long: the result then says what of it was searched whole. Prints states, edges, minutes and
peak memory; whatever dangerous act is offered fails, and so does a search that is not whole.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor, as_completed

from tests.proof.search import Found
from tests.proof.slicing import PROCEDURE
from tests.proof.states import BOUND, ELSEWHERE, HURTS, explore, peak
from tests.studies.report import write
from weeptrace.rules import load

CORES = 2
MOST = 1_000_000


def main() -> None:
    """Search all; the figures go to the results, what is dangerous to the screen."""
    kinds = list(load().fields["repair.kind"].options)
    parser = argparse.ArgumentParser(prog="build.py study states")
    parser.add_argument("--bound", type=int, default=BOUND)
    parser.add_argument("--most", type=int, default=MOST)
    parser.add_argument("--minutes", type=float, default=math.inf)
    parser.add_argument("--repairs", nargs="+", choices=kinds, default=kinds)
    options = parser.parse_args()
    began, total, most = time.perf_counter(), Found(), 0.0
    by_kind: dict[str, dict[str, float | bool]] = {}
    with ProcessPoolExecutor(CORES, max_tasks_per_child=1) as pool:
        waiting = {
            pool.submit(_part, kind, options.bound, options.most, 60.0 * options.minutes): kind
            for kind in options.repairs
        }
        for done in as_completed(waiting):
            kind, (found, memory) = waiting[done], done.result()
            total.add(found)
            most = max(most, memory)
            by_kind[kind] = {
                "states": found.states,
                "edges": found.moves,
                "searched_whole": found.whole,
                "one_departure_whole": _whole_to(found, ELSEWHERE),
                "two_where_acts_hurt_whole": _whole_to(found, 2 * HURTS),
                "minutes": round(found.seconds / 60.0, 1),
                "peak_MB": round(memory / 1e6),
                "dangerous": len(found.broken),
            }
            print(kind, by_kind[kind], flush=True)
    for words in total.broken:
        print(words)
    steps = {step.id for step in load().procedures[PROCEDURE].steps}
    if (options.bound, options.most, options.repairs) == (BOUND, MOST, kinds):
        write(
            "states",
            {
                "rules": load().hash[:12],
                "bound": BOUND,
                "states": total.states,
                "edges": total.moves,
                "searched_whole": total.whole,
                "one_departure_whole": _whole_to(total, ELSEWHERE),
                "two_where_acts_hurt_whole": _whole_to(total, 2 * HURTS),
                "minutes": round((time.perf_counter() - began) / 60.0, 1),
                "peak_MB": round(most / 1e6),
                "by_repair": dict(sorted(by_kind.items())),
                "asked": dict(total.checked),
                "steps": len(steps),
                "steps_not_offered": sorted(steps - total.steps),
                "dangerous": dict(Counter(words.split(" (")[0] for words in total.broken)),
            },
        )
    if total.broken or not total.whole:
        sys.exit(1)


def _part(kind: str, bound: int, most: int, seconds: float) -> tuple[Found, float]:
    found = explore(load(), bound=bound, repairs=(kind,), most=most, seconds=seconds)
    return found, peak()


def _whole_to(found: Found, cost: int) -> bool:
    """Whether every state of departures up to this cost was met, and all moves of it tried."""
    return found.least is None or found.least > cost


if __name__ == "__main__":
    main()
