"""Where the work stops, the page says how the car stands, from what a hand did before."""

from __future__ import annotations

import pytest

from tests.hands import RULES, Hands
from tests.logbook import Logbook
from weeptrace import screen


def said(work: Hands, then: tuple[tuple[str, str, str], ...] = ()) -> list[str]:
    """The words of the rows that stop, after the work was stopped."""
    for kind, field, typed in then:
        work.log.add(kind, field, typed)
    work.log.add("stopped", "gate.job", "it has grown dark")
    view = screen.view(RULES, work.job, work.log.moment(), screen.preferences(None, RULES))
    rows = [block for block in view["blocks"] if block["block"] == "state"]
    return [row["word"] for row in rows if row["shape"] == "stop"][1:]


PRESSED = "The tester is on, there may be pressure in it"
HOT = "Hot, or not shown to be cold"
DRAINED = "Coolant is out"
FAN = "The fan is disconnected"
PARTS = "Parts are off"
NECK = "The neck is open"
TURNING = "Fan or engine may start"
TRAY = "The under-tray is off"
PAN = "Coolant or transmission fluid was caught"


@pytest.mark.parametrize(
    ("end", "stands"),
    [
        ("complaint", [HOT]),
        ("cold_level", [FAN]),
        ("pump_up", [PRESSED, FAN]),
        ("residual_strength", [NECK, DRAINED, FAN, PAN]),
        ("transfer_radiator", [NECK, DRAINED, PARTS, FAN, PAN, TRAY]),
    ],
)
def test_the_stop_page_says_how_the_car_stands(end: str, stands: list[str]) -> None:
    work = Hands(Logbook()).until(end)
    found = said(work)
    assert [word for word in found if word != "The car stands raised"] == stands


def test_a_cold_look_half_an_hour_ago_no_longer_says_cold() -> None:
    work = Hands(Logbook()).until("cold_level")
    work.log.now += 1800.0
    assert said(work) == [HOT, FAN]


def test_hands_go_in_only_once_fan_and_engine_are_dead() -> None:
    work = Hands(Logbook()).until("residual_strength")
    work.log.now += 30.0 * 3600.0
    assert said(work)[:2] == [TURNING, HOT]


def test_parts_are_named_and_each_row_says_what_to_do() -> None:
    work = Hands(Logbook()).until("transfer_radiator")
    work.log.add("stopped", "gate.job", "the part does not fit")
    view = screen.view(RULES, work.job, work.log.moment(), screen.preferences(None, RULES))
    rows = {b["word"]: b["lines"] for b in view["blocks"] if b["block"] == "state"}
    assert "Radiator" in rows[PARTS][0]
    assert rows[DRAINED] == ["Keep the engine off. Tag the wheel: no coolant, do not start."]
    assert all(lines for word, lines in rows.items() if not word.startswith("Stop, because"))
    assert not any("Leave the system shut" in str(block) for block in view["blocks"])


def test_what_was_put_right_is_not_said() -> None:
    work = Hands(Logbook()).until("pump_up")
    let_off = (("done", "pressure.released", ""), ("done", "fan.on", ""))
    assert said(work, let_off) == [TURNING, NECK]
    work = Hands(Logbook()).until("pump_up")
    assert said(work, (*let_off, ("done", "pressure.cap_on", ""))) == []


def test_a_fan_that_was_taken_off_again_is_said_again() -> None:
    work = Hands(Logbook()).until("cold_level")
    assert FAN not in said(work, (("done", "fan.on", ""),))
    work = Hands(Logbook()).until("cold_level")
    assert FAN in said(work, (("done", "fan.on", ""), ("done", "fan.off", "")))


LIQUID = "There may be liquid in a cylinder"
BELT = "The timing belt came off, and nobody turned the engine by hand"
VOLTAGE = "The coolant loop lies against high voltage"
ISOLATED = "High voltage is isolated for this work"
DYE = "Dye is in the coolant"


@pytest.mark.parametrize(
    ("then", "word", "told"),
    [
        ((("fact", "test.cylinders", "wet"),), LIQUID, True),
        ((("fact", "test.cylinders", "wet"), ("mark", "test.again", "")), LIQUID, True),
        ((("fact", "test.gas", "changed"), ("fact", "test.cylinders", "dry")), LIQUID, True),
        ((("fact", "test.cylinders", "dry"),), LIQUID, False),
        ((("done", "timing.locked", ""),), BELT, False),  # no belt that holds the valves
        ((("fact", "belt.kind", "timing"),), BELT, False),  # it is still on
        ((("fact", "belt.kind", "timing"), ("done", "timing.locked", "")), BELT, True),
        ((("fact", "belt.kind", "timing"), ("done", "timing.locked", ""),
          ("done", "timing.turned", "")), BELT, False),
        ((("fact", "car.loop", "inverter"),), VOLTAGE, True),
        ((("fact", "car.loop", "not_known"),), VOLTAGE, False),
        ((("fact", "car.loop", "inverter"), ("done", "high_voltage.isolated", "")), ISOLATED, True),
        ((("done", "test.dye_in", ""),), DYE, True),
        ((("done", "test.dye_in", ""), ("fact", "coolant.drained", "0")), DYE, True),
    ],
)  # fmt: skip
def test_what_lies_hidden_in_the_car_is_told(
    then: tuple[tuple[str, str, str], ...], word: str, told: bool
) -> None:
    assert (word in said(Hands(Logbook()).until("cold_level"), then)) is told
