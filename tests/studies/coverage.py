"""Do 95 % intervals cover the truth (``python3 build.py study coverage``).

24 named cells. What a cell does not fix is drawn: exponent, hoses, settling, drift and pump from
the spreads that the limits state. The cars are of ``weeptrace.practice``, whose hoses creep after
the pressure.
"""

from __future__ import annotations

import math
import random
import time
from dataclasses import dataclass

from tests.hold.study_cars import LIMITS, Setting, draw
from tests.studies.report import write
from weeptrace.hold.assess import assess

CARS = 250


@dataclass(frozen=True)
class Cell:
    """A setting, and how it is read: spacing s, length s."""

    setting: Setting
    spacing: float = 60.0
    length: float = 900.0


CELLS = {
    "tight, stiff": Cell(Setting(0.0, 1.0)),
    "tight, soft": Cell(Setting(0.0, 5.0)),
    "tight, very soft": Cell(Setting(0.0, 10.0)),
    "tight, little creep": Cell(Setting(0.0, 1.0, creep_share=0.015)),
    "tight, much creep": Cell(Setting(0.0, 1.0, creep_share=0.055)),
    "seep 0.05": Cell(Setting(0.05, 1.0)),
    "seep 0.1": Cell(Setting(0.1, 1.0)),
    "seep 0.1, half an hour": Cell(Setting(0.1, 1.0), length=1800.0),
    "seep 0.2, soft": Cell(Setting(0.2, 5.0)),
    "leak 0.3": Cell(Setting(0.3, 1.0)),
    "leak 0.3, fine gauge": Cell(Setting(0.3, 1.0, division=0.5)),
    "leak 0.3, coarse gauge": Cell(Setting(0.3, 1.0, division=5.0)),
    "leak 1, sharp hole": Cell(Setting(1.0, 1.0, exponent=0.5)),
    "leak 1, fine crack": Cell(Setting(1.0, 1.0, exponent=1.0)),
    "leak 1, little creep": Cell(Setting(1.0, 1.0, creep_share=0.015)),
    "leak 1, much creep": Cell(Setting(1.0, 1.0, creep_share=0.055)),
    "leak 1, every 2 min": Cell(Setting(1.0, 1.0), spacing=120.0),
    "leak 1, every 20 s": Cell(Setting(1.0, 1.0), spacing=20.0),
    "leak 1, 6 min": Cell(Setting(1.0, 1.0), length=360.0),
    "leak 1, soft": Cell(Setting(1.0, 5.0)),
    "leak 3, very soft": Cell(Setting(3.0, 10.0)),
    "gross 5": Cell(Setting(5.0, 1.0)),
    "gross 10, soft": Cell(Setting(10.0, 5.0)),
    "gross 20, soft, every 15 s, 3 min": Cell(Setting(20.0, 5.0), spacing=15.0, length=180.0),
}


def covered(name: str, cars: int) -> dict[str, int]:
    """How often rate, flow and the upper limit of so many cars of a cell hold the truth."""
    cell = CELLS[name]
    rng = random.Random(f"coverage {name}")
    times = [cell.spacing * k for k in range(round(cell.length / cell.spacing) + 1)]
    count = {"cars": cars, "rate": 0, "flow": 0, "bound": 0}
    for _ in range(cars):
        car = draw(cell.setting, rng)
        found = assess(car.hold(car.seen(times)), LIMITS)
        if found.rate is None or found.leak_flow is None or found.not_larger_than_flow is None:
            raise AssertionError(f"{name}: {found.reason}")
        count["rate"] += found.rate.low <= car.rate <= found.rate.high
        count["flow"] += found.leak_flow.low <= car.flow <= found.leak_flow.high
        count["bound"] += car.flow <= found.not_larger_than_flow
    return count


def main() -> None:
    """All cells, and all together."""
    began = time.process_time()
    cells = {}
    total = {"cars": 0, "rate": 0, "flow": 0, "bound": 0}
    for name in CELLS:
        count = covered(name, CARS)
        cells[name] = {key: round(count[key] / CARS, 3) for key in ("rate", "flow", "bound")}
        print(name, cells[name], flush=True)
        total = {key: value + count[key] for key, value in total.items()}
    pooled = {key: round(total[key] / total["cars"], 4) for key in ("rate", "flow", "bound")}
    write(
        "coverage",
        {
            "cars_a_cell": CARS,
            "standard_error_of_a_cell": round(math.sqrt(0.95 * 0.05 / CARS), 3),
            "standard_error_pooled": round(math.sqrt(0.95 * 0.05 / total["cars"]), 4),
            "pooled": pooled,
            "lowest_cell": {key: min(cell[key] for cell in cells.values()) for key in pooled},
            "cells": cells,
            "cpu_seconds": round(time.process_time() - began),
        },
    )


if __name__ == "__main__":
    main()
