"""Every text of the bundle is named somewhere: by an entry of the rules, or by the code."""

from __future__ import annotations

import ast
import re

from weeptrace.rules import FOLDER, load

CORE = FOLDER.parent
# Texts that belong to an entry; the compiler itself refuses one whose entry is gone.
BY_ENTRY = {"phase", "step", "field", "choice", "choice_sub", "pad", "caution", "comes"}


def named_in_code() -> list[re.Pattern[str]]:
    """Every string of the code, a part that it fills in standing for any words."""
    found: set[str] = set()
    for path in CORE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(re.escape(node.value))
            elif isinstance(node, ast.JoinedStr):
                parts = (
                    re.escape(str(part.value)) if isinstance(part, ast.Constant) else r"[\w.]+"
                    for part in node.values
                )
                found.add("".join(parts))
    return [re.compile(each) for each in found if re.match(r"\w+\\\.", each)]


def test_no_text_is_left_over() -> None:
    patterns = named_in_code()
    assert patterns
    left = [
        id
        for id in load().texts
        if id.partition(".")[0] not in BY_ENTRY
        and not any(pattern.fullmatch(id) for pattern in patterns)
    ]
    assert left == []
