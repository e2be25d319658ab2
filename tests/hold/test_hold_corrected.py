"""Figures of the trade that the hold room corrects: the common one, ours, and a second method's.

The common figures are common practice and follow from the formula that stands beside each.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.hold.test_hold_pump_and_drawn import pump_up
from weeptrace.hold.air_side import as_liquid
from weeptrace.hold.data import Strokes
from weeptrace.hold.pump import efficiency
from weeptrace.hold.stored import compliance_at
from weeptrace.hold.warmth import thermal_volume
from weeptrace.properties.density import density, density_inhibited
from weeptrace.properties.expansion import Coolant, expansion_net
from weeptrace.rules import limits
from weeptrace.warmup.data import Cold
from weeptrace.warmup.gas import warming_pressure

SEA = 101325.0
HALF = Coolant("ethylene", 0.527)
README = Path(__file__).parents[2] / "core/weeptrace/hold/README.md"
Three = tuple[float, float, float]


def pump() -> Three:
    stroke, goal = 4e-6, 140e3
    x = 0.4 * goal / SEA
    count = pump_up(1e-3, goal, stroke, 0.4 * stroke)
    second = pump_up(1e-3, goal, stroke, 0.0) / count
    return 1.0 - x / 2.0, efficiency(Strokes(count, stroke, 0.4 * stroke), goal, SEA), second


def compliance() -> Three:
    t, p, gas = 333.15, 100e3, 1054e-6
    dry = p + SEA - HALF.vapour(t)
    ours = compliance_at(0.4e-9, gas * dry, dry)
    # Saturated gas at one temperature keeps its dry part: its volume 1 Pa lower and higher.
    lower, higher = (gas * dry / (dry + step) for step in (-1.0, 1.0))
    second = 0.4e-9 + (lower - higher) / 2.0
    return 1e9 * (0.4e-9 + gas / (p + SEA)), 1e9 * ours, 1e9 * second


def drift() -> Three:
    t, p, liquid, gas = 328.15, 100e3, 7e-3, 0.5e-3

    def volume(warm: float) -> float:
        """Gas and liquid at one pressure: the dry part of the gas keeps its amount."""
        dry = p + SEA - HALF.vapour(t)
        grown = liquid * (1.0 + expansion_net(t, limits()) * (warm - t))
        return grown + gas * dry / t * warm / (p + SEA - HALF.vapour(warm))

    ours = thermal_volume(t, liquid, gas, p + SEA - HALF.vapour(t), HALF, limits()).total
    second = (volume(t + 0.05) - volume(t - 0.05)) / 0.1
    return 1e6 * (5e-4 * liquid + gas / 293.15), 1e6 * ours, 1e6 * second


def closed(grown: float) -> float:
    """Gauge pressure in kPa at 90 °C: 1 L of gas above 8 L that have grown by this part."""
    cold, hot = 293.15, 363.15
    amount = (SEA - HALF.vapour(cold)) * 1e-3 / cold
    return (amount * hot / (1e-3 - 8e-3 * grown) + HALF.vapour(hot) - SEA) / 1e3


def warming() -> Three:
    cold, hot = 293.15, 363.15
    known = Cold(headspace=1e-3, liquid_volume=8e-3)
    ours = warming_pressure(known, cold, 0.0, hot, 1e-14, limits()) / 1e3
    # Middle of the densities of pure glycol and water and of inhibited coolant, less the metal.
    by_density = sum(
        rho("ethylene", 0.527, cold) / rho("ethylene", 0.527, hot) - 1.0
        for rho in (density, density_inhibited)
    )
    return closed(5e-4 * 70.0), ours, closed(by_density / 2.0 - 5e-5 * 70.0)


def crack() -> Three:
    # Poiseuille: K (p1^2 - p2^2)/(2 mu p1) of air over K dp/mu of coolant. Viscosities in mPa s:
    # coolant 0.8 hot (common practice), 0.82 (ASHRAE 2001, 50 % by volume, 90 °C); air 0.0181 at
    # 20 °C and 0.0214 at 90 °C (CRC Handbook, from memory).
    inside, dp = SEA + 100e3, 100e3
    shape = (inside**2 - SEA**2) / (2.0 * inside * dp)
    ours = 1.0 / as_liquid(1.0, dp, SEA, 363.15, HALF).laminar
    return shape * 0.8 / 0.0181, ours, shape * 0.82 / 0.0214


ROWS: dict[str, tuple[Callable[[], Three], float]] = {
    "pump efficiency": (pump, 3e-3),
    "compliance": (compliance, 1e-6),
    "volume by one kelvin": (drift, 1e-4),
    "closed at 20 °C": (warming, 0.02),
    "air over liquid": (crack, 0.03),
}


def table() -> dict[str, list[str]]:
    rows = README.read_text("utf-8").partition("corrected\n")[2].splitlines()
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows if "|" in row]
    return {row[0]: row for row in cells[2:]}


def test_every_row_is_computed() -> None:
    assert len(table()) == len(ROWS)


@pytest.mark.parametrize("name", ROWS)
def test_common_ours_and_second(name: str) -> None:
    compute, tolerance = ROWS[name]
    common, ours, second = compute()
    assert ours == pytest.approx(second, rel=tolerance)
    assert abs(common - ours) > 2.0 * abs(ours - second)
    (row,) = (cells for label, cells in table().items() if label.startswith(name))
    shown = [row[1], row[2], re.split(r"[, ]", row[4])[0]]
    for text, value in zip(shown, (common, ours, second), strict=True):
        places = len(text.partition(".")[2])
        assert round(value, places) == float(text)
