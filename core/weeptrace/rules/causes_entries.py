"""One entry of the knowledge of causes: its keys, its reasons, its chances, the names in it."""

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


class Entries:
    """What was read, and how one entry of each kind is checked and made."""

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
        """Note a fault of an entry, in the file where it stands."""
        file = self.stands.get((kind, id), kind)
        self.source.fault(f"causes/{file}", f"{kind}.{id}", words)

    def keys(self, kind: str, id: str, entry: Table, shape: str = "") -> None:
        """Note keys that an entry must not have, or lacks, and a missing reason."""
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

    def links(self, kind: str, id: str, shape: str, links: Iterable[Table]) -> list[Table]:
        """The links that are whole; faults of the others are noted."""
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

    def chance(self, kind: str, id: str, word: Any, scale: str = "chance") -> float:
        """The number of a word of a scale."""
        value = self.of[scale].get(word) if isinstance(word, str) else None
        if not isinstance(value, float):
            known = ", ".join(self.of[scale])
            self.fault(kind, id, f"has “{word}” where a word of the scale is needed: {known}")
            return 0.5
        return value

    def spread(self, kind: str, id: str, entry: Table, values: list[str]) -> list[float]:
        """Chances of each value, the first taking what is left; they may not add up past 1."""
        out = [0.0] * len(values)
        for value, word in entry.items():
            if value not in values:
                self.fault(kind, id, f"names “{value}”, which is none of its values")
            elif value == values[0]:
                self.fault(kind, id, f"gives “{value}”; the quiet value takes what is left")
            else:
                out[values.index(value)] = self.chance(kind, id, word)
        if sum(out) > 1.0:
            self.fault(kind, id, f"has chances that add up to {sum(out):.2f}, more than 1")
        if out:
            out[0] = max(1.0 - sum(out), 0.0)
        return out

    def share(self, kind: str, id: str, entry: Table, key: str) -> float:
        """A chance that is written as a number."""
        value = entry.get(key)
        if not isinstance(value, int | float) or not 0.0 < value < 0.5:
            self.fault(kind, id, f"has {key} = {value}; a chance above 0 and below 0.5")
            return 0.1
        return float(value)

    def cause(self, id: str, entry: Table) -> Table:
        """One cause, made."""
        self.keys("cause", id, entry)
        for key in ("weight", "wrong"):
            value = entry.get(key, 1)
            if not isinstance(value, int | float) or value <= 0:
                self.fault("cause", id, f"has {key} = {value}; more than 0")
        for test in entry.get("proof", ()):
            if test not in self.of["test"]:
                self.fault("cause", id, f"names an unknown test “{test}”")
        for answer in entry.get("proven_by", ()):
            self.answer("cause", id, answer)
        gives = {
            finding
            for finding, each in self.of["finding"].items()
            if set(each.get("tests", ())) & set(entry.get("proof", ()))
        }
        if not any(answer.partition("=")[0] in gives for answer in entry.get("proven_by", ())):
            self.fault("cause", id, "is proven by no answer of its proof tests")
        return {"leaks": True, "needs": None, **entry}

    def state(self, id: str, entry: Table) -> Table:
        """One state, made."""
        self.keys("state", id, entry)
        links = self.links("state", id, "state", entry.get("from", ()))
        return {
            "background": self.chance("state", id, entry.get("background")),
            "run_down": self.chance("state", id, entry["run_down"]) if "run_down" in entry else 0,
            "from": self._by_cause(
                id, "state", links, lambda link: self.chance("state", id, link["how"])
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

    def finding(self, id: str, entry: Table) -> Table:
        """One finding, made."""
        kind = str(entry.get("kind"))
        if kind not in ("history", "sign", "places", "condition"):
            self.fault("finding", id, f"has an unknown kind “{kind}”")
            return {}
        self.keys("finding", id, entry, kind)
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
        made["misread"] = self.share("finding", id, entry, "misread")
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
        links = self.links("finding", id, "sign", entry.get("from", ()))
        return made | {
            "state": state,
            "given_state": self.spread("finding", id, entry.get("given_state", {}), values),
            "background": self.spread("finding", id, entry.get("background", {}), values),
            "from": self._by_cause(
                id,
                "finding",
                links,
                lambda link: self.spread("finding", id, link["gives"], values),
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
            "seen": self.chance("finding", id, entry.get("seen")),
            "misread": self.share("finding", id, entry, "misread"),
            "source": bool(entry.get("source", False)),
            "why": entry.get("why", ""),
        }

    def _shifts(self, id: str, entry: Table, values: list[str]) -> Table:
        out: Table = {value: {} for value in values}
        for link in self.links("finding", id, "history", entry.get("shifts", ())):
            if link["value"] not in values:
                self.fault("finding", id, f"names “{link['value']}”, which is none of its values")
                continue
            by = self.chance("finding", id, link["by"], "shift")
            for cause in link["causes"]:
                if cause in out[link["value"]]:
                    self.fault("finding", id, f"links “{cause}” twice for {link['value']}")
                out[link["value"]][cause] = {"by": by, "why": link["why"]}
        return out

    def _doubt(self, id: str, link: Table) -> Table:
        self.links("finding", id, "doubt", [link])
        other = self.of["finding"].get(link.get("finding", ""))
        if other is None:
            self.fault("finding", id, f"names an unknown finding “{link.get('finding')}”")
        if link.get("value") not in self.of["finding"][id].get("values", ()):
            self.fault("finding", id, f"names “{link.get('value')}”, which is none of its values")
        made = {"value": link.get("value"), "finding": link.get("finding"), "why": link.get("why")}
        if "misread" in link:
            made["misread"] = self.share("finding", id, link, "misread")
        elif "seen" in link:
            made["seen"] = self.chance("finding", id, link["seen"])
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

    def answer(self, kind: str, id: str, answer: str, any_place: bool = False) -> list[str]:
        """The finding and the value of “finding=value”, both known."""
        finding, _, value = str(answer).partition("=")
        entry = self.of["finding"].get(finding)
        if entry is None:
            self.fault(kind, id, f"names an unknown finding in “{answer}”")
            return [finding, value]
        values = entry.get("values", ())
        if entry.get("kind") == "places":
            values = [entry.get("none"), *(["any"] if any_place else [])]
            named = entry.get("places", {})
            values += list(named) if isinstance(named, dict) else self.all_places()
        if value not in values:
            self.fault(kind, id, f"names an unknown value in “{answer}”")
        return [finding, value]

    def all_places(self) -> list[str]:
        """Every place that a state stands for."""
        return [s.removeprefix("at_") for s in self.of["state"] if s.startswith("at_")]
