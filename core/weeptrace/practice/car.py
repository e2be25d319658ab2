"""What a practice car is made of: hoses, leaks, cap, engine. Nothing here changes with time."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from weeptrace.practice.course import Course
from weeptrace.properties import air
from weeptrace.properties.boiling import vapour_pressure
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.fraction import Glycol, mass_from_volume
from weeptrace.properties.viscosity import viscosity


@dataclass(frozen=True)
class Hoses:
    """Hoses and plastic: what they give under pressure, and how flat they lie in a vacuum.

    ``V(p) = Ch p - Vf p^2/(p^2 + pf^2)`` where the second term is for p below zero only: Ch
    ``compliance`` in m3/Pa, p gauge; Vf ``flat_volume`` in m3, lost when they lie flat; pf
    ``flat_at``, the vacuum in Pa that takes half of it. Creep: a further ``creep_share`` of Ch p
    follows with ``creep_time`` in s, and comes back as slowly; where ``creep_at`` is given, this
    gauge pressure in Pa drives it all along, as a hold's judgement takes it.

    Valid for rubber below its burst pressure. Ch 0.3 to 0.8 mL/kPa, creep 2 to 6 % in 1 to 3 min,
    flat volume 3 to 10 % of the system: common practice. The shape of the flattening: own choice.

    >>> Hoses(0.5e-9).volume(100e3) * 1e6
    50.0
    """

    compliance: float
    creep_share: float = 0.0
    creep_time: float = 90.0
    creep_at: float | None = None
    flat_volume: float = 0.0
    flat_at: float = 20e3

    def volume(self, pressure: float) -> float:
        """Volume in m3 taken at once at a gauge pressure in Pa; below zero in a vacuum."""
        return self.compliance * pressure - self.flat_volume * self.flat(pressure)

    def flat(self, pressure: float) -> float:
        """How flat they lie at a gauge pressure: 0 is round, 1 is flat."""
        return pressure**2 / (pressure**2 + self.flat_at**2) if pressure < 0.0 else 0.0

    def creep(self, pressure: float) -> float:
        """Volume in m3 that the creep ends at, at a gauge pressure in Pa."""
        at = pressure if self.creep_at is None else self.creep_at
        return self.creep_share * self.compliance * at

    def slope(self, pressure: float) -> float:
        """dV/dp in m3/Pa at a gauge pressure."""
        if pressure >= 0.0 or self.flat_volume == 0.0:
            return self.compliance
        square = self.flat_at**2
        return self.compliance - self.flat_volume * 2.0 * pressure * square / (
            (pressure**2 + square) ** 2
        )


@dataclass(frozen=True)
class Leak:
    """One opening to the outside.

    Outwards ``Q = flow_100 (p / 100 kPa)^exponent``: ``flow_100`` in m3/s of what stands before it,
    liquid or (``side`` air) gas at the pressure inside. Or else a measured opening: ``orifice`` in
    m2 (area times discharge coefficient) and ``capillary`` in m3. Inwards air flows through it as
    through an orifice: the measured one, or the one that passes ``flow_100`` at 100 kPa.
    ``closed_above`` in K: warm plastic seals. ``turning``: m3/s more at ``turning_speed`` in 1/s,
    in proportion to the speed, only while the engine runs.
    """

    place: str
    flow_100: float = 0.0
    exponent: float = 0.6
    side: Literal["liquid", "air"] = "liquid"
    orifice: float = 0.0
    capillary: float = 0.0
    closed_above: float | None = None
    turning: float = 0.0
    turning_speed: float = 2000.0 / 60.0

    def outwards(self, pressure: float) -> float:
        """``flow_100 (p / 100 kPa)^exponent`` in m3/s; nothing at or below zero gauge.

        >>> round(Leak("seam", 1e-8, 0.5).outwards(25e3) * 1e8, 6)
        0.5
        """
        if pressure <= 0.0 or self.flow_100 == 0.0:
            return 0.0
        return float(self.flow_100 * (pressure / 100e3) ** self.exponent)


@dataclass(frozen=True)
class Cap:
    """The pressure cap: opens at a gauge pressure, lets air back in at a small vacuum.

    ``rating`` in Pa as printed; ``opens`` the pressures in Pa at which it opened in tests, the mean
    of which is its truth; ``conductance`` in m3/(s Pa) of gas beyond opening (own choice: 1 kPa
    over lets 1 mL/s out); ``returns`` in Pa below the atmosphere (common practice: a few kPa).
    """

    rating: float
    opens: tuple[float, ...] = ()
    conductance: float = 1e-9
    returns: float = 5e3

    @property
    def opening(self) -> float:
        """The mean opening pressure in Pa gauge; the rating where it was not tested."""
        return sum(self.opens) / len(self.opens) if self.opens else self.rating


@dataclass(frozen=True)
class Transmission:
    """The transmission's cooler in the radiator: volumes in m3 of fluid.

    ``stays``: in the cooler and its stubs, lost with the radiator even when the hoses are plugged.
    ``lines``: in the hoses and pipes, lost when they are not.
    """

    stays: float
    lines: float


@dataclass(frozen=True)
class Engine:
    """What warms and cools: two lumps, engine and radiator, with a thermostat between them.

    ``heat_capacity`` J/K of engine and coolant, ``power`` W into the coolant, ``loss`` W/K to the
    air; ``radiator_capacity`` J/K; ``flow`` W/K from engine to radiator with the thermostat full
    open; ``still`` and ``fan`` W/K from radiator to air without and with the fan. Temperatures in
    K: ``opens``, ``full_open``, ``fan_on``, ``fan_off``. ``heater_units``: transfer units of the
    heater core, which gives ``1 - exp(-units (1 - blocked))`` as its effectiveness.
    """

    heat_capacity: float
    power: float
    loss: float
    radiator_capacity: float
    flow: float
    still: float
    fan: float
    opens: float
    full_open: float
    fan_on: float
    fan_off: float
    heater_units: float


@dataclass(frozen=True)
class Condition:
    """One way in which the car stands before the technician.

    ``liquid`` and ``gas`` in m3 at the gauge pressure ``pressure`` in Pa (below zero: a vacuum);
    ``course`` of the temperature; ``vapour`` in Pa where it is not yet in balance; ``expansion`` in
    1/K where it differs from the car's; ``sealed``: the leaks are repaired; ``inflow`` in m3/s of
    combustion gas at the atmosphere; ``blocked``: share of the heater's flow that air blocks;
    ``times`` in s at which it is read.
    """

    name: str
    liquid: float
    gas: float
    pressure: float
    course: Course
    vapour: float | None = None
    expansion: float | None = None
    sealed: bool = False
    inflow: float = 0.0
    blocked: float = 0.0
    times: tuple[float, ...] = tuple(60.0 * k for k in range(16))


@dataclass(frozen=True)
class Car:
    """A fictional car. Every field is a truth that the technician does not see.

    ``altitude`` m; ``temperature`` K to which liquid volumes refer; ``strength`` glycol by volume;
    ``expansion`` 1/K of the liquid less that of the metal around it; ``vapour_time`` s in which wet
    walls bring the vapour into balance (0: at once); ``gas_inflow`` m3/s of combustion gas at the
    atmosphere; ``trapped`` m3 of air in pockets that the neck does not reach; ``reservoir`` m3 of
    an overflow bottle outside the circuit; ``drop`` m3 of one drop.
    """

    name: str
    hoses: Hoses
    altitude: float = 0.0
    temperature: float = 288.15
    glycol: Glycol = "ethylene"
    strength: float = 0.5
    expansion: float = 5e-4
    leaks: tuple[Leak, ...] = ()
    cap: Cap | None = None
    vapour_time: float = 0.0
    gas_inflow: float = 0.0
    capacity: float | None = None
    trapped: float = 0.0
    reservoir: float = 0.0
    drop: float = 5e-8
    transmission: Transmission | None = None
    engine: Engine | None = None
    conditions: tuple[Condition, ...] = ()

    @cached_property
    def atmosphere(self) -> float:
        """Standard atmosphere in Pa abs at the altitude: ``properties.air.pressure``."""
        return air.pressure(self.altitude)

    def vapour(self, temperature: float, strength: float | None = None) -> float:
        """Vapour pressure in Pa abs over the coolant: ``properties.boiling.vapour_pressure``."""
        mass = mass_from_volume(self.glycol, self.strength if strength is None else strength)
        return vapour_pressure(self.glycol, mass, temperature)

    @cached_property
    def density(self) -> float:
        """Density in kg/m3 of the coolant at the reference temperature."""
        mass = mass_from_volume(self.glycol, self.strength)
        return density_inhibited(self.glycol, mass, self.temperature)

    @cached_property
    def viscosity(self) -> float:
        """Viscosity in Pa s of the coolant at the reference temperature."""
        return viscosity(
            self.glycol, mass_from_volume(self.glycol, self.strength), self.temperature
        )
