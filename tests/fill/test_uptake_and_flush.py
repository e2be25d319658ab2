"""Uptake of a vacuum fill and the old share of a flush."""

from __future__ import annotations

import pytest

from weeptrace.fill.flush import Rinses, cans, flush, rinses
from weeptrace.fill.mix import AtHand, at_hand
from weeptrace.fill.uptake import Uptake, uptake
from weeptrace.properties import air
from weeptrace.refusal import Refusal
from weeptrace.rules import limits


def _uptake(**change: float | None) -> Uptake:
    given: dict[str, float | None] = {
        "volume": 5.6e-3,
        "residual_pressure": 8e3,
        "altitude": 1900.0,
        "temperature": 288.15,
        "strength": 0.5,
    }
    return uptake(**{**given, **change}, limits=limits())  # type: ignore[arg-type]


def test_uptake_at_altitude() -> None:
    """5.6 L at 1900 m, 8 kPa left, 15 °C: 5.13 L in, 0.47 L air (by hand); container 6.9 L."""
    found = _uptake()
    assert found.uptake == pytest.approx(5.13e-3, abs=6e-6)
    assert found.air_left == pytest.approx(0.47e-3, abs=6e-6)
    assert found.container == pytest.approx(6.9e-3, abs=6e-6)
    assert found.uptake + found.air_left == pytest.approx(5.6e-3)


def test_the_same_share_of_the_atmosphere_gives_the_same_uptake_at_sea_level() -> None:
    same_share = 8e3 / 80487.0 * 101325.0
    found = _uptake(altitude=0.0, residual_pressure=same_share)
    assert found.uptake == pytest.approx(_uptake().uptake, rel=0.01)


def test_lift_costs_residual_air() -> None:
    """0.105 kPa for each cm of lift at a density of 1073 kg/m3 (by hand)."""
    lifted = _uptake(lift=0.5)
    vapour = 1.29e3
    expected = 5.6e-3 * (1 - (8e3 - vapour) / (80487.0 - 50 * 105.0 - vapour))
    assert lifted.uptake == pytest.approx(expected, abs=5e-6)


def test_an_unknown_strength_widens_the_answer() -> None:
    found = _uptake(strength=None)
    assert found.low < found.uptake < found.high
    assert found.low <= _uptake(strength=0.6).uptake <= found.high


def test_hoses_pulled_flat_take_a_little_more() -> None:
    """Counted in moles: 0.9 Ve is evacuated, and all of Ve is filled up to the dry air's room."""
    found = _uptake()
    outside, vapour = 80487.15, 1289.76  # Pa at 1900 m (ISO 2533); 15.1 kPa curve at 15 °C, 50 %
    moles = (8e3 - vapour) * 0.9 * 5.6e-3 / (8.314 * 288.15)
    stays = moles * 8.314 * 288.15 / (outside - vapour)
    assert found.high == pytest.approx(5.6e-3 - stays, rel=1e-5)
    assert found.low == found.uptake
    assert found.vacuum_volume == pytest.approx((0.90 * 5.6e-3, 0.97 * 5.6e-3))


@pytest.mark.parametrize(
    ("vacuum", "judgement"),
    [(5.01, "flow_stopped"), (5.0, "as_expected"), (4.99, "as_expected")],
)
def test_vacuum_left_after_the_flow_stopped(vacuum: float, judgement: str) -> None:
    """Limit fill.vacuum_left, 5 kPa below the atmosphere of 1900 m."""
    after = air.pressure(1900.0) - vacuum * 1e3
    found = _uptake(measured=_uptake().uptake, pressure_after=after)
    assert found.judgement == judgement
    assert (found.still_to_come is not None) == (judgement == "flow_stopped")


def test_air_left_asks_for_the_needle_only_where_nobody_read_it() -> None:
    half = 0.5 * _uptake().uptake
    assert _uptake(measured=half).look_at == ("needle", "heater_valve", "rear_heater")
    read = _uptake(measured=half, pressure_after=80e3)
    assert (read.judgement, read.look_at) == ("air_left", ("heater_valve", "rear_heater"))


@pytest.mark.parametrize(("lift", "refused"), [(-2.01, True), (-2.0, False), (-1.99, False)])
def test_lowest_lift(lift: float, refused: bool) -> None:
    if not refused:
        assert _uptake(lift=lift).uptake > _uptake().uptake
        return
    with pytest.raises(Refusal) as found:
        _uptake(lift=lift)
    assert found.value.path == "lift"


@pytest.mark.parametrize(("share", "refused"), [(1.499, False), (1.5, False), (1.501, True)])
def test_more_in_than_there_is_room(share: float, refused: bool) -> None:
    """Limit fill.uptake_possible, 1.5."""
    if not refused:
        assert _uptake(measured=share * 5.6e-3).judgement == "volume_differs"
        return
    with pytest.raises(Refusal, match="does not fit into"):
        _uptake(measured=share * 5.6e-3)


@pytest.mark.parametrize(
    ("share", "judgement"),
    [
        (0.9299, "air_left"),
        (0.93, "as_expected"),
        (0.9301, "as_expected"),
        (1.0499, "as_expected"),
        (1.05, "as_expected"),
        (1.0501, "volume_differs"),
    ],
)
def test_judgement(share: float, judgement: str) -> None:
    """Limits fill.uptake_low 0.93 and fill.uptake_high 1.05, common practice."""
    assert _uptake(measured=share * _uptake().uptake).judgement == judgement


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"residual_pressure": 1.0e3}, "residual_pressure"),  # below the vapour pressure: boils
        ({"residual_pressure": 90e3}, "residual_pressure"),  # no vacuum at 1900 m
        ({"lift": 7.5}, "residual_pressure"),
        ({"volume": 0.0}, "volume"),
        ({"measured": -1.0}, "measured"),
        ({"altitude": 9000.0}, "altitude"),
        ({"residual_pressure": -13e3}, "residual_pressure"),  # deeper than the place allows
        ({"pressure_after": 7e3}, "pressure_after"),
        ({"pressure_after": 90e3}, "pressure_after"),
    ],
)
def test_refused(change: dict[str, float], path: str) -> None:
    with pytest.raises(Refusal) as refused:
        _uptake(**change)
    assert refused.value.path == path
    assert refused.value.accepted


def test_flush_shares() -> None:
    """f = 0.54: 46, 21, 10 % after one, two, three drains (by hand)."""
    found = flush(capacity=1.0, drained=0.54, limit=0.10)
    assert found.cycles == 3
    assert list(found.shares) == pytest.approx([0.46, 0.2116, 0.0973], abs=1e-4)


def test_flush_stops_exactly_at_the_limit() -> None:
    assert flush(capacity=1.0, drained=0.5, limit=0.25).cycles == 2
    assert flush(capacity=1.0, drained=0.5, limit=0.2499).cycles == 3
    assert flush(capacity=1.0, drained=0.5, limit=0.2501).cycles == 2
    assert flush(capacity=1.0, drained=1.0, limit=0.1).shares == (0.0,)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"drained": 0.0}, "drained"),
        ({"drained": 1.1}, "drained"),
        ({"drained": 0.01}, "drained"),
        ({"limit": 0.0}, "limit"),
        ({"limit": 1.0}, "limit"),
    ],
)
def test_flush_refused(change: dict[str, float], path: str) -> None:
    with pytest.raises(Refusal) as refused:
        flush(**{"capacity": 1.0, "drained": 0.5, "limit": 0.1, **change})
    assert refused.value.path == path


def _rinses(**change: object) -> Rinses:
    given: dict[str, object] = {
        "capacity": 24e-3,
        "drained": 13e-3,
        "limit": 0.10,
        "strength": 0.72,
        "target": 0.50,
        "glycol": "ethylene",
        "at_hand": [at_hand("concentrate", volume=12e-3), at_hand("water", volume=60e-3)],
    }
    return rinses(**{**given, **change}, limits=limits())  # type: ignore[arg-type]


def test_rinses_by_keeping_count_of_the_glycol() -> None:
    """A second way: litres of glycol in the car, drain by drain, and what is poured in the end."""
    glycol, out = 0.72 * 24.0, 0.0
    for _ in range(2):  # drain, then water
        out += glycol * 13.0 / 24.0
        glycol -= glycol * 13.0 / 24.0
    found = _rinses()
    assert found.residual_strength == pytest.approx(glycol / 24.0)
    glycol -= glycol * 13.0 / 24.0  # the last drain
    assert found.final is not None
    poured = sum(a.volume * a.fluid.strength for a in found.final.amounts) * 1e3
    assert (glycol + poured) / 24.0 == pytest.approx(0.50)
    assert poured == pytest.approx(10.3, abs=0.05)
    assert found.flush.waste == pytest.approx(39e-3)
    assert found.water == pytest.approx(26e-3 + 2.66e-3, abs=1e-5)
    assert found.water_short == 0.0


def test_rinses_take_the_water_before_the_final_fill_does() -> None:
    concentrate = at_hand("concentrate")
    short = _rinses(at_hand=[concentrate, AtHand("water", 0.0, 20e-3)])
    assert short.water_short == pytest.approx(6e-3)
    assert short.final is None
    just = _rinses(at_hand=[concentrate, AtHand("water", 0.0, 26e-3)])
    assert (just.water_short, just.water) == (0.0, pytest.approx(26e-3))
    assert just.final is not None
    assert not just.final.reachable  # none is left to thin the concentrate
    ample = _rinses(at_hand=[concentrate, at_hand("water")])
    assert ample.final is not None
    assert ample.final.reachable


def test_water_in_many_cans_is_as_much_as_in_one() -> None:
    """26 L in 26 cans, or in 260 bottles: what rounding leaves is no water that is short."""
    for count in (26, 260):
        cans_of_water = [AtHand("water", 0.0, 26e-3 / count) for _ in range(count)]
        found = _rinses(at_hand=[at_hand("concentrate"), *cans_of_water])
        assert found.water_short == 0.0
        assert found.final is not None


def test_one_drain_needs_no_rinse() -> None:
    found = _rinses(drained=23e-3)
    assert (found.strengths, found.rinse_water) == ((), 0.0)
    assert found.residual_strength == 0.72


def test_a_strength_that_is_none() -> None:
    with pytest.raises(Refusal) as refused:
        _rinses(strength=1.2)
    assert refused.value.path == "strength"


@pytest.mark.parametrize(
    ("waste", "count", "short"), [(29.9, 1, 0.0), (30.0, 1, 0.0), (30.1, 2, 0.1), (39.0, 2, 9.0)]
)
def test_cans_for_the_waste(waste: float, count: int, short: float) -> None:
    found = cans(waste * 1e-3, 30e-3)
    assert found == (count, pytest.approx(short * 1e-3, abs=1e-12))


def test_a_can_that_holds_nothing() -> None:
    with pytest.raises(Refusal):
        cans(1e-3, 0.0)
