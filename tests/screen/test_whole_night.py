"""The pages of a night under pressure held whole to a given judgement of it."""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.logbook import Logbook
from tests.screen.hand.plain import NBSP, row, table
from tests.screen.hand.told import word
from tests.screen.test_view import RULES
from weeptrace.finding import Estimate
from weeptrace.job.advance import fold
from weeptrace.job.overnight import Night
from weeptrace.rules import Step
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import overnight

Json = dict[str, Any]
SHOW: Final = Show(RULES, next(e["units"] for e in RULES.unit_sets if e["id"] == "kpa"))
TIGHT: Final = Estimate(92.4e3, 90.2e3, 94.6e3)
IF_TIGHT: Final = [[word("overnight.if_tight"), f"92{NBSP}kPa (90 to 95)"],
                   [word("overnight.block"), f"8{NBSP}°C"]]  # fmt: skip
EVENING: Final = [word("overnight.evening"), f"100{NBSP}kPa"]
MORNING: Final = [word("overnight.morning"), f"91{NBSP}kPa"]
LET_OFF: Final = [word("overnight.let_off"), f"88{NBSP}kPa"]


def page(
    patch: pytest.MonkeyPatch, id: str, found: Night | None, off: float | None = None
) -> tuple[list[Json], list[tuple[str, str]]]:
    """What stands between prompt and key of a step, and what the record says."""
    log = Logbook()
    log.add("fact", "car.cap_rating", "130", "kPa")
    log.add("fact", "test.evening", "100", "kPa")
    log.add("fact", "test.morning", "91", "kPa")
    job = fold(RULES, log.events)
    patch.setattr(overnight, "night", lambda rules, job: found)
    patch.setattr(overnight, "left_at", lambda job: off)
    at: Step = next(s for s in RULES.procedures["coolant_loss"].steps if s.id == id)
    body, _ = overnight.blocks(SHOW, job, at)
    assert [each["block"] for each in body[:2]] == ["title", "prompt"]
    rest = [each for each in body[2:] if each["block"] != "pad"]
    return rest, list(overnight.rows(SHOW, job))


def test_in_the_evening_a_tight_car_s_morning_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    body, rows = page(monkeypatch, "night_morning", Night(TIGHT, 281.15, None))
    assert (body, rows) == ([table(*IF_TIGHT)], [])
    assert page(monkeypatch, "night_morning", None) == ([], [])


@pytest.mark.parametrize(
    ("sign", "shape"), [("as_a_tight_one", "done"), ("below", "stop"), ("above", "waits")]
)
def test_in_the_morning_the_needle_is_compared(
    monkeypatch: pytest.MonkeyPatch, sign: Any, shape: str
) -> None:
    says = row(shape, word(f"overnight.{sign}"), word(f"overnight.{sign}_then"), framed=True)
    body, rows = page(monkeypatch, "night_result", Night(TIGHT, 281.15, sign))
    assert body == [says, table(EVENING, MORNING, *IF_TIGHT)]
    told = [tuple(each) for each in IF_TIGHT]
    assert rows == [*told, (word("step.night_result.title"), word(f"overnight.{sign}"))]
    body, _ = page(monkeypatch, "night_result", Night(TIGHT, 281.15, sign), 88e3)
    assert body == [says, table(EVENING, LET_OFF, MORNING, *IF_TIGHT)]


def test_a_night_without_its_temperatures_is_not_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    unknown = row("not_measured", word("overnight.unknown"))
    for found in (None, Night(TIGHT, 281.15, None)):
        body, rows = page(monkeypatch, "night_result", found, 88e3)
        assert body == [unknown, table(EVENING, LET_OFF, MORNING)]
        assert rows == []
