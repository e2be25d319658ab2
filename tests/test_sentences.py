"""What code says has its words, and each figure that the words name is brought in its dimension."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

TOOLS = Path(__file__).parents[1] / "webshell" / "tools"
sys.path.insert(0, str(TOOLS))
import sentences  # noqa: E402

from weeptrace.finding import Reason  # noqa: E402
from weeptrace.told import Figure, Sentence, plain  # noqa: E402
from weeptrace.words import FORMS, form, words_of  # noqa: E402

TEXTS = {
    "refused.pump.too_high": "{given:pressure} is above {most:pressure:down}.",
    "accepted.up_to": "up to {most:pressure}",
    "reason.pump.few": "{name} needs {count} more.",
    "pump.row.left": "{left:volume:bare} of {all:volume} left",
    "pump.turns.one": "{count} turn",
    "pump.foot": "Up to {limit.pump.most:volume}",
    "pump.turns.other": "{count} turns",
    "pump.head": ["Pump", "it"],
    "pump.title": "Pump",
}
SAID = (
    'raise Refusal("out_of_range", "refused.pump.too_high", "pressure", "accepted.up_to", '
    '{"given": Figure(p, "pressure"), "most": Figure(most, "pressure")})\n'
    'few = Reason("few", f"reason.pump.{code}", {"name": name, "count": 2})\n'
    'said = Sentence("pump.turns", {"count": count})\n'
    'left = show.say("pump.row.left", left=Figure(left, "volume"), all=Figure(v, "volume"))\n'
    'title = [*show.lines("pump.head"), text("pump.title" if head else "pump.foot")]\n'
)


def test_the_core_says_nothing_that_has_no_words_and_no_words_are_left_over() -> None:
    assert sentences.faults() == []
    uses = [u for p in sentences.PACKAGE.rglob("*.py") for u in sentences._uses(p, p.name)]
    assert len(uses) > 300  # of refusals and reasons alone


@pytest.mark.parametrize(
    ("was", "becomes", "told"),
    [
        ("", "", None),
        ('"refused.pump.too_high"', '"refused.pump.too_hot"', "[refused.pump.too_hot] has no text"),
        ('"accepted.up_to"', "accepted", "module.py:1: names no text id"),
        ('"given": Figure', '"taken": Figure', "names a figure “given”; bring it"),
        ('Figure(p, "pressure")', 'Figure(p, "volume")', "tells given as pressure: volume"),
        ('Figure(p, "pressure")', "str(p)", "tells given as pressure: "),
        ('"accepted.up_to", ', '"", ', "[accepted.up_to] is said nowhere"),
        ("reason.pump.", "reason.valve.", "[reason.valve.…] has no text"),
        ('"pump.turns"', '"pump.turn"', "[pump.turn] has no text"),
        ('"pump.turns"', "id", "module.py:3: names no text id"),
        ('{"count": count})', "{})", "[pump.turns.other] names a figure “count”; bring it"),
        ("say(", "shout(", "[pump.row.left] is said nowhere"),
        ("left=Figure", "rest=Figure", "names a figure “left”; bring it"),
        ('left, "volume"', 'left, "mass"', "[pump.row.left] tells left as volume: mass"),
        ('Figure(left, "volume")', "f'{left}'", "[pump.row.left] tells left as volume: "),
        ('"pump.title"', '"pump.titel"', "[pump.titel] has no text"),
        ('"pump.title"', '"pump.row.left"', "[pump.row.left] names a figure “left”; bring it"),
        ('"pump.head"', '"pump.heads"', "[pump.head] is said nowhere"),
    ],
)
def test_what_does_not_fit_is_told_with_its_line(
    tmp_path: Path, was: str, becomes: str, told: str | None
) -> None:
    assert was in SAID
    (tmp_path / "module.py").write_text(SAID.replace(was, becomes, 1))
    found = sentences.faults(tmp_path, TEXTS)
    assert any(told in words for words in found) if told else found == []


def test_a_count_takes_its_plural_form() -> None:
    # Cardinal plural rules of Unicode CLDR: English one, other; Polish one, few, many.
    assert [form("en", n) for n in (0, 1, 2, 21)] == ["other", "one", "other", "other"]
    polish = {0: "many", 1: "one", 2: "few", 4: "few", 5: "many", 11: "many", 12: "many",
              14: "many", 21: "many", 22: "few", 25: "many", 112: "many", 122: "few"}  # fmt: skip
    assert {n: form("pl", n) for n in polish} == polish
    assert set(FORMS["pl"]) == set(polish.values())


def test_words_and_figures_without_a_kind_are_told_as_they_are() -> None:
    told = Reason("x", "{name}: above {least}, {share:.1f}", {
        "name": "area", "least": Figure(0.0, "area"), "share": 2.0,
    })  # fmt: skip
    assert plain(told) == "area: above 0 cm², 2.0"
    typed = Reason(
        "x", "{p:pressure:bare} to {p:pressure:down}", {"p": Figure(1e5, "pressure", "psi")}
    )
    assert plain(typed) == "14.5 to 14.5 psi"
    inside = Sentence("{what}, {more}: {0:volume}", {
        "what": Sentence("{p:down}", {"p": Figure(1.0639e5, "pressure", "psi")}),
        "more": (Sentence("one"), Sentence("two")),
    })  # fmt: skip
    assert plain(inside) == "15.43 psi, one, two: 0 L"
    assert words_of("nothing like it", {"count": 2}) == "nothing like it"
