"""What a log of raw events says happened: the oracle's own reading, apart from the job's fold.

It reads nothing but the stored events and which of them were refused, so that a fault of the fold,
of ``touched`` or of a gate shows as a difference. Corrected and taken-back entries did not happen;
a correction keeps the place and the moment of what it corrects. Its time is the true one, which no
clock of the phone has to show.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any, NamedTuple

from tests.proof import trade

_TO_SI = {"K": 1.0, "Pa": 1.0, "m³": 1.0, "kg": 1.0, "1": 1.0, "s": 1.0, "m": 1.0, "kPa": 1e3}


class Line(NamedTuple):
    """One stored event and the true time of it, s, whatever a clock showed."""

    raw: dict[str, Any]
    wall: float


class History:
    """The entries of a log that stand, in order."""

    def __init__(self, lines: Iterable[Line], outcomes: Mapping[str, str]) -> None:
        stands: dict[str, Line] = {}
        for line in lines:
            raw = line.raw
            target = raw.get("supersedes")
            if target is None:
                stands[raw["id"]] = line
            elif target in stands:
                old = stands[target]
                if raw["kind"] == "undo":
                    del stands[target]
                else:  # keeps its place: a dict keeps the order of its keys
                    stands = {
                        (raw["id"] if key == target else key): (
                            Line(raw, old.wall) if key == target else value
                        )
                        for key, value in stands.items()
                    }
        self.lines = [
            line for id, line in stands.items() if outcomes.get(id) not in ("refused", None)
        ]
        self.order = {line.raw["id"]: number for number, line in enumerate(self.lines)}
        self.last = {
            line.raw["field"]: line
            for line in self.lines
            if line.raw["kind"] not in ("note", "resumed")
        }

    def latest(self, field: str) -> Line | None:
        """The latest answer to a field that is known; a clearing mark is not looked at here."""
        found = self.last.get(field)
        return None if found is None or found.raw["kind"] == "not_done" else found

    def said(self, field: str) -> str | None:
        """The word that was last answered."""
        line = self.latest(field)
        return None if line is None else str(line.raw["typed"])

    def number(self, field: str) -> float | None:
        """The number that was last answered, SI."""
        line = self.latest(field)
        return None if line is None else value(line)

    def said_anew(self, field: str, again: str = trade.REOPENED) -> str | None:
        """The word that was last answered since the job, or some test, was last begun again."""
        line, opened = self.latest(field), self.latest(again)
        if line is None or (opened and self.order[line.raw["id"]] < self.order[opened.raw["id"]]):
            return None
        return str(line.raw["typed"])

    def liquid(self) -> tuple[bool, ...]:
        """What shows liquid in a cylinder: last look, gas in any test, what was told, last turn."""
        looks = [word for word in self.each(trade.CYLINDERS) if word in ("wet", "dry")]
        told = self.each(trade.TOLD_LIQUID)
        turned = [w for w in self.each(trade.TURNED) if w != "not_here"][-1:] == ["stops"]
        gas = "changed" in self.each(trade.GAS)
        return looks[-1:] == ["wet"], gas, told[-1:] == ["yes"], turned

    def each(self, field: str) -> list[str]:
        """The word that a field ended with in each round, a mark of its own beginning the next."""
        rounds: list[str | None] = [None]
        begins = trade.BEGUN_BY.get(field, trade.REOPENED)
        for line in self.lines:
            if line.raw["field"] in (begins, trade.REOPENED):
                rounds.append(None)
            elif line.raw["field"] == field:
                rounds[-1] = None if line.raw["kind"] == "not_done" else str(line.raw["typed"])
        return [word for word in rounds if word is not None]

    def opened_since(self, field: str) -> set[str]:
        """The joints that came off or went on after a field was answered, in this round."""
        answer, opened = self.latest(field), self.latest(trade.REOPENED)
        at = max((self.order[line.raw["id"]] for line in (answer, opened) if line), default=-1)
        return {
            line.raw["field"]
            for line in self.lines[at + 1 :]
            if line.raw["field"] in trade.JOINTS and line.raw["kind"] in ("fact", "note")
        }

    def disturbed_since(self, line: Line) -> bool:
        """Whether the system was heated, pumped up or left unwatched after an answer.

        After it in the order of the log, or after it by the clock: what is typed late was measured
        when it says it was.
        """
        return self.since(line, trade.DISTURBS)

    def since(self, line: Line, what: re.Pattern[str]) -> bool:
        """Whether a field of some kind was entered after an answer, in the log or by the clock."""
        place = self.order[line.raw["id"]]
        return any(
            number > place or other.wall > line.wall
            for number, other in enumerate(self.lines)
            if what.fullmatch(did(other.raw))
        )

    def holds(self, field: str, undone: re.Pattern[str], age: float, now: float) -> str | None:
        """The word that was answered lately, with nothing since that undid it; else None."""
        line = self.latest(field)
        if line is None or not -1.0 <= now - line.wall <= age or self.since(line, undone):
            return None
        return str(line.raw["typed"])

    def hot(self) -> bool:
        """Whether it was read hotter than any engine runs on, and nobody has said why since.

        Of what is answered, and not read, the latest answer counts.
        """
        said = self.latest(trade.HAPPENED)
        since = -1 if said is None else self.order[said.raw["id"]]
        told = [line for line in map(self.latest, trade.HOTTEST) if line is not None]
        read = [line for line in self.lines if line.raw["kind"] == "reading"]
        return any(
            self.order[line.raw["id"]] > since and value(line) > trade.STOP_ABOVE
            for line in (*told, *read)
            if line.raw["field"] in trade.HOTTEST
        )

    def gross(self) -> bool:
        """Whether a hold of this round lost half of its pressure at once."""
        read: list[Line] = []
        for line in self.lines:
            if line.raw["field"] in (trade.REOPENED, "hold.again"):
                read = [] if line.raw["field"] == trade.REOPENED else read
            elif line.raw["field"] == trade.HOLD and line.raw["kind"] == "reading":
                read.append(line)
        return any(
            0.0 < after.wall - before.wall <= trade.AT_ONCE
            and value(after) < value(before) / 2.0 > 25e3
            for number, before in enumerate(read)
            for after in read[number:]
        )

    def above(self) -> str:
        """Whether a needle stands above its rating ("on"), or stood so far above it that somebody
        must look, and nobody has since ("look"); else "".
        """
        rating, division = self.number(trade.RATING), self.number(trade.DIVISION) or 0.0
        if rating is None:
            return ""
        on, highest = False, 0.0
        for line in self.lines:
            name, kind = line.raw["field"], line.raw["kind"]
            if name == trade.LOOKED and kind == "fact":
                highest = 0.0
            elif name in trade.LET_OFF and kind == "done":
                on = False
            elif name in trade.RATED and kind in ("fact", "reading"):
                most = trade.RATED[name] * rating
                over = value(line) > 1.000001 * most and value(line) > 0.999999 * (
                    most + division / 2.0
                )
                on, highest = over, max(highest, value(line)) if over else highest
        if on:
            return "on"
        return "look" if highest > trade.SOUND_CAP * rating else ""

    def fan_is_off(self, now: float) -> bool:
        """Whether the fan was made safe, within a working day, and nothing since made it live."""
        return self._still(trade.FAN_OFF, trade.FAN_LIVE, now)

    def key_is_away(self, now: float) -> bool:
        """Whether the engine was kept from starting, within a working day, and none ran since."""
        said = self.holds(trade.KEY, trade.KEY_HERE, trade.FAN_AGE, now)
        return said in trade.KEY_AWAY

    def metal_is_cool(self, now: float) -> bool:
        """Whether it was measured cool, within a working day, and nothing heated it since."""
        line = self.latest(trade.TEMPERATURE)
        if line is None or not -1.0 <= now - line.wall <= trade.TOUCH_AGE:
            return False
        return value(line) < trade.COLD_BELOW and not self.since(line, trade.HEATS)

    def oil(self) -> list[str]:
        """What shows coolant and oil mixed, by its field."""
        cream = [trade.CONDITION] if self.said(trade.CONDITION) in trade.OILY else []
        cream += [trade.SUMP] if "coolant" in self.each(trade.SUMP) else []
        return cream + [name for name in trade.OILS if self.said(name) == trade.MIXED]

    def fan_is_back(self, now: float) -> bool:
        """Whether the fan was put back, within a working day, and not made safe since."""
        return self._still(trade.FAN_ON, trade.FAN_GONE, now)

    def _still(self, names: Iterable[str], undone: re.Pattern[str], now: float) -> bool:
        """Whether one of some fields was answered lately, and nothing undid it since."""
        return any(self.holds(name, undone, trade.FAN_AGE, now) is not None for name in names)

    def later(self, names: Iterable[str], others: Iterable[str]) -> bool:
        """Whether some entry came after every one of some others; names as ``did`` has them, of a
        choice also with its word.
        """

        def last(wanted: Iterable[str]) -> int:
            return max((self.places.get(name, -1) for name in wanted), default=-1)

        return last(names) > last(others)

    @cached_property
    def places(self) -> dict[str, int]:
        """The place in the log of the last entry of each name, as ``later`` has them."""
        found: dict[str, int] = {}
        for number, line in enumerate(self.lines):
            if line.raw["kind"] != "not_done":
                field = line.raw["field"]
                found |= dict.fromkeys(
                    (field, did(line.raw), f"{field} {line.raw['typed']}"), number
                )
        return found

    def put_back(self) -> tuple[bool, ...]:
        """Of neck, level and all that was out for a look: whether each is as it was."""
        return (
            self.later(trade.NECK_CLOSED, trade.NECK_OPENED),
            not self.later(trade.LEVEL_MOVED, trade.LEVEL_SET),
            *(not self.later(out, back) for out, back in trade.OUT_AND_BACK.values()),
        )

    def lacks(self, second: str, before: str) -> bool:
        """Whether one thing was done, and what must follow it was not, in this round."""
        done, followed = self.latest(before), self.latest(second)
        if done is None or followed is None:
            return done is not None
        between = range(self.order[followed.raw["id"]] + 1, self.order[done.raw["id"]])
        marks = (trade.REOPENED, trade.BEGINS.get(second))
        return any(self.lines[number].raw["field"] in marks for number in between)

    def empty(self) -> bool:
        """Whether coolant came out, and none, or by what was typed nothing, went in since."""
        if self.lacks(trade.FILLED, trade.DRAINED):
            return True
        return self.number(trade.FILLED) == 0.0 and self.number(trade.DRAINED) not in (None, 0.0)

    def over_the_ceiling(self) -> bool:
        """Whether price and add-ons that nobody refused are more than was agreed to."""
        added: dict[str, list[dict[str, Line]]] = {kin: [{}] for kin in trade.ADDED}
        for line in self.lines:
            kin, _, what = line.raw["field"].partition(".")
            if line.raw["field"] == trade.REOPENED:  # a new price
                added = {kin: [{}] for kin in trade.ADDED}
            elif kin in added and what == "found":
                added[kin].append({})
            elif kin in added and what in ("price", "how"):
                added[kin][-1][what] = line
        known = (self.number(name) for name in trade.CEILINGS)
        ceiling = next((figure for figure in known if figure is not None), None)
        total = self.number(trade.TOTAL)
        if total is None or ceiling is None:
            return False
        for entry in (entry for entries in added.values() for entry in entries):
            refused = "how" in entry and entry["how"].raw["typed"] == trade.REFUSED
            if "price" in entry and entry["price"].raw["kind"] == "fact" and not refused:
                total += value(entry["price"])
        return total > ceiling


def did(raw: Mapping[str, Any]) -> str:
    """The field of an entry, with the word where a part goes off or on."""
    part = raw["field"].startswith("part.") and raw["kind"] == "fact"
    return f"{raw['field']} {raw['typed']}" if part else str(raw["field"])


def value(line: Line) -> float:
    """The number that was typed, SI; the searches type plain numbers in units of SI."""
    return float(line.raw["typed"]) * _TO_SI[line.raw["unit"] or "1"]


def is_cold(history: History, now: float) -> bool:
    """Measured below 50 °C and without pressure, both lately and with nothing since."""
    temperature, sign = history.latest(trade.TEMPERATURE), history.latest(trade.SIGN)
    if temperature is None or sign is None:
        return False
    fresh = all(
        -1.0 <= now - line.wall <= trade.EVIDENCE_AGE and not history.disturbed_since(line)
        for line in (temperature, sign)
    )
    return fresh and value(temperature) < trade.COLD_BELOW and sign.raw["typed"] != trade.PRESSING


def parts_off(history: History) -> set[str]:
    """The parts that are off."""
    off: set[str] = set()
    for line in history.lines:
        raw = line.raw
        if raw["field"].startswith("part.") and raw["kind"] in ("fact", "note"):
            if raw["typed"] == "on":
                off.discard(raw["field"])
            elif raw["typed"] == "off" or raw["kind"] == "note":
                off.add(raw["field"])
    return off
