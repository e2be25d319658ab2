"""The classes of a loss for one car, by its reserve and its owner's ways."""

from __future__ import annotations

from typing import Any

import fastjsonschema
import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.finding import Estimate
from weeptrace.loss.classes import Classes, classes
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

KM, LITRE_PER_1000_KM, ML_MIN = 1e3, 1e-9, 1e-6 / 60.0


def found(**change: Any) -> Classes:
    return classes(**{"reserve": 0.5e-3, **change}, limits=limits())


def test_half_a_litre_gives_the_usual_classes() -> None:
    """0.03 (rounded down from 0.033), 0.3 and 5 L/1000 km; 0.02, 0.2 and 3.3 mL/min; 0.4, 4 and 67
    drops a minute (common practice)."""
    made = found()
    for edge, name, flow, drops in (
        (made.tight, "tight", 0.02, 0.4),
        (made.seeping, "seeping", 0.2, 4.0),
        (made.gross, "gross", 3.33, 66.7),
    ):
        assert edge.loss == pytest.approx(limits()[f"hold.{name}"], rel=0.12)
        assert edge.flow / ML_MIN == pytest.approx(flow, rel=0.12)
        assert edge.drops * 60 == pytest.approx(drops, rel=0.12)
    assert limits()["hold.tight"] < made.tight.loss


def test_the_reserve_is_gone_after_just_the_distance() -> None:
    """Counted from the flow: time at Q until R is gone, turned into distance by the exposure."""
    made = found(reserve=0.35e-3, service=20000 * KM, look=500 * KM, trip=50 * KM, exposure=0.06)
    for edge, distance in ((made.tight, 20000), (made.seeping, 500), (made.gross, 50)):
        seconds = 0.35e-3 / edge.flow
        assert seconds / 0.06 == pytest.approx(distance * KM)


@pytest.mark.parametrize(
    ("loss", "name"),
    [(0.0332, "tight"), (0.0335, "seeping"), (0.299, "seeping"), (0.301, "leaking"),
     (4.99, "leaking"), (5.01, "gross")],
)  # fmt: skip
def test_a_loss_on_each_side_of_an_edge(loss: float, name: str) -> None:
    value = loss * LITRE_PER_1000_KM
    assert found().of(Estimate(value, value, value), limits()) == name


def test_an_interval_over_two_classes_names_both() -> None:
    wide = Estimate(*(v * LITRE_PER_1000_KM for v in (0.3, 0.2, 0.4)))
    assert found().of(wide, limits()) == "seeping_or_leaking"


def test_a_smaller_reserve_moves_the_classes() -> None:
    loss = 4.0 * LITRE_PER_1000_KM
    one = Estimate(loss, loss, loss)
    assert found().of(one, limits()) == "leaking"
    assert found(reserve=0.3e-3).of(one, limits()) == "gross"


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"reserve": 0.0}, "reserve"),
        ({"exposure": 0.0}, "exposure"),
        ({"trip": -1.0}, "trip"),
        ({"look": 15000 * KM}, "look"),
        ({"trip": 1700 * KM}, "trip"),
    ],
)
def test_refused(change: dict[str, float], path: str) -> None:
    with pytest.raises(Refusal) as refused:
        found(**change)
    assert refused.value.path == path
    assert refused.value.accepted


def test_through_the_door() -> None:
    operation = OPERATIONS["loss.classes"]
    out = call("loss.classes", operation.sample)
    fastjsonschema.compile(operation.output)(out)
    assert out["class"] == "gross"
    assert out["gross"]["per_1000_km"]["value"] == pytest.approx(3.5)
    assert "class" not in call("loss.classes", {"reserve": operation.sample["reserve"]})
    wrong = {"value": 1, "low": 2, "unit": "L/1000 km"}
    assert call("loss.classes", {**operation.sample, "loss": wrong})["error"]["path"] == "loss"
