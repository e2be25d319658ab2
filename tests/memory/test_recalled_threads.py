"""Coarse pitches as recalled: ISO 261 (from memory). A printed table's rows stand elsewhere."""

from __future__ import annotations

import pytest

from weeptrace.properties.thread import COARSE, coarse_pitch

# Nominal diameter and pitch, mm.
RECALLED = {
    3: 0.5, 4: 0.7, 5: 0.8, 6: 1.0, 7: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0,
    18: 2.5, 20: 2.5,
}  # fmt: skip


@pytest.mark.parametrize(("size", "pitch"), list(RECALLED.items()))
def test_a_coarse_pitch_as_recalled(size: int, pitch: float) -> None:
    assert coarse_pitch(1e-3 * size) == pytest.approx(1e-3 * pitch)
    assert set(COARSE) == set(RECALLED)
