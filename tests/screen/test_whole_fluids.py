"""Pages of the fluids, of a stop, and of what is beside a step: whole, to a given judgement."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any, Final

import pytest

from tests.hands import Hands
from tests.logbook import ZERO, Logbook
from tests.screen.hand.common import CHANGE
from tests.screen.hand.plain import (
    NBSP,
    caution,
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
from tests.screen.test_pressed import HAZARDS
from tests.screen.test_view import RULES, blocks, described, holding, view
from weeptrace.fill.uptake import Uptake
from weeptrace.finding import Estimate, Reason
from weeptrace.hold.data import Assessment
from weeptrace.job import coolant, holds
from weeptrace.job.advance import fold
from weeptrace.loss.balance import Balance, Misfit, Volume
from weeptrace.loss.lasts import Lasts
from weeptrace.refusal import Refusal
from weeptrace.rules import Step
from weeptrace.screen import own_rules, weighed
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import balance, drive, mix, uptake, verdict
from weeptrace.screen.pages.recorder import axis
from weeptrace.screen.record import course
from weeptrace.screen.record.drawing import day, fluids

Json = dict[str, Any]
SHOW: Final = Show(RULES, next(e["units"] for e in RULES.unit_sets if e["id"] == "kpa"))
LITRE: Final = 1e-3
STOP: Final = {"reason": event("stopped", "gate.cold")}


def step(id: str) -> Step:
    return next(s for s in RULES.procedures["coolant_loss"].steps if s.id == id)


def litres(value: float, spread: float = 0.1) -> Volume:
    return Volume(value * LITRE, (value - spread) * LITRE, (value + spread) * LITRE)


def balanced(closes: Any, closure: Volume | None, **has: Any) -> Balance:
    usual: Json = {"capacity_closure": None, "misfit": None, "left_behind": None,
                   "waste": {"used_coolant": litres(4.3), "spilled": litres(0.05)},
                   "not_measured": ()}  # fmt: skip
    return Balance(closure=closure, closes=closes, **{**usual, **has})


LEFT: Final = f"Out less in: 0.50{NBSP}L (0.40 to 0.60, 95{NBSP}%)."


@pytest.mark.parametrize(
    ("found", "says"),
    [
        (balanced("yes", litres(0.5)),
         row("done", "The balance closes", LEFT, word("screen.closes"), framed=True)),
        (balanced("not_judged", litres(0.5)),
         row("not_measured", "Too vague to say", LEFT, framed=True)),
        (balanced("no", litres(0.5)), row("not_measured", "Too vague to say", LEFT, framed=True)),
        (balanced("no", litres(0.5), misfit=Misfit("air_left", 0.5 * LITRE, ())),
         row("stop", f"0.50{NBSP}L: {word('misfit.air_left')}", LEFT, framed=True)),
        (balanced("no", litres(0.5), misfit=Misfit("uncounted_spill", 0.5 * LITRE,
                                                   ("air_left", "wrong_capacity"))),
         row("stop", f"0.50{NBSP}L: {word('misfit.uncounted_spill')}", LEFT,
             f"Or: {word('misfit.air_left')}, {word('misfit.wrong_capacity')}.", framed=True)),
        (balanced("not_judged", None, not_measured=("filled", "spilled")),
         row("not_measured", "Not judged",
             f"Not measured: {word('field.coolant.filled')}, "
             f"{word('field.coolant.spilled')}.", framed=True)),
    ],
)  # fmt: skip
def test_a_balance_whole(monkeypatch: pytest.MonkeyPatch, found: Balance, says: Json) -> None:
    log = Logbook()
    log.add("fact", "coolant.drained", "4.3", "L")
    log.add("not_done", "coolant.filled")
    monkeypatch.setattr(coolant, "fluid_balance", lambda rules, job: found)
    job = fold(RULES, log.events)
    body, made = balance.blocks(SHOW, job, step("fluid_balance"))
    names = ("missing_before", "drained", "spilled", "filled")
    typed = {"drained": f"4.3{NBSP}L"}
    streams = [[word(f"field.coolant.{name}"), typed.get(name, "not measured")] for name in names]
    waste = [[word("waste.used_coolant"), f"4.30{NBSP}L"], [word("waste.spilled"), f"0.05{NBSP}L"]]
    assert body == [
        title(word("step.fluid_balance.title")), says, table(*streams), heading("Waste"),
        table(*waste), row(None, "", word("screen.waste")),
    ]  # fmt: skip
    main = key(word("step.fluid_balance.main"), stores("done", "balance.seen"))
    assert made == foot(main, CHANGE)
    told = [("Balance", " ".join([f"{says['word']}.", *says["lines"]]))]
    assert list(balance.rows(SHOW, job)) == told + [(f"Waste: {n}", said) for n, said in waste]


def refuse(*_: Any) -> Any:
    raise Refusal("impossible", "More is out than it holds.")


def test_volumes_that_do_not_fit_are_told_in_the_words_of_the_refusal(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    why = "More is out than it holds."
    for name in ("fluid_balance", "mix_plan", "uptake"):
        monkeypatch.setattr(coolant, name, refuse)
    job = fold(RULES, Logbook().events)
    names = ("missing_before", "drained", "spilled", "filled")
    streams = table(*([word(f"field.coolant.{name}"), "not measured"] for name in names))
    wrong = row("stop", "The volumes do not fit together", why, framed=True)
    body, _ = balance.blocks(SHOW, job, step("fluid_balance"))
    assert body[1:] == [wrong, streams]
    body, made = mix.blocks(SHOW, job, step("mix_plan"))
    assert body == [title(word("step.mix_plan.title")), wrong]
    main = f"{word('step.mix_plan.main')} without a plan"
    assert made["main"] == key(main, stores("done", "coolant.mixed"), "jug")
    assert made["keys"] == [CHANGE]
    body, _ = uptake.blocks(SHOW, job, step("uptake_plan"))
    assert body[1:] == [row("stop", "The readings do not fit this altitude", why, framed=True)]
    assert balance.rows(SHOW, job) == (("Balance", why),)
    assert mix.rows(SHOW, job) == (("Mix plan", why),)
    assert uptake.rows(SHOW, job) == ()
    assert fluids.bars(SHOW, job) == []


def test_a_mix_without_its_figures_names_them() -> None:
    log = Logbook()
    log.add("fact", "car.capacity", "8", "L")
    log.add("fact", "coolant.drained", "4", "L")
    job = fold(RULES, log.events)
    missing = [word(f"field.{name}") for name in coolant.not_measured(job)]
    assert word("field.coolant.residual_strength") in missing
    assert word("field.car.capacity") not in missing
    body, _ = mix.blocks(SHOW, job, step("mix_plan"))
    assert body == [
        title(word("step.mix_plan.title")),
        prompt("The mix cannot be planned without these. Nothing is guessed."),
        *(row("not_measured", name, figure="not measured", framed=True) for name in missing),
    ]
    said = f"not made: {', '.join(missing)} not measured"
    assert mix.rows(SHOW, job) == (("Mix plan", said),)


@pytest.mark.parametrize("ready", [None, "4.9", "5", "6"])
def test_what_a_vacuum_fill_takes_whole(monkeypatch: pytest.MonkeyPatch, ready: str | None) -> None:
    found = Uptake(4.25 * LITRE, 4.0 * LITRE, 4.5 * LITRE, 0.35 * LITRE, 5.0 * LITRE,
                   (0.0, 0.0), 1.0, "air_left", None, ())  # fmt: skip
    monkeypatch.setattr(coolant, "uptake", lambda rules, job: found)
    log = Logbook()
    log.add("fact", "coolant.drained", "4.6", "L")
    if ready is not None:
        log.add("fact", "fill.container", ready, "L")
    job = fold(RULES, log.events)
    body, _ = uptake.blocks(SHOW, job, step("uptake_plan"))
    must = f"5.00{NBSP}L must be ready"
    enough = "More than it takes, so that it does not run dry."
    there = f"{float(ready or 0):.2f}{NBSP}L is there"
    short = f"{there}, 0.10{NBSP}L short."
    says = {
        None: row("now", must, enough, word("screen.two_jugs"), framed=True),
        "4.9": row("stop", must, short, word("screen.join_containers"), framed=True),
    }.get(ready, row("done", must, enough, figure=there, framed=True))
    figures = table(["Empty before the fill", f"4.60{NBSP}L"], ["It will take", f"4.25{NBSP}L"],
                    ["Air that stays", f"0.35{NBSP}L"])  # fmt: skip
    assert body == [title(word("step.uptake_plan.title")), says, figures]
    assert uptake.rows(SHOW, job) == (
        ("Uptake expected", f"4.25{NBSP}L"), ("Air left after the fill", f"0.35{NBSP}L"),
        ("Uptake measured", word("uptake.found.air_left")),
    )  # fmt: skip


def test_what_went_in_to_the_last_drop_is_nothing_left_over() -> None:
    left = fluids._left(SHOW, balanced("yes", Volume(0.0, -LITRE, LITRE)))
    assert (left.word, left.volume, left.kind) == ("Left over: out less in", 0.0, "open")


# --- a stop ---------------------------------------------------------------------------------------


def test_a_stop_in_many_words_is_cut_in_the_list_and_whole_on_its_page() -> None:
    log = described()
    why = "The bolt is seized and the owner wants to think about it"
    stop = log.add("stopped", "gate.cold", why)
    made = view(log)
    assert made["state"] == {"shape": "stop", "word": "Stopped", "figure": why[:30]}
    assert made["blocks"][:3] == [
        title(word("screen.stopped")), row("stop", f"Stop, because {why}"),
        heading(word("stopped.stands")),
    ]  # fmt: skip
    main = key(word("stopped.go_on"), stores("undo", "gate.cold", "", stop["id"]), "undo")
    record = key(word("screen.record_so_far"), {"look": "record"}, "print")
    assert made["foot"] == foot(main, record)


def test_too_hot_first_cools_and_then_asks_what_happened() -> None:
    work = Hands(Logbook()).until("warm_log")
    for celsius in ("90", "124"):
        work.log.now += 60.0
        work.log.add("reading", "warm.coolant", celsius, "°C")
    made = view(work.log)
    head = title(word("stop_hot.title"), f"124{NBSP}°C")
    now = made["blocks"][1]
    assert now == row("stop", word("stop_hot.now"), *now["lines"], framed=True)
    assert len(now["lines"]) == 3
    assert made["blocks"][0] == head
    assert made["blocks"][2] == heading(word("stop_hot.then"))
    assert title(word("gate.cold.title")) not in made["blocks"]
    assert made["state"] == {"shape": "stop", "word": word("stop_hot.title"),
                             "figure": f"124{NBSP}°C"}  # fmt: skip
    work.log.now += 7200.0
    work.log.pass_the_gate("30")
    made = view(work.log)
    ask = {
        "block": "text", "event": event("fact", "hot.happened"), "store": "Store",
        "label": word("field.hot.happened"),
        "longest": FIELDS["hot.happened"].get("longest", RULES.fields["hot.happened"].longest),
    }  # fmt: skip
    assert made["blocks"] == [head, now, prompt(word("stop_hot.ask")), ask]
    hot = caution(word(HAZARDS["hot_coolant"]["caution"]), "warning")
    stop = key(word("screen.stop_refer"), STOP, "stop")
    assert made["foot"] == foot(None, stop, caution=hot)


def test_a_refused_entry_stands_framed_above_the_step() -> None:
    log = holding("110", "109")
    log.read("170")  # past the end of the scale, at 160
    refused = view(log)["blocks"][1]
    told = row("stop", word("screen.refused"), refused["lines"][0], framed=True)
    assert refused == {**told, "refused": log.events[-1]["id"]}
    assert not [b for b in blocks(view(log, "so_far"), "state") if b == refused]


def test_where_to_look_stands_over_the_search_while_pressure_is_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hints = (Reason("air_side", "Look at cap and neck."), Reason("any", "Elsewhere."))
    monkeypatch.setattr(holds, "assess", lambda *_: Assessment("not_judged", hints=hints))
    log = holding("110", "109", "108")
    assert not [b for b in blocks(view(log), "state") if b["lines"] == ["Look at cap and neck."]]
    log.add("mark", "hold.ended")
    log.add("done", "hold.seen")
    made = view(log)
    assert made["edge"]["phases"][made["edge"]["now"]] == word("phase.cause")
    air = word("explanation.air_side")
    assert made["blocks"][1] == row("waits", air, "Look at cap and neck.", framed=True)
    assert not [b for b in blocks(made, "state") if b["lines"] == ["Elsewhere."]]
    assert air not in [b["word"] for b in blocks(view(log, "so_far"), "state")]


# --- edges of figures -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.0049, "<1"), (0.005, "<1"), (0.0051, "1"), (0.5, "50"), (0.9949, "99"), (0.995, ">99"),
     (0.9951, ">99")],
)  # fmt: skip
def test_no_weight_is_told_as_nothing_or_as_all(share: float, words: str) -> None:
    assert weighed._weight(SHOW, share) == f"{words}{NBSP}%"


def test_an_axis_from_nothing_begins_there_and_a_single_value_has_room() -> None:
    assert axis(0.0, 4.0)["low"] == 0.0
    assert axis(5.0, 5.0)["low"] < 5.0 < axis(5.0, 5.0)["high"]
    # Up to 3.2 steps are drawn, and a tenth of one is room enough at either end.
    assert axis(0.0, 3.2)["labels"] == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert axis(0.0, 3.3)["labels"] == [0.0, 2.0, 4.0]
    assert (axis(0.0, 29.0)["high"], axis(0.0, 29.5)["high"]) == (30.0, 35.0)
    assert (axis(21.0, 45.0)["low"], axis(20.5, 45.0)["low"]) == (20.0, 15.0)


def test_a_hold_of_which_nothing_was_read_says_so() -> None:
    job = fold(RULES, Logbook().events)
    assert verdict.over(SHOW, job.present(holds.PRESSURE)) == "Nothing was read"


def test_moments_of_one_day_and_a_clock_that_jumped_a_month() -> None:
    """Up to thirty days are work that lay still; a second more is a clock that was set."""
    month = 30.0 * 24.0 * 3600.0
    for jump, told in ((0.0, 0.0), (month, month), (month + 1.0, None), (-1.0, None)):
        log = Logbook()
        log.add("fact", "car.name", "Heron")
        log.now = jump
        log.add("fact", "work.where", "workshop")
        made = day.stretches(RULES, fold(RULES, log.events))
        end = ZERO if told is None else ZERO + timedelta(seconds=told)
        assert [(each.start, each.end) for each in made] == [(ZERO, end)]


def test_a_part_of_the_points_is_told_as_a_part() -> None:
    log = Logbook()
    log.add("fact", "repair.kind", "radiator")
    log.add("done", "match.ports")
    log.add("done", "match.neck_cap")
    made = blocks(view(log, "record"), "table")
    rows = [cells for each in made for cells in each["rows"]]
    assert ["New part against the car", "2 of 14 points matched"] in rows
    assert not [cells for cells in rows if cells[0].startswith("Joints")]


def test_rules_of_an_earlier_version_are_told_at_the_ends_of_a_job() -> None:
    older = replace(RULES, newest="fedcba987654")
    first = f"{word('screen.rules_older')} {RULES.hash}"
    then = f"{word('screen.rules_older_then')} fedcba987654."
    told = row(None, first, then)
    log = Logbook(RULES.hash)
    job = fold(older, log.events)
    assert own_rules.words(replace(SHOW, rules=older), job) == (first, then)
    assert own_rules.words(SHOW, job) == ("", "")
    work = Hands(Logbook(RULES.hash)).until("complaint")
    stand, late = work.stand(), Hands(Logbook(RULES.hash)).until("pump_up").stand()
    assert stand.step is not None
    assert stand.step.phase == "intake"
    assert own_rules.blocks(replace(SHOW, rules=older), job, stand, "") == [told]
    assert own_rules.blocks(replace(SHOW, rules=older), job, late, "") == []
    assert own_rules.blocks(replace(SHOW, rules=older), job, late, "so_far") == [told]
    closed = late._replace(step=None)
    assert own_rules.blocks(replace(SHOW, rules=older), job, closed, "") == [told]
    assert own_rules.blocks(SHOW, job, closed, "record") == []


@pytest.mark.parametrize(
    ("found", "says"),
    [
        (Lasts(Estimate(5400.0, 3600.0, 7200.0), None, "drive", (), ()),
         row("done", word("decision.drive"), f"{word('screen.drive_to_low')} 1.5{NBSP}h.",
             framed=True)),
        (Lasts(None, None, "tow", ("gross", "oil_mixed"), ()),
         row("stop", word("decision.tow"),
             f"{word('decision.gross')}; {word('field.drive.oil_mixed')}", framed=True)),
        (Lasts(None, None, "not_judged", ("trip_not_measured",), ()),
         row("not_measured", word("decision.not_judged"), word("decision.trip_not_measured"),
             framed=True)),
    ],
)  # fmt: skip
def test_what_a_known_loss_says_of_driving(
    monkeypatch: pytest.MonkeyPatch, found: Lasts, says: Json
) -> None:
    monkeypatch.setattr(drive, "lasts", lambda rules, job: found)
    body, _ = drive.blocks(SHOW, fold(RULES, Logbook().events), step("drive"))
    assert body[1] == says


@pytest.mark.parametrize("answer", ["none", None])
def test_no_further_test_is_no_row_of_the_record(answer: str | None) -> None:
    log = Logbook()
    log.add("fact" if answer else "not_done", "test.kind", answer or "")
    log.add("fact", "test.evening", "110", "kPa")
    assert course.further_tests(SHOW, fold(RULES, log.events)) == ()
    log.add("fact", "test.kind", "dye")
    (told,) = course.further_tests(SHOW, fold(RULES, log.events))
    assert told[0] == "Dye"  # the key says "Dye and return"
    assert told[1].startswith(f"{word('field.test.evening')}: 110{NBSP}kPa")


@pytest.mark.parametrize("glycol", ["ethylene", None])
def test_a_mix_of_a_glycol_that_nobody_knows_freezes_at_no_figure(glycol: str | None) -> None:
    log = Logbook()
    for name, typed, unit in (("car.capacity", "8", "L"), ("coolant.drained", "4", "L"),
                              ("coolant.residual_strength", "35", "%"),
                              ("coolant.target_strength", "50", "%")):  # fmt: skip
        log.add("fact", name, typed, unit)
    log.add("fact", "coolant.at_hand", "concentrate")
    log.add("fact" if glycol else "not_done", "car.glycol", glycol or "")
    job = fold(RULES, log.events)
    freezes = [name for name, _ in mix.rows(SHOW, job) if name.startswith("Freeze point")]
    assert bool(freezes) is (glycol is not None)
    body, _ = mix.blocks(SHOW, job, step("mix_plan"))
    unknown = row("not_measured", "Freeze point", "The glycol is not known, or too strong.")
    assert (unknown in body) is (glycol is None)
