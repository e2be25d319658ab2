"""The ranking inside a job is that of the causes room; any page of a job may be asked for."""

from __future__ import annotations

import random
from typing import Any, Final

import pytest

from tests.job.walks import walk
from tests.logbook import Logbook
from weeptrace.causes import Figure, Observation
from weeptrace.door import call
from weeptrace.job import observed
from weeptrace.job.advance import fold
from weeptrace.rules import load

RULES: Final = load()
KNOWN: Final = observed.knowledge(RULES)
SAID: Final = [
    field for field in RULES.fields.values()
    if field.kind == "choice" and (field.id in RULES.shows or field.id.startswith("find."))
]  # fmt: skip
Json = dict[str, Any]


def told(log: Logbook) -> Json:
    return {"events": log.events, "now": log.moment()}


def bars(view: Json) -> list[Json]:
    (block,) = (each for each in view["blocks"] if each["block"] == "bars")
    rows: list[Json] = block["rows"]
    return rows


def _json(each: Observation) -> Json:
    """An observation as the door takes it: a figure in its SI unit."""
    if not isinstance(each.value, Figure):
        return {"finding": each.finding, "value": each.value}
    measure = KNOWN.findings[each.finding].measure
    assert measure is not None
    unit = {"length": "m", "ratio": "1", "loss_per_distance": "m³/m", "volume_flow": "m³/s"}
    value = {"value": each.value.value, "unit": unit[measure["dimension"]]}
    ends = {"low": each.value.low, "high": each.value.high}
    return {
        "finding": each.finding,
        "value": value | {key: end for key, end in ends.items() if end is not None},
    }


def by_the_door(log: Logbook) -> tuple[Json, Json]:
    """The page of the causes, and what the door makes of the same findings."""
    job = fold(RULES, log.events)
    assert job.broken is None
    view = call("job.view", {**told(log), "look": "find"})
    ranked = call(
        "causes.rank",
        {
            "features": observed.features(RULES, job),
            "observations": [_json(each) for each in observed.observations(RULES, job)],
        },
    )
    return view, ranked


def same(view: Json, ranked: Json) -> None:
    rows = bars(view)
    assert rows
    assert [row["do"]["look"] for row in rows] == [
        f"find.cause.{each['id']}" for each in ranked["causes"][: len(rows)]
    ]
    assert [row["share"] for row in rows] == pytest.approx(
        [each["probability"] for each in ranked["causes"][: len(rows)]], rel=1e-9
    )


@pytest.mark.parametrize("seed", range(24))
def test_a_job_of_any_answers_ranks_as_the_causes_do(seed: int) -> None:
    rng = random.Random(seed)
    log = Logbook()
    if seed % 2:
        log.describe_car()
        log.pass_the_gate()
        log.fit_the_tester()
        for index in range(10):
            log.read(f"{110.0 - rng.choice((0.0, 0.4, 2.0)) * index:.1f}")
    for field in rng.sample(SAID, rng.randint(1, 14)):
        log.now += 20.0
        log.add("fact", field.id, rng.choice(field.options))
    same(*by_the_door(log))


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 7, 8])
def test_a_walked_job_ranks_as_the_causes_do(seed: int) -> None:
    log = Logbook()
    log.events = walk(seed, views=0).events
    log.now = 1e6
    if fold(RULES, log.events).broken is None:
        same(*by_the_door(log))


def test_every_page_of_a_job_may_be_asked_for() -> None:
    log = Logbook()
    log.describe_car()
    looks = ["", "so_far", "record", "find", "find.asks", "find.ask.car.features"]
    looks += ["find.ask.shop.tools", "find.ask.car.lacks"]
    looks += [f"find.ask.{id}" for id in KNOWN.findings]
    looks += [f"find.cause.{id}" for id in KNOWN.causes]
    looks += [f"find.test.{id}" for id in KNOWN.tests]
    for look in looks[:8] + random.Random(5).sample(looks[8:], 12):
        assert call("job.view", {**told(log), "look": look})["blocks"], look
    for look in ("find.cause.nobody", "elsewhere", "find.", "find.asks.weep_hole"):
        assert "error" in call("job.view", {**told(log), "look": look}), look


def test_a_look_that_a_page_offers_is_a_look_that_it_takes() -> None:
    """From the page of the causes, each key and each row leads on."""
    log = Logbook()
    log.describe_car()
    log.add("fact", "find.weep_hole", "wet")
    left, seen = ["find"], set()
    while left and len(seen) < 25:
        look = left.pop(0)
        seen.add(look)
        view = call("job.view", {**told(log), "look": look})
        for name in _looks([*view["blocks"], view["foot"], view["more"]]):
            if name not in seen and name not in left:
                left.append(name)
    assert len(seen) == 25


def _looks(part: Any) -> list[str]:
    if isinstance(part, dict):
        own = [part["look"]] if isinstance(part.get("look"), str) else []
        return own + [each for value in part.values() for each in _looks(value)]
    return [each for value in part for each in _looks(value)] if isinstance(part, list) else []
