"""What was opened, lowered, clamped, taken out or raised for the work, and is not back yet."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from weeptrace.job.car.known import runs_taken_back, taken_back, told
from weeptrace.job.state import Job
from weeptrace.rules import Rules
from weeptrace.rules.model import Variable


class Back(NamedTuple):
    """A ``variable``, the ``word`` that it must be (``must``), or else must not be, and what a hand
    presses when it is: the ``field``, and ``typed`` into it.
    """

    variable: str
    word: str
    must: bool
    field: str
    typed: str = ""


# Of neck, tray and belt it must be known how they are; of the others what was done here counts.
BACK: Final = {
    "left.level": Back("level", "off_mark", False, "pressure.level_set"),
    "left.neck": Back("neck", "closed", True, "pressure.cap_on"),
    "left.tester": Back("neck", "tester", False, "pressure.released"),
    "left.plugs": Back("plugs", "out", False, "test.plugs_in"),
    "left.clamps": Back("clamps", "on", False, "test.clamps_off"),
    "left.tray": Back("tray", "on", True, "road.tray_on"),
    "left.belt": Back("belt", "turned", True, "timing.turned"),
    "left.raised": Back("raised", "raised", False, "car.raised", "on_ground"),
    "left.coolant": Back("coolant", "drained", False, "coolant.filled"),
}


def left(rules: Rules, job: Job, name: str) -> float:
    """1 where something of ``BACK`` is not back as it was, or not known to be; else 0."""
    back = BACK[name]
    variable = rules.state[back.variable]
    word = told(rules, job, variable, only_shown=not back.must)
    if not back.must and word != back.word:
        ran = runs_taken_back(rules, job) if name == "left.level" else ()
        return float(_still(job, variable, back, ran))
    return float((word == back.word) is not back.must)


def _still(job: Job, variable: Variable, back: Back, ran: Iterable[float]) -> bool:
    """Whether it may be so by an entry that was taken back, with no other answer after it.

    ``ran``: where a run was, by which the level may have fallen.
    """
    at = [touch.number for _, touch, made in taken_back(job, variable) if made == back.word]
    at += ran
    after = max(
        (
            touch.number
            for name, word, _ in variable.given
            if (touch := job.dones.get(name)) and word in (None, job.value(name))
        ),
        default=-1,
    )
    return bool(at) and max(at) > after
