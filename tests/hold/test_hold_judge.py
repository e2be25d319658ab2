"""The verdict just below, exactly at and just above each limit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.hold.holds import LITRE_PER_1000_KM, ML_PER_KPA, readings
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Compliance, Estimate, Hold, Reading
from weeptrace.hold.judge import Evidence, Judgement, claimed_class, flow_sd, judge, size_class
from weeptrace.rules import limits

LIMITS = limits()
EXPOSURE = LIMITS["hold.exposure"]
# A sharp look: 1 mL/kPa, hardly any uncertainty, 15 min.
SHARP = Evidence(
    rate=0.0,
    rate_sd=1e-6,
    rate_sd_lasting=0.0,
    rate_sd_without=1e-6,
    compliance=ML_PER_KPA,
    compliance_sd=0.0,
    readings=16,
    span=900.0,
    look_factor=LIMITS["hold.claim_factor"],
    planned=None,
    warm_unlogged=False,
    falls_at_once=False,
    owner_rate=None,
)


def rate_for(litres: float) -> float:
    """Rate in Pa/s at 1 mL/kPa of a loss in L/1000 km."""
    return litres * LITRE_PER_1000_KM / EXPOSURE / ML_PER_KPA


def with_loss(litres: float, sd: float, **more: object) -> Judgement:
    sd_rate = rate_for(sd)
    evidence = replace(SHARP, rate=rate_for(litres), rate_sd=sd_rate, rate_sd_without=sd_rate)
    return judge(replace(evidence, **more), LIMITS)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("litres", "expected"),
    [
        (0.0299, "tight"),
        (0.0301, "seeping"),
        (0.2999, "seeping"),
        (0.3001, "leaking"),
        (4.999, "leaking"),
        (5.001, "gross"),
    ],
)
def test_classes_go_by_the_central_value(litres: float, expected: str) -> None:
    assert with_loss(litres, 2e-5).verdict == expected


@pytest.mark.parametrize(("edge", "lower"), [(0.03, 0), (0.3, 1), (5.0, 2)])
def test_exactly_at_a_class_limit_is_the_lower_class(edge: float, lower: int) -> None:
    loss = edge * LITRE_PER_1000_KM
    assert size_class(loss, LIMITS) == lower
    assert size_class(loss * 0.999, LIMITS) == lower
    assert size_class(loss * 1.001, LIMITS) == lower + 1


@pytest.mark.parametrize(
    ("litres", "sd", "expected"),
    [
        (0.25, 0.02, "seeping"),
        (0.25, 0.03, "seeping_or_leaking"),
        (0.35, 0.03, "seeping_or_leaking"),
        (0.35, 0.02, "leaking"),
        (4.5, 0.2, "leaking"),
        (4.5, 0.3, "leaking_or_gross"),
        (6.0, 0.6, "leaking_or_gross"),
        (6.0, 0.4, "gross"),
        (0.1, 0.05, "seeping"),  # the interval reaches below zero, not into a second class of leak
        (1.0, 0.5, "seeping_or_leaking"),
        (6.0, 3.5, "leaking_or_gross"),  # three classes: the central one and its neighbour
    ],
)
def test_an_interval_over_two_classes_names_both(litres: float, sd: float, expected: str) -> None:
    assert with_loss(litres, sd).verdict == expected


@pytest.mark.parametrize(
    ("litres", "expected"),
    [(0.2, "seeping_or_leaking"), (1.2, "seeping_or_leaking"), (1.25, "leaking_or_gross")],
)
def test_over_all_classes_the_nearer_neighbour_is_named(litres: float, expected: str) -> None:
    # 0.1 to 6 L/1000 km; the middle of 0.3 and 5 by ratio is sqrt(1.5) = 1.225.
    loss = Estimate(*(part * LITRE_PER_1000_KM for part in (litres, 0.1, 6.0)))
    assert claimed_class(loss, loss.high, LIMITS) == expected


@pytest.mark.parametrize(("factor", "claimed"), [(1.644, False), (1.646, True)])
def test_a_leak_is_claimed_above_1_645_standard_errors(factor: float, claimed: bool) -> None:
    assert (with_loss(0.1 * factor, 0.1).verdict in ("seeping", "seeping_or_leaking")) is claimed


@pytest.mark.parametrize(
    ("sd", "expected"), [(0.0182, "tight"), (0.03 / 1.645, "tight"), (0.0183, "no_leak_found")]
)
def test_tight_only_below_the_upper_bound(sd: float, expected: str) -> None:
    assert with_loss(0.0, sd).verdict == expected


@pytest.mark.parametrize(
    ("owner", "expected"), [(0.299, "too_weak"), (0.3, "no_leak_found"), (0.301, "no_leak_found")]
)
def test_too_weak_for_the_owners_rate(owner: float, expected: str) -> None:
    found = with_loss(0.0, 0.1 / 1.645, owner_rate=owner * LITRE_PER_1000_KM)
    assert found.verdict == expected


@pytest.mark.parametrize(("litres", "expected"), [(4.99, "no_leak_found"), (5.01, "not_judged")])
def test_a_hold_that_could_not_see_a_gross_leak_is_not_judged(litres: float, expected: str) -> None:
    found = with_loss(0.0, litres / 1.645)
    assert found.verdict == expected
    assert (found.reason is not None) is (expected == "not_judged")


@pytest.mark.parametrize(("count", "judged"), [(4, False), (5, True), (6, True)])
def test_minimum_of_readings(count: int, judged: bool) -> None:
    found = with_loss(0.0, 0.05, readings=count)
    assert (found.verdict == "no_leak_found") is judged
    if not judged:
        assert found.reason is not None
        assert found.reason.code == "too_few_readings"
        assert "5" in found.reason.message
        assert found.more_time is not None


@pytest.mark.parametrize(("span", "judged"), [(239.0, False), (240.0, True), (241.0, True)])
def test_minimum_span(span: float, judged: bool) -> None:
    found = with_loss(0.0, 0.05, span=span)
    assert (found.verdict == "no_leak_found") is judged
    if not judged:
        assert found.reason is not None
        assert found.reason.code == "too_short"
        assert found.more_time == pytest.approx(1.0)


def test_minimum_counts_bind_only_verdicts_without_a_leak() -> None:
    assert with_loss(20.0, 1.0, readings=3, span=45.0).verdict == "gross"
    assert with_loss(20.0, 1.0, readings=2, span=45.0).verdict == "not_judged"


@pytest.mark.parametrize(("factor", "verdict"), [(-1.95, "no_leak_found"), (-1.97, "not_judged")])
def test_a_rise_beyond_noise_is_not_judged(factor: float, verdict: str) -> None:
    found = with_loss(0.1 * factor, 0.1)
    assert found.verdict == verdict
    assert (found.reason is not None and found.reason.code == "rising") is (factor < -1.96)


def test_what_stands_still_without_any_doubt_does_not_rise() -> None:
    assert judge(replace(SHARP, rate=0.0, rate_sd=0.0), LIMITS).verdict == "tight"


def test_unknown_stored_volume() -> None:
    falls = with_loss(2.0, 0.1, compliance=None)
    assert falls.verdict == "leak_size_unknown"
    assert falls.leak_flow is None
    assert falls.not_larger_than_flow is None
    still = with_loss(0.0, 0.1, compliance=None)
    assert still.verdict == "not_judged"
    assert still.reason is not None
    assert still.reason.code == "stored_volume_unknown"


def test_warm_engine_without_a_log() -> None:
    assert with_loss(2.0, 0.1, warm_unlogged=True).verdict == "not_judged"
    assert with_loss(2.0, 0.1, warm_unlogged=True, compliance=None).verdict == "not_judged"
    assert with_loss(20.0, 0.1, warm_unlogged=True, falls_at_once=True).verdict == "gross"


@pytest.mark.parametrize(("above", "judged"), [(9.9, True), (10.0, True), (10.1, False)])
def test_ten_kelvin_above_ambient(above: float, judged: bool) -> None:
    seen = readings([(k, 100) for k in range(16)])
    warm = (Reading(0.0, 100e3, 290.0 + above), *seen[1:])
    found = assess(
        Hold(warm, 2e3, stored=Compliance(ML_PER_KPA), ambient_temperature=290.0), LIMITS
    )
    assert (found.reason is None or found.reason.code != "engine_warm") is judged


@pytest.mark.parametrize(("kept", "expected"), [(56.0, "leaking"), (46.0, "gross")])
def test_half_within_a_minute(kept: float, expected: str) -> None:
    # So stiff a system that even this is no gross flow: 0.05 mL/kPa.
    seen = readings([(0, 100), (0.25, 100 - (100 - kept) / 4), (0.5, 50 + kept / 2), (1, kept)])
    found = assess(Hold(seen, 0.5e3, stored=Compliance(0.05 * ML_PER_KPA)), LIMITS)
    assert found.verdict == expected


def test_upper_limit_and_planning_figure_are_two_figures() -> None:
    found = with_loss(0.1, 0.1)
    assert found.not_larger_than_flow is not None
    assert found.smallest_detectable_flow is not None
    x = found.not_larger_than_flow * EXPOSURE / LITRE_PER_1000_KM
    plan = found.smallest_detectable_flow * EXPOSURE / LITRE_PER_1000_KM
    assert x == pytest.approx(0.1 + 1.645 * 0.1)
    assert plan == pytest.approx(3.29 * 0.1)


def test_a_negative_estimate_does_not_lower_the_upper_limit() -> None:
    found = with_loss(-0.1, 0.1)
    assert found.not_larger_than_flow is not None
    assert found.not_larger_than_flow * EXPOSURE / LITRE_PER_1000_KM == pytest.approx(0.1645)


def test_compliance_scales_the_flow_and_never_the_claim() -> None:
    for sd in (0.0, 0.2 * ML_PER_KPA, 0.5 * ML_PER_KPA):
        assert with_loss(1.0, 0.5, compliance_sd=sd).verdict != "no_leak_found"
        assert with_loss(0.8, 0.5, compliance_sd=sd).verdict == "no_leak_found"
    assert flow_sd(0.0, 2.0, 3.0, 4.0) == pytest.approx(10.0)


def test_more_time_is_where_the_bound_gets_there() -> None:
    evidence = replace(
        SHARP, rate_sd=rate_for(0.2), rate_sd_lasting=rate_for(0.01), owner_rate=0.3e-9
    )
    found = judge(evidence, LIMITS)
    assert found.verdict == "too_weak"
    assert found.more_time is not None
    # Noise falls as 1/root I, I as N (N^2 - 1) at one reading a minute: X to 0.1 L/1000 km.
    wanted = 0.1 / 1.645
    for minutes, enough in ((found.more_time / 60, True), (found.more_time / 60 - 1, False)):
        count = 16 + minutes
        gain = count * (count**2 - 1) / (16 * (16**2 - 1))
        sd = ((0.2**2 - 0.01**2) / gain + 0.01**2) ** 0.5
        assert (sd <= wanted) is enough


def test_more_time_is_absent_where_no_hour_is_enough() -> None:
    lasting = replace(
        SHARP, rate_sd=rate_for(0.2), rate_sd_lasting=rate_for(0.15), owner_rate=0.3e-9
    )
    assert judge(lasting, LIMITS).more_time is None
