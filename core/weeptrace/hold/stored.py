"""How much volume the system stores per pressure: the same leak falls fast or slowly by it.

    C(p) = Ch + Vg(p)/(p + P),  P = Pa - pv,  Vg (p + P) = const (closed gas at one temperature)

C total compliance m3/Pa, Ch of hoses and plastic, Vg gas m3, p gauge pressure Pa, Pa atmosphere and
pv vapour pressure Pa abs. Boyle's law and mass balance; valid for gauge pressures above zero.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.hold.data import Compliance, Drawn, Headspace, Stored, Strokes
from weeptrace.hold.pump import air_pumped, gas_from_strokes
from weeptrace.refusal import Refusal


@dataclass(frozen=True)
class StoredVolume:
    """Compliance at the target with its standard uncertainty (``None``: not known), and its parts.

    ``hoses`` in m3/Pa; ``gas`` is ``Vg (p + P)`` in m3 Pa, which stays while nothing is pumped.
    """

    compliance: float
    uncertainty: float | None
    hoses: float
    gas: float

    def with_gas(self, gas: float, dry: float) -> StoredVolume:
        """The same hoses with another ``Vg (p + P)``, at ``p + P = dry``; equally uncertain."""
        if gas == self.gas:
            return self
        compliance = compliance_at(self.hoses, gas, dry)
        share = None if self.uncertainty is None else self.uncertainty / self.compliance
        sd = None if share is None else share * compliance
        return StoredVolume(compliance, sd, self.hoses, gas)


def compliance_at(hoses: float, gas: float, dry: float) -> float:
    """Total compliance in m3/Pa: ``C = Ch + Vg/(p + P) = Ch + G/(p + P)^2``.

    Ch ``hoses`` m3/Pa, G ``gas`` m3 Pa, p + P ``dry`` Pa abs, above zero. No error is raised.
    Valid for a closed gas at one temperature. Source: Boyle's law.

    1 L of gas at 100 kPa, hoses 0.4 mL/kPa:

    >>> round(compliance_at(0.4e-9, 1e-3 * 201325.0, 201325.0) * 1e9, 2)
    5.37
    """
    return hoses + gas / dry**2


def stored_volume(
    given: Stored | None,
    start: float,
    target: float,
    atmosphere: float,
    vapour: float,
    limits: Mapping[str, float],
    noise: float = 0.0,
) -> StoredVolume:
    """The stored volume of a hold from what was measured.

    Strokes: ``Vg = Pa N Vs e/p - P Ch``, see ``pump``. Headspace V0: ``Vg = V0 + Ch p``. Liquid dV
    that left as the pressure fell from p1 to p2: ``dV = Ch (p1 - p2) + G/(p2 + P) - G/(p1 + P)``,
    so ``G = (dV/(p1 - p2) - Ch)(p1 + P)(p2 + P)``; C between p1 and p2 is dV/(p1 - p2).

    Parameters
    ----------
    given: strokes, drawn liquid, headspace or compliance; ``None`` takes a car filled to the neck,
        for the shares of drift and settling only, and leaves the uncertainty unknown.
    start, target: gauge pressure in Pa at the end of pumping, and where C is wanted.
    atmosphere, vapour: Pa abs.
    limits: the ``hold.*`` limits.
    noise: standard deviation in Pa of one look at the needle, for drawn liquid.

    Uncertainty by propagation, inputs independent: the hoses' half, the stroke volume 10 % and half
    a stroke, the headspace 10 %, a compliance 10 %, the weighed volume and the needle read twice.
    Valid above zero gauge; liquid drawn needs ``before > after``. No error is raised.
    Source: Boyle's law and mass balance; limits of common practice.

    27 strokes of 40 mL to 100 kPa, hoses 0.5 mL/kPa; and 15 mL drawn off as it fell by 2.65 kPa:

    >>> from weeptrace.rules import limits
    >>> c = stored_volume(Strokes(27, 40e-6), 100e3, 100e3, 101325.0, 0.0, limits())
    >>> round(c.compliance * 1e9, 1), round(c.uncertainty / c.compliance, 2)
    (5.7, 0.1)
    >>> off = Drawn(15e-6, 101325.0, 98675.0)
    >>> c = stored_volume(off, 100e3, 100e3, 101325.0, 0.0, limits(), noise=300.0)
    >>> round(c.compliance * 1e9, 1), round(c.uncertainty / c.compliance, 2)
    (5.7, 0.16)
    """
    dry = atmosphere - vapour
    hoses = limits["hold.hose_compliance"]
    hoses_sd = limits["hold.hose_compliance_uncertainty"]
    top = target + dry
    if isinstance(given, Strokes):
        volume = gas_from_strokes(given, start, hoses, atmosphere, vapour)
        # Half a stroke either way, evenly: its standard deviation is 0.29 strokes.
        counted = math.hypot(limits["hold.stroke_uncertainty"], 0.29 / given.count)
        volume_sd = air_pumped(given, start, atmosphere) * atmosphere / start * counted
        by_hoses = -dry if volume > 0.0 else 0.0
        squeeze = start + dry
    elif isinstance(given, Headspace):
        volume = given.volume + hoses * start
        volume_sd, by_hoses = given.volume * limits["hold.headspace_uncertainty"], start
        squeeze = start + dry
    elif isinstance(given, Drawn):
        fall = given.before - given.after
        mean = given.volume / fall
        hoses = min(hoses, mean)
        volume, by_hoses = mean - hoses, -1.0 if mean > hoses else 0.0
        weighed = math.hypot(
            limits["hold.weighed_uncertainty"],
            limits["hold.caught_uncertainty"] * given.volume if given.by_leak else 0.0,
        )
        volume_sd = mean * math.hypot(weighed / given.volume, math.sqrt(2.0) * noise / fall)
        squeeze = (given.before + dry) * (given.after + dry)
    else:
        measured = isinstance(given, Compliance)
        total = given.value if isinstance(given, Compliance) else limits["hold.compliance_unknown"]
        hoses = min(hoses, total)
        sd = total * limits["hold.compliance_uncertainty"]
        return StoredVolume(total, sd if measured else None, hoses, (total - hoses) * top**2)
    gas, share = volume * squeeze, squeeze / top**2
    sd = math.hypot(volume_sd * share, (1.0 + by_hoses * share) * hoses_sd)
    return StoredVolume(compliance_at(hoses, gas, top), sd, hoses, gas)


def headspace(stored: StoredVolume, pressure: float, dry: float) -> float:
    """Gas in m3 that was above the liquid at zero gauge: ``V0 = Vg(p) - Ch p``, never below zero.

    ``stored`` at gauge ``pressure`` p in Pa, ``dry`` P in Pa abs: pumping pushes liquid into the
    hoses' give. Valid before anything was drawn off. No error is raised. Source: volume balance.

    >>> round(headspace(StoredVolume(5.63e-9, None, 0.4e-9, 1.054e-3 * 201325), 1e5, 101325.0), 6)
    0.001014
    """
    return max(stored.gas / (pressure + dry) - stored.hoses * pressure, 0.0)


def hoses_from_two(first: tuple[float, float], second: tuple[float, float], dry: float) -> float:
    """The hoses' compliance in m3/Pa from two holds of one leak with different gas volumes.

    ``C1 s1 = C2 s2`` with ``C = Ch + Vg/(p + P)``: ``Ch = (s2 V2 - s1 V1)/((s1 - s2)(p + P))``.
    ``first`` and ``second``: slope s of the fall in Pa/s (one sign) and gas Vg in m3, both at the
    pressure of ``dry``, p + P in Pa abs. Valid at one temperature and one pressure, the slopes well
    apart, and no drift. ``Refusal`` (``out_of_range``) where no Ch of zero or above fits.
    Source: the same leak at both.

    Hoses 0.5 mL/kPa, 150 and 1000 mL at 100 kPa: the same leak falls four times slower.

    >>> low, high = 0.5e-9 + 150e-6 / 2e5, 0.5e-9 + 1000e-6 / 2e5
    >>> round(hoses_from_two((1.0 / low, 150e-6), (1.0 / high, 1000e-6), 2e5) * 1e9, 3)
    0.5
    """
    (s1, v1), (s2, v2) = first, second
    hoses = (s2 * v2 - s1 * v1) / ((s1 - s2) * dry) if s1 != s2 else -1.0
    if hoses < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.stored.two_holds_fit_no",
            "second",
            "accepted.another_gas_volume_slope_belongs",
        )
    return hoses
