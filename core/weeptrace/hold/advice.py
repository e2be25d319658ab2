"""What would let the next hold see a smaller leak, and how long that takes. SI."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from operator import mul

from weeptrace.hold.data import Advice
from weeptrace.hold.decay import CREEP, LOG_TAU, START, LiquidReadings, Segment, System
from weeptrace.hold.least_squares import solve
from weeptrace.hold.looks import slope_sd
from weeptrace.hold.march import RATE
from weeptrace.hold.priors import liquid_priors
from weeptrace.hold.stored import compliance_at

Limits = Mapping[str, float]
MOST = 12  # readings that a plan needs


@dataclass(frozen=True)
class Present:
    """The hold as it is: ``times`` of the readings s, rising; ``noise`` and ``division`` of the
    gauge, Pa; ``hoses`` m3/Pa, ``gas`` Vg (p + P) in m3 Pa; ``per_kelvin`` dV/dT in m3/K; the
    ``system`` of its fit and ``self_leak`` of the tester, Pa/s."""

    times: Sequence[float]
    noise: float
    division: float
    hoses: float
    gas: float
    per_kelvin: float
    system: System
    self_leak: float

    def flow_sd(self, limits: Limits) -> float:
        """Standard error of the flow of a tight system, m3/s: by the fit's own equations.

        At no leak ``dp/dr = -(t - t0) dp/dv``, all else is in closed form.
        """
        target, dry = self.system.target, self.system.dry
        compliance = compliance_at(self.hoses, self.gas, target + dry)
        # Many readings: every second, third ... of them tells the same, each worth as many.
        thin = math.ceil(len(self.times) / MOST)
        times, noise = self.times[::thin], self.noise / math.sqrt(thin)
        start = times[0]
        segment = Segment(start, self.hoses, self.gas, ((start, target),)).over(compliance)
        thermal = self.per_kelvin / compliance
        system = replace(self.system, thermal=thermal, thermal_growth=0.0)
        series = LiquidReadings(system, (segment,), (tuple(times),), ())
        priors = liquid_priors(series, limits)
        values = [0.0 if prior is None else prior[0] for prior in priors]
        values[START] = target
        _, columns = series.predict(values, leaks=False)
        columns[RATE] = [
            (start - t) * by_start for t, by_start in zip(times, columns[START], strict=True)
        ]
        used = (RATE, CREEP, LOG_TAU, *range(LOG_TAU + 1, START + 1))
        normal = [[sum(map(mul, columns[i], columns[j])) for j in used] for i in used]
        for k, j in enumerate(used):
            prior = priors[j]
            normal[k] = [value / noise**2 for value in normal[k]]
            if prior is not None:
                normal[k][k] += 1.0 / prior[1] ** 2
        rate_sd = math.sqrt(solve(normal, [1.0, *(0.0 for _ in used[1:])])[0])
        return math.hypot(compliance * rate_sd, self.self_leak * limits["hold.tester_compliance"])


def advise(now: Present, smallest: float, limits: Limits) -> tuple[Advice, ...]:
    """Ways to see a smaller leak, the most effective first.

    Parameters
    ----------
    now: the hold as it is.
    smallest: its smallest detectable leak, m3/s; each way scales it as it scales ``flow_sd``.
    limits: the ``hold.*`` limits.

    A way that shrinks it by less than ``hold.advice_least`` is left out. ``time`` is what it takes
    from now: the rest of a longer hold, or a new hold of the same length and its preparation.
    Valid where leak and settling are small against the pressure. ``ArithmeticError`` where the
    equations can't be solved. Source: propagation of uncertainty.

    1 L of air, a 2 kPa division, 15 min:

    >>> from weeptrace.hold.warmth import course
    >>> from weeptrace.rules import limits
    >>> rest = System(1e5, 1e5, 0.0, 0.0, course([], None, limits()), 30.0)
    >>> times = [60.0 * k for k in range(16)]
    >>> now = Present(times, 600.0, 2e3, 0.5e-9, 200.0, 5e-6, rest, 0.0)
    >>> [(way.code, round(way.time / 60)) for way in advise(now, 1e-8, limits())]
    [('top_up', 25), ('finer_gauge', 18), ('hold_longer', 15)]
    """
    span = max(now.times) - min(now.times)
    again = span + limits["hold.settle_again"]
    step = span / (len(now.times) - 1)
    longer = [max(now.times) + step * k for k in range(1, len(now.times))]
    logged = min(now.system.course.drift_sd, slope_sd(limits["hold.temperature_noise"], now.times))
    finest = min(1.0, limits["hold.fine_division"] / now.division)
    logging = replace(now.system, course=replace(now.system.course, drift_sd=logged))
    ways = (
        ("top_up", _to_neck(now, limits), span + limits["hold.top_up_time"]),
        ("hold_longer", replace(now, times=[*now.times, *longer]), span),
        ("finer_gauge", replace(now, noise=now.noise * finest), again),
        ("log_temperature", replace(now, system=logging), again),
    )
    before = now.flow_sd(limits)
    found = []
    for code, then, time in ways:
        if then == now:
            continue
        flow = smallest * then.flow_sd(limits) / before
        if flow <= smallest * (1.0 - limits["hold.advice_least"]):
            loss = flow * limits["hold.exposure"]
            found.append(Advice(code, flow, loss, time))
    return tuple(sorted(found, key=lambda way: way.smallest_detectable_flow))


def _to_neck(now: Present, limits: Limits) -> Present:
    """The hold after filling up to the neck; the same where there is no more air than that."""
    dry = now.system.target + now.system.dry
    gas = limits["hold.neck_gas"] * dry
    if gas >= now.gas:
        return now
    less = (now.gas - gas) / dry
    # The gas's own growth goes with it; that of its vapour, which is less, is left.
    per_kelvin = now.per_kelvin - less / now.system.course.temperature
    return replace(now, gas=gas, per_kelvin=per_kelvin)
