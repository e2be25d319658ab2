"""P(an answer | a set of causes) for one finding, from the compiled rules by plain products.

Written from the rules' own words (noisy-OR states, noisy-MAX signs), not from the engine.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

Bundle = dict[str, Any]


def shows(bundle: Bundle, state: str, causes: Iterable[str]) -> tuple[float, float]:
    """Chances that a state has a source, and that it shows."""
    entry = bundle["states"][state]
    none = 1.0 - entry["background"]
    for cause in causes:
        if cause in entry["from"]:
            none *= 1.0 - entry["from"][cause]["chance"]
    return 1.0 - none, 1.0 - none + none * entry["run_down"]


def _sign(entry: Any, value: str, causes: Iterable[str], state: bool) -> float:
    def at_most(level: int) -> float:
        spreads = [entry["background"]]
        spreads += [entry["given_state"]] if state else []
        spreads += [entry["from"][c]["chance"] for c in causes if c in entry["from"]]
        return math.prod(sum(spread[: level + 1]) for spread in spreads)

    level = entry["values"].index(value)
    true = at_most(level) - (at_most(level - 1) if level else 0.0)
    flat = entry["misread"] / (len(entry["values"]) - 1)
    return (1.0 - entry["misread"]) * true + flat * (1.0 - true)


def chance(
    bundle: Bundle, finding: str, value: str, causes: Iterable[str], attention: float
) -> float:
    """P(the answer ``value`` | just these causes)."""
    entry, named = bundle["findings"][finding], tuple(causes)
    if entry["kind"] != "places":
        if entry["state"] is None:
            return _sign(entry, value, named, False)
        shown = shows(bundle, entry["state"], named)[1]
        return shown * _sign(entry, value, named, True) + (1.0 - shown) * _sign(
            entry, value, named, False
        )
    out = 1.0
    for place, state in entry["places"].items():
        wet = shows(bundle, state, named)[0 if entry["source"] else 1]
        if place == value:
            out *= wet * entry["seen"] + (1.0 - wet) * entry["misread"]
        else:
            seen = entry["seen"] * (1.0 if value == entry["none"] else attention)
            out *= wet * (1.0 - seen) + (1.0 - wet) * (1.0 - entry["misread"])
    return out


def together(bundle: Bundle, answers: dict[str, str], causes: Iterable[str]) -> float:
    """P(all these answers of signs | just these causes); signs of one state hang together."""
    named, out = tuple(causes), 1.0
    by_state: dict[str, tuple[float, float]] = {}
    for finding, value in answers.items():
        entry = bundle["findings"][finding]
        dry = _sign(entry, value, named, False)
        if entry["state"] is None:
            out *= dry
            continue
        so, not_so = by_state.get(entry["state"], (1.0, 1.0))
        by_state[entry["state"]] = (so * _sign(entry, value, named, True), not_so * dry)
    for state, (so, not_so) in by_state.items():
        shown = shows(bundle, state, named)[1]
        out *= shown * so + (1.0 - shown) * not_so
    return out
