"""Vacuum: pull down, and fill from a container."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from weeptrace.practice.balance import run
from weeptrace.practice.car import Car
from weeptrace.practice.flow import Jug, VacuumPump
from weeptrace.practice.state import State, pressure
from weeptrace.properties.openings import GAS_CONSTANT

_LONGEST: Final = 1800.0  # s: a fill that still runs then is a pinched hose


def pull_down(
    car: Car,
    state: State,
    pump: VacuumPump,
    times: Sequence[float],
    open_line: float = 0.0,
) -> list[State]:
    """The ``car`` under a vacuum ``pump`` at ``times`` in s since ``state``.

    The end is set by the pump's lowest pressure, or by the coolant that boils, or by the air that
    comes in at leaks and at an ``open_line`` of that many m2. See ``balance.run``.

    ``dm/dt = -rho S (1 - p_lowest / p) + leaks``. Valid for a closed system; errors as there.
    Source: as there; ``ArithmeticError`` and ``Refusal`` as there.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_vacuum"), "drained")
    >>> after = pull_down(car, state, VacuumPump(0.5e-3, 8e3), [300.0])[0]
    >>> pressure(car, after) < -65e3
    True
    """
    return run(car, state, times, pump=pump, open_line=open_line)


@dataclass(frozen=True)
class Filling:
    """A vacuum fill: ``states`` at ``times`` in s, ``uptake`` m3, ``ran_dry``."""

    times: tuple[float, ...]
    states: tuple[State, ...]
    uptake: float
    ran_dry: bool


def fill(car: Car, state: State, jug: Jug, every: float = 2.0) -> Filling:
    """Open the valve to the ``jug`` and wait until nothing flows; looked at ``every`` s.

    Air in the jug's line goes in first. Liquid follows as ``flow.Jug`` says, into a ``car`` whose
    hoses come round again; a jug that runs dry lets air in. The strength is the mix of what was in
    ``state`` and what came.

    ``dL/dt = A v``. Valid for one jug; errors (``ArithmeticError``) as ``balance.run``. Source:
    Torricelli; conservation of volume.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_vacuum"), "drained")
    >>> empty = pull_down(car, state, VacuumPump(0.5e-3, 8e3), [300.0])[0]
    >>> found = fill(car, empty, Jug(7e-3))
    >>> found.ran_dry, abs(pressure(car, found.states[-1])) < 100.0
    (False, True)
    """
    extra = car.atmosphere * jug.line / (GAS_CONSTANT * state.temperature)
    now = replace(state, air=state.air + extra)
    states, times = [now], [0.0]
    usable = jug.content - jug.dead
    while times[-1] < _LONGEST:
        taken = _taken(states[0], states[-1])
        left = replace(jug, content=max(jug.content - taken, 0.0))
        states += run(car, states[-1], [every], jug=left)
        times.append(times[-1] + every)
        moved = abs(pressure(car, states[-1]) - pressure(car, states[-2]))
        if moved < 0.05 * every:
            break
    taken = _taken(states[0], states[-1])
    total = state.liquid + taken
    strength = state.strength
    if total > 0.0:
        strength = (state.strength * state.liquid + jug.strength * taken) / total
    states[-1] = replace(states[-1], strength=strength)
    return Filling(tuple(times), tuple(states), taken, taken >= usable - 1e-9)


def _taken(first: State, last: State) -> float:
    return last.liquid - first.liquid + last.leaked - first.leaked
