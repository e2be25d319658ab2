"""The hand-over record as a file: whole, safe, honest about what was not measured."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from statistics import linear_regression

import pytest

from tests.logbook import Logbook
from tests.screen.records import (
    AFTER,
    BEFORE,
    RULES,
    add,
    headings,
    hold,
    measured,
    read,
    record,
    seen,
)

JPEG = "data:image/jpeg;base64,/9j/2Q=="


def test_the_parts_of_a_whole_record_stand_in_their_order() -> None:
    page = read(record(measured()))
    assert page.within("h1") == ["Coolant loss: hand-over record"]
    assert headings(page)[0].startswith("After the repair: no leak found larger than 0.")
    assert headings(page)[1:] == [
        "Car and complaint", "Cause and proof", "Holds before and after", "As found",
        "Quote and consent", "Parts off and on", "Coolant", "Fluid balance", "Warm-up",
        "After the work", "Level watch",
        "Not checked, not seen by these tests", "For the owner", "How the day went", "Tester",
        "Readings as typed",
    ]  # fmt: skip
    assert page.within("sign") == ["Technician", "Owner, received"]
    assert "record " in " ".join(page.within("footer"))
    assert page.within("footer", "b") == ["job-1"]
    assert ("meta", "name", "viewport") in page.attributes
    assert ("html", "lang", "en") in page.attributes


def test_what_was_told_and_found_beside_the_proof_is_kept() -> None:
    log = measured()
    page = read(record(log))
    found = page.within("found", "td")
    assert found[:2] == ["0 of 10 asked", "0 of 8 asked"]
    assert "Cap: New cap, same rating" in found
    assert any("Strength as found: 47\N{NO-BREAK SPACE}%" in row for row in found)
    add(log, (("fact", "told.smell", "no", None),))
    assert "1 of 10 asked; nothing found" in read(record(log)).within("found", "td")
    add(log, (("fact", "told.overheated", "to_the_stop", None),))
    told = read(record(log)).within("found", "td")[0]
    assert told == "2 of 10 asked; Overheated: Pegged hot, driven on"
    counted = "Fasteners off: 14\N{NO-BREAK SPACE}pieces; Fasteners on: 14\N{NO-BREAK SPACE}pieces"
    assert counted in page.within("after_work", "td")
    assert any("The cap is new" in line for line in page.within("owner", "li"))


def test_each_page_of_questions_says_in_its_own_words_that_all_was_sound() -> None:
    log = measured()
    add(log, (("fact", "kit.pan", "have", None), ("done", "kit.seen", "", None),
              ("fact", "drive.oil_mixed", "no", None), ("fact", "drive.decision", "drive", None),
              ("fact", "hand.bonnet", "done", None), ("done", "hand.seen", "", None)))  # fmt: skip
    page = read(record(log))
    heads, found = page.within("found", "th"), page.within("found", "td")
    rows = dict(zip(heads, found, strict=True))
    assert rows["Kit checked"] == "1 of 10 asked; all here"
    assert rows["Drive or tow"] == "Drives, watched"
    assert rows["Fit to drive"].endswith("asked; nothing found")
    assert "1 of 5 asked; all done" in page.within("after_work", "td")


def test_more_work_and_what_was_mended_before_are_never_lost() -> None:
    log = measured()
    add(log, (("mark", "extra.found", "", None), ("fact", "extra.what", "Belt is soaked", None),
              ("fact", "extra.price", "40", "1"), ("fact", "extra.who", "R. Sand", None),
              ("fact", "extra.how", "written", None),
              ("closed", "job.closed", "", None), ("mark", "work.reopened", "", None)))  # fmt: skip
    page = read(record(log))
    (mended,) = page.within("earlier", "td")
    assert "Repair: Radiator, no cooler in it" in mended
    assert "Price quoted: 480\N{NO-BREAK SPACE}EUR" in mended
    assert page.within("earlier", "th") == ["Radiator seam"]
    add(log, (("fact", "finding.place", "upper_hose", None),
              ("fact", "repair.kind", "hose_or_clamp", None)))  # fmt: skip
    work = " ".join(read(record(log)).within("quote", "td"))
    assert "Belt is soaked. More work, price: 40\N{NO-BREAK SPACE}EUR" in work
    assert "In writing, by message" in work


def test_the_edge_tells_how_far_the_job_is() -> None:
    page = read(record(measured()))
    assert page.within("edge", "now late") == ["Record"]
    assert len(page.within("edge", "behind")) + len(page.within("edge", "behind late")) == 32
    assert page.within("note") == ["Record so far, the job is not closed"]
    assert read(record(seen())).within("note") == []


def test_what_was_wrong_its_proof_and_the_work_are_told_with_their_times() -> None:
    page = read(record(measured()))
    assert "It only drips at night" in page.within("car", "td")
    cause = page.within("cause", "td")
    assert cause[0].startswith("Radiator seam, 14:")
    assert cause[1].startswith("Under pressure, 14:")
    assert cause[3].startswith("Wet again, 14:")
    parts = " ".join(page.within("parts", "td"))
    assert parts == (
        "14 of 14 points matched Under-tray; Upper hose; Radiator Condenser 10 of 10 points ticked"
    )
    quote = page.within("quote", "td")
    assert "3.5\N{NO-BREAK SPACE}h" in quote
    assert "310\N{NO-BREAK SPACE}EUR" in quote
    assert "480\N{NO-BREAK SPACE}EUR" in quote
    assert "560\N{NO-BREAK SPACE}EUR" in quote


def test_before_and_after_stand_on_equal_axes() -> None:
    html = record(measured())
    plots = re.findall(r'<svg class="plot".*?</svg>', html)
    assert len(plots) == 2
    before, after = (re.findall(r"<text[^>]*>[^<]*</text>", plot) for plot in plots)
    assert before == after
    assert len(before) >= 7
    for plot in plots:
        assert plot.count('class="read"') == 12
        assert 'class="fit"' in plot
        assert re.search(r'fill="url\(#(before|after)-band\)"', plot)
    captions = read(html).within("holds", "figcaption")
    # By hand (least squares through the twelve needles, minute by minute) it fell, and then hardly.
    minutes = range(12)
    for caption, name, needles in zip(captions, ("before", "after"), (BEFORE, AFTER), strict=True):
        slope = -linear_regression(minutes, [float(each) for each in needles]).slope
        rate = r"falls (−?\d\.\d\d) \((−?\d\.\d\d) to (−?\d\.\d\d)\)\s" + "kPa/min"
        found = re.fullmatch(f"{name}: {rate}", caption)
        assert found
        value, low, high = (float(each.replace("−", "-")) for each in found.groups())
        assert value == pytest.approx(slope, abs=0.03)
        assert low < value < high
        assert (low > 0.0) == (name == "before")  # what hardly fell may as well have risen


def test_the_plot_of_a_reading_stands_where_its_value_belongs() -> None:
    plot = re.findall(r'<svg class="plot".*?</svg>', record(measured()))[0]
    low, high = 138.0, 22.0  # the axis' ends in the drawing
    labels = [float(t) for t in re.findall(r'text-anchor="end">(\d+)</text>', plot)]
    squares = [float(y) + 3.5 for y in re.findall(r'y="([\d.]+)"[^>]*class="read"', plot)]
    for needle, y in zip(BEFORE, squares, strict=True):
        share = (float(needle) - labels[0]) / (labels[-1] - labels[0])
        assert y == pytest.approx(low + share * (high - low), abs=0.02)


UNIT = (
    r"(kPa|kPa/min|L|L/km|mL|mL/kPa|mL/min|°C|K|%|m|mm|min|h|EUR|strokes|pieces|km|mi)"
    r"(?![\w/])"
)


@pytest.mark.parametrize("units", ["kpa", "psi"])
def test_every_figure_has_its_unit(units: str) -> None:
    chosen = next(each["units"] for each in RULES.unit_sets if each["id"] == units)
    page = read(record(measured(), preferences={"units": chosen}))
    others = r"(psi|psi/min|°F|US\sqt|US\sqt/mi)(?![\w/])"
    texts = page.within("td") + page.within("figcaption") + page.within("readings", "li")
    texts += page.within("fluids", "text")[len(page.within("fluids", "text")) - 6 :]
    found = 0
    for text in texts:
        plain = re.sub(r"\d+ of \d+ (points|asked)|\d+ in (?=\d)|\b\d+:\d\d(?!\smin)", "", text)
        plain = re.sub(r"/1000\s", "/", plain)  # a number within a unit
        plain = re.sub(r"(?<=[a-z%°CL]) \(−?\d[\d.]* to −?\d[\d.]*, 95\s%\)", "", plain)
        plain = re.sub(r"−?\d[\d.]* to (?=−?\d)", "", plain)  # one unit for both ends
        plain = re.sub(r"\b[\d.]+ (?=\()", "", plain)  # and for the value before them
        for number in re.finditer(r"(?<![\w.])\d+(\.\d+)?(:\d\d)?", plain):
            rest = plain[number.end() :].lstrip(").,").lstrip("\N{NO-BREAK SPACE} ")
            assert re.match(f"{UNIT}|{others}", rest), (text, number[0])
            found += 1
    assert found > 60


def test_the_balance_shows_each_stream_and_the_waste() -> None:
    words = " ".join(read(record(measured())).within("fluids", "text"))
    for told in (
        "Out 4.30",
        "Missing before 0.30",
        "pilled 0.05",
        "In 4.55",
        "Left over: out less in 0.10",
        "Waste: used coolant 4.30",
        "with absorbent 0.05",
    ):
        assert told in words.replace("\N{NO-BREAK SPACE}", " ")


def test_a_stream_that_was_not_measured_has_no_length() -> None:
    log = measured()
    log.add("not_done", "coolant.spilled", "")
    html = record(log)
    words = " ".join(read(html).within("fluids", "text"))
    assert "pilled not measured" in words
    assert "Left over: out less in not measured" in words
    assert html.count('class="unknown"') == 3  # spilled, left over, taken up


def test_the_day_adds_up() -> None:
    (day,) = re.findall(r'<svg class="day".*?</svg>', record(measured()))
    (said,) = re.findall(r'aria-label="([^"]*)"', day)
    assert said.startswith("Intake 14:00 to 14:02")
    proof = re.search(r"Proof (\d\d):(\d\d) to (\d\d):(\d\d)", said)
    assert proof
    h1, m1, h2, m2 = map(int, proof.groups())
    # An hour of cooling, 12 readings a minute apart, and what lies between.
    assert 72 <= (h2 - h1) * 60 + m2 - m1 <= 76


HOSTILE = "<script>alert(1)</script>"
FIELDS = ("car.name", "complaint.words", "shop.name", "consent.who", "job.number", "tester.adapter")


def test_hostile_words_stay_words() -> None:
    log = measured()
    for name in FIELDS:
        longest = RULES.fields[name].longest
        log.add("fact", name, f"\"'><img src=x onerror=a>{HOSTILE}"[:longest])
    log.add("note", "part.own_1", f"{HOSTILE}\u202e")
    log.add("not_done", "watch.level", '</li></ul><svg onload="x">')
    html = record(log)
    page = read(html)
    assert not {tag for tag, _, _ in page.attributes} & {"script", "img"}
    assert not [name for _, name, _ in page.attributes if name.startswith("on")]
    assert "<script>alert(1)" in " ".join(page.within("bdi"))
    assert any('<svg onload="x">' in line for line in page.within("not_checked", "li"))
    assert "\u202e" not in html
    assert HOSTILE in " ".join(page.within("parts", "td"))


def test_the_file_asks_nothing_of_any_network() -> None:
    html = record(measured("p1"), photos={"p1": JPEG})
    page = read(html)
    asks = [
        v for _, n, v in page.attributes if n in ("src", "href", "srcset", "style", "xlink:href")
    ]
    assert asks == [JPEG]
    assert "//" not in html.replace(JPEG, "")
    assert re.findall(r"url\((?!#)", html) == []
    assert "@import" not in html
    policy = next(v for tag, n, v in page.attributes if tag == "meta" and n == "content")
    assert policy == "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def test_pictures_are_in_the_file_or_named_as_missing() -> None:
    page = read(record(measured("p1"), photos={"p1": JPEG}))
    (caption,) = page.within("photos", "figcaption")
    assert caption.startswith("Picture, wet,")
    assert ("img", "alt", caption) in page.attributes
    bare = read(record(measured("p1")))
    (words,) = bare.within("pictures", "p")
    assert words.startswith("Pictures that are not in this file: Picture, wet")
    assert not [tag for tag, _, _ in bare.attributes if tag == "img"]


def test_what_was_not_checked_is_told() -> None:
    lines = read(record(measured())).within("not_checked", "li")
    assert lines[0].startswith("These holds cannot see: a seal that leaks only turning")
    assert "Not reachable: Valley, rear, bell housing." in lines
    assert "No picture taken: Picture, wet again; Picture, wet." in lines
    assert "Not measured: Final top-up; Strength after mixing; Area of the level." in lines
    assert not [line for line in lines if "Condenser" in line]  # left on is no test left out


def test_a_clamp_that_one_can_see_has_no_figure_of_a_leak() -> None:
    html = record(seen())
    page = read(html)
    assert headings(page)[0] == "No hold taken"
    assert page.within("plate not_judged", "p") == [
        "No hold was taken: how much leaks, or whether it is tight, was not measured.",
        "Old leak point: Dry.",
    ]
    assert page.within("not_checked", "li")[0].startswith("No hold was taken")
    assert "L/1000" not in html
    assert 'class="plot"' not in html
    assert "Holds before and after" not in headings(page)
    assert "Coolant" not in headings(page)


@pytest.mark.parametrize(
    ("needles", "verdict"),
    [
        (BEFORE, "leaking"),
        (("110",) * 3, "not_judged"),
        (("110", "20", "6", "3", "1", "0"), "gross"),
    ],
)
def test_the_verdict_keeps_its_shape(needles: tuple[str, ...], verdict: str) -> None:
    log = Logbook()
    log.describe_car()
    log.add("done", "fan.off")
    log.pass_the_gate()
    log.fit_the_tester()
    hold(log, "hold", needles)
    page = read(record(log))
    (head,) = page.within(f"plate {verdict}", "h2")
    assert head.startswith("Before the work: ")
    captions = page.within("holds", "figcaption")
    assert len(captions) == 1
    assert captions[0].startswith("before: ")
    assert any("No hold was taken after the work" in x for x in page.within("not_checked", "li"))


def test_a_job_that_was_only_opened_or_is_damaged_has_a_record() -> None:
    assert "Car not named" in record(Logbook())
    log = measured()
    log.add("sparkle", "hold.pressure", "1")
    log.add("fact", "car.name", "Later")
    lines = read(record(log)).within("not_checked", "li")
    assert "An entry cannot be read; it and 1 after it are not in this record." in lines


def test_the_command_line_makes_the_same_file() -> None:
    log = measured()
    question = json.dumps({"events": log.events, "now": log.moment()})
    done = subprocess.run(
        [sys.executable, "-m", "weeptrace", "job.record"],
        input=question, capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[2] / "core",
    )  # fmt: skip
    assert json.loads(done.stdout)["html"] == record(log)
