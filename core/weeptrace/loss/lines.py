"""Transmission fluid lost at the radiator's cooler and its lines: out, in, to order. SI: m3, kg, m.

The same volume of the labelled fluid goes back; the level is then set by the maker's way at the
maker's temperature. What was caught says whether the cooler and its lines ran empty.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from weeptrace.finding import Estimate
from weeptrace.quote.estimate import containers
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Limits = Mapping[str, float]
Judgement = Literal["as_expected", "little_caught", "more_than_lines_hold", "not_judged"]
Usual = Literal["below", "within", "above"]


@dataclass(frozen=True)
class Lines:
    """Volumes in m3.

    ``out``: that left, caught and spilled; the same goes in. ``expected``: what cooler and lines
    hold, ``None`` where the lines are not known. ``usual``: against what is commonly lost.
    ``to_order``: to buy, in whole containers where a size is known.
    """

    out: Estimate
    expected: Estimate | None
    judgement: Judgement
    usual: Usual
    to_order: float


def pipe_volume(diameter: float, length: float) -> float:
    """Volume of a pipe in m3: ``V = pi/4 d^2 L``.

    ``diameter`` d and ``length`` L inside, m. Valid for 2 to 30 mm and above 0 to 20 m;
    ``Refusal`` (``out_of_range``) beyond, as a slip of the unit. Source: geometry.

    8 mm over 3 m hold 0.15 L.

    >>> round(1e3 * pipe_volume(8e-3, 3.0), 2)
    0.15
    """
    if not 2e-3 <= diameter <= 30e-3:
        raise Refusal(
            "out_of_range",
            "refused.lines.diameter_is_a_slip",
            "diameter",
            "accepted.small_length_between",
            {
                "diameter": Figure(diameter, "length"),
                "low": Figure(2e-3, "length"),
                "high": Figure(30e-3, "length"),
            },
        )
    if not 0.0 < length <= 20.0:
        raise Refusal(
            "out_of_range",
            "refused.lines.length_is_a_slip",
            "length",
            "accepted.length_to",
            {"length": Figure(length, "length"), "high": Figure(20.0, "length")},
        )
    return math.pi / 4.0 * diameter**2 * length


def lines(
    *,
    caught: float,
    limits: Limits,
    spilled: float = 0.0,
    density: float | None = None,
    cooler: float | None = None,
    pipes: float | None = None,
    container: float | None = None,
) -> Lines:
    """What to fill and to order for the transmission fluid that was caught.

    ``V_out = m / rho + V_spilled``; m ``caught`` in kg, rho ``density`` in kg/m3, 850 unless given,
    ``spilled`` m3. Check: ``V = V_cooler + V_pipes``, m3, the ``cooler``'s 0.15 to 0.4 L unless
    given, ``pipes`` see ``pipe_volume``. Less than half of its middle caught: the rest runs out
    when it is warm, so the level is looked at again after running. To order: what goes in, or what
    cooler and lines hold where little was caught, rounded up to whole ``container`` sizes, m3.

    Valid for 0 <= m/rho up to ``loss.transmission_most``; ``Refusal`` (``out_of_range``)
    otherwise. Source: conservation of volume; ``limits`` ``loss.transmission_*``,
    ``loss.cooler_*``, ``loss.lines_*`` (common practice).

    430 g are 0.51 L:

    >>> from weeptrace.rules import limits
    >>> found = lines(caught=0.43, pipes=pipe_volume(8e-3, 3.0), container=1e-3, limits=limits())
    >>> round(1e3 * found.out.value, 2), found.judgement, found.usual, found.to_order
    (0.51, 'as_expected', 'within', 0.001)
    """
    rho = limits["loss.transmission_density"] if density is None else density
    most = limits["loss.transmission_most"]
    if not 700.0 <= rho <= 1000.0:
        raise Refusal(
            "out_of_range",
            "refused.lines.transmission_fluid_lighter_water",
            "density",
            "accepted.fluid_density",
        )
    for name, value, kind in (
        ("caught", caught / rho, "mass"), ("spilled", spilled, "volume"),
        ("cooler", cooler or 0.0, "volume"),
    ):  # fmt: skip
        if not 0.0 <= value <= most:
            top = Figure(most * rho, "mass") if kind == "mass" else Figure(most, "volume")
            raise Refusal(
                "out_of_range",
                "refused.lines.more_than_it_holds",
                name,
                "accepted.up_to_top",
                {"volume": Figure(value, "volume"), "name": name, "top": top},
            )
    volume = caught / rho
    half = math.hypot(
        limits["loss.catch_relative"] * volume,
        limits["loss.catch_absolute"] / rho,
        limits["loss.estimated_relative"] * spilled,
    )
    value = volume + spilled
    out = Estimate(value, max(value - half, 0.0), value + half)
    expected = _expected(cooler, pipes, limits)
    judgement = _judge(value, expected, limits)
    needed = out.value
    if judgement == "little_caught" and expected is not None:
        needed = max(needed, expected.high)
    return Lines(
        out=out,
        expected=expected,
        judgement=judgement,
        usual=_usual(value, limits),
        to_order=needed if container is None else containers(needed, container) * container,
    )


def _expected(cooler: float | None, pipes: float | None, limits: Limits) -> Estimate | None:
    if pipes is None:
        return None
    low, high = limits["loss.cooler_low"], limits["loss.cooler_high"]
    if cooler is not None:
        low = high = cooler
    return Estimate((low + high) / 2.0 + pipes, low + pipes, high + pipes)


def _judge(value: float, expected: Estimate | None, limits: Limits) -> Judgement:
    if expected is None:
        return "not_judged"
    if value < limits["loss.lines_share"] * expected.value * (1.0 - 1e-9):
        return "little_caught"
    return "more_than_lines_hold" if value > expected.high * (1.0 + 1e-9) else "as_expected"


def _usual(value: float, limits: Limits) -> Usual:
    if value < limits["loss.transmission_usual_low"] * (1.0 - 1e-9):
        return "below"
    return "above" if value > limits["loss.transmission_usual_high"] * (1.0 + 1e-9) else "within"
