"""What goes into the judgement of a hold and what comes out. All values are SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from weeptrace.finding import Estimate as Estimate
from weeptrace.finding import Reason as Reason
from weeptrace.properties import air
from weeptrace.properties.fraction import Glycol

ActionKind = Literal["pumped", "drew_off", "disturbed"]
# What is assumed where it was not measured.
ASSUMED = ("altitude", "strength", "liquid_volume", "stored_volume", "rated", "temperature")
Verdict = Literal[
    "no_leak_found",
    "tight",
    "seeping",
    "seeping_or_leaking",
    "leaking",
    "leaking_or_gross",
    "gross",
    "leak_size_unknown",
    "too_weak",
    "not_judged",
]


@dataclass(frozen=True)
class Reading:
    """One look at the needle: time in s, gauge pressure in Pa, temperature in K if measured."""

    time: float
    pressure: float
    temperature: float | None = None


@dataclass(frozen=True)
class Action:
    """Something done to the system during the hold, at a time in s.

    ``pumped``: air pumped in. ``drew_off``: liquid drawn off. ``disturbed``: anything else that
    moved the needle, such as a hose touched.
    """

    kind: ActionKind
    time: float


@dataclass(frozen=True)
class Strokes:
    """Pump strokes from zero gauge to the start of the hold, and outside air per stroke in m3.

    ``dead``: volume in m3 that the piston leaves in the pump, 0 where nobody measured.
    """

    count: float
    volume: float
    dead: float = 0.0


@dataclass(frozen=True)
class Drawn:
    """Liquid that left under pressure and was weighed, m3, and the needle before and after, Pa.

    ``by_leak``: it was not drawn off but is all that the one leak lost in that time.
    """

    volume: float
    before: float
    after: float
    by_leak: bool = False


@dataclass(frozen=True)
class Compliance:
    """Volume per pressure of the whole system at the target, m3/Pa."""

    value: float


@dataclass(frozen=True)
class Headspace:
    """Gas above the liquid at zero gauge, m3."""

    volume: float


@dataclass(frozen=True)
class EvacuatedVolume:
    """Volume of a drained system, m3, at atmospheric pressure."""

    value: float


Stored = Strokes | Drawn | Compliance | Headspace | EvacuatedVolume


@dataclass(frozen=True)
class Hold:
    """A hold: of a system filled with coolant, or of a drained one (a vacuum, or air).

    ``kind`` is ``pressure`` or ``vacuum``, ``medium`` ``coolant`` or ``air``; a vacuum is of a
    drained system whatever the medium says, and its pressures may be typed with either sign.
    ``evacuated_volume`` (m3) is the same as ``stored=EvacuatedVolume(...)``; ``engine_temperature``
    in K belongs to a drained system, where readings have none.
    Pressures in Pa gauge, times in s; ``None`` is "not measured". ``division`` is the gauge's;
    ``self_leak`` the tester's own fall on a blank in Pa/s; ``owner_rate`` the loss that the owner
    tells in m3/m; ``planned`` the planned duration since the first reading; ``atmosphere`` in Pa
    abs; ``mass_fraction`` the coolant's share of ``glycol`` by mass; ``wet``
    whether a wet place was found under pressure, ``None`` where nobody looked.
    """

    readings: tuple[Reading, ...]
    division: float
    kind: str = "pressure"
    medium: str = "coolant"
    target: float | None = None
    rated: float | None = None
    atmosphere: float | None = None
    glycol: Glycol = "ethylene"
    mass_fraction: float | None = None
    stored: Stored | None = None
    liquid_volume: float | None = None
    self_leak: float | None = None
    actions: tuple[Action, ...] = ()
    owner_rate: float | None = None
    planned: float | None = None
    ambient_temperature: float | None = None
    evacuated_volume: float | None = None
    engine_temperature: float | None = None
    wet: bool | None = None

    @property
    def outside(self) -> float:
        """The atmosphere that is reckoned with, Pa absolute: at sea level where it was not told."""
        return air.SEA_LEVEL if self.atmosphere is None else self.atmosphere


@dataclass(frozen=True)
class LiquidEquivalent:
    """Liquid through the opening that lets the air through, m3/s at the rated pressure, hot: as an
    orifice and as a laminar capillary. Bounds, and only for this direction of the pressure."""

    orifice: Estimate
    laminar: Estimate


@dataclass(frozen=True)
class Exponent:
    """The exponent of the leak law; ``assumed`` where the readings say little about it."""

    value: float
    assumed: bool


@dataclass(frozen=True)
class Point:
    """A point of the fitted curve: s, Pa, 95 % band, and the same hold with a leak just at the
    limit between seeping and leaking (``None`` where the stored volume is not known)."""

    time: float
    pressure: float
    low: float
    high: float
    limit: float | None


@dataclass(frozen=True)
class Advice:
    """A way to see a smaller leak: the smallest then detectable, m3/s and m3/m, and s it takes."""

    code: str
    smallest_detectable_flow: float
    smallest_detectable: float
    time: float

    @property
    def reason(self) -> Reason:
        """What to do, and why that sees more."""
        return Reason(self.code, f"reason.advice.{self.code}")


@dataclass(frozen=True)
class Assessment:
    """The judgement of a hold. What could not be known is ``None``.

    ``explanations``: weights; ``favoured``: the one that the readings speak for, or
    ``cannot_tell``. ``advice``: what would let the next hold see a smaller leak, best first.

    ``rate``: fall by the leak alone at the target, positive, Pa/s. ``leak_flow``: m3/s at the
    target. ``per_distance``: m3/m, the flow times the exposure. ``not_larger_than``: this hold's
    one-sided 95 % upper limit on the leak; of a planned hold, which is looked at as it comes, the
    limit that holds over all looks together. ``smallest_detectable``: the leak that such a hold
    flags with 95 % chance, for planning. ``more_time``: s from now until the hold says more.
    ``fall``: straight line through all readings, positive when the pressure falls, unjudged.
    ``look_factor``: standard errors that a claim needed at this look. ``next_reading``: s from the
    last reading to the next one, of coolant under pressure.

    Of a drained system: ``rate`` is the leak-up (or the fall) by air alone at the vacuum reached
    (or at the target), positive; ``air_flow`` m3/s of air at the atmosphere; ``leak_flow`` the
    liquid equivalent, its value and high end as through an orifice, its low end as through a
    capillary where that is less; ``fall`` the needle's way towards zero. ``residual_fraction``:
    absolute pressure reached over the atmosphere; ``best_vacuum`` gauge, Pa, below zero: what this
    place and engine allow with a usual pump, ``low`` with a good one, ``high`` just within the
    limit of the residual.

    ``hints``: where to look next. ``air_side``: with the hint of that name, the liquid that would
    go through the same opening, once coolant stands above it.
    """

    verdict: Verdict
    reason: Reason | None = None
    explanations: Mapping[str, float] = field(default_factory=dict)
    favoured: str | None = None
    target: float | None = None
    rate: Estimate | None = None
    leak_flow: Estimate | None = None
    per_distance: Estimate | None = None
    not_larger_than: float | None = None
    not_larger_than_flow: float | None = None
    smallest_detectable: float | None = None
    smallest_detectable_flow: float | None = None
    exponent: Exponent | None = None
    compliance: Estimate | None = None
    more_time: float | None = None
    next_reading: float | None = None
    suspect_readings: tuple[int, ...] = ()
    curve: tuple[Point, ...] = ()
    fall: Estimate | None = None
    noise: float | None = None
    look_factor: float | None = None
    air_flow: Estimate | None = None
    liquid_equivalent: LiquidEquivalent | None = None
    residual_fraction: float | None = None
    best_vacuum: Estimate | None = None
    assumed: tuple[str, ...] = ()
    hints: tuple[Reason, ...] = ()
    advice: tuple[Advice, ...] = ()
    air_side: LiquidEquivalent | None = None
