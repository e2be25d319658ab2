"""The parts of a drawing by themselves: scales, steps, bars, marks and the clock of a day."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.logbook import Logbook
from tests.screen.test_drawn import near, parts, spots
from weeptrace.job.advance import fold
from weeptrace.rules import load
from weeptrace.screen.figures import Show, preferences
from weeptrace.screen.record.drawing import classes, holds
from weeptrace.screen.record.drawing import svg as drawing
from weeptrace.screen.record.drawing.day import Stretch, day, stretches
from weeptrace.screen.record.drawing.fluids import Part, bars, fluids

RULES = load()
SHOW = Show(RULES, preferences(None, RULES).units)
NBSP = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("span", "most", "each"),
    [(1.0, 5, 0.2), (1.01, 5, 0.5), (2.5, 5, 0.5), (2.6, 5, 1.0), (5.0, 5, 1.0), (5.1, 5, 2.0),
     (10.0, 5, 2.0), (25.0, 5, 5.0), (26.0, 5, 10.0), (60.0, 6, 10.0), (0.03, 3, 0.01)],
)  # fmt: skip
def test_a_step_is_the_smallest_of_1_2_or_5_that_goes_in_often_enough(
    span: float, most: int, each: float
) -> None:
    assert drawing.step(span, most) == pytest.approx(each)


def test_multiples_of_a_step_with_both_ends() -> None:
    assert drawing.multiples(0.0, 1.0, 0.2) == pytest.approx([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
    assert drawing.multiples(0.1, 0.9, 0.2) == pytest.approx([0.2, 0.4, 0.6, 0.8])
    assert drawing.multiples(-4.0, 3.0, 2.0) == [-4.0, -2.0, 0.0, 2.0]


def test_markup_is_escaped_and_signs_that_turn_or_break_the_page_are_taken_out() -> None:
    assert drawing.safe("a<b>&\"'") == "a&lt;b&gt;&amp;&quot;&#x27;"
    for code in (0x200E, 0x200F, 0x202A, 0x202E, 0x2066, 0x2069):
        assert drawing.safe(f"a{chr(code)}b") == "ab"
    for code in (0, 8, 11, 12, 14, 31, 127, 0xD800, 0xDFFF):
        assert drawing.safe(f"a{chr(code)}b") == "a\N{REPLACEMENT CHARACTER}b"
    for code in (9, 10, 13, 32, 126, 128, 0x2029, 0x202F, 0x2065, 0x206A, 0x200D, 0x2010, 0xE000):
        assert drawing.safe(f"a{chr(code)}b") == f"a{chr(code)}b"
    assert drawing.words(1.005, 2, "<", "end", "b") == (
        '<text x="1" y="2" text-anchor="end" class="b">&lt;</text>'
    )
    assert drawing.path([(0, 1), (2.126, 3)], closed=True) == "M0 1L2.13 3Z"
    assert drawing.tag("g", "<b/>", "<i/>", class_="x") == '<g class="x"><b/><i/></g>'
    made = drawing.drawing("kind", 320.0, 92.5, "say <this>", "<b/>")
    assert made == (
        '<svg class="kind" viewBox="0 0 320 92.5" role="img" '
        'aria-label="say &lt;this&gt;"><b/></svg>'
    )
    assert drawing.Scale(5.0, 5.0, 40.0, 240.0)(5.0) == 40.0  # nothing to spread out
    pattern = drawing.hatch("name")
    assert 'id="name"' in pattern
    assert 'patternUnits="userSpaceOnUse"' in pattern


def litres(value: float | None) -> float | None:
    return None if value is None else value * 1e-3


def bar(word: str, value: float | None, kind: str = "solid") -> Part:
    return Part(word, litres(value), kind)


def test_bars_share_one_rule_and_one_not_measured_is_a_dashed_square() -> None:
    svg = fluids(
        SHOW,
        [
            ("Gone", [bar("Out", 3.0), bar("Missing before", None, "hatched"),
                      bar("Spilled", 1.0, "open")]),
            ("In", [bar("In", 4.0)]),
            ("Left over", [bar("Left over", 0.0, "open")]),
        ],
    )  # fmt: skip
    rects = [(r["class"], float(r["x"]), float(r["y"]), float(r["width"]), float(r["height"]),
              r.get("fill")) for r in parts(svg, "rect")]  # fmt: skip
    a = 296.0 / 4.0  # a litre
    # A bar is 11 high; its words take 18 a line below it; 8 lie between.
    said = [t for t in parts(svg, "text") if t["x"] == "4" and float(t["y"]) > 30.0]
    assert [t["text"].replace(NBSP, " ") for t in said] == [
        "Out 3.00 L", "Missing before not measured", "Spilled 1.00 L", "In 4.00 L",
        "Left over 0.00 L",
    ]  # fmt: skip
    tops = [38.0, 38.0 + 11.0 + 3 * 18.0 + 8.0, 38.0 + 11.0 + 3 * 18.0 + 8.0 + 11.0 + 18.0 + 8.0]
    assert rects == [
        ("solid", 4.0, tops[0], near(3.0 * a), 11.0, None),
        ("unknown", near(4.0 + 3.0 * a + 3.0), tops[0], 11.0, 11.0, None),
        ("open", near(4.0 + 3.0 * a), tops[0], near(a), 11.0, None),
        ("solid", 4.0, tops[1], near(4.0 * a), 11.0, None),
        ("open", 4.0, tops[2], 0.0, 11.0, None),
    ]
    assert [float(t["y"]) for t in said] == [
        tops[0] + 26.0, tops[0] + 44.0, tops[0] + 62.0, tops[1] + 26.0, tops[2] + 26.0
    ]  # fmt: skip
    (whole,) = re.findall('viewBox="0 0 ([^"]*)"', svg)
    assert whole == f"320 {tops[2] + 11.0 + 18.0 + 8.0:g}"
    (label,) = re.findall('aria-label="([^"]*)"', svg)
    assert label.replace(NBSP, " ") == (
        "Gone: Out 3.00 L, Missing before not measured, Spilled 1.00 L; In: In 4.00 L; "
        "Left over: Left over 0.00 L"
    )
    marks = [t for t in parts(svg, "text") if t["y"] == "17"]
    assert [(float(t["x"]), t["text"], t["text-anchor"]) for t in marks] == [
        (4.0, "0", "start"), (near(4.0 + a), "1", "middle"), (near(4.0 + 2 * a), "2", "middle"),
        (near(4.0 + 3 * a), "3", "middle"), (300.0, "4 L", "middle"),
    ]  # fmt: skip
    assert [spots(p) for p in parts(svg, "path", "axis")] == [[(4.0, 30.0), (300.0, 30.0)]]
    assert [spots(p) for p in parts(svg, "path", "tick")] == [
        [(near(4.0 + n * a), 30.0), (near(4.0 + n * a), 21.0)] for n in range(5)
    ]
    assert [spots(p)[1][1] for p in parts(svg, "path", "minor")] == [25.0] * 21
    assert fluids(SHOW, []) == ""


def test_short_words_share_a_line_of_32_signs_and_long_ones_go_on_below() -> None:
    svg = fluids(SHOW, [("In", [bar("In", 1.0), bar("Out", 2.0), bar("Waste: used", 3.0)])])
    said = [t["text"].replace(NBSP, " ") for t in parts(svg, "text") if float(t["y"]) > 30.0]
    assert said == ["In 1.00 L · Out 2.00 L", "Waste: used 3.00 L"]
    svg = fluids(SHOW, [("In", [bar("Coolant that somebody else poured in", 1.0)])])
    said = [t["text"].replace(NBSP, " ") for t in parts(svg, "text") if float(t["y"]) > 30.0]
    assert said == ["Coolant that somebody else", "poured in 1.00 L"]


@pytest.mark.parametrize(
    ("filled", "word", "left"),
    [("4.1", "Left over: out less in", 0.4), ("4.8", "More in than gone", 0.3),
     (None, "Left over: out less in", None)],
)  # fmt: skip
def test_the_bars_of_a_job_are_what_was_typed_and_what_that_leaves(
    filled: str | None, word: str, left: float | None
) -> None:
    log = Logbook()
    log.add("fact", "car.capacity", "7.6", "L")
    for name, typed in (("drained", "4"), ("missing_before", "0.4"), ("spilled", "0.1")):
        log.add("fact", f"coolant.{name}", typed, "L")
    if filled is not None:
        log.add("fact", "coolant.filled", filled, "L")
    made = dict(bars(SHOW, fold(RULES, log.events)))
    assert list(made) == ["Gone", "In", "Left over", "Waste"]
    told = [(p.word, p.kind, None if p.volume is None else round(p.volume * 1e3, 6))
            for p in made["Gone"]]  # fmt: skip
    assert told == [("Out", "solid", 4.0), ("Missing before", "hatched", 0.4),
                    ("Spilled", "open", 0.1)]  # fmt: skip
    (went,) = made["In"]
    assert (went.word, went.kind) == ("In", "solid")
    assert went.volume == (None if filled is None else pytest.approx(float(filled) * 1e-3))
    (over,) = made["Left over"]
    assert (over.word, over.kind) == (word, "open")
    # Gone are 4 and 0.4 and 0.1 L: what of that did not go in again is left over.
    assert over.volume == (None if left is None else pytest.approx(left * 1e-3))
    used, spilled = made["Waste"]
    assert (used.word, spilled.word) == ("Waste: used coolant", "Waste: with absorbent")
    assert (used.kind, spilled.kind) == ("solid", "open")
    assert spilled.volume == pytest.approx(0.1e-3)


def test_a_mark_near_the_right_edge_has_its_word_to_the_left() -> None:
    across = drawing.Scale(0.0, 100.0, 44.0, 308.0)
    for x, at, anchor in ((10.0, 4.0, "start"), (70.0, 4.0, "start"), (75.0, -4.0, "end"),
                          (100.0, -4.0, "end")):  # fmt: skip
        svg = holds._mark({"x": x, "words": "bumped"}, across)
        (word,) = parts(svg, "text")
        assert (float(word["x"]), word["text-anchor"]) == (near(across(x) + at), anchor)
        assert word["y"] == "30"
        (line,) = parts(svg, "path", "happened")
        assert spots(line) == [(near(across(x)), 22.0), (near(across(x)), 138.0)]


def test_a_reading_that_stands_apart_is_crossed() -> None:
    plain = holds._reading(100.0, 50.0, "read")
    assert parts(plain, "path") == []
    crossed = holds._reading(100.0, 50.0, "suspect")
    (square,) = parts(crossed, "rect")
    assert (square["x"], square["y"], square["width"], square["height"], square["class"]) == (
        "96.5", "46.5", "7", "7", "suspect"
    )  # fmt: skip
    assert spots(parts(crossed, "path", "tick")[0]) == [(94.0, 56.0), (106.0, 44.0)]


@pytest.mark.parametrize(
    ("low", "high", "bottom", "top", "each"),
    [(82.0, 110.0, 80.0, 110.0, 10.0), (97.0, 103.0, 96.0, 104.0, 2.0), (0.0, 4.0, 0.0, 4.0, 1.0)],
)
def test_an_axis_of_pressure_goes_from_step_to_step(
    low: float, high: float, bottom: float, top: float, each: float
) -> None:
    made = holds._axis(low, high)
    assert (made["low"], made["high"]) == (pytest.approx(bottom), pytest.approx(top))
    steps = [b - a for a, b in zip(made["labels"], made["labels"][1:], strict=False)]
    assert steps == pytest.approx([each] * len(steps))
    assert (made["labels"][0], made["labels"][-1]) == (
        pytest.approx(bottom), pytest.approx(top)
    )  # fmt: skip


def test_a_fit_of_one_point_has_no_band_and_one_ahead_is_cut_where_it_was_read() -> None:
    across, up = drawing.Scale(0.0, 10.0, 44.0, 308.0), drawing.Scale(0.0, 10.0, 138.0, 22.0)
    assert holds._band([[1.0, 2.0, 1.5, 2.5]], across, up, "id") == []
    two = [[0.0, 4.0, 3.0, 5.0], [10.0, 2.0, 1.0, 3.0]]
    assert holds._fit({"now": 5.0, "fit": two}) == [
        two[0], [pytest.approx(v) for v in (5.0, 3.0, 2.0, 4.0)]
    ]  # fmt: skip
    assert holds._fit({"now": 10.0, "fit": two}) == two
    assert holds._fit({"now": 12.0, "fit": two}) == two
    assert holds._fit({"now": 5.0, "fit": []}) == []
    data = {"points": [{"y": 9.0}], "fit": two, "now": 5.0}
    assert holds._values(data) == pytest.approx([9.0, 4.0, 3.0, 5.0, 3.0, 2.0, 4.0])


def test_the_last_label_of_a_clock_of_minutes_stays_on_the_paper() -> None:
    across, up = drawing.Scale(0.0, 15.0, 44.0, 308.0), drawing.Scale(0.0, 10.0, 138.0, 22.0)
    y = {"labels": [0.0, 5.0, 10.0]}

    def below(labels: list[float]) -> list[tuple[float, str, str]]:
        x = {"low": 0.0, "high": 15.0, "minor": 1.0, "labels": labels, "unit": "min"}
        svg = "".join(holds._axes(x, y, "kPa", across, up))
        return [(float(t["x"]), t["text"].replace(NBSP, " "), t["text-anchor"])
                for t in parts(svg, "text") if t["y"] == "163"]  # fmt: skip

    assert below([0.0, 5.0, 15.0]) == [
        (44.0, "0", "middle"), (near(44.0 + 88.0), "5", "middle"), (308.0, "15 min", "end")
    ]  # fmt: skip
    assert below([0.0, 10.0])[-1] == (near(44.0 + 176.0), "10 min", "middle")
    x = {"low": 0.0, "high": 15.0, "minor": 1.0, "labels": [0.0], "unit": "min"}
    svg = "".join(holds._axes(x, y, "kPa", across, up))
    assert spots(parts(svg, "path", "axis")[0]) == [(44.0, 16.0), (44.0, 138.0), (308.0, 138.0)]
    ticks = [spots(p) for p in parts(svg, "path", "tick")]
    assert ticks[:3] == [[(44.0, v), (38.0, v)] for v in (138.0, 80.0, 22.0)]
    assert ticks[3:] == [[(44.0, 138.0), (44.0, 146.0)]]
    side = [(t["x"], float(t["y"]), t["text"], t["text-anchor"]) for t in parts(svg, "text")]
    assert side[:4] == [("35", 143.0, "0", "end"), ("35", 85.0, "5", "end"),
                        ("35", 27.0, "10", "end"), ("35", 13.0, "kPa", "end")]  # fmt: skip


NINE = datetime.fromisoformat("2026-11-25T09:00:00+01:00")


def stretch(phase: str, start: float, end: float) -> Stretch:
    """In minutes from nine."""
    return Stretch(phase, NINE + timedelta(minutes=start), NINE + timedelta(minutes=end))


def texts(svg: str, **has: str) -> list[dict[str, str]]:
    return [t for t in parts(svg, "text") if all(t.get(k) == v for k, v in has.items())]


def test_each_phase_has_its_bars_on_the_clock() -> None:
    names = {"look": "First look", "hold": "Hold", "off": "Take apart", "none": "Never"}
    done = [stretch("hold", 0, 30), stretch("look", 30, 40), stretch("hold", 40, 60),
            stretch("off", 60, 120)]  # fmt: skip
    svg = day(SHOW, names, done)
    # Two hours on 132 units, from 176 to 308; rows in the order of the work's phases.
    minute = 132.0 / 120.0
    rows = [(t["text"], float(t["y"])) for t in texts(svg, **{"class": "b"})]
    assert rows == [("First look", 43.0), ("Hold", 62.0), ("Take apart", 81.0)]
    assert [t["x"] for t in texts(svg, **{"class": "b"})] == ["0"] * 3
    begun = texts(svg, **{"text-anchor": "end"})
    assert [(t["x"], t["text"]) for t in begun] == [
        ("168", "09:30"), ("168", "09:00"), ("168", "10:00")
    ]  # fmt: skip
    bars = [(float(r["x"]), float(r["y"]), float(r["width"]), r["height"])
            for r in parts(svg, "rect", "solid")]  # fmt: skip
    assert bars == [
        (near(176.0 + 30 * minute), 34.0, near(10 * minute), "8"),
        (176.0, 53.0, near(30 * minute), "8"),
        (near(176.0 + 40 * minute), 53.0, near(20 * minute), "8"),
        (near(176.0 + 60 * minute), 72.0, near(60 * minute), "8"),
    ]
    hours = texts(svg, **{"text-anchor": "middle"})
    assert [(float(t["x"]), t["y"], t["text"]) for t in hours] == [
        (176.0, "17", "09:00"), (near(176.0 + 66.0), "17", "10:00"), (308.0, "17", "11:00")
    ]  # fmt: skip
    lines = [spots(p) for p in parts(svg, "path", "minor")]
    assert lines == [[(near(x), 21.0), (near(x), 85.0)] for x in (176.0, 242.0, 308.0)]
    (said,) = re.findall('aria-label="([^"]*)"', svg)
    assert said == (
        "First look 09:30 to 09:40; Hold 09:00 to 09:30, 09:40 to 10:00; Take apart 10:00 to 11:00."
    )
    (whole,) = re.findall('viewBox="0 0 ([^"]*)"', svg)
    assert whole == f"320 {28 + 3 * 19 + 4}"
    assert day(SHOW, names, []) == ""


@pytest.mark.parametrize(
    ("minutes", "labels"),
    [
        (10, ["09:00", "09:05", "09:10"]),
        (11, ["09:00"]),  # a quarter of an hour
        (30, ["09:00", "09:15", "09:30"]),
        (60, ["09:00", "09:30", "10:00"]),
        (61, ["09:00", "10:00"]),
        (240, ["10:00", "12:00"]),
        (12 * 60, ["12:00", "18:00"]),
        (48 * 60, ["11-26", "11-27"]),
        (60 * 24 * 12, ["12-02"]),
    ],
)
def test_the_clock_of_a_day_has_at_most_three_labels(minutes: float, labels: list[str]) -> None:
    svg = day(SHOW, {"a": "Work"}, [stretch("a", 0, minutes)])
    assert [t["text"] for t in texts(svg, **{"text-anchor": "middle"})] == labels


def test_a_moment_of_work_can_still_be_seen() -> None:
    svg = day(SHOW, {"a": "Work", "b": "More"}, [stretch("a", 0, 0), stretch("b", 0, 60)])
    assert [float(r["width"]) for r in parts(svg, "rect", "solid")] == [2.0, near(132.0)]
    alone = day(SHOW, {"a": "Work"}, [stretch("a", 0, 0)])
    assert float(parts(alone, "rect", "solid")[0]["width"]) == 2.0


def test_of_more_than_twelve_phases_the_shortest_are_told_together() -> None:
    names = {str(n): f"Phase {n}" for n in range(15)}
    lasts = {n: 5 + (n * 7) % 15 for n in range(15)}  # each another length
    svg = day(SHOW, names, [stretch(str(n), 60 * n, 60 * n + lasts[n]) for n in range(15)])
    short = sorted(lasts, key=lambda n: lasts[n])[:3]
    shown = [f"Phase {n}" for n in range(15) if n not in short]
    assert [t["text"] for t in texts(svg, **{"class": "b"})] == shown
    together = sum(lasts[n] for n in short)
    (last,) = [t for t in parts(svg, "text") if "short stages" in t["text"]]
    assert last["text"] == f"3 short stages, together {together} min"
    assert (last["x"], float(last["y"])) == ("0", 28.0 + 13 * 19.0 - 4.0)


def test_time_goes_to_the_phase_in_which_the_entry_was_made() -> None:
    log = Logbook()
    log.now = 60.0
    log.add("fact", "car.name", "Selwick Heron")
    log.now = 180.0
    log.add("fact", "work.where", "workshop")
    log.now += 31.0 * 24.0 * 3600.0  # a clock that jumped: nobody knows what was done
    log.add("fact", "work.route", "measure")
    log.now += 60.0
    log.add("resumed", "app.resumed")
    log.now += 60.0
    log.add("fact", "car.drive", "no_high_voltage")
    log.now -= 600.0  # set back
    log.add("fact", "complaint.words", "Drips")
    log.now += 30.0
    log.add("fact", "owner.rate", "0.3", "L/1000 km")
    made = stretches(RULES, fold(RULES, log.events))
    lengths: list[Any] = [(each.phase, (each.end - each.start).total_seconds()) for each in made]
    assert lengths == [("intake", 180.0), ("intake", 60.0), ("intake", 30.0)]


def test_half_a_minute_of_work_fills_half_of_the_least_clock() -> None:
    """The clock spans a minute at the least: 132 units of it."""
    svg = day(SHOW, {"a": "Work"}, [stretch("a", 0, 0.5)])
    assert float(parts(svg, "rect", "solid")[0]["width"]) == near(66.0)


def test_a_fit_of_two_points_has_its_band_and_three_lines() -> None:
    across, up = drawing.Scale(0.0, 10.0, 44.0, 308.0), drawing.Scale(0.0, 10.0, 138.0, 22.0)
    made = holds._band([[0.0, 4.0, 3.0, 5.0], [10.0, 2.0, 1.0, 3.0]], across, up, "id")
    assert [parts(each, "path")[0]["class"] for each in made] == ["band", "edge", "edge", "fit"]
    assert spots(parts(made[3], "path")[0]) == [(44.0, near(up(4.0))), (308.0, near(up(2.0)))]


def test_a_hyphen_is_no_place_to_break_a_stream_s_name() -> None:
    svg = fluids(SHOW, [("In", [bar("Coolant from a brand-new and non-returnable can", 1.0)])])
    said = [t["text"].replace(NBSP, " ") for t in parts(svg, "text") if float(t["y"]) > 30.0]
    assert said == ["Coolant from a brand-new and", "non-returnable can 1.00 L"]


def test_the_tip_and_the_owner_s_wedge_are_closed_shapes() -> None:
    rule = {"low": 0.01, "high": 20.0, "limits": [0.03, 0.3, 5.0], "words": ["a", "b", "c", "d"],
            "tip": 1.2, "span": [0.8, 1.7], "hides_below": None, "owner": 0.4}  # fmt: skip
    svg = classes.class_rule("leaking", rule, "A leak.")
    (tip,), (wedge,) = parts(svg, "path", "solid"), parts(svg, "path", "open")
    assert tip["d"].endswith("Z")
    assert wedge["d"].endswith("Z")
