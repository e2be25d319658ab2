"""What is pressed on a page, by what it offers: rows, pads, choices, words, keys."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from weeptrace.practice.world import hands
from weeptrace.practice.world.figure import type_in
from weeptrace.practice.world.player import Player, reason, weary
from weeptrace.practice.world.read import read_on

Json = Mapping[str, Any]

TESTS = 4  # times that the next test is asked for, until nobody wants another


def press(player: Player) -> None:
    """One press by the ``player``, or what one does who finds nothing to press: stop, refer."""
    page = player.page
    if weary(player) and _stop(player):
        return
    gate = page.step.startswith(("gate.", "stop."))
    tried = (
        (_gate_pad, _gate_choice, _rows, _words, _gate_away) if gate else
        (_recorder, _ledger, _checklist, _figures, _choice, _words, _pad, _sign, _skip, _main)
    )  # fmt: skip
    for each in tried:
        if each(player):
            return
    if not _stop(player):
        player.wait(600.0)
        player.stays[page.step] += 1


def _stop(player: Player) -> bool:
    """The key "stop, refer", here or in the menu."""
    keys = [*player.page.keys, *player.page.more]
    for key in keys:
        event = key["do"].get("reason")
        if event is not None and event["kind"] == "stopped":
            player.store(event, reason())
            return True
    return False


# --- figures and words ----------------------------------------------------------------------------


def _pad(player: Player) -> bool:
    pads = player.page.blocks("pad")
    if not pads or _skip(player):
        return bool(pads)
    type_in(player, pads[0])
    return True


def _figures(player: Player) -> bool:
    """Rows that each take a figure; a thorough person fills each once."""
    for row in player.page.blocks("state"):
        pad = row.get("do", {}).get("pad")
        empty = row["shape"] == "not_measured" and pad is not None
        if empty and player.rng.random() >= player.temper.skips:
            key = f"{player.page.step}:{pad['event']['field']}"
            player.stays[key] += 1
            if player.stays[key] == 1:
                type_in(player, pad)
                return True
    return False


def _words(player: Player) -> bool:
    texts = player.page.blocks("text")
    if not texts:
        return False
    event = texts[-1]["event"]
    if _skip(player):
        return True
    typed = player.eyes.type(event["field"])[0]
    if not player.act(player.entry().asked.get(texts[-1]["label"], ())):
        player.false(event, typed)
    if event["field"] == "cream.person" and not player.agreed:
        if not player.lying:  # nothing will be mended or flushed: nobody answers for that
            return _stop(player)
        player.false(event, typed)
    player.store(event, typed)
    return True


def _sign(player: Player) -> bool:
    for block in player.page.blocks("signature"):
        if not _skip(player):
            player.store(block["event"], "signature-1")
        return True
    return False


# --- what is chosen and ticked -------------------------------------------------------------------


def _choice(player: Player, table: Mapping[str, tuple[str, ...]] | None = None) -> bool:
    choices = player.page.blocks("choice")
    if not choices or (table is None and _skip(player)):
        return bool(choices)
    rows = choices[0]["rows"]
    words = [row["do"]["event"]["typed"] for row in rows]
    event = rows[0]["do"]["event"]
    if event["field"] == "tester.adapter":
        player.store(event)
        return True
    word = _decided(player, event["field"], words)
    acts = hands.pressed()["gate"] if table is not None else player.entry().chosen
    row = rows[words.index(word)]
    if player.rng.random() < player.temper.slips:
        other = player.rng.choice([each for each in rows if each is not row] or rows)
        _wrong_row(player, other)
        return True
    done = player.act(acts.get(row["label"], ()))
    if not done:
        player.false(event, word)
    player.labels[event["field"]] = row["label"]
    player.store(row["do"]["event"])
    return True


def _wrong_row(player: Player, row: Json) -> None:
    """A wrong answer, taken back at once."""
    before = player.untrue
    event = row["do"]["event"]
    player.false(event, event["typed"])
    id = player.store(event)["id"]
    player.wait(player.rng.uniform(3.0, 10.0))
    for each in player.look("so_far").blocks("state"):
        undo = each.get("do", {}).get("event")
        if undo is not None and undo.get("supersedes") == id:
            player.store(undo)
    player.untrue = before


def _decided(player: Player, name: str, words: list[str]) -> str:
    """The true answer; of a liar the one that sounds best."""
    if name == "drive.decision" and name not in player.eyes.wished:
        return "drive" if player.page.says("drive") else player.rng.choice(("tow", "stays"))
    if name == "test.kind" and player.stays["test_kind"] > TESTS:
        return "none"
    word = player.eyes.choose(name, words)
    if player.lying and word != words[0] and name not in ("work.where", "work.route"):
        player.false({"field": name}, words[0])
        return words[0]
    return word


def _checklist(player: Player) -> bool:
    """Rows to tick, or questions to answer by pressing on; then the main key."""
    lists = player.page.blocks("checklist")
    if not lists:
        return False
    rows = lists[0]["rows"]
    ticks = [row for row in rows if row["do"] and row["do"]["event"]["kind"] == "done"]
    if ticks:
        row = player.rng.choice(ticks) if player.temper.slips else ticks[0]
        event = row["do"]["event"]
        if not player.act(player.entry().rows.get(row["label"], ())):
            player.false(event, row["label"])
        if not player.lying and _failed(player):
            return True
        player.store(event)
        return True
    return any(_press_on(player, row) for row in rows)


def _press_on(player: Player, row: Json) -> bool:
    """Press a question until it shows the true answer; whether it was pressed."""
    event = row["do"]["event"]
    name = event["field"]
    key = f"{player.page.step}:{name}"
    if event["kind"] == "undo" and row["figure"] == "":
        return False
    wanted = player.eyes.given.get(key)
    if wanted is None:
        if player.rng.random() < player.temper.skips:
            wanted = ""
        elif name.startswith("zone."):
            wanted = player.eyes.zone(name)
        else:
            wanted = player.eyes.choose(name, ("no", "yes", "have", "done", "unlikely", "likely",
                                               "hot", "to_the_stop"))  # fmt: skip
        if player.lying and wanted in ("yes", "wet", "hot"):
            wanted = {"yes": "no", "wet": "dry", "hot": "no"}[wanted]
            player.false(event, wanted)
        player.eyes.given[key] = wanted
    shown = player.eyes.given.get(f"{key}:shown", "")
    if not wanted or (row["figure"] and wanted in (shown, row["figure"].lower())):
        return False
    if player.stays[f"{key}:pressed"] > 8:
        return False
    if not player.stays[f"{key}:pressed"] and not player.act(
        player.entry().rows.get(row["label"], ())
    ):
        player.false(event, wanted)
    player.stays[f"{key}:pressed"] += 1
    player.store(event)
    player.eyes.given[f"{key}:shown"] = event["typed"]
    return True


def _failed(player: Player) -> bool:
    """What was to be done could not be: no honest tick. It is worked on the ground, or referred."""
    failed, player.body.failed = player.body.failed, []
    if not failed:
        return False
    if "push_rock" in failed:
        player.eyes.stays_down()
        for row in player.look("so_far").blocks("state"):
            undo = row.get("do", {}).get("event")
            if undo is not None and undo["field"] == "car.raised":
                player.store(undo)
                return True
    return _stop(player)


# --- the pages of their own ----------------------------------------------------------------------


def _recorder(player: Player) -> bool:
    if not player.page.blocks("recorder"):
        return False
    read_on(player)
    return True


def _ledger(player: Player) -> bool:
    """The next part, off or on."""
    ledgers = player.page.blocks("ledger")
    if not ledgers:
        return False
    for row in ledgers[0]["rows"]:
        event = (row["do"] or {}).get("event")
        if event is None or not row["now"]:
            continue
        acts = hands.pressed()[event["typed"]]
        if not player.act(acts.get(row["word"], ())):
            player.false(event, event["typed"])
        player.store(event)
        return True
    return _main(player)


def _skip(player: Player) -> bool:
    """The key that leaves it unmeasured, where there is one and the temper takes it."""
    key = player.page.key("event", "not_done")
    if key is None or player.page.blocks("ledger"):
        return False
    if player.rng.random() >= player.temper.skips:
        return False
    player.store(key["do"]["event"])
    return True


def _another(player: Player) -> bool:
    """Where nothing was found and the page offers another test, every second one does it."""
    key = player.page.key("event", "mark")
    if key is None or player.page.step != "test_enough":
        return False
    if player.stays["test_kind"] >= TESTS or player.rng.random() < 0.5:
        return False
    player.store(key["do"]["event"])
    player.at = ""
    return True


def _main(player: Player) -> bool:
    """The main key, whatever it does."""
    key = player.page.main
    if _another(player):
        return True
    if player.stays[player.page.step] > 1:  # the second time it is left, where a key offers that
        key = player.page.key("reason", "fact") or key
    if key is None:
        return False
    do = key["do"]
    for how in ("event", "photo", "reason"):
        if how in do:
            event = do[how]
            if not player.lying and event["kind"] == "done" and _failed(player):
                return True
            done = not player.lying or not player.entry().acts
            if not done and event["kind"] in ("done", "closed", "mark"):
                player.false(event, key["label"])
            typed = {"event": None, "photo": "picture-1", "reason": reason()}[how]
            player.store(event, typed)
            if event["kind"] == "mark":
                player.at = ""  # it begins anew: the page is read again
            return True
    for how in ("pad", "read", "earlier"):
        if how in do:
            type_in(player, do[how])
            return True
    return False


# --- shut gates and stops ------------------------------------------------------------------------


def _gate_pad(player: Player) -> bool:
    """Measure what is due; where the page says to wait, wait first."""
    page = player.page
    main = page.main
    if main is None:
        return False
    pad = main["do"].get("pad") or main["do"].get("read")
    if pad is None:
        return False
    waited = page.says("wait") and any(b["shape"] == "waits" for b in page.blocks("state"))
    if waited:
        clock = page.clock()
        told = player.phone.until(clock, player.world.now) if clock else 900.0
        player.wait(told if player.temper.waits else min(told, 600.0))
    type_in(player, pad)
    return True


def _gate_choice(player: Player) -> bool:
    """A question of a gate: looked at first, as its heading says."""
    page = player.page
    if not page.blocks("choice"):
        return False
    name = page.blocks("choice")[0]["rows"][0]["do"]["event"]["field"]
    again = f"{page.step}:{name}"
    player.stays[again] += 1
    if player.stays[again] > 6:
        return _stop(player)
    if player.stays[again] > 1:
        player.wait(900.0)
        player.act(player.entry().acts)
    for block in page.blocks("heading"):
        player.act(player.entry().asked.get(block["text"], ()))
    return _choice(player, hands.pressed()["gate"])


def _gate_away(player: Player) -> bool:
    """The key of a shut gate that goes another way, where no hand opens it."""
    key = player.page.key("event", "mark")
    if key is None:
        return False
    player.store(key["do"]["event"])
    return True


def _rows(player: Player) -> bool:
    """Rows that can be pressed: what is missing is done and pressed; a slip is taken back."""
    page = player.page
    for row in page.blocks("state"):
        do = row.get("do", {})
        if "pad" in do:
            key = f"{page.step}:{row['word']}"
            player.stays[key] += 1
            if player.stays[key] < 3:
                type_in(player, do["pad"])
                return True
        event = do.get("event")
        if event is None:
            continue
        key = f"{page.step}:{event['field']}:{event['kind']}"
        player.stays[key] += 1
        if player.stays[key] > (1 if event["kind"] == "undo" else 6):
            continue
        back = event["kind"] == "undo"
        table = hands.pressed()["away" if back else "on" if event["typed"] == "on" else "gate"]
        said = (row["word"], *row["lines"])  # under a question its answer
        acts = next((table[words] for words in said if words in table), ())
        if not player.act(acts) and not back:
            player.false(event, row["word"])
        if "try_relief" in player.body.failed:
            return _stop(player)
        player.store(event)
        return True
    return False
