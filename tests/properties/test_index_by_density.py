"""How the refractive index falls as it warms, by the density: a second way beside the index tables.

No printed index of ethylene glycol mixtures away from 20 °C is at hand; the slope of the neat
glycol is recalled. Density is printed. Gladstone and Dale: n - 1 goes with density; Lorentz and
Lorenz: (n^2 - 1)/(n^2 + 2) does. Measured slopes of propylene glycol lie between the two or just
beyond. Either rule leaves out that the molecules themselves change, some 15 % of the slope.
"""

from __future__ import annotations

import pytest

from weeptrace.properties.fraction import Glycol
from weeptrace.properties.refraction import refractive_index

C = 273.15


def gladstone_dale(n: float, per_density: float) -> float:
    """Slope of the index in 1/K from that of ln density."""
    return (n - 1.0) * per_density


def lorentz_lorenz(n: float, per_density: float) -> float:
    """The same, d n = (n^2 - 1)(n^2 + 2) / (6 n) d ln rho."""
    return (n * n - 1.0) * (n * n + 2.0) / (6.0 * n) * per_density


def ours(glycol: Glycol, w: float, cold: float, warm: float) -> float:
    n = [refractive_index(glycol, w, C + t) for t in (cold, warm)]
    return (n[1] - n[0]) / (warm - cold)


# Mass share, °C and kg/m3 of two rows of Melinder, IIR 2010; the index at 20 °C of the CRC
# Handbook, 102nd ed., between its rows.
ETHYLENE = [
    (0.31, 10, 1043.95, 40, 1030.57, 1.3636),
    (0.41, 10, 1058.66, 40, 1043.18, 1.3739),
    (0.51, 10, 1072.48, 30, 1061.46, 1.3842),
    (0.56, 10, 1078.08, 40, 1060.21, 1.3892),
]


@pytest.mark.parametrize(("w", "cold", "dense", "warm", "light", "n"), ETHYLENE)
def test_the_slope_of_ethylene_glycol(
    w: float, cold: float, dense: float, warm: float, light: float, n: float
) -> None:
    """Ours is 5 to 13 % flatter than the flatter of the rules: 0.0003 in index over 10 K, a third
    of what additives move it by."""
    per_density = 2.0 * (light - dense) / (light + dense) / (warm - cold)
    flat, steep = gladstone_dale(n, per_density), lorentz_lorenz(n, per_density)
    assert steep < flat < 0.0
    assert 1.02 * flat < ours("ethylene", w, cold, warm) < 0.86 * flat
    assert abs(ours("ethylene", w, cold, warm) - flat) * 10.0 < 3e-4


# George 2003: kg/m3 at 25 and 35 °C; Gerke 2023: index at 20 and 30 °C of the share beside it.
def test_the_rules_hold_for_propylene_glycol_where_the_slope_is_measured() -> None:
    for w, dense, light, n20, n30 in (
        (0.60, 1037.98, 1031.35, 1.39915, 1.39645),  # density at 58.48 and 69.45 %, in between
        (0.70, 1040.20, 1033.19, 1.40905, 1.40604),
    ):
        per_density = 2.0 * (light - dense) / (light + dense) / 10.0
        measured = (n30 - n20) / 10.0
        assert 1.05 * lorentz_lorenz(n20, per_density) < measured
        assert measured < 0.95 * gladstone_dale(n20, per_density)
        assert ours("propylene", w, 20.0, 30.0) == pytest.approx(measured, rel=0.13)


# Schiebener et al., J. Phys. Chem. Ref. Data 19 (1990) 677, 589 nm, as a handbook of optical
# materials prints it; of vacuum, the air's 1.2e-6 1/K taken off.
WATER = {10: 1.33408, 20: 1.33336, 30: 1.33230, 40: 1.33095}


@pytest.mark.parametrize("celsius", list(WATER))
def test_the_index_of_water_away_from_20_degrees(celsius: int) -> None:
    """Ours falls on a straight line, water's on a bent one: up to 0.0005 apart at 40 °C, 0.0003 at
    10 °C, half of what additives move it by."""
    change = WATER[celsius] - WATER[20] + 1.2e-6 * (celsius - 20)
    found = refractive_index("ethylene", 0.0, C + celsius) - refractive_index(
        "ethylene", 0.0, C + 20
    )
    assert found == pytest.approx(change, abs={10: 3e-4, 20: 1e-9, 30: 1e-4, 40: 5e-4}[celsius])
