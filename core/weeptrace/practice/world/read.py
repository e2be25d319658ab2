"""Readings over time: a needle at its times, or the coolant as it warms."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from weeptrace.practice.world.figure import type_in
from weeptrace.practice.world.player import Player

Json = Mapping[str, Any]

WARMING: Final = 25  # readings of a warm-up at most, one each minute


def read_on(player: Player) -> None:
    """The ``player`` waits for the time that the page names, reads, types; or ends it."""
    block = player.page.blocks("recorder")[0]
    if block["last"] is None:
        player.stays["read"] = 0
    warm = player.page.main is not None and _field(player.page.main) == "warm.coolant"
    if block["last"] is not None and (_warmed if warm else _held)(player):
        return
    start, due = block["start"], block["due"]
    if start is not None and due is not None:
        shown = player.phone.moment(player.world.now)
        same = shown["boot"] == start["boot"]
        gone = (shown["mono"] - start["mono"]) / 1000.0 if same else 0.0
        player.wait(min(max(due - gone, 1.0), 600.0))
    _read(player)


def _field(key: Json) -> str:
    pad = key["do"].get("read")
    return "" if pad is None else str(pad["event"]["field"])


def _read(player: Player) -> None:
    main = player.page.main
    if main is None:
        return
    player.stays["read"] += 1
    at = player.world.now
    type_in(player, main["do"]["read"], at)


def _end(player: Player) -> bool:
    """The key that ends it, with what its words make a hand do."""
    for key in player.page.keys:
        event = key["do"].get("event")
        if event is not None and event["field"].endswith(".ended"):
            if not player.act(player.entry().keys.get(key["label"], ())):
                player.false(event, key["label"])
            player.store(event)
            return True
    return False


def _held(player: Player) -> bool:
    """A hold: on until the page says that it may end, or until patience ends."""
    done = player.stays["read"] >= player.temper.readings
    if done or player.page.says("end") or player.stays["read"] >= 40:
        return _end(player)
    return False


def _warmed(player: Player) -> bool:
    """A warm-up: fan and vents as they are seen, and off at the temperature that the page names."""
    runs = player.world.sense("fan_running") is True
    labels = [key for key in player.page.keys if "event" in key["do"]]
    for key in labels:
        field = key["do"]["event"]["field"]
        seen = player.stays[field]
        if (field == "warm.fan_on" and runs and not seen) or (
            field == "warm.fan_off" and not runs and player.stays["warm.fan_on"] and not seen
        ):
            player.stays[field] += 1
            player.store(key["do"]["event"])
            return True
    stop = min(player.page.shown("temperature"), default=1e3)
    if player.page.says("engine_off") and player.body.warmth() > stop:
        player.body.act(("stop_engine",), player.page)
    vent = next((key for key in player.page.keys if _field(key) == "warm.vent"), None)
    warm = player.body.warmth() > 348.0
    if vent is not None and warm and not player.stays["warm.vent"]:
        player.stays["warm.vent"] += 1
        type_in(player, vent["do"]["read"])
        return True
    often = player.stays["read"] >= min(WARMING, 2 * player.temper.readings)
    if often or player.stays["warm.fan_off"]:
        player.stays["warm.fan_on"] = player.stays["warm.fan_off"] = 0
        player.stays["warm.vent"] = 0
        return _end(player)
    return False
