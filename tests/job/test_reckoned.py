"""What a job reckons from its facts for the conditions of the rules: each by plain arithmetic."""

from __future__ import annotations

import pytest

from tests.logbook import Logbook
from weeptrace.job.advance import fold
from weeptrace.job.car.parts import parts_out
from weeptrace.job.procedure import Known, done
from weeptrace.rules import load
from weeptrace.rules.conditions import Lookup

RULES = load()
OPENINGS = ("cap.opening_1", "cap.opening_2", "cap.opening_3")


def facts(*told: tuple[str, ...]) -> Logbook:
    """A log of facts: (field, typed) or (field, typed, unit); a mark by its field alone."""
    log = Logbook()
    for field, *typed in told:
        log.now += 5.0
        if typed:
            log.add("fact", field, typed[0], typed[1] if len(typed) > 1 else None)
        else:
            log.add("mark" if RULES.fields[field].kind == "mark" else "done", field)
    assert not fold(RULES, log.events).troubles, fold(RULES, log.events).troubles
    return log


def reckoned(log: Logbook) -> Lookup:
    return Known(RULES, fold(RULES, log.events)).__getitem__


@pytest.mark.parametrize(
    ("opened", "outside"),
    [
        # A cap of 110 kPa may open from 10 % below, 99 kPa, to 15 % above, 126.5 kPa.
        ((None, None, None), None),
        (("98.9", None, None), 1),
        ((None, "98.9", None), 1),
        ((None, None, "98.9"), 1),
        (("99.1", "126.4", "110"), 0),
        (("126.6", "110", "110"), 1),
        (("126.6", "98.9", "110"), 2),
        (("60", "150", "126.6"), 3),
    ],
)
def test_openings_are_counted_that_lie_outside_the_tolerance(
    opened: tuple[str | None, ...], outside: float | None
) -> None:
    told = [(f, n, "kPa") for f, n in zip(OPENINGS, opened, strict=True) if n is not None]
    assert reckoned(facts(*told))("cap.outside") is None
    assert reckoned(facts(("car.cap_rating", "110", "kPa"), *told))("cap.outside") == outside


@pytest.mark.parametrize(("rating", "low", "high"), [("100", "90", "115"), ("90", "81", "103.5")])
def test_an_opening_just_at_its_tolerance_is_within_it(rating: str, low: str, high: str) -> None:
    told = (
        ("car.cap_rating", rating, "kPa"),
        (OPENINGS[0], low, "kPa"),
        (OPENINGS[1], high, "kPa"),
    )
    assert reckoned(facts(*told))("cap.outside") == 0


def test_a_tester_s_own_fall_is_told_in_divisions_of_its_gauge() -> None:
    fall, division = ("tester.self_fall", "3", "kPa"), ("tester.division", "2", "kPa")
    assert reckoned(facts(fall))("tester.fall_in_divisions") is None
    assert reckoned(facts(division))("tester.fall_in_divisions") is None
    found = reckoned(facts(fall, division))("tester.fall_in_divisions")
    assert found == pytest.approx(3.0 / 2.0)


PRICE = (("quote.total", "480", "1"),)
CEILING = (*PRICE, ("quote.ceiling", "450", "1"))
HIGHER = (*CEILING, ("quote.ceiling_new", "500", "1"))
EXTRA = (("extra.found",), ("extra.price", "40", "1"))
BROKEN = (("broken.found",), ("broken.price", "25", "1"))


@pytest.mark.parametrize(
    ("told", "over"),
    [
        ((), None),
        (EXTRA, None),
        (PRICE, 0),  # without a ceiling the price is the ceiling
        (CEILING, 480 - 450),
        (HIGHER, 480 - 500),  # the owner's new ceiling is the one that holds
        ((*PRICE, *EXTRA), 40),
        ((*CEILING, *EXTRA), 480 + 40 - 450),
        ((*HIGHER, *BROKEN), 480 + 25 - 500),
        ((*HIGHER, *EXTRA, *BROKEN), 480 + 40 + 25 - 500),
        ((*HIGHER, *EXTRA, ("extra.how", "spoken")), 480 + 40 - 500),
        ((*HIGHER, *EXTRA, ("extra.how", "refused")), 480 - 500),
        ((*HIGHER, *BROKEN, ("broken.how", "refused")), 480 - 500),
        ((*HIGHER, *EXTRA, *BROKEN, ("broken.how", "refused")), 480 + 40 - 500),
        ((*HIGHER, *EXTRA, *EXTRA), 480 + 2 * 40 - 500),
        ((*HIGHER, *EXTRA, ("extra.how", "refused"), *EXTRA), 480 + 40 - 500),
        ((*HIGHER, *EXTRA, ("work.reopened",), *PRICE), 0),  # a new price has its own add-ons
        ((*HIGHER, *EXTRA, ("work.reopened",), *PRICE, *BROKEN), 25),
    ],
)
def test_price_and_add_ons_over_the_ceiling(
    told: tuple[tuple[str, ...], ...], over: float | None
) -> None:
    assert reckoned(facts(*told))("quote.over") == over


AGAIN = ("work.reopened",)
CYLINDER = "drive.coolant_in_cylinder"


@pytest.mark.parametrize(
    ("told", "liquid"),
    [
        ((), 0),
        ((("test.cylinders", "wet"),), 1),
        ((("test.cylinders", "dry"),), 0),
        ((("test.cylinders", "not_looked"),), 0),
        ((("test.cylinders", "wet"), AGAIN, ("test.cylinders", "dry")), 0),
        ((("test.cylinders", "dry"), AGAIN, ("test.cylinders", "wet")), 1),
        ((("test.cylinders", "wet"), AGAIN), 1),
        ((("test.cylinders", "wet"), AGAIN, ("test.cylinders", "not_looked")), 1),
        ((("test.gas", "changed"),), 1),
        ((("test.gas", "not_changed"),), 0),
        ((("test.gas", "once_only"),), 0),
        ((("test.gas", "changed"), AGAIN, ("test.gas", "not_changed")), 1),
        ((("test.gas", "changed"), AGAIN, ("test.cylinders", "dry")), 1),
        (((CYLINDER, "yes"),), 1),
        (((CYLINDER, "no"),), 0),
        (((CYLINDER, "yes"), AGAIN, (CYLINDER, "yes")), 1),
        (((CYLINDER, "yes"), AGAIN, (CYLINDER, "no")), 0),
        (((CYLINDER, "no"), AGAIN, (CYLINDER, "yes")), 1),
    ],
)
def test_liquid_may_stand_in_a_cylinder_until_a_later_look_finds_all_dry(
    told: tuple[tuple[str, ...], ...], liquid: float
) -> None:
    assert reckoned(facts(*told))("seen.liquid") == liquid


def test_parts_that_are_off_are_counted_and_told_in_their_order() -> None:
    order = ("part.trim", "part.radiator", "part.lower_hose", "part.upper_hose")
    log = facts(*((part, "off") for part in order))
    assert [each.id for each in parts_out(RULES, fold(RULES, log.events))] == list(order)
    assert reckoned(log)("ledger.out") == 4
    # Radiator and hoses are needed before the engine may run, and coolant stands behind them.
    assert reckoned(log)("ledger.out_to_run") == 3
    assert reckoned(log)("ledger.opened") == 3
    log.add("fact", "part.radiator", "on")
    job = fold(RULES, log.events)
    assert [each.id for each in parts_out(RULES, job)] == [order[0], order[2], order[3]]
    look = reckoned(log)
    assert [look(f"ledger.{name}") for name in ("out", "out_to_run", "opened")] == [3, 2, 3]


@pytest.mark.parametrize(
    ("field", "name", "answer"),
    [
        ("coolant.filled", "ledger.unfilled", ("coolant.filled", "4", "L")),
        ("level.end", "ledger.unlevelled", ("level.end", "at_mark")),
    ],
)
def test_what_came_off_after_the_fill_is_not_filled(
    field: str, name: str, answer: tuple[str, ...]
) -> None:
    off = (("car.capacity", "7.6", "L"), ("part.upper_hose", "off"), ("part.lower_hose", "off"))
    assert reckoned(facts(off[0]))(name) == 0
    assert reckoned(facts(*off))(name) == 2  # nothing is filled yet
    log = facts(*off, answer)
    assert reckoned(log)(name) == 0
    log.add("fact", "part.upper_hose", "on")
    assert reckoned(log)(name) == 1
    log.add("fact", "part.trim", "off")  # no coolant behind it
    assert reckoned(log)(name) == 1
    log.add("fact", *answer)
    assert reckoned(log)(name) == 0
    log.add("not_done", field)
    assert reckoned(log)(name) == 2  # not measured after all


def test_a_step_of_several_ticks_is_done_with_the_last_of_them() -> None:
    steps = RULES.procedures["coolant_loss"].steps
    several = [s for s in steps if s.asks is None and s.done is None and len(s.checks) > 1]
    assert several
    for step in several:
        log = Logbook()
        for check in step.checks:
            assert not done(Known(RULES, fold(RULES, log.events)), step)
            log.add("done", check)
        assert done(Known(RULES, fold(RULES, log.events)), step)


NEEDLES = {
    "gross": ("110", "90", "74", "60", "49", "40", "33"),
    "falls": ("110", "75", "50", "40"),
    "at_once": ("134", "60", "16"),
    "still": ("110", "110", "109", "109", "109", "109", "109"),
}


def held(log: Logbook, field: str, needles: str) -> None:
    if field != "test.pressure":
        log.add("fact", f"{field.partition('.')[0]}.strokes", "20", "1")
    for needle in NEEDLES[needles]:
        log.now += 30.0
        log.add("reading", field, needle, "kPa")


@pytest.mark.parametrize("shape", ["gross", "at_once", "still"])
def test_a_gross_hold_of_this_round_is_gross(shape: str) -> None:
    log = Logbook()
    log.describe_car()
    assert reckoned(log)("hold.gross") == 0
    held(log, "hold.pressure", shape)
    assert reckoned(log)("hold.gross") == (shape != "still")
    log.add("done", "ledger.on_complete")  # repaired: the hold before it counts no more
    assert reckoned(log)("hold.gross") == 0
    held(log, "after.pressure", shape)
    assert reckoned(log)("hold.gross") == (shape != "still")


def test_after_the_repair_the_hold_after_it_counts_alone() -> None:
    log = Logbook()
    log.describe_car()
    held(log, "hold.pressure", "gross")
    assert reckoned(log)("hold.gross") == 1
    held(log, "after.pressure", "still")
    assert reckoned(log)("hold.gross") == 0


def test_another_test_forgets_no_gross_hold_of_an_earlier_one() -> None:
    log = Logbook()
    log.describe_car()
    held(log, "test.pressure", "falls")
    assert reckoned(log)("hold.gross") == 1
    log.add("mark", "test.again")
    held(log, "test.pressure", "still")
    assert reckoned(log)("hold.gross") == 1
    log.add("mark", "work.reopened")
    assert reckoned(log)("hold.gross") == 0  # of the round before
