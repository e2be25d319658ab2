"""A page says at a dangerous step what is dangerous there, and no key orders a wrong act."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from weeptrace import screen
from weeptrace.rules import load

RULES = load()
CHOSEN = screen.preferences(None, RULES)
Json = dict[str, Any]


def view(work: Hands, look: str = "") -> Json:
    return screen.view(RULES, work.job, work.log.moment(), CHOSEN, look)


def test_no_key_orders_a_condenser_opened_and_the_record_says_it_was_not() -> None:
    work = Hands(Logbook()).until("teardown")
    labels = []
    while (main := view(work)["foot"]["main"])["do"]["event"]["field"].startswith("part."):
        labels.append(main["label"])
        work.log.add("fact", main["do"]["event"]["field"], "off")
    [condenser] = [label for label in labels if "Condenser" in label]
    assert condenser == "Unclipped and tied up, pipes stay closed: Condenser"
    work.log.add("fact", "part.condenser", "on")
    record = json.dumps(view(work, "record"), ensure_ascii=False)
    assert "Moved aside and back, not opened" in record


@pytest.mark.parametrize(
    ("answers", "step"),
    [
        ({}, "release"),
        ({"finding.place": ("not_found", None), "test.kind": ("warm_hold", None)}, "test_release"),
        ({"dry.wanted": ("dry_air", None)}, "dry_release"),
        ({"after.wanted": ("hold", None)}, "after_release"),
    ],
)
def test_a_release_says_how_to_release(
    answers: dict[str, tuple[str, str | None]], step: str
) -> None:
    caution = view(Hands(Logbook(), answers).until(step))["foot"]["caution"]["text"]
    assert caution == "Release slowly, cloth over it, face away."


def test_the_fans_plug_goes_on_with_the_hands_out() -> None:
    caution = view(Hands(Logbook()).until("fan_on"))["foot"]["caution"]["text"]
    assert caution == "Hands and tools out before it is connected."


def test_no_change_of_the_gas_test_is_not_said_to_prove_anything() -> None:
    prompt = RULES.text("step.gas_seen.prompt")
    assert prompt.endswith("No change does not rule out a leak.")


def test_coolant_is_never_drawn_by_mouth() -> None:
    assert "never by mouth: poison" in RULES.text("step.cap_return.prompt")
