"""Pump efficiency and drawn or caught liquid, each against a second way of computing it."""

from __future__ import annotations

import pytest

from tests.hold.holds import ML, ML_PER_KPA, hold_of, minutes
from tests.simulated_car import Car
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Drawn, Strokes
from weeptrace.hold.pump import efficiency, gas_from_strokes
from weeptrace.hold.stored import compliance_at, headspace, stored_volume
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

SEA = 101325.0


def pump_up(gas: float, goal: float, stroke: float, dead: float, hoses: float = 0.0) -> float:
    """Strokes from zero gauge to a goal, one after the other, by the mass of dry air (no vapour).

    The last one counts as the part of it that was needed. A second way: no closed form.
    """
    inside, count, p = SEA * gas, 0.0, 0.0
    while True:
        taken = stroke - dead * p / SEA  # the dead volume's air at p + Pa expands first
        after = inside + SEA * taken
        low, high = p, p + 1e6
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (
                (middle, high) if (middle + SEA) * (gas + hoses * middle) < after else (low, middle)
            )
        if high >= goal:
            return count + (goal - p) / (high - p)
        inside, p, count = after, high, count + 1.0


@pytest.mark.parametrize("share", [0.05, 0.2, 0.4])
@pytest.mark.parametrize("goal", [50e3, 100e3, 140e3])
def test_efficiency_against_single_strokes(share: float, goal: float) -> None:
    stroke = 4 * ML  # small, so that the count is fine
    count = pump_up(1000 * ML, goal, stroke, share * stroke)
    without = pump_up(1000 * ML, goal, stroke, 0.0)
    found = efficiency(Strokes(count, stroke, share * stroke), goal, SEA)
    assert found == pytest.approx(without / count, rel=2e-3)


def test_a_pump_that_only_squeezes_its_own_air() -> None:
    stalls = Strokes(50, 40 * ML, 20 * ML)  # half of the stroke: nothing goes in at 2 Pa
    assert 0.0 < efficiency(stalls, 1.99 * SEA, SEA) < 1.0
    with pytest.raises(Refusal) as caught:
        efficiency(stalls, 2.0 * SEA, SEA)
    assert caught.value.path == "dead_volume"
    assert "kPa" in caught.value.accepted


@pytest.mark.parametrize("hoses", [0.0, 0.4 * ML_PER_KPA, 1.5 * ML_PER_KPA])
def test_gas_from_strokes_gives_the_headspace_back(hoses: float) -> None:
    count = pump_up(800 * ML, 110e3, 2 * ML, 0.0, hoses)
    gas = gas_from_strokes(Strokes(count, 2 * ML), 110e3, hoses, SEA)
    assert gas - hoses * 110e3 == pytest.approx(800 * ML, rel=3e-3)


def test_vapour_belongs_to_neither_side_of_the_stroke_balance() -> None:
    # Dry gas: N Vs Pa = (p + P)(V0 + Ch p) - P V0 with P = Pa - pv; written out for 15 kPa.
    hoses, vapour, v0, p = 0.5 * ML_PER_KPA, 15e3, 700 * ML, 100e3
    dry = SEA - vapour
    pumped = ((p + dry) * (v0 + hoses * p) - dry * v0) / SEA
    gas = gas_from_strokes(Strokes(pumped / (40 * ML), 40 * ML), p, hoses, SEA, vapour)
    assert gas - hoses * p == pytest.approx(v0, rel=1e-9)


def drawn_from(gas: float, hoses: float, before: float, after: float, dry: float) -> float:
    """Liquid that leaves between two pressures: what hoses and gas give, in small steps of C dp."""
    steps, total = 20000, 0.0
    for k in range(steps):
        p = after + (before - after) * (k + 0.5) / steps
        total += (hoses + gas / (p + dry) ** 2) * (before - after) / steps
    return total


@pytest.mark.parametrize("by_leak", [False, True])
@pytest.mark.parametrize("fall", [3e3, 20e3, 60e3])
def test_drawn_liquid_gives_the_compliance_at_any_target(fall: float, by_leak: bool) -> None:
    known = dict(limits())
    hoses, dry = known["hold.hose_compliance"], SEA - 1.8e3
    gas = 300 * ML * (100e3 + dry)
    volume = drawn_from(gas, hoses, 100e3, 100e3 - fall, dry)
    given = Drawn(volume, 100e3, 100e3 - fall, by_leak)
    found = stored_volume(given, 100e3, 80e3, SEA, 1.8e3, known, noise=600.0)
    assert found.gas == pytest.approx(gas, rel=1e-6)
    assert found.compliance == pytest.approx(compliance_at(hoses, gas, 80e3 + dry), rel=1e-6)
    # Weighed to half a millilitre, the needle read twice, a tenth of a caught leak lost.
    weighed = 0.5 * ML / volume if not by_leak else ((0.5 * ML / volume) ** 2 + 0.01) ** 0.5
    relative = (weighed**2 + 2 * (600.0 / fall) ** 2) ** 0.5
    share = (100e3 + dry) * (100e3 - fall + dry) / (80e3 + dry) ** 2
    by_hoses = (1 - share) * known["hold.hose_compliance_uncertainty"]
    expected = ((relative * volume / fall * share) ** 2 + by_hoses**2) ** 0.5
    assert found.uncertainty == pytest.approx(expected, rel=1e-9)


def test_less_drawn_than_the_hoses_give_leaves_no_gas() -> None:
    found = stored_volume(Drawn(2 * ML, 100e3, 90e3), 100e3, 100e3, SEA, 0.0, limits(), 600.0)
    assert found.gas == 0.0
    assert found.hoses == found.compliance == pytest.approx(0.2 * ML_PER_KPA)


def test_headspace_from_every_kind() -> None:
    by_strokes = stored_volume(Strokes(27, 40 * ML), 1e5, 1e5, SEA, 0.0, limits())
    v0 = headspace(by_strokes, 1e5, SEA)
    assert v0 + limits()["hold.hose_compliance"] * 1e5 == pytest.approx(by_strokes.gas / 201325.0)


def test_a_hold_judged_with_15_ml_drawn_off() -> None:
    car = Car(gas_volume=600e-6, leak_100=2e-8, creep_share=0.0)
    c = car.total_compliance(110e3)
    drawn = Drawn(15 * ML, 110e3, 110e3 - 15 * ML / c)
    by_drawn = assess(hold_of(car, minutes(31), division=200.0, stored=drawn), limits())
    by_strokes = assess(hold_of(car, minutes(31), division=200.0), limits())
    assert by_drawn.leak_flow is not None
    assert by_strokes.leak_flow is not None
    assert by_drawn.leak_flow.value == pytest.approx(car.leak_flow(110e3), rel=0.05)
    assert by_drawn.leak_flow.value == pytest.approx(by_strokes.leak_flow.value, rel=0.05)
