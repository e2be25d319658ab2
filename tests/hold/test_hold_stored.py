"""Stored volume, its golden figures, and its uncertainty."""

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
    assert found.uncertainty is not None
    assert 0.05 < found.uncertainty / found.compliance < 0.15


def test_uncertainty_is_that_of_changed_inputs() -> None:
    known = dict(limits())
    given = Strokes(5.4, 40 * ML)
    base = stored_volume(given, 110e3, 100e3, 99e3, 1e3, known)
    more = dict(known)
    more["hold.hose_compliance"] += 0.001 * ML_PER_KPA
    by_hoses = (
        stored_volume(given, 110e3, 100e3, 99e3, 1e3, more).compliance - base.compliance
    ) / (0.001 * ML_PER_KPA)
    bigger = Strokes(5.4, 40 * ML * 1.001)
    by_strokes = (
        stored_volume(bigger, 110e3, 100e3, 99e3, 1e3, known).compliance - base.compliance
    ) / 0.001
    counted = (known["hold.stroke_uncertainty"] ** 2 + (0.29 / 5.4) ** 2) ** 0.5
    hoses_sd = known["hold.hose_compliance_uncertainty"]
    expected = ((by_hoses * hoses_sd) ** 2 + (by_strokes * counted) ** 2) ** 0.5
    assert base.uncertainty == pytest.approx(expected, rel=1e-3)


def test_unknown_stays_unknown() -> None:
    assert stored_volume(None, 100e3, 100e3, SEA, 0.0, limits()).uncertainty is None


def test_fewer_strokes_than_the_hoses_take_leaves_no_gas() -> None:
    found = stored_volume(Strokes(1, 40 * ML), 100e3, 100e3, SEA, 0.0, limits())
    assert found.gas == 0.0
    assert found.compliance == limits()["hold.hose_compliance"]
