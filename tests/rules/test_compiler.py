"""The rules that ship compile, in time, to a bundle that survives JSON; what they promise."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest

from weeptrace.rules import FOLDER, load
from weeptrace.rules.compiler import compile_folder
from weeptrace.rules.model import from_bundle
from weeptrace.rules.source import RulesError


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    return shutil.copytree(
        FOLDER, tmp_path / "rules", ignore=shutil.ignore_patterns("*.py", "bundle.json", "__*")
    )


def test_the_command_line_gives_its_status(rules: Path) -> None:
    run = partial(subprocess.run, capture_output=True, text=True, check=False)
    command = [sys.executable, "-m", "weeptrace.rules", str(rules)]
    environment = {"PYTHONPATH": str(FOLDER.parent.parent)}
    sound = run(command, env=environment)
    assert (sound.returncode, sound.stderr) == (0, "")
    (rules / "hazards.toml").write_text("", "utf-8")
    broken = run(command, env=environment)
    assert broken.returncode == 1
    assert broken.stderr.startswith("hazards.toml: is empty")


def test_the_rules_that_ship_carry_the_mark_of_each_never_break_rule() -> None:
    rules = load()
    assert {entry.rule for entry in rules.never.values()} <= {"hard", "override"}
    for entry in rules.never.values():
        assert (entry.rule == "override") == (entry.why is not None) == (entry.person is not None)
    assert rules.never["open_only_cold"].gates == ("cold",)
    assert rules.gates["cold"].evidence == ("coolant.temperature", "system.pressure_sign")


def test_it_compiles_in_under_a_second(rules: Path) -> None:
    took = []
    for _ in range(3):  # the least: what else the machine does only adds
        begun = time.process_time()
        compile_folder(rules)
        took.append(time.process_time() - begun)
    assert min(took) < 1.0


def test_the_bundle_survives_json_and_its_hash_leaves_texts_out(rules: Path) -> None:
    bundle = compile_folder(rules)
    assert from_bundle(json.loads(json.dumps(bundle))) == load()
    english = rules / "text/en/intake.toml"
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
    assert all("cold" in step.gates for step in opened)


ASKS = "Open it, run it, reach there, lower, tip, blow, loosen, wipe, pour, heat it, go under it."


@pytest.mark.parametrize(
    "stem",
    ["Open", "run", "reach", "lower", "tip", "blow", "loosen", "wipe", "pour", "heat", "under it"],
)
def test_a_page_that_asks_for_an_act_without_naming_it_is_refused(rules: Path, stem: str) -> None:
    text = rules / "text" / "en" / "intake.toml"
    said = 'prompt = "Lift arms or stands under the maker\'s points. Never rely on a jack alone."'
    words = text.read_text("utf-8")
    assert said in words
    text.write_text(words.replace(said, f'prompt = "{ASKS}"'), "utf-8")
    with pytest.raises(RulesError) as refused:
        compile_folder(rules)
    assert any(f"says “{stem}" in str(each) for each in refused.value.faults)
