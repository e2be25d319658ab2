"""Glycol share of a coolant: by mass, by volume, by mole.

Basis of the volume share: volume of glycol over the sum of the unmixed volumes of glycol and water,
both at 20 °C. (A share of the mixed volume reads about 0.5 points higher near 50 %, since the two
shrink on mixing.)
"""

from __future__ import annotations

from typing import Final, Literal

from weeptrace.refusal import Refusal

Glycol = Literal["ethylene", "propylene"]

# Density at 20 °C in kg/m3: CRC Handbook of Chemistry and Physics, 102nd ed.; water IAPWS-95.
GLYCOL_20: Final[dict[Glycol, float]] = {"ethylene": 1113.2, "propylene": 1036.1}
WATER_20: Final = 998.2
# Molar mass in kg/mol: IUPAC standard atomic weights.
MOLAR: Final[dict[Glycol, float]] = {"ethylene": 62.068e-3, "propylene": 76.095e-3}
MOLAR_WATER: Final = 18.015e-3


def mass_from_volume(glycol: Glycol, volume_fraction: float) -> float:
    """Mass share of glycol from its share of the unmixed volumes at 20 °C.

    ``w = v rho_g / (v rho_g + (1 - v) rho_w)``: v ``volume_fraction``, rho in kg/m3 by ``glycol``.

    Valid 0 to 1; ``Refusal`` (``out_of_range``) beyond. Source: definition; densities as above.

    >>> round(mass_from_volume("ethylene", 0.5), 4)
    0.5272
    """
    v = share(volume_fraction, "volume_fraction")
    glycol_mass = v * GLYCOL_20[glycol]
    return glycol_mass / (glycol_mass + (1.0 - v) * WATER_20)


def volume_from_mass(glycol: Glycol, mass_fraction: float) -> float:
    """Share of glycol in the unmixed volumes at 20 °C from its mass share.

    ``v = (w / rho_g) / (w / rho_g + (1 - w) / rho_w)``: w ``mass_fraction``, rho in kg/m3 by
    ``glycol``.

    Valid 0 to 1; ``Refusal`` (``out_of_range``) beyond. Source: definition; densities as above.

    >>> round(volume_from_mass("ethylene", 0.5), 4)
    0.4728
    """
    w = share(mass_fraction, "mass_fraction")
    glycol_volume = w / GLYCOL_20[glycol]
    return glycol_volume / (glycol_volume + (1.0 - w) / WATER_20)


def mole_share_of_water(glycol: Glycol, mass_fraction: float) -> float:
    """Mole share of water: ``x = ((1 - w) / M_w) / ((1 - w) / M_w + w / M_g)``.

    w ``mass_fraction``; M molar masses in kg/mol, M_g by ``glycol``.

    Valid 0 to 1; ``Refusal`` (``out_of_range``) beyond. Source: definition; IUPAC atomic weights.

    >>> round(mole_share_of_water("ethylene", mass_from_volume("ethylene", 0.5)), 4)
    0.7555
    """
    w = share(mass_fraction, "mass_fraction")
    water = (1.0 - w) / MOLAR_WATER
    return water / (water + w / MOLAR[glycol])


def share(value: float, path: str) -> float:
    """The value itself, or ``Refusal`` (``out_of_range``) outside 0..1."""
    if not 0.0 <= value <= 1.0:
        raise Refusal(
            "out_of_range",
            "refused.fraction.out_of_range",
            path,
            "accepted.fraction",
            {"path": path.replace("_", " "), "value": value},
        )
    return value
