"""What is refused in the filling room says what was typed and what is accepted, in litres and kPa.

The figures in the words are those put in, turned into the unit by hand.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.refusals import refused
from weeptrace.fill import boil, contraction, flush, mix, ran_dry, reach, uptake
from weeptrace.rules import limits
from weeptrace.warmup.data import Cold

LITRE, C = 1e-3, 273.15
Told = tuple[Callable[[], object], str, str, str, str]  # call, code, path, accepted, in the words


def pour(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {
        "capacity": 7.6e-3, "drained": 4.3e-3, "residual_strength": 0.35, "target": 0.5,
        "at_hand": [mix.at_hand("concentrate"), mix.at_hand("water")],
    }  # fmt: skip
    return lambda: mix.plan(**{**given, **change}, glycol="ethylene", limits=limits())


def drawn(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {
        "volume": 5.6e-3, "residual_pressure": 8e3, "altitude": 0.0, "temperature": 20 + C,
        "strength": 0.5,
    }  # fmt: skip
    return lambda: uptake.uptake(**{**given, **change}, limits=limits())


def dry(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {
        "volume": 5.6e-3, "residual_pressure": 8e3, "altitude": 0.0, "temperature": 20 + C,
        "strength": 0.5, "taken": 3e-3,
    }  # fmt: skip
    return lambda: ran_dry.ran_dry(**{**given, **change}, limits=limits())


def drain(**change: float) -> Callable[[], object]:
    given = {"capacity": 24e-3, "drained": 13e-3, "limit": 0.1}
    return lambda: flush.flush(**{**given, **change})


def rinse(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {
        "capacity": 24e-3, "drained": 13e-3, "limit": 0.1, "strength": 0.7, "target": 0.5,
        "at_hand": [mix.at_hand("concentrate"), mix.at_hand("water")],
    }  # fmt: skip
    return lambda: flush.rinses(**{**given, **change}, glycol="ethylene", limits=limits())


def boiling(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {"strength": 0.5, "altitude": 0.0, "rated": 100e3}
    return lambda: boil.boil_margin(**{**given, **change}, glycol="ethylene", limits=limits())


def cooling(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {"cold": Cold(1e-3, 8e-3), "hot": 90 + C, "cool": 20 + C}
    return lambda: contraction.contraction(**{**given, **change}, limits=limits())


OUT, MISSING = "out_of_range", "missing"
TOLD: list[Told] = [
    (pour(capacity=0.0), OUT, "capacity", "above 0 L", "above zero"),
    (pour(capacity=-1e-3), OUT, "capacity", "above 0 L", "above zero"),
    (pour(drained=8.3e-3, missing_before=0.4e-3), OUT, "drained", "0 to 7.6 L",
     "Drained 8.3 L and missing 0.4 L must lie between zero and the capacity of 7.6 L"),
    (pour(missing_before=-0.1e-3), OUT, "drained", "0 to 7.6 L", "missing -0.1 L"),
    (pour(residual_strength=1.25), OUT, "residual_strength", "0 to 100 %", "125 %"),
    (pour(target=-0.25), OUT, "target", "0 to 100 %", "-25 %"),
    (pour(target=0.7), OUT, "target", "up to 65 %", "A target of 70 % is too strong: above 65 %"),
    (pour(at_hand=[mix.at_hand("water"), mix.AtHand("premix", 1.5)]), OUT,
     "at_hand[1].strength", "0 to 100 %", "150 %"),
    (pour(at_hand=[]), MISSING, "at_hand", "one or more", "at least one fluid"),
    (pour(at_hand=[mix.AtHand("water", 0.0, 0.0), mix.AtHand("premix", 0.5, 0.0)]), OUT,
     "at_hand", "above 0 L", "empty"),
    (pour(at_hand=[mix.at_hand("concentrate"), mix.AtHand("water", 0.0, -1e-3)]), OUT,
     "at_hand[1].volume", "not below 0 L", "negative"),
    (lambda: mix.at_hand("premix"), MISSING, "at_hand.strength", "0 to 100 %", "label"),
    (lambda: mix.at_hand("premix", path="fluids[3]"), MISSING, "fluids[3].strength",
     "0 to 100 %", "label"),
    (drain(drained=25e-3), OUT, "drained", "above 0 to 24 L",
     "Drained 25 L must lie above 0 and up to the capacity of 24 L"),
    (drain(limit=1.1), OUT, "limit", "above 0 to below 100 %", "allowed is 110 %"),
    (drain(drained=0.5e-3), OUT, "drained", "a larger drained volume", "50 cycles"),
    (rinse(strength=1.2), OUT, "strength", "0 to 100 %", "120 %"),
    (rinse(strength=-0.1), OUT, "strength", "0 to 100 %", "-10 %"),
    (lambda: flush.cans(1e-3, -1e-3), OUT, "can", "above 0 L", "hold something"),
    (drawn(volume=0.0), OUT, "volume", "above 0 L", "above zero"),
    (drawn(measured=-1e-3), OUT, "measured", "above 0 L", "negative"),
    (drawn(measured=8.5e-3), OUT, "measured", "up to 8.4 L",
     "8.5 L taken up does not fit into 5.6 L of room"),
    (drawn(lift=-2.5), OUT, "lift", "not below -2 m", "A jug more than 2 m above the neck"),
    (drawn(residual_pressure=-1.0), OUT, "residual_pressure", "1.769 to 101.3 kPa absolute",
     "the atmosphere here is 101.3 kPa"),
    (drawn(residual_pressure=1.5e3), OUT, "residual_pressure", "above 1.769 kPa absolute",
     "A residual of 1.5 kPa absolute is below the coolant's vapour pressure of 1.769 kPa"),
    (drawn(residual_pressure=120e3), OUT, "residual_pressure", "below 101.3 kPa absolute",
     "A residual of 120 kPa absolute leaves no vacuum"),
    (drawn(pressure_after=7e3), OUT, "pressure_after", "8 to 101.3 kPa absolute", "between"),
    (dry(volume=-1e-3), OUT, "volume", "above 0 L", "above zero"),
    (dry(taken=5.4e-3), OUT, "taken", "0 to below 5.25 L", "the uptake of 5.25 L"),
    (dry(second_pressure=1e3), OUT, "second_pressure", "above 1.769 kPa absolute", "it boils"),
    (boiling(strength=0.75), OUT, "strength", "0 to 70 %", "75 % is outside 0 to 70 %"),
    (boiling(strength=-0.1), OUT, "strength", "0 to 70 %", "-10 %"),
    (boiling(rated=0.0), OUT, "rated", "above 0 to 298 kPa", "0 kPa"),
    (boiling(opens=600e3), OUT, "opens", "above 0 to 298 kPa", "A cap of 600 kPa looks mistyped"),
    # Boiling points reach 400 kPa absolute; at 2000 m that is 320 kPa above the 79.5 outside.
    (boiling(rated=321e3, altitude=2000.0), OUT, "rated", "above 0 to 320 kPa", "321 kPa"),
    (cooling(cool=95 + C), OUT, "cool", "below 90 °C", "does not cool"),
    (cooling(cool=90 + C), OUT, "cool", "below 90 °C", "does not cool"),
    (cooling(cold=Cold(1e-3, None)), MISSING, "liquid_volume", "above 0 L", "how much there is"),
    (cooling(cold=Cold(1e-3, -1.0)), OUT, "liquid_volume", "above 0 L", "liquid volume must"),
    (cooling(area=-1.0), OUT, "area", "above 0 cm²", "The area must"),
    (cooling(cold=Cold(0.0, 8e-3)), OUT, "headspace", "above 0 L", "Type the gas"),
    (lambda: reach.best_vacuum(0.0, 1e3, limits()), OUT, "outside", "above 0 kPa absolute",
     "atmosphere must be above zero"),
    (lambda: reach.best_vacuum(1e5, -1.0, limits()), OUT, "outside", "above 0 kPa absolute",
     "not below it"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "code", "path", "accepted", "words"), TOLD)
def test_refused_in_words(
    call: Callable[[], object], code: str, path: str, accepted: str, words: str
) -> None:
    refused(call, code, path, accepted, words)


@pytest.mark.parametrize(
    "call",
    [
        pour(drained=7.6e-3),
        pour(drained=7.2e-3, missing_before=0.4e-3),
        pour(drained=0.0),
        pour(residual_strength=0.0),
        pour(residual_strength=1.0),
        pour(target=0.0),
        pour(target=0.65),
        drain(drained=24e-3),
        rinse(strength=0.0),
        rinse(strength=1.0),
        drawn(measured=8.4e-3),
        drawn(measured=0.0),
        drawn(lift=-2.0),
        drawn(pressure_after=8e3),
        drawn(pressure_after=101325.0),
        drawn(pressure_after=106325.0),
        dry(taken=0.0),
        boiling(strength=0.7),
        boiling(strength=0.0),
        boiling(rated=298e3),
        boiling(rated=320e3, altitude=2000.0),
        lambda: reach.best_vacuum(1e5, 0.0, limits()),
    ],
)
def test_the_edges_are_accepted(call: Callable[[], object]) -> None:
    assert call() is not None
