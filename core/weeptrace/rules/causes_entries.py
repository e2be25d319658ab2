"""One entry of the knowledge of causes: its keys, the words of its chances, the names in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from weeptrace.rules import shape
from weeptrace.rules.shape import Shape, is_kind
from weeptrace.rules.source import Source, instead

Table = dict[str, Any]

KINDS: Final = ("chance", "shift", "cause", "state", "finding", "test", "caution", "due")
OTHERWISE: Final = "otherwise"


class Entries:
    """What was read, by kind and id, and what is common to the checks of every kind."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.of: dict[str, dict[str, Any]] = {kind: {} for kind in KINDS}
        self.stands: dict[tuple[str, str], str] = {}
        # The reasons that are told, by the text's id: the entry, and each link that it is told of.
        self.reasons: dict[str, tuple[str, str, list[str]]] = {}

    def fault(self, kind: str, id: str, words: str, at: str = "") -> None:
        """Note a fault of an entry, in the file where it stands; ``at``: a part of the entry."""
        entry = f"{kind}{id}" if id.startswith("[") else f"{kind}.{id}"
        self.source.fault(self.stands[kind, id], f"{entry}{at}", words)

    def whole(self, kind: str, id: str, raw: Any, keys: Shape, at: str = "") -> Table | None:
        """The keys of an entry or of a part of it; None, faults noted, where it is not whole."""
        entry = f"{kind}{id}" if id.startswith("[") else f"{kind}.{id}"
        return shape.check(self.source, self.stands[kind, id], f"{entry}{at}", raw, keys)

    def named(self, kind: str, id: object) -> bool:
        """Whether an entry is known, or may stand in a file that did not read."""
        return id in self.of[kind] or "causes" in self.source.partial

    def names(self, kind: str, id: str, of: str, wanted: Iterable[str], at: str = "") -> None:
        """Each name is one of its kind."""
        for name in wanted:
            if not self.named(of, name):
                words = f"names an unknown {of} “{name}”; {instead(name, self.of[of])}"
                self.fault(kind, id, words, at)

    def value(self, kind: str, id: str, value: str, values: Iterable[str], at: str = "") -> bool:
        """Whether a value is one of a finding's values."""
        known = value in values
        if not known:
            words = f"names “{value}”, which is none of its values; {instead(value, values)}"
            self.fault(kind, id, words, at)
        return known

    def links(self, kind: str, id: str, key: str, raw: list[Table], keys: Shape) -> list[Table]:
        """The links of an entry that are whole and name known causes."""
        good: list[Table] = []
        for number, each in enumerate(raw, 1):
            at = f".{key}[{number}]"
            link = self.whole(kind, id, each, keys, at)
            if link is not None:
                self.names(kind, id, "cause", link.get("causes", ()), at)
                good.append({**link, "at": at})
        return good

    def chance(self, kind: str, id: str, word: str, at: str = "", scale: str = "chance") -> float:
        """The number of a word of a scale."""
        value = self.of[scale].get(word)
        if isinstance(value, float):
            return value
        if not self.named(scale, word):
            words = f"has “{word}” for a {scale}, no word of scale.toml"
            self.fault(kind, id, f"{words}; {instead(word, self.of[scale])}", at)
        return 0.1  # any: the fault is noted, of the word or of its scale

    def share(self, kind: str, id: str, entry: Table, at: str = "") -> float:
        """How often an answer is misread, written as a number."""
        value = float(entry["misread"])
        if not 0.0 < value < 0.5:
            words = f"has misread = {value:g}; write a chance above 0 and below 0.5"
            self.fault(kind, id, words, at)
        return value

    def spread(
        self, kind: str, id: str, words: Table, values: list[str], at: str = ""
    ) -> list[float]:
        """Chances of each value, the first taking what is left; they may not add up past 1."""
        out = [0.0] * len(values)
        for value, word in words.items():
            if not self.value(kind, id, value, values, at):
                continue
            if value == values[0]:
                told = f"gives “{value}”, the quiet value, which takes what is left; remove it"
                self.fault(kind, id, told, at)
            else:
                out[values.index(value)] = self.chance(kind, id, str(word), at)
        if sum(out) > 1.0:
            told = f"has chances that add up to {sum(out):.2f}; write smaller ones, 1 in all"
            self.fault(kind, id, told, at)
        out[0] = max(1.0 - sum(out), 0.0)
        return out

    def by_cause(self, kind: str, id: str, links: list[Table], made: Any) -> Table:
        """What is made of each link, by the causes that it names, each once."""
        out: Table = {}
        for link in links:
            for cause in link["causes"]:
                self.once(kind, id, out, cause, link["at"])
                out[cause] = {"chance": made(link)}
            self.reason(kind, id, link["causes"])
        return out

    def reason(self, kind: str, id: str, causes: Iterable[str], value: str = "") -> None:
        """Note that a link needs its words; the first of its causes names them.

        ``value``: the answer that it hangs on, for a history. ``[OTHERWISE]`` for the words that a
        finding has where no link says more, and a state where no cause brings it about.
        """
        stem = ".".join(filter(None, (kind, id, value)))
        ids = [f"{stem}.{each}" for each in causes]
        self.reasons[ids[0]] = (kind, id, ids)

    def one_reason(self, kind: str, id: str, key: str) -> None:
        """Note that an entry needs a reason of its own, told by this key."""
        self.reasons[key] = (kind, id, [key])

    def once(self, kind: str, id: str, out: Mapping[str, Any], cause: str, at: str) -> None:
        """A cause is linked once."""
        if cause in out:
            self.fault(kind, id, f"links “{cause}” twice; remove one", at)

    def answer(self, kind: str, id: str, answer: str, *, any_place: bool = False) -> list[str]:
        """The finding and the value of “finding=value”, both known."""
        finding, _, value = answer.partition("=")
        self.names(kind, id, "finding", [finding])
        values = self.values(self.of["finding"].get(finding), any_place)
        if values and value not in values and "causes" not in self.source.partial:
            words = f"names an unknown value in “{answer}”; {instead(value, values)}"
            self.fault(kind, id, words)
        return [finding, value]

    def values(self, entry: Any, any_place: bool = False) -> list[str]:
        """All answers that a finding takes; none where its entry is not whole."""
        if not isinstance(entry, dict):
            return []
        if entry.get("kind") != "places":
            values = entry.get("values", [])
            return values if is_kind("words", values) else []
        named = entry.get("places", {})
        places = list(named) if isinstance(named, dict) else self.all_places()
        return [entry.get("none", "none"), *(["any"] if any_place else []), *places]

    def all_places(self) -> list[str]:
        """Every place that a state stands for."""
        return [s.removeprefix("at_") for s in self.of["state"] if s.startswith("at_")]
