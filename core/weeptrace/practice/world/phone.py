"""What a phone stores of a press: its number, its moment on two clocks, as the shell makes it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta, timezone
from typing import Any, Final

ARRIVED: Final = datetime(2026, 11, 25, 8, 0, tzinfo=timezone(timedelta(hours=1)))
JOB: Final = "01990000-0000-7000-8000-0000000000a0"


class Phone:
    """One phone at one job. Times are s since the car arrived.

    The wall clock goes on always; the other counts from the start of the app, and stands still
    while the phone sleeps (``sleep``).
    """

    def __init__(self) -> None:
        self.boots = 1
        self.began = 0.0
        self.slept = 0.0
        self.stored = 0
        self.device = "device-1"

    def sleep(self, seconds: float) -> None:
        """The other clock stands still for so many s."""
        self.slept += seconds

    def restart(self, now: float) -> None:
        """The app was ended, and is opened again."""
        self.boots += 1
        self.began, self.slept = now, 0.0

    def moment(self, now: float) -> dict[str, Any]:
        """``{at, mono, boot}``."""
        at = ARRIVED + timedelta(seconds=now)
        return {
            "at": at.isoformat(timespec="milliseconds"),
            "mono": max(0.0, now - self.began - self.slept) * 1000.0,
            "boot": f"boot-{self.boots}",
        }

    def event(self, seed: Mapping[str, Any], now: float) -> dict[str, Any]:
        """A press as it is stored; ``now`` is its moment."""
        self.stored += 1
        return {
            "id": f"01990000-0000-7000-8000-{self.stored:012x}",
            "device": self.device,
            "seq": self.stored,
            **self.moment(now),
            "job": JOB,
            **seed,
        }

    @staticmethod
    def until(clock: tuple[int, int], now: float) -> float:
        """How long, s, until the wall clock shows this hour and minute."""
        at = ARRIVED + timedelta(seconds=now)
        goal = at.replace(hour=clock[0], minute=clock[1], second=59)
        left = (goal - at).total_seconds()
        return left if left >= 0.0 else left + 86400.0
