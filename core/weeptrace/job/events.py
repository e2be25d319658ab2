"""Events: what was seen or done, as it was typed, never edited afterwards."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final, NamedTuple, TypeGuard

from weeptrace.refusal import Refusal

# opened   the job begins; `typed` names the rules that it runs on
# fact     a value: a quantity, a word, a text
# reading  one reading of a series, taken at the event's own moment
# mark     something happened at that moment: pumped, bumped, ended, engine run
# done     a thing to do was done
# not_done it was not done, or not measured; `typed` says why
# note     words about a field: where a part lies
# photo    `typed` names the picture, which the phone keeps apart and may erase
# stopped  a gate was answered "stop, refer"; `typed` says why
# undo     takes back the event that `supersedes` names
# resumed  the app was opened again on this job
# closed   the job ends
KINDS: Final = (
    "opened", "fact", "reading", "mark", "done", "not_done", "note", "photo", "stopped", "undo",
    "resumed", "closed",
)  # fmt: skip

_CODE: Final = "damaged_event"
SLIP: Final = 1.0  # s; two clocks read one after the other, and a wall clock that is trimmed

_TEXTS: Final = ("id", "device", "at", "boot", "job", "kind", "field", "typed")
KEYS: Final = (*_TEXTS, "seq", "mono", "unit", "supersedes")
"""All that an event says; a shell stores no other key."""
ID: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


class Moment(NamedTuple):
    """When: wall clock (s since 1970), and the monotonic clock (s) of one boot.

    The wall clock may be set while a hold runs; the other may stand still while the phone sleeps
    and starts anew with each boot. Durations go by the monotonic clock within a boot, the age of
    what a gate rests on by the longer of the two.
    """

    wall: float
    mono: float
    boot: str

    def since(self, start: Moment) -> float:
        """Seconds from ``start`` to here: monotonic within one boot, else by the wall clock."""
        return self.mono - start.mono if self.boot == start.boot else self.wall - start.wall

    def age(self, start: Moment) -> float:
        """How old, in s, what was seen at ``start`` is here: by the longer clock.

        Infinite where a clock went back by more than a slip: then nobody knows.
        """
        ages = [self.wall - start.wall]
        if self.boot == start.boot:
            ages.append(self.mono - start.mono)
        return max(ages) if min(ages) >= -SLIP else math.inf

    def second(self, shift: int = 0) -> tuple[str, int]:
        """The second of its boot that it falls into: the key under which a reading is kept."""
        return self.boot, math.floor(self.mono) + shift


class Event(NamedTuple):
    """One stored event (the names of the JSON object; ``typed`` is the text as typed)."""

    id: str
    device: str
    seq: int
    at: str
    moment: Moment
    job: str
    kind: str
    field: str
    typed: str
    unit: str | None
    supersedes: str | None


def is_number(value: Any) -> TypeGuard[float]:
    """Whether a JSON value is a number that a program can count by: below 2^53."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and abs(value) < 2**53


def read_event(raw: Mapping[str, Any], path: str = "event") -> Event:
    """The event of a JSON object. Raises ``Refusal`` (``damaged_event``) where it is not one."""
    for key in _TEXTS:
        if not isinstance(raw.get(key), str):
            raise Refusal(
                _CODE, "refused.events.no_text", f"{path}.{key}", "accepted.text", {"key": key}
            )
    if not is_number(raw.get("mono")):
        raise Refusal(_CODE, "refused.events.no_mono", f"{path}.mono", "accepted.since_boot")
    if not is_number(raw.get("seq")) or int(raw["seq"]) != raw["seq"]:
        raise Refusal(_CODE, "refused.events.no_seq", f"{path}.seq", "accepted.numbers")
    for key in ("unit", "supersedes"):
        if raw.get(key) is not None and not isinstance(raw[key], str):
            raise Refusal(
                _CODE,
                "refused.events.other_than_text",
                f"{path}.{key}",
                "accepted.text_or_null",
                {"key": key},
            )
    if not ID.fullmatch(raw["id"]):
        raise Refusal(_CODE, "refused.events.no_uuid", f"{path}.id", "accepted.uuid")
    return Event(
        id=raw["id"],
        device=raw["device"],
        seq=int(raw["seq"]),
        at=raw["at"],
        moment=read_moment(raw, path),
        job=raw["job"],
        kind=raw["kind"],
        field=raw["field"],
        typed=raw["typed"],
        unit=raw.get("unit"),
        supersedes=raw.get("supersedes"),
    )


def read_moment(raw: Mapping[str, Any], path: str = "now") -> Moment:
    """``{at, mono, boot}`` as a moment; ``at`` is ISO 8601 with its offset, ``mono`` in ms."""
    try:
        at = datetime.fromisoformat(raw["at"])
    except (ValueError, KeyError, TypeError):
        at = None
    if at is None or at.tzinfo is None:
        raise Refusal(_CODE, "refused.events.no_time", f"{path}.at", "accepted.zoned_time")
    return Moment(at.timestamp(), float(raw["mono"]) / 1000.0, str(raw["boot"]))
