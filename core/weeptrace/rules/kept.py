"""A compiled bundle as a JSON object: its hash, its format, and how it is read.

``{"format": 1, "hash": "0a1b2c3d4e5f", "fields": {...}, ..., "texts": {...}}``. The hash names all
that decides something: neither the words nor the format's number are in it, and it is the same
whether a JSON writer says 5 or 5.0.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Set
from dataclasses import replace
from typing import Any, Final

from weeptrace.refusal import Refusal
from weeptrace.rules.model import Rules, from_bundle, of_entry
from weeptrace.rules.older import renewed

FORMAT: Final = 1  # one more when bundles of the number before can no longer be read
_BESIDE: Final = ("format", "hash", "texts", "languages")
# By which texts the causes are told; ``words`` in bundles of before they were among the texts.
_BESIDE_CAUSES: Final = ("reasons", "words")


def hash_of(bundle: Mapping[str, Any]) -> str:
    """Twelve hexadecimal digits of SHA-256 over what decides something.

    >>> hash_of({"limits": {"a": 5.0}}) == hash_of({"limits": {"a": 5}, "texts": {"b": "c"}})
    True
    """
    decides = {key: _plain(value) for key, value in bundle.items() if key not in _BESIDE}
    if isinstance(causes := decides.get("causes"), dict):
        for beside in _BESIDE_CAUSES:
            causes.pop(beside, None)
    canonical = json.dumps(decides, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()[:12]


def _plain(value: Any) -> Any:
    """Whole numbers as integers: 5.0 is written 5 once it has been through a browser."""
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_plain(each) for each in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def to_keep(bundle: Mapping[str, Any]) -> dict[str, Any]:
    """A bundle as it is kept for the jobs made on it: without the sentences of the program, which
    come with each version of it.

    >>> to_keep({"hash": "5b1f", "texts": {"door.hold.title.wet": "Wet", "phase.hold": "Hold"}})
    {'hash': '5b1f', 'texts': {'phase.hold': 'Hold'}}
    """
    texts = {id: words for id, words in bundle["texts"].items() if of_entry(id)}
    return {**bundle, "texts": texts}


def read(bundle: Mapping[str, Any]) -> Rules:
    """The typed rules of a bundle.

    Raises ``Refusal``: ``other_rules_format`` where it is of a format that this version does not
    read, ``damaged_rules`` where its content is not what its hash names.
    """
    format = bundle.get("format")
    if format != FORMAT or isinstance(format, bool):
        raise Refusal(
            "other_rules_format",
            "refused.kept.rules_format_version_reads",
            "rules.format",
            "accepted.these",
            {"dumps": json.dumps(format)[:20], "format": FORMAT, "these": str(FORMAT)},
        )
    try:
        if bundle["hash"] == hash_of(bundle):
            return from_bundle(renewed(bundle))
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError):
        raise Refusal(
            "damaged_rules",
            "refused.kept.rules_cant_read_give",
            "rules",
            "accepted.bundle_as_python_weeptrace_rules_out",
        ) from None
    raise Refusal(
        "damaged_rules",
        "refused.kept.rules_other_than_hash",
        "rules",
        "accepted.bundle_as_python_weeptrace_rules_out",
    )


def completed(older: Rules, present: Rules) -> Rules:
    """Older rules, and for what they don't hold yet the entry of the present ones.

    A newer program may ask for a limit, a word or a text that an older bundle has no entry for;
    whatever the older one does hold is as it was. Units and decimals are the reader's, not the
    job's, and the sentences of the program go with the figures that it brings: those are the
    present ones. Another language's words of today stand for the English of today alone: where the
    older rules say something else they are told in their own words.
    """
    own = {id: words for id, words in older.texts.items() if of_entry(id)}
    changed = {id for id, words in own.items() if words != present.texts.get(id)}
    return replace(
        older,
        fields={**present.fields, **older.fields},
        limits={**present.limits, **older.limits},
        state={**present.state, **older.state},
        shows={**present.shows, **older.shows},
        same={**present.same, **older.same},
        gates={**present.gates, **older.gates},
        cautions={**present.cautions, **older.cautions},
        levels={
            **{id: level for id, level in present.levels.items() if id not in older.cautions},
            **older.levels,
        },
        texts={**present.texts, **own},
        unit_sets=present.unit_sets,
        languages={
            language: _translated(older.languages.get(language, {}), words, changed)
            for language, words in present.languages.items()
        },
        decimals={**older.decimals, **present.decimals},
        newest=present.hash,
    )


def _translated(
    older: Mapping[str, Any], present: Mapping[str, Any], changed: Set[str]
) -> dict[str, Any]:
    """One language's words for older rules, of which the English of these ids has changed since."""
    own = {id: words for id, words in older.items() if of_entry(id)}
    return {**own, **{id: words for id, words in present.items() if id not in changed}}
