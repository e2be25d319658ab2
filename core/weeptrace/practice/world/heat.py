"""Heat: metal and coolant apart, and the air around. Closed form, so that a step may be long."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from weeptrace.practice.car import Engine
from weeptrace.practice.warm import opening

COOLANT: Final = 3.7e6  # J/(m3 K), half-and-half coolant when warm: rho 1050, c 3.5 kJ/(kg K)
LATENT: Final = 2.2e9  # J/m3 of liquid that boils off: 2.1 to 2.26 MJ/kg of water
# W/K from metal to coolant with the pump at idle: 23 K apart at 7 kW. Own choice.
EXCHANGE: Final = 300.0
STANDING: Final = 250.0  # W/K with the pump still: common practice, it soaks for some minutes
SOAKS: Final = 0.01  # share of the pump's flow by warm coolant rising alone: own choice
MANIFOLD: Final = {"off": 0.0, "idle": 570.0, "load": 850.0}  # K, exhaust manifold (from memory)
MANIFOLD_TIME: Final = 300.0  # s, to warm or cool by two thirds (from memory)
RAM: Final = 15.0  # m/s at which the wind of driving is as good as the fan: common practice
# Heat into the coolant as a multiple of idle: common practice.
LOAD: Final = {"off": 0.0, "idle": 1.0, "load": 3.0}


@dataclass(frozen=True)
class Warm:
    """Temperatures in K: ``metal`` of block and head, ``coolant``, ``exhaust`` manifold."""

    metal: float
    coolant: float
    exhaust: float


def two_lumps(
    start: tuple[float, float],
    capacities: tuple[float, float],
    losses: tuple[float, float],
    exchange: float,
    power: float,
    air: float,
    time: float,
) -> tuple[float, float]:
    """Two bodies in K after a ``time`` in s; the first is heated by ``power`` W.

    ``C1 dT1/dt = P - k (T1 - T2) - h1 (T1 - Ta)``, ``C2 dT2/dt = k (T1 - T2) - h2 (T2 - Ta)``, with
    C ``capacities`` J/K, h ``losses`` W/K, k ``exchange`` W/K above zero, Ta ``air`` K, from
    ``start``; solved by the two eigenvalues.

    Valid while all of these are constant. Without any loss the heat stays: as with a loss of
    1e-9 W/K. No error is raised. Source: lumped heat balance.

    >>> hot, cool = two_lumps((400.0, 300.0), (1e3, 1e3), (0.0, 0.0), 100.0, 0.0, 280.0, 1e3)
    >>> round(hot), round(cool)
    (350, 350)
    """
    c1, c2 = capacities
    h1, h2 = losses[0] + 1e-9, losses[1] + 1e-9
    a, b, c, d = -(exchange + h1) / c1, exchange / c1, exchange / c2, -(exchange + h2) / c2
    whole = exchange * (h1 + h2) + h1 * h2
    end = (air + power * (exchange + h2) / whole, air + power * exchange / whole)
    u, v = start[0] - end[0], start[1] - end[1]
    middle, root = 0.5 * (a + d), math.sqrt(0.25 * (a - d) ** 2 + b * c)
    fast, slow = math.exp((middle - root) * time), math.exp((middle + root) * time)
    mean, half = 0.5 * (slow + fast), 0.5 * (slow - fast) / root
    return (
        end[0] + mean * u + half * ((a - middle) * u + b * v),
        end[1] + mean * v + half * (c * u + (d - middle) * v),
    )


def radiator(engine: Engine, coolant: float, flow: float, air_share: float) -> float:
    """W/K from coolant to air through the radiator.

    ``s G H / (s G + H)``, ``H = still + (fan - still) share``: s ``warm.opening`` at ``coolant`` K
    times the share ``flow`` of the pump's, G and H of the ``engine``, ``air_share`` 0 with the air
    still, 1 with the fan. Valid for a radiator that follows at once. No error is raised. Source:
    two conductances in series.

    >>> from weeptrace.practice.world.cars import ENGINE
    >>> radiator(ENGINE, 300.0, 1.0, 1.0), round(radiator(ENGINE, 370.0, 1.0, 1.0))
    (0.0, 394)
    """
    carried = opening(engine, coolant) * engine.flow * flow
    given = engine.still + (engine.fan - engine.still) * min(max(air_share, 0.0), 1.0)
    return carried * given / (carried + given)


def capacities(engine: Engine, liquid: float) -> tuple[float, float]:
    """Heat capacities of metal and coolant in J/K, with ``liquid`` m3 inside.

    ``C2 = c L + Cr`` with the radiator's metal; ``C1`` is what is left of the ``engine``'s whole,
    which counts 6 L of coolant, and at least 20 kJ/K. Valid for glycol mixes. No error is raised.
    Source: definition; the split is own choice.

    >>> from weeptrace.practice.world.cars import ENGINE
    >>> [round(c / 1e3) for c in capacities(ENGINE, 6e-3)]
    [58, 34]
    """
    metal = max(engine.heat_capacity - COOLANT * 6e-3, 20e3)
    return metal, COOLANT * max(liquid, 0.0) + engine.radiator_capacity


def toward(value: float, end: float, time: float, constant: float) -> float:
    """``value`` after a ``time`` on its way to ``end``: ``end + (v - end) exp(-t / constant)``.

    Valid for one time ``constant``, s. No error is raised. Source: first-order decay.

    >>> toward(1.0, 0.0, 0.0, 5.0), round(toward(1.0, 0.0, 5.0, 5.0), 3)
    (1.0, 0.368)
    """
    return end + (value - end) * math.exp(-time / constant)
