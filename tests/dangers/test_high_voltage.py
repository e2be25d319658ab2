"""Nothing that meets a high-voltage loop is opened on an honour tick, or on nothing at all."""

from __future__ import annotations

import re

import pytest

from tests.dangers.pages import Hands, walked

OPENS = ("cold_level", "condition", "hold_level", "fit_tester", "drain", "teardown")
STOPS = ("loop_person", "gate.high_voltage")


@pytest.mark.parametrize("route", ["measure", "seen"])
def test_the_drive_is_asked_before_anything_is_opened(route: str) -> None:
    work = Hands(work__route=route)
    work.until(*OPENS)
    asked = [p for p in work.seen if re.search(r"high.voltage", p.words, re.IGNORECASE)]
    assert asked, work.way()
    assert work.last("car.drive", "told.high_voltage") is not None


@pytest.mark.parametrize("loop", ["battery", "inverter", "not_known"])
@pytest.mark.parametrize("route", ["measure", "seen"])
def test_a_loop_that_is_not_the_engines_waits_for_a_named_person(loop: str, route: str) -> None:
    work = Hands(car__drive="high_voltage", told__high_voltage="yes", car__loop=loop,
                 work__route=route)  # fmt: skip
    page = work.until(*OPENS, *STOPS)
    assert page.step in STOPS, work.way()
    assert re.search(r"qualified", page.words, re.IGNORECASE)
    work.add("not_done", "high_voltage.person", "nobody here")
    assert work.until(*OPENS, *STOPS).step in STOPS


def test_not_known_is_not_a_no() -> None:
    work = Hands(car__drive="not_known", car__loop="not_known")
    assert work.until(*OPENS, *STOPS).step in STOPS


@pytest.mark.parametrize("step", ["cold_level", "fit_tester", "drain", "teardown", "fill_up"])
def test_a_late_yes_shuts_what_stood_open(step: str) -> None:
    for field in ("told.high_voltage", "drive.high_voltage_loop"):
        work = walked(step)
        assert work.at() == step
        work.fact(field, "yes")
        assert work.at() != step, field


def test_a_person_who_is_taken_back_shuts_it() -> None:
    work = Hands(car__drive="high_voltage", car__loop="battery")
    work.answers["high_voltage.person"] = "P. Osk"
    work.until("hold_level")
    for field in ("high_voltage.person", "high_voltage.isolated"):
        back = work.undo(field)
        assert work.at() != "hold_level", field
        work.events.remove(back)


def test_no_key_orders_a_refrigerant_circuit_opened() -> None:
    work = walked("record", repair__kind="radiator")
    labels = [page.view["foot"]["main"]["label"] for page in work.seen
              if page.step in ("teardown", "reassembly") and page.view["foot"]["main"]]  # fmt: skip
    condenser = [label for label in labels if "Condenser" in label]
    assert condenser
    for label in condenser:
        assert not re.search(r"disconnected", label, re.IGNORECASE), label
    for page in work.seen:
        assert "Disconnected: Condenser" not in page.words, page.step
    assert re.search(r"(pipes|lines) stay (shut|closed)|not opened", " ".join(labels), re.I)


def test_the_record_does_not_say_that_the_condenser_was_opened() -> None:
    record = walked("record", repair__kind="radiator").page("record").words
    told = [line for line in record.split("\n") if "Condenser" in line]
    assert told
    for line in told:
        assert not line.startswith("Off and on again"), line
