"""How fast the coolant goes, found in several ways, and how long it lasts. SI: m3/s, m3/m, s.

Ways: drops counted, a catch weighed, a puddle measured, what the owner adds, the leak flow of a
hold. They agree within a factor; beyond it there is a second leak, or coolant goes where nobody
looks.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from weeptrace.finding import Estimate
from weeptrace.hold.data import Verdict
from weeptrace.hold.judge import claimed_class, size_class
from weeptrace.properties.fraction import Glycol
from weeptrace.properties.viscosity import viscosity
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Way = Literal["drops", "catch", "puddle", "owner", "hold"]
Agree = Literal["yes", "no", "not_measured"]
Limits = Mapping[str, float]

# What it may be where the ways do not agree; common practice.
SUSPECT: Final = ("second_leak", "burned_coolant")


@dataclass(frozen=True)
class Found:
    """A flow in m3/s at running condition, by one way, with its 95 % interval."""

    way: Way
    flow: Estimate


@dataclass(frozen=True)
class Rate:
    """The loss. ``ratio``: largest over smallest of the ways; ``size``: class of the loss."""

    flow: Estimate
    per_distance: Estimate
    size: Verdict
    ways: tuple[Found, ...]
    agree: Agree
    ratio: float | None


def _around(value: float, half: float) -> Estimate:
    return Estimate(value, max(value - half, 0.0), value + half)


def scaled(estimate: Estimate, factor: float) -> Estimate:
    """An estimate and its interval times a factor above zero.

    ``Q' = k Q``, k ``factor``. Valid for a factor above zero. No error is raised. Source:
    definition.

    >>> scaled(Estimate(2.0, 1.0, 4.0), 0.5)
    Estimate(value=1.0, low=0.5, high=2.0)
    """
    return Estimate(estimate.value * factor, estimate.low * factor, estimate.high * factor)


def from_drops(count: float, time: float, limits: Limits) -> Estimate:
    """Flow in m3/s from drops counted over a time in s.

    ``Q = N v / t``; N ``count``, t ``time``, v = 0.05 mL a drop, 0.036 to 0.09 mL by the edge that
    it falls from (Tate's law: mass goes with edge and surface tension), a drop more or less at the
    ends. Valid for N > 0, t > 0; ``Refusal`` (``out_of_range``) otherwise. Source: ``limits``
    ``loss.drop_*`` (common practice; USP <1101>; Eschbaum, Bulletin of
    Pharmacy 9, 1895, 461, as reproduced).

    Nine drops in a minute are 0.45 mL/min.

    >>> from weeptrace.rules import limits
    >>> round(from_drops(9, 60.0, limits()).value * 6e7, 2)
    0.45
    """
    _above_zero(count, "drops.count", "1 drop")
    _above_zero(time, "drops.time", "0 s")
    flow, one = count * limits["loss.drop_volume"] / time, limits["loss.drop_volume"] / time
    below, above = (
        abs(limits[f"loss.drop_{end}"] * count / time - flow) for end in ("low", "high")
    )
    return Estimate(flow, max(flow - math.hypot(below, one), 0.0), flow + math.hypot(above, one))


def from_catch(mass: float, time: float, limits: Limits, density: float | None = None) -> Estimate:
    """Flow in m3/s from a mass in kg caught over a time in s.

    ``Q = m / (rho t)``, rho ``density`` in kg/m3, by default that of warm coolant. Valid for values
    above zero; ``Refusal`` (``out_of_range``) otherwise. Source: limits ``loss.catch_*``.

    7.1 g in 15 min are 0.45 mL/min.

    >>> from weeptrace.rules import limits
    >>> round(from_catch(7.1e-3, 900.0, limits()).value * 6e7, 2)
    0.45
    """
    _above_zero(mass, "catch.mass", Figure(0.0, "mass"))
    _above_zero(time, "catch.time", "0 s")
    rho = limits["loss.catch_density"] if density is None else density
    _above_zero(rho, "catch.density", "0 kg/m³")
    flow = mass / rho / time
    half = math.hypot(limits["loss.catch_relative"], limits["loss.catch_absolute"] / mass)
    return _around(flow, flow * half)


def puddle(area: float, limits: Limits, thickness: float | None = None) -> Estimate:
    """Volume in m3 of a puddle from its area in m2: ``V = A e``.

    e ``thickness`` in m; unless measured, 1 mm on rough level ground, 0.5 to 2 mm: a drop that no
    longer spreads is ``2 a sin(angle / 2)`` thick, a its capillary length. Ground that drinks hides
    more than the eye sees. Valid for values above zero; ``Refusal`` (``out_of_range``) otherwise.
    Source: geometry; capillarity; ``limits`` ``loss.puddle_*``.

    0.4 m by 0.5 m are 0.2 L, give or take a factor of two.

    >>> from weeptrace.rules import limits
    >>> found = puddle(0.4 * 0.5, limits())
    >>> round(found.low * 1e3, 1), round(found.value * 1e3, 1), round(found.high * 1e3, 1)
    (0.1, 0.2, 0.4)
    """
    _above_zero(area, "puddle.area", Figure(0.0, "area"))
    if thickness is not None:
        _above_zero(thickness, "puddle.thickness", Figure(0.0, "small_length"))
        return _around(area * thickness, area * thickness * limits["loss.estimated_relative"])
    usual, low, high = (limits[f"loss.puddle_thickness{end}"] for end in ("", "_low", "_high"))
    return Estimate(area * usual, area * low, area * high)


def from_puddle(volume: Estimate, time: float) -> Estimate:
    """Flow in m3/s from the volume of a puddle in m3 over a time in s: ``Q = V / t``.

    ``volume`` see ``puddle``. Valid for a time above zero; ``Refusal`` (``out_of_range``)
    otherwise. Source: conservation of volume.

    >>> from_puddle(Estimate(6.0, 3.0, 12.0), 3.0).value
    2.0
    """
    _above_zero(time, "puddle.time", "0 s")
    return scaled(volume, 1.0 / time)


def from_owner(per_distance: Estimate, limits: Limits, exposure: float | None = None) -> Estimate:
    """Flow in m3/s at running condition from what is added over a distance, m3/m.

    ``Q = L / H``, L ``per_distance``, with the ``exposure`` H in s/m: 1500 min/1000 km unless given
    (limit ``hold.exposure`` of ``limits``; 20 h at 50 km/h and 5 h of hot soak).

    Valid for a loss above zero; ``Refusal`` (``out_of_range``) otherwise. Source: definition; the
    exposure is common practice.

    0.3 L/1000 km are 0.2 mL/min.

    >>> from weeptrace.rules import limits
    >>> round(from_owner(Estimate(0.3e-9, 0.2e-9, 0.4e-9), limits()).value * 6e7, 2)
    0.2
    """
    _above_zero(per_distance.value, "owner", Figure(0.0, "loss_per_distance"))
    return scaled(per_distance, 1.0 / _exposure(exposure, limits))


def running_factor(
    *,
    pressure: float,
    rated: float,
    temperature: float,
    limits: Limits,
    exponent: float | None = None,
    glycol: Glycol = "ethylene",
    mass_fraction: float | None = None,
    running_pressure: float | None = None,
) -> float:
    """Flow of a running hot engine over that of a test at rest.

    ``(p_op / p_test)^n (mu_test / mu_hot)^(2 m - 1)``: p gauge in Pa, p_op = 0.7 rating unless
    measured as ``running_pressure``, n the leak's exponent, m = n held between 0.5 (sharp hole, no
    viscosity in it) and 1 (fine crack, flow as 1 / mu), mu the viscosity of ``glycol`` at
    ``mass_fraction``. Wrong for a leak that opens only cold or only hot.

    Valid for pressures above zero and temperatures of the viscosity tables; ``Refusal``
    (``out_of_range``) otherwise. Source: orifice and Poiseuille flow; limits ``loss.running_*``
    and ``loss.laminar_*`` (common practice).

    >>> from weeptrace.rules import limits
    >>> round(running_factor(pressure=1e5, rated=1.1e5, temperature=289.15, exponent=0.6,
    ...     limits=limits()), 1)
    1.2
    """
    _above_zero(pressure, "condition.pressure", Figure(0.0, "pressure"))
    _above_zero(rated, "condition.rated", Figure(0.0, "pressure"))
    n = limits["hold.exponent"] if exponent is None else exponent
    low, high = limits["hold.exponent_low"], limits["hold.exponent_high"]
    if not low <= n <= high:
        raise Refusal(
            "out_of_range",
            "refused.rate.exponent_not_leak_leave",
            "condition.exponent",
            "accepted.between",
            {"n": n, "low": low, "high": high},
        )
    m = min(max(n, limits["loss.laminar_low"]), limits["loss.laminar_high"])
    w = limits["hold.mass_fraction_unknown"] if mass_fraction is None else mass_fraction
    hot = viscosity(glycol, w, limits["loss.running_temperature"])
    thicker = viscosity(glycol, w, temperature) / hot
    running = limits["loss.running_share"] * rated if running_pressure is None else running_pressure
    _above_zero(running, "condition.running_pressure", Figure(0.0, "pressure"))
    ratio = running / pressure
    return float(ratio**n * thicker ** (2.0 * m - 1.0))


def combine(ways: Sequence[Found], limits: Limits, exposure: float | None = None) -> Rate:
    """One rate from one or more ways, and whether they agree.

    They agree where largest over smallest is not above ``loss.rates_factor``. Then the way with the
    narrowest relative interval counts; where they disagree, the largest: the safe side.
    ``loss = Q H``, H the ``exposure`` in s/m, 1500 min/1000 km unless given. Valid for one way or
    more; ``Refusal`` (``missing``) for none.

    Source: own choice; the factor of three is common practice.

    >>> from weeptrace.rules import limits
    >>> a = Found("drops", Estimate(1.0, 0.8, 1.2)); b = Found("catch", Estimate(3.1, 3.0, 3.2))
    >>> both = combine([a, b], limits())
    >>> both.agree, both.flow.value
    ('no', 3.1)
    """
    if not ways:
        raise Refusal(
            "missing",
            "refused.rate.nothing_measured_count_drops",
            "",
            "accepted.drops_catch_owner_hold",
        )
    flows = [way.flow for way in ways]
    largest = max(flows, key=lambda flow: flow.value)
    agree: Agree = "not_measured"
    chosen, ratio = largest, None
    if len(flows) > 1:
        ratio = largest.value / min(flow.value for flow in flows)
        agree = "yes" if ratio <= limits["loss.rates_factor"] * (1.0 + 1e-9) else "no"
        if agree == "yes":
            chosen = min(flows, key=lambda flow: (flow.high - flow.low) / flow.value)
    loss = scaled(chosen, _exposure(exposure, limits))
    return Rate(chosen, loss, claimed_class(loss, loss.high, limits), tuple(ways), agree, ratio)


def is_gross(rate: Rate, limits: Limits) -> bool:
    """Whether the central loss lies in the gross class.

    ``L >= hold.gross``: L the middle of ``rate`` in m3/m, the class of ``limits``. Valid for any
    rate. No error is raised. Source: ``limits`` (common practice).

    >>> from weeptrace.rules import limits
    >>> loss = Estimate(6e-9, 5e-9, 7e-9)
    >>> is_gross(Rate(loss, loss, "gross", (), "yes", None), limits())
    True
    """
    return size_class(rate.per_distance.value, limits) == 3


def _exposure(given: float | None, limits: Limits) -> float:
    """Minutes under pressure per distance, in s/m."""
    if given is None:
        return limits["hold.exposure"]
    _above_zero(given, "exposure", "0 min/1000 km")
    return given


def _above_zero(value: float, path: str, zero: Figure | str) -> None:
    if value <= 0.0:
        name = path.rpartition(".")[2].replace("_", " ")
        raise Refusal(
            "out_of_range",
            "refused.rate.above_zero_type_again",
            path,
            "accepted.above_least",
            {"name": name, "least": zero},
        )
