"""Each operator makes the slip that it names, at its place, and nothing where no slip can be."""

from __future__ import annotations

import ast

import pytest

from tests.mutants.names import Names
from tests.mutants.operators import mutants
from tests.mutants.sample import ROOMS, draw, files, room_of, shares, source

CLASS = '''
class Pair:
    """Two of them."""
    low: float
    high: float
    name: str = ""

def show(value: float, unit: str = "kPa") -> str: ...
'''


def made(text: str) -> set[tuple[str, str]]:
    """The operator, and the whole text with the slip in."""
    old = text.encode()
    found = mutants("a.py", old, Names([ast.parse(CLASS)]))
    assert len({each.id for each in found}) == len(found)
    return {(m.operator, m.source(old).decode()) for m in found if m.compiles(old)}


@pytest.mark.parametrize(
    ("text", "operator", "slip"),
    [
        ("a < b", "boundary", "a <= b"),
        ("a < b", "comparison", "a > b"),
        ("a >= b", "boundary", "a > b"),
        ("a == b", "comparison", "a != b"),
        ("a is not b", "comparison", "a is b"),
        ("a not in b", "comparison", "a in b"),
        ("0 < a <= b", "boundary", "0 < a < b"),
        ("(a\n # <= is meant\n < b)", "boundary", "(a\n # <= is meant\n <= b)"),
        ("a + b", "arithmetic", "a - b"),
        ("a ** b", "arithmetic", "a * b"),
        ("a - b", "order", "((b) - (a))"),
        ("a / b", "order", "((b) / (a))"),
        ("-a", "sign dropped", "(a)"),
        ("not a", "not removed", "(a)"),
        ("a and b", "and/or", "a or b"),
        ("a and b", "part left out", "(a)"),
        ("x = 3", "number", "x = 4"),
        ("x = 3", "number", "x = 2"),
        ("x = 0.5", "number", "x = 0.55"),
        ("x = 3600", "number", "x = 3960"),
        ("x = True", "constant", "x = False"),
        ("min(a)", "min/max", "max(a)"),
        ("math.floor(a)", "min/max", "math.ceil(a)"),
        ("f(a, b)", "order", "f(b, a)"),
        ("f(a.x, b.y, 1)", "order", "f(b.y, a.x, 1)"),
        ('show(a, unit="bar")', "argument left out", "show(a)"),
        ("p.low", "attribute", "p.high"),
        ("p.high", "attribute", "p.low"),
        ("x[1:n]", "slice", "x[:n]"),
        ("x[1:n]", "slice", "x[1:]"),
        ("if a: b = 1", "condition", "if True: b = 1"),
        ("if a: b = 1", "condition", "if False: b = 1"),
        ("x = a if b else c", "condition", "x = a if False else c"),
        ("[a for a in b if c]", "condition", "[a for a in b if True]"),
        ("f(a)", "statement", "pass"),
        ("a[b] = c", "statement", "pass"),
        ("a += c", "statement", "pass"),
        ("a += c", "arithmetic", "a -= c"),
        ("def f(a):\n    a = g(a)", "statement", "def f(a):\n    pass"),
        ("def f():\n    return a", "return", "def f():\n    return None"),
        ('def f():\n    return x["low"], x["high"]', "word",
         "def f():\n    return x['high'], x[\"high\"]"),
        ('x = "kPa"', "word", "x = 'kPa_'"),
    ],
)  # fmt: skip
def test_an_operator_makes_the_slip_that_it_names(text: str, operator: str, slip: str) -> None:
    assert (operator, slip) in made(text)


@pytest.mark.parametrize(
    "text",
    [
        '"""A docstring of a word."""',
        '"docstring"',
        "def f(a: Literal['low'] = b) -> Literal['high']: ...",
        "x: dict[str, 'Low']",
        "Table = dict[str, Any]",
        "from a import b",
        '__all__ = ["a", "b"]',
        "if TYPE_CHECKING:\n    x = 1",
        'if __name__ == "__main__":\n    f(1)',
        '{"description": "pressure"}',
        'f"{a} of 3"',
        'x = "words of a sentence"',
        "# x = 1",
        "@dataclass(frozen=True)\nclass A: ...",
    ],
)
def test_no_slip_where_nothing_runs(text: str) -> None:
    assert made(text) == set()


@pytest.mark.parametrize("text", ["(a - b) ** 2", "abs(a - b)", "math.hypot(a - b, c)"])
def test_a_difference_whose_sign_is_lost_is_not_turned_round(text: str) -> None:
    assert "order" not in {kind for kind, _ in made(text)}
    assert "order" in {kind for kind, _ in made(text.replace("-", "/"))}


@pytest.mark.parametrize("text", ["(a - b) ** 3", "float(a - b)", "abs(f(a - b))"])
def test_a_difference_whose_sign_counts_is_turned_round(text: str) -> None:
    assert "order" in {kind for kind, _ in made(text)}


def test_an_argument_that_a_call_needs_is_not_left_out() -> None:
    assert not [slip for kind, slip in made("show(value=a)") if kind == "argument left out"]


def test_what_does_not_compile_is_not_drawn() -> None:
    for mutant in draw(files("quote"), 60, seed=5):
        old = source(mutant.file)
        assert ast.dump(ast.parse(mutant.source(old))) != ast.dump(ast.parse(old))


def test_a_sample_is_the_same_for_a_seed_and_another_for_another() -> None:
    first, again, other = (
        [mutant.id for mutant in draw(files("fill"), 20, seed)] for seed in (1, 1, 2)
    )
    assert first == again
    assert first != other


def test_every_file_of_the_core_is_in_one_room() -> None:
    rooms = {file: room for room in ROOMS for file in files(room)}
    assert len(rooms) == sum(len(files(room)) for room in ROOMS)
    assert all(room_of(file) == room for file, room in rooms.items())


def test_the_shares_of_the_rooms() -> None:
    parts = shares(600)
    assert sum(parts.values()) == 600
    assert min(parts.values()) >= 25
    assert parts["screen"] > parts["quote"]
