"""A job as a phone keeps it: events in, views out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from weeptrace import screen
from weeptrace.door.registry import Json
from weeptrace.job.advance import advance
from weeptrace.job.state import EMPTY
from weeptrace.rules import Rules, load


class Phone:
    """A job on some rules, else those of this version: ``advance`` and ``view`` as on a phone."""

    def __init__(self, rules: Rules | None = None) -> None:
        self._rules = load() if rules is None else rules
        self._job = EMPTY
        self._chosen = screen.preferences(None, self._rules)
        self.rules = self._rules.hash

    def advance(self, event: Mapping[str, Any]) -> str:
        """Take a stored event; what became of it."""
        self._job = advance(self._rules, self._job, event)
        return self._job.seen.get(event["id"], "waiting")

    def view(self, now: Mapping[str, Any], look: str = "") -> Json:
        """The view of the job at a moment."""
        return screen.view(self._rules, self._job, now, self._chosen, look)
