"""No car leaves or is driven with its fan off, its cap off, its level unknown, or a gross leak."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import NEEDLES, Hands, walked

GROSS = ("110", "60", "40", "30", "20", "15")  # kPa: half of it gone within a minute
LEAVES = {"level_watch": ("level_now", "level_later"), "dye": ("dye_drive", "test_run")}


@pytest.mark.parametrize("kind", LEAVES)
def test_a_test_that_drives_is_closed_levelled_fanned_and_decided_on(kind: str) -> None:
    work = walked(*LEAVES[kind], finding__place="not_found", test__kind=kind,
                  hold__level="to_neck")  # fmt: skip
    fan = work.last("fan.off", "fan.on")
    assert fan is not None
    assert fan["field"] == "fan.on", work.way()[-8:]
    told = " ".join(page.words for page in work.since("test_kind"))
    assert re.search(r"cap on", told, re.IGNORECASE), work.way()[-8:]
    assert re.search(r"tray", told, re.IGNORECASE)
    assert work.last("drive.decision") is not None


@pytest.mark.parametrize("kind", LEAVES)
def test_a_gross_leak_is_not_driven(kind: str) -> None:
    work = Hands(finding__place="not_found", test__kind=kind, drive__decision="drive")
    work.needles = {**NEEDLES, "hold.pressure": GROSS}
    page = work.until(*LEAVES[kind], "gate.not_gross", "record")
    assert page.step == "gate.not_gross", work.way()[-8:]
    assert re.search(r"tow", page.words, re.IGNORECASE), page.words


@pytest.mark.parametrize("kind", LEAVES)
@pytest.mark.parametrize("then", ["tow", "fan", "part", "undo"])
def test_what_opened_the_drive_is_taken_back(kind: str, then: str) -> None:
    work = walked(*LEAVES[kind], finding__place="not_found", test__kind=kind)
    here = work.at()
    if then == "tow":
        work.correct("drive.decision", "tow")
    elif then == "fan":
        work.add("done", "fan.off")
    elif then == "part":
        work.fact("part.under_tray", "off")
    else:
        work.undo("test.cap_on")
    assert work.at() != here


@pytest.mark.parametrize("kind", ["none", "cap", "hose_or_clamp", "radiator"])
def test_at_the_hand_over_the_fan_is_on_and_the_level_was_asked(kind: str) -> None:
    work = walked("hand_over", repair__kind=kind)
    fan = work.last("fan.off", "fan.on")
    assert fan is not None
    assert fan["field"] == "fan.on"
    asked = [p for p in work.since("repair_kind") if re.search(r"\blevel\b", p.words, re.I)]
    assert asked, work.way()
    work.add("done", "fan.off")
    assert work.at() != "hand_over"


def test_a_plug_that_the_ledger_puts_on_makes_the_fan_live() -> None:
    for step in ("bleed", "fill_up"):
        work = walked(step)
        work.fact("part.fan_plug", "off")
        work.fact("part.fan_plug", "on")
        assert work.at().startswith("gate."), (step, work.at())


def test_a_belt_that_the_ledger_puts_on_makes_it_live() -> None:
    work = walked("bleed", repair__kind="water_pump")
    work.fact("part.belt", "off")
    work.fact("part.belt", "on")
    assert work.at().startswith("gate."), work.at()


@pytest.mark.parametrize("kind", LEAVES)
@pytest.mark.parametrize(
    "answer",
    ["oil_mixed", "transmission_oil_mixed", "coolant_in_cylinder", "combustion_gas", "cabin_film",
     "drip_on_exhaust_or_electrics", "high_voltage_loop", "not_secure"],
)  # fmt: skip
def test_an_answer_that_says_tow_is_not_driven_over(kind: str, answer: str) -> None:
    work = walked(*LEAVES[kind], finding__place="not_found", test__kind=kind)
    here = work.at()
    work.fact(f"drive.{answer}", "yes")
    assert work.at() != here


UNMENDED = ({"repair__kind": "none"}, {"consent__how": "refused"})


@pytest.mark.parametrize("answer", ["combustion_gas", "not_secure", "cabin_film", "oil_mixed"])
@pytest.mark.parametrize("work", UNMENDED)
def test_no_car_is_handed_over_to_be_driven_against_what_was_answered(
    answer: str, work: dict[str, str]
) -> None:
    hands = Hands(**work, **{f"drive__{answer}": "yes"}, drive__decision="drive")
    page = hands.until("gate.oil_goes", "hand_over", "record")
    assert page.step == "gate.oil_goes", hands.way()[-6:]
    hands.fact("drive.decision", "tow")
    assert hands.until("hand_over", "gate.oil_goes").step == "hand_over"


@pytest.mark.parametrize("work", UNMENDED)
def test_no_gross_leak_is_handed_over_to_be_driven(work: dict[str, str]) -> None:
    hands = Hands(**work, drive__decision="drive")
    hands.needles = {**NEEDLES, "hold.pressure": GROSS}
    assert hands.until("gate.oil_goes", "hand_over", "record").step == "gate.oil_goes"
