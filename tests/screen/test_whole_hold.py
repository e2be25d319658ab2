"""The pages of a hold held whole to a given judgement: the verdict, the recorder, the record."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

import pytest

from tests.logbook import Logbook
from tests.screen.hand.common import of
from tests.screen.hand.plain import NBSP, event, foot, heading, key, row, stores, table, title
from tests.screen.hand.told import word
from tests.screen.records import measured
from tests.screen.test_view import RULES, blocks, holding, view
from weeptrace.finding import Estimate, Reason
from weeptrace.hold.data import (
    Advice,
    Assessment,
    Exponent,
    Point,
)
from weeptrace.job import holds
from weeptrace.job.advance import fold
from weeptrace.screen import weighed
from weeptrace.screen.figures import Show
from weeptrace.screen.record import holds as record_holds

Json = dict[str, Any]
LITRE: Final = 1e-9  # 1 L/1000 km in m3/m
ML: Final = 1e-6 / 60.0  # 1 mL/min in m3/s
SHOW: Final = Show(RULES, next(e["units"] for e in RULES.unit_sets if e["id"] == "kpa"))
UNIT: Final = "L/1000 km"
HELD: Final = f"Hold at 110{NBSP}kPa, 5:00{NBSP}min, 10{NBSP}°C"


WEIGHTS: Final = {"tight": 0.003, "leak": 0.6, "settling": 0.037, "leak_and_settling": 0.36}
LEAKING: Final = Assessment(
    "leaking", explanations=WEIGHTS, favoured="leak", per_distance=of(1.2, 0.8, 1.74, LITRE),
    leak_flow=of(1.23, 0.4, 12.4, ML), smallest_detectable=0.2 * LITRE,
    exponent=Exponent(0.514, False), compliance=of(3.0, 2.0, 4.0, 1e-9),
    advice=(Advice("top_up", 0.0, 0.1 * LITRE, 600.0),),
)  # fmt: skip
UNSEEN: Final = Assessment(
    "no_leak_found", explanations={"tight": 0.5, "leak": 0.5}, favoured="cannot_tell",
    not_larger_than=0.143 * LITRE, smallest_detectable=0.2 * LITRE, more_time=365.0,
    exponent=Exponent(1.0, True),
    advice=(Advice("top_up", 0.0, 0.1 * LITRE, 600.0),
            Advice("finer_gauge", 0.0, 0.15 * LITRE, 20.0)),
)  # fmt: skip


def judged(
    monkeypatch: pytest.MonkeyPatch, found: Assessment, owner: str | None = None
) -> tuple[Json, str]:
    """The page of a hold with this judgement, and the id of the mark that ended it."""
    monkeypatch.setattr(holds, "assess", lambda rules, job, series: found)
    log = holding("110", "109", "108", "107", "106", "105")
    if owner is not None:
        log.add("fact", "owner.rate", owner, UNIT)
    else:
        log.add("not_done", "owner.rate")
    end = log.add("mark", "hold.ended")["id"]
    return view(log), end


def rule(**has: Any) -> Json:
    """Class limits 0.03, 0.3 and 5 L/1000 km, common practice; the rule reaches beyond both."""
    return {
        "low": pytest.approx(0.01), "high": pytest.approx(20.0),
        "limits": [pytest.approx(each) for each in (0.03, 0.3, 5.0)],
        "words": [word(f"class.{id}") for id in ("tight", "seeping", "leaking", "gross")],
        "tip": None, "span": None, "hides_below": None, "owner": None,
        "under": f"{UNIT}, long marks: class limits", **has,
    }  # fmt: skip


def plate(verdict: str, head: list[str], *lines: str, **has: Any) -> Json:
    usual: Json = {"block": "verdict", "verdict": verdict, "over": HELD, "head": head,
                   "figure": None, "unit": "", "lines": list(lines), "rule": None}  # fmt: skip
    return {**usual, **has}


BLIND: Final = [
    heading(word("screen.cannot_see")),
    *(row("not_measured", word(f"cannot_see.{id}")) for id in ("turning", "hot", "cap",
                                                               "cylinder")),
]  # fmt: skip
SMALLER: Final = word("weighed.smaller")
WEIGHED: Final = heading(word("weighed.heading"))


def explained(id: str) -> str:
    return word(f"explanation.{id}")


def at_the_foot(end: str, more: str | None = None) -> Json:
    longer = key("Hold longer", stores("undo", "hold.ended", "", end), "clock", more)
    readings = key("Readings", {"look": "so_far"}, "undo")
    main = key(word("step.hold_verdict.main"), stores("done", "hold.seen"))
    return foot(main, longer, readings)


def test_a_leak_with_its_size(monkeypatch: pytest.MonkeyPatch) -> None:
    made, end = judged(monkeypatch, LEAKING, "0.35")
    assert made["step"] == "hold_verdict"
    drawn = rule(
        tip=pytest.approx(1.2), owner=pytest.approx(0.35),
        span=[pytest.approx(0.8), pytest.approx(1.74)],
    )  # fmt: skip
    assert made["blocks"] == [
        plate("leaking", ["Leaking"], f"0.80 to 1.7, 95{NBSP}% sure",
              f"1.2{NBSP}mL/min (0.40 to 12)", figure="1.2", unit=UNIT, rule=drawn),
        WEIGHED,
        row(None, word('weighed.side.leak_very_likely'),
            f"Best: {explained('leak')}", f"Leak 96{NBSP}%, no leak 4{NBSP}%"),
        table([explained("leak"), f"60{NBSP}%"], [explained("leak_and_settling"), f"36{NBSP}%"],
              [explained("settling"), f"4{NBSP}%"]),
        table([SMALLER, f"0.20{NBSP}L/1000{NBSP}km"]),
        *BLIND,
        table(["Leak exponent", "0.51, measured"],
              ["Stored volume", f"3.00{NBSP}mL/kPa"]),
    ]  # fmt: skip
    assert made["foot"] == at_the_foot(end)
    flowless = replace(LEAKING, leak_flow=None, explanations={}, favoured=None,
                       smallest_detectable=None, exponent=None, compliance=None)  # fmt: skip
    made, _ = judged(monkeypatch, flowless)
    drawn |= {"owner": None}
    assert made["blocks"] == [
        plate("leaking", ["Leaking"], f"0.80 to 1.7, 95{NBSP}% sure", figure="1.2", unit=UNIT,
              rule=drawn), *BLIND,
    ]  # fmt: skip


@pytest.mark.parametrize("verdict", ["no_leak_found", "tight", "too_weak"])
def test_a_hold_that_found_none_says_what_could_hide(
    monkeypatch: pytest.MonkeyPatch, verdict: Any
) -> None:
    made, end = judged(monkeypatch, replace(UNSEEN, verdict=verdict), "0")
    heads = {"no_leak_found": ["No leak found", "larger than"],
             "tight": ["Tight,", "not larger than"],
             "too_weak": ["Not sensitive enough,", "could miss"]}  # fmt: skip
    more = ["Too coarse for the owner's loss. Not proved."] if verdict == "too_weak" else []
    smaller = {
        **table(
            [word("weighed.this_hold"), "", "0.20"],
            [word("advice.top_up"), f"10{NBSP}min", "0.10"],
            [word("advice.finer_gauge"), f"1{NBSP}min", "0.15"],
            figures=(1, 2),
        ),
        "heads": ["", word("weighed.takes"), word("weighed.sees_from")],
    }
    assert made["blocks"] == [
        plate(verdict, heads[verdict], *more, figure="0.14", unit=UNIT,
              rule=rule(hides_below=pytest.approx(0.143))),
        WEIGHED,
        row("waits", word("weighed.cannot_tell"), f"Leak 50{NBSP}%, no leak 50{NBSP}%"),
        table([explained("tight"), f"50{NBSP}%"], [explained("leak"), f"50{NBSP}%"]),
        heading(f"{SMALLER}, L/1000{NBSP}km"), smaller,
        *BLIND,
        table(["Leak exponent", "1.00, assumed"]),
    ]  # fmt: skip
    assert made["foot"] == at_the_foot(end, f"About 6{NBSP}min more would decide it")


@pytest.mark.parametrize(
    ("verdict", "favoured", "head"),
    [
        ("no_leak_found", "leak", ["Leak not proved,", "none larger than"]),
        ("no_leak_found", "settling", ["No leak found", "larger than"]),
        ("tight", "leak", ["Tight,", "not larger than"]),  # the smallest class, not "none"
        ("too_weak", "leak", ["Not sensitive enough,", "could miss"]),
    ],
)
def test_no_plate_says_no_leak_over_readings_that_speak_for_one(
    monkeypatch: pytest.MonkeyPatch, verdict: Any, favoured: str, head: list[str]
) -> None:
    weights = {favoured: 0.97, "tight": 0.03}
    found = replace(UNSEEN, verdict=verdict, favoured=favoured, explanations=weights)
    made, _ = judged(monkeypatch, found, "0")
    assert (made["blocks"][0]["verdict"], made["blocks"][0]["head"]) == (verdict, head)


@pytest.mark.parametrize(
    ("found", "lines"),
    [
        (Assessment("gross", reason=Reason("any", "Any.")), ["More than half is lost at once."]),
        (Assessment("not_judged", reason=Reason("few", "Too few.")), ["Too few."]),
        (Assessment("not_judged"), []),
        (
            Assessment("leak_size_unknown", rate=of(0.5, 0.2, 0.81, 1000.0 / 60.0)),
            [f"falls 0.50{NBSP}kPa/min (0.20 to 0.81)",
             "Stored volume not measured: count the strokes."],
        ),
        (Assessment("no_leak_found"), []),
        (Assessment("leaking"), []),
        (Assessment("seeping", not_larger_than=LITRE), []),
    ],
)  # fmt: skip
def test_a_verdict_without_a_figure_has_no_rule(
    monkeypatch: pytest.MonkeyPatch, found: Assessment, lines: list[str]
) -> None:
    made, _ = judged(monkeypatch, found)
    head = {"gross": ["Gross leak"], "not_judged": ["Not judged"], "leaking": ["Leaking"],
            "leak_size_unknown": ["Leaks,", "size not known"], "seeping": ["Seeping"],
            "no_leak_found": ["No leak found", "larger than"]}[found.verdict]  # fmt: skip
    assert made["blocks"] == [plate(found.verdict, head, *lines), *BLIND]


def running(monkeypatch: pytest.MonkeyPatch, found: Assessment, *needles: str) -> Json:
    monkeypatch.setattr(holds, "assess", lambda rules, job, series: found)
    return view(holding(*needles))


@pytest.mark.parametrize(
    ("found", "count", "rows"),
    [
        (LEAKING, 5, [
            row("done", "A leak shows already", "Press End, or read on for a better figure."),
            row("waits", f"So far: {word('weighed.side.leak_very_likely')}"),
        ]),
        (UNSEEN, 5, [
            row("waits", f"So far: {word('weighed.cannot_tell')}",
                f"none above 0.14{NBSP}L/1000{NBSP}km", f"About 6{NBSP}min more would decide it"),
        ]),
        (replace(UNSEEN, verdict="too_weak", more_time=None), 16, [
            row("done", "Planned time reached", "Press End, or read on."),
            row("waits", f"So far: {word('weighed.cannot_tell')}", word("weighed.no_time")),
        ]),
        (replace(UNSEEN, verdict="tight", more_time=None), 15, [
            row("waits", f"So far: {word('weighed.cannot_tell')}",
                f"none above 0.14{NBSP}L/1000{NBSP}km"),
        ]),
        (Assessment("not_judged"), 2, []),
    ],
)  # fmt: skip
def test_a_running_hold_says_how_it_stands(
    monkeypatch: pytest.MonkeyPatch, found: Assessment, count: int, rows: list[Json]
) -> None:
    made = running(monkeypatch, found, *["110"] * count)
    assert made["step"] == "hold_readings"
    assert made["blocks"][2:] == rows
    assert made["blocks"][0] == title(
        word("step.hold_readings.title"), f"{count - 1} of 15{NBSP}min"
    )


def test_the_recorder_draws_the_fit_that_it_is_given(monkeypatch: pytest.MonkeyPatch) -> None:
    curve = (Point(0.0, 110e3, 109e3, 111e3, None), Point(300.0, 104e3, 102e3, 106e3, 108e3))
    found = replace(
        LEAKING, curve=curve, suspect_readings=(1,), next_reading=30.0,
        fall=of(1.2, 0.9, 1.5, 1000.0 / 60.0),
    )  # fmt: skip
    monkeypatch.setattr(holds, "assess", lambda rules, job, series: found)
    log = holding("110", "90", "107", "106")
    log.now += 6.0
    log.add("mark", "hold.disturbed")
    first = next(e for e in log.events if e["kind"] == "reading")
    made = view(log)
    (recorder,) = blocks(made, "recorder")
    (apart,) = [b for b in blocks(made, "state") if b["shape"] == "not_done"]
    drawn = recorder.pop("plot")
    assert recorder == {
        "block": "recorder", "due": 210.0, "interval": 30.0, "due_label": "READ at 3:30",
        "last": {"value": "106", "unit": "kPa", "label": f"Last, at 3:00{NBSP}min"},
        "fall": {"label": f"Fall so far, 95{NBSP}%", "value": "1.20", "unit": "kPa/min",
                 "interval": "0.90 to 1.50"},
        "start": {"at": first["at"], "mono": pytest.approx(first["mono"]), "boot": "boot-1"},
        "call": "Selwick Larkspur 2.4: read the needle",
    }  # fmt: skip
    kinds = zip((0, 1, 2, 3), (110.0, 90.0, 107.0, 106.0), ("read", "suspect", "read", "read"),
                strict=True)  # fmt: skip
    near = pytest.approx
    assert drawn == {
        "block": "plot",
        "x": {"low": 0.0, "high": 15, "labels": [0.0, 5.0, 10.0, 15.0], "minor": 1.0,
              "unit": "min"},
        "y": {"low": near(85.0), "high": near(115.0), "unit": "kPa",
              "labels": [near(90.0), near(100.0), near(110.0)]},
        "points": [{"x": near(x), "y": near(y), "kind": kind} for x, y, kind in kinds],
        "fit": [[0.0, near(110.0), near(109.0), near(111.0)],
                [near(5.0), near(104.0), near(102.0), near(106.0)]],
        "now": near(3.0),
        "limit": {
            "line": [[near(5.0), near(108.0)]], "words": f"a leak of 0.30{NBSP}L/1000{NBSP}km"
        },
        "marks": [{"x": near(3.1), "words": "bumped"}], "next": near(3.5),
        "words": f"fit, band 95{NBSP}%",
        "sentence": f"4 readings in 3:00 minutes, from 110{NBSP}kPa to 106{NBSP}kPa. "
                    f"Falls 1.20{NBSP}kPa/min.",
    }  # fmt: skip
    wrong = next(e["id"] for e in log.events if (e["kind"], e["typed"]) == ("reading", "90"))
    assert apart["do"]["pad"]["event"] == event("reading", "hold.pressure", "", wrong)
    assert (apart["word"], apart["lines"], apart["framed"]) == (
        f"90{NBSP}kPa at 1:00 does not fit", [word("weighed.again")], True
    )  # fmt: skip


def test_a_fall_is_shown_from_the_third_minute_on(monkeypatch: pytest.MonkeyPatch) -> None:
    found = replace(LEAKING, fall=of(1.0, 0.5, 1.5, 1000.0 / 60.0))
    shown = [
        blocks(running(monkeypatch, found, *["110"] * count), "recorder")[0]["fall"] is not None
        for count in (2, 3, 4)
    ]
    assert shown == [False, False, True]


def test_the_record_compares_the_last_hold_before_with_the_last_one_after(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    log = measured()
    log.add("mark", "after.again")
    for needle in ("100", "99"):
        log.now += 60.0
        last = log.add("reading", "after.pressure", needle, "kPa")
    after = replace(UNSEEN, fall=of(-0.1, -0.2, 0.05, 1000.0 / 60.0))

    def assess(rules: Any, job: Any, series: Any) -> Assessment:
        return LEAKING if series.field == "hold.pressure" else after

    monkeypatch.setattr(holds, "assess", assess)
    job = fold(RULES, log.events)
    first = next(e for e in log.events if e["field"] == "hold.pressure")
    (heads, *rows) = record_holds.compared(SHOW, job)
    begun = log.events[log.events.index(last) - 1]["at"][11:16]
    assert heads == ["", f"before, {first['at'][11:16]}", f"after, {begun}"]
    told = {name: cells for name, *cells in rows}
    leak = f"leaking, 1.2 (0.80 to 1.7){NBSP}L/1000{NBSP}km"
    hides = f"no leak found larger than 0.14{NBSP}L/1000{NBSP}km"
    assert list(told) == ["Verdict", "Readings, time", "Start, end", "One division",
                          "Strokes, stored volume", "Level, coolant"]  # fmt: skip
    assert told["Verdict"] == [leak, hides]
    assert told["Readings, time"] == [f"12 in 11:00{NBSP}min", f"2 in 1:00{NBSP}min"]
    assert told["Start, end"] == [
        f"110{NBSP}kPa, 98{NBSP}kPa", f"100{NBSP}kPa, 99{NBSP}kPa"
    ]  # fmt: skip
    assert told["One division"] == [f"2{NBSP}kPa"] * 2
    assert told["Strokes, stored volume"][0] == f"5{NBSP}strokes, 3.00{NBSP}mL/kPa"
    assert told["Level, coolant"] == [
        f"{word('choice.hold.level.to_neck')}, 10{NBSP}°C", f"not asked, 10{NBSP}°C"
    ]  # fmt: skip
    names = [name for name, _ in record_holds.every_hold(SHOW, job)]
    assert names == ["Hold", "Hold after the repair 1", "Hold after the repair 2"]
    ((name, words),) = record_holds.other_holds(SHOW, job)
    one = next(e for e in log.events if e["field"] == "after.pressure")
    assert name == f"Hold after the repair 1, {one['at'][11:16]}"
    over = f"Hold at 110{NBSP}kPa, 11:00{NBSP}min, 10{NBSP}°C"
    assert words == f"{over}: {hides}."
    assert record_holds.falls(SHOW, after.fall) == (
        f"falls \N{MINUS SIGN}0.10 (\N{MINUS SIGN}0.20 to 0.05){NBSP}kPa/min"
    )
    assert record_holds.falls(SHOW, None) == "fall not measured"
    series = job.all_series("after.pressure")[-1]
    assert record_holds.typed(series) == f"0:00{NBSP}100{NBSP}kPa, 1:00{NBSP}99{NBSP}kPa"


def test_what_is_left_is_of_the_last_leak_before(monkeypatch: pytest.MonkeyPatch) -> None:
    log = measured()
    log.add("mark", "hold.again")
    for needle in ("90", "89"):
        log.now += 60.0
        log.add("reading", "hold.pressure", needle, "kPa")
    last = replace(LEAKING, verdict="seeping")

    def assess(rules: Any, job: Any, series: Any) -> Assessment:
        first = series.times()[0][1].event.typed
        return last if first == "90" else LEAKING if series.field == "hold.pressure" else UNSEEN

    asked = []
    monkeypatch.setattr(holds, "assess", assess)
    monkeypatch.setattr(
        holds, "left", lambda rules, *two: asked.append(two) or Estimate(0.5, 0.404, 0.6)
    )
    job = fold(RULES, log.events)
    after, before = (job.all_series(f"{kin}.pressure")[-1] for kin in ("after", "hold"))
    assert weighed.left(SHOW, job, after, UNSEEN) == f"50{NBSP}% (40{NBSP}% to 60{NBSP}%)"
    assert asked == [(last, UNSEEN)]
    assert weighed.left(SHOW, job, before, last) is None  # of a hold before the work
    begun = record_holds.begun(before)
    assert record_holds.compared(SHOW, job)[0][1] == f"before, {begun}"
    assert [name for name, _ in record_holds.other_holds(SHOW, job)] == [
        f"Hold 1, {record_holds.begun(job.all_series('hold.pressure')[0])}"
    ]


def test_what_was_not_measured_of_a_hold_is_told_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(holds, "assess", lambda *_: Assessment("not_judged"))
    log = Logbook()
    log.add("not_done", "hold.strokes")
    log.add("reading", "hold.pressure", "110", "kPa")
    (_, *rows) = record_holds.compared(SHOW, fold(RULES, log.events))
    told = dict(rows)
    unknown = "not measured"
    assert (told["One division"], told["Strokes, stored volume"]) == (unknown, unknown)
    assert told["Level, coolant"] == unknown
