"""The property room's operations: coolant, water, standard atmosphere."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.properties import (
    air,
    boiling,
    density,
    fraction,
    freeze,
    heat,
    refraction,
    viscosity,
    water,
)
from weeptrace.properties.mixing import Reach
from weeptrace.refusal import Refusal
from weeptrace.told import Figure, Sentence, plain

GLYCOL: Json = {
    "type": "string",
    "enum": ["ethylene", "propylene"],
}


SHARES: Json = {
    "mass_fraction": quantity_schema("ratio"),
    "volume_fraction": quantity_schema("ratio"),
    "volume_basis": {
        "type": "string",
        "enum": ["unmixed", "mixture"],
    },
}


def exactly_one(payload: Json, *keys: str) -> str:
    """The one key of these that is there; ``Refusal`` (``bad_input``) for several or none."""
    present = [key for key in keys if key in payload]
    if len(present) != 1:
        raise Refusal(
            "bad_input",
            f"refused.door_properties.give_{'only' if present else 'exactly'}_one",
            "",
            "accepted.one_of",
            {"keys": ", ".join(keys[:-1]), "last": keys[-1], "given": ", ".join(present)},
        )
    return present[0]


def read_mass_fraction(payload: Json, glycol: fraction.Glycol) -> float:
    """The glycol share by mass, from whichever of the two shares is given."""
    key = exactly_one(payload, "mass_fraction", "volume_fraction")
    share = read(payload, key, "ratio", low=0.0, high=1.0, unit="%")
    if key == "mass_fraction":
        return share
    if payload.get("volume_basis") == "mixture":
        return density.mass_from_volume_of_mixture(glycol, share)
    return fraction.mass_from_volume(glycol, share)


def read_absolute(payload: Json) -> float:
    """An absolute pressure, given as such or as a gauge pressure at an altitude."""
    if exactly_one(payload, "pressure", "gauge_pressure") == "pressure":
        return read(payload, "pressure", "pressure", low=0.0)
    metres = read_optional(
        payload, "altitude", "length", low=air.LOWEST, high=air.HIGHEST, unit="m"
    )
    gauge = read(payload, "gauge_pressure", "pressure", low=-air.SEA_LEVEL, unit="kPa")
    return air.pressure(metres or 0.0) + gauge


# Figures that published tables back, each as far as those reach.
_BACKED: Json = {
    "freeze_point": quantity_schema("temperature"),
    "freeze_point_inhibited": quantity_schema("temperature"),
    "boiling_point": quantity_schema("temperature"),
    "vapour_pressure": quantity_schema("pressure"),
    "density": quantity_schema("density"),
    "density_inhibited": quantity_schema("density"),
    "expansion": quantity_schema("expansion"),
    "viscosity": quantity_schema("viscosity"),
    "viscosity_inhibited": quantity_schema("viscosity"),
    "specific_heat": quantity_schema("specific_heat"),
    "specific_heat_inhibited": quantity_schema("specific_heat"),
    "refractive_index": quantity_schema("ratio"),
    "brix": quantity_schema("ratio"),
}
_RANGE = object_schema(
    {"valid": {"type": "boolean"}, "range": {"type": "string"}, "reason": {"type": "string"}},
    ["valid", "range"],
)


@operation(
    "properties.coolant",
    input=object_schema(
        {
            "glycol": GLYCOL,
            **SHARES,
            "temperature": quantity_schema("temperature"),
            "pressure": quantity_schema("pressure"),
            "gauge_pressure": quantity_schema("pressure"),
            "altitude": quantity_schema("length"),
        },
        ["glycol", "temperature"],
    ),
    output=object_schema(
        {
            "mass_fraction": quantity_schema("ratio"),
            "volume_fraction": quantity_schema("ratio"),
            **_BACKED,
            "validity": object_schema(dict.fromkeys(_BACKED, _RANGE)),
        },
        ["mass_fraction", "volume_fraction", "validity"],
    ),
    sample={
        "glycol": "ethylene",
        "volume_fraction": {"value": 50, "unit": "%"},
        "temperature": {"value": 20, "unit": "°C"},
        "pressure": {"value": 101.325, "unit": "kPa"},
    },
)
def coolant(payload: Json) -> Json:
    """Every figure that the published tables back; the others are named in ``validity``."""
    glycol: fraction.Glycol = payload["glycol"]
    w = read_mass_fraction(payload, glycol)
    kelvin = read(payload, "temperature", "temperature")
    pascal = read_absolute(payload)
    figures: dict[str, tuple[Callable[[], float], str, Sentence]] = {
        "freeze_point": (
            lambda: freeze.freeze_point(glycol, w),
            "°C",
            _shares(freeze.PURE_LIMIT[glycol]),
        ),
        "freeze_point_inhibited": (
            lambda: freeze.freeze_point_inhibited(glycol, w),
            "°C",
            _shares(freeze.INHIBITED_LIMIT),
        ),
        "boiling_point": (
            lambda: boiling.boiling_point(glycol, w, pascal),
            "°C",
            _any_share("pressure", boiling.LOWEST, boiling.HIGHEST),
        ),
        "vapour_pressure": (
            lambda: boiling.vapour_pressure(glycol, w, kelvin),
            "kPa",
            _any_share("temperature", boiling.COLDEST, boiling.HOTTEST),
        ),
        "density": (
            lambda: density.density(glycol, w, kelvin),
            "kg/m³",
            density.PURE_REACH[glycol].told(),
        ),
        "density_inhibited": (
            lambda: density.density_inhibited(glycol, w, kelvin),
            "kg/m³",
            density.INHIBITED_REACH[glycol].told(),
        ),
        "expansion": (
            lambda: density.expansion(glycol, w, kelvin),
            "1/K",
            _inside(density.INHIBITED_REACH[glycol]),
        ),
        "viscosity": (
            lambda: viscosity.viscosity(glycol, w, kelvin),
            "mPa·s",
            viscosity.REACH[glycol].told(),
        ),
        "viscosity_inhibited": (
            lambda: viscosity.viscosity_inhibited(glycol, w, kelvin),
            "mPa·s",
            viscosity.INHIBITED_REACH.told(),
        ),
        "specific_heat": (
            lambda: heat.specific_heat(glycol, w, kelvin),
            "kJ/(kg·K)",
            heat.REACH.told(),
        ),
        "specific_heat_inhibited": (
            lambda: heat.specific_heat_inhibited(glycol, w, kelvin),
            "kJ/(kg·K)",
            heat.REACH.told(),
        ),
        "refractive_index": (
            lambda: refraction.refractive_index(glycol, w, kelvin),
            "1",
            _any_share("temperature", refraction.COLDEST, refraction.HOTTEST),
        ),
        "brix": (
            lambda: (
                refraction.brix_from_index(refraction.refractive_index(glycol, w, 293.15)) / 100
            ),
            "%",
            Sentence("reason.reach.brix", {"most": refraction.STRONGEST_BRIX}),
        ),
    }
    out: Json = {
        "mass_fraction": give(w, "1"),
        "volume_fraction": give(fraction.volume_from_mass(glycol, w), "1"),
    }
    validity: Json = {}
    for name, (figure, unit, reach) in figures.items():
        words = plain(reach)
        try:
            out[name] = give(figure(), unit)
            validity[name] = {"valid": True, "range": words}
        except Refusal as refusal:
            validity[name] = {"valid": False, "range": words, "reason": refusal.message}
    return {**out, "validity": validity}


def _shares(most: float) -> Sentence:
    return Sentence("reason.reach.shares", {"most": Figure(most, "ratio")})


def _any_share(dimension: Literal["pressure", "temperature"], low: float, high: float) -> Sentence:
    return Sentence(
        f"reason.reach.{dimension}s",
        {
            "low": Figure(low, dimension),
            "high": Figure(high, dimension),
            "most": Figure(1.0, "ratio"),
        },
    )


def _inside(reach: Reach) -> Sentence:
    """As far as the step on either side that the slope is taken over."""
    return Sentence("reason.reach.inside", {"reach": reach.told()})


@operation(
    "properties.water",
    input=object_schema(
        {
            "pressure": quantity_schema("pressure"),
            "temperature": quantity_schema("temperature"),
        },
        [],
    ),
    output=object_schema(
        {
            "saturation_temperature": quantity_schema("temperature"),
            "saturation_pressure": quantity_schema("pressure"),
        },
        [],
    ),
    sample={"pressure": {"value": 101.325, "unit": "kPa"}},
)
def water_saturation(payload: Json) -> Json:
    """IAPWS-IF97 region 4, either way."""
    if exactly_one(payload, "pressure", "temperature") == "pressure":
        pascal = read(
            payload,
            "pressure",
            "pressure",
            low=water.LOWEST_PRESSURE,
            high=water.HIGHEST_PRESSURE,
            unit="kPa",
        )
        return {"saturation_temperature": give(water.saturation_temperature(pascal), "°C")}
    kelvin = read(
        payload, "temperature", "temperature", low=water.TRIPLE, high=water.CRITICAL, unit="°C"
    )
    return {"saturation_pressure": give(water.saturation_pressure(kelvin), "kPa")}


@operation(
    "properties.atmosphere",
    input=object_schema(
        {
            "altitude": quantity_schema("length"),
            "altitude_kind": {
                "type": "string",
                "enum": ["geopotential", "geometric"],
            },
        },
        ["altitude"],
    ),
    output=object_schema(
        {
            "pressure": quantity_schema("pressure"),
            "temperature": quantity_schema("temperature"),
            "density": quantity_schema("density"),
            "water_boils": quantity_schema("temperature"),
        }
    ),
    sample={"altitude": {"value": 1900, "unit": "m"}},
)
def atmosphere(payload: Json) -> Json:
    """ISO 2533. A map's altitude is geometric; the difference is below 0.05 % up to 5000 m."""
    metres = read(payload, "altitude", "length", low=air.LOWEST, high=air.HIGHEST, unit="m")
    if payload.get("altitude_kind") == "geometric":
        metres = air.geopotential(metres)
    pascal = air.pressure(metres)
    return {
        "pressure": give(pascal, "kPa"),
        "temperature": give(air.temperature(metres), "°C"),
        "density": give(air.density(metres), "kg/m³"),
        "water_boils": give(water.saturation_temperature(pascal), "°C"),
    }
