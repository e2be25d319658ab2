"""What two places name is one list, or is compared here."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final, get_args

import pytest

from weeptrace.door import OPERATIONS
from weeptrace.hold.data import Verdict
from weeptrace.hold.judge import CLASSES, LEAKS
from weeptrace.job import procedure
from weeptrace.job.judge import EVENT_KINDS
from weeptrace.rules import load
from weeptrace.rules.source import COMPUTED

ROOT: Final = Path(__file__).parents[1]
PACKAGE: Final = ROOT / "core" / "weeptrace"
SHELL: Final = ROOT / "webshell"
RULES: Final = load()
DOTTED: Final = re.compile(r"[a-z][a-z_0-9]*(\.[a-z0-9][a-z_0-9]*)+")
# Dotted names that are no entry of the rules: a format, a file, pages, how an own part begins.
OTHERS: Final = {
    "weeptrace.job", "bundle.json", "stop.too_hot", "stop.above_rating",
    "stop.level_falls", "part.own_",
}  # fmt: skip


def paths(schema: Any, before: str = "") -> Iterator[str]:
    """Where a payload has a value: ``drops.count``."""
    for key, each in schema.get("properties", {}).items() if isinstance(schema, dict) else ():
        name = f"{before}.{key}" if before else key
        yield name
        yield from paths(each, name)
        for part in each.get("oneOf", ()) if isinstance(each, dict) else ():
            yield from paths(part, name)


def known() -> set[str]:
    """Every dotted name that the rules, the texts or the door know, and the families of texts."""
    found = {*RULES.fields, *RULES.shows, *RULES.limits, *RULES.texts}
    found |= {*COMPUTED, *OPERATIONS, *OTHERS}
    for id in RULES.texts:
        parts = id.split(".")
        found |= {".".join(parts[:n]) for n in range(2, len(parts))}
    return found | {path for each in OPERATIONS.values() for path in paths(each.input)}


def unknown(text: str, names: set[str]) -> list[str]:
    """The dotted names in a module's code that nobody knows; one that goes on is a beginning."""
    tree = ast.parse(text)
    said = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
    begun = {id(n) for f in ast.walk(tree) if isinstance(f, ast.JoinedStr) for n in f.values}
    found = []
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Constant) and isinstance(node.value, str)):
            continue
        name = node.value
        if id(node) in said or not DOTTED.fullmatch(name) or name in names:
            continue
        if id(node) not in begun or not any(each.startswith(name) for each in names):
            found.append(name)
    return found


def test_no_name_in_the_code_is_misspelt() -> None:
    names, tried = known(), 0
    for path in sorted(PACKAGE.rglob("*.py")):
        text = path.read_text("utf-8")
        tried += len(DOTTED.findall(text))
        if path.parent.name not in ("rules", "practice"):  # their names are of their own files
            assert unknown(text, names) == [], path.relative_to(ROOT)
    assert tried > 1000


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ('job.value("coolant.filled")', []),
        ('job.value("coolant.filed")', ["coolant.filed"]),
        ('limits["hold.minimum_spam"]', ["hold.minimum_spam"]),
        ('job.value(f"cap.opening_{n}")', []),
        ('job.value(f"cap.opened_{n}")', ["cap.opened_"]),
        ('job.value("cap.opening_")', ["cap.opening_"]),
        ('"""hold.minimum_spam"""', []),
    ],
)
def test_a_misspelt_name_is_found(text: str, wrong: list[str]) -> None:
    assert unknown(text, known()) == wrong


def test_each_name_that_a_job_computes_is_computed() -> None:
    assert set(procedure._COMPUTED) == set(COMPUTED)


def test_each_kind_of_field_has_its_events() -> None:
    assert {field.kind for field in RULES.fields.values()} == set(EVENT_KINDS)


def test_each_verdict_has_its_words_and_its_plate() -> None:
    verdicts = get_args(Verdict)
    assert {id.removeprefix("verdict.") for id in RULES.texts if id.startswith("verdict.")} == {
        *verdicts
    }
    assert {*CLASSES, *LEAKS} < set(verdicts)
    style = (SHELL / "styles/verdict.css").read_text("utf-8")
    groups = re.findall(r":is\(([^)]*)\)(?:\.plate| \+)", style)
    plates = {name for group in groups for name in re.findall(r"\.([a-z_]+)", group)}
    plates |= set(re.findall(r"\.plate\.([a-z_]+)", style))
    assert len(plates) > 5
    assert plates <= set(verdicts)


def test_the_shell_offers_the_unit_sets_of_the_rules_before_these_are_up() -> None:
    text = (SHELL / "draw/words/menu.js").read_text("utf-8")
    offered = dict(re.findall(r'id: "(\w+)", label: "([^"]+)"', text))
    assert offered == {each["id"]: RULES.texts[f"units.{each['id']}"] for each in RULES.unit_sets}


def test_the_types_of_the_shell_are_written_from_the_views_schema(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.syspath_prepend(str(SHELL / "tools"))
    contract = __import__("contract")
    assert contract.faults() == []
    stale = tmp_path / "view.d.ts"
    stale.write_text(contract.written().replace("practice: boolean", "practise: boolean"))
    monkeypatch.setattr(contract, "FILE", stale)
    assert contract.faults()
    assert contract.type_of({"enum": ["a", None]}) == '"a" | null'
    assert contract.type_of({"type": "array", "items": {"oneOf": [{"type": "string"},
                             {"type": "null"}]}}) == "(string | null)[]"  # fmt: skip
    with pytest.raises(KeyError):
        contract.type_of({"type": "any"})
    sys.modules.pop("contract", None)
