"""Specific heat of coolant: pure glycol and water, and inhibited coolant. SI: J/(kg K), K."""

from __future__ import annotations

from typing import Final

from weeptrace.properties import water
from weeptrace.properties.fraction import Glycol, share
from weeptrace.properties.mixing import Reach, Terms, blend, refuse_outside
from weeptrace.told import Sentence

REACH: Final = Reach(coldest=243.15)

# kJ/(kg K), least squares on the published tables (tests/properties/refit.py).
_PURE: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(2.57470074, 0.15518544),
        mixing={
            (0, 0): -0.168350763,
            (0, 1): 0.810252513,
            (0, 2): -0.237785943,
            (1, 0): 0.942957969,
            (1, 1): -0.60088298,
            (1, 2): 0.0871328031,
            (2, 0): -0.437635372,
            (2, 1): 0.24675673,
        },
    ),
    "propylene": Terms(
        pure=(3.23350914, 0.0200969005),
        mixing={
            (0, 0): -0.642974061,
            (0, 1): 0.835342554,
            (0, 2): -0.112585455,
            (1, 0): 1.78083416,
            (1, 1): -0.538987837,
            (1, 2): -0.1318536,
            (2, 0): -1.34178534,
            (2, 1): 0.783505941,
        },
    ),
}
_INHIBITED: Final[dict[Glycol, Terms]] = {
    "ethylene": Terms(
        pure=(2.83687819, -0.146343609),
        mixing={
            (0, 0): -0.665836477,
            (0, 1): 1.14785372,
            (0, 2): -0.106665052,
            (1, 0): 1.20790632,
            (1, 1): -0.763138675,
            (1, 2): -0.125951397,
            (2, 0): -1.33328302,
            (2, 1): 1.03786492,
        },
    ),
    "propylene": Terms(
        pure=(2.86185298, -0.268427486),
        mixing={
            (0, 0): 0.113191249,
            (0, 1): 1.41829517,
            (0, 2): -0.1065101,
            (1, 0): 1.05445708,
            (1, 1): -1.05030396,
            (1, 2): -0.13356714,
            (2, 0): -0.928132539,
            (2, 1): 1.14696039,
        },
    ),
}


def specific_heat(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Specific heat in J/(kg K) of pure glycol and water at a temperature in K.

    ``c = (1 - w) c_water(T) + w c_g(T) + w (1 - w) sum m_ij (1 - 2w)^i s^j``: w ``mass_fraction``,
    coefficients by ``glycol``; see ``mixing``.

    Valid from the freezing point (-30 °C at the lowest) to 100 °C up to w = 0.63, within 1 %;
    ``Refusal`` (``out_of_range``) beyond.
    Source: Melinder, IIR 2010, as CoolProp evaluates it.

    >>> round(1e-3 * specific_heat("ethylene", 0.50, 293.15), 1)
    3.3
    """
    return _heat(_PURE[glycol], glycol, mass_fraction, temperature)


def specific_heat_inhibited(glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    """Specific heat in J/(kg K) of inhibited coolant at a temperature in K.

    The form of ``specific_heat``, w ``mass_fraction``, with coefficients of its own by ``glycol``.

    Valid as ``specific_heat``; ``Refusal`` (``out_of_range``) beyond.
    Source: ASHRAE Handbook, Fundamentals 2001, inhibited glycol solutions, as CoolProp carries it.

    50 % by volume at 20 °C:

    >>> round(1e-3 * specific_heat_inhibited("ethylene", 0.523, 293.15), 2)
    3.28
    """
    return _heat(_INHIBITED[glycol], glycol, mass_fraction, temperature)


def _heat(terms: Terms, glycol: Glycol, mass_fraction: float, temperature: float) -> float:
    w = share(mass_fraction, "mass_fraction")
    refuse_outside(REACH, Sentence("reason.named.specific_heat"), glycol, w, temperature)
    return 1e3 * blend(1e-3 * water.specific_heat(temperature), terms, w, temperature)
