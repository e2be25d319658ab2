"""What is refused in the loss room says what is accepted, in litres, kilometres and grams."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.refusals import refused
from weeptrace.finding import Estimate
from weeptrace.loss import balance, classes, lasts, level_watch, lines, rate
from weeptrace.rules import limits

KM = 1e3
ONE = rate.Found("catch", Estimate(1e-8, 0.9e-8, 1.1e-8))


def watched(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {"level_change": 0.0, "area": 0.01, "distance": 1e6}
    return lambda: level_watch.watch(**{**given, **change}, limits=limits())


def found(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {"caught": 0.43}
    return lambda: lines.lines(**{**given, **change}, limits=limits())


def classed(**change: Any) -> Callable[[], object]:
    return lambda: classes.classes(**{"reserve": 0.5e-3, **change}, limits=limits())


def factor(**change: Any) -> Callable[[], object]:
    given: dict[str, Any] = {"pressure": 1e5, "rated": 1.1e5, "temperature": 293.15}
    return lambda: rate.running_factor(**{**given, **change}, limits=limits())


def lasting(**change: Any) -> Callable[[], object]:
    return lambda: lasts.lasts(rate.combine([ONE], limits()), limits(), **change)


def closing(**litres: float) -> Callable[[], object]:
    def exact(value: float) -> balance.Volume:
        return balance.Volume(1e-3 * value, 1e-3 * value, 1e-3 * value)

    given: dict[str, Any] = {
        "drained": 5.0, "filled": 5.0, "spilled": 0.0, "missing_before": 0.0, "air_left": 0.0,
    }  # fmt: skip
    volumes = {name: exact(value) for name, value in {**given, **litres}.items()}
    return lambda: balance.close(**volumes, limits=limits())  # type: ignore[arg-type]


OUT = "out_of_range"
TOLD: list[tuple[Callable[[], object], str, str, str, str]] = [
    (watched(area=0.0), OUT, "area", "above 0 cm²", "The area must be above zero"),
    (watched(distance=0.0), OUT, "distance", "above 0 km", "The distance must"),
    (watched(topped_up=-1e-3), OUT, "topped_up", "not below 0 L", "negative"),
    (watched(temperature_after=290.0), "missing", "temperature_before",
     "both temperatures, or none", "One temperature"),
    (watched(temperature_before=290.0), "missing", "temperature_after",
     "both temperatures, or none", "One temperature"),
    (found(caught=13.0), OUT, "caught", "0 to 12750 g", "15.29 L caught"),
    (found(spilled=16e-3), OUT, "spilled", "0 to 15 L", "16 L spilled"),
    (found(cooler=-1e-3), OUT, "cooler", "0 to 15 L", "-1 L cooler"),
    (found(density=699.0), OUT, "density", "700 to 1000 kg/m³", "lighter than water"),
    (lambda: lines.pipe_volume(31e-3, 1.0), OUT, "diameter", "2 to 30 mm", "A line of 31 mm"),
    (lambda: lines.pipe_volume(8e-3, 20.5), OUT, "length", "above 0 to 20 m", "Lines of 20.5 m"),
    (classed(reserve=-1.0), OUT, "reserve", "above 0 L", "The reserve must"),
    (classed(exposure=0.0), OUT, "exposure", "above 0 min/1000 km", "The exposure must"),
    (classed(look=0.0), OUT, "look", "above 0 km", "The look must"),
    (classed(look=15000 * KM), OUT, "look", "below 15000 km", "the look is not"),
    (classed(trip=1000 * KM, look=1000 * KM), OUT, "trip", "below 1000 km", "the trip is not"),
    (lambda: rate.from_drops(0, 60.0, limits()), OUT, "drops.count", "above 1 drop", "count"),
    (lambda: rate.from_drops(3, 0.0, limits()), OUT, "drops.time", "above 0 s", "time must"),
    (lambda: rate.from_catch(0.0, 60.0, limits()), OUT, "catch.mass", "above 0 g", "mass must"),
    (lambda: rate.from_catch(1.0, 0.0, limits()), OUT, "catch.time", "above 0 s", "time must"),
    (lambda: rate.from_catch(1.0, 1.0, limits(), 0.0), OUT, "catch.density", "above 0 kg/m³",
     "density must"),
    (lambda: rate.puddle(0.0, limits()), OUT, "puddle.area", "above 0 cm²", "area must"),
    (lambda: rate.puddle(1.0, limits(), 0.0), OUT, "puddle.thickness", "above 0 mm",
     "thickness must"),
    (lambda: rate.from_puddle(Estimate(1.0, 1.0, 1.0), 0.0), OUT, "puddle.time", "above 0 s",
     "time must"),
    (lambda: rate.from_owner(Estimate(0.0, 0.0, 0.0), limits()), OUT, "owner",
     "above 0 L/1000 km", "owner must"),
    (factor(pressure=0.0), OUT, "condition.pressure", "above 0 kPa", "The pressure must"),
    (factor(rated=0.0), OUT, "condition.rated", "above 0 kPa", "The rated must"),
    (factor(running_pressure=0.0), OUT, "condition.running_pressure", "above 0 kPa",
     "The running pressure must"),
    (factor(exponent=3.0), OUT, "condition.exponent", "0.3 to 2.5", "An exponent of 3 is not"),
    (lambda: rate.combine([], limits()), "missing", "", "drops, catch, owner or hold",
     "Nothing was measured"),
    (lambda: rate.combine([ONE], limits(), 0.0), OUT, "exposure", "above 0 min/1000 km",
     "The exposure must"),
    (lasting(reserve=0.0), OUT, "reserve", "above 0", "The reserve must"),
    (lasting(capacity=-1.0), OUT, "capacity", "above 0", "The capacity must"),
    (lasting(trip=0.0), OUT, "trip", "above 0", "The trip must"),
    (closing(kept_for_reuse=5.5), OUT, "kept_for_reuse", "up to 5 L", "5.5 L kept for reuse"),
    (closing(capacity=4.0), OUT, "drained", "with what was missing and spilled up to 4 L",
     "5 L out is more than the car holds (4 L)"),
    (lambda: balance.measured(2e-3, limits(), low=1e-3, high=1.5e-3), OUT, "",
     "low <= value <= high, not below 0 L", "A volume of 2 L with the interval 1 to 1.5 L"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "code", "path", "accepted", "words"), TOLD)
def test_refused_in_words(
    call: Callable[[], object], code: str, path: str, accepted: str, words: str
) -> None:
    refused(call, code, path, accepted, words)


@pytest.mark.parametrize(
    "call",
    [
        watched(topped_up=0.0),
        found(caught=12.75),
        found(caught=0.0),
        found(spilled=15e-3),
        found(density=700.0),
        found(density=1000.0),
        lambda: lines.pipe_volume(2e-3, 20.0),
        lambda: lines.pipe_volume(30e-3, 0.01),
        factor(exponent=0.3),
        factor(exponent=2.5),
        closing(kept_for_reuse=5.0),
        closing(capacity=5.0),
        lambda: balance.measured(0.0, limits()),
        lambda: balance.measured(1e-3, limits(), low=1e-3, high=1e-3),
    ],
)
def test_the_edges_are_accepted(call: Callable[[], object]) -> None:
    assert call() is not None
