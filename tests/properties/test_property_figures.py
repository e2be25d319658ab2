"""The corrected figures of the room's README, each computed here and by a second method."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import weeptrace.properties
from weeptrace.properties import air, boiling, water
from weeptrace.properties.fraction import mass_from_volume

README = (Path(weeptrace.properties.__file__).parent / "README.md").read_text("utf-8")
PSI = 6894.757  # Pa
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


def test_a_glycols_own_vapour_lowers_the_boiling_point() -> None:
    place = air.pressure(2000.0) + 140e3
    w = mass_from_volume("ethylene", 0.5)
    ours = boiling.boiling_point("ethylene", w, place) - 273.15
    share = (1.0 - w) / 18.015 / ((1.0 - w) / 18.015 + w / 62.07)  # moles of water in a mole
    alone = water.saturation_temperature(place / share) - 273.15
    assert f"{ours:.1f}" == "132.1"
    assert f"{alone:.1f}" == "132.4"
    printed("132.1 °C")
    printed("132.4 °C")
