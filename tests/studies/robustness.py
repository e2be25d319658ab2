"""What spoils a hold, and what the verdict then does (``python3 build.py study robustness``).

Each trouble is put on the same cars as no trouble: tight, seeping, leaking and gross, 15 readings
in 15 min, one look at the end. A trouble that the hold can't see (a wrong figure, sun) may turn the
verdict: this tells how often.
"""

from __future__ import annotations

import math
import random
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tests.hold.study_cars import LIMITS, START, Drawn, Setting, draw
from tests.studies.report import write
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, Compliance, Hold, Reading
from weeptrace.hold.judge import LEAKS
from weeptrace.practice.state import charged, compliance

CARS = 120
FLOWS = (0.0, 0.1, 1.0, 5.0)  # mL/min at 100 kPa
STORED = (1.0, 5.0)  # mL/kPa
TIMES = tuple(60.0 * k for k in range(16))
SUN = 0.05  # K/min: an engine that stands in the sun


@dataclass
class Count:
    """Of the holds of a trouble: leaks claimed, intervals and bounds that hold the truth."""

    holds: int = 0
    claimed: int = 0
    cleared: int = 0
    not_judged: int = 0
    covered: int = 0
    bounded: int = 0
    named: int = 0
    wrongly_named: int = 0
    error: float = 0.0


def one_in_ten_wrong(hold: Hold, rng: random.Random) -> Hold:
    """Each reading has a tenth's chance to be off by 5 to 20 kPa, either way."""
    seen = []
    for r in hold.readings:
        off = rng.choice((-1.0, 1.0)) * rng.uniform(5e3, 20e3) if rng.random() < 0.1 else 0.0
        seen.append(replace(r, pressure=max(r.pressure + off, 0.0)))
    return replace(hold, readings=tuple(seen))


def one_wrong(hold: Hold, rng: random.Random) -> Hold:
    """One reading mistyped by 10 kPa."""
    seen = list(hold.readings)
    place = rng.randrange(len(seen))
    seen[place] = replace(seen[place], pressure=seen[place].pressure - 10e3)
    return replace(hold, readings=tuple(seen))


def scaled(factor: float) -> Callable[[Hold, random.Random], Hold]:
    """The liquid's volume typed wrong by a factor."""

    def spoil(hold: Hold, _: random.Random) -> Hold:
        assert hold.liquid_volume is not None
        return replace(hold, liquid_volume=hold.liquid_volume * factor)

    return spoil


def compliance_off(factor: float) -> Callable[[Hold, random.Random], Hold]:
    """The compliance typed wrong by a factor."""

    def spoil(hold: Hold, _: random.Random) -> Hold:
        assert isinstance(hold.stored, Compliance)
        return replace(hold, stored=Compliance(hold.stored.value * factor))

    return spoil


def gap(hold: Hold, _: random.Random) -> Hold:
    """Nobody read from minute 4 to 11, and nobody knows whether it was touched."""
    seen = tuple(r for r in hold.readings if not 240.0 < r.time < 660.0)
    return replace(hold, readings=seen, actions=(Action("disturbed", 300.0),))


def clock(hold: Hold, _: random.Random) -> Hold:
    """The clock was set on by 5 min after minute 7, and nobody told."""
    seen = [replace(r, time=r.time + (300.0 if r.time > 420.0 else 0.0)) for r in hold.readings]
    return replace(hold, readings=tuple(seen))


def nothing(hold: Hold, _: random.Random) -> Hold:
    """No trouble."""
    return hold


TROUBLES: dict[str, tuple[Callable[[Hold, random.Random], Hold], float | None]] = {
    "none": (nothing, None),
    "one reading wrong": (one_wrong, None),
    "one reading in ten wrong": (one_in_ten_wrong, None),
    "sun on the engine": (nothing, SUN),
    "cools as fast": (nothing, -SUN),
    "capacity 20 % too low": (scaled(0.8), None),
    "capacity 20 % too high": (scaled(1.2), None),
    "compliance 50 % too low": (compliance_off(0.5), None),
    "compliance 50 % too high": (compliance_off(1.5), None),
    "seven minutes not read": (gap, None),
    "clock set on by five minutes": (clock, None),
}


def known_compliance(car: Drawn) -> Compliance:
    """The compliance as it was measured: right."""
    return Compliance(compliance(car.car, charged(car.car, car.liquid, car.gas, START)))


def put(trouble: str, flow: float, cars: int) -> Count:
    """So many cars of a flow with a trouble, half of them stiff and half soft."""
    spoil, drift = TROUBLES[trouble]
    rng = random.Random(f"robustness {flow}")
    wrong = random.Random(f"robustness {trouble} {flow}")
    count = Count()
    for k in range(cars):
        stored = STORED[k % len(STORED)]
        car = draw(Setting(flow, stored, drift=drift), rng)
        before = car.hold(car.seen(TIMES), stored=known_compliance(car))
        hold = spoil(before, wrong)
        found = assess(hold, LIMITS)
        count.holds += 1
        count.claimed += found.verdict in LEAKS
        count.cleared += found.verdict in ("no_leak_found", "tight")
        count.not_judged += found.verdict == "not_judged"
        if found.leak_flow is None or found.not_larger_than_flow is None:
            continue
        count.covered += found.leak_flow.low <= car.flow <= found.leak_flow.high
        count.bounded += car.flow <= found.not_larger_than_flow
        count.error += ((found.leak_flow.value - car.flow) * 6e7) ** 2
        slips = slipped(before.readings, hold.readings)
        count.named += bool(slips) and set(slips) <= set(found.suspect_readings)
        count.wrongly_named += bool(set(found.suspect_readings) - set(slips))
    return count


def slipped(before: Sequence[Reading], after: Sequence[Reading]) -> tuple[int, ...]:
    """Places of the readings whose pressure was changed; none where some are missing."""
    if len(before) != len(after):
        return ()
    pairs = enumerate(zip(before, after, strict=True))
    return tuple(k for k, (a, b) in pairs if a.pressure != b.pressure)


def main() -> None:
    """All troubles on all leaks."""
    began = time.process_time()
    told: dict[str, dict[str, dict[str, float]]] = {}
    for trouble in TROUBLES:
        told[trouble] = {}
        for flow in FLOWS:
            c = put(trouble, flow, CARS)
            told[trouble][f"{flow:g} mL/min"] = {
                "leak_claimed": round(c.claimed / c.holds, 3),
                "no_leak_found": round(c.cleared / c.holds, 3),
                "not_judged": round(c.not_judged / c.holds, 3),
                "interval_holds_the_truth": round(c.covered / c.holds, 3),
                "bound_holds_the_truth": round(c.bounded / c.holds, 3),
                "rms_error_ml_min": round(math.sqrt(c.error / c.holds), 3),
                "every_slip_named": round(c.named / c.holds, 3),
                "a_good_reading_named": round(c.wrongly_named / c.holds, 3),
            }
        print(trouble, told[trouble], flush=True)
    rows = [told["one reading in ten wrong"][f"{flow:g} mL/min"] for flow in FLOWS]
    write(
        "robustness",
        {
            "cars_a_cell": CARS,
            "standard_error_of_5_percent": round(math.sqrt(0.05 * 0.95 / CARS), 3),
            "slips_interval_holds_the_truth": round(
                statistics.mean(row["interval_holds_the_truth"] for row in rows), 3
            ),
            "troubles": told,
            "cpu_seconds": round(time.process_time() - began),
        },
    )


if __name__ == "__main__":
    main()
