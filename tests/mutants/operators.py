"""The slips: where in a file a hand could have gone wrong, and what would stand there then.

Each is an edit of the text, so that the lines keep their numbers and a survivor can be shown as a
line before and after. Left alone: annotations, docstrings, comments, prose (a text with a blank in
it), an operation's sample, imports, ``__all__``, decorators of data classes, ``zip(strict=)``.
"""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any, Final

from tests.mutants.names import Names

COMPARED: Final = {
    "<": ("<=", ">"), "<=": ("<", ">="), ">": (">=", "<"), ">=": (">", "<="), "==": ("!=",),
    "!=": ("==",), "is": ("is not",), "is not": ("is",), "in": ("not in",), "not in": ("in",),
}  # fmt: skip
ARITHMETIC: Final = {"+": "-", "-": "+", "*": "/", "/": "*", "**": "*", "//": "/", "%": "//"}
OTHER_CALL: Final = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil",
                     "ceil": "floor"}  # fmt: skip
TYPES: Final = {"Literal", "Callable", "Mapping", "Sequence", "Iterator", "Iterable", "dict",
                "list", "tuple", "set", "frozenset", "Final"}  # fmt: skip
PROSE: Final = {"description", "help", "title", "sample", "__all__"}
_COMPARE: Final = re.compile(r"is\s+not\b|not\s+in\b|is\b|in\b|<=|>=|==|!=|<|>")
_BINARY: Final = re.compile(r"\*\*|//|[-+*/%]")


@dataclass(frozen=True)
class Mutant:
    """One edit: bytes ``start`` to ``end`` of a file under ``core/weeptrace`` replaced."""

    file: str
    line: int
    column: int
    operator: str
    function: str  # the innermost function or class by its dotted name; "" where there is none
    start: int
    end: int
    new: str
    number: int  # which of the edits of this kind at this place

    @property
    def id(self) -> str:
        """Such as ``hold/fit.py:120:8:boundary:0``; names it until the line moves."""
        return f"{self.file}:{self.line}:{self.column}:{self.operator}:{self.number}"

    def source(self, old: bytes) -> bytes:
        """The file with the edit."""
        return old[: self.start] + self.new.encode() + old[self.end :]

    def shown(self, old: bytes) -> tuple[str, str]:
        """The lines that the edit touches, before and after, each on one line."""
        first = old.rfind(b"\n", 0, self.start) + 1
        last = old.find(b"\n", self.end)
        last = len(old) if last < 0 else last
        after = old[first : self.start] + self.new.encode() + old[self.end : last]
        return " ".join(old[first:last].decode().split()), " ".join(after.decode().split())

    def compiles(self, old: bytes) -> bool:
        """Whether it is Python, and other Python than before."""
        try:
            new = ast.parse(self.source(old))
        except SyntaxError:
            return False
        return ast.dump(new) != ast.dump(ast.parse(old))


class Text:
    """The bytes of a file, with offsets of nodes and a copy whose comments are blank."""

    def __init__(self, source: bytes) -> None:
        self.source = source
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    @cached_property
    def bare(self) -> bytes:
        """Without comments, every byte at its place."""
        out = bytearray(self.source)
        for token in tokenize.generate_tokens(io.StringIO(self.source.decode()).readline):
            if token.type == tokenize.COMMENT:
                row, column = token.start
                at = self.starts[row - 1] + len(token.line[:column].encode())
                length = len(token.string.encode())
                out[at : at + length] = b" " * length
        return bytes(out)

    def start(self, node: Any) -> int:
        """Where a node begins."""
        return self.starts[node.lineno - 1] + int(node.col_offset)

    def end(self, node: Any) -> int:
        """Behind its last byte."""
        return self.starts[node.end_lineno - 1] + int(node.end_col_offset)

    def of(self, node: Any) -> str:
        """A node's text."""
        return self.source[self.start(node) : self.end(node)].decode()


Edit = tuple[str, ast.AST, int, int, str]  # operator, node, start, end, new


def mutants(file: str, source: bytes, names: Names) -> list[Mutant]:
    """Every slip in a file, in the order of its lines. Whether each compiles is not looked at."""
    finder = _Finder(Text(source), names)
    finder.visit(ast.parse(source))
    out, seen = [], {}
    found = sorted(finder.found, key=lambda edit: (edit[0][2], edit[0][3], edit[0][0]))
    for (operator, node, start, end, new), function in found:
        place = (node.lineno, node.col_offset, operator)  # type: ignore[attr-defined]
        number = seen[place] = seen.get(place, -1) + 1
        out.append(Mutant(file, place[0], place[1], operator, function, start, end, new, number))
    return out


class _Finder(ast.NodeVisitor):
    """Walks a file; ``found`` has each edit with the function that it stands in."""

    def __init__(self, text: Text, names: Names) -> None:
        self.text = text
        self.names = names
        self.within: list[ast.AST] = []
        self.found: list[tuple[Edit, str]] = []
        self.strings: dict[int, list[str]] = {}
        self.used: dict[int, dict[str, set[str]]] = {}
        self.unsigned: set[int] = set()  # differences whose sign is lost: squared, absolute

    # --- where to look --------------------------------------------------------------------------

    def visit(self, node: ast.AST) -> None:
        """Edits of this node, then of what is in it."""
        if _left_alone(node):
            return
        make = getattr(self, f"of_{type(node).__name__.lower()}", None)
        if make is not None:
            where = ".".join(n.name for n in self.within)  # type: ignore[attr-defined]
            self.found += [(edit, where) for edit in make(node)]
        scope = isinstance(node, ast.FunctionDef | ast.ClassDef)
        if scope:
            self.within.append(node)
        for child in self._inside(node):
            self.visit(child)
        if scope:
            self.within.pop()

    def _inside(self, node: ast.AST) -> Iterator[ast.AST]:
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "format_spec", "type_params"):
                continue
            if name == "decorator_list":
                value = [each for each in value if "dataclass" not in ast.unparse(each)]
            if isinstance(node, ast.Dict):
                prose = [isinstance(k, ast.Constant) and k.value in PROSE for k in node.keys]
                value = [each for each, skip in zip(value, prose, strict=True) if not skip]
            children = value if isinstance(value, list) else [value]
            for child in children:
                if not isinstance(child, ast.AST):
                    continue
                if isinstance(node, ast.JoinedStr) and not self._placed(child):
                    continue
                yield child

    def _placed(self, part: ast.AST) -> bool:
        """Whether a part of an f-string stands where its node says; older Pythons err there."""
        if not isinstance(part, ast.FormattedValue):
            return False
        try:
            there = ast.parse(self.text.of(part.value), mode="eval").body
        except (SyntaxError, UnicodeDecodeError):
            return False
        return ast.dump(there) == ast.dump(part.value)

    # --- the slips ------------------------------------------------------------------------------

    def _between(self, left: ast.AST, right: ast.AST, token: re.Pattern[str]) -> Any:
        start = self.text.end(left)
        gap = self.text.bare[start : self.text.start(right)].decode("latin-1")
        found = token.search(gap)
        return found and (start + found.start(), start + found.end(), found[0])

    def of_compare(self, node: ast.Compare) -> Iterator[Edit]:
        """Swapped, negated, off its edge."""
        for left, right in pairwise([node.left, *node.comparators]):
            if found := self._between(left, right, _COMPARE):
                start, end, token = found
                for number, other in enumerate(COMPARED[" ".join(token.split())]):
                    edge = "boundary" if other.rstrip("=") == token.rstrip("=") else "comparison"
                    if token in ("==", "!="):
                        edge = "comparison"
                    yield (edge if number == 0 else "comparison"), node, start, end, other

    def of_boolop(self, node: ast.BoolOp) -> Iterator[Edit]:
        """``and`` for ``or``; a part left out."""
        word, other = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in pairwise(node.values):
            if found := self._between(left, right, re.compile(rf"\b{word}\b")):
                yield "and/or", node, found[0], found[1], other
        if len(node.values) == 2:
            for value in node.values:
                yield "part left out", node, *self._span(node), f"({self.text.of(value)})"

    def of_unaryop(self, node: ast.UnaryOp) -> Iterator[Edit]:
        """``not`` removed, a sign dropped."""
        kind = {ast.Not: "not removed", ast.USub: "sign dropped"}.get(type(node.op))
        if kind:
            yield kind, node, *self._span(node), f"({self.text.of(node.operand)})"

    def of_binop(self, node: ast.BinOp) -> Iterator[Edit]:
        """Another sign; the two sides of a difference or a quotient swapped."""
        plain = (ast.List, ast.Tuple, ast.JoinedStr, ast.Dict, ast.Set)
        for side in (node.left, node.right):
            if isinstance(side, plain) or _text(side):
                return
        if found := self._between(node.left, node.right, _BINARY):
            start, end, token = found
            yield "arithmetic", node, start, end, ARITHMETIC[token]
            if token == "**" and isinstance(node.right, ast.Constant) and node.right.value == 2:
                self._without_sign(node.left)
            plain_sign = token == "/" or id(node) not in self.unsigned
            if token in "-/" and plain_sign and not isinstance(node.right, ast.Constant):
                left, right = self.text.of(node.left), self.text.of(node.right)
                yield "order", node, *self._span(node), f"(({right}) {token} ({left}))"

    def _without_sign(self, *nodes: ast.AST) -> None:
        self.unsigned |= {
            id(node)
            for node in nodes
            if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Sub)
        }

    def of_constant(self, node: ast.Constant) -> Iterator[Edit]:
        """Another number, another word, the other truth."""
        value, span = node.value, self._span(node)
        if isinstance(value, bool):
            yield "constant", node, *span, str(not value)
        elif isinstance(value, int):
            others = (value + 1, value - 1) if abs(value) <= 20 else (round(value * 1.1),)
            for other in others:
                yield "number", node, *span, str(other) if other >= 0 else f"({other})"
        elif isinstance(value, float) and not 0 < abs(value) < 1e-6:  # a tolerance of a loop
            yield "number", node, *span, repr(value * 1.1 if value else 0.1)
        elif isinstance(value, str) and _word(value):
            yield "word", node, *span, repr(self._other_word(value))

    def _other_word(self, value: str) -> str:
        """Another word of the same function or class, else a misspelling."""
        for scope in reversed(self.within):
            words = self._words(scope)
            others = [word for word in words if word != value]
            if others:
                return others[words.index(value) % len(others)] if value in words else others[0]
        return f"{value}_"

    def _words(self, scope: ast.AST) -> list[str]:
        if id(scope) not in self.strings:
            body: list[ast.AST] = list(getattr(scope, "body", []))
            walked = (node for part in body if not _left_alone(part) for node in ast.walk(part))
            words = [
                node.value for node in walked if isinstance(node, ast.Constant) and _text(node)
            ]
            self.strings[id(scope)] = list(dict.fromkeys(w for w in words if _word(w)))
        return self.strings[id(scope)]

    def of_return(self, node: ast.Return) -> Iterator[Edit]:
        """Nothing handed back."""
        if node.value is not None and not isinstance(node.value, ast.Constant):
            yield "return", node, *self._span(node.value), "None"

    def of_call(self, node: ast.Call) -> Iterator[Edit]:
        """``min`` for ``max``, two arguments swapped, an argument by name left out."""
        called = node.func.attr if isinstance(node.func, ast.Attribute) else None
        called = node.func.id if isinstance(node.func, ast.Name) else called
        if called in ("abs", "hypot"):
            self._without_sign(*node.args)
        if called in OTHER_CALL:
            end = self.text.end(node.func)
            yield "min/max", node, end - len(called), end, OTHER_CALL[called]
        for left, right in pairwise(node.args):
            simple = ast.Name | ast.Attribute
            if isinstance(left, simple) and isinstance(right, simple):
                gap = self.text.source[self.text.end(left) : self.text.start(right)].decode()
                new = f"{self.text.of(right)}{gap}{self.text.of(left)}"
                if self.text.of(left) != self.text.of(right):
                    yield "order", node, self.text.start(left), self.text.end(right), new
        parts = sorted([*node.args, *node.keywords], key=self.text.start)
        for number, part in enumerate(parts):
            if isinstance(part, ast.keyword) and self.names.optional(called, part.arg):
                start, end = self._span(part)
                if number:
                    start = self.text.end(parts[number - 1])
                elif len(parts) > 1:
                    end = self.text.start(parts[1])
                yield "argument left out", part, start, end, ""

    def of_attribute(self, node: ast.Attribute) -> Iterator[Edit]:
        """Its sister in the same data class."""
        if not isinstance(node.ctx, ast.Load):
            return
        used = self._used(self.within[-1] if self.within else node)
        for sister in self.names.sisters(node.attr, used[ast.unparse(node.value)]):
            end = self.text.end(node)
            yield "attribute", node, end - len(node.attr), end, sister

    def _used(self, scope: ast.AST) -> dict[str, set[str]]:
        """The attributes that a function asks of each of its objects."""
        if id(scope) not in self.used:
            used = self.used[id(scope)] = {}
            for node in ast.walk(scope):
                if isinstance(node, ast.Attribute):
                    used.setdefault(ast.unparse(node.value), set()).add(node.attr)
        return self.used[id(scope)]

    def of_if(self, node: ast.If) -> Iterator[Edit]:
        """Always, or never."""
        for word in ("True", "False"):
            yield "condition", node.test, *self._span(node.test), word

    of_ifexp = of_if  # type: ignore[assignment]

    def of_comprehension(self, node: ast.comprehension) -> Iterator[Edit]:
        """All of them."""
        for test in node.ifs:
            yield "condition", test, *self._span(test), "True"

    def of_expr(self, node: ast.Expr) -> Iterator[Edit]:
        """A call not made."""
        if isinstance(node.value, ast.Call):
            yield "statement", node, *self._span(node), "pass"

    def of_augassign(self, node: ast.AugAssign) -> Iterator[Edit]:
        """A step of a sum not made, or made backwards."""
        yield "statement", node, *self._span(node), "pass"
        swap = {ast.Add: "-=", ast.Sub: "+=", ast.Mult: "/=", ast.Div: "*="}.get(type(node.op))
        if swap and (found := self._between(node.target, node.value, re.compile(r"[-+*/]="))):
            yield "arithmetic", node, found[0], found[1], swap

    def of_assign(self, node: ast.Assign) -> Iterator[Edit]:
        """An assignment not made, where the name has a value from before."""
        target = node.targets[0]
        bound = isinstance(target, ast.Attribute | ast.Subscript)
        scope = self.within[-1] if self.within else None
        if isinstance(target, ast.Name) and isinstance(scope, ast.FunctionDef):
            names = [arg.arg for arg in (*scope.args.args, *scope.args.kwonlyargs)]
            before = (
                n.id for n in ast.walk(scope)
                if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)
                and n.lineno < node.lineno
            )  # fmt: skip
            bound = target.id in {*names, *before}
        if bound:
            yield "statement", node, *self._span(node), "pass"

    def of_slice(self, node: ast.Slice) -> Iterator[Edit]:
        """An end left open."""
        for bound in (node.lower, node.upper):
            if bound is not None:
                yield "slice", node, *self._span(bound), ""

    def _span(self, node: Any) -> tuple[int, int]:
        return self.text.start(node), self.text.end(node)


def _text(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _word(value: str) -> bool:
    """A key, a unit, an id; not prose."""
    return 0 < len(value) <= 40 and not re.search(r"\s", value) and "{" not in value


def _left_alone(node: ast.AST) -> bool:
    """What no slip of the running code can be in."""
    if isinstance(node, ast.Import | ast.ImportFrom):
        return True
    if isinstance(node, ast.Expr) and _text(node.value):
        return True  # a docstring
    if isinstance(node, ast.If) and re.search("TYPE_CHECKING|__name__", ast.unparse(node.test)):
        return True
    if isinstance(node, ast.Assign | ast.AnnAssign):
        name = ast.unparse(node.targets[0] if isinstance(node, ast.Assign) else node.target)
        return name in PROSE or name.endswith("_SAMPLE")
    if isinstance(node, ast.keyword):
        return node.arg in PROSE or node.arg == "strict"
    if isinstance(node, ast.Subscript):
        return isinstance(node.value, ast.Name) and node.value.id in TYPES
    return False
