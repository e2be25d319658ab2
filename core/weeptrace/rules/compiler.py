"""From TOML files to one checked bundle; every fault of every file is told at once.

Each table is read and checked by a module of its own; what one refuses is said there. A fault names
the file, the line where it is cheaply known, the entry, what is wrong and how to mend it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from weeptrace.rules import (
    acts,
    causes_source,
    figures,
    found,
    safety,
    shows,
    state,
    steps,
    vocabulary,
    words,
)
from weeptrace.rules.kept import FORMAT, hash_of
from weeptrace.rules.languages import languages
from weeptrace.rules.never import never
from weeptrace.rules.source import RulesError, Source


def compile_folder(folder: Path) -> dict[str, Any]:
    """The bundle of a folder of rules, a JSON object. Raises ``RulesError``."""
    return compile_source(Source(folder))


def compile_source(source: Source) -> dict[str, Any]:
    """The bundle of the files of a source. Raises ``RulesError``."""
    source.sources = figures.sources(source)
    source.texts = words.texts(source)
    source.limits = figures.limits(source)
    source.fields = vocabulary.fields(source)
    source.state = state.state(source)
    source.gates = safety.gates(source)
    source.hazards = safety.hazards(source)
    source.acts = acts.acts(source)
    causes = causes_source.knowledge(source)
    shown: dict[str, Any] = {}
    if not source.faults:  # what the causes ask are fields too
        shown = shows.shows(source, source.tells, causes)
        source.fields = {**source.fields, **found.fields(causes)}
    procedures = steps.procedures(source)
    rules = never(source, procedures)
    units = figures.unit_sets(source)
    words.check_texts(source, procedures, units["set"])
    others = languages(source)
    if source.faults:
        raise RulesError(source.faults)
    bundle: dict[str, Any] = {
        "fields": source.fields,
        "limits": {id: limit.value for id, limit in source.limits.items()},
        "state": source.state,
        "gates": source.gates,
        "cautions": {id: entry["caution"] for id, entry in source.hazards.items()},
        "levels": {id: entry["level"] for id, entry in source.hazards.items()},
        "never": rules,
        "procedures": procedures,
        "causes": causes,
        "shows": shown,
        "same": shows.same(source.tells),
        "unit_sets": units["set"],
        "decimals": units["decimals"],
    }
    beside = {"texts": source.texts, "languages": others}
    return {"format": FORMAT, "hash": hash_of(bundle), **bundle, **beside}
