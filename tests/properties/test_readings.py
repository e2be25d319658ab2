"""Strength from a reading: published gravities and indexes, and what a reading can't tell."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.properties import refit
from weeptrace import door
from weeptrace.properties import density
from weeptrace.properties.fraction import Glycol
from weeptrace.properties.readings import (
    density_from_gravity,
    strength_from_index,
    strengths_from_density,
)
from weeptrace.properties.refraction import refractive_index
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

GLYCOLS: list[Glycol] = ["ethylene", "propylene"]
AT_20 = 293.15


@pytest.mark.parametrize(
    "row",
    refit.rows("glycol_specific_gravity", folder="derived"),
    ids=lambda row: row["mass_pct"],
)
def test_a_gravity_gives_the_strength_of_the_handbook(row: dict[str, str]) -> None:
    # CRC Handbook of Chemistry and Physics, 102nd ed., aqueous ethylene glycol, over IAPWS water.
    measured = density_from_gravity(float(row["SG"]), AT_20, AT_20)
    assert measured == pytest.approx(
        density.density("ethylene", float(row["mass_pct"]) / 100.0, AT_20),
        abs=1000.0 * float(row["tol"]),
    )
    found = strengths_from_density("ethylene", measured, AT_20, limits(), inhibited=False)
    assert found.tells
    assert found.each[0].low <= float(row["mass_pct"]) / 100.0 <= found.each[0].high


def test_a_strong_propylene_density_belongs_to_two_strengths() -> None:
    # Its density has a maximum near 75 % by mass at 20 °C (Nakanishi et al., 1967).
    low, high = (density.density("propylene", w, AT_20) for w in (0.62, 0.85))
    assert low == pytest.approx(high, abs=1.5)
    found = strengths_from_density("propylene", low, AT_20, limits(), inhibited=False)
    assert not found.tells
    assert len(found.each) == 2
    weak = strengths_from_density("propylene", 1020.0, AT_20, limits(), inhibited=False)
    assert weak.tells


@pytest.mark.parametrize("glycol", GLYCOLS)
@pytest.mark.parametrize("w", [0.1, 0.35, 0.5, 0.6])
def test_there_and_back(glycol: Glycol, w: float) -> None:
    shown = refractive_index(glycol, w, AT_20)
    found = strength_from_index(glycol, shown, AT_20, limits(), compensated=True)
    assert found.mass_fraction == pytest.approx(w, abs=1e-6)
    assert found.low < w < found.high
    measured = density.density(glycol, w, AT_20)
    one = strengths_from_density(glycol, measured, AT_20, limits(), inhibited=False).each[0]
    assert one.low <= w <= one.high


def test_a_scale_of_the_other_glycol_errs_by_some_kelvin() -> None:
    answer = door.call(
        "properties.refractometer",
        {
            "glycol": "propylene",
            "scale_glycol": "ethylene",
            "volume_fraction": {"value": 50, "unit": "%"},
            "temperature": {"value": 20, "unit": "°C"},
            "compensated": True,
        },
    )
    said = answer["volume_fraction"]
    assert said["low"] < said["value"] < said["high"]
    assert abs(said["value"] - 50.0) > 1.0  # read on the wrong scale


@pytest.mark.parametrize("index", [1.30, 1.50])
def test_an_index_of_no_strength_is_refused_with_the_range(index: float) -> None:
    with pytest.raises(Refusal, match="belongs to no strength") as refused:
        strength_from_index("ethylene", index, AT_20, limits(), compensated=True)
    assert "to" in refused.value.accepted


def _refractometer(**given: object) -> dict[str, Any]:
    payload: dict[str, Any] = {
        "glycol": "ethylene",
        "compensated": False,
        "temperature": {"value": 20, "unit": "°C"},
    }
    return door.call("properties.refractometer", {**payload, **given})


@pytest.mark.parametrize(
    "row",
    [r for r in refit.rows("glycol_refractive_index") if float(r["mass_pct"]) > 0],
    ids=lambda r: f"{r['glycol']}-{r['mass_pct']}-{r['T_C']}-{r['source']}",
)
def test_a_published_index_gives_its_strength(row: dict[str, str]) -> None:
    """CRC Handbook 102nd ed.; MacBeth 1951; Gerke 2023: shown by a scale zeroed at 20 °C."""
    out = _refractometer(
        glycol={"EG": "ethylene", "PG": "propylene"}[row["glycol"]],
        index={"value": float(row["nD"]), "unit": "1"},
        temperature={"value": float(row["T_C"]), "unit": "°C"},
    )
    found = out["mass_fraction"]
    assert found["low"] <= float(row["mass_pct"]) <= found["high"] + 1e-9
    assert found["high"] - found["low"] < 3.0


def test_every_scale_of_one_refractometer_says_the_same() -> None:
    """40 % by mass of ethylene glycol: n 1.3728 and 25.3 °Bx (CRC Handbook 102nd ed.)."""
    readings = {
        "index": {"value": 1.3728, "unit": "1"},
        "brix": {"value": 25.3, "unit": "%"},
        "mass_fraction": {"value": 40, "unit": "%"},
        "volume_fraction": {"value": 37.4, "unit": "%"},
        "freeze_point": {"value": -22.2, "unit": "°C"},  # ASHRAE 2001: -22.3
    }
    for scale, value in readings.items():
        out = _refractometer(**{scale: value})
        assert out["mass_fraction"]["value"] == pytest.approx(40.0, abs=0.4), scale
        assert out["scale"] == ("neutral" if scale in ("index", "brix") else "own")


def test_half_a_division_widens_the_interval() -> None:
    widths = []
    for half in (0.1, 0.5, 2.0):
        out = _refractometer(
            mass_fraction={"value": 50, "unit": "%"}, half_division={"value": half, "unit": "%"}
        )["mass_fraction"]
        widths.append((out["high"] - out["low"]) / 2.0)
    assert widths == sorted(widths)
    assert widths[2] == pytest.approx(math.hypot(2.0, 0.8), abs=0.15)


@pytest.mark.parametrize(
    ("given", "path"),
    [
        ({}, ""),
        ({"index": {"value": 1.4, "unit": "1"}, "brix": {"value": 30, "unit": "%"}}, ""),
        ({"index": {"value": 1.5, "unit": "1"}}, "index"),
        ({"brix": {"value": 61, "unit": "%"}}, "brix"),
        ({"brix": {"value": -1, "unit": "%"}}, "brix"),
        ({"mass_fraction": {"value": 101, "unit": "%"}}, "mass_fraction"),
        ({"freeze_point": {"value": -70, "unit": "°C"}}, "temperature"),
        ({"index": {"value": 1.37, "unit": "1"}, "temperature": {"value": 41, "unit": "°C"}},
         "temperature"),
        ({"index": {"value": 1.37, "unit": "1"}, "temperature": {"value": 9.9, "unit": "°C"}},
         "temperature"),
        ({"index": {"value": 1.37, "unit": "1"}, "compensated": True,
          "zeroed_at": {"value": 25, "unit": "°C"}}, "zeroed_at"),
        ({"freeze_point": {"value": -20, "unit": "°C"},
          "half_division": {"value": 1, "unit": "°C"}}, "half_division"),
    ],
)  # fmt: skip
def test_refractometer_refused(given: dict[str, Any], path: str) -> None:
    error = _refractometer(**given)["error"]
    assert error["path"] == path
    assert error["accepted"]


def _hydrometer(**given: object) -> dict[str, Any]:
    payload: dict[str, Any] = {"glycol": "ethylene", "temperature": {"value": 20, "unit": "°C"}}
    return door.call("properties.hydrometer", {**payload, **given})


@pytest.mark.parametrize(
    "row",
    [r for r in refit.rows("glycol_density")
     if r["source"] == "ASHRAE2001" and r["T_C"] in ("20", "40")],
    ids=lambda r: f"{r['glycol']}-{r['vol_pct']}-{r['T_C']}",
)  # fmt: skip
def test_an_inhibited_density_gives_its_strength(row: dict[str, str]) -> None:
    """ASHRAE Fundamentals 2001; its volume share is that of the mixture."""
    glycol: Glycol = "ethylene" if row["glycol"] == "EG" else "propylene"
    out = _hydrometer(
        glycol=glycol,
        density={"value": float(row["rho_kg_m3"]), "unit": "kg/m³"},
        temperature={"value": float(row["T_C"]), "unit": "°C"},
    )
    expected = 100.0 * refit.ashrae_mass(glycol, float(row["vol_pct"]))
    each = [s["mass_fraction"] for s in out["strengths"]]
    assert any(s["low"] <= expected <= s["high"] for s in each)


def test_a_hydrometer_that_can_not_tell_says_so() -> None:
    out = _hydrometer(glycol="propylene", specific_gravity={"value": 1.042, "unit": "1"},
                      inhibited=False)  # fmt: skip
    assert not out["tells"]
    assert len(out["strengths"]) == 2
    assert "refractometer" in out["reason"]
    top = _hydrometer(glycol="propylene", density={"value": 1043, "unit": "kg/m³"},
                      inhibited=False)  # fmt: skip
    assert not top["tells"]
    assert _hydrometer(specific_gravity={"value": 1.07, "unit": "1"})["tells"]


def test_a_scale_of_another_temperature_shows_another_gravity() -> None:
    """Water at 4 °C is 0.9 kg/m3 denser than at 15.56 °C (IAPWS-95)."""
    at_60, at_4 = (
        _hydrometer(
            specific_gravity={"value": 1.07, "unit": "1"},
            reference_temperature={"value": t, "unit": "°C"},
        )["density"]["value"]
        for t in (15.5555556, 4.0)
    )
    assert at_4 - at_60 == pytest.approx(0.9 * 1.07 - 0.31, abs=0.1)  # glass: 11.6 K of 2.5e-5


@pytest.mark.parametrize(
    ("given", "path"),
    [
        ({}, ""),
        ({"specific_gravity": {"value": 1.3, "unit": "1"}}, "specific_gravity"),
        ({"specific_gravity": {"value": 1.19, "unit": "1"}}, "density"),
        ({"density": {"value": 980, "unit": "kg/m³"}}, "density"),
        ({"density": {"value": 1050, "unit": "kg/m³"},
          "temperature": {"value": 14.9, "unit": "°C"}}, "temperature"),
        ({"density": {"value": 1050, "unit": "kg/m³"},
          "temperature": {"value": 40.1, "unit": "°C"}}, "temperature"),
    ],
)  # fmt: skip
def test_hydrometer_refused(given: dict[str, Any], path: str) -> None:
    error = _hydrometer(**given)["error"]
    assert error["path"] == path
    assert error["accepted"]
