"""The world of one job: time passes, a body acts, an instrument is read."""

from __future__ import annotations

import random
from typing import Any

from weeptrace.practice.world.cars import WorldCar
from weeptrace.practice.world.harms import Harm


class World:
    """A car that has just arrived, and all that happens to it. ``now`` is s since then.

    ``harms`` grows as physics says; nothing is taken back.
    """

    def __init__(self, car: WorldCar, seed: int) -> None:
        self.car = car
        self.now = 0.0
        self.harms: list[Harm] = []
        self._rng = random.Random(seed)

    def wait(self, seconds: float) -> None:
        """Time passes for this many s."""
        self.now += seconds

    def do(self, act: str, **how: Any) -> None:
        """A body acts, at once; ``acts.ACTS`` says what there is and what it is told."""
        raise NotImplementedError

    def sense(self, what: str) -> float | bool | str:
        """What an honest person with ordinary instruments finds: one of ``acts.SENSES``, SI."""
        raise NotImplementedError

    def truth(self) -> dict[str, Any]:
        """The true state, flat, SI: ``acts.TRUTHS``."""
        raise NotImplementedError
