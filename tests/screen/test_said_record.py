"""What the record says, file and page: every figure of it reckoned by hand."""

from __future__ import annotations

import re
from typing import Final

import pytest

from tests.hands import Answer
from tests.logbook import Logbook
from tests.screen.hand import record as by_hand
from tests.screen.hand.page import differences
from tests.screen.hand.reader import Reader
from tests.screen.hand.sheet import Sheet
from tests.screen.hand.told import SETS, Told
from tests.screen.records import measured, record

READERS: Final = [Reader(id) for id in SETS]
# What is typed again in another unit, or otherwise, before the record is drawn.
AGAIN: Final[dict[str, dict[str, Answer]]] = {
    "as typed": {},
    "american": {"car.capacity": ("2.11", "US gal"), "car.cap_rating": ("16.2", "psi"),
                 "owner.rate": ("0.4", "US qt/1000 mi"), "place.altitude": ("5250", "ft"),
                 "coolant.filled": ("5.02", "US qt"), "tester.division": ("0.25", "psi"),
                 "place.ambient": ("41", "°F"), "tester.stroke_volume": ("0.05", "US qt")},
    "british": {"car.capacity": ("13.5", "UK pt"), "car.cap_rating": ("1.12", "bar"),
                "car.glycol": ("propylene", None), "coolant.missing_before": ("1", "UK pt"),
                "coolant.drained": ("7.25", "UK pt"), "coolant.residual_strength": ("20.5", "%"),
                "tester.division": ("10", "mbar"), "place.ambient": ("-7", "°C")},
    "premix": {"coolant.at_hand": ("premix_50", None), "coolant.target_strength": ("45", "%"),
               "coolant.filled": ("3.9", "L"), "coolant.spilled": ("0", "L")},
    "too much in": {"coolant.filled": ("5.3", "L"), "tester.division": ("0.5", "kPa")},
}  # fmt: skip


def drawn(again: str) -> Logbook:
    log = measured()
    for name, (typed, unit) in AGAIN[again].items():
        log.add("fact", name, typed, unit)
    return log


def split(shown: list[str]) -> list[str]:
    """The lines of a drawing that holds as many streams on one as fit, each stream by itself."""
    made: list[str] = []
    broken = ""  # a name whose figure stands on the next line
    for told in shown:
        each = f"fluids: {broken} {told.removeprefix('fluids: ')}" if broken else told
        broken = ""
        if each.startswith("fluids: ") and not re.search("[0-9]", each):
            broken = each.removeprefix("fluids: ")
            continue
        if each.startswith("fluids: ") and "; " not in each:
            made += [f"fluids: {part}" for part in each.removeprefix("fluids: ").split(" · ")]
        else:
            made.append(each)
    return made


@pytest.mark.parametrize("again", AGAIN)
def test_the_record_says_what_was_typed_and_what_that_comes_to(again: str) -> None:
    log = drawn(again)
    told = Told(log.events)
    for reader in READERS:
        chosen = {"units": SETS[reader.id]}
        shown = split(Sheet(record(log, preferences=chosen)).lines)
        axes = r"(plot|fluids): −?[\d.]+( \S+| US qt)?$"  # the drawings' own tests judge these
        counts = r".*(\d+ of \d+ (points|asked)|record job-1$)"
        figures = [each for each in shown if not re.match(f"day: |{axes}|{counts}", each)]
        page = by_hand.lines_of(told, reader, log.moment()["at"])
        assert differences(page, figures) == []
        by_hand.day([each[5:] for each in shown if each.startswith("day: ")], told)
