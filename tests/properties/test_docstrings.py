"""Every public function of these rooms says what goes in, where it holds, and where it is from."""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable
from pkgutil import iter_modules
from typing import Any

import pytest

from weeptrace import properties

MODULES = [
    *(f"properties.{module.name}" for module in iter_modules(properties.__path__)),
    "fill.mix",
    "fill.uptake",
    "fill.flush",
    "fill.reach",
    "fill.ran_dry",
    "fill.boil",
    "fill.contraction",
    "loss.balance",
    "loss.lines",
    "loss.classes",
]
# They check or build an input, or are half of an equation that its callers explain.
HELPERS = {"share", "at_hand", "blend", "refuse_outside"}


def _functions() -> list[tuple[str, Callable[..., Any]]]:
    found = []
    for name in MODULES:
        module = importlib.import_module(f"weeptrace.{name}")
        for label, item in vars(module).items():
            own = inspect.isfunction(item) and item.__module__ == module.__name__
            if own and not label.startswith("_") and label not in HELPERS:
                found.append((f"{name}.{label}", item))
    return found


def test_the_rooms_have_functions() -> None:
    assert len(_functions()) >= 50


@pytest.mark.parametrize(
    ("name", "function"), _functions(), ids=lambda v: v if isinstance(v, str) else ""
)
def test_docstring(name: str, function: Callable[..., Any]) -> None:
    text = inspect.getdoc(function) or ""
    for parameter in inspect.signature(function).parameters:
        assert parameter in text, f"{name} does not explain {parameter}"
    for word in ("Valid", "Source", "efusal", ">>>", "``"):
        assert word in text or (word == "efusal" and "No error is raised" in text), (name, word)
