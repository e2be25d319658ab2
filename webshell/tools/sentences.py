"""Each sentence that the core says has its entry among the texts, and its figures fit that.

The code names a text id and brings the figures beside it: ``Refusal(code, id, path, accepted,
figures)``, ``Reason(code, id, figures)``, ``Sentence(id, figures)``, ``show.say(id, name=figure)``.
``rules.text(id)`` and ``show.lines(id)`` bring none. An id may hold a code:
``f"reason.hold.{code}"``.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

CORE = Path(__file__).resolve().parents[2] / "core"
sys.path.insert(0, str(CORE))
from weeptrace.rules.model import of_entry  # noqa: E402
from weeptrace.told import places  # noqa: E402
from weeptrace.words import FORMS, sentences  # noqa: E402

PACKAGE = CORE / "weeptrace"
# Where the ids stand among the arguments, and the figures.
CALLS = {"Refusal": ((1, 3), 4), "Reason": ((1,), 2), "Sentence": ((0,), 1)}
OF_THE_DOOR = "door."  # by operation and path: ``door_words``
SAYS = "say"  # its figures are named arguments
PLAIN = ("text", "lines", "sentence")  # no figures but those of the rules
# What hands on the ids and figures of another.
HANDED_ON = ("refusal.py", "finding.py")
LOOSE = ("long_", "small_")


class Use(NamedTuple):
    """A text id where code names it, and the figures beside it; None where they stand elsewhere.

    ``id``: as a pattern, a part that the code fills in standing for any words; "" where it is
    handed on, as another place named it. A figure's dimension is "" where it is a word.
    """

    place: str
    id: str
    figures: Mapping[str, str] | None

    def names(self, texts: Mapping[str, list[str]]) -> list[str]:
        """The texts that this is, or of which it is the plural: of those ``_by_name``."""
        if _ANY not in self.id and _CODE not in self.id:
            return texts.get(self.told, [])
        pattern = re.compile(self.id)
        found = (ids for name, ids in texts.items() if pattern.fullmatch(name))
        return list(dict.fromkeys(id for ids in found for id in ids))

    @property
    def told(self) -> str:
        """The id as code writes it."""
        return self.id.replace(_ANY, "…").replace(_CODE, "…").replace("\\", "")


_FORMS = {name for forms in FORMS.values() for name in forms}
_ANY, _CODE = r"[\w.]+", r"\w+"
_NONE = r"\?"


def faults(package: Path = PACKAGE, texts: Mapping[str, Any] | None = None) -> list[str]:
    """All that is wrong in the modules of a package, each with file and line."""
    texts = sentences() if texts is None else texts
    files = sorted(package.rglob("*.py"))
    uses = [use for path in files for use in _uses(path, path.relative_to(package).as_posix())]
    names = _by_name(texts)
    found = [words for use in uses for words in _wrong(use, texts, names)]
    said = {id for use in uses if use.id not in ("", _NONE) for id in use.names(names)}
    for id in texts:
        if not (id in said or of_entry(id) or id.startswith(OF_THE_DOOR)):
            found.append(f"text/en: [{id}] is said nowhere; remove it")
    return found


def _by_name(texts: Mapping[str, Any]) -> dict[str, list[str]]:
    """The ids of texts by each name that code may call them: their own, and without plural form."""
    named: dict[str, list[str]] = {}
    for id in texts:
        whole, _, last = id.rpartition(".")
        for name in (id, whole) if last in _FORMS else (id,):
            named.setdefault(name, []).append(id)
    return named


def _uses(path: Path, name: str) -> Iterator[Use]:
    if name in HANDED_ON:
        return
    tree = ast.parse(path.read_text("utf-8"))
    own = {node.name for node in ast.walk(tree) if isinstance(node, ast.ClassDef)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name | ast.Attribute):
            continue
        called = node.func.id if isinstance(node.func, ast.Name) else node.func.attr
        if called in own:  # a word of another room by the same name
            continue
        if called in CALLS and isinstance(node.func, ast.Name):
            given, figures = _of_call(node, *CALLS[called])
        elif called in (SAYS, *PLAIN) and node.args:
            given = [node.args[0]]
            figures = None if called == SAYS else {}
            if called == SAYS and all(each.arg for each in node.keywords):
                figures = {str(each.arg): _dimension(each.value) for each in node.keywords}
        else:
            continue
        for each in given:
            for id in _ids(each, strict=called not in PLAIN):
                yield Use(f"{name}:{each.lineno}", id, figures)


def _of_call(
    node: ast.Call, ids: tuple[int, ...], at: int
) -> tuple[list[ast.expr], Mapping[str, str] | None]:
    """The ids that a call names, and its figures."""
    named = {each.arg: each.value for each in node.keywords}
    figures = node.args[at] if len(node.args) > at else named.get("figures")
    brought = {} if figures is None else _figures(figures)
    given = [node.args[number] for number in ids if len(node.args) > number]
    return [*given, *(named[key] for key in ("accepted",) if key in named)], brought


def _ids(given: ast.expr, strict: bool) -> Iterator[str]:
    """The ids that an argument may be; ``strict`` where it must be named in this place."""
    if isinstance(given, ast.Constant):
        if given.value:
            yield re.escape(str(given.value))
    elif isinstance(given, ast.IfExp):
        yield from _ids(given.body, strict)
        yield from _ids(given.orelse, strict)
    elif isinstance(given, ast.JoinedStr):
        first = given.values[0]
        if not isinstance(first, ast.Constant):
            yield ""
            return
        # The name of a field has dots, a code has none.
        filled = _ANY if of_entry(str(first.value)) else _CODE
        yield "".join(re.escape(str(p.value)) if isinstance(p, ast.Constant) else filled
                      for p in given.values)  # fmt: skip
    elif strict and isinstance(given, ast.Name):
        yield _NONE
    else:
        yield ""


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
    return "?" if isinstance(value, ast.Name | ast.Attribute | ast.Subscript) else ""


def _wrong(use: Use, texts: Mapping[str, Any], names: Mapping[str, list[str]]) -> Iterator[str]:
    if use.id == _NONE:
        yield f"{use.place}: names no text id; write one where it is said"
    if use.id in ("", _NONE):
        return
    forms = use.names(names)
    if not forms:
        yield f"{use.place}: [{use.told}] has no text; add its words"
    if use.figures is None:
        return
    for id in forms:
        lines = texts[id] if isinstance(texts[id], list) else [texts[id]]
        for _, place in (each for line in lines for each in places(str(line))):
            if place is None or place.name == "0" or "." in place.name:
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
