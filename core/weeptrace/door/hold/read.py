"""Reading what a hold rests on: readings, stored volume, place and coolant; with refusals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.door.registry import (
    Json,
    bounds,
    object_schema,
    quantity_schema,
    read,
    read_optional,
    read_own_time,
)
from weeptrace.hold.data import (
    Compliance,
    Drawn,
    EvacuatedVolume,
    Headspace,
    Hold,
    Reading,
    Stored,
    Strokes,
)
from weeptrace.properties import air
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.expansion import Coolant
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.quantity import canonical
from weeptrace.refusal import Refusal

WEIGHED_AT = 293.15  # K, of liquid on a scale
HEAVIEST = 0.6  # glycol by mass up to which its density is known at that temperature

READING = object_schema(
    {
        "time": quantity_schema("time"),
        "pressure": quantity_schema("pressure"),
        "temperature": quantity_schema("temperature"),
    },
    ["time", "pressure"],
)
STORED = object_schema(
    {
        "strokes": {"type": "number", "exclusiveMinimum": 0, "maximum": 5000},
        "stroke_volume": quantity_schema("volume", default_unit="mL"),
        "dead_volume": quantity_schema("volume", default_unit="mL"),
        "drawn_volume": quantity_schema("volume", default_unit="mL"),
        "drawn_mass": quantity_schema("mass"),
        "caught_volume": quantity_schema("volume", default_unit="mL"),
        "caught_mass": quantity_schema("mass"),
        "before": quantity_schema("pressure"),
        "after": quantity_schema("pressure"),
        "compliance": quantity_schema("compliance"),
        "headspace": quantity_schema("volume", default_unit="mL"),
        "evacuated_volume": quantity_schema("volume"),
    },
    [],
)
PLACE: Json = {
    "altitude": quantity_schema("length"),
    "temperature": quantity_schema("temperature"),
    "glycol": {"type": "string", "enum": ["ethylene", "propylene"]},
    "strength": quantity_schema("ratio"),
}


@dataclass(frozen=True)
class Place:
    """Atmosphere in Pa abs, temperature in K, and the coolant; what was not typed is usual."""

    atmosphere: float
    temperature: float
    coolant: Coolant

    @property
    def dry(self) -> float:
        """Atmosphere less vapour, Pa."""
        return self.atmosphere - self.coolant.vapour(self.temperature)


def read_place(payload: Json, known: Mapping[str, float]) -> Place:
    """The schema ``PLACE`` in SI."""
    altitude = read_optional(payload, "altitude", "length")
    warm = read_temperature(payload, "temperature", "", known)
    share = read_share(payload)
    return Place(
        air.SEA_LEVEL if altitude is None else air.pressure(altitude),
        known["hold.temperature_unknown"] if warm is None else warm,
        Coolant(
            payload.get("glycol", "ethylene"),
            known["hold.mass_fraction_unknown"] if share is None else share,
        ),
    )


def density_of(coolant: Coolant) -> float:
    """Density in kg/m3 of liquid on the scale: at 20 °C, its strength taken up to 60 % by mass."""
    share = min(coolant.mass_fraction, HEAVIEST)
    return density_inhibited(coolant.glycol, share, WEIGHED_AT)


def read_share(payload: Json) -> float | None:
    """The strength as a share by mass."""
    strength = read_optional(payload, "strength", "ratio", low=0.0, high=1.0, unit="%")
    if strength is None:
        return None
    return mass_from_volume(payload.get("glycol", "ethylene"), strength)


def read_readings(
    items: list[Json], deepest: float, known: Mapping[str, float], where: str = "readings"
) -> tuple[Reading, ...]:
    """The readings; ``deepest``: the atmosphere in Pa for a vacuum, which has either sign, or 0."""
    made: list[Reading] = []
    seen: dict[float, int] = {}
    for index, item in enumerate(items):
        path = f"{where}[{index}]"
        time = read_own_time(item, path, index, seen)
        high = known["hold.highest_pressure"]
        if deepest > 0.0:
            pressure = _vacuum(item, path, deepest)
        else:
            pressure = read(item, "pressure", "pressure", path=path, low=0.0, high=high)
        made.append(Reading(time, pressure, read_temperature(item, "temperature", path, known)))
    return tuple(made)


def _vacuum(item: Json, path: str, deepest: float) -> float:
    pressure = read(item, "pressure", "pressure", path=path)
    if abs(pressure) > deepest * (1.0 + 1e-9):
        unit = item["pressure"]["unit"]
        raise Refusal(
            "out_of_range",
            "refused.door_hold.vacuum_deeper_atmosphere_place",
            f"{path}.pressure",
            "accepted.range.between",
            {
                "abs": abs(item["pressure"]["value"]),
                "unit": unit,
                **bounds(0.0, deepest, canonical(unit)),
            },
        )
    return pressure


def refuse_mixed_signs(hold: Hold) -> None:
    """A vacuum typed with both signs is refused."""
    above = [i for i, r in enumerate(hold.readings) if r.pressure > hold.division]
    below = [i for i, r in enumerate(hold.readings) if r.pressure < -hold.division]
    if above and below:
        raise Refusal(
            "mixed_signs",
            "refused.door_hold.reading_above_zero_reading",
            f"readings[{max(above[0], below[0])}].pressure",
            "accepted.one_sign_throughout",
            {"above": above[0], "below": below[0]},
        )


def read_temperature(item: Json, key: str, path: str, known: Mapping[str, float]) -> float | None:
    """A temperature in K that an engine can have."""
    low, high = known["hold.lowest_temperature"], known["hold.highest_temperature"]
    return read_optional(item, key, "temperature", path=path, low=low, high=high)


def read_volume(item: Json, key: str, known: Mapping[str, float], path: str = "") -> float | None:
    """A volume in m3 that a system can have."""
    high = known["hold.largest_volume"]
    return read_optional(item, key, "volume", path=path, low=0.0, high=high)


def read_stored(item: Json, drained: bool, coolant: Coolant, known: Mapping[str, float]) -> Stored:
    """The stored volume in any of its forms; ``coolant`` for the density of what was weighed."""
    keys = set(item)
    if drained:
        volume = read_volume(item, "evacuated_volume", known, "stored")
        if keys == {"evacuated_volume"} and volume:
            return EvacuatedVolume(volume)
        raise Refusal(
            "bad_input",
            "refused.door_hold.what_drained_system_stores",
            "stored",
            "accepted.stored_drained",
            {"value": ", ".join(sorted(keys)) or "nothing"},
        )
    found = _filled(item, keys, coolant, known)
    if found is not None:
        return found
    raise Refusal(
        "bad_input",
        "refused.door_hold.stored_volume_given_as",
        "stored",
        "accepted.stored_filled",
        {"value": ", ".join(sorted(keys)) or "nothing"},
    )


def _filled(
    item: Json, keys: set[str], coolant: Coolant, known: Mapping[str, float]
) -> Stored | None:
    if keys - {"dead_volume"} == {"strokes", "stroke_volume"}:
        volume = read_volume(item, "stroke_volume", known, "stored") or 0.0
        dead = read_volume(item, "dead_volume", known, "stored") or 0.0
        return Strokes(float(item["strokes"]), volume, dead) if volume else None
    if keys == {"headspace"}:
        return Headspace(read_volume(item, "headspace", known, "stored") or 0.0)
    if keys == {"compliance"}:
        value = read(item, "compliance", "compliance", path="stored", low=0.0)
        return Compliance(value) if value > 0.0 else None
    for word in ("drawn", "caught"):
        if keys == {f"{word}_volume", "before", "after"}:
            volume = read_volume(item, f"{word}_volume", known, "stored") or 0.0
        elif keys == {f"{word}_mass", "before", "after"}:
            mass = read(item, f"{word}_mass", "mass", path="stored", low=0.0)
            volume = mass / density_of(coolant)
        else:
            continue
        return _drawn(item, volume, word == "caught", known) if volume else None
    return None


def _drawn(item: Json, volume: float, by_leak: bool, known: Mapping[str, float]) -> Drawn:
    high = known["hold.highest_pressure"]
    before, after = (
        read(item, key, "pressure", path="stored", low=0.0, high=high)
        for key in ("before", "after")
    )
    if before <= after:
        raise Refusal(
            "out_of_range",
            "refused.door_hold.pressure_have_fallen_while",
            "stored.after",
            "accepted.range.below_before",
            bounds(0.0, before, canonical(item["before"]["unit"])),
        )
    return Drawn(volume, before, after, by_leak)
