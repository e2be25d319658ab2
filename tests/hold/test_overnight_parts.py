"""What widens a morning's needle: each part alone, by the needle that it would move."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from weeptrace.hold.data import Strokes
from weeptrace.hold.overnight import Evening, Warmth, expected
from weeptrace.rules import limits

PARTS = (
    "stroke_uncertainty",
    "hose_compliance_uncertainty",
    "creep_share_uncertainty",
    "overnight_growth",
    "overnight_temperature",
)
LIMITS = limits()
QUIET = {**LIMITS, **{f"hold.{name}": 0.0 for name in PARTS}}
LEFT = Evening(Strokes(9, 40e-6), 100e3, 95e3, Warmth(295.0), 7e-3, 90e3, "propylene", 0.45)
MORNING = Warmth(284.0)


def moved(evening: Evening = LEFT, morning: Warmth = MORNING, **known: float) -> float:
    """By how many Pa the needle differs from the usual."""
    other = {**QUIET, **{f"hold.{name}": value for name, value in known.items()}}
    return expected(evening, morning, other).value - expected(LEFT, MORNING, QUIET).value


def more_strokes(part: float) -> Evening:
    return replace(LEFT, strokes=replace(LEFT.strokes, count=9 * (1.0 + part)))


@pytest.mark.parametrize(
    ("part", "sd", "parts"),
    [
        ("stroke_uncertainty", 0.1, [moved(more_strokes(math.hypot(0.1, 0.29 / 9)))]),
        (
            "hose_compliance_uncertainty",
            2e-10,
            [moved(hose_compliance=LIMITS["hold.hose_compliance"] + 2e-10)],
        ),
        (
            "creep_share_uncertainty",
            0.02,
            [moved(creep_share=LIMITS["hold.creep_share"] + 0.02)],
        ),
        ("overnight_growth", 0.1, [moved(expansion=1.1 * LIMITS["hold.expansion"])]),
        (
            "overnight_temperature",
            1.5,
            [moved(replace(LEFT, warmth=Warmth(296.5))), moved(morning=Warmth(285.5))],
        ),
    ],
)
def test_each_part_widens_by_what_it_moves(part: str, sd: float, parts: list[float]) -> None:
    if part != "stroke_uncertainty":
        parts = [*parts, moved(more_strokes(0.29 / 9))]  # half a stroke, whatever else is known
    found = expected(LEFT, MORNING, {**QUIET, f"hold.{part}": sd})
    assert min(map(abs, parts)) > 1.0
    assert found.high - found.value == pytest.approx(1.96 * math.hypot(*parts), rel=1e-6)
    assert found.value - found.low == pytest.approx(1.96 * math.hypot(*parts), rel=1e-6)
