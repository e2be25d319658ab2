"""Lesser pages held whole: the mix, gates that ask, levels, drive or tow, the cap, the tester.

Figures are worked out beside each; a pad's own words are held in another place.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand.common import CHANGE, stop
from tests.screen.hand.plain import (
    NBSP,
    event,
    foot,
    heading,
    key,
    prompt,
    row,
    stores,
    table,
    title,
)
from tests.screen.hand.told import FIELDS, word
from tests.screen.test_view import RULES, blocks, described, mixing, refilling, view
from weeptrace.job.advance import fold
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import uptake

Json = dict[str, Any]
SHOW: Final = Show(RULES, next(e["units"] for e in RULES.unit_sets if e["id"] == "kpa"))
STOP: Final = word("screen.stop_refer")


def choice(name: str) -> Json:
    """All options of a field, none chosen."""
    as_named = FIELDS[name].get("worded_as", name)
    return {"block": "choice", "rows": [
        {"label": word(f"choice.{as_named}.{option}"), "sub": "", "chosen": False,
         "do": stores("fact", name, option)} for option in FIELDS[name]["options"]
    ]}  # fmt: skip


def padded(made: Json, name: str, before: str | None, shape: str, figure: str) -> Json:
    """The row of a figure that is typed anew in its place, with the pad that stands there."""
    wanted = event("fact", name, "", before)
    pads = [b["do"]["pad"] for b in blocks(made, "state") if "pad" in b.get("do", {})]
    (pad,) = [pad for pad in pads if pad["event"]["field"] == name]
    assert pad["event"] == wanted
    return row(shape, word(f"field.{name}"), figure=figure, framed=True, do={"pad": pad})


# --- the mix --------------------------------------------------------------------------------------


def planned(strength: str, **typed: str) -> Logbook:
    log = refilling()
    log.add("fact", "coolant.residual_strength", strength, "%")
    mixing(log)
    log.add("fact", "coolant.at_hand", typed.get("at_hand", "concentrate"))
    return log


@pytest.mark.parametrize(
    ("strength", "units", "low", "high"),
    [
        ("35", "kpa", -45, 2),  # -37 °C within 2, and -20 °C: nothing above freezing
        ("20", "psi", -45, 22),  # -35 °F within 3.6, and +16 °F
        ("58", "kpa", -55, 2),  # now below after: about -50 °C
    ],
)
def test_the_edge_of_the_freeze_points_holds_both_and_ends_at_whole_tens(
    strength: str, units: str, low: int, high: int
) -> None:
    made = view(planned(strength), units=units)
    (scale,) = blocks(made, "scale")
    assert (scale["low"], scale["high"], scale["major"], scale["minor"]) == (low, high, 10, 1)
    assert (scale["unit"], scale["limit"]) == ({"kpa": "°C", "psi": "°F"}[units], None)
    after, now = scale["marks"]
    assert (after["filled"], now["filled"]) == (True, False)
    within = {"kpa": 2.0, "psi": 3.6}[units]
    assert [after["at"] - after["from"], after["to"] - after["at"]] == pytest.approx([within] * 2)
    assert after["words"] == f"after {after['at']:.0f}".replace("-", "\N{MINUS SIGN}")
    assert now["words"] == f"now {now['at']:.0f}".replace("-", "\N{MINUS SIGN}")
    assert made["blocks"][2] == heading("Freeze point")


@pytest.mark.parametrize(
    ("capacity", "major"), [("2.4", 0.5), ("2.5", 0.5), ("5", 1.0), ("5.1", 2.0), ("26", 10.0)]
)
def test_the_column_has_at_most_five_steps(capacity: str, major: float) -> None:
    log = refilling()
    log.add("fact", "coolant.residual_strength", "35", "%")
    mixing(log)
    log.add("fact", "car.capacity", capacity, "L")
    log.add("fact", "coolant.drained", "2", "L")
    log.add("fact", "coolant.at_hand", "concentrate")
    (tank,) = blocks(view(log), "picture")
    assert (tank["high"], tank["major"]) == (pytest.approx(float(capacity)), major)
    patterns = {part["word"].split(" ")[1]: part["pattern"] for part in tank["parts"]}
    own = {"stays": "hatched", "concentrate": "solid", "water": "dotted"}
    assert patterns == {name: own[name] for name in patterns}
    assert "stays" in patterns


def test_a_strength_that_cannot_be_reached_says_where_it_ends_and_what_would_mend_it() -> None:
    """4.3 L of premix to 3.3 L of 20 % are (2.15 + 0.66)/7.6 = 37 %; half more is drawn off."""
    made = view(planned("20", at_hand="premix_50"))
    (state,) = blocks(made, "state")
    lines = state["lines"]
    assert lines[0] == f"Wanted is 50{NBSP}%."
    assert state == row("stop", f"Ends at 37{NBSP}%", *lines, figure="")
    assert [part["sub"] for part in blocks(made, "picture")[0]["parts"]] == [
        f"residual, measured 20{NBSP}%", f"ethylene, 50{NBSP}%"
    ]  # fmt: skip


# --- gates ----------------------------------------------------------------------------------------


def ticked(name: str) -> Json:
    """What was never done, and is done by one press."""
    return row("stop", word(f"field.{name}"), "not done yet", framed=True, do=stores("done", name))


def test_a_gate_that_asks_the_ground_or_the_stands_whole() -> None:
    answers = {"work.route": ("seen", None), "repair.kind": ("hose_or_clamp", None),
               "repair.opened": ("reseated", None)}  # fmt: skip
    work = Hands(Logbook(), answers).until("gate.stands")
    head = [title(word("gate.stands.title")), prompt(word("gate.stands.prompt"))]
    asked = row("stop", word("field.car.raised"), "not answered", framed=True)
    set_, pushed, rocked = (f"stands.{name}" for name in ("set", "pushed", "rocked"))
    made = view(work.log)
    assert made["blocks"] == [
        *head, asked, choice("car.raised"), ticked(set_), ticked(pushed), ticked(rocked)
    ]  # fmt: skip
    assert made["foot"] == foot(
        None, key(word("screen.so_far"), {"look": "so_far"}, "undo"), stop("stands")
    )
    assert made["state"] == {"shape": "waits", "word": word("gate.stands.title"), "figure": ""}
    raised = work.log.add("fact", "car.raised", "raised")
    work.log.add("done", set_)
    up = row("stop", word("field.car.raised"), word("choice.car.raised.raised"),
             word("screen.press_to_undo"), framed=True,
             do=stores("undo", "car.raised", "", raised["id"]))  # fmt: skip
    assert view(work.log)["blocks"] == [*head, up, ticked(pushed), ticked(rocked)]


def cold_gate(celsius: float, shape: str, says: str, at: str, when: str) -> list[Json]:
    """Title, what to do, figure and edge; the gate opens below 50 °C (the rules' limit)."""
    below = word("shut.open_below")
    low, high = min(10.0, celsius // 10.0 * 10.0), max(100.0, celsius)
    return [
        title(word("gate.cold.title")),
        prompt(word("gate.cold.prompt")),
        {"block": "value", "label": f"{word('field.coolant.temperature')}, {at}",
         "value": f"{celsius:.0f}", "unit": "°C", "shape": shape, "word": says},
        {"block": "scale", "low": low, "high": high, "major": 10.0, "minor": 2.0, "unit": "°C",
         "limit": {"at": pytest.approx(50.0), "words": below},
         "marks": [{"at": pytest.approx(celsius), "words": when, "filled": True}],
         "sentence": f"{when.capitalize()} {celsius:.0f}{NBSP}°C; {below} 50{NBSP}°C."},
    ]  # fmt: skip


PRESSURE: Final = "system.pressure_sign"
NOT_YET: Final = row(
    "not_measured", word("field.system.pressure_sign"), figure="not measured", framed=True
)
ASK: Final = (heading(word("ask.system.pressure_sign")), choice(PRESSURE))


def test_the_cool_down_gate_from_hot_to_old_to_cold() -> None:
    log = described()
    said = word("gate.cold.title")
    made = view(log)
    assert made["state"] == {"shape": "waits", "word": said, "figure": "not measured"}
    asked = row("not_measured", word("field.coolant.temperature"), figure="not measured",
                framed=True)  # fmt: skip
    assert made["blocks"] == [title(said), prompt(word("gate.cold.prompt")), asked, NOT_YET]
    measure, earlier = (made["foot"]["main"], made["foot"]["keys"][0])
    assert (measure["label"], measure["icon"]) == (word("shut.measure"), "temperature")
    assert (earlier["label"], earlier["icon"]) == (word("screen.earlier"), "clock")
    assert measure["do"]["pad"] == earlier["do"]["earlier"]
    assert made["foot"]["keys"][1:] == [stop("cold")]
    hot = log.add("fact", "coolant.temperature", "74", "°C")
    at = hot["at"][11:16]
    made = view(log)
    assert made["state"] == {"shape": "waits", "word": said, "figure": f"74{NBSP}°C"}
    waits = made["blocks"][4]
    assert waits == row("waits", waits["word"], waits["lines"][0],
                        "Then measure again. Do other work.")  # fmt: skip
    assert waits["word"].startswith(f"Below 50{NBSP}°C at about 14:")
    gate = cold_gate(74.0, "stop", word("shut.unmet.temperature"), at, "now")
    assert made["blocks"] == [*gate, waits, NOT_YET]
    assert made["foot"]["main"]["label"] == word("shut.again")
    log.add("fact", "place.ambient", "50", "°C")  # it never gets below the air around it
    unknown = row("waits", f"Waits to fall below 50{NBSP}°C", "Measure again later.")
    assert view(log)["blocks"] == [*gate, unknown, NOT_YET]
    log.now += 1300.0
    old = row("waits", word("shut.stale"), "Measure again before it opens.")
    gate = cold_gate(74.0, "not_measured", "Old", at, "then")
    assert view(log)["blocks"] == [*gate, old, NOT_YET]
    cold = log.add("fact", "coolant.temperature", "31", "°C")
    made = view(log)
    gate = cold_gate(31.0, "done", word("shut.met.temperature"), cold["at"][11:16], "now")
    assert made["blocks"] == [*gate, *ASK]
    assert made["foot"]["main"] is None
    assert [each["label"] for each in made["foot"]["keys"]] == [word("shut.again"), STOP]
    log.add("fact", PRESSURE, "under_pressure")
    pressing = row("stop", word("shut_by.system.pressure_sign"), framed=True)
    assert view(log)["blocks"] == [*gate, pressing, *ASK]


# --- levels and drive or tow ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("how", "before", "after", "shape", "figure", "more"),
    [
        # 40 cm2 by 30 mm are 120 mL; by 40 mm 160 mL. 150 mL of air stay after a vacuum fill.
        ("vacuum", "30", "0", "done", "120", ()),
        ("vacuum", "40", "0", "stop", "160", (word("screen.level_more"),)),
        ("open_neck", "40", "0", "done", "160", ()),
        ("vacuum", "10", "20", "done", "\N{MINUS SIGN}40", ()),
    ],
)
def test_the_level_after_cooling_whole(
    how: str, before: str, after: str, shape: str, figure: str, more: tuple[str, ...]
) -> None:
    log = Logbook()
    Hands(log, {"fill.how": (how, None)}).until("recheck")
    ids: dict[str, str | None] = {}
    for name, typed, unit in (("recheck.before", before, "mm"), ("recheck.after", after, "mm"),
                              ("watch.area", "40", "cm2")):  # fmt: skip
        ids[name] = log.add("fact", name, typed, unit)["id"]
    made = view(log)
    most = {"vacuum": "150", "open_neck": "500"}[how]
    expected = f"{word('screen.level_expected')} {most}{NBSP}mL."
    typed = {"recheck.before": f"{before}{NBSP}mm", "recheck.after": f"{after}{NBSP}mm",
             "watch.area": f"40{NBSP}cm2"}  # fmt: skip
    assert made["blocks"][0] == title(word("step.recheck.title"))
    assert made["blocks"][2:] == [
        *(padded(made, name, ids[name], "done", typed[name]) for name in ids),
        row(shape, word("screen.level_change"), expected, *more, figure=f"{figure}{NBSP}mL",
            framed=True),
    ]  # fmt: skip
    main = key(word("step.recheck.main"), stores("done", "recheck.seen"), "tick")
    assert made["foot"] == foot(main, caution=made["foot"]["caution"])
    log.add("not_done", "watch.area")
    made = view(log)
    assert len(blocks(made, "state")) == 3
    assert made["blocks"][-1] == padded(
        made, "watch.area", log.events[-1]["id"], "not_measured", "not measured"
    )


def test_the_level_watch_whole() -> None:
    log = Logbook()
    Hands(log).until("level_watch")
    made = view(log)
    rows = [padded(made, name, None, "not_measured", "not measured")
            for name in ("watch.level", "watch.area")]  # fmt: skip
    assert made["blocks"] == [
        title(word("step.level_watch.title")), made["blocks"][1], *rows
    ]  # fmt: skip
    booked = "watch.booked"
    assert made["foot"] == foot(
        key(word(f"choice.{booked}.booked"), stores("fact", booked, "booked"), "tick"),
        key(word("screen.calendar"), {"call": "calendar"}, "export"),
        key(word(f"choice.{booked}.not_booked"), stores("fact", booked, "not_booked")),
    )


ON_THE_ROAD: Final = {"work.where": ("mobile", None), "work.route": ("seen", None)}


def test_drive_or_tow_whole() -> None:
    """0.4 L an hour and 1 L in reserve: a trip of more than half of that is too long."""
    log = Logbook()
    Hands(log, ON_THE_ROAD).until("drive")
    made = view(log)
    step = next(s for s in RULES.procedures["coolant_loss"].steps if s.id == "drive")
    names = ("car.reserve", "drive.trip")

    def whole(made: Json, verdict: Json, known: dict[str, Any]) -> list[Json]:
        rows = [padded(made, n, *known.get(n, (None, "not_measured", "not measured")))
                for n in names]  # fmt: skip
        asked = [b for b in made["blocks"] if b["block"] == "checklist"]
        assert [each["label"] for each in asked[0]["rows"]] == [
            word(f"field.{name}") for name in step.checks
        ]
        return [
            title(word("step.drive.title")), verdict, prompt(word("step.drive.prompt")), *asked,
            *rows, heading(word("screen.drive_ask")), choice("drive.decision"),
        ]  # fmt: skip

    unknown = row("not_measured", word("decision.not_judged"), word("decision.no_rate"),
                  framed=True)  # fmt: skip
    assert made["blocks"] == whole(made, unknown, {})
    assert made["foot"] == foot(None)
    trip = log.add("fact", "drive.trip", "30", "min")["id"]
    made = view(log)
    known = {"drive.trip": (trip, "done", f"30{NBSP}min")}
    assert made["blocks"] == whole(made, unknown, known)
    never = [name for name in step.checks if FIELDS[name].get("options", [""])[0] == "no"][:2]
    for name in never:
        log.add("fact", name, "yes")
    made = view(log)
    words = "; ".join(word(f"field.{name}") for name in never)
    assert made["blocks"] == whole(
        made, row("stop", word("decision.tow"), words, framed=True), known
    )


# --- the cap and the tester -----------------------------------------------------------------------


def test_the_cap_s_figures_stand_where_a_rating_is_known() -> None:
    """110 kPa on the print: 0.8 of it is 88, 0.9 and 1.15 of it are 99 and 126.5, by the rules."""
    log = described()
    log.pass_the_gate()
    log.add("fact", "cap.how", "tested")
    for n, typed, unit in ((1, "120", "kPa"), (2, "16.5", "psi"), (3, "1.18", "bar")):
        log.add("fact", f"cap.opening_{n}", typed, unit)
    made = view(log)
    assert made["step"] == "cap_hold"
    rows = [
        [word("screen.cap_print"), f"110{NBSP}kPa"],
        [word("screen.cap_target"), f"88{NBSP}kPa"],
        [word("screen.cap_opened"), f"120{NBSP}kPa, 16.5{NBSP}psi, 1.18{NBSP}bar"],
        [word("screen.cap_allowed"), f"99 to 126{NBSP}kPa"],
    ]
    assert made["blocks"][2:] == [table(*rows), choice("cap.holds")]
    log.add("fact", "cap.holds", "falls")
    log.add("fact", "cap.return_valve", "stuck")
    made = view(log)
    assert made["step"] == "cap_new"
    stop_it = row("stop", word("screen.cap_stop"), word("screen.cap_watch"), framed=True)
    assert made["blocks"] == [made["blocks"][0], stop_it, table(*rows)]


def test_a_tester_that_leaks_whole() -> None:
    """0.5 kPa on a division of 2 kPa is a quarter; 3 kPa are 1.5. Sound is up to a half."""
    log = described()
    log.add("mark", "tester.self_again")
    log.add("fact", "tester.self_fall", "0.5", "kPa")
    rows = [
        [word("field.tester.division"), f"2{NBSP}kPa"],
        [word("field.tester.adapter"), "Neck, wide"],
        [word("field.tester.own_fall"), "not measured"],
    ]
    again = key(word("field.tester.self_again"), stores("mark", "tester.self_again"), "pump")
    made = view(log)
    head = title(word("step.tester_result.title"))
    line = f"0.5{NBSP}kPa is 0.25 of a division; a sound tester loses 0.5 at most."
    sound = row("done", word("screen.tester_sound"), line, word("screen.tester_counted"),
                framed=True)  # fmt: skip
    assert made["blocks"] == [head, sound, table(*rows, figures=())]
    seen = key(word("step.tester_result.main"), stores("done", "tester.self_seen"), "tick")
    assert made["foot"] == foot(seen, again)
    log.add("fact", "tester.self_fall", "3", "kPa")
    made = view(log)
    line = f"3{NBSP}kPa is 1.5 of a division; a sound tester loses 0.5 at most."
    leaks = row("stop", word("screen.tester_leaks"), line, word("screen.tester_mend"), framed=True)
    assert made["blocks"] == [head, leaks, table(*rows, figures=())]
    anyway = {"reason": event("fact", "tester.used_leaking")}
    assert made["foot"] == foot(again, key(word("field.tester.used_leaking"), anyway))


def test_a_vacuum_fill_whose_figures_are_missing_is_not_guessed() -> None:
    step = next(s for s in RULES.procedures["coolant_loss"].steps if s.id == "uptake_plan")
    job = fold(RULES, Logbook().events)
    body, made = uptake.blocks(SHOW, job, step)
    main = key(word("step.uptake_plan.main"), stores("done", "fill.plan_seen"), "jug")
    assert made == foot(main, CHANGE)
    why = "Coolant out or the vacuum reading is missing."
    assert body == [
        title(word("step.uptake_plan.title")),
        row("not_measured", "Not known what it will take", why, framed=True),
    ]
    assert uptake.rows(SHOW, job) == ()
