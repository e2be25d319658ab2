"""Figures of the door against each other and against arithmetic by hand."""

from __future__ import annotations

import copy
import math
import tomllib
from itertools import pairwise
from typing import Any

import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.practice.describe import CARS

Json = dict[str, Any]


def ask(operation: str, **change: Any) -> Any:
    payload = copy.deepcopy(OPERATIONS[operation].sample) | change
    found = call(operation, {key: each for key, each in payload.items() if each is not None})
    assert "error" not in found, found
    return found


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


def test_what_is_not_taken_up_is_air() -> None:
    """Uptake and air are the volume at the vacuum: the most of one is the least of the other."""
    found = ask("fill.uptake")
    up, air = found["uptake"], found["air_left"]
    whole = up["value"] + air["value"]
    assert up["low"] + air["high"] == pytest.approx(whole)
    assert up["high"] + air["low"] == pytest.approx(whole)
    assert air["low"] <= air["value"] <= air["high"]


def test_the_ends_of_the_classes_by_hand() -> None:
    """Half a litre over 20000, 2000 and 100 km; driven at 1000 min for 1000 km."""
    found = ask(
        "loss.classes", reserve=q(0.5, "L"), service=q(20000, "km"), look=q(2000, "km"),
        trip=q(100, "km"), exposure=q(1000, "min/1000 km"), loss=None,
    )  # fmt: skip
    drops = []
    for name, litres in (("tight", 0.025), ("seeping", 0.25), ("gross", 5.0)):
        edge = found[name]
        assert edge["per_1000_km"]["value"] == pytest.approx(litres)
        assert edge["flow"]["value"] == pytest.approx(litres)  # mL/min: L in 1000 min
        drops.append(edge["drops_per_minute"] / litres)
    # 15 to 20 drops of water make a millilitre (common practice, of a dropper).
    assert all(10.0 < each < 25.0 for each in drops)
    assert drops == pytest.approx([drops[0]] * 3)


def test_what_a_practice_car_has_leaked_by_its_own_law() -> None:
    """The flow of the file's leak at each true pressure, by trapezia, to the last reading."""
    found = ask("practice.readings")
    (leak,) = tomllib.loads((CARS / "larkspur_seam.toml").read_text("utf-8"))["leaks"]
    assert leak["flow_100"]["unit"] == "mL/min"
    points = [
        (each["time"]["value"],
         leak["flow_100"]["value"] * (each["truth"]["value"] / 100.0) ** leak["exponent"]["value"])
        for each in found["readings"]
    ]  # fmt: skip
    whole = sum((t1 - t0) * (a + b) / 2.0 for (t0, a), (t1, b) in pairwise(points))
    assert found["leaked"]["value"] == pytest.approx(whole, rel=0.01)


def test_a_compliance_lies_in_the_middle_of_its_interval_and_never_below_zero() -> None:
    """By strokes it is known; by a fall of less than a division of the needle, as good as not."""
    known = ask("hold.stored_volume")["compliance"]
    assert 0.0 < known["low"] < known["value"]
    assert known["value"] - known["low"] == pytest.approx(known["high"] - known["value"])
    stored = {"drawn_volume": q(1, "mL"), "before": q(100, "kPa"), "after": q(97, "kPa")}
    coarse = ask("hold.stored_volume", stored=stored, division=q(20, "kPa"))["compliance"]
    assert coarse["low"] == 0.0
    assert coarse["high"] > 2.0 * coarse["value"]


# --- an opening ----------------------------------------------------------------------------------

BY_SIZE: Json = {"air_flow": None, "diameter": q(0.1, "mm")}


def test_a_hole_by_the_flow_that_its_size_gives() -> None:
    """Size to flow and back: with either flow, the same hole."""
    size = ask("properties.opening", **BY_SIZE)
    for key in ("liquid_flow", "air_flow"):
        back = ask("properties.opening", **{"air_flow": None, key: size[key]})
        assert back["diameter"]["value"] == pytest.approx(0.1, rel=1e-6)
        for other in ("liquid_flow", "air_flow"):
            assert back[other]["value"] == pytest.approx(size[other]["value"], rel=1e-6)


def test_the_flow_of_a_hole_goes_with_its_area_and_its_discharge() -> None:
    one = ask("properties.opening", **BY_SIZE, discharge=q(0.6, "1"))
    two = ask("properties.opening", **BY_SIZE | {"diameter": q(0.2, "mm")}, discharge=q(0.6, "1"))
    wide = ask("properties.opening", **BY_SIZE, discharge=q(0.9, "1"))
    assert two["liquid_flow"]["value"] == pytest.approx(4.0 * one["liquid_flow"]["value"])
    assert wide["liquid_flow"]["value"] == pytest.approx(1.5 * one["liquid_flow"]["value"])
    # Q = C A sqrt(2 dp / rho); half glycol at 90 °C weighs 1010 to 1050 kg/m3 (from memory).
    area = math.pi / 4.0 * 0.1e-3**2
    low, high = (0.6 * area * math.sqrt(2.0 * 100e3 / rho) * 6e7 for rho in (1060.0, 1000.0))
    assert low < one["liquid_flow"]["value"] < high
    # A given flow goes through a smaller hole where it is rounded: d ~ C^-1/2.
    sharp, rounded = (
        ask("properties.opening", discharge=q(c, "1"))["diameter"]["value"] for c in (0.4, 0.9)
    )
    assert sharp / rounded == pytest.approx(1.5)


def test_two_openings_that_bound_what_passes() -> None:
    """Of one flow of air, the crack and the hole; of one flow of liquid, the same two ratios."""
    by_air = ask("properties.opening")
    liquid = by_air["liquid_flow"]
    back = ask("properties.opening", air_flow=None, liquid_flow=liquid)
    air = by_air["air_flow"]["value"]
    assert back["air_flow"]["value"] == pytest.approx(air)
    hole, crack = air / liquid["value"], air / by_air["liquid_flow_crack"]["value"]
    assert back["air_flow_crack"]["value"] / liquid["value"] == pytest.approx(crack)
    assert hole != pytest.approx(crack)


def test_choked_below_the_critical_ratio_only() -> None:
    """Of air, (2 / 2.4) ^ 3.5 = 0.528; a part chokes where its own figure says."""
    for gauge in (-93.0, -50.0, -40.0):
        ratio = (101.325 + gauge) / 101.325
        found = ask("properties.opening", air_pressure=q(gauge, "kPa"))
        assert found["pressure_ratio"]["value"] == pytest.approx(ratio)
        assert found["choked"] is (ratio <= 0.528)
    for downstream, choked in ((62.9, True), (63.1, False)):  # 0.45 of 140 kPa
        found = ask("properties.rated_part", downstream=q(downstream, "kPa"))
        assert found["choked"] is choked


# --- what is told of a refusal --------------------------------------------------------------------


def test_a_moment_that_is_none_is_refused_wherever_it_is_asked() -> None:
    for name in OPERATIONS:
        sample = OPERATIONS[name].sample
        if name.startswith("job.") and "now" in sample:
            error = call(name, {**sample, "now": "tomorrow"}).get("error")
            assert error is not None, name
            assert error["code"] != "internal"


def test_what_is_accepted_is_told_in_few_words() -> None:
    """Whatever is missing or of another kind."""
    observation = {"finding": "weep_hole", "value": 3}
    error = call("causes.rank", {"observations": [observation]})["error"]
    assert (error["code"], error["path"]) == ("bad_input", "observations[0].value")
    assert len(call("hold.assess", [])["error"]["accepted"]) <= 200  # type: ignore[arg-type]
    for name in OPERATIONS:
        for key in OPERATIONS[name].sample:
            wrong = call(name, {**OPERATIONS[name].sample, key: None})["error"]
            assert wrong["code"] == "bad_input"
            assert len(wrong["accepted"]) <= 200


def test_half_a_division_of_a_hydrometer_reaches_so_many_strengths() -> None:
    """Half a division of 0.02 in gravity is 20 kg/m³: as far as what reads so much more or less."""

    def read(density: float, half: float | None = None) -> Any:
        division = None if half is None else q(half, "1")
        (found,) = ask(
            "properties.hydrometer", glycol="ethylene", specific_gravity=None,
            density=q(density, "kg/m³"), half_division=division, inhibited=False,
        )["strengths"]  # fmt: skip
        return found["mass_fraction"]

    found = read(1050.0, 0.02)
    for end, density in (("low", 1030.0), ("high", 1070.0)):
        assert found[end] == pytest.approx(read(density)["value"], abs=1.5)  # % by mass
    fine = read(1050.0, 0.0)
    assert found["low"] < fine["low"] < fine["value"] < fine["high"] < found["high"]
