"""Bands of a figure by a normal table, growing sets by brute force, misfits with places told, and
what is kept of earlier reckoning."""

from __future__ import annotations

import itertools
import math
import random
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest

from tests.causes import one_by_one
from tests.causes.support import KNOWLEDGE, LIMITS, spoken, told
from weeptrace.causes import Figure, Observation, from_bundle, next_test, rank
from weeptrace.causes.fit import misfits
from weeptrace.causes.likelihood import Layout, Term, layout
from weeptrace.causes.observe import evidence
from weeptrace.causes.posterior import posterior
from weeptrace.causes.predict import Predictor
from weeptrace.rules import load

BUNDLE: dict[str, Any] = dict(load().causes)
MEASURED = [id for id, entry in BUNDLE["findings"].items() if entry.get("measure")]


@pytest.mark.parametrize("finding", MEASURED)
@pytest.mark.parametrize("ends", ["both", "low", "high", "none"])
def test_a_figure_is_shared_out_over_the_bands_by_its_interval(finding: str, ends: str) -> None:
    """An end that nobody told is the value itself; what has no share is not told."""
    measure = BUNDLE["findings"][finding]["measure"]
    edges, values = measure["edges"], measure["values"]
    assert MEASURED
    for edge, off in itertools.product(edges, (-0.6, -0.1, 0.1, 0.6)):
        sd = 0.2 * (abs(edge) or 1.0)
        value = edge + off * sd
        below, above = 1.5 * sd, 2.5 * sd  # an interval need not be even
        low = value - below if ends in ("both", "low") else None
        high = value + above if ends in ("both", "high") else None
        width = (below if low is not None else 0.0) + (above if high is not None else 0.0)
        known = evidence(KNOWLEDGE, [], [Observation(finding, Figure(value, low, high))])
        if width:
            normal = NormalDist(value, width / 3.92)
            under = [0.0, *(normal.cdf(e) for e in edges), 1.0]
        else:
            under = [0.0, *(1.0 if value < e else 0.0 for e in edges), 1.0]
        shares = {v: b - a for v, a, b in zip(values, under, under[1:], strict=False) if b > a}
        assert known.answers[finding] == (max(shares, key=lambda v: shares[v]),)
        kept = known.signs.get(finding)
        if kept is not None:
            assert {v: s for v, s in kept.items() if s > 1e-12} == {
                v: pytest.approx(s) for v, s in shares.items() if s > 1e-12
            }
    # Just on an edge, and known to the last digit, it is in the upper band.
    on = evidence(KNOWLEDGE, [], [Observation(finding, Figure(edges[0]))])
    assert on.answers[finding] == (values[1],)


def test_what_was_reckoned_once_is_no_part_of_what_is_known() -> None:
    """A car asked after others gets the answer that it would get first."""
    cars = [
        ([], told(gas_test="positive")),
        ([], told(gas_test="positive", gas_conditions="coolant_drawn_in")),
        (KNOWLEDGE.features, told(gas_test="positive")),
        ([], told(residue_at="none")),
        ([], told(residue_at="none", looked_when="cold_and_dry")),
        ([], told(residue_at="hose_end")),
        ([], told(residue_at="pump_weep")),
        ([], [Observation("loss_rate", Figure(0.29e-9, 0.2e-9, 0.38e-9))]),
        ([], told(loss_rate="seep")),
    ]
    used = from_bundle(load().causes, LIMITS)
    for features, observations in cars:
        fresh = from_bundle(load().causes, LIMITS)
        assert used == fresh
        assert repr(used) == repr(fresh)
        first = rank(fresh, features, observations, LIMITS)
        assert rank(used, features, observations, LIMITS) == first


# --- sets that grow ------------------------------------------------------------------------------


def drawn(count: int, seed: int) -> tuple[Layout, dict[str, float]]:
    """Causes of random odds, and a few terms in which some of them speak together."""
    rng = random.Random(seed)
    causes = [f"c{n}" for n in range(count)]
    terms = []
    for number in range(4):
        touched = rng.sample(causes, min(5, count))
        rows = [(rng.uniform(0.1, 0.9),) for _ in range(3)]
        terms.append(
            Term(
                f"s{number}", rng.uniform(0.8, 0.99), rng.uniform(0.0, 0.2), (),
                rng.uniform(0.2, 1.0), rng.uniform(0.01, 0.3), 1.0, rng.uniform(0.3, 1.0), (),
                {cause: rng.randrange(3) for cause in touched}, rows,
            )
        )  # fmt: skip
    gains: dict[str, list[float]] = {cause: [] for cause in causes}
    for term in terms:
        for cause, kind in term.kind_of.items():
            gains[cause].append(term.chance((kind,)) / term.chance(()))
    nothing = math.prod(term.chance(()) for term in terms)
    odds = {cause: 10.0 ** rng.uniform(-2.5, -0.3) for cause in causes}
    return Layout(tuple(terms), {c: tuple(g) for c, g in gains.items()}, nothing), odds


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("count", [1, 2, 9])
def test_all_pairs_and_what_grows_from_the_likeliest(count: int, seed: int) -> None:
    """Each set weighs its odds times the chance of the evidence. The twelve likeliest pairs grow by
    any cause, and of what comes the four likeliest once more; none below a thousandth of all."""
    terms, odds = drawn(count, seed)

    def weight(causes: frozenset[str]) -> float:
        return math.prod(odds[c] for c in causes) * terms.chance(causes)

    sets = {frozenset(s) for size in (1, 2) for s in itertools.combinations(odds, size)}
    level = {each for each in sets if len(each) == 2}
    for most in (12, 4):
        least = 1e-3 * sum(map(weight, sets))
        grow = [s for s in sorted(level, key=weight, reverse=True)[:most] if weight(s) >= least]
        level = {each | {cause} for each in grow for cause in odds if cause not in each}
        sets |= level
    total = sum(map(weight, sets))
    found = posterior(terms, odds)
    assert len(found.sets) == len(sets)
    told_ = {frozenset(each.causes): each.chance for each in found.sets}
    assert told_ == {each: pytest.approx(weight(each) / total) for each in sets}
    assert [each.chance for each in found.sets] == sorted(told_.values(), reverse=True)
    assert found.total == pytest.approx(total)
    for cause in odds:
        chance = sum(weight(each) for each in sets if cause in each) / total
        assert found.causes[cause] == pytest.approx(chance)
    several = sum(weight(each) for each in sets if len(each) > 1) / total
    assert found.several == pytest.approx(several)
    assert all(list(each.causes) == sorted(each.causes) for each in found.sets)


# --- misfits where places are told too -----------------------------------------------------------


def _chances(answers: dict[str, str], causes: tuple[str, ...]) -> float:
    """P(all these answers | just these causes), signs and places of one state together."""
    attention = LIMITS["causes.attention"]
    by_state: dict[str, list[float]] = {}
    out = 1.0
    for finding, value in answers.items():
        entry = BUNDLE["findings"][finding]
        if entry["kind"] != "places":
            state = entry["state"]
            if state is None:
                out *= one_by_one._sign(entry, value, causes, False)
                continue
            so = one_by_one._sign(entry, value, causes, True)
            three = (so, so, one_by_one._sign(entry, value, causes, False))
            held = by_state.setdefault(state, [1.0, 1.0, 1.0])
            by_state[state] = [a * b for a, b in zip(held, three, strict=True)]
            continue
        for place, state in entry["places"].items():
            if place == value:
                wet, dry = entry["seen"], entry["misread"]
            else:
                share = 1.0 if value == entry["none"] else attention
                wet, dry = 1.0 - share * entry["seen"], 1.0 - entry["misread"]
            held = by_state.setdefault(state, [1.0, 1.0, 1.0])
            three = (wet, dry if entry["source"] else wet, dry)
            by_state[state] = [a * b for a, b in zip(held, three, strict=True)]
    for state, (source, shown, dry) in by_state.items():
        there, shows = one_by_one.shows(BUNDLE, state, causes)
        out *= there * source + (shows - there) * shown + (1.0 - shows) * dry
    return out


@pytest.mark.parametrize(
    "story",
    [
        {"weep_hole": "dry", "wet_again_at": "pump_weep", "pressure_hold_cold": "holds"},
        {"weep_hole": "wet", "residue_at": "hose_end", "pressure_hold_cold": "slow_fall"},
        {"weep_hole": "wet", "residue_at": "none", "gas_test": "positive"},
        {"weep_hole": "wet", "wet_again_at": "none", "gas_test": "negative"},
    ],
    ids=str,
)
def test_a_sign_that_places_speak_against(story: dict[str, str]) -> None:
    total = sum(each["weight"] for each in BUNDLE["causes"].values())
    odds = {
        id: each["weight"] / total * LIMITS["causes.several"]
        for id, each in BUNDLE["causes"].items()
    }
    sets = [s for size in (1, 2) for s in itertools.combinations(odds, size)]
    weights = [math.prod(odds[c] for c in s) for s in sets]
    known = evidence(KNOWLEDGE, list(KNOWLEDGE.features), told(**story))
    terms = layout(KNOWLEDGE, known, LIMITS["causes.attention"])
    found = posterior(terms, known.odds)
    for finding, value in story.items():
        if BUNDLE["findings"][finding]["kind"] == "places":
            continue
        alone = sum(odds[c] * _chances({finding: value}, (c,)) for c in odds) / sum(odds.values())
        rest = {other: v for other, v in story.items() if other != finding}
        whole = sum(w * _chances(story, s) for w, s in zip(weights, sets, strict=True))
        without = sum(w * _chances(rest, s) for w, s in zip(weights, sets, strict=True))
        ratio = alone * without / whole
        # The room grows its sets further and looks at the likeliest: within a twentieth.
        for part, is_one in ((0.93, True), (1.07, False)):
            limits = {**LIMITS, "causes.misfit": ratio * part}
            told_ = misfits(KNOWLEDGE, known, terms, found, limits)
            assert (finding in told_) is is_one, (finding, ratio)


# --- a test that asks for several findings -------------------------------------------------------


@pytest.mark.parametrize(
    "seen", [{}, {"weep_hole": "wet"}, {"overflow_behaviour": "pushes_out_hot"}], ids=str
)
def test_the_gain_of_two_findings_of_one_test_by_its_definition(seen: dict[str, str]) -> None:
    """The best finding, and with it the next best that shows another state: the fall of the risk
    by both answers together. Where both are not worth half the cost, the best counts alone."""
    known = evidence(KNOWLEDGE, list(KNOWLEDGE.features), told(**seen))
    terms = layout(KNOWLEDGE, known, LIMITS["causes.attention"])
    before = Predictor(KNOWLEDGE, terms, posterior(terms, known.odds).sets)
    missed = LIMITS["causes.missed"]
    stakes = {
        c: 4.0 * e["wrong"] * 60.0 * missed / (e["wrong"] * 60.0 + missed)
        for c, e in BUNDLE["causes"].items()
    }
    weights = np.array(before.weights)
    there = np.array([[cause in s.causes for s in before.sets] for cause in stakes], float)
    stake = np.array(list(stakes.values()))

    def risk(shares: Any) -> float:
        p = there @ shares
        return float((stake * p * (1.0 - p)).sum())

    def gain(*columns: Any) -> float:
        """Answers independent given the causes: one of each."""
        after = 0.0
        for some in itertools.product(*columns):
            joint = weights * np.prod(some, axis=0)
            after += joint.sum() * risk(joint / joint.sum())
        return risk(weights) - after

    def states(finding: str) -> set[str]:
        entry = BUNDLE["findings"][finding]
        return {entry.get("state"), *(entry.get("places") or {}).values()} - {None}

    pairs = 0
    for each in next_test.value(KNOWLEDGE, known, before, dict(KNOWLEDGE.tests), LIMITS):
        entry = BUNDLE["tests"][each.test]
        minutes = entry["minutes"] + entry["worth"] + entry["risk"] + 0.05 * entry["waits"]
        price = 60.0 * (minutes + (30.0 if entry["visit"] else 0.0))
        open_ = [
            f for f, e in BUNDLE["findings"].items()
            if each.test in e["tests"] and e["kind"] in ("sign", "places") and f not in seen
        ]  # fmt: skip
        columns = {f: np.array(before.answers(f)[1]) for f in open_}
        alone = {f: gain(columns[f]) for f in open_}
        asks = sorted(open_, key=lambda f: (-round(alone[f], 6), f))
        assert [round(alone[f], 5) for f in each.asks] == [round(alone[f], 5) for f in asks]
        best, wanted = each.asks[0], alone[each.asks[0]]
        for other in each.asks[1:]:
            if wanted + alone[other] < price / 2.0:
                break
            if not states(best) & states(other):
                wanted = max(wanted, gain(columns[best], columns[other]))
                pairs += 1
                break
        assert each.gain == pytest.approx(wanted, abs=1e-5), each.test
        assert each.cost == pytest.approx(price)
        assert each.worth is (each.gain > each.cost)
    assert pairs >= 2


@pytest.mark.parametrize(("gain", "worth"), [(299.0, False), (300.0, False), (301.0, True)])
def test_a_test_is_worth_doing_where_it_gains_more_than_it_costs(gain: float, worth: bool) -> None:
    assert next_test.Valued("cap_test", gain, 300.0, ("cap_test",), None).worth is worth


def test_each_answer_is_said_in_its_own_words() -> None:
    """A place by the places' words where any may be named, else an answer by its question's: as
    the key says it that it is given by."""
    places = {id for id, entry in BUNDLE["findings"].items() if "worded_as" in entry}
    assert places >= {"residue_at", "dye_at"}
    assert "wet_ground_zone" not in places
    for finding, entry in BUNDLE["findings"].items():
        for value in (*entry["values"], *entry["neutral"]):
            family = "place" if finding in places else finding
            told_by = f"choice.find.{family}.{value}"
            assert KNOWLEDGE.said(finding, value).text == told_by
            assert load().fields[f"find.{finding}"].word(value) == told_by
            assert told_by in load().texts


def test_a_question_answered_twice_is_to_be_asked_again() -> None:
    twice = [Observation("gas_test", "positive"), Observation("gas_test", "negative")]
    (found,) = rank(KNOWLEDGE, [], twice, LIMITS).contradictions
    assert (found.findings, found.recheck) == (("gas_test",), "gas_test")
    assert spoken(found.why).startswith("Two answers to one question")
