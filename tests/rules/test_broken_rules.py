"""Every refusal of the compiler has a file that meets it, and each file meets just that one."""

from __future__ import annotations

import ast
import re
import shutil
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from weeptrace.rules import FOLDER, source
from weeptrace.rules.__main__ import main
from weeptrace.rules.compiler import compile_folder
from weeptrace.rules.source import RulesError

FILES = Path(__file__).parent.parent / "broken_rules"
SOUND = FILES / "sound"
BROKEN = sorted(FILES.glob("*.toml"))
REFUSES = ("fault", "_spoilt", "twice")  # what a module calls to refuse
MEND = re.compile(r"\b(add|write|did you mean|remove|rename|mend|move|shorten)\b", re.IGNORECASE)


def broken(rules: Path, defect: Path) -> list[str]:
    """Break a copy of the sound rules as the file says; the words that must be told."""
    spec = tomllib.loads(defect.read_text("utf-8"))
    file = rules / spec["file"]
    if "remove" in spec:
        file.unlink()
    elif "write" in spec:
        file.parent.mkdir(exist_ok=True)
        file.write_text(spec["write"], "utf-8")
    elif "write_hex" in spec:
        file.write_bytes(bytes.fromhex(spec["write_hex"]))
    elif "nest" in spec:
        file.write_text(f"a = {'[' * spec['nest']}{']' * spec['nest']}", "utf-8")
    for old, new in spec.get("replace", ()):
        text = file.read_text("utf-8")
        assert old in text, f"{defect.name} no longer fits {spec['file']}"
        file.write_text(text.replace(old, new, 1), "utf-8")
    return list(spec["message"])


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    return shutil.copytree(SOUND, tmp_path / "rules")


def test_the_sound_rules_compile(rules: Path) -> None:
    assert compile_folder(rules)["procedures"]["leak"]["steps"]


@pytest.mark.parametrize("defect", BROKEN, ids=lambda path: path.stem)
def test_a_defect_is_told_once_with_its_place_and_its_mend(rules: Path, defect: Path) -> None:
    words = broken(rules, defect)
    with pytest.raises(RulesError) as raised:
        compile_folder(rules)
    told = [str(fault) for fault in raised.value.faults]
    assert len(told) == 1, told
    (line,) = told
    for word in words:
        assert word in line, line
    assert re.match(r"[A-Za-z_/-]+\.toml(:\d+)?: ", line), line
    assert MEND.search(line), line


def test_a_missing_text_without_kin_is_told_of_the_language(rules: Path) -> None:
    file = rules / "text/en/fields.toml"
    file.write_text(file.read_text("utf-8").replace('[comes]\noff = "Off"\n', ""), "utf-8")
    with pytest.raises(RulesError) as raised:
        compile_folder(rules)
    assert str(raised.value) == "text/en: [comes.off] is missing; add its words"


def refusals() -> set[tuple[str, int]]:
    """(module, line) of every call in the compiler that refuses."""
    found = set()
    for path in FOLDER.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
                continue
            own = isinstance(node.func.value, ast.Name) and node.func.value.id in ("self", "source")
            if own and node.func.attr in REFUSES:
                found.add((path.name, node.lineno))
    return found


def test_every_refusal_of_the_compiler_has_its_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    met: set[tuple[str, int]] = set()
    for name in REFUSES:
        whole = getattr(source.Source, name)

        def noted(*given: Any, whole: Any = whole) -> None:
            frame = sys._getframe(1)
            while frame.f_code.co_name in ("fault", "noted"):  # a helper that only passes it on
                met.add((Path(frame.f_code.co_filename).name, frame.f_lineno))
                assert frame.f_back is not None
                frame = frame.f_back
            met.add((Path(frame.f_code.co_filename).name, frame.f_lineno))
            whole(*given)

        monkeypatch.setattr(source.Source, name, noted)
    for defect in BROKEN:
        folder = shutil.copytree(SOUND, tmp_path / defect.stem)
        broken(folder, defect)
        with pytest.raises(RulesError):
            compile_folder(folder)
    wanted = refusals()
    assert len(wanted) > 100
    assert wanted - met == set()


def test_all_faults_of_all_files_are_told_at_once(
    rules: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    names = ("missing_source", "dead_end", "unknown_act", "text_too_long", "unknown_mark")
    words = [broken(rules, FILES / f"{name}.toml")[0] for name in names]
    assert main([str(rules)]) == 1
    told = capsys.readouterr().err
    assert len(told.splitlines()) == len(names)
    assert all(word in told for word in words)


def test_a_file_that_does_not_read_hides_no_fault_of_another(
    rules: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [broken(rules, FILES / f"{name}.toml")[0] for name in ("toml_syntax", "unknown_act")]
    assert main([str(rules)]) == 1
    told = capsys.readouterr().err
    assert len(told.splitlines()) == 2
    assert all(word in told for word in words)
