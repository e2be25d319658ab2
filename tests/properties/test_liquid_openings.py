"""Liquid through openings, and an opening by the door, against published rows."""

from __future__ import annotations

import math
from typing import Any

import pytest

from weeptrace.door import call
from weeptrace.hold.leak_law import SHARP_EDGE
from weeptrace.properties.channel import liquid_through_channel
from weeptrace.properties.openings import liquid_through_orifice


@pytest.mark.parametrize(
    ("mm", "kpa", "rho", "cd", "ml_min"),
    [
        (0.2, 100, 1065, 0.61, 15.7569),
        (1.0, 100, 1065, 0.61, 393.9228),
        (0.3, 138, 1045, 0.61, 42.0446),
        (1.0, 138, 1030, 0.61, 470.5512),
        (0.1, 120, 1070, 0.60, 4.2345),
    ],
)
def test_liquid_through_a_sharp_hole(
    mm: float, kpa: float, rho: float, cd: float, ml_min: float
) -> None:
    """Torricelli by hand; a channel without length is the same hole."""
    area = math.pi / 4.0 * (1e-3 * mm) ** 2
    found = liquid_through_orifice(area, 1e3 * kpa, rho, cd)
    assert 60e6 * found == pytest.approx(ml_min, rel=1e-4)
    thin = liquid_through_channel(1e-3 * mm, 0.0, 1e3 * kpa, rho, 4e-3, cd)
    assert thin.flow == pytest.approx(found)


def test_a_channel_goes_from_a_hole_to_a_crack() -> None:
    # Torricelli for no length, Hagen and Poiseuille for a long one: Q = pi d^4 dp / (128 mu L).
    hole = liquid_through_channel(1e-3, 0.0, 1e5, 1000.0, 1e-3, 0.61)
    assert hole.flow == pytest.approx(0.61 * math.pi / 4e6 * math.sqrt(2e5 / 1000.0), rel=1e-9)
    crack = liquid_through_channel(2e-5, 0.05, 1e5, 1068.0, 4e-3, 0.61)
    exact = math.pi * 2e-5**4 * 1e5 / (128.0 * 4e-3 * 0.05)
    assert crack.flow == pytest.approx(exact, rel=1e-3)
    assert crack.exponent == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize(("mm", "length"), [(0.1, 0.0), (0.1, 3.0), (0.5, 3.0)])
def test_reynolds_number_of_a_channel(mm: float, length: float) -> None:
    """4 rho Q / (pi d mu), from the flow itself."""
    found = liquid_through_channel(1e-3 * mm, 1e-3 * length, 1e5, 1068.0, 4e-3, 0.61)
    by_flow = 4.0 * 1068.0 * found.flow / (math.pi * 1e-3 * mm * 4e-3)
    assert found.reynolds == pytest.approx(by_flow)


def _emptying(area: float, hole: float, cd: float, g: float, start: float, end: float) -> float:
    """Seconds by Simpson's rule over the root of the head."""
    top, bottom, n = math.sqrt(start), math.sqrt(end), 200
    step = (top - bottom) / n
    total = 0.0
    for i in range(n + 1):
        x = bottom + i * step
        head = max(x * x, 1e-30)
        flow = liquid_through_orifice(hole, 1000.0 * g * head, 1000.0, cd)
        weight = 1.0 if i in (0, n) else 4.0 if i % 2 else 2.0
        total += weight * 2.0 * math.sqrt(head) * area / flow
    return total * step / 3.0


@pytest.mark.parametrize(
    ("area", "hole", "cd", "g", "start", "end", "seconds", "rel", "source"),
    [
        (math.pi / 4 * 3.0**2, math.pi / 4 * (0.5 / 12) ** 2, 1.0, 32.2, 4.0, 2.0, 757.0, 2e-3,
         "Cengel and Cimbala, tank example, in feet; from memory"),
        (1.0, 1e-3, 1.0, 9.81, 1.0, 0.0, 451.524, 1e-4, "t = (A/a) sqrt(2 H/g)"),
    ],
)  # fmt: skip
def test_tanks_that_drain(
    area: float, hole: float, cd: float, g: float, start: float, end: float, seconds: float,
    rel: float, source: str,
) -> None:  # fmt: skip
    assert _emptying(area, hole, cd, g, start, end) == pytest.approx(seconds, rel=rel), source


@pytest.mark.parametrize(
    ("cd", "source"),
    [
        (0.603, "Bovey, head 20 ft, 0.5 in, in Encyclopaedia Britannica 11th ed."),
        (0.620, "Bovey, head 1 ft, 0.5 in, the same"),
        (0.6109, "Unwin: 0.6075 + 0.0098/sqrt(h ft) - 0.0037 d in, h 2, d 1"),
        (0.611015, "Kirchhoff's free jet, pi/(pi + 2)"),
        (0.60309, "ISO 5167-2, corner taps, beta 0.4, Re 1e5"),
        (0.62820, "ISO 5167-2, corner taps, beta 0.6, Re 1e4"),
    ],
)
def test_discharge_of_a_sharp_edge_is_as_published(cd: float, source: str) -> None:
    assert abs(SHARP_EDGE - cd) <= 0.02, source


def test_a_sharp_hole_loses_two_fifths_of_torricellis_flow() -> None:
    """Kirchhoff's free jet contracts to pi / (pi + 2) of the hole. By the flow itself: 1 mm under a
    metre of water passes 3.48 mL/s without contraction, 2.12 with it."""
    area, head = math.pi / 4e6, 1000.0 * 9.80665
    free = area * math.sqrt(2.0 * 9.80665 * 1.0)
    ours = liquid_through_orifice(area, head, 1000.0, SHARP_EDGE)
    assert 1e6 * free == pytest.approx(3.478, abs=1e-3)
    assert ours == pytest.approx(free * math.pi / (math.pi + 2.0), rel=2e-3)


def _opening(**given: Any) -> dict[str, Any]:
    payload = {
        "air_pressure": {"value": -93, "unit": "kPa"},
        "liquid_pressure": {"value": 100, "unit": "kPa"},
        "glycol": "ethylene",
        "volume_fraction": {"value": 50, "unit": "%"},
        "temperature": {"value": 90, "unit": "°C"},
    }
    return call("properties.opening", {**payload, **given})


def test_opening_by_the_door_there_and_back() -> None:
    """Leak-up of 0.1 kPa/min in 6 L: 5.92 mL/min of air, 0.41 of liquid (follows from Torricelli
    and choked flow)."""
    out = _opening(air_flow={"value": 5.92, "unit": "mL/min"})
    assert out["liquid_flow"]["value"] == pytest.approx(0.41, abs=0.006)
    assert out["choked"]
    assert "direction" in out["caveat"]
    back = _opening(liquid_flow=out["liquid_flow"])
    assert back["air_flow"]["value"] == pytest.approx(5.92)
    crack = _opening(liquid_flow=out["liquid_flow_crack"])
    assert crack["air_flow_crack"]["value"] == pytest.approx(5.92)
    size = _opening(diameter=out["diameter"])
    assert size["liquid_flow"]["value"] == pytest.approx(out["liquid_flow"]["value"])
    assert size["air_flow"]["value"] == pytest.approx(5.92)
    assert size["exponent"]["value"] == pytest.approx(0.5)


def test_a_wall_makes_a_fine_hole_a_crack() -> None:
    out = _opening(diameter={"value": 0.02, "unit": "mm"}, length={"value": 3, "unit": "mm"})
    assert 0.95 < out["exponent"]["value"] <= 1.0
    assert "air_flow" not in out


def test_a_rounder_edge_is_a_smaller_hole() -> None:
    sharp, round_ = (
        _opening(air_flow={"value": 5.92, "unit": "mL/min"}, discharge={"value": cd, "unit": "1"})
        for cd in (0.61, 0.98)
    )
    ratio = round_["diameter"]["value"] / sharp["diameter"]["value"]
    assert ratio == pytest.approx(math.sqrt(0.61 / 0.98))


@pytest.mark.parametrize(
    ("given", "path"),
    [
        ({"air_flow": {"value": -1, "unit": "mL/min"}}, "air_flow"),
        ({"diameter": {"value": 0, "unit": "mm"}}, "diameter"),
        ({"diameter": {"value": 1, "unit": "mm"}, "length": {"value": 1, "unit": "m"}}, "length"),
        ({"liquid_flow": {"value": 1, "unit": "mL/min"},
          "air_pressure": {"value": -120, "unit": "kPa"}}, "air_pressure"),
        ({"liquid_flow": {"value": 1, "unit": "mL/min"},
          "air_pressure": {"value": 0, "unit": "kPa"}}, "downstream"),
        ({"liquid_flow": {"value": 1, "unit": "mL/min"},
          "temperature": {"value": 120, "unit": "°C"}}, "temperature"),
        ({}, ""),
    ],
)  # fmt: skip
def test_opening_refused(given: dict[str, Any], path: str) -> None:
    error = _opening(**given)["error"]
    assert error["path"] == path
    assert error["accepted"]
