"""What is known of the parameters of a hold before its readings, from the limits."""

from __future__ import annotations

import math
from collections.abc import Mapping

from weeptrace.hold import air_decay as air
from weeptrace.hold import decay as liquid
from weeptrace.hold.least_squares import Prior

Limits = Mapping[str, float]
Bounds = list[tuple[float, float]]
FREE = (-math.inf, math.inf)


def liquid_priors(series: liquid.LiquidReadings, limits: Limits) -> list[Prior]:
    """Mean and standard deviation by parameter; rate and start pressures have none.

    The creep's volume is hoses times share: that the hoses' give is not known either widens it.
    """
    course = series.system.course
    priors: list[Prior] = [None] * (liquid.START + len(series.times))
    priors[liquid.EXPONENT] = (limits["hold.exponent"], limits["hold.exponent_uncertainty"])
    share = limits["hold.creep_share"]
    by_hoses = limits["hold.hose_compliance_uncertainty"] / limits["hold.hose_compliance"]
    share_sd = math.hypot(limits["hold.creep_share_uncertainty"], share * by_hoses)
    priors[liquid.CREEP] = (share, share_sd)
    time, spread = limits["hold.creep_time"], limits["hold.creep_time_spread"]
    priors[liquid.LOG_TAU] = (math.log(time), spread)
    priors[liquid.GAS] = (0.0, limits["hold.gas_settling_share"])
    priors[liquid.DRIFT] = (course.drift, course.drift_sd)
    return priors


def liquid_bounds(series: liquid.LiquidReadings, limits: Limits) -> Bounds:
    """Least and most of each parameter; a start pressure is not below zero."""
    starts = len(series.times)
    bounds = [FREE] * liquid.START + [(0.0, math.inf)] * starts
    bounds[liquid.EXPONENT] = limits["hold.exponent_low"], limits["hold.exponent_high"]
    bounds[liquid.LOG_TAU] = (
        math.log(limits["hold.creep_time_low"]),
        math.log(limits["hold.creep_time_high"]),
    )
    return bounds


def air_priors(series: air.AirReadings, vapour: float, limits: Limits) -> list[Prior]:
    """The same of a drained system with this ``vapour`` pressure, Pa."""
    course = series.system.course
    priors: list[Prior] = [None] * (air.START + len(series.times))
    priors[air.MIX] = _pair(limits, "laminar_share", "uncertainty")
    priors[air.SETTLING] = _pair(limits, "settling", "uncertainty")
    priors[air.LOG_SETTLING] = _log_time(limits, "settling_time")
    share, share_sd = _pair(limits, "vapour_share", "uncertainty")
    priors[air.VAPOUR] = (share * vapour, share_sd * vapour)
    priors[air.LOG_VAPOUR] = _log_time(limits, "vapour_time")
    priors[air.DRIFT] = (course.drift, course.drift_sd)
    return priors


def air_bounds(series: air.AirReadings, vapour: float, limits: Limits) -> Bounds:
    """The same of a drained system with this ``vapour`` pressure, Pa; a share is 0 to 1."""
    bounds = [FREE] * (air.START + len(series.times))
    bounds[air.MIX] = (0.0, 1.0)
    ends = math.log(limits["vacuum.time_low"]), math.log(limits["vacuum.time_high"])
    bounds[air.LOG_SETTLING] = bounds[air.LOG_VAPOUR] = ends
    most = limits["vacuum.vapour_share_highest"] * vapour
    bounds[air.VAPOUR] = (-most, most)
    return bounds


def _pair(limits: Limits, name: str, spread: str) -> tuple[float, float]:
    return limits[f"vacuum.{name}"], limits[f"vacuum.{name}_{spread}"]


def _log_time(limits: Limits, name: str) -> tuple[float, float]:
    time, spread = _pair(limits, name, "spread")
    return math.log(time), spread
