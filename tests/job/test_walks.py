"""Two hundred and forty random walks; ten thousand are a study (`build.py study random_walks`)."""

from __future__ import annotations

import json
import time
from collections import Counter
from pathlib import Path

import pytest

from tests.job.steady import RULES
from tests.job.walks import STEPS, walk
from tests.logbook import Logbook
from weeptrace.job.advance import advance
from weeptrace.job.state import EMPTY

WALKS, PARTS = 240, 4
# What only two rare answers lead to; the study of ten thousand names what it never met.
RARE = {
    "after_off", "after_off_close", "broken_method_plastic", "ceiling_stop", "dry_off",
    "level_later", "level_now",
    "test_fill", "test_off", "test_off_cap", "test_whole", "watch_fill", "watch_whole",
}  # fmt: skip


@pytest.mark.parametrize("part", range(PARTS))
def test_no_walk_breaks_loses_or_differs(part: int, shared: Path) -> None:
    counts: Counter[str] = Counter()
    met: set[str] = set()
    for seed in range(part, WALKS, PARTS):
        walked = walk(seed)
        counts += walked.counts
        met |= walked.met
    print(f"\n{dict(counts)}")
    each = counts["walks"]
    assert counts["events"] > 60 * each
    assert counts["refused"] > each
    assert counts["superseded"] > each
    assert counts["closed"] > 0.3 * each
    (shared / f"{part}.json").write_text(json.dumps(sorted(met)), "utf-8")
    told = [json.loads(path.read_text("utf-8")) for path in shared.glob("*.json")]
    if len(told) == PARTS:  # the last part to end looks at all of them
        assert set().union(*told) >= STEPS - RARE


@pytest.fixture
def shared(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """A folder that all hands of this run share."""
    base = tmp_path_factory.getbasetemp()
    folder = (base if worker_id == "master" else base.parent) / "walks"
    folder.mkdir(exist_ok=True)
    return folder


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
