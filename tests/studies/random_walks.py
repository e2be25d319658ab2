"""Ten thousand random walks over whole jobs (``python3 build.py study random_walks``)."""

from __future__ import annotations

import time
from collections import Counter

from tests.job.walks import walk
from tests.studies.report import write

WALKS = 10_000


def main() -> None:
    """Run all walks from seed 0; any broken promise raises."""
    began = time.perf_counter()
    counted: Counter[str] = Counter()
    for seed in range(WALKS):
        counted.update(walk(seed))
    write(
        "random_walks", {"walks": WALKS, **counted, "seconds": round(time.perf_counter() - began)}
    )


if __name__ == "__main__":
    main()
