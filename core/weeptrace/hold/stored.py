"""How much volume the system stores per pressure: the same leak falls fast or slowly by it.

    C(p) = Ch + Vg(p)/(p + P),  P = Pa - pv,  Vg (p + P) = const (closed gas at one temperature)

C total compliance m3/Pa, Ch of hoses and plastic, Vg gas m3, p gauge pressure Pa, Pa atmosphere and
pv vapour pressure Pa abs. Boyle's law and mass balance; valid for gauge pressures above zero.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.hold.data import Compliance, Headspace, Stored, Strokes


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
        compliance = self.hoses + gas / dry**2
        share = None if self.uncertainty is None else self.uncertainty / self.compliance
        sd = None if share is None else share * compliance
        return StoredVolume(compliance, sd, self.hoses, gas)


def gas_from_strokes(strokes: Strokes, pressure: float, hoses: float, atmosphere: float) -> float:
    """Gas volume in m3 at ``pressure`` after pumping up from zero gauge.

    ``Vg = Pa (N Vs/p - Ch)``: N strokes of Vs m3 of outside air at Pa, hoses Ch in m3/Pa. Never
    below zero. From the mass balance ``N Vs Pa = p Vg0 + (p + Pa) Ch p`` with ``Vg = Vg0 + Ch p``.

    >>> gas = gas_from_strokes(Strokes(27, 40e-6), 100e3, 0.4e-9, 101325.0)
    >>> round(gas * 1e6), round((gas - 0.4e-9 * 100e3) * 1e6)
    (1054, 1014)
    """
    return max(atmosphere * (strokes.count * strokes.volume / pressure - hoses), 0.0)


def stored_volume(
    given: Stored | None,
    start: float,
    target: float,
    atmosphere: float,
    vapour: float,
    limits: Mapping[str, float],
) -> StoredVolume:
    """The stored volume of a hold from what was measured.

    Parameters
    ----------
    given: strokes, headspace or compliance; ``None`` takes a car filled to the neck, for the shares
        of drift and settling only, and leaves the uncertainty unknown.
    start, target: gauge pressure in Pa at the end of pumping, and where C is wanted.
    atmosphere, vapour: Pa abs.
    limits: the ``hold.*`` limits.

    >>> from weeptrace.rules import limits
    >>> c = stored_volume(Strokes(27, 40e-6), 100e3, 100e3, 101325.0, 0.0, limits()).compliance
    >>> round(c * 1e9, 1)
    5.7
    """
    dry = atmosphere - vapour
    hoses = limits["hold.hose_compliance"]
    hoses_sd = limits["hold.hose_compliance_uncertainty"]
    if isinstance(given, Strokes):
        volume = gas_from_strokes(given, start, hoses, atmosphere)
        pumped = atmosphere * given.count * given.volume / start
        # Half a stroke either way, evenly: its standard deviation is 0.29 strokes.
        counted = math.hypot(limits["hold.stroke_uncertainty"], 0.29 / given.count)
        gas_sd, gas_by_hoses = pumped * counted, -atmosphere if volume > 0.0 else 0.0
    elif isinstance(given, Headspace):
        volume = given.volume + hoses * start
        gas_sd, gas_by_hoses = given.volume * limits["hold.headspace_uncertainty"], start
    else:
        known = isinstance(given, Compliance)
        total = given.value if isinstance(given, Compliance) else limits["hold.compliance_unknown"]
        hoses = min(hoses, total)
        gas = (total - hoses) * (target + dry) ** 2
        sd = total * limits["hold.compliance_uncertainty"]
        return StoredVolume(total, sd if known else None, hoses, gas)
    gas = volume * (start + dry)
    squeeze = (start + dry) / (target + dry) ** 2  # gas at the start -> compliance at the target
    by_hoses = 1.0 + gas_by_hoses * squeeze
    return StoredVolume(
        hoses + volume * squeeze, math.hypot(gas_sd * squeeze, by_hoses * hoses_sd), hoses, gas
    )
