"""What the trade knows, as the rules compile it: causes, states, findings, tests.

A cause brings states about (gas in the coolant, wet at the pump's weep hole); findings show states.
Two findings of one state are one sign seen twice. Chances are judgements, in words, in the rules.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from weeptrace.told import Sentence

# The rules write times in minutes; inside, all is seconds.
MINUTE: Final = 60.0
# What a test may ask of the car, and what has been seen may forbid.
NEEDS: Final = ("runs", "drives", "cranks", "leaves")


@dataclass(frozen=True)
class Cause:
    """One thing that can be wrong.

    ``odds``: before any finding; ``wrong``: s of work lost where it is repaired and was sound.
    """

    id: str
    odds: float
    zone: str
    part: str
    needs: str | None
    leaks: bool
    wrong: float
    proof: tuple[str, ...]
    proven_by: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class State:
    """A binary state: a noisy-OR of causes; ``run_down``: shows without being the source.

    ``reasons``: by which reason each cause brings it about (``Knowledge.reasons``).
    """

    id: str
    background: float
    run_down: float
    causes: Mapping[str, float]
    reasons: Mapping[str, str]


@dataclass(frozen=True)
class Finding:
    """A question with its answers.

    ``sign``: values rising from the quiet one, a noisy-MAX of ``causes`` and at most one ``state``,
    each spread given as cumulative chances. ``places``: each value shows a state of its own.
    ``history``: shifts the odds of causes. ``condition``: says how far another finding is trusted.
    ``worded``: the name that its answers' words go by. ``reasons``: by cause; ``why``: where no
    link says more, "" for none.
    """

    id: str
    kind: str
    worded: str
    tests: tuple[str, ...]
    values: tuple[str, ...]
    neutral: tuple[str, ...]
    misread: float
    state: str | None
    given_state: tuple[float, ...]
    background: tuple[float, ...]
    causes: Mapping[str, tuple[float, ...]]
    reasons: Mapping[str, str]
    why: str
    places: Mapping[str, str]
    seen: float
    source: bool
    group: str
    shifts: Mapping[str, Mapping[str, tuple[float, str]]]
    doubts: tuple[Mapping[str, Any], ...]
    measure: Mapping[str, Any] | None


@dataclass(frozen=True)
class Check:
    """What can be done next, and what it asks for; times and ``risk`` in s of work.

    ``worth``: of what it uses up, in s of work.
    """

    id: str
    time: float
    waits: float
    worth: float
    risk: float
    tools: frozenset[str]
    hazards: tuple[str, ...]
    gates: tuple[str, ...]
    needs: frozenset[str]
    teardown: bool
    visit: bool
    fitted: str | None
    interview: bool
    gives: tuple[str, ...]


@dataclass(frozen=True)
class Knowledge:
    """All of it, read-only.

    ``reasons``: the text of each link's reason (``why.…``), by the link; the third of a conflict
    and the second of a shift are such. ``kept``: what was computed from it once already.
    """

    causes: Mapping[str, Cause]
    states: Mapping[str, State]
    findings: Mapping[str, Finding]
    tests: Mapping[str, Check]
    conflicts: tuple[tuple[tuple[str, str], tuple[str, str], str], ...]
    blocks: tuple[Mapping[str, Any], ...]
    cautions: Mapping[str, tuple[tuple[str, ...], ...]]
    dues: Mapping[str, Mapping[str, Any]]
    levels: Mapping[str, str]
    features: tuple[str, ...]
    reasons: Mapping[str, str]
    kept: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def needed(self) -> tuple[str, ...]:
        """The features that a cause needs: a car may have each until it was told."""
        return tuple(sorted({cause.needs for cause in self.causes.values() if cause.needs}))

    def level(self, caution: str) -> str:
        """``warning`` or ``caution``; all cautions where an older bundle does not say."""
        return self.levels.get(caution, "caution")

    def in_force(self, said: Callable[[str, str], bool]) -> list[Mapping[str, Any]]:
        """The blocks that hold; ``said``: whether a finding was answered by a value."""
        return [
            each
            for each in self.blocks
            if any(said(finding, value) for finding, value in each["when"])
        ]

    def said(self, finding: str, value: str) -> Sentence:
        """An answer, as its key says it."""
        return Sentence(f"choice.find.{self.findings[finding].worded}.{value}")

    def why(self, link: str) -> Sentence | None:
        """The reason of a link, such as ``state.air_inside.otherwise``; None where it has none."""
        return Sentence(f"why.{self.reasons[link]}") if link in self.reasons else None


def from_bundle(bundle: Mapping[str, Any], limits: Mapping[str, float]) -> Knowledge:
    """The knowledge of a compiled bundle's part ``causes``.

    Prior odds are ``weight / sum of weights * limits["causes.several"]``: a cause is there or not,
    whatever else is there.
    """
    total = sum(cause["weight"] for cause in bundle["causes"].values())
    causes = {
        id: Cause(
            id,
            odds=entry["weight"] / total * limits["causes.several"],
            zone=entry["zone"],
            part=entry["part"],
            needs=entry["needs"],
            leaks=entry["leaks"],
            wrong=entry["wrong"] * MINUTE,
            proof=tuple(entry["proof"]),
            proven_by=tuple(_answer(text) for text in entry["proven_by"]),
        )
        for id, entry in bundle["causes"].items()
    }
    told: Mapping[str, str] = bundle["reasons"]
    findings = {id: _finding(id, entry, told) for id, entry in bundle["findings"].items()}
    needs = {cause.needs for cause in causes.values() if cause.needs}
    named = {key[1] for each in bundle["cautions"].values() for key in each if key[0] == "feature"}
    return Knowledge(
        causes=causes,
        states={id: _state(id, entry, told) for id, entry in bundle["states"].items()},
        findings=findings,
        tests={id: _test(id, entry, findings) for id, entry in bundle["tests"].items()},
        conflicts=tuple(
            (
                (each["a"][0], each["a"][1]),
                (each["b"][0], each["b"][1]),
                told[f"conflict.{'-'.join(each['a'])}--{'-'.join(each['b'])}"],
            )
            for each in bundle["conflicts"]
        ),
        blocks=tuple(bundle["blocks"]),
        cautions={
            id: tuple(tuple(when) for when in each) for id, each in bundle["cautions"].items()
        },
        dues=bundle.get("dues", {}),
        levels=bundle.get("levels", {}),
        features=tuple(sorted(needs | named)),
        reasons=told,
    )


def _answer(text: str) -> tuple[str, str]:
    finding, _, value = text.partition("=")
    return finding, value


def _state(id: str, entry: Mapping[str, Any], told: Mapping[str, str]) -> State:
    links = entry["from"]
    return State(
        id,
        background=entry["background"],
        run_down=entry["run_down"],
        causes={cause: link["chance"] for cause, link in links.items()},
        reasons={cause: told[f"state.{id}.{cause}"] for cause in links},
    )


def _finding(id: str, entry: Mapping[str, Any], told: Mapping[str, str]) -> Finding:
    links = entry.get("from", {})
    return Finding(
        id,
        kind=entry["kind"],
        worded=entry.get("worded_as", id),
        tests=tuple(entry["tests"]),
        values=tuple(entry["values"]),
        neutral=tuple(entry["neutral"]),
        misread=entry.get("misread", 0.0),
        state=entry.get("state"),
        given_state=cumulative(entry.get("given_state", ())),
        background=cumulative(entry.get("background", ())),
        causes={cause: cumulative(link["chance"]) for cause, link in links.items()},
        reasons={cause: told[f"finding.{id}.{cause}"] for cause in links},
        why=told.get(f"finding.{id}.otherwise", ""),
        places=entry.get("places", {}),
        seen=entry.get("seen", 0.0),
        source=entry.get("source", False),
        group=entry.get("group", ""),
        shifts={
            value: {
                cause: (link["by"], told[f"finding.{id}.{value}.{cause}"])
                for cause, link in each.items()
            }
            for value, each in entry.get("shifts", {}).items()
        },
        doubts=tuple(entry.get("doubts", ())),
        measure=entry.get("measure"),
    )


def cumulative(spread: Any) -> tuple[float, ...]:
    """Chances of each value as chances of not more than it; the last is 1.

    ``F_k = p_1 + ... + p_k`` of the chances ``spread``. Valid for chances that add up to 1. No
    error is raised. Source: definition.

    >>> cumulative((0.5, 0.25, 0.25))
    (0.5, 0.75, 1.0)
    """
    out: list[float] = []
    total = 0.0
    for chance in spread:
        total += chance
        out.append(total)
    return (*out[:-1], 1.0) if out else ()


def _test(id: str, entry: Mapping[str, Any], findings: Mapping[str, Finding]) -> Check:
    return Check(
        id,
        time=entry["minutes"] * MINUTE,
        waits=entry["waits"] * MINUTE,
        worth=entry["worth"] * MINUTE,
        risk=entry["risk"] * MINUTE,
        tools=frozenset(entry["tools"]),
        hazards=tuple(entry["hazards"]),
        gates=tuple(entry["gates"]),
        needs=frozenset(what for what in NEEDS if entry.get(what)),  # older rules know fewer
        teardown=entry["teardown"],
        visit=entry["visit"],
        fitted=entry["fitted"],
        interview=entry["interview"],
        gives=tuple(each.id for each in findings.values() if id in each.tests),
    )
