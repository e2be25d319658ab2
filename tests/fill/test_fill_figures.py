"""The corrected figures of core/weeptrace/fill/README.md: the common one, ours, a second method."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.properties import producer
from weeptrace import fill
from weeptrace.fill.boil import boil_margin
from weeptrace.fill.uptake import uptake
from weeptrace.properties import air
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.fraction import mass_from_volume, mole_share_of_water
from weeptrace.properties.water import saturation_temperature
from weeptrace.rules import limits

README = (Path(fill.__file__).parent / "README.md").read_text("utf-8")
C = 273.15


def _row(begins: str) -> str:
    return next(line for line in README.splitlines() if line.startswith(f"| {begins}"))


def test_boiling_point_with_the_glycols_own_vapour() -> None:
    w, absolute = mass_from_volume("ethylene", 0.6), air.pressure(1200.0) + 110e3
    common = saturation_temperature(absolute / mole_share_of_water("ethylene", w)) - C
    ours = boil_margin(
        strength=0.6, altitude=1200.0, rated=110e3, opens=110e3, glycol="ethylene", limits=limits()
    )
    second = producer.boiling(w, absolute / 1e3)
    assert round(common) == 133
    assert ours.boiling - C == pytest.approx(132.3, abs=0.05)
    assert second == pytest.approx(132.2, abs=0.05)
    assert abs(ours.boiling - C - second) < abs(common - second)
    for figure in ("133 °C", "132.3 °C", "132.2 °C"):
        assert figure in _row("Boiling point")


def test_a_cap_nobody_measured() -> None:
    def load(opens: float | None) -> float:
        found = boil_margin(
            strength=0.5, altitude=1200.0, rated=110e3, opens=opens, glycol="ethylene",
            outlet_load=112 + C, limits=limits(),
        )  # fmt: skip
        assert found.load is not None
        return found.load

    common, ours = load(110e3), load(None)
    # Clausius and Clapeyron with the heat of evaporation of water at 128 °C, 39.2 kJ/mol (steam
    # tables, from memory: 2.18 MJ/kg).
    boils, outside = 401.7, air.pressure(1200.0)
    ratio = math.log((outside + 99e3) / (outside + 110e3))
    second = common + 8.314 * boils**2 / 39.2e3 * ratio
    assert round(common) == 9
    assert ours == pytest.approx(6.7, abs=0.05)
    assert second == pytest.approx(6.7, abs=0.15)
    assert "6.7 K" in _row("Margin under load")


def test_highest_lift() -> None:
    def ours(altitude: float, residual: float) -> float:
        return uptake(
            volume=5.6e-3, residual_pressure=residual, altitude=altitude, temperature=288.15,
            strength=0.5, limits=limits(),
        ).highest_lift  # fmt: skip

    assert ours(1900.0, 8e3) == pytest.approx(6.9, abs=0.05)
    assert ours(0.0, 10e3) == pytest.approx(8.6, abs=0.05)
    density = density_inhibited("ethylene", mass_from_volume("ethylene", 0.5), 288.15)
    left, steps = 80487.15 - 8e3, 0
    while left > 0.0:
        left, steps = left - density * 9.80665 * 0.01, steps + 1
    assert steps / 100 == pytest.approx(ours(1900.0, 8e3), abs=0.02)
    for figure in ("about 8 m", "6.9 m", "8.6 m"):
        assert figure in _row("Highest lift")


def test_uptake_with_hoses_pulled_flat() -> None:
    found = uptake(
        volume=5.6e-3, residual_pressure=8e3, altitude=1900.0, temperature=288.15, strength=0.5,
        limits=limits(),
    )  # fmt: skip
    rt, vapour = 8.314 * 288.15, 1289.76  # 50 % at 15 °C: Raoult's law on IAPWS-IF97
    moles = (8e3 - vapour) * 0.9 * 5.6e-3 / rt
    second = 5.6 - 1e3 * moles * rt / (80487.15 - vapour)
    assert 1e3 * found.uptake == pytest.approx(5.13, abs=0.005)
    assert 1e3 * found.high == pytest.approx(5.17, abs=0.005)
    assert second == pytest.approx(1e3 * found.high, abs=1e-3)
    assert "5.13 L" in _row("Uptake")
    assert "5.17 L" in _row("Uptake")
