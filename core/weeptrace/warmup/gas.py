"""Gas from the cylinders: more pressure than a closed system makes by warming. SI.

    (p + Pa - pv(T)) (V0 - beta Vl (T - T0) + Ch p) / T = constant

p gauge and Pa, pv absolute pressures in Pa, V0 headspace and Vl liquid in m3 at the start, beta net
expansion 1/K, Ch the hoses' compliance m3/Pa, T in K. Ideal gas above an incompressible liquid.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from weeptrace.finding import Reason
from weeptrace.properties.expansion import Coolant, expansion_net
from weeptrace.refusal import Refusal
from weeptrace.warmup.data import Cold, Gas, Limits, Point


def _state(cold: Cold, start: float, temperature: float, limits: Limits) -> tuple[float, float]:
    """Dry outside pressure ``Pa - pv`` in Pa and gas volume at zero gauge in m3."""
    w = cold.mass_fraction
    mix = Coolant(cold.glycol, limits["hold.mass_fraction_unknown"] if w is None else w)
    liquid = cold.liquid_volume or 0.0
    beta = expansion_net((start + temperature) / 2.0, limits, cold.glycol)
    grown = beta * liquid * (temperature - start)
    return cold.atmosphere - mix.vapour(temperature), (cold.headspace or 0.0) - grown


def warming_pressure(
    cold: Cold, start: float, first: float, temperature: float, hose: float, limits: Limits
) -> float:
    """Gauge pressure in Pa of the closed system at ``temperature``, by the module's equation.

    Parameters
    ----------
    cold: the system at the start; headspace and liquid volume known.
    start, first: temperature in K and gauge pressure in Pa at the start.
    temperature: K.
    hose: compliance of the hoses, m3/Pa.
    limits: ``hold.expansion`` and its growth.

    The positive root of ``Ch p^2 + (V + B Ch) p + B V - K T = 0``, B = Pa - pv, V gas volume at
    zero gauge. Valid for Ch > 0 and temperatures of a cooling system; rigid walls (Ch near 0), 1 L
    above 8 L, 20 to 60 °C: 48 kPa.

    No error is raised. Source: ideal gas law with the vapour's own pressure; the module's head.

    >>> from weeptrace.rules import limits
    >>> cold = Cold(headspace=1e-3, liquid_volume=8e-3)
    >>> 46e3 < warming_pressure(cold, 293.15, 0.0, 333.15, 1e-15, limits()) < 53e3
    True
    """
    dry, gas = _state(cold, start, start, limits)
    constant = (first + dry) * (gas + hose * first) / start
    dry, gas = _state(cold, start, temperature, limits)
    b, c = gas + dry * hose, dry * gas - constant * temperature
    root = math.sqrt(b * b - 4.0 * hose * c)
    # The form that keeps its figures for a very small compliance.
    return -2.0 * c / (b + root) if b > 0.0 else (root - b) / (2.0 * hose)


def model_uncertainty(
    cold: Cold, start: float, first: float, temperature: float, hose: float, limits: Limits
) -> float:
    """Standard uncertainty in Pa of ``warming_pressure``, with its parameters.

    What the model changes by for the headspace (``warmup.gas_headspace``), the temperature
    (``warmup.gas_temperature``) and hoses half as soft, root sum square. Valid as the model.

    ``cold``, ``start`` K, ``first`` Pa, ``temperature`` K and ``hose`` m3/Pa as there. No error is
    raised. Source: propagation of errors by differences.

    >>> from weeptrace.rules import limits
    >>> cold = Cold(headspace=1e-3, liquid_volume=8e-3)
    >>> 3e3 < model_uncertainty(cold, 293.15, 0.0, 323.15, 0.5e-9, limits()) < 6e3
    True
    """
    usual = warming_pressure(cold, start, first, temperature, hose, limits)
    less = replace(cold, headspace=(cold.headspace or 0.0) * (1.0 - limits["warmup.gas_headspace"]))
    warmer = temperature + limits["warmup.gas_temperature"]
    stiffer = max(hose - limits["hold.hose_compliance_uncertainty"], 0.1 * hose)
    return math.hypot(
        warming_pressure(less, start, first, temperature, hose, limits) - usual,
        warming_pressure(cold, start, first, warmer, hose, limits) - usual,
        warming_pressure(cold, start, first, temperature, stiffer, limits) - usual,
    )


def gas_amount(
    cold: Cold, start: float, temperature: float, pressure: float, hose: float, limits: Limits
) -> float:
    """Dry gas inside, as m3 at outside pressure and ``start``: ``(p + Pa - pv) Vg T0 / (T Pa)``.

    ``cold`` the system at the start, T0 ``start`` and T ``temperature`` in K, p ``pressure`` Pa
    gauge, ``hose`` m3/Pa. Valid above the vapour pressure. No error is raised. Source: ideal gas
    law.

    A litre at the start, dry but for 1.8 kPa of vapour, is 0.98 L of gas:

    >>> from weeptrace.rules import limits
    >>> cold = Cold(headspace=1e-3, liquid_volume=8e-3)
    >>> round(1e3 * gas_amount(cold, 293.15, 293.15, 0.0, 0.5e-9, limits()), 2)
    0.98
    """
    dry, gas = _state(cold, start, temperature, limits)
    inside = (pressure + dry) * (gas + hose * pressure)
    return inside * start / (temperature * cold.atmosphere)


def assess(points: Sequence[Point], ambient: float, cold: Cold, limits: Limits) -> Gas:
    """Whether there is more pressure than warming makes, before the engine is at ``gas_below``.

    Excess = measured - model, ``model_uncertainty`` beside it. Gas where the excess is above
    ``gas_factor`` times that in ``gas_points`` readings one after the other. Inflow: slope of the
    gas amount by least squares. A slow inflow, below ``not_larger_than``, is not seen.

    Parameters
    ----------
    points: rows of the log in rising time.
    ambient: K.
    cold: the closed system at the start.
    limits: the ``warmup.*`` and ``hold.*`` limits.

    ``q = d/dt[(p + Pa - pv) Vg T0 / (T Pa)]``. Valid for a log from a cold start; ``Refusal``
    (``out_of_range``) for a volume that is not above zero. Source: the module's head; ``limits``.

    As much pressure as warming makes, and no more:

    >>> from weeptrace.rules import limits
    >>> cold = Cold(headspace=1e-3, liquid_volume=8e-3)
    >>> hose = limits()["hold.hose_compliance"]
    >>> warm = [290.0 + 2.0 * i for i in range(15)]
    >>> log = [Point(60.0 * i, t, pressure=warming_pressure(cold, 290.0, 0.0, t, hose, limits()))
    ...     for i, t in enumerate(warm)]
    >>> assess(log, 290.0, cold, limits()).sign
    'no'
    """
    for name, volume in (("headspace", cold.headspace), ("liquid_volume", cold.liquid_volume)):
        if volume is not None and volume <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.gas.above_zero_leave_out",
                name,
                "accepted.above_zero_volume",
                {"name": name.replace("_", " ")},
            )
    rows = [(p.time, p.coolant, p.pressure) for p in points if p.pressure is not None]
    below = [row for row in rows if row[1] < limits["warmup.gas_below"]]
    if len(below) < 2:
        return _unknown("no_pressure")
    if cold.headspace is None or cold.liquid_volume is None:
        return _unknown("no_volumes")
    _, start, first = below[0]
    if abs(start - ambient) > limits["warmup.cold_start"]:
        return _unknown("not_cold_start")
    hose = limits["hold.hose_compliance"]

    def model(temperature: float) -> float:
        return warming_pressure(cold, start, first, temperature, hose, limits)

    def uncertainty(temperature: float) -> float:
        return model_uncertainty(cold, start, first, temperature, hose, limits)

    excess = [(p - model(t), uncertainty(t)) for _, t, p in below]
    amounts = [gas_amount(cold, start, t, p, hose, limits) for _, t, p in below]
    times = [time for time, _, _ in below]
    factor, need = limits["warmup.gas_factor"], round(limits["warmup.gas_points"])
    above = [e > factor * u for e, u in excess]
    flagged = any(all(above[i : i + need]) for i in range(1, len(above) - need + 1))
    last_t, (last_excess, last_u) = below[-1][1], excess[-1]
    seen_from = model(last_t) + factor * last_u
    more = gas_amount(cold, start, last_t, seen_from, hose, limits) - gas_amount(
        cold, start, last_t, model(last_t), hose, limits
    )
    found = Gas(
        "yes" if flagged else "no",
        last_excess,
        last_u,
        _slope(times, amounts),
        more / (times[-1] - times[0]),
    )
    if flagged:
        return found
    if max(t for _, t, _ in below) - start < limits["warmup.gas_rise"] - 1e-9:
        reason = Reason("too_little_rise", "reason.gas.too_little_rise")
        return replace(found, sign="not_measured", reason=reason)
    return found


def _unknown(code: str) -> Gas:
    return Gas("not_measured", reason=Reason(code, f"reason.gas.{code}"))


def _slope(times: Sequence[float], values: Sequence[float]) -> float:
    middle, mean = sum(times) / len(times), sum(values) / len(values)
    spread = sum((t - middle) ** 2 for t in times)
    return sum((t - middle) * (v - mean) for t, v in zip(times, values, strict=True)) / spread
