"""Whoever chose a set of units meets no figure in another one, wherever the job stands."""

from __future__ import annotations

import random
import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tests.hands import Answer, Hands
from tests.job import steady
from tests.logbook import Logbook
from tests.screen.foreign import RULES, SETS, Shop, foreign, on_paper, said
from weeptrace import screen
from weeptrace.finding import Reason
from weeptrace.job.advance import advance, fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import position
from weeptrace.job.state import EMPTY, Job
from weeptrace.rules.model import of_entry
from weeptrace.screen.figures import Show
from weeptrace.screen.record import sheet
from weeptrace.told import DENSITY, DIFFERENCE, Figure, places

Json = dict[str, Any]
SCENARIOS = sorted((Path(__file__).parents[2] / "demo_scenarios").glob("*.toml"))
LOOKS = ("so_far", "record", "find")
SEEDS = (0, 1, 3, 4)  # of those that go where few go
NOT_FOUND: dict[str, Answer] = {"finding.place": ("not_found", None)}
# Answers that lead to the rest, and what is marked in the teardown.
WAYS: list[tuple[dict[str, Answer], str]] = [
    *(({**NOT_FOUND, "test.kind": (kind, None)}, "")
      for kind in ("warm_hold", "heater_isolation", "overnight", "dye", "gas", "level_watch")),
    ({**NOT_FOUND, "test.kind": ("run_watch", None), "broken.near": ("plastic", None)},
     "broken.found"),
    ({"broken.near": ("metal", None), "repair.kind": ("radiator_with_cooler", None),
      "dry.wanted": ("dry_air", None), "fill.how": ("vacuum", None), "after.wanted": ("hold", None),
      "cap.how": ("tested", None)}, "broken.found"),
    ({"work.where": ("mobile", None), "work.route": ("seen", None)}, "extra.found"),
]  # fmt: skip
STEPS = {step.id for step in RULES.procedures["coolant_loss"].steps}


def strange(units: dict[str, str], job: Job, now: Json, look: str = "") -> Counter[str]:
    """The texts of a page that tell a figure in another unit than the reader's."""
    made = screen.view(RULES, job, now, screen.Preferences(units), look)
    texts = said([made["blocks"], made["foot"], made["more"], made["state"], made["rules"]])
    return Counter(f"{made['step']}: {text}" for text in texts if foreign(text, units))


def in_the_file(units: dict[str, str], job: Job, now: Json) -> Counter[str]:
    """The strange texts of the record as a file to print."""
    texts = on_paper(sheet.html(Show(RULES, units, job), job, now))
    assert len(texts) > 100
    return Counter(f"paper: {text}" for text in texts if foreign(text, units))


def walked(units: dict[str, str], seed: int, met: Counter[str]) -> Counter[str]:
    """A whole job by a steady hand: the strange texts of each page that is new in this walk."""
    found: Counter[str] = Counter()
    rng = random.Random(seed)
    log, job, own = Shop(units), EMPTY, set[str]()
    taken = 0
    for _ in range(260):
        for event in log.events[taken:]:
            job = advance(RULES, job, event)
        taken = len(log.events)
        here = position(RULES, job, read_moment(log.moment()))
        name = here.gate.id if here.gate else here.step.id if here.step else "closed"
        if name not in own:
            own.add(name)
            found += strange(units, job, log.moment())
        if here.step is None:
            break
        log.now += rng.choice((1.0, 5.0, 60.0, 90.0))
        steady.follow(rng, log, job, here)
    met.update(own)
    for look in LOOKS:
        found += strange(units, job, log.moment(), look)
    return found


def guided(
    units: dict[str, str], answers: dict[str, Answer], mark: str, met: Counter[str]
) -> Counter[str]:
    """A whole job by these answers: the strange texts of each page that is new in all walks."""
    found: Counter[str] = Counter()
    work = Hands(Shop(units), answers)
    while (at := work.at()) != "closed" and len(work.passed) < 300:
        if at not in met:
            found += strange(units, work.job, work.log.moment())
        met[at] += 1
        if at == "teardown" and mark and not work.job.answered(mark):
            work.log.add("mark", mark)
        else:
            work.passed.append(at)
            work.answer()
    assert at == "closed"
    for look in LOOKS:
        found += strange(units, work.job, work.log.moment(), look)
    return found + in_the_file(units, work.job, work.log.moment())


@pytest.mark.parametrize("set_id", SETS)
def test_a_whole_job_is_told_in_the_readers_units(set_id: str) -> None:
    met: Counter[str] = Counter()
    found: Counter[str] = Counter()
    for seed in SEEDS:
        found += walked(SETS[set_id], seed, met)
    for answers, mark in WAYS:
        found += guided(SETS[set_id], answers, mark, met)
    assert not found
    assert len(STEPS & met.keys()) >= 190


@pytest.mark.parametrize("set_id", SETS)
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_a_practice_car_is_told_in_the_readers_units(path: Path, set_id: str) -> None:
    units, job = SETS[set_id], EMPTY
    log, found = Shop(units), Counter[str]()
    for event in tomllib.loads(path.read_text("utf-8"))["events"]:
        log.now = event["after"]
        log.add(event["kind"], event["field"], event["typed"], event.get("unit"))
    for event in log.events:
        job = advance(RULES, job, event)
        now = {key: event[key] for key in ("at", "mono", "boot")}
        found += strange(units, job, now)
    for look in LOOKS:
        found += strange(units, job, log.moment(), look)
    assert not found + in_the_file(units, job, log.moment())


def showing(set_id: str, log: Logbook | None = None) -> Show:
    """How a reader with a set of units is told of a job."""
    job = fold(RULES, log.events) if log else EMPTY
    return Show(RULES, SETS[set_id], job)


WITH_FIGURES = [id for id in RULES.texts if "{" in str(RULES.texts[id])]
OWN = [id for id in WITH_FIGURES if not of_entry(id)]


@pytest.mark.parametrize("id", OWN)
def test_each_sentence_of_the_program_is_in_the_readers_units(id: str) -> None:
    named = [place for _, place in places(str(RULES.texts[id])) if place is not None]
    # A limit tells itself.
    named = [place for place in named if "." not in place.name]
    brought = {
        place.name: Figure(300.0, place.kind or "pressure")
        if place.kind or place.down or place.bare
        else 3.0
        for place in named
    }
    kinds = {place.kind for place in named if place.kind and not place.bare}
    for set_id, units in SETS.items():
        told = Show(RULES, units).told(Reason("any", id, brought))
        assert foreign(told, units) == [], told
        for kind in kinds - {DIFFERENCE, DENSITY}:
            assert f"\N{NO-BREAK SPACE}{units[kind]}" in told, (set_id, told)


@pytest.mark.parametrize("set_id", SETS)
@pytest.mark.parametrize("id", [id for id in WITH_FIGURES if id not in OWN])
def test_each_text_with_a_figure_is_in_the_readers_units(id: str, set_id: str) -> None:
    log = Logbook()
    log.add("fact", "car.cap_rating", "1.1", "bar")
    told = showing(set_id, log).rules.text(id)
    assert re.search(r"\d", told)
    assert foreign(told, SETS[set_id]) == []
    assert foreign(told, SETS["kpa" if set_id == "psi" else "psi"])


def test_no_text_of_the_rules_holds_a_figure_in_a_unit_that_some_reader_lacks() -> None:
    common = set.intersection(*(set(units.values()) for units in SETS.values()))
    held = {
        id: line
        for id, words in RULES.texts.items()
        for line in (words if isinstance(words, list) else [words])
        if foreign(re.sub(r"\{[^}]*\}", "", line), {unit: unit for unit in common})
    }
    assert held == {}
