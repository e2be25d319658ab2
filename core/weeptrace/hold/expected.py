"""What the gauge should show: the forward model for a system that is known. SI."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from weeptrace.hold.decay import Segment, System, decay
from weeptrace.hold.stored import StoredVolume
from weeptrace.hold.warmth import Course


@dataclass(frozen=True)
class KnownSystem:
    """A system and its fault: SI; gauge pressures.

    ``stored`` at ``target``; ``dry`` P = Pa - pv; ``per_kelvin`` dV/dT in m3/K; ``warming`` K/s;
    ``flow`` the leak at the target in m3/s with its ``exponent``; ``creep_share`` and
    ``creep_time`` of the hoses.
    """

    stored: StoredVolume
    target: float
    dry: float
    per_kelvin: float = 0.0
    warming: float = 0.0
    flow: float = 0.0
    exponent: float = 0.75
    creep_share: float = 0.0
    creep_time: float = 100.0


def pressures(system: KnownSystem, start: float, times: Sequence[float]) -> list[float]:
    """Gauge pressures in Pa of a ``system`` that is known at ``times``.

    ``times`` in s since pumping ended at ``start`` Pa, rising.

    ``C dp/dt = dV/dT dT/dt - Q (p/pt)^n - creep(t)``, integrated by ``decay.decay``. Valid for
    temperature changes within 10 K (dV/dT is taken as constant; give it for the middle).
    ``ArithmeticError`` where no course can be computed. Source: volume balance, see ``decay``.

    Only hoses (C constant), a sharp hole, 10 kPa/min at 100 kPa: after 15 min 72.25 kPa.

    >>> hoses = StoredVolume(1e-9, None, 1e-9, 0.0)
    >>> leak = 1e-9 * 0.2 * 10e3 / 60
    >>> seen = pressures(KnownSystem(hoses, 100e3, 1e5, flow=leak, exponent=0.5), 100e3, [900.0])
    >>> round(seen[0] / 1e3, 2)
    72.25
    """
    c = system.stored.compliance
    still = Course(0.0, 0.0, 293.15, 0.0, 0.0, 0.0, 0.0, False)
    model = System(system.target, system.dry, system.per_kelvin / c, 0.0, still, 30.0)
    segment = Segment(0.0, system.stored.hoses, system.stored.gas, ((0.0, start),)).over(c)
    tau = math.log(system.creep_time)
    values = [system.flow / c, system.exponent, system.creep_share, tau, 0.0, system.warming, start]
    return decay(model, segment, values, list(times))[0]
