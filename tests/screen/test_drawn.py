"""Where a drawing puts what it draws: each tick, bar, reading and word at its own value."""

from __future__ import annotations

import itertools
import math
import random
import re
from html import unescape
from typing import Any, Final

import pytest

from tests.screen.records import AFTER, BEFORE, measured, record
from tests.screen.test_view import RULES, blocks, view
from weeptrace.screen.pages.recorder import axis, minutes_axis
from weeptrace.screen.record.drawing.classes import class_rule

Json = dict[str, Any]
SETS: Final = RULES.unit_sets
Spot = tuple[float, float]


def parts(svg: str, tag: str, kind: str = "") -> list[dict[str, str]]:
    """The attributes of each element of a tag and class, in order; its text as ``text``."""
    found = []
    for inside, text in re.findall(rf"<{tag} ([^>]*?)/?>([^<]*)", svg):
        each = dict(re.findall(r'([\w-]+)="([^"]*)"', inside))
        if kind in ("", each.get("class")):
            found.append({**each, "text": unescape(text)})
    return found


def spots(path: dict[str, str]) -> list[Spot]:
    """The points of a path."""
    numbers = [float(each) for each in re.findall(r"-?[\d.]+", path["d"])]
    return list(itertools.pairwise(numbers))[::2]


def near(value: float) -> Any:
    return pytest.approx(value, abs=0.011)  # a drawing rounds to a hundredth


RULE: Final[Json] = {
    "low": 0.01, "high": 20.0, "limits": [0.03, 0.3, 5.0], "tip": None, "span": None,
    "words": ["tight", "seeping", "leaking", "gross"], "hides_below": None, "owner": None,
}  # fmt: skip


def at(value: float) -> float:
    """On 320 with 6 free at each end, by the logarithm; what lies outside stands at the end."""
    share = math.log(value / 0.01) / math.log(2000.0)
    return 6.0 + 308.0 * min(max(share, 0.0), 1.0)


def test_the_rule_of_classes_has_its_ticks_limits_and_words_by_the_logarithm() -> None:
    svg = class_rule("tight", RULE, "said")
    (line,) = parts(svg, "path", "axis")
    assert spots(line) == [(0.0, 34.0), (320.0, 34.0)]
    ticks = [n * 10.0**e for e in (-2, -1, 0, 1) for n in range(1, 10) if n * 10.0**e <= 20.0]
    minor = [spots(each) for each in parts(svg, "path", "minor")]
    assert minor == [[(near(at(v)), 34.0), (near(at(v)), 41.0)] for v in ticks]
    limit = [spots(each) for each in parts(svg, "path", "limit")]
    assert limit == [[(near(at(v)), 34.0), (near(at(v)), 50.0)] for v in (0.03, 0.3, 5.0)]
    told = [(float(t["x"]), float(t["y"]), t["text"]) for t in parts(svg, "text")]
    numbers = [(near(at(v)), 68.0, text) for v, text in ((0.03, "0.03"), (0.3, "0.3"), (5.0, "5"))]
    edges = [0.01, 0.03, 0.3, 5.0, 20.0]
    names = [
        (near((at(low) + at(high)) / 2.0), 88.0, name)
        for (low, high), name in zip(itertools.pairwise(edges), RULE["words"], strict=True)
    ]
    assert told == [*numbers, *names]
    assert not parts(svg, "rect")
    assert not parts(svg, "path", "span")


@pytest.mark.parametrize(("kind", "fill"), [("leaking", "solid"), ("seeping", "open")])
@pytest.mark.parametrize("figure", [0.12, 1.7, 900.0])
def test_a_figure_is_a_tip_within_its_interval(kind: str, fill: str, figure: float) -> None:
    svg = class_rule(kind, {**RULE, "tip": figure, "span": [0.5 * figure, 1.5 * figure]}, "said")
    (tip,) = parts(svg, "path", fill)
    x = near(at(figure))
    assert spots(tip)[2] == (x, 20.0)
    assert [y for _, y in spots(tip)] == [-2.0, -2.0, 20.0]
    assert spots(tip)[0][0] == near(at(figure) - 18.0)
    assert spots(tip)[1][0] == near(at(figure) + 18.0)
    low, high = near(at(0.5 * figure)), near(at(1.5 * figure))
    assert spots(parts(svg, "path", "span")[0]) == [(low, 34.0), (high, 34.0)]
    ends = [spots(each) for each in parts(svg, "path", "tick")]
    assert ends == [[(low, 26.0), (low, 42.0)], [(high, 26.0), (high, 42.0)]]


def test_a_figure_between_two_classes_is_as_wide_as_its_interval() -> None:
    svg = class_rule("seeping_or_leaking", {**RULE, "tip": 0.3, "span": [0.2, 0.9]}, "said")
    (foot,) = parts(svg, "rect", "solid")
    assert (float(foot["x"]), float(foot["y"])) == (near(at(0.2)), -1.0)
    assert float(foot["width"]) == near(at(0.9) - at(0.2))
    assert float(foot["height"]) == 19.0
    narrow = class_rule("leaking_or_gross", {**RULE, "tip": 5.0, "span": [4.99, 5.01]}, "said")
    assert float(parts(narrow, "rect", "solid")[0]["width"]) == 8.0


def test_what_can_hide_is_hatched_from_the_left_and_the_owner_has_a_wedge() -> None:
    svg = class_rule("no_leak_found", {**RULE, "hides_below": 0.47, "owner": 0.35}, "said")
    (hidden,) = parts(svg, "rect", "edge")
    assert (hidden["x"], hidden["y"], hidden["height"]) == ("0", "20", "14")
    assert float(hidden["width"]) == near(at(0.47))
    (wedge,) = parts(svg, "path", "open")
    x = at(0.35)
    assert spots(wedge) == [(near(x), 37.0), (near(x + 7.0), 49.0), (near(x - 7.0), 49.0)]


@pytest.mark.parametrize("units", ["kpa", "bar", "psi"])
def test_a_hold_stands_on_paper_as_it_was_read_and_no_further(units: str) -> None:
    log = measured()
    marked = next(e for e in log.events if e["field"] == "hold.pressure" and e["typed"] == "104")
    log.add("mark", "hold.disturbed", at=marked["mono"] / 1000.0 + 12.0)
    made = view(log, "record", units)
    chosen = {"units": next(s["units"] for s in SETS if s["id"] == units)}
    svgs = re.findall(r'<svg class="plot".*?</svg>', record(log, preferences=chosen))
    plots = blocks(made, "plot")
    assert len(svgs) == len(plots) == 2
    drawn = [value for p in plots for value in (*(d["y"] for d in p["points"]), *fitted(p))]
    for svg, plot in zip(svgs, plots, strict=True):
        texts = parts(svg, "text")
        (unit,) = (t for t in texts if t["text"] == plot["y"]["unit"])
        assert (unit["x"], unit["y"], unit["text-anchor"]) == ("35", "13", "end")
        y = [(float(t["text"]), float(t["y"]) - 5.0) for t in texts if t["x"] == "35" and t != unit]
        assert 3 <= len(y) <= 6
        up = scale(y[0], y[-1])
        assert (up(y[0][0]), y[-1][1]) == (near(138.0), near(22.0))
        assert y[0][0] <= min(drawn) <= max(drawn) <= y[-1][0]
        # Near a half of the height stays free at the foot for the caption, and no step more.
        room = (max(drawn) - min(drawn)) * 0.45 / 0.55
        each = y[1][0] - y[0][0]
        assert min(drawn) - room - each <= y[0][0] <= min(drawn) - room + 1e-9
        assert y[-1][0] < max(drawn) + each
        along = scale((0.0, 44.0), (plot["x"]["high"], 308.0))
        for name in ("read", "suspect"):
            squares = parts(svg, "rect", name)
            points = [p for p in plot["points"] if p["kind"] == name]
            assert [(float(s["x"]) + 3.5, float(s["y"]) + 3.5) for s in squares] == [
                (near(along(p["x"])), near(up(p["y"]))) for p in points
            ]
            assert {(s["width"], s["height"]) for s in squares} <= {("7", "7")}
        fit = until_now(plot)
        assert fit[-1][0] == pytest.approx(plot["now"])
        (line,) = parts(svg, "path", "fit")
        assert spots(line) == [(near(along(p[0])), near(up(p[1]))) for p in fit]
        low, high = (spots(each) for each in parts(svg, "path", "edge"))
        assert low == [(near(along(p[0])), near(up(p[2]))) for p in fit]
        assert high == [(near(along(p[0])), near(up(p[3]))) for p in fit]
        (band,) = parts(svg, "path", "band")
        assert spots(band) == [*low, *reversed(high)]
        happened = [spots(each) for each in parts(svg, "path", "happened")]
        assert happened == [
            [(near(along(m["x"])), 22.0), (near(along(m["x"])), 138.0)] for m in plot["marks"]
        ]
        names = [t for t in texts if t["y"] == "30"]
        assert [(float(t["x"]), t["text"]) for t in names] == [
            (near(along(m["x"]) + 4.0), m["words"]) for m in plot["marks"]
        ]
        below = [t for t in texts if t["y"] == "163"]
        assert [t["text"].replace("\xa0", " ") for t in below] == ["0", "5", "10", "15 min"]
        assert [float(t["x"]) for t in below] == [near(along(v)) for v in (0.0, 5.0, 10.0, 15.0)]
        ticks = [spots(each) for each in parts(svg, "path", "minor")]
        assert ticks == [[(near(along(v)), 138.0), (near(along(v)), 143.0)] for v in range(16)]
    assert len(plots[0]["marks"]) == 1
    assert [len(plot["points"]) for plot in plots] == [len(BEFORE), len(AFTER)]


def scale(first: Spot, last: Spot) -> Any:
    """A straight map through two pairs of value and place."""
    slope = (last[1] - first[1]) / (last[0] - first[0])
    return lambda value: first[1] + slope * (value - first[0])


def until_now(plot: Json) -> list[list[float]]:
    """The fit as far as it was read, cut between two of its points where need be."""
    before = [p for p in plot["fit"] if p[0] <= plot["now"] + 1e-9]
    after = next((p for p in plot["fit"] if p[0] > plot["now"] + 1e-9), None)
    if after is None:
        return before
    share = (plot["now"] - before[-1][0]) / (after[0] - before[-1][0])
    cut = [a + share * (b - a) for a, b in zip(before[-1], after, strict=True)]
    return [*before, cut]


def fitted(plot: Json) -> list[float]:
    return [value for point in until_now(plot) for value in point[1:]]


@pytest.mark.parametrize("units", ["kpa", "psi"])
def test_each_stream_has_the_length_of_its_volume(units: str) -> None:
    chosen = {"units": next(s["units"] for s in SETS if s["id"] == units)}
    (svg,) = re.findall(r'<svg class="fluids".*?</svg>', record(measured(), preferences=chosen))
    litre = 296.0 / 4.65  # the longest bar, out and missing and spilled, fills the rule
    bars = [(float(r["x"]), float(r["y"]), float(r["width"]), r["class"])
            for r in parts(svg, "rect")]  # fmt: skip
    ends = [4.0, 4.0 + 4.3 * litre, 4.0 + 4.6 * litre]
    first, second, third, fourth = sorted({y for _, y, _, _ in bars})
    assert bars == [
        (near(ends[0]), first, near(4.3 * litre), "solid"),
        (near(ends[1]), first, near(0.3 * litre), "hatched"),
        (near(ends[2]), first, near(0.05 * litre), "open"),
        (4.0, second, near(4.55 * litre), "solid"),
        (4.0, third, near(0.1 * litre), "open"),
        (4.0, fourth, near(4.3 * litre), "solid"),
        (near(ends[1]), fourth, near(0.05 * litre), "open"),
    ]
    unit = {"kpa": (1.0, "L"), "psi": (1.0 / 0.946352946, "US qt")}[units]
    labels = [t for t in parts(svg, "text") if t["y"] == "17"]
    shown = [float(t["text"].partition(" ")[0].partition("\xa0")[0]) for t in labels]
    assert [float(t["x"]) for t in labels] == [near(4.0 + v * litre / unit[0]) for v in shown]
    assert shown == [float(n) for n in range(len(shown))]
    assert labels[-1]["text"].endswith(unit[1])
    tops = [spots(each)[0][0] for each in parts(svg, "path", "minor")]
    count = math.floor(4.65 * unit[0] * 5.0 + 1e-9) + 1
    assert tops == [near(4.0 + 0.2 * n * litre / unit[0]) for n in range(count)]


def test_the_day_s_bars_lie_on_its_clock() -> None:
    (svg,) = re.findall(r'<svg class="day".*?</svg>', record(measured()))
    said = re.search('aria-label="([^"]*)"', svg)
    assert said is not None
    hours = [(float(t["x"]), t["text"]) for t in parts(svg, "text") if t["text-anchor"] == "middle"]
    clock = scale((minute(hours[0][1]), hours[0][0]), (minute(hours[-1][1]), hours[-1][0]))
    names = [t for t in parts(svg, "text") if t.get("class") == "b"]
    begun = [t for t in parts(svg, "text") if t["text-anchor"] == "end"]
    assert len(names) == len(begun) == 12
    bars = parts(svg, "rect", "solid")
    for name, begin in zip(names, begun, strict=True):
        assert begin["y"] == name["y"]
        own = [r for r in bars if float(r["y"]) == float(name["y"]) - 9.0]
        times = re.search(rf"{name['text']} ([\d:, to]+)", said[1])
        assert times is not None
        ends = re.findall(r"\d\d:\d\d", times[1])
        assert begin["text"] == ends[0]
        for bar, start, end in zip(own, ends[::2], ends[1::2], strict=True):
            # The clock is told to the minute, which is 156 units over the three hours and more.
            x, width = float(bar["x"]), float(bar["width"])
            assert x == pytest.approx(clock(minute(start)), abs=1.0)
            assert x + width == pytest.approx(clock(minute(end)), abs=2.0)


def minute(clock: str) -> float:
    return 60.0 * int(clock[:2]) + int(clock[3:5])


def test_an_axis_has_even_steps_and_room_at_its_ends() -> None:
    rng = random.Random(5)
    for _ in range(400):
        low = rng.choice([0.0, rng.uniform(0.0, 120.0), rng.uniform(-30.0, 5.0)])
        high = low + 10.0 ** rng.uniform(-2.0, 2.2)
        made = axis(low, high)
        labels = made["labels"]
        each = labels[1] - labels[0]
        assert 2 <= len(labels) <= 6
        assert round(each / 10.0 ** math.floor(math.log10(each) + 1e-9), 6) in (1.0, 2.0, 5.0)
        assert labels == pytest.approx([labels[0] + n * each for n in range(len(labels))])
        assert made["low"] <= low <= high <= made["high"]
        assert made["low"] <= labels[0] + 1e-9
        assert labels[-1] <= made["high"] + 1e-9
        # A tenth of a step stays free, but nothing is drawn below nought for it, and no more
        # than a step and a half at either end.
        span = 0.099 * each
        assert made["high"] - high >= span
        assert low - made["low"] >= span or made["low"] <= 0.0
        assert max(made["high"] - high, low - made["low"]) <= 1.6 * each
        assert (high - low) / each <= 3.2 + 1e-9 or 0.02 * abs(high) > high - low


@pytest.mark.parametrize(
    ("end", "high", "each"),
    [(0.0, 1.0, 1.0), (0.2, 1.0, 1.0), (5.5, 6.0, 1.0), (6.0, 6.0, 1.0), (7.0, 7.0, 2.0),
     (12.0, 12.0, 2.0), (15.0, 15.0, 5.0), (30.4, 31.0, 10.0), (61.0, 61.0, 20.0),
     (121.0, 121.0, 60.0), (360.0, 360.0, 60.0)],
)  # fmt: skip
def test_a_clock_of_minutes_has_two_to_seven_labels(end: float, high: float, each: float) -> None:
    made = minutes_axis(end)
    assert (made["low"], made["high"], made["unit"]) == (0.0, high, "min")
    assert made["labels"] == [n * each for n in range(int(high // each) + 1)]
    assert 2 <= len(made["labels"]) <= 7
    assert made["minor"] == (each / 5.0 if each >= 5.0 else 1.0)
