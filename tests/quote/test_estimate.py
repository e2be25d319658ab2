"""The quote against an independent simulation, by hand, and at its boundaries."""

from __future__ import annotations

import copy
import math
from typing import Any

import numpy as np
import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.quote.estimate import (
    Contingency,
    Line,
    Phase,
    Quote,
    Range,
    containers,
    estimate,
    total_sd,
)
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

MINUTE = 60.0
# Minutes, low - likely - high, as such jobs are commonly planned (common practice).
PHASES = {
    "drain": (10, 15, 30),
    "lines": (10, 20, 45),
    "teardown": (30, 60, 150),
    "transfer": (8, 15, 30),
    "reassembly": (35, 70, 170),
    "fill": (8, 12, 25),
    "warm-up": (25, 35, 60),
}
WORK = [Phase(id, Range(*(MINUTE * m for m in row))) for id, row in PHASES.items()]
WIDE = [Phase("search", Range(0.0, 0.0, 600 * MINUTE))]
LINES = [
    Line("radiator", 1.0, Range(180.0, 210.0, 240.0)),
    Line("clamp", 4.0, Range(2.0, 2.5, 3.0)),
]
RISKS = [
    Contingency("broken screw", 0.2, 25 * MINUTE, 5.0),
    Contingency("seized fitting", 0.35, 40 * MINUTE, 0.0),
    Contingency("carrier", 0.05, 0.0, 260.0),
]
RATE = 90.0


def quote(phases: list[Phase] | None = None, **known: Any) -> Quote:
    return estimate(WORK if phases is None else phases, RATE, limits(), **known)


def simulate(draws: int = 400_000) -> np.ndarray:
    """Totals by drawing: phases as one common and one own normal part each, so that any two
    correlate by 0.3; prices on their own; contingencies by the toss."""
    rng = np.random.default_rng(21)
    common = rng.standard_normal(draws)
    total = np.zeros(draws)
    for low, likely, high in PHASES.values():
        own = rng.standard_normal(draws)
        z = math.sqrt(0.3) * common + math.sqrt(0.7) * own
        minutes = (low + 4 * likely + high) / 6 + (high - low) / 6 * z
        total += minutes / 60 * RATE
    for line in LINES:
        price = line.price
        mean, sd = (price.low + 4 * price.likely + price.high) / 6, (price.high - price.low) / 6
        total += line.quantity * (mean + sd * rng.standard_normal(draws))
    for risk in RISKS:
        happens = rng.random(draws) < risk.probability
        total += happens * (risk.time / 3600 * RATE + risk.price)
    return total


def test_mean_sd_median_and_ceiling_against_a_simulation() -> None:
    totals = simulate()
    found = quote(lines=LINES, contingencies=RISKS)
    error = found.sd / math.sqrt(len(totals))
    assert found.mean == pytest.approx(totals.mean(), abs=4 * error)
    assert found.sd == pytest.approx(totals.std(), rel=0.01)
    assert found.median == pytest.approx(np.quantile(totals, 0.5), abs=8 * error)
    assert found.ceiling == pytest.approx(np.quantile(totals, 0.8), abs=8 * error)
    known = quote(lines=LINES, contingencies=RISKS, authorised=700.0)
    assert known.chance == pytest.approx((totals <= 700.0).mean(), abs=0.003)


def test_the_median_against_skewed_phases() -> None:
    """Beta-shaped times with the same low, likely and high (independent here): the mean is the
    same, and the normal sum's median and ceiling lie within 2 % of theirs."""
    rng = np.random.default_rng(22)
    total = np.zeros(200_000)
    for low, likely, high in PHASES.values():
        a, b = 1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low)
        total += (low + (high - low) * rng.beta(a, b, len(total))) / 60 * RATE
    alone = estimate(WORK, RATE, {**limits(), "quote.phase_correlation": 0.0})
    assert alone.mean == pytest.approx(total.mean(), rel=1e-3)
    assert alone.median == pytest.approx(np.quantile(total, 0.5), rel=0.02)
    assert alone.ceiling == pytest.approx(np.quantile(total, 0.8), rel=0.02)


def test_by_hand() -> None:
    """Two phases of 70 and 20 min mean, sd 20 and 5 min, correlation 0.3 (computed from the stated
    formula): var = 400 + 25 + 2 x 0.3 x 100 = 485. P80 of a normal is 0.8416 sd above its mean."""
    phases = [
        Phase("a", Range(30 * MINUTE, 60 * MINUTE, 150 * MINUTE)),
        Phase("b", Range(5 * MINUTE, 20 * MINUTE, 35 * MINUTE)),
    ]
    found = quote(phases)
    assert found.time / MINUTE == pytest.approx(90.0)
    assert found.time_sd / MINUTE == pytest.approx(math.sqrt(485.0))
    assert found.median == pytest.approx(135.0)
    assert found.ceiling == pytest.approx(135.0 + 0.841621 * math.sqrt(485.0) * 1.5, rel=1e-6)


def test_prices_vary_on_their_own_and_rows_are_in_money() -> None:
    """A phase of 70 min, sd 20 min, is 105 and 30 at 90 an hour. Prices 100-160-280 (mean 170, sd
    30) three times and 20-50-80 (mean 50, sd 10) twice: 510 and 100, sd 90 and 20. A risk of 0.2
    for 25 min and 5 is 42.5 (computed from the stated formulas)."""
    work = [Phase("a", Range(30 * MINUTE, 60 * MINUTE, 150 * MINUTE))]
    lines = [Line("x", 3.0, Range(100.0, 160.0, 280.0)), Line("y", 2.0, Range(20.0, 50.0, 80.0))]
    found = quote(work, lines=lines)
    whole = math.sqrt(30.0**2 + 90.0**2 + 20.0**2)
    assert found.mean == pytest.approx(715.0)
    assert found.median == pytest.approx(715.0)
    assert found.sd == pytest.approx(whole)
    assert found.ceiling == pytest.approx(715.0 + 0.841621 * whole, rel=1e-6)
    (labour,) = found.labour
    assert (labour.low, labour.mean, labour.high, labour.sd) == pytest.approx((45, 105, 225, 30))
    rows = [(r.low, r.mean, r.high, r.sd) for r in found.lines]
    assert rows == [pytest.approx((300, 510, 840, 90)), pytest.approx((40, 100, 160, 20))]
    fixed = quote([Phase("a", Range(3600.0, 3600.0, 3600.0))], lines=lines)
    assert fixed.sd == pytest.approx(math.hypot(90.0, 20.0))
    risky = quote(work, lines=lines, contingencies=[RISKS[0]])
    (risk,) = risky.contingencies
    assert (risk.low, risk.mean, risk.high) == pytest.approx((0.0, 0.2 * 42.5, 42.5))
    assert risk.sd == pytest.approx(0.4 * 42.5)  # sqrt(0.2 x 0.8)
    assert risky.sd == pytest.approx(math.hypot(whole, 0.4 * 42.5))
    assert risky.mean == pytest.approx(715.0 + 0.2 * 42.5)
    # As many normal draws as are over an amount: at 2/3 of an sd above the mean, 74.75 %.
    known = quote(work, lines=lines, authorised=715.0 + 2.0 / 3.0 * whole)
    assert known.chance == pytest.approx(0.74751, abs=1e-5)


def test_total_sd_between_no_and_full_correlation() -> None:
    sds = [3.0, 1.0, 2.0, 0.5]
    pairs = sum(a * b for i, a in enumerate(sds) for b in sds[i + 1 :])
    for r in (0.0, 0.3, 1.0):
        assert total_sd(sds, r) ** 2 == pytest.approx(sum(s * s for s in sds) + 2 * r * pairs)


def test_rows_add_up() -> None:
    found = quote(lines=LINES, contingencies=RISKS)
    rows = (*found.labour, *found.lines, *found.contingencies)
    assert sum(row.mean for row in rows) == pytest.approx(found.mean)
    assert found.may_be_added == pytest.approx(sum(row.high for row in found.contingencies))
    assert [row.id for row in found.labour] == list(PHASES)
    clamp = found.lines[1]
    assert (clamp.low, clamp.mean, clamp.high) == (8.0, 10.0, 12.0)


def test_a_contingency_moves_the_ceiling_by_its_chance() -> None:
    """Alone it costs nothing at P80 up to a chance of 20 %, and all of itself above."""
    fixed = [Phase("a", Range(3600.0, 3600.0, 3600.0))]

    def ceiling(chance: float) -> float:
        return quote(fixed, contingencies=[Contingency("x", chance, 0.0, 50.0)]).ceiling

    assert [ceiling(p) for p in (0.0, 0.199, 0.2, 0.201, 1.0)] == [90.0, 90.0, 90.0, 140.0, 140.0]
    sure = quote(WORK, contingencies=[Contingency("x", 1.0, 0.0, 50.0)])
    assert sure.median == pytest.approx(quote().median + 50.0)


@pytest.mark.parametrize("share", [0.001, 0.02, 0.2, 0.5, 0.8, 0.98, 0.999])
@pytest.mark.parametrize("extra", [0.0, 40.0, 4000.0])
@pytest.mark.parametrize("work", [WORK, WIDE], ids=["planned", "wide"])
def test_a_quantile_is_the_amount_that_so_many_jobs_stay_below(
    work: list[Phase], share: float, extra: float
) -> None:
    """One risk of 30 % beside a normal sum: Phi by the error function, put in by hand.

    A normal sum that may be anything from nothing on has its lowest quantiles below zero.
    """
    known = {**limits(), "quote.price_quantile": share}
    risks = [Contingency("x", 0.3, 0.0, extra)] if extra else []
    found = estimate(work, RATE, known, contingencies=risks)
    mean, sd = quote(work).mean, quote(work).sd
    below = sum(
        weight * 0.5 * (1.0 + math.erf((found.median - mean - more) / (sd * math.sqrt(2.0))))
        for weight, more in ((0.7, 0.0), (0.3, extra))
    )
    assert below == pytest.approx(share, abs=1e-9)


@pytest.mark.parametrize("worth", [1e-9, 1e-3, 1e3, 1e9])
def test_a_quote_in_another_money_is_the_same_quote(worth: float) -> None:
    risks = [Contingency("x", 0.3, 40 * MINUTE, 0.0)]
    one = estimate(WORK, RATE, limits(), contingencies=risks)
    other = estimate(WORK, RATE * worth, limits(), contingencies=risks)
    assert other.median == pytest.approx(one.median * worth, rel=1e-9, abs=0.0)
    assert other.ceiling == pytest.approx(one.ceiling * worth, rel=1e-9, abs=0.0)


def test_a_long_name_is_cut_in_the_refusal() -> None:
    name = "n" * 50
    with pytest.raises(Refusal, match=f"“{'n' * 40}” appears twice"):
        quote([Phase(name, Range(1.0, 1.0, 1.0))] * 2)


def test_nothing_uncertain_is_one_number() -> None:
    found = quote([Phase("a", Range(3600.0, 3600.0, 3600.0))])
    assert (found.median, found.ceiling, found.sd) == (90.0, 90.0, 0.0)
    free = estimate([Phase("a", Range(0.0, 0.0, 0.0))], 0.0, limits())
    assert (free.median, free.ceiling) == (0.0, 0.0)


def test_authorised_at_its_edges() -> None:
    found = quote(lines=LINES)
    for amount, word in (
        (found.ceiling, "covers_ceiling"),
        (found.ceiling - 0.01, "covers_median"),
        (found.median, "covers_median"),
        (found.median - 0.01, "too_low"),
        (0.0, "too_low"),
    ):
        assert quote(lines=LINES, authorised=amount).authorised == word
    assert quote(lines=LINES, authorised=found.ceiling).chance == pytest.approx(0.8)
    assert found.authorised == "not_given"
    assert found.chance is None


@pytest.mark.parametrize(
    ("litres", "size", "count"), [(5.0, 5.0, 1), (5.01, 5.0, 2), (4.99, 5.0, 1), (0.0, 5.0, 0)]
)
def test_containers_round_up(litres: float, size: float, count: int) -> None:
    assert containers(litres * 1e-3, size * 1e-3) == count


_RISING = "0 <= low <= likely <= high"


@pytest.mark.parametrize(
    ("change", "code", "path", "accepted", "words"),
    [
        ({"phases": []}, "missing", "phases", "1 or more", "at least one phase"),
        ({"phases": [Phase("a", Range(2.0, 1.0, 3.0))]}, "out_of_range", "phases[0]", _RISING,
         "rise in this order"),
        ({"phases": [WORK[0], Phase("a", Range(1.0, 3.0, 2.0))]}, "out_of_range", "phases[1]",
         _RISING, "rise in this order"),
        ({"phases": [Phase("a", Range(-1.0, 1.0, 3.0))]}, "out_of_range", "phases[0]", _RISING,
         "none below zero"),
        ({"phases": [Phase("a", Range(1.0, 2.0, 3.0))] * 2}, "duplicate_id", "phases[1].id",
         "a name of its own", "“a” appears twice"),
        ({"lines": [LINES[0], LINES[1], LINES[0]]}, "duplicate_id", "lines[2].id",
         "a name of its own", "“radiator” appears twice"),
        ({"contingencies": [RISKS[0]] * 2}, "duplicate_id", "contingencies[1].id",
         "a name of its own", "“broken screw”"),
        ({"rate": -1.0}, "out_of_range", "rate", "0 or more", "below zero"),
        ({"lines": [LINES[0], Line("x", -1.0, Range(1.0, 1.0, 1.0))]}, "out_of_range",
         "lines[1].quantity", "0 or more", "below zero"),
        ({"lines": [Line("x", 1.0, Range(3.0, 2.0, 4.0))]}, "out_of_range", "lines[0].price",
         _RISING, "rise"),
        ({"contingencies": [Contingency("x", 1.1, 0.0, 1.0)]}, "out_of_range",
         "contingencies[0].probability", "0 to 1", "between 0 and 1"),
        ({"contingencies": [Contingency("x", -0.1, 0.0, 1.0)]}, "out_of_range",
         "contingencies[0].probability", "0 to 1", "between 0 and 1"),
        ({"contingencies": [Contingency("x", 0.1, -1.0, 1.0)]}, "out_of_range",
         "contingencies[0].time", "0 or more", "below zero"),
        ({"contingencies": [RISKS[0], Contingency("x", 0.1, 1.0, -1.0)]}, "out_of_range",
         "contingencies[1].price", "0 or more", "below zero"),
        ({"contingencies": [Contingency(str(i), 0.1, 1.0, 1.0) for i in range(11)]}, "too_many",
         "contingencies", "at most 10", "Too many"),
        ({"authorised": -1.0}, "out_of_range", "authorised", "0 or more", "below zero"),
    ],
)  # fmt: skip
def test_refused(change: dict[str, Any], code: str, path: str, accepted: str, words: str) -> None:
    given: dict[str, Any] = {"phases": WORK, "rate": RATE} | change
    with pytest.raises(Refusal, match=words) as caught:
        estimate(given.pop("phases"), given.pop("rate"), limits(), **given)
    assert (caught.value.code, caught.value.path, caught.value.accepted) == (code, path, accepted)


def test_what_is_just_allowed() -> None:
    """Nothing costs nothing; a certain price is a range of one; ten contingencies are ten."""
    one = Phase("a", Range(0.0, 0.0, 0.0))
    ten = [Contingency(str(i), i / 9.0, 0.0, 1.0) for i in range(10)]
    found = estimate([one], 0.0, limits(), lines=[Line("x", 0.0, Range(1.0, 1.0, 1.0))],
                     contingencies=ten, authorised=0.0)  # fmt: skip
    assert found.mean == pytest.approx(5.0)
    assert found.may_be_added == pytest.approx(10.0)


@pytest.mark.parametrize(("volume", "size"), [(-1e-3, 1e-3), (1e-3, 0.0), (1e-3, -1e-3)])
def test_a_container_that_holds_nothing(volume: float, size: float) -> None:
    with pytest.raises(Refusal) as caught:
        containers(volume, size)
    assert caught.value.accepted == "above 0 L"


# --- through the door ----------------------------------------------------------------------------

SAMPLE = OPERATIONS["quote.estimate"].sample


def door(**change: Any) -> dict[str, Any]:
    return call("quote.estimate", copy.deepcopy(SAMPLE) | change)


def test_through_the_door() -> None:
    found = door()
    assert found["median"]["currency"] == SAMPLE["rate"]["currency"]
    assert found["median"]["value"] < found["ceiling"]["value"]
    assert found["time"]["value"] == pytest.approx(100 / 6 + 70 + 485 / 6 + 13.5)
    coolant = found["lines"][1]
    assert (coolant["quantity"], coolant["mean"]) == (2.0, 48.0)  # 5.13 L are two cans of 5 L
    assert found["contingencies"][0]["probability"] == 0.2


def test_no_price_is_built_in() -> None:
    assert "error" in call("quote.estimate", {"phases": SAMPLE["phases"]})
    free = door(rate={"value": 0, "currency": "XTS"}, lines=[], contingencies=[])
    assert free["ceiling"]["value"] == 0.0


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"rate": {"value": 80, "currency": "money"}}, "rate.currency"),
        ({"lines": [{"id": "x", "price": {"low": 1, "high": 2}}]}, "lines[0]"),
        (
            {
                "lines": [
                    {
                        "id": "x",
                        "volume": {"value": 5, "unit": "L"},
                        "price": {"low": 1, "high": 2},
                    }
                ]
            },
            "lines[0]",
        ),
        (
            {"lines": [{"id": "x", "quantity": 1, "price": {"low": 2, "high": 1}}]},
            "lines[0].price",
        ),
        ({"contingencies": [{"id": "x", "probability": 0.5}]}, "contingencies[0]"),
    ],
)
def test_refused_through_the_door(change: dict[str, Any], path: str) -> None:
    assert door(**change)["error"]["path"] == path
