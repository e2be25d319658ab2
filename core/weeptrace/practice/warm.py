"""A warm-up: engine, thermostat, radiator, fan, heater, and trapped air that comes up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from weeptrace.practice.car import Engine
from weeptrace.practice.course import Course
from weeptrace.practice.integrate import integrate

_LOOK: Final = 5.0  # s between looks at the fan switch
_TOLERANCE: Final = (1e-3, 1e-3)  # K


@dataclass(frozen=True)
class Pocket:
    """Trapped air of a ``volume`` in m3 that comes up when the coolant reaches ``frees`` in K."""

    volume: float
    frees: float


@dataclass(frozen=True)
class Look:
    """One row of the log: time s; coolant, radiator and vent K; fan; level m below the start."""

    time: float
    coolant: float
    radiator: float
    vent: float
    fan: bool
    level: float


def opening(engine: Engine, temperature: float) -> float:
    """Share to which the thermostat is open: 0 at ``opens``, 1 at ``full_open``, straight between.

    ``engine`` has both in K; ``temperature`` of the coolant in K. Valid for a wax element without
    hysteresis (own choice).
    ``s = (T - T_opens) / (T_full - T_opens)``. No error is raised. Source: own choice.

    >>> from weeptrace.practice.describe import load
    >>> engine = load("fjell_heater").engine
    >>> [opening(engine, t) for t in (engine.opens, (engine.opens + engine.full_open) / 2.0, 400.0)]
    [0.0, 0.5, 1.0]
    """
    share = (temperature - engine.opens) / (engine.full_open - engine.opens)
    return min(max(share, 0.0), 1.0)


def effectiveness(engine: Engine, blocked: float = 0.0) -> float:
    """Heater effectiveness ``(T_vent - T_in)/(T_coolant - T_in) = 1 - exp(-N (1 - blocked))``.

    N ``heater_units`` of the ``engine``; ``blocked`` the share of the flow that air blocks. Valid
    for much more coolant than air. Source: effectiveness and transfer units (W. M. Kays, A. L.
    London; from memory).
    No error is raised.

    >>> from weeptrace.practice.describe import load
    >>> engine = load("fjell_heater").engine
    >>> effectiveness(engine, 1.0), effectiveness(engine) > effectiveness(engine, 0.5)
    (0.0, True)
    """
    return 1.0 - math.exp(-engine.heater_units * (1.0 - blocked))


def warm_up(
    engine: Engine,
    ambient: float,
    start: float,
    times: Sequence[float],
    *,
    blocked: float = 0.0,
    pockets: Sequence[Pocket] = (),
    area: float = 1e-2,
) -> list[Look]:
    """The log of a warm-up at ``times`` in s, rising.

    ``C dT/dt = P - UA (T - Ta) - s(T) G (T - Tr)`` and ``Cr dTr/dt = s G (T - Tr) - H (Tr - Ta)``:
    T ``engine`` and Tr radiator from ``start`` K, Ta ``ambient`` K, s ``opening`` of the
    thermostat, G ``flow``, H ``still`` or ``fan``; the fan goes on and off by T. The vent is
    ``Ta + effectiveness (T - Ta)``, ``blocked`` as there. Each of the ``pockets`` lowers the level
    by its volume over ``area`` m2 when it comes up.

    Valid for an idling engine. Source: lumped heat balance.
    No error is raised but ``ArithmeticError`` as ``integrate.integrate``.

    >>> from weeptrace.practice.describe import load
    >>> engine = load("fjell_heater").engine
    >>> rows = warm_up(engine, 291.15, 291.15, [0.0, 600.0])
    >>> rows[0].coolant, rows[1].coolant > 300.0
    (291.15, True)
    """
    fan = False

    def slopes(_: float, y: Sequence[float]) -> list[float]:
        hot, radiator = y
        carried = opening(engine, hot) * engine.flow * (hot - radiator)
        given = (engine.fan if fan else engine.still) * (radiator - ambient)
        lost = engine.loss * (hot - ambient)
        return [
            (engine.power - lost - carried) / engine.heat_capacity,
            (carried - given) / engine.radiator_capacity,
        ]

    now, y, step, hottest = 0.0, [start, start], None, start
    rows = []
    for goal in times:
        while now < goal:
            then = min(now + _LOOK, goal)
            y, step = integrate(slopes, now, y, then, _TOLERANCE, step or None)
            now, hottest = then, max(hottest, y[0])
            fan = y[0] >= engine.fan_on or (fan and y[0] > engine.fan_off)
        up = sum(pocket.volume for pocket in pockets if pocket.frees <= hottest)
        vent = ambient + effectiveness(engine, blocked) * (y[0] - ambient)
        rows.append(Look(goal, y[0], y[1], vent, fan, up / area))
    return rows


def course_of(rows: Sequence[Look]) -> Course:
    """The coolant's temperature of a log's ``rows``, for ``balance.run``."""
    return Course(tuple((row.time, row.coolant) for row in rows))
