"""The mutation study can fail, and a seeded sample of it.

The whole of it is ``python3 build.py study mutation``.
"""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

from tests.proof.changes import Mutant
from tests.proof.mutants import mutants
from tests.proof.mutation import Caught, harmless, hunt, study
from weeptrace.rules import load

SAMPLE = 4
FEW = 2  # steps that a mutant touches: one that touches eighty is searched for minutes
REPAIRS = ("radiator_with_cooler",)  # of the plain course, the one with the most steps
ALL = mutants()


def longer(table: dict[str, Any]) -> None:
    """Minutes of a phase: they decide nothing, so nothing can catch it."""
    table["phase"][0]["minutes"] = [3, 6, 15]


SURVIVES = Mutant(
    "caution", "place: a minute more", "procedures/coolant_loss/10_intake.toml", longer
)


def test_there_are_mutants_of_every_kind_each_with_its_own_name() -> None:
    kinds = Counter(mutant.kind for mutant in ALL)
    assert set(kinds) == {"gate", "caution", "way back", "expiry", "cap", "never"}
    assert max(Counter(mutant.name for mutant in ALL).values()) == 1


def test_every_mutant_changes_its_table() -> None:
    whole = load().hash
    refused = SURVIVES.rules().hash
    assert whole != refused


def test_one_that_nothing_catches_and_nobody_lists_fails_the_study() -> None:
    outcome = study([(SURVIVES, hunt(SURVIVES, REPAIRS))], {})
    assert outcome.failed
    assert outcome.unlisted == ["place: a minute more"]
    assert outcome.caught == {"caution": {"survives": 1}}


def test_one_that_is_listed_with_its_reason_does_not() -> None:
    listed = {SURVIVES.name: "minutes decide nothing"}
    outcome = study([(SURVIVES, Caught(None))], listed, whole=True)
    assert not outcome.failed
    assert outcome.harmless == 1


def test_one_that_is_listed_and_caught_fails_the_study() -> None:
    caught = next(mutant for mutant in ALL if mutant.name == "drain: without take_off_agreed")
    outcome = study([(caught, hunt(caught))], {caught.name: "a wrong reason"})
    assert outcome.failed
    assert outcome.stale[0].startswith("drain: without take_off_agreed (")


def test_a_listed_name_that_is_no_mutant_fails_the_study() -> None:
    assert study([], {"gone": "a reason"}, whole=True).stale == ["gone"]


def test_every_listed_name_is_a_mutant_with_a_reason() -> None:
    listed = harmless()
    assert set(listed) <= {mutant.name for mutant in ALL}
    assert all(len(reason.split()) > 4 for reason in listed.values())


def test_of_a_seeded_sample_each_is_caught_or_listed() -> None:
    listed = harmless()
    near = [mutant for mutant in ALL if len(mutant.steps) <= FEW]
    hunted = [mutant for mutant in near if mutant.name not in listed]
    found = {
        mutant.name: hunt(mutant, REPAIRS) for mutant in random.Random(5).sample(hunted, SAMPLE)
    }
    print(f"\n{dict(Counter(caught.by for caught in found.values()))}")
    assert [name for name, caught in found.items() if caught.by is None] == []
