"""How the car stands where the work stops: what is on, out, off or open, as far as is known."""

from __future__ import annotations

from typing import Final

from weeptrace.job.car import Car, car
from weeptrace.job.events import Moment
from weeptrace.job.procedure import gate_state
from weeptrace.job.state import Job
from weeptrace.rules import Rules

# What hurts first is told first.
ORDER: Final = (
    "turning", "pressure", "vacuum", "hot", "voltage", "isolated", "neck", "liquid", "belt",
    "drained", "opened", "parts_off", "plugs", "fan_off", "battery_off", "raised", "pan", "clamps",
    "tray", "dye",
)  # fmt: skip

HANDS: Final = frozenset({"pressure", "vacuum", "neck", "clamps"})  # what asks for hands at once


def standing(rules: Rules, job: Job, now: Moment) -> list[str]:
    """What somebody who comes to this car now must know, in ``ORDER``, each only where it is so.

    ``hot``: not shown to be cold of late. ``turning``: hands are wanted, and fan or engine was not
    shown dead of late. The others are what was last shown of the car, however
    old that is.
    """
    here = car(rules, job, now)
    cold = gate_state(rules, job, rules.gates["cold"], now).open is True
    told = {
        text
        for id, variable in rules.state.items()
        for word, text in variable.tells.items()
        if here.told(id) == word
    }
    if job.value("belt.kind") != "timing":
        told.discard("belt")  # no other belt holds the valves off the pistons
    told |= {"hot"} - ({"hot"} if cold else set())
    told |= set(_of_parts(here, told))
    dead = all(
        gate_state(rules, job, rules.gates[id], now).open is True for id in ("key_away", "fan_safe")
    )
    told |= {"turning"} if told & HANDS and not dead else set()
    return [name for name in ORDER if name in told]


def _of_parts(here: Car, told: set[str]) -> list[str]:
    opened = here.unfilled > 0 and "drained" not in told
    return [*(["opened"] if opened else []), *(["parts_off"] if here.off else [])]
