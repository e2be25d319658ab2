"""What can hurt, in the order in which a job meets it: what must be shown before a hand moves."""

from __future__ import annotations

import pytest

from tests.hands import NEEDLES, RULES, Hands
from tests.job.test_branches import corrected, hands, opens
from weeptrace.door import call
from weeptrace.job.car.left import left
from weeptrace.screen import preferences, view


def words(work: Hands, units: int = 0) -> str:
    """All that stands on the present screen, with ordinary spaces."""
    chosen = preferences({"units": RULES.unit_sets[units]["units"]}, RULES)
    made = view(RULES, work.job, work.log.moment(), chosen)
    return str([made["blocks"], made["foot"]]).replace("\\xa0", " ")


# --- the open neck -------------------------------------------------------------------------------


def test_the_idle_at_the_open_neck_begins_cold_and_the_cap_is_on_before_the_warm_up() -> None:
    way = hands().until("warm_log").passed
    order = ["bleed", "fill_up", "bubbles", "gate.key_away", "gate.fan_safe",
             "gate.cold", "cap_on", "gate.fan_back"]  # fmt: skip
    assert [each for each in way[way.index("bleed") :] if each in order] == order
    after = hands().until("closed").passed
    assert "bubbles" not in after[after.index("warm_log") :]


def test_no_idle_at_the_open_neck_on_a_warm_engine() -> None:
    work = hands().until("bubbles")
    work.log.add("mark", "engine.ran")
    assert work.at() == "gate.cool_metal"  # by the probe alone: the fan is live beside the hose
    work.log.pass_the_gate("80")
    assert work.at() == "gate.cool_metal"
    # A late correction does not lead back to the open neck of a hot engine either.
    late = hands().until("warm_result")
    seen = next(e for e in reversed(late.log.events) if e["field"] == "bleed.no_bubbles")
    late.log.add("undo", "bleed.no_bubbles", supersedes=seen["id"])
    assert late.at() == "gate.cool_metal"


def test_the_page_says_when_to_stop_before_the_engine_is_started() -> None:
    """90 °C: at an open neck coolant boils at the pressure of the air (common practice)."""
    work = hands().until("bubbles")
    assert "Stop the engine at 90 °C" in words(work)
    fahrenheit = [n for n, each in enumerate(RULES.unit_sets)
                  if each["units"]["temperature"] == "°F"]  # fmt: skip
    assert "Stop the engine at 194 °F" in words(work, fahrenheit[0])  # 90 x 9 / 5 + 32


def test_after_a_vacuum_the_cap_goes_on_before_the_engine_runs() -> None:
    way = hands(fill__how="vacuum").until("warm_log").passed
    assert way.index("vacuum_fill") < way.index("vacuum_cap_on") < way.index("fan_on")


# --- a joint that was opened ---------------------------------------------------------------------

FLUID = ["drain", "coolant_label", "fill_up", "warm_log", "recheck", "fluid_balance", "waste_can"]


@pytest.mark.parametrize("route", ["measure", "seen"])
def test_a_hose_that_is_opened_brings_drain_kind_fill_warm_up_level_and_waste(route: str) -> None:
    job = {"repair__kind": "hose_or_clamp", "work__route": route, "cap__how": "replaced"}
    way = hands(**job, repair__opened="opened").until("closed").passed
    assert [step for step in way if step in (*FLUID, "end_level")] == [
        *FLUID[:5], "end_level", *FLUID[5:],
    ]  # fmt: skip
    shut = hands(**job, repair__opened="reseated").until("closed").passed
    assert not set(FLUID) & set(shut)
    assert {"end_level", "end_litres"} <= set(shut)


def test_a_hose_that_comes_off_though_only_a_clamp_was_meant_is_filled_too() -> None:
    work = hands(repair__kind="hose_or_clamp", repair__opened="reseated").until("teardown")
    work.log.add("fact", "part.hose", "off")
    work.log.add("fact", "part.hose", "on")
    way = work.until("closed").passed
    assert {"drain", "fill_up", "warm_log"} <= set(way)


@pytest.mark.parametrize("change", [("consent.how", "refused"), ("repair.kind", "none")])
def test_no_change_of_mind_leads_past_the_fill(change: tuple[str, str]) -> None:
    job = hands(repair__kind="hose_or_clamp", repair__opened="opened").until("joints")
    job.log.add("fact", *change)
    job.answers[change[0]] = (change[1], None)
    assert {"fill_up", "end_seen"} <= set(job.until("closed").passed)


def test_a_joint_that_comes_off_after_the_fill_is_filled_and_levelled_again() -> None:
    work = hands().until("level_watch")
    work.log.add("fact", "part.upper_hose", "off")
    assert opens(work, "ready_to_run") is False
    work.log.add("fact", "part.upper_hose", "on")
    assert opens(work, "ready_to_run") is False
    before = len(work.passed)
    again = work.until("closed").passed[before:]
    assert [step for step in again if not step.startswith("gate.")][:2] == ["fill_up", "end_level"]


@pytest.mark.parametrize("kind", RULES.fields["repair.kind"].options)
def test_no_car_goes_back_with_its_level_unknown(kind: str) -> None:
    level = "towed" if kind == "none" else "at_mark"
    work = hands(repair__kind=kind, cap__how="replaced", level__end=level).until("closed")
    assert work.job.value("level.end") == level
    waits = hands(repair__kind=kind, cap__how="replaced").until(
        "end_seen" if kind == "none" else "end_level"
    )
    here = waits.at()
    waits.log.add("not_done", "level.end", "too hot to look")
    assert waits.at() == here
    waits.log.add("fact", "level.end", "below_mark")
    assert waits.at() == ("end_top" if kind == "none" else here)  # at the mark, or on a truck


@pytest.mark.parametrize(("kind", "page"), [("none", "end_top"), ("radiator", "end_level")])
def test_a_level_watch_that_begins_below_the_lower_mark_leads_back_to_the_level(
    kind: str, page: str
) -> None:
    work = hands(repair__kind=kind, level__end="at_mark").until("level_watch")
    work.log.add("fact", "watch.level", "-19", "mm")
    assert f"{page}" in work.until("hand_back").passed[-6:]
    assert work.job.value("level.end") == "at_mark"
    work.until("closed")


# --- high voltage --------------------------------------------------------------------------------


@pytest.mark.parametrize("route", ["measure", "seen"])
def test_the_kind_of_drive_is_asked_on_every_way_in_and_must_be_answered(route: str) -> None:
    work = hands(work__route=route).until("drive_kind")
    assert "secured" not in work.passed
    assert opens(work, "high_voltage") is not True
    work.log.add("not_done", "car.drive", "did not look")
    assert work.at() == "drive_kind"
    work.log.add("fact", "car.drive", "not_known")
    assert work.at() == "loop"
    assert opens(work, "high_voltage") is not True


@pytest.mark.parametrize("loop", ["battery", "inverter", "not_known"])
def test_a_loop_that_is_not_the_engines_waits_for_a_qualified_person(loop: str) -> None:
    work = hands(car__drive="high_voltage", car__loop=loop).until("loop_person")
    work.log.add("not_done", "high_voltage.person", "nobody here")
    assert work.at() == "loop_person"
    work.log.add("fact", "high_voltage.person", "P. Osk, high voltage level 2")
    assert work.at() == "loop_isolated"
    assert opens(work, "high_voltage") is not True
    work.log.add("done", "high_voltage.isolated")
    assert opens(work, "high_voltage") is True
    work.until("closed")


def test_an_engine_or_heater_loop_that_was_traced_is_opened() -> None:
    work = hands(car__drive="high_voltage", car__loop="engine_or_heater").until("closed")
    assert "loop_person" not in work.passed
    assert "charger_off" in work.passed  # off the charger, key away


def test_a_later_yes_shuts_it_again() -> None:
    work = hands().until("first_look")
    assert opens(work, "high_voltage") is True
    work.log.add("fact", "told.high_voltage", "yes")
    assert opens(work, "high_voltage") is not True
    assert work.at() == "loop"
    work.log.add("fact", "car.loop", "engine_or_heater")
    assert opens(work, "high_voltage") is True
    work.log.add("fact", "drive.high_voltage_loop", "yes")
    assert opens(work, "high_voltage") is not True
    assert work.at() == "charger_off"
    work.until("loop_person")


STEPS = {step.id: step for step in RULES.procedures["coolant_loss"].steps}


@pytest.mark.parametrize(
    "step",
    ["cold_level", "condition", "cap_first", "fit_tester", "pump_up", "test_fit", "test_isolate",
     "test_steady", "night_evening", "dye_in", "missing_before", "drain", "lines", "teardown",
     "dry_pump", "vacuum_ready", "vacuum_readings", "bleed", "vacuum_fill", "fill_up",
     "bubbles", "after_fit", "after_pump", "recheck", "recheck_strength"],
)  # fmt: skip
def test_what_opens_or_pumps_up_stands_behind_the_kind_of_loop(step: str) -> None:
    assert "high_voltage" in STEPS[step].gates


def test_pressure_is_let_off_before_a_qualified_person_is_waited_for() -> None:
    work = hands(car__loop="battery").until("hold_verdict")
    work.log.add("fact", "drive.high_voltage_loop", "yes")
    way = work.until("loop_person").passed
    assert "release" in way[way.index("loop") :]


# --- a drive -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "end"), [("dye", "dye_drive"), ("level_watch", "level_now")])
def test_no_test_drives_a_car_that_is_not_closed_levelled_and_decided_on(
    kind: str, end: str
) -> None:
    work = hands(finding__place="not_found", test__kind=kind).until(end)
    before = {"test_drive", "test_close", "test_turned", "test_sump", "test_idle"}
    assert before <= set(work.passed)
    assert opens(work, "fan_back") is True
    assert opens(work, "test_closed") is True
    corrected(work, "drive.decision", "tow")
    assert opens(work, "test_closed") is False
    # nothing was driven: on to another test
    assert work.at() == {"dye": "test_result", "level_watch": "test_enough"}[kind]
    corrected(work, "drive.decision", "drive")
    work.until(end)
    work.log.add("fact", "part.under_tray", "off")
    assert opens(work, "test_closed") is False
    work.log.add("fact", "part.under_tray", "on")
    assert work.at() == end
    work.log.add("done", "fan.off")
    assert work.at() == "gate.fan_back"


@pytest.mark.parametrize(("kind", "end"), [("dye", "dye_drive"), ("level_watch", "level_now")])
def test_no_test_drives_a_car_that_drips_as_it_idles(kind: str, end: str) -> None:
    work = hands(finding__place="not_found", test__kind=kind, test__idled="drips")
    work.until("test_result")
    assert "test_idle" in work.passed
    assert end not in work.passed
    work.log.add("mark", "test.again")
    assert work.job.value("test.idled") is None  # another test idles it anew


@pytest.mark.parametrize("kind", ["dye", "level_watch"])
def test_no_car_that_loses_half_its_pressure_at_once_is_driven(
    kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """110 to 40 kPa within two minutes: a gross leak by any reckoning (common practice)."""
    falls = tuple((n, "kPa") for n in ("110", "60", "40", "30", "20", "15"))
    monkeypatch.setitem(NEEDLES, "hold.pressure", falls)
    work = hands(finding__place="not_found", test__kind=kind).until("gate.not_gross")
    assert "dye_drive" not in work.passed
    assert "level_now" not in work.passed
    work.log.add("mark", "test.again")
    assert work.at() == "test_kind"


def test_a_cap_that_is_compared_at_the_neck_is_opened_cold_and_counts_as_open() -> None:
    work = hands(finding__place="not_found", test__kind="run_watch", test__result="not_found",
                 repair__kind="cap").until("match_cap")  # fmt: skip
    assert opens(work, "cold") is True
    work.log.add("done", "match.cap_seat")
    assert left(RULES, work.job, "left.neck") == 1.0
    work.log.add("mark", "engine.ran")
    assert opens(work, "cold") is not True


def test_the_road_test_waits_for_cap_level_and_tray() -> None:
    work = hands(after__wanted="hold").until("road_test")
    assert {"after_close", "road_tray"} <= set(work.passed)
    assert opens(work, "road_closed") is True
    for name in ("after.cap_on", "after.level_set", "road.tray_on", "fill.cap_on"):
        given = next(e for e in reversed(work.log.events) if e["field"] == name)
        back = work.log.add("undo", name, supersedes=given["id"])
        assert opens(Hands(work.log), "road_closed") is not True, name
        work.log.events.remove(back)


# --- hands near the belt -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "step", ["zones", "dried", "wet_again", "old_place", "other_place", "road_look", "recheck"]
)
def test_hands_go_near_the_belt_only_behind_the_fans_gate(step: str) -> None:
    assert "fan_safe" in STEPS[step].gates
    assert STEPS[step].hazards


def test_a_place_is_dried_after_a_run_only_with_the_fan_off_again() -> None:
    work = hands(finding__place="not_found", test__kind="run_watch", test__result="found")
    work.until("test_found").answer()
    work.answers |= {"finding.place": ("water_pump", None), "finding.watch": ("running", None)}
    before = len(work.passed)
    way = work.until("repair_kind").passed[before:]
    order = ["gate.fan_safe", "dried", "watch_close", "gate.fan_back", "watch_run", "wet_again"]
    assert [step for step in way if step in order] == [*order[:-1], "gate.fan_safe", order[-1]]


def test_on_the_quick_way_nothing_is_opened_for_pressure_but_cold() -> None:
    way = hands(work__route="seen", finding__watch="pressure").until("wet_again").passed
    assert way.index("gate.cold") < way.index("fit_tester") < way.index("pump_up")
    assert "hold_readings" not in way


def test_without_a_tester_the_proof_is_not_done_and_the_record_says_so() -> None:
    work = hands(work__route="seen", finding__watch="not_done").until("repair_kind")
    assert not {"fit_tester", "watch_run", "wet_again", "dried"} & set(work.passed)
    assert work.job.value("finding.wet_again") is None
    made = call("job.record", {"events": work.log.events, "now": work.log.moment()})
    assert "Proof not done" in made["html"].replace("\xa0", " ")


def test_pressure_that_was_let_off_is_not_taken_for_pressure() -> None:
    """The place that a later test shows is seen wet again under a tester that is fitted anew."""
    work = hands(finding__place="not_found", test__kind="run_watch", test__result="found")
    work.until("test_found").answer()
    work.answers |= {"finding.place": ("water_pump", None), "finding.watch": ("pressure", None)}
    before = len(work.passed)
    way = work.until("wet_again").passed[before:]
    order = ["watch_fit", "gate.cold", "fit_tester", "pump_up"]
    assert [step for step in way if step in order] == order


# --- what a shut gate asks for -------------------------------------------------------------------


def test_a_gate_asks_for_the_level_only_behind_what_the_neck_is_opened_behind() -> None:
    work = hands().until("washed")
    last = next(e for e in reversed(work.log.events) if e["field"] == "bleed.no_bubbles")
    work.log.add("undo", "bleed.no_bubbles", supersedes=last["id"])  # watched again: hot, neck open
    work.until("bubbles").log.add("done", "bleed.no_bubbles")
    work.log.add("mark", "engine.ran")
    before = len(work.passed)
    way = work.until("gate.closed_up").passed[before:]
    assert way[-3:] == ["gate.key_away", "gate.fan_safe", "gate.cold"]
    work.log.add("mark", "engine.ran")
    assert work.at() == "gate.key_away"


# --- parts that are off before a run -------------------------------------------------------------


def test_a_part_that_is_off_before_a_run_goes_on_behind_a_dead_fan() -> None:
    work = hands(finding__watch="running").until("watch_run")
    work.log.add("fact", "part.fan_shroud", "off")
    before = len(work.passed)
    work.until("watch_whole")
    assert {"gate.key_away", "gate.fan_safe"} <= set(work.passed[before:])
    work.log.add("fact", "part.fan_shroud", "on")
    work.until("watch_run")
    work.until("closed")


def test_a_joint_that_was_open_is_filled_before_the_run() -> None:
    work = hands(finding__watch="running").until("watch_run")
    work.log.add("fact", "part.hose", "off")
    work.log.add("fact", "part.hose", "on")
    before = len(work.passed)
    work.until("watch_run")
    assert "watch_fill" in work.passed[before:]
    work.until("closed")


@pytest.mark.parametrize(
    "told",
    [{"finding__watch": "running"}, {"finding__place": "not_found", "test__kind": "run_watch"}],
)
def test_what_comes_off_after_the_run_stays_off_for_the_work(told: dict[str, str]) -> None:
    work = hands(**told).until("closed")
    assert "teardown" in work.passed
    assert not {"watch_whole", "test_whole"} & set(work.passed)
