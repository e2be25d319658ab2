"""What is inside the car at a moment, and the one pressure that it implies.

Walls, hoses, liquid and gas share one volume; that is the only equation for the pressure::

    room + V_hoses(p) + crept = liquid (1 + beta (T - T0)) + m R T / (p + Pa - pv)

so the volume balance holds at every moment by construction, and amounts are what is integrated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from weeptrace.practice.car import Car, Condition, Hoses
from weeptrace.properties.openings import GAS_CONSTANT
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

_NEWTON: Final = 60


@dataclass(frozen=True)
class State:
    """Amounts inside at a moment, and what has left so far.

    ``room``: m3 that the walls enclose at zero gauge before any creep. ``liquid``: m3 as it would
    be at the car's reference temperature. ``air``: kg of dry gas. ``vapour``: its partial pressure,
    Pa. ``crept``: m3. ``temperature``: K. ``leaked``: m3 of liquid, as at the reference
    temperature; ``strength``: glycol by volume; ``old``: share of the liquid that was there first.
    """

    room: float
    liquid: float
    air: float
    vapour: float
    temperature: float
    strength: float
    time: float = 0.0
    crept: float = 0.0
    leaked: float = 0.0
    old: float = 1.0


def gauge_pressure(
    hoses: Hoses, atmosphere: float, free: float, gas: float, vapour: float
) -> float:
    """Gauge pressure in Pa at which everything fits.

    ``free + V_hoses(p) = gas / (p + Pa - pv)``: ``free`` m3, what the liquid leaves of the room at
    zero gauge; ``gas`` = m R T of the dry gas, J; Pa ``atmosphere``, pv ``vapour``, Pa abs; V of
    ``hoses``. A quadratic for round hoses; Newton's method, kept between bounds, for flat ones.

    Valid for any amount of gas, none included. ``Refusal`` (``no_room``) where stiff walls leave
    the liquid no room.

    Source: ideal gas law, Dalton; conservation of volume.

    >>> round(gauge_pressure(Hoses(0.0), 100e3, 1e-3, 150.0, 0.0))
    50000
    """
    c = hoses.compliance
    a = free - c * (atmosphere - vapour)
    root = math.sqrt(a * a + 4.0 * c * gas)
    if a > 0.0:
        dry = 2.0 * gas / (a + root)
    elif c > 0.0:
        dry = (root - a) / (2.0 * c)
    else:
        raise Refusal("no_room", "refused.state.liquid_has_no_room")
    pressure = dry + vapour - atmosphere
    if pressure >= 0.0 or hoses.flat_volume == 0.0 or dry <= 0.0:
        return pressure
    low, high = dry, atmosphere - vapour
    if high <= low:
        return pressure
    for _ in range(_NEWTON):
        p = dry + vapour - atmosphere
        left = free + hoses.volume(p) - gas / dry
        low, high = (dry, high) if left < 0.0 else (low, dry)
        new = dry - left / (hoses.slope(p) + gas / (dry * dry))
        if not low < new < high:
            new = 0.5 * (low + high)
        if abs(new - dry) < 1e-6:
            break
        dry = new
    return new + vapour - atmosphere


def liquid_volume(car: Car, state: State) -> float:
    """Volume in m3 of the liquid now: ``L (1 + beta (T - T0))``, T0 the car's ``temperature``.

    L of the ``state`` in m3, beta the car's. Valid over a cooling system's temperatures. No error
    is raised. Source: definition of expansion.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_seam"), "to_neck")
    >>> warmer = replace(state, temperature=state.temperature + 10.0)
    >>> more = liquid_volume(car, warmer) - liquid_volume(car, state)
    >>> round(more / state.liquid / car.expansion, 6)
    10.0
    """
    return state.liquid * (1.0 + car.expansion * (state.temperature - car.temperature))


def pressure(car: Car, state: State) -> float:
    """Gauge pressure in Pa inside the ``car`` in a ``state``: see ``gauge_pressure``.

    ``gauge_pressure(hoses, Pa, room + crept - liquid, m R T, pv)``. Valid and refused (``Refusal``)
    as there. Source: as there.

    >>> from weeptrace.practice.describe import load
    >>> car, state, condition = under(load("larkspur_seam"), "to_neck")
    >>> abs(pressure(car, state) - condition.pressure) < 1e-3
    True
    """
    free = state.room + state.crept - liquid_volume(car, state)
    gas = state.air * GAS_CONSTANT * state.temperature
    return gauge_pressure(car.hoses, car.atmosphere, free, gas, state.vapour)


def gas_volume(car: Car, state: State) -> float:
    """Volume in m3 of the gas now: what walls and hoses enclose, less the liquid.

    ``Vg = room + crept + V_hoses(p) - liquid`` of the ``car`` in its ``state``. Valid and refused
    (``Refusal``) as ``pressure``. Source: conservation of volume.

    >>> from weeptrace.practice.describe import load
    >>> car, state, condition = under(load("larkspur_seam"), "to_neck")
    >>> abs(gas_volume(car, state) - condition.gas) < 1e-9
    True
    """
    walls = state.room + state.crept + car.hoses.volume(pressure(car, state))
    return walls - liquid_volume(car, state)


def compliance(car: Car, state: State) -> float:
    """Volume for a change of pressure, m3/Pa: ``C = dV_hoses/dp + Vg/(p + Pa - pv)``.

    Valid for quick changes. Source: the volume balance, differentiated at constant temperature.
    Refused (``Refusal``) as ``pressure``.

    >>> from weeptrace.practice.describe import load
    >>> car, state, _ = under(load("larkspur_seam"), "to_neck")
    >>> compliance(car, state) > car.hoses.compliance
    True
    """
    now = pressure(car, state)
    return car.hoses.slope(now) + gas_volume(car, state) / (now + car.atmosphere - state.vapour)


def charged(
    car: Car,
    liquid: float,
    gas: float,
    gauge: float,
    *,
    temperature: float | None = None,
    vapour: float | None = None,
) -> State:
    """A state of the ``car`` with this much ``liquid`` and ``gas`` in m3, nothing crept yet.

    ``m = (p + Pa - pv) Vg / (R T)`` of dry gas: p ``gauge`` in Pa; T ``temperature`` in K, the
    car's where none is given; pv ``vapour`` in Pa, in balance where none is given. ``Refusal``
    (``out_of_range``) below the vapour pressure.

    Valid for an ideal gas. Source: ideal gas law.

    >>> from weeptrace.practice.describe import load
    >>> car = load("larkspur_seam")
    >>> state = charged(car, 6e-3, 1e-3, 50e3)
    >>> round(pressure(car, state)), round(1e3 * gas_volume(car, state), 6)
    (50000, 1.0)
    """
    now = car.temperature if temperature is None else temperature
    wet = car.vapour(now) if vapour is None else vapour
    dry = gauge + car.atmosphere - wet
    if dry < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.state.coolant_boils_at_before",
            "pressure",
            "accepted.not_below_pressure",
            {
                "now": Figure(now, "temperature"),
                "gauge": Figure(gauge, "pressure"),
                "least": Figure(wet - car.atmosphere, "pressure"),
            },
        )
    expanded = liquid * (1.0 + car.expansion * (now - car.temperature))
    return State(
        room=expanded + gas - car.hoses.volume(gauge),
        liquid=liquid,
        air=dry * gas / (GAS_CONSTANT * now),
        vapour=wet,
        temperature=now,
        strength=car.strength,
    )


def under(car: Car, name: str) -> tuple[Car, State, Condition]:
    """The car as the condition ``name`` makes it, its first state, and the condition.

    Refused (``unknown_condition``) where the car has none of that name.
    """
    for condition in car.conditions:
        if condition.name == name:
            break
    else:
        raise Refusal(
            "unknown_condition",
            "refused.state.has_no_condition",
            "condition",
            "accepted.these",
            {"name": car.name, "name_2": name, "these": ", ".join(c.name for c in car.conditions)},
        )
    start = condition.course.at(0.0)
    changed = replace(
        car,
        temperature=start,
        expansion=car.expansion if condition.expansion is None else condition.expansion,
        leaks=() if condition.sealed else car.leaks,
        gas_inflow=condition.inflow,
    )
    state = charged(
        changed, condition.liquid, condition.gas, condition.pressure, vapour=condition.vapour
    )
    return changed, state, condition
