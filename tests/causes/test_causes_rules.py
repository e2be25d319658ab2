"""The knowledge that ships compiles; each kind of fault in it is refused by name."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from weeptrace.rules import FOLDER
from weeptrace.rules.compiler import compile_folder
from weeptrace.rules.source import RulesError


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shutil.copytree(
        FOLDER, tmp_path / "rules", ignore=shutil.ignore_patterns("*.py", "bundle.json", "__*")
    )


@pytest.mark.parametrize(
    ("file", "old", "new", "words"),
    [
        ("looks.toml", "misread = 0.1", "misraed = 0.1", ["finding.loss_rate", "unknown key"]),
        ("states.toml", 'why = "That is what it is."', 'why = ""', ["state.air_inside", "reason"]),
        ("causes.toml", 'why = "Rubber ages', 'wy = "Rubber ages', ["coolant_hose_body", "reason"]),
        ("scale.toml", "always = 0.97", "always = 1.2", ["chance.always", "between 0 and 1"]),
        ("scale.toml", "often = 0.5", "often = 0.9", ["add up to", "more than 1"]),
        ("measured.toml", "misread = 0.06", "misread = 0.6", ["misread", "below 0.5"]),
        ("tests.toml", "[test.airflow_check]", "[test.air_check]", ["air_check", "unreachable"]),
        ("tests.toml", 'gates = ["cold"]', "gates = []", ["hot_coolant", "outside its gate"]),
        ("tests.toml", '"spinning_fan"', '"spinning_fun"', ["unknown hazard", "spinning_fun"]),
        ("tests.toml", 'fitted = "egr_cooler"', 'fitted = "egg_cooler"', ["no cause names"]),
        ("states.toml", '"always", why', '"certainly", why', ["certainly", "word of the scale"]),
        ("states.toml", 'causes = ["intake_gasket"]', 'causes = ["x"]', ["unknown cause “x”"]),
        ("looks.toml", 'state = "coolant_in_oil"', 'state = "x"', ["unknown state “x”"]),
        ("looks.toml", 'gives = { seep = "often"', 'gives = { drip = "often"', ["“drip”"]),
        ("history.toml", 'by = "three_times"', 'by = "manifold"', ["manifold"]),
        ("history.toml", 'below = "80000 km"', 'below = "800000 km"', ["rising order"]),
        ("history.toml", 'dimension = "length"', 'dimension = "lenght"', ["unknown dimension"]),
        ("causes.toml", 'proof = ["cap_test"]', 'proof = ["fan_check"]', ["proven by no answer"]),
        ("causes.toml", "weight = 8", "weight = 0", ["radiator_core", "more than 0"]),
        ("conflicts.toml", "ground_fluid=coolant", "ground_fluid=milk", ["unknown value", "milk"]),
        ("cautions.toml", "hazard:poison", "hazard:warm", ["unknown condition"]),
        ("words_en.toml", "weep_hole_look =", "weep_hole =", ["weep_hole_look", "no words"]),
        ("looks.toml", 'tests = ["level_and_strength"]', "tests = []", ["comes from no test"]),
        ("measured.toml", "[finding.oil_analysis]", "[finding.fan_run]", ["not TOML"]),
        ("measured.toml", "[finding.oil_analysis]", "[finding.onset]", ["duplicate id"]),
        ("tests.toml", 'stops = ["drives"]', 'stops = ["flies"]', ["flies"]),
    ],
)
def test_a_defect_is_named(folder: Path, file: str, old: str, new: str, words: list[str]) -> None:
    path = folder / "causes" / file
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(RulesError) as raised:
        compile_folder(folder)
    lines = str(raised.value).splitlines()
    assert any(all(word in line for word in words) for line in lines), lines


def test_a_cause_that_nothing_shows_is_unreachable(folder: Path) -> None:
    path = folder / "causes" / "causes.toml"
    text = path.read_text("utf-8")
    entry = text[text.index("[cause.core_plug]") : text.index("[cause.trapped_air")]
    path.write_text(text + "\n" + entry.replace("core_plug]", "ghost]", 1), "utf-8")
    with pytest.raises(RulesError, match=r"cause\.ghost\] is unreachable"):
        compile_folder(folder)
