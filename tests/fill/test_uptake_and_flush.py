"""Uptake of a vacuum fill and the old share of a flush."""

from __future__ import annotations

import pytest

from weeptrace.fill.flush import flush
from weeptrace.fill.uptake import Uptake, uptake
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
