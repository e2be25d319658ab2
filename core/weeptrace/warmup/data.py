"""What goes into the judgement of a warm-up and what comes out. All values are SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from weeptrace.finding import Estimate, Reason
from weeptrace.properties.fraction import Glycol

Limits = Mapping[str, float]
Sign = Literal["yes", "no", "not_measured"]
ThermostatSign = Literal["opens", "stuck_open", "closed_or_no_flow", "not_seen", "not_measured"]
Opening = Literal["as_expected", "early", "late", "not_judged"]
FanSign = Literal["cycled", "on_only", "off_only", "always_on", "not_seen", "not_measured"]
Heat = Literal["good", "weak", "not_measured"]
PipeFlow = Literal["good", "middling", "poor", "not_measured"]
Steady = Literal["yes", "not_shown"]
StopCode = Literal["too_hot", "heater_suddenly_cold"]


@dataclass(frozen=True)
class Point:
    """One row of the log: time in s, temperatures in K, gauge pressure in Pa; ``None``: not read.

    ``coolant``: the engine's. ``radiator_inlet``: by a probe on the pipe. ``vent``: air from the
    heater. ``fan``: whether the radiator's fan runs. ``heater_in``, ``heater_out``: on its pipes.
    ``level``: in the reservoir, m over any mark.
    """

    time: float
    coolant: float
    radiator_inlet: float | None = None
    vent: float | None = None
    fan: bool | None = None
    pressure: float | None = None
    heater_in: float | None = None
    heater_out: float | None = None
    level: float | None = None


@dataclass(frozen=True)
class Cold:
    """The closed system as it started, for the pressure model: m3, Pa, coolant's share by mass."""

    headspace: float | None = None
    liquid_volume: float | None = None
    atmosphere: float = 101325.0
    glycol: Glycol = "ethylene"
    mass_fraction: float | None = None


@dataclass(frozen=True)
class Thermostat:
    """``temperature``: the engine's at the change (K), ``time``: of the change (s); 95 %."""

    signature: ThermostatSign
    temperature: Estimate | None = None
    time: Estimate | None = None
    opening: Opening = "not_judged"
    reason: Reason | None = None


@dataclass(frozen=True)
class Edge:
    """The fan came on or went off between two readings: times in s, engine temperatures in K."""

    time: Estimate
    temperature: Estimate


@dataclass(frozen=True)
class Fan:
    """What was seen of the fan; only ``cycled`` proves that it works."""

    signature: FanSign
    on: tuple[Edge, ...] = ()
    off: tuple[Edge, ...] = ()


@dataclass(frozen=True)
class Heater:
    """``effectiveness``: from ambient to coolant, 0 to 1; ``fall``: over the steady stretch.

    ``pipe_drop``: K from the pipe in to the pipe out; ``pipe_flow``: what it says.
    """

    heat: Heat
    effectiveness: Estimate | None = None
    steady: Steady = "not_shown"
    falling: Sign = "not_measured"
    fall: float | None = None
    pipe_drop: Estimate | None = None
    pipe_flow: PipeFlow = "not_measured"


@dataclass(frozen=True)
class PurgeStep:
    """The level fell by ``fall`` in m by ``time`` in s; ``volume``: the air that left, m3."""

    time: float
    fall: float
    volume: Estimate | None


@dataclass(frozen=True)
class Purge:
    """Air seen to leave; ``volume``: all of it in m3, at the least."""

    sign: Sign
    steps: tuple[PurgeStep, ...] = ()
    volume: Estimate | None = None


@dataclass(frozen=True)
class Gas:
    """Excess pressure in Pa over the warming model, inflow in m3/s at outside pressure.

    ``not_larger_than``: the inflow (m3/s) that this log would just have flagged.
    """

    sign: Sign
    excess: float | None = None
    uncertainty: float | None = None
    inflow: float | None = None
    not_larger_than: float | None = None
    reason: Reason | None = None


@dataclass(frozen=True)
class Stop:
    """A reason (its code a ``StopCode``) to stop the engine; the time in s of what shows it."""

    reason: Reason
    time: float


@dataclass(frozen=True)
class Assessment:
    """The judgement of a warm-up."""

    thermostat: Thermostat
    fan: Fan
    heater: Heater
    air_sign: Sign
    gas: Gas
    purge: Purge
    stop: tuple[Stop, ...]
    not_measured: tuple[str, ...]
