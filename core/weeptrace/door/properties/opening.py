"""The property room's operation on openings: air, liquid and size, each from another."""

from __future__ import annotations

import math

from weeptrace.door.properties.fluids import GLYCOL, SHARES, exactly_one, read_mass_fraction
from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.hold.leak_law import SHARP_EDGE, hole, pore
from weeptrace.properties import air, channel, openings
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.viscosity import viscosity_inhibited
from weeptrace.told import Sentence, plain

_FLOW = 1e-3  # m3/s: 60 L/min, far beyond a leak that is measured


@operation(
    "properties.opening",
    input=object_schema(
        {
            "diameter": quantity_schema("length", default_unit="mm"),
            "length": quantity_schema("length", default_unit="mm"),
            "discharge": quantity_schema("ratio", default_unit="1"),
            "liquid_flow": quantity_schema("volume_flow"),
            "air_flow": quantity_schema("volume_flow"),
            "air_pressure": quantity_schema("pressure"),
            "liquid_pressure": quantity_schema("pressure"),
            "altitude": quantity_schema("length"),
            "air_temperature": quantity_schema("temperature"),
            "glycol": GLYCOL,
            **SHARES,
            "temperature": quantity_schema("temperature"),
        },
        ["air_pressure", "liquid_pressure", "glycol", "temperature"],
    ),
    output=object_schema(
        {
            "diameter": quantity_schema("length"),
            "pore": quantity_schema("length"),
            "liquid_flow": quantity_schema("volume_flow"),
            "liquid_flow_crack": quantity_schema("volume_flow"),
            "air_flow": quantity_schema("volume_flow"),
            "air_flow_crack": quantity_schema("volume_flow"),
            "exponent": quantity_schema("ratio"),
            "reynolds": quantity_schema("ratio"),
            "choked": {"type": "boolean"},
            "pressure_ratio": quantity_schema("ratio"),
            "caveat": {"type": "string"},
        },
        ["pore", "choked", "pressure_ratio", "caveat"],
    ),
    sample={
        "air_flow": {"value": 5.92, "unit": "mL/min"},
        "air_pressure": {"value": -93, "unit": "kPa"},
        "liquid_pressure": {"value": 100, "unit": "kPa"},
        "glycol": "ethylene",
        "volume_fraction": {"value": 50, "unit": "%"},
        "temperature": {"value": 90, "unit": "°C"},
    },
)
def opening(payload: Json) -> Json:
    """A flow gives its other flow twice, as a hole and as a crack: bounds. A size gives both."""
    given = exactly_one(payload, "diameter", "liquid_flow", "air_flow")
    metres = read_optional(
        payload, "altitude", "length", low=air.LOWEST, high=air.HIGHEST, unit="m"
    )
    outside = air.pressure(metres or 0.0)
    gauge = read(payload, "air_pressure", "pressure", low=-0.999 * outside, high=1e6, unit="kPa")
    difference = read(payload, "liquid_pressure", "pressure", low=100.0, high=1e6, unit="kPa")
    kelvin = read(payload, "temperature", "temperature")
    w = read_mass_fraction(payload, payload["glycol"])
    rho = density_inhibited(payload["glycol"], w, kelvin)
    mu = viscosity_inhibited(payload["glycol"], w, kelvin)
    air_kelvin = read_optional(
        payload, "air_temperature", "temperature", low=200.0, high=500.0, unit="°C"
    )
    upstream, downstream = max(outside + gauge, outside), min(outside + gauge, outside)
    ratio = downstream / upstream
    pair = openings.liquid_for_air(  # of one m3/s of air; refuses equal pressures
        1.0,
        upstream=upstream,
        downstream=downstream,
        outside=outside,
        temperature=293.15 if air_kelvin is None else air_kelvin,
        difference=difference,
        density=rho,
        viscosity=mu,
    )
    out: Json = {
        "pore": give(pore(difference), "mm"),
        "choked": ratio <= openings.critical_ratio(),
        "pressure_ratio": give(ratio, "1"),
        "caveat": plain(Sentence("reason.answer.one_direction")),
    }
    cd = read_optional(payload, "discharge", "ratio", low=0.1, high=1.0, unit="1") or SHARP_EDGE
    if given == "diameter":
        diameter = read(payload, "diameter", "length", low=1e-6, high=0.02, unit="mm")
        length = read_optional(payload, "length", "length", low=0.0, high=0.1, unit="mm") or 0.0
        found = channel.liquid_through_channel(diameter, length, difference, rho, mu, cd)
        out["diameter"] = give(diameter, "mm")
        out["liquid_flow"] = give(found.flow, "mL/min")
        out["exponent"] = give(found.exponent, "1")
        out["reynolds"] = give(found.reynolds, "1")
        if length == 0.0:
            out["air_flow"] = give(found.flow / pair.orifice, "mL/min")
        return out
    flow = read(payload, given, "volume_flow", low=0.0, high=_FLOW, unit="mL/min")
    if given == "air_flow":
        liquid = flow * pair.orifice
        out["air_flow"] = give(flow, "mL/min")
        out["liquid_flow_crack"] = give(flow * pair.laminar, "mL/min")
    else:
        liquid = flow
        out["air_flow"] = give(flow / pair.orifice, "mL/min")
        out["air_flow_crack"] = give(flow / pair.laminar, "mL/min")
    out["liquid_flow"] = give(liquid, "mL/min")
    out["diameter"] = give(hole(liquid, difference, rho) * math.sqrt(SHARP_EDGE / cd), "mm")
    return out


@operation(
    "properties.rated_part",
    input=object_schema(
        {
            "rated_flow": quantity_schema("volume_flow"),
            "critical_ratio": quantity_schema("ratio", default_unit="1"),
            "upstream": quantity_schema("pressure"),
            "downstream": quantity_schema("pressure"),
            "temperature": quantity_schema("temperature"),
        }
    ),
    output=object_schema(
        {
            "air_flow": quantity_schema("volume_flow"),
            "choked": {"type": "boolean"},
        }
    ),
    sample={
        "rated_flow": {"value": 1.2, "unit": "mL/min"},
        "critical_ratio": {"value": 0.45, "unit": "1"},
        "upstream": {"value": 140, "unit": "kPa"},
        "downstream": {"value": 101.3, "unit": "kPa"},
        "temperature": {"value": 20, "unit": "°C"},
    },
)
def rated_part(payload: Json) -> Json:
    """ISO 6358: a real part chokes at a lower ratio than the ideal nozzle's 0.528."""
    rated = read(payload, "rated_flow", "volume_flow", low=0.0, high=1.0, unit="mL/min")
    critical = read(payload, "critical_ratio", "ratio", low=0.0, high=0.999, unit="1")
    upstream = read(payload, "upstream", "pressure", low=1.0, high=1e7, unit="kPa")
    downstream = read(payload, "downstream", "pressure", low=0.0, high=upstream, unit="kPa")
    kelvin = read(payload, "temperature", "temperature", low=200.0, high=500.0, unit="°C")
    flow = channel.air_through_part(rated / 1e5, critical, upstream, downstream, kelvin)
    return {"air_flow": give(flow, "mL/min"), "choked": downstream / upstream <= critical}
