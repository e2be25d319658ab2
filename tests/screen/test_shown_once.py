"""What one page learnt, the others say, and none asks it again."""

from __future__ import annotations

from typing import Any

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.test_view import RULES, blocks, described, view
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import position


def rows(log: Logbook, kind: str = "state") -> dict[str, dict[str, Any]]:
    made = view(log)
    if kind == "checklist":
        return {row["label"]: row for row in blocks(made, "checklist")[0]["rows"]}
    return {row["word"]: row for row in blocks(made, "state")}


@pytest.mark.parametrize(
    ("answers", "shown"),
    [
        ({"test.kind": "gas", "test.gas": "changed"}, {"gas_test": "positive"}),
        ({"test.kind": "gas", "test.gas": "not_changed"}, {"gas_test": "negative"}),
        ({"test.kind": "overnight", "test.cylinders": "wet"}, {"borescope": "wet_one"}),
    ],
)
def test_after_a_test_stands_what_it_showed(answers: dict[str, str], shown: dict[str, str]) -> None:
    log = Logbook()
    given = {name: (word, None) for name, word in answers.items()}
    Hands(log, {"finding.place": ("not_found", None), **given}).until("test_enough")
    made = rows(log)
    for finding, value in shown.items():
        row = made[RULES.text(f"field.find.{finding}")]
        assert row["lines"] == [RULES.text(f"choice.find.{finding}.{value}")]


def test_a_test_that_can_show_no_leak_point_is_not_asked_for_one() -> None:
    for kind in ("gas", "level_watch", "heater_isolation"):
        work = Hands(Logbook(), {"finding.place": ("not_found", None), "test.kind": (kind, None)})
        assert "test_result" not in work.until("test_enough").passed
    work = Hands(Logbook(), {"finding.place": ("not_found", None), "test.kind": ("dye", None)})
    assert "test_result" in work.until("test_enough").passed


def test_the_drive_page_says_what_a_test_showed_and_a_yes_of_it_forbids_the_drive() -> None:
    log = Logbook()
    Hands(
        log, {"finding.place": ("not_found", None), "repair.kind": ("none", None),
              "test.kind": ("gas", None), "test.gas": ("changed", None)},
    ).until("drive")  # fmt: skip
    gas = rows(log, "checklist")[RULES.text("field.drive.combustion_gas")]
    assert gas["figure"] == RULES.text("choice.told.yes")
    assert RULES.text("decision.tow") in rows(log)
    oil = rows(log, "checklist")[RULES.text("field.drive.oil_mixed")]
    assert oil["figure"] == ""  # clean coolant says nothing of the oil that it may have run into
    log.add("fact", "drive.combustion_gas", "no")  # taken back only where it was seen
    assert RULES.text("decision.tow") in rows(log)
    gas = rows(log, "checklist")[RULES.text("field.drive.combustion_gas")]
    assert gas["figure"] == RULES.text("choice.told.yes")


def test_before_hand_back_it_says_that_nobody_looked_for_gas_after_an_overheat() -> None:
    def at_the_end(**answers: str) -> Logbook:
        log = Logbook()
        given = {name.replace("__", "."): (word, None) for name, word in answers.items()}
        Hands(log, {"repair.kind": ("cap", None), **given}).until("hand_back")
        return log

    word = RULES.text("find.not_looked")
    log = at_the_end()
    assert word not in rows(log)
    log.add("fact", "told.overheated", "to_the_stop")
    row = rows(log)[word]
    assert row["lines"] == [RULES.text("why.due.gas_after_overheat")]
    assert row["do"] == {"look": "find"}
    log.add("fact", "test.gas", "not_changed")
    assert word not in rows(log)


def test_a_figure_that_was_put_in_a_word_beside_the_causes_is_not_asked_for() -> None:
    log = Logbook()
    work = Hands(log).until("owner_rate")
    log.add("fact", "find.loss_rate", "seep")
    here = position(RULES, fold(RULES, log.events), read_moment(log.moment()))
    assert here.step is not None
    assert here.step.id != "owner_rate"
    assert work is not None


def test_what_is_fitted_is_asked_both_ways() -> None:
    log = described()
    words = [
        row["label"] for row in blocks(view(log, "find.ask.car.features"), "choice")[0]["rows"]
    ]
    lacks = [row["label"] for row in blocks(view(log, "find.ask.car.lacks"), "choice")[0]["rows"]]
    assert words == lacks


def test_one_wet_place_leaves_the_others_to_be_asked_and_none_does_not() -> None:
    question = RULES.text("field.find.wet_ground_zone")
    for answer, done in (("look.carpet", False), ("look.puddle", True)):
        log = Logbook()
        log.add("fact", answer, "no" if done else "yes")
        made = {row["word"]: row for row in blocks(view(log, "find.asks"), "state")}
        assert ("do" not in made[question]) is done
