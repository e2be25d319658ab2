"""The sentences of the program, by language: each an entry of ``rules/text/<language>``.

An id names its words: ``refused.hold.same_time``. An entry that counts has its plural forms below
it, by the names of CLDR: ``refused.files.too_many.one``, ``….other``.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any, Final

LANGUAGE: Final = "en"  # what no other language has words for is told in this one
_RULES: Final = Path(__file__).parent / "rules"

# Which form a count takes; Unicode CLDR, plural rules, cardinal numbers that are whole.
FORMS: Final[dict[str, tuple[str, ...]]] = {"en": ("one", "other"), "pl": ("one", "few", "many")}


def _polish(count: int) -> str:
    if count == 1:
        return "one"
    few = count % 10 in (2, 3, 4) and count % 100 not in (12, 13, 14)
    return "few" if few else "many"


_FORM: Final[dict[str, Callable[[int], str]]] = {
    "en": lambda count: "one" if count == 1 else "other",
    "pl": _polish,
}


def base(language: str) -> str:
    """A language without its region.

    >>> base("en-US"), base("pl")
    ('en', 'pl')
    """
    return language.partition("-")[0]


def form(language: str, count: int) -> str:
    """The plural form of a count.

    >>> form("en", 1), form("en", 0), [form("pl", count) for count in (1, 3, 5, 12, 22)]
    ('one', 'other', ['one', 'few', 'many', 'many', 'few'])
    """
    return _FORM[base(language)](count)


def flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """``{"a": {"b": "x"}}`` as ``("a.b", "x")``."""
    for key, value in table.items():
        name = f"{before}.{key}" if before else key
        if isinstance(value, dict):
            yield from flat(value, name)
        else:
            yield name, value


@cache
def sentences(language: str = LANGUAGE, part: str = "") -> Mapping[str, Any]:
    """Every text of a language by its id, and those of ``LANGUAGE`` where it has none.

    ``part``: a folder of them, for who needs no others; more may come with it.
    In a checkout they are read as they stand, nothing is compiled: a file that does not read is the
    compiler's to tell. Raises ``KeyError`` for a language that is not there.
    """
    _FORM[base(language)]
    if language == LANGUAGE:
        return _own(language, part)
    below = LANGUAGE if language == base(language) else base(language)
    return {**sentences(below, part), **_own(language, part)}


def _own(language: str, part: str) -> Mapping[str, Any]:
    """What a language has words for itself."""
    folder = _RULES / "text"
    if not folder.exists():
        bundle = json.loads((_RULES / "bundle.json").read_text("utf-8"))
        own = bundle["texts"] if language == LANGUAGE else bundle["languages"].get(language, {})
        return dict(own)
    found: dict[str, Any] = {}
    for file in sorted((folder / language / part).rglob("*.toml")):
        with suppress(ValueError, OSError):
            found.update(flat(tomllib.loads(file.read_text("utf-8"))))
    return found


def words_of(
    text: str,
    figures: Mapping[str, object],
    language: str = LANGUAGE,
    texts: Mapping[str, Any] | None = None,
) -> str:
    """The words of a text id, in the plural form of the first count among its figures.

    ``texts``: the words by id, where they are others than the language's. What is no id is told as
    it stands.

    >>> words_of("No such id.", {})
    'No such id.'
    """
    known = sentences(language) if texts is None else texts
    count = next((each for each in figures.values() if isinstance(each, int)), None)
    forms = () if count is None else (form(language, count), form(LANGUAGE, count))
    # Where the language has no words for it, those of another stand there, in its own forms.
    ids = [*(f"{text}.{each}" for each in forms[:1]), text, *(f"{text}.{each}" for each in forms)]
    return str(next((known[id] for id in ids if id in known), text))
