"""Readings that cannot be judged at all, and why."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from weeptrace.hold.data import Hold, Reading, Reason
from weeptrace.told import Figure

Limits = Mapping[str, float]
NO_FIT = Reason("no_fit", "reason.usable.no_course_hold_fits")
# With these not even a straight line can be laid through the readings.
UNREADABLE = ("not_finite", "repeated_time", "bad_division")


def is_above(pressure: float, rating: float, division: float, limits: Limits) -> bool:
    """Whether a needle at ``pressure`` reads above its ``rating``, both Pa gauge.

    A needle is read to half a ``division`` (Pa, 0 where it is unknown), so it is above from
    ``hold.rating_divisions`` (of ``limits``) of one on. Valid for any gauge. No error is raised.
    Source: common practice.

    >>> from weeptrace.rules import limits
    >>> [is_above(p, 110e3, 2e3, limits()) for p in (110.5e3, 111e3)]
    [False, True]
    """
    fine = limits["hold.rating_divisions"] * division
    return pressure > rating * (1.0 + 1e-9) and pressure >= (rating + fine) * (1.0 - 1e-9)


def unusable(hold: Hold, readings: Sequence[Reading], limits: Limits) -> Reason | None:
    """Why the readings of a pressure hold, in order of time, cannot even be fitted."""
    reason = _unreadable(hold, readings)
    if reason is not None:
        return reason
    pressures = [r.pressure for r in readings]
    if min(pressures) < 0.0:
        return Reason("negative_pressure", "reason.usable.pressure_below_zero_accepted")
    least = limits["hold.least_pressure_divisions"] * hold.division
    if max(pressures[:2]) < least:
        return Reason(
            "no_pressure",
            "reason.usable.hold_starts_below_gauge",
            {"least": Figure(least, "pressure")},
        )
    return None


def unusable_vacuum(hold: Hold, readings: Sequence[Reading], limits: Limits) -> Reason | None:
    """Why the readings of a vacuum, in order of time, cannot even be fitted.

    Parameters
    ----------
    hold: for the division, and the atmosphere of the place.
    readings: gauge, all of one sign; within a division of zero either sign is taken.
    limits: the ``hold.*`` limits.
    """
    reason = _unreadable(hold, readings)
    if reason is not None:
        return reason
    pressures = [r.pressure for r in readings]
    if min(pressures) < -hold.division and max(pressures) > hold.division:
        return Reason("mixed_signs", "reason.usable.some_readings_above_zero")
    deepest = max(map(abs, pressures))
    atmosphere = hold.outside
    if deepest > atmosphere * (1.0 + 1e-9):
        return Reason(
            "deeper_than_atmosphere",
            "reason.usable.reading_below_atmosphere_which",
            {"deepest": Figure(deepest, "pressure"), "atmosphere": Figure(atmosphere, "pressure")},
        )
    least = limits["hold.least_pressure_divisions"] * hold.division
    if max(abs(p) for p in pressures[:2]) < least:
        return Reason(
            "no_vacuum",
            "reason.usable.hold_starts_less_below",
            {"least": Figure(least, "pressure")},
        )
    return None


def _unreadable(hold: Hold, readings: Sequence[Reading]) -> Reason | None:
    numbers = [x for r in readings for x in (r.time, r.pressure, r.temperature or 300.0)]
    if not all(map(math.isfinite, [*numbers, hold.division])):
        return Reason("not_finite", "reason.usable.reading_not_number_type")
    if hold.division <= 0.0:
        return Reason("bad_division", "reason.usable.gauges_division_above_zero")
    if len(readings) < 2:
        return Reason("too_few_readings", "reason.usable.fewer_two_readings_nothing")
    if any(a.time == b.time for a, b in pairwise(readings)):
        return Reason("repeated_time", "reason.usable.two_readings_have_same")
    return None
