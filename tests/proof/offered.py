"""A state of the search and what is asked about it; what a step asks, and how it can hurt."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from tests.proof import trade
from tests.proof.history import History
from tests.proof.world import ZERO, Node
from weeptrace import screen
from weeptrace.job.procedure import Position, position
from weeptrace.rules import Rules, Step

Told = str | None


class State:
    """A state and what is asked about it, each computed once where it is wanted."""

    def __init__(self, rules: Rules, node: Node) -> None:
        self.rules, self.node = rules, node
        self.now = ZERO.timestamp() + node.now
        self._view: dict[str, Any] | None = None

    @cached_property
    def here(self) -> Position:
        """Where the job stands."""
        return position(self.rules, self.node.job, self.node.read_moment())

    @cached_property
    def offered(self) -> Step | None:
        """The step that is offered; a page that stops the work offers none."""
        step = self.here.step if self.here.gate is None else None
        # ``stops_hot`` and ``lets_off`` ask for such a page.
        takes = step is not None and bool(self.history.hot() or self.history.above())
        return None if self.node.job.stopped is not None or takes else step

    @cached_property
    def sets(self) -> set[str]:
        """The fields that the step asks for."""
        return set() if self.offered is None else sets(self.offered)

    @cached_property
    def hazards(self) -> set[str]:
        """How the step can hurt."""
        return hazards(self.offered, self.sets)

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
