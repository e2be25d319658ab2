"""Flow through openings against published rows, and rows worked out by other code (``derived``)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from CoolProp.CoolProp import PropsSI

from tests.properties.refit import rows
from weeptrace.properties.channel import air_through_part
from weeptrace.properties.openings import (
    air_through_capillary,
    air_through_orifice,
    air_viscosity,
    critical_ratio,
    flow_factor,
    flow_factor_slope,
    liquid_for_air,
    liquid_through_capillary,
    liquid_through_orifice,
)
from weeptrace.refusal import Refusal

Row = dict[str, str]
NOZZLE = rows("air_nozzle", folder="derived")
SEA = 101325.0


@pytest.mark.parametrize("row", rows("air_orifice", folder="derived"), ids=str)
def test_air_through_an_orifice(row: Row) -> None:
    area = math.pi / 4.0 * (1e-3 * float(row["diameter_mm"])) ** 2
    outside = 1e3 * float(row["outside_kPa"])
    found = air_through_orifice(
        area, outside + 1e3 * float(row["gauge_kPa"]), outside, float(row["T_K"])
    )
    assert found == pytest.approx(float(row["value"]), rel=float(row["tol"]))


@pytest.mark.parametrize("row", [r for r in NOZZLE if r["kind"] == "critical_ratio"], ids=str)
def test_critical_ratio(row: Row) -> None:
    found = critical_ratio(float(row["gamma"]))
    assert found == pytest.approx(float(row["value"]), abs=float(row["tol"]))


@pytest.mark.parametrize("row", [r for r in NOZZLE if r["kind"] == "choked_factor"], ids=str)
def test_choked_factor(row: Row) -> None:
    found = flow_factor(0.1, float(row["gamma"]))
    assert found == pytest.approx(float(row["value"]), abs=float(row["tol"]))


@pytest.mark.parametrize("row", [r for r in NOZZLE if r["kind"] == "area_ratio"], ids=str)
def test_the_flow_factor_is_one_over_the_area_ratio(row: Row) -> None:
    at = [r for r in NOZZLE if r["kind"] == "pressure_ratio" and r["mach"] == row["mach"]]
    found = flow_factor(float(at[0]["value"])) / flow_factor(0.0)
    # The pressure ratio has five figures; near 1 the flow is steep in it.
    assert found == pytest.approx(1.0 / float(row["value"]), rel=4e-4)


@pytest.mark.parametrize(
    ("area", "p0", "t0", "pb", "kg_s", "rel", "source"),
    [
        (1e-3, 1.0e6, 360.0, 500e3, 2.13, 0.005, "Moran and Shapiro, nozzle example, from memory"),
        (6e-4, 120e3, 400.0, 45e3, 0.145, 0.007, "White, nozzle example, from memory"),
    ],
)
def test_textbook_nozzles(
    area: float, p0: float, t0: float, pb: float, kg_s: float, rel: float, source: str
) -> None:
    assert air_through_orifice(area, p0, pb, t0) == pytest.approx(kg_s, rel=rel), source


@pytest.mark.parametrize("ratio", [0.0, 0.2, 0.52, 0.53, 0.6, 0.75, 0.9, 0.97])
def test_the_ellipse_of_iso_6358_is_close(ratio: float) -> None:
    # ISO 6358, from memory: q/q* = sqrt(1 - ((r - b)/(1 - b))^2), b = 0.528 for the ideal nozzle.
    b = critical_ratio()
    ellipse = math.sqrt(1.0 - (max(ratio - b, 0.0) / (1.0 - b)) ** 2)
    assert flow_factor(ratio) / flow_factor(0.0) == pytest.approx(ellipse, rel=0.015)


@pytest.mark.parametrize("ratio", [0.55, 0.7, 0.8, 0.95, 0.999])
def test_slope_by_differences(ratio: float) -> None:
    h = 1e-6
    numeric = (flow_factor(ratio + h) - flow_factor(ratio - h)) / (2.0 * h)
    assert flow_factor_slope(ratio) == pytest.approx(numeric, rel=1e-4)


@pytest.mark.parametrize("ratio", [-0.1, 0.0, 0.3, 0.5282])
def test_choked_flow_does_not_change(ratio: float) -> None:
    assert flow_factor(ratio) == flow_factor(0.0)
    assert flow_factor_slope(ratio) == 0.0


@pytest.mark.parametrize("ratio", [1.0, 1.05, 3.0])
def test_nothing_flows_against_the_pressure(ratio: float) -> None:
    assert flow_factor(ratio) == 0.0
    assert flow_factor_slope(ratio) == 0.0
    assert air_through_orifice(1e-6, 1e5, ratio * 1e5, 293.15) == 0.0
    assert liquid_through_orifice(1e-6, 1.0 - ratio - 0.01, 1000.0) == 0.0
    assert air_through_part(1e-8, 0.4, 1e5, ratio * 1e5, 293.15) == 0.0


def _ratio(viscosity: float, **more: Any) -> tuple[float, float]:
    known = {
        "upstream": SEA,
        "downstream": 10e3,
        "outside": SEA,
        "temperature": 293.15,
        "difference": 100e3,
        "density": 1068.0,
    }
    pair = liquid_for_air(1.0, viscosity=viscosity, **{**known, **more})
    return 1.0 / pair.orifice, 1.0 / pair.laminar


def test_air_over_liquid_in_a_vacuum() -> None:
    # Common practice: orifice 14.5; laminar 22 hot (0.8 mPa s), 108 cold (3.9 mPa s).
    orifice, hot = _ratio(0.8e-3)
    assert orifice == pytest.approx(14.5, rel=0.01)
    assert hot == pytest.approx(22.0, rel=0.02)
    assert _ratio(3.9e-3)[1] == pytest.approx(108.0, rel=0.01)


@pytest.mark.parametrize(("viscosity", "worse"), [(0.05e-3, "laminar"), (4e-3, "orifice")])
def test_the_worse_of_two_bounds(viscosity: float, worse: str) -> None:
    """The thinner the liquid the more of it goes through a crack; a hole does not care."""
    pair = liquid_for_air(
        1e-6, upstream=SEA, downstream=10e3, outside=SEA, temperature=293.15, difference=100e3,
        density=1068.0, viscosity=viscosity,
    )  # fmt: skip
    other = {"laminar": pair.orifice, "orifice": pair.laminar}[worse]
    assert pair.worse == getattr(pair, worse) > other == pair.better


def test_air_over_liquid_under_pressure() -> None:
    # Common practice at 100 kPa, by volume upstream: orifice 14.5; laminar 33 hot, 160 cold.
    inside = SEA + 100e3
    share = SEA / inside  # volume at the atmosphere -> volume inside
    orifice, hot = _ratio(0.8e-3, upstream=inside, downstream=SEA)
    assert orifice * share == pytest.approx(14.5, rel=0.01)
    assert hot * share == pytest.approx(33.0, rel=0.02)
    cold = _ratio(3.9e-3, upstream=inside, downstream=SEA)[1]
    assert cold * share == pytest.approx(160.0, rel=0.02)


def test_choked_inflow_speed() -> None:
    # 198.6 m/s referred to the atmosphere at 20 °C: choked flow of air over its density.
    density = SEA / (287.05 * 293.15)
    found = air_through_orifice(1.0, SEA, 8e3, 293.15) / density
    assert found == pytest.approx(198.6, abs=0.1)


@pytest.mark.parametrize("flow", [0.02, 0.2, 3.3])
def test_there_and_back(flow: float) -> None:
    # The opening that passes this liquid, as an orifice: its air gives the liquid again.
    area = flow * 1e-6 / 60.0 / liquid_through_orifice(1.0, 100e3, 1068.0)
    air = air_through_orifice(area, SEA, 8e3, 293.15) * 287.05 * 293.15 / SEA
    pair = liquid_for_air(
        air,
        upstream=SEA,
        downstream=8e3,
        outside=SEA,
        temperature=293.15,
        difference=100e3,
        density=1068.0,
        viscosity=1e-3,
    )
    assert pair.orifice == pytest.approx(flow * 1e-6 / 60.0)
    assert pair.worse == max(pair.orifice, pair.laminar)
    assert pair.better == min(pair.orifice, pair.laminar)
    # Equivalent orifices at 100 kPa, common practice: about 7, 22 and 90 micrometres.
    diameter = math.sqrt(4.0 * area / math.pi) * 1e6
    assert diameter == pytest.approx({0.02: 5.6, 0.2: 17.6, 3.3: 71.5}[flow], rel=0.01)
    sharp_edged = diameter / math.sqrt(0.62)
    assert sharp_edged == pytest.approx({0.02: 7, 0.2: 22, 3.3: 90}[flow], rel=0.03)


def test_capillaries() -> None:
    # The same K for air and liquid; a long pipe of 0.1 mm, 10 mm: pi r^4/(8 L).
    k = math.pi * (0.05e-3) ** 4 / (8 * 0.01)
    assert liquid_through_capillary(k, 100e3, 1e-3) == pytest.approx(2.454e-8, rel=1e-3)
    by_hand = k * (2e5**2 - 1e5**2) / (2 * air_viscosity(293.15))
    assert air_through_capillary(k, 2e5, 1e5, 293.15) == pytest.approx(by_hand)


@pytest.mark.parametrize(("kelvin", "micro"), [(288.15, 17.894), (216.65, 14.216)])
def test_viscosity_of_air_is_that_of_the_atmosphere(kelvin: float, micro: float) -> None:
    """US Standard Atmosphere 1976 at sea level and at 11 km (from memory), to its last figure."""
    assert air_viscosity(kelvin) == pytest.approx(1e-6 * micro, rel=1.5e-4)


@pytest.mark.parametrize("kelvin", [200.0, 250.0, 293.15, 350.0, 400.0])
def test_viscosity_of_air_by_another_equation(kelvin: float) -> None:
    """Lemmon and Jacobsen 2004, as CoolProp evaluates it."""
    other = PropsSI("V", "T", kelvin, "P", 101325.0, "Air")
    assert air_viscosity(kelvin) == pytest.approx(other, rel=0.01)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"upstream": 0.0}, "upstream"),
        ({"downstream": SEA}, "downstream"),
        ({"temperature": 0.0}, "temperature"),
        ({"density": 0.0}, "density"),
    ],
)
def test_refusals(change: dict[str, float], path: str) -> None:
    with pytest.raises(Refusal) as caught:
        _ratio(1e-3, **change)
    assert caught.value.path == path
    assert caught.value.accepted


GAS = 8.314472  # J/(mol K), as the regulation uses it


@pytest.mark.parametrize(
    ("discharge", "factor", "area", "pressure", "kelvin", "molar", "mol_s", "rel", "source"),
    [
        # 2.155 m3/s of the standard state (293.15 K, 101.325 kPa), as mol/s.
        (0.890, 0.472, 0.01824, 98.496e3, 296.85, 28.7789e-3,
         2.155 * 101325.0 / (GAS * 293.15), 1e-3, "US 40 CFR 1066.630, subsonic venturi"),
        (0.985, 0.7219, 0.00456, 98.836e3, 378.15, 28.7805e-3, 33.69, 2e-4,
         "US 40 CFR 1065.642, choked venturi; in part from memory"),
    ],
)  # fmt: skip
def test_venturis_of_the_regulation(
    discharge: float, factor: float, area: float, pressure: float, kelvin: float, molar: float,
    mol_s: float, rel: float, source: str,
) -> None:  # fmt: skip
    """Its flow factor stands for ours: the venturi's own area ratio is in it."""
    found = air_through_orifice(
        area,
        pressure,
        0.0,
        kelvin,
        discharge=discharge * factor / flow_factor(0.0),
        gas_constant=GAS / molar,
    )
    assert found / molar == pytest.approx(mol_s, rel=rel), source


@pytest.mark.parametrize(
    ("part", "b", "p1", "p2", "dm3_s"),
    [
        (2.0, 0.3, 7.0, 1.0, 14.0),
        (2.0, 0.3, 7.0, 6.5, 6.161102),
        (0.5, 0.5, 2.0, 1.013, 0.999915),
        (1.0, 0.4, 1.6, 1.013, 1.474290),
        (0.02, 0.45, 1.4, 1.013, 0.024291),
    ],
)
def test_rated_parts(part: float, b: float, p1: float, p2: float, dm3_s: float) -> None:
    """ISO 6358, its formula by hand: C in dm3/(s bar), pressures in bar absolute, 20 °C."""
    found = air_through_part(1e-8 * part, b, 1e5 * p1, 1e5 * p2, 293.15)
    assert 1e3 * found == pytest.approx(dm3_s, rel=5e-5)


def test_a_choked_venturi_as_the_regulation_works_it() -> None:
    # US 40 CFR 1066.630, example: V = Kv p / sqrt(T), Kv 0.074954 m3 K^0.5/(kPa s), 99.654 kPa,
    # 353.15 K: 0.39748 m3/s at 20 °C and 101.325 kPa.
    conductance = 0.074954 / 1e3 / math.sqrt(293.15)
    flow = air_through_part(conductance, 0.5, 99.654e3, 30e3, 353.15)
    assert flow == pytest.approx(0.39748, rel=1e-4)


def test_a_rated_part_passes_nothing_without_a_difference() -> None:
    assert air_through_part(1e-8, 0.4, 2e5, 2e5, 293.15) == 0.0
