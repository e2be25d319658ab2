"""The documentation names what there is, and nothing that there is not."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.studies import told
from weeptrace.door import OPERATIONS
from weeptrace.door.blocks import BLOCKS
from weeptrace.rules import FOLDER, bundle, load
from weeptrace.rules.kept import to_keep

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
RULES = (FOLDER / "README.md").read_text("utf-8")


def _names(text: str) -> set[str]:
    return set(re.findall(r"`([a-z0-9_.@/-]+)`", text))


@pytest.mark.parametrize("name", OPERATIONS)
def test_every_operation_is_listed(name: str) -> None:
    assert name in _names(GUIDE)


@pytest.mark.parametrize("name", BLOCKS)
def test_every_block_is_listed_and_has_a_renderer(name: str) -> None:
    assert name in _names(GUIDE)
    assert (ROOT / "webshell/blocks" / f"{name}.js").is_file()


@pytest.mark.parametrize(
    "path", sorted((ROOT / "demo_scenarios").glob("*.toml")), ids=lambda p: p.stem
)
def test_every_practice_car_is_listed(path: Path) -> None:
    assert path.stem in _names(GUIDE)


def test_the_steps_listed_are_the_steps() -> None:
    table = RULES.partition("## Steps of")[2]
    steps = {step.id for each in load().procedures.values() for step in each.steps}
    assert _names(table) - {*load().procedures, *load().gates} == steps


def test_every_dependency_has_its_reason() -> None:
    reasons = GUIDE.split("## Dependencies")[1]
    for file in ROOT.glob("requirements-*.in"):
        for line in file.read_text("utf-8").splitlines():
            name = re.match(r"[A-Za-z][\w.-]*", line)
            if name:
                assert name[0].lower() in reasons.lower(), f"{file.name}: {name[0]}"


def test_the_readme_gives_the_two_commands() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    assert "python3 build.py serve" in readme
    assert "python3 build.py test" in readme


def test_the_figures_of_the_studies_are_those_of_their_result_files() -> None:
    between = GUIDE.partition(told.MARKS[0])[2].partition(told.MARKS[1])[0]
    assert between.strip() == told.whole()


def test_the_size_of_a_kept_bundle_is_told() -> None:
    text = json.dumps(to_keep(bundle()), ensure_ascii=False, separators=(",", ":"))
    told_mb = re.search(r"never erased: ([\d.]+) MB each", GUIDE)
    assert told_mb is not None
    assert abs(float(told_mb[1]) - len(text.encode()) / 1e6) < 0.05
