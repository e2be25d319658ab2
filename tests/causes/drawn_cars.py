"""Cars drawn at random from the rules, each likelihood off by up to a factor of 2, answers misread.

Drawn from the compiled rules, value by value, not by the engine's formulas.
"""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from weeptrace.causes import Observation

MISREAD = 0.1
FACTOR = 2.0

# How often each answer of the history is given, roughly; it does not touch calibration.
_HISTORY = {
    "onset": {
        "gradual": 10,
        "sudden": 4,
        "after_cooling_work": 3,
        "after_overheat": 2,
        "unknown": 3,
    },
    "recent_work": {"none": 14, "coolant_change": 2, "radiator_or_hose": 2, "pump_or_belt": 1},
}


def disturbed(bundle: dict[str, Any], seed: random.Random) -> dict[str, Any]:
    """The rules with every likelihood multiplied by its own factor of 1/2 to 2."""
    out: dict[str, Any] = copy.deepcopy(bundle)

    def off(chance: float) -> float:
        return min(chance * math.exp(seed.uniform(-1.0, 1.0) * math.log(FACTOR)), 0.99)

    def spread(chances: list[float]) -> list[float]:
        if not chances:
            return []
        up = [off(chance) for chance in chances[1:]]
        scale = max(sum(up) / 0.99, 1.0)
        return [1.0 - sum(up) / scale, *(chance / scale for chance in up)]

    for state in out["states"].values():
        state["background"] = off(state["background"])
        state["run_down"] = off(state["run_down"])
        for link in state["from"].values():
            link["chance"] = off(link["chance"])
    for finding in out["findings"].values():
        for key in ("background", "given_state"):
            if key in finding:
                finding[key] = spread(finding[key])
        for link in finding.get("from", {}).values():
            link["chance"] = spread(link["chance"])
        if "seen" in finding:
            finding["seen"] = off(finding["seen"])
    return out


@dataclass
class Car:
    """A car with its hidden faults; it answers a question the same way whenever asked."""

    bundle: dict[str, Any]
    features: list[str]
    history: list[Observation]
    faults: set[str]
    seed: random.Random
    states: dict[str, tuple[bool, bool]] = field(default_factory=dict)
    answers: dict[str, list[Observation]] = field(default_factory=dict)

    def ask(self, finding: str) -> list[Observation]:
        """The answer as the technician reads it."""
        if finding not in self.answers:
            self.answers[finding] = [Observation(finding, v) for v in self._answer(finding)]
        return self.answers[finding]

    def _state(self, id: str) -> tuple[bool, bool]:
        """Whether the state has a source, and whether it shows."""
        if id not in self.states:
            state = self.bundle["states"][id]
            chances = [
                state["from"][c]["chance"] for c in sorted(self.faults) if c in state["from"]
            ]
            source = any(self.seed.random() < p for p in [state["background"], *chances])
            shows = source or self.seed.random() < state["run_down"]
            self.states[id] = (source, shows)
        return self.states[id]

    def _answer(self, id: str) -> list[str]:
        finding = self.bundle["findings"][id]
        values: list[str] = finding["values"]
        wrong = self.seed.random() < MISREAD
        if finding["kind"] == "places":
            which = 0 if finding["source"] else 1
            wet = [
                place
                for place, state in finding["places"].items()
                if self._state(state)[which] and self.seed.random() < finding["seen"]
            ]
            told = [self.seed.choice(wet)] if wet else [finding["none"]]
            return [self.seed.choice([v for v in values if v not in told])] if wrong else told
        level = self._level(finding["background"])
        if finding["state"] and self._state(finding["state"])[1]:
            level = max(level, self._level(finding["given_state"]))
        for cause, link in finding["from"].items():
            if cause in self.faults:
                level = max(level, self._level(link["chance"]))
        value = values[level]
        return [self.seed.choice([v for v in values if v != value])] if wrong else [value]

    def _level(self, chances: Sequence[float]) -> int:
        return self.seed.choices(range(len(chances)), chances)[0]


def draw(bundle: dict[str, Any], seed: random.Random, several: float) -> Car:
    """A car with a complaint: its features, history and faults."""
    needs = sorted({each["needs"] for each in bundle["causes"].values() if each["needs"]})
    features = [feature for feature in needs if seed.random() < 0.6]
    history = [
        Observation(id, seed.choices(list(answers), list(answers.values()))[0])
        for id, answers in _HISTORY.items()
    ]
    total = sum(each["weight"] for each in bundle["causes"].values())
    odds: dict[str, float] = {}
    for id, each in bundle["causes"].items():
        if each["needs"] is None or each["needs"] in features:
            shifts = [1.0]
            for told in history:
                entry = bundle["findings"][told.finding]["shifts"].get(told.value, {})
                shifts.append(entry.get(id, {"by": 1.0})["by"])
            odds[id] = (
                each["weight"] / total * several * max(shifts, key=lambda x: abs(math.log(x)))
            )
    faults: set[str] = set()
    while not faults:
        faults = {id for id, each in odds.items() if seed.random() < each / (1.0 + each)}
    return Car(bundle, features, history, faults, seed)
