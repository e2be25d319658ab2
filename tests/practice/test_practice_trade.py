"""What every technician has seen: the car does it too. Each fact is common practice."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import pytest

from weeptrace.practice.acts import (
    HandPump,
    draw_off,
    open_cap,
    part_lines,
    pressures,
    pump_to,
    release,
    top_up,
)
from weeptrace.practice.balance import run
from weeptrace.practice.car import Car, Leak
from weeptrace.practice.describe import load
from weeptrace.practice.flow import Jug, VacuumPump
from weeptrace.practice.state import State, compliance, gas_volume, pressure, under
from weeptrace.practice.vacuum import Filling, fill, pull_down
from weeptrace.practice.warm import Pocket, course_of, warm_up
from weeptrace.quantity import to_si
from weeptrace.rules import limits
from weeptrace.warmup.assess import assess
from weeptrace.warmup.data import Point

ML = 1e-6
LITRE = 1e-3
ZERO = 273.15
HAND = HandPump(40 * ML)
VENTURI = VacuumPump(speed=0.5e-3, lowest=8e3)
QUART = to_si(1.0, "US qt", "volume")


def larkspur() -> tuple[Car, State]:
    """The automatic, drained, its plug sealed, with hoses that lie flat (5 % of the volume)."""
    car, state, _ = under(load("larkspur_vacuum"), "drained")
    return replace(car, hoses=replace(car.hoses, flat_volume=280 * ML)), state


def filled(jug: Jug) -> tuple[Car, Filling]:
    car, state = larkspur()
    under_vacuum = pull_down(car, state, VENTURI, [300.0])[0]
    return car, fill(car, under_vacuum, jug)


# --- pressure ---------------------------------------------------------------------------------


def test_a_passenger_car_is_pumped_to_about_16_psi() -> None:
    # Common practice: the pressure test at the cap's rating, about 16 psi on a passenger car.
    target = to_si(16.0, "psi", "pressure")
    car, state, _ = under(load("larkspur_seam"), "to_neck")
    assert car.cap is not None
    assert car.cap.rating == pytest.approx(target, rel=0.01)
    start, strokes = pump_to(car, release(car, state), target, HAND)
    assert pressure(car, start) == pytest.approx(target, abs=1.0)
    assert 3.0 < strokes < 10.0
    assert all(0.9 * target < p < 1.15 * target for p in open_cap(car.cap, random.Random(1), 3))


def test_a_gross_seam_leak_empties_in_moments_and_leaves_a_puddle() -> None:
    # Common practice. 2 L/min at 100 kPa; what runs out is what gas and hoses had stored.
    car, state, _ = under(load("larkspur_seam"), "to_neck")
    gross = replace(car, leaks=(Leak("seam", 2.0 * LITRE / 60.0, 0.5),))
    after = run(gross, state, [5.0, 20.0])
    seen = pressures(gross, after)
    assert seen[0] < 0.4 * pressure(gross, state)
    assert abs(seen[1]) < 500.0
    puddle = after[-1].leaked
    gas = gas_volume(gross, after[-1]) - gas_volume(gross, state)
    hoses = gross.hoses.compliance * pressure(gross, state) - after[-1].crept
    assert puddle == pytest.approx(gas + hoses, rel=0.01)
    assert 100 * ML < puddle < 300 * ML


def test_drawing_off_shows_the_compliance() -> None:
    # 10 mL drawn off: dV/dp is C in the middle of the step.
    car, state, _ = under(load("tace_impact"), "filled")
    after = draw_off(car, state, 10 * ML)
    fall = pressure(car, state) - pressure(car, after)
    mean = 0.5 * (compliance(car, state) + compliance(car, after))
    assert 10 * ML / fall == pytest.approx(mean, rel=0.01)


def test_pumping_slowly_hides_part_of_the_creep() -> None:
    # Common practice: hoses settle by a few percent; slow strokes and a top-up take it out.
    car, state, _ = under(load("larkspur_seam"), "sealed")
    rest = release(car, state)
    falls = []
    for every in (0.0, 20.0):
        start, _ = pump_to(car, rest, 110e3, HAND, every)
        falls.append(pressure(car, start) - pressure(car, run(car, start, [900.0])[0]))
    assert 0.01 * 110e3 < falls[0] < 0.03 * 110e3
    assert falls[1] < 0.7 * falls[0]


def test_hoses_recover_after_stepping_down() -> None:
    # Common practice: after letting pressure off, the needle rises a little by itself.
    car, state, _ = under(load("larkspur_seam"), "sealed")
    settled = run(car, state, [900.0])[0]
    stepped = draw_off(car, settled, 60 * ML)
    low, later = pressure(car, stepped), pressure(car, run(car, stepped, [300.0])[0])
    assert 300.0 < later - low < 3e3


# --- transmission -----------------------------------------------------------------------------


def test_fluid_stays_in_cooler_and_stubs_with_plugged_hoses() -> None:
    # Common practice: 0.5 to 1 US quart.
    car = load("larkspur_vacuum")
    plugged = part_lines(car, plugged=True)
    assert 0.5 * QUART <= plugged <= 1.0 * QUART
    assert part_lines(car, plugged=False) > plugged
    assert part_lines(load("pika_cap"), plugged=False) == 0.0


# --- vacuum -----------------------------------------------------------------------------------


def test_hoses_lie_flat_and_come_back_round() -> None:
    # Common practice.
    car, filling = filled(Jug(7.0 * LITRE))
    flat = [car.hoses.flat(p) for p in pressures(car, filling.states)]
    assert flat[0] > 0.9
    assert flat[-1] < 1e-4
    assert all(after <= before + 1e-9 for before, after in pairwise(flat))


def test_the_intake_slows_as_the_vacuum_is_used_up_and_the_gauge_ends_at_zero() -> None:
    # Common practice.
    car, filling = filled(Jug(7.0 * LITRE))
    taken = [state.liquid for state in filling.states]
    flows = [b - a for a, b in pairwise(taken)]
    assert all(after <= before + 1e-9 for before, after in pairwise(flows))
    late = next(flow for flow, so_far in zip(flows, taken, strict=False) if so_far > 6.8 * LITRE)
    assert late < 0.8 * flows[0]
    assert flows[-1] < 0.01 * flows[0]
    assert abs(pressure(car, filling.states[-1])) < 100.0
    assert not filling.ran_dry


def test_a_jug_below_the_neck_leaves_a_rest_of_vacuum() -> None:
    # rho g h of half a metre of coolant: 5.2 kPa.
    car, filling = filled(Jug(7.0 * LITRE, lift=0.5))
    assert pressure(car, filling.states[-1]) == pytest.approx(-5.2e3, abs=100.0)


def test_an_open_overflow_line_lets_no_vacuum_build() -> None:
    # Common practice: the overflow line must be blocked. 6 mm inside: 2.8e-5 m2.
    car, state = larkspur()
    blocked, open_ = (
        pressure(car, pull_down(car, state, VENTURI, [300.0], open_line=area)[0])
        for area in (0.0, 2.8e-5)
    )
    assert blocked < -70e3
    assert open_ > -1e3


def test_a_container_that_runs_dry_lets_air_in() -> None:
    # Common practice: the container must hold more than the system takes.
    car, filling = filled(Jug(4.0 * LITRE, dead=0.5 * LITRE))
    assert filling.ran_dry
    assert filling.uptake == pytest.approx(3.5 * LITRE, rel=1e-3)
    assert gas_volume(car, filling.states[-1]) > 1.5 * LITRE
    enough, whole = filled(Jug((1.15 * 5.13 + 1.0) * LITRE, dead=0.5 * LITRE))
    assert not whole.ran_dry
    assert gas_volume(enough, whole.states[-1]) < 0.5 * LITRE


def test_a_line_that_was_not_primed_gives_its_air() -> None:
    # Common practice: prime the line. What stands in it goes in before the coolant.
    primed, unprimed = filled(Jug(7.0 * LITRE))[1], filled(Jug(7.0 * LITRE, line=0.3 * LITRE))[1]
    assert primed.uptake - unprimed.uptake == pytest.approx(0.3 * LITRE, rel=0.05)


def test_a_top_up_at_the_neck_and_an_empty_reservoir_remain() -> None:
    # Common practice: a little at the neck, and the bottle outside the circuit is empty still.
    car, filling = filled(Jug(7.0 * LITRE))
    after, neck, reservoir = top_up(car, filling.states[-1])
    assert 0.05 * LITRE < neck < 0.3 * LITRE
    assert reservoir == car.reservoir > 0.0
    assert gas_volume(car, after) == pytest.approx(car.trapped, rel=0.01)
    assert abs(pressure(car, after)) < 1.0


def test_a_hot_engine_does_not_reach_the_vacuum() -> None:
    # Follows from the vapour pressure: half and half at 80 °C cannot go below about 36 kPa abs.
    car, state = larkspur()
    hot = replace(car, temperature=80.0 + ZERO, strength=0.5)
    wet = hot.vapour(hot.temperature)
    assert wet == pytest.approx(36e3, rel=0.02)
    start = release(hot, replace(state, temperature=hot.temperature, vapour=wet, strength=0.5))
    inside = pressure(hot, pull_down(hot, start, VENTURI, [300.0])[0]) + hot.atmosphere
    assert 0.85 * wet < inside < 1.05 * wet


# --- warm-up ----------------------------------------------------------------------------------


def test_a_warm_up_shows_thermostat_fan_heater_and_air() -> None:
    van = load("fjell_heater")
    engine = van.engine
    assert engine is not None
    minutes = [60.0 * k for k in range(61)]
    pockets = (Pocket(200 * ML, engine.opens),)
    rows = warm_up(engine, 291.15, 291.15, minutes, blocked=0.65, pockets=pockets, area=1e-2)
    opened = next(row for row in rows if row.coolant > engine.opens + 0.5)
    before = [row for row in rows if row.time < opened.time - 60.0]
    # Common practice: the radiator stays cold until the thermostat opens.
    assert all(row.radiator == pytest.approx(291.15, abs=0.1) for row in before)
    assert all(row.level == 0.0 for row in before)
    assert rows[-1].level == pytest.approx(0.02)  # 200 mL over 100 cm2
    assert max(row.coolant for row in rows) < engine.fan_on + 0.5
    fine = warm_up(engine, 291.15, 291.15, [10.0 * k for k in range(361)], blocked=0.65)
    on = [row.fan for row in fine]
    edges = [(a, b) for a, b in pairwise(on) if a != b]
    assert edges[:2] == [(False, True), (True, False)]
    # Air in the heater: lukewarm at a hot engine.
    assert 0.28 < (rows[-1].vent - 291.15) / (rows[-1].coolant - 291.15) < 0.31


@pytest.mark.parametrize(("blocked", "heat", "air"), [(0.0, "good", "no"), (0.65, "weak", "yes")])
def test_hot_air_at_the_vents_is_the_sign_of_a_bled_heater(
    blocked: float, heat: str, air: str
) -> None:
    # Common practice: hot at the vents once the engine is at its operating temperature.
    engine = load("fjell_heater").engine
    assert engine is not None
    minutes = [60.0 * k for k in range(61)]
    rows = warm_up(engine, 291.15, 291.15, minutes, blocked=blocked)
    log = [Point(row.time, row.coolant, row.radiator, row.vent, row.fan) for row in rows]
    found = assess(log, 291.15, limits())
    assert (found.heater.heat, found.air_sign) == (heat, air)
    assert (rows[-1].vent - ZERO > 55.0) == (heat == "good")


@pytest.mark.parametrize(
    ("power", "loss", "minutes"),
    [(3e3, 0.0, 31.1), (7e3, 0.0, 13.3), (3e3, 80e3 / 5400, 38.3), (7e3, 80e3 / 5400, 14.4)],
)
def test_time_to_the_thermostat(power: float, loss: float, minutes: float) -> None:
    # Follows from C dT/dt = P - UA (T - Ta): 20 to 90 °C with 80 kJ/K, without loss and with a time
    # constant of 90 min.
    engine = load("fjell_heater").engine
    assert engine is not None
    closed = replace(engine, power=power, loss=loss, opens=370.0, full_open=380.0)
    row = warm_up(closed, 293.15, 293.15, [60.0 * minutes])[0]
    assert row.coolant == pytest.approx(363.15, abs=0.2)


def test_a_sound_cap_holds_and_lets_off_at_its_opening() -> None:
    car, state, _ = under(load("gannoch_shaft_seal"), "as_found")
    engine = load("fjell_heater").engine
    assert engine is not None
    cold = release(car, state)
    course = course_of(warm_up(engine, 288.15, 288.15, [30.0 * k for k in range(81)]))
    after = run(car, cold, [600.0, 2400.0], course, capped=True)
    assert car.cap is not None
    assert max(pressures(car, after)) < car.cap.opening + 5e3
    assert pressure(car, after[-1]) > 0.8 * car.cap.opening
    open_end = run(car, cold, [2400.0], course)[0]
    assert pressure(car, open_end) > pressure(car, after[-1])
