"""Time, price, and how long the coolant lasts: what a job hands on, by plain arithmetic."""

from __future__ import annotations

import math

import pytest

from tests.logbook import Logbook
from weeptrace.job import lasts, quoted
from weeptrace.job.advance import fold
from weeptrace.job.state import Job
from weeptrace.rules import load

RULES = load()
# Minutes of one person, low, likely and high (common practice; procedures/coolant_loss/*.toml).
MINUTES = {
    "drain": (10, 15, 30), "lines": (10, 20, 45), "off": (30, 60, 150), "transfer": (8, 15, 30),
    "on": (35, 70, 170), "joints": (5, 10, 20), "mix": (3, 5, 15), "quality": (8, 15, 30),
    "fill": (8, 20, 60), "top_up": (10, 20, 45), "warm_up": (25, 35, 60), "proof": (15, 20, 40),
    "road": (15, 20, 40), "recheck": (10, 15, 30), "clean_up": (8, 12, 25), "follow": (3, 5, 15),
    "record": (8, 10, 20),
}  # fmt: skip
DRY = ["off", "on", "joints", "proof", "recheck", "follow", "record"]
WET = [name for name in MINUTES if name not in ("transfer", "top_up")]
LARGE = [name for name in MINUTES if name != "top_up"]


def job(*told: tuple[str, ...]) -> Job:
    log = Logbook()
    for field, *typed in told:
        log.add("fact", field, typed[0], typed[1] if len(typed) > 1 else None)
    made = fold(RULES, log.events)
    assert not made.troubles, made.troubles
    return made


@pytest.mark.parametrize(
    ("told", "names"),
    [
        ((("repair.kind", "cap"),), DRY),
        ((("repair.kind", "hose_or_clamp"), ("repair.opened", "reseated")), DRY),
        ((("repair.kind", "hose_or_clamp"), ("repair.opened", "opened")), WET),
        ((("repair.kind", "radiator"),), LARGE),
        ((("repair.kind", "water_pump"),), LARGE),
        # Its cooler holds the transmission's oil, which is topped up after it.
        ((("repair.kind", "radiator_with_cooler"),), list(MINUTES)),
        ((("repair.kind", "radiator"), ("transmission.caught", "200", "g")), list(MINUTES)),
        # What was refused is quoted as if the owner agrees.
        ((("repair.kind", "radiator"), ("consent.how", "refused")), LARGE),
    ],
)
def test_the_phases_that_follow_the_owner_s_yes(
    told: tuple[tuple[str, ...], ...], names: list[str]
) -> None:
    here = job(*told)
    made = [(each.id, each.time.low, each.time.likely, each.time.high)
            for each in quoted.phases(RULES, here)]  # fmt: skip
    assert made == [(name, *(60.0 * m for m in MINUTES[name])) for name in names]
    usual = quoted.usual(RULES, here)
    low, likely, high = (sum(MINUTES[name][end] for name in names) * 60.0 for end in range(3))
    assert (usual.low, usual.likely, usual.high) == (low, likely, high)


def test_without_an_hour_s_price_there_is_no_price() -> None:
    told = (("repair.kind", "cap"), ("quote.hours", "2", "h"), ("quote.parts", "50", "1"))
    assert quoted.quoted(RULES, job(*told)) is None


def test_a_price_of_hours_parts_and_risks() -> None:
    """PERT by hand: mean (a + 4 m + b) / 6, deviation (b - a) / 6 of each, as its source has it."""
    low, likely, high = (sum(MINUTES[name][end] for name in DRY) for end in range(3))
    rate = 120.0  # an hour
    told = (
        ("repair.kind", "cap"), ("shop.rate", "120", "1"), ("quote.hours", "2", "h"),
        ("quote.parts", "50", "1"), ("risk.brittle", "likely"), ("risk.aim", "unlikely"),
        ("quote.ceiling", "900", "1"),
    )  # fmt: skip
    made = quoted.quoted(RULES, job(*told))
    assert made is not None
    # Two hours stand for the likely time; the ends keep their ratio to it.
    ends = [2.0 * low / likely, 2.0, 2.0 * high / likely]
    hours = (ends[0] + 4.0 * ends[1] + ends[2]) / 6.0
    assert made.time == pytest.approx(3600.0 * hours)
    assert made.time_sd == pytest.approx(3600.0 * (ends[2] - ends[0]) / 6.0)
    (labour,), (part,) = made.labour, made.lines
    assert (labour.low, labour.high) == pytest.approx((rate * ends[0], rate * ends[2]))
    assert (part.low, part.mean, part.high, part.sd) == (50.0, 50.0, 50.0, 0.0)
    # Each risk: half an hour; likely 50 %, else 10 % (own choice; limits/quote.toml).
    added = {row.id: row.mean for row in made.contingencies}
    chances = {"fastener": 0.1, "fitting": 0.1, "brittle": 0.5, "more_wet": 0.1, "aim": 0.1}
    assert added == pytest.approx({f"risk.{n}": p * 0.5 * rate for n, p in chances.items()})
    assert made.may_be_added == pytest.approx(5 * 0.5 * rate)
    assert made.mean == pytest.approx(rate * hours + 50.0 + sum(chances.values()) * 0.5 * rate)
    assert made.authorised == "covers_ceiling"
    assert made.chance is not None
    assert made.chance > 0.99


def test_a_price_without_hours_goes_by_the_phases() -> None:
    made = quoted.quoted(RULES, job(("repair.kind", "cap"), ("shop.rate", "60", "1")))
    assert made is not None
    assert [row.id for row in made.labour] == DRY
    assert made.lines == ()
    assert made.authorised == "not_given"
    means = {n: (a + 4 * m + b) / 6 for n, (a, m, b) in MINUTES.items()}  # 60 an hour: 1 a minute
    assert {row.id: row.mean for row in made.labour} == pytest.approx(
        {name: means[name] for name in DRY}
    )
    assert made.mean == pytest.approx(sum(means[name] for name in DRY) + 5 * 0.1 * 30.0)
    # Any two phases go together by 0.3 (common practice; limits/quote.toml).
    sds = [(MINUTES[name][2] - MINUTES[name][0]) / 6 for name in DRY]
    square = 0.7 * sum(sd * sd for sd in sds) + 0.3 * sum(sds) ** 2
    assert made.time_sd == pytest.approx(60.0 * math.sqrt(square))


ASKED = (
    "oil_mixed", "transmission_oil_mixed", "coolant_in_cylinder", "combustion_gas", "cabin_film",
    "drip_on_exhaust_or_electrics", "high_voltage_loop", "not_secure",
)  # fmt: skip
SAFE = tuple((f"drive.{name}", "no") for name in ASKED)
CAR = (("car.capacity", "8", "L"), ("car.reserve", "0.6", "L"), ("drive.trip", "1", "h"))
OWNER = ("owner.rate", "0.3", "L/1000 km")


def test_without_a_loss_nothing_is_said_of_how_long_it_lasts() -> None:
    assert lasts.lasts(RULES, job(*CAR, *SAFE)) is None
    assert lasts.lasts(RULES, job(("owner.rate", "0", "L/1000 km"), *CAR, *SAFE)) is None


def test_what_the_owner_tells_lasts_by_division() -> None:
    """0.3 L/1000 km in 1500 min/1000 km are 0.2 mL/min: 600 mL to the mark last 3000 min."""
    said = lasts.lasts(RULES, job(OWNER, *CAR, *SAFE))
    assert said is not None
    assert said.to_low is not None
    assert said.to_low.value == pytest.approx(600.0 / 0.2 * 60.0)
    assert said.to_lost_circulation is not None
    # A fifth of 8 L (common practice; limits/loss.toml).
    assert said.to_lost_circulation.value == pytest.approx(0.2 * 8000.0 / 0.2 * 60.0)
    assert (said.decision, said.not_answered) == ("drive", ())


@pytest.mark.parametrize("name", ASKED)
def test_one_finding_is_enough_to_tow_and_one_open_question_not_to_judge(name: str) -> None:
    others = [each for each in SAFE if each[0] != f"drive.{name}"]
    said = lasts.lasts(RULES, job(OWNER, *CAR, *others, (f"drive.{name}", "yes")))
    assert said is not None
    assert (said.decision, said.reasons) == ("tow", (name,))
    said = lasts.lasts(RULES, job(OWNER, *CAR, *others))
    assert said is not None
    assert (said.decision, said.not_answered) == ("not_judged", (name,))


def test_what_is_not_known_of_the_car_permits_nothing() -> None:
    for left_out in range(3):
        some = [each for n, each in enumerate(CAR) if n != left_out]
        said = lasts.lasts(RULES, job(OWNER, *some, *SAFE))
        assert said is not None
        assert (said.to_low is None) == (left_out == 1)
        assert (said.to_lost_circulation is None) == (left_out == 0)
        assert said.decision == ("drive" if left_out == 0 else "not_judged")


def test_a_trip_of_more_than_half_the_time_is_not_driven() -> None:
    # 60 mL at 0.2 mL/min last 300 min; half of that are 2.5 h.
    for hours, decision in (("2.4", "drive"), ("2.6", "tow")):
        trip = (CAR[0], ("car.reserve", "60", "mL"), ("drive.trip", hours, "h"))
        said = lasts.lasts(RULES, job(OWNER, *trip, *SAFE))
        assert said is not None
        assert said.decision == decision


def test_what_the_hold_found_counts_beside_what_the_owner_tells() -> None:
    log = Logbook()
    log.describe_car()
    log.fit_the_tester("20")
    for needle in ("110", "105", "100", "96", "92", "88", "84"):
        log.read(needle)
    log.add("fact", "car.reserve", "0.6", "L")
    owners = lasts.lasts(RULES, job(("owner.rate", "0.35", "L/1000 km"), CAR[1]))
    both = lasts.lasts(RULES, fold(RULES, log.events))
    log.add("not_done", "owner.rate")
    held = lasts.lasts(RULES, fold(RULES, log.events))
    assert owners is not None
    assert owners.to_low is not None
    assert both is not None
    assert held is not None
    assert held.to_low is not None
    assert held.to_low.low < held.to_low.value < held.to_low.high  # as wide as the hold's own flow
    assert held.to_low.high < owners.to_low.value
    assert both.to_low == held.to_low  # the greater loss of the two is the safe one to go by
