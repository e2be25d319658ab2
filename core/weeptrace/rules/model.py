"""The compiled rules: typed, read-only, the same for every job that runs on them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Final

from weeptrace.quantity import usual
from weeptrace.rules.conditions import Condition, Tree
from weeptrace.told import Figure, Place, Sentence, Teller, filled, named, places, tell
from weeptrace.words import base

LONGEST: Final = 140  # signs of a text that a phone shows whole
UNKNOWN: Final = "unknown"  # an effect that undoes what was known
# How loud what can hurt is said: a warning where it can kill or take a hand.
LEVELS: Final = ("warning", "caution")
# Families of texts that belong to entries of the rules; all others are the program's own.
_OF_ENTRIES: Final = (
    "step", "field", "choice", "choice_sub", "record_choice", "pad", "phase", "comes", "caution",
    "ask", "shut_by", "not_above", "cause", "test", "found_caution", "why",
)  # fmt: skip


def of_entry(text: str) -> bool:
    """Whether a text id belongs to an entry of the rules, and is not of the program.

    >>> of_entry("step.car_name.title"), of_entry("gate.cold.title"), of_entry("gate.cold.again")
    (True, True, False)
    """
    family, _, rest = text.partition(".")
    return family in _OF_ENTRIES or (family == "gate" and rest.endswith((".title", ".prompt")))


@dataclass(frozen=True)
class Field:
    """A word of the vocabulary; ``low`` and ``high`` in SI."""

    id: str
    kind: str
    dimension: str | None = None
    low: float | None = None
    high: float | None = None
    signed: bool = False
    shown_in: str = ""
    options: tuple[str, ...] = ()
    longest: int = LONGEST
    not_above: tuple[str, ...] = ()
    rated: str = ""
    clears: tuple[str, ...] = ()
    marks: str = ""
    either_sign: bool = False
    within_atmosphere: bool = False
    comes: str = ""
    needed_to_run: bool = False
    holds_coolant: bool = False
    belongs: tuple[str, ...] = ()
    worded_as: str = ""
    place: str = ""
    shown_by: str = ""
    only: Tree | None = None

    def word(self, option: str) -> str:
        """The text id of one of its options; fields of one kind may share their words."""
        return f"choice.{self.worded_as or self.id}.{option}"

    @property
    def unit_key(self) -> str:
        """The entry of a unit set that it is shown in."""
        return self.shown_in or self.dimension or "ratio"

    @property
    def numeric(self) -> bool:
        """Whether its value is a number with a dimension or a count."""
        return self.kind in ("quantity", "count", "reading")


@dataclass(frozen=True)
class Variable:
    """Something of the car's state: the words that it can be, or its dimension.

    ``lasts``: the limit for how long it is believed; ``keeps``: the word that holds while the last
    that any one of its fields ever made it is that word; ``tells``: by word, what whoever comes to
    the stopped car must know. ``given``: field, word of it or None for any answer, and what that
    makes of the variable (a word, ``measured``, or ``unknown``).
    """

    id: str
    words: tuple[str, ...]
    dimension: str | None
    lasts: str | None
    keeps: str | None
    tells: Mapping[str, str]
    given: tuple[tuple[str, str | None, str], ...]


@dataclass(frozen=True)
class Gate:
    """What must be shown, and how lately, before a step behind it is offered."""

    id: str
    evidence: tuple[str, ...]
    opens: Tree
    stale_on: tuple[str, ...]


@dataclass(frozen=True)
class Never:
    """A rule that is never broken, and what keeps it.

    ``rule``: hard (no way past it: only "stop, refer") | override (a person types a name into the
    field ``person`` and a reason into ``why`` first).
    """

    id: str
    rule: str
    acts: tuple[str, ...] = ()
    gates: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    capped: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    texts: tuple[str, ...] = ()
    person: str | None = None
    why: str | None = None


@dataclass(frozen=True)
class Step:
    """One thing to do."""

    id: str
    phase: str
    asks: str | None
    shows: str | None
    reads: str | None
    checks: tuple[str, ...]
    when: Tree | None
    done: Tree | None
    again: str | None
    skip: bool
    hazards: tuple[str, ...]
    gates: tuple[str, ...]
    acts: tuple[str, ...] = ()  # rules of before there were any name none


@dataclass(frozen=True)
class Phase:
    """A stretch of the job; a phase with a gate of its own holds no steps.

    ``minutes``: low, likely and high, of one person. ``evidence``: the fields that show, at its
    end, what was done in it.
    """

    id: str
    gate: str | None
    entry: Tree | None
    minutes: tuple[float, ...]
    evidence: tuple[str, ...]


@dataclass(frozen=True)
class Procedure:
    """The steps of one kind of job, in order. ``open``: while a system stands open."""

    phases: tuple[Phase, ...]
    steps: tuple[Step, ...]
    open: Tree | None

    @cached_property
    def asking(self) -> Mapping[str, Step]:
        """By field, the first step that asks for it or has a row for it."""
        found: dict[str, Step] = {}
        for step in self.steps:
            for name in (*filter(None, (step.asks, step.reads)), *step.checks):
                found.setdefault(name, step)
        return found


@dataclass(frozen=True)
class Rules:
    """The bundle. ``hash`` names its content, texts left out.

    ``newest``: the hash of this version's rules, where these are older ones. ``figure``: how the
    figures of a text are told, ``value``: what a job knows of the fields that it names. ``shows``:
    by field or result, the findings that it shows; ``same``: by a finding's field, the field of the
    job that asks the same.
    """

    hash: str
    fields: Mapping[str, Field]
    limits: Mapping[str, float]
    state: Mapping[str, Variable]
    gates: Mapping[str, Gate]
    cautions: Mapping[str, str]
    levels: Mapping[str, str]
    never: Mapping[str, Never]
    procedures: Mapping[str, Procedure]
    causes: Mapping[str, Any]
    shows: Mapping[str, Mapping[str, Any]]
    same: Mapping[str, str]
    unit_sets: tuple[Mapping[str, Any], ...]
    decimals: Mapping[str, int]
    texts: Mapping[str, Any]
    languages: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    newest: str | None = None
    figure: Teller = usual
    value: Callable[[str], object] = lambda _: None

    @cached_property
    def asks_same(self) -> Mapping[str, str]:
        """By a field of the job, the finding's field that asks the same."""
        return {field: finding for finding, field in self.same.items()}

    def level(self, hazard: str) -> str:
        """One of ``LEVELS``; rules of before there were any say all as a caution."""
        return self.levels.get(hazard, "caution")

    def in_language(self, language: str) -> Rules:
        """The same rules in the words of a language, as far as it has its own."""
        own: dict[str, Any] = {}
        for each in (base(language), language):
            own |= self.languages.get(each, {})
        return replace(self, texts={**self.texts, **own}) if own else self

    def text(self, id: str) -> str:
        """The words of a text id; a field that is not known is told by its name."""
        return self.told(self.texts[id])

    def sentence(self, id: str) -> Sentence:
        """A text id with the figures that its words name, for whoever tells it."""
        named = (place for _, place in places(self.texts[id]) if place is not None)
        brought = {place.name: self._brought(place) for place in named}
        return Sentence(text=id, figures=brought, own=self.texts[id])

    def _brought(self, place: Place) -> Figure | str:
        found = named(place, self.limits, self.value)
        return self.named(place) if isinstance(found, str) else Figure(found, place.kind)

    def told(self, words: str) -> str:
        """Words of these rules with their figures."""
        return tell(words, self.named)

    def named(self, place: Place) -> str:
        """A figure of these rules, as a text names it."""
        found = named(place, self.limits, self.value)
        if isinstance(found, str):
            name = Sentence("answer.unknown", {"name": self.text(f"field.{found}")})
            return filled(name, self.figure, texts=self.texts)
        return self.figure(found, place.kind, place.down)


def from_bundle(bundle: Mapping[str, Any]) -> Rules:
    """The typed rules of a compiled bundle (a JSON object, as the compiler writes it)."""
    return Rules(
        hash=bundle["hash"],
        fields={id: _field(id, entry) for id, entry in bundle["fields"].items()},
        limits={id: float(value) for id, value in bundle["limits"].items()},
        state={id: _variable(id, entry) for id, entry in bundle.get("state", {}).items()},
        gates={id: Gate(id=id, **_tuples(entry)) for id, entry in bundle["gates"].items()},
        cautions=bundle["cautions"],
        levels=bundle.get("levels", {}),
        never={id: Never(id=id, **_tuples(entry)) for id, entry in bundle["never"].items()},
        procedures={id: _procedure(entry) for id, entry in bundle["procedures"].items()},
        causes=bundle["causes"],
        shows=bundle.get("shows", {}),
        same=bundle.get("same", {}),
        unit_sets=tuple(bundle["unit_sets"]),
        decimals=bundle["decimals"],
        texts=bundle["texts"],
        languages=bundle.get("languages", {}),
    )


def _field(id: str, entry: Mapping[str, Any]) -> Field:
    ends = {key: float(entry[key]) for key in ("low", "high") if entry.get(key) is not None}
    return Field(id=id, **{**_tuples(entry), **ends})


def _variable(id: str, entry: Mapping[str, Any]) -> Variable:
    given = tuple((field, word, made) for field, word, made in entry["given"])
    return Variable(
        id,
        tuple(entry["words"]),
        entry["dimension"],
        entry["lasts"],
        entry.get("keeps"),
        entry["tells"],
        given,
    )


def _procedure(entry: Mapping[str, Any]) -> Procedure:
    return Procedure(
        phases=tuple(Phase(**_tuples(phase)) for phase in entry["phases"]),
        steps=tuple(Step(**_tuples(step)) for step in entry["steps"]),
        open=_condition(entry["open"]),
    )


# Lists of words become tuples, conditions what is asked often.
_WORDS = (
    "options", "not_above", "clears", "evidence", "stale_on", "hazards", "checks", "belongs",
    "gates", "capped", "asked", "texts", "minutes", "acts",
)  # fmt: skip


_CONDITIONS = ("opens", "when", "done", "entry", "only")


def _condition(tree: Any) -> Condition | None:
    return None if tree is None else Condition(tree)


def _tuples(entry: Mapping[str, Any]) -> dict[str, Any]:
    made = {key: tuple(value) if key in _WORDS else value for key, value in entry.items()}
    return {**made, **{key: _condition(made[key]) for key in _CONDITIONS if key in made}}
