"""Transmission fluid at the cooler: volumes by geometry and mass, limits from both sides."""

from __future__ import annotations

import copy
import math
from typing import Any

import fastjsonschema
import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.loss.lines import Lines, lines, pipe_volume
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

LITRE, QUART = 1e-3, 0.946352946e-3  # NIST SP 811
PIPES = pipe_volume(8e-3, 3.0)


def found(**change: Any) -> Lines:
    return lines(**{"caught": 0.43, "pipes": PIPES, **change}, limits=limits())


def test_a_pipe_of_eight_millimetres() -> None:
    """8 mm over 3 m hold 0.15 L (common practice); exactly 0.04 x 0.04 x pi x 30 dm3."""
    assert pytest.approx(0.15 * LITRE, rel=0.01) == PIPES
    assert pytest.approx(math.pi * 0.04**2 * 30 * LITRE) == PIPES


def test_a_radiator_with_a_cooler() -> None:
    """430 g at 0.85: 0.506 L; cooler 0.15 to 0.4 L and lines 0.15 L (common practice)."""
    made = found(container=1 * LITRE)
    assert made.out.value == pytest.approx(0.50588 * LITRE, abs=1e-8)
    assert made.out.low < made.out.value < made.out.high
    assert made.expected is not None
    assert made.expected.low == pytest.approx(0.15 * LITRE + PIPES)
    assert made.expected.high == pytest.approx(0.40 * LITRE + PIPES)
    assert (made.judgement, made.usual) == ("as_expected", "within")
    assert made.to_order == pytest.approx(1 * LITRE)
    assert found().to_order == made.out.value


def test_what_was_spilled_goes_in_too() -> None:
    made = found(spilled=0.1 * LITRE)
    assert made.out.value == pytest.approx(0.60588 * LITRE, abs=1e-8)
    assert made.out.high - made.out.value > found().out.high - found().out.value


@pytest.mark.parametrize(
    ("share", "judgement"), [(0.499, "little_caught"), (0.5, "as_expected"), (0.501, "as_expected")]
)
def test_half_of_what_they_hold(share: float, judgement: str) -> None:
    """Limit loss.lines_share, 50 % of 0.275 L and the lines."""
    middle = 0.275 * LITRE + PIPES
    made = found(caught=share * middle * 850.0)
    assert made.judgement == judgement
    if judgement == "little_caught":  # the rest will follow, so it is ordered too
        assert made.to_order == pytest.approx(0.4 * LITRE + PIPES)


def test_more_than_they_hold() -> None:
    most = 0.4 * LITRE + PIPES
    assert found(caught=0.999 * most * 850.0).judgement == "as_expected"
    assert found(caught=1.001 * most * 850.0).judgement == "more_than_lines_hold"
    assert found(caught=0.5, cooler=0.2 * LITRE).judgement == "more_than_lines_hold"


def test_lines_not_known_are_not_judged() -> None:
    made = found(pipes=None)
    assert (made.expected, made.judgement) == (None, "not_judged")


@pytest.mark.parametrize(
    ("quarts", "usual"),
    [(0.499, "below"), (0.5, "within"), (1.0, "within"), (1.001, "above")],
)
def test_half_a_quart_to_one(quarts: float, usual: str) -> None:
    """Limits loss.transmission_usual_*: 0.5 to 1 US quart, common practice."""
    assert found(caught=quarts * QUART * 850.0).usual == usual


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"caught": -0.1}, "caught"),
        ({"caught": 15.01 * 0.85}, "caught"),
        ({"spilled": -1e-3}, "spilled"),
        ({"cooler": 0.016}, "cooler"),
        ({"density": 699.0}, "density"),
        ({"density": 1001.0}, "density"),
    ],
)
def test_refused(change: dict[str, float], path: str) -> None:
    with pytest.raises(Refusal) as refused:
        found(**change)
    assert refused.value.path == path
    assert refused.value.accepted


@pytest.mark.parametrize(
    ("diameter", "length", "path"),
    [(1.9e-3, 3.0, "diameter"), (31e-3, 3.0, "diameter"), (8e-3, 0.0, "length"),
     (8e-3, 20.1, "length")],
)  # fmt: skip
def test_a_pipe_that_is_none(diameter: float, length: float, path: str) -> None:
    with pytest.raises(Refusal) as refused:
        pipe_volume(diameter, length)
    assert refused.value.path == path


def test_through_the_door() -> None:
    sample = copy.deepcopy(OPERATIONS["loss.lines"].sample)
    out = call("loss.lines", sample)
    fastjsonschema.compile(OPERATIONS["loss.lines"].output)(out)
    assert out["in"]["value"] == pytest.approx(0.506, abs=1e-3)
    assert out["to_order"]["value"] == pytest.approx(1)
    assert out["check_level_again"] == "no"
    little = call("loss.lines", {**sample, "caught": {"value": 150, "unit": "g"}})
    assert (little["judgement"], little["check_level_again"]) == ("little_caught", "yes")
    alone = call("loss.lines", {"caught": {"value": 430, "unit": "g"}})
    assert alone["check_level_again"] == "not_judged"
    sample["lines"]["diameter"] = {"value": 8, "unit": "m"}
    error = call("loss.lines", sample)["error"]
    assert (error["path"], error["accepted"]) == ("lines.diameter", "2 to 30 mm")
