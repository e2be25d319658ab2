"""The knowledge of causes: from TOML files to one checked JSON object.

Refused: an unknown key or name, chances that are no chances, a hazard outside its gates, a test
that nothing is learnt from, a finding that no test gives, a cause that nothing shows, an entry or a
link without its words among the texts.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from weeptrace.rules.acts import gates_of
from weeptrace.rules.causes_entries import KINDS, OTHERWISE, Table
from weeptrace.rules.causes_findings import Findings
from weeptrace.rules.found import FINDING, PLACE
from weeptrace.rules.model import LEVELS
from weeptrace.rules.shape import Shape, check, is_kind
from weeptrace.rules.source import Source, instead

_STOPS: Final = ("runs", "drives", "cranks", "leaves")
_FILE: Final = Shape({}, {**dict.fromkeys(KINDS, "table"), "conflict": "tables", "block": "tables"})
_QUIET: Final[Table] = {
    "waits": 0, "worth": 0, "risk": 0, "tools": [], "hazards": [], "gates": [],
    "runs": False, "drives": False, "cranks": False, "leaves": False, "teardown": False,
    "visit": False, "fitted": None, "interview": False,
}  # fmt: skip
_TEST: Final = Shape(
    {"minutes": "number"},
    {
        **dict.fromkeys(("waits", "worth", "risk"), "number"),
        **dict.fromkeys(("tools", "hazards", "gates"), "words"),
        **dict.fromkeys((*_STOPS, "teardown", "visit", "interview"), "flag"),
        "fitted": "text",
    },
)
_CONFLICT: Final = Shape({"a": "text", "b": "text"})
_BLOCK: Final = Shape({"when": "words", "stops": "words", "caution": "text"})
_DUE: Final = Shape({"when": "words", "tests": "words", "until": "words"}, {"beside": "text"})
_CAUTION: Final = Shape({"when": "words", "level": "text"})
# The tops of the two scales; neither end belongs to one.
_TOP: Final = {"chance": 1.0, "shift": 100.0}


def knowledge(source: Source) -> Table:
    """The knowledge of causes in ``causes/*.toml``; faults are noted in ``source``."""
    return _Reader(source).read()


class _Reader(Findings):
    """One pass over the files: merge, check each entry, then the names between them."""

    def __init__(self, source: Source) -> None:
        super().__init__(source)
        self.lists: dict[str, list[tuple[str, str, Table]]] = {"conflict": [], "block": []}

    def read(self) -> Table:
        """All files merged, checked, and made into what the engine reads."""
        for file in self.source.files("causes"):
            self._merge(file, self.source.read(file))
        self._scales()
        of = self.of
        made = {
            "causes": {id: self.cause(id, each) for id, each in of["cause"].items()},
            "states": {id: self.state(id, each) for id, each in of["state"].items()},
            "findings": {id: self.finding(id, each) for id, each in of["finding"].items()},
            "tests": {id: self._test(id, each) for id, each in of["test"].items()},
            "conflicts": [self._pair(*each) for each in self.lists["conflict"]],
            "blocks": [self._block(*each) for each in self.lists["block"]],
            "cautions": {id: self._caution(id, each) for id, each in of["caution"].items()},
            "dues": {id: self._due(id, each) for id, each in of["due"].items()},
            "levels": {id: self._level(id, each) for id, each in of["caution"].items()},
        }
        if not self.source.faults:  # until then, what is missing may only be misspelt
            self._reach()
        if not self.source.faults:
            self._worded()
        return made | {"reasons": self._told()}

    def _merge(self, file: str, table: Table) -> None:
        for kind, raw in table.items():
            entries = (check(self.source, file, kind, {kind: raw}, _FILE) or {}).get(kind)
            if entries is None:
                self.source.partial.add("causes")
            elif kind in self.lists:
                self.lists[kind] += [(file, f"[{n}]", each) for n, each in enumerate(entries, 1)]
            elif kind in self.of:
                for id, entry in entries.items():
                    if id in self.of[kind]:
                        self.source.twice(file, f"{kind}.{id}", self.stands[kind, id])
                    else:
                        self.of[kind][id], self.stands[kind, id] = entry, file

    def _scales(self) -> None:
        for scale, top in _TOP.items():
            for word, value in self.of[scale].items():
                if not is_kind("number", value) or not 0.0 < value < top:
                    words = f"is {value}; write a number above 0 and below {top:g}"
                    self.fault(scale, word, words)

    def _test(self, id: str, raw: Any) -> Table:
        entry = self.whole("test", id, raw, _TEST)
        if entry is None:
            return {}
        for key in ("minutes", "waits", "worth", "risk"):
            if entry.get(key, 0) < 0:
                self.fault("test", id, f"has {key} = {entry[key]}; write 0 or more")
        made = _QUIET | entry
        for hazard in made["hazards"]:
            if not self.source.named("hazards", hazard):
                words = f"names an unknown hazard “{hazard}”"
                self.fault("test", id, f"{words}; {instead(hazard, self.source.hazards)}")
            for gate in self.source.gates:
                if gate in gates_of(self.source, hazard) and gate not in made["gates"]:
                    words = f"has the hazard “{hazard}” outside its gate “{gate}”"
                    self.fault("test", id, f"{words}; add “{gate}” to its gates")
        for gate in made["gates"]:
            if not self.source.named("gates", gate):
                words = f"names an unknown gate “{gate}”; {instead(gate, self.source.gates)}"
                self.fault("test", id, words)
        needs = {str(each.get("needs")) for each in self._all("cause")} - {"None"}
        if made["fitted"] is not None and made["fitted"] not in needs:
            words = f"is for a part that no cause needs: “{made['fitted']}”"
            self.fault("test", id, f"{words}; {instead(made['fitted'], needs)}")
        return made

    def _all(self, kind: str) -> Iterable[Table]:
        return [each for each in self.of[kind].values() if isinstance(each, dict)]

    def _pair(self, file: str, id: str, raw: Any) -> Table:
        self.stands["conflict", id] = file
        entry = self.whole("conflict", id, raw, _CONFLICT)
        if entry is None:
            return {}
        sides = {
            side: self.answer("conflict", id, entry[side], any_place=True) for side in ("a", "b")
        }
        named = "--".join("-".join(side) for side in sides.values())
        self.one_reason("conflict", id, f"conflict.{named}")
        return sides

    def _block(self, file: str, id: str, raw: Any) -> Table:
        self.stands["block", id] = file
        entry = self.whole("block", id, raw, _BLOCK)
        if entry is None:
            return {}
        for what in entry["stops"]:
            if what not in _STOPS:
                self.fault("block", id, f"stops “{what}”; {instead(what, _STOPS)}")
        self.names("block", id, "caution", [entry["caution"]])
        when = [self.answer("block", id, each) for each in entry["when"]]
        if when:
            self.one_reason("block", id, f"block.{'-'.join(when[0])}")
        return entry | {"when": when}

    def _due(self, id: str, raw: Any) -> Table:
        """What is looked for whatever it gains: by which answers, and until which are given."""
        entry = self.whole("due", id, raw, _DUE)
        if entry is None:
            return {}
        self.names("due", id, "test", entry["tests"])
        self.names("due", id, "finding", entry["until"])
        self.names("due", id, "cause", [entry["beside"]] if "beside" in entry else [])
        self.one_reason("due", id, f"due.{id}")
        return entry | {"when": [self.answer("due", id, each) for each in entry["when"]]}

    def _level(self, id: str, raw: Any) -> Any:
        level = raw.get("level") if isinstance(raw, dict) else None
        if isinstance(level, str) and level not in LEVELS:
            self.fault("caution", id, f"has an unknown level “{level}”; {instead(level, LEVELS)}")
        return level

    def _caution(self, id: str, raw: Any) -> list[list[str]]:
        entry = self.whole("caution", id, raw, _CAUTION)
        needs = {str(each.get("needs")) for each in self._all("cause")} - {"None"}
        known = {
            "cause": set(self.of["cause"]),
            "test": set(self.of["test"]),
            "hazard": set(self.source.hazards),
            "leading": {"leaks"},
            "feature": needs | {"high_voltage"},
        }
        out: list[list[str]] = []
        for when in entry["when"] if entry else ():
            kind, _, name = when.partition(":")
            if when == "always":
                out.append(["always", ""])
            elif "=" in when:
                out.append(["answer", *self.answer("caution", id, when)])
            elif kind not in known:
                words = f"has an unknown condition “{when}”"
                mend = 'write "always", "finding=value", or one of these with a colon and a name'
                self.fault("caution", id, f"{words}; {mend}: {', '.join(known)}")
            elif name not in known[kind]:
                words = f"names an unknown {kind} “{name}”; {instead(name, known[kind])}"
                self.fault("caution", id, words)
            else:
                out.append([kind, name])
        return out

    def _reach(self) -> None:
        """Every test teaches something, every state shows, every cause is linked and provable."""
        findings = self.of["finding"]
        taught = {test for each in findings.values() for test in each["tests"]}
        for test in self.of["test"]:
            if test not in taught:
                words = "is unreachable: no finding comes from it"
                self.fault("test", test, f"{words}; add it to the `tests` of one, or remove it")
        shown = {each.get("state") for each in findings.values()}
        for each in findings.values():
            places = each.get("places", {})
            every = {f"at_{place}" for place in self.all_places()}
            shown |= every if places == "all" else set(places.values())
        for state in self.of["state"]:
            if state not in shown:
                words = "is unreachable: no finding shows it"
                self.fault("state", state, f"{words}; add a finding with this state, or remove it")
        links = [
            link for each in (*self._all("state"), *self._all("finding"))
            for link in each.get("from", ())
        ]  # fmt: skip
        linked = {cause for link in links for cause in link["causes"]}
        for cause, entry in self.of["cause"].items():
            if cause not in linked:
                words = "is unreachable: no state and no finding links to it"
                self.fault("cause", cause, f"{words}; add a link, or remove it")
            tests = {
                test for answer in entry["proven_by"]
                for test in findings[answer.partition("=")[0]]["tests"]
            }  # fmt: skip
            if tests.isdisjoint(entry["proof"]):
                words = "is proven by no answer of its proof tests"
                self.fault("cause", cause, f"{words}; add an answer, or a test to `proof`")

    def _worded(self) -> None:
        """Every entry has its texts, and which those are is noted for the texts' own check."""
        needed = {f"test.{id}": ("test", id) for id in self.of["test"]}
        needed |= {f"found_caution.{id}": ("caution", id) for id in self.of["caution"]}
        for id in self.of["cause"]:
            needed |= {f"cause.{id}.{part}": ("cause", id) for part in ("name", "title", "why")}
        for id, entry in self.of["finding"].items():
            needed[f"field.{FINDING}.{id}"] = ("finding", id)
            shared = entry.get("places") == "all"
            for value in self.values(entry):
                place = shared and f"at_{value}" in self.of["state"]
                text = f"choice.{FINDING}.{PLACE if shared else id}.{value}"
                needed[text] = ("state", f"at_{value}") if place else ("finding", id)
        needed |= {f"why.{key}": (kind, id) for key, (kind, id, _) in self.reasons.items()}
        for text, (kind, id) in needed.items():
            if text not in self.source.texts:
                self.fault(kind, id, f"has no words; add {text}")
        for id in self.of["finding"]:
            text = f"finding.{id}.{OTHERWISE}"
            if f"why.{text}" in self.source.texts:
                self.one_reason("finding", id, text)
        self.source.worded = {*needed, *(f"why.{key}" for key in self.reasons)}

    def _told(self) -> dict[str, str]:
        """By which reason each link is told: one reason may be of several causes."""
        return {each: key for key, (_, _, ids) in self.reasons.items() for each in ids}
