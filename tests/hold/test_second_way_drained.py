"""A drained system from what is typed to its fit, band and explanations, by a second way."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy
import pytest

from tests.hold.second_way import CHOKED, Drained, Floats, Least, Prior, slopes
from weeptrace.hold.air_hold import AirHold, air_hold
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, Hold, Reading
from weeptrace.hold.fit import FullFit
from weeptrace.properties.expansion import Coolant
from weeptrace.rules import limits

LIMITS = limits()
PLACE, SHARE, VOLUME, FIRST, SLOPE = 84e3, 0.48, 5e-3, 310.0, -2e-3
DIVISION = 300.0
MINUTES = (1.0, 2.0, 3.0, 4.5, 6.0, 7.0, 9.0, 11.0, 12.0, 13.0, 15.0, 16.0, 18.0, 19.0, 21.0, 23.0)
SCATTER = [0.3 * DIVISION * ((7 * k) % 5 - 2) / 2.0 for k in range(16)]
STEPS = (0.05, 1e-3, 1.0, 1e-3, 1.0, 1e-3, 1e-6, 5.0, 5.0)
TRUE = (16.0, 0.4, 700.0, math.log(60.0), 900.0, math.log(300.0), 2e-5)
STARTS = {"vacuum": (9e3, 7e3), "pressure": (PLACE + 90e3, PLACE + 96e3)}
ACTIONS = (Action("pumped", 20.0), Action("pumped", 570.0))


def warm(time: float) -> float:
    """Kelvin above the first."""
    return SLOPE * (time - 60.0)


@cache
def made(kind: str, rate: float = TRUE[0], actions: tuple[Action, ...] = ACTIONS) -> Hold:
    """A hold of the true values, its needle typed as a gauge shows it."""
    times = [60.0 * m for m in MINUTES]
    cut = [t for t in times if t < 570.0], [t for t in times if t > 570.0]
    parts = cut if len(actions) > 1 else ([*cut[0], *cut[1]],)
    starts = STARTS[kind][: len(parts)]
    reference = starts[0] if kind == "vacuum" else PLACE + 88e3
    own = system(reference, tuple(tuple(part) for part in parts))
    seen = own.pressures(numpy.array([[rate, *TRUE[1:], *starts]]))[0]
    readings = tuple(
        Reading(t, float(p) + s - PLACE, FIRST + warm(t))
        for t, p, s in zip(times, seen, SCATTER, strict=True)
    )
    return Hold(
        readings,
        DIVISION,
        kind,
        "air",
        target=None if kind == "vacuum" else 88e3,
        rated=120e3,
        atmosphere=PLACE,
        glycol="propylene",
        mass_fraction=SHARE,
        actions=actions,
        evacuated_volume=VOLUME,
        self_leak=200.0,
        planned=1800.0,
    )


def system(reference: float, times: tuple[tuple[float, ...], ...]) -> Drained:
    vapour = Coolant("propylene", SHARE).vapour_slope(FIRST)
    since = (20.0, 570.0)[: len(times)]
    return Drained(PLACE, reference, reference / FIRST + vapour, times, since, warm)


def second(hold: Hold) -> Drained:
    """The same system by hand, its reference where the flow is surely choked, or the target."""
    times = [r.time for r in hold.readings]
    cut = [t for t in times if t < 570.0], [t for t in times if t > 570.0]
    parts = cut if len(hold.actions) > 1 else ([*cut[0], *cut[1]],)
    shown = [PLACE + r.pressure for r in hold.readings]
    deepest = min([*shown[:2], *(shown[times.index(part[0])] for part in parts)])
    reference = min(deepest, CHOKED * PLACE) if hold.kind == "vacuum" else PLACE + 88e3
    return system(reference, tuple(tuple(part) for part in parts))


@cache
def judged(kind: str, rate: float = TRUE[0]) -> tuple[AirHold, FullFit]:
    hold = made(kind, rate)
    known = air_hold(hold, hold.readings, LIMITS)
    return known, known.fit(LIMITS)


def by_hand(count: int) -> list[Prior]:
    """What is known before: opening, settling, vapour, the drift that the log leaves open."""
    vapour = Coolant("propylene", SHARE).vapour(FIRST)
    times = 60.0 * numpy.array(MINUTES)
    probe = 0.1 / math.sqrt(float(((times - times.mean()) ** 2).sum()))
    return [
        None,
        (0.3, 0.3),
        (500.0, 1000.0),
        (math.log(45.0), 0.35),
        (0.3 * vapour, 0.4 * vapour),
        (math.log(240.0), 0.6),
        (0.0, math.hypot(probe, 0.1 * SLOPE)),
        *[None] * count,
    ]


@pytest.mark.parametrize("kind", STARTS)
def test_the_system_is_the_one_that_was_typed(kind: str) -> None:
    hold, (known, _) = made(kind), judged(kind)
    own, series = second(hold), known.series
    assert series.system.vacuum is (kind == "vacuum")
    assert series.system.outside == PLACE
    assert known.reference == pytest.approx(own.reference)
    assert series.system.thermal == pytest.approx(own.thermal, rel=1e-5)
    assert series.times == own.times
    assert series.since == own.since
    assert series.pressures == tuple(PLACE + r.pressure for r in hold.readings)
    assert known.volume == VOLUME
    assert known.vapour == pytest.approx(Coolant("propylene", SHARE).vapour(FIRST), rel=1e-5)


@pytest.mark.parametrize("kind", STARTS)
def test_pressures_and_derivatives_are_those_of_small_steps(kind: str) -> None:
    hold, (known, _) = made(kind), judged(kind)
    own, series = second(hold), known.series
    for rate, mix in ((16.0, 0.4), (70.0, 0.0), (70.0, 1.0), (-8.0, 0.3), (0.0, 0.3)):
        values = [rate, mix, *TRUE[2:], *STARTS[kind]]
        pressures, columns = series.predict(values)
        assert pressures == pytest.approx(list(own.pressures(numpy.array([values]))[0]), abs=6.0)
        by = slopes(own, values, STEPS)
        for j, column in enumerate(columns):
            scale = float(numpy.abs(by[:, j]).max())
            assert column == pytest.approx(list(by[:, j]), abs=3e-3 * scale + 1e-9), j
        if rate == 0.0:
            still, others = series.predict(values, leaks=False)
            assert still == pytest.approx(pressures, rel=1e-9)
            assert others[:2] == [[0.0] * 16] * 2
            for j in range(2, 9):
                assert others[j] == pytest.approx(columns[j], rel=1e-6, abs=1e-9)


def normal(kind: str) -> tuple[Floats, Floats, Drained]:
    hold, (known, full) = made(kind), judged(kind)
    own, seen = second(hold), known.series.pressures
    least = Least(own, seen, full.noise, by_hand(2), STEPS)
    h, gradient, _ = least.look(full.fit.values, range(9))
    return h, gradient, own


@pytest.mark.parametrize("kind", STARTS)
def test_the_fit_is_where_no_step_helps_and_its_errors_are_of_it(kind: str) -> None:
    known, full = judged(kind)
    for told, wanted in zip(full.priors, by_hand(2), strict=True):
        assert told == (None if wanted is None else pytest.approx(wanted, rel=1e-5, abs=1e-12))
    assert full.weights == (1.0,) * 16
    most = 1.2 * known.vapour
    times = (math.log(5.0), math.log(5000.0))
    free = (-math.inf, math.inf)
    ends = [free, (0.0, 1.0), free, times, (-most, most), times, free, free, free]
    assert list(full.bounds) == [pytest.approx(pair) for pair in ends]
    h, gradient, _ = normal(kind)
    covariance = numpy.linalg.inv(h)
    errors = numpy.sqrt(numpy.diag(covariance))
    values = numpy.array(full.fit.values)
    inside = [low + 1e-9 < v < high - 1e-9 for v, (low, high) in zip(values, ends, strict=True)]
    assert all(inside)
    assert numpy.abs(covariance @ gradient / errors).max() < 0.03
    told_covariance = numpy.array(full.covariance)
    assert numpy.abs((told_covariance - covariance) / numpy.outer(errors, errors)).max() < 0.03


@pytest.mark.parametrize(
    ("change", "index", "end"),
    [
        ({"laminar_share": 2.0, "laminar_share_uncertainty": 0.01}, 1, 1.0),
        ({"laminar_share": -1.0, "laminar_share_uncertainty": 0.01}, 1, 0.0),
        ({"settling_time": 2.0, "settling_time_spread": 0.01}, 3, math.log(5.0)),
        ({"settling_time": 9e3, "settling_time_spread": 0.01}, 3, math.log(5000.0)),
        ({"vapour_time": 2.0, "vapour_time_spread": 0.01}, 5, math.log(5.0)),
        ({"vapour_time": 9e3, "vapour_time_spread": 0.01}, 5, math.log(5000.0)),
        ({"vapour_share": 4.0, "vapour_share_uncertainty": 0.01}, 4, 1.2),
        ({"vapour_share": -4.0, "vapour_share_uncertainty": 0.01}, 4, -1.2),
    ],
)
def test_what_no_opening_and_no_vapour_does_is_not_fitted(
    change: dict[str, float], index: int, end: float
) -> None:
    known, full = judged("vacuum")
    other = {**LIMITS, **{f"vacuum.{name}": value for name, value in change.items()}}
    scale = known.vapour if index == 4 else 1.0
    assert known.fit(other).fit.values[index] == pytest.approx(end * scale)
    assert full.fit.values[index] != pytest.approx(end * scale)


@pytest.mark.parametrize("kind", STARTS)
def test_what_goes_to_the_judge(kind: str) -> None:
    hold, (known, full) = made(kind), judged(kind)
    weights = known.explanations(full, LIMITS)
    evidence = known.evidence(full, weights, LIMITS)
    h, _, own = normal(kind)
    tester = 200.0 * 60e-6 / VOLUME
    sd = math.sqrt(numpy.linalg.inv(h)[0, 0])
    assert evidence.rate == full.fit.values[0]
    assert evidence.rate_sd == pytest.approx(math.hypot(sd, tester), rel=0.02)
    others = [0, *range(2, 9)]  # a tight system has no opening of any kind
    without = math.sqrt(numpy.linalg.inv(h[numpy.ix_(others, others)])[0, 0])
    assert evidence.rate_sd_without == pytest.approx(math.hypot(without, tester), rel=0.02)
    drift = by_hand(2)[6]
    assert drift is not None
    lasting = math.hypot(drift[1] * own.thermal, tester)
    assert evidence.rate_sd_lasting == pytest.approx(lasting, rel=1e-4)
    assert evidence.compliance == pytest.approx(VOLUME / PLACE)
    assert evidence.compliance_sd == pytest.approx(0.1 * VOLUME / PLACE)
    assert (evidence.readings, evidence.span, evidence.planned) == (16, 1320.0, 1800.0)
    assert (evidence.falls_at_once, evidence.gone_after) == (False, None)
    assert (evidence.warm_unlogged, evidence.altitude_known) == (False, True)
    leaks = {"vacuum": ("air_leak", "both"), "pressure": ("leak", "leak_and_settling")}[kind]
    assert evidence.air_weight == pytest.approx(sum(weights[name] for name in leaks))
    deepest = min(p for p in known.series.pressures) / PLACE
    assert evidence.residual == (pytest.approx(deepest) if kind == "vacuum" else None)
    found = assess(hold, LIMITS)
    assert found.rate is not None
    assert found.rate.value == evidence.rate
    assert found.rate.high - found.rate.value == pytest.approx(1.96 * evidence.rate_sd)
    assert found.rate.value - found.rate.low == pytest.approx(1.96 * evidence.rate_sd)


@pytest.mark.parametrize(("kind", "shown"), [("vacuum", 1.0), ("vacuum", -1.0), ("pressure", 1.0)])
def test_the_band_and_the_limit_line(kind: str, shown: float) -> None:
    hold, (known, full) = made(kind), judged(kind)
    own = second(hold)
    if shown < 0.0:  # a gauge that shows a vacuum without a sign
        turned = tuple(replace(r, pressure=-r.pressure) for r in hold.readings)
        hold = replace(hold, readings=turned)
    found = assess(hold, LIMITS)
    moments = [60.0 + 75.0 * k for k in range(25)]
    assert [p.time for p in found.curve] == pytest.approx(moments)
    edge = own.times[1][0]
    parts = (
        (own.times[0][0], *(t for t in moments if 60.0 < t < edge)),
        (edge, *(t for t in moments if t > edge)),
    )
    rows = [t for part in parts for t in part]
    places = [rows.index(t) for t in moments]
    beyond = replace(own, times=parts, warmth=warm)
    values = numpy.array([full.fit.values])
    pressures = beyond.pressures(values)[0][places]
    by: Floats = slopes(beyond, full.fit.values, STEPS)[places]
    band = 1.96 * numpy.sqrt(numpy.einsum("ij,jk,ik->i", by, numpy.array(full.covariance), by))
    evidence = known.evidence(full, known.explanations(full, LIMITS), LIMITS)
    # 0.3 L/1000 km at 0.09 s/m (exposure) of liquid, as the worse of both openings lets it through.
    worse = max(evidence.liquid.orifice, evidence.liquid.laminar)
    values[0, 0] = 0.3e-9 / 0.09 / worse / (VOLUME / PLACE)
    limit = beyond.pressures(values)[0][places]
    for point, p, wide, line in zip(found.curve, pressures, band, limit, strict=True):
        assert point.pressure == pytest.approx(shown * (p - PLACE), abs=8.0)
        assert point.high - point.pressure == pytest.approx(wide, rel=0.02)
        assert point.pressure - point.low == pytest.approx(wide, rel=0.02)
        assert point.limit == pytest.approx(shown * (line - PLACE), abs=8.0)


@pytest.mark.parametrize("kind", STARTS)
@pytest.mark.parametrize("rate", [2.0, -2.0])
def test_the_explanations_weigh_as_laplace_has_it(kind: str, rate: float) -> None:
    known, full = judged(kind, rate)
    own = second(made(kind, rate))
    told = known.explanations(full, LIMITS)
    priors = by_hand(2)
    spreads = [1.0 if p is None else p[1] for p in priors]
    spreads[0] = math.sqrt(16 * full.covariance[0][0])
    spreads[7:] = full.noise, full.noise
    both = range(9)
    free = {"tight": (), "settling": (2, 3), "leak": (0, 1), "leak_and_settling": (0, 1, 2, 3)}
    if kind == "vacuum":
        free = {"tight": (), "settling": (2, 3), "air_leak": (0, 1, 2, 3), "vapour": (2, 3, 4, 5)}
    score = {}
    least = Least(own, known.series.pressures, full.noise, priors, STEPS, full.weights)
    low, high = zip(*full.bounds, strict=True)
    least.never_above = dict(enumerate(high))
    for name, some in free.items():
        least.never_below = dict(enumerate(low)) | {0: 0.0, 2: 0.0, 4: 0.0}
        start = [
            v if j in (*some, 1, 3, 5, 6, 7, 8) else 0.0 for j, v in enumerate(full.fit.values)
        ]
        score[name] = least.score(start, [*some, 6, 7, 8], spreads)
    if kind == "vacuum":  # two causes at once are rarer: a further ln N
        least.never_below = dict(enumerate(low))
        if min(full.fit.values[j] for j in (0, 2, 4)) < 0.0:  # nothing takes back what it gave
            least.never_below |= {0: 0.0, 2: 0.0, 4: 0.0}
        score["both"] = least.score(full.fit.values, list(both), spreads) + math.log(16)
    best = min(score.values())
    raw = {name: math.exp(0.5 * (best - s)) for name, s in score.items()}
    assert set(told) == set(raw)
    for name, weight in told.items():
        near = 0.03 if rate > 0.0 else 0.1  # the room stops its fits a little earlier
        assert weight == pytest.approx(raw[name] / sum(raw.values()), rel=near, abs=1e-6), name
