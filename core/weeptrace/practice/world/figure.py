"""A figure typed on a pad: as it is, mistyped and corrected, or made up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from weeptrace.practice.world.player import Player

Json = Mapping[str, Any]

# What somebody types who did not look, by its unit.
_FALSE: Final = {"°C": "22", "kPa": "100", "%": "50", "mm": "20", "L": "4.0", "g": "400"}


def type_in(player: Player, pad: Json, at: float | None = None) -> None:
    """The ``player`` types the figure that a pad asks for."""
    event = pad["event"]
    typed, unit = player.eyes.type(event["field"])
    key = f"{player.page.step}:lied"
    if player.lying and typed != _FALSE.get(unit or "", typed) and not player.stays[key]:
        player.stays[key] += 1  # where it is refused, the true figure comes next
        typed = _FALSE[str(unit)]
        player.false(event, typed)
    elif player.rng.random() < player.temper.slips and unit != "1":
        _slip(player, event, typed, unit)
        return
    player.store(event, typed, unit, at)


def _slip(player: Player, event: Json, typed: str, unit: str | None) -> None:
    """A wrong key first; seen at once, and corrected under what is stored so far."""
    wrong = typed.replace(".", "") if "." in typed else f"{typed}0"
    before = player.untrue
    player.false(event, wrong)
    id = player.store(event, wrong, unit)["id"]
    player.wait(player.rng.uniform(3.0, 10.0))
    for row in player.look("so_far").blocks("state"):
        pad = row.get("do", {}).get("pad")
        if pad is not None and pad["event"].get("supersedes") == id:
            player.store(pad["event"], typed, unit)
            player.untrue = before
            return
    player.untrue = before  # it was refused: the page asks again
