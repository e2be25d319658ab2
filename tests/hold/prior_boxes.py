"""Drained systems whose truth is drawn from the spreads that the limits state, by a balance of our
own: see ``prior_cars``.

    dp/dt = +- r phi(p) + settling + vapour + drift

with phi the flow of air over that at the start: an orifice by Saint-Venant and Wantzel, a capillary
by p1^2 - p2^2, and a share m of the second. SI, Pa absolute.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy

from tests.hold.prior_cars import LIMITS, UNKNOWNS, Floats, even_normals
from weeptrace.hold.data import Hold, Reading

STEP = 5.0
GAMMA = 1.4
CHOKED = (2.0 / (GAMMA + 1.0)) ** (GAMMA / (GAMMA - 1.0))  # 0.528
COLD = 288.15
# Half and half coolant at 15 °C by Raoult: water 1.706 kPa and 0.110 kPa/K (IAPWS), share 0.75.
VAPOUR, VAPOUR_SLOPE = 0.75 * 1706.0, 0.75 * 110.0


@dataclass(frozen=True)
class Sort:
    """What the boxes of a sort share: start Pa absolute, leak as its pressure rate Pa/s at the
    start, typed volume m3, atmosphere, ``division``; readings every ``spacing`` s for ``length``
    s; the tester's own fall Pa/s."""

    start: float
    rate: float
    volume: float = 6e-3
    outside: float = 101325.0
    spacing: float = 60.0
    length: float = 900.0
    division: float = 1e3
    self_leak: float = 0.0


@dataclass(frozen=True)
class Drawn:
    """One hold of a drawn box, its true air flow at the atmosphere m3/s, and its true gauge
    pressures Pa at the readings."""

    hold: Hold
    rate: float
    air_flow: float
    pressures: tuple[float, ...]


def orifice(inside: Floats, outside: float) -> Floats:
    """Mass flow through an orifice, in any one unit."""
    up, down = numpy.maximum(inside, outside), numpy.minimum(inside, outside)
    ratio = numpy.clip(down / up, CHOKED, 1.0)
    psi = ratio ** (2.0 / GAMMA) - ratio ** ((GAMMA + 1.0) / GAMMA)
    return numpy.asarray(up * numpy.sqrt(numpy.maximum(psi, 0.0)))


def drawn(sort: Sort, count: int, seed: int) -> list[Drawn]:
    """So many holds of a sort."""
    rng = numpy.random.default_rng(seed)
    known = {name.partition(".")[2]: value for name, value in LIMITS.items() if "vacuum." in name}

    times = numpy.arange(0.0, sort.length + 1.0, sort.spacing)
    even = even_normals(rng, UNKNOWNS + len(times), count)
    unknown = iter(even[:UNKNOWNS])

    def normal(mean: float, sd: float) -> Floats:
        return mean + sd * next(unknown)

    vacuum = sort.start < sort.outside
    sign = 1.0 if vacuum else -1.0
    mix = numpy.clip(normal(known["laminar_share"], known["laminar_share_uncertainty"]), 0.0, 1.0)
    settling = normal(known["settling"], known["settling_uncertainty"])
    tau = known["settling_time"] * numpy.exp(normal(0.0, known["settling_time_spread"]))
    most = known["vapour_share_highest"] * VAPOUR
    spread = known["vapour_share_uncertainty"] * VAPOUR
    vapour = numpy.clip(normal(known["vapour_share"] * VAPOUR, spread), -most, most)
    late = known["vapour_time"] * numpy.exp(normal(0.0, known["vapour_time_spread"]))
    drift = normal(0.0, LIMITS["hold.temperature_drift_unknown"])
    per_kelvin = sort.start / COLD + VAPOUR_SLOPE
    volume = normal(sort.volume, known["volume_uncertainty"] * sort.volume)
    tester = normal(0.0, sort.self_leak) * known["tester_volume"] / sort.volume

    def phi(p: Floats) -> Floats:
        first = numpy.array(sort.start)
        sharp = orifice(p, sort.outside) / orifice(first, sort.outside)
        fine = (p**2 - sort.outside**2) / (sort.start**2 - sort.outside**2)
        return numpy.asarray((1.0 - mix) * sharp + mix * fine)

    def given(time: float) -> Floats:
        moved = -sign * settling * numpy.expm1(-time / tau) - vapour * numpy.expm1(-time / late)
        return numpy.asarray(sort.start + moved + (drift * per_kelvin + tester) * time)

    leaked, now, seen = numpy.zeros(count), 0.0, []
    for goal in times:
        while now < goal - 1e-6:
            step = min(STEP, goal - now)
            middle = leaked + 0.5 * step * sign * sort.rate * phi(given(now) + leaked)
            slope = sign * sort.rate * phi(given(now + 0.5 * step) + middle)
            leaked, now = leaked + step * slope, now + step
        seen.append(given(goal) + leaked - sort.outside)
    true = numpy.array(seen).T
    sigma = LIMITS["hold.noise_divisions"] * sort.division
    read = true + sigma * even[UNKNOWNS:].T
    found = []
    for k in range(count):
        hold = Hold(
            tuple(Reading(float(t), float(p)) for t, p in zip(times, read[k], strict=True)),
            sort.division,
            "vacuum" if vacuum else "pressure",
            "air",
            target=None if vacuum else sort.start - sort.outside,
            rated=120e3,
            atmosphere=sort.outside,
            mass_fraction=0.527,
            evacuated_volume=sort.volume,
            engine_temperature=COLD,
            self_leak=sort.self_leak or None,
        )
        air = sort.rate * float(volume[k]) / sort.outside
        found.append(Drawn(hold, sort.rate, air, tuple(map(float, true[k]))))
    return found
