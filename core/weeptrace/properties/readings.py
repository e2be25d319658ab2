"""Strength from a refractometer or a hydrometer, with a 95 % interval. SI: K, kg/m3.

Half widths are added as the root of the sum of squares: the reading's, the temperature's, and that
of the tables and additives. Where a density belongs to two strengths both are given.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from weeptrace.properties import water
from weeptrace.properties.density import INHIBITED_REACH, PURE_REACH, density, density_inhibited
from weeptrace.properties.fraction import Glycol
from weeptrace.properties.refraction import INDEX_OF_WATER, refractive_index
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

AT_20: Final = 293.15  # K
SIXTY_FAHRENHEIT: Final = 288.7055556  # K, usual reference of a coolant hydrometer
COLDEST: Final = 288.15  # K, of a hydrometer's sample: where the tables reach strong mixtures
HOTTEST: Final = 313.15
GLASS: Final = 2.5e-5  # 1/K, cubic expansion of a hydrometer's glass (from memory)
_TABLED: Final = 0.60  # mass share up to which both density tables go
_STEPS: Final = 1000


@dataclass(frozen=True)
class Strength:
    """A mass share of glycol with the 95 % interval around it."""

    mass_fraction: float
    low: float
    high: float


@dataclass(frozen=True)
class Strengths:
    """The strengths that a density can belong to; ``tells``: it belongs to one only."""

    each: tuple[Strength, ...]
    tells: bool


def strength_from_index(
    glycol: Glycol,
    index: float,
    temperature: float,
    limits: Mapping[str, float],
    *,
    compensated: bool,
    zeroed_at: float = AT_20,
    half_width: float | None = None,
) -> Strength:
    """Strength from the refractive index that a scale shows.

    Without compensation ``index = n(w, T) + n_water(20 °C) - n_water(T0)``: T ``temperature`` of
    the drop, T0 ``zeroed_at`` that of the water it was zeroed with. ``compensated``:
    ``index = n(w, 20 °C)``, and a part of |T - 20 °C| goes into the interval. Solved for w of the
    ``glycol`` by bisection; ``half_width`` is that of the reading, in index.

    Valid 10 to 40 °C, indexes from water to neat glycol; ``Refusal`` (``out_of_range``) beyond.
    Source: ``refraction``; ``limits`` ``properties.index_*``, ``properties.sample_temperature``.

    10 K hotter than its zero, 50 % by volume reads 1.8 % by mass low:

    >>> from weeptrace.rules import limits
    >>> shown = refractive_index("ethylene", 0.527, 303.15)
    >>> found = strength_from_index("ethylene", shown, 303.15, limits(), compensated=False)
    >>> low = strength_from_index("ethylene", shown, AT_20, limits(), compensated=False)
    >>> round(found.mass_fraction, 3), round(100 * (found.mass_fraction - low.mass_fraction), 1)
    (0.527, 1.8)
    """
    refractive_index(glycol, 0.0, temperature)  # refuses a temperature beyond the tables
    if compensated:
        at, shift = AT_20, 0.0
        by_temperature = limits["properties.index_compensation"] * abs(temperature - AT_20)
    else:
        at = temperature
        shift = INDEX_OF_WATER - refractive_index(glycol, 0.0, zeroed_at)
        by_temperature = limits["properties.sample_temperature"] * _slope(glycol, temperature)
    reading = limits["properties.index_reading"] if half_width is None else half_width
    width = math.hypot(reading, by_temperature, limits["properties.index_spread"])

    def shown(w: float) -> float:
        return refractive_index(glycol, w, at) + shift

    least, most = shown(0.0), shown(1.0)
    if not least - width <= index <= most + width:
        raise Refusal(
            "out_of_range",
            "refused.readings.index_belongs_no_strength",
            "index",
            "accepted.index_between",
            {"index": index, "glycol": glycol, "least": least, "most": most},
        )
    return Strength(*(_crossing(shown, index + d) for d in (0.0, -width, width)))


def density_from_gravity(gravity: float, temperature: float, reference: float) -> float:
    """Density in kg/m3 of a sample from a glass hydrometer's specific gravity.

    ``rho = S rho_water(T0) (1 - a (T - T0))``: S ``gravity``, T ``temperature`` of the sample, T0
    ``reference`` of the scale, a = 2.5e-5 1/K of the glass, which grows and so floats higher.

    Valid for T0 0 to 100 °C. No error is raised.
    Source: definition of the specific gravity; expansion of soda glass (from memory).

    >>> round(density_from_gravity(1.0533, 293.15, 293.15), 1)
    1051.4
    """
    return gravity * water.density(reference) * (1.0 - GLASS * (temperature - reference))


def strengths_from_density(
    glycol: Glycol,
    measured: float,
    temperature: float,
    limits: Mapping[str, float],
    *,
    inhibited: bool = True,
    half_width: float | None = None,
) -> Strengths:
    """Every strength that a density can belong to.

    All w with ``|rho(w, T) - measured| <= u``: rho of ``inhibited`` coolant or of pure ``glycol``
    and water at ``temperature``, ``measured`` kg/m3, u the half width with ``half_width`` kg/m3 of
    the reading. An interval with two roots, or with the curve's top, is given once for each.
    Inhibited propylene glycol above 60 % by mass: pure glycol's curve, lifted by what inhibitors
    add at 60 %.

    Valid 15 to 40 °C, up to 63 % (pure ethylene glycol), 92 % (inhibited), 100 % (propylene);
    ``Refusal`` (``out_of_range``) beyond, and for a density that no strength has.
    Source: ``density``; ``limits`` ``properties.*``.

    Propylene glycol has its greatest density near 70 %, so that one density has two strengths:

    >>> from weeptrace.rules import limits
    >>> found = strengths_from_density("propylene", 1039.0, 298.15, limits(), inhibited=False)
    >>> [round(s.mass_fraction, 2) for s in found.each], found.tells
    ([0.62, 0.85], False)
    """
    if not COLDEST <= temperature <= HOTTEST:
        raise Refusal(
            "out_of_range",
            "refused.readings.hydrometers_sample_accepted_let",
            "temperature",
            "accepted.temperature_between",
            {
                "given": Figure(temperature, "temperature"),
                "low": Figure(COLDEST, "temperature"),
                "high": Figure(HOTTEST, "temperature"),
            },
        )
    curve, strongest = _curve(glycol, temperature, inhibited)
    reading = (
        limits["properties.gravity_reading"] * water.density(AT_20)
        if half_width is None
        else half_width
    )
    spread = limits["properties.density_spread" if inhibited else "properties.density_spread_pure"]
    by_kelvin = abs(curve(0.5) - _curve(glycol, temperature - 1.0, inhibited)[0](0.5))
    width = math.hypot(reading, spread, limits["properties.sample_temperature"] * by_kelvin)
    shares = [strongest * i / _STEPS for i in range(_STEPS + 1)]
    over = [curve(w) - measured for w in shares]
    if min(map(abs, over)) > width:
        least, most = measured + min(over), measured + max(over)
        raise Refusal(
            "out_of_range",
            "refused.readings.kg_belongs_no_strength",
            "density",
            "accepted.density_between",
            {
                "measured": Figure(measured, "density"),
                "glycol": glycol,
                "least": Figure(least, "density"),
                "most": Figure(most, "density"),
            },
        )
    each = [s for span in _spans(over, width) for s in _within(shares, over, *span)]
    turns = max(over) > max(over[0], over[-1])
    top = shares[over.index(max(over))]
    return Strengths(
        tuple(each), len(each) == 1 and not (turns and each[0].low <= top <= each[0].high)
    )


def _slope(glycol: Glycol, temperature: float) -> float:
    """Change of the index with temperature at 50 % by mass, 1/K, without its sign."""
    step = 1.0 if temperature < AT_20 else -1.0
    here, there = (refractive_index(glycol, 0.5, t) for t in (temperature, temperature + step))
    return abs(there - here)


def _crossing(curve: Callable[[float], float], value: float) -> float:
    """Where a rising curve meets a value, within 0..1."""
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2.0
        low, high = (middle, high) if curve(middle) < value else (low, middle)
    return (low + high) / 2.0


def _curve(
    glycol: Glycol, temperature: float, inhibited: bool
) -> tuple[Callable[[float], float], float]:
    """Density by mass share, and the strongest share that it reaches."""
    if not inhibited:
        return lambda w: density(glycol, w, temperature), PURE_REACH[glycol].strongest
    if glycol == "ethylene":
        reach = INHIBITED_REACH[glycol].strongest
        return lambda w: density_inhibited(glycol, w, temperature), reach
    lift = density_inhibited(glycol, _TABLED, temperature) - density(glycol, _TABLED, temperature)

    def lifted(w: float) -> float:
        if w <= _TABLED:
            return density_inhibited(glycol, w, temperature)
        return density(glycol, w, temperature) + lift

    return lifted, PURE_REACH[glycol].strongest


def _spans(over: list[float], width: float) -> list[tuple[int, int]]:
    """First and last index of each run within the width."""
    spans: list[tuple[int, int]] = []
    for i, value in enumerate(over):
        if abs(value) <= width:
            first = spans.pop()[0] if spans and spans[-1][1] == i - 1 else i
            spans.append((first, i))
    return spans


def _within(shares: list[float], over: list[float], first: int, last: int) -> list[Strength]:
    """A strength for each root of one run; without a root, the nearest point."""
    roots = [
        shares[i] + (shares[i + 1] - shares[i]) * over[i] / (over[i] - over[i + 1])
        for i in range(first, last)
        if over[i] * over[i + 1] < 0.0 or over[i] == 0.0
    ]
    nearest = min(range(first, last + 1), key=lambda i: abs(over[i]))
    return [Strength(w, shares[first], shares[last]) for w in roots or [shares[nearest]]]
