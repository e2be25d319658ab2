"""Units at the edge: what a hand types or a program sends, to SI and back.

Inside the core every number is SI (Pa, K, m3, s, m, kg, and their products); a unit exists only
in the door, the job's parsing of typed text, and the screen. The factors come from Pint's own
definitions, each unit resolved once and then kept.

>>> to_si(15.5, "psi", "pressure")
106868.7380441096
>>> round(from_si(106868.738, "psi"), 4)
15.5
>>> parse("92,50")
Typed(value=92.5, decimals=2)
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from functools import cache
from typing import Any, Final, NamedTuple

from weeptrace.refusal import Refusal
from weeptrace.told import MINUS, signed

# label on screen and in JSON -> (Pint expression, dimension). Labels are the trade's and SI's.
# inHg is the conventional inch of mercury, 3386.389 Pa (NIST SP 811, app. B.8).
UNITS: Final[dict[str, tuple[str, str]]] = {
    "Pa": ("pascal", "pressure"),
    "kPa": ("kilopascal", "pressure"),
    "MPa": ("megapascal", "pressure"),
    "mbar": ("millibar", "pressure"),
    "bar": ("bar", "pressure"),
    "psi": ("psi", "pressure"),
    "inHg": ("inch_Hg", "pressure"),
    "mmHg": ("millimeter_Hg", "pressure"),
    "K": ("kelvin", "temperature"),
    "°C": ("degree_Celsius", "temperature"),
    "°F": ("degree_Fahrenheit", "temperature"),
    "m³": ("meter**3", "volume"),
    "L": ("liter", "volume"),
    "mL": ("milliliter", "volume"),
    "US qt": ("quart", "volume"),
    "US gal": ("gallon", "volume"),
    "UK pt": ("imperial_pint", "volume"),
    "UK gal": ("imperial_gallon", "volume"),
    "s": ("second", "time"),
    "min": ("minute", "time"),
    "h": ("hour", "time"),
    "m": ("meter", "length"),
    "mm": ("millimeter", "length"),
    "km": ("kilometer", "length"),
    "ft": ("foot", "length"),
    "mi": ("mile", "length"),
    "m²": ("meter**2", "area"),
    "cm²": ("centimeter**2", "area"),
    "kg": ("kilogram", "mass"),
    "g": ("gram", "mass"),
    "1": ("dimensionless", "ratio"),
    "%": ("percent", "ratio"),
    "kPa/min": ("kilopascal/minute", "pressure_rate"),
    "Pa/s": ("pascal/second", "pressure_rate"),
    "psi/min": ("psi/minute", "pressure_rate"),
    "bar/min": ("bar/minute", "pressure_rate"),
    "K/min": ("kelvin/minute", "temperature_rate"),
    "K/s": ("kelvin/second", "temperature_rate"),
    "mL/min": ("milliliter/minute", "volume_flow"),
    "m³/s": ("meter**3/second", "volume_flow"),
    "mL/kPa": ("milliliter/kilopascal", "compliance"),
    "m³/Pa": ("meter**3/pascal", "compliance"),
    "L/1000 km": ("liter/(1000*kilometer)", "loss_per_distance"),
    "US qt/1000 mi": ("quart/(1000*mile)", "loss_per_distance"),
    "m³/m": ("meter**2", "loss_per_distance"),
    "min/1000 km": ("minute/(1000*kilometer)", "time_per_distance"),
    "s/m": ("second/meter", "time_per_distance"),
    "1/K": ("1/kelvin", "expansion"),
    "kg/m³": ("kilogram/meter**3", "density"),
    "mPa·s": ("millipascal*second", "viscosity"),
    "Pa·s": ("pascal*second", "viscosity"),
    "kJ/(kg·K)": ("kilometer*meter/second**2/kelvin", "specific_heat"),
    "J/(kg·K)": ("meter**2/second**2/kelvin", "specific_heat"),
}

# The SI unit of each dimension: its factor is 1 and its offset 0.
SI: Final[dict[str, str]] = {
    "pressure": "Pa",
    "temperature": "K",
    "volume": "m³",
    "time": "s",
    "length": "m",
    "area": "m²",
    "mass": "kg",
    "ratio": "1",
    "pressure_rate": "Pa/s",
    "temperature_rate": "K/s",
    "volume_flow": "m³/s",
    "compliance": "m³/Pa",
    "loss_per_distance": "m³/m",
    "time_per_distance": "s/m",
    "expansion": "1/K",
    "density": "kg/m³",
    "viscosity": "Pa·s",
    "specific_heat": "J/(kg·K)",
}

# What the command line tells a figure of a sentence in, by the key of a unit set, and what a form
# begins with.
_USUAL: Final[dict[str, str]] = {
    "pressure": "kPa",
    "temperature": "°C",
    "difference": "K",
    "volume": "L",
    "small_volume": "mL",
    "length": "m",
    "small_length": "mm",
    "long_length": "km",
    "mass": "g",
    "area": "cm²",
    "ratio": "%",
    "volume_flow": "mL/min",
    "loss_per_distance": "L/1000 km",
    "density": "kg/m³",
    "time": "min",
    "pressure_rate": "kPa/min",
    "temperature_rate": "K/min",
    "time_per_distance": "min/1000 km",
    "compliance": "mL/kPa",
    "expansion": "1/K",
    "viscosity": "mPa·s",
    "specific_heat": "kJ/(kg·K)",
}

_ALIASES: Final[dict[str, str]] = {
    "degC": "°C",
    "C": "°C",
    "degF": "°F",
    "F": "°F",
    "l": "L",
    "ml": "mL",
    "litre": "L",
    "liter": "L",
    "qt": "US qt",
    "gal": "US gal",
    "": "1",
    "percent": "%",
    "mPa*s": "mPa·s",
    "kg/m3": "kg/m³",
    "m3": "m³",
    "m2": "m²",
    "cm2": "cm²",
}

# An absurd magnitude is a slip of the hand or of a program, never a reading.
_ABSURD: Final = 1e12


class Typed(NamedTuple):
    """A number as typed: its value, and how many decimals were written (its resolution)."""

    value: float
    decimals: int


def parse(text: str, path: str = "") -> Typed:
    """Read a number that a hand typed, decimal point or decimal comma.

    Raises ``Refusal`` (``not_a_number``) for anything else: letters, two separators, nothing.

    >>> parse("-0.5")
    Typed(value=-0.5, decimals=1)
    """
    body = text.strip().replace(MINUS, "-").replace(",", ".")
    if not re.fullmatch(r"[+-]?([0-9]{1,12}(\.[0-9]{0,9})?|\.[0-9]{1,9})", body):
        raise Refusal(
            "not_a_number",
            "refused.quantity.not_number_type_digits",
            path,
            "accepted.digits_one_decimal_point_comma",
            {"typed": text[:40]},
        )
    return Typed(float(body), len(body.partition(".")[2]))


# A registry of our own: Pint's full one takes most of a phone's start to parse. Decimal numbers, so
# that a factor is the nearest float to the exact one. Sources: the SI brochure; NIST SP 811 app. B
# (pound, inch, foot, mile, gallons, conventional millimetre and inch of mercury, g_n).
_DEFINITIONS: Final = """
milli- = 1e-3 = m-
centi- = 1e-2 = c-
kilo- = 1e3 = k-
mega- = 1e6 = M-
meter = [length] = m
second = [time] = s
kilogram = [mass] = kg
kelvin = [temperature]; offset: 0 = K
degree_Celsius = kelvin; offset: 273.15
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9
percent = 0.01
gram = 1e-3 * kilogram
minute = 60 * second
hour = 3600 * second
liter = 1e-3 * meter ** 3
inch = 0.0254 * meter
foot = 12 * inch
mile = 5280 * foot
gallon = 231 * inch ** 3
quart = gallon / 4
imperial_gallon = 4.54609 * liter
imperial_pint = imperial_gallon / 8
pound_force = 0.45359237 * 9.80665 * kilogram * meter / second ** 2
pascal = kilogram / meter / second ** 2
bar = 1e5 * pascal
psi = pound_force / inch ** 2
millimeter_Hg = 13.5951 * 9.80665 * pascal
inch_Hg = 25.4 * millimeter_Hg
"""


@cache
def _registry() -> Any:
    from pint import UnitRegistry

    registry: Any = UnitRegistry(None, non_int_type=Decimal, cache_folder=None)
    registry.load_definitions(_DEFINITIONS.strip().splitlines())
    return registry


@cache
def _line(unit: str) -> tuple[float, float, str]:
    """Factor, offset and dimension of a unit: ``SI = factor * value + offset``."""
    expression, dimension = UNITS[unit]
    registry = _registry()
    base = UNITS[SI[dimension]][0]
    if dimension == "temperature":
        zero = registry.Quantity(Decimal(0), expression).to(base).magnitude
        factor = registry.Quantity(Decimal(1), f"delta_{expression}" if zero else expression)
        return float(factor.to(base).magnitude), float(zero), dimension
    return float(registry.parse_expression(expression).to(base).magnitude), 0.0, dimension


def canonical(unit: str, path: str = "") -> str:
    """The label of a unit in this table, or ``Refusal`` (``unknown_unit``)."""
    label = _ALIASES.get(unit, unit)
    if label not in UNITS:
        raise Refusal(
            "unknown_unit",
            "refused.quantity.unknown_unit",
            path,
            "accepted.these",
            {"unit": unit[:20], "these": ", ".join(UNITS)},
        )
    return label


def units_of(dimension: str) -> list[str]:
    """All unit labels of one dimension, in the table's order."""
    return [label for label, (_, kind) in UNITS.items() if kind == dimension]


def dimension_of(unit: str) -> str:
    """The dimension of a unit label; ``Refusal`` where the label is not known."""
    return UNITS[canonical(unit)][1]


def to_si(value: float, unit: str, dimension: str, path: str = "") -> float:
    """A value in ``unit`` as SI.

    Raises ``Refusal``: ``unknown_unit``, ``wrong_dimension``, ``not_finite``, ``absurd``.
    """
    label = canonical(unit, path)
    factor, offset, kind = _line(label)
    if kind != dimension:
        raise Refusal(
            "wrong_dimension",
            "refused.quantity.wrong_dimension",
            path,
            "accepted.these",
            {
                "label": label,
                "kind": kind.replace("_", " "),
                "dimension": dimension.replace("_", " "),
                "these": ", ".join(units_of(dimension)),
            },
        )
    if not math.isfinite(value):
        raise Refusal(
            "not_finite", "refused.quantity.value_not_finite_number", path, "accepted.finite_number"
        )
    if abs(value) > _ABSURD:
        raise Refusal(
            "absurd",
            "refused.quantity.absurd_check_unit",
            path,
            "accepted.magnitude",
            {"value": value, "label": label},
        )
    si = factor * value + offset
    if dimension == "temperature" and si < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.quantity.below_absolute_zero",
            path,
            "accepted.above_absolute_zero",
            {"value": value, "label": label},
        )
    return si


def from_si(value: float, unit: str) -> float:
    """An SI value in ``unit``."""
    factor, offset, _ = _line(canonical(unit))
    return (value - offset) / factor


def format_si(value: float, unit: str, decimals: int, down: bool = False) -> str:
    """An SI value as text in ``unit``, number and unit joined by a no-break space.

    ``down``: a limit, which is never told higher than it is.

    >>> format_si(106868.738, "psi", 1), format_si(160e3, "psi", 1, down=True)
    ('15.5\\xa0psi', '23.2\\xa0psi')
    """
    given = from_si(value, unit)
    number = f"{below(given, decimals) if down else given:.{decimals}f}"
    if float(number) == 0.0:
        number = number.lstrip("-")
    return f"{signed(number)}\N{NO-BREAK SPACE}{canonical(unit)}"


def four_figures(value: float, unit: str, down: bool = False) -> str:
    """An SI value in ``unit`` to four significant figures, as a sentence tells it.

    >>> four_figures(106868.738, "kPa"), four_figures(106868.738, "kPa", down=True)
    ('106.9 kPa', '106.8 kPa')
    """
    given = from_si(value, unit)
    digits = 3 - math.floor(math.log10(abs(given))) if given else 0
    number = below(given, digits) if down else round(given, digits)
    told = f"{number:.{max(digits, 0)}f}"
    return f"{signed(told.rstrip('0').rstrip('.') if '.' in told else told)} {unit}"


def usual_unit(kind: str) -> str:
    """The unit that a kind of figure is told in where the reader chose none."""
    return _USUAL[kind]


def si_unit(kind: str) -> str:
    """The SI unit of a kind of figure.

    >>> si_unit("small_volume"), si_unit("difference")
    ('m³', 'K')
    """
    return SI[dimension_of(_USUAL[kind])]


def usual(value: float, kind: str, down: bool = False) -> str:
    """A figure of a sentence in its usual unit.

    >>> usual(0.0, "volume")
    '0 L'
    """
    return four_figures(value, _USUAL[kind], down)


def below(number: float, decimals: int) -> float:
    """The next lower number of so many decimals; the last bit of a factor counts for nothing."""
    scale = 10.0**decimals
    return math.floor(number * scale + 1e-6) / scale
