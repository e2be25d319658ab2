"""Causes, the states that they bring about, and the findings that show them: each entry checked."""

from __future__ import annotations

import math
from typing import Any, Final

from weeptrace.quantity import SI, parse, to_si
from weeptrace.refusal import Refusal
from weeptrace.rules.causes_entries import OTHERWISE, Entries, Table
from weeptrace.rules.found import PLACE
from weeptrace.rules.shape import Shape
from weeptrace.rules.source import instead

_CAUSE: Final = Shape(
    {
        "weight": "number", "zone": "text", "part": "text", "wrong": "number", "proof": "words",
        "proven_by": "words",
    },
    {"needs": "text", "leaks": "flag"},
)  # fmt: skip
_STATE: Final = Shape({"background": "text", "from": "tables"}, {"run_down": "text"})
_ANY: Final = {"kind": "text", "tests": "words"}
_FINDING: Final = {
    "history": Shape(
        {**_ANY, "misread": "number", "values": "words", "shifts": "tables"},
        {"group": "text", "neutral": "words", "measure": "table"},
    ),
    "sign": Shape(
        {**_ANY, "misread": "number", "values": "words", "background": "table"},
        {
            "neutral": "words", "measure": "table", "state": "text", "given_state": "table",
            "from": "tables",
        },
    ),
    "places": Shape(
        {**_ANY, "misread": "number", "seen": "text", "none": "text"},
        {"places": "table", "source": "flag"},
    ),
    "condition": Shape({**_ANY, "values": "words", "doubts": "tables"}),
}  # fmt: skip
_BY_STATE: Final = Shape({"causes": "words", "how": "text"})
_BY_SIGN: Final = Shape({"causes": "words", "gives": "table"})
_SHIFT: Final = Shape({"value": "text", "causes": "words", "by": "text"})
_DOUBT: Final = Shape({"value": "text", "finding": "text"}, {"misread": "number", "seen": "text"})
_MEASURE: Final = Shape({"dimension": "text", "bands": "tables"})
_BAND: Final = Shape({"value": "text"}, {"below": "text"})
# No answer weighs more than this to 1: one wrong tap can't decide.
_MOST: Final = 50


class Findings(Entries):
    """How a cause, a state and a finding are checked and made; {} where one is at fault."""

    def cause(self, id: str, raw: Any) -> Table:
        """One cause."""
        entry = self.whole("cause", id, raw, _CAUSE)
        if entry is None:
            return {}
        for key in ("weight", "wrong"):
            if entry[key] <= 0:
                self.fault("cause", id, f"has {key} = {entry[key]}; write a number above 0")
        self.names("cause", id, "test", entry["proof"])
        for answer in entry["proven_by"]:
            self.answer("cause", id, answer)
        return {"leaks": True, "needs": None, **entry}

    def state(self, id: str, raw: Any) -> Table:
        """One state."""
        entry = self.whole("state", id, raw, _STATE)
        if entry is None:
            return {}
        links = self.links("state", id, "from", entry["from"], _BY_STATE)
        self.reason("state", id, [OTHERWISE])
        return {
            "background": self.chance("state", id, entry["background"]),
            "run_down": self.chance("state", id, entry["run_down"]) if "run_down" in entry else 0,
            "from": self.by_cause(
                "state", id, links, lambda each: self.chance("state", id, each["how"], each["at"])
            ),
        }

    def finding(self, id: str, raw: Any) -> Table:
        """One finding."""
        kind = raw.get("kind") if isinstance(raw, dict) else None
        if isinstance(kind, str) and kind not in _FINDING:
            words = f"has an unknown kind “{kind}”; {instead(kind, _FINDING)}"
            self.fault("finding", id, words)
            return {}
        all_places = isinstance(raw, dict) and raw.get("places") == "all"
        if all_places:
            raw = {key: value for key, value in raw.items() if key != "places"}
        entry = self.whole("finding", id, raw, _FINDING.get(str(kind), Shape(_ANY)))
        if entry is None:
            return {}
        self.names("finding", id, "test", entry["tests"])
        if not entry["tests"]:
            self.fault("finding", id, "comes from no test; add one to `tests`")
        made: Table = {"kind": kind, "tests": entry["tests"]}
        if kind == "places":
            return made | self._places(id, entry, all_places)
        for value in entry.get("neutral", ()):
            self.value("finding", id, value, entry["values"])
        values = [value for value in entry["values"] if value not in entry.get("neutral", ())]
        if not values:
            self.fault("finding", id, "has no values; add values = […], the quiet one first")
            return {}
        made |= {"values": values, "neutral": entry.get("neutral", [])}
        if kind == "condition":
            return made | {"doubts": self._doubts(id, entry)}
        made["misread"] = self.share("finding", id, entry)
        if "measure" in entry:
            made["measure"] = self._measure(id, entry["measure"], values)
        if kind == "history":
            made["group"] = entry.get("group", id)
            return made | {"shifts": self._shifts(id, entry["shifts"], values)}
        return made | self._sign(id, entry, values)

    def _sign(self, id: str, entry: Table, values: list[str]) -> Table:
        state = entry.get("state")
        if state is not None:
            self.names("finding", id, "state", [state])
        if (state is None) != ("given_state" not in entry):
            self.fault("finding", id, "has one of state and given_state; add the other")
        if state is None and not entry.get("from"):
            self.fault("finding", id, "is a sign of nothing; add state, or links in `from`")
        links = self.links("finding", id, "from", entry.get("from", []), _BY_SIGN)
        made = {
            "state": state,
            "given_state": self.spread("finding", id, entry.get("given_state", {}), values),
            "background": self.spread("finding", id, entry["background"], values),
            "from": self.by_cause(
                "finding",
                id,
                links,
                lambda each: self.spread("finding", id, each["gives"], values, each["at"]),
            ),
        }
        if state is not None:
            self.reason("finding", id, [OTHERWISE])
        self._least(id, entry["misread"], made, len(values) - 1)
        return made

    def _least(self, id: str, misread: float, made: Table, wrong: int) -> None:
        """A wrong answer, one of so many, is told often enough that no answer decides alone."""
        spreads = [made["given_state"], *(each["chance"] for each in made["from"].values())]
        least = (
            wrong * max([chance for each in spreads for chance in each[1:]], default=0.0) / _MOST
        )
        if 0.0 < misread < least:
            words = f"has misread = {misread:g}, so that one answer weighs more than {_MOST} to 1"
            self.fault("finding", id, f"{words}; write {math.ceil(1000 * least) / 1000:g} or more")

    def _places(self, id: str, entry: Table, all_places: bool) -> Table:
        places: Table = entry.get("places", {})
        worded = {"worded_as": PLACE} if all_places else {}
        if all_places:
            places = {place: f"at_{place}" for place in self.all_places()}
        elif not places:
            words = 'has no places; add places = "all", or a table of place = state'
            self.fault("finding", id, words)
        self.names("finding", id, "state", map(str, places.values()))
        self.reason("finding", id, [OTHERWISE])
        return {
            "values": [entry["none"], *places],
            "neutral": [],
            "none": entry["none"],
            "places": places,
            "seen": self.chance("finding", id, entry["seen"]),
            "misread": self.share("finding", id, entry),
            "source": entry.get("source", False),
            **worded,
        }

    def _shifts(self, id: str, raw: list[Table], values: list[str]) -> Table:
        out: dict[str, Table] = {value: {} for value in values}
        for link in self.links("finding", id, "shifts", raw, _SHIFT):
            value, at = link["value"], link["at"]
            if not self.value("finding", id, value, values, at):
                continue
            by = self.chance("finding", id, link["by"], at, "shift")
            for cause in link["causes"]:
                self.once("finding", id, out[value], cause, at)
                out[value][cause] = {"by": by}
            self.reason("finding", id, link["causes"], value)
        return out

    def _doubts(self, id: str, entry: Table) -> list[Table]:
        out = []
        for link in self.links("finding", id, "doubts", entry["doubts"], _DOUBT):
            at = link["at"]
            self.names("finding", id, "finding", [link["finding"]], at)
            self.value("finding", id, link["value"], entry["values"], at)
            self.one_reason("finding", id, f"doubt.{id}.{link['value']}.{link['finding']}")
            made = {key: link[key] for key in ("value", "finding")}
            if ("misread" in link) == ("seen" in link):
                words = "doubts a finding by neither misread nor seen, or by both"
                self.fault("finding", id, f"{words}; write one of them", at)
            elif "misread" in link:
                made["misread"] = self.share("finding", id, link, at)
            else:
                made["seen"] = self.chance("finding", id, link["seen"], at)
            out.append(made)
        return out

    def _measure(self, id: str, raw: Any, values: list[str]) -> Table:
        entry = self.whole("finding", id, raw, _MEASURE, ".measure")
        if entry is None:
            return {}
        dimension, at = entry["dimension"], ".measure"
        if dimension not in SI:
            words = f"measures an unknown dimension “{dimension}”; {instead(dimension, SI)}"
            self.fault("finding", id, words, at)
            return {}
        edges: list[float] = []
        bands = [self.whole("finding", id, each, _BAND, at) or {} for each in entry["bands"]]
        for band in bands:
            self.value("finding", id, band.get("value", values[0]), values, at)
            if "below" in band:
                number, _, unit = band["below"].partition(" ")
                try:
                    edges.append(to_si(parse(number).value, unit, dimension))
                except Refusal as problem:
                    words = f"has a band below “{band['below']}”: {problem.message}"
                    self.fault("finding", id, f"{words} Write a number and its unit.", at)
                    return {}
        if len(edges) != len(bands) - 1 or edges != sorted(edges):
            words = "has bands that do not rise to an open one"
            self.fault(
                "finding", id, f"{words}; write them in rising order, the last with no below", at
            )
        return {
            "dimension": dimension,
            "edges": edges,
            "values": [band.get("value") for band in bands],
        }
