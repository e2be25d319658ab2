"""The margin to boiling against a producer's table, and a cooling system against the gas law."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from weeptrace.fill.boil import Boil, boil_margin
from weeptrace.fill.contraction import Contraction, contraction
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.fraction import mass_from_volume, volume_from_mass
from weeptrace.properties.water import saturation_pressure
from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.warmup.data import Cold

KPA, C = 1e3, 273.15
TABLE = Path(__file__).parents[1] / "published" / "glycol_boiling.csv"
# Boiling points by the producer's Antoine constants (ethylene glycol, 2008), above the atmosphere.
PRODUCER = [
    (float(row["mass_pct"]) / 100, float(row["P_abs_kPa"]), float(row["T_boil_C"]))
    for row in csv.DictReader(TABLE.read_text("utf-8").splitlines())
    if row["glycol"] == "EG"
    and "PRODUCER2008" in row["source"]
    and float(row["mass_pct"]) <= 70
    and float(row["P_abs_kPa"]) > 110
]


def boil(strength: float, altitude: float, rated: float, **more: Any) -> Boil:
    return boil_margin(
        strength=strength,
        altitude=altitude,
        rated=rated * KPA,
        glycol="ethylene",
        limits=limits(),
        **more,
    )


def test_the_table_has_rows() -> None:
    assert len(PRODUCER) >= 12


@pytest.mark.parametrize(("mass", "absolute", "boils"), PRODUCER, ids=str)
def test_boiling_at_the_caps_pressure_by_the_producer(
    mass: float, absolute: float, boils: float
) -> None:
    gauge = absolute - 101.325
    found = boil(volume_from_mass("ethylene", mass), 0.0, gauge, opens=gauge * KPA)
    assert found.boiling - C == pytest.approx(boils, abs=1.0)


@pytest.mark.parametrize(
    ("strength", "altitude", "opens", "boils"),
    [(0.45, 1500, 78, 121), (0.45, 1500, 140, 132), (0.5, 1200, 110, 129), (0.5, 0, 103, 130)],
)
def test_common_boiling_points(
    strength: float, altitude: float, opens: float, boils: float
) -> None:
    """Whole degrees as practised (common practice); water's vapour alone puts them 0.3 K higher."""
    found = boil(strength, altitude, 140, opens=opens * KPA)
    assert found.boiling - C == pytest.approx(boils, abs=0.5 + 0.3)


def test_margin_of_a_truck_under_load() -> None:
    """50 % at 1200 m, cap measured at 110 kPa, 112 °C under load and 8 K for hot spots: 9 K."""
    found = boil(0.5, 1200, 110, opens=110 * KPA, outlet_load=112 + C, outlet_idle=98 + C)
    assert found.load == pytest.approx(9, abs=0.5)
    assert found.idle == pytest.approx(found.load + 14.0)
    assert (found.judged_idle, found.judged_load, found.cap) == ("enough", "enough", "within")


def test_a_cap_nobody_measured_is_credited_with_its_lower_tolerance() -> None:
    guessed, low = boil(0.5, 1200, 110), boil(0.5, 1200, 110, opens=99 * KPA)
    assert guessed.boiling == pytest.approx(low.boiling)
    assert (guessed.cap, low.cap) == ("not_tested", "within")
    assert guessed.boiling < guessed.at_rating


def test_a_strong_cap_is_credited_with_no_more_than_its_rating() -> None:
    found = boil(0.5, 0, 100, opens=120 * KPA)
    assert (found.pressure, found.cap) == (100 * KPA, "opens_late")


@pytest.mark.parametrize(
    ("rated", "lost"),
    [(90, 20), (140, 28)],
)
def test_what_a_cap_that_does_not_hold_costs(rated: float, lost: float) -> None:
    """20 K at 90 kPa and 28 K at 140 kPa (common practice)."""
    found = boil(0.5, 0, rated, holds="no")
    assert found.boiling == found.without_cap
    assert found.lost == pytest.approx(lost, abs=0.6)
    assert found.cap == "does_not_hold"
    assert boil(0.5, 0, rated, level_low=True).boiling == found.without_cap


@pytest.mark.parametrize(
    ("below", "judged"),
    [(8.01, "enough"), (8.0, "enough"), (7.99, "warn"), (3.0, "warn"), (2.99, "block")],
)
def test_warn_and_block(below: float, judged: str) -> None:
    """Limits fill.boil_warn 8 K and fill.boil_block 3 K, common practice."""
    outlet = boil(0.5, 0, 100).boiling - 8.0 - below
    found = boil(0.5, 0, 100, outlet_load=outlet)
    assert found.judged_load == judged
    assert found.judged_idle == "not_measured"
    assert found.highest_outlet == pytest.approx(outlet + below - 8.0)


@pytest.mark.parametrize(
    ("opens", "cap"),
    [(89.9, "opens_early"), (90.0, "within"), (115.0, "within"), (115.1, "opens_late")],
)
def test_cap_tolerance(opens: float, cap: str) -> None:
    """Limits fill.cap_early 10 % and fill.cap_late 15 %, common practice."""
    assert boil(0.5, 0, 100, opens=opens * KPA).cap == cap


@pytest.mark.parametrize(("strength", "refused"), [(0.699, False), (0.7, False), (0.701, True)])
def test_too_strong_for_a_margin(strength: float, refused: bool) -> None:
    if not refused:
        assert boil(strength, 0, 100).boiling > boil(0.5, 0, 100).boiling
        return
    with pytest.raises(Refusal) as found:
        boil(strength, 0, 100)
    assert (found.value.path, found.value.accepted) == ("strength", "0 to 70 %")


@pytest.mark.parametrize(("rated", "opens", "path"), [(0, 50, "rated"), (100, -1, "opens"),
                                                      (501, 50, "rated")])  # fmt: skip
def test_a_cap_that_is_none(rated: float, opens: float, path: str) -> None:
    with pytest.raises(Refusal) as found:
        boil(0.5, 0, rated, opens=opens * KPA)
    assert found.value.path == path


def cooled(**change: Any) -> Contraction:
    given: dict[str, Any] = {
        "cold": Cold(1e-3, 8e-3),
        "hot": 90 + C,
        "cool": 20 + C,
        "area": 100e-4,
    }
    return contraction(**{**given, **change}, limits=limits())


def test_the_shrinkage_holds_that_of_published_densities() -> None:
    """8 L of inhibited 50 % from 90 to 20 °C by its density, the metal's 5e-5 1/K taken off."""
    w = mass_from_volume("ethylene", 0.5)
    hot, cool = (density_inhibited("ethylene", w, t + C) for t in (90.0, 20.0))
    second = 8e-3 * (1.0 - hot / cool - 5e-5 * 70.0)
    found = cooled().shrinks
    assert found.low < second < found.high
    assert found.value == pytest.approx(0.31e-3, abs=0.01e-3)  # common practice: 8 L, 70 K, 0.31 L


def test_the_level_falls_by_the_volume_over_the_area() -> None:
    found = cooled()
    assert found.falls is not None
    assert found.falls.value == pytest.approx(found.shrinks.value / 100e-4)
    assert cooled(area=None).falls is None


@pytest.mark.parametrize("start", [0.0, 60e3])
def test_the_vacuum_by_bisection_of_the_gas_law(start: float) -> None:
    """Water as the coolant, so that the vapour is IAPWS-IF97's own; rigid but for 0.5 mL/kPa."""
    found = cooled(cold=Cold(1e-3, 8e-3, mass_fraction=0.0), pressure=start)
    shrinks, give = found.shrinks.value, 0.5e-9
    amount = (start + 101325.0 - saturation_pressure(363.15)) * (1e-3 + give * start) / 363.15
    dry = 101325.0 - saturation_pressure(293.15)
    low, high = -dry, 100e3
    for _ in range(200):
        middle = (low + high) / 2.0
        now = (middle + dry) * (1e-3 + shrinks + give * middle) / 293.15
        low, high = (middle, high) if now < amount else (low, middle)
    assert found.vacuum is not None
    assert found.vacuum.value == pytest.approx(low, rel=1e-6)
    assert found.vacuum.low < found.vacuum.value < found.vacuum.high


def test_a_return_valve_bounds_the_vacuum() -> None:
    """Limit fill.return_valve, 10 kPa."""
    found = cooled()
    assert found.vacuum is not None
    assert found.with_return_valve is not None
    assert found.vacuum.value < -10e3 == found.with_return_valve.value
    little = cooled(hot=24 + C, cold=Cold(2e-3, 8e-3))
    assert little.vacuum is not None
    assert -10e3 < little.vacuum.value < 0.0
    assert little.with_return_valve == little.vacuum


def test_the_vacuum_stays_above_the_vapour_pressure() -> None:
    found = cooled(cold=Cold(1e-5, 20e-3))
    assert found.vacuum is not None
    assert found.vacuum.low > 1.77e3 - 101325.0


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"cool": 90 + C}, "cool"),
        ({"cold": Cold(1e-3, None)}, "liquid_volume"),
        ({"cold": Cold(1e-3, 0.0)}, "liquid_volume"),
        ({"cold": Cold(0.0, 8e-3)}, "headspace"),
        ({"area": 0.0}, "area"),
    ],
)
def test_contraction_refused(change: dict[str, Any], path: str) -> None:
    with pytest.raises(Refusal) as refused:
        cooled(**change)
    assert refused.value.path == path
    assert refused.value.accepted
