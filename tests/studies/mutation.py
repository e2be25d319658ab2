"""Every gate, caution, way back and expiry removed, weakened or swapped, one at a time
(``python3 build.py study mutation``).

Fails where a mutant survives that is not listed in ``tests/proof/harmless.toml``, and where one
that is listed there is caught after all, or is no longer made.
"""

from __future__ import annotations

import sys
import time
from multiprocessing import Pool

from tests.proof.mutants import mutants
from tests.proof.mutation import Caught, harmless, hunt, study
from tests.studies.report import write
from weeptrace.rules import load

ALL = mutants()


def _hunt(number: int) -> Caught:
    return hunt(ALL[number])


def main() -> None:
    """Hunt all mutants on all cores; the figures go to the results."""
    began = time.perf_counter()
    with Pool() as pool:
        found = pool.map(_hunt, range(len(ALL)), chunksize=1)
    for mutant, caught in zip(ALL, found, strict=True):
        print(f"{mutant.kind:8} {mutant.name}: {caught.by or 'survives'} {caught.words}")
    outcome = study(zip(ALL, found, strict=True), harmless(), whole=True)
    write(
        "mutation",
        {
            "rules": load().hash[:12],
            "mutants": len(ALL),
            "by_kind": outcome.caught,
            "harmless": outcome.harmless,
            "unlisted_survivors": outcome.unlisted,
            "listed_yet_caught": outcome.stale,
            "seconds": round(time.perf_counter() - began),
        },
    )
    if outcome.failed:
        sys.exit(1)


if __name__ == "__main__":
    main()
