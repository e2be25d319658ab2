"""P(evidence | a set of causes), exactly.

Given which causes are there, states are independent, and each finding depends on one state at most:

    P(E | S)   = prod over states of [w A + (1 - w)(r A + (1 - r) B)]
    w          = 1 - (1 - background) prod over c in S of (1 - q_c)              (noisy-OR)
    P(f <= v)  = background(<= v) [state(<= v)] prod over c in S of cause_c(<= v) (noisy-MAX)

``A``, ``B``: chance of all reports of a state where it shows, and where it does not; ``r``: chance
that it shows without being the source. What a term takes from ``S`` is a product of one row of
numbers a cause; causes with equal rows are of one kind, and a term is computed once for each
handful of kinds.

Sources: Henrion, "Some practical issues in constructing belief networks", 1989 (leaky noisy-OR);
Díez, "Parameter adjustment in Bayes networks: the generalized noisy OR-gate", 1993 (noisy-MAX).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from weeptrace.causes.knowledge import Finding, Knowledge
from weeptrace.causes.observe import Evidence

Row = tuple[float, ...]
Kinds = tuple[int, ...]
# A report: a finding, and the place it names or passes over; "" for a sign.
Report = tuple[str, str]


@dataclass(frozen=True)
class Sign:
    """An answered finding whose chance depends on the causes themselves.

    ``parts``: (place in the row or -1, weighted background, the state's share) of each cumulative
    chance that makes up the answer; ``flat``: chance of the answer by misreading.
    """

    flat: float
    parts: tuple[tuple[int, float, float], ...]

    def chance(self, row: Row, state: bool) -> float:
        """Chance of the answer, misreading included."""
        total = self.flat
        for place, background, given in self.parts:
            term = background * row[place] if place >= 0 else background
            total += term * given if state else term
        return total


@dataclass
class Term:
    """The reports of one state, or one sign that has none.

    A row holds 1 - q, then what the signs need. ``known``: chances already computed.
    """

    state: str
    dry: float
    run_down: float
    reports: tuple[Report, ...]
    shown: float
    not_shown: float
    source: float
    no_source: float
    signs: tuple[Sign, ...]
    kind_of: Mapping[str, int]
    rows: Sequence[Row]
    known: dict[Kinds, tuple[float, float, float]] = field(default_factory=dict)

    def kinds(self, causes: Iterable[str]) -> Kinds:
        """The kinds of those causes that touch this term."""
        of = self.kind_of
        return tuple(sorted([of[cause] for cause in causes if cause in of]))

    def chances(self, kinds: Kinds) -> tuple[float, float, float]:
        """Joint chance of the reports with: a source, shown without one, not shown."""
        found = self.known.get(kinds)
        if found is None:
            found = self.known[kinds] = self._chances(kinds)
        return found

    def chance(self, kinds: Kinds) -> float:
        """Chance of the reports."""
        source, run_down, dry = self.chances(kinds)
        return source + run_down + dry

    def _chances(self, kinds: Kinds) -> tuple[float, float, float]:
        row = [1.0] * len(self.rows[0])
        for kind in kinds:
            row = [a * b for a, b in zip(row, self.rows[kind], strict=True)]
        numbers = tuple(row)
        none = self.dry * numbers[0]
        shown, not_shown = self.shown, self.not_shown
        for sign in self.signs:
            shown *= sign.chance(numbers, True)
            not_shown *= sign.chance(numbers, False)
        return (
            (1.0 - none) * shown * self.source,
            none * self.no_source * self.run_down * shown,
            none * self.no_source * (1.0 - self.run_down) * not_shown,
        )


@dataclass(frozen=True)
class Layout:
    """The evidence as terms; ``nothing``: its chance without any cause; ``gains``: by what factor
    each cause alone changes each term that it touches.
    """

    terms: tuple[Term, ...]
    gains: Mapping[str, tuple[float, ...]]
    nothing: float

    def chance(self, causes: Iterable[str]) -> float:
        """P(E | S)."""
        named = tuple(causes)
        return math.prod(term.chance(term.kinds(named)) for term in self.terms)


def layout(knowledge: Knowledge, evidence: Evidence, attention: float) -> Layout:
    """Lay out all evidence for reading."""
    reports: dict[str, list[Report]] = {}
    for id in evidence.signs:
        finding = knowledge.findings[id]
        reports.setdefault(finding.state or f"={id}", []).append((id, ""))
    for id in evidence.places:
        for place, state in knowledge.findings[id].places.items():
            reports.setdefault(state, []).append((id, place))
    terms = tuple(
        term(knowledge, evidence, state, told, attention) for state, told in reports.items()
    )
    gains: dict[str, list[float]] = {cause: [] for cause in evidence.odds}
    for each in terms:
        nothing = each.chance(())
        for cause, kind in each.kind_of.items():
            gains[cause].append(each.chance((kind,)) / nothing)
    return Layout(
        terms,
        {cause: tuple(those) for cause, those in gains.items()},
        math.prod([each.chance(()) for each in terms]),
    )


def term(
    knowledge: Knowledge,
    evidence: Evidence,
    state: str,
    reports: Iterable[Report],
    attention: float,
) -> Term:
    """The term of one state and the reports of it."""
    told = tuple(reports)
    known = knowledge.states.get(state)
    shown = not_shown = source = no_source = 1.0
    signs: list[Sign] = []
    columns: list[tuple[Mapping[str, tuple[float, ...]], int]] = []
    for id, place in told:
        finding = knowledge.findings[id]
        if place:
            so, not_so = _named(evidence, finding, place, attention)
        elif finding.causes:
            signs.append(_sign(finding, evidence, columns))
            continue
        else:
            so, not_so = _of_state(finding, evidence)
        if finding.source:
            source, no_source = source * so, no_source * not_so
        else:
            shown, not_shown = shown * so, not_shown * not_so
    links = known.causes if known else {}
    touching = [c for c in evidence.odds if c in links or any(c in by for by, _ in columns)]
    rows: dict[Row, int] = {}
    kind_of: dict[str, int] = {}
    for cause in touching:
        row = (
            1.0 - links.get(cause, 0.0),
            *(by[cause][index] if cause in by else 1.0 for by, index in columns),
        )
        kind_of[cause] = rows.setdefault(row, len(rows))
    return Term(
        state,
        dry=1.0 - known.background if known else 1.0,
        run_down=known.run_down if known else 0.0,
        reports=told,
        shown=shown,
        not_shown=not_shown,
        source=source,
        no_source=no_source,
        signs=tuple(signs),
        kind_of=kind_of,
        rows=list(rows) or [(1.0,) * (1 + len(columns))],
    )


def _named(
    evidence: Evidence, finding: Finding, place: str, attention: float
) -> tuple[float, float]:
    """Chance that a place is told as it was: where it is wet, where it is dry."""
    named = evidence.places[finding.id]
    seen, false = evidence.seen[finding.id], evidence.misread[finding.id]
    if place in named:
        return seen, false
    return 1.0 - seen * (attention if named else 1.0), 1.0 - false


def misreading(finding: Finding, misread: float) -> tuple[float, float]:
    """``flat``, ``scale``: P(answer) = flat + scale * P(the answer is true).

    ``flat = m / (k - 1)``, ``scale = 1 - m - flat``: m ``misread``, the chance that another of the
    k values of the ``finding`` is said, each as likely. Valid for two values or more. No error is
    raised. Source: own choice; a uniform error.

    >>> from weeptrace.causes import from_bundle
    >>> from weeptrace.rules import limits, load
    >>> weep = from_bundle(load().causes, limits()).findings["weep_hole"]
    >>> len(weep.values), [round(x, 3) for x in misreading(weep, 0.02)]
    (3, [0.01, 0.97])
    """
    flat = misread / (len(finding.values) - 1)
    return flat, 1.0 - misread - flat


def _of_state(finding: Finding, evidence: Evidence) -> tuple[float, float]:
    flat, scale = misreading(finding, evidence.misread[finding.id])
    so, not_so = given_state(finding)
    told = evidence.signs[finding.id].items()
    return (
        flat + scale * sum(weight * so[value] for value, weight in told),
        flat + scale * sum(weight * not_so[value] for value, weight in told),
    )


def given_state(finding: Finding) -> tuple[dict[str, float], dict[str, float]]:
    """Chances of each value without any cause of its own: where the state is so, and where not.

    ``P(f <= v) = background(<= v) state(<= v)`` for the ``finding``. Valid for a sign. No error is
    raised. Source: the module's head, noisy-MAX.

    >>> from weeptrace.causes import from_bundle
    >>> from weeptrace.rules import limits, load
    >>> so, not_so = given_state(from_bundle(load().causes, limits()).findings["weep_hole"])
    >>> round(sum(so.values()), 9), round(sum(not_so.values()), 9), so["wet"] > not_so["wet"]
    (1.0, 1.0, True)
    """
    so = [a * b for a, b in zip(finding.background, finding.given_state, strict=True)]
    return values(finding, so), values(finding, finding.background)


def values(finding: Finding, cumulative: Sequence[float]) -> dict[str, float]:
    """Chances of each value from those of not more than it.

    ``p_k = F_k - F_(k-1)``, F ``cumulative``, for the values of the ``finding``. Valid for F that
    rises to 1. No error is raised. Source: definition.

    >>> from weeptrace.causes import from_bundle
    >>> from weeptrace.rules import limits, load
    >>> values(from_bundle(load().causes, limits()).findings["weep_hole"], (0.5, 0.75, 1.0))
    {'dry': 0.5, 'dry_stain': 0.25, 'wet': 0.25}
    """
    before = 0.0
    out: dict[str, float] = {}
    for value, chance in zip(finding.values, cumulative, strict=True):
        out[value], before = chance - before, chance
    return out


def _sign(
    finding: Finding,
    evidence: Evidence,
    columns: list[tuple[Mapping[str, tuple[float, ...]], int]],
) -> Sign:
    flat, scale = misreading(finding, evidence.misread[finding.id])
    needed: dict[int, float] = {}
    for value, weight in evidence.signs[finding.id].items():
        index = finding.values.index(value)
        needed[index] = needed.get(index, 0.0) + weight
        if index:
            needed[index - 1] = needed.get(index - 1, 0.0) - weight
    parts: list[tuple[int, float, float]] = []
    for index, weight in needed.items():
        place = -1
        if index < len(finding.values) - 1:
            columns.append((finding.causes, index))
            place = len(columns)
        given = finding.given_state[index] if finding.state else 1.0
        parts.append((place, scale * weight * finding.background[index], given))
    return Sign(flat, tuple(parts))


def alone(
    knowledge: Knowledge, evidence: Evidence, finding: str, attention: float
) -> Mapping[str, float]:
    """P(one finding's answer | one cause and no other), for each cause that the car can have."""
    key = (
        "alone",
        finding,
        tuple(evidence.signs.get(finding, {}).items()),
        evidence.places.get(finding),
        evidence.misread[finding],
        evidence.seen.get(finding),
        tuple(evidence.odds),
    )
    found: Mapping[str, float] | None = knowledge.kept.get(key)
    if found is None:
        known = knowledge.findings[finding]
        reports = [(state, place) for place, state in known.places.items()] or [
            (known.state or "", "")
        ]
        terms = [
            term(knowledge, evidence, state, [(finding, place)], attention)
            for state, place in reports
        ]
        found = knowledge.kept[key] = {
            cause: math.prod([each.chance(each.kinds((cause,))) for each in terms])
            for cause in evidence.odds
        }
    return found


def source_chance(knowledge: Knowledge, state: str, causes: Iterable[str]) -> float:
    """Chance of a source in a state, given the causes, before any report.

    ``w = 1 - (1 - background) prod (1 - q_c)``: q_c the link of each of ``causes`` to the ``state``
    in ``knowledge``. Valid for causes that act by themselves. No error is raised. Source: the
    module's head, leaky noisy-OR.

    >>> from weeptrace.causes import from_bundle
    >>> from weeptrace.rules import limits, load
    >>> known = from_bundle(load().causes, limits())
    >>> one = ("head_gasket_internal",)
    >>> [round(source_chance(known, "combustion_gas", causes), 3) for causes in ((), one)]
    [0.001, 0.8]
    """
    known = knowledge.states[state]
    none = math.prod([1.0 - known.causes.get(cause, 0.0) for cause in causes])
    return 1.0 - (1.0 - known.background) * none


def sign_given(knowledge: Knowledge, id: str, causes: tuple[str, ...]) -> tuple[Row, Row]:
    """Chances of each answer, misreading included: where its state is so, and where not."""
    found: tuple[Row, Row] | None = knowledge.kept.get((id, causes))
    if found is not None:
        return found
    finding = knowledge.findings[id]
    flat, scale = misreading(finding, finding.misread)
    not_so = list(finding.background)
    for cause in causes:
        not_so = [a * b for a, b in zip(not_so, finding.causes[cause], strict=True)]
    so = not_so
    if finding.state is not None:
        so = [a * b for a, b in zip(not_so, finding.given_state, strict=True)]
    found = knowledge.kept[id, causes] = (
        tuple([flat + scale * chance for chance in values(finding, so).values()]),
        tuple([flat + scale * chance for chance in values(finding, not_so).values()]),
    )
    return found
