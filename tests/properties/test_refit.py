"""No coefficient without a past: the fit to the published rows is repeated and compared."""

from __future__ import annotations

import pytest

from tests.properties import refit
from weeptrace.properties import boiling, density, freeze, heat, refraction, viscosity, water
from weeptrace.properties.fraction import Glycol
from weeptrace.properties.mixing import Terms

GLYCOLS: list[Glycol] = ["ethylene", "propylene"]


def _flat(terms: Terms) -> list[float]:
    return [*terms.pure, *terms.mixing.values()]


@pytest.mark.parametrize("glycol", GLYCOLS)
def test_coefficients_are_the_fit(glycol: Glycol) -> None:
    pairs = [
        (list(density._PURE[glycol].mixing), refit.DENSITY_POWERS),
        (list(density._INHIBITED[glycol].mixing), refit.INHIBITED_POWERS),
        (list(viscosity._PURE[glycol].mixing), refit.VISCOSITY_POWERS),
        (list(viscosity._INHIBITED[glycol].mixing), refit.INHIBITED_VISCOSITY_POWERS),
        (list(heat._PURE[glycol].mixing), refit.HEAT_POWERS),
        (list(heat._INHIBITED[glycol].mixing), refit.HEAT_POWERS),
    ]
    for in_core, in_fit in pairs:
        assert in_core == in_fit
    fits = [
        (_flat(density._PURE[glycol]), refit.density(glycol)),
        (_flat(density._INHIBITED[glycol]), refit.density_inhibited(glycol)),
        (_flat(viscosity._PURE[glycol]), refit.viscosity(glycol)),
        (_flat(viscosity._INHIBITED[glycol]), refit.viscosity_inhibited(glycol)),
        (_flat(heat._PURE[glycol]), refit.specific_heat(glycol)),
        (_flat(heat._INHIBITED[glycol]), refit.specific_heat_inhibited(glycol)),
        (list(freeze._PURE[glycol]), refit.freezing(glycol)),
        (list(freeze._INHIBITED[glycol]), refit.freezing_inhibited(glycol)),
        (list(refraction._ABOVE_WATER[glycol]), refit.refractive_index(glycol)),
    ]
    for in_core, found in fits:
        assert in_core == pytest.approx(found, rel=1e-6, abs=1e-9)


def test_antoine_is_the_producers() -> None:
    assert list(boiling._ANTOINE["ethylene"]) == pytest.approx(
        refit.antoine_of_ethylene_glycol(), rel=1e-6
    )


def test_water_and_sucrose_are_the_fit() -> None:
    assert list(water._HEAT) == pytest.approx(refit.specific_heat_of_water(), rel=1e-6)
    assert list(refraction._SUCROSE) == pytest.approx(refit.brix(), rel=1e-6)
