"""The fluid balance: conservation, unknowns that stay unknown, and misfits by sign and size."""

from __future__ import annotations

import math

import pytest

from weeptrace.loss.balance import Balance, Volume, close, measured
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

LITRE = 1e-3
GOOD = {
    "drained": 5.1,
    "filled": 5.13,
    "spilled": 0.0,
    "missing_before": 0.5,
    "air_left": 0.47,
}


def exact(litres: float, half: float = 0.02) -> Volume:
    return Volume(litres * LITRE, (litres - half) * LITRE, (litres + half) * LITRE)


def _close(**change: float | None) -> Balance:
    given = {**GOOD, **change}
    volumes = {k: None if v is None else exact(v) for k, v in given.items()}
    return close(limits=limits(), **volumes)  # type: ignore[arg-type]


def test_it_closes() -> None:
    found = _close()
    assert found.closes == "yes"
    assert found.closure is not None
    assert found.closure.value == pytest.approx(0.0, abs=1e-9)
    assert found.closure.high == pytest.approx(0.02 * math.sqrt(5) * LITRE)
    assert found.closure.low == pytest.approx(-0.02 * math.sqrt(5) * LITRE)
    assert found.misfit is None
    assert found.not_measured == ()


@pytest.mark.parametrize("missing", list(GOOD))
def test_an_unknown_stream_is_never_zero(missing: str) -> None:
    found = _close(**{missing: None})
    assert found.closure is None
    assert found.closes == "not_judged"
    assert found.misfit is None
    assert found.not_measured == (missing,)


def test_less_went_in_than_came_out_air_is_left() -> None:
    found = _close(filled=4.5)
    assert found.closes == "no"
    assert found.misfit is not None
    assert found.misfit.cause == "air_left"
    assert found.misfit.size == pytest.approx(0.63 * LITRE)


def test_more_went_in_than_came_out_something_was_spilled_uncounted() -> None:
    found = _close(filled=5.9)
    assert found.misfit is not None
    assert found.misfit.cause == "uncounted_spill"
    assert found.misfit.size == pytest.approx(0.77 * LITRE)
    assert _close(filled=5.9, spilled=0.77).closes == "yes"


def test_capacity_too_small_for_what_is_in_it() -> None:
    found = _close(capacity=7.0, left_in=2.0)
    assert found.closure is not None
    assert found.misfit is not None
    assert found.misfit.cause == "wrong_capacity"
    assert found.misfit.size == pytest.approx(0.6 * LITRE)


def test_more_old_coolant_inside_than_thought() -> None:
    found = _close(capacity=7.6, left_in=1.0)
    assert found.closes == "no"
    assert found.misfit is not None
    assert found.misfit.cause == "old_coolant_left"
    assert found.misfit.size == pytest.approx(1.0 * LITRE)
    assert found.misfit.or_else == ("wrong_capacity",)


def test_capacity_alone_can_judge() -> None:
    closed = _close(drained=None, capacity=7.6, left_in=2.0)
    assert closed.closes == "yes"
    assert closed.not_measured == ("drained",)
    open_ = _close(drained=None, capacity=7.6, left_in=1.0)
    assert open_.misfit is not None
    assert open_.misfit.cause == "air_left"
    assert open_.misfit.or_else == ("old_coolant_left", "wrong_capacity")


def test_a_top_up_counts() -> None:
    assert _close(filled=4.6, topped_up=0.53).closes == "yes"


@pytest.mark.parametrize(("half", "closes"), [(0.99, "yes"), (1.0, "yes"), (1.01, "not_judged")])
def test_too_vague_to_close(half: float, closes: str) -> None:
    """Limit loss.widest_interval, 1 L."""
    volumes = {k: exact(v, 0.0) for k, v in GOOD.items()} | {"spilled": exact(0.0, half)}
    found = close(limits=limits(), **volumes)  # type: ignore[arg-type]
    assert found.closes == closes


@pytest.mark.parametrize(("below", "above"), [(0.1, 1.2), (1.2, 0.1)])
def test_too_vague_on_one_side_is_too_vague(below: float, above: float) -> None:
    skewed = Volume(3e-3, (3.0 - below) * LITRE, (3.0 + above) * LITRE)
    volumes = {k: exact(v, 0.0) for k, v in {**GOOD, "filled": 8.13}.items()}
    found = close(limits=limits(), **(volumes | {"spilled": skewed}))  # type: ignore[arg-type]
    assert found.closure is not None
    assert found.closure.value == pytest.approx(0.0, abs=1e-9)
    assert found.closes == "not_judged"
    assert found.misfit is None


@pytest.mark.parametrize(
    ("low", "high", "closes"),
    [(0.0, 0.3, "yes"), (-0.3, 0.0, "yes"), (0.001, 0.3, "no"), (-0.3, -0.001, "no")],
)
def test_a_balance_closes_where_its_interval_touches_zero(
    low: float, high: float, closes: str
) -> None:
    middle = (low + high) / 2.0
    volumes = {k: exact(0.0, 0.0) for k in GOOD}
    drained = Volume(*((5.0 + x) * LITRE for x in (middle, low, high)))
    volumes |= {"drained": drained, "filled": exact(5.0, 0.0)}
    found = close(limits=limits(), **volumes)  # type: ignore[arg-type]
    assert found.closes == closes


def test_waste_has_the_interval_of_its_streams() -> None:
    """5.1 L drained to 0.02, 26 L rinsed to 0.5, 2 L kept to 0.1: 29.1 L to 0.51."""
    volumes = {k: exact(v) for k, v in GOOD.items()}
    found = close(
        limits=limits(), rinsed=exact(26.0, 0.5), kept_for_reuse=exact(2.0, 0.1), **volumes
    )  # type: ignore[arg-type]
    half = math.sqrt(0.02**2 + 0.5**2 + 0.1**2)
    waste = found.waste["used_coolant"]
    assert [waste.low, waste.value, waste.high] == pytest.approx(
        [(29.1 - half) * LITRE, 29.1 * LITRE, (29.1 + half) * LITRE]
    )
    all_kept = close(limits=limits(), kept_for_reuse=exact(5.1), **volumes)  # type: ignore[arg-type]
    nothing = all_kept.waste["used_coolant"]
    assert (nothing.low, nothing.value) == (0.0, pytest.approx(0.0, abs=1e-12))
    assert nothing.high == pytest.approx(0.02 * math.sqrt(2) * LITRE)


def test_intervals_that_are_not_symmetric_turn_with_the_sign() -> None:
    skewed = Volume(0.47e-3, 0.47e-3, 0.77e-3)
    volumes = {k: exact(v, 0.0) for k, v in GOOD.items()} | {"air_left": skewed}
    found = close(limits=limits(), **volumes)  # type: ignore[arg-type]
    assert found.closure is not None
    assert found.closure.low == pytest.approx(-0.3e-3)
    assert found.closure.high == pytest.approx(0.0, abs=1e-9)


def test_waste_by_stream() -> None:
    found = _close(kept_for_reuse=2.0, spilled=0.3)
    assert found.waste["used_coolant"].value == pytest.approx(3.1 * LITRE)
    assert found.waste["spilled"].value == pytest.approx(0.3 * LITRE)
    assert _close().waste["used_coolant"].value == pytest.approx(5.1 * LITRE)
    assert "spilled" not in _close(spilled=None).waste
    assert "used_coolant" not in _close(drained=None).waste


def test_rinse_water_is_waste_and_transmission_fluid_is_apart() -> None:
    found = _close(rinsed=26.0, transmission_fluid=0.5)
    assert found.waste["used_coolant"].value == pytest.approx(31.1 * LITRE)
    assert found.waste["transmission_fluid"].value == pytest.approx(0.5 * LITRE)
    assert found.closure == _close().closure
    assert "transmission_fluid" not in _close().waste


def test_old_coolant_left_behind_by_capacity() -> None:
    """7.6 L less 0.5 missing, 5.1 drained and 0.1 spilled: 1.9 L stayed inside."""
    found = _close(capacity=7.6, spilled=0.1)
    assert found.left_behind is not None
    assert found.left_behind.value == pytest.approx(1.9 * LITRE)
    assert found.left_behind.high == pytest.approx((1.9 + 0.02 * math.sqrt(4)) * LITRE)
    assert _close().left_behind is None


@pytest.mark.parametrize(("capacity", "refused"), [(5.66, False), (5.5, True)])
def test_more_out_than_the_system_holds(capacity: float, refused: bool) -> None:
    """5.1 drained, 0.1 spilled and 0.5 missing are 5.7 L, each to 0.02 L."""
    if not refused:
        assert _close(capacity=capacity, spilled=0.1).left_behind is not None
        return
    with pytest.raises(Refusal, match="more than the car holds"):
        _close(capacity=capacity, spilled=0.1)


def test_usual_intervals() -> None:
    """Limits loss.*: 2 % or 0.05 L measured, 20 % or 0.15 L estimated, 5 % of a capacity."""
    rules = limits()
    for litres, how, half in (
        (1.0, "measured", 0.05),
        (5.0, "measured", 0.10),
        (0.5, "estimated", 0.15),
        (2.0, "estimated", 0.40),
        (8.0, "capacity", 0.40),
    ):
        found = measured(litres * LITRE, rules, how=how)  # type: ignore[arg-type]
        assert found.high == pytest.approx((litres + half) * LITRE)
        assert found.low == pytest.approx((litres - half) * LITRE)
    assert measured(0.0, rules).low == 0.0


def test_refused() -> None:
    rules = limits()
    with pytest.raises(Refusal, match="more than was drained"):
        _close(kept_for_reuse=6.0)
    with pytest.raises(Refusal, match="more than was drained"):
        _close(drained=None, kept_for_reuse=1.0)
    with pytest.raises(Refusal, match="more than the car holds"):
        _close(capacity=4.0)
    with pytest.raises(Refusal, match="rising order"):
        measured(1.0 * LITRE, rules, low=1.2 * LITRE)
    with pytest.raises(Refusal, match="rising order"):
        measured(-1.0 * LITRE, rules)
