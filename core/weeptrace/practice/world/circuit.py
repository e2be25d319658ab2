"""The circuit: liquid, gas and pressure, open or closed, with cap, bottle, pockets and leaks.

The inside is ``practice.state``; here are what lets out, what comes in, and where each litre went.
Liquid is counted as at the car's reference temperature, m3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Final

from weeptrace.practice.acts import boils_at, pour, release
from weeptrace.practice.car import Car, Leak
from weeptrace.practice.flow import inlet, through
from weeptrace.practice.state import State, charged, liquid_volume, pressure
from weeptrace.practice.world.heat import LATENT, toward
from weeptrace.properties.boiling import COLDEST
from weeptrace.properties.openings import GAS_CONSTANT

RISES: Final = 300.0  # s in which a pocket comes up once the thermostat is open: own choice
_IDLE: Final = 800.0 / 60.0  # 1/s


@dataclass
class Circuit:
    """What is inside and how it is closed; ``went`` says where the liquid that left went.

    ``opens`` Pa gauge from which it lets out, None where nothing does; ``returns`` Pa below the
    atmosphere from which it takes in, None where nothing does; ``open``: no pressure can stand.
    ``trapped`` m3 of air in pockets; ``bottle`` m3 in the overflow bottle, which holds ``car``'s.
    """

    car: Car
    state: State
    leaks: list[Leak]
    opens: float | None
    returns: float | None
    open: bool = False
    trapped: float = 0.0
    bottle: float = 0.0
    went: dict[str, float] = field(default_factory=dict)

    @property
    def gauge(self) -> float:
        """Gauge pressure, Pa."""
        return 0.0 if self.open else pressure(self.car, self.state)

    @property
    def liquid(self) -> float:
        """Liquid inside, m3 at the reference temperature."""
        return self.state.liquid

    @property
    def liquid_volume(self) -> float:
        """Liquid inside as warm as it is, m3."""
        return liquid_volume(self.car, self.state)

    @property
    def gas(self) -> float:
        """Gas inside, pockets and all, m3."""
        return max(self._walls(self.gauge) - liquid_volume(self.car, self.state), 0.0)

    @property
    def vapour(self) -> float:
        """Vapour pressure of the coolant as it is, Pa abs."""
        at = max(self.state.temperature, COLDEST)
        return self.car.vapour(at, self.state.strength)

    @property
    def boiling(self) -> bool:
        """It boils: its vapour bears the whole pressure, within 2 %."""
        return self.vapour >= 0.98 * (self.gauge + self.car.atmosphere)

    def move(self, where: str, volume: float) -> None:
        """``volume`` m3 leaves the inside and goes to ``where``."""
        taken = min(max(volume, 0.0), self.state.liquid)
        self.state = replace(self.state, liquid=self.state.liquid - taken)
        self.went[where] = self.went.get(where, 0.0) + taken

    @property
    def neck_gas(self) -> float:
        """Gas under the neck, pockets left out, m3: above zero the liquid is below the brim."""
        return self.gas - self.trapped

    def brimful(self, left: float) -> float:
        """m3 of liquid missing until ``left`` m3 of gas stand under the neck; not below zero."""
        return max(self.neck_gas - left, 0.0) / self._stretch()

    def _walls(self, gauge: float) -> float:
        return self.state.room + self.state.crept + self.car.hoses.volume(gauge)

    def _stretch(self) -> float:
        return 1.0 + self.car.expansion * (self.state.temperature - self.car.temperature)

    def warmed(self, temperature: float) -> None:
        """The coolant is at ``temperature`` K now, and its vapour with it."""
        self.state = replace(self.state, temperature=temperature)
        self.state = replace(self.state, vapour=self.vapour)

    def hold(self) -> float:
        """Pa gauge up to which it holds: what boils at more lets vapour out."""
        if self.open:
            return 0.0
        return math.inf if self.opens is None else self.opens

    def boil(self, capacity: float) -> None:
        """Boil off what is hotter than the boiling point where vapour can leave.

        ``dL = C (T - Tb) / latent``, with C ``capacity`` in J/K; only water goes, so the rest is
        stronger.
        """
        top = self.hold()
        if math.isinf(top) or self.vapour <= self.car.atmosphere + top or self.liquid <= 0.0:
            return
        end = boils_at(self.car, top, self.state.strength)
        lost = min(capacity * (self.state.temperature - end) / LATENT, 0.5 * self.liquid)
        before = self.liquid
        self.move("boiled", lost)
        strength = min(self.state.strength * before / max(self.liquid, 1e-9), 0.99)
        self.state = replace(self.state, strength=strength)
        self.warmed(end)

    def let_out(self) -> float:
        """Let gas and liquid out above ``hold``, take in below ``returns``; m3 of liquid spilled.

        Gas first, where it stands at the neck, then liquid: into the bottle, then over it.
        """
        if self.open:
            return self._brim()
        spilled = 0.0
        p = self.gauge
        if self.opens is not None and p > self.opens:
            top = self.opens
            room = self._walls(top) - liquid_volume(self.car, self.state)
            if room > self.trapped:
                self._gas(room, top)
            else:
                over = (self.trapped - room) / self._stretch()
                self._gas(self.trapped, top)
                spilled = self._over(over)
        elif self.returns is not None and p < -self.returns:
            self._take_in(-self.returns)
        return spilled

    def _gas(self, volume: float, gauge: float) -> None:
        dry = max(gauge + self.car.atmosphere - self.state.vapour, 0.0)
        air = dry * max(volume, 0.0) / (GAS_CONSTANT * self.state.temperature)
        self.state = replace(self.state, air=air)

    def pulled_to(self, gauge: float) -> None:
        """Air is drawn out, or let in, until the gauge stands at ``gauge`` Pa."""
        self._gas(self._walls(gauge) - liquid_volume(self.car, self.state), gauge)

    def takes(self) -> float:
        """m3 of liquid that a vacuum draws in until the gauge stands at zero."""
        dry = max(self.car.atmosphere - self.state.vapour, 1.0)
        gas = self.state.air * GAS_CONSTANT * self.state.temperature / dry
        room = self._walls(0.0) - liquid_volume(self.car, self.state)
        return max(room - gas, 0.0) / self._stretch()

    def _over(self, volume: float) -> float:
        into = min(volume, max(self.car.reservoir - self.bottle, 0.0))
        self.state = replace(self.state, liquid=self.state.liquid - into)
        self.bottle += into
        self.move("spilled", volume - into)
        return volume - into

    def _take_in(self, gauge: float) -> None:
        dry = max(gauge + self.car.atmosphere - self.state.vapour, 1.0)
        room = self._walls(gauge) - liquid_volume(self.car, self.state)
        wanted = room - self.state.air * GAS_CONSTANT * self.state.temperature / dry
        drawn = min(max(wanted, 0.0) / self._stretch(), self.bottle)
        self.bottle -= drawn
        self.state = replace(self.state, liquid=self.state.liquid + drawn)
        if drawn * self._stretch() < wanted:
            self._gas(room - drawn * self._stretch(), gauge)

    def _brim(self) -> float:
        self.state = replace(self.state, crept=max(self.state.crept, 0.0))
        over = self.trapped - (self._walls(0.0) - liquid_volume(self.car, self.state))
        if over > 0.0:
            self.move("spilled", over / self._stretch())
        self.state = release(self.car, self.state)
        return max(over, 0.0) / self._stretch()

    def opened(self) -> float:
        """Nothing closes it from now on; m3 that spills over the brim."""
        self.open = True
        return self._brim()

    def closed(self, opens: float | None, returns: float | None) -> None:
        """Closed as it stands, with the atmosphere in the gas."""
        if self.open:
            self.state = release(self.car, self.state)
        self.open, self.opens, self.returns = False, opens, returns

    def leak(self, time: float, turning: float, into: str) -> float:
        """Leaks for a ``time`` in s, the pump ``turning`` at that share of idle; m3 that left.

        A flow that would take more than a fifth of the stored volume dies away as it goes.
        """
        if not self.leaks:
            return 0.0
        gauge, gone = self.gauge, 0.0
        gas = max(self.gas, 1e-9)
        for each in self.leaks:
            flow, air = through(
                self.car, each, inlet(self.car, each), gauge, self.state.temperature,
                self.state.air / gas, self.liquid > 0.0,
            )  # fmt: skip
            volume = flow * time
            if gauge > 0.0:
                stored = self.stored(gauge, gas) * gauge
                volume = stored * -math.expm1(-volume / stored)
            volume += shed(each, turning) * time
            gone += min(volume, self.liquid - gone) if volume > 0.0 else 0.0
            self._breathe(air, time, gauge, gas)
        self.move(into, gone)
        return gone

    def stored(self, gauge: float, gas: float) -> float:
        """Volume for a change of pressure, m3/Pa: ``dV/dp + Vg / (p + Pa - pv)``."""
        dry = max(gauge + self.car.atmosphere - self.state.vapour, 1e3)
        return max(self.car.hoses.slope(gauge) + gas / dry, 1e-13)

    def _breathe(self, air: float, time: float, gauge: float, gas: float) -> None:
        if air == 0.0:
            return
        stored = self.stored(gauge, gas) * abs(gauge) + 1e-15
        warm = GAS_CONSTANT * self.state.temperature
        dry = max(gauge + self.car.atmosphere - self.state.vapour, 1e3)
        limit = stored * dry / warm  # kg that brings it to the atmosphere
        moved = limit * -math.expm1(-abs(air) * time / limit)
        self.state = replace(self.state, air=max(self.state.air + math.copysign(moved, air), 0.0))

    def creep(self, time: float) -> None:
        """Hoses give slowly: a first-order creep towards ``Hoses.creep``."""
        end = self.car.hoses.creep(self.gauge)
        crept = toward(self.state.crept, end, time, self.car.hoses.creep_time)
        self.state = replace(self.state, crept=crept)

    def rise(self, time: float) -> None:
        """Trapped air comes up for a ``time`` in s of a pumped, open thermostat."""
        self.trapped = toward(self.trapped, 0.0, time, RISES)

    def blown_in(self, volume: float) -> None:
        """``volume`` m3 of gas, at the atmosphere, comes in."""
        mass = volume * self.car.atmosphere / (GAS_CONSTANT * self.state.temperature)
        self.state = replace(self.state, air=self.state.air + mass)

    def pour(self, volume: float, strength: float) -> None:
        """``volume`` m3 of a ``strength`` goes in and mixes."""
        self.state = pour(self.state, volume, strength)


def shed(leak: Leak, turning: float) -> float:
    """What a ``leak`` of a shaft seal lets out by its ``turning``, a share of idle, in m3/s.

    Valid from standstill on. No error is raised. Source: practice cars give it at their own speed.

    >>> round(1e6 * shed(Leak("seal", 0.0, turning=1e-6), 1.0), 2)
    0.4
    """
    return leak.turning * turning * _IDLE / leak.turning_speed


def filled(car: Car, capacity: float, headspace: float, missing: float) -> State:
    """A closed ``car`` that was filled cold to ``missing`` m3 below its mark and left alone.

    ``capacity`` m3 at the mark, ``headspace`` m3 of gas above it, at zero gauge. ``V = capacity +
    headspace``. Valid at the reference temperature; ``Refusal`` as ``state.charged``. Source:
    conservation of volume.

    >>> from weeptrace.practice.describe import load
    >>> from weeptrace.practice.state import gas_volume
    >>> car = load("larkspur_seam")
    >>> state = filled(car, 7e-3, 0.6e-3, 0.5e-3)
    >>> round(1e3 * gas_volume(car, state), 6), abs(pressure(car, state)) < 1e-6
    (1.1, True)
    """
    liquid = capacity - missing
    return charged(car, liquid, capacity + headspace - liquid, 0.0)
