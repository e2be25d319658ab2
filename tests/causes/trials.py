"""What the study and its sample measure on drawn cars: calibration, the cost of deciding."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from tests.causes.drawn_cars import Car, disturbed, draw
from weeptrace.causes import Knowledge, Observation, from_bundle, next_test, rank
from weeptrace.causes.likelihood import layout
from weeptrace.causes.observe import evidence
from weeptrace.causes.posterior import posterior

INTAKE = ("loss_rate", "loss_when")


def chances(
    knowledge: Knowledge, car: Car, told: list[Observation], limits: dict[str, float]
) -> dict[str, float]:
    """Each cause's chance, without the rest of the answer."""
    known = evidence(knowledge, car.features, told)
    return dict(posterior(layout(knowledge, known, limits["causes.attention"]), known.odds).causes)


def calibration_error(pairs: Iterable[tuple[float, bool]], bins: int = 10) -> float:
    """Mean distance between what was said and what came true, over bins of equal width."""
    held: list[list[tuple[float, bool]]] = [[] for _ in range(bins)]
    count = 0
    for said, true in pairs:
        held[min(int(said * bins), bins - 1)].append((said, true))
        count += 1
    return sum(abs(sum(s for s, _ in b) - sum(t for _, t in b)) for b in held) / count


@dataclass
class Calibration:
    """Of the leading cause, and of every cause; how often the leader changes with the rules."""

    leader: list[tuple[float, bool]]
    every: list[tuple[float, bool]]
    changed: int


def calibrate(
    bundle: dict[str, Any], limits: dict[str, float], seed: int, cars: int
) -> Calibration:
    """Rank drawn cars with the rules as they are; each car comes from rules of its own."""
    rolls = random.Random(seed)
    knowledge = from_bundle(bundle, limits)
    out = Calibration([], [], 0)
    tests = [id for id, test in knowledge.tests.items() if not test.interview]
    for _ in range(cars):
        other = disturbed(bundle, rolls)
        car = draw(other, rolls, limits["causes.several"])
        told = [*car.history, *(each for id in INTAKE for each in car.ask(id))]
        for test in rolls.sample(tests, rolls.randint(1, 8)):
            asked = {each.finding for each in told}
            for id in knowledge.tests[test].gives:
                if knowledge.findings[id].kind in ("sign", "places") and id not in asked:
                    told += car.ask(id)
        said = chances(knowledge, car, told, limits)
        leader = max(said, key=lambda cause: said[cause])
        out.leader.append((said[leader], leader in car.faults))
        out.every += [(chance, cause in car.faults) for cause, chance in said.items()]
        truly = chances(from_bundle(other, limits), car, told, limits)
        out.changed += leader != max(truly, key=lambda cause: truly[cause])
    return out


@dataclass
class Decided:
    """How one car went: cost of the tests done, s of work; whether the leader is a fault of it."""

    cost: float
    right: bool
    tests: int


def _do(knowledge: Knowledge, car: Car, told: list[Observation], test: str) -> None:
    asked = {each.finding for each in told}
    for id in knowledge.tests[test].gives:
        if knowledge.findings[id].kind in ("sign", "places") and id not in asked:
            told += car.ask(id)


def by_gain(knowledge: Knowledge, car: Car, limits: dict[str, float]) -> Decided:
    """Do the first test that decides, until none is worth its cost; then repair the leader."""
    told = [*car.history, *(each for id in INTAKE for each in car.ask(id))]
    spent, done = 0.0, 0
    while True:
        found = rank(knowledge, car.features, told, limits)
        first = next((each for each in found.next_tests if each.role == "decide"), None)
        if first is None:
            return Decided(spent, found.causes[0].id in car.faults, done)
        _do(knowledge, car, told, first.test)
        spent, done = spent + first.cost, done + 1


def in_order(
    knowledge: Knowledge, car: Car, limits: dict[str, float], stop: float | None
) -> Decided:
    """Do every test in the rules' order; with ``stop``, only until the leader is that likely."""
    told = [*car.history, *(each for id in INTAKE for each in car.ask(id))]
    spent, done = 0.0, 0
    for test in knowledge.tests.values():
        said = chances(knowledge, car, told, limits)
        if stop is not None and max(said.values()) >= stop:
            break
        known = evidence(knowledge, car.features, told)
        if test.id in next_test.allowed(knowledge, known, car.features, None, ()):
            _do(knowledge, car, told, test.id)
            spent, done = spent + next_test.cost(test, limits), done + 1
    said = chances(knowledge, car, told, limits)
    return Decided(spent, max(said, key=lambda cause: said[cause]) in car.faults, done)


def to_be_right(gone: list[Decided]) -> float:
    """Work spent a right decision: all cars' cost over those decided rightly, s."""
    return sum(each.cost for each in gone) / max(sum(each.right for each in gone), 1)
