"""The knowledge of causes: from TOML files to one checked JSON object.

Refused: an unknown key or name, a link without a reason, chances that are no chances, a test that
nothing is learnt from, a finding that no test gives, a cause that nothing shows, a missing word.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from weeptrace.quantity import SI, parse, to_si
from weeptrace.refusal import Refusal
from weeptrace.rules.source import Source

Table = dict[str, Any]

# The keys that an entry must have, and those that it may have.
_KEYS: Final[dict[str, tuple[tuple[str, ...], tuple[str, ...]]]] = {
    "cause": (("weight", "zone", "part", "wrong", "proof", "proven_by", "why"), ("needs", "leaks")),
    "state": (("background", "why", "from"), ("run_down",)),
    "history": (("group", "misread", "values", "shifts"), ("neutral", "measure")),
    "sign": (
        ("misread", "values", "background"),
        ("neutral", "measure", "state", "given_state", "from", "why"),
    ),
    "places": (("misread", "seen", "none", "places", "why"), ("source",)),
    "condition": (("values", "doubts"), ()),
    "test": (
        ("minutes",),
        (
            "waits", "worth", "risk", "tools", "consumables", "hazards", "gates", "runs", "drives",
            "cranks", "teardown", "visit", "fitted", "interview",
        ),
    ),
    "conflict": (("a", "b", "why"), ()),
    "block": (("when", "stops", "caution", "why"), ()),
    "caution": (("when",), ()),
}  # fmt: skip
_LINKS: Final[dict[str, tuple[str, ...]]] = {
    "state": ("causes", "how", "why"),
    "sign": ("causes", "gives", "why"),
    "history": ("value", "causes", "by", "why"),
    "doubt": ("value", "finding", "why"),
}
# A chance of error for each wrong answer: one wrong tap can't decide.
_LEAST: Final = 1.0 / 50.0
_STOPS: Final = ("runs", "drives", "cranks")


def knowledge(source: Source) -> Table:
    """The knowledge of causes in ``causes/*.toml``; faults are noted in ``source``."""
    return _Reader(source).read()


class _Reader:
    """One pass over the files: merge, check each entry, then the names between them."""

    def __init__(self, source: Source) -> None:
        self.source, self.hazards, self.gates = source, source.hazards, source.gates
        self.of: dict[str, dict[str, Table]] = {
            kind: {} for kind in ("chance", "shift", "cause", "state", "finding", "test", "caution")
        }
        self.pairs: list[Table] = []
        self.blocks: list[Table] = []
        self.words: Table = {}
        self.stands: dict[tuple[str, str], str] = {}

    def fault(self, kind: str, id: str, words: str) -> None:
        file = self.stands.get((kind, id), kind)
        self.source.fault(f"causes/{file}", f"{kind}.{id}", words)

    def read(self) -> Table:
        """All files merged, checked, and made into what the engine reads."""
        for path in sorted((self.source.folder / "causes").glob("*.toml")):
            self._merge(path.name, self.source.read(f"causes/{path.name}"))
        for scale, top in (("chance", 1.0), ("shift", 100.0)):
            for word, value in self.of[scale].items():
                if not isinstance(value, float) or not 0.0 < value < top:
                    self.fault(scale, word, f"is {value}; between 0 and {top:g}, both left out")
        made = {
            "causes": {id: self._cause(id, each) for id, each in self.of["cause"].items()},
            "states": {id: self._state(id, each) for id, each in self.of["state"].items()},
            "findings": {id: self._finding(id, each) for id, each in self.of["finding"].items()},
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

    # --- one entry at a time -------------------------------------------------------------------

    def _keys(self, kind: str, id: str, entry: Table, shape: str = "") -> None:
        must, may = _KEYS[shape or kind]
        extra = ("kind", "tests") if kind == "finding" else ()
        for key in entry:
            if key not in (*must, *may, *extra):
                self.fault(kind, id, f"has an unknown key “{key}”; use {', '.join(must + may)}")
        for key in must:
            if key not in entry:
                self.fault(kind, id, f"lacks “{key}”")
        if "why" in must and not str(entry.get("why", "")).strip():
            self.fault(kind, id, "has no reason; say why in one sentence")

    def _links(self, kind: str, id: str, shape: str, links: Iterable[Table]) -> list[Table]:
        good: list[Table] = []
        for link in links:
            may = (*_LINKS[shape], *(("misread", "seen") if shape == "doubt" else ()))
            missing = [key for key in _LINKS[shape] if not link.get(key)]
            unknown = [key for key in link if key not in may]
            for key in missing:
                lacks = "no reason; say why in one sentence" if key == "why" else f"no “{key}”"
                self.fault(kind, id, f"has a link with {lacks}")
            for key in unknown:
                self.fault(kind, id, f"has a link with an unknown key “{key}”")
            for cause in link.get("causes", ()):
                if cause not in self.of["cause"]:
                    self.fault(kind, id, f"names an unknown cause “{cause}”")
            if not missing and not unknown:
                good.append(link)
        return good

    def _chance(self, kind: str, id: str, word: Any, scale: str = "chance") -> float:
        value = self.of[scale].get(word) if isinstance(word, str) else None
        if not isinstance(value, float):
            known = ", ".join(self.of[scale])
            self.fault(kind, id, f"has “{word}” where a word of the scale is needed: {known}")
            return 0.5
        return value

    def _spread(self, kind: str, id: str, entry: Table, values: list[str]) -> list[float]:
        """Chances of each value, the first taking what is left; they may not add up past 1."""
        out = [0.0] * len(values)
        for value, word in entry.items():
            if value not in values:
                self.fault(kind, id, f"names “{value}”, which is none of its values")
            elif value == values[0]:
                self.fault(kind, id, f"gives “{value}”; the quiet value takes what is left")
            else:
                out[values.index(value)] = self._chance(kind, id, word)
        if sum(out) > 1.0:
            self.fault(kind, id, f"has chances that add up to {sum(out):.2f}, more than 1")
        if out:
            out[0] = max(1.0 - sum(out), 0.0)
        return out

    def _share(self, kind: str, id: str, entry: Table, key: str) -> float:
        value = entry.get(key)
        if not isinstance(value, int | float) or not 0.0 < value < 0.5:
            self.fault(kind, id, f"has {key} = {value}; a chance above 0 and below 0.5")
            return 0.1
        return float(value)

    def _cause(self, id: str, entry: Table) -> Table:
        self._keys("cause", id, entry)
        for key in ("weight", "wrong"):
            value = entry.get(key, 1)
            if not isinstance(value, int | float) or value <= 0:
                self.fault("cause", id, f"has {key} = {value}; more than 0")
        for test in entry.get("proof", ()):
            if test not in self.of["test"]:
                self.fault("cause", id, f"names an unknown test “{test}”")
        for answer in entry.get("proven_by", ()):
            self._answer("cause", id, answer)
        gives = {
            finding
            for finding, each in self.of["finding"].items()
            if set(each.get("tests", ())) & set(entry.get("proof", ()))
        }
        if not any(answer.partition("=")[0] in gives for answer in entry.get("proven_by", ())):
            self.fault("cause", id, "is proven by no answer of its proof tests")
        return {"leaks": True, "needs": None, **entry}

    def _state(self, id: str, entry: Table) -> Table:
        self._keys("state", id, entry)
        links = self._links("state", id, "state", entry.get("from", ()))
        return {
            "background": self._chance("state", id, entry.get("background")),
            "run_down": self._chance("state", id, entry["run_down"]) if "run_down" in entry else 0,
            "from": self._by_cause(
                id, "state", links, lambda link: self._chance("state", id, link["how"])
            ),
            "why": entry.get("why", ""),
        }

    def _by_cause(self, id: str, kind: str, links: list[Table], value: Any) -> Table:
        out: Table = {}
        for link in links:
            for cause in link["causes"]:
                if cause in out:
                    self.fault(kind, id, f"links “{cause}” twice")
                out[cause] = {"chance": value(link), "why": link["why"]}
        return out

    def _finding(self, id: str, entry: Table) -> Table:
        kind = str(entry.get("kind"))
        if kind not in ("history", "sign", "places", "condition"):
            self.fault("finding", id, f"has an unknown kind “{kind}”")
            return {}
        self._keys("finding", id, entry, kind)
        made: Table = {"kind": kind, "tests": entry.get("tests", [])}
        for test in made["tests"]:
            if test not in self.of["test"]:
                self.fault("finding", id, f"names an unknown test “{test}”")
        if not made["tests"]:
            self.fault("finding", id, "comes from no test")
        if kind == "places":
            return made | self._places(id, entry)
        values = [v for v in entry.get("values", ()) if v not in entry.get("neutral", ())]
        made |= {"values": values, "neutral": entry.get("neutral", [])}
        if kind == "condition":
            return made | {"doubts": [self._doubt(id, each) for each in entry.get("doubts", ())]}
        made["misread"] = self._share("finding", id, entry, "misread")
        if "measure" in entry:
            made["measure"] = self._measure(id, entry["measure"], values)
        if kind == "history":
            made["group"] = entry.get("group", id)
            made["shifts"] = self._shifts(id, entry, values)
            return made
        least = _LEAST * (len(values) - 1)
        if made["misread"] < least - 1e-9:
            self.fault(
                "finding",
                id,
                f"has misread = {made['misread']}; at least {least:.2g}, so "
                "that no single answer weighs more than 50 to 1",
            )
        state = entry.get("state")
        if (state is None) != ("given_state" not in entry):
            self.fault("finding", id, "needs `state` and `given_state` together")
        if state is not None and state not in self.of["state"]:
            self.fault("finding", id, f"names an unknown state “{state}”")
        if state is not None and not entry.get("why"):
            self.fault("finding", id, "has no reason; say why in one sentence")
        if state is None and not entry.get("from"):
            self.fault("finding", id, "is a sign of nothing: no state and no cause")
        links = self._links("finding", id, "sign", entry.get("from", ()))
        return made | {
            "state": state,
            "given_state": self._spread("finding", id, entry.get("given_state", {}), values),
            "background": self._spread("finding", id, entry.get("background", {}), values),
            "from": self._by_cause(
                id,
                "finding",
                links,
                lambda link: self._spread("finding", id, link["gives"], values),
            ),
            "why": entry.get("why", ""),
        }

    def _places(self, id: str, entry: Table) -> Table:
        places = entry.get("places", {})
        if places == "all":
            places = {
                state.removeprefix("at_"): state
                for state in self.of["state"]
                if state.startswith("at_")
            }
        for place, state in places.items():
            if state not in self.of["state"]:
                self.fault("finding", id, f"names for {place} an unknown state “{state}”")
        return {
            "values": [entry.get("none", "none"), *places],
            "neutral": [],
            "none": entry.get("none", "none"),
            "places": places,
            "seen": self._chance("finding", id, entry.get("seen")),
            "misread": self._share("finding", id, entry, "misread"),
            "source": bool(entry.get("source", False)),
            "why": entry.get("why", ""),
        }

    def _shifts(self, id: str, entry: Table, values: list[str]) -> Table:
        out: Table = {value: {} for value in values}
        for link in self._links("finding", id, "history", entry.get("shifts", ())):
            if link["value"] not in values:
                self.fault("finding", id, f"names “{link['value']}”, which is none of its values")
                continue
            by = self._chance("finding", id, link["by"], "shift")
            for cause in link["causes"]:
                if cause in out[link["value"]]:
                    self.fault("finding", id, f"links “{cause}” twice for {link['value']}")
                out[link["value"]][cause] = {"by": by, "why": link["why"]}
        return out

    def _doubt(self, id: str, link: Table) -> Table:
        self._links("finding", id, "doubt", [link])
        other = self.of["finding"].get(link.get("finding", ""))
        if other is None:
            self.fault("finding", id, f"names an unknown finding “{link.get('finding')}”")
        if link.get("value") not in self.of["finding"][id].get("values", ()):
            self.fault("finding", id, f"names “{link.get('value')}”, which is none of its values")
        made = {"value": link.get("value"), "finding": link.get("finding"), "why": link.get("why")}
        if "misread" in link:
            made["misread"] = self._share("finding", id, link, "misread")
        elif "seen" in link:
            made["seen"] = self._chance("finding", id, link["seen"])
        else:
            self.fault("finding", id, "has a doubt with neither `misread` nor `seen`")
        return made

    def _measure(self, id: str, entry: Table, values: list[str]) -> Table:
        dimension, bands = entry.get("dimension"), entry.get("bands", [])
        if dimension not in SI:
            self.fault("finding", id, f"measures an unknown dimension “{dimension}”")
            return {}
        if not entry.get("why"):
            self.fault("finding", id, "has a measure with no reason; say why in one sentence")
        edges: list[float] = []
        for band in bands:
            if band.get("value") not in values:
                self.fault("finding", id, f"has a band of “{band.get('value')}”, no value of it")
            if "below" in band:
                number, _, unit = band["below"].partition(" ")
                try:
                    edges.append(to_si(parse(number).value, unit, dimension))
                except Refusal as problem:
                    self.fault("finding", id, f"has a band that does not read: {problem}")
        if len(edges) != len(bands) - 1 or edges != sorted(edges):
            self.fault("finding", id, "needs bands in rising order, the last one open")
        names = [band.get("value") for band in bands]
        return {"dimension": dimension, "edges": edges, "values": names}

    def _test(self, id: str, entry: Table) -> Table:
        self._keys("test", id, entry)
        for key in ("minutes", "waits", "worth", "risk"):
            value = entry.get(key, 0)
            if not isinstance(value, int | float) or value < 0:
                self.fault("test", id, f"has {key} = {value}; not below 0")
        for hazard in entry.get("hazards", ()):
            if hazard not in self.hazards:
                self.fault("test", id, f"names an unknown hazard “{hazard}”")
                continue
            gate = self.hazards[hazard].get("gate")
            if gate is not None and gate not in entry.get("gates", ()):
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

    # --- names between entries -----------------------------------------------------------------

    def _answer(self, kind: str, id: str, answer: str, any_place: bool = False) -> list[str]:
        finding, _, value = str(answer).partition("=")
        entry = self.of["finding"].get(finding)
        if entry is None:
            self.fault(kind, id, f"names an unknown finding in “{answer}”")
            return [finding, value]
        values = entry.get("values", ())
        if entry.get("kind") == "places":
            values = [entry.get("none"), *(["any"] if any_place else [])]
            named = entry.get("places", {})
            values += list(named) if isinstance(named, dict) else self._all_places()
        if value not in values:
            self.fault(kind, id, f"names an unknown value in “{answer}”")
        return [finding, value]

    def _all_places(self) -> list[str]:
        return [s.removeprefix("at_") for s in self.of["state"] if s.startswith("at_")]

    def _pair(self, index: int, entry: Table) -> Table:
        id = str(index)
        self._keys("conflict", id, entry)
        sides = {side: self._answer("conflict", id, entry.get(side, ""), True) for side in "ab"}
        return {**sides, "why": entry.get("why", "")}

    def _block(self, index: int, entry: Table) -> Table:
        id = str(index)
        self._keys("block", id, entry)
        for what in entry.get("stops", ()):
            if what not in _STOPS:
                self.fault("block", id, f"stops “{what}”; use {', '.join(_STOPS)}")
        if entry.get("caution") not in self.of["caution"]:
            self.fault("block", id, f"names an unknown caution “{entry.get('caution')}”")
        return entry | {"when": [self._answer("block", id, each) for each in entry.get("when", ())]}

    def _caution(self, id: str, entry: Table) -> list[list[str]]:
        self._keys("caution", id, entry)
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
                out.append(["answer", *self._answer("caution", id, when)])
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
            shown |= {f"at_{place}" for place in self._all_places()}
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
        for place in self._all_places():
            if place not in self.words.get("place", {}):
                self.fault("state", f"at_{place}", f"has no words: words.place.{place} is missing")
