"""What the causes learn from a job: by field and by result, the finding that each answer shows.

One mapping for all pages. A field shows findings, or is read by results, or tells nothing and says
why; a result shows findings.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from weeptrace.quantity import SI
from weeptrace.rules.found import FINDING, features
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead

KEYS: Final = {"shows": "table", "read_by": "words", "tells": "table", "same": "text"}
_FILE: Final = "results.toml"
_TELLS: Final = ("shows", "read_by", "tells")  # a field has one of these
_RESULT: Final = Shape({"shows": "table"}, {"words": "words", "dimension": "text"})
FIGURE: Final = "figure"  # the figure itself, by the finding's own bands
PLACE: Final = "place"
PLACES: Final = ["places"]  # words of a result that names places of the causes
FITTED: Final = "fitted"  # no finding: a feature that the car has

Table = dict[str, Any]


def shows(source: Source, told: Mapping[str, Mapping[str, Any]], causes: Table) -> Table:
    """What each field and each result shows, by finding; ``told``: what the fields say of it."""
    results = source.read(_FILE)
    reader = _Reader(source, causes, results)
    out = {id: reader.result(id, raw) for id, raw in results.items()}
    for id, entry in told.items():
        if id in out:
            source.twice(source.places[id], id, _FILE)
        elif made := reader.field(id, entry):
            out[id] = made
    reader.unread(told)
    return out


def same(told: Mapping[str, Mapping[str, Any]]) -> dict[str, str]:
    """By the finding's field, the field of the job that asks the same question."""
    return {f"{FINDING}.{each['same']}": id for id, each in told.items() if "same" in each}


class _Reader:
    """Checks one entry at a time against what the causes know."""

    def __init__(self, source: Source, causes: Table, results: Table) -> None:
        self.source, self.results = source, results
        self.findings: Table = causes["findings"]
        self.features = features(causes)
        self.file = _FILE

    def fault(self, id: str, words: str) -> None:
        """Note a fault of an entry."""
        self.source.fault(self.file, id, words)

    def result(self, id: str, raw: Any) -> Table:
        """One result: what its words, its places or its figure show."""
        self.file = _FILE
        made = check(self.source, _FILE, id, raw, _RESULT)
        if made is None:
            return {}
        if ("words" in made) == ("dimension" in made):
            self.fault(id, "is no result; add either words or a dimension")
            return {}
        if made.get("dimension", "ratio") not in SI:
            words = f"has an unknown dimension “{made['dimension']}”"
            self.fault(id, f"{words}; {instead(made['dimension'], SI)}")
            return {}
        return self.shown(id, made["shows"], made.get("words"), made.get("dimension"))

    def field(self, id: str, entry: Mapping[str, Any]) -> Table:
        """One field: what it shows; {} where it shows nothing by itself."""
        self.file = self.source.places[id]
        if sum(key in entry for key in _TELLS) != 1:
            self.fault(
                id,
                "does not say what it tells of the causes; add shows = {FINDING = …}, read_by = "
                '["RESULT"], or tells = {nothing = "…", why}, and one of them only',
            )
            return {}
        why = entry.get("tells", {"nothing": "…"})
        if set(why) != {"nothing"} or not isinstance(why["nothing"], str) or not why["nothing"]:
            self.fault(id, 'has a wrong “tells”; write tells = {nothing = "…"}, with the reason')
        for name in entry.get("read_by", ()):
            if name not in self.results:
                mend = instead(name, self.results)
                self.fault(id, f"is read by an unknown result “{name}”; {mend}")
        known = self.source.fields[id]
        kind, options = known["kind"], known.get("options")
        dimension = known.get("dimension", "ratio") if kind in ("quantity", "count") else None
        if "shows" in entry and options is None and dimension is None:
            self.fault(id, f"shows a finding, but is a {kind}; write read_by, or tells")
            return {}
        made = self.shown(id, entry.get("shows", {}), options, dimension)
        given = (each for variable in self.source.state.values() for each in variable["given"])
        if "same" in entry and any(field == id for field, *_ in given):
            words = "counts for another's answer, but has effects on the state"
            self.fault(id, f"{words}; remove its “same”")
        elif "same" in entry and entry["same"] not in made:
            mend = instead(entry["same"], made or self.findings)
            self.fault(id, f"asks the same as “{entry['same']}”, which no word of it shows; {mend}")
        return made

    def unread(self, told: Mapping[str, Mapping[str, Any]]) -> None:
        """A result that no field names is worked out of nothing."""
        self.file = _FILE
        read = {name for entry in told.values() for name in entry.get("read_by", ())}
        for id in self.results:
            if id not in read and id not in told:
                self.fault(id, "is worked out of nothing; add it to the read_by of a field")

    def shown(
        self, id: str, raw: Mapping[str, Any], words: list[str] | None, dimension: str | None
    ) -> Table:
        """By finding, what shows it: by word, by band, ``figure`` or ``place``."""
        out: Table = {}
        for finding, how in raw.items():
            if finding != FITTED and finding not in self.findings:
                mend = instead(finding, [*self.findings, FITTED])
                self.fault(id, f"shows an unknown finding “{finding}”; {mend}")
            elif words == PLACES or dimension is not None:
                made = self._measured(id, finding, how, dimension)
                out |= {} if made is None else {finding: made}
            elif not isinstance(how, dict):
                self.fault(id, f"shows “{finding}” by no word; write {{word = value}}")
            else:
                out[finding] = dict(self._words(id, finding, how, words or []))
        return out

    def _words(
        self, id: str, finding: str, how: Table, words: list[str]
    ) -> Iterator[tuple[str, Any]]:
        for word, value in how.items():
            if word not in words:
                mend = instead(word, words)
                self.fault(id, f"shows “{finding}” by “{word}”, none of its words; {mend}")
            elif self._value(id, finding, value):
                yield word, value

    def _value(self, id: str, finding: str, value: Any) -> bool:
        entry = self.findings.get(finding, {})
        known = self.features if finding == FITTED else entry["values"]
        if value not in known:
            self.fault(id, f"shows “{finding}” as “{value}”; {instead(value, known)}")
        return value in known

    def _measured(self, id: str, finding: str, how: Any, dimension: str | None) -> Any:
        entry = self.findings.get(finding, {})
        if dimension is None:
            if how == PLACE and entry.get("kind") == "places":
                return how
            self.fault(id, f'shows “{finding}” by no place; write "{PLACE}", and a finding of them')
            return None
        if how == FIGURE:
            if entry.get("measure", {}).get("dimension") == dimension:
                return how
            words = f"shows “{finding}” by a {dimension}, which it does not measure"
            self.fault(id, f"{words}; write its bands by limit")
            return None
        if not isinstance(how, list) or not all(isinstance(each, dict) for each in how):
            self.fault(id, f'shows “{finding}” by no band; write "{FIGURE}", or bands by limit')
            return None
        return self._bands(id, finding, how, dimension)

    def _bands(self, id: str, finding: str, how: list[Table], dimension: str) -> list[Table]:
        """Bands by limit, rising to an open one; one without a value shows nothing."""
        for each in how:
            if "value" in each:
                self._value(id, finding, each["value"])
            name = each.get("below")
            if name is None:
                continue
            if not self.source.named("limits", name):
                mend = instead(name, self.source.limits)
                self.fault(id, f"has a band below an unknown limit “{name}”; {mend}")
            elif self.source.limits[name].dimension not in (None, dimension):
                words = f"has a band of {dimension} below “{name}”, another dimension"
                self.fault(id, f"{words}; write a limit of {dimension}")
        if [("below" in each) for each in how] != [True] * (len(how) - 1) + [False]:
            self.fault(id, "has bands that do not end open; write the last with no below")
        return how
