"""A leak above the liquid: the hint, and what it would be as liquid."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.hold.holds import ML_PER_MIN, hold_of, minutes
from tests.simulated_car import Car
from weeptrace.hold.air_side import as_liquid, looks_like_air
from weeptrace.hold.assess import assess
from weeptrace.properties.expansion import Coolant
from weeptrace.rules import limits

HALF = Coolant("ethylene", 0.527)


def test_ratios_of_common_practice() -> None:
    # At 100 kPa, by volume upstream (common practice): orifice 14.5; laminar 160 cold. Hot the
    # room's README has 29, where common practice has 33.
    cold = as_liquid(1.0, 100e3, 101325.0, 293.15, HALF)
    assert 1.0 / cold.orifice == pytest.approx(14.5, rel=0.01)
    assert 1.0 / cold.laminar == pytest.approx(160.0, rel=0.06)  # by 3.9 mPa s, ours is 4.1


@pytest.mark.parametrize(("wet", "hinted"), [(False, True), (True, False), (None, False)])
def test_a_fast_fall_with_nothing_wet(wet: bool | None, hinted: bool) -> None:
    hold = hold_of(Car(leak_100=2.0 * ML_PER_MIN, gas_volume=600e-6), minutes(16))
    found = assess(replace(hold, wet=wet), limits())
    assert [hint.code for hint in found.hints] == (["air_side"] if hinted else [])
    assert (found.air_side is not None) is hinted
    if found.air_side is not None:
        assert found.leak_flow is not None
        ratio = found.leak_flow.value / found.air_side.orifice.value
        assert ratio == pytest.approx(14.5, rel=0.06)
        assert found.air_side.laminar.value < found.air_side.orifice.value


def test_outside_air_is_that_of_the_place_whatever_else_is_known() -> None:
    """By the same hole less gets out into thinner air: 80 instead of 101.3 kPa."""
    hold = replace(
        hold_of(Car(leak_100=2.0 * ML_PER_MIN, gas_volume=600e-6), minutes(16)), wet=False
    )
    ratios = []
    for atmosphere, rated in ((80e3, None), (80e3, 200e3), (101325.0, None), (None, 200e3)):
        found = assess(replace(hold, atmosphere=atmosphere, rated=rated), limits())
        assert found.leak_flow is not None
        assert found.air_side is not None
        ratios.append(found.leak_flow.value / found.air_side.laminar.value)
    high, again, low, usual = ratios
    assert again == pytest.approx(high)
    assert usual == pytest.approx(low)
    assert abs(high / low - 1.0) > 0.02


def test_no_hint_where_no_leak_is_claimed() -> None:
    found = assess(replace(hold_of(Car(), minutes(16)), wet=False), limits())
    assert found.verdict == "no_leak_found"
    assert found.hints == ()


@pytest.mark.parametrize(("flow", "hinted"), [(0.499, False), (0.5, False), (0.501, True)])
def test_the_flow_that_would_have_been_seen(flow: float, hinted: bool) -> None:
    assert looks_like_air(True, flow * ML_PER_MIN, False, limits()) is hinted
    assert not looks_like_air(False, flow * ML_PER_MIN, False, limits())
