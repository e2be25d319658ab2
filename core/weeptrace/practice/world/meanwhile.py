"""What comes between: a call, a night, another person, another look, an answer taken back."""

from __future__ import annotations

from weeptrace.practice.world.player import Json, Player

FOUND = ("extra.found", "broken.found")
HOUR = 3600.0
# What is thought better of with the work half done, where it is most awkward.
UNDER_TESTER = ("test.kind", "after.wanted", "dry.wanted", "consent.how")
IN_PARTS = ("finding.watch", "consent.how")


def meanwhile(player: Player) -> bool:
    """The ``player`` does something else than the page asks; whether to look at it again."""
    rng, temper = player.rng, player.temper
    if rng.random() < temper.breaks and not _busy(player):
        rng.choice((_asleep, _killed, _next_day, _elsewhere, _other_person))(player)
        return True
    if rng.random() < temper.looks:
        player.look(rng.choice(("so_far", "record", "find")))
        player.wait(rng.uniform(5.0, 40.0))
    if rng.random() < temper.returns:
        return _take_back(player)
    if rng.random() < temper.changes and _change(player):
        return True
    return rng.random() < 0.004 and _find_more(player)


def _busy(player: Player) -> bool:
    """Nobody is called away from a running engine, or from under a car.

    Until it was taken in its owner is with it.
    """
    truth = player.world.truth()
    taken_in = "work.where" in player.eyes.given or player.at == "where"
    return bool(truth["engine_running"] or truth["person_under"] or not taken_in)


def _leave(player: Player, seconds: float) -> None:
    """Away from the car."""
    player.body.leave(seconds)
    player.judge()


def _asleep(player: Player) -> None:
    """The phone sleeps in a pocket: one of its clocks stands still."""
    away = player.rng.uniform(0.2, 1.5) * HOUR
    _leave(player, away)
    player.phone.sleep(away)


def _killed(player: Player) -> None:
    """The app is ended by the phone, and opened again."""
    _leave(player, player.rng.uniform(20.0, 1200.0))
    _resume(player)


def _next_day(player: Player) -> None:
    _leave(player, player.rng.uniform(12.0, 20.0) * HOUR)
    _resume(player)


def _elsewhere(player: Player) -> None:
    """The car is pushed to another place; the menu has a key for that."""
    if player.world.truth()["raised"]:
        return
    player.world.do("move_car")
    player.wait(0.5 * HOUR)
    for key in player.page.more:
        event = key["do"].get("event")
        if event is not None and event["field"] == "car.moved" and player.rng.random() < 0.5:
            player.store(event)


def _other_person(player: Player) -> None:
    """Somebody else takes over, who knows what the phone shows and no more."""
    _leave(player, player.rng.uniform(0.1, 1.0) * HOUR)
    player.body.place = "none"
    _resume(player)
    player.at = ""


def _resume(player: Player) -> None:
    player.phone.restart(player.world.now)
    player.store({"kind": "resumed", "field": "app.resumed", "typed": "", "unit": None})


def _take_back(player: Player) -> bool:
    """An earlier answer is taken back, so that its page comes again."""
    rows = [event for event in _answered(player) if event["field"] != "job.number"]
    if not rows:
        return False
    player.store(player.rng.choice(rows))
    player.at = ""
    return True


def _answered(player: Player) -> list[Json]:
    """For each answer that can be taken back, what is stored to do so."""
    return [
        row["do"]["event"]
        for row in player.look("so_far").blocks("state")
        if row.get("do", {}).get("event", {}).get("kind") == "undo"
    ]


def _change(player: Player) -> bool:
    """With a tester on or parts off, the ``player`` or the owner thinks better of a choice."""
    truth = player.world.truth()
    about = UNDER_TESTER if truth["tester_on"] else IN_PARTS if truth["parts_off"] else ()
    given = player.eyes.given
    if not any(name in given for name in about):
        return False
    rows = [event for event in _answered(player) if event["field"] in about]
    if not rows:
        return False
    event = player.rng.choice(rows)
    player.eyes.dropped[event["field"]] = given[event["field"]]
    player.store(event)
    player.at = ""
    return True


def _find_more(player: Player) -> bool:
    """More work shows, or something breaks: the menu has a key for each."""
    for key in player.page.more:
        event = key["do"].get("event")
        if event is not None and event["field"] in FOUND and player.rng.random() < 0.5:
            player.store(event)
            return True
    return False
