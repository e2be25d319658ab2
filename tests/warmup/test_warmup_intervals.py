"""Intervals of a warm-up by a second way: scans by numpy, draws, and balances written out here.

None shares code with what it judges. A width that is off by 15 % fails each of them.
"""

from __future__ import annotations

import math
import statistics
from typing import Any

import numpy
import pytest

from tests.properties.refit import rows
from weeptrace.door import call
from weeptrace.properties.fraction import Glycol
from weeptrace.rules import limits
from weeptrace.warmup import gas, heater, lumped, purge
from weeptrace.warmup.data import Cold, Point
from weeptrace.warmup.hinge import find
from weeptrace.warmup.thermostat import assess as thermostat

LIMITS = limits()
C, MINUTE, ML = 273.15, 60.0, 1e-6
Floats = numpy.ndarray[Any, numpy.dtype[numpy.float64]]

# F at 5 % of 2 and v degrees of freedom (NIST/SEMATECH e-Handbook, table 1.3.6.7.3).
F_2 = {8: 4.459, 10: 4.103, 12: 3.885, 16: 3.634}


def misfit(t: Floats, y: Floats, at: float) -> float:
    columns = numpy.stack([numpy.ones_like(t), t, numpy.maximum(t - at, 0.0)], axis=1)
    solved = numpy.linalg.lstsq(columns, y, rcond=None)[0]
    return float(((columns @ solved - y) ** 2).sum())


def bent(count: int, noise: float, seed: int) -> tuple[Floats, Floats]:
    rng = numpy.random.default_rng(seed)
    t = MINUTE * numpy.arange(count)
    y = 300.0 + 0.01 * t + 0.1 * numpy.maximum(t - 0.5 * t[-1], 0.0)
    return t, y + noise * rng.standard_normal(count)


@pytest.mark.parametrize("count", [12, 14, 16, 20])
@pytest.mark.parametrize("noise", [2.0, 0.1])
def test_the_ends_of_a_change_point_by_a_scan(count: int, noise: float) -> None:
    # All places whose misfit is at most RSS (1 + 2 F/v), F of two and v degrees of freedom, as of
    # the test for a change at all: wider than F of one and v would have it, since the place is
    # searched for among all. A reading's own noise of 0.3 K is the least that is believed.
    free = count - 4
    for seed in range(3):
        t, y = bent(count, noise, seed)
        found = find(list(t), list(y), LIMITS)
        assert found is not None
        scan = numpy.linspace(t[0] + 1.0, t[-1] - 1.0, 2000)
        seen = numpy.array([misfit(t, y, float(at)) for at in scan])
        best = max(misfit(t, y, found.time.value), free * 0.3**2)
        within = scan[seen <= best * (1.0 + 2.0 * F_2[free] / free)]
        low = min(float(within[0]), found.time.value - 30.0)
        high = max(float(within[-1]), found.time.value + 30.0)
        grid = float(t[-1]) / 200.0  # of the search for the ends
        assert found.time.low == pytest.approx(low, abs=1.1 * grid)
        assert found.time.high == pytest.approx(high, abs=1.1 * grid)


@pytest.mark.parametrize("count", [12, 14, 16, 20])
def test_the_p_value_of_a_change_is_five_percent_at_f_of_the_table(count: int) -> None:
    # A bend made so steep that F is just that of the table.
    free = count - 4
    rng = numpy.random.default_rng(count)
    t = MINUTE * numpy.arange(count)
    scatter = rng.standard_normal(count)

    def of(bend: float) -> tuple[Floats, float]:
        y = 300.0 + scatter + bend * numpy.maximum(t - 0.5 * t[-1], 0.0)
        line = numpy.polyval(numpy.polyfit(t, y, 1), t)
        found = find(list(t), list(y), LIMITS)
        assert found is not None
        rest = misfit(t, y, found.time.value)
        return y, (float(((y - line) ** 2).sum()) - rest) / 2.0 / (rest / free)

    low, high = 0.0, 0.1
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if of(middle)[1] < F_2[free] else (low, middle)
    found = find(list(t), list(of(high)[0]), LIMITS)
    assert found is not None
    assert found.p_value == pytest.approx(0.05, rel=5e-3)


def test_the_engines_temperature_at_the_change_spans_its_time_and_the_sensor() -> None:
    # The engine warms by 0.05 K/s throughout: the change's interval times that, and 2 K of sensor.
    t, y = bent(20, 1.0, 3)
    log = [
        Point(float(time), 330.0 + 0.05 * float(time), radiator_inlet=float(value) + 10.0)
        for time, value in zip(t, y * 1.0, strict=True)
    ]
    found = thermostat(log, None, LIMITS)
    assert found.signature == "opens"
    assert found.temperature is not None
    assert found.time is not None
    for end, sensor in (("low", -2.0), ("value", 0.0), ("high", 2.0)):
        expected = 330.0 + 0.05 * getattr(found.time, end) + sensor
        assert getattr(found.temperature, end) == pytest.approx(expected)


# --- heater --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("vent", "ambient"), [(62.0, 18.0), (30.0, 5.0), (38.0, 35.0)])
def test_the_effectiveness_scatters_as_told(vent: float, ambient: float) -> None:
    # 95 % of each probe within 2 K (common practice): drawn, and the ratio taken.
    rng = numpy.random.default_rng(21)
    v, a, c = (x + 2.0 / 1.96 * rng.standard_normal(20000) for x in (vent, ambient, 88.0))
    share = (v - a) / (c - a)
    log = [Point(MINUTE * k, 88.0 + C, vent=vent + C) for k in range(4)]
    found = heater.assess(log, ambient + C, LIMITS).effectiveness
    assert found is not None
    assert found.high - found.value == pytest.approx(1.96 * share.std(), rel=0.03)
    assert found.value - found.low == pytest.approx(1.96 * share.std(), rel=0.03)


def test_the_drop_between_two_pipes_has_two_probes() -> None:
    log = [Point(0.0, 88.0 + C, heater_in=85.0 + C, heater_out=73.0 + C)]
    found = heater.pipe_drop([*log, Point(60.0, 88.0 + C)], LIMITS)
    assert found is not None
    assert found.value == pytest.approx(12.0)
    assert found.high - 12.0 == pytest.approx(math.hypot(2.0, 2.0))
    assert 12.0 - found.low == pytest.approx(math.hypot(2.0, 2.0))


def test_a_step_of_the_level_has_two_looks() -> None:
    # 8 mm on 100 cm2 between two looks of 2 mm each: 80 and 28 mL; 3 mm do not go below nothing.
    for fall, low, high in ((8.0, 80.0 - 28.28, 80.0 + 28.28), (3.0, 1.72, 30.0 + 28.28)):
        log = [Point(0.0, 360.0, level=0.04), Point(60.0, 360.0, level=0.04 - 1e-3 * fall)]
        found = purge.assess(log, 1e-2, LIMITS)
        (step,) = found.steps
        for volume in (step.volume, found.volume):
            assert volume is not None
            assert volume.low / ML == pytest.approx(low, abs=0.01)
            assert volume.high / ML == pytest.approx(high, abs=0.01)


# --- warming and cooling -------------------------------------------------------------------------


def stepped(start: float, goal: float, ambient: float, rate: float, tau: float) -> float:
    """Seconds until a warm body is at a goal, its balance stepped by half a second."""
    t, seconds, step = start, 0.0, 0.5
    up = goal > start
    while (t < goal) if up else (t > goal):
        before = t
        t += step * (rate - (t - ambient) / tau)
        seconds += step
        if seconds > 2e5 or t == before:
            return math.inf
    return seconds


@pytest.mark.parametrize("share", [None, 45.0])
def test_cooling_between_a_fast_and_a_slow_car(share: float | None) -> None:
    # A closed car 60 to 120 min, usual 90 (common practice); one that was measured to a fifth.
    taus = (90.0, 60.0, 120.0) if share is None else (share, 0.8 * share, 1.2 * share)
    found = lumped.cool_down(
        start=95.0 + C,
        ambient=15.0 + C,
        goal=45.0 + C,
        limits=LIMITS,
        cooling_time=None if share is None else share * MINUTE,
    )
    seen = (found.value, found.low, found.high)
    for told, tau in zip(seen, taus, strict=True):
        assert told == pytest.approx(stepped(95.0, 45.0, 15.0, 0.0, 60.0 * tau), rel=1e-3)


@pytest.mark.parametrize(
    ("brisk", "measured", "rates"),
    [
        # K/min, usual, fastest, slowest: common practice; one that was measured to a fifth.
        (False, None, (2.25, 4.0, 1.1)),
        (True, None, (5.25, 8.0, 3.3)),
        (False, 3.0, (3.0, 3.6, 2.4)),
    ],
)
def test_warming_between_a_fast_and_a_slow_engine(
    brisk: bool, measured: float | None, rates: tuple[float, float, float]
) -> None:
    found = lumped.time_to_thermostat(
        coolant=10.0 + C,
        ambient=5.0 + C,
        opening=82.0 + C,
        limits=LIMITS,
        brisk=brisk,
        warming=None if measured is None else measured / MINUTE,
    )
    seen = (found.value, found.low, found.high)
    for told, rate in zip(seen, rates, strict=True):
        assert told == pytest.approx(stepped(10.0, 82.0, 5.0, rate / 60.0, 5400.0), rel=2e-3)


# --- a closed system that warms ------------------------------------------------------------------


def water_vapour(celsius: float) -> float:
    """Pa: D. R. Stull's Antoine equation, 256 to 373 K (NIST WebBook)."""
    return 1e5 * 10.0 ** (4.6543 - 1435.264 / (celsius + C - 64.848))


def closed(
    celsius: float,
    *,
    headspace: float = 0.8e-3,
    hoses: float = 0.5e-9,
    more: float = 0.0,
    outside: float = 80.5e3,
    start: float = 15.0,
    factor: float = 1.0,
    molar: float = 0.755,
) -> float:
    """Gauge pressure of the closed system, 6 L of coolant, by halving its balance of dry gas.

    ``more`` m3 of gas at the atmosphere came in. ``molar``: share of water among all molecules.
    """
    net = factor * 4.4e-4 * (1.0 + 0.0075 * (0.5 * (start + celsius) - 20.0))
    dry_then, dry_now = (outside - molar * water_vapour(t) for t in (start, celsius))
    amount = dry_then * headspace / (start + C) + more * outside / (start + C)
    space = headspace - net * 6e-3 * (celsius - start)
    low, high = -20e3, 2e6
    for _ in range(80):
        p = 0.5 * (low + high)
        less = (p + dry_now) * (space + hoses * p) / (celsius + C) < amount
        low, high = (p, high) if less else (low, p)
    return low


COLD = Cold(headspace=0.8e-3, liquid_volume=6e-3, atmosphere=80.5e3)  # 1900 m


def changed(celsius: float) -> float:
    """Standard error by hand: a tenth of the headspace, 3 K, hoses half as soft."""
    usual = closed(celsius)
    return math.hypot(
        closed(celsius, headspace=0.9 * 0.8e-3) - usual,
        closed(celsius + 3.0) - usual,
        closed(celsius, hoses=0.25e-9) - usual,
    )


@pytest.mark.parametrize("celsius", [25.0, 40.0, 49.0])
def test_the_error_of_the_warming_model(celsius: float) -> None:
    state = (COLD, 15.0 + C, 0.0, celsius + C, 0.5e-9, LIMITS)
    assert gas.warming_pressure(*state) == pytest.approx(closed(celsius), rel=0.01)
    assert gas.model_uncertainty(*state) == pytest.approx(changed(celsius), rel=0.02)


def q(value: float, unit: str) -> dict[str, Any]:
    return {"value": value, "unit": unit}


def test_the_interval_of_a_closed_warming_through_the_door() -> None:
    found = call(
        "hold.closed_warming",
        {
            "headspace": q(0.8, "L"),
            "liquid_volume": q(6, "L"),
            "temperature": q(15, "°C"),
            "altitude": q(1900, "m"),
            "temperatures": [q(40, "°C")],
        },
    )["points"][0]["pressure"]
    expected, sd = closed(40.0) / 1e3, changed(40.0) / 1e3
    assert found["value"] == pytest.approx(expected, rel=0.01)
    assert found["high"] - found["value"] == pytest.approx(1.96 * sd, rel=0.02)
    assert found["value"] - found["low"] == pytest.approx(1.96 * sd, rel=0.02)


def warm_log(inflow: float) -> list[Point]:
    """15 to 49 °C in 17 min, a reading a minute, so much gas (m3/s at the atmosphere) coming in."""
    return [
        Point(
            MINUTE * k,
            15.0 + 2.0 * k + C,
            pressure=closed(15.0 + 2.0 * k, more=inflow * MINUTE * k),
        )
        for k in range(18)
    ]


def test_the_inflow_that_would_just_have_been_flagged() -> None:
    quiet = gas.assess(warm_log(0.0), 15.0 + C, COLD, LIMITS)
    assert quiet.sign == "no"
    assert quiet.excess is not None
    assert quiet.uncertainty == pytest.approx(changed(49.0), rel=0.02)
    assert abs(quiet.excess) < 0.1 * changed(49.0)
    told = quiet.not_larger_than
    assert told is not None
    # By hand: three standard errors at the last reading, as gas that came in by then.
    low, high = 0.0, 1e-5
    for _ in range(60):
        middle = 0.5 * (low + high)
        short = closed(49.0, more=middle * 17.0 * MINUTE) < closed(49.0) + 3.0 * changed(49.0)
        low, high = (middle, high) if short else (low, middle)
    assert told == pytest.approx(high, rel=0.03)
    # Two readings above it are asked for, so a little more than that is flagged, a little less not.
    assert gas.assess(warm_log(0.85 * told), 15.0 + C, COLD, LIMITS).sign == "no"
    above = gas.assess(warm_log(1.15 * told), 15.0 + C, COLD, LIMITS)
    assert above.sign == "yes"
    assert above.inflow == pytest.approx(1.15 * told, rel=0.05)


@pytest.mark.parametrize(
    ("glycol", "share", "molar", "cool"),
    [("ethylene", 0.527, 0.755, 20.0), ("propylene", 0.51, 0.802, 40.0)],
)
def test_a_hot_closed_system_by_published_densities(
    glycol: Glycol, share: float, molar: float, cool: float
) -> None:
    # To 80 °C, 50 % by volume: densities of inhibited coolant (ASHRAE 2001), the metal
    # 5e-5 1/K (common practice), rigid hoses. Taken as ethylene, propylene would make 24 % less
    # of what the liquid does.
    density = {
        float(row["T_C"]): float(row["rho_kg_m3"])
        for row in rows("glycol_density", glycol)
        if row["source"].startswith("ASHRAE") and row["vol_pct"] == "50.0"
    }
    grown = density[cool] / density[80.0] - 1.0 - 5e-5 * (80.0 - cool)
    cold = Cold(1.5e-3, 8e-3, 101325.0, glycol, share)
    dry_then, dry_now = (101325.0 - molar * water_vapour(t) for t in (cool, 80.0))
    space = 1.5e-3 - 8e-3 * grown
    expected = dry_then * 1.5e-3 / (cool + C) * 353.15 / space - dry_now
    found = gas.warming_pressure(cold, cool + C, 0.0, 80.0 + C, 1e-14, LIMITS)
    assert found == pytest.approx(expected, rel=0.03)


def test_noise_of_a_steady_heater_is_not_a_fall() -> None:
    # The fall over a steady stretch is that of a straight line by numpy.
    rng = numpy.random.default_rng(22)
    vent = 62.0 + rng.standard_normal(9)
    log = [Point(45.0 * k, 88.0 + C, vent=float(v) + C) for k, v in enumerate(vent)]
    found = heater.assess(log, 18.0 + C, LIMITS)
    slope = numpy.polyfit(45.0 * numpy.arange(9), (vent - 18.0) / 70.0, 1)[0]
    assert found.fall == pytest.approx(-slope * 360.0)
    assert statistics.mean(vent) == pytest.approx(18.0 + 70.0 * found.effectiveness.value)  # type: ignore[union-attr]
