"""Figures of the pages: scales, prices, levels, fluids, pads, each reckoned by hand."""

from __future__ import annotations

import itertools

import pytest

from tests.screen.hand.told import word
from tests.screen.test_pages_edges import (
    NBSP,
    RULES,
    SHOW,
    SHOWS,
    Json,
    job,
    kinds,
    log,
    rows,
    shown_by,
    table,
)
from weeptrace.job.advance import fold
from weeptrace.job.state import Job
from weeptrace.screen import parts
from weeptrace.screen.figures import clock, day, minutes, two_figures
from weeptrace.screen.pages import (
    cap,
    drive,
    gate,
    mix,
    price,
    recheck,
    reopen,
    signature,
    tester,
    uptake,
    watch,
)

ENGINE = RULES.fields["coolant.temperature"]
EDGE = ("<", 50.0 + 273.15)


@pytest.mark.parametrize(
    ("degrees", "low", "high", "major"),
    [
        # The edge is 50 °C; three steps below and four above it stay on the scale at least.
        ("20", 10.0, 100.0, 10.0), ("49", 10.0, 100.0, 10.0), ("95", 10.0, 100.0, 10.0),
        ("110", 10.0, 120.0, 20.0), ("10", 0.0, 100.0, 20.0),
    ],
)  # fmt: skip
def test_the_scale_of_the_cool_down_holds_the_reading_and_the_edge(
    degrees: str, low: float, high: float, major: float
) -> None:
    made = gate._scale(SHOW, ENGINE, float(degrees) + 273.15, EDGE, "now")
    assert (made["low"], made["high"], made["major"]) == (low, high, major)
    assert made["minor"] == 2.0
    assert made["limit"] == {"at": pytest.approx(50.0), "words": word("shut.open_below")}
    assert made["marks"] == [{"at": pytest.approx(float(degrees)), "words": "now", "filled": True}]
    assert made["sentence"].replace(NBSP, " ").startswith(f"Now {degrees} °C; ")
    fahrenheit = gate._scale(SHOWS["psi"], ENGINE, float(degrees) + 273.15, EDGE, "now")
    assert fahrenheit["limit"]["at"] == pytest.approx(122.0)
    assert fahrenheit["low"] % 20.0 == fahrenheit["high"] % 20.0 == 0.0


def test_a_price_is_hours_by_the_hour_and_parts() -> None:
    at = shown_by("price")
    assert price.lines(SHOW, job()) == []
    told = (("quote.hours", "2.5", "h"), ("shop.rate", "80", "1"), ("quote.parts", "120", "1"),
            ("shop.currency", "EUR"))  # fmt: skip
    ((words, total),) = price.lines(SHOW, job(*told))
    parts_word = word("field.quote.parts")
    assert words.replace(NBSP, " ") == f"2.5 h at 80: 200, {parts_word}: 120"
    assert total.replace(NBSP, " ") == "320 EUR"
    assert price.lines(SHOW, job(*told[:2])) == [[f"2.5{NBSP}h at 80: 200", "200"]]
    assert price.lines(SHOW, job(told[2])) == [[f"{parts_word}: 120", "120"]]
    assert price.lines(SHOW, job(told[0])) == []
    body, _ = price.blocks(SHOW, job(("repair.kind", "cap"), *told), at)
    heads = [row[0] for row in table(body)]
    assert heads[1:] == [
        word(f"screen.{id}") for id in ("hours_usual", "price_half", "price_ceiling")
    ]
    # Usual for a cap: 60 + 70 + 10 + 20 + 15 + 5 + 10 min, as its phases say (common practice).
    usual = table(body)[1][1]
    assert usual == "3.2 h (1.8 to 7.4 h)"


@pytest.mark.parametrize(
    ("how", "after", "shape"),
    [("vacuum", "10", "done"), ("vacuum", "-10", "stop"), ("open_neck", "-10", "done"),
     ("open_neck", "-40", "stop")],
)  # fmt: skip
def test_a_level_that_fell_by_more_than_the_air_that_leaves_is_told(
    how: str, after: str, shape: str
) -> None:
    """150 mL after a vacuum fill, 500 mL after pouring (common practice; limits/level.toml)."""
    told = (("fill.how", how), ("coolant.drained", "4", "L"), ("recheck.before", "20", "mm"),
            ("recheck.after", after, "mm"), ("watch.area", "100", "cm²"))  # fmt: skip
    here = fold(RULES, log(*told).events)
    assert not here.troubles, here.troubles
    fell = (20.0 - float(after)) * 10.0  # mL: 1 mm on 100 cm2 are 10 mL
    assert recheck.change(here) == pytest.approx(fell * 1e-6)
    body, foot = recheck.blocks(SHOW, here, shown_by("recheck"))
    made = rows(body)[-1]
    assert (made[0], made[1], made[3]) == (shape, word("screen.level_change"), f"{fell:.0f} mL")
    most = {"vacuum": 150, "open_neck": 500}[how]
    lines = [f"{word('screen.level_expected')} {most} mL."]
    assert made[2] == lines + ([word("screen.level_more")] if shape == "stop" else [])
    assert foot["main"]["do"]["event"] == parts.event("recheck.seen", "done")
    for lacking in range(2, 5):
        some = fold(RULES, log(*(t for n, t in enumerate(told) if n != lacking)).events)
        assert recheck.change(some) is None


def test_figures_of_a_watch_are_typed_anew_in_their_place() -> None:
    here = job(("watch.area", "100", "cm²"))
    level, area = watch.rows(SHOW, here, ("watch.level", "watch.area"))
    assert (level["shape"], level["figure"]) == ("not_measured", "not measured")
    assert (area["shape"], area["figure"]) == ("done", f"100{NBSP}cm²")
    assert "supersedes" not in level["do"]["pad"]["event"]
    assert area["do"]["pad"]["event"]["supersedes"] == here.facts["watch.area"].event.id
    assert level["word"] == word("field.watch.level")


def test_the_shop_s_adapters_stand_between_commas() -> None:
    assert tester.adapters(job()) == []
    here = job(("tester.adapters", "Neck, wide ,, Cap 12 , "))
    assert tester.adapters(here) == ["Neck", "wide", "Cap 12"]
    body, foot = tester.adapter_blocks(SHOW, here, shown_by("adapter"))
    assert kinds(body) == ["title", "prompt", "choice", "text"]
    assert [r["do"]["event"]["typed"] for r in body[2]["rows"]] == ["Neck", "wide", "Cap 12"]
    assert body[3]["label"] == word("screen.another_adapter")
    assert body[3]["longest"] == RULES.fields["tester.adapter"].longest
    assert foot["main"] is None
    body, _ = tester.adapter_blocks(SHOW, job(), shown_by("adapter"))
    assert kinds(body) == ["title", "prompt", "text"]
    assert body[2]["label"] == word("field.tester.adapter")


def test_what_still_leaks_is_named_before_the_search_begins_anew() -> None:
    at = shown_by("reopen")
    for told, names in (
        ((("after.old_place", "wet"), ("after.other", "none")), ["after.old_place"]),
        ((("after.old_place", "dry"), ("after.other", "found")), ["after.other"]),
        (
            (("after.old_place", "wet"), ("after.other", "found")),
            ["after.old_place", "after.other"],
        ),
    ):
        body, foot = reopen.blocks(SHOW, job(*told), at)
        made = rows(body)
        assert [r[1] for r in made[1:]] == [word(f"field.{n}") for n in names]
        assert {r[0] for r in made} == {"stop"}
        assert made[0][1:3] == (word("screen.reopen_stop"), [word("screen.reopen_keeps")])
        assert foot["main"]["do"]["event"] == parts.event("work.reopened", "mark")
        assert foot["keys"][0]["do"]["reason"]["field"] == "work.left_leaking"


def test_what_is_signed_for_stands_over_the_place_to_sign() -> None:
    at = shown_by("signature")
    body, foot = signature.blocks(SHOW, job(), at)
    assert (kinds(body)[-1], "table" in kinds(body)) == ("signature", False)
    assert (body[-1]["label"], foot["main"]) == ("", None)
    told = (("quote.total", "480", "1"), ("quote.ceiling", "560", "1"), ("shop.currency", "EUR"),
            ("consent.who", "R. Sand"))  # fmt: skip
    body, _ = signature.blocks(SHOW, job(*told), at)
    assert table(body) == [
        [word("field.quote.total"), "480 EUR"], [word("field.quote.ceiling"), "560 EUR"]
    ]  # fmt: skip
    assert body[-1]["label"] == "R. Sand"
    assert body[-1]["event"] == parts.event(str(at.asks), "photo")
    body, _ = signature.blocks(SHOW, job(told[0], ("quote.ceiling", "not done")), at)
    assert table(body) == [[word("field.quote.total"), "480"]]


def test_the_cap_s_figures_are_shares_of_its_rating() -> None:
    assert cap.figures(SHOW, job()) == []
    told = (("car.cap_rating", "100", "kPa"), ("cap.opening_1", "96", "kPa"),
            ("cap.opening_3", "97.5", "kPa"))  # fmt: skip
    made = [[c.replace(NBSP, " ") for c in row] for row in cap.figures(SHOW, job(*told))]
    # Held at 80 %, sound from 10 % below to 15 % above (common practice; limits/cap.toml).
    assert [row[1] for row in made] == ["100 kPa", "80 kPa", "96 kPa, 97.5 kPa", "90 to 115 kPa"]
    assert [row[0] for row in made] == [
        word(f"screen.cap_{id}") for id in ("print", "target", "opened", "allowed")
    ]
    assert cap.figures(SHOW, job(told[0]))[2][1] == "not measured"


def test_drive_or_tow_by_a_word_alone_where_no_loss_is_known() -> None:
    at = shown_by("drive")
    first = rows(drive.blocks(SHOW, job(), at)[0])[0]
    assert first[:3] == ("not_measured", word("decision.not_judged"), [word("decision.no_rate")])
    said = (("drive.oil_mixed", "yes"), ("drive.cabin_film", "yes"), ("drive.not_secure", "no"))
    first = rows(drive.blocks(SHOW, job(*said), at)[0])[0]
    both = f"{word('field.drive.oil_mixed')}; {word('field.drive.cabin_film')}"
    assert first[:3] == ("stop", word("decision.tow"), [both])
    loss = (("owner.rate", "0.3", "L/1000 km"), ("car.reserve", "600", "mL"))
    first = rows(drive.blocks(SHOW, job(*loss, said[0]), at)[0])[0]
    assert first[:2] == ("stop", word("decision.tow"))
    assert first[2][1] == f"{word('screen.drive_to_low')} 50.0 h."  # 600 mL at 0.2 mL/min
    body, foot = drive.blocks(SHOW, job(*loss), at)
    assert kinds(body) == [
        "title",
        "state",
        "prompt",
        "checklist",
        "state",
        "state",
        "heading",
        "choice",
    ]
    assert (foot["main"], foot["keys"]) == (None, [])


def test_a_mix_without_its_figures_is_not_guessed() -> None:
    at = shown_by("mix")
    body, foot = mix.blocks(SHOW, job(), at)
    needed = ("car.capacity", "coolant.drained", "coolant.residual_strength",
              "coolant.target_strength", "coolant.at_hand")  # fmt: skip
    assert [r[1] for r in rows(body)] == [word(f"field.{n}") for n in needed]
    assert {(r[0], r[3], r[4]) for r in rows(body)} == {("not_measured", "not measured", True)}
    assert foot["main"]["label"] == f"{word(f'step.{at.id}.main')} without a plan"
    ((_, why),) = mix.rows(SHOW, job())
    assert why == f"not made: {', '.join(word(f'field.{n}') for n in needed)} not measured"
    told = (("car.capacity", "8", "L"), ("coolant.drained", "4", "L"),
            ("coolant.residual_strength", "40", "%"), ("coolant.target_strength", "50", "%"),
            ("coolant.at_hand", "concentrate"))  # fmt: skip
    body, foot = mix.blocks(SHOW, job(*told), at)
    # 8 L at 50 % hold 4 L of glycol; 4 L at 40 % bring 1.6 L: 2.4 L of concentrate, 1.6 L of water.
    tank = next(b for b in body if b["block"] == "picture")
    assert [(p["value"], p["pattern"]) for p in tank["parts"]] == [
        ("4.00", "hatched"), ("2.40", "solid"), ("1.60", "dotted")
    ]  # fmt: skip
    assert (tank["high"], tank["major"]) == (pytest.approx(8.0), 2.0)
    assert body[0]["text"].replace(NBSP, " ") == "Mix 4.00 L"
    assert body[0]["count"].replace(NBSP, " ") == "to 50 %"
    assert dict(mix.rows(SHOW, job(*told)))["Mix plan"].replace(NBSP, " ") == (
        "2.40 L concentrate, 1.60 L water"
    )
    # Glycol not known: no freeze point.
    assert rows(body)[-1][:2] == ("not_measured", "Freeze point")


@pytest.mark.parametrize(("ready", "shape"), [(None, "now"), ("12", "done"), ("1", "stop")])
def test_a_vacuum_fill_says_whether_enough_stands_ready(ready: str | None, shape: str) -> None:
    told = [("car.capacity", "8", "L"), ("coolant.drained", "4", "L"),
            ("coolant.missing_before", "0", "L"), ("place.altitude", "0", "m")]  # fmt: skip
    if ready is not None:
        told.append(("fill.container", ready, "L"))
    stored = log(*told)
    stored.now += 60.0
    stored.add("reading", "vacuum.pressure", "85", "kPa")
    here = fold(RULES, stored.events)
    assert not here.troubles, here.troubles
    body, foot = uptake.blocks(SHOW, here, shown_by("uptake"))
    made = rows(body)[0]
    assert made[0] == shape
    assert made[1].endswith(" must be ready")
    if ready is not None and shape == "done":
        assert made[3] == "12.00 L is there"
    if shape == "stop":
        assert made[2][0].startswith("1.00 L is there, ")
        assert made[2][1] == word("screen.join_containers")
    empty, takes, air = table(body)
    assert empty == ["Empty before the fill", "4.00 L"]
    took, left = (float(row[1].split(" ")[0]) for row in (takes, air))
    # A sixth of the air is left at 85 of 101.3 kPa, as the sea has it: it is squeezed again.
    assert left == pytest.approx(4.0 * (101.325 - 85.0) / 101.325, rel=0.15)
    assert took == pytest.approx(4.0 - left, rel=0.05)
    assert foot["main"]["do"]["event"] == parts.event("fill.plan_seen", "done")
    lacking, _ = uptake.blocks(SHOW, job(), shown_by("uptake"))
    assert rows(lacking)[0][:2] == ("not_measured", "Not known what it will take")


def test_clock_words() -> None:
    at = "2026-11-25T14:58:30+01:00"
    assert (clock(at), clock(at, 90.0), day(at)) == ("14:58", "15:00", "2026-11-25")
    assert [minutes(s) for s in (0.0, 59.4, 59.6, 61.0, 3600.0)] == [
        "0:00", "0:59", "1:00", "1:01", "60:00"
    ]  # fmt: skip
    assert [two_figures(v) for v in (-1.0, 0.0, 0.994, 0.996, 99.4, 0.0123)] == [
        "0", "0", "0.99", "1.0", "99", "0.012"
    ]  # fmt: skip
    for units, words in (("kpa", "10 °C"), ("psi", "18 °F")):
        assert SHOWS[units].difference(10.0).replace(NBSP, " ") == words


def pad(made: Job, field: str, units: str = "kpa") -> Json:
    return parts.pad(SHOWS[units], made, RULES.fields[field])


def test_a_pad_says_unit_range_division_and_last_reading() -> None:
    stored = log(
        ("car.cap_rating", "110", "kPa"), ("tester.division", "2", "kPa"),
        ("tester.span", "160", "kPa"),
    )  # fmt: skip
    for count, needle in enumerate(("110", "109", "108", "107")):
        here = fold(RULES, stored.events)
        made = pad(here, "hold.pressure")
        assert (made["unit"], made["division"], made["step"]) == ("kPa", 2.0, 1.0)
        assert made["hints"][-2:] == ["division 2", "rating 110"]
        assert (made["last"] is None, made["same_as_last"]) == (count == 0, count >= 3)
        stored.now += 60.0
        stored.add("reading", "hold.pressure", needle, "kPa")
    here = fold(RULES, stored.events)
    assert pad(here, "hold.pressure")["last"] == {"typed": "107", "value": pytest.approx(107.0)}
    psi = pad(here, "hold.pressure", "psi")
    assert psi["unit"] == "psi"
    assert psi["last"]["typed"] == f"{107.0 / 6.894757:.4g}"
    assert psi["division"] == pytest.approx(2.0 / 6.894757, abs=1e-6)
    assert psi["hints"][-1] == "rating 15.9"  # 15.95 psi, never told higher
    strokes = pad(here, "hold.strokes")
    assert (strokes["unit"], strokes["units"], strokes["step"]) == ("", [], 1.0)
    assert (strokes["division"], strokes["last"]) == (None, None)
    cold = pad(here, "place.ambient")
    assert cold["hints"] == ["range \N{MINUS SIGN}40 to 55"]
    assert cold["units"][0] == "°C"
    assert set(cold["units"]) >= {"°C", "°F"}
    assert (cold["signed"], cold["division"]) == (True, None)
    assert pad(here, "warm.coolant")["division"] is None  # a thermometer is no gauge
    shop = job(("shop.target_strength", "50", "%"))
    assert pad(shop, "coolant.target_strength")["hints"][0] == f"{word('screen.usual')} 50"


def test_sides_of_keys_and_rows() -> None:
    assert parts.key("a", {"look": ""}) == {
        "label": "a", "sub": None, "icon": None, "do": {"look": ""}
    }  # fmt: skip
    assert parts.state("done", "a") == {
        "block": "state", "shape": "done", "word": "a", "lines": [], "figure": "", "framed": False
    }  # fmt: skip
    field = RULES.fields["coolant.at_hand"]
    made = parts.choice(RULES, field, field.options[1])
    subs = [row["sub"] for row in made["rows"]]
    assert subs[1] == word("screen.usual")
    assert [s == word("screen.usual") for s in subs].count(True) == 1
    assert [row["do"]["event"]["typed"] for row in made["rows"]] == list(field.options)
    assert not any(row["chosen"] for row in made["rows"])
    assert list(itertools.chain(*table([parts.table([["a", "b"]])]))) == ["a", "b"]


@pytest.mark.parametrize(
    ("value", "top", "bottom"),
    [(2e6, "2000000", "2000000"), (16404.2, "16404", "16405"), (0.0, "0", "0"),
     (-1312.34, "\N{MINUS SIGN}1313", "\N{MINUS SIGN}1312"), (2.90075, "2.9", "2.91"),
     (-0.001, "\N{MINUS SIGN}0.01", "0"), (55.0, "55", "55"), (101.526, "101.52", "101.53")],
)  # fmt: skip
def test_an_end_of_a_range_is_never_told_outside_it(value: float, top: str, bottom: str) -> None:
    assert (parts._neat(value), parts._neat(value, up=True)) == (top, bottom)
