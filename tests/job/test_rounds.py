"""Rounds of a job, its fluids and its log: what counts together, and what stays apart."""

from __future__ import annotations

import json

import pytest

from tests.logbook import Logbook
from weeptrace.job import coolant, danger, observed, rounds
from weeptrace.job.advance import course, fold
from weeptrace.job.procedure import gate_state, is_open, position
from weeptrace.job.state import EMPTY, Job
from weeptrace.properties import air
from weeptrace.refusal import Refusal
from weeptrace.rules import load
from weeptrace.told import plain

RULES = load()


def log(*told: tuple[str, ...]) -> Logbook:
    """Facts (field, typed, unit), "not done" for one left out, a mark by its field alone."""
    made = Logbook()
    for field, *typed in told:
        made.now += 5.0
        if typed == ["not done"]:
            made.add("not_done", field)
        elif typed:
            kind = "reading" if RULES.fields[field].kind == "reading" else "fact"
            made.add(kind, field, typed[0], typed[1] if len(typed) > 1 else None)
        else:
            made.add("mark" if RULES.fields[field].kind == "mark" else "done", field)
    return made


def job(*told: tuple[str, ...]) -> Job:
    made = fold(RULES, log(*told).events)
    assert not made.troubles, made.troubles
    return made


AGAIN = ("work.reopened",)
SEEN = ("balance.seen",)
FILLED = ("coolant.filled", "3", "L")
FOUR, THREE = ("coolant.drained", "4", "L"), ("coolant.drained", "3", "L")


@pytest.mark.parametrize(
    ("told", "times", "litres"),
    [
        ((), 0, None),
        ((FOUR,), 1, 4),
        ((FOUR, FILLED, AGAIN), 1, 4),
        ((FOUR, FILLED, AGAIN, THREE), 2, 7),
        ((FOUR, SEEN, FILLED, AGAIN), 0, None),  # its balance was struck
        ((FOUR, SEEN, FILLED, AGAIN, THREE), 1, 3),
        ((THREE, FILLED, AGAIN, FOUR, SEEN, FILLED, AGAIN, THREE), 1, 3),
        ((FOUR, FILLED, AGAIN, AGAIN, THREE), 2, 7),
        ((FOUR, FILLED, AGAIN, ("coolant.drained", "not done")), 2, None),
    ],
)
def test_rounds_whose_balance_is_not_struck_count_together(
    told: tuple[tuple[str, ...], ...], times: int, litres: float | None
) -> None:
    here = job(*told)
    assert rounds.drained(here) == times
    found = rounds.total(here, "coolant.drained")
    assert found == (None if litres is None else pytest.approx(litres * 1e-3))
    assert len(rounds.told(here, "coolant.drained")) == times
    assert position(RULES, here, here.log[-1].event.moment).step is not None


def test_every_answer_of_a_job_in_its_order_without_those_not_measured() -> None:
    here = job(("test.gas", "changed"), AGAIN, ("test.gas", "not_changed"), AGAIN,
               ("coolant.drained", "not done"), FOUR)  # fmt: skip
    assert rounds.every(here, "test.gas") == ["changed", "not_changed"]
    assert rounds.every(here, "coolant.drained") == [pytest.approx(4e-3)]
    assert rounds.every(here, "test.steady") == []


def test_the_fluids_of_the_latest_round_in_which_the_coolant_came_out() -> None:
    told = (FOUR, ("coolant.filled", "3.9", "L"), ("fill.how", "vacuum"),
            ("vacuum.pressure", "80", "kPa"), ("quote.hours", "2", "h"), AGAIN)  # fmt: skip
    here = job(*told, ("finding.place", "upper_hose"))
    filled = rounds.last_filled(here)
    assert filled.value("coolant.drained") == pytest.approx(4e-3)
    assert filled.value("fill.how") == "vacuum"
    assert filled.value("quote.hours") is None  # no fluid
    assert filled.value("finding.place") == "upper_hose"
    assert [f.value for _, f in filled.present("vacuum.pressure").times()] == [80e3]
    assert not here.present("vacuum.pressure").readings
    again = job(*told, THREE)
    assert rounds.last_filled(again) is again
    never = job(("finding.place", "upper_hose"))
    assert rounds.last_filled(never) is never
    twice = job(*told, THREE, ("vacuum.pressure", "70", "kPa"), FILLED, AGAIN)
    filled = rounds.last_filled(twice)
    assert filled.value("coolant.drained") == pytest.approx(3e-3)
    assert filled.value("fill.how") is None
    assert [f.value for _, f in filled.present("vacuum.pressure").times()] == [70e3]


CAR = (("car.capacity", "8", "L"), ("coolant.residual_strength", "40", "%"),
       ("coolant.target_strength", "50", "%"))  # fmt: skip


@pytest.mark.parametrize(
    ("hand", "poured"),
    [("concentrate", {"concentrate": 2.4, "water": 1.6}), ("premix_50", {"premix": 4.0})],
)
def test_a_mix_is_planned_from_what_stays_in(hand: str, poured: dict[str, float]) -> None:
    """4 L at 40 % hold 1.6 L of glycol; 8 L at 50 % hold 4 L."""
    here = job(*CAR, FOUR, ("coolant.at_hand", hand), ("car.glycol", "propylene"))
    made = coolant.mix_plan(RULES, here)
    assert made is not None
    assert {a.fluid.kind: a.volume * 1e3 for a in made.plan.amounts} == pytest.approx(poured)
    assert (made.capacity, made.residual) == (pytest.approx(8e-3), pytest.approx(4e-3))
    assert (made.residual_strength, made.target, made.glycol) == (
        pytest.approx(0.4), pytest.approx(0.5), "propylene"
    )  # fmt: skip
    unknown = coolant.mix_plan(RULES, job(*CAR, FOUR, ("coolant.at_hand", hand)))
    assert unknown is not None
    assert unknown.glycol is None
    missing = job(*CAR, FOUR, ("coolant.at_hand", hand), ("coolant.missing_before", "1", "L"))
    less = coolant.mix_plan(RULES, missing)
    assert less is not None
    assert less.residual == pytest.approx(3e-3)


def test_a_mix_is_not_planned_where_one_of_its_five_figures_is_not_known() -> None:
    told = (*CAR, FOUR, ("coolant.at_hand", "concentrate"))
    assert coolant.not_measured(job(*told)) == []
    for lacking in range(len(told)):
        here = job(*(each for n, each in enumerate(told) if n != lacking))
        assert coolant.mix_plan(RULES, here) is None
        assert coolant.not_measured(here) == [told[lacking][0]]


def test_a_balance_is_out_and_missing_and_spilled_less_in() -> None:
    told = (CAR[0], FOUR, ("coolant.filled", "4.2", "L"), ("coolant.spilled", "0.1", "L"),
            ("coolant.missing_before", "0.5", "L"))  # fmt: skip
    found = coolant.fluid_balance(RULES, job(*told))
    assert found.closure is not None
    assert found.closure.value == pytest.approx((4.0 + 0.1 + 0.5 - 4.2) * 1e-3)
    for lacking in range(1, 5):
        here = job(*(each for n, each in enumerate(told) if n != lacking))
        name = told[lacking][0].removeprefix("coolant.")
        without = coolant.fluid_balance(RULES, here)
        assert without.closure is None
        assert list(without.not_measured) == [name]
    # More came out in two rounds than the system holds at once.
    twice = job(*told, AGAIN, THREE, ("coolant.filled", "3", "L"), ("coolant.spilled", "0", "L"),
                ("coolant.missing_before", "0", "L"))  # fmt: skip
    both = coolant.fluid_balance(RULES, twice)
    assert both.closure is not None
    assert both.closure.value == pytest.approx((4.6 - 4.2) * 1e-3)


def test_a_vacuum_fill_takes_what_the_last_needles_left_free() -> None:
    told = (CAR[0], FOUR, ("coolant.missing_before", "0", "L"), ("place.altitude", "0", "m"))
    needles = log(*told)
    # The pump still draws at the first; of the last five, one is read too deep and one too shallow.
    for needle in ("70", "85", "88", "85", "82", "85"):
        needles.now += 60.0
        needles.add("reading", "vacuum.pressure", needle, "kPa")
    found = coolant.uptake(RULES, fold(RULES, needles.events))
    assert found is not None
    # Boyle: what is left of the air at 101.325 less 85 kPa is squeezed to that share of its room.
    assert found.air_left == pytest.approx(4e-3 * (101.325 - 85.0) / 101.325, rel=0.15)
    assert found.judgement is None
    needles.add("fact", "coolant.filled", "3.4", "L")
    measured = coolant.uptake(RULES, fold(RULES, needles.events))
    assert measured is not None
    assert measured.judgement is not None
    assert coolant.uptake(RULES, job(*told)) is None
    high = log(*told[:3], ("place.altitude", "2000", "m"), ("vacuum.pressure", "75", "kPa"))
    thin = coolant.uptake(RULES, fold(RULES, high.events))
    assert thin is not None
    here = air.pressure(2000.0)
    assert here == pytest.approx(79495.0, rel=1e-3)  # ISO 2533, 2000 m
    assert thin.air_left == pytest.approx(4e-3 * (79.495 - 75.0) / 79.495, rel=0.6)
    assert coolant.uptake(RULES, job(told[0], ("vacuum.pressure", "75", "kPa"))) is None


def test_what_ran_out_of_the_transmission_is_its_mass_over_its_density() -> None:
    assert coolant.transmission(RULES, job()) is None
    found = coolant.transmission(RULES, job(("transmission.caught", "850", "g")))
    assert found is not None
    assert found.out.value == pytest.approx(1e-3, rel=0.05)


LIMIT = 115.0  # °C, common practice; limits/warmup.toml


def test_the_hottest_that_nobody_has_explained_is_dangerous() -> None:
    made = log(("warm.coolant", "90", "°C"))
    assert danger.too_hot(RULES, fold(RULES, made.events)) is None
    for degrees in (f"{LIMIT:g}", "118", "116"):
        made.now += 60.0
        made.add("reading", "warm.coolant", degrees, "°C")
    hot = danger.too_hot(RULES, fold(RULES, made.events))
    assert hot is not None
    assert hot.event.typed == "118"
    made.add("fact", "hot.happened", "Fan stood still")
    assert danger.too_hot(RULES, fold(RULES, made.events)) is None
    made.now += 60.0
    made.add("reading", "warm.coolant", "117", "°C")
    hot = danger.too_hot(RULES, fold(RULES, made.events))
    assert hot is not None
    assert hot.event.typed == "117"  # since then
    made.add("fact", "road.hottest", "119", "°C")
    hot = danger.too_hot(RULES, fold(RULES, made.events))
    assert hot is not None
    assert hot.event.typed == "119"
    edge = log(("road.hottest", f"{LIMIT:g}", "°C"))
    assert danger.too_hot(RULES, fold(RULES, edge.events)) is None
    above = log(("warm.coolant", "116", "°C"), AGAIN)
    assert danger.too_hot(RULES, fold(RULES, above.events)) is not None  # put away, not forgotten
    cold = log(("hot.happened", "not done"), ("road.hottest", "116", "°C"))
    assert danger.too_hot(RULES, fold(RULES, cold.events)) is not None


def test_what_stands_open_or_under_pressure() -> None:
    assert not is_open(RULES, job())
    assert is_open(RULES, job(("part.radiator", "off")))
    assert not is_open(RULES, job(("part.radiator", "off"), ("part.radiator", "on"),
                                  ("coolant.filled", "4", "L")))  # fmt: skip
    assert is_open(RULES, job(("tester.fitted",)))


def test_the_course_of_a_job_is_each_entry_with_the_job_before_it() -> None:
    made = log(("car.name", "Heron"), ("car.name", "Lark"), ("car.capacity", "9000", "L"))
    here = fold(RULES, made.events)
    steps = list(course(RULES, here))
    assert [entry.event.typed for _, entry in steps][1:] == ["Heron", "Lark", "9000"]
    assert steps[0][0] is EMPTY
    assert [before.value("car.name") for before, _ in steps] == [None, None, "Heron", "Lark"]
    assert [entry.outcome for _, entry in steps] == ["accepted"] * 3 + ["refused"]
    assert steps[-1][1].words == here.troubles["car.capacity"].words
    assert plain(here.troubles["car.capacity"].accepted) in steps[-1][1].words


def test_a_broken_entry_is_kept_as_it_was_written_and_what_comes_behind_it_waits() -> None:
    made = log(("car.name", "Heron"))
    poison = {**made.add("fact", "car.name", "Lärche"), "mono": "x"}
    made.events[-1] = poison
    made.add("fact", "car.name", "Größe")
    here = fold(RULES, made.events)
    assert here.broken is not None
    assert "Lärche" in here.broken[0]
    assert json.loads(here.broken[0]) == poison
    assert "has no number “mono”" in here.broken.words
    assert [json.loads(text)["typed"] for text in here.waiting] == ["Größe"]
    assert "Größe" in here.waiting[0]
    made.add("undo", "car.name", supersedes=poison["id"])
    mended = fold(RULES, made.events)
    assert (mended.broken, list(mended.waiting)) == (None, [])
    assert mended.value("car.name") == "Größe"
    assert mended.seen[poison["id"]] == "superseded"


def test_words_of_an_opening_that_is_none() -> None:
    for change, words in (
        ({"kind": "fact", "field": "car.name", "typed": "Heron"}, "was not opened"),
        ({"kind": "opened", "field": "rules.no_such", "typed": "x"}, "no procedure “no_such”"),
    ):
        made = Logbook()
        made.events[0] |= change
        here = fold(RULES, made.events)
        (trouble,) = here.troubles.values()
        assert words in trouble.words
        assert here.id == ""
    made = Logbook()
    made.add("opened", "rules", "x")
    assert "open already" in next(iter(fold(RULES, made.events).troubles.values())).words
    made = Logbook()
    made.add("fact", "car.name", "Heron")["job"] = "job-2"
    assert "another job" in next(iter(fold(RULES, made.events).troubles.values())).words


def test_a_picture_of_a_part_leaves_the_part_as_it_was() -> None:
    made = log(("part.radiator", "off"))
    made.add("photo", "part.radiator", "picture-1")
    made.add("photo", "part.radiator", "picture-2")
    made.add("photo", "finding.photo_wet", "picture-3")
    here = fold(RULES, made.events)
    assert here.value("part.radiator") == "off"
    assert list(here.photos["part.radiator"]) == ["picture-1", "picture-2"]
    assert list(here.photos["finding.photo_wet"]) == ["picture-3"]
    assert here.value("finding.photo_wet") == "yes"


def test_a_part_of_one_s_own_is_off_by_its_name_and_a_note_changes_no_other() -> None:
    made = log(("part.radiator", "off"), ("part.radiator", "on"))
    made.add("note", "part.radiator", " shelf  2 ")
    made.add("note", "part.own_1", "Skid plate")
    here = fold(RULES, made.events)
    assert (here.value("part.radiator"), here.value("part.own_1")) == ("on", "off")
    assert (here.notes["part.radiator"], here.notes["part.own_1"]) == ("shelf 2", "Skid plate")


def test_a_stop_stands_until_something_else_is_stored() -> None:
    made = log(("car.name", "Heron"))
    made.add("stopped", "gate.cold", "Boiling")
    here = fold(RULES, made.events)
    assert here.stopped is not None
    assert here.stopped.typed == "Boiling"
    made.add("resumed", "app.resumed")
    assert fold(RULES, made.events).stopped is not None
    made.add("fact", "car.name", "Heron 2")
    assert fold(RULES, made.events).stopped is None
    made.add("stopped", "gate.cold", " ")
    assert "gate.cold" in fold(RULES, made.events).troubles


def test_evidence_of_a_gate_is_missing_stale_or_fresh() -> None:
    gate = RULES.gates["cold"]
    made = Logbook()

    def stands() -> tuple[bool | None, tuple[str, ...], tuple[str, ...]]:
        here = fold(RULES, made.events)
        found = gate_state(RULES, here, gate, here.log[-1].event.moment)
        return found.open, found.stale, found.missing

    assert stands() == (None, (), gate.evidence)
    made.add("fact", "coolant.temperature", "20", "°C")
    assert stands()[2] == tuple(n for n in gate.evidence if n != "coolant.temperature")
    made.add("fact", "system.pressure_sign", "hose_soft")
    assert stands() == (True, (), ())
    made.now += 60.0
    made.add("mark", "engine.ran")
    assert stands() == (None, gate.evidence, ())
    made.now += 60.0
    made.add("fact", "coolant.temperature", "60", "°C")
    made.add("fact", "system.pressure_sign", "hose_soft")
    assert stands() == (False, (), ())


def test_shut_gates_and_features_and_tools_reach_the_ranking() -> None:
    here = job(("car.features", "none") if "none" in RULES.fields["car.features"].options
               else ("car.features", RULES.fields["car.features"].options[0]))  # fmt: skip
    now = here.log[-1].event.moment
    assert observed.rank(RULES, here, now).causes
    assert observed.several(here, "find.onset") is None
    assert observed.knowledge(RULES) is observed.knowledge(RULES)
    with pytest.raises(Refusal):
        coolant.fluid_balance(RULES, job(("coolant.drained", "9", "L"), ("car.capacity", "1", "L")))
