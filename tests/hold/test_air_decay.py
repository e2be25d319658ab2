"""The forward model of a drained system: rows of other code, an integrator of its own,
derivatives."""

from __future__ import annotations

import math

import pytest

from tests.properties.refit import rows
from tests.simulated_vacuum import Drained
from weeptrace.hold.air_decay import START, AirSystem, air_decay
from weeptrace.hold.warmth import Course
from weeptrace.properties.openings import air_through_orifice

STILL = Course(0.0, 0.0, 293.15, 0.0, 0.0, 0.0, 0.0, False)
Row = dict[str, str]
R_AIR = 287.05


LEAKS = rows("air_leaks") + rows("air_leaks", folder="derived")


@pytest.mark.parametrize("row", LEAKS, ids=str)
def test_leaks_worked_out_and_published(row: Row) -> None:
    """The pressure after the time that the row gives."""
    volume = 1e-3 * float(row["volume_L"])
    start, end = 1e3 * float(row["from_kPa"]), 1e3 * float(row["to_kPa"])
    outside, t0, time = 1e3 * float(row["outside_kPa"]), float(row["T_K"]), float(row["value_s"])
    vacuum = start < outside
    mix = 0.0
    if row["kind"] == "laminar":
        rate = float(row["conductance"]) / volume * (start**2 - outside**2)
        mix = 1.0
    elif row["kind"] == "rate_of_rise":
        rate = 0.72286 / volume  # Pa m3/s over m3
    else:
        area = math.pi / 4.0 * (1e-3 * float(row["diameter_mm"])) ** 2
        flow = air_through_orifice(area, max(start, outside), min(start, outside), t0)
        rate = flow * R_AIR * t0 / volume
    system = AirSystem(vacuum, outside, start, 0.0, STILL)
    values = [rate, mix, 0.0, 4.0, 0.0, 5.0, 0.0, start]
    pressures, _ = air_decay(system, 0.0, 0.0, values, [time])
    assert abs(pressures[0] - end) < float(row["tol"]) * abs(end - start) + 1.0


@pytest.mark.parametrize("start", [8e3, 40e3, 201e3])
@pytest.mark.parametrize("kind", ["orifice", "capillary"])
@pytest.mark.parametrize("flow", [20.0, 300.0, 3000.0])
def test_against_the_independent_integrator(start: float, kind: str, flow: float) -> None:
    q = flow * 1e-6 / 60.0
    size = {"orifice": q / 198.6} if kind == "orifice" else {"capillary": 2 * 1.81e-5 * q / 101325}
    box = Drained(
        start=start,
        vapour_pressure=1500.0,
        vapour_start=500.0,
        vapour_time=200.0,
        give=900.0,
        **size,
    )
    times = [20.0 * k for k in range(31)]
    vacuum = start < 101325.0
    system = AirSystem(vacuum, 101325.0, start, 0.0, STILL)
    rate = abs(box.mass_flow(start)) * R_AIR * 288.15 / box.volume
    mix = float(kind == "capillary")
    values = [rate, mix, 900.0, math.log(45.0), 1000.0, math.log(200.0), 0.0, start]
    pressures, _ = air_decay(system, 0.0, 0.0, values, times)
    for found, true in zip(pressures, box.gauge_at(times), strict=True):
        # Near the atmosphere the flow is taken as linear: within a half percent of all.
        assert found - 101325.0 == pytest.approx(true, abs=0.006 * abs(start - 101325.0))


@pytest.mark.parametrize("vacuum", [True, False])
@pytest.mark.parametrize("rate", [40.0, 0.0, -3.0])
@pytest.mark.parametrize("mix", [0.2, 1.0])
def test_derivatives_by_differences(vacuum: bool, rate: float, mix: float) -> None:
    start = 8e3 if vacuum else 180e3
    way = Course(0.0, 600.0, 293.15, -1e-3, 0.0, 0.0, 1e-4, True)
    system = AirSystem(vacuum, 80.5e3, start, 300.0, way)
    values = [rate, mix, 800.0, math.log(45.0), 900.0, math.log(240.0), 1e-4, start]
    times = [30.0 * k for k in range(31)]
    pressures, columns = air_decay(system, 0.0, -10.0, values, times)
    assert pressures[0] == start
    for j in range(START + 1):
        h = 1e-4 * max(abs(values[j]), 1e-2)
        up, down = list(values), list(values)
        up[j] += h
        down[j] -= h
        high, low = (air_decay(system, 0.0, -10.0, v, times)[0] for v in (up, down))
        numeric = [(a - b) / (2.0 * h) for a, b in zip(high, low, strict=True)]
        scale = max(map(abs, numeric)) or 1.0
        for found, wanted in zip(columns, numeric, strict=True):
            assert found[j] == pytest.approx(wanted, abs=1e-4 * scale)


def test_without_a_leak_all_is_in_closed_form() -> None:
    system = AirSystem(True, 101325.0, 8e3, 0.0, STILL)
    values = [0.0, 0.3, 800.0, math.log(45.0), 900.0, math.log(240.0), 0.0, 8e3]
    times = [60.0 * k for k in range(11)]
    plain, by = air_decay(system, 0.0, 0.0, values, times, leaks=False)
    full, by_full = air_decay(system, 0.0, 0.0, values, times)
    for time, a, b in zip(times, plain, full, strict=True):
        by_hand = 8e3 + 800 * (1 - math.exp(-time / 45)) + 900 * (1 - math.exp(-time / 240))
        assert a == pytest.approx(by_hand)
        assert b == pytest.approx(by_hand)
    assert [row[2:] for row in by] == [pytest.approx(row[2:]) for row in by_full]


def test_the_end_of_the_straight_part() -> None:
    # Common practice: straight to -48 kPa at sea level and -38 at 1900 m, bending after.
    for outside, gauge in ((101325.0, -48e3), (80487.0, -38e3)):
        system = AirSystem(True, outside, 8e3, 0.0, STILL)
        values = [40.0, 0.0, 0.0, 4.0, 0.0, 5.0, 0.0, 8e3]
        times = [(outside + gauge + more - 8e3) / 40.0 for more in (-5e3, 0.0, 10e3, 20e3)]
        pressures, _ = air_decay(system, 0.0, 0.0, values, times)
        behind = [8e3 + 40.0 * t - p for t, p in zip(times, pressures, strict=True)]
        assert behind[:2] == pytest.approx([0.0, 0.0], abs=5.0)
        assert behind[2] > 50.0
        assert behind[3] > 400.0


def test_all_gone_is_the_atmosphere() -> None:
    system = AirSystem(True, 101325.0, 8e3, 0.0, STILL)
    values = [5e3, 0.3, 0.0, 4.0, 0.0, 5.0, 0.0, 8e3]
    pressures, columns = air_decay(system, 0.0, 0.0, values, [0.0, 10.0, 600.0, 3600.0])
    assert pressures[2:] == [101325.0, 101325.0]
    assert columns[3] == [0.0] * (START + 1)


def test_the_last_reading_is_followed_whatever_the_rounding_of_its_time() -> None:
    """A slow leak-up of 10 Pa/s: never taken for a system that is empty by then."""
    system = AirSystem(True, 101325.0, 8e3, 0.0, STILL)
    for k in range(1, 400):
        start, last = (2600 + k) / 10.0, (18000 + 7 * k) / 10.0
        values = [10.0, 0.0, 0.0, 4.0, 0.0, 5.0, 0.0, 8e3]
        pressures, _ = air_decay(system, start, start, values, [start, last])
        assert pressures[-1] == pytest.approx(8e3 + 10.0 * (last - start), abs=50.0)
