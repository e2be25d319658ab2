"""The reach of a vacuum, and a container that ran dry, each against a count of the gas."""

from __future__ import annotations

import pytest

from weeptrace.fill.ran_dry import RanDry, ran_dry
from weeptrace.fill.reach import best_vacuum
from weeptrace.fill.uptake import uptake
from weeptrace.properties import air
from weeptrace.properties.boiling import vapour_pressure
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

KPA = 1e3
HALF = mass_from_volume("ethylene", 0.5)


def _dry(**change: float) -> RanDry:
    given = {
        "volume": 5.6e-3,
        "residual_pressure": 8e3,
        "altitude": 1900.0,
        "temperature": 288.15,
        "strength": 0.5,
        "taken": 3e-3,
    }
    return ran_dry(**{**given, **change}, limits=limits())  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("altitude", "low", "high"),
    [(0.0, -93.2, -86.1), (2000.0, -73.1, -67.6)],
)
def test_common_reach_of_a_venturi(altitude: float, low: float, high: float) -> None:
    """8 to 15 % of the atmosphere left: -86 to -93 kPa at sea level, -68 to -73 at 2000 m (common
    practice)."""
    found = best_vacuum(air.pressure(altitude), vapour_pressure("ethylene", HALF, 293.15), limits())
    assert found.limited_by == "pump"
    assert found.gauge.low / KPA == pytest.approx(low, abs=0.1)
    assert found.gauge.high / KPA == pytest.approx(high, abs=0.1)
    assert found.residual.value == pytest.approx(found.gauge.value + air.pressure(altitude))


@pytest.mark.parametrize(("celsius", "deepest"), [(60.0, 15.1), (80.0, 36.0)])
def test_a_warm_engine_boils_before_the_pump_ends(celsius: float, deepest: float) -> None:
    """50 % at 60 °C: 15 kPa absolute, at 80 °C: 36 (Raoult's law on IAPWS-IF97)."""
    vapour = vapour_pressure("ethylene", HALF, 273.15 + celsius)
    found = best_vacuum(101325.0, vapour, limits())
    assert found.limited_by == "vapour"
    assert found.residual.value / KPA == pytest.approx(deepest, abs=0.1)


def test_no_vacuum_over_a_boiling_engine() -> None:
    assert best_vacuum(80e3, 90e3, limits()).gauge.value == 0.0
    with pytest.raises(Refusal):
        best_vacuum(0.0, 1e3, limits())


@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 0.9])
def test_dry_container_by_counting_the_gas(share: float) -> None:
    """Moles of air: what the first vacuum left, what came in at the atmosphere, what the second
    vacuum left of both, pressed to the atmosphere again."""
    rt = 8.314 * 288.15
    outside, vapour = air.pressure(1900.0), vapour_pressure("ethylene", HALF, 288.15)
    full = _dry(taken=0.0).expected
    found = _dry(taken=share * full, second_pressure=20e3)
    first = (8e3 - vapour) * 5.6e-3 / rt
    entered = (outside - vapour) * found.air_entered / rt
    room = (first + entered) * rt / (outside - vapour)
    assert found.room == pytest.approx(room, rel=1e-9)
    assert found.share == pytest.approx(share, abs=1e-12)
    left = (20e3 - vapour) * room / rt
    assert found.air_left == pytest.approx(left * rt / (outside - vapour), rel=1e-9)
    assert found.second_uptake + found.air_left + share * full == pytest.approx(5.6e-3)


def test_a_partial_vacuum_is_enough() -> None:
    """Without a second figure the vacuum is the one that leaves the air of the first plan."""
    planned = uptake(
        volume=5.6e-3, residual_pressure=8e3, altitude=1900.0, temperature=288.15, strength=0.5,
        limits=limits(),
    )  # fmt: skip
    found = _dry()
    assert found.enough_pressure > 8e3
    assert found.air_left == pytest.approx(planned.air_left)
    assert found.second_uptake + 3e-3 == pytest.approx(planned.uptake)
    assert found.container == pytest.approx(1.15 * found.second_uptake + 1e-3)
    assert _dry(second_pressure=found.enough_pressure + 1e3).air_left > planned.air_left


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"taken": -1e-3}, "taken"),
        ({"taken": 5.2e-3}, "taken"),
        ({"volume": 0.0}, "volume"),
        ({"second_pressure": 1e3}, "second_pressure"),
        ({"second_pressure": 90e3}, "second_pressure"),
        ({"residual_pressure": 1e3}, "residual_pressure"),
    ],
)
def test_refused(change: dict[str, float], path: str) -> None:
    with pytest.raises(Refusal) as refused:
        _dry(**change)
    assert refused.value.path == path
    assert refused.value.accepted
