"""One body of evidence: each field of the vocabulary shows its finding, or tells nothing.

Of a field that shows a finding each word is tried; of one that is read by a result, a job in which
that result hangs on it; of one that tells nothing, that nothing changes.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any, Final

import pytest

from tests.logbook import Logbook
from weeptrace.causes import Figure, Observation
from weeptrace.job import observed
from weeptrace.job.advance import fold
from weeptrace.job.results import results
from weeptrace.quantity import from_si
from weeptrace.rules import FOLDER, load
from weeptrace.rules.source import Source
from weeptrace.rules.vocabulary import fields

RULES: Final = load()
UNITS: Final = RULES.unit_sets[0]["units"]


def _told() -> dict[str, dict[str, Any]]:
    """What each field says of itself, as it stands in the rules."""
    source = Source(FOLDER)
    fields(source)
    return source.tells


TOLD: Final = _told()
RESULTS: Final = tomllib.loads((FOLDER / "results.toml").read_text("utf-8"))
Told = dict[str, Any]


def found(log: Logbook) -> list[Observation]:
    return observed.observations(RULES, fold(RULES, log.events))


def by(log: Logbook, name: str) -> list[Observation]:
    """What one field or result shows."""
    return [e.told for e in observed.shown(RULES, fold(RULES, log.events)) if e.by == name]


def put(log: Logbook, name: str, typed: str = "", unit: str | None = None) -> None:
    kinds = {"yes": "done", "mark": "mark", "photo": "photo", "reading": "reading"}
    log.now += 60.0
    log.add(kinds.get(RULES.fields[name].kind, "fact"), name, typed, unit)


def si(name: str, value: float) -> tuple[str, str]:
    """A value in SI as it is typed, in a unit that fits."""
    field = RULES.fields[name]
    unit = "1" if field.kind == "count" else UNITS[field.unit_key]
    return f"{from_si(value, unit):.6f}", unit


# --- every field says it ------------------------------------------------------------------------


def test_every_field_says_what_it_tells_and_every_result_is_worked_out() -> None:
    own = {id for id in RULES.fields if id.startswith("find.")}
    assert set(TOLD) == set(RULES.fields) - own - {"car.features", "car.lacks", "shop.tools"}
    assert all(len(each.keys() & {"shows", "read_by", "tells"}) == 1 for each in TOLD.values())
    assert set(RULES.shows) == {id for id, each in TOLD.items() if "shows" in each} | set(RESULTS)


SHOWN: Final = [
    (name, finding, word, value)
    for name, each in TOLD.items()
    for finding, how in each.get("shows", {}).items()
    if isinstance(how, dict)
    for word, value in how.items()
]


@pytest.mark.parametrize(("name", "finding", "word", "value"), SHOWN)
def test_a_word_shows_its_finding(name: str, finding: str, word: str, value: str) -> None:
    log = Logbook()
    put(log, name, word)
    assert fold(RULES, log.events).value(name) == word
    if finding == "fitted":
        job = fold(RULES, log.events)
        assert value in observed.features(RULES, job)
        log.add("fact", "car.lacks", value)  # what is there is there
        assert value in observed.features(RULES, fold(RULES, log.events))
        return
    assert Observation(finding, value) in by(log, name)


@pytest.mark.parametrize(
    "name", [id for id, each in TOLD.items() if "shows" in each and RULES.fields[id].options]
)
def test_a_word_without_a_finding_shows_none(name: str) -> None:
    for word in RULES.fields[name].options:
        log = Logbook()
        put(log, name, word)
        shows = {f: how[word] for f, how in TOLD[name]["shows"].items() if word in how}
        shows.pop("fitted", None)
        assert found(log) == [
            Observation(f, shows[f]) for f in observed.knowledge(RULES).findings if f in shows
        ]


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("owner.rate", 3.5e-10, ("loss_rate", Figure(pytest.approx(3.5e-10)))),  # type: ignore[arg-type]
        ("car.odometer", 84e6, ("odometer", Figure(pytest.approx(84e6)))),  # type: ignore[arg-type]
        ("cold.strength", 0.47, ("strength", Figure(pytest.approx(0.47)))),  # type: ignore[arg-type]
        ("cold.level", -0.005, ("level_cold", "below_min")),
        ("cold.level", 0.0, ("level_cold", "at_mark")),
        ("cold.level", 0.005, ("level_cold", "at_mark")),
        ("road.hottest", 391.15, ("temp_behaviour", "climbs_load")),
        ("road.hottest", 380.15, None),
    ],
)
def test_a_figure_shows_its_finding(name: str, value: float, told: Any) -> None:
    log = Logbook()
    put(log, name, *si(name, value))
    assert [(each.finding, each.value) for each in by(log, name)] == (
        [] if told is None else [told]
    )


def test_every_figure_is_tried() -> None:
    figures = {id for id, each in TOLD.items() if "shows" in each and not RULES.fields[id].options}
    assert figures == {"owner.rate", "car.odometer", "cold.strength", "cold.level", "road.hottest"}


# --- what a result hangs on -----------------------------------------------------------------------

Job = Callable[[], Logbook]


def described() -> Logbook:
    log = Logbook()
    log.describe_car()
    log.pass_the_gate()
    return log


def held(name: str = "hold.pressure", fall: float = 1.3, count: int = 12) -> Logbook:
    log = described()
    log.fit_the_tester()
    for index in range(count):
        put(log, name, f"{110.0 - fall * index:.1f}", "kPa")
    return log


def trial(kind: str, fall: float) -> Logbook:
    log = held()
    put(log, "test.kind", kind)
    for index in range(12):
        put(log, "test.pressure", f"{110.0 - fall * index:.1f}", "kPa")
    return log


def reopened() -> Logbook:
    log = held(fall=0.0, count=16)
    put(log, "finding.place", "not_found")
    for index in range(12):
        put(log, "after.pressure", f"{110.0 - 1.5 * index:.1f}", "kPa")
    put(log, "work.reopened")
    return log


def capped() -> Logbook:
    log = described()
    for number, typed in (1, "30"), (2, "34"), (3, "38"):
        put(log, f"cap.opening_{number}", typed, "kPa")
    return log


def night() -> Logbook:
    log = described()
    put(log, "test.kind", "overnight")
    for name, typed, unit in (
        ("test.block_evening", "20", "°C"), ("test.air_evening", "18", "°C"),
        ("test.strokes", "12", "1"), ("test.evening", "85", "kPa"), ("test.morning", "68", "kPa"),
        ("test.block_morning", "15", "°C"), ("test.air_morning", "15", "°C"),
    ):  # fmt: skip
        put(log, name, typed, unit)
    return log


def shown_by(kind: str) -> Logbook:
    log = described()
    put(log, "test.kind", kind)
    put(log, "test.result", "found")
    put(log, "finding.place", "water_pump")
    return log


def watched() -> Logbook:
    log = described()
    put(log, "finding.place", "water_pump")
    put(log, "finding.watch", "running")
    put(log, "finding.wet_again", "wet")
    return log


def zoned() -> Logbook:
    log = described()
    for name in (id for id in RULES.fields if id.startswith("zone.") and id != "zone.seen"):
        put(log, name, "dry")
    return log


def warmed(hottest: int = 104) -> Logbook:
    log = described()
    for degrees in range(20, hottest + 1, 6):
        put(log, "warm.coolant", str(degrees), "°C")
        put(log, "warm.vent", str(max(12, degrees - 70)), "°C")
    put(log, "warm.fan_on")
    put(log, "warm.coolant", str(hottest - 4), "°C")
    put(log, "warm.fan_off")
    put(log, "warm.coolant", str(hottest - 5), "°C")
    return log


def level() -> Logbook:
    log = described()
    put(log, "test.kind", "level_watch")
    put(log, "test.level_now", "12", "mm")
    put(log, "test.level_later", "4", "mm")
    return log


# By result, the jobs in which it is worked out, and what it then shows.
MADE: Final[dict[str, tuple[Job, ...]]] = {
    "cold_hold.shape": (lambda: held(fall=0.0, count=16), reopened),
    "cold_hold.flow": (held, lambda: without(held(), "tester.self_fall")),
    "cold_hold.sees": (lambda: held(fall=0.0, count=16),),
    "warm_hold.shape": (lambda: trial("warm_hold", 1.3),),
    "heater_shut.loss": (lambda: trial("heater_isolation", 1.3),),
    "night.needle": (night,),
    "cap.opens": (capped,),
    "look.under_pressure": (lambda: _wet(held()),),
    "look.as_found": (zoned, lambda: _wet(described())),
    "look.again": (watched,),
    "look.running": (watched, lambda: shown_by("run_watch")),
    "look.dye": (lambda: shown_by("dye"),),
    "warm.heat": (lambda: warmed(122),),
    "warm.fan": (
        lambda: without(warmed(), "warm.fan_on"),
        lambda: without(warmed(), "warm.fan_off"),
    ),
    "warm.heater": (warmed,),
    "watch.trend": (level,),
}
# Worked out of a log with a probe at the radiator, or of two pressures: no page of a job has these.
NEVER: Final = {"warm.thermostat", "cold_hold.exponent"}


def _wet(log: Logbook) -> Logbook:
    put(log, "zone.water_pump", "wet")
    return log


def test_every_result_is_worked_out_in_some_job_and_shows_a_finding() -> None:
    assert set(MADE) | NEVER == set(RESULTS)
    for name, jobs in MADE.items():
        for made in jobs:
            log = made()
            made_of = results(RULES, fold(RULES, log.events))
            assert name in made_of or made is reopened, (name, made_of)
            assert by(log, name) or made is reopened, name


READ: Final = [(id, name) for id, each in TOLD.items() for name in each.get("read_by", ())]
# Other answers than the ones of those jobs, where a field is not there or is left out of them.
OTHER: Final[dict[str, tuple[str, str | None]]] = {
    "car.cap_rating": ("45", "kPa"), "tester.division": ("20", "kPa"),
    "tester.self_fall": ("9", "kPa"), "tester.own_fall": ("9", "kPa"),
    "hold.disturbed": ("", None), "hold.pumped": ("", None), "hold.missed": ("", None),
    "test.disturbed": ("", None), "test.pumped": ("", None), "test.missed": ("", None),
    "over.let_off": ("60", "kPa"), "test.kind": ("gas", None), "warm.fan_on": ("", None),
    "car.capacity": ("30", "L"), "place.altitude": ("4000", "m"),
    "cap.opening_2": ("90", "kPa"), "test.air_evening": ("55", "°C"),
    "test.air_morning": ("-40", "°C"),
}  # fmt: skip


def without(log: Logbook, name: str) -> Logbook:
    """The same job where a field was never answered."""
    log.events[:] = [each for each in log.events if each["field"] != name]
    for seq, event in enumerate(log.events):
        event |= {"seq": seq, "id": f"01990000-0000-7000-8000-{seq:012x}"}
    return log


@pytest.mark.parametrize("id", sorted({id for id, _ in READ}))
def test_what_a_result_reads_changes_it(id: str) -> None:
    """Left out, or answered otherwise, in one of the jobs in which a result of it is worked out."""
    names = [name for each, name in READ if each == id]

    def figures(log: Logbook) -> dict[str, Any]:
        made = results(RULES, fold(RULES, log.events))
        return {name: made.get(name) for name in names}

    changes = 0
    for made in (each for name in names for each in MADE.get(name, ())):
        whole = figures(made())
        changes += figures(without(made(), id)) != whole
        if id in OTHER:
            log = made()
            # amid its readings; a mark after each of them
            for back in (660.0,) * 11 if RULES.fields[id].kind == "mark" else (360.0,):
                log.now -= back
                put(log, id, *OTHER[id])
                log.now += back
            changes += figures(log) != whole
    assert changes, names


# --- what tells nothing -------------------------------------------------------------------------

NOTHING: Final = [
    id for id, each in TOLD.items() if "tells" in each and not RULES.fields[id].clears
]  # a mark that begins something anew takes back what was shown of it


@pytest.mark.parametrize("part", range(8))
def test_what_tells_nothing_changes_nothing(part: int) -> None:
    base = _wet(held())
    put(base, "test.gas", "changed")
    before = found(base)
    assert before
    for name in NOTHING[part::8]:
        field = RULES.fields[name]
        for word in field.options or ("x",):
            log = Logbook()
            log.events, log.now = list(base.events), base.now
            if field.numeric and field.low is not None and field.high is not None:
                put(log, name, *si(name, field.low + 0.3 * (field.high - field.low)))
            else:
                put(log, name, word)
            assert found(log) == before, (name, word)


# --- together -----------------------------------------------------------------------------------


def test_of_two_pages_the_graver_sign_stands_and_a_hand_s_own_word_above_both() -> None:
    log = Logbook()
    put(log, "told.smell", "yes")
    put(log, "look.screen_film", "yes")
    assert found(log) == [Observation("cabin_sign", "windscreen_film")]
    log.add("fact", "find.cabin_sign", "none")
    assert found(log) == [Observation("cabin_sign", "none")]


def test_a_cap_that_opened_far_below_its_rating_will_not_seal() -> None:
    """30 of 110 kPa, and it does not hold: the gravest of the three says it."""
    log = capped()
    (told,) = by(log, "cap.opens")
    assert told.value == Figure(pytest.approx(34.0 / 110.0))  # type: ignore[arg-type]
    put(log, "cap.holds", "falls")
    assert Observation("cap_test", "will_not_seal") in found(log)


def test_another_test_forgets_nothing_of_the_one_before() -> None:
    log = described()
    put(log, "test.kind", "gas")
    put(log, "test.gas", "changed")
    before = found(log)
    put(log, "test.again")
    assert fold(RULES, log.events).value("test.gas") is None
    assert found(log) == before
    assert {Observation("gas_test", "positive"), Observation("gas_test_second", "positive")} <= set(
        before
    )
    night_before = night()
    told = by(night_before, "night.needle")
    put(night_before, "test.again")
    assert by(night_before, "night.needle") == told != []


def test_what_was_seen_at_a_place_is_of_its_round() -> None:
    log = _wet(described())
    put(log, "test.gas", "changed")
    put(log, "work.reopened")
    assert by(log, "look.as_found") == []  # it was mended
    assert Observation("gas_test", "positive") in found(log)  # no repair of a leak mends that


def test_places_that_a_hand_names_stand_beside_those_that_others_showed() -> None:
    log = Logbook()
    put(log, "look.carpet", "yes")
    log.add("fact", "find.wet_ground_zone", "front_edge")
    assert {each.value for each in found(log)} == {"front_edge", "cabin_floor"}
    log.add("fact", "find.wet_ground_zone", "none")
    assert [each.value for each in found(log)] == ["none"]
