"""Conditions as the rules write them: every name is known, and like is compared with like."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from weeptrace.rules import conditions
from weeptrace.rules.source import COMPUTED, Source, instead

PREFIX: Final = "state."  # of a variable of the car's state
_VALUES: Final = ("choice", "part", "quantity", "count")


class _Side(NamedTuple):
    """One side of a comparison: word | number | choice | quantity, and what it is exactly."""

    kind: str
    name: str
    dimension: str | None = None
    options: tuple[str, ...] = ()
    fixed: bool = False
    number: float | None = None


def condition(
    source: Source,
    file: str,
    id: str,
    text: str,
    terms: Mapping[str, conditions.Tree] | None = None,
    *,
    clock: bool = False,
) -> conditions.Tree | None:
    """The tree of a condition; None where it does not parse. Faults are noted.

    ``terms``: conditions that bear a name. ``clock``: whether it may hang on the age of a value.
    Steps may not: where a job stands follows from its events alone.
    """
    try:
        tree = conditions.parse(text, terms)
    except ValueError as problem:
        source.fault(file, id, f"has a condition that does not read: {problem}")
        return None
    _Check(source, file, id, clock).walk(tree)
    return tree


class _Check:
    """Walks one condition and notes its faults."""

    def __init__(self, source: Source, file: str, id: str, clock: bool) -> None:
        self.source, self.file, self.id, self.clock = source, file, id, clock

    def walk(self, tree: conditions.Tree) -> None:
        """A part that is true, false or unknown."""
        word = tree[0]
        if word in ("and", "or", "not"):
            for part in tree[1:]:
                self.walk(part)
        elif word == "known" and tree[1].startswith(PREFIX):
            self.fault(f"asks whether “{tree[1]}” is known; write what it must be, by ==")
        elif word in ("known", "within"):
            kind = self.field(tree[1]).get("kind")
            if kind == "reading":
                words = f"asks whether “{tree[1]}”, a series of readings, is known"
                self.fault(f"{words}; write the mark that ends it")
            if word == "within":
                self.age(tree)
        else:
            sides = [self.side(part) for part in tree[1:]]
            if self.stated(word, tree):
                self.compare(word, *sides)

    def age(self, tree: conditions.Tree) -> None:
        """A ``within``: its limit is a time above zero, and a clock is at hand."""
        if not self.clock:
            words = f"hangs on the age of “{tree[1]}”, and only a gate may"
            self.fault(f"{words}; write known({tree[1]}) instead, or move it to a gate")
        name = tree[2][1]
        value, dimension = self.limit(name)
        if dimension not in (None, "time"):
            self.fault(f"takes “{name}” for an age, but it is a {dimension}; write a limit in min")
        elif value is not None and value <= 0.0:
            self.fault(f"lets evidence expire after “{name}”, not above zero; write a longer time")

    def field(self, name: str) -> dict[str, Any]:
        """A field's entry; {} where it is not known."""
        if name in COMPUTED:
            return {"kind": "count"}
        if name.startswith(PREFIX):
            return self.variable(name)
        if not self.source.named("fields", name):
            mend = instead(name, [*self.source.fields, *COMPUTED])
            self.fault(f"names an unknown field “{name}”; {mend}")
        return self.source.fields.get(name, {})

    def variable(self, name: str) -> dict[str, Any]:
        """A variable of the car's state as a field of its kind; {} where it is not known."""
        known = self.source.state
        made = known.get(name.removeprefix(PREFIX))
        if not self.clock:
            self.fault(
                f"hangs on “{name}”, and only a gate may; write a field, or move it to a gate"
            )
        elif made is None:
            mend = instead(name, [f"{PREFIX}{each}" for each in known])
            self.fault(f"names an unknown variable “{name}”; {mend}")
        elif made["dimension"]:
            return {"kind": "quantity", "dimension": made["dimension"]}
        else:
            return {"kind": "choice", "options": made["words"]}
        return {}

    def limit(self, name: str) -> tuple[float | None, str | None]:
        """A limit's value and dimension; None where it is not known."""
        if not self.source.named("limits", name):
            mend = instead(name, self.source.limits)
            self.fault(f"names an unknown limit “{name}”; {mend}")
        return self.source.limits.get(name, (None, None))

    def side(self, part: conditions.Tree) -> _Side | None:
        """One side of a comparison; None where its type is not known."""
        kind, what = part
        if kind == "word":
            return _Side("word", f"“{what}”", fixed=True)
        if kind == "number":
            return _Side("number", f"{what:g}", fixed=True, number=what)
        if kind == "limit":
            _, dimension = self.limit(what)
            return _Side("quantity", what, dimension, fixed=True) if dimension else None
        entry = self.field(what)
        kind = entry.get("kind")
        if kind is None:
            return None
        if kind not in _VALUES:
            self.fault(f"compares “{what}”, a field of kind {kind}; write known({what}) instead")
            return None
        if kind in ("choice", "part"):
            return _Side("choice", what, options=tuple(entry["options"]))
        return _Side("quantity", what, entry.get("dimension", "ratio"))

    def stated(self, sign: str, tree: conditions.Tree) -> bool:
        """Whether a variable stands first, and is held against one of its words or a figure."""
        left, right = (part[1] if part[0] == "field" else "" for part in tree[1:])
        if right.startswith(PREFIX) or (left.startswith(PREFIX) and right):
            self.fault(f"compares with “{right}”; write state.NAME first, then a word or a figure")
            return False
        if left.startswith(PREFIX) and tree[2][0] == "word" and sign != "==":
            self.fault(f"holds “{left}” against a word by “{sign}”; write ==")
        return True

    def compare(self, sign: str, left: _Side | None, right: _Side | None) -> None:
        """Like with like."""
        if left is None or right is None:
            return
        if left.fixed and right.fixed:
            words = f"compares {left.name} with {right.name}, which never change"
            self.fault(f"{words}; write a field on one side")
            return
        if left.kind != "quantity" and (right.kind == "quantity" or left.fixed):
            left, right = right, left
        if left.kind == "choice" and sign not in ("==", "!="):
            self.fault(f"orders the choice {left.name} by “{sign}”; write == or != instead")
        elif left.kind == "choice":
            self.choice(left, right)
        else:
            self.quantity(left, right)

    def choice(self, left: _Side, right: _Side) -> None:
        """A choice with one of its words, or with a choice of the same words."""
        if right.kind == "word":
            word = right.name.strip("“”")
            if word not in left.options:
                mend = instead(word, left.options)
                self.fault(f"compares {left.name} with “{word}”, none of its options; {mend}")
        elif right.options != left.options:
            words = f"compares the choice {left.name} with {right.name}"
            self.fault(f"{words}; write one of its words: {', '.join(left.options)}")

    def quantity(self, left: _Side, right: _Side) -> None:
        """A quantity with one of the same dimension; a bare number only where it has no unit."""
        if right.kind in ("word", "choice"):
            words = f"compares the {left.dimension} {left.name} with the {right.kind} {right.name}"
            self.fault(f"{words}; write a limit or another {left.dimension}")
        elif right.kind == "number":
            zero = right.number == 0.0 and left.dimension != "temperature"
            if left.dimension != "ratio" and not zero:
                words = f"compares the {left.dimension} {left.name} with a bare {right.name}"
                self.fault(f"{words}; write a limit with a unit: limit.room.name")
        elif left.dimension != right.dimension:
            words = f"compares the {left.dimension} {left.name} with the {right.dimension}"
            self.fault(f"{words} {right.name}; write a limit or field of {left.dimension}")

    def fault(self, words: str) -> None:
        """Note a fault of the entry."""
        self.source.fault(self.file, self.id, words)
