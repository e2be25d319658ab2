"""Every formula of the hold room says what goes in, where it holds, and where it is from."""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable
from typing import Any

import pytest

MODULES = [
    "pump", "stored", "settling", "leak_law", "two_level", "plan", "air_side", "expected", "warmth",
    "compare", "advice", "curve_fit",
]  # fmt: skip
NOT_FORMULAS = {"course"}  # takes a log apart


def functions() -> list[Callable[..., Any]]:
    found = []
    for name in MODULES:
        module = importlib.import_module(f"weeptrace.hold.{name}")
        found += [
            item
            for label, item in vars(module).items()
            if inspect.isfunction(item)
            and item.__module__ == module.__name__
            and not label.startswith("_")
            and label not in NOT_FORMULAS
        ]
    return found


def test_there_are_formulas() -> None:
    assert len(functions()) >= 18


@pytest.mark.parametrize("function", functions(), ids=lambda f: f.__qualname__)
def test_docstring(function: Callable[..., Any]) -> None:
    text = " ".join((inspect.getdoc(function) or "").split())
    for parameter in inspect.signature(function).parameters:
        assert parameter in text, f"does not explain {parameter}"
    for words in (
        ("Valid", "validity"),
        ("Source", "source"),
        ("Refusal", "No error", "no error", "ArithmeticError"),
        (">>>",),
        ("``",),
    ):
        assert any(word in text for word in words), words
