"""What several pages have in common: the key that stops the job, the one that changes a figure."""

from __future__ import annotations

from typing import Final

from tests.screen.hand.plain import Json, event, key
from tests.screen.hand.told import word
from weeptrace.finding import Estimate

CHANGE: Final = key("Change a figure", {"look": "so_far"}, "undo")


def stop(gate: str) -> Json:
    """Stop, refer: for a reason that is asked."""
    stopped = {"reason": event("stopped", f"gate.{gate}")}
    return key(word("screen.stop_refer"), stopped, "stop")


def of(value: float, low: float, high: float, one: float) -> Estimate:
    """A figure with its interval, in units of ``one``."""
    return Estimate(value * one, low * one, high * one)
