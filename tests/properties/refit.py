"""How the coefficients of the glycol room were found: weighted least squares on published rows.

Run it to print them. ``test_refit.py`` repeats the fit and compares it with what the core uses, so
that no coefficient is a number without a past. Each row weighs one over its stated tolerance.
Rows that a fit leaves out are named in the functions ``left_out_of_...`` with the reason.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from CoolProp.CoolProp import PropsSI

from weeptrace.properties import water
from weeptrace.properties.density import mass_from_volume_of_mixture
from weeptrace.properties.fraction import Glycol, mass_from_volume
from weeptrace.properties.freeze import freeze_point_inhibited

TESTS = Path(__file__).parents[1]
CODE: dict[Glycol, str] = {"ethylene": "EG", "propylene": "PG"}
INHIBITED = ("ASHRAE2001", "ASHRAE-IP")

# The shape of the mixture terms: powers (i, j) of (1 - 2w) and of (T - 298.15 K) / 50 K.
DENSITY_POWERS = [(i, j) for i in range(4) for j in range(4) if i + j <= 4]
INHIBITED_POWERS = [(i, j) for i in range(3) for j in range(3) if i + j <= 2]
VISCOSITY_POWERS = DENSITY_POWERS
INHIBITED_VISCOSITY_POWERS = [(i, j) for i in range(3) for j in range(4) if i + j <= 3]
HEAT_POWERS = [(i, j) for i in range(3) for j in range(3) if i + j <= 3]
VISCOSITY_PURE_TERMS: dict[Glycol, int] = {"ethylene": 5, "propylene": 4}

# Anchors of neat glycol where the published tables have none, from memory, wide on purpose:
# glycol -> (temperature in degrees Celsius, value, tolerance).
DENSITY_ANCHORS: dict[Glycol, list[tuple[float, float, float]]] = {
    "ethylene": [(20.0, 1113.3, 0.7), (60.0, 1085.0, 0.7), (100.0, 1056.0, 0.7)],
    "propylene": [],
}
VISCOSITY_ANCHORS: dict[Glycol, list[tuple[float, float, float]]] = {
    "ethylene": [(0.0, 57.0, 0.1), (20.0, 20.5, 0.05), (60.0, 5.1, 0.1), (100.0, 2.0, 0.1)],
    "propylene": [(0.0, 243.0, 0.2), (60.0, 8.3, 0.2), (100.0, 2.7, 0.2)],
}
INDEX_ANCHORS: dict[Glycol, list[tuple[float, float, float]]] = {
    "ethylene": [(30.0, 1.4292, 0.0005), (40.0, 1.4266, 0.0005)],
    "propylene": [],
}


def rows(
    name: str, glycol: Glycol | None = None, folder: str = "published"
) -> list[dict[str, str]]:
    """The rows of one table, of one glycol where it is given.

    ``published``: printed, or of an open library. ``derived``: worked out of a stated formula, or
    of a library's model, by other code than the core's. ``memory``: recalled and not seen again.
    """
    with (TESTS / folder / f"{name}.csv").open(encoding="utf-8") as file:
        every = list(csv.DictReader(file))
    return [r for r in every if glycol is None or r["glycol"] == CODE[glycol]]


# What is left of ASHRAE's pairs of mass and volume share above the 60 % of the freezing table.
PAIRS_ABOVE: dict[Glycol, list[tuple[float, float]]] = {
    "ethylene": [(70.0, 68.3), (75.0, 73.6), (85.0, 84.3), (95.0, 95.0), (100.0, 100.0)],
    "propylene": [(70.0, 70.0), (100.0, 100.0)],
}


@cache
def ashrae_pairs(glycol: Glycol) -> list[tuple[float, float]]:
    """(mass %, volume %) as ASHRAE 2001 prints them side by side.

    The volume share is that of the mixed volume: 50 % by mass of ethylene glycol is 47.6 % there
    and 47.3 % of the unmixed volumes.
    """
    printed = [r for r in rows("glycol_freezing", glycol) if r["source"] == "ASHRAE2001"]
    return [(float(r["mass_pct"]), float(r["vol_pct"])) for r in printed] + PAIRS_ABOVE[glycol]


def mass_fraction(row: dict[str, str], glycol: Glycol) -> float:
    """The row's glycol share by mass.

    A volume share is ASHRAE's own where the row is ASHRAE's; in Lange's table it is taken as that
    of the mixed volume (50 % freezes at -33.3 °C there; Melinder: 49.8 % by mass at -32.8 °C, which
    is that share, and 50.9 % by mass, of the unmixed volumes, at -34.4 °C); else of the unmixed
    volumes at 20 °C.
    """
    if row["mass_pct"]:
        return float(row["mass_pct"]) / 100.0
    percent = float(row["vol_pct"])
    if row["source"].startswith("ASHRAE"):
        return ashrae_mass(glycol, percent)
    if row["source"] == "LANGE15":
        return mass_from_volume_of_mixture(glycol, percent / 100.0)
    return mass_from_volume(glycol, percent / 100.0)


def ashrae_mass(glycol: Glycol, volume_percent: float) -> float:
    """Mass share of ASHRAE's volume share, between its own pairs."""
    mass, volume = zip(*ashrae_pairs(glycol), strict=True)
    return float(np.interp(volume_percent, volume, mass)) / 100.0


def tolerance(text: str, value: float) -> float:
    """A tolerance as an absolute number: "0.5", or "2%" of the value."""
    return float(text.rstrip("%")) / 100.0 * abs(value) if "%" in text else float(text)


def left_out_of_viscosity(row: dict[str, str]) -> bool:
    """Rows that are of inhibited coolant, or that contradict the others by more than tolerances.

    ASHRAE's are of inhibited coolant; from 40 °C up they stand in for pure glycol, which has few
    rows there, and the two differ by less than the 10 % of their tolerance. Of George 2003 the
    table holds 25 °C and above 65 % only: at 35 °C it falls 1.75-1.8 times in 10 K where every
    other source falls 1.4-1.65 times; at 25 °C and below 65 % it stands 10-15 % above Melinder.
    """
    return row["source"] == "ASHRAE2001" and float(row["T_C"]) < 40.0


def left_out_of_freezing(row: dict[str, str]) -> bool:
    """Rows that are not of pure glycol.

    Melinder's polynomial, as a library evaluates it, stands 0.9 K at 50 % and 1.6 K at 55 % above
    Melinder's own printed table for propylene glycol: the table holds it below 50 % only.
    """
    return row["source"].startswith("ASHRAE")


def solve(design: Any, values: Any, tolerances: Any, power: float = 2.0) -> list[float]:
    """Weighted linear least squares, weight one over tolerance.

    A ``power`` above 2 is that of the misses (in tolerances) whose sum is made least: 8 keeps the
    largest one small, for sources that differ by about what they claim. By reweighting.
    """
    weight = 1.0 / np.array(tolerances)
    a, y = np.array(design) * weight[:, None], np.array(values) * weight
    found = np.linalg.lstsq(a, y)[0]
    reached = 2.0
    for _ in range(400 if power > 2.0 else 0):
        reached = min(power, 1.1 * reached)
        miss = np.abs(a @ found - y)
        more = (miss / miss.max() + 1e-9) ** ((reached - 2.0) / 2.0)
        step = np.linalg.lstsq(a * more[:, None], y * more)[0] - found
        found = found + step / (reached - 1.0)
    return [float(c) for c in found]


def mixture_terms(w: float, t: float, pure: int, powers: list[tuple[int, int]]) -> list[float]:
    s = (t - 25.0) / 50.0
    return [w * s**j for j in range(pure)] + [
        w * (1.0 - w) * (1.0 - 2.0 * w) ** i * s**j for i, j in powers
    ]


def density(glycol: Glycol) -> list[float]:
    """Coefficients of the specific volume in L/kg of pure glycol and water."""
    points = [
        (mass_fraction(r, glycol), float(r["T_C"]), float(r["rho_kg_m3"]), float(r["tol_kg_m3"]))
        for r in rows("glycol_density", glycol)
        if r["source"] not in INHIBITED
    ]
    points += [(1.0, t, rho, tol) for t, rho, tol in DENSITY_ANCHORS[glycol]]
    points += [
        (w, t, melinder_density(glycol, w, t), 2.0)
        for w in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
        for t in (60.0, 80.0, 100.0)
    ]
    return _density(points, 3, DENSITY_POWERS, {"ethylene": 2.0, "propylene": 8.0}[glycol])


def density_inhibited(glycol: Glycol) -> list[float]:
    """The same of inhibited coolant, from the ASHRAE rows alone."""
    points = [
        (mass_fraction(r, glycol), float(r["T_C"]), float(r["rho_kg_m3"]), float(r["tol_kg_m3"]))
        for r in rows("glycol_density", glycol)
        if r["source"] in INHIBITED
    ]
    return _density(points, 3, INHIBITED_POWERS)


def melinder_density(glycol: Glycol, w: float, celsius: float) -> float:
    """Density in kg/m3 by Melinder's own polynomial, which runs to 100 °C (CoolProp's INCOMP)."""
    name = {"ethylene": "MEG", "propylene": "MPG"}[glycol]
    return float(PropsSI("D", "T", celsius + 273.15, "P", 1e6, f"INCOMP::{name}[{w}]"))


def _density(
    points: list[tuple[float, float, float, float]],
    pure: int,
    powers: list[tuple[int, int]],
    power: float = 2.0,
) -> list[float]:
    design = [mixture_terms(w, t, pure, powers) for w, t, _, _ in points]
    values = [
        1000.0 / rho - (1.0 - w) * 1000.0 / water.density(t + 273.15) for w, t, rho, _ in points
    ]
    return solve(design, values, [1000.0 * tol / rho**2 for _, _, rho, tol in points], power)


def viscosity(glycol: Glycol) -> list[float]:
    """Coefficients of ln(viscosity in mPa·s) of pure glycol and water."""
    points = _viscosity_rows(glycol, lambda row: not left_out_of_viscosity(row))
    points += [(1.0, t, mu, tol) for t, mu, tol in VISCOSITY_ANCHORS[glycol]]
    return _viscosity(points, VISCOSITY_PURE_TERMS[glycol], VISCOSITY_POWERS)


def viscosity_inhibited(glycol: Glycol) -> list[float]:
    """The same of inhibited coolant: ASHRAE's rows, and its table as CoolProp carries it."""
    points = _viscosity_rows(glycol, lambda row: row["source"] == "ASHRAE2001")
    points += [
        (w, t, 1e3 * ashrae("V", glycol, percent, t), 0.1)
        for w, percent, t in ashrae_grid(glycol, -30.0)
    ]
    return _viscosity(points, 3, INHIBITED_VISCOSITY_POWERS)


Viscosities = list[tuple[float, float, float, float]]  # w, °C, mPa·s, part


def _viscosity_rows(glycol: Glycol, keep: Callable[[dict[str, str]], bool]) -> Viscosities:
    return [
        (
            mass_fraction(r, glycol),
            float(r["T_C"]),
            float(r["mu_mPa_s"]),
            float(r["tol"][:-1]) / 100,
        )
        for r in rows("glycol_viscosity", glycol)
        if keep(r)
    ]


def _viscosity(points: Viscosities, pure: int, powers: list[tuple[int, int]]) -> list[float]:
    design = [mixture_terms(w, t, pure, powers) for w, t, _, _ in points]
    values = [
        np.log(mu) - (1.0 - w) * np.log(1000.0 * water.viscosity(t + 273.15))
        for w, t, mu, _ in points
    ]
    return solve(design, values, [tol for *_, tol in points])


def ashrae(what: str, glycol: Glycol, volume_percent: float, celsius: float) -> float:
    """One property, SI, of ASHRAE's inhibited coolant by its volume share (CoolProp's INCOMP)."""
    name = {"ethylene": "AEG", "propylene": "APG"}[glycol]
    state = ("T", celsius + 273.15, "P", 1e6, f"INCOMP::{name}[{volume_percent / 100.0}]")
    return float(PropsSI(what, *state))


def ashrae_grid(glycol: Glycol, coldest: float) -> list[tuple[float, float, float]]:
    """(mass share, volume %, °C) at which ASHRAE prints: every 10 % and 10 K, no ice."""
    return [
        (w, percent, t)
        for percent in (10.0, 20.0, 30.0, 40.0, 50.0, 60.0)
        for w in [ashrae_mass(glycol, percent)]
        for t in range(-30, 101, 10)
        if t >= coldest and t + 273.15 >= freeze_point_inhibited(glycol, min(w, 0.61)) + 1.0
    ]


def specific_heat(glycol: Glycol) -> list[float]:
    """Coefficients of the specific heat in kJ/(kg K) of pure glycol and water: Melinder's."""
    name = {"ethylene": "MEG", "propylene": "MPG"}[glycol]
    points = [
        (w, t, 1e-3 * float(PropsSI("C", "T", t + 273.15, "P", 1e6, f"INCOMP::{name}[{w}]")))
        for w in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
        for t in range(-30, 101, 10)
        if t + 273.15 >= PropsSI("T_freeze", "T", 300, "P", 1e5, f"INCOMP::{name}[{w}]") + 1.0
    ]
    return _heat(points)


def specific_heat_inhibited(glycol: Glycol) -> list[float]:
    """The same of inhibited coolant: ASHRAE's table as CoolProp carries it."""
    return _heat(
        [(w, t, 1e-3 * ashrae("C", glycol, pc, t)) for w, pc, t in ashrae_grid(glycol, -30.0)]
    )


def _heat(points: list[tuple[float, float, float]]) -> list[float]:
    design = [mixture_terms(w, t, 2, HEAT_POWERS) for w, t, _ in points]
    values = [c - (1.0 - w) * 1e-3 * water.specific_heat(t + 273.15) for w, t, c in points]
    return solve(design, values, [0.01] * len(points))


def specific_heat_of_water() -> list[float]:
    """Coefficients of (t/100 °C)^0, ^1, ... of water's specific heat in J/(kg K), IAPWS-95."""
    points = [
        (t, float(PropsSI("C", "T", t + 273.15, "P", 101325.0, "Water"))) for t in range(1, 100, 3)
    ]
    return solve([[(t / 100.0) ** i for i in range(6)] for t, _ in points],
                 [c for _, c in points], [1.0] * len(points))  # fmt: skip


def freezing(glycol: Glycol) -> list[float]:
    """Coefficients of w, w^2, ... of the freezing point of pure glycol and water in °C."""
    power = {"ethylene": 2.0, "propylene": 8.0}[glycol]
    kept = [
        r for r in rows("glycol_freezing", glycol) if r["tol_K"] and not left_out_of_freezing(r)
    ]
    return _powers(kept, glycol, 5, power)


def freezing_inhibited(glycol: Glycol) -> list[float]:
    """The same of inhibited glycol, from the ASHRAE rows alone, over their mass share."""
    kept = [r for r in rows("glycol_freezing", glycol) if r["source"] == "ASHRAE2001"]
    return _powers(kept, glycol, 3)


def _powers(
    kept: list[dict[str, str]], glycol: Glycol, degree: int, power: float = 2.0
) -> list[float]:
    design = [[mass_fraction(r, glycol) ** i for i in range(1, degree + 1)] for r in kept]
    values, tolerances = ([float(r[k]) for r in kept] for k in ("T_freeze_C", "tol_K"))
    return solve(design, values, tolerances, power)


def brix() -> list[float]:
    """Coefficients of (b/100)^0, ^1, ... of the index of sucrose at 20 °C, ICUMSA's rows alone."""
    kept = [r for r in rows("sucrose_index") if r["source"].startswith("ICUMSA")]
    design = [[(float(r["brix"]) / 100.0) ** i for i in range(5)] for r in kept]
    return solve(design, [float(r["nD20"]) for r in kept], [float(r["tol"]) for r in kept])


def refractive_index(glycol: Glycol) -> list[float]:
    """Coefficients of w, w^2, w^3 and of w (t - 20 °C) of the index above that of water."""
    points = [
        (float(r["mass_pct"]) / 100, float(r["T_C"]), float(r["nD"]), float(r["tol_nD"]))
        for r in rows("glycol_refractive_index", glycol)
    ]
    points += [(1.0, t, n, tol) for t, n, tol in INDEX_ANCHORS[glycol]]
    design = [[w, w**2, w**3, w * (t - 20.0)] for w, t, _, _ in points]
    values = [n - 1.33299 + 0.98e-4 * (t - 20.0) for _, t, n, _ in points]
    return solve(design, values, [tol for *_, tol in points])


def antoine_of_ethylene_glycol() -> tuple[float, float, float]:
    """A, B, C of log10(p / kPa) = A - B / (t + C) through the producer's rows of neat glycol."""
    points = [
        (float(r["T_boil_C"]), float(r["P_abs_kPa"]))
        for r in rows("glycol_boiling", "ethylene")
        if r["source"] == "PRODUCER2008 Antoine" and r["mass_pct"] == "100"
    ]
    # log p (t + C) = A (t + C) - B  is linear:  t log p = A t + (A C - B) - C log p
    design = [[t, 1.0, -np.log10(p)] for t, p in points]
    a, d, c = solve(design, [t * np.log10(p) for t, p in points], [1.0] * len(points))
    return a, a * c - d, c


def main() -> None:
    """Print every coefficient."""
    fits: list[Callable[[Glycol], object]] = [
        density, density_inhibited, viscosity, viscosity_inhibited, freezing, freezing_inhibited,
        refractive_index, specific_heat, specific_heat_inhibited,
    ]  # fmt: skip
    for fit in fits:
        for glycol in CODE:
            print(fit.__name__, glycol, fit(glycol))
    print("antoine", antoine_of_ethylene_glycol())
    print("specific_heat_of_water", specific_heat_of_water())
    print("brix", brix())


if __name__ == "__main__":
    main()
