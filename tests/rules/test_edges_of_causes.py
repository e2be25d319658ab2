"""How far a chance, a weight, a time or a word may go in the rules before it is refused."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.rules.test_sound_bundle import compiled, refused_beside

CAUSES, FINDINGS = "causes/causes.toml", "causes/findings.toml"
TESTS, STEPS, CAR = "causes/tests.toml", "procedures/leak.toml", "fields/car.toml"
GIVES = 'stuck = "hardly_ever", weak = "often"'
VALUES = """values = ["holds", "stuck", "weak"]
background = { weak = "hardly_ever" }
from = [
  { causes = ["cap"], gives = """
STEP = 'id = "intake"\n'


@pytest.mark.parametrize(
    ("file", "old", "fits", "does_not", "told"),
    [
        # An answer that comes 50 times as often as it is misread, of two wrong ones: 2 x 0.5 / 50.
        (FINDINGS, "misread = 0.06", "misread = 0.02", "misread = 0.0199", "write 0.02 or more"),
        # Of one wrong one: 0.5 / 50.
        (FINDINGS, "misread = 0.05", "misread = 0.01", "misread = 0.0099", "write 0.01 or more"),
        (FINDINGS, "misread = 0.03", "misread = 0.49", "misread = 0.5", "below 0.5"),
        (FINDINGS, "misread = 0.03", "misread = 0.001", "misread = 0.0", "above 0"),
        (FINDINGS, GIVES, 'stuck = "often", weak = "often"', 'stuck = "usually", weak = "often"',
         "add up to 1.30"),
        (CAUSES, "weight = 8", "weight = 0.1", "weight = 0", "write a number above 0"),
        (CAUSES, "wrong = 30", "wrong = 0.5", "wrong = 0", "write a number above 0"),
        (CAUSES, "wrong = 30", "wrong = 1", "wrong = -1", "write a number above 0"),
        (STEPS, STEP, f"{STEP}minutes = [5, 5, 5]\n", f"{STEP}minutes = [0, 5, 5]\n",
         "rising from above zero"),
        (STEPS, STEP, f"{STEP}minutes = [1, 5, 5]\n", f"{STEP}minutes = [6, 5, 9]\n",
         "rising from above zero"),
        (STEPS, STEP, f"{STEP}minutes = [0.5, 2, 9]\n", f"{STEP}minutes = [1, 5, 4]\n",
         "rising from above zero"),
        (STEPS, STEP, f"{STEP}minutes = [1, 2, 3]\n", f"{STEP}minutes = [1, 2]\n",
         "low, likely, high"),
        (STEPS, '"car.capacity > 0"', '\'part.hose == "off"\'', '\'part.hose == "away"\'', "off"),
        (CAR, "longest = 60", "longest = 1", "longest = 0", "from 1 to 2000"),
        (CAR, "longest = 60", "longest = 2000", "longest = 2001", "from 1 to 2000"),
        (CAR, "longest = 60", "longest = 59", "longest = 59.5", "from 1 to 2000"),
    ],
)  # fmt: skip
def test_how_far_a_chance_a_weight_and_a_time_go(
    tmp_path: Path, file: str, old: str, fits: str, does_not: str, told: str
) -> None:
    fault = refused_beside(tmp_path, file, old, fits, does_not)
    assert told in fault
    assert re.match(rf"{re.escape(file)}:\d+: ", fault)


def test_only_answers_that_are_no_quiet_ones_are_weighed_against_misreading(tmp_path: Path) -> None:
    """That nearly always nothing is seen is no answer that decides: 2 x 0.01 / 50 is enough."""
    old = f"misread = 0.06\n{VALUES}{{ {GIVES} }}"
    few = f'misread = 0.0004\n{VALUES}{{ weak = "hardly_ever" }}'
    assert compiled(tmp_path, FINDINGS, old, few) == []
    assert len(compiled(tmp_path, FINDINGS, old, few.replace("0.0004", "0.0003"))) == 1


def test_a_value_that_is_too_long_to_show_is_cut(tmp_path: Path) -> None:
    """Forty signs of what stands there in place of a number."""
    long = "y" * 60
    (fault,) = compiled(tmp_path, CAUSES, "weight = 8", f'weight = "{long}"')
    assert f"not {'y' * 40}…" in fault
    (whole,) = compiled(tmp_path, CAUSES, "weight = 8", f'weight = "{long[:40]}"')
    assert whole.endswith(f"not {'y' * 40}")


@pytest.mark.parametrize(("ends", "fits"), [("0.05", True), ("5 %", True), ("5 kPa", False)])
def test_a_range_of_a_share_stands_in_plain_numbers_or_in_percent(
    tmp_path: Path, ends: str, fits: bool
) -> None:
    entry = f"""[car.share]
kind = "quantity"
dimension = "ratio"
range = ["{ends}", "{ends.replace("5", "95", 1) if " " in ends else "0.95"}"]
source = "common_practice"
reason = "A share."
"""
    faults = compiled(tmp_path, CAR, "[car.name]", f"{entry}\n[car.name]")
    assert any("does not read" in each for each in faults) is not fits
