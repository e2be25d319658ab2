"""Metric screw threads: what size a screw is, and the hole for a tap after it broke. SI: m."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from weeptrace.refusal import Refusal

# Nominal diameter and coarse pitch in mm: ISO 261:1998 (from memory; the tests hold it to what
# tables of thread makers print).
COARSE: Final[dict[float, float]] = {
    3.0: 0.5,
    4.0: 0.7,
    5.0: 0.8,
    6.0: 1.0,
    7.0: 1.0,
    8.0: 1.25,
    10.0: 1.5,
    12.0: 1.75,
    14.0: 2.0,
    16.0: 2.0,
    18.0: 2.5,
    20.0: 2.5,
}
SIZES: Final = ", ".join(f"M{d:g}" for d in COARSE)


@dataclass(frozen=True)
class Thread:
    """A thread's basic sizes in m: ``pitch``, then diameters.

    ``flank`` where tooth and gap are as wide (d2), ``screw_core`` (d3), ``nut_bore`` (D1), and the
    ``tap_drill``.
    """

    pitch: float
    flank: float
    screw_core: float
    nut_bore: float
    tap_drill: float


def coarse_pitch(diameter: float) -> float:
    """Pitch in m of the ordinary (coarse) metric thread of a nominal ``diameter`` in m.

    ``P(d)``, a table: a screw of which no pitch is said has this one.

    Valid for the sizes M3 to M20 of the table, within 0.05 mm; ``Refusal`` (``out_of_range``) for
    any other. Source: ISO 261 (from memory); M6 x 1.0 is common practice too.

    >>> coarse_pitch(0.006)
    0.001
    """
    for size, pitch in COARSE.items():
        if abs(1e3 * diameter - size) <= 0.05:
            return pitch / 1e3
    raise Refusal(
        "out_of_range",
        "refused.thread.no_coarse_thread_mm",
        "diameter",
        "accepted.these",
        {"value": 1000.0 * diameter, "these": SIZES},
    )


def thread(diameter: float, pitch: float | None = None) -> Thread:
    """Basic sizes of a metric thread of a nominal ``diameter`` and ``pitch`` in m.

    With H = sqrt(3)/2 P: ``d2 = d - 3/4 H``, ``D1 = d - 5/4 H``, ``d3 = d - 17/12 H``; hole for the
    tap ``d - P``. P is the coarse pitch where none is given.

    Valid for M3 to M20, coarse or finer than coarse but not below 0.2 mm; ``Refusal``
    (``out_of_range``) beyond. Tolerances are not in it: a nut's bore may be 0.2 mm wider.
    Source: ISO 68-1 and ISO 724; the drill is the ordinary rule.

    >>> sizes = thread(0.008)
    >>> [round(1e3 * x, 3) for x in (sizes.flank, sizes.screw_core, sizes.nut_bore)]
    [7.188, 6.466, 6.647]
    >>> round(1e3 * sizes.tap_drill, 2)
    6.75
    """
    coarse = coarse_pitch(diameter)
    p = coarse if pitch is None else pitch
    if not 0.2e-3 <= p <= coarse + 1e-9:
        raise Refusal(
            "out_of_range",
            "refused.thread.metric_thread_mm_has",
            "pitch",
            "accepted.pitch",
            {"value": 1000.0 * diameter, "value_2": 1000.0 * p, "value_3": 1000.0 * coarse},
        )
    height = 3.0**0.5 / 2.0 * p
    return Thread(
        pitch=p,
        flank=diameter - 3.0 / 4.0 * height,
        screw_core=diameter - 17.0 / 12.0 * height,
        nut_bore=diameter - 5.0 / 4.0 * height,
        tap_drill=diameter - p,
    )
