"""How much of the coolant's heat the heater passes on, and what a cold one says. SI: s, K."""

from __future__ import annotations

import math
from collections.abc import Sequence

from weeptrace.finding import Estimate
from weeptrace.warmup.data import Heater, Limits, PipeFlow, Point, Sign


def effectiveness(vent: float, coolant: float, ambient: float) -> float:
    """``e = (T_vent - T_ambient) / (T_coolant - T_ambient)``, temperatures in K.

    Low blower, full hot, no recirculation. Valid for coolant above ambient; ``ZeroDivisionError``
    where they are equal. Source: definition of a heat exchanger's effectiveness on the air side.

    >>> round(effectiveness(62.0, 88.0, 18.0), 2)
    0.63
    """
    return (vent - ambient) / (coolant - ambient)


def assess(points: Sequence[Point], ambient: float, limits: Limits) -> Heater:
    """The effectiveness over the hottest steady stretch, and whether it falls there.

    A stretch is a run of readings with the coolant within ``steady_band``; of the longest ones with
    ``steady_points`` or more, the hottest counts; without one, the hottest reading alone. Below
    ``heater_hot``, or less than ``heater_contrast`` above ambient, nothing is judged. Uncertainty
    (95 %) of the ratio: ``sqrt(u_v^2 + ((1 - e) u_a)^2 + (e u_c)^2) / (T_c - T_a)``.

    Falling: a straight line through the stretch falls by more than ``falling`` over it.

    Parameters
    ----------
    points: rows of the log in rising time.
    ambient: air drawn in, K.
    limits: the ``warmup.*`` limits.

    Valid for rows in rising time. No error is raised. Source: propagation of errors; ``limits``
    ``warmup.*`` (common practice).

    >>> from weeptrace.rules import limits
    >>> log = [Point(60.0 * i, 361.15, vent=335.15) for i in range(6)]
    >>> found = assess(log, 291.15, limits())
    >>> found.heat, round(found.effectiveness.value, 2), found.falling
    ('good', 0.63, 'no')
    """
    rows = _hot(points, ambient, limits)
    drop = pipe_drop(points, limits)
    flow = _flow(drop, limits)
    if not rows:
        return Heater("not_measured", pipe_drop=drop, pipe_flow=flow)
    stretch = _stretch(rows, limits)
    steady = len(stretch) >= limits["warmup.steady_points"]
    if not steady:
        stretch = [max(rows, key=lambda row: row[1])]
    coolant = sum(row[1] for row in stretch) / len(stretch)
    vent = sum(row[2] for row in stretch) / len(stretch)
    value = effectiveness(vent, coolant, ambient)
    probe, sensor = limits["warmup.vent_uncertainty"], limits["warmup.coolant_uncertainty"]
    half = math.hypot(probe, (1.0 - value) * probe, value * sensor) / (coolant - ambient)
    fall = _fall(stretch, ambient) if steady else None
    falling: Sign = "not_measured"
    if fall is not None:
        falling = "yes" if fall > limits["warmup.falling"] + 1e-9 else "no"
    return Heater(
        "good" if value >= limits["warmup.heater_effective"] - 1e-9 else "weak",
        Estimate(value, value - half, value + half),
        "yes" if steady else "not_shown",
        falling,
        fall,
        drop,
        flow,
    )


def pipe_drop(points: Sequence[Point], limits: Limits) -> Estimate | None:
    """Fall in K from the heater's pipe in to its pipe out, over the hot readings; or ``None``.

    The mean of ``T_in - T_out`` over the log ``points`` with a coolant of ``heater_hot`` or more;
    half-width (95 %) ``sqrt(2)`` times ``vent_uncertainty`` of a probe, which no further reading
    averages out. Valid for two like probes. No error is raised. Source: ``limits`` ``warmup.*``.

    >>> from weeptrace.rules import limits
    >>> found = pipe_drop([Point(0.0, 360.0, heater_in=357.0, heater_out=347.0)], limits())
    >>> found.value, round(found.high, 1)
    (10.0, 12.8)
    """
    least = limits["warmup.heater_hot"] - 1e-9
    drops = [
        p.heater_in - p.heater_out
        for p in points
        if p.heater_in is not None and p.heater_out is not None and p.coolant >= least
    ]
    if not drops:
        return None
    value, half = sum(drops) / len(drops), math.sqrt(2.0) * limits["warmup.vent_uncertainty"]
    return Estimate(value, value - half, value + half)


def _flow(drop: Estimate | None, limits: Limits) -> PipeFlow:
    if drop is None:
        return "not_measured"
    if drop.value > limits["warmup.pipe_drop_poor"] + 1e-9:
        return "poor"
    return "middling" if drop.value > limits["warmup.pipe_drop_good"] + 1e-9 else "good"


def suddenly_cold(points: Sequence[Point], ambient: float, limits: Limits) -> float | None:
    """Time in s of the first reading by which the heater went cold with the engine still hot.

    That is: the effectiveness fell by ``sudden_fall`` or more from a reading at most
    ``sudden_time`` earlier. ``None`` where that was not seen.

    ``e(t_1) - e(t_2)``, e ``effectiveness`` of the ``points`` against ``ambient`` K; both from the
    ``warmup`` part of ``limits``. Valid for rows in rising time. No error is raised. Source: own
    choice.

    >>> from weeptrace.rules import limits
    >>> log = [Point(60.0 * i, 361.15, vent=335.15 if i < 3 else 305.15) for i in range(5)]
    >>> suddenly_cold(log, 291.15, limits())
    180.0
    """
    rows = _hot(points, ambient, limits)
    shares = [(time, effectiveness(vent, coolant, ambient)) for time, coolant, vent in rows]
    for i, (time, share) in enumerate(shares):
        recent = [e for t, e in shares[:i] if time - t <= limits["warmup.sudden_time"]]
        if recent and max(recent) - share >= limits["warmup.sudden_fall"] - 1e-9:
            return time
    return None


def _hot(
    points: Sequence[Point], ambient: float, limits: Limits
) -> list[tuple[float, float, float]]:
    """Time, coolant and vent of the readings with an engine hot enough to judge the heater."""
    least = max(limits["warmup.heater_hot"], ambient + limits["warmup.heater_contrast"]) - 1e-9
    return [
        (p.time, p.coolant, p.vent) for p in points if p.vent is not None and p.coolant >= least
    ]


def _stretch(
    rows: Sequence[tuple[float, float, float]], limits: Limits
) -> list[tuple[float, float, float]]:
    """The hottest of the runs within the steady band, each as long as it can be; or none."""
    need, band = limits["warmup.steady_points"], limits["warmup.steady_band"] + 1e-9
    runs: dict[int, list[tuple[float, float, float]]] = {}
    start = 0
    for end in range(1, len(rows) + 1):
        while max(r[1] for r in rows[start:end]) - min(r[1] for r in rows[start:end]) > band:
            start += 1
        runs[start] = list(rows[start:end])
    return max((run for run in runs.values() if len(run) >= need), key=_mean, default=[])


def _mean(run: Sequence[tuple[float, float, float]]) -> float:
    return sum(row[1] for row in run) / len(run)


def _fall(stretch: Sequence[tuple[float, float, float]], ambient: float) -> float:
    """Fall of a straight line through the effectiveness over the stretch; negative: it rose."""
    times = [row[0] for row in stretch]
    shares = [effectiveness(vent, coolant, ambient) for _, coolant, vent in stretch]
    middle, mean = sum(times) / len(times), sum(shares) / len(shares)
    spread = sum((t - middle) ** 2 for t in times)
    slope = sum((t - middle) * (e - mean) for t, e in zip(times, shares, strict=True)) / spread
    return -slope * (times[-1] - times[0])
