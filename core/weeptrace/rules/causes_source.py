"""The knowledge of causes: from TOML files to one checked JSON object.

Refused: an unknown key or name, a link without a reason, chances that are no chances, a test that
nothing is learnt from, a finding that no test gives, a cause that nothing shows, a missing word.
"""

from __future__ import annotations

from typing import Any, Final

from weeptrace.rules.causes_entries import Entries, Table
from weeptrace.rules.source import Source

_STOPS: Final = ("runs", "drives", "cranks")


def knowledge(source: Source) -> Table:
    """The knowledge of causes in ``causes/*.toml``; faults are noted in ``source``."""
    return _Reader(source).read()


class _Reader(Entries):
    """One pass over the files: merge, check each entry, then the names between them."""

    def read(self) -> Table:
        """All files merged, checked, and made into what the engine reads."""
        for path in sorted((self.source.folder / "causes").glob("*.toml")):
            self._merge(path.name, self.source.read(f"causes/{path.name}"))
        for scale, top in (("chance", 1.0), ("shift", 100.0)):
            for word, value in self.of[scale].items():
                if not isinstance(value, float) or not 0.0 < value < top:
                    self.fault(scale, word, f"is {value}; between 0 and {top:g}, both left out")
        made = {
            "causes": {id: self.cause(id, each) for id, each in self.of["cause"].items()},
            "states": {id: self.state(id, each) for id, each in self.of["state"].items()},
            "findings": {id: self.finding(id, each) for id, each in self.of["finding"].items()},
            "tests": {id: self._test(id, each) for id, each in self.of["test"].items()},
            "conflicts": [self._pair(index, each) for index, each in enumerate(self.pairs)],
            "blocks": [self._block(index, each) for index, each in enumerate(self.blocks)],
            "cautions": {id: self._caution(id, each) for id, each in self.of["caution"].items()},
            "words": self.words,
        }
        self._reach()
        self._worded()
        return made

    def _merge(self, file: str, table: Table) -> None:
        for kind, entries in table.items():
            if kind == "words":
                self.words = entries
            elif kind in ("conflict", "block"):
                (self.pairs if kind == "conflict" else self.blocks).extend(entries)
                self.stands |= {(kind, str(n)): file for n in range(len(entries))}
            elif kind not in self.of:
                self.source.fault(f"causes/{file}", kind, f"is unknown; use {', '.join(self.of)}")
            else:
                for id, entry in entries.items():
                    if id in self.of[kind]:
                        self.fault(kind, id, f"is a duplicate id; it stands in {file} too")
                    self.of[kind][id] = entry
                    self.stands[kind, id] = file

    def _test(self, id: str, entry: Table) -> Table:
        self.keys("test", id, entry)
        for key in ("minutes", "waits", "worth", "risk"):
            value = entry.get(key, 0)
            if not isinstance(value, int | float) or value < 0:
                self.fault("test", id, f"has {key} = {value}; not below 0")
        for hazard in entry.get("hazards", ()):
            if hazard not in self.hazards:
                self.fault("test", id, f"names an unknown hazard “{hazard}”")
                continue
            for gate in self.hazards[hazard].get("gates", ()):
                if gate not in entry.get("gates", ()):
                    self.fault("test", id, f"has hazard “{hazard}” outside its gate “{gate}”")
        for gate in entry.get("gates", ()):
            if gate not in self.gates:
                self.fault("test", id, f"names an unknown gate “{gate}”")
        needs = {cause.get("needs") for cause in self.of["cause"].values()}
        if "fitted" in entry and entry["fitted"] not in needs:
            self.fault("test", id, f"is for a part that no cause names: “{entry['fitted']}”")
        quiet = {
            "waits": 0, "worth": 0, "risk": 0, "tools": [], "consumables": [], "hazards": [],
            "gates": [], "runs": False, "drives": False, "cranks": False, "teardown": False,
            "visit": False, "fitted": None, "interview": False,
        }  # fmt: skip
        return quiet | entry

    def _pair(self, index: int, entry: Table) -> Table:
        id = str(index)
        self.keys("conflict", id, entry)
        sides = {side: self.answer("conflict", id, entry.get(side, ""), True) for side in "ab"}
        return {**sides, "why": entry.get("why", "")}

    def _block(self, index: int, entry: Table) -> Table:
        id = str(index)
        self.keys("block", id, entry)
        for what in entry.get("stops", ()):
            if what not in _STOPS:
                self.fault("block", id, f"stops “{what}”; use {', '.join(_STOPS)}")
        if entry.get("caution") not in self.of["caution"]:
            self.fault("block", id, f"names an unknown caution “{entry.get('caution')}”")
        return entry | {"when": [self.answer("block", id, each) for each in entry.get("when", ())]}

    def _caution(self, id: str, entry: Table) -> list[list[str]]:
        self.keys("caution", id, entry)
        out: list[list[str]] = []
        known: dict[str, set[str]] = {
            "cause": set(self.of["cause"]),
            "test": set(self.of["test"]),
            "hazard": set(self.hazards),
            "leading": {"leaks"},
            "feature": {str(each.get("needs")) for each in self.of["cause"].values()}
            | {"high_voltage"},
        }
        for when in entry.get("when", ()):
            kind, _, name = when.partition(":")
            if when == "always":
                out.append(["always", ""])
            elif "=" in when:
                out.append(["answer", *self.answer("caution", id, when)])
            elif kind not in known or name not in known[kind]:
                self.fault("caution", id, f"has an unknown condition “{when}”")
            else:
                out.append([kind, name])
        return out

    def _reach(self) -> None:
        """Every test teaches something, every state shows, every cause is linked."""
        findings = self.of["finding"].values()
        taught = {test for each in findings for test in each.get("tests", ())}
        for test in self.of["test"]:
            if test not in taught:
                self.fault("test", test, "is unreachable: no finding comes from it")
        shown: set[Any] = {each.get("state") for each in findings}
        for each in findings:
            named = each.get("places", {})
            shown |= set(named.values()) if isinstance(named, dict) else set()
        if any(each.get("places") == "all" for each in findings):
            shown |= {f"at_{place}" for place in self.all_places()}
        for state in self.of["state"]:
            if state not in shown:
                self.fault("state", state, "is unreachable: no finding shows it")
        entries = [*self.of["state"].values(), *findings]
        linked = {
            cause
            for entry in entries
            for link in entry.get("from", ())
            for cause in link.get("causes", ())
        }
        for cause in self.of["cause"]:
            if cause not in linked:
                self.fault("cause", cause, "is unreachable: no state and no finding links to it")

    def _worded(self) -> None:
        """Every id has its words."""
        of = self.of
        for key, kind in (
            ("cause", "cause"),
            ("test", "test"),
            ("question", "finding"),
            ("caution", "caution"),
        ):
            for id in of[kind]:
                if id not in self.words.get(key, {}):
                    self.fault(kind, id, f"has no words: words.{key}.{id} is missing")
        for id, entry in of["finding"].items():
            for value in entry.get("values", ()):
                if value not in self.words.get("value", {}).get(id, {}):
                    self.fault("finding", id, f"has no words: words.value.{id}.{value} is missing")
        for place in self.all_places():
            if place not in self.words.get("place", {}):
                self.fault("state", f"at_{place}", f"has no words: words.place.{place} is missing")
