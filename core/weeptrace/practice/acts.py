"""What a technician does to the car: pump, release, draw off, catch, test the cap, drain, pour."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from weeptrace.practice.balance import run
from weeptrace.practice.car import Cap, Car
from weeptrace.practice.state import State, gas_volume, liquid_volume, pressure
from weeptrace.properties.boiling import boiling_point
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.properties.openings import GAS_CONSTANT
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

_MOST: Final = 2000  # strokes: beyond, the hand pump is the wrong tool


@dataclass(frozen=True)
class HandPump:
    """A hand pump: ``stroke`` m3 of outside air, of which ``dead`` m3 stays behind compressed."""

    stroke: float
    dead: float = 0.0

    def air(self, car: Car, state: State) -> float:
        """Air in kg that one stroke adds: ``(Pa Vs - p Vdead) / (R T)``; never below zero."""
        pushed = car.atmosphere * self.stroke - pressure(car, state) * self.dead
        return max(pushed, 0.0) / (GAS_CONSTANT * state.temperature)


def pump_to(
    car: Car, state: State, target: float, pump: HandPump, every: float = 0.0
) -> tuple[State, float]:
    """Pump until the gauge stands at ``target`` Pa: the state then, and the strokes it took.

    Each stroke adds what ``pump`` gives in the ``state`` that it meets; the last one is a part. A
    stroke takes ``every`` s, in which the ``car`` leaks and creeps (0: all at once).
    ``Refusal`` (``not_reached``) where 2000 strokes don't get there.

    ``dm = (Pa Vs - p Vdead) / (R T)`` a stroke. Valid for a target above the gauge. Source: ideal
    gas law.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_seam"), "to_neck")
    >>> after, strokes = pump_to(car, release(car, state), 100e3, HandPump(40e-6))
    >>> round(pressure(car, after) / 1e3, 2), 3.0 < strokes < 10.0
    (100.0, True)
    """
    count = 0.0
    while pressure(car, state) < target:
        free = state.room + state.crept + car.hoses.volume(target) - liquid_volume(car, state)
        dry = target + car.atmosphere - state.vapour
        missing = dry * free / (GAS_CONSTANT * state.temperature) - state.air
        added = pump.air(car, state)
        if count >= _MOST or added == 0.0:
            raise Refusal(
                "not_reached",
                "refused.acts.pump_doesnt_reach_kpa",
                figures={"target": Figure(target, "pressure")},
            )
        if missing <= added:
            return replace(state, air=state.air + missing), count + missing / added
        state, count = replace(state, air=state.air + added), count + 1.0
        if every > 0.0:
            state = run(car, state, [every])[0]
    return state, count


def release(car: Car, state: State) -> State:
    """Open the neck: gas leaves or enters until the gauge ends at zero; what is too much spills.

    ``p = 0``, of a ``car`` in a ``state``. Valid for a neck at the top. No error is raised. Source:
    ideal gas law.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_seam"), "to_neck")
    >>> abs(pressure(car, release(car, state))) < 1e-3
    True
    """
    free = state.room + state.crept - liquid_volume(car, state)
    spilled = max(-free, 0.0) / (liquid_volume(car, state) / state.liquid) if state.liquid else 0.0
    dry = max(car.atmosphere - state.vapour, 0.0)
    return replace(
        state,
        liquid=state.liquid - spilled,
        air=dry * max(free, 0.0) / (GAS_CONSTANT * state.temperature),
    )


def draw_off(car: Car, state: State, volume: float) -> State:
    """Take ``volume`` m3 of liquid out under pressure; ``Refusal`` (``too_much``) beyond all.

    ``L' = L - V`` in the ``state`` of the ``car``; the pressure follows. Valid for a quick draw.
    Source: conservation of volume.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("tace_impact"), "filled")
    >>> after = draw_off(car, state, 10e-6)
    >>> round((state.liquid - after.liquid) * 1e6, 1), pressure(car, after) < pressure(car, state)
    (10.0, True)
    """
    taken = volume * state.liquid / liquid_volume(car, state) if state.liquid else 0.0
    if volume > 0.0 and not 0.0 < taken <= state.liquid:
        raise Refusal("too_much", "refused.acts.not_much_liquid_inside", "volume")
    return replace(state, liquid=state.liquid - taken)


def open_cap(cap: Cap, rng: random.Random, times: int = 3) -> list[float]:
    """The gauge pressures in Pa at which a ``cap`` opens when pumped up by itself.

    What its car file says for the first of the ``times``; after that its mean, with a scatter of
    1 kPa (own choice) from ``rng``.

    ``p_1 = first``, then ``p_k ~ N(mean, 1 kPa)``. Valid for a cap by itself. No error is raised.
    Source: own choice.

    >>> from weeptrace.practice.describe import load
    >>> cap = load("larkspur_seam").cap
    >>> found = open_cap(cap, random.Random(1))
    >>> len(found), all(0.9 * cap.rating < p < 1.15 * cap.rating for p in found)
    (3, True)
    """
    more = [rng.gauss(cap.opening, 1e3) for _ in range(times - len(cap.opens))]
    return [*cap.opens[:times], *more]


@dataclass(frozen=True)
class Catch:
    """What a cup under a leak holds: ``mass`` kg, ``volume`` m3 warm, ``drops`` per second."""

    mass: float
    volume: float
    drops: float


def catch(car: Car, before: State, after: State) -> Catch:
    """What dripped between two states of one run, weighed.

    ``m = rho(T) V``: the ``car``'s inhibited coolant leaves at the temperature of ``after``, V as
    it leaves; ``drops = V / (drop t)``. ``Refusal`` (``out_of_range``) above 100 °C, where the
    density is not known.

    Valid for one temperature from ``before`` to ``after``. Source: definition of density.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_seam"), "to_neck")
    >>> after = run(car, state, [900.0])[0]
    >>> found = catch(car, state, after)
    >>> round(found.mass / (after.leaked - state.leaked) / 100.0)
    11
    """
    stretch = 1.0 + car.expansion * (after.temperature - car.temperature)
    volume = (after.leaked - before.leaked) * stretch
    mass_fraction = mass_from_volume(car.glycol, after.strength)
    density = density_inhibited(car.glycol, mass_fraction, after.temperature)
    return Catch(density * volume, volume, volume / car.drop / (after.time - before.time))


def drain(state: State, volume: float) -> State:
    """Let ``volume`` m3 of the well-mixed liquid out, air in its place at zero gauge.

    ``Refusal`` (``too_much``) beyond what is inside.

    ``L' = L - V``, the strength stays. Valid for a mixed ``state``. Source: conservation of volume.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> state = under(load("larkspur_seam"), "to_neck")[1]
    >>> after = drain(state, 1e-3)
    >>> round((state.liquid - after.liquid) * 1e3, 3), after.strength == state.strength
    (1.0, True)
    """
    if not 0.0 <= volume <= state.liquid:
        raise Refusal(
            "too_much",
            "refused.acts.only_inside",
            "volume",
            "accepted.litres_inside",
            {"inside": Figure(state.liquid, "volume")},
        )
    return replace(state, liquid=state.liquid - volume)


def pour(state: State, volume: float, strength: float) -> State:
    """Pour ``volume`` m3 of a ``strength`` by volume in, and run it warm until it is mixed.

    ``s = (s0 V0 + c V) / (V0 + V)``, and the old share falls by ``V0 / (V0 + V)``.

    Valid with volumes taken as additive (they shrink by below 1 % on mixing). Source: mass balance.
    No error is raised.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> from dataclasses import replace
    >>> state = replace(under(load("larkspur_seam"), "to_neck")[1], liquid=3e-3, strength=0.3)
    >>> after = pour(state, 3e-3, 0.6)
    >>> round(after.strength, 3), round(after.old / state.old, 3)
    (0.45, 0.5)
    """
    total = state.liquid + volume
    if total <= 0.0:
        return state
    return replace(
        state,
        liquid=total,
        strength=(state.strength * state.liquid + strength * volume) / total,
        old=state.old * state.liquid / total,
    )


def part_lines(car: Car, plugged: bool) -> float:
    """Transmission fluid in m3 that is lost when the radiator comes out.

    Cooler and stubs in any case; the lines too where the hoses were not ``plugged``. Zero for a
    ``car`` without a cooler.

    ``V = cooler + stubs + lines``. Valid for hoses that were full. No error is raised. Source:
    common practice, 0.5 to 1 US quart in cooler and stubs.

    >>> from weeptrace.practice.describe import load
    >>> car = load("larkspur_vacuum")
    >>> 0.47e-3 < part_lines(car, plugged=True) < part_lines(car, plugged=False)
    True
    """
    cooler = car.transmission
    return 0.0 if cooler is None else cooler.stays + (0.0 if plugged else cooler.lines)


def top_up(car: Car, state: State) -> tuple[State, float, float]:
    """Open the neck after a fill and fill it up: state, m3 at the neck, m3 in the reservoir.

    All gas but what sits ``trapped`` in pockets stands under the neck. The overflow bottle of the
    ``car`` is outside the circuit that was under vacuum in ``state``, so it is empty still.

    ``V = Vg - trapped``. Valid for a car that stands level. No error is raised. Source:
    conservation of volume.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import under
    >>> car, state, _ = under(load("larkspur_seam"), "to_neck")
    >>> after, neck, bottle = top_up(car, drain(state, 0.5e-3))
    >>> abs(gas_volume(car, after) - car.trapped) < 1e-6 and neck > 0.4e-3
    True
    """
    opened = release(car, state)
    neck = max(gas_volume(car, opened) - car.trapped, 0.0)
    stretch = liquid_volume(car, opened) / opened.liquid if opened.liquid else 1.0
    filled = replace(opened, liquid=opened.liquid + neck / stretch)
    return release(car, filled), neck, car.reservoir


def boils_at(car: Car, gauge: float, strength: float | None = None) -> float:
    """Boiling point in K of what is in the ``car`` at a ``gauge`` pressure in Pa.

    ``strength`` by volume, else the car's. See ``properties.boiling.boiling_point``.

    ``p_mix(T) = Pa + p``. Valid and refused (``Refusal``) as there. Source: as there.

    >>> from weeptrace.practice.describe import load
    >>> car = load("larkspur_seam")
    >>> boils_at(car, 100e3) > boils_at(car, 0.0) + 15.0
    True
    """
    share = car.strength if strength is None else strength
    mass = mass_from_volume(car.glycol, share)
    return boiling_point(car.glycol, mass, car.atmosphere + gauge)


def pressures(car: Car, states: Sequence[State]) -> list[float]:
    """The gauge pressure in Pa of each of the ``states`` of a ``car``."""
    return [pressure(car, state) for state in states]
