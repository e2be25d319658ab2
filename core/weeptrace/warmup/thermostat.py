"""The thermostat's signature in the temperature of the radiator's inlet. SI: s, K."""

from __future__ import annotations

from collections.abc import Sequence

from weeptrace.finding import Estimate, Reason
from weeptrace.warmup.data import Limits, Opening, Point, Thermostat
from weeptrace.warmup.hinge import Hinge, find


def assess(points: Sequence[Point], opening: float | None, limits: Limits) -> Thermostat:
    """What the thermostat does.

    Parameters
    ----------
    points: rows of the log in rising time.
    opening: the maker's opening temperature in K, if known.
    limits: the ``warmup.*`` limits.

    - ``opens``: a change point in the inlet's rise; temperature: the engine's at that time.
    - ``stuck_open``: that change lies at the cold start, within ``follows_rise``; or there is none,
      and the inlet takes at least ``follows_share`` of the engine's rise while that is still well
      below any opening.
    - ``closed_or_no_flow``: the engine is past opening (or the highest usual one) by
      ``closed_margin`` and the inlet still ``cold_inlet`` below it.
    - ``not_seen``: none of these; the reason says why. ``not_measured``: no inlet temperatures.

    Source: the ``warmup.*`` limits (common practice) and ``hinge.find``.
    Valid for rows in rising time. No error is raised.

    >>> from weeptrace.rules import limits
    >>> log = [Point(60.0 * i, 290.0 + 5.0 * i, 290.0 + 12.0 * max(i - 12, 0)) for i in range(18)]
    >>> found = assess(log, None, limits())
    >>> found.signature, round(found.temperature.value)
    ('opens', 350)
    """
    rows = [(p.time, p.coolant, p.radiator_inlet) for p in points if p.radiator_inlet is not None]
    if not rows:
        return Thermostat("not_measured")
    times = [time for time, _, _ in rows]
    coolant = [engine for _, engine, _ in rows]
    inlet = [value for _, _, value in rows if value is not None]
    earliest = opening if opening is not None else limits["warmup.opening_low"]
    latest = opening if opening is not None else limits["warmup.opening_high"]
    if len(rows) < limits["warmup.side_points"]:
        return _not_seen("too_few_points")
    cold_start = coolant[0] < earliest - limits["warmup.opening_tolerance"]
    end = _arrival(inlet, limits)
    hinge = find(times[:end], inlet[:end], limits)
    rise = max(inlet) - min(inlet)
    if hinge is not None and hinge.accepted(limits) and rise >= limits["warmup.least_rise"]:
        warmed = _between(times, coolant, hinge.time.value) - coolant[0]
        if cold_start and warmed < limits["warmup.follows_rise"]:
            return Thermostat("stuck_open")
        return _opens(hinge, times, coolant, opening, limits)
    if _follows(coolant, inlet, earliest, limits):
        return Thermostat("stuck_open")
    hot = max(range(len(rows)), key=lambda i: coolant[i])
    cold_inlet = coolant[hot] - inlet[hot] > limits["warmup.cold_inlet"]
    if cold_inlet and coolant[hot] >= latest + limits["warmup.closed_margin"] - 1e-9:
        return Thermostat("closed_or_no_flow")
    if cold_inlet:
        return _not_seen("log_ends_before")
    if not cold_start:
        return _not_seen("started_warm")
    if coolant[hot] < earliest - limits["warmup.opening_tolerance"]:
        return _not_seen("log_ends_before")
    few = len(rows) < 2 * limits["warmup.side_points"]
    return _not_seen("too_few_points" if few else "no_step")


def _not_seen(code: str) -> Thermostat:
    return Thermostat("not_seen", reason=Reason(code, f"reason.thermostat.{code}"))


def _follows(
    coolant: Sequence[float], inlet: Sequence[float], earliest: float, limits: Limits
) -> bool:
    """Whether the inlet takes part in the engine's rise below any opening: a line through both."""
    below = earliest - limits["warmup.opening_tolerance"]
    cold = [(c, i) for c, i in zip(coolant, inlet, strict=True) if c < below]
    if len(cold) < limits["warmup.side_points"]:
        return False
    mean_c = sum(c for c, _ in cold) / len(cold)
    mean_i = sum(i for _, i in cold) / len(cold)
    spread = sum((c - mean_c) ** 2 for c, _ in cold)
    if max(c for c, _ in cold) - min(c for c, _ in cold) < limits["warmup.follows_rise"]:
        return False
    share = sum((c - mean_c) * (i - mean_i) for c, i in cold) / spread
    return share >= limits["warmup.follows_share"] - 1e-9


def _arrival(inlet: Sequence[float], limits: Limits) -> int:
    """How many readings belong to the step: those before arrival, and enough after its foot."""
    low, rise = min(inlet), max(inlet) - min(inlet)
    begin, end = limits["warmup.rise_begin"], limits["warmup.rise_end"]
    arrived = next(i for i, v in enumerate(inlet) if v >= low + end * rise)
    foot = max((i for i in range(arrived) if inlet[i] <= low + begin * rise), default=0)
    return min(max(arrived, foot + 1 + round(limits["warmup.side_points"])), len(inlet))


def _opens(
    hinge: Hinge,
    times: Sequence[float],
    coolant: Sequence[float],
    opening: float | None,
    limits: Limits,
) -> Thermostat:
    """The engine's temperature at the change; its interval spans the change's, and the sensor."""
    at = hinge.time
    within = [c for t, c in zip(times, coolant, strict=True) if at.low <= t <= at.high]
    span = [*within, *(_between(times, coolant, t) for t in (at.low, at.value, at.high))]
    sensor = limits["warmup.coolant_uncertainty"]
    value = _between(times, coolant, at.value)
    temperature = Estimate(value, min(span) - sensor, max(span) + sensor)
    return Thermostat("opens", temperature, at, _compare(temperature, opening, limits))


def _compare(found: Estimate, opening: float | None, limits: Limits) -> Opening:
    """Early or late only where the whole interval lies outside what is expected."""
    if opening is None:
        low, high = limits["warmup.opening_low"], limits["warmup.opening_high"]
    else:
        margin = limits["warmup.opening_tolerance"]
        low, high = opening - margin, opening + margin
    return "early" if found.high < low else "late" if found.low > high else "as_expected"


def _between(times: Sequence[float], values: Sequence[float], time: float) -> float:
    """Linear interpolation; the end values outside."""
    if time <= times[0]:
        return values[0]
    for i in range(1, len(times)):
        if time <= times[i]:
            part = (time - times[i - 1]) / (times[i] - times[i - 1])
            return values[i - 1] + part * (values[i] - values[i - 1])
    return values[-1]
