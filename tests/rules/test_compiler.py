"""The rules that ship compile; each kind of fault is refused by name, all of a file at once."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from weeptrace.rules import FOLDER, load
from weeptrace.rules.compiler import compile_folder
from weeptrace.rules.model import from_bundle
from weeptrace.rules.source import RulesError

BROKEN = sorted((Path(__file__).parent.parent / "broken_rules").glob("*.toml"))


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    return shutil.copytree(
        FOLDER, tmp_path / "rules", ignore=shutil.ignore_patterns("*.py", "bundle.json", "__*")
    )


def _break(rules: Path, defect: Path) -> list[str]:
    spec = tomllib.loads(defect.read_text("utf-8"))
    file = rules / spec["file"]
    old, new = spec["replace"]
    text = file.read_text("utf-8")
    assert old in text, f"{defect.name} no longer fits {spec['file']}"
    file.write_text(text.replace(old, new, 1), "utf-8")
    return list(spec["message"])


@pytest.mark.parametrize("defect", BROKEN, ids=lambda path: path.stem)
def test_a_defect_is_named(rules: Path, defect: Path) -> None:
    words = _break(rules, defect)
    with pytest.raises(RulesError) as raised:
        compile_folder(rules)
    for word in words:
        assert word in str(raised.value)


def test_all_faults_are_told_at_once_and_the_exit_status_is_not_zero(rules: Path) -> None:
    for name in ("missing_source", "dead_end", "unknown_hazard"):
        _break(rules, next(path for path in BROKEN if path.stem == name))
    run = subprocess.run(
        [sys.executable, "-m", "weeptrace.rules", str(rules)],
        env={"PYTHONPATH": str(FOLDER.parent.parent)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 1
    lines = run.stderr.splitlines()
    assert len(lines) == 3
    assert all(any(word in line for line in lines) for word in ("no source", "dead end", "unknown"))


def test_the_bundle_survives_json_and_its_hash_leaves_texts_out(rules: Path) -> None:
    bundle = compile_folder(rules)
    assert from_bundle(json.loads(json.dumps(bundle))) == load()
    english = rules / "text/en.toml"
    english.write_text(english.read_text("utf-8").replace("The car", "A car", 1), "utf-8")
    assert compile_folder(rules)["hash"] == bundle["hash"]
    limit = rules / "limits/gate.toml"
    limit.write_text(limit.read_text("utf-8").replace("value = 50", "value = 49", 1), "utf-8")
    assert compile_folder(rules)["hash"] != bundle["hash"]


def test_every_step_with_hot_coolant_stands_behind_the_cold_gate() -> None:
    steps = load().procedures["coolant_loss"].steps
    opened = [step for step in steps if "hot_coolant" in step.hazards]
    assert {"hold_level", "fit_tester", "drain", "teardown", "fill_up", "after_fit"} <= {
        step.id for step in opened
    }
    assert all(step.gate == "cold" for step in opened)
