"""Whole jobs on drawn cars, for tests and the study of harm."""

from __future__ import annotations

from weeptrace.door.phone import Phone
from weeptrace.practice.world.drawn import some_car
from weeptrace.practice.world.play import play
from weeptrace.practice.world.player import Played
from weeptrace.practice.world.world import World


def job(technician: str, seed: int, honest: bool = False) -> Played:
    """The job of a technician on the car of this seed; ``honest``: who ticks nothing untrue."""
    return play(World(some_car(seed), seed), technician, seed, Phone(), honest)
