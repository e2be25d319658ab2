"""One leak integrated over time with the derivatives by every parameter: of any system.

    dy/dt = d(base)/dt + f(y),      y = base + x,      dx/dt = f(base + x)
    dz_j/dt = f_y (z_j + base_j) + f_j,                z_j = dx/da_j

y is what the leak changes (a volume, or a pressure), base what it would be without a leak, a closed
form of the time, with its derivatives base_j by the parameters a_j; f the leak with its derivatives
f_y by y and f_j by its own two parameters, the first of all. Only x, which is smooth, and the z are
integrated: classical Runge-Kutta of fourth order on a coarse grid, cubic Hermite between. At a
reading y gives the pressure p, and ``dp/dy (z_j + base_j)`` its derivatives.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from weeptrace.hold.least_squares import Matrix

# The leak's own parameters come first: its rate, and what tells its law.
RATE, LAW = range(2)
Base = tuple[float, Sequence[float]]
Found = tuple[list[float], Matrix]


@dataclass(frozen=True)
class Balance:
    """The parts of the module's equation, as functions.

    ``base``: s -> base and its derivatives by all parameters. ``flow``: y -> f. ``slopes``: y -> f,
    f_y, f by the rate, f by the law. ``read``: y -> p in Pa and dp/dy. ``gone``: y -> whether
    nothing is left to leak.
    """

    base: Callable[[float], Base]
    flow: Callable[[float], float]
    slopes: Callable[[float], tuple[float, float, float, float]]
    read: Callable[[float], tuple[float, float]]
    gone: Callable[[float], bool] | None = None


def still(balance: Balance, times: Sequence[float]) -> Found:
    """Pressures at ``times`` and a row of derivatives with each, where nothing leaks."""
    pressures: list[float] = []
    rows: Matrix = []
    for time in times:
        y, by = balance.base(time)
        p, per_y = balance.read(y)
        pressures.append(p)
        rows.append([per_y * b for b in by])
    return pressures, rows


def march(balance: Balance, times: Sequence[float], start: float, end: float, count: int) -> Found:
    """Pressures at ``times`` and a row of derivatives with each, in ``count`` steps.

    Parameters
    ----------
    balance: the system and its leak.
    times: s, rising, none before ``start``.
    start, end: s, of the integration.
    count: of its steps.

    Of times after ``end``, and after all is ``gone``, nothing is said: the lists end there.
    """
    base, flow, slopes, read, gone = (
        balance.base, balance.flow, balance.slopes, balance.read, balance.gone,
    )  # fmt: skip

    def forced(y: float, by: Sequence[float]) -> tuple[float, float, list[float]]:
        """f, f_y, and what drives each derivative."""
        f, f_y, by_rate, by_law = slopes(y)
        forcing = [f_y * b for b in by]
        forcing[RATE] += by_rate
        forcing[LAW] += by_law
        return f, f_y, forcing

    index = sum(time <= start for time in times)
    pressures, rows = still(balance, times[:index])
    h = (end - start) / count
    half, sixth, eighth = 0.5 * h, h / 6.0, h / 8.0
    y, by = base(start)
    slope, _, z_slope = forced(y, by)
    x, z = 0.0, [0.0] * len(by)
    for step in range(count):
        left = start + step * h
        right = end if step == count - 1 else left + h
        mid_base, mid_by = base(left + half)
        new_base, new_by = base(left + h)
        k2 = flow(mid_base + x + half * slope)
        k3 = flow(mid_base + x + half * k2)
        k4 = flow(new_base + x + h * k3)
        new_x = x + sixth * (slope + 2.0 * (k2 + k3) + k4)
        new_slope, new_stiff, new_forcing = forced(new_base + new_x, new_by)
        halfway = 0.5 * (x + new_x) + eighth * (slope - new_slope)
        _, mid_stiff, mid_forcing = forced(mid_base + halfway, mid_by)
        half_stiff, whole_stiff = half * mid_stiff, h * new_stiff
        new_z, new_z_slope = [], []
        for z0, d0, fm, f1 in zip(z, z_slope, mid_forcing, new_forcing, strict=True):
            middle = mid_stiff * z0 + fm
            d2 = middle + half_stiff * d0
            d3 = middle + half_stiff * d2
            d4 = new_stiff * z0 + whole_stiff * d3 + f1
            z1 = z0 + sixth * (d0 + 2.0 * (d2 + d3) + d4)
            new_z.append(z1)
            new_z_slope.append(new_stiff * z1 + f1)
        while index < len(times) and times[index] <= right:
            s = (times[index] - left) / h
            a1 = s * s * (3.0 - 2.0 * s)
            a0, b0, b1 = 1.0 - a1, h * s * (1.0 - s) ** 2, h * s * s * (s - 1.0)
            y, by = base(times[index])
            p, per_y = read(y + a0 * x + b0 * slope + a1 * new_x + b1 * new_slope)
            pressures.append(p)
            rows.append(
                [
                    per_y * (a0 * z0 + b0 * d0 + a1 * z1 + b1 * d1 + b)
                    for z0, d0, z1, d1, b in zip(z, z_slope, new_z, new_z_slope, by, strict=True)
                ]
            )
            index += 1
        x, slope, z, z_slope = new_x, new_slope, new_z, new_z_slope
        if gone is not None and gone(new_base + x):
            break
    return pressures, rows


def by_segments(
    part: Callable[[int, list[float], Sequence[float]], Found],
    values: Sequence[float],
    times: Sequence[Sequence[float]],
) -> Found:
    """Pressures of all segments and one column of derivatives per parameter.

    Parameters
    ----------
    part: the number of a segment, its parameters with its one start pressure as the last, and its
        times -> pressures and rows.
    values: the parameters, the start pressures of all segments as the last.
    times: by segment; none for a segment of which nothing is asked.
    """
    pressures: list[float] = []
    rows: Matrix = []
    starts = len(times)
    first = len(values) - starts
    for index, moments in enumerate(times):
        if not moments:
            continue
        found, by = part(index, [*values[:first], values[first + index]], moments)
        pressures += found
        if starts > 1:
            before, after = [0.0] * index, [0.0] * (starts - index - 1)
            by = [[*row[:first], *before, row[first], *after] for row in by]
        rows += by
    return pressures, [list(column) for column in zip(*rows, strict=True)]
