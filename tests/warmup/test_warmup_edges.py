"""Parts of a warm-up's judgement, each just beside its edge or against a plain search."""

from __future__ import annotations

import numpy
import pytest

from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.warmup import fan, gas, heater, hinge, lumped, purge
from weeptrace.warmup.assess import assess
from weeptrace.warmup.data import Cold, Point
from weeptrace.warmup.thermostat import _between
from weeptrace.warmup.thermostat import assess as thermostat

LIMITS = limits()
C, MINUTE = 273.15, 60.0


def steady(coolant: list[float]) -> tuple[int, int] | None:
    """First and behind the last of the longest runs within 4 K, three readings or more: of those
    that can't be made longer either way the hottest. Every run is looked at."""
    count = len(coolant)

    def within(a: int, b: int) -> bool:
        return max(coolant[a:b]) - min(coolant[a:b]) <= 4.0

    runs = [
        (a, b)
        for a in range(count)
        for b in range(a + 3, count + 1)
        if within(a, b)
        and (a == 0 or not within(a - 1, b))
        and (b == count or not within(a, b + 1))
    ]
    return max(runs, key=lambda run: sum(coolant[slice(*run)]) / (run[1] - run[0]), default=None)


def test_the_steady_stretch_by_looking_at_every_run() -> None:
    rng = numpy.random.default_rng(41)
    some = 0
    for _ in range(300):
        walk = numpy.cumsum(rng.normal(0.0, 4.0, 12)) + 88.0
        coolant = [float(max(c, 71.0)) for c in walk]
        vent = [float(v) for v in rng.uniform(50.0, 62.0, 12)]
        log = [
            Point(MINUTE * i, c + C, vent=v + C)
            for i, (c, v) in enumerate(zip(coolant, vent, strict=True))
        ]
        found = heater.assess(log, 18.0 + C, LIMITS)
        run = steady(coolant)
        assert (found.steady == "yes") is (run is not None)
        assert found.effectiveness is not None
        if run is None:
            hottest = coolant.index(max(coolant))
            run = (hottest, hottest + 1)
            assert found.fall is None
        else:
            some += 1
        part = slice(*run)
        share = (numpy.mean(vent[part]) - 18.0) / (numpy.mean(coolant[part]) - 18.0)
        assert found.effectiveness.value == pytest.approx(share)
    assert 50 < some < 300


def test_a_hotter_beginning_does_not_make_a_stretch_the_hottest() -> None:
    # 90, 90, 90; then from 92 down to 88 within the band: 89.3 on average, which is less.
    coolant = [90.0, 90.0, 90.0, 75.0, 92.0, 91.0, 90.0, 88.0, 88.0, 88.0, 88.0]
    log = [
        Point(MINUTE * i, c + C, vent=(62.0 if i < 3 else 40.0) + C) for i, c in enumerate(coolant)
    ]
    found = heater.assess(log, 18.0 + C, LIMITS)
    assert found.effectiveness is not None
    assert found.effectiveness.value == pytest.approx(44.0 / 72.0)


def cold_at(shares: list[float], every: float = MINUTE) -> float | None:
    log = [Point(every * i, 88 + C, vent=18 + 70 * e + C) for i, e in enumerate(shares)]
    return heater.suddenly_cold(log, 18 + C, LIMITS)


def test_suddenly_cold_is_told_from_the_best_of_three_minutes() -> None:
    """Limits warmup.sudden_fall 0.25 and warmup.sudden_time 3 min."""
    assert cold_at([0.7, 0.5, 0.44]) == 2 * MINUTE
    assert cold_at([0.7, 0.6, 0.55, 0.44]) == 3 * MINUTE
    assert cold_at([0.7, 0.6, 0.55, 0.5, 0.44]) is None  # the best is four minutes ago
    assert cold_at([0.7, 0.4], 180.0) == 180.0
    assert cold_at([0.7, 0.4], 181.0) is None
    assert cold_at([0.3, 0.7, 0.7]) is None  # it got warm
    assert cold_at([0.7]) is None


def test_pipes_tell_the_flow_where_nobody_felt_the_air() -> None:
    log = [Point(0.0, 88 + C, heater_in=85 + C, heater_out=60 + C)]
    found = heater.assess(log, 18 + C, LIMITS)
    assert found.heat == "not_measured"
    assert found.pipe_drop is not None
    assert found.pipe_drop.value == pytest.approx(25.0)
    assert found.pipe_flow == "poor"
    # One probe alone says nothing, and several readings are averaged.
    one = Point(60.0, 88 + C, heater_in=85 + C)
    other = Point(120.0, 88 + C, heater_in=85 + C, heater_out=80 + C)
    both = heater.assess([*log, one, other], 18 + C, LIMITS).pipe_drop
    assert both is not None
    assert both.value == pytest.approx(15.0)


def test_a_fan_that_goes_off_first_has_not_cycled_until_it_comes_on() -> None:
    def seen(states: str) -> tuple[str, int, int]:
        log = [Point(MINUTE * i, 360.0 + i, fan=s == "1") for i, s in enumerate(states)]
        found = fan.assess(log, LIMITS)
        return found.signature, len(found.on), len(found.off)

    assert seen("100110") == ("cycled", 1, 2)
    assert seen("01010") == ("cycled", 2, 2)
    assert seen("10011") == ("on_only", 1, 1)
    log = [Point(0.0, 370.0, fan=False), Point(60.0, 366.0, fan=True)]
    (edge,) = fan.assess(log, LIMITS).on
    assert (edge.temperature.low, edge.temperature.high) == (364.0, 372.0)
    assert (edge.time.low, edge.time.value, edge.time.high) == (0.0, 30.0, 60.0)


@pytest.mark.parametrize(("warmed", "signature"), [(14.5, "stuck_open"), (15.5, "opens")])
def test_a_change_soon_after_a_cold_start_is_the_pipes_own(warmed: float, signature: str) -> None:
    """Limit warmup.follows_rise, 15 K of the engine until the change."""
    coolant = [20.0 + warmed / 6.0 * i for i in range(20)]
    inlet = [20.0 + 8.0 * max(i - 6, 0) for i in range(20)]
    log = [
        Point(MINUTE * i, c + C, radiator_inlet=r + C)
        for i, (c, r) in enumerate(zip(coolant, inlet, strict=True))
    ]
    assert thermostat(log, 88.0 + C, LIMITS).signature == signature


@pytest.mark.parametrize(
    ("warming", "tau", "word"), [(0.0, 5400.0, "warming rate"), (0.03, 0.0, "cooling time")]
)
def test_what_must_be_above_zero_is_named(warming: float, tau: float, word: str) -> None:
    with pytest.raises(Refusal, match=f"The {word} must be above zero") as refused:
        lumped.time_to(start=290.0, ambient=290.0, goal=350.0, warming=warming, cooling_time=tau)
    assert refused.value.path == word.replace(" rate", "").replace(" ", "_")
    assert refused.value.code == "out_of_range"
    with pytest.raises(Refusal, match="The cooling time must be above zero") as refused:
        lumped.cool_down(start=360.0, ambient=290.0, goal=320.0, limits=LIMITS, cooling_time=-1.0)
    assert "min" in refused.value.accepted
    with pytest.raises(Refusal, match="area must be above zero") as refused:
        purge.assess([], 0.0, LIMITS)
    assert "cm²" in refused.value.accepted


@pytest.mark.parametrize(
    ("opening", "start", "warm"),
    # 5 K below the opening, or below 76 °C where nobody knows it (limits of the room).
    [(88.0, 82.9, False), (88.0, 83.1, True), (None, 70.9, False), (None, 71.1, True)],
)
def test_an_engine_that_was_near_its_opening_at_first_may_have_opened_before(
    opening: float | None, start: float, warm: bool
) -> None:
    """No step to be seen; from cold that is told of the log, from warm nothing can be told."""
    log = [
        Point(MINUTE * i, start + i + C, radiator_inlet=start - 15.0 + 0.5 * i + C)
        for i in range(11)
    ]
    found = thermostat(log, None if opening is None else opening + C, LIMITS)
    assert found.signature == "not_seen"
    assert found.reason is not None
    assert (found.reason.code == "started_warm") is warm


@pytest.mark.parametrize(
    ("hottest", "why"), [(354.9, "log_ends_before"), (355.0, "no_step"), (355.1, "no_step")]
)
def test_a_log_that_ends_more_than_5_kelvin_below_the_opening_ends_before(
    hottest: float, why: str
) -> None:
    log = [
        Point(MINUTE * i, hottest - 1.5 * (10 - i), radiator_inlet=332.0 + 0.4 * i)
        for i in range(11)
    ]
    found = thermostat(log, 360.0, LIMITS)
    assert found.reason is not None
    assert found.reason.code == why


@pytest.mark.parametrize(
    ("time", "value"),
    [(-5.0, 10.0), (0.0, 10.0), (15.0, 25.0), (30.0, 40.0), (45.0, 30.0), (60.0, 20.0),
     (75.0, 65.0), (90.0, 110.0), (91.0, 110.0)],
)  # fmt: skip
def test_between_two_readings_by_a_straight_line_and_the_ends_beyond(
    time: float, value: float
) -> None:
    found = _between([0.0, 30.0, 60.0, 90.0], [10.0, 40.0, 20.0, 110.0], time)
    assert found == pytest.approx(value)


@pytest.mark.parametrize(
    ("place", "told"), [(1, 3), (2, 3), (3, 3), (5, 5), (9, 9), (10, 10), (12, 10)]
)
def test_a_change_near_an_end_is_told_where_four_readings_are_left(place: int, told: int) -> None:
    """Fourteen readings; the one at the change counts to both sides."""
    t = [MINUTE * k for k in range(14)]
    y = [300.0 + 0.01 * s + 0.3 * max(s - t[place], 0.0) for s in t]
    found = hinge.find(t, y, LIMITS)
    assert found is not None
    assert found.time.value == pytest.approx(t[told], abs=1e-6)


def test_stops_come_in_the_order_of_time_and_each_once() -> None:
    shares = [0.7, 0.7, 0.2, 0.2, 0.2]
    hot = [88.0, 88.0, 88.0, 116.0, 118.0]
    log = [
        Point(MINUTE * i, c + C, vent=18 + (c - 18) * e + C)
        for i, (c, e) in enumerate(zip(hot, shares, strict=True))
    ]
    found = assess(log, 18 + C, LIMITS)
    assert [(stop.reason.code, stop.time) for stop in found.stop] == [
        ("heater_suddenly_cold", 2 * MINUTE),
        ("too_hot", 3 * MINUTE),
    ]
    assert "116 °C is above 115 °C" in found.stop[1].reason.message
    first = assess([Point(0.0, 116 + C), *log[1:]], 18 + C, LIMITS)
    assert [stop.reason.code for stop in first.stop] == ["too_hot", "heater_suddenly_cold"]
    assert found.not_measured == ("radiator_inlet", "fan", "pressure")
    mixed = [*log[:4], Point(4 * MINUTE, 118 + C, vent=40 + C, fan=True, pressure=5e4)]
    assert assess(mixed, 18 + C, LIMITS).not_measured == ("radiator_inlet",)


def test_the_hotter_of_engine_and_inlet_counts() -> None:
    for coolant, inlet in ((90.0, 116.0), (116.0, 90.0)):
        found = assess([Point(0.0, coolant + C, radiator_inlet=inlet + C)], 18 + C, LIMITS)
        assert [stop.reason.code for stop in found.stop] == ["too_hot"]


@pytest.mark.parametrize("count", [7, 8])
def test_unsorted_rows_are_the_same_log(count: int) -> None:
    rng = numpy.random.default_rng(count)
    log = [
        Point(MINUTE * i, 350.0 + i, 300.0 + 2.0 * max(i - 3, 0), 320.0 + i, i > 4, 1e3 * i)
        for i in range(count)
    ]
    mixed = [log[i] for i in rng.permutation(count)]
    assert assess(mixed, 291.0, LIMITS) == assess(log, 291.0, LIMITS)


def test_a_plain_idle_is_meant_where_none_is_named() -> None:
    plain = lumped.time_to_thermostat(coolant=10 + C, ambient=10 + C, opening=82 + C, limits=LIMITS)
    brisk = lumped.time_to_thermostat(
        coolant=10 + C, ambient=10 + C, opening=82 + C, limits=LIMITS, brisk=True
    )
    assert plain.value > 1.8 * brisk.value


# --- gas -----------------------------------------------------------------------------------------

COLD = Cold(headspace=1e-3, liquid_volume=8e-3)
REACH = 0.5e-9  # hoses m3/Pa, the limits' usual


def gas_log(excess: list[float], step: float = 4.0) -> list[Point]:
    """A reading a minute from 15 °C on, so many standard errors above what warming makes."""
    log = []
    for k, e in enumerate(excess):
        t = 15.0 + C + step * k
        state = (COLD, 15.0 + C, 0.0, t, REACH, LIMITS)
        p = gas.warming_pressure(*state) + e * gas.model_uncertainty(*state)
        log.append(Point(MINUTE * k, t, pressure=p))
    return log


def sign(excess: list[float], step: float = 4.0) -> str:
    return gas.assess(gas_log(excess, step), 15.0 + C, COLD, LIMITS).sign


def test_two_readings_one_after_the_other_make_the_sign() -> None:
    """Limits warmup.gas_factor 3 and warmup.gas_points 2."""
    assert sign([0.0, 0.0, 3.1, 3.1, 0.0, 0.0]) == "yes"
    assert sign([0.0, 3.1, 0.0, 3.1, 0.0, 3.1]) == "no"
    assert sign([0.0, 0.0, 0.0, 0.0, 2.9, 9.0]) == "no"
    assert sign([0.0, 3.1, 3.1]) == "yes"
    assert sign([0.0, 9.0]) == "not_measured"  # 4 K, and one reading only


def test_gas_is_gas_however_little_it_has_warmed() -> None:
    assert sign([0.0, 3.5, 3.5, 3.5], 1.0) == "yes"
    assert sign([0.0, 0.0, 0.0, 0.0], 1.0) == "not_measured"


@pytest.mark.parametrize(("rise", "word"), [(9.9, "not_measured"), (10.1, "no")])
def test_ten_kelvin_tell_that_there_is_none(rise: float, word: str) -> None:
    """Limit warmup.gas_rise: the warmest reading counts, wherever it stands."""
    assert sign([0.0] * 4, rise / 3.0) == word
    log = gas_log([0.0] * 4, rise / 3.0)
    cooled = [*log, Point(9 * MINUTE, log[1].coolant, pressure=log[1].pressure)]
    assert gas.assess(cooled, 15.0 + C, COLD, LIMITS).sign == word


def test_only_readings_below_fifty_degrees_are_compared() -> None:
    log = gas_log([0.0] * 9)  # to 47 °C
    hot = [*log, *(Point(MINUTE * k, 51 + C, pressure=4e5) for k in (9, 10, 11))]
    assert gas.assess(hot, 15 + C, COLD, LIMITS) == gas.assess(log, 15 + C, COLD, LIMITS)
    warm = gas.assess(log, 15 + C, COLD, LIMITS)
    last = gas_log([0.0] * 9)[-1]
    assert warm.uncertainty == pytest.approx(
        gas.model_uncertainty(COLD, 15 + C, 0.0, last.coolant, REACH, LIMITS)
    )
    assert warm.inflow == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("first", [0.0, 5e3])
def test_what_the_gauge_showed_at_first_is_part_of_the_balance(first: float) -> None:
    # The dry gas that was there keeps its amount; rigid hoses, no liquid to speak of, 40 K more:
    # (p + Pa - pv) V/T stays, vapour by Raoult from 1.7 to 9.3 kPa of water (IAPWS), share 0.755.
    cold = Cold(headspace=1e-3, liquid_volume=1e-9)
    p = gas.warming_pressure(cold, 288.15, first, 318.15, 1e-15, LIMITS)
    then = first + 101325.0 - 0.755 * 1706.0
    assert p == pytest.approx(then * 318.15 / 288.15 + 0.755 * 9590.0 - 101325.0, rel=5e-3)


def test_a_log_that_never_moves_has_no_change() -> None:
    found = hinge.find([60.0 * k for k in range(14)], [300.0] * 14, LIMITS)
    assert found is not None
    assert (found.before, found.after) == (0.0, 0.0)
    assert found.p_value == 1.0
    assert not found.accepted(LIMITS)
