"""Metric threads against the printed sizes of ISO 724 and ISO 965."""

from __future__ import annotations

from typing import Any

import pytest

from weeptrace import door
from weeptrace.properties.thread import COARSE, SIZES, coarse_pitch, thread
from weeptrace.refusal import Refusal

# Nominal, pitch, d2, d3, D1 in mm: ISO 724 and ISO 68-1, as a tap maker's table prints them; M6
# and M10 follow from the formulas of ISO 724.
PRINTED = [
    (3, 0.5, 2.675, 2.387, 2.459),
    (5, 0.8, 4.480, 4.019, 4.134),
    (6, 1.0, 5.350, 4.773, 4.917),
    (7, 1.0, 6.350, 5.773, 5.917),
    (8, 1.25, 7.188, 6.466, 6.647),
    (10, 1.5, 9.026, 8.160, 8.376),
    (12, 1.75, 10.863, 9.853, 10.106),
]


def test_m6_has_a_pitch_of_one_millimetre() -> None:
    # Common practice; ISO 261.
    assert coarse_pitch(6e-3) == 1e-3


@pytest.mark.parametrize(("size", "pitch", "d2", "d3", "bore"), PRINTED)
def test_coarse_threads_as_printed(
    size: float, pitch: float, d2: float, d3: float, bore: float
) -> None:
    found = thread(1e-3 * size)
    assert found.pitch == pytest.approx(1e-3 * pitch)
    assert found.flank == pytest.approx(1e-3 * d2, abs=1e-6)
    assert found.screw_core == pytest.approx(1e-3 * d3, abs=1e-6)
    assert found.nut_bore == pytest.approx(1e-3 * bore, abs=1e-6)
    assert found.tap_drill == pytest.approx(1e-3 * (size - pitch))


@pytest.mark.parametrize(
    ("size", "pitch", "d2", "bore"), [(8, 1.0, 7.350, 6.917), (10, 1.25, 9.188, 8.647)]
)
def test_fine_threads_as_printed(size: float, pitch: float, d2: float, bore: float) -> None:
    # ISO 724, as a tap maker's table prints them.
    found = thread(1e-3 * size, 1e-3 * pitch)
    assert found.flank == pytest.approx(1e-3 * d2, abs=1e-6)
    assert found.nut_bore == pytest.approx(1e-3 * bore, abs=1e-6)


@pytest.mark.parametrize(("size", "low", "high"), [(5, 4.134, 4.334), (6, 4.917, 5.153)])
def test_the_drill_leaves_a_bore_that_a_nut_may_have(size: float, low: float, high: float) -> None:
    # ISO 965-2, class 6H (from memory).
    assert 1e-3 * low <= thread(1e-3 * size).tap_drill <= 1e-3 * high


def test_a_larger_thread_is_never_finer() -> None:
    assert list(COARSE) == sorted(COARSE)
    assert list(COARSE.values()) == sorted(COARSE.values())


@pytest.mark.parametrize("millimetres", [2.0, 5.7, 6.1, 9.0, 24.0])
def test_another_size_is_refused_with_the_list(millimetres: float) -> None:
    with pytest.raises(Refusal) as caught:
        thread(1e-3 * millimetres)
    assert caught.value.accepted == SIZES
    assert "M6" in SIZES


def _thread(**given: float) -> dict[str, Any]:
    return door.call(
        "properties.thread", {key: {"value": v, "unit": "mm"} for key, v in given.items()}
    )


def test_by_the_door() -> None:
    out = _thread(diameter=8)
    assert out["pitch"] == {"value": pytest.approx(1.25), "unit": "mm"}
    assert out["tap_drill"]["value"] == pytest.approx(6.75)
    assert out["nut_bore"]["value"] == pytest.approx(6.647, abs=1e-3)
    assert _thread(diameter=8, pitch=1)["tap_drill"]["value"] == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("given", "path"),
    [
        ({"diameter": 6.2}, "diameter"),
        ({"diameter": 0}, "diameter"),
        ({"diameter": 6, "pitch": 1.25}, "pitch"),
        ({"diameter": 6, "pitch": 0.1}, "pitch"),
    ],
)
def test_refused_by_the_door(given: dict[str, float], path: str) -> None:
    error = _thread(**given)["error"]
    assert error["path"] == path
    assert error["accepted"]
