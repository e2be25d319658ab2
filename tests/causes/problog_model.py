"""The compiled knowledge and a car's answers as a ProbLog program: exact, over all sets of causes.

Written from the rules' bundle, not from the engine: a noisy-OR is one probabilistic clause a cause,
a noisy-MAX lets each parent raise a level and takes the highest.
"""

from __future__ import annotations

import contextlib
import sys
import warnings
from collections.abc import Iterator, Sequence
from typing import Any


@contextlib.contextmanager
def _apart() -> Iterator[None]:
    """Keep to itself what ProbLog changes: it warns of its own parser, and recurses deeper."""
    depth = sys.getrecursionlimit()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            yield
        finally:
            sys.setrecursionlimit(depth)


with _apart():
    from problog import get_evaluatable
    from problog.program import PrologString


def probabilities(
    bundle: dict[str, Any],
    features: Sequence[str],
    answers: Sequence[tuple[str, str]],
    several: float,
    attention: float,
) -> dict[str, float]:
    """P(cause | answers, some cause) of each cause, by weighted model counting."""
    program = "\n".join(_program(bundle, features, answers, several, attention))
    with _apart():
        found = get_evaluatable().create_from(PrologString(program)).evaluate()
    return {str(term).removeprefix("c_"): chance for term, chance in found.items()}


def _program(
    bundle: dict[str, Any],
    features: Sequence[str],
    answers: Sequence[tuple[str, str]],
    several: float,
    attention: float,
) -> list[str]:
    total = sum(each["weight"] for each in bundle["causes"].values())
    causes = [
        id
        for id, each in bundle["causes"].items()
        if each["needs"] is None or each["needs"] in features
    ]
    lines: list[str] = []
    for cause in causes:
        odds = bundle["causes"][cause]["weight"] / total * several
        lines += [f"{odds / (1 + odds)}::c_{cause}.", f"some :- c_{cause}.", f"query(c_{cause})."]
    lines.append("evidence(some).")
    states: set[str] = set()
    for finding, value in answers:
        entry = bundle["findings"][finding]
        if entry["kind"] == "places":
            named = value != entry["none"]
            for place, state in entry["places"].items():
                states.add(state)
                seen = entry["seen"] * (attention if named and place != value else 1.0)
                wet, dry = (
                    (entry["seen"], entry["misread"])
                    if place == value
                    else (1.0 - seen, 1.0 - entry["misread"])
                )
                shows = "source" if entry["source"] else "shows"
                lines += _seen(f"{finding}_{place}", f"{shows}_{state}", wet, dry)
            continue
        flat = entry["misread"] / (len(entry["values"]) - 1)
        lines += _levels(finding, entry, causes)
        lines += _seen(
            finding, f"level_{finding}_{entry['values'].index(value)}", 1.0 - entry["misread"], flat
        )
        if entry["state"]:
            states.add(entry["state"])
    for state in sorted(states):
        entry = bundle["states"][state]
        lines.append(f"{entry['background']}::source_{state}.")
        lines.append(f"shows_{state} :- source_{state}.")
        if entry["run_down"]:
            lines.append(f"{entry['run_down']}::shows_{state}.")
        lines += [
            f"{link['chance']}::source_{state} :- c_{cause}."
            for cause, link in entry["from"].items()
            if cause in causes
        ]
    return lines


def _seen(name: str, true: str, if_true: float, if_false: float) -> list[str]:
    """The answer was given: with one chance where ``true`` holds, with another where not."""
    return [
        f"{if_true}::hit_{name}.",
        f"{if_false}::miss_{name}.",
        f"told_{name} :- {true}, hit_{name}.",
        f"told_{name} :- \\+{true}, miss_{name}.",
        f"evidence(told_{name}).",
    ]


def _levels(finding: str, entry: dict[str, Any], causes: Sequence[str]) -> list[str]:
    """Each parent raises one level at the most; the highest raised one shows."""
    lines = [_raises(finding, "background", entry["background"], "")]
    if entry["state"]:
        lines.append(_raises(finding, "state", entry["given_state"], f"shows_{entry['state']}"))
    parents = ["background", *(["state"] if entry["state"] else [])]
    for cause, link in entry["from"].items():
        if cause in causes:
            lines.append(_raises(finding, cause, link["chance"], f"c_{cause}"))
            parents.append(cause)
    top = len(entry["values"]) - 1
    for level in range(1, top + 1):
        lines += [f"least_{finding}_{level} :- up_{finding}_{p}_{level}." for p in parents]
        if level < top:
            lines.append(f"least_{finding}_{level} :- least_{finding}_{level + 1}.")
            lines.append(
                f"level_{finding}_{level} :- least_{finding}_{level}, "
                f"\\+least_{finding}_{level + 1}."
            )
    lines.append(f"level_{finding}_{top} :- least_{finding}_{top}.")
    lines.append(f"level_{finding}_0 :- \\+least_{finding}_1.")
    return lines


def _raises(finding: str, parent: str, chances: Sequence[float], when: str) -> str:
    heads = "; ".join(
        f"{chance}::up_{finding}_{parent}_{level}" for level, chance in enumerate(chances) if level
    )
    return f"{heads} :- {when}." if when else f"{heads}."
