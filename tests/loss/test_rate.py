"""The rate by drops, catch, owner and hold; how long it lasts; drive or tow."""

from __future__ import annotations

import math
from typing import Any

import pytest

from weeptrace.door import call
from weeptrace.hold.data import Estimate
from weeptrace.loss.lasts import NEVER_DRIVE, lasts
from weeptrace.loss.rate import (
    Found,
    Rate,
    combine,
    from_catch,
    from_drops,
    from_owner,
    from_puddle,
    puddle,
    running_factor,
)
from weeptrace.properties.viscosity import viscosity
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

ML_MIN = 1e-6 / 60.0
MINUTE = 60.0
CLEAR = dict.fromkeys(NEVER_DRIVE, "no")


def rate(ml_min: float, spread: float = 0.1) -> Rate:
    flow = ml_min * ML_MIN
    one = Estimate(flow, flow * (1 - spread), flow * (1 + spread))
    return combine([Found("catch", one)], limits())


def test_a_running_seal_counted_and_caught() -> None:
    """A practice car's pump seal: 0.45 mL/min is nine drops a minute, 7.1 g in 15 min, and
    0.675 L/1000 km at 1500 min/1000 km (computed from the stated formulas)."""
    drops = from_drops(9, MINUTE, limits())
    catch = from_catch(7.1e-3, 15 * MINUTE, limits())
    owner = from_owner(Estimate(0.6e-9, 0.42e-9, 0.78e-9), limits())
    for found, wanted in ((drops, 0.45), (catch, 0.451), (owner, 0.4)):
        assert found.value / ML_MIN == pytest.approx(wanted, abs=1e-3)
        assert found.low < found.value < found.high
    both = combine([Found("drops", drops), Found("catch", catch), Found("owner", owner)], limits())
    assert both.agree == "yes"
    assert both.ratio == pytest.approx(0.4508 / 0.4, abs=1e-3)
    assert both.flow == catch  # the narrowest
    assert both.per_distance.value * 1e9 == pytest.approx(0.675, abs=2e-3)
    assert both.size == "leaking"


def test_a_drop_more_or_less_is_counted_in() -> None:
    """From the ends 0.036 and 0.09 mL of a drop, and one drop of nine."""
    found = from_drops(9, MINUTE, limits())
    assert found.low / ML_MIN == pytest.approx(0.45 - math.hypot(9 * 0.014, 0.05))
    assert found.high / ML_MIN == pytest.approx(0.45 + math.hypot(9 * 0.04, 0.05))


def test_a_puddle_on_the_ground() -> None:
    """40 by 50 cm, 1 mm: 200 mL, 100 to 400; over ten hours 0.33 mL/min. The thickness is that of
    a drop that spreads no more, 2 a sin(angle / 2), a = sqrt(sigma / (rho g)) = 2.3 mm."""
    capillary = math.sqrt(0.056 / (1070 * 9.81))
    for name, degrees in (("", 25), ("_low", 12), ("_high", 50)):
        thick = 2 * capillary * math.sin(math.radians(degrees) / 2)
        assert limits()[f"loss.puddle_thickness{name}"] == pytest.approx(thick, abs=0.06e-3)
    seen = puddle(0.2, limits())
    assert (seen.low, seen.value, seen.high) == pytest.approx((1e-4, 2e-4, 4e-4))
    flow = from_puddle(seen, 600 * MINUTE)
    assert flow.value / ML_MIN == pytest.approx(200 / 600)
    measured = puddle(0.2, limits(), 2e-3)
    assert measured.value == pytest.approx(4e-4)
    assert measured.high / measured.value < seen.high / seen.value
    for change in ({"area": 0.0}, {"area": 1.0, "thickness": 0.0}):
        with pytest.raises(Refusal, match="above zero"):
            puddle(**change, limits=limits())
    with pytest.raises(Refusal, match="above zero"):
        from_puddle(seen, 0.0)


def test_the_exposure_is_the_owners_own() -> None:
    """1000 km at 100 km/h and 5 h of soak are 900 min: 0.45 mL/min are 0.405 L/1000 km, and there
    and back again."""
    own = 900.0 * MINUTE / 1e6
    flow = from_catch(7.1e-3, 15 * MINUTE, limits())
    made = combine([Found("catch", flow)], limits(), own)
    assert made.per_distance.value == pytest.approx(flow.value * own)
    assert made.per_distance.value * 1e9 == pytest.approx(0.405, abs=2e-3)
    assert from_owner(made.per_distance, limits(), own).value == pytest.approx(flow.value)
    usual = combine([Found("catch", flow)], limits())
    assert usual.per_distance.value == pytest.approx(flow.value * 0.09)  # 1500 min/1000 km in s/m
    with pytest.raises(Refusal) as refused:
        combine([Found("catch", flow)], limits(), 0.0)
    assert refused.value.path == "exposure"


def test_a_measured_running_pressure_counts() -> None:
    def factor(**more: float) -> float:
        return running_factor(
            pressure=1e5, rated=1.1e5, temperature=363.15, exponent=0.5, limits=limits(), **more
        )

    assert factor() == pytest.approx(math.sqrt(0.77))
    assert factor(running_pressure=50e3) == pytest.approx(math.sqrt(0.5))
    with pytest.raises(Refusal, match="running pressure"):
        factor(running_pressure=0.0)


@pytest.mark.parametrize(("ratio", "agree"), [(2.99, "yes"), (3.0, "yes"), (3.01, "no")])
def test_agreement_within_a_factor_of_three(ratio: float, agree: str) -> None:
    narrow = Found("catch", Estimate(1.0, 0.99, 1.01))
    wide = Found("drops", Estimate(ratio, 0.5 * ratio, 1.5 * ratio))
    both = combine([narrow, wide], limits())
    assert both.agree == agree
    assert both.flow.value == (1.0 if agree == "yes" else ratio)


def test_one_way_alone_is_not_checked() -> None:
    assert rate(1.0).agree == "not_measured"
    assert rate(1.0).ratio is None


@pytest.mark.parametrize(
    ("ml_min", "size"),
    [(0.0199, "tight"), (0.0201, "seeping"), (0.1999, "seeping"), (0.2001, "leaking")],
)
def test_classes_by_flow(ml_min: float, size: str) -> None:
    """0.02, 0.2 and 3.3 mL/min are the class limits over 1.5 (common practice)."""
    assert rate(ml_min, 1e-6).size == size


def test_running_factor_by_hand() -> None:
    """(0.7 x 110 / 100)^0.6 x (mu 16 °C / mu 90 °C)^0.2, and the ends of the exponent."""

    def factor(n: float, temperature: float = 289.15) -> float:
        return running_factor(
            pressure=1e5, rated=1.1e5, temperature=temperature, limits=limits(), exponent=n
        )

    thicker = viscosity("ethylene", 0.527, 289.15) / viscosity("ethylene", 0.527, 363.15)
    assert factor(0.6) == pytest.approx(0.77**0.6 * thicker**0.2)
    assert factor(0.5) == pytest.approx(0.77**0.5)
    assert factor(0.4) == pytest.approx(0.77**0.4)
    assert factor(1.0) == pytest.approx(0.77 * thicker)
    assert factor(2.0) == pytest.approx(0.77**2 * thicker)
    assert factor(1.0, 363.15) == pytest.approx(0.77)
    for n in (0.29, 2.51):
        with pytest.raises(Refusal, match="exponent"):
            factor(n)


def test_times() -> None:
    """350 mL at 4.7 mL/min: 74 min; a fifth of 6.2 L: 264 min."""
    found = lasts(rate(4.7), limits(), reserve=350e-6, capacity=6.2e-3)
    assert found.to_low is not None
    assert found.to_lost_circulation is not None
    assert found.to_low.value / MINUTE == pytest.approx(350 / 4.7)
    assert found.to_low.low / MINUTE == pytest.approx(350 / (4.7 * 1.1))
    assert found.to_lost_circulation.value / MINUTE == pytest.approx(1240 / 4.7)


@pytest.mark.parametrize(("share", "decision"), [(0.499, "drive"), (0.5, "tow"), (0.501, "tow")])
def test_the_half_time_rule(share: float, decision: str) -> None:
    trip = share * 350.0 / 1.0 * MINUTE
    found = lasts(rate(1.0), limits(), reserve=350e-6, trip=trip, findings=CLEAR)  # type: ignore[arg-type]
    assert found.decision == decision
    assert found.reasons == (() if decision == "drive" else ("trip_too_long",))


def test_what_forbids_driving() -> None:
    """Common practice: coolant in the oil or in the transmission's, in a cylinder, gas in the
    coolant, a film on the glass, drops on what is hot or live, a wet high-voltage loop, a repair
    that does not hold."""
    assert set(NEVER_DRIVE) == {
        "oil_mixed", "transmission_oil_mixed", "coolant_in_cylinder", "combustion_gas",
        "cabin_film", "drip_on_exhaust_or_electrics", "high_voltage_loop", "not_secure",
    }  # fmt: skip
    assert len(NEVER_DRIVE) == 8


@pytest.mark.parametrize("finding", NEVER_DRIVE)
def test_a_finding_forbids_driving_whatever_the_litres(finding: str) -> None:
    alone = lasts(rate(0.001), limits(), reserve=350e-6, trip=60.0, findings={finding: "yes"})
    assert alone.decision == "tow"
    assert alone.reasons == (finding,)


@pytest.mark.parametrize("finding", NEVER_DRIVE)
def test_a_finding_not_asked_permits_nothing(finding: str) -> None:
    answers: Any = {name: "no" for name in NEVER_DRIVE if name != finding}
    found = lasts(rate(0.1), limits(), reserve=350e-6, trip=60.0, findings=answers)
    assert found.decision == "not_judged"
    assert found.not_answered == (finding,)
    clear: Any = CLEAR
    assert lasts(rate(0.1), limits(), reserve=350e-6, trip=60.0, findings=clear).decision == "drive"


def test_what_is_not_known_is_not_judged() -> None:
    clear: Any = CLEAR
    found = lasts(rate(0.1), limits(), findings=clear)
    assert found.decision == "not_judged"
    assert found.reasons == ("reserve_not_measured", "trip_not_measured")
    assert found.to_low is None


@pytest.mark.parametrize(("ml_min", "decision"), [(3.333, "drive"), (3.334, "tow")])
def test_gross_is_towed(ml_min: float, decision: str) -> None:
    """5 L/1000 km over 1500 min/1000 km = 3.333 mL/min."""
    clear: Any = CLEAR
    found = lasts(rate(ml_min, 0.0), limits(), reserve=350e-6, trip=60.0, findings=clear)
    assert found.decision == decision


def test_a_soft_crash_through_the_door() -> None:
    """A practice car: 4.0 mL/min at 100 kPa and 16 °C, exponent 0.6, rating 110 kPa, 350 mL. By
    hand about 4.7 mL/min and 7 L/1000 km, lower mark after 70 to 80 min: gross, tow."""
    payload = {
        "hold": {"value": 4.0, "unit": "mL/min"},
        "condition": {
            "pressure": {"value": 100, "unit": "kPa"},
            "rated": {"value": 110, "unit": "kPa"},
            "temperature": {"value": 16, "unit": "°C"},
            "exponent": 0.6,
        },
        "reserve": {"value": 350, "unit": "mL"},
        "trip": {"value": 25, "unit": "min"},
        "findings": {"high_voltage_loop": "yes", "not_secure": "yes"},
    }
    found = call("loss.rate", payload)
    assert found["flow"]["value"] == pytest.approx(4.7, abs=0.15)
    assert found["per_1000_km"]["value"] == pytest.approx(7.0, abs=0.3)
    assert 70 < found["time_to_low"]["value"] < 80
    assert found["class"] == "gross"
    assert found["decision"] == "tow"
    assert found["reasons"] == ["high_voltage_loop", "not_secure", "gross"]


def test_litres_per_distance_through_the_door() -> None:
    owner = {"added": {"value": 0.6, "unit": "L"}, "distance": {"value": 1000, "unit": "km"}}
    found = call("loss.rate", {"owner": owner})
    assert found["per_1000_km"]["value"] == pytest.approx(0.6)
    assert found["per_1000_km"]["low"] == pytest.approx(0.42)
    assert found["decision"] == "not_judged"
    one = call("loss.rate", {"drops": {"count": 1, "time": {"value": 1, "unit": "min"}}})
    assert one["flow"]["low"] == 0.0
    assert found["agree"] == "not_measured"


def test_ways_that_do_not_agree_through_the_door() -> None:
    """A puddle of 30 mL in an hour beside an owner's 5 L/1000 km: 0.5 against 3.3 mL/min."""
    payload = {
        "puddle": {"area": {"value": 300, "unit": "cm²"}, "time": {"value": 1, "unit": "h"}},
        "owner": {"added": {"value": 5, "unit": "L"}, "distance": {"value": 1000, "unit": "km"}},
    }
    found = call("loss.rate", payload)
    assert (found["agree"], found["suspect"]) == ("no", ["second_leak", "burned_coolant"])
    assert found["ratio"] == pytest.approx(3.3333 / 0.5, rel=1e-3)
    own = call("loss.rate", {**payload, "exposure": {"value": 10000, "unit": "min/1000 km"}})
    assert own["agree"] == "yes"
    assert "suspect" not in own


_MIN = {"value": 1, "unit": "min"}


@pytest.mark.parametrize(
    ("payload", "code", "path"),
    [
        ({}, "missing", ""),
        ({"drops": {"count": 0, "time": _MIN}}, "out_of_range", "drops.count"),
        ({"drops": {"count": 3, "time": {"value": 0, "unit": "s"}}}, "out_of_range", "drops.time"),
        (
            {"catch": {"mass": {"value": -1, "unit": "g"}, "time": _MIN}},
            "out_of_range",
            "catch.mass",
        ),
        ({"hold": {"value": 1, "unit": "mL/min"}}, "missing", "condition"),
        (
            {"puddle": {"area": {"value": 0, "unit": "m²"}, "time": _MIN}},
            "out_of_range",
            "puddle.area",
        ),
        (
            {"drops": {"count": 3, "time": _MIN}, "exposure": {"value": 0, "unit": "s/m"}},
            "out_of_range",
            "exposure",
        ),
        (
            {
                "owner": {
                    "added": {"value": 1, "unit": "L"},
                    "distance": {"value": 0, "unit": "km"},
                }
            },
            "out_of_range",
            "owner.distance",
        ),
        (
            {"drops": {"count": 3, "time": _MIN}, "reserve": {"value": 0, "unit": "L"}},
            "out_of_range",
            "reserve",
        ),
    ],
)
def test_refused(payload: dict[str, Any], code: str, path: str) -> None:
    error = call("loss.rate", payload)["error"]
    assert (error["code"], error["path"]) == (code, path)
