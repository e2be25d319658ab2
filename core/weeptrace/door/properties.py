"""The property room's operations: coolant, water, standard atmosphere."""

from __future__ import annotations

from collections.abc import Callable

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
)
from weeptrace.properties import (
    air,
    boiling,
    density,
    fraction,
    freeze,
    refraction,
    viscosity,
    water,
)
from weeptrace.refusal import Refusal

GLYCOL: Json = {
    "type": "string",
    "enum": ["ethylene", "propylene"],
    "description": "the kind of glycol, from the label and never from the colour",
}


def exactly_one(payload: Json, first: str, second: str) -> str:
    """The one key of the two that is there; ``Refusal`` (``bad_input``) for both or none."""
    present = [key for key in (first, second) if key in payload]
    if len(present) != 1:
        said = "both are given" if present else "none is given"
        raise Refusal(
            "bad_input",
            f"Give exactly one of {first} and {second}; {said}.",
            "",
            f"{first} or {second}",
        )
    return present[0]


def read_mass_fraction(payload: Json, glycol: fraction.Glycol) -> float:
    """The glycol share by mass, from whichever of the two shares is given."""
    key = exactly_one(payload, "mass_fraction", "volume_fraction")
    share = read(payload, key, "ratio", low=0.0, high=1.0, unit="%")
    return share if key == "mass_fraction" else fraction.mass_from_volume(glycol, share)


@operation(
    "properties.coolant",
    "What a coolant of glycol and water is at a temperature and an absolute pressure.",
    input=object_schema(
        {
            "glycol": GLYCOL,
            "mass_fraction": quantity_schema("ratio", "glycol by mass"),
            "volume_fraction": quantity_schema(
                "ratio", "glycol over the sum of the unmixed volumes at 20 °C"
            ),
            "temperature": quantity_schema("temperature"),
            "pressure": quantity_schema("pressure", "absolute"),
        },
        ["glycol", "temperature", "pressure"],
    ),
    output=object_schema(
        {
            "mass_fraction": quantity_schema("ratio"),
            "volume_fraction": quantity_schema("ratio"),
            "freeze_point": quantity_schema("temperature", "pure glycol and water"),
            "freeze_point_inhibited": quantity_schema("temperature", "what a mix plan uses"),
            "boiling_point": quantity_schema("temperature", "at the given absolute pressure"),
            "vapour_pressure": quantity_schema("pressure", "absolute, at the temperature"),
            "density": quantity_schema("density", "pure glycol and water"),
            "density_inhibited": quantity_schema("density", "inhibited coolant"),
            "viscosity": quantity_schema("viscosity"),
            "refractive_index": quantity_schema("ratio", "sodium line"),
            "validity": {
                "type": "object",
                "description": "each figure with its range; outside it the figure is left out",
                "additionalProperties": {
                    "type": "object",
                    "required": ["valid", "range"],
                    "properties": {
                        "valid": {"type": "boolean"},
                        "range": {"type": "string"},
                        "reason": {"type": "string"},
                    },
                    "additionalProperties": False,
                },
            },
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
    pascal = read(payload, "pressure", "pressure", low=0.0)
    figures: dict[str, tuple[Callable[[], float], str, str]] = {
        "freeze_point": (
            lambda: freeze.freeze_point(glycol, w),
            "°C",
            f"0 to {100 * freeze.PURE_LIMIT[glycol]:.0f} % by mass",
        ),
        "freeze_point_inhibited": (
            lambda: freeze.freeze_point_inhibited(glycol, w),
            "°C",
            f"0 to {100 * freeze.INHIBITED_LIMIT:.0f} % by mass",
        ),
        "boiling_point": (
            lambda: boiling.boiling_point(glycol, w, pascal),
            "°C",
            "2 to 400 kPa absolute, 0 to 100 % by mass",
        ),
        "vapour_pressure": (
            lambda: boiling.vapour_pressure(glycol, w, kelvin),
            "kPa",
            "0 to 250 °C, 0 to 100 % by mass",
        ),
        "density": (
            lambda: density.density(glycol, w, kelvin),
            "kg/m³",
            density.PURE_REACH[glycol].words(),
        ),
        "density_inhibited": (
            lambda: density.density_inhibited(glycol, w, kelvin),
            "kg/m³",
            density.INHIBITED_REACH[glycol].words(),
        ),
        "viscosity": (
            lambda: viscosity.viscosity(glycol, w, kelvin),
            "mPa·s",
            viscosity.REACH[glycol].words(),
        ),
        "refractive_index": (
            lambda: refraction.refractive_index(glycol, w, kelvin),
            "1",
            "10 to 40 °C, 0 to 100 % by mass",
        ),
    }
    out: Json = {
        "mass_fraction": give(w, "1"),
        "volume_fraction": give(fraction.volume_from_mass(glycol, w), "1"),
    }
    validity: Json = {}
    for name, (figure, unit, words) in figures.items():
        try:
            out[name] = give(figure(), unit)
            validity[name] = {"valid": True, "range": words}
        except Refusal as refusal:
            validity[name] = {"valid": False, "range": words, "reason": refusal.message}
    return {**out, "validity": validity}


@operation(
    "properties.water",
    "Water's saturation temperature at an absolute pressure, or its pressure at a temperature.",
    input=object_schema(
        {
            "pressure": quantity_schema("pressure", "absolute"),
            "temperature": quantity_schema("temperature"),
        },
        [],
    ),
    output=object_schema(
        {
            "saturation_temperature": quantity_schema("temperature"),
            "saturation_pressure": quantity_schema("pressure", "absolute"),
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
    "Standard atmospheric pressure at an altitude.",
    input=object_schema(
        {
            "altitude": quantity_schema("length", "above sea level, -500 to 5000 m"),
            "altitude_kind": {
                "type": "string",
                "enum": ["geopotential", "geometric"],
                "description": "which altitude it is; geopotential, the standard's own, if absent",
            },
        },
        ["altitude"],
    ),
    output=object_schema({"pressure": quantity_schema("pressure", "absolute")}),
    sample={"altitude": {"value": 1900, "unit": "m"}},
)
def atmosphere(payload: Json) -> Json:
    """ISO 2533. A map's altitude is geometric; the difference is below 0.05 % up to 5000 m."""
    metres = read(payload, "altitude", "length", low=air.LOWEST, high=air.HIGHEST, unit="m")
    if payload.get("altitude_kind") == "geometric":
        metres = air.geopotential(metres)
    return {"pressure": give(air.pressure(metres), "kPa")}
