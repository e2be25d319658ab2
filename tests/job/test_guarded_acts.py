"""Acts that hurt where no page says so: vacuum, line air, airbags, timing belts, fluid, fire."""

from __future__ import annotations

import pytest

from tests.hands import RULES, Hands
from tests.job.test_branches import hands, opens
from tests.job.test_safe_order import words
from weeptrace.quantity import to_si


def celsius(figure: str) -> float:
    """A temperature in °C as K."""
    return to_si(float(figure), "°C", "temperature")


def warned(work: Hands) -> str:
    """The caution of the present page."""
    step = work.stand().step
    assert step is not None
    return RULES.text(RULES.cautions[step.hazards[0]])


# --- the fill ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("figure", "open"), [("38", True), ("41", False), ("49", False)])
def test_a_vacuum_is_drawn_only_where_nothing_boils_in_it(figure: str, open: bool) -> None:
    """At 49 °C water boils at 12 kPa absolute, where a pump still reaches (steam tables)."""
    work = hands(fill__how="vacuum").until("vacuum_readings")
    work.log.pass_the_gate(figure)
    assert work.at() == ("vacuum_readings" if open else "gate.cold_for_vacuum")


def test_nothing_filled_opens_no_engine() -> None:
    work = hands().until("fill_up")
    work.log.add("fact", "coolant.filled", "0", "L")
    assert work.at() == "fill_up"
    assert opens(work, "ready_to_run") is False
    work.log.add("fact", "coolant.filled", "4.3", "L")
    assert work.at() != "fill_up"


def test_a_clamp_that_let_nothing_out_needs_no_fill() -> None:
    work = hands(coolant__drained=("0", "L"), coolant__filled=("0", "L")).until("fill_up")
    work.answer()
    assert work.job.value("coolant.filled") == 0.0


def test_air_goes_in_by_a_hand_pump_and_never_off_a_line() -> None:
    work = hands(dry__wanted="dry_air").until("dry_pump")
    assert "Hand pump, no line air" in words(work)
    assert warned(work).startswith("Hand pump only")


# --- dash and timing belt ------------------------------------------------------------------------


def test_no_trim_of_a_heater_core_comes_off_before_the_airbags_are_dead() -> None:
    work = hands(repair__kind="heater_core", safe__memory="battery_stays").until("airbags_off")
    work.log.add("done", "airbags.waited")
    assert opens(work, "airbags") is True
    work.until("teardown")
    work.log.add("done", "fan.on")  # whoever puts the battery on for a moment
    assert opens(work, "airbags") is not True
    work.log.add("done", "fan.off")
    assert work.at() in ("gate.key_away", "gate.airbags")


@pytest.mark.parametrize("kind", ["radiator", "water_pump", "hose_or_clamp"])
def test_nobody_waits_for_airbags_that_the_work_does_not_touch(kind: str) -> None:
    work = hands(repair__kind=kind, repair__opened="opened").until("teardown")
    assert "airbags_off" not in work.passed


def test_a_timing_belt_is_marked_locked_propped_and_turned_twice_before_a_start() -> None:
    work = hands(repair__kind="water_pump", belt__kind="timing").until("warm_log")
    way = work.passed
    assert way.index("pump_driven") < way.index("timing_locked") < way.index("teardown")
    assert way.index("reassembly") < way.index("timing_set") < way.index("belt")
    turned = next(e for e in reversed(work.log.events) if e["field"] == "timing.turned")
    work.log.add("undo", "timing.turned", supersedes=turned["id"])
    assert opens(work, "ready_to_run") is False


def test_a_timing_belt_that_comes_off_again_is_turned_by_hand_again() -> None:
    work = hands(repair__kind="water_pump", belt__kind="timing").until("warm_log")
    assert opens(work, "ready_to_run") is True
    work.log.add("fact", "part.belt", "off")
    work.log.add("fact", "part.belt", "on")
    assert opens(work, "ready_to_run") is False
    work.log.add("done", "timing.turned")
    assert opens(work, "ready_to_run") is True
    work.log.add("done", "timing.locked")
    assert opens(work, "ready_to_run") is False


@pytest.mark.parametrize("belt", ["accessory", "electric"])
def test_no_other_pump_asks_for_a_timing_belt(belt: str) -> None:
    work = hands(repair__kind="water_pump", belt__kind=belt).until("warm_log")
    assert not {"timing_locked", "timing_set"} & set(work.passed)


# --- under the tester ----------------------------------------------------------------------------


def warm_hold() -> Hands:
    """A warm hold, up to the start of its engine."""
    return hands(finding__place="not_found", test__kind="warm_hold").until("warm_run")


def test_the_relief_of_a_tester_is_shown_anew_for_another_rating_tester_or_day() -> None:
    assert opens(warm_hold(), "under_tester") is True
    for field, typed, unit in (("car.cap_rating", "100", "kPa"), ("tester.span", "200", "kPa")):
        work = warm_hold()
        work.log.add("fact", field, typed, unit)
        assert opens(work, "under_tester") is not True, field
        work.log.add("done", "test.relief_works")
        assert opens(work, "under_tester") is True, field
    work = warm_hold()
    work.log.now += 13 * 3600.0
    assert opens(work, "under_tester") is not True


# --- under it, and on the exhaust -----------------------------------------------------------------


def test_the_level_under_a_running_engine_tells_of_scalds_and_takes_no_scalding_fluid() -> None:
    """Windows of makers reach to about 90 °C (from memory)."""
    work = hands(repair__kind="radiator_with_cooler").until("transmission_level")
    shown = words(work)
    assert "fluid scalds, exhaust burns" in shown
    assert "rock the stands" in shown
    field = RULES.fields["transmission.level_at"]
    assert field.high is not None
    assert celsius("90") <= field.high < celsius("100")


@pytest.mark.parametrize("step", ["warm_log", "bubbles"])
def test_before_each_start_a_page_tells_of_fire_by_spilled_coolant(step: str) -> None:
    assert "Spills burn" in warned(hands().until(step))
