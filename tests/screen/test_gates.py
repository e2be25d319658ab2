"""What a shut gate shows: each missing piece, what is old as old, and nothing it didn't ask."""

from __future__ import annotations

from typing import Any

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand.told import word
from weeptrace import screen
from weeptrace.job.advance import fold
from weeptrace.rules import load

RULES = load()
Json = dict[str, Any]


def view(log: Logbook) -> Json:
    preferences = screen.preferences(None, RULES)
    return screen.view(RULES, fold(RULES, log.events), log.moment(), preferences)


def blocks(made: Json, kind: str) -> list[Json]:
    return [block for block in made["blocks"] if block["block"] == kind]


def test_what_grew_old_says_so_under_its_name() -> None:
    work = Hands(Logbook()).until("gate.fan_back")
    (row,) = blocks(view(work.log), "state")
    assert (row["word"], row["lines"], row["figure"]) == (
        word("field.fan.on"), [word("screen.done_before")], ""
    )  # fmt: skip


def test_the_ground_or_the_stands_are_asked_of_a_car_that_nobody_was_asked_of() -> None:
    """In a workshop nobody asks for the van's own stands, so their gate does not tell of them."""
    seen = {"work.route": ("seen", None), "repair.kind": ("hose_or_clamp", None),
            "repair.opened": ("reseated", None)}  # fmt: skip
    work = Hands(Logbook(), seen).until("gate.stands")
    made = view(work.log)
    assert made["blocks"][0]["text"] == word("gate.stands.title")
    asked = ("car.raised", "stands.set", "stands.pushed", "stands.rocked")
    assert [row["word"] for row in blocks(made, "state")] == [word(f"field.{n}") for n in asked]
    (choice,) = blocks(made, "choice")
    assert [row["do"]["event"]["typed"] for row in choice["rows"]] == ["on_ground", "raised"]


def test_an_old_temperature_is_not_called_the_present_one() -> None:
    work = Hands(Logbook()).until("cap_line")
    work.log.add("mark", "engine.ran")
    work.log.now += 5.0
    work.until("gate.cold")
    made = view(work.log)
    (scale,) = blocks(made, "scale")
    assert [mark["words"] for mark in scale["marks"]] == ["then"]
    assert scale["sentence"].startswith("Then 10")
    work.log.pass_the_gate("55")
    (scale,) = blocks(view(work.log), "scale")
    assert [mark["words"] for mark in scale["marks"]] == ["now"]
    assert scale["sentence"].startswith("Now 55")
