"""A state of the search and what is asked about it; what a step asks, and how it can hurt."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from tests.proof import trade
from tests.proof.history import History
from tests.proof.world import ZERO, Node
from weeptrace import screen
from weeptrace.job.procedure import Position
from weeptrace.rules import Rules, Step

Told = str | None


class State:
    """A state and what is asked about it, each computed once where it is wanted."""

    def __init__(self, rules: Rules, node: Node, here: Position) -> None:
        self.rules, self.node, self.here = rules, node, here
        step = here.step if here.gate is None else None
        # A page that stops the work offers no step; ``stops_hot`` and ``lets_off`` ask for it.
        takes = step is not None and bool(self.history.hot() or self.history.above())
        stopped = node.job.stopped is not None or takes
        self.offered: Step | None = None if stopped else step
        self.sets = set() if self.offered is None else sets(self.offered)
        self.hazards = hazards(self.offered, self.sets)
        self.now = ZERO.timestamp() + node.now
        self._view: dict[str, Any] | None = None

    @cached_property
    def history(self) -> History:
        """What the log says happened."""
        return self.node.history()

    def view(self) -> dict[str, Any]:
        """What the screen draws here."""
        if self._view is None:
            chosen = screen.preferences(None, self.rules)
            self._view = screen.view(self.rules, self.node.job, self.node.moment(), chosen)
        return self._view


def sets(step: Step) -> set[str]:
    """The fields that a step asks for, reads or ticks."""
    return {name for name in (step.asks, step.reads, *step.checks) if name is not None}


def hazards(step: Step | None, asked: set[str]) -> set[str]:
    """The hazards of a step: those that it declares, and those that the trade knows of."""
    if step is None:
        return set()
    known = {id for id, names in trade.HAZARDS.items() if asked & set(names)}
    if step.shows == "verdict":  # looks back at the readings; it takes none
        known -= {trade.RUNS, trade.VACUUM}
    return known | set(step.hazards)
