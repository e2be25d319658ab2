"""A practice car's description: each figure in its own range and carried over, each table without
what nobody knows; the fan's two temperatures."""

from __future__ import annotations

import copy
import math
from dataclasses import replace
from typing import Any

import pytest

from weeptrace.practice.describe import car_from, load
from weeptrace.practice.warm import Pocket, course_of, warm_up
from weeptrace.refusal import Refusal

Json = dict[str, Any]


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


# Each quantity that a description can have, with what it is in SI.
WHOLE: Json = {
    "name": "bench", "says": "all of it", "glycol": "propylene",
    "altitude": q(300, "m"), "temperature": q(10, "°C"), "strength": q(40, "%"),
    "expansion": q(5e-4, "1/K"), "vapour_time": q(2, "min"), "capacity": q(7, "L"),
    "trapped": q(200, "mL"), "reservoir": q(0.5, "L"), "drop": q(0.05, "mL"),
    "hoses": {
        "compliance": q(0.6, "mL/kPa"), "creep_share": q(4, "%"), "creep_time": q(3, "min"),
        "flat_volume": q(0.3, "L"),
    },
    "leaks": [{
        "place": "seam", "side": "air", "flow_100": q(1.2, "mL/min"), "exponent": q(0.7, "1"),
        "orifice": q(1e-4, "cm²"), "closed_above": q(60, "°C"), "turning": q(0.6, "mL/min"),
    }],
    "cap": {"rating": q(110, "kPa"), "opens": [q(108, "kPa"), q(112, "kPa")]},
    "transmission": {"stays": q(0.5, "L"), "lines": q(0.2, "L")},
    "conditions": {"cold": {
        "liquid": q(6, "L"), "gas": q(1, "L"), "pressure": q(100, "kPa"), "vapour": q(2, "kPa"),
        "expansion": q(4e-4, "1/K"), "inflow": q(3, "mL/min"), "blocked": q(30, "%"),
        "temperature": q(12, "°C"), "drift": q(0.6, "K/min"), "minutes": [0, 5],
    }},
}  # fmt: skip


def test_a_description_is_carried_over_whole() -> None:
    car = car_from(WHOLE)
    per_min = 1e-6 / 60.0
    assert (car.name, car.glycol) == ("bench", "propylene")
    for name, wanted in {
        "altitude": 300.0, "temperature": 283.15, "strength": 0.4, "expansion": 5e-4,
        "vapour_time": 120.0, "capacity": 7e-3, "trapped": 0.2e-3, "reservoir": 0.5e-3,
        "drop": 0.05e-6,
    }.items():  # fmt: skip
        assert getattr(car, name) == pytest.approx(wanted), name
    hoses = car.hoses
    assert (hoses.compliance, hoses.creep_share, hoses.creep_time, hoses.flat_volume) == (
        pytest.approx((0.6e-9, 0.04, 180.0, 0.3e-3))
    )
    (leak,) = car.leaks
    assert (leak.place, leak.side) == ("seam", "air")
    assert (leak.flow_100, leak.exponent, leak.orifice, leak.closed_above, leak.turning) == (
        pytest.approx((1.2 * per_min, 0.7, 1e-8, 333.15, 0.6 * per_min))
    )
    assert car.cap is not None
    assert (car.cap.rating, *car.cap.opens) == pytest.approx((110e3, 108e3, 112e3))
    assert car.transmission is not None
    assert (car.transmission.stays, car.transmission.lines) == pytest.approx((0.5e-3, 0.2e-3))
    (cold,) = car.conditions
    assert (cold.name, cold.sealed, cold.times) == ("cold", False, (0.0, 300.0))
    found = (cold.liquid, cold.gas, cold.pressure, cold.vapour, cold.expansion, cold.inflow)
    assert found == pytest.approx((6e-3, 1e-3, 100e3, 2e3, 4e-4, 3 * per_min))
    assert cold.blocked == pytest.approx(0.3)
    assert [cold.course.at(t) for t in (0.0, 100.0)] == pytest.approx([285.15, 286.15])


def test_what_is_left_out_is_usual() -> None:
    """15 °C, common glycol, a leak on the liquid's side; no cap, transmission or engine."""
    bare: Json = {"hoses": {"compliance": q(0, "mL/kPa")}, "conditions": {}, "leaks": [{}]}
    car = car_from(bare)
    assert (car.name, car.glycol, car.temperature) == ("", "ethylene", pytest.approx(288.15))
    assert (car.cap, car.transmission, car.engine, car.conditions) == (None, None, None, ())
    assert (car.leaks[0].place, car.leaks[0].side) == ("", "liquid")
    condition = {key: q(1, unit) for key, unit in (("liquid", "L"), ("gas", "L"))}
    bare["conditions"] = {"now": {**condition, "pressure": q(0, "kPa")}}
    (now,) = car_from(bare).conditions
    assert (now.sealed, now.vapour, now.expansion) == (False, None, None)
    assert [now.course.at(t) for t in (0.0, 900.0)] == pytest.approx([288.15, 288.15])


RANGES = [  # where, unit, lowest, highest
    ("altitude", "m", -500, 5000), ("temperature", "°C", 0, 126.85), ("strength", "%", 0, 100),
    ("expansion", "1/K", 0, 0.01), ("vapour_time", "h", 0, 24), ("capacity", "L", 0, 1000),
    ("trapped", "L", 0, 1000), ("reservoir", "L", 0, 1000), ("drop", "mL", 0.001, 1),
    ("hoses.compliance", "mL/kPa", 0, 1000), ("hoses.creep_share", "%", 0, 100),
    ("hoses.creep_time", "s", 1, 86400), ("hoses.flat_volume", "L", 0, 1000),
    ("leaks.0.flow_100", "m³/s", 0, 1), ("leaks.0.exponent", "1", 0.1, 4),
    ("leaks.0.orifice", "m²", 0, 1), ("leaks.0.closed_above", "K", 0, 1000),
    ("leaks.0.turning", "m³/s", 0, 1), ("cap.rating", "kPa", 1, 500),
    ("cap.opens.1", "kPa", 1, 500), ("transmission.stays", "L", 0, 1000),
    ("transmission.lines", "L", 0, 1000), ("conditions.cold.liquid", "L", 0, 1000),
    ("conditions.cold.gas", "L", 0, 1000), ("conditions.cold.pressure", "kPa", -110, 500),
    ("conditions.cold.vapour", "kPa", 0, 500), ("conditions.cold.expansion", "1/K", 0, 0.01),
    ("conditions.cold.inflow", "m³/s", 0, 1), ("conditions.cold.blocked", "%", 0, 100),
    ("conditions.cold.temperature", "°C", 0, 126.85), ("conditions.cold.drift", "K/s", -0.1, 0.1),
]  # fmt: skip


def changed(place: str, value: Any) -> Json:
    table = copy.deepcopy(WHOLE)
    *over, last = place.split(".")
    holder: Any = table
    for key in over:
        holder = holder[int(key) if key.isdigit() else key]
    holder[int(last) if last.isdigit() else last] = value
    return table


@pytest.mark.parametrize(("place", "unit", "low", "high"), RANGES, ids=lambda each: str(each))
def test_each_quantity_of_a_description_within_its_range(
    place: str, unit: str, low: float, high: float
) -> None:
    step = 1e-3 * (high - low)
    path = place.replace(".0.", "[0].").replace(".opens.1", ".opens[1]")
    beyond = [high + step]
    if low - step > -273.15 and unit != "K":
        beyond.append(low - step)
    for value in beyond:
        with pytest.raises(Refusal) as refused:
            car_from(changed(place, q(value, unit)))
        assert (refused.value.code, refused.value.path) == ("out_of_range", path)
        assert refused.value.accepted == f"{low:g} to {high:g} {unit}"
    for value in (low, high - 1e-9 * (high - low)):  # but for rounding
        car_from(changed(place, q(value, unit)))


@pytest.mark.parametrize(
    "place", ["sparkle", "hoses", "leaks.0.sparkle", "cap.sparkle", "conditions.cold.sparkle"]
)
def test_what_nobody_knows_or_is_no_table_is_refused(place: str) -> None:
    with pytest.raises(Refusal) as refused:
        car_from(changed(place, 1))
    assert refused.value.code == "bad_input"
    assert ("sparkle" in refused.value.message) == ("sparkle" in place)


@pytest.mark.parametrize(
    ("place", "value", "path", "accepted"),
    [
        ("glycol", "brine", "glycol", "ethylene, propylene"),
        ("leaks.0.side", "top", "leaks[0].side", "liquid, air"),
        ("leaks", {}, "leaks", "a list"),
        ("cap.opens", 3, "cap.opens", "a list"),
        ("strength", 50, "strength", "value and unit"),
        ("strength", {"value": 50}, "strength", "value and unit"),
        ("strength", {"unit": "%"}, "strength", "value and unit"),
        ("strength", q("50", "%"), "strength", "value and unit"),  # type: ignore[arg-type]
        ("conditions.cold.minutes", [], "conditions.cold.minutes", "0 to 1440"),
        ("conditions.cold.minutes", [0, 1441], "conditions.cold.minutes", "0 to 1440"),
        ("conditions.cold.minutes", [-1], "conditions.cold.minutes", "0 to 1440"),
        ("conditions.cold.minutes", [0] * 2001, "conditions.cold.minutes", "0 to 1440"),
        ("conditions.cold.log", [127.0], "conditions.cold.log", "0 to 126"),
        ("conditions.cold.log", ["warm"], "conditions.cold.log", "0 to 126"),
    ],
)
def test_what_is_of_another_shape_is_refused(
    place: str, value: Any, path: str, accepted: str
) -> None:
    with pytest.raises(Refusal) as refused:
        car_from(changed(place, value))
    assert (refused.value.code, refused.value.path) == ("bad_input", path)
    assert refused.value.accepted == accepted


@pytest.mark.parametrize(
    "path", ["hoses", "conditions", "hoses.compliance", "cap.rating", "transmission.stays",
             "transmission.lines", "conditions.cold.liquid", "conditions.cold.gas",
             "conditions.cold.pressure"],
)  # fmt: skip
def test_what_is_needed_is_asked_for(path: str) -> None:
    table = copy.deepcopy(WHOLE)
    *over, last = path.split(".")
    holder = table
    for key in over:
        holder = holder[key]
    del holder[last]
    with pytest.raises(Refusal) as refused:
        car_from(table)
    assert (refused.value.code, refused.value.path) == ("bad_input", path)
    assert refused.value.message == f"{path} is missing."


# --- warm-up -------------------------------------------------------------------------------------


def test_the_fan_goes_on_at_one_temperature_and_off_at_a_lower_one() -> None:
    """Between the two it stays as it was; off at the start."""
    engine = load("fjell_heater").engine
    assert engine is not None
    rows = warm_up(engine, 303.15, 303.15, [10.0 * k for k in range(600)])
    on = False
    seen = set()
    for row in rows:
        if row.coolant >= engine.fan_on:
            assert row.fan
        elif row.coolant <= engine.fan_off:
            assert not row.fan
        elif row.fan != on:
            # It turned within the last ten seconds, at one of its two temperatures.
            edge = engine.fan_on if row.fan else engine.fan_off
            assert row.coolant == pytest.approx(edge, abs=1.5)
        on = row.fan
        seen.add(on)
    assert seen == {True, False}


def test_a_warm_up_below_the_thermostat_is_an_exponential() -> None:
    """C dT/dt = P - UA (T - Ta): T = Ta + P/UA (1 - exp(-UA t / C)); the radiator stays cold."""
    engine = load("fjell_heater").engine
    assert engine is not None
    engine = replace(engine, opens=390.0, full_open=395.0, fan_on=396.0, fan_off=394.0)
    times = [60.0 * k for k in range(1, 6)]
    for row in warm_up(engine, 290.0, 290.0, times, blocked=0.5):
        rise = engine.power / engine.loss * (
            1.0 - math.exp(-engine.loss * row.time / engine.heat_capacity)
        )  # fmt: skip
        assert row.coolant - 290.0 == pytest.approx(rise, abs=0.02)
        assert row.radiator == pytest.approx(290.0, abs=0.01)
        share = 1.0 - math.exp(-0.5 * engine.heater_units)
        assert row.vent - 290.0 == pytest.approx(share * rise, abs=0.02)


def test_pockets_come_up_once_it_was_warm_enough() -> None:
    """Each lowers the level by its volume over the area, and stays up."""
    engine = load("fjell_heater").engine
    assert engine is not None
    pockets = [Pocket(0.1e-3, 300.0), Pocket(0.3e-3, 320.0), Pocket(0.5e-3, 500.0)]
    for row in warm_up(
        engine, 290.0, 290.0, [30.0 * k for k in range(40)], pockets=pockets, area=2e-2
    ):
        up = (0.1e-3 if row.coolant >= 300.0 else 0.0) + (0.3e-3 if row.coolant >= 320.0 else 0.0)
        assert row.level == pytest.approx(up / 2e-2)


def test_a_course_of_a_warm_up_is_the_coolant_s_temperature_at_each_look() -> None:
    engine = load("fjell_heater").engine
    assert engine is not None
    rows = warm_up(engine, 290.0, 290.0, [0.0, 60.0, 300.0])
    course = course_of(rows)
    assert [course.at(row.time) for row in rows] == [row.coolant for row in rows]
    assert course.at(30.0) == pytest.approx((rows[0].coolant + rows[1].coolant) / 2.0)
