"""Bundles of before the words of causes stood among the texts, made as those of now are.

They hold the words in English in ``causes.words``, and a reason there or beside its figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from weeptrace.rules.found import FINDING

_WORDS: Final = "words"


def renewed(bundle: Mapping[str, Any]) -> Mapping[str, Any]:
    """A bundle whose words of causes are texts; any other as it is."""
    causes = bundle["causes"]
    if _WORDS not in causes:
        return bundle
    reasons = dict(_reasons(causes))
    made = {
        **dict(_names(causes)),
        **dict(_answers(causes)),
        **{f"why.{key}": words for key, words in reasons.items()},
    }
    kept = {key: each for key, each in causes.items() if key != _WORDS}
    return {
        **bundle,
        "causes": {**kept, "reasons": {key: key for key in reasons}},
        "texts": {**made, **bundle["texts"]},
    }


def _names(causes: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    words = causes[_WORDS]
    for id, name in words["cause"].items():
        yield f"cause.{id}.name", name
        yield f"cause.{id}.title", _title(name)
    for id, name in words["test"].items():
        yield f"test.{id}", _title(name)
    for id, told in words["caution"].items():
        yield f"found_caution.{id}", told


def _answers(causes: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    words = causes[_WORDS]
    for id, entry in causes["findings"].items():
        yield f"field.{FINDING}.{id}", words["question"][id]
        named = words["value"].get(id, {})
        for value in (*entry["values"], *entry["neutral"]):
            said = named.get(value) or words["place"].get(value) or value.replace("_", " ")
            yield f"choice.{FINDING}.{id}.{value}", _title(said)


def _reasons(causes: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Each link's reason by its key: those of among the words, and those of before that."""
    yield from causes[_WORDS].get("why", {}).items()
    for kind in ("state", "finding"):
        for id, entry in causes[f"{kind}s"].items():
            links = {**entry.get("from", {}), "otherwise": entry if kind == "finding" else {}}
            for value, shifts in entry.get("shifts", {}).items():
                links |= {f"{value}.{cause}": link for cause, link in shifts.items()}
            for name, link in links.items():
                if "why" in link:
                    yield f"{kind}.{id}.{name}", link["why"]
    for each in causes["conflicts"]:
        if "why" in each:
            yield f"conflict.{'-'.join(each['a'])}--{'-'.join(each['b'])}", each["why"]


def _title(words: str) -> str:
    """Those bundles are all in English, and have but the form within a sentence."""
    return words[:1].upper() + words[1:]
