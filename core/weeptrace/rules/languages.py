"""The languages beside English, checked against it: as far as each has got, nothing is amiss.

A language is a folder ``text/<language>`` that holds what it has words for; the rest is told in
English. ``en-US`` holds only what differs from ``en``. A text that counts has all the plural forms
of its language, whatever forms English has for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from weeptrace.rules.source import Source, instead
from weeptrace.rules.words import FOLDER, figures_in, signs
from weeptrace.told import Place
from weeptrace.words import FORMS, LANGUAGE, base, flat


def languages(source: Source) -> dict[str, dict[str, Any]]:
    """The texts of each other language by id; what is wrong in them is noted."""
    table = FOLDER.partition("/")[0]
    found: dict[str, dict[str, Any]] = {}
    at: dict[str, dict[str, str]] = {}  # the file of each text
    sound = not source.faults
    for file in source.files(table):
        language = file.split("/")[1]
        if language == LANGUAGE:
            continue
        if base(language) not in FORMS:
            told = f"is of a language without plural forms; {instead(language, FORMS)}"
            source.fault(file, "", told)
            continue
        texts, stands = found.setdefault(language, {}), at.setdefault(language, {})
        for id, words in flat(source.read(file)):
            if id in texts:
                source.twice(file, id, stands[id])
            texts[id], stands[id] = words, file
            _check(source, file, language, id, words, sound)
    for language, stands in at.items():
        _whole_plurals(source, language, stands)
    return found


def _check(source: Source, file: str, language: str, id: str, words: Any, sound: bool) -> None:
    own, _, last = id.rpartition(".")
    plural = last in FORMS[base(language)] and _counted(source.texts, own) is not None
    english = _counted(source.texts, own) if plural else source.texts.get(id)
    if english is None:
        if sound:  # until then, its English may only be missing
            told = f"is no text in English; {instead(id, source.texts)}"
            source.fault(file, id, told)
        return
    if type(words) is not type(english):
        source.fault(file, id, f"is not of the kind of its English; write it as “{english}” is")
        return
    wanted, named = _named(english), _named(words)
    for name, kind in named.items():
        if wanted.get(name) != kind:
            told = f"names a figure “{name}” as its English does not; mend it: “{english}”"
            source.fault(file, id, told)
    # A form of its own may leave out the count: “one file” needs no figure.
    if not plural and wanted.keys() - named.keys():
        told = f"leaves out “{min(wanted.keys() - named.keys())}”; add it: “{english}”"
        source.fault(file, id, told)
    most, fit = signs(id, words)
    if most > fit:
        told = f"is too long for a phone: {most} signs, {fit} fit; shorten it by {most - fit}"
        source.fault(file, id, told)


def _counted(texts: Mapping[str, Any], id: str) -> Any:
    """The English of a text that counts: its commonest form, or the one that serves all counts."""
    return texts.get(f"{id}.other", texts.get(id))


def _named(words: Any) -> dict[str, str]:
    """The figures that a text names, each with its kind, whatever its size."""
    found: list[Place] = figures_in(words)
    return {each.name: each.kind.removeprefix("small_").removeprefix("long_") for each in found}


def _whole_plurals(source: Source, language: str, stands: Mapping[str, str]) -> None:
    forms = FORMS[base(language)]
    counted = {
        id.rpartition(".")[0]: file for id, file in stands.items() if id.rpartition(".")[2] in forms
    }
    for id, file in counted.items():
        lacking = [form for form in forms if f"{id}.{form}" not in stands]
        if lacking and _counted(source.texts, id) is not None:
            source.fault(file, id, f"lacks a plural form; add {', '.join(lacking)}")
