"""Stored volume and its golden figures; how sure it is, see ``test_hold_intervals``."""

from __future__ import annotations

import pytest

from tests.hold.holds import ML, ML_PER_KPA
from weeptrace.hold.data import Compliance, Headspace, Stored, Strokes
from weeptrace.hold.pump import gas_from_strokes
from weeptrace.hold.stored import stored_volume
from weeptrace.rules import limits

SEA = 101325.0


def test_golden_figures_of_27_strokes() -> None:
    # Computed from N Vs Pa = p Vg0 + (p + Pa) Ch p: 27 strokes of 40 mL to 100 kPa, Ch 0.4 mL/kPa.
    gas = gas_from_strokes(Strokes(27, 40 * ML), 100e3, 0.4 * ML_PER_KPA, SEA)
    assert gas / ML == pytest.approx(1054, abs=0.5)
    assert (gas - 0.4 * ML_PER_KPA * 100e3) / ML == pytest.approx(1014, abs=0.5)
    known = dict(limits()) | {"hold.hose_compliance": 0.4 * ML_PER_KPA}
    found = stored_volume(Strokes(27, 40 * ML), 100e3, 100e3, SEA, 0.0, known)
    assert found.compliance / ML_PER_KPA == pytest.approx(5.63, abs=0.01)


@pytest.mark.parametrize(
    "given", [Strokes(27, 40 * ML), Headspace(1014 * ML), Compliance(5.63 * ML_PER_KPA)]
)
def test_three_ways_to_the_same_volume(given: Stored) -> None:
    known = dict(limits()) | {"hold.hose_compliance": 0.4 * ML_PER_KPA}
    found = stored_volume(given, 100e3, 100e3, SEA, 0.0, known)
    assert found.compliance / ML_PER_KPA == pytest.approx(5.63, abs=0.02)
    assert found.gas / 201325.0 / ML == pytest.approx(1054, abs=3)


def test_unknown_stays_unknown() -> None:
    assert stored_volume(None, 100e3, 100e3, SEA, 0.0, limits()).uncertainty is None


def test_fewer_strokes_than_the_hoses_take_leaves_no_gas() -> None:
    found = stored_volume(Strokes(1, 40 * ML), 100e3, 100e3, SEA, 0.0, limits())
    assert found.gas == 0.0
    assert found.compliance == limits()["hold.hose_compliance"]
