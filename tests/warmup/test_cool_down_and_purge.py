"""Cooling by its differential equation; air that leaves, and the heater's pipes, by hand."""

from __future__ import annotations

import copy
import math
from typing import Any

import fastjsonschema
import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.warmup import assess, heater, lumped, purge
from weeptrace.warmup.data import Point, Purge

C, MINUTE, MM, ML, CM2 = 273.15, 60.0, 1e-3, 1e-6, 1e-4


def celsius(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "°C"}


def test_ninety_to_fifty_in_air_of_twenty() -> None:
    """90 ln(70 / 30) = 76 min (computed from the stated formula; tau by common practice)."""
    found = lumped.cool_down(start=90 + C, ambient=20 + C, goal=50 + C, limits=limits())
    assert found.value / MINUTE == pytest.approx(76.3, abs=0.1)
    assert found.low / MINUTE == pytest.approx(60 * math.log(7 / 3))
    assert found.high / MINUTE == pytest.approx(120 * math.log(7 / 3))
    opened = lumped.cool_down(
        start=90 + C, ambient=20 + C, goal=50 + C, limits=limits(), open_bonnet=True
    )
    assert opened.low / MINUTE == pytest.approx(30 * math.log(7 / 3))
    assert opened.high / MINUTE == pytest.approx(50 * math.log(7 / 3))


def test_cooling_by_its_differential_equation() -> None:
    t, seconds, step = 95.0, 0.0, 0.5
    while t > 45.0:
        t -= step * (t - 15.0) / (75 * MINUTE)
        seconds += step
    found = lumped.cool_down(
        start=95 + C, ambient=15 + C, goal=45 + C, limits=limits(), cooling_time=75 * MINUTE
    )
    assert found.value == pytest.approx(seconds, rel=1e-3)
    assert found.low < found.value < found.high


@pytest.mark.parametrize(
    ("goal", "seconds"), [(40.0, 0.0), (41.0, 0.0), (20.0, math.inf), (19.0, math.inf)]
)
def test_cool_already_or_never(goal: float, seconds: float) -> None:
    found = lumped.cool_down(start=40 + C, ambient=20 + C, goal=goal + C, limits=limits())
    assert found.value == seconds


def test_an_engine_that_cools_while_it_idles_never_gets_there() -> None:
    """1 K/min against 90 min settle 90 K above the air: from 120 K above, 125 is never reached."""
    found = lumped.time_to(
        start=120.0 + 293.0, ambient=293.0, goal=125.0 + 293.0, warming=1 / 60.0,
        cooling_time=90 * MINUTE,
    )  # fmt: skip
    assert found == math.inf


def test_cooling_time_refused() -> None:
    with pytest.raises(Refusal) as refused:
        lumped.cool_down(start=360.0, ambient=290.0, goal=320.0, limits=limits(), cooling_time=0.0)
    assert refused.value.path == "cooling_time"


def test_cool_down_through_the_door() -> None:
    sample = OPERATIONS["warmup.cool_down"].sample
    out = call("warmup.cool_down", sample)
    assert out["reached"] == "yes"
    assert out["time"]["value"] == pytest.approx(76.3, abs=0.1)
    assert call("warmup.cool_down", {**sample, "goal": celsius(15)}) == {"reached": "no"}
    opened = call("warmup.cool_down", {**sample, "bonnet": "open"})
    assert opened["time"]["value"] < out["time"]["value"]


@pytest.mark.parametrize(("rate", "minutes"), [(3 / 80 * 60, 31), (7 / 80 * 60, 13)])
def test_warm_up_without_losses_through_the_door(rate: float, minutes: float) -> None:
    """80 kJ/K from 20 to 90 °C at 3 and 7 kW, no heat lost: 31 and 13 min (70 K over the rate)."""
    out = call(
        "warmup.time_to_thermostat",
        {
            **OPERATIONS["warmup.time_to_thermostat"].sample,
            "warming": {"value": rate, "unit": "K/min"},
            "cooling_time": {"value": 1e6, "unit": "min"},
        },
    )
    assert out["time"]["value"] == pytest.approx(70 / rate, rel=1e-3)
    assert round(out["time"]["value"]) == minutes


def levels(*heights: float, area: float | None = 100.0) -> Purge:
    log = [Point(MINUTE * i, 90 + C, level=h * MM) for i, h in enumerate(heights)]
    return purge.assess(log, None if area is None else area * CM2, limits())


def test_each_escape_is_a_step_down() -> None:
    """mL = mm x cm2 / 10: 8 and 5 mm on 100 cm2 are 80 and 50 mL; a rise between is warming."""
    found = levels(40, 41, 33, 34, 29)
    assert [step.fall / MM for step in found.steps] == pytest.approx([8, 5])
    assert [step.time / MINUTE for step in found.steps] == [2, 4]
    volumes = [step.volume.value / ML for step in found.steps if step.volume]
    assert volumes == pytest.approx([80, 50])
    assert found.volume is not None
    assert found.volume.value / ML == pytest.approx(130)
    half = found.volume.high - found.volume.value  # four looks of 2 mm on 100 cm2
    assert half / ML == pytest.approx(20 * math.sqrt(4))


def test_steps_one_after_the_other_share_a_look() -> None:
    """40 to 30 mm in two steps is as sure as in one: two looks count, not four."""
    one, two = levels(40, 30), levels(40, 35, 30)
    assert one.volume is not None
    assert two.volume is not None
    assert two.volume.value == pytest.approx(one.volume.value)
    assert two.volume.high == pytest.approx(one.volume.high)


@pytest.mark.parametrize(("fall", "sign"), [(2.9, "no"), (3.0, "yes"), (3.1, "yes")])
def test_the_smallest_step(fall: float, sign: str) -> None:
    """Limit warmup.purge_step, 3 mm."""
    assert levels(40, 40 - fall).sign == sign


def test_level_not_looked_at_or_area_not_known() -> None:
    assert levels(40) == Purge("not_measured")
    found = levels(40, 30, area=None)
    assert (found.sign, found.volume, found.steps[0].volume) == ("yes", None, None)
    with pytest.raises(Refusal) as refused:
        levels(40, 30, area=0.0)
    assert refused.value.path == "area"


def pipes(drop: float, coolant: float = 88.0) -> list[Point]:
    return [
        Point(MINUTE * i, coolant + C, vent=62 + C, heater_in=85 + C, heater_out=85 - drop + C)
        for i in range(4)
    ]


@pytest.mark.parametrize(
    ("drop", "flow", "air"),
    [(10, "good", "no"), (15, "good", "no"), (15.1, "middling", "no"), (20, "middling", "no"),
     (20.1, "poor", "yes")],
)  # fmt: skip
def test_the_heaters_pipes(drop: float, flow: str, air: str) -> None:
    """Limits warmup.pipe_drop_good 15 K and warmup.pipe_drop_poor 20 K, common practice."""
    found = assess.assess(pipes(drop), 18 + C, limits())
    assert found.heater.pipe_flow == flow
    assert found.air_sign == air
    assert found.heater.pipe_drop is not None
    assert found.heater.pipe_drop.value == pytest.approx(drop)


def test_pipes_of_a_cold_engine_say_nothing() -> None:
    assert heater.pipe_drop(pipes(25, coolant=69.9), limits()) is None
    assert heater.pipe_drop(pipes(25, coolant=70.0), limits()) is not None
    cold = assess.assess(pipes(25, coolant=60.0), 18 + C, limits())
    assert cold.heater.pipe_flow == "not_measured"


def test_pipes_and_level_through_the_door() -> None:
    payload = copy.deepcopy(OPERATIONS["warmup.assess"].sample)
    for i, row in enumerate(payload["log"][-4:]):
        row |= {"heater_in": celsius(88), "heater_out": celsius(76)}
        row["level"] = {"value": 40 - 4 * i, "unit": "mm"}
    payload["area"] = {"value": 80, "unit": "cm²"}
    out = call("warmup.assess", payload)
    fastjsonschema.compile(OPERATIONS["warmup.assess"].output)(out)
    assert out["heater"]["pipe_drop"]["value"] == pytest.approx(12)
    assert out["heater"]["pipe_flow"] == "good"
    assert out["air_out"]["volume"]["value"] == pytest.approx(96)
    assert len(out["air_out"]["steps"]) == 3
