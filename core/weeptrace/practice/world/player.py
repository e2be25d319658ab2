"""One technician at one job: what the phone is given, what the body does, what hurt.

Nothing is known to them but the car and the page. What they press is stored as a phone stores it.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Protocol

from weeptrace.practice.world import hands
from weeptrace.practice.world.answers import Eyes, table
from weeptrace.practice.world.body import Body
from weeptrace.practice.world.harms import Harm
from weeptrace.practice.world.page import Page
from weeptrace.practice.world.phone import Phone
from weeptrace.practice.world.technicians import Temper
from weeptrace.practice.world.world import World

Json = dict[str, Any]

PRESSES: Final = 60  # at one page before even a patient person stops and refers
VISITS: Final = 150  # of one page in a job


class Engine(Protocol):
    """What the phone runs: ``rules`` is the name of those that a new job begins on."""

    rules: str

    def advance(self, event: Mapping[str, Any]) -> str:
        """Take a stored event; what became of it."""

    def view(self, now: Mapping[str, Any], look: str = "") -> Json:
        """The view of the job."""


@dataclass(frozen=True)
class Hurt:
    """A harm, the step at which it came, and the false answer before it, if there was one."""

    harm: Harm
    step: str
    untrue: Json | None


@dataclass
class Played:
    """One job: ``end`` is closed, stopped or bound; ``steps`` how often each page was met."""

    end: str = "bound"
    pages: list[Json] = field(default_factory=list)
    harms: list[Hurt] = field(default_factory=list)
    steps: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0


class Player:
    """One technician at one job."""

    def __init__(self, world: World, temper: Temper, seed: int, engine: Engine) -> None:
        self.world, self.temper, self.engine = world, temper, engine
        self.rng = random.Random(f"technician:{seed}")
        self.phone = Phone()
        self.body = Body(world)
        self.eyes = Eyes(world, self.body, random.Random(f"answers:{seed}"))
        self.played = Played()
        self.page = Page({})
        self.untrue: Json | None = None
        self.lying = False
        self.labels: dict[str, str] = {}  # words of the answers given, by field
        self.last: Json = {}
        self.at = ""
        self.stays: Counter[str] = Counter()
        self.judged = 0

    @property
    def agreed(self) -> bool:
        """Whether the owner said yes to a repair."""
        return self.eyes.given.get("consent.how", "refused") != "refused"

    # --- what the phone is given ------------------------------------------------------------

    def look(self, look: str = "") -> Page:
        """What the phone shows now."""
        return Page(self.engine.view(self.phone.moment(self.world.now), look))

    def store(self, seed: Mapping[str, Any], typed: str | None = None, unit: str | None = None,
              at: float | None = None) -> Json:  # fmt: skip
        """Press: the event is stored, and the job goes on by it."""
        event = self.phone.event(seed, self.world.now if at is None else at)
        if typed is not None:
            event |= {"typed": typed, "unit": unit}
        answer = {key: event[key] for key in ("kind", "field", "typed", "unit")}
        self.played.pages.append(
            {
                "moment": self.world.now,
                "step": self.at,
                "words": self.page.words if self.page.view else [],
                "answer": answer,
                "car": self.world.truth(),
            }
        )
        self.engine.advance(event)
        self.last = event
        if event["kind"] == "fact":
            self.eyes.given[event["field"]] = event["typed"]
            given = self.eyes.given
            undone = given.get("repair.kind") == "none" or given.get("consent.how") == "refused"
            self.body.leaking = undone or "work.left_leaking" in given
        return event

    def false(self, seed: Mapping[str, Any], typed: str) -> None:
        """Note that what is stored next is not so."""
        self.untrue = {
            "moment": self.world.now,
            "step": self.at,
            "field": seed["field"],
            "typed": typed,
        }

    # --- what the body does -----------------------------------------------------------------

    def act(self, acts: tuple[str, ...]) -> bool:
        """Do the acts of some words; whether they were done."""
        if self.lying and acts:
            return False
        self.body.act(acts, self.page)
        self.judge()
        return True

    def judge(self) -> None:
        """What hurt since the last look."""
        for harm in self.world.harms[self.judged :]:
            self.played.harms.append(Hurt(harm, self.at, self.untrue))
        self.judged = len(self.world.harms)

    def wait(self, seconds: float) -> None:
        """Time passes."""
        self.world.wait(seconds)
        self.judge()

    def entry(self) -> hands.Entry:
        """The table's entry for the page."""
        return hands.pages()[self.page.step]


def weary(player: Player) -> bool:
    """Whether the ``player`` pressed so much here, or met it so often, that nobody goes on."""
    step = player.page.step
    player.stays[f"{step}:presses"] += 1
    return player.stays[f"{step}:presses"] > PRESSES or player.stays[step] > VISITS


def reason() -> str:
    """What is typed where a few words are asked for."""
    return str(table()["words"]["reason"])
