"""A hand at a part: what burns it there, catches it, or strikes it."""

from __future__ import annotations

from weeptrace.practice.world import harms as bound
from weeptrace.practice.world.parts import PARTS
from weeptrace.practice.world.scene import Scene


def touched(scene: Scene, part: str, time: float) -> None:
    """A hand is at a ``part`` for a ``time`` in s: hot metal, belt, fan, voltage."""
    own = PARTS[part]
    at = {
        "coolant": scene.warm.coolant, "metal": scene.warm.metal,
        "exhaust": scene.warm.exhaust, "air": scene.place.air,
    }[own.touch]  # fmt: skip
    if at > bound.burns_from(time):
        scene.hurt("burnt", part)
    if own.turning:
        scene.hands_in()
    if own.voltage and scene.car.drive != "none" and not scene.isolated:
        scene.hurt("shocked", part)
