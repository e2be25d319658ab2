"""What stands just within the rules and just outside: keys, names, places, numbers, constants."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from tests.proof.cells import put_in
from tests.rules.test_sound_bundle import compiled, refused_beside
from weeptrace.rules.conditions import parse

CAUSES, TESTS = "causes/causes.toml", "causes/tests.toml"
STEPS = "procedures/leak.toml"
NOTE = 'note = "A fact of the trade."'
KIND = 'kind = "quantity"'


@pytest.mark.parametrize(
    ("file", "line"),
    [
        ("sources.toml", NOTE),
        ("never.toml", 'gates = ["cold"]'),
        ("gates.toml", 'reason = "Nothing opens hot or under pressure."'),
        ("state.toml", 'lasts = "gate.sign_age"'),
        ("acts.toml", 'warns = "poison"'),
        ("limits/gate.toml", "value = 50"),
        ("fields/car.toml", KIND),
        (STEPS, 'asks = "car.name"'),
        (CAUSES, "weight = 8"),
        (TESTS, "minutes = 5"),
        ("causes/findings.toml", "misread = 0.03"),
    ],
)
def test_no_entry_takes_an_unknown_key(tmp_path: Path, file: str, line: str) -> None:
    told = refused_beside(tmp_path, file, line, line, f"{line}\nno_such = 1")
    assert told.startswith(f"{file}:")
    assert "“no_such”" in told


@pytest.mark.parametrize("line", ['title = "Common practice"\n', NOTE])
def test_a_source_has_its_title_and_its_note(tmp_path: Path, line: str) -> None:
    told = refused_beside(tmp_path, "sources.toml", line, line, "")
    assert f"[common_practice] has no {line.partition(' ')[0]}; add" in told


@pytest.mark.parametrize(
    ("key", "name"),
    [("capped", "hold.pressure"), ("asked", "coolant.cream")],
)
def test_a_rule_of_an_unknown_field_is_told_of_that_alone(
    tmp_path: Path, key: str, name: str
) -> None:
    old = f'{key} = ["{name}"]'
    told = refused_beside(tmp_path, "never.toml", old, old, f'{key} = ["{name}x"]')
    assert f"names an unknown field “{name}x”; did you mean “{name}”?" in told


def test_a_rule_is_kept_by_one_step_that_may_not_be_skipped(tmp_path: Path) -> None:
    """Another step that may be skipped can ask as well; alone it does not do."""
    other = 'asks = "car.capacity"\n'
    assert compiled(tmp_path, STEPS, other, f'{other}checks = ["coolant.cream"]\n') == []
    alone = 'asks = "coolant.cream"'
    faults = compiled(tmp_path, STEPS, alone, f"{alone}\nskip = true")
    assert len(faults) == 1
    assert "which no step asks, or only one that may be skipped" in faults[0]


@pytest.mark.parametrize(
    ("file", "old", "one"),
    [
        (TESTS, '["cap=weak"]', '["cap=weak", "wet_at=plug"]'),
        (TESTS, '["cap=weak", "cause:cap", "always"]', '["wet_at=plug", "cause:cap", "always"]'),
        (CAUSES, 'proven_by = ["wet_at=plug"]', 'proven_by = ["wet_at=plug"]'),
    ],
)
def test_only_a_conflict_means_any_place(tmp_path: Path, file: str, old: str, one: str) -> None:
    told = refused_beside(tmp_path, file, old, one, one.replace("wet_at=plug", "wet_at=any"))
    assert "names an unknown value in “wet_at=any”" in told


@pytest.mark.parametrize(
    ("old", "fits", "does_not", "told"),
    [
        ("often = 0.5", "often = 0.001", "often = 0.0", "above 0 and below 1"),
        ("often = 0.5", "often = 0.51", "often = -0.1", "above 0 and below 1"),
        ("usually = 0.8", "usually = 0.999", "usually = 1.0", "above 0 and below 1"),
        ("twice = 2.0", "twice = 0.5", "twice = 0.0", "above 0 and below "),
    ],
)
def test_a_scale_lies_between_nothing_and_its_top(
    tmp_path: Path, old: str, fits: str, does_not: str, told: str
) -> None:
    assert not [each for each in compiled(tmp_path, CAUSES, old, fits) if "above 0 and" in each]
    faults = [each for each in compiled(tmp_path, CAUSES, old, does_not) if told in each]
    assert len(faults) == 1


@pytest.mark.parametrize("sign", ["<", ">=", "=="])
def test_a_condition_holds_no_number_of_a_billion_thousands(sign: str) -> None:
    whole = parse(f"a.x {sign} 999999999999")
    assert whole == [sign, ["field", "a.x"], ["number", 999999999999.0]]
    for absurd in ("1000000000000", "1e12", "1e300", "1e999"):
        with pytest.raises(ValueError, match="absurd number"):
            parse(f"a.x {sign} {absurd}")


FIXED = {
    '"one"': "“one”", '"two"': "“two”", "3": "3", "5": "5",
    "limit.gate.sign_age": "gate.sign_age", "limit.gate.evidence_age": "gate.evidence_age",
    "limit.hold.pressure": "hold.pressure",
}  # fmt: skip


@pytest.mark.parametrize(("left", "right"), [*itertools.combinations(FIXED, 2)])
def test_two_sides_that_never_change_are_not_compared(
    tmp_path: Path, left: str, right: str
) -> None:
    for sign, (a, b) in (("==", (left, right)), ("<", (right, left))):
        condition = f"when = '{a} {sign} {b} and car.capacity > 0'"
        faults = compiled(tmp_path, STEPS, 'when = "car.capacity > 0"', condition)
        assert len(faults) == 1
        assert f"compares {FIXED[a]} with {FIXED[b]}, which never change" in faults[0]


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ('a.x == "one" and b.y > 0 or c.z > 0', "c.z > 0"),
        ('c.z > 0 or a.x == "one"', "c.z > 0"),
        ('(a.x == "one" or b.y > 0) and c.z > 0', "b.y > 0 and c.z > 0"),
        ('(a.x == "one" or b.y > 0) and (a.x == "one" or c.z > 0)', "b.y > 0 and c.z > 0"),
        ('b.y > 0 or c.z > 0 or a.x == "one" and b.y > 1', "b.y > 0 or c.z > 0"),
    ],
)
def test_what_an_unknown_word_cannot_decide_falls_away(text: str, plain: str) -> None:
    """Without a "not", unknown is as good as another word: only what still counts is left."""
    assert put_in(parse(text), "a.x", None) == parse(plain)
    assert put_in(parse(text), "a.x", "other") == parse(plain)
