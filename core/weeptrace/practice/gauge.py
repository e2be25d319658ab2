"""The gauge and its reader: divisions, rounding to half a division, scatter."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Gauge:
    """A needle gauge.

    ``division`` in Pa. ``scatter``: standard deviation of the reader, in divisions, before the
    needle is rounded to half a division (0.3: common practice).
    """

    division: float
    scatter: float = 0.3

    def read(self, pressure: float, rng: random.Random) -> float:
        """What a reader writes down for a gauge pressure, Pa: scatter, then half a division.

        >>> Gauge(2e3, scatter=0.0).read(109_300.0, random.Random(1))
        109000.0
        """
        half = self.division / 2.0
        return round((pressure + rng.gauss(0.0, self.scatter * self.division)) / half) * half

    def readings(self, pressures: Sequence[float], rng: random.Random) -> list[float]:
        """``read`` for one pressure after the other."""
        return [self.read(p, rng) for p in pressures]
