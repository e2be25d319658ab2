"""What is refused in the property room says what was given and what is accepted."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from weeptrace.properties import air, boiling, density, fraction, freeze, heat, viscosity, water
from weeptrace.properties.channel import air_through_part, liquid_through_channel
from weeptrace.properties.fraction import Glycol
from weeptrace.properties.mixing import Reach
from weeptrace.properties.openings import air_through_orifice, liquid_for_air
from weeptrace.properties.readings import strength_from_index, strengths_from_density
from weeptrace.properties.refraction import brix_from_index, index_from_brix, refractive_index
from weeptrace.properties.thread import coarse_pitch, thread
from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.told import plain

C = 273.15
DILUTE_COLD = "-24.33 to 100 °C"  # 40 % by mass of ethylene glycol: -23.8 °C less half a kelvin


def bounds(**change: float) -> Callable[[], object]:
    given = {
        "upstream": 2e5, "downstream": 1e5, "outside": 1e5, "temperature": 293.15,
        "difference": 1e5, "density": 1070.0, "viscosity": 4e-3,
    }  # fmt: skip
    return lambda: liquid_for_air(1e-6, **{**given, **change})


def channel(**change: float) -> Callable[[], object]:
    given = {
        "diameter": 1e-4, "length": 1e-3, "difference": 1e5, "density": 1070.0,
        "viscosity": 4e-3, "discharge": 0.61,
    }  # fmt: skip
    return lambda: liquid_through_channel(**{**given, **change})


TOLD: list[tuple[Callable[[], object], str, str, str]] = [
    (lambda: air.pressure(5001.0), "altitude", "-500 to 5000 m", "Altitude is 5001 m"),
    (lambda: air.pressure(-501.0), "altitude", "-500 to 5000 m", "Altitude is -501 m"),
    (lambda: air.temperature(6000.0), "altitude", "-500 to 5000 m", "6000 m"),
    (lambda: boiling.vapour_pressure("ethylene", 0.5, C - 1), "temperature", "0 to 250 °C",
     "this is -1 °C"),
    (lambda: boiling.vapour_pressure("ethylene", 0.5, C + 251), "temperature", "0 to 250 °C",
     "this is 251 °C"),
    (lambda: boiling.boiling_point("ethylene", 0.5, 1.9e3), "pressure", "2 to 400 kPa absolute",
     "this is 1.9 kPa"),
    (lambda: boiling.boiling_point("ethylene", 0.5, 401e3), "pressure", "2 to 400 kPa absolute",
     "this is 401 kPa"),
    (lambda: fraction.mass_from_volume("ethylene", 1.2), "volume_fraction",
     "0 to 1 (0 to 100 %)", "volume fraction is 1.2"),
    (lambda: fraction.volume_from_mass("ethylene", -0.1), "mass_fraction",
     "0 to 1 (0 to 100 %)", "mass fraction is -0.1"),
    (lambda: freeze.freeze_point("ethylene", 0.61), "mass_fraction", "0 to 60 % by mass",
     "ethylene glycol is known up to 60 % by mass; this is 61 %"),
    (lambda: freeze.freeze_point("propylene", 0.58), "mass_fraction", "0 to 57 % by mass",
     "propylene glycol"),
    (lambda: freeze.freeze_point_inhibited("ethylene", -0.01), "mass_fraction",
     "0 to 61 % by mass", "this is -1 %"),
    (lambda: freeze.mass_for_freeze_point_inhibited("ethylene", C - 55), "temperature",
     "not below -50.5 °C", "protects to -55 °C; the lowest is -50.5 °C"),
    (lambda: density.density("ethylene", 0.64, C + 20), "mass_fraction", "0 to 63 % by mass",
     "Density of ethylene glycol is known up to 63 % by mass; this is 64 %"),
    (lambda: density.density("ethylene", 0.4, C - 30), "temperature", DILUTE_COLD,
     "Density at 40 % glycol by mass is known from -24.33 to 100 °C; this is -30 °C"),
    (lambda: density.density("propylene", 0.8, C + 41), "temperature", "15 to 40 °C", "80 %"),
    (lambda: density.density("propylene", 0.8, C + 14), "temperature", "15 to 40 °C", "14 °C"),
    (lambda: density.density_inhibited("ethylene", 0.8, C + 101), "temperature", "15 to 100 °C",
     "this is 101 °C"),
    (lambda: density.density_inhibited("ethylene", 0.93, C + 20), "mass_fraction",
     "0 to 92 % by mass", "93 %"),
    (lambda: density.mass_from_volume_of_mixture("ethylene", 0.7), "volume_fraction",
     "0 to 61.1 %", "of ethylene glycol; this is 70 %"),
    (lambda: viscosity.viscosity("ethylene", 0.62, C - 31), "temperature", "-30 to 100 °C",
     "Viscosity at 62 %"),
    (lambda: heat.specific_heat("ethylene", 0.2, C + 101), "temperature", "-8.446 to 100 °C",
     "Specific heat at 20 %"),
    (lambda: water.saturation_pressure(C - 1), "temperature", "0 to 373.9 °C", "this is -1 °C"),
    (lambda: water.saturation_temperature(600.0), "pressure", "0.6112 to 22060 kPa absolute",
     "this is 0.6 kPa"),
    (lambda: refractive_index("ethylene", 0.5, C + 41), "temperature", "10 to 40 °C",
     "this is 41 °C"),
    (lambda: index_from_brix(61.0), "brix", "0 to 60 °Bx", "this is 61"),
    (lambda: brix_from_index(1.45), "index", "1.3330 to 1.4419", "this is 1.45"),
    (lambda: strength_from_index("ethylene", 1.45, C + 20, limits(), compensated=True), "index",
     "1.3330 to 1.4318", "1.4500 belongs to no strength of ethylene glycol"),
    (lambda: strengths_from_density("ethylene", 1050.0, C + 14, limits()), "temperature",
     "15 to 40 °C", "sample is 14 °C"),
    (lambda: strengths_from_density("ethylene", 900.0, C + 20, limits(), inhibited=False),
     "density", "998.2 to 1080 kg/m³", "900 kg/m³ belongs to no strength"),
    (lambda: coarse_pitch(0.0091), "diameter",
     "M3, M4, M5, M6, M7, M8, M10, M12, M14, M16, M18, M20", "9.1 mm"),
    (lambda: thread(0.006, 1.1e-3), "pitch", "0.2 to 1 mm", "of 6 mm has no pitch of 1.1 mm"),
    (lambda: air_through_orifice(1.0, 0.0, 0.0, 293.15), "upstream", "above 0 Pa absolute",
     "The upstream must be above zero"),
    (lambda: air_through_orifice(1.0, 1e5, 0.0, 0.0), "temperature", "above 0 K", "temperature"),
    (lambda: air_through_part(1e-8, 1.0, 2e5, 1e5, 293.15), "critical", "0 to below 1",
     "ratio is 1"),
    (lambda: air_through_part(1e-8, 0.4, 0.0, 1e5, 293.15), "upstream",
     "both above zero, absolute", "absolute and above zero"),
    (lambda: air_through_part(1e-8, 0.4, 2e5, 1e5, 0.0), "upstream",
     "both above zero, absolute", "absolute and above zero"),
    (bounds(viscosity=0.0), "viscosity", "above 0 Pa s", "viscosity must"),
    (bounds(density=0.0), "density", "above 0 kg/m3", "density must"),
    (bounds(downstream=2e5), "downstream", "below 200 kPa absolute", "same or reversed"),
    (channel(diameter=0.0), "diameter", "above 0 m", "diameter must"),
    (channel(difference=0.0), "difference", "above 0 Pa", "difference must"),
    (channel(density=0.0), "density", "above 0 kg/m3", "density must"),
    (channel(viscosity=0.0), "viscosity", "above 0 Pa s", "viscosity must"),
    (channel(discharge=0.0), "discharge", "above 0", "discharge must"),
    (channel(length=-1e-6), "length", "not below 0 mm", "length"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "path", "accepted", "words"), TOLD)
def test_refused_in_words(call: Callable[[], object], path: str, accepted: str, words: str) -> None:
    with pytest.raises(Refusal) as caught:
        call()
    refusal = caught.value
    assert (refusal.code, refusal.path, refusal.accepted) == ("out_of_range", path, accepted)
    assert words in refusal.message


@pytest.mark.parametrize(
    "call",
    [
        lambda: air.pressure(5000.0),
        lambda: air.pressure(-500.0),
        lambda: boiling.vapour_pressure("ethylene", 0.5, C),
        lambda: boiling.vapour_pressure("ethylene", 0.5, C + 250),
        lambda: boiling.boiling_point("ethylene", 0.5, 2e3),
        lambda: boiling.boiling_point("ethylene", 0.5, 400e3),
        lambda: fraction.mass_from_volume("ethylene", 1.0) - 1.0 + 1.0,
        lambda: freeze.freeze_point("ethylene", 0.60),
        lambda: freeze.freeze_point("propylene", 0.57),
        lambda: freeze.freeze_point_inhibited("propylene", 0.61),
        lambda: freeze.mass_for_freeze_point_inhibited(
            "ethylene", freeze.freeze_point_inhibited("ethylene", 0.61)
        ),
        lambda: density.density("ethylene", 0.63, C - 45),
        lambda: density.density("ethylene", 0.4, C - 24.2),
        lambda: density.density("propylene", 1.0, C + 40),
        lambda: density.density("propylene", 1.0, C + 15),
        lambda: density.density("propylene", 0.63, C + 100),
        lambda: density.density_inhibited("ethylene", 0.92, C + 100),
        lambda: viscosity.viscosity_inhibited("ethylene", 0.62, C - 30),
        lambda: refractive_index("ethylene", 1.0, C + 10),
        lambda: index_from_brix(60.0),
        lambda: brix_from_index(index_from_brix(60.0)),
        lambda: brix_from_index(index_from_brix(0.0) - 1e-4) + 1.0,
        lambda: strengths_from_density("ethylene", 1050.0, C + 15, limits()),
        lambda: strengths_from_density("ethylene", 1050.0, C + 40, limits()),
        lambda: coarse_pitch(0.00804),
        lambda: thread(0.006, 0.2e-3),
        lambda: thread(0.006, 1e-3),
        lambda: air_through_part(1e-8, 0.0, 2e5, 1e5, 293.15),
        channel(length=0.0),
    ],
)
def test_the_edges_are_accepted(call: Callable[[], object]) -> None:
    assert call()


@pytest.mark.parametrize(
    ("reach", "words"),
    [
        (density.PURE_REACH["ethylene"],
         "freezing point (-45 °C at the lowest) to 100 °C up to 63 % by mass"),
        (density.PURE_REACH["propylene"],
         "freezing point (-45 °C at the lowest) to 100 °C up to 63 % by mass; "
         "15 to 40 °C up to 100 %"),
        (density.INHIBITED_REACH["ethylene"],
         "freezing point (-45 °C at the lowest) to 100 °C up to 63 % by mass; "
         "15 to 100 °C up to 92 %"),
        (viscosity.REACH["ethylene"],
         "freezing point (-30 °C at the lowest) to 100 °C up to 63 % by mass"),
    ],
)  # fmt: skip
def test_a_reach_in_words(reach: Reach, words: str) -> None:
    assert plain(reach.told()) == words


# Each figure of a mixture, and how cold it is known, °C; up to 100 °C, and 63 % by mass.
MIXED: dict[str, tuple[Callable[[Glycol, float, float], float], float]] = {
    "density": (density.density, -45.0),
    "density, inhibited": (density.density_inhibited, -45.0),
    "viscosity": (viscosity.viscosity, -30.0),
    "viscosity, inhibited": (viscosity.viscosity_inhibited, -30.0),
    "heat": (heat.specific_heat, -30.0),
    "heat, inhibited": (heat.specific_heat_inhibited, -30.0),
}


@pytest.mark.parametrize("name", MIXED)
@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
def test_a_mixture_is_known_to_its_strongest_coldest_and_hottest_and_not_beyond(
    name: str, glycol: Glycol
) -> None:
    of, coldest = MIXED[name]
    # The density of inhibited ethylene glycol is published further, to 92 %.
    strongest = 0.92 if (name, glycol) == ("density, inhibited", "ethylene") else 0.63
    for share, celsius in ((0.0, 0.0), (0.3, 100.0), (0.6, coldest), (strongest, 60.0)):
        assert of(glycol, share, C + celsius) > 0.0
    for share, celsius in ((0.3, 100.5), (0.6, coldest - 0.5), (0.2, -12.0), (-0.01, 20.0),
                           (1.01, 20.0), (strongest + 0.01, 60.0)):  # fmt: skip
        with pytest.raises(Refusal) as caught:
            of(glycol, share, C + celsius)
        assert caught.value.code == "out_of_range"
        if 0.0 < share < strongest:
            assert caught.value.path == "temperature"
