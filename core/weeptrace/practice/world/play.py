"""A technician plays a whole job on a world: reads a page, acts, answers, lets time pass."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from weeptrace.practice.world import hands
from weeptrace.practice.world.meanwhile import meanwhile
from weeptrace.practice.world.player import Engine, Played, Player
from weeptrace.practice.world.press import press
from weeptrace.practice.world.technicians import TEMPERS
from weeptrace.practice.world.world import World

MOST: Final = 1200  # presses; a job that takes more goes in a circle


def play(
    world: World, technician: str, seed: int, engine: Engine, honest: bool = False,
    before: Callable[[Player], bool] | None = None,
) -> Played:  # fmt: skip
    """One whole job by a technician of ``TEMPERS``; the same seed, the same job.

    ``engine`` takes events and gives views; ``seed`` draws what is free: papers, choices, slips.
    ``honest``: the same technician, who ticks nothing untrue. ``before``: what comes before a page
    is read; whether anything came, so that the phone is looked at again. Raises ``KeyError`` for a
    page that the table of hands does not have.
    """
    temper = replace(TEMPERS[technician], lies=0.0) if honest else TEMPERS[technician]
    player = Player(world, temper, seed, engine)
    player.store({"kind": "opened", "field": "rules", "typed": engine.rules, "unit": None})
    player.store({"kind": "fact", "field": "job.number", "typed": "W-1", "unit": None})
    while len(player.played.pages) < MOST:
        player.page = player.look()
        if player.page.step == "record":
            player.played.end = "closed"
            break
        if before is not None and before(player):
            continue
        if _arrive(player):
            break
        if not meanwhile(player):
            press(player)
        player.judge()
    player.played.seconds = world.now
    return player.played


def _arrive(player: Player) -> bool:
    """Read a page that is new, and do what its words say first; whether the job ends here."""
    page, temper, rng = player.page, player.temper, player.rng
    if page.step == player.at:
        player.wait(rng.uniform(1.0, 4.0))
        return False
    player.at = page.step
    for key in [key for key in player.stays if key.startswith(f"{page.step}:")]:
        del player.stays[key]
    player.played.steps[page.step] += 1
    player.stays[page.step] += 1
    entry = player.entry()
    player.body.lids = player.body.lids or page.says("lid")
    player.body.wipes = player.body.wipes or page.says("leaving")
    player.wait(rng.uniform(*temper.pace))
    if page.step == "stopped":
        for block in page.blocks("state"):
            player.act(hands.pressed()["left"].get(block["word"], ()))
        player.played.end = "stopped"
        return True
    player.lying = rng.random() < temper.lies
    said = set(player.labels.values())
    more = [acts for words, acts in entry.earlier.items() if words in said]
    cautioned = entry.cautioned if page.cautions(entry.caution) else ()
    player.act(tuple(act for acts in more for act in acts) + cautioned + entry.acts)
    return False
