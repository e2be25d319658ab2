"""Pages of their own: the tester's self-test, the zones, the price, dry air, the container."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.test_view import RULES, blocks, described, holding, mixing, refilling, view
from weeptrace import bridge
from weeptrace.job.advance import fold
from weeptrace.job.holds import DRY, assess, hold
from weeptrace.rules import steps
from weeptrace.screen.pages import index


def test_the_pages_that_a_step_may_name_are_those_that_the_screen_draws() -> None:
    assert set(index.PAGES) == set(steps.PAGES)
    assert len(steps.PAGES) == len(set(steps.PAGES))


def at_the_self_test(fall: str, unit: str = "kPa", division: str = "2") -> Logbook:
    log = described()
    log.add("mark", "tester.self_again")
    log.add("fact", "tester.division", division, "kPa")
    log.add("fact", "tester.self_fall", fall, unit)
    return log


@pytest.mark.parametrize(
    ("fall", "sound"), [("0", True), ("0.99", True), ("1", True), ("1.01", False), ("5", False)]
)
def test_a_tester_that_falls_more_than_half_a_division_is_mended_first(
    fall: str, sound: bool
) -> None:
    # Half a division is what a needle is read to (common practice).
    log = at_the_self_test(fall)
    made = view(log)
    assert made["step"] == "tester_result"
    (row,) = blocks(made, "state")
    assert row["shape"] == ("done" if sound else "stop")
    log.add("done", "tester.self_seen")
    assert (view(log)["step"] != "tester_result") == sound
    if not sound:
        assert made["foot"]["main"]["label"] == "Test it again"
        log.add("fact", "tester.used_leaking", "no other one today")
        assert view(log)["step"] != "tester_result"


def test_a_tester_that_was_not_tested_today_counts_as_it_was_at_the_bench() -> None:
    log = holding("110", "109", "108", "108", "107", "107")
    log.add("mark", "tester.self_again")
    log.add("not_done", "tester.self_fall")
    job = fold(RULES, log.events)
    made = hold(RULES, job, job.present("hold.pressure"))
    assert made is not None
    assert made.self_leak is None
    log.add("fact", "tester.own_fall", "0.9", "kPa")
    job = fold(RULES, log.events)
    made = hold(RULES, job, job.present("hold.pressure"))
    assert made is not None
    assert made.self_leak == pytest.approx(900.0 / 180.0)  # Pa/s: 0.9 kPa in three minutes


def test_adapters_of_the_shop_are_offered_and_another_may_be_typed() -> None:
    log = Logbook()
    log.describe_car()
    adapter = next(event for event in log.events if event["field"] == "tester.adapter")
    log.add("done", "fan.off")
    log.add("undo", "tester.adapter", supersedes=adapter["id"])
    assert not blocks(view(log), "choice")
    log.add("fact", "tester.adapters", "Neck wide, , Reservoir thread ")
    made = view(log)
    (choice,) = blocks(made, "choice")
    assert [row["label"] for row in choice["rows"]] == ["Neck wide", "Reservoir thread"]
    assert blocks(made, "text")[0]["label"] == "Another adapter"


def test_what_was_entered_once_keeps_the_day_on_which_it_was_measured() -> None:
    log = Logbook(job="shop")
    log.events.clear()
    log.add("opened", "rules.shop", "test")
    log.add("fact", "tester.own_fall", "0.5", "kPa", at=100.0)
    (event,) = bridge._new({"events": log.events})["events"]
    assert event["moment"] == log.moment(100.0)


def test_a_zone_goes_from_dry_to_wet_to_not_reachable_and_is_open_again() -> None:
    log = holding("110", "109", "109", "109", "109", "109")
    log.add("mark", "hold.ended")
    log.add("done", "hold.seen")

    def row() -> tuple[str, str]:
        made = view(log)
        assert made["step"] == "zones"
        first = blocks(made, "checklist")[0]["rows"][0]
        return first["shape"], first["figure"]

    seen = [row()]
    for _ in range(4):
        do = blocks(view(log), "checklist")[0]["rows"][0]["do"]["event"]
        log.add(do["kind"], do["field"], do["typed"], supersedes=do.get("supersedes"))
        seen.append(row())
    assert seen == [
        ("to_do", ""), ("done", "Dry"), ("now", "Wet"), ("not_done", "Not reachable"),
        ("to_do", ""),
    ]  # fmt: skip


def stays_below(share: float) -> float:
    """The money that this share of such jobs stays below, from PERT's mean and deviation.

    3.5 h likely, low and high as 201 and 780 to 347; 80 an hour; parts 310; each of five risks
    adds half an hour to one job in ten.
    """
    low, high = (3.5 * minutes / 347.0 for minutes in (201.0, 780.0))
    mean, sd = 310.0 + 80.0 * (low + 14.0 + high) / 6.0, 80.0 * (high - low) / 6.0

    def below(money: float) -> float:
        return sum(
            math.comb(5, n) * 0.1**n * 0.9 ** (5 - n) * NormalDist(mean + 40.0 * n, sd).cdf(money)
            for n in range(6)
        )

    return next(money / 10.0 for money in range(10**5) if below(money / 10.0) >= share)


def test_the_price_is_typed_beside_what_hours_and_parts_come_to() -> None:
    log = refilling()
    for name in ("shop.rate", "shop.currency"):
        log.add("fact", name, {"shop.rate": "80", "shop.currency": "EUR"}[name], None)
    price = next(event for event in log.events if event["field"] == "quote.total")
    log.add("undo", "quote.total", supersedes=price["id"])
    made = view(log)
    assert made["step"] == "quote_total"
    (table,) = blocks(made, "table")
    # 3.5 h at 80 is 280; with 310 for parts, 590.
    assert [[words.replace("\xa0", " ") for words in row] for row in table["rows"]] == [
        ["3.5 h at 80: 280, Parts: 310", "590 EUR"],
        # Drain, lines, off … hand-over, their minutes added by hand: 201, 347 and 780.
        ["Usual time of these steps", "5.8 h (3.4 to 13.0 h)"],
        ["Half of such jobs stay below", f"{stays_below(0.5):.0f} EUR"],
        ["Eight in ten stay below", f"{stays_below(0.8):.0f} EUR"],
    ]
    (pad,) = blocks(made, "pad")
    assert pad["last"] is None


def test_dry_air_is_held_in_the_empty_system_and_judged_as_air() -> None:
    log = refilling()
    log.add("fact", "coolant.residual_strength", "35", "%")
    mixing(log)
    log.add("fact", "coolant.at_hand", "concentrate")
    log.add("done", "coolant.mixed")
    assert view(log)["step"] == "dry_wanted"
    log.add("fact", "dry.wanted", "dry_air")
    made = view(log)
    assert made["step"] == "dry_pump"
    assert made["foot"]["caution"] is not None
    log.add("done", "dry.pumped_up")
    assert view(log)["open"]
    # A drained volume of 4.3 L that loses 1 kPa a minute (air, about 43 mL/min): a gross opening.
    for minute in range(11):
        log.now += 60.0
        log.add("reading", "dry.pressure", f"{100 - minute}", "kPa")
    job = fold(RULES, log.events)
    found = assess(RULES, job, job.present(DRY))
    assert found.air_flow is not None
    # Boyle: 4.3 L x 1 kPa/min over 98.9 kPa of air at 190 m (ISO 2533: 99.06) is 43 mL/min.
    assert found.air_flow.value * 60e6 == pytest.approx(43.0, rel=0.1)
    log.add("mark", "dry.ended")
    assert view(log)["step"] == "dry_verdict"
    log.add("done", "dry.seen")
    assert view(log)["step"] == "dry_release"
    log.add("done", "dry.released")
    Hands(log).until("fill_up")


def test_the_eye_takes_over_from_the_measurement_but_never_skips_the_pressure() -> None:
    log = holding("110", "109", "108")
    log.add("fact", "work.route", "seen")
    assert view(log)["step"] == "place"
    log.add("fact", "finding.place", "upper_hose")
    log.add("not_done", "finding.photo_wet")
    log.add("fact", "finding.watch", "pressure")
    log.add("done", "finding.dried")
    log.add("fact", "finding.wet_again", "wet")
    log.add("not_done", "finding.photo_again")
    assert view(log)["step"] == "release"
