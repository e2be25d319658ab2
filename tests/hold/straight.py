"""The room's fit of nothing but a straight fall, where textbook formulas tell what it must give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from weeptrace.hold.fit import FullFit, fit_robust
from weeptrace.rules import limits


@dataclass(frozen=True)
class Straight:
    """A straight fall: rate and start in divisions and minutes, as the fit of a hold asks for."""

    times: tuple[float, ...]
    pressures: tuple[float, ...]

    def predict(
        self, values: Sequence[float], leaks: bool = True
    ) -> tuple[list[float], list[list[float]]]:
        """Pressures and their derivatives."""
        rate, start = values
        assert leaks
        by_rate = [-t for t in self.times]
        return [start - rate * t for t in self.times], [by_rate, [1.0] * len(self.times)]


def fitted(times: Sequence[float], seen: Sequence[float]) -> FullFit:
    """The room's fit of a straight fall read with a gauge of one unit a division."""
    free = ((-math.inf, math.inf),) * 2
    line = Straight(tuple(times), tuple(seen))
    return fit_robust(line, [0.0, seen[0]], (None, None), free, 1.0, limits())
