"""The integration of any leak's course, on one that has a closed form."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from weeptrace.hold.march import Balance, by_segments, march, still

# dy/dt = drift - k (y - floor): rate k, law floor, then the drift and the start.
K, FLOOR, DRIFT, FIRST = 0.02, 3.0, 0.05, 100.0


def decaying(k: float, floor: float, drift: float, first: float, start: float = 0.0) -> Balance:
    return Balance(
        lambda t: (first + drift * (t - start), (0.0, 0.0, t - start, 1.0)),
        lambda y: -k * (y - floor),
        lambda y: (-k * (y - floor), -k, -(y - floor), k),
        lambda y: (2.0 * y, 2.0),  # a gauge that shows twice as much
    )


def closed(k: float, floor: float, drift: float, first: float, t: float) -> float:
    rest = floor + drift / k
    return 2.0 * (rest + (first - rest) * math.exp(-k * t))


@pytest.mark.parametrize("start", [0.0, 0.1, 17.3])
def test_course_and_derivatives_are_those_of_the_closed_form(start: float) -> None:
    values = [K, FLOOR, DRIFT, FIRST]
    ages = [0.0, 0.2, 7.0, 33.3, 60.0, 100.0]
    times = [start + age for age in ages]
    found, rows = march(decaying(K, FLOOR, DRIFT, FIRST, start), times, start, times[-1], 40)
    assert found == pytest.approx([closed(*values, age) for age in ages], rel=1e-6)
    for j, value in enumerate(values):
        step = 1e-5 * value
        up, down = list(values), list(values)
        up[j], down[j] = value + step, value - step
        for age, row in zip(ages, rows, strict=True):
            slope = (closed(*up, age) - closed(*down, age)) / (2.0 * step)
            assert row[j] == pytest.approx(slope, rel=1e-4, abs=1e-6), (j, age)


def test_finer_steps_err_by_the_fourth_power() -> None:
    balance, wanted = decaying(K, FLOOR, DRIFT, FIRST), closed(K, FLOOR, DRIFT, FIRST, 100.0)
    coarse, fine = (
        abs(march(balance, [100.0], 0.0, 100.0, n)[0][0] - wanted) / wanted for n in (5, 10)
    )
    assert 13.0 < coarse / fine < 24.0


def test_the_last_moment_is_answered_whatever_the_rounding() -> None:
    for k in range(1, 200):
        start = 0.1 * k
        last = start + 0.7
        found, rows = march(decaying(K, FLOOR, DRIFT, FIRST, start), [last], start, last, 7)
        assert len(found) == len(rows) == 1


def test_nothing_is_said_after_the_end_or_once_all_is_gone() -> None:
    balance = decaying(K, FLOOR, DRIFT, FIRST)
    times = [0.0, 10.0, 50.0, 90.0]
    assert len(march(balance, times, 0.0, 60.0, 6)[0]) == 3
    # Half of it after 38 s, seen at the end of the step to 40 s.
    halves = replace(balance, gone=lambda y: y < 0.5 * FIRST)
    assert len(march(halves, times, 0.0, 90.0, 9)[0]) == 2


def test_where_nothing_leaks_the_base_is_read_as_it_is() -> None:
    found, rows = still(decaying(K, FLOOR, DRIFT, FIRST), [0.0, 20.0])
    assert found == [200.0, 202.0]
    assert rows == [[0.0, 0.0, 0.0, 2.0], [0.0, 0.0, 40.0, 2.0]]


def test_each_segment_has_its_own_start_and_all_share_the_rest() -> None:
    asked = []

    def part(index: int, own: list[float], times: object) -> tuple[list[float], list[list[float]]]:
        asked.append((index, own, times))
        return [float(index)], [[1.0, 2.0, 10.0 + index]]

    found, columns = by_segments(part, [5.0, 6.0, 100.0, 101.0, 102.0], [[0.0], [], [2.0]])
    assert asked == [(0, [5.0, 6.0, 100.0], [0.0]), (2, [5.0, 6.0, 102.0], [2.0])]
    assert found == [0.0, 2.0]
    assert columns == [[1.0, 1.0], [2.0, 2.0], [10.0, 0.0], [0.0, 0.0], [0.0, 12.0]]
