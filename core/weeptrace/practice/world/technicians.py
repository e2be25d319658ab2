"""Tempers: how far a technician does what a page says, and what befalls them meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Temper:
    """Shares are chances at each page where the thing is possible, from 0 to 1.

    ``pace``: s spent at a page, from and to. ``skips``: takes the key that leaves a figure out.
    ``waits``: waits as long as the page says; else looks again every few minutes. ``readings``:
    needle readings of a hold at most (the page may ask for fewer). ``slips``: types wrong and
    corrects it at once. ``returns``: takes an earlier answer back, so that the page comes again.
    ``changes``: thinks better of a choice with the tester on or parts off. ``looks``: leaves for
    another look and comes back. ``breaks``: is called away. ``lies``: ticks what was not done, or
    types a figure that is not so.
    """

    pace: tuple[float, float] = (10.0, 60.0)
    skips: float = 0.02
    waits: bool = True
    readings: int = 60
    slips: float = 0.0
    returns: float = 0.0
    changes: float = 0.0
    looks: float = 0.0
    breaks: float = 0.0
    lies: float = 0.0


TEMPERS: Final = {
    "obedient": Temper(),
    "hurried": Temper(pace=(2.0, 8.0), skips=0.8, waits=False, readings=4),
    "confused": Temper(
        pace=(15.0, 120.0), skips=0.1, slips=0.12, returns=0.06, changes=0.25, looks=0.08
    ),
    "interrupted": Temper(skips=0.05, readings=10, changes=0.15, breaks=0.06),
    "untrue": Temper(pace=(2.0, 20.0), skips=0.3, readings=5, lies=0.2),
}
"""The five, by name. Shares are own choices: each of them shows in most jobs."""
