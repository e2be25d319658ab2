"""Holds whose truth is drawn from the very spreads that the limits state, by a balance of our own.

For intervals that are to hold 95 times in 100: what nobody knows of a car (exponent, hoses, their
settling, the pumped air's cooling, drift, the needle, the typed compliance) is drawn from the
stated priors, so that a stated standard error should be the true one. Each is drawn in even shares
of its spread, and all without correlation, so that few cars tell much. Integrated for all cars at
once, by the midpoint rule in numpy; nothing of the core is in it.

    Ch p - G/(p + P) = S0 + dV/dT dT - leaked - crept - cooled

SI: Pa gauge, s, m3. Vapour at 20 °C by Raoult: 2.339 kPa and 0.145 kPa/K of water (IAPWS), times
the water's share of all molecules, 0.75 of half and half.
"""

from __future__ import annotations

import statistics
from dataclasses import dataclass

import numpy
from numpy.typing import NDArray

from weeptrace.hold.data import Compliance, Hold, Reading
from weeptrace.properties.fraction import Glycol
from weeptrace.rules import limits

Floats = NDArray[numpy.float64]
LIMITS = limits()
STEP = 2.5
VAPOUR, VAPOUR_SLOPE, ROOM = 0.75 * 2339.0, 0.75 * 145.0, 293.15


@dataclass(frozen=True)
class Sort:
    """What the cars of a sort share: leak m3/s and volume per pressure m3/Pa as typed, both at the
    ``target`` Pa; gauge pressure when pumping ended, atmosphere, liquid; readings every ``spacing``
    s for ``length`` s, ``division`` Pa, the tester's own fall Pa/s.

    ``shaky``: the reader's scatter over the usual 0.3 division.
    """

    flow: float
    stored: float = 1e-9
    target: float = 100e3
    start: float = 100e3
    outside: float = 101325.0
    glycol: Glycol = "ethylene"
    liquid: float = 7e-3
    spacing: float = 60.0
    length: float = 900.0
    division: float = 2e3
    self_leak: float = 0.0
    shaky: float = 1.0


@dataclass(frozen=True)
class Drawn:
    """One hold of a drawn car; its true leak m3/s, fall by it Pa/s and volume per pressure m3/Pa,
    all at the target; and its true pressures Pa at the readings."""

    hold: Hold
    flow: float
    rate: float
    compliance: float
    pressures: tuple[float, ...]


UNKNOWNS = 8  # things that nobody knows of a car or of a box, at most


def even_normals(rng: numpy.random.Generator, many: int, count: int) -> Floats:
    """``many`` rows of ``count`` normal numbers, of mean 0 and standard deviation 1 and without
    correlation, not only in the long run but in these very rows: what an estimate that is linear
    in them is off by has its true spread, by no luck. From the middles of equal shares in random
    orders, made upright by the Cholesky factor of their own correlation."""
    normal = statistics.NormalDist()
    shares = [normal.inv_cdf((k + 0.5) / count) for k in range(count)]
    rows = numpy.array([rng.permutation(shares) for _ in range(many)])
    factor = numpy.linalg.cholesky(rows @ rows.T / count)
    return numpy.asarray(numpy.linalg.solve(factor, rows))


def drawn(sort: Sort, count: int, seed: int) -> list[Drawn]:
    """So many holds of a sort."""
    rng = numpy.random.default_rng(seed)
    known = LIMITS

    times = numpy.arange(0.0, sort.length + 1.0, sort.spacing)
    even = even_normals(rng, UNKNOWNS + len(times), count)
    unknown = iter(even[:UNKNOWNS])

    def normal(mean: float, sd: float) -> Floats:
        return mean + sd * next(unknown)

    stored = normal(sort.stored, known["hold.compliance_uncertainty"] * sort.stored)
    usual, spread = known["hold.hose_compliance"], known["hold.hose_compliance_uncertainty"]
    hoses = numpy.clip(normal(usual, spread), 0.02e-9, 0.95 * stored)
    low, high = known["hold.exponent_low"], known["hold.exponent_high"]
    exponent = numpy.clip(
        normal(known["hold.exponent"], known["hold.exponent_uncertainty"]), low, high
    )
    # The settling that matters is hoses times share; its spread is that of both.
    late = usual * known["hold.creep_share"] + usual * normal(
        0.0, numpy.hypot(known["hold.creep_share_uncertainty"], 0.5 * known["hold.creep_share"])
    )
    tau = known["hold.creep_time"] * numpy.exp(normal(0.0, known["hold.creep_time_spread"]))
    cooling = normal(0.0, known["hold.gas_settling_share"])
    drift = normal(0.0, known["hold.temperature_drift_unknown"])
    tester = normal(0.0, sort.self_leak) * known["hold.tester_compliance"]

    dry = sort.outside - VAPOUR
    top = sort.target + dry
    gas = (stored - hoses) * top**2
    factor = known["hold.expansion_propylene"] if sort.glycol == "propylene" else 1.0
    expansion = known["hold.expansion"] * factor
    volume = gas / top
    per_kelvin = expansion * sort.liquid + volume / ROOM + volume / top * VAPOUR_SLOPE

    def pressure(store: Floats) -> Floats:
        half = 0.5 * (store + hoses * dry)
        return numpy.asarray((half + numpy.sqrt(half**2 + hoses * gas)) / hoses - dry)

    def given(time: float) -> Floats:
        """All that is in closed form: temperature, settling, cooling of the pumped air, tester."""
        crept = late * sort.start * -numpy.expm1(-time / tau)
        air = (stored - hoses) * cooling * sort.start
        cooled = air * -numpy.expm1(-time / known["hold.gas_settling_time"])
        return numpy.asarray((per_kelvin * drift - tester) * time - crept - cooled)

    start = hoses * sort.start - gas / (sort.start + dry)
    leaked = numpy.zeros(count)

    def flow(time: float, gone: Floats) -> Floats:
        p = numpy.maximum(pressure(start + given(time) - gone), 0.0)
        return numpy.asarray(sort.flow * (p / sort.target) ** exponent)

    seen, now = [], 0.0
    for goal in times:
        while now < goal - 1e-6:
            step = min(STEP, goal - now)
            middle = leaked + 0.5 * step * flow(now, leaked)
            leaked = leaked + step * flow(now + 0.5 * step, middle)
            now += step
        seen.append(pressure(start + given(goal) - leaked))
    sigma = sort.shaky * known["hold.noise_divisions"] * sort.division
    true = numpy.array(seen).T
    read = numpy.maximum(true + sigma * even[UNKNOWNS:].T, 0.0)
    holds = []
    for k in range(count):
        hold = Hold(
            tuple(Reading(float(t), float(p)) for t, p in zip(times, read[k], strict=True)),
            sort.division,
            target=sort.target,
            atmosphere=sort.outside,
            glycol=sort.glycol,
            mass_fraction=0.527 if sort.glycol == "ethylene" else 0.51,
            stored=Compliance(sort.stored),
            liquid_volume=sort.liquid,
            self_leak=sort.self_leak or None,
        )
        own = float(stored[k])
        holds.append(Drawn(hold, sort.flow, sort.flow / own, own, tuple(map(float, true[k]))))
    return holds
