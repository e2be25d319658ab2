"""The order of a whole run by several workers: what takes long begins first, dealt out evenly.

Each worker begins with its share of the list and helps the busiest when that is done; what is short
stands last, so none waits at the end for one long test of another. And every kind of refusal that
any test provokes is held to its figures.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path
from typing import Any, Final

import pytest

from tests.refusals import holds_with_its_figures
from weeptrace.refusal import Refusal

# Two files of this name can't both be looked through for examples; neither has one.
collect_ignore: Final = ["conftest.py", "browser/conftest.py"]

TESTS: Final = Path(__file__).parent
BROWSER: Final = TESTS / "browser"
LONG: Final = tuple(TESTS / name for name in ("proof", "mutants", "release", "job/test_walks.py"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Deal the tests to as many workers as there are."""
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    if workers > 1:
        items[:] = dealt(items, workers)


def dealt(items: Sequence[pytest.Item], workers: int) -> list[pytest.Item]:
    """The tests as equal shares one after the other; a browser's file stays with one worker.

    Half of the workers begin with a browser, the others with what computes long, for a browser
    waits much. A file of the browser's tests shares a phone; of the other long ones each test
    stands by itself.
    """
    browser = [item for item in items if item.path.is_relative_to(BROWSER)]
    long = [item for item in items if any(item.path.is_relative_to(each) for each in LONG)]
    first = {*browser, *long}
    short = [item for item in items if item not in first]
    shares: list[list[pytest.Item]] = [[] for _ in range(workers)]
    files = [list(group) for _, group in groupby(browser, key=lambda item: item.path)]
    hands = workers // 2
    for number, group in enumerate(files):
        turn = number % (2 * hands)  # there and back: who got the first of a round gets its last
        shares[min(turn, 2 * hands - 1 - turn)] += group
    for number, item in enumerate(long):
        shares[hands + number % (workers - hands)].append(item)
    made: list[pytest.Item] = []
    for number, share in enumerate(shares):
        left = len(items) * (number + 1) // workers - len(made) - len(share)
        made += share + short[: max(left, 0)]
        short = short[max(left, 0) :]
    return made + short


_seen: set[tuple[str, str]] = set()
_provoked: list[Refusal] = []


@pytest.fixture(scope="session", autouse=True)
def noted() -> Iterator[None]:
    """Notes the first refusal of each sentence with each of what it accepts."""
    with pytest.MonkeyPatch.context() as patch:
        made = Refusal.__init__

        def init(self: Refusal, *given: Any, **more: Any) -> None:
            made(self, *given, **more)
            kind = self.text, self.range.text
            if kind not in _seen:
                _seen.add(kind)
                _provoked.append(self)

        patch.setattr(Refusal, "__init__", init)
        yield


@pytest.fixture(autouse=True)
def refusals_hold_with_their_figures(noted: None) -> Iterator[None]:
    """What a test provoked for the first time has all figures that its sentence names."""
    yield
    while _provoked:
        holds_with_its_figures(_provoked.pop().as_dict())
