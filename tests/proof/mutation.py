"""Hunts mutants: each is refused by the compiler, or breaks an invariant, or is listed as harmless.

A mutant that compiles is held against the table of the never-broken rules, then searched in the
slices of the steps that it may touch, then in the plain course of the whole procedure. One that
nothing catches survives; ``harmless.toml`` lists those that may, each with its reason.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, NamedTuple

from tests.proof.changes import Mutant
from tests.proof.never_broken import never_broken
from tests.proof.slices import slices
from tests.proof.slicing import Slice, prove
from tests.proof.walk import walk
from weeptrace.rules import Rules
from weeptrace.rules.source import RulesError

LIST: Final = Path(__file__).parent / "harmless.toml"


class Caught(NamedTuple):
    """By whom a mutant was caught (None: it survives), and the words."""

    by: str | None
    words: str = ""


@dataclass
class Outcome:
    """What became of some mutants."""

    caught: dict[str, dict[str, int]] = field(default_factory=dict)  # by kind, by whom
    harmless: int = 0
    unlisted: list[str] = field(default_factory=list)  # survive, and no reason is listed
    stale: list[str] = field(default_factory=list)  # listed as harmless, yet caught or gone

    @property
    def failed(self) -> bool:
        """Whether the study fails."""
        return bool(self.unlisted or self.stale)


def hunt(mutant: Mutant, repairs: tuple[str, ...] = ()) -> Caught:
    """Who catches a mutant; ``repairs``: of the plain course only these kinds."""
    try:
        rules = mutant.rules()
    except RulesError as refused:
        return Caught("compiler", str(refused.faults[0]))
    return searched(rules, set(mutant.steps), mutant.first, repairs)


def searched(
    rules: Rules, steps: set[str], kind: str = "", repairs: tuple[str, ...] = ()
) -> Caught:
    """Which search finds rules that compile, but break an invariant; slices of ``kind`` first."""
    if told := never_broken(rules):
        return Caught("table", told)
    if steps:
        for piece in sorted(slices(rules, steps), key=lambda each: _cost(each, kind)):
            if broken := prove(piece, first=True).broken:
                return Caught("slices", f"{piece.name}: {broken[0]}")
    if broken := walk(rules, 0, first=True, repairs=repairs).broken:
        return Caught("walk", broken[0])
    return Caught(None)


def _cost(piece: Slice, kind: str) -> tuple[bool, ...]:
    """What is searched first: the kind that is likely to tell, then what is short."""
    long = piece.clock and piece.kind == "cold"
    return piece.kind != kind, piece.kind == "order", not piece.apart, long


def harmless() -> dict[str, str]:
    """Names of mutants that may survive, each with the reason."""
    entries = tomllib.loads(LIST.read_text("utf-8")).get("harmless", [])
    return {name: entry["reason"] for entry in entries for name in entry["names"]}


def study(
    hunted: Iterable[tuple[Mutant, Caught]], listed: dict[str, str], *, whole: bool = False
) -> Outcome:
    """What became of some mutants; ``whole``: of all, so that each listed name must be met."""
    outcome, met = Outcome(), set()
    for mutant, found in hunted:
        met.add(mutant.name)
        by = outcome.caught.setdefault(mutant.kind, {})
        by[found.by or "survives"] = by.get(found.by or "survives", 0) + 1
        if found.by is not None and mutant.name in listed:
            outcome.stale.append(f"{mutant.name} ({found.words})")
        elif found.by is None and mutant.name in listed:
            outcome.harmless += 1
        elif found.by is None:
            outcome.unlisted.append(mutant.name)
    outcome.stale += sorted(set(listed) - met) if whole else []
    return outcome
