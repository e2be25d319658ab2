"""The search over all that can happen to a job (``python3 build.py study search``).

All slices without a bound, then the whole procedure with at most one departure from its plain
course. Prints states searched and how often each invariant was asked; any that breaks fails.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.proof.never_broken import never_broken
from tests.proof.search import Found
from tests.proof.slices import slices
from tests.proof.slicing import PROCEDURE, prove
from tests.proof.walk import WIDE, walk
from tests.studies.report import write
from weeptrace.rules import load

DEPARTURES = 1


def main() -> None:
    """Search all; the figures go to the results, broken invariants to the screen."""
    rules = load()
    exact, names = Found(), Counter[str]()
    for piece in slices(rules):
        found = prove(piece)
        exact.add(found)
        names[piece.kind] += 1
        print(
            f"{piece.name:48} {found.states:8} {found.moves:9} {found.seconds:7.1f} s", flush=True
        )
    whole = walk(rules, DEPARTURES, free=WIDE)
    told = never_broken(rules)
    broken = [*exact.broken, *whole.broken, *([told] if told else [])]
    steps = {step.id for step in rules.procedures[PROCEDURE].steps}
    write(
        "search",
        {
            "rules": rules.hash[:12],
            "slices": sum(names.values()),
            "slices_by_kind": dict(names),
            "slices_states": exact.states,
            "slices_moves": exact.moves,
            "slices_searched_whole": exact.whole,
            "slices_asked": dict(exact.checked),
            "slices_seconds": round(exact.seconds),
            "course_departures": DEPARTURES,
            "course_states": whole.states,
            "course_moves": whole.moves,
            "course_searched_whole": whole.whole,
            "course_ended": whole.ended,
            "course_asked": dict(whole.checked),
            "course_seconds": round(whole.seconds),
            "steps": len(steps),
            "steps_not_offered_in_the_course": sorted(steps - whole.steps),
            "broken": broken,
        },
    )
    if broken or not exact.whole or not whole.whole:
        sys.exit(1)


if __name__ == "__main__":
    main()
