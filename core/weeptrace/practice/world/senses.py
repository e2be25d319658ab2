"""What an honest person with ordinary instruments finds, and what is true. SI."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from weeptrace.practice.acts import open_cap
from weeptrace.practice.warm import effectiveness
from weeptrace.practice.world.car_acts import pressed
from weeptrace.practice.world.circuit import shed
from weeptrace.practice.world.harms import ROD
from weeptrace.practice.world.scene import TURNS, Scene

Sensed = float | bool | str

HARD: Final = 15e3  # Pa gauge from which a hose feels hard: common practice
HEARD: Final = 2e3  # Pa gauge from which a cap's first notch hisses: own choice
WET: Final = 0.2e-6  # m3 that is seen as wet, four drops: own choice
DRIPS: Final = WET / 600.0  # m3/s that is seen to drip by who looks for ten minutes: own choice
SEEN_IN_CYLINDER: Final = 1e-6  # m3 that a borescope shows: own choice
SEEN_IN_SUMP: Final = 5e-6  # m3 of coolant under the oil that a tube draws first: own choice
WARM_VENT: Final = 313.15  # K, of a vent that is called warm: common practice
PROBE: Final = (
    0.4  # share of the coolant's warmth that a probe in the steam pocket shows: own choice
)
_THERMOMETER: Final = 0.4  # K, standard deviation
_NEEDLE: Final = 0.4e3  # Pa
_STRENGTH: Final = 0.01


def level_missing(scene: Scene) -> float:
    """Liquid missing below the mark as it stands now, m3; below zero: above the mark."""
    return scene.circuit.neck_gas - scene.car.headspace


def probe_dry(scene: Scene) -> bool:
    """The level stands below the probe in the top tank: the headspace and as much again is gas."""
    return level_missing(scene) > scene.car.headspace


def _coolant_temperature(scene: Scene) -> float:
    at = scene.warm.coolant
    if probe_dry(scene):
        at = scene.place.air + PROBE * (at - scene.place.air)
    return at + scene.rng.gauss(0.0, _THERMOMETER)


def _metal(scene: Scene) -> float:
    return scene.warm.metal + scene.rng.gauss(0.0, 2.0 * _THERMOMETER)


def _air(scene: Scene) -> float:
    return scene.place.air + scene.rng.gauss(0.0, _THERMOMETER)


def _needle(scene: Scene) -> float:
    read = scene.circuit.gauge + scene.rng.gauss(0.0, _NEEDLE)
    return 1e3 * round(read / 1e3)


def _level(scene: Scene) -> str:
    missing, mark = level_missing(scene), scene.car.headspace
    if missing < -0.7 * mark:
        return "to_neck"
    if missing < 0.3 * mark:
        return "at_mark"
    return "low" if missing < mark else "empty"


def _wet_place(scene: Scene) -> str:
    hidden = {"heater_core": "carpet"}
    seen = {p: v for p, v in scene.wet.items() if v > WET and p}
    if scene.car.goes not in ("outside", "cabin") and not scene.new_leak:
        seen.pop(scene.car.part, None)
    if not seen:
        return "none"
    most = max(seen, key=lambda each: seen[each])
    return hidden.get(most, most)


def _drip_rate(scene: Scene) -> float:
    circuit = scene.circuit
    if scene.car.goes != "outside" and not scene.new_leak:
        return 0.0
    gauge = circuit.gauge
    closed = [each.closed_above for each in circuit.leaks]
    at = circuit.state.temperature
    shut = [c is not None and at > c for c in closed]
    return sum(each.outwards(gauge) for each, s in zip(circuit.leaks, shut, strict=True) if not s)


def _drips(scene: Scene) -> bool:
    """Whether it drips outside now, a shaft seal that lets out only as it turns included."""
    circuit, outside = scene.circuit, scene.car.goes == "outside" or bool(scene.new_leak)
    if not outside or circuit.liquid <= 0.0:
        return False
    return _drip_rate(scene) + sum(shed(e, TURNS[scene.load]) for e in circuit.leaks) > DRIPS


def _vent(scene: Scene) -> float:
    share = effectiveness(scene.car.engine, 0.0 if scene.heater_fed else 1.0)
    return scene.place.air + share * (scene.warm.coolant - scene.place.air)


def _cap_opens(scene: Scene) -> float:
    cap = scene.car.car.cap
    return open_cap(cap, scene.rng, 1)[0] if cap else scene.car.weakest


def _coolant_look(scene: Scene) -> str:
    if scene.car.fault == "radiator_cooler" and scene.leaks:
        return "oily"
    return "gassy" if scene.inflow > 0.0 and scene.running else "clear"


SENSED: Final[dict[str, Callable[[Scene], Sensed]]] = {
    "coolant_temperature": _coolant_temperature,
    "metal_temperature": _metal,
    "air_temperature": _air,
    "hose_hard": lambda s: s.circuit.gauge > HARD,
    "hissing": lambda s: s.neck == "cap" and s.circuit.gauge > HEARD,
    "level": _level,
    "level_missing": level_missing,
    "fan_running": lambda s: s.fan,
    "needle": _needle,
    "wet_place": _wet_place,
    "drip_rate": _drip_rate,
    "drips": _drips,
    "coolant_look": _coolant_look,
    "oil_look": lambda s: "milky" if s.oil > 0.0 and s.oil_mixed else "clear",
    "fluid_look": lambda s: "milky" if s.fluid > 0.0 and s.oil_mixed else "clear",
    "fluid_low": lambda s: s.fluid_short > 0.0,
    "turns_freely": lambda s: "plugs" in s.parts_off or pressed(s) < ROD,
    "sump_look": lambda s: "coolant" if s.oil > SEEN_IN_SUMP else "oil",
    "cylinder_wet": lambda s: "plugs" in s.parts_off and s.cylinder > SEEN_IN_CYLINDER,
    "gas_in_coolant": lambda s: s.gas_seen and s.inflow > 0.0,
    "heater_warm": lambda s: _vent(s) > WARM_VENT,
    "strength": lambda s: s.circuit.state.strength + s.rng.gauss(0.0, _STRENGTH),
    "odometer": lambda s: s.odometer,
    "cap_opens": _cap_opens,
    "pump_weeps": lambda s: s.wet.get("water_pump", 0.0) > WET,
    "cabin_fogged": lambda s: s.car.goes == "cabin" and s.wet.get(s.car.part, 0.0) > WET,
    "engine_running": lambda s: s.running,
    "boiling_heard": lambda s: s.circuit.boiling,
    "pan_volume": lambda s: s.in_pan,
    "room_monoxide": lambda s: s.monoxide,
    "stands_firm": lambda s: s.support == "stands" and s.proven,
}


def truth(scene: Scene) -> dict[str, Any]:
    """The true state, flat, SI: what ``acts.TRUTHS`` names."""
    circuit, went = scene.circuit, scene.circuit.went
    gauge = circuit.gauge
    return {
        "coolant_temperature": scene.warm.coolant,
        "metal_temperature": scene.warm.metal,
        "exhaust_temperature": scene.warm.exhaust,
        "air_temperature": scene.place.air,
        "atmosphere": scene.car.car.atmosphere,
        "pressure": gauge,
        "liquid": circuit.liquid,
        "liquid_volume": circuit.liquid_volume,
        "gas_volume": circuit.gas,
        "level_missing": level_missing(scene),
        "strength": circuit.state.strength,
        "neck_open": scene.neck == "open",
        "cap_on": scene.neck == "cap",
        "tester_on": scene.neck == "tester",
        "engine_running": scene.running,
        "engine_can_start": scene.engine_can_start,
        "engine_fed": scene.pumped,
        "heater_fed": scene.heater_fed,
        "fan_running": scene.fan,
        "fan_can_start": scene.fan_can_start,
        "fan_plugged": scene.fan_plugged,
        "battery_on": scene.battery_on,
        "key_here": scene.key_here,
        "belt_moving": scene.running and scene.car.fuel != "none",
        "raised": scene.support != "none",
        "stood": scene.support == "stands" and scene.proven,
        "person_under": scene.under,
        "cylinder_wet": scene.cylinder > SEEN_IN_CYLINDER,
        "cylinder_liquid": scene.cylinder,
        "oil_mixed": scene.oil_mixed,
        "voltage_near": scene.car.voltage_near,
        "voltage_isolated": scene.isolated,
        "parts_off": sorted(scene.parts_off | scene.loose),
        "open_pan": scene.pan == "open",
        "air_closed": scene.closed,
        "carbon_monoxide": scene.monoxide,
        "boiling": circuit.boiling,
        "air_trapped": circuit.trapped > 1e-5,
        "trapped_volume": circuit.trapped,
        "tray_on": "tray" not in scene.parts_off,
        "dye": scene.dye,
        "leaking": scene.leaking,
        "handed_back": scene.handed_back,
        "odometer": scene.odometer,
        "start_liquid": scene.start_liquid,
        "poured": scene.poured,
        "leaked": went.get("leaked", 0.0),
        "spilled": went.get("spilled", 0.0),
        "boiled_off": went.get("boiled", 0.0),
        "drawn": went.get("drawn", 0.0),
        "in_pan": scene.in_pan,
        "taken_away": scene.taken_away,
        "in_bottle": circuit.bottle,
        "in_oil": went.get("oil", 0.0),
        "in_fluid": went.get("fluid", 0.0),
        "in_cabin": went.get("cabin", 0.0),
        "in_cylinder": went.get("cylinder", 0.0),
        "puddle": scene.puddle,
        "fluid_short": scene.fluid_short,
        "refrigerant_open": scene.refrigerant_open,
    }
