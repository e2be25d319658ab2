"""What the judgement of a drained system does with its evidence, each edge by arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.hold.holds import ML_PER_MIN, readings
from weeptrace.hold.air_judge import AirEvidence, gone
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Hold
from weeptrace.hold.judge import Judgement, judge
from weeptrace.properties.openings import LiquidBounds
from weeptrace.rules import limits

LIMITS = limits()
SIZE = 6e-3 / 101325.0  # m3/Pa of 6 L
HOLE, CRACK = 0.07, 0.045  # of liquid per air
# 16 readings in 15 min of a vacuum that was reached; hardly any uncertainty.
SHARP = AirEvidence(
    rate=0.0,
    rate_sd=1e-3,
    rate_sd_lasting=0.0,
    rate_sd_without=1e-3,
    compliance=SIZE,
    compliance_sd=0.0,
    liquid=LiquidBounds(HOLE, CRACK),
    readings=16,
    span=900.0,
    look_factor=1.645,
    planned=None,
    falls_at_once=False,
    gone_after=None,
    air_weight=1.0,
    warm_unlogged=False,
    residual=0.1,
    altitude_known=True,
    owner_rate=None,
)


def rate(litres: float) -> float:
    """Pa/s of a loss of liquid through the hole, 1 mL/min for 1.5 L/1000 km."""
    return litres / 1.5 * ML_PER_MIN / HOLE / SIZE


def found(litres: float, sd: float, **more: object) -> Judgement:
    u = rate(sd)
    evidence = replace(SHARP, rate=rate(litres), rate_sd=u, rate_sd_without=u)
    return judge(replace(evidence, **more), LIMITS)  # type: ignore[arg-type]


@pytest.mark.parametrize(("factor", "claimed"), [(1.64, False), (1.65, True)])
def test_a_leak_above_1_645_standard_errors(factor: float, claimed: bool) -> None:
    assert (found(0.1 * factor, 0.1).verdict == "no_leak_found") is not claimed
    assert found(5.0, 0.1, readings=3, span=60.0).verdict != "not_judged"
    assert found(5.0, 0.1, readings=2, span=60.0).verdict == "not_judged"


@pytest.mark.parametrize(("weight", "claimed"), [(0.29, False), (0.31, True)])
def test_a_leak_that_another_cause_explains_is_not_claimed(weight: float, claimed: bool) -> None:
    """Limit vacuum.air_weight, 30 %."""
    assert (found(1.0, 0.05, air_weight=weight).verdict == "leaking") is claimed


def test_the_figures_as_liquid() -> None:
    told = found(1.0, 0.1)
    assert told.leak_flow is not None
    flow = 1.0 / 1.5 * ML_PER_MIN
    assert told.leak_flow.value == pytest.approx(flow)
    assert told.leak_flow.high == pytest.approx(flow * 1.196)
    assert told.leak_flow.low == pytest.approx(flow * 0.804 * CRACK / HOLE)
    assert told.not_larger_than_flow == pytest.approx(flow * 1.1645)
    assert told.smallest_detectable_flow == pytest.approx(flow * 0.329)
    below = found(-0.1, 0.1)
    assert below.leak_flow is not None
    # A negative end is furthest from nothing through the hole.
    assert below.leak_flow.low == pytest.approx(-0.296 * flow)
    assert below.not_larger_than_flow == pytest.approx(0.1645 * flow)


@pytest.mark.parametrize(("litres", "sd"), [(0.0, 0.5), (0.0, 0.12), (0.25, 0.3)])
def test_more_time_is_where_the_bound_gets_to_the_next_class(litres: float, sd: float) -> None:
    lasting = 0.1 * sd
    told = found(litres, sd, rate_sd_lasting=rate(lasting))
    assert told.verdict == "no_leak_found"
    bound = litres + 1.645 * sd
    wanted = max(edge for edge in (5.0, 0.3, 0.03, 0.0) if edge < bound)

    def enough(more: float) -> bool:
        count = 16 + more
        gain = count * (count**2 - 1) / (16 * (16**2 - 1))
        later = math.sqrt((sd**2 - lasting**2) / gain + lasting**2)
        return litres > 1.645 * later or litres + 1.645 * later <= wanted

    minutes = [more for more in range(1, 61) if enough(more)]
    expected = 60.0 * minutes[0] if minutes else None
    assert told.more_time == expected


@pytest.mark.parametrize(("sd", "word"), [(3.0, "no_leak_found"), (3.08, "not_judged")])
def test_a_hold_that_could_not_see_a_gross_leak(sd: float, word: str) -> None:
    # 5 L/1000 km over 1.645.
    told = found(0.0, sd)
    assert told.verdict == word
    assert (told.reason is not None) is (word == "not_judged")


@pytest.mark.parametrize(("residual", "reached"), [(0.1499, True), (0.15, True), (0.1501, False)])
def test_a_vacuum_that_was_not_reached(residual: float, reached: bool) -> None:
    """Limit vacuum.residual_fraction, 15 % of the atmosphere (common practice)."""
    told = found(0.0, 0.1, residual=residual)
    assert (told.verdict == "no_leak_found") is reached
    if not reached:
        assert told.reason is not None
        assert told.reason.code == "not_reached"
        unknown = found(0.0, 0.1, residual=0.2, altitude_known=False)
        assert unknown.reason is not None
        assert "altitude" in unknown.reason.message
        assert "20 %" in unknown.reason.message
        assert "15 %" in unknown.reason.message
        assert "altitude" not in told.reason.message


@pytest.mark.parametrize(("residual", "code"), [(0.1, "deepening"), (None, "rising")])
@pytest.mark.parametrize(("factor", "judged"), [(-1.95, True), (-1.97, False)])
def test_a_pressure_that_goes_the_other_way(
    residual: float | None, code: str, factor: float, judged: bool
) -> None:
    told = found(0.1 * factor, 0.1, residual=residual)
    assert (told.verdict == "no_leak_found") is judged
    if not judged:
        assert told.reason is not None
        assert told.reason.code == code
    # At an early look of several the factor of that look counts.
    assert found(-0.25, 0.1, look_factor=3.0).verdict == "no_leak_found"
    assert found(-0.31, 0.1, look_factor=3.0).verdict == "not_judged"


@pytest.mark.parametrize(
    ("more", "code", "time"),
    [
        ({"readings": 4, "span": 180.0}, "too_few_readings", 60.0),
        ({"readings": 9, "span": 200.0}, "too_short", 40.0),
        ({"compliance": None}, "volume_unknown", None),
        ({"compliance": None, "readings": 4, "span": 180.0}, "too_few_readings", 60.0),
        ({"warm_unlogged": True}, "engine_warm", None),
    ],
)
def test_what_cannot_be_judged(more: dict[str, object], code: str, time: float | None) -> None:
    told = found(0.0, 0.1, **more)
    assert told.verdict == "not_judged"
    assert told.reason is not None
    assert told.reason.code == code
    assert told.more_time == time


def test_the_order_of_the_words() -> None:
    unknown = {"compliance": None}
    assert found(5.0, 0.1, **unknown).verdict == "leak_size_unknown"
    assert found(5.0, 0.1, falls_at_once=True, **unknown).verdict == "gross"
    assert found(0.1, 0.01, falls_at_once=True, warm_unlogged=True).verdict == "gross"
    assert found(0.0, 0.1, falls_at_once=True).verdict == "no_leak_found"
    assert found(0.0, 0.1, gone_after=59.0).verdict == "gross"
    assert found(0.0, 0.1, gone_after=61.0, warm_unlogged=True).verdict == "leak_size_unknown"
    assert found(1.0, 0.05, gone_after=59.0).verdict == "leaking"
    assert found(1.0, 0.05, warm_unlogged=True).verdict == "not_judged"
    # Below all classes a leak is still seeping, never tight.
    assert found(0.02, 0.001).verdict == "seeping"
    assert (gone(60.0, LIMITS), gone(60.1, LIMITS)) == ("gross", "leak_size_unknown")
    assert found(0.001, 0.1).verdict == "no_leak_found"


# --- readings that cannot be judged --------------------------------------------------------------


def code(seen: list[tuple[float, float]], kind: str = "pressure", **more: object) -> str | None:
    hold = Hold(readings(seen), 2e3, kind, **more)  # type: ignore[arg-type]
    reason = assess(hold, LIMITS).reason
    return None if reason is None else reason.code


@pytest.mark.parametrize("kind", ["pressure", "vacuum"])
def test_the_higher_of_the_first_two_counts(kind: str) -> None:
    """Three divisions of 2 kPa are the least that a gauge can tell from none."""
    none = "no_pressure" if kind == "pressure" else "no_vacuum"
    rest = [(k, 50.0) for k in range(2, 8)]
    assert code([(0, 5.9), (1, 5.8), *rest], kind) == none
    assert code([(0, 5.9), (1, 50.0), *rest], kind) != none
    assert code([(0, 50.0), (1, 5.9), *rest], kind) != none
    assert code([(0, 6.0), (1, 5.9), (2, 5.9), (3, 5.9), (4, 5.9), (5, 5.9)], kind) != none


def test_a_vacuum_no_deeper_than_the_atmosphere() -> None:
    seen = [(k, -80.0 + 0.1 * k) for k in range(8)]
    assert code(seen, "vacuum", atmosphere=79.9e3) == "deeper_than_atmosphere"
    assert code(seen, "vacuum", atmosphere=80.0e3) != "deeper_than_atmosphere"


@pytest.mark.parametrize(("other", "mixed"), [(2.0, False), (2.1, True)])
def test_signs_are_one_but_for_a_division(other: float, mixed: bool) -> None:
    seen = [(0, -80.0), (1, -60.0), (2, -40.0), (3, -20.0), (4, other), (5, 0.0)]
    assert (code(seen, "vacuum") == "mixed_signs") is mixed
    turned = [(t, -p) for t, p in seen]
    assert (code(turned, "vacuum") == "mixed_signs") is mixed


@pytest.mark.parametrize(("highest", "over"), [(110.9, False), (111.0, True)])
def test_dry_air_above_the_rating_is_told_and_judged_all_the_same(
    highest: float, over: bool
) -> None:
    seen = [(0, highest), *((k, 100.0) for k in range(1, 8))]
    found = assess(
        Hold(readings(seen), 2e3, "pressure", "air", rated=110e3, evacuated_volume=6e-3), LIMITS
    )
    assert found.verdict != "not_judged"
    assert [hint.code for hint in found.hints] == (["above_rating"] if over else [])
