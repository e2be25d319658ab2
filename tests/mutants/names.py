"""What the core's own definitions say of names: which parameters may be left out, which fields of
a data class could be taken for each other."""

from __future__ import annotations

import ast
from collections.abc import Iterable


class Names:
    """Of all files of the core together."""

    def __init__(self, trees: Iterable[ast.Module]) -> None:
        self.defaults: dict[str, set[str]] = {
            "sorted": {"key", "reverse"}, "min": {"key", "default"}, "max": {"key", "default"},
        }  # fmt: skip
        self.classes: list[dict[str, str]] = []  # a class's fields with their annotations
        for tree in trees:
            for node in ast.walk(tree):
                if isinstance(node, ast.FunctionDef):
                    self._function(node)
                elif isinstance(node, ast.ClassDef):
                    self._class(node)

    def _function(self, node: ast.FunctionDef) -> None:
        optional = self.defaults.setdefault(node.name, set())
        given = node.args
        plain = [*given.posonlyargs, *given.args]
        optional |= {arg.arg for arg in plain[len(plain) - len(given.defaults) :]}
        pairs = zip(given.kwonlyargs, given.kw_defaults, strict=True)
        optional |= {arg.arg for arg, default in pairs if default is not None}

    def _class(self, node: ast.ClassDef) -> None:
        fields = [each for each in node.body if isinstance(each, ast.AnnAssign)]
        named = {
            each.target.id: ast.unparse(each.annotation)
            for each in fields
            if isinstance(each.target, ast.Name)
        }
        self.classes.append(named)
        optional = self.defaults.setdefault(node.name, set())
        optional |= {e.target.id for e in fields if e.value and isinstance(e.target, ast.Name)}

    def optional(self, called: str | None, parameter: str | None) -> bool:
        """Whether a call goes through without this argument."""
        return parameter is not None and parameter in self.defaults.get(called or "", ())

    def sisters(self, attribute: str, used: set[str]) -> list[str]:
        """The fields of one type that stand next to it, in each class that has all of ``used``."""
        shared: list[list[str]] = []
        for fields in self.classes:
            if used <= set(fields):
                alike = [n for n, kind in fields.items() if kind == fields[attribute]]
                at = alike.index(attribute)
                shared.append([*alike[at + 1 : at + 2], *alike[max(0, at - 1) : at]])
        if not shared:
            return []
        return [name for name in shared[0] if all(name in each for each in shared)]
