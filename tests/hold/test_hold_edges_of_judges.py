"""Just on an edge of the judges: the lower word holds; figures that a computer keeps exactly."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.hold.test_air_next import SHARP as AIR
from tests.hold.test_hold_judge import SHARP as FILLED
from weeptrace.finding import Estimate
from weeptrace.hold.air_hold import air_hold
from weeptrace.hold.data import Hold, Reading, Verdict
from weeptrace.hold.judge import Evidence, claimed_class, judge, size_class
from weeptrace.rules import limits

LIMITS = limits()
CLASSES = {"tight": 0.03e-9, "seeping": 0.3e-9, "gross": 5e-9}  # m3/m, limits of the room


def verdict(evidence: Evidence, **change: object) -> Verdict:
    return judge(replace(evidence, **change), LIMITS).verdict  # type: ignore[arg-type]


def code(evidence: Evidence, **change: object) -> str:
    found = judge(replace(evidence, **change), LIMITS)  # type: ignore[arg-type]
    return found.reason.code if found.reason else ""


BOTH = pytest.mark.parametrize("evidence", [FILLED, AIR], ids=["filled", "drained"])
UNSURE = {"rate_sd": 0.5, "rate_sd_without": 0.5, "look_factor": 2.0}
CLAIMS = ("seeping", "seeping_or_leaking", "leaking", "leaking_or_gross", "gross")


@BOTH
@pytest.mark.parametrize(("rate", "claimed"), [(0.998, False), (1.0, False), (1.002, True)])
def test_a_leak_is_claimed_above_its_standard_errors(
    evidence: Evidence, rate: float, claimed: bool
) -> None:
    assert (verdict(evidence, rate=rate, **UNSURE) in CLAIMS) is claimed


@BOTH
@pytest.mark.parametrize(
    ("factor", "rate", "rises"),
    [
        (3.0, -1.5, False),  # three standard errors at a look that asks for three
        (3.0, -1.502, True),
        (1.0, -0.98, False),  # 1.96 at the least
        (1.0, -0.982, True),
    ],
)
def test_a_rise_counts_above_its_standard_errors(
    evidence: Evidence, factor: float, rate: float, rises: bool
) -> None:
    unsure = {**UNSURE, "look_factor": factor}
    assert (code(evidence, rate=rate, **unsure) in ("rising", "deepening")) is rises


@BOTH
@pytest.mark.parametrize(
    ("readings", "span", "why"),
    [
        (5, 240.0, ""),
        (4, 240.0, "too_few_readings"),
        (5, 239.0, "too_short"),
        (2, 900.0, "too_few_readings"),
    ],
)
def test_five_readings_in_four_minutes_are_enough(
    evidence: Evidence, readings: int, span: float, why: str
) -> None:
    assert code(evidence, readings=readings, span=span) == why
    # A leak is said sooner, from three readings on.
    sure = {"rate": 100.0, "readings": readings, "span": span}
    assert (verdict(evidence, **sure) in CLAIMS) is (readings > 2)


@pytest.mark.parametrize(("weight", "claimed"), [(0.299, False), (0.3, True), (0.301, True)])
def test_three_in_ten_for_a_leak_are_enough(weight: float, claimed: bool) -> None:
    assert (verdict(AIR, rate=100.0, air_weight=weight) in CLAIMS) is claimed


@pytest.mark.parametrize("name", CLASSES)
def test_a_loss_on_an_edge_is_in_the_lower_class(name: str) -> None:
    order = list(CLASSES).index(name)
    edge = CLASSES[name]
    assert size_class(edge * 0.999, LIMITS) == order
    assert size_class(edge, LIMITS) == order
    assert size_class(edge * 1.001, LIMITS) == order + 1


@pytest.mark.parametrize(
    ("low", "value", "high", "word"),
    [
        (0.4, 1.0, 2.0, "leaking"),
        (0.3, 1.0, 5.0, "seeping_or_leaking"),
        (0.301, 1.0, 5.0, "leaking"),
        (0.301, 1.0, 5.01, "leaking_or_gross"),
        (0.2, 1.22, 6.0, "seeping_or_leaking"),  # three classes: by the middle, root of 0.3 x 5
        (0.2, 1.23, 6.0, "leaking_or_gross"),
        (0.2, 0.25, 6.0, "seeping_or_leaking"),
        (0.2, 5.5, 6.0, "leaking_or_gross"),
        (-0.1, 0.2, 0.3, "seeping"),
        (0.01, 0.05, 0.29, "seeping"),
        (5.01, 6.0, 9.0, "gross"),
    ],
)
def test_one_word_or_two(low: float, value: float, high: float, word: str) -> None:
    loss = Estimate(1e-9 * value, 1e-9 * low, 1e-9 * high)
    assert claimed_class(loss, math.inf, LIMITS) == word


@pytest.mark.parametrize(("upper", "word"), [(0.03, "tight"), (0.031, "seeping"), (9.0, "seeping")])
def test_a_leak_in_the_class_of_tight_is_seeping_unless_its_bound_is_there_too(
    upper: float, word: str
) -> None:
    loss = Estimate(0.02e-9, 0.01e-9, 0.029e-9)
    assert claimed_class(loss, 1e-9 * upper, LIMITS) == word


@pytest.mark.parametrize(
    ("change", "word", "why", "more"),
    [
        ({"rate": 100.0, "falls_at_once": True, "warm_unlogged": True}, "gross", "", None),
        ({"rate": 100.0, "warm_unlogged": True}, "not_judged", "engine_warm", None),
        ({"warm_unlogged": True}, "not_judged", "engine_warm", None),
        ({"rate": 100.0}, "leak_size_unknown", "", None),
        ({"falls_at_once": True}, "not_judged", "stored_volume_unknown", None),
        ({}, "not_judged", "stored_volume_unknown", None),
        ({"readings": 4}, "not_judged", "too_few_readings", 60.0),
        ({"span": 200.0}, "not_judged", "too_short", 40.0),
        ({"rate": -100.0}, "not_judged", "rising", None),
    ],
)
def test_a_filled_system_of_unknown_size(
    change: dict[str, object], word: str, why: str, more: float | None
) -> None:
    evidence = replace(FILLED, compliance=None, **change)  # type: ignore[arg-type]
    found = judge(evidence, LIMITS)
    assert (found.verdict, found.reason.code if found.reason else "") == (word, why)
    assert found.more_time == (None if more is None else pytest.approx(more))
    assert found.leak_flow is found.not_larger_than_flow is found.smallest_detectable_flow is None


# --- all gone before it could be followed --------------------------------------------------------


@pytest.mark.parametrize(
    ("left", "after"),
    [
        ([90.0, 40.0, 10.0, 5.0, 1.0], None),  # one reading of nothing: it may be a slip
        ([90.0, 40.0, 10.0, 2.0, 1.0], 60.0),
        ([90.0, 2.9, 1.0, 0.5], 20.0),
        ([90.0, 3.0, 1.0, 0.5], 40.0),  # three divisions can be told from nothing
        ([90.0, 1.0, 50.0, 1.0, 1.0, 1.0], 60.0),
        ([90.0, 80.0, 70.0], None),
        ([1.0, 1.0, 1.0], 0.0),
    ],
)
@pytest.mark.parametrize("vacuum", [True, False])
def test_when_nothing_is_left(left: list[float], after: float | None, vacuum: bool) -> None:
    """Three divisions of 1 kPa are the least that counts; two readings of less at the end."""
    outside = 100e3
    sign = -1e3 if vacuum else 1e3
    shown = tuple(Reading(30.0 + 20.0 * k, sign * x) for k, x in enumerate(left))
    hold = Hold(shown, 1e3, "vacuum" if vacuum else "pressure", "air", atmosphere=outside)
    assert air_hold(hold, shown, LIMITS).gone_after(LIMITS) == after
