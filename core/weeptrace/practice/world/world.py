"""The world of one job: time passes, a body acts, an instrument is read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from weeptrace.practice.world import car_acts, neck_acts, place_acts, senses
from weeptrace.practice.world.scene import Scene

DOES: Final[dict[str, Callable[..., bool]]] = {
    **neck_acts.DOES,
    **car_acts.DOES,
    **place_acts.DOES,
}


class World(Scene):
    """A car that has just arrived, and all that happens to it; see ``Scene``.

    ``now`` is s since it arrived; ``wait`` lets time pass; ``harms`` grows as physics says, and
    nothing is taken back. The same acts with the same ``seed`` give the same world.
    """

    def do(self, act: str, **how: Any) -> bool:
        """A body acts, at once; ``acts.ACTS`` says what there is and what it is told.

        Whether it could be done: nothing is pumped without a tester, nothing poured past a cap.
        ``KeyError`` for an act, or a part, that there is not.
        """
        return DOES[act](self, **how)

    def sense(self, what: str) -> float | bool | str:
        """What an honest person with ordinary instruments finds: one of ``acts.SENSES``, SI."""
        return senses.SENSED[what](self)

    def truth(self) -> dict[str, Any]:
        """The true state, flat, SI: ``acts.TRUTHS``."""
        return senses.truth(self)
