"""The fit on the NIST Statistical Reference Datasets: values and standard errors.

Source: NIST/ITL Statistical Reference Datasets, Nonlinear Regression (StRD),
https://www.itl.nist.gov/div898/strd/nls/nls_main.shtml; data, starting values and certified
values are in nist/. Rat43, MGH10 and Eckerle4 are recalled; their data give the certified sums of
squares to six digits and more, which a slip in either would not. Derivatives come from a complex
step, so that they are independent of the hand-written ones and of the differences in the core.
"""

from __future__ import annotations

import cmath
import csv
import math
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from weeptrace.hold.curve_fit import fit_curve
from weeptrace.hold.least_squares import inverse, minimise

HERE = Path(__file__).parent / "nist"
DIGITS = 6.0


def thurber(b: Sequence[complex], x: float) -> complex:
    top = b[0] + b[1] * x + b[2] * x**2 + b[3] * x**3
    return top / (1 + b[4] * x + b[5] * x**2 + b[6] * x**3)


def lanczos3(b: Sequence[complex], x: float) -> complex:
    return sum((b[i] * cmath.exp(-b[i + 1] * x) for i in (0, 2, 4)), 0j)


def rise(b: Sequence[complex], x: float) -> complex:
    return b[0] * (1 - cmath.exp(-b[1] * x))


MODELS: dict[str, Callable[[Sequence[complex], float], complex]] = {
    "Misra1a": rise,
    "BoxBOD": rise,
    "Misra1c": lambda b, x: b[0] * (1 - (1 + 2 * b[1] * x) ** -0.5),
    "Chwirut2": lambda b, x: cmath.exp(-b[0] * x) / (b[1] + b[2] * x),
    "MGH09": lambda b, x: b[0] * (x**2 + x * b[1]) / (x**2 + x * b[2] + b[3]),
    "Lanczos3": lanczos3,
    "Rat43": lambda b, x: b[0] / (1 + cmath.exp(b[1] - b[2] * x)) ** (1 / b[3]),
    "MGH10": lambda b, x: b[0] * cmath.exp(b[1] / (x + b[2])),
    "Eckerle4": lambda b, x: b[0] / b[1] * cmath.exp(-0.5 * ((x - b[2]) / b[1]) ** 2),
    "Thurber": thurber,
}


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


CERTIFIED = rows(HERE / "certified.csv")


def digits(found: float, certified: float) -> float:
    """Number of correct digits (log relative error)."""
    return -math.log10(max(abs(found - certified) / abs(certified), 1e-15))


def test_every_set_has_a_model_and_every_model_a_set() -> None:
    assert {row["dataset"] for row in CERTIFIED} == set(MODELS)


def data(name: str) -> tuple[list[tuple[float, float]], list[dict[str, str]]]:
    """Points and certified rows of a set."""
    points = [(float(row["x"]), float(row["y"])) for row in rows(HERE / f"{name}_data.csv")]
    return points, [row for row in CERTIFIED if row["dataset"] == name]


@pytest.mark.parametrize("start", ["start1", "start2"])
@pytest.mark.parametrize("name", sorted(MODELS))
def test_the_public_fit_of_any_curve(name: str, start: str) -> None:
    points, wanted = data(name)
    found = fit_curve(
        lambda b, x: MODELS[name](b, x).real,
        [float(row[start]) for row in wanted],
        [x for x, _ in points],
        [y for _, y in points],
    )
    assert found.converged
    assert digits(found.sum_of_squares, float(wanted[0]["rss"])) >= DIGITS
    assert digits(found.residual_sd, float(wanted[0]["residual_sd"])) >= DIGITS
    for value, error, row in zip(found.values, found.errors, wanted, strict=True):
        assert digits(value, float(row["certified"])) >= DIGITS, row["parameter"]
        assert digits(error, float(row["certified_sd"])) >= DIGITS, row["parameter"]


@pytest.mark.parametrize("start", ["start1", "start2"])
@pytest.mark.parametrize("name", sorted(MODELS))
def test_values_and_standard_errors(name: str, start: str) -> None:
    points, wanted = data(name)

    def model(b: list[float]) -> tuple[list[float], list[list[float]]]:
        residuals = [MODELS[name](b, x).real - y for x, y in points]
        columns = []
        for j in range(len(b)):
            moved: list[complex] = [complex(value) for value in b]
            moved[j] += 1e-30j
            columns.append([MODELS[name](moved, x).imag / 1e-30 for x, _ in points])
        return residuals, columns

    fit = minimise(
        model,
        [float(row[start]) for row in wanted],
        damping=1e3,
        tolerance=1e-9,
        max_steps=20000,
        curved=True,
    )
    assert fit.converged
    freedom = len(points) - len(wanted)
    assert freedom == int(wanted[0]["dof"])
    assert digits(fit.cost, float(wanted[0]["rss"])) >= DIGITS
    variance = fit.cost / freedom
    for j, (row, line) in enumerate(zip(wanted, inverse(fit.normal), strict=True)):
        assert digits(fit.values[j], float(row["certified"])) >= DIGITS, row["parameter"]
        error = math.sqrt(variance * line[j])
        assert digits(error, float(row["certified_sd"])) >= DIGITS, row["parameter"]
