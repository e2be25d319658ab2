"""When the radiator's fan came on and went off. SI: s, K."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from weeptrace.finding import Estimate
from weeptrace.warmup.data import Edge, Fan, FanSign, Limits, Point


def assess(points: Sequence[Point], limits: Limits) -> Fan:
    """The fan's edges, and whether it was seen to come on and then to go off.

    An edge lies between two readings, where the engine's temperature is that of their middle, with
    both and the sensor's uncertainty as the interval. ``cycled``: on, later off. A fan that was not
    seen on is ``not_seen``, which proves nothing; one that nobody looked at is ``not_measured``.

    Parameters
    ----------
    points: rows of the log in rising time.
    limits: the ``warmup.*`` limits.

    ``T = (T_1 + T_2) / 2``. Valid for rows in rising time. No error is raised. Source: own choice;
    limit ``warmup.coolant_uncertainty``.

    >>> from weeptrace.rules import limits
    >>> log = [Point(60.0 * i, 360.0 + i, fan=2 <= i < 4) for i in range(6)]
    >>> found = assess(log, limits())
    >>> found.signature, found.on[0].temperature.value, found.off[0].time.value
    ('cycled', 361.5, 210.0)
    """
    seen = [(p, p.fan) for p in points if p.fan is not None]
    if not seen:
        return Fan("not_measured")
    on: list[Edge] = []
    off: list[Edge] = []
    for (before, was), (after, runs) in pairwise(seen):
        if was != runs:
            (on if runs else off).append(_edge(before, after, limits))
    return Fan(_sign([runs for _, runs in seen], on, off), tuple(on), tuple(off))


def _sign(runs: Sequence[bool], on: Sequence[Edge], off: Sequence[Edge]) -> FanSign:
    if on and off and off[-1].time.value > on[0].time.value:
        return "cycled"
    if on:
        return "on_only"
    if off:
        return "off_only"
    return "always_on" if runs[0] else "not_seen"


def _edge(before: Point, after: Point, limits: Limits) -> Edge:
    low, high = sorted((before.coolant, after.coolant))
    sensor = limits["warmup.coolant_uncertainty"]
    middle = (low + high) / 2.0
    return Edge(
        Estimate((before.time + after.time) / 2.0, before.time, after.time),
        Estimate(middle, low - sensor, high + sensor),
    )
