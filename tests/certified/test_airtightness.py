"""A published power-law fit ``V = K dp^n``: values and standard errors.

Source: C. Ghiaus, course book on building science, airtightness of a room by the method of
ISO 9972: six pairs of pressure difference and air flow, fitted as a line in logarithms.
"""

from __future__ import annotations

import math

import pytest

from weeptrace.hold.curve_fit import fit_curve
from weeptrace.hold.least_squares import inverse, minimise

# Pa, m3/h
POINTS = [(10, 237), (20, 364), (30, 444), (40, 625), (50, 688), (60, 704)]


def test_published_exponent_and_coefficient() -> None:
    x = [math.log(pressure) for pressure, _ in POINTS]
    y = [math.log(flow) for _, flow in POINTS]

    def line(values: list[float]) -> tuple[list[float], list[list[float]]]:
        residuals = [values[0] + values[1] * a - b for a, b in zip(x, y, strict=True)]
        return residuals, [[1.0] * len(x), x]

    fit = minimise(line, [0.0, 0.0])
    variance = fit.cost / (len(x) - 2)
    errors = [math.sqrt(variance * row[j]) for j, row in enumerate(inverse(fit.normal))]
    coefficient, exponent = math.exp(fit.values[0]), fit.values[1]
    assert exponent == pytest.approx(0.6434, abs=0.5e-4)
    assert errors[1] == pytest.approx(0.0442, abs=0.5e-4)
    assert coefficient == pytest.approx(53.3956, abs=0.5e-4)
    assert coefficient * errors[0] == pytest.approx(8.1475, abs=0.5e-4)
    assert coefficient * 10**exponent == pytest.approx(234.9, abs=0.05)


def test_the_curve_itself_fitted() -> None:
    # Same points, V = K dp^n by non-linear least squares. Not published: recomputed by a second
    # program, as a check of the curve's own errors.
    x, y = zip(*POINTS, strict=True)
    found = fit_curve(lambda b, p: b[0] * p ** b[1], [50.0, 0.6], x, y)
    assert found.values == pytest.approx((55.939666, 0.631168), rel=1e-6)
    assert found.errors == pytest.approx((14.770872, 0.070263), rel=1e-5)
