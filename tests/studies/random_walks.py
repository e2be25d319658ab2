"""Ten thousand random walks over whole jobs (``python3 build.py study random_walks``)."""

from __future__ import annotations

import time
from collections import Counter

from tests.job.walks import STEPS, walk
from tests.studies.report import write

WALKS = 10_000


def main() -> None:
    """Run all walks from seed 0; any broken promise raises."""
    began = time.perf_counter()
    counts: Counter[str] = Counter()
    met: Counter[str] = Counter()
    for seed in range(WALKS):
        walked = walk(seed)
        counts += walked.counts
        met.update(walked.met)
    seconds = round(time.perf_counter() - began)
    never = sorted(STEPS - set(met))
    rare = {step: met[step] for step in sorted(STEPS & set(met)) if met[step] < WALKS / 200}
    write("random_walks", {**counts, "seconds": seconds, "never_met": never, "met_rarely": rare})


if __name__ == "__main__":
    main()
