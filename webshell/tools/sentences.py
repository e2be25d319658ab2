"""Each sentence that the core says has its entry among the texts, and its figures fit that.

The code names a text id and brings the figures beside it: ``Refusal(code, id, path, accepted,
figures)``, ``Reason(code, id, figures)``. An id may end in a code: ``f"reason.hold.{code}"``.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

CORE = Path(__file__).resolve().parents[2] / "core"
sys.path.insert(0, str(CORE))
from weeptrace.told import places  # noqa: E402
from weeptrace.words import sentences  # noqa: E402

PACKAGE = CORE / "weeptrace"
# Where the ids stand among the arguments, and the figures.
CALLS = {"Refusal": ((1, 3), 4), "Reason": ((1,), 2)}
FAMILIES = ("refused", "reason", "accepted")
# What hands on the ids and figures of another, or is a word of another room by the same name.
HANDED_ON = ("refusal.py", "finding.py", "causes/explain.py")
LOOSE = ("long_", "small_")


class Use(NamedTuple):
    """A text id where code names it, and the figures beside it; None where they stand elsewhere.

    ``whole``: it is not the beginning of some ids. A figure's dimension is "" where it is a word.
    """

    place: str
    id: str
    whole: bool
    figures: Mapping[str, str] | None


def faults(package: Path = PACKAGE, texts: Mapping[str, Any] | None = None) -> list[str]:
    """All that is wrong in the modules of a package, each with file and line."""
    texts = sentences() if texts is None else texts
    files = sorted(package.rglob("*.py"))
    uses = [use for path in files for use in _uses(path, path.relative_to(package).as_posix())]
    found = [words for use in uses for words in _wrong(use, texts)]
    for id in texts:
        named = any(_names(use, id) for use in uses)
        if id.partition(".")[0] in FAMILIES and not named:
            found.append(f"text/en: [{id}] is said nowhere; remove it")
    return found


def _names(use: Use, id: str) -> bool:
    if not use.whole:
        return id.startswith(use.id)
    return id == use.id or id.rpartition(".")[0] == use.id  # a plural form


def _uses(path: Path, name: str) -> Iterator[Use]:
    if name in HANDED_ON:
        return
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
            continue
        if node.func.id not in CALLS:
            continue
        ids, at = CALLS[node.func.id]
        named = {each.arg: each.value for each in node.keywords}
        figures = node.args[at] if len(node.args) > at else named.get("figures")
        brought = {} if figures is None else _figures(figures)
        for number in ids:
            given = node.args[number] if len(node.args) > number else None
            if number == 3:
                given = given or named.get("accepted")
            if given is not None and not (isinstance(given, ast.Constant) and not given.value):
                yield _use(f"{name}:{given.lineno}", given, brought)


def _use(place: str, given: ast.expr, figures: Mapping[str, str] | None) -> Use:
    if isinstance(given, ast.Constant):
        return Use(place, str(given.value), True, figures)
    if isinstance(given, ast.JoinedStr) and isinstance(given.values[0], ast.Constant):
        return Use(place, str(given.values[0].value), False, None)
    if isinstance(given, ast.Attribute):  # handed on, as the problem behind it said it
        return Use(place, "", False, None)
    return Use(place, "?", True, figures)


def _figures(node: ast.expr) -> Mapping[str, str] | None:
    """The names of a literal's figures, each with its dimension; None where it is no literal."""
    if not isinstance(node, ast.Dict):
        return None
    found = {}
    for key, value in zip(node.keys, node.values, strict=True):
        if not isinstance(key, ast.Constant):
            return None
        found[str(key.value)] = _dimension(value)
    return found


def _dimension(value: ast.expr) -> str:
    """What a figure is of: its dimension, "" for words and counts, "?" where another place says."""
    if isinstance(value, ast.Call) and isinstance(value.func, ast.Name):
        if value.func.id == "Figure":
            of = value.args[1]
            return str(of.value) if isinstance(of, ast.Constant) else "?"
        return ""
    return "?" if isinstance(value, ast.Name) else ""


def _wrong(use: Use, texts: Mapping[str, Any]) -> Iterator[str]:
    if use.id == "?":
        yield f"{use.place}: names no text id; write one where it is said"
        return
    forms = [id for id in texts if _names(use, id)]
    if use.id and not forms:
        yield f"{use.place}: [{use.id}] has no text; add its words"
    if use.figures is None:
        return
    for id in forms:
        for _, place in places(str(texts[id])):
            if place is None or place.name == "0":
                continue
            of = use.figures.get(place.name)
            if of is None:
                yield f"{use.place}: [{id}] names a figure “{place.name}”; bring it"
            elif of != "?" and _of(place.kind) != _of(of) and (place.kind or not of):
                yield f"{use.place}: [{id}] tells {place.name} as {place.kind or 'words'}: {of}"


def _of(kind: str) -> str:
    for size in LOOSE:
        kind = kind.removeprefix(size)
    return kind
