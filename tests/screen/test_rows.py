"""Rows of the lesser pages: what each says, by which sign, and what a press on it does."""

from __future__ import annotations

from typing import Any

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand.told import word
from tests.screen.test_view import RULES, blocks, described, holding, view
from weeptrace import screen
from weeptrace.job.advance import fold

Json = dict[str, Any]
NBSP = "\N{NO-BREAK SPACE}"


def states(made: Json) -> list[tuple[str | None, str, str, list[str], bool]]:
    return [
        (row["shape"], row["word"], row["figure"].replace(NBSP, " "), row["lines"], row["framed"])
        for row in blocks(made, "state")
    ]


def done_to(row: Json) -> tuple[str, str, str, str | None]:
    event = row["do"]["event"]
    return event["kind"], event["field"], event["typed"], event.get("supersedes")


def cells(made: Json) -> list[list[str]]:
    return [[c.replace(NBSP, " ") for c in row] for t in blocks(made, "table") for row in t["rows"]]


def test_a_fan_that_may_have_come_back_on_is_asked_again() -> None:
    log = holding("110", "109", "108", "107", "106", "105")
    for event in ("hold.ended", "hold.seen"):
        log.add("mark" if event == "hold.ended" else "done", event)
    Hands(log).until("gate.fan_safe")
    made = view(log)
    title = word("gate.fan_safe.title")
    assert (made["blocks"][0]["text"], made["blocks"][0]["count"]) == (title, "")
    (row,) = blocks(made, "state")
    assert (row["shape"], row["framed"]) == ("stop", True)
    assert row["word"] == word("field.fan.off")
    assert done_to(row) == ("done", "fan.off", "", None)
    assert made["foot"]["main"] is None
    assert [key["label"] for key in made["foot"]["keys"]] == [
        word("screen.so_far"), word("screen.stop_refer")
    ]  # fmt: skip
    assert made["foot"]["keys"][1]["do"] == {
        "reason": {"kind": "stopped", "field": "gate.fan_safe", "typed": "", "unit": None}
    }


def test_the_tester_s_page_says_division_adapter_and_the_bench_with_its_day() -> None:
    log = described()
    log.add("mark", "tester.self_again")
    log.add("fact", "tester.self_fall", "0.5", "kPa")
    made = view(log)
    assert cells(made) == [
        [word("field.tester.division"), "2 kPa"],
        [word("field.tester.adapter"), "Neck, wide"],
        [word("field.tester.own_fall"), "not measured"],
    ]
    line = "0.5 kPa is 0.25 of a division; a sound tester loses 0.5 at most."
    sound = states(made)[0]
    assert sound[:3] == ("done", word("screen.tester_sound"), "")
    assert [each.replace(NBSP, " ") for each in sound[3]] == [line, word("screen.tester_counted")]
    log.add("fact", "tester.own_fall", "0.4", "kPa")
    log.add("fact", "tester.self_fall", "3", "kPa")
    made = view(log)
    assert cells(made)[2][1] == "0.4 kPa, 2026-11-25"
    leaks = states(made)[0]
    assert leaks[0] == "stop"
    assert leaks[1] == word("screen.tester_leaks")
    assert leaks[3][1] == word("screen.tester_mend")
    assert made["foot"]["main"]["do"]["event"]["field"] == "tester.self_again"
    (anyway,) = made["foot"]["keys"]
    assert anyway["do"]["reason"]["field"] == "tester.used_leaking"


def taken_apart() -> Logbook:
    log = Logbook()
    Hands(log).until("teardown")
    return log


def test_the_ledger_tells_where_a_part_lies_and_offers_the_next_one() -> None:
    log = taken_apart()
    made = view(log)
    (ledger,) = blocks(made, "ledger")
    first, second = ledger["rows"][:2]
    assert made["blocks"][0]["count"] == "0 off"
    assert (first["now"], second["now"]) == (True, False)
    assert (first["off"], first["on"]) == ("to_do", "waits")
    comes = RULES.fields["part.under_tray"].comes
    assert first["lines"] == [word(f"comes.{comes}")]
    assert done_to(first) == ("fact", "part.under_tray", "off", None)
    label = f"{word(f'comes.{comes}')}: {word('field.part.under_tray')}"
    assert made["foot"]["main"]["label"] == label
    stays, another, finish = made["foot"]["keys"]
    assert stays["do"]["event"]["kind"] == "not_done"
    assert stays["do"]["event"]["typed"] == stays["label"] == word("screen.stays_on")
    assert another["do"]["reason"]["field"] == "part.own_1"
    assert finish["do"]["event"]["field"] == "ledger.off_complete"
    log.now += 60.0
    off = log.add("fact", "part.under_tray", "off")
    log.add("note", "part.under_tray", "tray, left")
    log.add("not_done", "part.condenser", "Stays on")
    log.add("note", "part.own_1", "Skid plate")
    made = view(log)
    rows = {row["word"]: row for row in blocks(made, "ledger")[0]["rows"]}
    tray = rows[word("field.part.under_tray")]
    assert made["blocks"][0]["count"] == "2 off"
    assert (tray["off"], tray["on"], tray["do"]) == ("off", "to_do", None)
    assert tray["lines"][:3] == [word(f"comes.{comes}"), "tray, left", off["at"][11:16]]
    where, picture = tray["more"]
    assert where["do"]["reason"]["kind"] == "note"
    assert picture["do"]["photo"]["field"] == "part.under_tray"
    left_on = rows[word("field.part.condenser")]
    assert (left_on["off"], left_on["lines"], left_on["do"]) == ("to_do", ["left on"], None)
    own = rows["Skid plate"]
    assert "Skid plate" not in own["lines"]  # its note is its name
    assert own["off"] == "off"
    assert [key["label"] for key in own["more"]] == [word("screen.photo")]


def test_what_came_off_last_goes_on_first_and_is_told_by_its_own_name() -> None:
    log = taken_apart()
    for name in ("part.under_tray", "part.upper_hose", "part.radiator"):
        log.add("fact", name, "off")
    log.add("note", "part.own_1", "Skid plate")
    log.add("done", "ledger.off_complete")
    Hands(log).until("reassembly")
    made = view(log)
    assert made["blocks"][0]["count"] == "0 of 4 on"
    rows = blocks(made, "ledger")[0]["rows"]
    assert [row["now"] for row in rows] == [True, False, False, False]
    assert made["foot"]["main"]["label"] == "Skid plate is on"
    for row in rows:
        needed = RULES.fields[row["do"]["event"]["field"]].needed_to_run
        assert (word("screen.needed_to_run") in row["lines"]) is needed
        assert row["do"]["event"]["typed"] == "on"
        assert row["more"] == []
    log.add("fact", "part.own_1", "on")
    made = view(log)
    assert made["blocks"][0]["count"] == "1 of 4 on"
    last = blocks(made, "ledger")[0]["rows"][-1]
    assert (last["word"], last["on"], last["do"]) == ("Skid plate", "on", None)


def test_all_that_is_stored_says_what_became_of_it() -> None:
    log = holding("110", "109")
    refused = log.read("170")
    slip = log.add("reading", "hold.pressure", "108", "kPa", at=log.now + 30.0)
    log.add("reading", "hold.pressure", "107.5", "kPa", supersedes=slip["id"])
    log.add("not_done", "owner.rate", "will ask")
    log.add("photo", "finding.photo_wet", "picture-7")
    made = view(log, "so_far")
    rows = states(made)
    picture, unknown, mended, not_taken = rows[:4]
    assert picture[:2] == ("done", word("field.finding.photo_wet"))
    assert unknown[:3] == ("not_measured", word("field.owner.rate"), "not measured: will ask")
    assert mended[:3] == ("done", word("field.hold.pressure"), "107.5 kPa")
    assert not_taken[:3] == ("stop", word("field.hold.pressure"), "170 kPa")
    assert not_taken[3][0] == refused["at"][11:16]
    assert "0 to 160" in not_taken[3][1].replace(NBSP, " ")
    gone = rows[-1]
    assert gone[:4] == (
        "not_done", word("field.hold.pressure"), "108 kPa", ["taken back or corrected"]
    )  # fmt: skip
    (photos,) = blocks(made, "photo")
    assert photos["photos"] == [{"id": "picture-7", "caption": word("field.finding.photo_wet")}]
    assert made["foot"]["main"]["do"] == {"look": ""}
    stopped = log.add("stopped", "gate.cold", "bolt seized")
    first = states(view(log, "so_far"))[0]
    assert first[:2] == ("stop", "Stopped")
    assert first[3] == [stopped["at"][11:16], "bolt seized"]


def test_a_stopped_job_says_why_and_goes_on_by_one_press() -> None:
    log = described()
    stop = log.add("stopped", "gate.cold", "bolt seized")
    made = view(log)
    assert made["step"] == "stopped"
    assert made["state"] == {"shape": "stop", "word": "Stopped", "figure": "bolt seized"}
    assert states(made)[0][:2] == ("stop", "Stop, because bolt seized")
    assert done_to(made["foot"]["main"]) == ("undo", "gate.cold", "", stop["id"])
    (key,) = made["foot"]["keys"]
    assert key["do"] == {"look": "record"}


def test_what_is_signed_for_stands_over_the_place_to_sign() -> None:
    log = Logbook()
    log.add("fact", "shop.currency", "EUR")
    Hands(log, {"consent.how": ("signed", None), "consent.who": ("R. Sand", None)}).until(
        "consent_signature"
    )
    made = view(log)
    assert cells(made) == [
        [word("field.quote.total"), "480 EUR"], [word("field.quote.ceiling"), "560 EUR"]
    ]  # fmt: skip
    (place,) = blocks(made, "signature")
    assert place["label"] == "R. Sand"
    assert place["event"]["kind"] == "photo"
    assert place["event"]["field"] == "consent.signature"
    assert made["foot"]["main"] is None
    assert [block["block"] for block in made["blocks"]] == ["title", "prompt", "table", "signature"]


def test_what_still_leaks_is_named_before_the_search_begins_anew() -> None:
    log = Logbook()
    Hands(log, {"after.old_place": ("wet", None)}).until("reopen")
    made = view(log)
    rows = states(made)
    assert rows[0] == ("stop", word("screen.reopen_stop"), "", [word("screen.reopen_keeps")], True)
    (wet,) = rows[1:]
    assert wet[:3] == ("stop", word("field.after.old_place"), word("choice.after.old_place.wet"))
    assert done_to(made["foot"]["main"]) == ("mark", "work.reopened", "", None)
    assert made["foot"]["keys"][0]["do"]["reason"]["field"] == "work.left_leaking"


@pytest.mark.parametrize(
    ("answers", "shape", "decision"),
    [({}, "not_measured", "not_judged"), ({"drive.oil_mixed": "yes"}, "stop", "tow")],
)
def test_drive_or_tow_is_never_told_as_safe_on_what_is_unknown(
    answers: dict[str, str], shape: str, decision: str
) -> None:
    log = Logbook()
    Hands(log, {"work.where": ("mobile", None), "work.route": ("seen", None)}).until("drive")
    for name, said in answers.items():
        log.add("fact", name, said)
    made = view(log)
    first = states(made)[0]
    assert (first[0], first[1], first[4]) == (shape, word(f"decision.{decision}"), True)
    if decision == "tow":
        assert first[3] == [word("field.drive.oil_mixed")]
    else:
        assert first[3] == [word("decision.no_rate")]
    (choice,) = blocks(made, "choice")
    assert {row["do"]["event"]["field"] for row in choice["rows"]} == {"drive.decision"}
    questions = blocks(made, "checklist")[0]["rows"]
    (step,) = (s for s in RULES.procedures["coolant_loss"].steps if s.id == "drive")
    assert [row["label"] for row in questions] == [word(f"field.{name}") for name in step.checks]


def test_an_own_shop_page_shows_all_that_was_entered() -> None:
    log = Logbook(job="shop")
    log.events.clear()
    log.add("opened", "rules.shop", RULES.hash)
    job = fold(RULES, log.events)
    made = screen.view(RULES, job, log.moment(), screen.preferences({}, RULES))
    assert made["bar"] == {"title": word("screen.new_shop"), "number": ""}
    assert not made["practice"]
    assert not made["open"]
    assert [key["label"] for key in made["more"]] == [word("screen.so_far")]


def keys_of(made: Json) -> dict[str, Json]:
    return {key["label"]: key["do"] for key in made["foot"]["keys"]}


def mark(field: str, kind: str = "mark", **more: str) -> Json:
    return {"event": {"kind": kind, "field": field, "typed": "", "unit": None, **more}}


def test_the_keys_of_a_hold_mark_what_was_done_to_it() -> None:
    log = holding("110", "109", "108", "107", "106", "105")
    assert keys_of(view(log)) == {
        "Pumped": mark("hold.pumped"), "Bumped": mark("hold.disturbed"),
        "Missed": mark("hold.missed"), "End": mark("hold.ended"),
    }  # fmt: skip
    ended = log.add("mark", "hold.ended")
    made = view(log)
    assert keys_of(made) == {
        "Hold longer": mark("hold.ended", "undo", supersedes=ended["id"]),
        "Readings": {"look": "so_far"},
    }
    assert made["foot"]["main"]["do"] == mark("hold.seen", "done")
    assert made["foot"]["main"]["label"] == word("step.hold_verdict.main")
    assert made["foot"]["caution"] is None
    blind = ("turning", "hot", "cap", "cylinder")
    assert [row["word"] for row in blocks(made, "state")][-4:] == [
        word(f"cannot_see.{id}") for id in blind
    ]


def test_before_the_first_needle_a_hold_has_no_keys_but_read() -> None:
    made = view(holding())
    assert (made["step"], made["foot"]["keys"]) == ("hold_readings", [])
    main = made["foot"]["main"]
    assert (main["label"], main["sub"]) == ("READ", "Holds the time. Then type.")
    (recorder,) = blocks(made, "recorder")
    none = ("last", "fall", "start", "due", "plot")
    assert [recorder[name] for name in none] == [None] * 5
    assert recorder["interval"] == 60.0
    assert recorder["due_label"] == "Press READ at the first reading"


def test_the_keys_of_a_warm_up_tell_the_fan_on_then_off() -> None:
    log = Logbook()
    hands = Hands(log).until("warm_log")
    made = view(log)
    falls = (word("field.engine.level_falls"), mark("engine.level_falls"))
    assert [(each["label"], each["do"]) for each in made["foot"]["keys"]] == [falls]
    assert blocks(made, "recorder")[0]["due_label"] == "Press READ at the first reading"
    for celsius in ("20", "41"):
        log.now += 60.0
        log.add("reading", "warm.coolant", celsius, "°C")
    made = view(log)
    vent, fan, end, down = made["foot"]["keys"]
    assert (down["label"], down["do"]) == falls
    assert vent["do"]["read"]["event"]["field"] == "warm.vent"
    assert (fan["label"], fan["do"]) == (word("field.warm.fan_on"), mark("warm.fan_on"))
    assert (end["label"], end["do"]) == ("End", mark("warm.ended"))
    assert made["foot"]["main"]["do"]["read"]["event"]["field"] == "warm.coolant"
    seen = [(row[0], row[1], row[2]) for row in states(made)[1:]]  # under when to stop it
    on, off = word("field.warm.fan_on"), word("field.warm.fan_off")
    assert seen == [("not_measured", on, "not seen"), ("not_measured", off, "not seen")]
    log.add("mark", "warm.fan_on")
    made = view(log)
    assert made["foot"]["keys"][1]["do"] == mark("warm.fan_off")
    assert [(row[0], row[2]) for row in states(made)[1:]] == [
        ("done", "seen"), ("not_measured", "not seen")
    ]  # fmt: skip
    log.add("mark", "warm.fan_off")
    assert view(log)["foot"]["keys"][1]["do"] == mark("warm.fan_on")
    log.now += 60.0
    log.add("reading", "warm.vent", "38", "°C")
    log.add("reading", "warm.vent", "39", "°C", at=log.now + 60.0)
    assert states(view(log))[-1][:3] == ("done", word("field.warm.vent"), "39 °C")
    ended = log.add("mark", "warm.ended")
    made = view(log)
    assert hands.at() == "warm_result"
    assert keys_of(made) == {
        "Run longer": mark("warm.ended", "undo", supersedes=ended["id"]),
        "Readings": {"look": "so_far"},
    }
    assert made["foot"]["main"]["do"] == mark("warm.seen", "done")


def test_a_cold_gate_asks_the_pressure_again_once_it_is_old() -> None:
    log = described()
    log.add("fact", "system.pressure_sign", "hose_soft")
    made = view(log)
    said = word("field.system.pressure_sign")
    words = word("choice.system.pressure_sign.hose_soft")
    assert states(made)[-1][:3] == ("done", said, words)
    log.add("fact", "coolant.temperature", "74", "°C")
    assert states(view(log))[-1][:3] == ("done", said, words)
    log.add("mark", "engine.ran")
    log.add("fact", "safe.key", "engine_cold")  # key and fan are asked first
    log.add("done", "fan.off")
    made = view(log)
    assert states(made)[-1][:3] == ("not_measured", said, word("shut.not_measured"))
    log.add("fact", "coolant.temperature", "31", "°C")
    made = view(log)
    assert blocks(made, "choice")
    assert blocks(made, "heading")[0]["text"] == word("ask.system.pressure_sign")
    log.add("fact", "system.pressure_sign", "under_pressure")
    made = view(log)
    pressing = (word("shut_by.system.pressure_sign"), True)
    assert [(row[1], row[4]) for row in states(made) if row[0] == "stop"] == [pressing]
    assert blocks(made, "choice")


def test_the_heaviest_explanation_stands_first() -> None:
    log = holding("110", "109", "107", "106", "104", "103", "101", "100")
    log.add("mark", "hold.ended")
    names = {word(f"explanation.{id}") for id in ("tight", "settling", "thermal", "leak",
                                                  "leak_and_settling", "air_side")}  # fmt: skip
    rows = [row for row in cells(view(log)) if row[0] in names]
    weights = [float(row[1].strip("<>% ")) for row in rows]
    assert len(weights) > 1
    assert weights == sorted(weights, reverse=True)


def test_parts_of_one_s_own_end_where_the_list_does() -> None:
    log = taken_apart()
    own = [f.id for f in RULES.fields.values() if f.id.startswith("part.own_")]
    offered = {"reason": {"kind": "note", "field": own[-1], "typed": "", "unit": None}}
    for name in own[:-1]:
        log.add("note", name, f"Bracket {name[-1]}")
    assert offered in [key["do"] for key in view(log)["foot"]["keys"]]
    log.add("note", own[-1], "The last one")
    assert not [key for key in view(log)["foot"]["keys"] if "reason" in key["do"]]


def test_a_vacuum_can_be_drawn_anew_from_its_verdict() -> None:
    log = Logbook()
    Hands(log, {"fill.how": ("vacuum", None)}).until("vacuum_verdict")
    keys = keys_of(view(log))
    assert keys[word("field.vacuum.again")] == mark("vacuum.again")
