"""Operations as they are listed and shown: their schemas with the words of a language in them.

The words are texts (``rules/text/<language>/door``), found by operation and path, else by the key
alone in the operation's room, else by the key in any room:

- ``door.hold.assess.in.actions.kind``, ``door.hold.title.kind``, ``door.title.kind``: the title of
  a property, which each has. ``out`` for ``in`` in an answer.
- ``door.hold.assess.in_note.…``, ``door.hold.note.…``, ``door.note.…``: its description, if any.
- ``…in_absent…``, ``…absent…``: what is taken where an input is left out, if anything.
- ``…in_row…``, ``…row…``: what one row of an input's list is called, which each has.
- ``door.hold.assess.in_option.actions.kind.pumped``, ``door.hold.option.pumped``,
  ``door.option.pumped``: the words of one id of an ``enum``, which each has (``none`` for an empty
  one). They stand beside the ids, in their order, as ``x-enum-titles``.
- ``…in_pattern…``, ``…pattern…``: a ``pattern`` in words, which each of an input has; shown as
  ``x-pattern-words``.

A list in a list stands at the path of the outer one and ``rows``. A figure in the words is told in
the reader's units: ``{20 °C:temperature}``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final, Literal, NamedTuple

from weeptrace.door.registry import Json, Operation, is_quantity
from weeptrace.quantity import dimension_of, to_si
from weeptrace.told import Figure, Figures, Place, Told, places, tell
from weeptrace.words import LANGUAGE, sentences

FOLDER: Final = "door"
# Where a kind of words goes in a schema.
_INTO: Final = {
    "title": "title", "row": "title", "option": "title", "note": "description",
    "absent": "x-absent", "pattern": "x-pattern-words",
}  # fmt: skip

# What words may be of: a property, one row of a list, one id of an enum, a pattern.
Part = Literal["property", "row", "option", "pattern"]
# The words at a path.
WordsAt = Callable[[str, Part], Json]


def told(schema: Json, words_at: WordsAt, path: str = "") -> Json:
    """A schema with what ``words_at`` has for the path of each property and row put into it."""
    made: Json = {}
    for key, each in schema.items():
        if key == "properties" and not is_quantity(schema):
            made[key] = {name: _property(part, words_at, path, name) for name, part in each.items()}
        elif key == "items":
            inner = f"{path}.rows" if each.get("type") == "array" else path
            made[key] = {**words_at(path, "row"), **told(each, words_at, inner)}
        elif key == "anyOf":
            made[key] = [told(part, words_at, path) for part in each]
        elif key == "additionalProperties" and isinstance(each, dict):
            made[key] = told(each, words_at, path)
        elif key == "enum":
            words = [words_at(option_at(path, option), "option") for option in each]
            made |= {key: each, "x-enum-titles": [found.get("title", "") for found in words]}
        elif key == "pattern":
            made |= {key: each, **words_at(path, "pattern")}
        else:
            made[key] = each
    return made


def _property(schema: Json, words_at: WordsAt, path: str, name: str) -> Json:
    here = f"{path}.{name}" if path else name
    return {**words_at(here, "property"), **told(schema, words_at, here)}


def option_at(path: str, option: str | None) -> str:
    """Where the words of one id of an ``enum`` stand.

    >>> option_at("actions.kind", "pumped"), option_at("look", "")
    ('actions.kind.pumped', 'look.none')
    """
    return f"{path}.{option or 'none'}"


def ids(operation: str, side: str, kind: str, path: str) -> Iterator[str]:
    """The ids under which words may stand, the nearest first.

    >>> list(ids("fill.mix", "in", "note", "at_hand.kind"))
    ['door.fill.mix.in_note.at_hand.kind', 'door.fill.note.kind', 'door.note.kind']
    """
    key = path.rpartition(".")[2]
    own = side if kind == "title" else f"{side}_{kind}"
    yield f"door.{operation}.{own}.{path}"
    yield f"door.{operation.partition('.')[0]}.{kind}.{key}"
    yield f"door.{kind}.{key}"
    if kind == "option":  # an id that is also the key of a part
        yield from ids(operation, side, "title", key)


def text_at(operation: str, side: str, kind: str, path: str) -> str | None:
    """The id of the words that stand at a path; None where there are none."""
    texts = sentences(LANGUAGE, FOLDER)
    return next((id for id in ids(operation, side, kind, path) if id in texts), None)


def kinds(side: str, part: Part) -> tuple[str, ...]:
    """The kinds of words that a part of a schema has."""
    if part == "option":
        return ("option",)
    if part != "property":
        return (part,) if side == "in" else ()
    return ("title", "note", "absent") if side == "in" else ("title", "note")


class _Line(NamedTuple):
    """Words and their figures, as ``told`` tells them."""

    text: str
    figures: Figures


# How words with figures are told; None for as they are written.
Teller = Callable[[Told], str] | None


def _as_written(place: Place) -> str:
    return place.name.partition(" ")[0] if place.bare else place.name


def _in_words(words: str, teller: Teller) -> str:
    """
    >>> _in_words("of air, {20 °C:temperature}", None)
    'of air, 20 °C'
    """
    if teller is None or "{" not in words:
        return tell(words, _as_written)
    figures = {}
    for place in (each for _, each in places(words) if each is not None):
        number, _, unit = place.name.partition(" ")
        figures[place.name] = Figure(to_si(float(number), unit, dimension_of(unit)), place.kind)
    return teller(_Line(words, figures))


def _said(texts: Mapping[str, Any], operation: str, side: str, teller: Teller) -> WordsAt:
    def words_at(path: str, part: Part) -> Json:
        found = {}
        for kind in kinds(side, part):
            id = next((each for each in ids(operation, side, kind, path) if each in texts), None)
            if id is not None:
                found[_INTO[kind]] = _in_words(texts[id], teller)
        return found

    return words_at


def help_of(operation: Operation, language: str = LANGUAGE) -> str:
    """The line that tells what an operation answers."""
    return str(sentences(language, FOLDER)[f"door.{operation.name}.help"])


def shown(operation: Operation, teller: Teller = None, language: str = LANGUAGE) -> Json:
    """An operation for eyes and forms: title, help, schemas with their words, sample."""
    texts = sentences(language, FOLDER)
    return {
        "title": texts[f"door.{operation.name}.title"],
        "help": help_of(operation, language),
        "input": told(operation.input, _said(texts, operation.name, "in", teller)),
        "output": told(operation.output, _said(texts, operation.name, "out", teller)),
        "sample": operation.sample,
    }


def room_of(operation: Operation, language: str = LANGUAGE) -> str:
    """What the room of an operation is called."""
    room = operation.name.partition(".")[0]
    return str(sentences(language, FOLDER)[f"door.room.{room}"])
