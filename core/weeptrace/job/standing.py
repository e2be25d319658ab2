"""How the car stands where the work stops: what is on, out, off or open, as far as is known."""

from __future__ import annotations

from typing import Final

from weeptrace.job.events import Moment
from weeptrace.job.procedure import gate_state, opened_after, parts_out
from weeptrace.job.state import Job
from weeptrace.rules import Rules

# Put on, and what takes it off again.
_PRESSED: Final = (
    ("tester.fitted", "pressure.released"),
    ("test.fitted", "test.released"),
    ("after.fitted", "after.released"),
    ("dry.pumped_up", "dry.released"),
)
_CAUGHT: Final = ("coolant.drained", "transmission.caught")


def standing(rules: Rules, job: Job, now: Moment) -> list[str]:
    """What somebody who comes to this car now must know, what hurts first.

    ``pressure``, ``vacuum``, ``hot`` (not shown cold of late), ``drained``, ``opened``,
    ``parts_off``, ``fan_off``, ``raised``, ``pan``: each only where the job knows of it.
    """
    known = job.value
    pressed = any(known(on) and not known(off) for on, off in _PRESSED)
    vacuum = bool(job.present("vacuum.pressure").readings) and not known("coolant.filled")
    drained = known("coolant.drained") is not None and known("coolant.filled") is None
    opened = not drained and opened_after(rules, job, "coolant.filled") > 0
    caught = any(known(name) is not None for name in _CAUGHT)
    stands = {
        "pressure": pressed,
        "vacuum": vacuum,
        "hot": gate_state(rules, job, rules.gates["cold"], now).open is not True,
        "drained": drained,
        "opened": opened,
        "parts_off": bool(parts_out(rules, job)),
        "fan_off": _last(job, "fan.off", "fan.on"),
        "raised": known("car.raised") == "raised",
        "pan": caught and known("clean.can") is None,
    }
    return [name for name, holds in stands.items() if holds]


def _last(job: Job, done: str, undone: str) -> bool:
    """Whether the first was done, and the second was not done since."""
    if not job.value(done):
        return False
    since = job.touched.get(undone)
    return not job.value(undone) or since is None or since.number < job.touched[done].number
