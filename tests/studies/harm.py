"""Who gets hurt by what the pages say (``python3 build.py study harm``).

Three thousand jobs, six hundred of each technician, on cars drawn by a seed, played page by page on
a physical world that judges harm by itself. ``--jobs`` gives another number of each technician.
Each harm with no untrue answer before it is printed as it comes, with its technician and seed.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field

from tests.practice.world.jobs import job
from tests.studies.report import write
from weeptrace.practice.world.technicians import TEMPERS
from weeptrace.rules import load

EACH = 600
PART = 10  # jobs that a process does at a time
LEAST = 20  # visits of a step
CORES = 2


@dataclass
class Tally:
    """What some jobs came to."""

    ends: Counter[str] = field(default_factory=Counter)
    steps: Counter[str] = field(default_factory=Counter)
    harms: Counter[str] = field(default_factory=Counter)
    untrue: Counter[str] = field(default_factory=Counter)
    hurt: Counter[str] = field(default_factory=Counter)
    broken: Counter[str] = field(default_factory=Counter)
    twins: Counter[str] = field(default_factory=Counter)
    pages: int = 0
    cpu: float = 0.0

    def add(self, other: Tally) -> None:
        """Add the jobs of another."""
        for name in ("ends", "steps", "harms", "untrue", "hurt", "broken", "twins"):
            getattr(self, name).update(getattr(other, name))
        self.pages += other.pages
        self.cpu += other.cpu


def part(technician: str, first: int) -> Tally:
    """The jobs of a technician from seed ``first`` on."""
    tally, began = Tally(), time.process_time()
    for seed in range(first, first + PART):
        try:
            played = job(technician, seed)
        except (ArithmeticError, LookupError, TypeError, ValueError) as problem:
            tally.broken[f"{technician} {seed}: {problem!r}"] += 1  # the page would show an error
            print(f"{technician} {seed}: {problem!r}", flush=True)
            continue
        tally.ends[f"{technician} {played.end}"] += 1
        tally.steps.update(played.steps)
        tally.pages += len(played.pages)
        true = [each for each in played.harms if each.untrue is None]
        tally.hurt[technician] += bool(true)
        for each in played.harms:
            name = f"{each.step}: {each.harm.kind}, {each.harm.why}"
            (tally.harms if each.untrue is None else tally.untrue)[name] += 1
            if each.untrue is None:
                print(f"{technician} {seed}: {name}", flush=True)
        if played.end == "bound":
            print(f"{technician} {seed}: bound at {played.steps.most_common(3)}", flush=True)
        if any(each.untrue for each in played.harms):
            twin = job(technician, seed, honest=True)
            tally.twins.update(f"{hurt.step}: {hurt.harm.kind}" for hurt in twin.harms)
            tally.twins["jobs"] += 1
    tally.cpu = time.process_time() - began
    return tally


def results(total: Tally, jobs: int, minutes: float) -> None:
    """Write the figures of the ``jobs`` so far: a study that is ended early has those."""
    steps = {step.id for step in load().procedures["coolant_loss"].steps}
    write(
        "harm",
        {
            "jobs": jobs,
            "ends": dict(sorted(total.ends.items())),
            "broken": sorted(total.broken),
            "pages_per_job": round(total.pages / jobs, 1),
            "cpu_s_per_job": round(total.cpu / jobs, 2),
            "minutes": round(minutes, 1),
            "never_visited": sorted(steps - set(total.steps)),
            "visited_rarely": {
                step: total.steps[step]
                for step in sorted(steps & set(total.steps))
                if total.steps[step] < LEAST
            },
            "jobs_with_harm_and_no_untrue_answer": dict(total.hurt),
            "harms": dict(total.harms.most_common()),
            "harms_after_untrue_answers": dict(total.untrue.most_common()),
            # The same jobs by the same technician, who ticks nothing untrue: how many, what hurt.
            "without_the_untrue_answers": dict(total.twins.most_common()),
        },
    )


def main() -> None:
    """All jobs, and the figures of what hurt."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=EACH)
    each = parser.parse_args().jobs
    began, total = time.perf_counter(), Tally()
    with ProcessPoolExecutor(CORES) as pool:
        waiting = [
            pool.submit(part, technician, first)
            for first in range(0, each, PART)
            for technician in TEMPERS
        ]
        for number, done in enumerate(waiting, 1):
            total.add(done.result())
            if number % len(TEMPERS) == 0:
                minutes = (time.perf_counter() - began) / 60.0
                hurt = sum(total.harms.values())
                print(f"{number * PART} jobs, {hurt} harms, {minutes:.1f} min", flush=True)
                results(total, number * PART, minutes)


if __name__ == "__main__":
    main()
