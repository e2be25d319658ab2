"""What a body does near the car, in its place, and at the end. Each act says whether it could."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from weeptrace.practice.world import harms as bound
from weeptrace.practice.world.scene import Scene

_LOW: Final = 0.5  # of the headspace that may be missing below the mark at a hand-over: own choice
_AIR: Final = 0.1e-3  # m3 of trapped air that a hand-over may have: own choice


def reach_near_fan(scene: Scene) -> bool:
    """A hand goes near the fan, and so near the belt."""
    scene.hands_in()
    return True


def reach_near_belt(scene: Scene) -> bool:
    """A hand goes near the belt, and so near the fan."""
    scene.hands_in()
    return True


def raise_car(scene: Scene) -> bool:
    """The jack lifts the car."""
    scene.at_work()
    if scene.under:
        scene.hurt("crushed", "moved_while_under")
    scene.support, scene.proven = "jack", False
    return True


def jack_only(scene: Scene) -> bool:
    """It stays on the jack alone."""
    return raise_car(scene)


def set_stands(scene: Scene) -> bool:
    """Stands are set under, and the car is let down on them."""
    if scene.support == "none" or not scene.place.stands:
        return False
    scene.support, scene.proven = "stands", False
    return True


def push_rock(scene: Scene) -> bool:
    """The raised car is pushed and rocked: it stays on stands on firm ground, or comes down."""
    if scene.support == "none":
        return False
    if scene.under:
        scene.hurt("crushed", "pushed_while_under")
    scene.proven = scene.support == "stands" and scene.firm
    if not scene.proven:
        scene.support = "none"
    return scene.proven


def lower_car(scene: Scene) -> bool:
    """The car comes down to the ground."""
    if scene.support == "none":
        return False
    if scene.under:
        scene.hurt("crushed", "lowered_while_under")
    scene.support, scene.proven = "none", False
    return True


def go_under(scene: Scene) -> bool:
    """A body goes under the car."""
    scene.at_work()
    if scene.support != "none" and not scene.proven:
        scene.hurt("crushed", scene.support)
    scene.under = True
    return True


def come_out(scene: Scene) -> bool:
    """The body comes out from under the car."""
    was, scene.under = scene.under, False
    return was


def leave_alone(scene: Scene, time: float) -> bool:
    """Nobody is with the car for a ``time`` in s."""
    scene.under, scene.away = False, True
    pressed = scene.neck == "tester" and scene.circuit.gauge > bound.SPRAY
    if pressed and scene.live and scene.leaks and scene.car.goes == "outside":
        scene.hurt("shocked", "left_pressed_on_live_parts")
    _drunk(scene)
    scene.wait(time)
    _drunk(scene)
    scene.away = False
    return True


def _drunk(scene: Scene) -> None:
    pan = scene.in_pan if scene.pan == "open" else 0.0
    there = scene.place.creature and scene.car.car.glycol == "ethylene"
    scene.lasts("poisoned", "open_coolant", there and max(pan, scene.puddle) > bound.POISON)


def open_pan(scene: Scene) -> bool:
    """An open pan stands under the car."""
    scene.pan = "open"
    return True


def cover_pan(scene: Scene) -> bool:
    """The pan is covered; a drip still runs in."""
    if scene.pan == "none":
        return False
    scene.pan = "covered"
    return True


def pour_away(scene: Scene) -> bool:
    """The pan is emptied into a marked, closed container and put away."""
    if scene.pan == "none":
        return False
    scene.taken_away += scene.in_pan
    scene.in_pan, scene.pan = 0.0, "none"
    return True


def wash_spill(scene: Scene) -> bool:
    """What lies on the ground is soaked up and washed away."""
    scene.puddle = 0.0
    return True


def close_room(scene: Scene, room: float | None = None) -> bool:
    """The doors of the room, or of another of ``room`` m3 that it was pushed into, are shut."""
    scene.closed, scene.room = True, scene.room if room is None else room
    return True


def open_air(scene: Scene) -> bool:
    """Doors wide open, or the car outside."""
    scene.closed, scene.monoxide = False, 0.0
    return True


def touch_voltage(scene: Scene, loop: str) -> bool:
    """A hand is at the parts of a ``loop``."""
    live = loop in ("inverter", "battery") and scene.car.drive != "none"
    if live and not scene.isolated:
        scene.hurt("shocked", loop)
    return True


def isolate_voltage(scene: Scene, qualified: bool = True) -> bool:
    """The high voltage is isolated, by a ``qualified`` person or by another."""
    if scene.car.drive == "none":
        return False
    if not qualified:
        scene.hurt("shocked", "not_qualified")
    scene.isolated = qualified
    return qualified


def open_refrigerant(scene: Scene, recovered: bool = False) -> bool:
    """The air conditioning's circuit is opened; ``recovered``: it was emptied by a machine."""
    if not recovered and not scene.refrigerant_open:
        scene.hurt("refrigerant_out", "not_recovered")
    scene.refrigerant_open = True
    return True


def hand_back(scene: Scene, said_leaking: bool = False) -> bool:
    """The car goes back to its owner; ``said_leaking``: with the word that it still leaks."""
    circuit = scene.circuit
    missing = scene.car.capacity - circuit.liquid - max(circuit.trapped, 0.0)
    low = missing > _LOW * scene.car.headspace
    left = scene.parts_off | scene.loose
    undone = left or scene.neck != "cap" or scene.support != "none" or scene.clamped
    mixed = scene.oil + scene.fluid > bound.SPOILT
    fan = scene.car.fan != "belt" and not scene.fan_plugged
    for kind, why, so in (
        ("handed_back_low", "level", low and not scene.towed),
        ("handed_back_with_air", "pockets", circuit.trapped > _AIR and not scene.towed),
        ("handed_back_part_off", min(left, default="neck"), bool(undone)),
        ("handed_back_fan_off", "fan" if fan else "battery", fan or not scene.battery_on),
        ("oil_spoilt", "driven_home", mixed and not (scene.towed or scene.stays)),
        ("handed_back_leaking_unsaid", "leak", scene.leaking and not said_leaking),
    ):
        if so:
            scene.hurt(kind, why)
    _drunk(scene)
    scene.handed_back = True
    return True


DOES: Final[dict[str, Callable[..., bool]]] = {
    each.__name__: each
    for each in (
        reach_near_fan, reach_near_belt, raise_car, jack_only, set_stands, push_rock, lower_car,
        go_under, come_out, leave_alone, open_pan, cover_pan, pour_away, wash_spill, close_room,
        open_air, touch_voltage, isolate_voltage, open_refrigerant, hand_back,
    )
}  # fmt: skip
