"""The intervals of a strength by a reading, each part of them alone and all together, within 3 %.

A half width in index or density over the slope of a published table is one in strength; a
thermometer's is what the answer moves by when it reads that much wrong.
"""

from __future__ import annotations

import math

import pytest

from tests.properties import refit
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.fraction import Glycol
from weeptrace.properties.readings import Strength, strength_from_index, strengths_from_density
from weeptrace.properties.refraction import refractive_index
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

AT_20 = 293.15
INDEX = ("properties.index_reading", "properties.index_spread", "properties.index_compensation")
THERMOMETER = "properties.sample_temperature"


def only(**kept: float) -> dict[str, float]:
    """The limits with every part of an interval taken out but those named."""
    names = [*INDEX, THERMOMETER, "properties.gravity_reading", "properties.density_spread",
             "properties.density_spread_pure"]  # fmt: skip
    return {
        **limits(),
        **dict.fromkeys(names, 0.0),
        **{f"properties.{k}": v for k, v in kept.items()},
    }


def half(found: Strength) -> float:
    return (found.high - found.low) / 2.0


# Glycol, a mass share, and the index by mass share around it: CRC Handbook 102nd ed. at 20 °C from
# 40 to 60 % (1.3728, 1.3931); Gerke 2023 at 20 °C from 60 to 70 % (1.39915, 1.40905).
SLOPES: list[tuple[Glycol, float, float]] = [
    ("ethylene", 0.5, (1.3931 - 1.3728) / 0.20),
    ("propylene", 0.65, (1.40905 - 1.39915) / 0.10),
]


@pytest.mark.parametrize(("glycol", "w", "slope"), SLOPES)
@pytest.mark.parametrize(
    ("kept", "warmer", "in_index"),
    [
        ({"index_reading": 5e-4}, 0.0, 5e-4),
        ({"index_spread": 8e-4}, 0.0, 8e-4),
        ({"index_compensation": 3e-5}, 15.0, 4.5e-4),
        ({"index_compensation": 3e-5}, -10.0, 3e-4),
        ({}, 0.0, 0.0),
    ],
)
def test_each_part_of_a_compensated_reading(
    glycol: Glycol, w: float, slope: float, kept: dict[str, float], warmer: float, in_index: float
) -> None:
    index = refractive_index(glycol, w, AT_20)
    found = strength_from_index(glycol, index, AT_20 + warmer, only(**kept), compensated=True)
    assert half(found) == pytest.approx(in_index / slope, rel=0.03, abs=1e-9)
    assert found.high - found.mass_fraction == pytest.approx(half(found), rel=0.03, abs=1e-9)


@pytest.mark.parametrize(("glycol", "w", "slope"), SLOPES)
def test_a_compensated_reading_by_the_limits_as_they_stand(
    glycol: Glycol, w: float, slope: float
) -> None:
    """0.0005 of the reading, 0.0008 of tables and additives, 3e-5 /K of the prism."""
    index = refractive_index(glycol, w, AT_20)
    found = strength_from_index(glycol, index, AT_20 + 15.0, limits(), compensated=True)
    whole = math.sqrt(5e-4**2 + 8e-4**2 + (15 * 3e-5) ** 2)
    assert half(found) == pytest.approx(whole / slope, rel=0.03)
    own = strength_from_index(glycol, index, AT_20, limits(), compensated=True, half_width=2e-3)
    assert half(own) == pytest.approx(math.hypot(2e-3, 8e-4) / slope, rel=0.03)


@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
@pytest.mark.parametrize("celsius", [12.0, 20.0, 30.0, 40.0])
def test_a_drop_whose_thermometer_is_a_kelvin_wrong(glycol: Glycol, celsius: float) -> None:
    """What the strength moves by when the temperature told is 1 K off, at half glycol by mass."""
    told = 273.15 + celsius
    index = refractive_index(glycol, 0.5, told)

    def read(temperature: float, **kept: float) -> Strength:
        return strength_from_index(glycol, index, temperature, only(**kept), compensated=False)

    step = -1.0 if celsius == 40.0 else 1.0
    moved = abs(read(told + step).mass_fraction - read(told).mass_fraction)
    assert half(read(told, sample_temperature=1.0)) == pytest.approx(moved, rel=0.03)
    assert half(read(told, sample_temperature=2.0)) == pytest.approx(2.0 * moved, rel=0.03)
    assert half(read(told, index_compensation=1.0)) == 0.0  # nothing compensates it


# Inhibited coolant of ASHRAE Fundamentals 2001: kg/m3 at 20 °C by volume share around half.
ETHYLENE = {0.30: 1045.25, 0.50: 1073.35}
PROPYLENE = {0.30: 1028.35, 0.40: 1036.24}


@pytest.mark.parametrize(
    ("glycol", "table"), [("ethylene", ETHYLENE), ("propylene", PROPYLENE)]
)  # fmt: skip
@pytest.mark.parametrize("kept", ["gravity_reading", "density_spread"])
def test_each_part_of_a_hydrometers_interval(
    glycol: Glycol, table: dict[float, float], kept: str
) -> None:
    """5 kg/m3, as a gravity or as a spread of tables, over the slope of the printed densities."""
    (v0, d0), (v1, d1) = table.items()
    w0, w1 = (refit.ashrae_mass(glycol, 100.0 * v) for v in (v0, v1))
    value = 5.0 / 998.2 if kept == "gravity_reading" else 5.0
    middle = density_inhibited(glycol, (w0 + w1) / 2.0, AT_20)
    found = strengths_from_density(glycol, middle, AT_20, only(**{kept: value})).each[0]
    expected = 5.0 * (w1 - w0) / (d1 - d0)
    assert half(found) == pytest.approx(expected, rel=0.04)  # a step of the search is 2 % of it


def test_the_pure_spread_is_that_of_pure_glycol() -> None:
    """CRC Handbook 102nd ed. at 20 °C: 1035.0 at 28 %, 1061.9 at 48 % by mass."""
    slope = (1061.9 - 1035.0) / 0.20
    kept = only(density_spread_pure=5.0, density_spread=50.0)
    found = strengths_from_density("ethylene", 1048.7, AT_20, kept, inhibited=False).each[0]
    assert half(found) == pytest.approx(5.0 / slope, rel=0.03)
    assert found.mass_fraction == pytest.approx(0.38, abs=0.002)


def test_a_hydrometers_thermometer() -> None:
    """ASHRAE 2001, inhibited ethylene glycol, 40 and 60 % by volume: 1066.80 and 1094.64 at 0 °C,
    1050.62 and 1075.95 at 40 °C. At 20 °C that is 0.436 kg/m3 a kelvin, so a thermometer that is
    15 K off moves the density by 6.5."""
    per_kelvin = ((1066.80 + 1094.64) - (1050.62 + 1075.95)) / 2.0 / 40.0
    w0, w1 = (refit.ashrae_mass("ethylene", v) for v in (40.0, 60.0))
    slope = ((1075.95 - 1050.62) + (1094.64 - 1066.80)) / 2.0 / (w1 - w0)
    middle = density_inhibited("ethylene", 0.5, AT_20)
    found = strengths_from_density("ethylene", middle, AT_20, only(sample_temperature=15.0))
    assert half(found.each[0]) == pytest.approx(15.0 * per_kelvin / slope, rel=0.05)


def test_a_hydrometer_by_the_limits_as_they_stand() -> None:
    """1 kg/m3 of the reading, 4 of the tables, 1 K of the jar at 0.45 kg/m3 a kelvin."""
    w0, w1 = (refit.ashrae_mass("ethylene", v) for v in (30.0, 50.0))
    slope = (1073.35 - 1045.25) / (w1 - w0)
    middle = density_inhibited("ethylene", (w0 + w1) / 2.0, AT_20)
    found = strengths_from_density("ethylene", middle, AT_20, limits()).each[0]
    whole = math.sqrt(0.9982**2 + 4.0**2 + 0.43**2)
    assert half(found) == pytest.approx(whole / slope, rel=0.04)  # a step of the search is 3 %
    own = strengths_from_density("ethylene", middle, AT_20, limits(), half_width=8.0).each[0]
    assert half(own) == pytest.approx(math.sqrt(64.0 + 16.0 + 0.43**2) / slope, rel=0.03)


def test_two_strengths_of_one_density_each_with_its_own_interval() -> None:
    """Nakanishi 1967, 25 °C: 1037.06 kg/m3 at 90.89 % of propylene glycol by mass; between 47.054 %
    (1033.24) and 56.879 % (1037.55) as well, at 55.8 %."""
    kept = only(density_spread_pure=1.0)
    found = strengths_from_density("propylene", 1037.06, 298.15, kept, inhibited=False)
    assert not found.tells
    weak, strong = found.each
    assert weak.mass_fraction == pytest.approx(0.558, abs=0.01)
    assert strong.mass_fraction == pytest.approx(0.9089, abs=0.01)
    assert weak.low < weak.mass_fraction < weak.high < strong.low < strong.mass_fraction
    # Near the top of the curve, at 70 %, both are one stretch, told once for each root.
    top = strengths_from_density("propylene", 1039.9, 298.15, kept, inhibited=False)
    assert len({(s.low, s.high) for s in top.each}) == 1
    assert top.each[0].low < 0.65 < 0.75 < top.each[0].high


def test_a_density_over_the_top_of_the_curve_tells_no_strength() -> None:
    """The highest of Nakanishi 1967 at 25 °C is 1040.18 kg/m3, at 70 %; 1040.8 is within what a
    hydrometer errs by, and belongs to all from 60 to 85 %."""
    found = strengths_from_density("propylene", 1040.8, 298.15, limits(), inhibited=False)
    assert len(found.each) == 1
    assert not found.tells
    assert found.each[0].low < 0.68 < 0.78 < found.each[0].high
    assert found.each[0].mass_fraction == pytest.approx(0.74, abs=0.04)


@pytest.mark.parametrize("compensated", [True, False])
@pytest.mark.parametrize("celsius", [9.0, 41.0])
def test_a_drop_too_cold_or_too_warm_is_refused_of_any_scale(
    compensated: bool, celsius: float
) -> None:
    with pytest.raises(Refusal) as caught:
        strength_from_index("ethylene", 1.38, 273.15 + celsius, limits(), compensated=compensated)
    assert (caught.value.path, caught.value.accepted) == ("temperature", "10 to 40 °C")


# --- the zero of a scale that compensates nothing -------------------------------------------------


@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
def test_a_scale_zeroed_with_warm_water_reads_high(glycol: Glycol) -> None:
    """Water's index falls from 1.33299 at 20 °C to 1.33194 at 30 °C (CRC Handbook 102nd ed.). A
    scale set to zero with the warm water shows every drop 0.00105 too high; told of it, the
    strength is the drop's own again."""
    w, drop = 0.5, AT_20
    shown = refractive_index(glycol, w, drop) + (1.33299 - 1.33194)

    def read(zeroed_at: float) -> float:
        return strength_from_index(
            glycol, shown, drop, limits(), compensated=False, zeroed_at=zeroed_at
        ).mass_fraction

    assert read(303.15) == pytest.approx(w, abs=1e-3)
    assert read(AT_20) == pytest.approx(w + 0.00105 / 0.1015, abs=1e-3)  # one point too strong
    assert read(283.15) > read(AT_20) > read(303.15)


def test_water_in_a_scale_zeroed_with_it_has_no_glycol() -> None:
    """Whatever the temperature: it shows water's index at 20 °C, 1.33299."""
    for celsius in (10.0, 20.0, 35.0):
        kelvin = 273.15 + celsius
        found = strength_from_index(
            "ethylene", 1.33299, kelvin, limits(), compensated=False, zeroed_at=kelvin
        )
        assert found.mass_fraction == pytest.approx(0.0, abs=1e-9)
