"""Sentences with figures in them: written once, told in the words and units of whoever reads them.

``{name:dimension}`` in a sentence is a figure, in SI beside it: "The hold starts below
{least:pressure}." with ``{"least": Figure(2000.0, "pressure")}``. The dimension is a key of a unit
set (``pressure``, ``small_volume``), or ``difference`` for one of two temperatures, K. What must
not be passed is ``{name:dimension:down}``: never told higher than it is. With ``:bare`` the unit is
left out, where the next figure bears it: "0 to 50 kPa". ``{0:dimension}`` is none of it: "0 L".
``{name}`` is a word, a count, a figure of whatever dimension it is (``{name:down}``), another
sentence or several, and any other end is Python's own, for plain numbers: ``{share:.0f}``.

A name with a dot is one of the rules: a field of the job, ``{car.cap_rating:pressure:down}``, a
limit, ``{limit.vacuum.dry_least:pressure}``, or a share of one, ``{limit.cap.hold_at of
car.cap_rating:pressure}``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from string import Formatter
from typing import Any, Final, NamedTuple, Protocol

from weeptrace.words import LANGUAGE, words_of

MINUS: Final = "\N{MINUS SIGN}"
DIFFERENCE: Final = "difference"
DENSITY: Final = "density"  # told in one unit to everybody
DOWN: Final = "down"
BARE: Final = "bare"
OF: Final = " of "
_LIMIT: Final = "limit."


class Figure(NamedTuple):
    """A figure of a sentence: its value in SI, and the dimension of that.

    ``unit``: the one it was typed in, which it is told in again; "" for that of the reader.
    """

    value: float
    dimension: str
    unit: str = ""


# How a figure is told: its SI value, its kind, and whether never higher than it is.
Teller = Callable[[float, str, bool], str]


class Told(Protocol):
    """What is to be said: a text id (``words.sentences``), and what its sentence names."""

    @property
    def text(self) -> str: ...
    @property
    def figures(self) -> Figures: ...


# What a sentence names: a figure, a plain number, a count that its plural goes by, words, another
# sentence, or several of them in a row.
Brought = Figure | float | str | Told | tuple[Told, ...]
Figures = Mapping[str, Brought]


@dataclass(frozen=True)
class Sentence:
    """A text id and what its sentence names, for whoever will tell it.

    ``own``: the words of the rules that it was said by, where the language has none for the id.
    """

    text: str
    figures: Figures = field(default_factory=dict, hash=False)
    own: str = ""

    @classmethod
    def of(cls, told: Told) -> Sentence:
        """What a refusal or a reason says, without its code."""
        return cls(told.text, told.figures, told.own if isinstance(told, Sentence) else "")


class Place(NamedTuple):
    """Where a figure stands in a sentence; ``kind`` "" for a plain number."""

    name: str
    kind: str
    spec: str

    @property
    def down(self) -> bool:
        """Whether the figure is never told higher than it is."""
        return self.spec.rpartition(":")[2] == DOWN

    @property
    def bare(self) -> bool:
        """Whether the figure is told without its unit."""
        return self.spec.rpartition(":")[2] == BARE


def places(words: str) -> Iterator[tuple[str, Place | None]]:
    """The pieces of a sentence, each with the figure behind it. ``ValueError`` for a lone brace.

    >>> [place for _, place in places("Up to {highest:pressure:down}.")]
    [Place(name='highest', kind='pressure', spec='pressure:down'), None]
    """
    for piece, name, spec, _ in Formatter().parse(words):
        if name is None or spec is None:
            yield piece, None
        else:
            kind = spec.partition(":")[0]
            # One letter is an end of Python's own: ``{n:g}``.
            own = not kind[1:].isidentifier() or kind in (DOWN, BARE)
            yield piece, Place(name, "" if own else kind, spec)


def signed(number: str) -> str:
    """A number as a person reads it: a negative one with a true minus, not a hyphen.

    >>> signed("-20"), signed("1e-05"), signed("20")
    ('\N{MINUS SIGN}20', '1e-05', '20')
    """
    return MINUS + number[1:] if number.startswith("-") else number


def of_limit(name: str) -> str | None:
    """The limit that a text's figure names; None for a field."""
    return name.removeprefix(_LIMIT) if name.startswith(_LIMIT) else None


def tell(words: str, figure: Callable[[Place], str]) -> str:
    """A sentence, each figure by ``figure``."""
    return "".join(piece + (figure(place) if place else "") for piece, place in places(words))


def named(place: Place, limits: Mapping[str, float], value: Callable[[str], object]) -> float | str:
    """The figure that a text of the rules names, in SI; the field's own name where none is known.

    ``value``: what is known of a field.

    >>> place = Place("limit.cap.hold_at of car.cap_rating", "pressure", "pressure")
    >>> named(place, {"cap.hold_at": 0.8}, {"car.cap_rating": 1e5}.get)
    80000.0
    """
    product = 1.0
    for name in place.name.split(OF):
        limit = of_limit(name)
        found = value(name) if limit is None else limits[limit]
        if not isinstance(found, float):
            return name
        product *= found
    return product


def filled(
    told: Told,
    teller: Teller,
    language: str = LANGUAGE,
    texts: Mapping[str, Any] | None = None,
    rules: Callable[[Place], str] | None = None,
) -> str:
    """A sentence in a language, each of its figures by ``teller``.

    ``texts``: the words by id, where they are others than the language's; ``rules`` tells what a
    text names that is not brought beside it.
    """

    def said(value: Brought, place: Place) -> str:
        if isinstance(value, str):
            return value
        if isinstance(value, Figure):
            made = _figure(value, place, teller)
            return re.split(r"\s", made, maxsplit=1)[0] if place.bare else made
        if isinstance(value, int | float):
            return signed(format(value, place.spec))
        if isinstance(value, tuple):
            return ", ".join(said(each, place) for each in value)
        return filled(value, teller, language, texts, rules)

    def each(place: Place) -> str:
        if place.name == "0":
            return said(Figure(0.0, place.kind), place)
        if rules is not None and place.name not in told.figures:
            return rules(place)
        return said(told.figures[place.name], place)

    words = words_of(told.text, told.figures, language, texts)
    own = isinstance(told, Sentence) and words == told.text and told.own
    return tell(own or words, each)


def _figure(value: Figure, place: Place, teller: Teller) -> str:
    if value.unit:
        from weeptrace.quantity import four_figures

        return four_figures(value.value, value.unit, place.down)
    return teller(value.value, place.kind or value.dimension, place.down)


def given_out(figures: Figures) -> dict[str, Any]:
    """The figures of a sentence as JSON, for programs.

    A figure is its ``value`` with its SI ``unit`` and ``dimension``, and ``told_in`` where it is
    told in the unit that it was typed in; another sentence is its ``text``, ``figures`` and
    ``message``; several are a list. Numbers and words stay as they are. What is not finite is no
    JSON, and left out.

    >>> given_out({"least": Figure(2000.0, "pressure"), "count": 3})
    {'least': {'value': 2000.0, 'unit': 'Pa', 'dimension': 'pressure'}, 'count': 3}
    """
    made = {name: _given_out(each) for name, each in figures.items()}
    return {name: each for name, each in made.items() if each is not None}


def _given_out(brought: Brought) -> Any:
    if isinstance(brought, Figure):
        from weeptrace.quantity import si_unit

        if not math.isfinite(brought.value):
            return None
        typed = {"told_in": brought.unit} if brought.unit else {}
        unit = si_unit(brought.dimension)
        return {"value": brought.value, "unit": unit, "dimension": brought.dimension, **typed}
    if isinstance(brought, tuple):
        return [_given_out(each) for each in brought]
    if isinstance(brought, str):
        return brought
    if isinstance(brought, int | float):
        return brought if math.isfinite(brought) else None
    return {
        "text": brought.text,
        "figures": given_out(brought.figures),
        "message": plain(brought),
    }


class Said(str):
    """A sentence in the usual SI units, which can be told again in those of a reader."""

    told: Told


def plain(told: Told, rules: Callable[[Place], str] | None = None) -> Said:
    """A sentence in the usual SI units, for programs and the command line: a minus is a hyphen.

    ``rules`` tells what a text names that is not brought beside it.

    >>> from weeptrace.finding import Reason
    >>> plain(Reason("low", "It starts below {p:pressure}.", {"p": Figure(2e3, "pressure")}))
    'It starts below 2 kPa.'
    """
    from weeptrace.quantity import usual

    said = Said(filled(told, usual, rules=rules).replace(MINUS, "-"))
    said.told = told
    return said
