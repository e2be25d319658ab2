"""The judgement of a warm-up: each part on its own, and when to stop. SI: s, K, Pa."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from weeptrace.finding import Reason
from weeptrace.refusal import Refusal
from weeptrace.told import Figure
from weeptrace.warmup import fan, gas, heater, purge, thermostat
from weeptrace.warmup.data import Assessment, Cold, Heater, Limits, Point, Sign, Stop

# What a log may leave out.
COLUMNS = ("radiator_inlet", "vent", "fan", "pressure")


def assess(
    points: Sequence[Point],
    ambient: float,
    limits: Limits,
    *,
    opening: float | None = None,
    fan_on: float | None = None,
    cold: Cold | None = None,
    area: float | None = None,
) -> Assessment:
    """Judge a warm-up log.

    Parameters
    ----------
    points: rows of the log, in any order; one row or more, no time twice.
    ambient: air temperature in K.
    limits: the ``warmup.*`` and ``hold.*`` limits.
    opening, fan_on: the maker's temperatures in K, if known.
    cold: the closed system at the start, for the gas test.
    area: of the reservoir at the level in m2, for the air that leaves.

    What was not logged is ``not_measured``. Raises ``Refusal``: ``missing`` (no row),
    ``repeated_time``, ``out_of_range``.
    """
    if not points:
        raise Refusal("missing", "refused.assess.log_empty_enter_at", "log", "accepted.row_more")
    rows = sorted(points, key=lambda point: point.time)
    for before, after in pairwise(rows):
        if after.time <= before.time:
            raise Refusal(
                "repeated_time",
                "refused.assess.two_rows_have_same",
                "log",
                "accepted.time_its_own_each_row",
            )
    cold_at = heater.suddenly_cold(rows, ambient, limits)
    heat = heater.assess(rows, ambient, limits)
    return Assessment(
        thermostat=thermostat.assess(rows, opening, limits),
        fan=fan.assess(rows, limits),
        heater=heat,
        air_sign=_air(heat, cold_at is not None),
        gas=gas.assess(rows, ambient, Cold() if cold is None else cold, limits),
        purge=purge.assess(rows, area, limits),
        stop=_stop(rows, cold_at, fan_on, limits),
        not_measured=tuple(
            name for name in COLUMNS if all(getattr(row, name) is None for row in rows)
        ),
    )


def _air(heat: Heater, suddenly_cold: bool) -> Sign:
    """Air inside shows as a weak heater, one that falls off, goes suddenly cold, or has no flow.

    A closed valve or a blocked core looks the same: a sign is no proof.
    """
    if suddenly_cold or heat.heat == "weak" or heat.falling == "yes" or heat.pipe_flow == "poor":
        return "yes"
    return "not_measured" if heat.heat == "not_measured" else "no"


def _stop(
    rows: Sequence[Point], cold_at: float | None, fan_on: float | None, limits: Limits
) -> tuple[Stop, ...]:
    stops = []
    highest = (
        limits["warmup.highest_coolant"] if fan_on is None else fan_on + limits["warmup.fan_margin"]
    )
    for row in rows:
        hottest = max(
            row.coolant, row.coolant if row.radiator_inlet is None else row.radiator_inlet
        )
        if hottest > highest + 1e-9:
            figures = {
                "hottest": Figure(hottest, "temperature"),
                "highest": Figure(highest, "temperature"),
            }
            stops.append(Stop(Reason("too_hot", "reason.warmup.too_hot", figures), row.time))
            break
    if cold_at is not None:
        stops.append(
            Stop(Reason("heater_suddenly_cold", "reason.warmup.heater_suddenly_cold"), cold_at)
        )
    return tuple(sorted(stops, key=lambda stop: stop.time))
