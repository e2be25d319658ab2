"""The balance of liquid, gas, vapour and creep, run forward in time.

    d liquid / dt = jug - Q / (1 + beta (T - T0))
    d air / dt    = air in - air out + combustion gas
    d crept / dt  = (a Ch p - crept) / tau
    d vapour / dt = (pv(T) - vapour) / tau_v,  or vapour = pv(T) at once where tau_v = 0

The pressure p in them is that of ``state.gauge_pressure``. Sources: conservation of volume and
mass; a Kelvin-Voigt element for the creep; ``flow`` for the openings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from weeptrace.practice.car import Car
from weeptrace.practice.course import Course, steady
from weeptrace.practice.flow import Jug, VacuumPump, air_through, inlet, through
from weeptrace.practice.integrate import integrate
from weeptrace.practice.state import State, gauge_pressure
from weeptrace.properties.openings import GAS_CONSTANT
from weeptrace.refusal import Refusal

BOILING_TIME: Final = 1.0  # s, own choice: below its vapour pressure coolant boils at once

# Liquid, air, crept, vapour, leaked: error allowed in one step. 1e-10 m3 is 0.1 Pa of a full car.
TOLERANCE: Final = (1e-10, 1e-10, 1e-10, 0.1, 1e-10)


class Balance:
    """The slopes of one run: ``balance(t, [liquid, air, crept, vapour, leaked])``; see ``run``."""

    def __init__(
        self,
        car: Car,
        state: State,
        course: Course,
        speed: float,
        capped: bool,
        pump: VacuumPump | None,
        jug: Jug | None,
        open_line: float,
    ) -> None:
        self.car, self.start, self.course = car, state, course
        self.speed, self.pump, self.jug, self.open_line = speed, pump, jug, open_line
        self.cap = car.cap if capped else None
        self.leaks = [(leak, inlet(car, leak)) for leak in car.leaks]
        self.inflow = car.gas_inflow * car.atmosphere / (GAS_CONSTANT * car.temperature)
        self._saturated = (math.nan, 0.0)

    def __call__(self, time: float, y: Sequence[float]) -> list[float]:
        """Slopes per second at a time of the run."""
        liquid, air, crept, vapour, leaked = y
        car, hoses = self.car, self.car.hoses
        now = self.course.at(time)
        wet = self.saturation(now)
        if car.vapour_time == 0.0:
            vapour = wet
        stretch = 1.0 + car.expansion * (now - car.temperature)
        free = self.start.room + crept - liquid * stretch
        gas = max(air, 0.0) * GAS_CONSTANT * now
        p = gauge_pressure(hoses, car.atmosphere, free, gas, vapour)
        volume = max(free + hoses.volume(p), 1e-9)
        inside = p + car.atmosphere

        out, into = 0.0, self.inflow
        for leak, area in self.leaks:
            liquid_out, air_in = through(car, leak, area, p, now, air / volume, liquid > 0.0)
            out, into = out + liquid_out, into + air_in
            if leak.turning and liquid > 0.0:
                out += leak.turning * self.speed / leak.turning_speed
        if self.open_line:
            into += air_through(self.open_line, 0.0, inside, car.atmosphere, now)
        if self.cap is not None:
            over = max(p - self.cap.opening, 0.0) * air / volume
            under = max(-self.cap.returns - p, 0.0) * car.atmosphere / (GAS_CONSTANT * now)
            into += self.cap.conductance * (under - over)
        boiled = 0.0
        if car.vapour_time > 0.0:
            boiled = (wet - vapour) / car.vapour_time + max(wet - inside, 0.0) / BOILING_TIME
        if self.pump is not None:
            pulled = self.pump.flow(inside) / volume
            into, boiled = into - pulled * air, boiled - pulled * vapour
        taken = 0.0
        if self.jug is not None:
            gone_in = liquid - self.start.liquid + leaked - self.start.leaked
            if gone_in < self.jug.content - self.jug.dead:
                taken = self.jug.flow(-p, car.density)
            elif p < 0.0:  # it ran dry
                into += air_through(self.jug.opening, 0.0, inside, car.atmosphere, now)
        gone = out / stretch
        creep = (hoses.creep(p) - crept) / hoses.creep_time
        return [taken - gone, into, creep, boiled, gone]

    def saturation(self, now: float) -> float:
        """Vapour pressure in Pa at a temperature in K; the last one is kept."""
        if now != self._saturated[0]:
            self._saturated = (now, self.car.vapour(now, self.start.strength))
        return self._saturated[1]


def run(
    car: Car,
    state: State,
    times: Sequence[float],
    course: Course | None = None,
    *,
    speed: float = 0.0,
    capped: bool = False,
    pump: VacuumPump | None = None,
    jug: Jug | None = None,
    open_line: float = 0.0,
    fine: float = 1.0,
) -> list[State]:
    """The states of a ``car`` at ``times``, in s since ``state``, rising.

    Parameters
    ----------
    course: temperature over that time; without it the state's temperature stays.
    speed: of the engine, 1/s. capped: the cap is on (a tester in its place is not a cap).
    pump, jug: what hangs on the neck. open_line: m2 of an overflow line that was not blocked.
    fine: the tolerance divided by this, for studies of the step.

    Refused (``times``) where the times fall. ``ArithmeticError`` where a run needs too many steps.

    ``dL/dt = jug - Q / (1 + beta (T - T0))`` and the other three of the module's head. Valid for a
    car that stands, warms or runs. Source: conservation of volume and mass.

    A leak only takes out:

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_seam"), "to_neck")
    >>> a, b = run(car, state, [60.0, 900.0])
    >>> state.leaked < a.leaked < b.leaked
    True
    """
    path = steady(state.temperature) if course is None else course
    balance = Balance(car, state, path, speed, capped, pump, jug, open_line)
    tolerance = [each / fine for each in TOLERANCE]
    y = [state.liquid, state.air, state.crept, state.vapour, state.leaked]
    now, step, found = 0.0, None, []
    for goal in times:
        if goal < now:
            raise Refusal(
                "times", "refused.balance.times_rise_from", "times", "accepted.rising_from"
            )
        y, step = integrate(balance, now, y, goal, tolerance, step or None)
        now = goal
        temperature = path.at(goal)
        liquid, air, crept, vapour, leaked = y
        found.append(
            replace(
                state,
                time=state.time + goal,
                temperature=temperature,
                liquid=liquid,
                air=max(air, 0.0),
                crept=crept,
                vapour=vapour if car.vapour_time > 0.0 else balance.saturation(temperature),
                leaked=leaked,
            )
        )
    return found
