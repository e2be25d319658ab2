"""Sentences with figures in them: written once, told in the units of whoever reads them.

``{name:dimension}`` in a sentence is a figure, in SI beside it: "The hold starts below
{least:pressure}." with ``{"least": 2000.0}``. The dimension is a key of a unit set (``pressure``,
``small_volume``), or ``difference`` for one of two temperatures, K. What must not be passed is
``{name:dimension:down}``: never told higher than it is. Any other end is Python's own, for counts:
``{readings:.0f}``. A sentence without figures is told as it stands.

A text of the rules names what there is: a field of the job, ``{car.cap_rating:pressure:down}``, a
limit, ``{limit.vacuum.dry_least:pressure}``, or a share of one, ``{limit.cap.hold_at of
car.cap_rating:pressure}``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from string import Formatter
from typing import Final, NamedTuple, Protocol

DIFFERENCE: Final = "difference"
DOWN: Final = "down"
OF: Final = " of "
_LIMIT: Final = "limit."

Figures = Mapping[str, float]
ZERO: Final[Figures] = {"zero": 0.0}  # "above {zero:volume}" is "above 0 L"
# How a figure is told: its SI value, its kind, and whether never higher than it is.
Figure = Callable[[float, str, bool], str]


class Told(Protocol):
    """A sentence and its figures: a refusal, a reason, a stop."""

    @property
    def words(self) -> str: ...
    @property
    def figures(self) -> Figures: ...


class Place(NamedTuple):
    """Where a figure stands in a sentence; ``kind`` "" for a plain number."""

    name: str
    kind: str
    spec: str

    @property
    def down(self) -> bool:
        """Whether the figure is never told higher than it is."""
        return self.spec.endswith(f":{DOWN}")


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
            yield piece, Place(name, kind if kind.isidentifier() else "", spec)


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


def filled(told: Told, figure: Figure) -> str:
    """A sentence with its own figures, each by ``figure``."""

    def each(place: Place) -> str:
        value = told.figures[place.name]
        return figure(value, place.kind, place.down) if place.kind else format(value, place.spec)

    return tell(told.words, each) if told.figures else told.words


class Said(str):
    """A sentence in the usual SI units, which can be told again in those of a reader."""

    told: Told


def plain(told: Told) -> Said:
    """A sentence in the usual SI units, for programs and the command line.

    >>> from weeptrace.finding import Reason
    >>> plain(Reason("low", "It starts below {least:pressure}.", {"least": 2e3}))
    'It starts below 2 kPa.'
    """
    from weeptrace.quantity import usual

    said = Said(filled(told, usual))
    said.told = told
    return said
