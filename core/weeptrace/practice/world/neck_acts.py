"""What a body does at the neck and with the liquid. Each act says whether it could be done."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from weeptrace.practice import acts as tools
from weeptrace.practice.world import harms as bound
from weeptrace.practice.world.heat import COOLANT, Warm, capacities
from weeptrace.practice.world.parts import PARTS
from weeptrace.practice.world.scene import Scene
from weeptrace.practice.world.touch import touched
from weeptrace.refusal import Refusal

LITRE: Final = 1e-3
PUMP: Final = tools.HandPump(40e-6, 4e-6)  # a tester's hand pump: common practice
VENTURI: Final = 0.08  # share of the atmosphere that a vacuum tool leaves: common practice
DEEP: Final = 20e3  # Pa of vacuum, below which a fill does not go: own choice
POCKETS: Final = 0.05  # share of the system that poured coolant leaves as trapped air: own choice
CLAMPING: Final = 10.0  # s that a hand is on a hose that it clamps: own choice
GAS_LEVEL: Final = 0.3e-3  # m3 drawn off under a gas tester: common practice, 5 cm below the neck


def open_neck(scene: Scene) -> bool:
    """The cap comes off the neck, whatever stands behind it."""
    if scene.neck != "cap":
        return False
    _at_neck(scene)
    scene.opens_hot("neck")
    scene.neck = "open"
    scene.seal()
    _flash(scene)
    return True


def close_neck(scene: Scene) -> bool:
    """The cap goes on the neck."""
    if scene.neck not in ("open", "vacuum"):
        return False
    scene.hands_in()
    scene.neck = "cap"
    scene.seal()
    return True


def fit_tester(scene: Scene, relief: bool | None = None) -> bool:
    """A pressure tester goes on the neck; ``relief``: it has a valve."""
    if scene.neck != "open":
        return False
    _at_neck(scene)
    scene.neck, scene.relief = "tester", scene.place.relief if relief is None else relief
    scene.seal()
    return True


def remove_tester(scene: Scene) -> bool:
    """The tester comes off as it stands."""
    if scene.neck not in ("tester", "vacuum"):
        return False
    _at_neck(scene)
    scene.opens_hot("tester")
    scene.neck = "open"
    scene.seal()
    return True


def pump_to(scene: Scene, pressure: float) -> bool:
    """Pump to a gauge ``pressure`` in Pa, or as far as a relief valve lets."""
    circuit = scene.circuit
    if scene.neck != "tester" or circuit.open:
        return False
    target = pressure if circuit.opens is None else min(pressure, circuit.opens)
    try:
        circuit.state, _ = tools.pump_to(scene.car.car, circuit.state, target, PUMP)
    except Refusal:
        return False
    if scene.live and scene.leaks and scene.car.goes == "outside":
        scene.hurt("shocked", "pumped_out")
    scene.pressed()
    return True


def try_relief(scene: Scene) -> bool:
    """The tester's relief valve is tried: whether it has one."""
    return scene.neck == "tester" and scene.relief


def let_off(scene: Scene) -> bool:
    """The tester's valve lets the pressure, or the vacuum, off."""
    circuit = scene.circuit
    if scene.neck not in ("tester", "vacuum"):
        return False
    if circuit.gas < 5e-6:
        scene.opens_hot("valve")
    if not circuit.open:
        scene.fell(circuit.opened())
        scene.seal()
    scene.pressed()
    return True


def pull_vacuum(scene: Scene, pressure: float) -> bool:
    """Pull down to a gauge ``pressure`` below zero, or as far as tool and vapour let."""
    circuit = scene.circuit
    if scene.neck == "cap" or scene.open_parts:
        return False
    scene.hands_in()
    scene.neck = "vacuum"
    scene.seal()
    air = scene.car.car.atmosphere
    if (
        scene.warm.coolant > bound.SCALD
        and circuit.liquid > 0.0
        and pressure < circuit.vapour - air
    ):
        scene.hurt("sprayed", "boils_in_vacuum")
    circuit.pulled_to(max(pressure, VENTURI * air - air, circuit.vapour - air))
    return True


def fill_by_vacuum(scene: Scene, litres: float | None = None) -> bool:
    """The vacuum draws coolant in, from a container of ``litres``; a dry one lets air in."""
    circuit = scene.circuit
    if scene.neck != "vacuum" or circuit.gauge > -DEEP:
        return False
    held = scene.place.container if litres is None else litres * LITRE
    wanted = circuit.takes()
    _pour(scene, min(wanted, held), scene.car.car.strength)
    circuit.trapped = min(circuit.trapped, circuit.gas)
    if held >= wanted:
        circuit.trapped = min(circuit.trapped, 0.2 * circuit.gas)
    scene.neck = "open"
    scene.seal()
    return True


def face_over_neck(scene: Scene) -> bool:
    """A face comes over the neck."""
    hot = scene.warm.coolant > bound.SCALD
    wild = scene.running or scene.circuit.vapour > 0.9 * scene.car.car.atmosphere
    if scene.neck == "open" and hot and wild:
        scene.hurt("burnt", "face_over_neck")
    return True


def dip(scene: Scene) -> bool:
    """A sample is drawn, or a strip dipped, at the open neck."""
    if scene.neck != "open":
        return False
    _at_neck(scene)
    return True


def _at_neck(scene: Scene) -> None:
    """Hands are at the neck, which stands beside the fan, and get wet there."""
    scene.hands_in()
    scene.wet_hands()


def drain(scene: Scene) -> bool:
    """The drain is opened until nothing runs, and closed again."""
    let_run(scene, "drain_plug")
    return True


def draw_off(scene: Scene, litres: float) -> bool:
    """``litres`` are drawn off at the neck or the tester's tap."""
    if scene.neck not in ("open", "tester"):
        return False
    _at_neck(scene)
    scene.circuit.move("drawn", litres * LITRE)
    scene.circuit.let_out()
    return True


def draw_level_for_gas(scene: Scene) -> bool:
    """The level is drawn down so that a gas tester stays dry."""
    missing = GAS_LEVEL - scene.circuit.neck_gas
    return draw_off(scene, max(missing, 0.0) / LITRE)


def pour_in(scene: Scene, litres: float, strength: float | None = None) -> bool:
    """``litres`` of a ``strength`` by volume, the car's own where left out, go in at the neck."""
    if scene.neck != "open":
        return False
    _pockets(scene, litres * LITRE)
    return _poured(scene, litres * LITRE, strength)


def _pockets(scene: Scene, volume: float) -> None:
    circuit = scene.circuit
    if scene.share < 0.8:
        most = scene.car.car.trapped or POCKETS * scene.car.capacity
        pocket = min(circuit.trapped + 0.1 * volume, most, circuit.gas)
        circuit.trapped = max(circuit.trapped, pocket)


def _poured(scene: Scene, volume: float, strength: float | None) -> bool:
    if scene.circuit.vapour > 0.9 * scene.car.car.atmosphere:
        scene.hurt("burnt", "poured_into_steam")
    _at_neck(scene)
    _pour(scene, volume, scene.car.car.strength if strength is None else strength)
    scene.fell(scene.circuit.let_out())
    for part in scene.open_parts:
        _runs_out(scene, PARTS[part].stays)
    return True


def fill_to(scene: Scene, where: str, strength: float | None = None) -> bool:
    """Fill up to ``where``: the neck or the mark, at a ``strength``; pockets stay."""
    if scene.neck != "open":
        return False
    left = 0.0 if where == "neck" else scene.car.headspace
    _pockets(scene, scene.circuit.brimful(left))
    _poured(scene, scene.circuit.brimful(left), strength)
    if where == "mark":
        bottle = max(0.5 * scene.car.car.reservoir - scene.circuit.bottle, 0.0)
        scene.circuit.bottle += bottle
        scene.poured += bottle
    return True


def dye_in(scene: Scene) -> bool:
    """Dye goes in at the neck."""
    _at_neck(scene)
    scene.dye = scene.dye or scene.neck == "open"
    return scene.neck == "open"


def heater_clamped(scene: Scene) -> bool:
    """Both heater hoses are clamped, by hand."""
    touched(scene, "heater_hose", CLAMPING)
    scene.clamped = True
    scene.seal()
    return True


def heater_unclamped(scene: Scene) -> bool:
    """The clamps come off the heater hoses, by hand."""
    touched(scene, "heater_hose", CLAMPING)
    scene.clamped = False
    scene.seal()
    return True


def let_run(scene: Scene, part: str) -> None:
    """What stands above an opened ``part`` runs out, over the hands that opened it."""
    circuit = scene.circuit
    runs = circuit.liquid > PARTS[part].stays * scene.car.capacity
    scene.opens_hot(part)
    if runs and scene.warm.coolant > bound.SCALD:
        scene.hurt("burnt", part)
    if runs and scene.live:
        scene.hurt("shocked", "runs_over_it")
    shut = not circuit.open
    scene.fell(circuit.opened())
    _runs_out(scene, PARTS[part].stays)
    circuit.let_out()
    if shut:
        scene.seal()


def _runs_out(scene: Scene, stays: float) -> None:
    over = max(scene.circuit.liquid - stays * scene.car.capacity, 0.0)
    caught = scene.pan != "none"
    scene.circuit.move("pan" if caught else "spilled", over)
    if caught:
        scene.in_pan += over
    else:
        scene.puddle += over


def _pour(scene: Scene, volume: float, strength: float) -> None:
    circuit, warm = scene.circuit, scene.warm
    own = capacities(scene.car.engine, circuit.liquid)[1]
    cold = COOLANT * volume
    mixed = (own * warm.coolant + cold * scene.place.air) / (own + cold)
    circuit.pour(volume, strength)
    scene.poured += volume
    circuit.warmed(mixed)
    scene.warm = Warm(warm.metal, mixed, warm.exhaust)


def _flash(scene: Scene) -> None:
    circuit = scene.circuit
    circuit.boil(capacities(scene.car.engine, circuit.liquid)[1])
    scene.warm = replace(scene.warm, coolant=circuit.state.temperature)


DOES: Final[dict[str, Callable[..., bool]]] = {
    each.__name__: each
    for each in (
        open_neck, close_neck, fit_tester, remove_tester, pump_to, let_off, try_relief, pull_vacuum,
        fill_by_vacuum, face_over_neck, dip, drain, draw_off, draw_level_for_gas, pour_in, fill_to,
        dye_in, heater_clamped, heater_unclamped,
    )
}  # fmt: skip
