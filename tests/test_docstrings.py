"""Every public function says what goes in, where it holds, what it refuses, and where it is from.

The rooms' formulas say all of it, with an example that the doctests run. What carries no figure of
its own (it sorts, reads or puts formulas together) says in a sentence what it does.
"""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable
from pkgutil import iter_modules
from typing import Any

import pytest

from weeptrace.practice.world.acts import ACTS

ROOMS = (
    "properties", "hold", "fill", "loss", "warmup", "quote", "causes", "practice", "practice.world",
)  # fmt: skip
PARTS = {
    "properties": {"share", "blend", "refuse_outside"},  # half of what their callers explain
    "hold": {
        "assess.assess", "judge.judge", "gone", "claimed_class", "next_class", "too_little",
        "rises", "scaled", "reason_for", "unusable", "unusable_vacuum",
        "time_until",  # readings in, verdict out
        "liquid_hold.liquid_hold", "air_hold.air_hold", "coolant_of", "split", "cut_liquid",
        "cut_air", "median_slope", "rate_to_half", "exponent",  # what is typed, made a system
        "march.march", "march.still", "by_segments",  # any balance, stepped through
        "liquid_priors", "liquid_bounds", "air_priors", "air_bounds", "weighted_model",
        "fit_robust",  # the fit of everything, put together
        "explanations", "air_explanations", "favoured", "fitted", "score",
    },
    "fill": {"at_hand"},
    "warmup": {"assess.assess"},
    "causes": {
        "reasons", "contradictions", "misfits", "from_bundle", "layout", "term", "alone", "allowed",
        "sign_given", "value", "evidence", "proven", "spent", "plan", "rank", "due", "tests_due",
        "is_dear", "clearing",
    },
    "practice": {
        "names", "car_from", "load", "under", "steady", "pressures", "course_of", "quantities",
        "quantity", "numbers", "entries", "table_of", "need", "no_others",
    },
    "practice.world": {
        *ACTS, "world_from", "world_load", "some_car", "touched", "shaken", "let_run",
        "level_missing", "probe_dry", "truth",
        "known", "type_in", "meanwhile", "play", "weary", "reason", "press", "read_on", "pages",
        "pressed", "phrases", "table",  # a person at a phone
    },
}  # fmt: skip


def _functions(formulas: bool) -> list[tuple[str, Callable[..., Any]]]:
    found = []
    for room in ROOMS:
        package = importlib.import_module(f"weeptrace.{room}")
        for each in iter_modules(package.__path__):
            module = importlib.import_module(f"weeptrace.{room}.{each.name}")
            for label, item in vars(module).items():
                own = inspect.isfunction(item) and item.__module__ == module.__name__
                if not own or label.startswith("_"):
                    continue
                parts = PARTS.get(room, set())
                if formulas != bool({label, f"{each.name}.{label}"} & parts):
                    found.append((f"{room}.{each.name}.{label}", item))
    return found


def test_the_rooms_have_formulas() -> None:
    assert len(_functions(formulas=True)) >= 150


@pytest.mark.parametrize(
    ("name", "function"), _functions(formulas=True), ids=lambda v: str(v).partition(" at ")[0]
)
def test_a_formula(name: str, function: Callable[..., Any]) -> None:
    text = " ".join((inspect.getdoc(function) or "").split())
    for parameter in inspect.signature(function).parameters:
        assert parameter in text, f"{name} does not explain {parameter}"
    for words in (
        ("Valid", "validity"),
        ("Source",),
        ("Refusal", "Error", "No error is raised"),
        (">>>",),
        ("``",),
    ):
        assert any(word in text for word in words), (name, words)


@pytest.mark.parametrize(
    ("name", "function"), _functions(formulas=False), ids=lambda v: str(v).partition(" at ")[0]
)
def test_what_carries_no_figure(name: str, function: Callable[..., Any]) -> None:
    text = inspect.getdoc(function) or ""
    assert text.partition("\n\n")[0].endswith("."), name
    assert "raise Refusal" not in inspect.getsource(function) or "efus" in text, name
