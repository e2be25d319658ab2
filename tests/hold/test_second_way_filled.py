"""A filled hold from what is typed to its fit, its band and its explanations, by a second way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import numpy
import pytest

from tests.hold.holds import ML, ML_PER_KPA
from tests.hold.second_way import Filled, Floats, Least, Prior, Stretch, slopes
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, Headspace, Hold, Reading
from weeptrace.hold.decay import LiquidReadings
from weeptrace.hold.fit import FullFit
from weeptrace.hold.liquid_hold import LiquidHold, liquid_hold
from weeptrace.properties.expansion import Coolant, expansion_net
from weeptrace.rules import limits

LIMITS = limits()
PLACE, TARGET, SHARE, LIQUID, SPACE = 84e3, 117e3, 0.48, 6e-3, 260 * ML
HOSES = 0.5 * ML_PER_KPA
FIRST, SLOPE, BEND = 325.0, -8e-3, 3e-6  # of the logged temperatures, K, K/s, K/s2
DIVISION = 400.0
STEPS = (0.05, 1e-3, 1e-4, 1e-3, 1e-4, 1e-6, 5.0, 5.0, 5.0)
TRUE = (9.0, 0.9, 0.05, math.log(130.0), 0.01, 3e-5)
MINUTES = (3.0, 4.0, 5.0, 6.5, 8.0, 9.0, 11.0, 12.0, 13.0, 15.0, 16.0, 17.0, 18.0, 20.0, 22.0, 23.0)
ACTIONS = (Action("pumped", 30.0), Action("pumped", 630.0), Action("drew_off", 1050.0))
# A scatter that no weight is taken off for, of a third of a division.
SCATTER = [0.3 * DIVISION * ((7 * k) % 5 - 2) / 2.0 for k in range(16)]


def warm(time: float) -> float:
    """Temperature logged, K; after the last one straight on, as steep as it was there."""
    s = min(time, 60.0 * MINUTES[-1]) - 180.0
    beyond = time - 180.0 - s
    return FIRST + SLOPE * s + BEND * s * s + beyond * (SLOPE + 2.0 * BEND * s)


def mixed() -> Coolant:
    return Coolant("propylene", SHARE)


def second(times: Sequence[Sequence[float]], seen: Sequence[float]) -> Filled:
    """The same system by hand: gas by Boyle's law, more of it where air was pumped in."""
    dry = PLACE - mixed().vapour(FIRST)
    first, gas = seen[0], 0.0
    steps: list[tuple[float, float]] = [(30.0, first)]
    stretches = []
    offset = 0
    for number, part in enumerate(times):
        now = seen[offset]
        if number == 0:
            gas = (SPACE + HOSES * first) * (first + dry)
        else:
            before = seen[offset - 1]
            steps.append((ACTIONS[number].time, now - before))
            if number == 1:  # pumped: the liquid stays, but for what the hoses take up
                gas = (gas / (before + dry) + HOSES * (now - before)) * (now + dry)
        stretches.append(Stretch(part[0], gas, tuple(steps), tuple(part)))
        offset += len(part)
    nearest = min(stretches, key=lambda s: abs(seen[_offset(times, s.start)] - TARGET))
    compliance = HOSES + nearest.gas / (TARGET + dry) ** 2

    def per_kelvin(kelvin: float, pressure: float) -> float:
        volume = nearest.gas / (pressure + dry)
        vapour = mixed().vapour_slope(kelvin) / (pressure + PLACE - mixed().vapour(kelvin))
        liquid = expansion_net(kelvin, LIMITS, "propylene") * LIQUID
        return liquid + volume / kelvin + volume * vapour

    last = warm(times[-1][-1])
    at_first, at_last = per_kelvin(FIRST, max(seen[:2])), per_kelvin(last, seen[-1])
    growth = (at_last - at_first) / (last - FIRST)
    return Filled(
        TARGET,
        dry,
        compliance,
        HOSES,
        tuple(stretches),
        at_first,
        growth,
        lambda time: warm(time) - FIRST,
    )


def _offset(times: Sequence[Sequence[float]], start: float) -> int:
    return next(k for k, t in enumerate(t for part in times for t in part) if t == start)


def parts(actions: Sequence[Action]) -> list[list[float]]:
    """Times in s between the actions."""
    ends = [0.0, *(a.time for a in actions if a.time > 180.0), math.inf]
    times = [60.0 * m for m in MINUTES]
    return [[t for t in times if a < t < b] for a, b in pairwise(ends)]


@cache
def made(actions: tuple[Action, ...] = ACTIONS) -> tuple[Hold, Filled]:
    """A hold of the true values, and the second way's system for it."""
    times = parts(actions)
    starts = (112e3, 118e3, 88e3)[: len(times)]
    seen: list[float] = [112e3] * len(MINUTES)
    for _ in range(5):  # the gas depends on what is read
        system = second(times, seen)
        own = system.pressures(numpy.array([[*TRUE, *starts]]))[0]
        seen = [float(p) + s for p, s in zip(own, SCATTER, strict=True)]
    readings = tuple(
        Reading(60.0 * m, p, warm(60.0 * m)) for m, p in zip(MINUTES, seen, strict=True)
    )
    hold = Hold(
        readings,
        DIVISION,
        target=TARGET,
        atmosphere=PLACE,
        glycol="propylene",
        mass_fraction=SHARE,
        stored=Headspace(SPACE),
        liquid_volume=LIQUID,
        actions=(*reversed(actions), Action("pumped", -300.0)),  # told in any order
        self_leak=3.0,
        planned=1800.0,
    )
    return hold, second(times, seen)


def known(hold: Hold) -> LiquidHold:
    return liquid_hold(hold, hold.readings, LIMITS)


def test_the_system_is_the_one_that_was_typed() -> None:
    hold, own = made()
    held = known(hold)
    stored, series = held.stored, held.series
    system = series.system
    assert (held.target, held.assumed) == (TARGET, ())
    assert stored.compliance == pytest.approx(own.compliance, rel=1e-6)
    assert system.dry == pytest.approx(own.dry)
    assert system.thermal == pytest.approx(own.per_kelvin / own.compliance, rel=1e-5)
    assert system.thermal_growth == pytest.approx(own.growth / own.compliance, rel=1e-4)
    assert system.gas_time == 30.0
    assert len(series.segments) == 3
    for segment, stretch in zip(series.segments, own.stretches, strict=True):
        assert segment.start == stretch.start
        assert segment.hoses == pytest.approx(HOSES / own.compliance, rel=1e-6)
        assert segment.gas == pytest.approx(stretch.gas / own.compliance, rel=1e-6)
        assert segment.steps == tuple(pytest.approx(step) for step in stretch.steps)
    assert [list(times) for times in series.times] == parts(ACTIONS)


def test_pressures_and_derivatives_are_those_of_small_steps() -> None:
    hold, own = made()
    series = known(hold).series
    for rate, n in ((9.0, 0.9), (60.0, 0.6), (140.0, 1.4), (-6.0, 0.8), (0.0, 0.75)):
        values = [rate, n, 0.05, math.log(130.0), 0.01, 3e-5, 112e3, 118e3, 88e3]
        pressures, columns = series.predict(values)
        assert pressures == pytest.approx(list(own.pressures(numpy.array([values]))[0]), abs=3.0)
        by = slopes(own, values, STEPS)
        for j, column in enumerate(columns):
            scale = float(numpy.abs(by[:, j]).max())
            assert column == pytest.approx(list(by[:, j]), abs=2e-3 * scale + 1e-9), j
        if rate == 0.0:
            still, others = series.predict(values, leaks=False)
            assert still == pytest.approx(pressures, rel=1e-9)
            assert others[:2] == [[0.0] * 16] * 2
            for j in range(2, 9):
                assert others[j] == pytest.approx(columns[j], rel=1e-6, abs=1e-9)


def by_hand() -> list[Prior]:
    """What is known before: leak law, hoses, pumped air, the drift that the log leaves open."""
    times = 60.0 * numpy.array(MINUTES)
    line = numpy.polyfit(times, [warm(t) for t in times], 1)[0]
    probe = 0.1 / math.sqrt(float(((times - times.mean()) ** 2).sum()))
    creep = math.hypot(0.02, 0.035 * 0.5)  # the hoses' give is known to half of it
    return [
        None,
        (0.75, 0.25),
        (0.035, creep),
        (math.log(102.0), 0.35),
        (0.0, 0.015),
        (0.0, math.hypot(probe, 0.1 * float(line))),
    ]


@cache
def judged(hold: Hold) -> tuple[LiquidHold, FullFit]:
    held = known(hold)
    return held, held.fit(LIMITS)


@pytest.mark.parametrize("actions", [ACTIONS, ACTIONS[:1]], ids=["three stretches", "one"])
def test_the_fit_is_where_no_step_helps_and_its_errors_are_of_it(
    actions: tuple[Action, ...],
) -> None:
    hold, own = made(actions)
    _, full = judged(hold)
    count = 6 + len(own.stretches)
    priors = [*by_hand(), *[None] * len(own.stretches)]
    assert len(full.priors) == count
    for told, wanted in zip(full.priors, priors, strict=True):
        assert told == (None if wanted is None else pytest.approx(wanted, rel=1e-5, abs=1e-12))
    assert full.weights == (1.0,) * 16
    assert full.suspects == ()
    seen = [r.pressure for r in hold.readings]
    least = Least(own, seen, full.noise, priors, STEPS[:count])
    h, gradient, cost = least.look(full.fit.values, range(count))
    covariance = numpy.linalg.inv(h)
    errors = numpy.sqrt(numpy.diag(covariance))
    assert numpy.abs(covariance @ gradient / errors).max() < 0.03
    told = numpy.array(full.covariance)
    assert numpy.abs((told - covariance) / numpy.outer(errors, errors)).max() < 0.02
    assert full.fit.cost == pytest.approx(cost, rel=1e-3)
    # The scatter pooled with the usual noise, ten readings' worth.
    freedom = 16 - count + sum(
        covariance[j, j] / p[1] ** 2 for j, p in enumerate(priors) if p is not None
    )  # fmt: skip
    off = own.pressures(numpy.array([full.fit.values]))[0] - seen
    left = float((off**2).sum()) / 0.866
    pooled = (10.0 * (0.3 * DIVISION) ** 2 + left) / (10.0 + freedom)
    assert full.noise == pytest.approx(math.sqrt(max(pooled, left / freedom)), rel=0.03)


@pytest.mark.parametrize("actions", [ACTIONS, ACTIONS[:1]], ids=["three stretches", "one"])
def test_a_fit_is_done_in_a_dozen_looks(
    actions: tuple[Action, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each look at the course takes a phone its time: no step is made that changes nothing."""
    looks = []
    look = LiquidReadings.predict

    def counted(series: LiquidReadings, *arguments: Any) -> Any:
        looks.append(arguments)
        return look(series, *arguments)

    monkeypatch.setattr(LiquidReadings, "predict", counted)
    hold, _ = made(actions)
    known(hold).fit(LIMITS)
    assert 4 <= len(looks) <= 12


@pytest.mark.parametrize(
    ("change", "index", "end"),
    [
        ({"exponent_high": 0.8}, 1, 0.8),
        ({"exponent_low": 1.0}, 1, 1.0),
        ({"creep_time": 4.0, "creep_time_spread": 0.01}, 3, math.log(10.0)),
        ({"creep_time": 3e3, "creep_time_spread": 0.01}, 3, math.log(1000.0)),
    ],
)
def test_what_no_leak_and_no_hose_does_is_not_fitted(
    change: dict[str, float], index: int, end: float
) -> None:
    hold, _ = made(ACTIONS[:1])
    known_ = {**LIMITS, **{f"hold.{name}": value for name, value in change.items()}}
    full = known(hold).fit(known_)
    assert full.fit.values[index] == pytest.approx(end)
    assert known(hold).fit(LIMITS).fit.values[index] != pytest.approx(end)


def test_what_goes_to_the_judge() -> None:
    hold, own = made()
    held, full = judged(hold)
    evidence = held.evidence(full, {}, LIMITS)
    found = assess(hold, LIMITS)
    tester = 3.0 * 0.3 * ML_PER_KPA / own.compliance
    priors = [*by_hand(), None, None, None]
    seen = [r.pressure for r in hold.readings]
    least = Least(own, seen, full.noise, priors, STEPS)
    h, _, _ = least.look(full.fit.values, range(9))
    sd = math.sqrt(numpy.linalg.inv(h)[0, 0])
    assert evidence.rate == full.fit.values[0]
    assert evidence.rate_sd == pytest.approx(math.hypot(sd, tester), rel=0.02)
    others = [0, *range(2, 9)]  # a tight system has no exponent
    without = math.sqrt(numpy.linalg.inv(h[numpy.ix_(others, others)])[0, 0])
    assert evidence.rate_sd_without == pytest.approx(math.hypot(without, tester), rel=0.02)
    drift = by_hand()[5]
    assert drift is not None
    lasting = drift[1] * own.per_kelvin / own.compliance
    assert evidence.rate_sd_lasting == pytest.approx(math.hypot(lasting, tester), rel=1e-4)
    # The headspace to a tenth, the hoses to a half; what was pumped in makes all of it larger.
    first, top = hold.readings[0].pressure, (TARGET + own.dry) ** 2
    share = (first + own.dry) / top
    alone = HOSES + (SPACE + HOSES * first) * share
    wide = math.hypot(0.1 * SPACE * share, (1.0 + first * share) * 0.5 * HOSES)
    assert evidence.compliance == pytest.approx(own.compliance, rel=1e-6)
    assert evidence.compliance_sd == pytest.approx(wide / alone * own.compliance, rel=1e-4)
    assert found.compliance is not None
    half = found.compliance.high - found.compliance.value
    assert half == pytest.approx(1.96 * evidence.compliance_sd)
    assert evidence.readings == 16
    assert evidence.span == 1200.0
    assert evidence.planned == 1800.0
    assert not evidence.falls_at_once
    assert not evidence.warm_unlogged
    assert found.rate is not None
    assert found.rate.value == evidence.rate
    assert found.rate.high - found.rate.value == pytest.approx(1.96 * evidence.rate_sd)
    assert found.rate.value - found.rate.low == pytest.approx(1.96 * evidence.rate_sd)


def test_the_band_and_the_limit_line() -> None:
    hold, own = made()
    _, full = judged(hold)
    curve = assess(hold, LIMITS).curve
    moments = [180.0 + 75.0 * k for k in range(25)]
    assert [p.time for p in curve] == pytest.approx(moments)
    ends = [180.0, own.stretches[1].start, own.stretches[2].start, math.inf]
    shown = replace(
        own,
        stretches=tuple(
            replace(s, times=(s.start, *(t for t in moments if a < t < b)))
            for s, (a, b) in zip(own.stretches, pairwise(ends), strict=True)
        ),
    )
    times = [t for s in shown.stretches for t in s.times]
    rows = [times.index(t) for t in moments]
    values = numpy.array([full.fit.values])
    pressures = shown.pressures(values)[0][rows]
    by: Floats = slopes(shown, full.fit.values, STEPS)[rows]
    band = 1.96 * numpy.sqrt(numpy.einsum("ij,jk,ik->i", by, numpy.array(full.covariance), by))
    values[0, 0] = 0.3e-9 / 0.09 / own.compliance  # 0.3 L/1000 km at 0.09 s/m (exposure)
    limit = shown.pressures(values)[0][rows]
    for point, p, wide, line in zip(curve, pressures, band, limit, strict=True):
        assert point.pressure == pytest.approx(p, abs=3.0)
        assert point.high - point.pressure == pytest.approx(wide, rel=0.01)
        assert point.pressure - point.low == pytest.approx(wide, rel=0.01)
        assert point.limit == pytest.approx(line, abs=3.0)


@pytest.mark.parametrize(
    ("rate", "creep"),
    [(3.0, 0.05), (0.5, 0.05), (-2.0, 0.03), (0.3, -0.03)],
    ids=["leak", "small", "rising", "hoses that take back"],
)
def test_the_explanations_weigh_as_laplace_has_it(rate: float, creep: float) -> None:
    hold, own = made(ACTIONS[:1])
    values = numpy.array([[rate, TRUE[1], creep, *TRUE[3:], 112e3]])
    seen = own.pressures(values)[0] + SCATTER
    readings = tuple(
        replace(r, pressure=float(p)) for r, p in zip(hold.readings, seen, strict=True)
    )
    hold = replace(hold, readings=readings)
    own = second(parts(ACTIONS[:1]), [r.pressure for r in readings])
    held, full = judged(hold)
    told = held.explanations(full, LIMITS)
    priors = [*by_hand(), None]
    spreads = [1.0 if p is None else p[1] for p in priors]
    spreads[0], spreads[6] = math.sqrt(16 * full.covariance[0][0]), full.noise
    free = {
        "tight": (6,),
        "settling": (2, 3, 4, 5, 6),
        "thermal": (5, 6),
        "leak": (0, 1, 5, 6),
        "leak_and_settling": range(7),
    }
    score = {}
    for name, some in free.items():
        model = replace(own, per_kelvin=0.0, growth=0.0) if name == "tight" else own
        start = [
            v if j in (1, 3, 5, 6) or j in some else 0.0 for j, v in enumerate(full.fit.values)
        ]
        least = Least(model, seen, full.noise, priors, STEPS[:7], full.weights)
        amplitudes = [j for j in (0, 2, 4) if j in some]
        if name != "leak_and_settling" or min(full.fit.values[j] for j in amplitudes) < 0.0:
            # A leak only takes, hoses only give, and pumped air only cools.
            least.never_below = dict.fromkeys(amplitudes, 0.0)
        least.never_below |= {1: 0.3, 3: math.log(10.0)}
        least.never_above = {1: 2.5, 3: math.log(1000.0)}
        score[name] = least.score(start, list(some), spreads)
    best = min(score.values())
    prior = {"tight": 0.15, "settling": 0.25, "thermal": 0.1, "leak": 0.2, "leak_and_settling": 0.3}
    raw = {name: prior[name] * math.exp(0.5 * (best - s)) for name, s in score.items()}
    for name, weight in told.items():
        assert weight == pytest.approx(raw[name] / sum(raw.values()), rel=0.02, abs=1e-6), name
