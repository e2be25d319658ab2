"""Conditions: three values, and no way to run code."""

from __future__ import annotations

import itertools

import pytest

from weeptrace.rules.conditions import ages, evaluate, fields, limits, parse


@pytest.mark.parametrize(
    ("text", "facts", "expected"),
    [
        ("a.x < 5", {"a.x": 4.9}, True),
        ("a.x < 5", {"a.x": 5.0}, False),
        ("a.x <= 5", {"a.x": 5.0}, True),
        ("a.x < 5", {}, None),
        ('a.w == "yes"', {"a.w": "yes"}, True),
        ('a.w != "yes"', {}, None),
        ("known(a.x)", {}, False),
        ("not known(a.x)", {}, True),
        ("a.x < limit.l.y", {"a.x": 1.0}, True),
        # Kleene: one known answer may decide, an unknown one never does.
        ("a.x < 5 and a.y < 5", {"a.y": 9.0}, False),
        ("a.x < 5 or a.y < 5", {"a.y": 1.0}, True),
        ("a.x < 5 and a.y < 5", {"a.y": 1.0}, None),
        ("not (a.x < 5)", {}, None),
    ],
)
def test_value(text: str, facts: dict[str, object], expected: bool | None) -> None:
    assert evaluate(parse(text), facts.get, {"l.y": 2.0}) is expected


def test_a_missing_fact_never_turns_a_no_into_a_yes() -> None:
    texts = ["a < 5 and b < 5", "a < 5 or b < 5", "not (a < 5) or b < 5", "not (a < 5 and b < 5)"]
    for text, a, b in itertools.product(texts, (1.0, 9.0), (1.0, 9.0)):
        whole = evaluate(parse(text), {"a": a, "b": b}.get, {})
        for missing in ("a", "b"):
            facts = {"a": a, "b": b}
            del facts[missing]
            assert evaluate(parse(text), facts.get, {}) in (whole, None)


@pytest.mark.parametrize(
    "text",
    [
        "__import__('os')",
        "a.x.__class__()",
        "a + 1 > 2",
        "a < b < c",
        "lambda: 1",
        "a[0] == 1",
        "",
        "a <",
        "within(a.x, 20)",
        "within(a.x)",
        "known(a.x, b.x)",
        "known(name=a.x)",
        "a.x == True",
        "a.x == None",
        "a.x > 1e400",
        "a.x > 1" + "0" * 400,
        "(" * 300 + "a.x" + ")" * 300,
        "\0",
    ],
)
def test_nothing_but_the_language_parses(text: str) -> None:
    with pytest.raises(ValueError, match=r"write "):
        parse(text)


@pytest.mark.parametrize(
    ("age", "expected"), [(59.9, True), (60.0, True), (60.1, False), (float("inf"), False)]
)
def test_within_an_age(age: float, expected: bool) -> None:
    tree = parse("within(a.x, limit.l.age)")
    assert evaluate(tree, {"a.x": 1.0}.get, {"l.age": 60.0}, lambda _: age) is expected
    assert [part[1] for part in ages(parse("known(b) and not within(a.x, limit.l.age)"))] == ["a.x"]


def test_without_a_value_or_a_clock_an_age_is_unknown() -> None:
    tree = parse("within(a.x, limit.l.age)")
    assert evaluate(tree, {}.get, {"l.age": 60.0}, lambda _: 0.0) is None
    assert evaluate(tree, {"a.x": 1.0}.get, {"l.age": 60.0}) is None


def test_names() -> None:
    tree = parse('known(a.b) and c.d < limit.e.f or not g.h == "x"')
    assert set(fields(tree)) == {"a.b", "c.d", "g.h"}
    assert set(limits(tree)) == {"e.f"}
