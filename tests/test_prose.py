"""No sentence that a person reads stands in the core's code: each is an entry of the texts."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from weeptrace.quantity import UNITS
from weeptrace.rules import FOLDER

CORE = FOLDER.parent
# What may stand in code, and to whom it is said; a folder's name ends in "/".
SAID_TO_OTHERS = {
    "__main__.py": "the command line's own help, for who writes programs",
    "rules/": "the compiler's faults, for who writes rules",
    "screen/record/style.py": "a style sheet",
    "loss/calendar.py": "the product's name in a calendar file, as RFC 5545 wants one",
}
# A place in a job's file, which an answer of the door names as it is.
PLACES = ("line ",)

_TWO_WORDS = re.compile(r"[^\W\d_]{2,},? [^\W\d_]{2,}")
_GLUE = re.compile(r"^ ?[^\W\d_]{2,} | [^\W\d_]{2,}[ .,:]*$")  # a word beside a figure
_CAPITALISED = re.compile(r"[A-Z][a-z]{2,}[.:]?")
# Tags, whole or cut by what stands between two figures, and a policy of a page's head.
_MARKUP = re.compile(r"<[^<>]*(>|$)|^[^<>]*>|^default-src .*")


def prose(text: str) -> str:
    """What a string says to a person; "" for an id, a unit, markup."""
    if text in UNITS:
        return ""
    rest = bare(text)
    return text if _TWO_WORDS.search(rest) or _CAPITALISED.fullmatch(rest.strip()) else ""


def bare(text: str) -> str:
    """A string without its markup."""
    return _MARKUP.sub("", text)


def unsaid(tree: ast.AST) -> Iterator[ast.expr]:
    """Strings that no page shows: docstrings, names of a module, types, slips of a program."""
    for node in ast.walk(tree):
        body = getattr(node, "body", [])
        if isinstance(body, list):
            yield from (each.value for each in body if isinstance(each, ast.Expr))
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            yield node.value
        elif isinstance(node, ast.Call) and ast.unparse(node.func) == "cast":
            yield node.args[0]
        elif isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
            if ast.unparse(node.exc.func).endswith("Error"):
                yield node.exc
        elif isinstance(node, ast.Assert) and node.msg is not None:
            yield node.msg


def found(path: Path) -> list[str]:
    """Each prose string of a module, with its line."""
    tree = ast.parse(path.read_text("utf-8"))
    left_out = {id(each) for node in unsaid(tree) for each in ast.walk(node)
                if isinstance(each, ast.Constant)}  # fmt: skip
    glued = {id(each) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)
             for each in node.values}  # fmt: skip
    strings = (node for node in ast.walk(tree) if isinstance(node, ast.Constant))
    return [
        f"{path.name}:{node.lineno}: {node.value}"
        for node in strings
        if isinstance(node.value, str)
        and node.value not in PLACES
        and id(node) not in left_out
        and (prose(node.value) or (id(node) in glued and _GLUE.search(bare(node.value))))
    ]


def test_no_prose_stands_in_the_code() -> None:
    allowed = tuple(SAID_TO_OTHERS)
    looked = [
        path
        for path in sorted(CORE.rglob("*.py"))
        if not path.relative_to(CORE).as_posix().startswith(allowed)
    ]
    assert len(looked) > 120
    assert [each for path in looked for each in found(path)] == []


@pytest.mark.parametrize("name", SAID_TO_OTHERS)
def test_what_is_allowed_is_needed(name: str) -> None:
    path = CORE / name
    files = path.rglob("*.py") if name.endswith("/") else [path]
    assert any(found(each) for each in files), f"{name} holds no prose any more: take it out"


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ('row = ("The cap leaks", 3)', True),
        ('word = f"Falls {figure} so far"', True),
        ('made = parts.title(f"{count} of them")', True),
        ('made = parts.title(f"{done} of {all}")', True),
        ('made = parts.title(f"{done}/{all}, {more}")', False),
        ('made = parts.key("Print", do)', True),
        ('raise Refusal("low", "It is too low.")', True),
        ('html = f"<section class=holds><h2>Two holds</h2>{rows}"', True),
        ('html = f"<section class=holds><h2>{safe(heading)}</h2>"', False),
        ('unit = "US qt"', False),
        ('raise ValueError("the model has no answer")', False),
        ('say("hold.key.longer")', False),
        ('"""What a module is for."""', False),
        ('def f():\n    """What it does here."""\n    return "not measured"', True),
        ('__all__ = ["Field"]', False),
        ('kind = cast("Glycol", value)', False),
    ],
)
def test_a_sentence_is_told_from_what_is_none(tmp_path: Path, code: str, says: bool) -> None:
    file = tmp_path / "module.py"
    file.write_text(code, "utf-8")
    assert bool(found(file)) == says
