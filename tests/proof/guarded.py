"""What must hold in every state of acts that only some repairs bring: vacuum, dash, timing belt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.proof import trade
from tests.proof.history import value

if TYPE_CHECKING:
    from tests.proof.offered import State


def cold_for_vacuum(state: State) -> str | None:
    """No vacuum is drawn but where it was measured too cold to boil, with no engine run since."""
    if trade.VACUUM not in state.hazards:
        return None
    line = state.history.latest(trade.TEMPERATURE)
    cold = line is not None and value(line) < trade.VACUUM_BELOW
    fresh = line is not None and not state.history.since(line, trade.HEATS)
    return None if cold and fresh else "draws a vacuum that boils what is in it"


def airbags_dead(state: State) -> str | None:
    """No trim comes off before a heater core but with the battery off, and the time waited."""
    history = state.history
    if not state.sets & {*trade.TRIM_OFF} or history.said(trade.REPAIR) != trade.HEATER:
        return None
    waited = history.holds(trade.WAITED, trade.BATTERY_ON, trade.FAN_AGE, state.now) is not None
    off = history.holds(trade.KEY, trade.BATTERY_ON, trade.FAN_AGE, state.now) == "earth_off"
    dead = waited or (off and history.latest(trade.WAITED) is not None)
    return None if dead else "takes trim off with live airbags behind it"


def timed(state: State) -> str | None:
    """No engine starts after its timing belt was off, until it was turned by hand."""
    if trade.RUNS not in state.hazards and not state.sets & {*trade.RUNS_TOO}:
        return None
    off = state.history.said_anew(trade.BELT) == trade.TIMING
    lacks = off and state.history.said_anew(trade.TIMED) is None
    return "starts an engine on a timing belt that nobody turned" if lacks else None
