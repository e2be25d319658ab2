"""Breadth-first search over the states of a job, until nothing new is reached.

Two states with the same key are one: the key is given by who calls, with its reason. Every state is
held to the invariants; every move is one event through the same ``advance`` as on the phone, and
the place of each state comes from the same ``position``.
"""

from __future__ import annotations

import math
import time
from collections import Counter, deque
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field

from tests.proof import invariants
from tests.proof.offered import State, Told
from tests.proof.world import Move, Node, after
from weeptrace.rules import Rules

Key = Callable[[State], Hashable]
Moves = Callable[[State], Iterable[Move]]
Check = Callable[[State], Told]


@dataclass
class Found:
    """What a search saw."""

    states: int = 0
    moves: int = 0
    checked: Counter[str] = field(default_factory=Counter)  # times an invariant was asked
    broken: list[str] = field(default_factory=list)
    steps: set[str] = field(default_factory=set)  # offered somewhere
    ended: int = 0
    seconds: float = 0.0
    whole: bool = True  # nothing was left unsearched
    least: int | None = None  # else the fewest departures of a state that was left

    def add(self, other: Found) -> None:
        """The figures of two searches together."""
        self.states += other.states
        self.moves += other.moves
        self.checked += other.checked
        self.broken += other.broken
        self.steps |= other.steps
        self.ended += other.ended
        self.seconds += other.seconds
        self.whole &= other.whole
        if other.least is not None:
            self.least = other.least if self.least is None else min(self.least, other.least)


def search(
    rules: Rules,
    begin: Node,
    moves: Moves,
    key: Key,
    checks: Iterable[Check],
    *,
    most: int = 1_000_000,
    first: bool = False,
    ends: bool = False,
    departures: int | None = None,
    seconds: float = math.inf,
) -> Found:
    """Every state that the moves lead to.

    ``most`` bounds the states, ``seconds`` the time, ``departures`` those from the plain course
    (states with few are searched first, so a state is met with the fewest that lead to it),
    ``first`` stops at the first broken invariant, ``ends`` asks too that from every state answers
    to what is asked lead on to the end of the job, or to a gate that only "stop, refer" answers;
    of a bounded search, from every state that one more departure is left to.
    """
    began = time.perf_counter()
    checks = tuple(checks)  # that on the caps looks at each move, since a key holds no reading
    found = Found()
    numbers: dict[Hashable, int] = {}
    trails: list[tuple[int, str]] = []
    back: list[list[int]] = []
    finished: list[int] = []
    costs: list[int] = []
    left: list[deque[tuple[int, Node]]] = [deque() for _ in range((departures or 0) + 1)]

    def arrive(node: Node, parent: int, move: Move, cost: int) -> None:
        state = State(rules, node)
        name = key(state)
        number = numbers.get(name)
        if number is not None:
            if invariants.under_the_scale in checks:
                told = invariants.under_the_scale(state)
                found.broken += [f"under_the_scale: {told} ({move.label})"] if told else []
            back[number].extend([parent] if move.onward else [])
            if cost < costs[number]:
                costs[number], trails[number] = cost, (parent, move.label)
                left[cost].append((number, node))
            return
        number = numbers[name] = len(numbers)
        trails.append((parent, move.label))
        back.append([parent] if move.onward else [])
        costs.append(cost)
        for check in checks:
            found.checked[check.__name__] += 1
            told = check(state)
            if told is not None:
                found.broken.append(f"{check.__name__}: {told} ({_trail(trails, number)})")
        if state.offered is not None:
            found.steps.add(state.offered.id)
        if state.here.step is None:
            found.ended += 1
        if state.here.step is None or (state.here.gate and not state.here.gate.evidence):
            finished.append(number)  # at a gate that nothing typed opens: stop, refer
        left[cost].append((number, node))

    arrive(begin, -1, Move(""), 0)
    while any(left):
        least = next(cost for cost, each in enumerate(left) if each)
        if len(numbers) >= most or time.perf_counter() - began >= seconds:
            found.whole, found.least = False, least
            break
        if first and found.broken:
            break
        number, node = left[least].popleft()
        if costs[number] < least:
            continue  # met again with fewer departures, and searched with those
        for move in moves(State(rules, node)):
            cost = 0 if departures is None else costs[number] + move.departs
            if cost <= (departures or 0):
                found.moves += 1
                arrive(after(rules, node, move), number, move, cost)
    found.states = len(numbers)
    if ends and found.whole and not (first and found.broken):
        asked = [n for n in range(len(numbers)) if costs[n] < max(departures or 0, 1)]
        found.checked["leads_on"] += len(asked)
        reached = _reach(back, finished)
        stuck = [number for number in asked if number not in reached]
        found.broken += [
            f"leads_on: no way to the end ({_trail(trails, number)})" for number in stuck[-5:]
        ]
    found.seconds = time.perf_counter() - began
    return found


def _reach(back: list[list[int]], finished: list[int]) -> set[int]:
    """The states from which the end can be reached."""
    seen, left = set(finished), list(finished)
    while left:
        for parent in back[left.pop()]:
            if parent >= 0 and parent not in seen:
                seen.add(parent)
                left.append(parent)
    return seen


def _trail(trails: list[tuple[int, str]], number: int) -> str:
    """The moves that led to a state; of a long way, the last."""
    words: list[str] = []
    while number > 0:
        number, label = trails[number]
        words.append(label)
    words.reverse()
    return " > ".join(words if len(words) <= 14 else ["…", *words[-14:]])
