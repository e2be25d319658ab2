"""Views: every one keeps the contract with the shell, and says what a technician needs there."""

from __future__ import annotations

import itertools
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import fastjsonschema
import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from weeptrace import screen
from weeptrace.door.blocks import VIEW
from weeptrace.rules import load

RULES = load()
DEMOS = sorted((Path(__file__).parents[2] / "demo_scenarios").glob("*.toml"))
valid: Callable[[Any], Any] = fastjsonschema.compile(VIEW)

Json = dict[str, Any]


def view(log: Logbook, look: str = "", units: str = "kpa", at: float | None = None) -> Json:
    chosen = next(each["units"] for each in RULES.unit_sets if each["id"] == units)
    made = screen.view(
        RULES, log.folded(), log.moment(at), screen.preferences({"units": chosen}, RULES), look
    )
    valid(made)
    return made


def blocks(made: Json, kind: str) -> list[Json]:
    return [block for block in made["blocks"] if block["block"] == kind]


def described() -> Logbook:
    log = Logbook()
    log.describe_car()
    log.add("done", "fan.off")
    return log


def holding(*needles: str) -> Logbook:
    log = described()
    log.pass_the_gate()
    log.fit_the_tester()
    for needle in needles:
        log.read(needle)
    return log


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_every_view_of_a_practice_job_keeps_the_contract(demo: Path) -> None:
    log = Logbook()
    for event in tomllib.loads(demo.read_text("utf-8"))["events"]:
        log.now = float(event["after"])
        log.add(event["kind"], event["field"], event["typed"], event.get("unit"))
        made = view(log)
        assert made["practice"]
        assert (
            made["foot"]["main"] is not None
            or blocks(made, "choice")
            or blocks(made, "pad")
            or blocks(made, "text")
            or any(row["do"] for row in blocks(made, "state"))
        )
    for look, units in itertools.product(("", "so_far", "record"), ("kpa", "bar", "psi")):
        view(log, look, units)


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_the_practice_jobs_end_in_their_verdicts(demo: Path) -> None:
    scenario = tomllib.loads(demo.read_text("utf-8"))
    log = Logbook()
    for event in scenario["events"]:
        log.now = float(event["after"])
        log.add(event["kind"], event["field"], event["typed"], event.get("unit"))
    plate = blocks(view(log), "verdict")[0]
    assert plate["verdict"] in scenario["expected"]["verdicts"][-1]
    assert view(log)["step"] in ("hold_verdict", "vacuum_verdict")


def test_the_first_screen_of_a_job_asks_one_thing() -> None:
    made = view(Logbook())
    assert made["step"] == "car_name"
    assert len(blocks(made, "text")) == 1
    assert made["edge"]["phases"] == [
        "Place", "Intake", "Make safe", "First look", "Cool-down", "Level", "Tester", "Cap test",
        "Hold", "Cause", "More tests", "Decision", "Match", "Quote", "Add-on", "Drain", "Lines",
        "Strip", "Transfer", "Refit", "Joints", "Mix", "Leak check", "Fill", "Top-up", "Warm-up",
        "Proof", "Let off", "Road test", "Re-check", "Clean-up", "Follow-up", "Record",
    ]  # fmt: skip


def test_a_pad_is_never_filled_in_and_knows_its_range() -> None:
    log = described()
    made = view(log)
    assert made["step"] == "gate.cold"
    pad = made["foot"]["main"]["do"]["pad"]
    assert pad["event"]["typed"] == ""
    assert pad["hints"] == ["range \N{MINUS SIGN}40 to 150"]
    psi = view(log, units="psi")["foot"]["main"]["do"]["pad"]
    assert psi["unit"] == "°F"
    assert psi["hints"] == ["range \N{MINUS SIGN}40 to 302"]


def test_the_gate_says_too_hot_how_long_and_keeps_the_caution() -> None:
    log = described()
    log.add("fact", "coolant.temperature", "74", "°C")
    made = view(log)
    assert blocks(made, "value")[0]["word"] == "Too hot"
    # t = tau ln((74 - 8)/(50 - 8)), tau 30 to 50 min: 13.6 to 22.6 min after 14:01:30
    waits = next(row for row in blocks(made, "state") if row["shape"] == "waits")
    assert waits["lines"][0].startswith("14:15 to 14:24")
    assert "spray" in made["foot"]["caution"]["text"]
    assert {key["label"] for key in made["foot"]["keys"]} == {"Did it earlier", "Stop, refer"}
    assert made["state"]["shape"] == "waits"


def test_the_gate_asks_for_the_pressure_only_when_it_is_cold() -> None:
    log = described()
    log.add("fact", "coolant.temperature", "50", "°C")
    assert not blocks(view(log), "choice")
    log.add("fact", "coolant.temperature", "49", "°C")
    assert len(blocks(view(log), "choice")[0]["rows"]) == 3
    log.add("fact", "system.pressure_sign", "under_pressure")
    made = view(log)
    assert any("Stop, because" in row["word"] for row in blocks(made, "state"))
    assert blocks(made, "choice")


def test_no_step_behind_a_gate_is_drawn_before_it_is_open() -> None:
    log = described()
    assert view(log)["step"] == "gate.cold"
    log.pass_the_gate()
    assert view(log)["step"] == "hold_level"
    assert view(log, at=log.now + 1300.0)["step"] == "gate.cold"


def test_a_refused_entry_stands_on_the_screen_with_its_range() -> None:
    log = holding("110", "109")
    log.read("170")
    row = next(row for row in blocks(view(log), "state") if row["shape"] == "stop")
    assert row["word"] == "Refused"
    assert "0 to 160" in row["lines"][0]  # the gauge's scale
    log.read("108")
    assert not [row for row in blocks(view(log), "state") if row["shape"] == "stop"]


def test_the_recorder_counts_times_and_offers_same_as_last_from_the_fourth_reading() -> None:
    log = holding("110", "109")
    made = view(log)
    recorder = blocks(made, "recorder")[0]
    assert blocks(made, "title")[0]["count"] == "1 of 15\N{NO-BREAK SPACE}min"
    assert (recorder["due"], recorder["interval"]) == (75.0, 15.0)  # may still be gross
    assert recorder["fall"] is None  # not before the third minute
    assert made["awake"]
    pad = made["foot"]["main"]["do"]["read"]
    assert (pad["division"], pad["step"], pad["same_as_last"]) == (2.0, 1.0, False)
    for needle in ("108", "106"):
        log.read(needle)
    made = view(log)
    assert made["foot"]["main"]["do"]["read"]["same_as_last"]
    assert made["foot"]["main"]["do"]["read"]["last"] == {
        "typed": "106",
        "value": pytest.approx(106),
    }
    fall = blocks(made, "recorder")[0]["fall"]
    assert fall["unit"] == "kPa/min"
    for needle in ("105", "104"):
        log.read(needle)
    recorder = blocks(view(log), "recorder")[0]
    assert (recorder["due"], recorder["interval"]) == (360.0, 60.0)


def test_the_verdict_says_what_it_cannot_see_and_the_hold_can_go_on() -> None:
    log = holding("110", "109", "107", "106", "105", "104", "103", "102")
    log.add("mark", "hold.ended")
    made = view(log)
    assert made["blocks"][0]["block"] == "verdict"
    assert made["blocks"][0]["verdict"].startswith("leaking")
    words = " ".join(row["word"] for row in blocks(made, "state"))
    assert "turning" in words
    assert "hot" in words
    longer = next(key for key in made["foot"]["keys"] if key["label"] == "Hold longer")
    undo = longer["do"]["event"]
    log.add(undo["kind"], undo["field"], supersedes=undo["supersedes"])
    assert view(log)["step"] == "hold_readings"


def refilling() -> Logbook:
    """A radiator is being replaced: drained, before the strength of what stays in."""
    log = holding("110", "109", "109", "109", "109", "109")
    log.add("mark", "hold.ended")
    log.add("done", "hold.seen")
    log.add("fact", "zone.radiator_seam", "wet")
    Hands(log, {"quote.hours": ("3.5", "h"), "quote.parts": ("310", "1")}).until(
        "residual_strength"
    )
    return log


def mixing(log: Logbook) -> None:
    """From the strength of what stays in to the coolant at hand."""
    log.add("not_done", "part.condenser", "Stays on")
    Hands(log).until("at_hand")


def test_the_mix_plan() -> None:
    log = refilling()
    log.add("fact", "coolant.residual_strength", "35", "%")
    mixing(log)
    log.add("fact", "coolant.at_hand", "concentrate")
    made = view(log)
    # Conservation of glycol: concentrate = 0.5 x 7.6 - 0.35 x 3.3 = 2.645 L, water the rest of 4.3.
    values = [float(part["value"]) for part in blocks(made, "picture")[0]["parts"]]
    assert values == [3.3, pytest.approx(2.645, abs=0.0051), pytest.approx(1.655, abs=0.0051)]
    assert sum(values) == pytest.approx(7.6)
    assert made["foot"]["main"]["label"] == "Mixed, 4.30\N{NO-BREAK SPACE}L"
    assert "Poison" in made["foot"]["caution"]["text"]


def test_premix_alone_says_where_it_ends() -> None:
    log = refilling()
    log.add("fact", "coolant.residual_strength", "35", "%")
    mixing(log)
    log.add("fact", "coolant.at_hand", "premix_50")
    row = next(row for row in blocks(view(log), "state") if row["shape"] == "stop")
    assert row["word"] == "Ends at 43.5\N{NO-BREAK SPACE}%"


def test_without_the_residual_strength_nothing_is_guessed() -> None:
    log = refilling()
    log.add("not_done", "coolant.residual_strength", "no refractometer")
    mixing(log)
    log.add("fact", "coolant.at_hand", "concentrate")
    made = view(log)
    assert not blocks(made, "picture")
    assert [row["word"] for row in blocks(made, "state")] == ["Residual strength"]


def test_the_balance_and_the_record() -> None:
    log = refilling()
    log.add("fact", "coolant.residual_strength", "35", "%")
    mixing(log)
    log.add("fact", "coolant.at_hand", "concentrate")
    log.add("done", "coolant.mixed")
    Hands(log).until("warm_log")
    for celsius in ("20", "40", "60", "80"):
        log.now += 60.0
        log.add("reading", "warm.coolant", celsius, "°C")
        assert view(log)["step"] == "warm_log"
    log.add("mark", "warm.ended")
    assert view(log)["step"] == "warm_result"
    hands = Hands(log)
    hands.until("fluid_balance")
    assert view(log)["step"] == "fluid_balance"
    hands.until("level_watch")
    assert view(log)["step"] == "level_watch"
    hands.until("hand_over")
    made = view(log)
    assert made["step"] == "hand_over"
    headings = [block["text"] for block in blocks(made, "heading")]
    assert headings[0] == "Car and complaint"
    for heading in ("Cause and proof", "Parts off and on", "Warm-up", "Fluid balance"):
        assert heading in headings
    assert "Not checked, not seen by these tests" in headings
    log.add("closed", "job.closed")
    assert view(log)["state"]["shape"] == "done"


def test_the_ledger_offers_each_part_and_then_the_way_back() -> None:
    log = refilling()
    Hands(log).until("teardown")
    made = view(log)
    rows = blocks(made, "ledger")[0]["rows"]
    assert rows[0]["now"]
    assert {row["off"] for row in rows} == {"to_do"}
    for field in ("part.under_tray", "part.upper_hose", "part.radiator"):
        log.add("fact", field, "off")
    log.add("note", "part.upper_hose", "tray, left")
    log.add("done", "ledger.off_complete")
    Hands(log).until("reassembly")
    made = view(log)
    rows = blocks(made, "ledger")[0]["rows"]
    assert [row["word"] for row in rows] == ["Radiator", "Upper hose", "Under-tray"]
    assert "tray, left" in rows[1]["lines"]
    assert made["foot"]["main"]["label"] == "Radiator is on"


def test_a_broken_entry_is_shown_raw_and_can_be_taken_back() -> None:
    log = holding("110")
    poison = log.add("sparkle", "hold.pressure", "1")
    made = view(log)
    assert made["step"] == "broken"
    assert ["typed", "1"] in blocks(made, "table")[0]["rows"]
    undo = made["foot"]["main"]["do"]["event"]
    assert undo["supersedes"] == poison["id"]
    log.add(undo["kind"], undo["field"], supersedes=undo["supersedes"])
    assert view(log)["step"] == "hold_readings"


def test_all_that_is_stored_can_be_seen_and_corrected() -> None:
    log = holding("110", "19")
    rows = blocks(view(log, "so_far"), "state")
    slip = next(row for row in rows if row["figure"] == "19\N{NO-BREAK SPACE}kPa")
    assert slip["do"]["pad"]["event"]["supersedes"] == log.events[-1]["id"]


def test_a_system_that_stands_open_or_under_pressure_is_told() -> None:
    log = described()
    assert not view(log)["open"]
    log.pass_the_gate()
    log.fit_the_tester()
    assert view(log)["open"]
    log.add("done", "pressure.released")
    assert not view(log)["open"]
    log.add("fact", "coolant.drained", "4", "L")
    assert view(log)["open"]
    log.add("fact", "coolant.filled", "4", "L")
    assert not view(log)["open"]


def test_what_may_be_done_at_any_time() -> None:
    made = view(described())
    assert [key["label"] for key in made["more"]] == [
        "I can see it", "Find it", "Stored so far", "Engine was run", "Car was moved",
        "Record so far",
        "Export the job", "Stop, refer",
    ]  # fmt: skip
