"""Every unit at the edge against its exact definition, there and back, and its limits."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final

import pytest

from tests.exact_units import EXACT, ZERO
from weeptrace.quantity import (
    SI,
    UNITS,
    canonical,
    dimension_of,
    format_si,
    from_si,
    parse,
    to_si,
    units_of,
    usual,
)
from weeptrace.refusal import Refusal

ALIASES: Final = {
    "degC": "°C", "C": "°C", "degF": "°F", "F": "°F", "l": "L", "ml": "mL", "litre": "L",
    "liter": "L", "qt": "US qt", "gal": "US gal", "": "1", "percent": "%", "mPa*s": "mPa·s",
    "kg/m3": "kg/m³", "m3": "m³", "m2": "m²", "cm2": "cm²",
}  # fmt: skip
# NIST SP 811 (2008), appendix B.8, as printed: what one of the unit is in SI, to its last digit.
PRINTED: Final = {
    "psi": ("6.894757e3", 1e-3), "inHg": ("3.386389e3", 1e-3), "mmHg": ("1.333224e2", 1e-4),
    "US gal": ("3.785412e-3", 1e-9), "US qt": ("9.463529e-4", 1e-10), "ft": ("3.048e-1", 0.0),
    "UK gal": ("4.54609e-3", 0.0), "mi": ("1.609344e3", 0.0), "mbar": ("1e2", 0.0),
}  # fmt: skip


def test_no_unit_is_without_a_definition_here() -> None:
    assert set(UNITS) == set(EXACT)
    assert {label: dimension_of(label) for label in EXACT} == {
        label: dimension for label, (dimension, _) in EXACT.items()
    }
    for dimension, base in SI.items():
        assert EXACT[base] == (dimension, Fraction(1))
        assert units_of(dimension) == [u for u in UNITS if EXACT[u][0] == dimension]


@pytest.mark.parametrize("unit", EXACT)
@pytest.mark.parametrize("value", [1.0, 0.0, -0.37, 15.5, 123.456, 9.87e-6])
def test_a_value_in_a_unit_is_what_its_definition_makes_of_it(unit: str, value: float) -> None:
    dimension, factor = EXACT[unit]
    exact = Fraction(value) * factor + ZERO.get(unit, 0)
    if dimension == "temperature" and exact < 0:
        with pytest.raises(Refusal, match="below absolute zero"):
            to_si(value, unit, dimension)
        return
    assert to_si(value, unit, dimension) == pytest.approx(float(exact), rel=4e-16, abs=0.0)
    assert from_si(float(exact), unit) == pytest.approx(value, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("unit", PRINTED)
def test_a_unit_is_as_published(unit: str) -> None:
    printed, last = PRINTED[unit]
    made = to_si(1.0, unit, EXACT[unit][0])
    assert made == pytest.approx(float(printed), rel=1e-15, abs=0.5 * last)


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"), [(-40.0, -40.0), (0.0, 32.0), (37.0, 98.6), (100.0, 212.0)]
)
def test_the_two_degrees_meet_where_they_are_known_to(celsius: float, fahrenheit: float) -> None:
    # NIST SP 811, B.9: t/F = 1.8 t/C + 32; the points are common knowledge.
    assert from_si(celsius + 273.15, "°F") == pytest.approx(fahrenheit, abs=1e-9)
    assert from_si(to_si(fahrenheit, "°F", "temperature"), "°C") == pytest.approx(celsius, abs=1e-9)


def test_gallons_quarts_and_pints_are_of_their_own_country() -> None:
    litres = {
        unit: 1000.0 * to_si(1.0, unit, "volume") for unit in ("US gal", "US qt", "UK gal", "UK pt")
    }
    assert litres == pytest.approx(  # NIST SP 811, B.8
        {"US gal": 3.785411784, "US qt": 0.946352946, "UK gal": 4.54609, "UK pt": 0.56826125},
        rel=1e-12,
    )
    assert to_si(1.0, "gal", "volume") == to_si(1.0, "US gal", "volume")
    assert to_si(1.0, "qt", "volume") == to_si(1.0, "US qt", "volume")


def test_rates_are_of_their_own_minute_and_distance() -> None:
    # 1 psi a minute is 6894.757 Pa in 60 s (NIST SP 811, B.8).
    assert to_si(1.0, "psi/min", "pressure_rate") == pytest.approx(6894.757 / 60, rel=1e-7)
    assert to_si(6.0, "kPa/min", "pressure_rate") == pytest.approx(100.0)
    assert to_si(60.0, "mL/min", "volume_flow") == pytest.approx(1e-6)
    # A litre in 1000 km is a cubic millimetre a metre, 1e-9 m2; a quart in 1000 miles is
    # 0.946352946 L in 1609.344 km.
    assert to_si(1.0, "L/1000 km", "loss_per_distance") == pytest.approx(1e-9)
    quart = to_si(1.0, "US qt/1000 mi", "loss_per_distance")
    assert from_si(quart, "L/1000 km") == pytest.approx(0.946352946 / 1.609344, rel=1e-12)


@pytest.mark.parametrize(("alias", "unit"), ALIASES.items())
def test_an_alias_is_the_unit_that_a_hand_means(alias: str, unit: str) -> None:
    assert canonical(alias) == unit
    assert to_si(1.0, alias, EXACT[unit][0]) == to_si(1.0, unit, EXACT[unit][0])
    assert format_si(1.0, alias, 0).endswith(f"\N{NO-BREAK SPACE}{unit}")


@pytest.mark.parametrize("unit", ["pt", "UK qt", "gallons", "KPA", "bars", "kpa", "°", "PSI "])
def test_a_unit_that_means_two_things_or_none_is_asked_again(unit: str) -> None:
    with pytest.raises(Refusal) as found:
        to_si(1.0, unit, "pressure", "car.cap_rating")
    assert (found.value.code, found.value.path) == ("unknown_unit", "car.cap_rating")
    assert found.value.accepted.split(", ")[:3] == ["Pa", "kPa", "MPa"]


@pytest.mark.parametrize("unit", EXACT)
def test_a_unit_answers_for_its_own_dimension_only(unit: str) -> None:
    for dimension, base in SI.items():
        if dimension == EXACT[unit][0]:
            continue
        with pytest.raises(Refusal) as found:
            to_si(1.0, unit, dimension)
        assert found.value.code == "wrong_dimension"
        assert base in found.value.accepted.split(", ")


@pytest.mark.parametrize("unit", EXACT)
def test_an_absurd_magnitude_is_a_slip(unit: str) -> None:
    dimension = EXACT[unit][0]
    for sign in (1.0, -1.0):
        if sign > 0.0 or dimension != "temperature":
            assert math.isfinite(to_si(sign * 1e12, unit, dimension))
            assert math.isfinite(to_si(sign * 0.999e12, unit, dimension))
        for value in (math.nextafter(1e12, math.inf), 1e13, 1.7e308):
            with pytest.raises(Refusal) as found:
                to_si(sign * value, unit, dimension)
            assert found.value.code == "absurd"
        for value in (math.inf, math.nan):
            with pytest.raises(Refusal) as found:
                to_si(sign * value, unit, dimension)
            assert found.value.code == "not_finite"


@pytest.mark.parametrize(("unit", "zero"), [("K", 0.0), ("°C", -273.15), ("°F", -459.67)])
def test_nothing_is_colder_than_absolute_zero(unit: str, zero: float) -> None:
    for value in (zero + 1e-6, zero + 1.0):
        assert to_si(value, unit, "temperature") > 0.0
    for value in (zero - 1e-6, zero - 1.0, -1e12):
        with pytest.raises(Refusal) as found:
            to_si(value, unit, "temperature")
        assert found.value.code == "out_of_range"
    assert to_si(0.0, "K", "temperature") == 0.0


@pytest.mark.parametrize(
    ("kelvin", "unit", "decimals", "shown"),
    [
        (239.15, "°C", 0, "−34"), (239.15, "°F", 0, "−29"), (272.95, "°C", 1, "−0.2"),
        (272.95, "°C", 0, "0"), (273.10, "°C", 0, "0"), (273.10, "°C", 1, "0.0"),
        (310.15, "°F", 1, "98.6"), (233.15, "°C", 0, "−40"), (233.15, "°F", 0, "−40"),
    ],
)  # fmt: skip
def test_a_figure_below_zero_keeps_its_sign_and_zero_has_none(
    kelvin: float, unit: str, decimals: int, shown: str
) -> None:
    # By hand: -34 °C is -29.2 °F; -0.2 °C to the degree is no -0.
    assert format_si(kelvin, unit, decimals) == f"{shown}\N{NO-BREAK SPACE}{unit}"


@pytest.mark.parametrize("unit", [u for u in EXACT if EXACT[u][0] != "temperature"])
def test_a_sign_is_shown_in_every_unit(unit: str) -> None:
    one = float(EXACT[unit][1])
    assert format_si(-1.25 * one, unit, 2) == f"\N{MINUS SIGN}1.25\N{NO-BREAK SPACE}{unit}"
    assert format_si(1.25 * one, unit, 2) == f"1.25\N{NO-BREAK SPACE}{unit}"
    assert format_si(-0.001 * one, unit, 2) == f"0.00\N{NO-BREAK SPACE}{unit}"


@pytest.mark.parametrize(
    ("typed", "value", "decimals"),
    [
        ("110", 110.0, 0), ("92,50", 92.5, 2), ("92.50", 92.5, 2), (" 3 ", 3.0, 0), ("+4", 4.0, 0),
        ("\N{MINUS SIGN}0.5", -0.5, 1), ("-12", -12.0, 0), (".5", 0.5, 1), (",25", 0.25, 2),
        ("7.", 7.0, 0), ("0", 0.0, 0), ("9" * 12, 999999999999.0, 0), ("1." + "0" * 9, 1.0, 9),
    ],
)  # fmt: skip
def test_a_number_is_read_as_it_was_typed(typed: str, value: float, decimals: int) -> None:
    assert parse(typed) == (value, decimals)


@pytest.mark.parametrize(
    "typed",
    ["", " ", ".", ",", "-", "1.2.3", "1,2,3", "1e3", "0x10", "--1", "1 000", "nan", "inf", "٣",
     "9" * 13, "1." + "0" * 10, "." + "1" * 10, "110 kPa"],
)  # fmt: skip
def test_what_is_no_number_is_asked_again(typed: str) -> None:
    with pytest.raises(Refusal) as found:
        parse(typed, "hold.pressure")
    assert (found.value.code, found.value.path) == ("not_a_number", "hold.pressure")


def test_a_refusal_quotes_what_was_typed_and_says_what_is_taken() -> None:
    with pytest.raises(Refusal) as found:
        parse("x" * 41, "a.path")
    assert f"“{'x' * 40}”" in found.value.message
    with pytest.raises(Refusal) as found:
        canonical("y" * 21, "b.path")
    assert f"“{'y' * 20}”" in found.value.message
    with pytest.raises(Refusal) as found:
        to_si(-300.0, "°C", "temperature", "c.path")
    assert "-300 °C" in found.value.message
    assert found.value.as_dict() == {
        "code": "out_of_range",
        "message": found.value.message,
        "path": "c.path",
        "accepted": "above absolute zero",
        "text": "refused.quantity.below_absolute_zero",
        "figures": {"value": -300.0, "label": "°C"},
    }
    with pytest.raises(Refusal) as found:
        to_si(1.0, "L/1000 km", "volume_flow")
    assert "a unit of loss per distance, but volume flow is asked for" in found.value.message
    assert str(found.value) == found.value.message


@pytest.mark.parametrize(
    ("value", "kind", "near", "down"),
    [
        (106868.738, "pressure", "106.9 kPa", "106.8 kPa"),
        (372.66789, "temperature", "99.52 °C", "99.51 °C"),
        (1.23456e-3, "volume", "1.235 L", "1.234 L"),
        (0.4567891, "ratio", "45.68 %", "45.67 %"),
        (7.6e-3, "volume", "7.6 L", "7.6 L"),
        (0.0, "mass", "0 g", "0 g"),
    ],
)
def test_a_figure_of_a_sentence_is_the_nearest_and_only_a_limit_the_lower(
    value: float, kind: str, near: str, down: str
) -> None:
    assert usual(value, kind) == usual(value, kind, down=False) == near
    assert usual(value, kind, down=True) == down
