"""The half widths of the loss room, each part of them alone, by arithmetic from the stated inputs.

Inputs: limits loss.* and level.* (common practice), written out here.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from weeptrace.door import call
from weeptrace.finding import Estimate
from weeptrace.loss.balance import Volume, close
from weeptrace.loss.level_watch import Watch, watch
from weeptrace.loss.lines import lines
from weeptrace.loss.rate import Found, combine, from_catch, from_drops, puddle, running_factor
from weeptrace.properties.fraction import Glycol
from weeptrace.rules import limits

LITRE, ML, MM, CM2, KM, C = 1e-3, 1e-6, 1e-3, 1e-4, 1e3, 273.15
ML_MIN = ML / 60.0
EXACT: dict[str, Any] = {
    "level_half": 0.0, "area_half": 0.0, "temperature_before": 20 + C,
    "temperature_after": 20 + C, "temperature_half": 0.0, "liquid_volume": 8e-3,
}  # fmt: skip


def sides(found: Any) -> tuple[float, float]:
    return found.value - found.low, found.high - found.value


# --- rate -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("grams", [1.0, 10.0, 100.0])
def test_a_catch_to_5_percent_and_half_a_gram(grams: float) -> None:
    flow = grams * 1e-3 / 1050.0 / 600.0
    half = math.hypot(0.05, 0.5 / grams) * flow
    assert sides(from_catch(grams * 1e-3, 600.0, limits())) == pytest.approx((half, half))
    light = from_catch(grams * 1e-3, 600.0, limits(), 850.0)
    assert light.value == pytest.approx(flow * 1050.0 / 850.0)


@pytest.mark.parametrize("count", [1, 3, 20, 400])
def test_drops_to_their_size_and_to_one_of_them(count: int) -> None:
    """0.05 mL, 0.036 to 0.09; a drop more or less."""
    below, above = sides(from_drops(count, 60.0, limits()))
    assert above / ML_MIN == pytest.approx(math.hypot(0.04 * count, 0.05))
    assert below / ML_MIN == pytest.approx(min(math.hypot(0.014 * count, 0.05), 0.05 * count))


def test_a_puddle_whose_thickness_was_measured_to_20_percent() -> None:
    found = puddle(300 * CM2, limits(), 1.5 * MM)
    assert found.value == pytest.approx(45 * ML)
    assert sides(found) == pytest.approx((9 * ML, 9 * ML))


def test_what_the_owner_tells_and_a_hold_to_30_percent() -> None:
    owner = {"added": {"value": 0.8, "unit": "L"}, "distance": {"value": 2000, "unit": "km"}}
    told = call("loss.rate", {"owner": owner})["per_1000_km"]
    assert (told["low"], told["high"]) == pytest.approx((0.28, 0.52))
    condition = {
        "pressure": {"value": 77, "unit": "kPa"}, "rated": {"value": 110, "unit": "kPa"},
        "temperature": {"value": 90, "unit": "°C"},
    }  # fmt: skip
    flow = call("loss.rate", {"hold": {"value": 2.0, "unit": "mL/min"}, "condition": condition})[
        "flow"
    ]  # at the running pressure and hot: the factor is 1
    assert flow["value"] == pytest.approx(2.0)
    assert (flow["low"], flow["high"]) == pytest.approx((1.4, 2.6))


def test_of_ways_that_agree_the_relatively_narrowest_counts() -> None:
    wide = Found("drops", Estimate(2.0, 1.5, 2.5))  # 50 %
    narrow = Found("catch", Estimate(4.0, 3.2, 4.8))  # 40 %, though wider in figures
    for ways in ([wide, narrow], [narrow, wide]):
        found = combine(ways, limits(), 2.0)
        assert (found.agree, found.flow) == ("yes", narrow.flow)
        assert found.ratio == pytest.approx(2.0)
        assert found.per_distance == Estimate(8.0, 6.4, 9.6)


# Pure propylene glycol and water at 20 °C, 52 % by mass: 6.933 mPa s (Melinder, IIR 2010).
# Inhibited of the same share, 50 % by volume, at 80 and 100 °C: 1.12 and 0.79 (ASHRAE
# Fundamentals 2001).
@pytest.mark.parametrize(("exponent", "power"), [(0.5, 0.0), (0.75, 0.5), (1.0, 1.0), (1.4, 1.0)])
def test_a_cold_leak_of_propylene_glycol_runs_faster_when_hot(
    exponent: float, power: float
) -> None:
    """(0.7 x 100 / 140)^n (mu cold / mu hot)^(2 m - 1), m held between 0.5 and 1."""
    found = running_factor(
        pressure=140e3, rated=100e3, temperature=20 + C, exponent=exponent, glycol="propylene",
        mass_fraction=0.52, limits=limits(),
    )  # fmt: skip
    hot = math.sqrt(1.12 * 0.79)
    assert found == pytest.approx(0.5**exponent * (6.933 / hot) ** power, rel=0.05)


# --- balance --------------------------------------------------------------------------------------


def test_both_balances_by_root_sum_square_each_stream_to_its_own_side() -> None:
    """What takes away counts with its other side: each half width is a different one."""
    names = ["missing_before", "drained", "spilled", "filled", "air_left", "topped_up", "capacity",
             "left_in"]  # fmt: skip
    middle = dict(zip(names, [0.5, 5.1, 0.3, 5.0, 0.5, 0.4, 8.0, 2.1], strict=True))
    below = dict(zip(names, [0.03, 0.05, 0.07, 0.11, 0.13, 0.17, 0.19, 0.23], strict=True))
    above = dict(zip(names, [0.29, 0.31, 0.37, 0.41, 0.43, 0.47, 0.53, 0.59], strict=True))
    streams = {
        n: Volume(*(LITRE * x for x in (middle[n], middle[n] - below[n], middle[n] + above[n])))
        for n in names
    }
    found = close(**streams, limits=limits())  # type: ignore[arg-type]
    for made, plus, minus in (
        (found.closure, names[:3], names[3:6]),
        (found.capacity_closure, ["capacity"], ["left_in", "filled", "air_left", "topped_up"]),
        (found.left_behind, ["capacity"], names[:3]),
    ):
        assert made is not None
        value = sum(middle[n] for n in plus) - sum(middle[n] for n in minus)
        low = [below[n] for n in plus] + [above[n] for n in minus]
        high = [above[n] for n in plus] + [below[n] for n in minus]
        assert made.value == pytest.approx(LITRE * value, abs=1e-12)
        expected = (LITRE * math.dist(low, [0.0] * len(low)),
                    LITRE * math.dist(high, [0.0] * len(high)))  # fmt: skip
        assert sides(made) == pytest.approx(expected)


# --- lines ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("grams", "spilled"), [(850.0, 0.0), (2.0, 0.0), (0.0, 0.5), (425.0, 0.2)])
def test_transmission_fluid_caught_and_spilled(grams: float, spilled: float) -> None:
    """5 % and half a gram of what was caught, 20 % of what was spilled; 0.85 kg/L."""
    caught = grams / 850.0
    half = math.sqrt((0.05 * caught) ** 2 + (0.5 / 850.0) ** 2 + (0.2 * spilled) ** 2)
    found = lines(caught=grams / 1e3, spilled=spilled * LITRE, limits=limits()).out
    assert found.value == pytest.approx((caught + spilled) * LITRE)
    assert sides(found) == pytest.approx((half * LITRE, half * LITRE))


# --- level watch ----------------------------------------------------------------------------------


def look(**change: Any) -> Watch:
    given = {"level_change": 0.0, "area": 100 * CM2, "distance": 1000 * KM, **EXACT}
    return watch(**{**given, **change}, limits=limits())


WARMS = 8e-3 * 4.4e-4 * (1.0 + 0.0075 * 10.0)  # m3/K at 30 °C, limits hold.expansion*


@pytest.mark.parametrize(
    ("change", "half"),
    [
        ({"level_half": None}, 100 * CM2 * math.sqrt(2.0) * 2 * MM),
        ({"level_half": 3 * MM}, 100 * CM2 * 3 * MM),
        ({"level_change": 40 * MM, "area_half": None}, 40 * MM * 5 * CM2),
        ({"level_change": 40 * MM, "area_half": 2 * CM2}, 40 * MM * 2 * CM2),
        (
            {"temperature_before": 30 + C, "temperature_after": 30 + C, "temperature_half": None},
            math.sqrt(2.0) * WARMS,
        ),
        (
            {"temperature_before": 30 + C, "temperature_after": 30 + C, "temperature_half": 3.0},
            math.sqrt(2.0) * 3.0 * WARMS,
        ),
        ({"temperature_before": 20 + C, "temperature_after": 40 + C}, 0.2 * 20.0 * WARMS),
        ({"temperature_before": None, "temperature_after": None}, 5.5e-4 * 5.0 * 8e-3),
        (
            {"temperature_before": None, "temperature_after": None, "liquid_volume": 12e-3},
            5.5e-4 * 5.0 * 12e-3,
        ),
    ],
)
def test_each_part_of_a_watch_alone(change: dict[str, Any], half: float) -> None:
    """Looks at 2 mm, 5 % of the area, 1 K of a thermometer, 20 % of a correction; 5 K unknown."""
    found = look(**change)
    assert sides(found.volume_lost) == pytest.approx((half, half))
    assert sides(found.per_distance) == pytest.approx((half / 1e6, half / 1e6))
    upper = (max(found.volume_lost.value, 0.0) + half * 1.645 / 1.96) / 1e6
    assert found.not_larger_than == pytest.approx(upper, rel=1e-4)
    assert found.distance_for_tight == pytest.approx(half * 1.645 / 1.96 / 0.03e-9, rel=1e-4)


@pytest.mark.parametrize(("filled", "air"), [("vacuum", 150 * ML), ("poured", 500 * ML)])
def test_air_that_may_have_left_lowers_the_low_end_alone(filled: str, air: float) -> None:
    plain, after = look(level_change=70 * MM), look(level_change=70 * MM, filled=filled)
    assert plain.volume_lost.low - after.volume_lost.low == pytest.approx(air)
    assert plain.per_distance.low - after.per_distance.low == pytest.approx(air / 1e6)
    assert plain.volume_lost.high == after.volume_lost.high
    assert plain.not_larger_than == after.not_larger_than


@pytest.mark.parametrize(("glycol", "factor"), [("ethylene", 1.0), ("propylene", 1.25)])
def test_the_correction_is_of_the_cars_own_glycol(glycol: Glycol, factor: float) -> None:
    """8 L, 20 to 40 °C; propylene glycol a quarter more (limit hold.expansion_propylene)."""
    found = look(temperature_after=40 + C, glycol=glycol)
    assert found.corrected == pytest.approx(20.0 * WARMS * factor)
    said = call(
        "loss.level_watch",
        {
            "level_change": {"value": 0, "unit": "mm"},
            "area": {"value": 100, "unit": "cm²"},
            "temperature_before": {"value": 20, "unit": "°C"},
            "temperature_after": {"value": 40, "unit": "°C"},
            "liquid_volume": {"value": 8, "unit": "L"},
            "distance": {"value": 1000, "unit": "km"},
            "glycol": glycol,
        },
    )
    assert said["corrected"]["value"] == pytest.approx(20.0 * WARMS * factor / ML)
