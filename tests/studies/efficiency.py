"""Error of the rate against the Cramér-Rao bound (``python3 build.py study efficiency``).

Regular cells: exponent known, 0.6 kPa of normal noise, nothing rounded, a fall of ten times that or
more. Settling, drift and start are drawn and estimated with the priors that they are drawn from, so
the bound is the Bayesian one: the mean over the draws of the inverse of
``J'J/sigma^2 + 1/s^2`` (H. L. van Trees, Detection, Estimation, and Modulation Theory, part 1,
from memory). J by differences of ``weeptrace.practice``, which shares no code with the fit. Rounded
cells, with the same bound at the noise of scatter and rounding together, are reported.
"""

from __future__ import annotations

import math
import random
import statistics
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy

from tests.hold.study_cars import LIMITS, ML_PER_MIN, START, Drawn, Setting, draw
from tests.studies.report import write
from weeptrace.hold.assess import assess
from weeptrace.practice import car as parts
from weeptrace.practice.acts import pressures
from weeptrace.practice.balance import run
from weeptrace.practice.course import drift
from weeptrace.practice.state import charged

CARS = 400
NOISE = 0.6e3  # Pa
HOSES = 0.5  # mL/kPa


@dataclass(frozen=True)
class Cell:
    """A setting, and its readings: spacing and length in s."""

    setting: Setting
    spacing: float = 60.0
    length: float = 900.0
    regular: bool = True


def regular(flow: float, stored: float, exponent: float, division: float = 2.0) -> Setting:
    """Nothing rounded, 0.6 kPa of scatter."""
    scatter = NOISE / (1e3 * division)
    return Setting(flow, stored, exponent, None, division, scatter, rounded=False, hoses=HOSES)


def needle(flow: float, stored: float, exponent: float, division: float) -> Setting:
    """Read to half a division."""
    return Setting(flow, stored, exponent, None, division, 0.25, hoses=HOSES)


CELLS = {
    "0.6 mL/min, 1 mL/kPa": Cell(regular(0.6, 1.0, 0.75)),
    "1 mL/min, 1 mL/kPa": Cell(regular(1.0, 1.0, 0.75)),
    "1 mL/min, 1 mL/kPa, sharp hole": Cell(regular(1.0, 1.0, 0.5)),
    "1 mL/min, 1 mL/kPa, fine crack": Cell(regular(1.0, 1.0, 1.0)),
    "3 mL/min, 5 mL/kPa": Cell(regular(3.0, 5.0, 0.75)),
    "1 mL/min, 1 mL/kPa, every 20 s": Cell(regular(1.0, 1.0, 0.75), spacing=20.0),
    "0.4 mL/min, 1 mL/kPa, half an hour": Cell(regular(0.4, 1.0, 0.75), length=1800.0),
    "10 mL/min, 5 mL/kPa": Cell(regular(10.0, 5.0, 0.75)),
    "rounded to 1 kPa": Cell(needle(1.0, 1.0, 0.75, 2.0), regular=False),
    "rounded to 0.5 kPa": Cell(needle(1.0, 1.0, 0.75, 1.0), regular=False),
    "rounded to 2.5 kPa": Cell(needle(1.0, 1.0, 0.75, 5.0), regular=False),
    "rounded to 2.5 kPa, falls 3 kPa": Cell(needle(0.2, 1.0, 0.75, 5.0), regular=False),
}


def noise_of(setting: Setting) -> float:
    """Standard deviation of a reading in Pa: scatter and rounding."""
    division = 1e3 * setting.division
    rounding = 0.5 * division / math.sqrt(12.0) if setting.rounded else 0.0
    return math.hypot(setting.scatter * division, rounding)


def variance_bound(car: Drawn, times: Sequence[float], noise: float) -> float:
    """Cramér-Rao bound of the rate's variance at one draw, (Pa/s)^2."""
    hoses = car.car.hoses
    known = LIMITS
    by_hoses = known["hold.hose_compliance_uncertainty"] / known["hold.hose_compliance"]
    share_sd = math.hypot(
        known["hold.creep_share_uncertainty"], known["hold.creep_share"] * by_hoses
    )
    warms = (car.course.at(600.0) - car.course.at(0.0)) / 600.0
    at = [car.flow, hoses.creep_share, math.log(hoses.creep_time), warms, START]
    steps = [0.01 * ML_PER_MIN, 1e-3, 0.02, 1e-5, 50.0]
    spread = [
        math.inf, share_sd, known["hold.creep_time_spread"],
        known["hold.temperature_drift_unknown"], math.inf,
    ]  # fmt: skip

    def course(values: Sequence[float]) -> list[float]:
        flow, share, log_tau, drifts, start = values
        leak = parts.Leak("somewhere", flow, car.car.leaks[0].exponent)
        made = parts.Car(
            "moved",
            parts.Hoses(hoses.compliance, share, math.exp(log_tau)),
            altitude=car.car.altitude,
            temperature=car.car.temperature,
            strength=car.car.strength,
            expansion=car.car.expansion,
            leaks=(leak,),
        )
        gas = car.gas * (START + made.atmosphere) / (start + made.atmosphere)
        state = charged(made, car.liquid, gas, start)
        return pressures(made, run(made, state, times, drift(made.temperature, drifts)))

    columns = []
    for j, step in enumerate(steps):
        up, down = list(at), list(at)
        up[j] += step
        down[j] -= step
        columns.append((numpy.array(course(up)) - numpy.array(course(down))) / (2.0 * step))
    scale = numpy.array(steps)
    slopes = numpy.array(columns).T * scale / noise
    information = slopes.T @ slopes + numpy.diag((scale / numpy.array(spread)) ** 2)
    flow_variance = float(numpy.linalg.inv(information)[0, 0]) * steps[0] ** 2
    return flow_variance * (car.rate / car.flow) ** 2


def compared(name: str, cars: int) -> dict[str, float]:
    """Root mean square error of the rate over the bound, in a cell."""
    cell = CELLS[name]
    setting = cell.setting
    rng = random.Random(f"efficiency {name}")
    times = [cell.spacing * k for k in range(round(cell.length / cell.spacing) + 1)]
    assert setting.exponent is not None
    known = dict(LIMITS) | {
        "hold.exponent": setting.exponent,
        "hold.exponent_uncertainty": 1e-4,
        "hold.gas_settling_share": 1e-9,  # the pumped air has cooled
    }
    squares, bounds, least = [], [], math.inf
    for _ in range(cars):
        car = draw(setting, rng)
        seen = car.seen(times)
        truth = car.truth(times)
        least = min(least, (truth[0] - truth[-1]) / NOISE)
        found = assess(car.hold(seen), known)
        assert found.rate is not None
        squares.append(((found.rate.value - car.rate) / car.rate) ** 2)
        bounds.append(variance_bound(car, times, noise_of(setting)) / car.rate**2)
    ratio = math.sqrt(statistics.mean(squares) / statistics.mean(bounds))
    return {
        "rmse_over_bound": round(ratio, 3),
        "standard_error": round(ratio * _relative_error(squares), 3),
        "bound_of_rate": round(math.sqrt(statistics.mean(bounds)), 4),
        "least_fall_over_noise": round(least, 1),
    }


def _relative_error(squares: Sequence[float]) -> float:
    """Standard error of a root mean square over itself."""
    mean = statistics.mean(squares)
    return statistics.stdev(squares) / math.sqrt(len(squares)) / mean / 2.0


def main() -> None:
    """All cells."""
    began = time.process_time()
    cells = {}
    for name in CELLS:
        cells[name] = compared(name, CARS)
        print(name, cells[name], flush=True)
    plain = [cells[name]["rmse_over_bound"] for name, cell in CELLS.items() if cell.regular]
    write(
        "efficiency",
        {
            "cars_a_cell": CARS,
            "worst_regular_cell": max(plain),
            "mean_of_regular_cells": round(statistics.mean(plain), 3),
            "cells": cells,
            "cpu_seconds": round(time.process_time() - began),
        },
    )


if __name__ == "__main__":
    main()
