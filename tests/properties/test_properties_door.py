"""The property room through the door: JSON in, JSON out, refusals with words."""

from __future__ import annotations

from typing import Any

import pytest

from tests.properties import refit
from weeptrace.door import OPERATIONS, call

Json = dict[str, Any]


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


def coolant(**change: Any) -> Json:
    given: Json = {
        "glycol": "ethylene",
        "mass_fraction": q(0.4, "1"),
        "temperature": q(20, "°C"),
        "pressure": q(101.325, "kPa"),
    }
    given |= change
    return call("properties.coolant", {k: v for k, v in given.items() if v is not None})


def test_coolant_gives_every_figure() -> None:
    """CRC Handbook 102nd ed.: 40 % by mass, 20 °C."""
    out = coolant()
    assert out["freeze_point"] == {"value": pytest.approx(-23.84, abs=0.1), "unit": "°C"}
    assert out["density"] == {"value": pytest.approx(1051.4, abs=0.5), "unit": "kg/m³"}
    assert out["viscosity"] == {"value": pytest.approx(2.832, rel=0.015), "unit": "mPa·s"}
    assert out["refractive_index"] == {"value": pytest.approx(1.3728, abs=5e-4), "unit": "1"}
    assert out["freeze_point_inhibited"]["value"] == pytest.approx(-22.3, abs=0.5)  # ASHRAE 2001
    assert all(entry["valid"] for entry in out["validity"].values())
    assert out["mass_fraction"]["value"] == pytest.approx(0.4)


def test_both_shares_describe_the_same_coolant() -> None:
    by_mass = coolant()
    by_volume = coolant(mass_fraction=None, volume_fraction=by_mass["volume_fraction"])
    for name, value in by_mass.items():
        if name != "validity":
            assert by_volume[name]["value"] == pytest.approx(value["value"], rel=1e-9)


def test_a_figure_outside_its_tables_is_left_out_and_named() -> None:
    out = coolant(mass_fraction=q(80, "%"))
    for name in ("freeze_point", "freeze_point_inhibited", "density", "viscosity"):
        assert name not in out
        assert out["validity"][name]["valid"] is False
        assert "80 %" in out["validity"][name]["reason"]
        assert out["validity"][name]["range"]
    assert out["boiling_point"]["value"] == pytest.approx(122.0, abs=1.0)  # producer's table


@pytest.mark.parametrize(
    ("glycol", "share", "there"),
    [("ethylene", 0.6, True), ("ethylene", 0.601, False), ("propylene", 0.571, False)],
)
def test_reach_of_the_freezing_point(glycol: str, share: float, there: bool) -> None:
    out = coolant(glycol=glycol, mass_fraction=q(share, "1"))
    assert ("freeze_point" in out) is there


@pytest.mark.parametrize(
    ("celsius", "density", "viscosity"),
    [(-24.5, False, False), (-23.8, True, True), (100, True, True), (100.1, False, False)],
)
def test_reach_in_temperature(celsius: float, density: bool, viscosity: bool) -> None:
    """40 % by mass freezes at -23.8 °C; below that it is slush."""
    out = coolant(temperature=q(celsius, "°C"))
    assert ("density" in out, "viscosity" in out) == (density, viscosity)


@pytest.mark.parametrize(
    ("change", "code", "path"),
    [
        ({"pressure": q(-5, "kPa")}, "out_of_range", "pressure"),
        ({"pressure": q(5, "°C")}, "wrong_dimension", "pressure"),
        ({"temperature": q(5, "kPa")}, "wrong_dimension", "temperature"),
        ({"temperature": q(-300, "°C")}, "out_of_range", "temperature"),
        ({"mass_fraction": q(1.01, "1")}, "out_of_range", "mass_fraction"),
        ({"mass_fraction": q(-0.01, "1")}, "out_of_range", "mass_fraction"),
        ({"mass_fraction": q(50, "L")}, "wrong_dimension", "mass_fraction"),
        ({"volume_fraction": q(50, "%")}, "bad_input", ""),
        ({"mass_fraction": None}, "bad_input", ""),
        ({"pressure": None}, "bad_input", ""),
        ({"gauge_pressure": q(100, "kPa")}, "bad_input", ""),
        ({"volume_basis": "weight"}, "bad_input", "volume_basis"),
        ({"glycol": "methanol"}, "bad_input", "glycol"),
        ({"pressure": q(float("nan"), "kPa")}, "not_finite", "pressure.value"),
        ({"pressure": q(1, "stone")}, "unknown_unit", "pressure"),
    ],
)
def test_coolant_refused(change: Json, code: str, path: str) -> None:
    error = coolant(**change)["error"]
    assert (error["code"], error["path"]) == (code, path)
    assert error["message"]
    assert error["accepted"]


@pytest.mark.parametrize(
    "row",
    [r for r in refit.rows("glycol_freezing", "ethylene") if r["source"] == "CRC102"],
    ids=lambda r: r["mass_pct"],
)
def test_freezing_rows_through_the_door(row: dict[str, str]) -> None:
    out = coolant(mass_fraction=q(float(row["mass_pct"]), "%"))
    assert out["freeze_point"]["value"] == pytest.approx(float(row["T_freeze_C"]), abs=0.1)


def test_boiling_by_cap_and_altitude() -> None:
    """50 % by volume at 2000 m under 103 kPa: 126.3 °C (follows from Raoult and IAPWS-IF97)."""
    out = coolant(
        mass_fraction=None, volume_fraction=q(50, "%"), pressure=None,
        gauge_pressure=q(103, "kPa"), altitude=q(2000, "m"),
    )  # fmt: skip
    assert out["boiling_point"]["value"] == pytest.approx(126.3, rel=5e-3)
    sea = coolant(mass_fraction=None, volume_fraction=q(50, "%"), pressure=None,
                  gauge_pressure=q(103, "kPa"))  # fmt: skip
    assert sea["boiling_point"]["value"] == pytest.approx(130.0, rel=5e-3)


def test_specific_heat_and_inhibited_figures() -> None:
    """ASHRAE Fundamentals 2001: 50 % by volume, 20 °C: 3.281 kJ/(kg K), 3.94 mPa s, 1073.35."""
    out = coolant(mass_fraction=q(52.3, "%"))
    assert out["specific_heat_inhibited"]["unit"] == "kJ/(kg·K)"
    assert out["specific_heat_inhibited"]["value"] == pytest.approx(3.281, rel=6e-3)
    assert out["viscosity_inhibited"]["value"] == pytest.approx(3.94, rel=0.1)
    assert out["density_inhibited"]["value"] == pytest.approx(1073.35, abs=2.0)


def test_the_basis_of_a_volume_share_is_stated() -> None:
    """50 % by mass of ethylene glycol: 47.3 % unmixed (definition), 47.8 % of the mixture."""
    w = {
        basis: coolant(
            mass_fraction=None, volume_fraction=q(percent, "%"), volume_basis=basis
        )["mass_fraction"]["value"]
        for basis, percent in (("unmixed", 47.28), ("mixture", 47.80))
    }  # fmt: skip
    assert w == pytest.approx({"unmixed": 0.5, "mixture": 0.5}, abs=3e-4)


@pytest.mark.parametrize(("glycol", "top"), [("ethylene", 60), ("propylene", 60)])
def test_a_share_of_the_mixture_beyond_its_tables(glycol: str, top: float) -> None:
    out = coolant(
        glycol=glycol, mass_fraction=None, volume_fraction=q(top, "%"), volume_basis="mixture"
    )
    assert out["mass_fraction"]["value"] > 0.59
    far = coolant(
        glycol="ethylene", mass_fraction=None, volume_fraction=q(75, "%"), volume_basis="mixture"
    )
    assert far["error"]["accepted"].startswith("0 to 61")


def test_water_both_ways() -> None:
    """IAPWS-IF97 tables 35 and 36."""
    out = call("properties.water", {"pressure": q(0.1, "MPa")})
    assert out["saturation_temperature"]["value"] == pytest.approx(99.605919, abs=1e-6)
    out = call("properties.water", {"temperature": q(300, "K")})
    assert out["saturation_pressure"] == {"value": pytest.approx(3.53658941), "unit": "kPa"}


@pytest.mark.parametrize(
    ("payload", "code"),
    [
        ({}, "bad_input"),
        ({"pressure": q(100, "kPa"), "temperature": q(20, "°C")}, "bad_input"),
        ({"pressure": q(-100, "kPa")}, "out_of_range"),
        ({"pressure": q(0, "kPa")}, "out_of_range"),
        ({"pressure": q(23, "MPa")}, "out_of_range"),
        ({"temperature": q(-1, "°C")}, "out_of_range"),
        ({"temperature": q(374, "°C")}, "out_of_range"),
        ({"temperature": q(20, "kPa")}, "wrong_dimension"),
    ],
)
def test_water_refused(payload: Json, code: str) -> None:
    assert call("properties.water", payload)["error"]["code"] == code


@pytest.mark.parametrize(
    ("metres", "accepted"),
    [(-500.1, False), (-500, True), (-499.9, True), (4999.9, True), (5000, True), (5000.1, False)],
)
def test_reach_of_the_atmosphere(metres: float, accepted: bool) -> None:
    out = call("properties.atmosphere", {"altitude": q(metres, "m")})
    assert ("pressure" in out) is accepted
    if not accepted:
        assert out["error"]["accepted"] == "-500 to 5000 m"


def test_atmosphere_says_where_water_boils() -> None:
    """ISO 2533 at 2000 m: 275.15 K, 1.00649 kg/m3; water by IAPWS-IF97: 93.32 °C."""
    out = call("properties.atmosphere", {"altitude": q(2000, "m")})
    assert out["temperature"]["value"] == pytest.approx(2.0)
    assert out["density"]["value"] == pytest.approx(1.00649, rel=1e-4)
    assert out["water_boils"]["value"] == pytest.approx(93.32, abs=0.01)


def test_atmosphere_in_feet_and_of_a_map() -> None:
    """US Standard Atmosphere 1976: 83431.8 Pa at 1609.344 m geometric (fluids 1.3.1)."""
    out = call("properties.atmosphere", {"altitude": q(5280, "ft"), "altitude_kind": "geometric"})
    assert out["pressure"]["value"] == pytest.approx(83.4318, rel=1e-5)


@pytest.mark.parametrize("name", [n for n in OPERATIONS if n.startswith("properties.")])
def test_samples_answer_what_the_schema_says(name: str) -> None:
    import fastjsonschema

    out = call(name, OPERATIONS[name].sample)
    assert "error" not in out
    fastjsonschema.compile(OPERATIONS[name].output)(out)
