"""What was opened, lowered, clamped, taken out or raised for the work, and is not back yet."""

from __future__ import annotations

from typing import Final, NamedTuple

from weeptrace.job.car.known import told
from weeptrace.job.state import Job
from weeptrace.rules import Rules


class Back(NamedTuple):
    """A ``variable``, the ``word`` that it must be (``must``), or else must not be, and what a hand
    presses when it is: the ``field``, and ``typed`` into it.
    """

    variable: str
    word: str
    must: bool
    field: str
    typed: str = ""


# Of neck and tray it must be known how they are; of the others only what was done here counts.
BACK: Final = {
    "left.level": Back("level", "off_mark", False, "pressure.level_set"),
    "left.neck": Back("neck", "closed", True, "pressure.cap_on"),
    "left.tester": Back("neck", "tester", False, "pressure.released"),
    "left.plugs": Back("plugs", "out", False, "test.plugs_in"),
    "left.clamps": Back("clamps", "on", False, "test.clamps_off"),
    "left.tray": Back("tray", "on", True, "road.tray_on"),
    "left.raised": Back("raised", "raised", False, "car.raised", "on_ground"),
}


def left(rules: Rules, job: Job, name: str) -> float:
    """1 where something of ``BACK`` is not back as it was, or not known to be; else 0."""
    back = BACK[name]
    word = told(rules, job, rules.state[back.variable], only_shown=not back.must)
    return float((word == back.word) is not back.must)
