"""Each way in which the job fails in real life is countered by something that there is."""

from __future__ import annotations

import re

import pytest

from weeptrace.job.danger import HAPPENED, LOOKED
from weeptrace.job.holds import LET_OFF
from weeptrace.rules import FOLDER, load
from weeptrace.rules.source import COMPUTED

TABLE = (FOLDER / "FAILURES.md").read_text("utf-8")
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in TABLE.splitlines()
    if re.match(r"\| \d+ ", line)
]
RULES = load()
STEPS = {step.id: step for step in RULES.procedures["coolant_loss"].steps}
CHECKED = {name for step in STEPS.values() for name in (*step.checks, step.asks, step.reads)}


def test_they_are_numbered_and_say_where_they_come_from() -> None:
    assert [int(row[0]) for row in ROWS] == list(range(1, 57))
    assert "common practice" in TABLE


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_what_counters_it_is_there(row: list[str]) -> None:
    _, wrong, why, countered = row
    assert wrong
    assert why
    names = re.findall(r"`([\w.]+)`", countered)
    assert names
    for name in names:
        if name in STEPS or name in RULES.gates or name in COMPUTED:
            continue
        if name in RULES.cautions:
            assert any(name in step.hazards for step in STEPS.values()), name
            continue
        field = RULES.fields[name]
        # It is asked, ticked or read by a step or by a page that stops the work, comes off by the
        # ledger, or marks a series that is.
        stops = name in (LET_OFF, LOOKED, HAPPENED)
        used = stops or name in CHECKED or field.kind == "part" or field.marks in CHECKED
        assert used, f"{name} is asked by no step"
