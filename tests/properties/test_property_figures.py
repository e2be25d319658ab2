"""The corrected figures of the room's README, each computed here and by a second method."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import weeptrace.properties
from tests.properties import producer
from weeptrace.properties import air, boiling, density, water
from weeptrace.properties.fraction import (
    mass_from_volume,
    mole_share_of_water,
    volume_from_mass,
)
from weeptrace.properties.readings import strength_from_index
from weeptrace.properties.refraction import refractive_index
from weeptrace.rules import limits

README = (Path(weeptrace.properties.__file__).parent / "README.md").read_text("utf-8")
PSI = 6894.757  # Pa
AT_20 = 293.15  # K
# Heat of evaporation at 100 °C over the gas constant of water vapour, K (from memory: 2256.5 kJ/kg
# and 461.5 J/(kg K)).
L_OVER_R = 2256.5e3 / 461.5


def printed(figure: str) -> None:
    assert figure in README, figure


@pytest.mark.parametrize(("psi", "ours", "second"), [(2, "3.25", "3.30"), (15, "2.52", "2.54")])
def test_boiling_rises_by_less_for_each_further_psi(psi: int, ours: str, second: str) -> None:
    over = psi * PSI
    low = water.saturation_temperature(air.SEA_LEVEL)
    rise = 1.8 * (water.saturation_temperature(air.SEA_LEVEL + over) - low) / psi
    clapeyron = 1.0 / (1.0 / low - math.log1p(over / air.SEA_LEVEL) / L_OVER_R)
    assert f"{rise:.2f}" == ours
    assert f"{1.8 * (clapeyron - low) / psi:.2f}" == second
    printed(ours)
    printed(second)


@pytest.mark.parametrize(
    ("altitude", "cap", "common", "ours", "second"),
    [
        (0.0, 103e3, "130.0", "129.67", "129.67"),
        (2000.0, 103e3, "126.3", "125.96", "125.97"),
        (2000.0, 140e3, "132.4", "132.07", "132.07"),
    ],
)
def test_a_glycols_own_vapour_lowers_the_boiling_point(
    altitude: float, cap: float, common: str, ours: str, second: str
) -> None:
    place, w = air.pressure(altitude) + cap, mass_from_volume("ethylene", 0.5)
    alone = water.saturation_temperature(place / mole_share_of_water("ethylene", w)) - 273.15
    assert f"{alone:.1f}" == common
    assert f"{boiling.boiling_point('ethylene', w, place) - 273.15:.2f}" == ours
    assert f"{producer.boiling(w, place / 1e3):.2f}" == second
    for figure in (common, ours, second):
        printed(figure)


def test_inhibited_coolant_expands_less_when_cold_than_pure_glycol() -> None:
    w = mass_from_volume("ethylene", 0.5)
    ours = density.expansion("ethylene", w, AT_20)
    pure = [density.density("ethylene", w, AT_20 + step) for step in (-1.0, 1.0)]
    # ASHRAE Fundamentals 2001, inhibited ethylene glycol, 50 % by volume; slope of a parabola
    # through three unequal steps.
    (t0, d0), (t1, d1), (t2, d2) = (-10.0, 1084.22), (20.0, 1073.35), (60.0, 1052.04)
    before, after = (d1 - d0) / (t1 - t0), (d2 - d1) / (t2 - t1)
    slope = (before * (t2 - t1) + after * (t1 - t0)) / (t2 - t0)
    assert f"{1e4 * ours:.1f}" == "4.1"
    assert f"{1e4 * (pure[0] - pure[1]) / (pure[0] + pure[1]):.1f}" == "5.2"
    assert f"{-1e4 * slope / d1:.1f}" == "4.1"
    for figure in ("4.1e-4 /K", "5.2e-4", "4.1e-4 /K by a parabola"):
        printed(figure)


def test_a_zero_with_water_as_warm_as_the_drop_takes_half_of_the_error_off() -> None:
    w, warm = mass_from_volume("ethylene", 0.5), AT_20 + 10.0
    index = refractive_index("ethylene", w, warm)
    low = {}
    for zeroed_at in (AT_20, warm):
        # What the scale shows: the drop's index, moved by the zero, read as if all were 20 °C.
        shown = index + refractive_index("ethylene", 0.0, AT_20)
        shown -= refractive_index("ethylene", 0.0, zeroed_at)
        read = strength_from_index("ethylene", shown, AT_20, limits(), compensated=True)
        low[zeroed_at] = 100.0 * (0.5 - volume_from_mass("ethylene", read.mass_fraction))
    assert f"{low[AT_20]:.1f}" == "1.8"
    assert f"{low[warm]:.1f}" == "0.8"
    # Gladstone and Dale: n - 1 goes with density. Melinder, IIR 2010, at 10 and 30 °C: 1072.48 and
    # 1061.46 kg/m3 at 51 % by mass; index there 1.3842 (CRC Handbook 102nd ed., as water's 1.33299
    # and 1.33194 at 20 and 30 °C); 0.10 in index from 46 to 56 % is a point of mass, and of volume.
    drop = (1.3842 - 1.0) * (1072.48 - 1061.46) / 1066.97 / 2.0
    second = 100.0 * (drop - (1.33299 - 1.33194)) / ((1.3892 - 1.3790) / 0.10)
    assert f"{second:.1f}" == "0.9"
    for figure in ("| 0.8 % |", "1.8 %", "0.9 % by printed densities"):
        printed(figure)
