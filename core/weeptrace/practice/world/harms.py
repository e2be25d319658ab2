"""What hurts body, car or others, and from what on. SI: K, Pa, s, m3.

Each bound names where it is from. Where a harm is possible it counts as done: a fan that can start
by itself is taken to start while a hand is near.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

HARMS: Final = (
    "burnt", "sprayed", "caught", "crushed", "gassed", "shocked", "struck", "poisoned",
    "glycol_fire", "overheated", "run_dry", "hydrolocked", "valves_bent", "over_pressured",
    "oil_spoilt", "battery_shorted", "refrigerant_out", "driven_unfit", "handed_back_low",
    "handed_back_with_air", "handed_back_part_off", "handed_back_fan_off",
    "handed_back_leaking_unsaid",
)  # fmt: skip

# Water on skin: 53 °C burns in about 90 s, which is how long soaked clothes stay on.
# A. R. Moritz, F. C. Henriques 1947 (from memory).
SCALD: Final = 326.15
# A jet of water rises p / (rho g): 5 kPa reaches half a metre, so arms and face. Own reckoning.
SPRAY: Final = 5e3
# Bare metal, ISO 13732-1: burn threshold in K by time of touch in s (from memory).
_CONTACT: Final = ((1.0, 338.15), (10.0, 329.15), (60.0, 324.15), (600.0, 321.15))
# Ethylene glycol lights by itself on metal at 398 °C: NFPA 325 (from memory).
AUTOIGNITION: Final = 671.15
# Carbon monoxide by volume that is never to be passed: NIOSH ceiling, 200 ppm (from memory).
MONOXIDE: Final = 200e-6
# Ethylene glycol that kills a cat of 4 kg: 1.4 mL/kg, in a half-and-half mix (from memory).
POISON: Final = 11e-6
# Metal of the head: aluminium creeps and the gasket's beads set. Own choice, 20 K above full load.
HEAD: Final = 433.15
# Colder it boils only in a vacuum, and no metal gets hot by that. Own choice: water at 4000 m.
BOILS: Final = 359.15
# A pump's seal without liquid: its faces are spoilt within a minute. Common practice.
DRY_TIME: Final = 60.0
# A part holds its rating and a tenth more. Own choice; a proof test goes beyond.
OVER: Final = 1.1
# Coolant in oil or transmission fluid that spoils it as it runs: common practice, a cupful.
SPOILT: Final = 50e-6
# Airbags hold a charge after the battery is off: a minute at the least (common practice).
AIRBAGS: Final = 60.0
# Old plastic pipes on clamped hoses crack with the heat and pressure of a warm engine. Own choice.
CRACKS: Final = 353.15
# A rod bends: compression far above that of firing, 6 to 10 MPa (from memory).
ROD: Final = 12e6
POLYTROPIC: Final = 1.3  # exponent of compression in a cylinder (from memory)


@dataclass(frozen=True)
class Harm:
    """One harm: ``at`` s since the car arrived, its ``kind`` of ``HARMS``, and ``why`` by an id."""

    at: float
    kind: str
    why: str


def burns_from(time: float) -> float:
    """Temperature in K of bare metal from which it burns skin that touches it for a ``time`` in s.

    ``T = T1 + (T2 - T1) ln(t/t1) / ln(t2/t1)`` between the points of the table; its ends beyond.

    Valid for bare metal, 1 s to 10 min. No error is raised. Source: ISO 13732-1 (from memory).

    >>> round(burns_from(1.0) - 273.15, 1), 56.0 < burns_from(4.0) - 273.15 < 65.0
    (65.0, True)
    """
    first, last = _CONTACT[0], _CONTACT[-1]
    if time <= first[0]:
        return first[1]
    for (t1, warm), (t2, cool) in pairwise(_CONTACT):
        if time <= t2:
            return warm + (cool - warm) * math.log(time / t1) / math.log(t2 / t1)
    return last[1]


def compression(liquid: float, swept: float, ratio: float, atmosphere: float) -> float:
    """Pressure in Pa abs at the end of a stroke, with ``liquid`` m3 in a cylinder.

    ``p = Pa ((Vs + Vc - L) / (Vc - L))^1.3``, Vc = Vs / (ratio - 1): Vs ``swept`` m3, ``ratio`` of
    compression, Pa ``atmosphere``. Infinite where the liquid fills the clearance.

    Valid for liquid that does not leave. No error is raised. Source: polytropic compression.

    >>> round(compression(0.0, 5e-4, 10.0, 1e5) / 1e5), compression(6e-5, 5e-4, 10.0, 1e5)
    (20, inf)
    """
    left = swept / (ratio - 1.0) - liquid
    if left <= 0.0:
        return math.inf
    return float(atmosphere * ((swept + left) / left) ** POLYTROPIC)


def monoxide(before: float, source: float, air: float, room: float, time: float) -> float:
    """Carbon monoxide in a room by volume after a ``time`` in s, well mixed.

    ``c = G/Q + (c0 - G/Q) exp(-Q t / V)``: c0 ``before``, G ``source`` m3/s, Q ``air`` m3/s of
    fresh air, V ``room`` m3; ``c0 + G t / V`` without fresh air.

    Valid for a small share. No error is raised. Source: mass balance of one mixed volume.

    >>> round(1e6 * monoxide(0.0, 4e-5, 0.0, 120.0, 600.0))
    200
    """
    if air <= 0.0:
        return before + source * time / room
    end = source / air
    return end + (before - end) * math.exp(-air * time / room)
