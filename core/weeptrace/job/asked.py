"""What the page asks a hand to do now, and has no answer to yet."""

from __future__ import annotations

from typing import Final

from weeptrace.job.events import Moment
from weeptrace.job.procedure import gate_state, position
from weeptrace.job.state import Job
from weeptrace.rules import Rules

_CHOSEN: Final = ("choice", "part")  # done with the press itself, or by the ledger's own row


def asked(rules: Rules, job: Job, now: Moment) -> tuple[str, ...]:
    """The fields that the page of ``now`` asks for: what they tell may be done, and not pressed."""
    here = position(rules, job, now)
    if here.gate is not None:
        state = gate_state(rules, job, here.gate, now)
        names: tuple[str, ...] = (*state.missing, *state.stale)
    elif here.step is not None:
        step = here.step
        open_rows = (name for name in step.checks if not job.answered(name))
        names = (*filter(None, (step.asks, step.reads)), *open_rows)
    else:
        names = ()
    return tuple(name for name in names if rules.fields[name].kind not in _CHOSEN)
