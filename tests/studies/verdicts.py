"""Verdicts and when they come, beside a shop's habit (``python3 build.py study verdicts``).

Readings are looked at as they come, over a planned 15 min. A leak is called at the first look that
claims one; a hold that calls none ends after 15 min. The habit: 15 min always, and a leak where the
needle ends one division or more lower. Both see the same cars, readers and gauge (2 kPa).
"""

from __future__ import annotations

import math
import random
import statistics
import time
from dataclasses import dataclass, field

from tests.hold.study_cars import LIMITS, Drawn, Setting, draw, looks
from tests.studies.report import write
from weeptrace.hold.judge import CLASSES, LEAKS, size_class

FLOWS = (0.0, 0.1, 0.3, 1.0, 5.0, 50.0)  # mL/min at 100 kPa
STORED = (1.0, 5.0)  # mL/kPa
CREEP = (None, 0.02, 0.06)  # None: drawn from its prior
TIGHT_CARS, LEAKING_CARS = 400, 60
PLANNED = 900.0


@dataclass
class Tally:
    """What happened to the cars of a cell: counts, and minutes to the call."""

    cars: int = 0
    called: int = 0
    no_leak_said: int = 0
    bound_broken: int = 0
    named_right: int = 0
    habit_called: int = 0
    minutes: list[float] = field(default_factory=list)

    def told(self, flow: float) -> dict[str, float | int | None]:
        """The cell's figures; shares with their standard error in ``se_called``."""
        share = self.called / self.cars
        middle = statistics.median(self.minutes)
        return {
            "cars": self.cars,
            "called_a_leak": round(share, 3),
            "se_called": round(math.sqrt(share * (1.0 - share) / self.cars), 3),
            "minutes_median": None if middle == math.inf else middle,
            "said_no_leak_meanwhile": round(self.no_leak_said / self.cars, 3),
            "bound_below_the_leak": round(self.bound_broken / self.cars, 3),
            "class_right_when_called": round(self.named_right / self.called, 3)
            if self.called and flow
            else None,
            "habit_called_a_leak": round(self.habit_called / self.cars, 3),
        }


def watch(car: Drawn, tally: Tally) -> None:
    """One hold, look by look, into the tally."""
    tally.cars += 1
    said, broken, called = False, False, math.inf
    for readings, found in looks(car, PLANNED):
        if found.verdict in (*LEAKS, "leak_size_unknown"):
            called = readings[-1].time / 60.0
            truth = size_class(car.flow * LIMITS["hold.exposure"], LIMITS)
            tally.named_right += CLASSES[truth] in found.verdict.split("_or_")
            break
        if found.verdict in ("no_leak_found", "tight"):
            said = True
            broken |= found.not_larger_than_flow is None or found.not_larger_than_flow < car.flow
    tally.called += called < math.inf
    tally.no_leak_said += said
    tally.bound_broken += broken
    tally.minutes.append(called)
    first, last = car.seen([0.0, PLANNED])
    tally.habit_called += first.pressure - last.pressure >= 1e3 * car.setting.division


def cell(setting: Setting, cars: int) -> Tally:
    """The tally of so many cars of a setting, drawn from the setting itself."""
    rng = random.Random(f"verdicts {setting}")
    tally = Tally()
    for _ in range(cars):
        watch(draw(setting, rng), tally)
    return tally


def main() -> None:
    """All cells, and their sums over the spread of the creep."""
    began = time.process_time()
    cells = {}
    for flow in FLOWS:
        for stored in STORED:
            for creep in CREEP:
                setting = Setting(flow, stored, creep_share=creep)
                tally = cell(setting, LEAKING_CARS if flow else TIGHT_CARS)
                shown = "drawn" if creep is None else f"{100 * creep:g} %"
                name = f"{flow:g} mL/min, {stored:g} mL/kPa, creep {shown}"
                cells[name] = tally.told(flow)
                print(name, cells[name], flush=True)
    drawn = {name: told for name, told in cells.items() if name.endswith("drawn")}
    tight = [told for name, told in drawn.items() if name.startswith("0 ")]
    leaks = [told for name, told in drawn.items() if not name.startswith("0 ")]

    def mean(rows: list[dict[str, float | int | None]], key: str) -> float:
        return round(statistics.mean(float(row[key] or 0.0) for row in rows), 3)

    write(
        "verdicts",
        {
            "planned_min": PLANNED / 60.0,
            "false_leak_over_all_looks": mean(tight, "called_a_leak"),
            "false_leak_habit": mean(tight, "habit_called_a_leak"),
            "bound_below_the_leak_over_all_looks": mean(leaks, "bound_below_the_leak"),
            "missed_after_15_min": round(1.0 - mean(leaks, "called_a_leak"), 3),
            "missed_habit": round(1.0 - mean(leaks, "habit_called_a_leak"), 3),
            "habit_min": PLANNED / 60.0,
            "cells": cells,
            "cpu_seconds": round(time.process_time() - began),
        },
    )


if __name__ == "__main__":
    main()
