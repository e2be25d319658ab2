"""Cells of a field against brute force: no two values of one cell can be told apart, and every
outcome that a fine grid reaches is reached by the few values that stand for all."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace
from typing import Any

import pytest

from tests.proof.cells import Cuts, comparisons, put_in, trees
from weeptrace.rules import Field, Gate, Procedure, Rules, Step, load
from weeptrace.rules.conditions import evaluate, parse

FIELDS = {
    "a.level": Field("a.level", "quantity", "length", 0.0, 10.0),
    "a.other": Field("a.other", "quantity", "length", 0.0, 10.0),
    "a.count": Field("a.count", "count", "ratio", 0.0, 9.0),
    "a.word": Field("a.word", "choice", options=("one", "two", "three", "four")),
    "a.pair": Field("a.pair", "choice", options=("yes", "no")),
    "a.plain": Field("a.plain", "quantity", "length", 2.0, 12.0),
}
LIMITS = {"l.low": 2.5, "l.high": 7.5}
NO_STEP: dict[str, Any] = {
    "phase": "p", "asks": None, "shows": None, "reads": None, "checks": (), "when": None,
    "done": None, "again": None, "skip": False, "hazards": (), "gates": (),
}  # fmt: skip


def rules(*texts: str, **places: str) -> Rules:
    """Rules of these fields with each text as a gate's condition, others where they are named."""
    gates = {
        f"g{number}": Gate(f"g{number}", (), parse(text), ()) for number, text in enumerate(texts)
    }
    parts = {key: parse(text) for key, text in places.items() if key in ("when", "done")}
    step = Step(id="s", **{**NO_STEP, **parts})
    whole = Procedure((), (step,), parse(places["open"]) if "open" in places else None)
    return replace(
        load(), fields=FIELDS, limits=LIMITS, gates=gates, procedures={"p": whole}, never={},
    )  # fmt: skip


def outcomes(made: Rules, facts: dict[str, Any]) -> tuple[bool, ...]:
    """Which conditions hold; unknown is as good as false for a gate and for a step."""
    return tuple(evaluate(tree, facts.get, LIMITS) is True for tree in trees(made))


ATOMS = (
    "a.level < limit.l.low", "a.level <= limit.l.low", "a.level > limit.l.high", "a.level >= 6",
    "a.level == 4", "a.level != 4", "a.count > 3", "a.count <= 5", 'a.word == "one"',
    'a.word != "two"', 'a.word == "three"', 'a.pair == "yes"', "known(a.word)", "known(a.level)",
    "6 > a.level", 'not a.word == "one"',
)  # fmt: skip
GRID: dict[str, list[Any]] = {
    "a.level": [None, *sorted({n / 8 for n in range(81)} | {2.4999, 2.5001, 7.4999, 7.5001})],
    "a.count": [None, *(float(n) for n in range(10))],
    "a.word": [None, "one", "two", "three", "four"],
    "a.pair": [None, "yes", "no"],
}


def drawn(seed: int) -> list[str]:
    """Conditions of up to three parts, at random."""
    chance = random.Random(seed)
    texts = []
    for _ in range(chance.randint(1, 3)):
        parts = chance.sample(ATOMS, chance.randint(1, 3))
        texts.append(chance.choice((" and ", " or ")).join(f"({part})" for part in parts))
    return texts


@pytest.mark.parametrize("seed", range(24))
def test_one_cell_is_one_outcome_and_no_outcome_is_missed(seed: int) -> None:
    made = rules(*drawn(seed))
    cuts = Cuts(made)
    chance = random.Random(seed)
    for id, grid in GRID.items():
        others = [
            {other: chance.choice(values) for other, values in GRID.items() if other != id}
            for _ in range(12)
        ]
        for facts in others:
            by_cell: dict[Any, set[tuple[bool, ...]]] = {}
            for value in grid:
                found = outcomes(made, {**facts, id: value})
                by_cell.setdefault(cuts.cell(id, value), set()).add(found)
            assert all(len(found) == 1 for found in by_cell.values()), (id, by_cell)
            reached = {outcomes(made, {**facts, id: v}) for v in (*cuts.values(id), None)}
            assert {found for each in by_cell.values() for found in each} == reached, id


def test_a_field_that_nothing_compares_has_one_cell() -> None:
    cuts = Cuts(rules('a.word == "one"'))
    assert len(cuts.values("a.level")) == 1
    assert cuts.cell("a.level", 1.0) == cuts.cell("a.level", 9.0) == "known"
    assert cuts.cell("a.level", None) is None
    assert len(cuts.values("a.pair")) == 1
    # 0.4 of the way up its range, which is no edge and no middle
    assert cuts.values("a.plain") == (6.0,)
    assert cuts.values("a.count") == (4.0,)  # 3.6 of nine, and half a piece is none
    open_ended = {name: Field(name, "quantity") for name in ("a.plain", "a.bare")}
    bare = replace(rules("a.plain > 5"), fields={**FIELDS, **open_ended})
    assert Cuts(bare).values("a.bare") == (0.4,)
    assert Cuts(bare).values("a.plain") == pytest.approx((5.0 - 1e-3, 5.0, 5.0 + 1e-3), abs=1e-9)
    below = replace(bare, fields={**FIELDS, "a.plain": Field("a.plain", "quantity", high=4.0)})
    assert Cuts(below).values("a.plain") == (1.6,)  # the cut lies above all that it takes
    wide = replace(bare, fields={**FIELDS, "a.plain": replace(FIELDS["a.plain"], high=1002.0)})
    assert Cuts(wide).values("a.plain") == pytest.approx((5.0 - 1e-3, 5.0, 5.0 + 1e-3), abs=1e-9)


def test_an_unknown_word_is_as_good_as_a_wrong_one_unless_something_is_denied() -> None:
    plain = Cuts(rules('a.word == "one" and a.level > 3'))
    assert plain.cell("a.word", None) == plain.cell("a.word", "two") != plain.cell("a.word", "one")
    denied = Cuts(rules('not a.word == "one"'))
    assert len({denied.cell("a.word", word) for word in (None, "one", "two")}) == 3
    assert denied.cell("a.word", "two") == denied.cell("a.word", "three")


def test_the_values_of_a_number_are_below_at_and_above_each_constant() -> None:
    cuts = Cuts(rules("a.level < limit.l.low", "a.level > limit.l.high"))
    near = 1e-5 * 10.0  # a share of its range, finer than 1e-3
    assert cuts.values("a.level") == pytest.approx(
        (2.5 - near, 2.5, 2.5 + near, 7.5 - near, 7.5, 7.5 + near), abs=1e-9
    )
    assert [cuts.cell("a.level", value) for value in (0.0, 2.5, 5.0, 7.5, 9.0)] == [0, 1, 2, 3, 4]


def test_a_value_outside_its_range_is_not_tried() -> None:
    cuts = Cuts(rules("a.level > 0", "a.level >= 10", "a.count > 3"))
    assert min(cuts.values("a.level")) == 0.0
    assert max(cuts.values("a.level")) == 10.0
    assert cuts.values("a.count") == (2.0, 3.0, 4.0)  # whole ones


def test_two_fields_that_are_compared_share_their_cuts() -> None:
    cuts = Cuts(rules("a.level < a.other", "a.other > limit.l.low"))
    assert 2.5 in cuts.values("a.level")
    assert 2.5 in cuts.values("a.other")
    alone = Cuts(rules("a.level < a.other"))
    assert 4.0 in alone.values("a.level")  # the plain value of the other
    capped = rules("known(a.level)")
    level = replace(FIELDS["a.level"], not_above=("a.other",))
    capped = replace(capped, fields={**FIELDS, "a.level": level})
    assert 4.0 in Cuts(capped).values("a.level")


def test_conditions_of_steps_and_of_a_procedure_cut_as_well() -> None:
    for place in ("when", "done", "open"):
        assert 3.0 in Cuts(rules(**{place: "a.level > 3"})).values("a.level"), place
    only = replace(FIELDS["a.pair"], only=parse('a.word == "two"'))
    made = replace(rules("known(a.level)"), fields={**FIELDS, "a.pair": only})
    assert set(Cuts(made).values("a.word")) == {"one", "two"}


def test_what_somebody_else_tells_apart_is_told_apart() -> None:
    made = rules("known(a.level)")
    cuts = Cuts(made, {"a.level": (4.5,), "a.word": ("three",), "a.count": ("a.level",)})
    assert 4.5 in cuts.values("a.level")
    assert cuts.cell("a.level", 4.4) != cuts.cell("a.level", 4.6)
    assert set(cuts.values("a.word")) == {"one", "three"}
    assert cuts.cell("a.word", "two") == cuts.cell("a.word", "one") != cuts.cell("a.word", "three")
    assert cuts.values("a.count") == pytest.approx((3.5, 4.5, 5.5))


def test_the_comparisons_within_a_condition() -> None:
    tree = parse('not (a.x < 3) and (known(a.y) or a.z == "w") and within(a.x, limit.l.y)')
    found = [(sign, left[1], right[1]) for sign, left, right in comparisons(tree)]
    assert found == [("<", "a.x", 3.0), ("==", "a.z", "w")]


@pytest.mark.parametrize("seed", range(40))
def test_a_word_put_in_decides_as_the_fact_itself_would(seed: int) -> None:
    """Over every value of the others: what is left holds just where the whole condition holds."""
    for text in drawn(1000 + seed):
        tree = parse(text)
        for word in (None, "one", "two", "three", "four"):
            left = put_in(tree, "a.word", word)
            for level, count, pair in itertools.product(
                (None, 1.0, 4.0, 6.0, 8.0), (None, 2.0, 4.0, 7.0), (None, "yes", "no")
            ):
                facts = {"a.level": level, "a.count": count, "a.pair": pair}
                whole = evaluate(tree, {**facts, "a.word": word}.get, LIMITS) is True
                rest = left
                if isinstance(left, list):
                    rest = _without_none(left, facts)
                assert (rest is True) == whole, (text, word, facts, left)


def _without_none(tree: Any, facts: dict[str, Any]) -> bool | None:
    """Kleene's logic over a tree in which truth values stand for whole parts."""
    if not isinstance(tree, list):
        return tree  # type: ignore[no-any-return]
    if tree[0] in ("and", "or"):
        parts = [_without_none(part, facts) for part in tree[1:]]
        decides = tree[0] == "or"
        return decides if decides in parts else None if None in parts else not decides
    if tree[0] == "not":
        inner = _without_none(tree[1], facts)
        return None if inner is None else not inner
    return evaluate(tree, facts.get, LIMITS)


# --- names that a job computes, in the rules that ship ------------------------------------------


def test_a_computed_name_cuts_the_fields_that_it_is_made_of() -> None:
    real = load()
    cuts = Cuts(real)
    # The tester's fall is told in divisions: the cut of the fall is that many plain divisions.
    division = real.fields["tester.division"]
    assert division.low is not None
    assert division.high is not None
    plain = division.low + 0.4 * (division.high - division.low)
    step = [t for t in trees(real) for t in comparisons(t)]
    told = [t for t in step if ["field", "tester.fall_in_divisions"] in t]
    assert told
    for _, left, right in told:
        other = right if left[0] == "field" else left
        share = real.limits[other[1]] if other[0] == "limit" else other[1]
        assert any(
            value == pytest.approx(share * plain) for value in cuts.values("tester.self_fall")
        )
    # The price over the ceiling: one field is cut at another's plain value, and at a sum of two.
    total = _plain(real, "quote.total")
    for ceiling, parts in (
        ("quote.ceiling", ("quote.total",)),
        ("quote.ceiling_new", ("quote.total",)),
        ("quote.ceiling_new", ("quote.total", "extra.price")),
        ("quote.ceiling_new", ("quote.total", "broken.price")),
    ):
        whole = sum(_plain(real, part) for part in parts)
        assert whole >= total
        assert any(value == pytest.approx(whole) for value in cuts.values(ceiling)), parts
    # A cap opens outside its rating by a share of it, below and above.
    rating = _plain(real, "car.cap_rating")
    for opening in ("cap.opening_1", "cap.opening_2", "cap.opening_3"):
        for share in ("cap.low", "cap.high"):
            at = (1.0 + real.limits[share]) * rating
            assert any(value == pytest.approx(at) for value in cuts.values(opening))
    for refusal in ("extra.how", "broken.how"):
        refused = cuts.cell(refusal, "refused")
        words = real.fields[refusal].options
        assert [word for word in words if cuts.cell(refusal, word) == refused] == ["refused"]


def _plain(made: Rules, id: str) -> float:
    field = made.fields[id]
    low = 0.0 if field.low is None else field.low
    high = 1.0 if field.high is None else field.high
    return low + 0.4 * ((high or 1.0) - low)
