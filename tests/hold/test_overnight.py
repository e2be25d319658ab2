"""A night under pressure, against a balance of one's own: other densities, gas law, bisection."""

from __future__ import annotations

import itertools

import pytest
from CoolProp.CoolProp import PropsSI

from weeptrace.door import OPERATIONS, call
from weeptrace.finding import Estimate
from weeptrace.hold.data import Strokes
from weeptrace.hold.overnight import Evening, Warmth, expected, sign
from weeptrace.rules import limits

LIMITS = limits()
SEA = 101325.0  # Pa, the standard atmosphere
ZERO = 273.15
METAL = 5e-5  # 1/K by volume, of aluminium, iron and plastic together (common practice)
HOSES = 0.5e-9  # m3/Pa (common practice)
LATE = 0.035  # of the hoses' stretch comes after the first minutes (common practice)
STROKE = 40e-6


def liquid(kelvin: float) -> float:
    """What a litre of 20 °C becomes, half glycol: CoolProp's MEG, 0.527 by mass, less the metal."""
    name = "INCOMP::MEG[0.527]"
    density = [PropsSI("D", "T", t, "P", 2e5, name) for t in (293.15, kelvin)]
    return density[0] / density[1] - METAL * (kelvin - 293.15)


def vapour(kelvin: float) -> float:
    """Over half glycol, 0.527 by mass: Raoult's share of water's, by moles (own arithmetic)."""
    water = (1.0 - 0.527) / 18.015
    share = water / (water + 0.527 / 62.07)
    return share * float(PropsSI("P", "T", kelvin, "Q", 0, "Water"))


def needle(
    count: float, pumped: float, t0: float, t1: float, litres: float, outside: float = SEA
) -> float:
    """What a tight car shows at ``t1``, pumped by ``count`` strokes to ``pumped`` at ``t0``.

    The pump put in ``count`` strokes of outside air; the dry gas that was there went with it
    to ``pumped``. What the gas gained in room is the hoses' give.
    """
    dry0, dry1 = outside - vapour(t0), outside - vapour(t1)
    # Dry gas: before (Pa - pv) V0, pumped in Pa N Vs, then (pumped + Pa - pv) (V0 + Ch pumped).
    gas0 = (outside * count * STROKE - (pumped + dry0) * HOSES * pumped) / pumped
    amount = (pumped + dry0) * (gas0 + HOSES * pumped) / t0
    shrunk = litres * 1e-3 * (liquid(t1) - liquid(t0)) / liquid(t0)
    low, high = -dry1 + 1.0, 1e6
    for _ in range(200):
        p = 0.5 * (low + high)
        room = gas0 - shrunk + HOSES * p
        too_low = room <= 0.0 or (p + dry1) * room / t1 < amount
        low, high = (p, high) if too_low else (low, p)
    late = LATE * HOSES * pumped / (HOSES + (gas0 + HOSES * pumped) / (pumped + dry0))
    return max(low - late, 0.0)


@pytest.mark.parametrize("count", [7.0, 12.0, 27.0])
@pytest.mark.parametrize("evening", [15.0, 24.0, 45.0])
@pytest.mark.parametrize("fall", [-8.0, 0.0, 6.0, 15.0, 25.0])
def test_a_tight_car_shows_what_a_balance_of_ones_own_says(
    count: float, evening: float, fall: float
) -> None:
    t0, t1 = ZERO + evening, ZERO + evening - fall
    left = Evening(Strokes(count, STROKE), 85e3, 85e3, Warmth(t0, t0), 7.5e-3)
    found = expected(left, Warmth(t1, t1), LIMITS)
    right = needle(count, 85e3, t0, t1, 7.5)
    assert found.low <= right <= found.high
    # Net expansion is known to 20 % (its docstring): so is what it does to the needle.
    assert found.value == pytest.approx(right, abs=0.2 * abs(right - 85e3) + 1e3)


@pytest.mark.parametrize(("count", "fall"), [*itertools.product((7.0, 12.0, 27.0), (4.0, 12.0))])
def test_the_interval_is_what_its_parts_move_the_needle_by(count: float, fall: float) -> None:
    """Root sum square of one standard deviation each, by the balance of one's own (limits)."""
    t0, t1 = 297.15, 297.15 - fall

    def by(strokes: float = count, warm0: float = t0, warm1: float = t1) -> float:
        return needle(strokes, 85e3, warm0, warm1, 7.5)

    counted = (0.1**2 + (0.29 / count) ** 2) ** 0.5
    moved = [by(count * (1.0 + counted)), by(warm0=t0 + 1.0), by(warm1=t1 + 1.0)]
    least = 1.96 * sum((each - by()) ** 2 for each in moved) ** 0.5
    left = Evening(Strokes(count, STROKE), 85e3, 85e3, Warmth(t0, t0), 7.5e-3)
    found = expected(left, Warmth(t1, t1), LIMITS)
    half = found.high - found.value
    assert half == pytest.approx(found.value - found.low)
    assert 0.95 * least < half < 1.8 * least  # hoses, their late stretch and the growth come on top


def test_air_colder_than_the_block_lowers_the_coolants_mean_and_widens_what_is_known() -> None:
    left = Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(293.15, 293.15), 7.5e-3)
    same = expected(left, Warmth(283.15, 283.15), LIMITS)
    unknown = expected(left, Warmth(283.15), LIMITS)
    colder = expected(left, Warmth(283.15, 275.15), LIMITS)
    assert unknown == same
    # A quarter of the 8 K (limits): as if all of it stood at 8 °C.
    assert colder.value == expected(left, Warmth(281.15, 281.15), LIMITS).value
    assert colder.high - colder.value > 1.1 * (same.high - same.value)
    warm = Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(293.15, 285.15), 7.5e-3)
    at = Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(291.15, 291.15), 7.5e-3)
    assert (
        expected(warm, Warmth(283.15), LIMITS).value == expected(at, Warmth(283.15), LIMITS).value
    )


def test_what_is_not_known_takes_the_usual() -> None:
    """Eight litres, sea level, ethylene half and half."""
    bare = Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(293.15))
    told = Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(293.15), 8e-3, SEA, "ethylene", 0.527)
    assert expected(bare, Warmth(283.15), LIMITS) == expected(told, Warmth(283.15), LIMITS)
    for other in (
        Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(293.15), 4e-3),
        Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(293.15), None, 80e3),
        Evening(Strokes(12, STROKE), 85e3, 85e3, Warmth(293.15), None, None, "propylene"),
    ):
        assert abs(expected(other, Warmth(283.15), LIMITS).value - _value(bare)) > 100.0


def _value(left: Evening) -> float:
    return expected(left, Warmth(283.15), LIMITS).value


def test_what_was_let_off_again_is_where_the_night_begins() -> None:
    off = Evening(Strokes(12, STROKE), 100e3, 80e3, Warmth(293.15), 7.5e-3)
    found = expected(off, Warmth(293.15), LIMITS)
    assert 76e3 < found.value < 80e3


def test_a_needle_ends_at_zero() -> None:
    left = Evening(Strokes(5, STROKE), 85e3, 85e3, Warmth(343.15), 7.5e-3)
    found = expected(left, Warmth(273.15), LIMITS)
    assert (found.value, found.low) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("seen", "says"),
    [
        (60e3, "as_a_tight_one"), (54.9e3, "as_a_tight_one"), (53.0e3, "below"), (0.0, "below"),
        (65.1e3, "as_a_tight_one"), (67.0e3, "above"),
    ],
)  # fmt: skip
def test_a_needle_beyond_what_is_known_says_so(seen: float, says: str) -> None:
    """5 kPa, and a needle read twice to 0.3 of 2 kPa: 1.96 * 0.6 * 1.414 = 1.66; 5.27 in all."""
    assert sign(seen, Estimate(60e3, 55e3, 65e3), 2e3, LIMITS) == says
    edge = (5e3**2 + (1.96 * 0.6e3) ** 2 * 2.0) ** 0.5
    assert sign(60e3 - edge - 1.0, Estimate(60e3, 55e3, 65e3), 2e3, LIMITS) == "below"
    assert sign(60e3 - edge + 1.0, Estimate(60e3, 55e3, 65e3), 2e3, LIMITS) == "as_a_tight_one"
    assert sign(60e3 + edge + 1.0, Estimate(60e3, 55e3, 65e3), 2e3, LIMITS) == "above"
    assert sign(60e3 + edge - 1.0, Estimate(60e3, 55e3, 65e3), 2e3, LIMITS) == "as_a_tight_one"


def test_the_door_says_the_same_in_units() -> None:
    sample = OPERATIONS["hold.overnight"].sample
    answer = call("hold.overnight", sample)
    left = Evening(
        Strokes(10, STROKE), 85e3, 85e3, Warmth(ZERO + 24.0, ZERO + 18.0), 7.5e-3
    )  # fmt: skip
    found = expected(left, Warmth(ZERO + 12.0), LIMITS)
    for name in ("value", "low", "high"):
        assert answer["tight"][name] == pytest.approx(getattr(found, name) / 1e3, rel=1e-4)
    assert answer["sign"] == sign(58e3, found, 2e3, LIMITS)
    bare = {key: value for key, value in sample.items() if key not in ("seen", "division")}
    assert "sign" not in call("hold.overnight", bare)
    without = {key: value for key, value in sample.items() if key != "division"}
    assert call("hold.overnight", without)["error"]["path"] == "division"
    high = {**sample, "start": {"value": 86, "unit": "kPa"}}
    assert call("hold.overnight", high)["error"]["path"] == "start"
