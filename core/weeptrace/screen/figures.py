"""Figures as a phone shows them: in the user's units, never without one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from weeptrace.job.state import EMPTY, Fact, Job
from weeptrace.quantity import below, format_si, four_figures, from_si, usual_unit
from weeptrace.rules import Field, Rules
from weeptrace.told import DIFFERENCE, Brought, Sentence, Teller, Told, filled, signed
from weeptrace.words import LANGUAGE, base

NBSP = "\N{NO-BREAK SPACE}"
# What is said of a field that was not answered, by its kind.
NOT_MEASURED: Final = "not_measured"
NOT_DONE: Final = {"yes": "not_done", "text": "not_told", "photo": "no_picture"}
# Two figures say enough of them.
_ROUGH: Final = ("long_length", "loss_per_distance", "volume_flow")


@dataclass(frozen=True)
class Preferences:
    """What the user chose once: a unit for each dimension, and a language."""

    units: Mapping[str, str] = field(default_factory=dict)
    language: str = LANGUAGE


def preferences(raw: Mapping[str, Any] | None, rules: Rules) -> Preferences:
    """The preferences of a JSON object; the first unit set stands in for what is not chosen.

    A language that is not there is English.
    """
    asked = raw or {}
    units = {**rules.unit_sets[0]["units"], **asked.get("units", {})}
    language = asked.get("language", LANGUAGE)
    known = base(language) in (LANGUAGE, *map(base, rules.languages))
    return Preferences(units, language if known else LANGUAGE)


@dataclass(frozen=True)
class Show:
    """Formats SI values for one reader, and tells sentences in the reader's units.

    ``job``: whose figures the rules' texts name; of the empty one they are told by name.
    """

    rules: Rules
    units: Mapping[str, str]
    job: Job = EMPTY
    language: str = LANGUAGE

    def __post_init__(self) -> None:
        own = self.rules.in_language(self.language)
        told = replace(own, figure=self._figure, value=self.job.value)
        object.__setattr__(self, "rules", told)

    def unit(self, dimension: str) -> str:
        """The reader's unit of a dimension."""
        return self.units[dimension]

    def number(self, value: float, dimension: str, more: int = 0, down: bool = False) -> str:
        """A figure without its unit, for where the unit stands beside it."""
        unit = self.unit(dimension)
        decimals = max(0, self.rules.decimals[unit] + more)
        return format_si(value, unit, decimals, down).split(NBSP)[0]

    def figure(self, value: float, dimension: str, more: int = 0, down: bool = False) -> str:
        """A figure with its unit; ``more`` decimals than usual, a limit never rounded up."""
        return f"{self.number(value, dimension, more, down)}{NBSP}{self.unit(dimension)}"

    def limit(self, value: float, dimension: str) -> str:
        """What must not be passed, never told higher than it is."""
        return self.figure(value, dimension, down=True)

    def say(self, text: str, /, **figures: Brought) -> str:
        """The words of a text id with the figures that it names, as a page shows figures.

        Raises ``KeyError`` where the text names a figure that is neither brought nor of the rules.
        """
        return self._filled(Sentence(text=text, figures=figures), self._figure)

    def lines(self, text: str) -> list[str]:
        """The words of a text id that breaks its lines itself."""
        return list(self.rules.texts[text])

    def told(self, told: Told) -> str:
        """A refusal, a reason or a stop in words."""
        return self._filled(told, self._exact)

    def _filled(self, told: Told, teller: Teller) -> str:
        return filled(told, teller, self.language, self.rules.texts, self.rules.named)

    def _exact(self, value: float, kind: str, down: bool) -> str:
        """As close as a sentence needs that says how far something is off."""
        if kind == DIFFERENCE:
            return self.difference(value, down)
        own = self.units.get(kind) or usual_unit(kind)
        number, _, unit = four_figures(value, own, down).partition(" ")
        return f"{number}{NBSP}{unit}"

    def _figure(self, value: float, kind: str, down: bool) -> str:
        if kind == DIFFERENCE:
            return self.difference(value, down)
        if kind in _ROUGH and not down:
            unit = self.unit(kind)
            return f"{two_figures(from_si(value, unit))}{NBSP}{unit.replace(' ', NBSP)}"
        return self.figure(value, kind, down=down)

    def difference(self, kelvin: float, down: bool = False) -> str:
        """A difference of temperatures, K, in degrees of the reader's unit: 10 K are 18 °F."""
        unit = self.unit("temperature")
        degrees = from_si(300.0 + kelvin, unit) - from_si(300.0, unit)
        return f"{signed(f'{below(degrees, 0) if down else degrees:.0f}')}{NBSP}{unit}"

    def loss(self, value: float) -> str:
        """A loss per distance to two figures: 0.14, 1.7, 12."""
        return two_figures(from_si(value, self.unit("loss_per_distance")))

    def loss_unit(self) -> str:
        """The unit of a loss, which no line may break."""
        return self.unit("loss_per_distance").replace(" ", NBSP)

    def unmeasured(self) -> str:
        """What stands where nothing was measured."""
        return self.say("answer.none.not_measured")

    def not_done(self, kind: str, why: str) -> str:
        """What stands where a field of this kind was not answered, and why where that was said."""
        word = NOT_DONE.get(kind, NOT_MEASURED)
        if why:
            return self.say(f"answer.none_why.{word}", why=why)
        return self.say(f"answer.none.{word}")

    def chosen(self, field: Field, option: str) -> str:
        """What was chosen, as it is reported: a key says "Test it", its answer "Tested"."""
        own = field.word(option).partition(".")[2]
        if f"record_choice.{own}" in self.rules.texts:
            return self.say(f"record_choice.{own}")
        return self.say(field.word(option))

    def fact(self, field: Field, fact: Fact) -> str:
        """An answered field in words: the text as typed where it is a number."""
        if fact.value is None:
            why = fact.event.typed.strip()
            return self.not_done("", why)
        if field.kind == "choice":
            return self.chosen(field, str(fact.value))
        if field.numeric:
            return as_typed(fact.event.typed, fact.event.unit)
        return str(fact.value)


def as_typed(typed: str, unit: str | None) -> str:
    """What a hand typed, with its unit where it has one; a minus is a true one.

    >>> as_typed("-20.0", "mm"), as_typed("3", "1")
    ('\N{MINUS SIGN}20.0\xa0mm', '3')
    """
    number = signed(typed)
    return number if unit in (None, "", "1") else f"{number}{NBSP}{unit}"


def two_figures(value: float) -> str:
    """A positive number to two significant figures, without an exponent.

    >>> [two_figures(x) for x in (0.0, 0.143, 0.998, 1.68, 9.96, 12.4, 1234.0)]
    ['0', '0.14', '1.0', '1.7', '10', '12', '1200']
    """
    if value <= 0.0:
        return "0"
    rounded = float(f"{value:.1e}")
    return f"{rounded:.{max(0, 1 - math.floor(math.log10(rounded)))}f}"


def minutes(seconds: float) -> str:
    """Seconds as minutes since the start: "9:02"."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def day(at: str) -> str:
    """The day of a time in ISO 8601: "2026-11-25"."""
    return at[:10]


def clock(at: str, ahead: float = 0.0) -> str:
    """The local clock time, "14:06", in the offset that ``at`` (ISO 8601) carries."""
    from datetime import datetime, timedelta

    return (datetime.fromisoformat(at) + timedelta(seconds=ahead)).strftime("%H:%M")
