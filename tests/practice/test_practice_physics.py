"""The integrator, the balance of every litre and gram, and solutions in closed form."""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest

from weeptrace.practice import balance, integrate
from weeptrace.practice.acts import HandPump, draw_off, pressures, pump_to, release
from weeptrace.practice.balance import run
from weeptrace.practice.car import Car, Hoses, Leak
from weeptrace.practice.course import Course, drift, steady
from weeptrace.practice.describe import load, names
from weeptrace.practice.flow import Jug, VacuumPump, air_through, inlet
from weeptrace.practice.gauge import Gauge
from weeptrace.practice.state import State, charged, gas_volume, pressure, under
from weeptrace.practice.vacuum import fill, pull_down
from weeptrace.refusal import Refusal

ML = 1e-6
ML_PER_MIN = 1e-6 / 60.0
ALL = [(name, c.name) for name in names() for c in load(name).conditions]


# --- the integrator ---------------------------------------------------------------------------


def test_fifth_order() -> None:
    # One step without control: halving it divides the error at a fixed time by 2^5.
    def end(count: int) -> float:
        y, h = [1.0, 0.0], 2.0 / count
        for k in range(count):
            y, _ = integrate.integrate(
                lambda t, y: [y[1], -y[0]], k * h, y, (k + 1) * h, [1e9, 1e9], h
            )
        return math.hypot(y[0] - math.cos(2.0), y[1] + math.sin(2.0))

    errors = [end(n) for n in (8, 16, 32)]
    for coarse, fine in pairwise(errors):
        assert 25.0 < coarse / fine < 45.0


@pytest.mark.parametrize("tolerance", [1e-5, 1e-7, 1e-9])
def test_error_follows_the_tolerance(tolerance: float) -> None:
    # y' = y cos t: y = exp(sin t).
    y, _ = integrate.integrate(lambda t, y: [y[0] * math.cos(t)], 0.0, [1.0], 10.0, [tolerance])
    assert abs(y[0] - math.exp(math.sin(10.0))) < 20.0 * tolerance


def test_a_kink_costs_steps_and_not_accuracy() -> None:
    # y' = |t - 1|: 1/2 at the kink, 1 at 2.
    y, _ = integrate.integrate(lambda t, y: [abs(t - 1.0)], 0.0, [0.0], 2.0, [1e-9])
    assert y[0] == pytest.approx(1.0, abs=1e-7)


def test_what_it_refuses() -> None:
    with pytest.raises(ArithmeticError, match="too many steps"):
        integrate.integrate(lambda t, y: [-1e9 * (y[0] - t)], 0.0, [1.0], 1.0, [1e-9])
    with pytest.raises(ArithmeticError, match="no number"):
        integrate.integrate(lambda t, y: [math.nan], 0.0, [1.0], 1.0, [1e-9])


# --- closed forms -----------------------------------------------------------------------------


def brim_full(exponent: float, k: float) -> tuple[Car, State]:
    """No gas at all: the compliance is that of the hoses, 1 mL/kPa, and stays."""
    leak = Leak("somewhere", k * 1e-9 * 1e3, exponent)
    car = Car("brim full", Hoses(1e-9), leaks=(leak,))
    return car, charged(car, 7e-3, 0.0, 100e3)


def test_laminar_leak_decays_exponentially() -> None:
    # n = 1: p = p0 exp(-k't); 100 kPa, 0.02 1/min, 15 min: 74.1 kPa.
    car, state = brim_full(1.0, 100.0 * 0.02 / 60.0)
    times = [60.0 * k for k in range(16)]
    for t, p in zip(times, pressures(car, run(car, state, times)), strict=True):
        assert p == pytest.approx(100e3 * math.exp(-0.02 * t / 60.0), abs=0.5)
    assert p == pytest.approx(74.08e3, abs=10.0)


def test_orifice_empties_in_finite_time() -> None:
    # n = 0.5: sqrt p = sqrt p0 - k't/2; 0.2 kPa^0.5/min, 15 min: 72.25 kPa; empty at 100 min.
    car, state = brim_full(0.5, 10.0 * 0.2 / 60.0)
    times = [900.0, 3000.0, 5900.0, 6100.0, 9000.0]
    seen = pressures(car, run(car, state, times))
    for t, p in zip(times, seen, strict=True):
        root = max(10.0 - 0.1 * t / 60.0, 0.0)
        assert p == pytest.approx(1e3 * root**2, abs=1.0)
    assert seen[0] == pytest.approx(72.25e3, abs=1.0)


@pytest.mark.parametrize("exponent", [0.3, 0.75, 1.5, 2.5])
def test_any_exponent(exponent: float) -> None:
    # p^(1-n) = p0^(1-n) - (1-n) k't, p in units of 100 kPa.
    car, state = brim_full(exponent, 100.0 * 0.02 / 60.0)
    p = pressure(car, run(car, state, [900.0])[0])
    power = 1.0 - exponent
    assert p == pytest.approx(100e3 * (1.0 - power * 0.3) ** (1.0 / power), abs=0.5)


def test_creep_settles_and_conserves() -> None:
    # Voigt element on brim-full liquid: the pressure ends at p0/(1 + a), at a faster time constant.
    car = Car("brim full", Hoses(1e-9, 0.04, 90.0))
    state = charged(car, 7e-3, 0.0, 100e3)
    times = [30.0, 90.0, 300.0, 3600.0]
    for t, p in zip(times, pressures(car, run(car, state, times)), strict=True):
        end = 100e3 / 1.04
        assert p == pytest.approx(end + (100e3 - end) * math.exp(-1.04 * t / 90.0), abs=0.5)


def test_choked_leak_up_is_straight_and_as_large_as_the_speed_of_sound_says() -> None:
    # Follows from isentropic flow: 198.6 m/s referred to the atmosphere at 20 °C, below 0.528.
    area, room = 1e-8, 6e-3
    car = Car("dry", Hoses(0.0), temperature=293.15, leaks=(Leak("plug", orifice=area),))
    state = charged(car, 0.0, room, 10e3 - 101325.0)
    seen = pressures(car, run(car, state, [0.0, 300.0, 600.0]))
    slope = 101325.0 * area * 198.6 / room
    for a, b in pairwise(seen):
        assert (b - a) / 300.0 == pytest.approx(slope, rel=1e-3)
    inside = 60e3 / 101325.0
    factor = 2.0 / 0.4 * (inside ** (2 / 1.4) - inside ** (2.4 / 1.4))
    expected = area * 101325.0 / math.sqrt(287.05 * 293.15) * math.sqrt(1.4 * factor)
    assert air_through(area, 0.0, 60e3, 101325.0, 293.15) == pytest.approx(expected, rel=1e-9)
    assert air_through(area, 0.0, 101325.0, 60e3, 293.15) == pytest.approx(-expected, rel=1e-9)


def test_a_wet_leak_in_a_vacuum_is_its_orifice() -> None:
    # Air referred to the atmosphere against liquid at 100 kPa: 14.5 to 1, choked, at 20 °C.
    car = Car("wet", Hoses(0.5e-9), temperature=293.15, leaks=(Leak("seam", 1e-8, 0.5),))
    area = inlet(car, car.leaks[0])
    air = air_through(area, 0.0, 10e3, 101325.0, 293.15) * 287.05 * 293.15 / 101325.0
    assert air / 1e-8 == pytest.approx(14.5, rel=0.01)
    above = replace(car.leaks[0], side="air")
    out = air_through(inlet(car, above), 0.0, 201325.0, 101325.0, 293.15)
    assert -out * 287.05 * 293.15 / 201325.0 == pytest.approx(1e-8, rel=1e-9)


def test_an_air_side_leak_loses_gas_and_no_liquid() -> None:
    car, state, _ = under(load("fjell_heater"), "air_trapped")
    above = replace(car, leaks=(replace(car.leaks[0], side="air"),))
    wet, dry = run(car, state, [900.0])[0], run(above, state, [900.0])[0]
    assert dry.leaked == 0.0
    assert dry.liquid == state.liquid
    assert dry.air < state.air
    # The same volume leaves, so the gauge falls alike.
    assert pressure(above, dry) == pytest.approx(pressure(car, wet), abs=5.0)


# --- conservation and the step ----------------------------------------------------------------


def trapezoid(times: Sequence[float], values: Sequence[float]) -> float:
    return sum(
        (t1 - t0) * (a + b) / 2.0 for (t0, a), (t1, b) in pairwise(zip(times, values, strict=True))
    )


@pytest.mark.parametrize(("name", "condition"), ALL)
def test_liquid_and_gas_are_conserved(name: str, condition: str) -> None:
    """From the pressures alone: what leaked, what crept, and so how much gas there must be."""
    car, state, found = under(load(name), condition)
    if car.leaks and car.leaks[0].orifice:
        car = replace(car, leaks=())
    times = [2.0 * k for k in range(181)]
    states = run(car, state, times, found.course)
    seen = pressures(car, states)
    hot = [found.course.at(t) for t in times]
    stretch = [1.0 + car.expansion * (temperature - car.temperature) for temperature in hot]
    flow = [sum(leak.outwards(p) for leak in car.leaks) for p in seen]
    leaked = trapezoid(times, [q / s for q, s in zip(flow, stretch, strict=True)])
    tau = car.hoses.creep_time
    kernel = [math.exp((t - times[-1]) / tau) / tau for t in times]
    driven = [k * p for k, p in zip(kernel, seen, strict=True)]
    crept = car.hoses.creep_share * car.hoses.compliance * trapezoid(times, driven)
    liquid = (state.liquid - leaked) * stretch[-1]
    gas = state.room + car.hoses.compliance * seen[-1] + crept - liquid
    vapour = states[-1].vapour if car.vapour_time else car.vapour(hot[-1])
    air = (seen[-1] + car.atmosphere - vapour) * gas / (287.05 * hot[-1])
    supplied = car.gas_inflow * times[-1] * car.atmosphere / (287.05 * car.temperature)
    misfit_liquid = states[-1].liquid + states[-1].leaked - state.liquid
    misfit_leak = states[-1].leaked - leaked
    misfit_air = air - state.air - supplied
    print(f"{name} {condition}: liquid {misfit_liquid * 1e9:.2g} mm3 of all,")
    print(f"{misfit_leak * 1e9:.2g} mm3 of the leak, gas {misfit_air / state.air:.2g} of all")
    assert abs(misfit_liquid) < 1e-11
    assert abs(misfit_leak) < 2e-9 + 1e-4 * leaked
    assert abs(misfit_air) < 2e-5 * state.air


@pytest.mark.parametrize(("name", "condition"), ALL)
def test_the_step_is_fine_enough_and_few(
    name: str, condition: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    car, state, found = under(load(name), condition)
    count = 0
    plain = balance.Balance.__call__

    def counted(self: balance.Balance, time: float, y: Sequence[float]) -> list[float]:
        nonlocal count
        count += 1
        return plain(self, time, y)

    monkeypatch.setattr(balance.Balance, "__call__", counted)
    times = [60.0 * k for k in range(16)]
    coarse = pressures(car, run(car, state, times, found.course))
    used = count
    fine = pressures(car, run(car, state, times, found.course, fine=1e4))
    error = max(abs(a - b) for a, b in zip(coarse, fine, strict=True))
    print(f"{name} {condition}: {used} slopes, {error:.2g} Pa")
    assert coarse == pytest.approx(fine, abs=1.0)
    assert used <= 400


def test_a_fill_conserves_liquid_and_air() -> None:
    car, state, _ = under(load("larkspur_vacuum"), "drained")
    start = pull_down(car, state, VacuumPump(0.5e-3, 8e3), [300.0])[0]
    filling = fill(car, start, Jug(7e-3, line=0.2e-3))
    end = filling.states[-1]
    assert end.liquid - start.liquid == pytest.approx(filling.uptake, abs=1e-12)
    line = 0.2e-3 * car.atmosphere / (287.05 * car.temperature)
    print(f"fill: air {(end.air - start.air - line) * 1e9:.2g} ug of {end.air * 1e6:.3g} mg")
    assert end.air - start.air == pytest.approx(line, rel=1e-9)
    # What was taken up and the air that is left fill the volume as it stands at the atmosphere.
    hoses = car.hoses.volume(pressure(car, end)) + end.crept
    assert filling.uptake + gas_volume(car, end) == pytest.approx(5.6e-3 + hoses, rel=1e-9)


def test_strokes_by_hand() -> None:
    # N Vs Pa = p Vg0 + (p + Pa) Ch p, dry: 27 strokes of 40 mL to 100 kPa, Ch 0.4 mL/kPa, sea
    # level: 1014 mL at zero gauge, 1054 mL at 100 kPa.
    car = Car("dry gas", Hoses(0.4e-9), temperature=273.15)
    dry = replace(charged(car, 6e-3, 1054 * ML, 100e3, vapour=0.0), vapour=0.0)
    rest = release(car, dry)
    assert gas_volume(car, rest) == pytest.approx(1014 * ML, rel=1e-6)
    _, strokes = pump_to(car, rest, 100e3, HandPump(40 * ML))
    assert strokes == pytest.approx(27.0, abs=0.02)
    _, more = pump_to(car, rest, 100e3, HandPump(40 * ML, dead=4 * ML))
    # Mean efficiency 1 - (Vdead/Vs) p/(2 Pa) = 0.951.
    assert strokes / more == pytest.approx(0.951, abs=0.003)


# --- courses, gauge, refusals -----------------------------------------------------------------


def test_courses() -> None:
    logged = Course(((0.0, 290.0), (60.0, 296.0), (120.0, 299.0)))
    assert [logged.at(t) for t in (-5.0, 0.0, 30.0, 60.0, 90.0, 120.0, 500.0)] == [
        290.0, 290.0, 293.0, 296.0, 297.5, 299.0, 299.0,
    ]  # fmt: skip
    assert steady(300.0).at(1e6) == 300.0
    assert drift(300.0, -0.01).at(600.0) == pytest.approx(294.0)


def test_the_gauge_is_read_to_half_a_division_with_the_reader_s_scatter() -> None:
    gauge, rng = Gauge(2e3), random.Random(5)
    seen = gauge.readings([104_200.0] * 2000, rng)
    assert all(reading % 1e3 == 0.0 for reading in seen)
    assert statistics.fmean(seen) == pytest.approx(104_200.0, abs=60.0)
    spread = math.hypot(0.3 * 2e3, 1e3 / math.sqrt(12.0))
    assert statistics.stdev(seen) == pytest.approx(spread, rel=0.05)
    assert gauge.readings([1e5] * 5, random.Random(2)) == gauge.readings(
        [1e5] * 5, random.Random(2)
    )


def test_refusals() -> None:
    car, state, _ = under(load("tace_impact"), "filled")
    with pytest.raises(Refusal, match="rise"):
        run(car, state, [60.0, 30.0])
    with pytest.raises(Refusal, match="not that much"):
        draw_off(car, state, 6e-3)
    with pytest.raises(Refusal, match="boils"):
        charged(car, 1e-3, 1e-3, -101e3)
    with pytest.raises(Refusal, match="no room"):
        pressure(replace(car, hoses=Hoses(0.0)), replace(state, liquid=7e-3))
    with pytest.raises(Refusal, match="doesn't reach"):
        pump_to(car, release(car, state), 110e3, HandPump(1e-9))
    with pytest.raises(Refusal, match="no condition"):
        under(load("tace_impact"), "to_neck")
