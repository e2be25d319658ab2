"""What forbids a drive, by what was asked for it and by what any page learnt before.

Who decides on a drive is not asked again what a test or a look has shown: the rules say which
finding each of the questions shows, and so which other answers show the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from weeptrace.job import rounds
from weeptrace.job.car.seen import liquid
from weeptrace.job.state import Job
from weeptrace.loss.lasts import NEVER_DRIVE, Answer
from weeptrace.rules import Rules
from weeptrace.rules.found import FINDING
from weeptrace.rules.shows import FITTED


class _Same(NamedTuple):
    """A field whose words answer a question of the drive."""

    field: str
    answers: Mapping[str, Answer]


OIL: Final = ("oil_mixed", "transmission_oil_mixed")
_ASKED: Final = tuple(f"drive.{name}" for name in NEVER_DRIVE)
# By the bundle's hash, what else answers each question: a bundle never changes.
_made: Final[dict[str, dict[str, list[_Same]]]] = {}


def answers(rules: Rules, job: Job) -> dict[str, Answer]:
    """The questions of the drive that are answered: by themselves, or by what shows the same.

    A yes of any stands: it is taken back where it was seen.
    """
    out = {**known(rules, job)}
    for name in NEVER_DRIVE:
        word = job.value(f"drive.{name}")
        if word is not None and out.get(name) != "yes":
            out[name] = "yes" if word == "yes" else "no"
    return out


def known(rules: Rules, job: Job) -> dict[str, Answer]:
    """What other pages showed of those questions; a yes of any stands."""
    out: dict[str, Answer] = {}
    for name, same in _table(rules).items():
        said = [
            each.answers[word]
            for each in same
            for word in map(str, rounds.every(job, each.field)[-1:])
            if word in each.answers
        ]
        if "yes" in said:
            out[name] = "yes"
        elif said and name not in OIL:  # clean coolant says nothing of the oil that it ran into
            out[name] = "no"
    return out


def unfit(rules: Rules, job: Job) -> float:
    """How much forbids a drive, whatever the level and however short the trip: answers, and liquid.

    Blown dry it may be started in the yard by who answers for it; on the road it is pressed in
    again each time that it stands hot.
    """
    return sum(word == "yes" for word in answers(rules, job).values()) + liquid(rules, job)


def _table(rules: Rules) -> dict[str, list[_Same]]:
    if rules.hash not in _made:
        _made[rules.hash] = {name: _same(rules, f"drive.{name}") for name in NEVER_DRIVE}
    return _made[rules.hash]


def _same(rules: Rules, asked: str) -> list[_Same]:
    """What else shows the finding of a question: as grave a value is a yes, the quiet one a no."""
    out: list[_Same] = []
    for finding, how in rules.shows.get(asked, {}).items():
        if finding == FITTED or finding not in rules.causes["findings"]:
            continue
        values = rules.causes["findings"][finding]["values"]
        fields = {name: each[finding] for name, each in rules.shows.items() if finding in each}
        others = [each for name, each in fields.items() if name in _ASKED and name != asked]
        # As grave as what it asks for, and not what another of the questions asks for.
        grave = {*values[values.index(how["yes"]) :]} - {each["yes"] for each in others}
        own = {value: value for value in values}
        for name, shows in {**fields, f"{FINDING}.{finding}": own}.items():
            if name in _ASKED or not isinstance(shows, Mapping):
                continue
            said = _said(rules, name, shows, values[0], grave)
            out += [_Same(name, said)] if said else []
    return out


def _said(
    rules: Rules, name: str, shows: Mapping[str, str], quiet: str, grave: set[str]
) -> dict[str, Answer]:
    said: dict[str, Answer] = {}
    for word, value in shows.items():
        if value in grave or value == quiet:
            said[word] = "yes" if value in grave else "no"
    field = rules.fields.get(name)
    if field is not None and field.options == ("no", "yes") and said.get("yes") == "yes":
        said["no"] = "no"  # the same question, asked before
    return said
