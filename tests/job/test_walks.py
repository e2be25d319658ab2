"""A thousand random walks; ten thousand are a study (`build.py study random_walks`)."""

from __future__ import annotations

import os
import random
import time
from collections import Counter

import pytest

from tests.job.walks import RULES, walk
from tests.logbook import Logbook
from weeptrace.job.advance import advance
from weeptrace.job.state import EMPTY

WALKS, PARTS = 125, 8


@pytest.mark.parametrize("part", range(PARTS))
def test_no_walk_breaks_loses_or_differs(part: int) -> None:
    given = os.environ.get("WEEPTRACE_SEED")
    first = int(given) + part * WALKS if given else random.SystemRandom().randrange(10**6)
    counted: Counter[str] = Counter()
    for seed in range(first, first + WALKS):
        counted.update(walk(seed))
    print(f"\n{WALKS} walks from seed {first}: {dict(counted)}")
    assert counted["events"] > 30 * WALKS
    assert counted["refused"] > WALKS
    assert counted["superseded"] > WALKS


def test_the_cost_of_one_more_event_does_not_grow_with_the_job() -> None:
    log = Logbook()
    job = advance(RULES, EMPTY, log.events[0])
    cost: dict[int, float] = {}
    for number in range(1, 4001):
        log.now += 60.0
        event = log.add("reading", "hold.pressure", "100", "kPa")
        if number in (100, 4000):
            again = []
            for _ in range(200):
                start = time.perf_counter()
                advance(RULES, job, event)
                again.append(time.perf_counter() - start)
            cost[number] = sorted(again)[len(again) // 2]
        job = advance(RULES, job, event)
    print(f"\nadvance: {1e6 * cost[100]:.0f} us at 100 events, {1e6 * cost[4000]:.0f} us at 4000")
    # Forty times as many events; persistent maps grow by the logarithm, a copy would by forty.
    assert cost[4000] < 5.0 * cost[100]
