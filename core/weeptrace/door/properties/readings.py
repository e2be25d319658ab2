"""The property room's operations on readings: refractometer and hydrometer."""

from __future__ import annotations

from typing import Any

from weeptrace.door.properties.fluids import GLYCOL, exactly_one
from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.properties import fraction, freeze, readings, refraction
from weeptrace.refusal import Refusal
from weeptrace.rules import limits
from weeptrace.told import Sentence, plain

_SHARES: Json = {
    "mass_fraction": quantity_schema("ratio"),
    "volume_fraction": quantity_schema("ratio"),
    "freeze_point_inhibited": quantity_schema("temperature"),
}
_SCALES = {
    "index": "ratio",
    "brix": "ratio",
    "volume_fraction": "ratio",
    "mass_fraction": "ratio",
    "freeze_point": "temperature",
}


@operation(
    "properties.refractometer",
    input=object_schema(
        {
            "glycol": GLYCOL,
            "index": quantity_schema("ratio", default_unit="1"),
            "brix": quantity_schema("ratio"),
            "volume_fraction": quantity_schema("ratio"),
            "mass_fraction": quantity_schema("ratio"),
            "freeze_point": quantity_schema("temperature"),
            "scale_glycol": GLYCOL,
            "compensated": {"type": "boolean"},
            "temperature": quantity_schema("temperature"),
            "zeroed_at": quantity_schema("temperature"),
            "half_division": quantity_schema("ratio", also="K"),
        },
        ["glycol", "compensated", "temperature"],
    ),
    output=object_schema(
        {
            **_SHARES,
            "index_read": quantity_schema("ratio"),
            "scale": {"type": "string", "enum": ["own", "other", "neutral"]},
        },
        ["mass_fraction", "volume_fraction", "index_read", "scale"],
    ),
    sample={
        "glycol": "propylene",
        "volume_fraction": {"value": 50, "unit": "%"},
        "scale_glycol": "ethylene",
        "compensated": False,
        "temperature": {"value": 30, "unit": "°C"},
    },
)
def refractometer(payload: Json) -> Json:
    """The scale gives an index, the index and the drop's temperature a strength."""
    glycol: fraction.Glycol = payload["glycol"]
    scale: fraction.Glycol = payload.get("scale_glycol", glycol)
    key = exactly_one(payload, *_SCALES)
    reading = read(payload, key, _SCALES[key])
    index = _index(key, reading, scale)
    half_width = None
    if "half_division" in payload:
        step = _half_division(payload, _SCALES[key])
        inward = reading + step if key == "freeze_point" or reading < 0.5 else reading - step
        half_width = abs(_index(key, inward, scale) - index)
    kelvin = read(
        payload,
        "temperature",
        "temperature",
        low=refraction.COLDEST,
        high=refraction.HOTTEST,
        unit="°C",
    )
    zeroed_at = read_optional(
        payload,
        "zeroed_at",
        "temperature",
        low=refraction.COLDEST,
        high=refraction.HOTTEST,
        unit="°C",
    )
    if payload["compensated"] and zeroed_at is not None:
        raise Refusal(
            "bad_input",
            "refused.door_properties.compensating_prism_has_no",
            "zeroed_at",
            "accepted.only_where_compensated_false",
        )
    found = readings.strength_from_index(
        glycol,
        index,
        kelvin,
        limits(),
        compensated=payload["compensated"],
        zeroed_at=readings.AT_20 if zeroed_at is None else zeroed_at,
        half_width=half_width,
    )
    neutral = key in ("index", "brix")
    return {
        **_shares(glycol, found),
        "index_read": give(index, "1"),
        "scale": "neutral" if neutral else "own" if scale == glycol else "other",
    }


@operation(
    "properties.hydrometer",
    input=object_schema(
        {
            "glycol": GLYCOL,
            "specific_gravity": quantity_schema("ratio", default_unit="1"),
            "density": quantity_schema("density"),
            "reference_temperature": quantity_schema("temperature", default_unit="°F"),
            "temperature": quantity_schema("temperature"),
            "inhibited": {"type": "boolean"},
            "half_division": quantity_schema("ratio", default_unit="1"),
        },
        ["glycol", "temperature"],
    ),
    output=object_schema(
        {
            "density": quantity_schema("density"),
            "strengths": {
                "type": "array",
                "minItems": 1,
                "items": object_schema(_SHARES, ["mass_fraction", "volume_fraction"]),
            },
            "tells": {"type": "boolean"},
            "reason": {"type": "string"},
        },
        ["density", "strengths", "tells"],
    ),
    sample={
        "glycol": "propylene",
        "specific_gravity": {"value": 1.042, "unit": "1"},
        "temperature": {"value": 20, "unit": "°C"},
        "inhibited": False,
    },
)
def hydrometer(payload: Json) -> Json:
    """Propylene glycol is densest near 70 %: there a refractometer tells, a hydrometer doesn't."""
    glycol: fraction.Glycol = payload["glycol"]
    kelvin = read(
        payload,
        "temperature",
        "temperature",
        low=readings.COLDEST,
        high=readings.HOTTEST,
        unit="°C",
    )
    half = read_optional(payload, "half_division", "ratio", low=0.0, high=0.1, unit="1")
    if exactly_one(payload, "specific_gravity", "density") == "density":
        measured = read(payload, "density", "density", low=900.0, high=1200.0, unit="kg/m³")
    else:
        reference = read_optional(
            payload, "reference_temperature", "temperature", low=273.15, high=373.15, unit="°C"
        )
        measured = readings.density_from_gravity(
            read(payload, "specific_gravity", "ratio", low=0.9, high=1.2, unit="1"),
            kelvin,
            readings.SIXTY_FAHRENHEIT if reference is None else reference,
        )
    found = readings.strengths_from_density(
        glycol,
        measured,
        kelvin,
        limits(),
        inhibited=payload.get("inhibited", True),
        half_width=None if half is None else half * 1e3,
    )
    out: Json = {
        "density": give(measured, "kg/m³"),
        "strengths": [_shares(glycol, strength) for strength in found.each],
        "tells": found.tells,
    }
    if not found.tells:
        out["reason"] = plain(Sentence("reason.answer.several_strengths"))
    return out


def _index(key: str, reading: float, scale: fraction.Glycol) -> float:
    """The refractive index at 20 °C that a reading on a scale stands for."""
    if key == "index":
        return reading
    if key == "brix":
        return refraction.index_from_brix(100.0 * reading)
    if key == "freeze_point":
        w = freeze.mass_for_freeze_point_inhibited(scale, min(reading, 273.15))
    elif key == "volume_fraction":
        w = fraction.mass_from_volume(scale, reading)
    else:
        w = reading
    return refraction.refractive_index(scale, w, readings.AT_20)


def _half_division(payload: Json, dimension: str) -> float:
    """Half a division in the reading's own dimension; a temperature's is a difference in K."""
    if dimension == "ratio":
        return read(payload, "half_division", "ratio", low=0.0, high=0.1, unit="1")
    if payload["half_division"]["unit"] != "K":
        raise Refusal(
            "wrong_dimension",
            "refused.door_properties.half_division_freezing_scale",
            "half_division",
            "accepted.kelvin",
        )
    return read(payload, "half_division", "temperature", low=0.0, high=20.0, unit="K")


def _shares(glycol: fraction.Glycol, found: readings.Strength) -> Json:
    w = (found.mass_fraction, found.low, found.high)
    v = [fraction.volume_from_mass(glycol, each) for each in w]
    out: dict[str, Any] = {
        "mass_fraction": give(w[0], "%", w[1], w[2]),
        "volume_fraction": give(v[0], "%", v[1], v[2]),
    }
    if found.high <= freeze.INHIBITED_LIMIT:
        value, warmest, coldest = (freeze.freeze_point_inhibited(glycol, each) for each in w)
        out["freeze_point_inhibited"] = give(value, "°C", coldest, warmest)
    return out
