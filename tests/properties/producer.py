"""A producer's boiling points of ethylene glycol, between its printed compositions."""

from __future__ import annotations

import math

from tests.properties import refit


def boiling(mass: float, absolute: float) -> float:
    """Boiling point in °C of a mass share at an absolute pressure in kPa.

    The producer's Antoine constants of 2008: straight in ln p, a parabola in the logarithm of
    water's mole share over 0, 50 and 70 % by mass, where the curve is nearly straight.
    """
    points: dict[float, list[tuple[float, float]]] = {}
    for row in refit.rows("glycol_boiling", "ethylene"):
        if row["source"].startswith("PRODUCER2008"):
            found = (math.log(float(row["P_abs_kPa"])), float(row["T_boil_C"]))
            points.setdefault(float(row["mass_pct"]), []).append(found)

    def at(percent: float) -> float:
        rows, p = sorted(points[percent]), math.log(absolute)
        right = next(i for i, (q, _) in enumerate(rows) if q >= p)
        (q0, t0), (q1, t1) = rows[right - 1], rows[right]
        return t0 + (p - q0) / (q1 - q0) * (t1 - t0)

    def moles(percent: float) -> float:
        water, glycol = (100.0 - percent) / 18.015, percent / 62.068
        return math.log(water / (water + glycol))

    x, knots = moles(100.0 * mass), {moles(m): m for m in (0.0, 50.0, 70.0)}
    return sum(
        at(m) * math.prod((x - other) / (mine - other) for other in knots if other != mine)
        for mine, m in knots.items()
    )
