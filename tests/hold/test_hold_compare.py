"""What part of a leak is left after a repair."""

from __future__ import annotations

import numpy
import pytest

from weeptrace.door import call
from weeptrace.finding import Estimate
from weeptrace.hold.compare import ratio
from weeptrace.refusal import Refusal
from weeptrace.rules import limits


def around(value: float, sd: float) -> Estimate:
    return Estimate(value, value - 1.96 * sd, value + 1.96 * sd)


def test_a_sure_before_scales_the_interval_of_after() -> None:
    left = ratio(around(2.0, 0.0), around(0.2, 0.05), limits())
    assert (left.value, left.low, left.high) == pytest.approx((0.1, 0.051, 0.149))


@pytest.mark.parametrize(("before", "after"), [((1.0, 0.2), (0.4, 0.2)), ((2.0, 0.7), (0.1, 0.05))])
def test_the_interval_covers_the_true_ratio(
    before: tuple[float, float], after: tuple[float, float]
) -> None:
    # 4000 repairs, drawn: 95 % to 0.35 % (one standard error); what is refused can't be wrong.
    rolls = numpy.random.default_rng(1)
    told = covered = 0
    for b, a in zip(rolls.normal(*before, 4000), rolls.normal(*after, 4000), strict=True):
        try:
            left = ratio(around(b, before[1]), around(a, after[1]), limits())
        except Refusal:
            continue
        told += 1
        covered += left.low <= after[0] / before[0] <= left.high
    assert told > 3000
    assert covered / told > 0.94


def test_a_leak_that_was_not_found_has_no_ratio() -> None:
    with pytest.raises(Refusal) as caught:
        ratio(around(0.1, 0.1), around(0.0, 0.1), limits())
    assert caught.value.code == "before_not_resolved"


def test_the_operation() -> None:
    before = {"value": 1.2, "unit": "mL/min", "low": 1.0, "high": 1.4}
    after = {"value": 0.06, "unit": "mL/min", "low": 0.0, "high": 0.12}
    left = call("hold.compare", {"before": before, "after": after})["left"]
    assert left["unit"] == "%"
    assert left["value"] == pytest.approx(5.0)
    assert left["low"] == pytest.approx(0.0, abs=1e-6)
    assert left["high"] == pytest.approx(10.2, abs=0.1)


def test_a_flow_without_its_interval_is_refused() -> None:
    flow = {"value": 1.2, "unit": "mL/min"}
    wrong = {"value": 1.2, "unit": "mL/min", "low": 1.3, "high": 1.4}
    for item in (flow, wrong):
        answer = call("hold.compare", {"before": item, "after": flow})
        assert answer["error"]["code"] == "bad_input"
        assert answer["error"]["path"] == "before"
