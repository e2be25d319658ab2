"""What a job tells the causes: each answer, each place that was looked at, the hold as a figure."""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.logbook import Logbook
from weeptrace.causes import Figure, Observation
from weeptrace.finding import Estimate
from weeptrace.hold.data import Assessment, Exponent
from weeptrace.job import holds, observed
from weeptrace.job.advance import fold
from weeptrace.job.state import Job
from weeptrace.rules import load

RULES: Final = load()
ZONES: Final = {id: field.place for id, field in RULES.fields.items() if field.place}
RATE: Final = 0.35e-9  # 0.35 L/1000 km in m3/m


def job(*told: tuple[str, str, str, str | None]) -> Job:
    log = Logbook()
    for kind, name, typed, unit in told:
        log.now += 30.0
        log.add(kind, name, typed, unit)
    made = fold(RULES, log.events)
    assert not made.troubles
    return made


def fact(name: str, typed: str, unit: str | None = None) -> tuple[str, str, str, str | None]:
    return "fact", name, typed, unit


def seen(*told: tuple[str, str, str, str | None]) -> list[tuple[str, Any]]:
    found = observed.observations(RULES, job(*told))
    assert all(isinstance(each, Observation) for each in found)
    return [(each.finding, each.value) for each in found]


def test_of_nothing_told_nothing_is_observed() -> None:
    assert seen() == []
    assert (
        seen(("not_done", "owner.rate", "", None), ("not_done", "find.weep_hole", "", None)) == []
    )


def test_each_answer_is_observed_once_and_several_words_each() -> None:
    two = seen(fact("find.weep_hole", "wet"), fact("find.puddle_test", "glycol"))
    assert sorted(two) == [("puddle_test", "glycol"), ("weep_hole", "wet")]
    several = next(f for f in RULES.fields.values()
                   if f.id.startswith("find.") and f.kind == "choices")  # fmt: skip
    name, (first, second, *_) = several.id.removeprefix("find."), several.options
    words = [word for word in several.options if word in (first, second) and word != "none"]
    told = seen(fact(several.id, ",".join(words)))
    assert told == [(name, word) for word in words]
    assert seen(fact("find.weep_hole", "wet"), fact("find.weep_hole", "dry")) == [
        ("weep_hole", "dry")
    ]


def test_the_owner_s_rate_is_a_figure_unless_it_was_put_in_a_word() -> None:
    ((finding, value),) = seen(fact("owner.rate", "0.35", "L/1000 km"))
    assert finding == "loss_rate"
    assert value == Figure(pytest.approx(RATE))  # type: ignore[arg-type]
    word = RULES.fields["find.loss_rate"].options[0]
    both = seen(fact("owner.rate", "0.35", "L/1000 km"), fact("find.loss_rate", word))
    assert both == [("loss_rate", word)]


READ: Final = ("reading", "hold.pressure", "100", "kPa")


@pytest.mark.parametrize(
    ("held", "finding"), [(False, "residue_at"), (True, "wet_under_pressure_at")]
)
def test_a_zone_that_is_wet_names_its_place_and_how_it_was_looked_at(
    held: bool, finding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(holds, "assess", lambda *_: Assessment("not_judged"))
    before = [READ] if held else []
    wet = [fact("zone.reservoir", "wet"), fact("zone.water_pump", "wet"),
           fact("zone.valley", "dry"), fact("zone.cap_neck", "not_reachable")]  # fmt: skip
    assert seen(*before, *wet) == [
        (finding, ZONES["zone.reservoir"]), (finding, ZONES["zone.water_pump"])
    ]  # fmt: skip
    same = seen(*before, fact("zone.upper_hose", "wet"), fact("zone.lower_hose", "wet"))
    assert same == [(finding, "hose_end")]  # two hoses, one place
    dry = [fact(zone, "dry") for zone in ZONES]
    assert seen(*before, *dry) == [(finding, "none")]
    assert seen(*before, *dry[1:]) == []  # one that nobody looked at
    assert seen(*before, *dry[1:], fact(next(iter(ZONES)), "not_reachable")) == []


@pytest.mark.parametrize(
    ("again", "place", "proved"),
    [("wet", "radiator_seam", True), ("dry", "radiator_seam", False), ("wet", "not_found", False)],
)
def test_only_wet_again_at_a_known_place_proves_it(again: str, place: str, proved: bool) -> None:
    told = seen(fact("finding.place", place), fact("finding.wet_again", again))
    assert told == ([("wet_again_at", ZONES["zone.radiator_seam"])] if proved else [])


def judged(found: Assessment, *more: tuple[str, str, str, str | None]) -> Any:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(holds, "assess", lambda rules, job, series: found)
        return seen(READ, *more)


FLOW: Final = Estimate(2e-8, 1e-8, 3e-8)
COLD: Final = "pressure_hold_cold"


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (Assessment("not_judged", leak_flow=FLOW), []),
        (Assessment("gross", leak_flow=FLOW), [(COLD, "fast_fall")]),
        (Assessment("leaking", leak_flow=FLOW), [(COLD, Figure(2e-8, 1e-8, 3e-8))]),
        (Assessment("leak_size_unknown"), [(COLD, "slow_fall")]),
        (Assessment("no_leak_found", leak_flow=FLOW), [(COLD, "holds")]),
        (Assessment("tight", explanations={"settling": 0.5}), [(COLD, "holds")]),
        (Assessment("tight", explanations={"settling": 0.51}), [(COLD, "falls_then_steady")]),
        (Assessment("too_weak"), [(COLD, "holds"), ("hold_sensitivity", "too_weak")]),
        (
            Assessment("leaking", leak_flow=FLOW, exponent=Exponent(0.7, False)),
            [(COLD, Figure(2e-8, 1e-8, 3e-8)), ("hold_exponent", Figure(0.7))],
        ),
        (
            Assessment("leaking", leak_flow=FLOW, exponent=Exponent(0.7, True)),
            [(COLD, Figure(2e-8, 1e-8, 3e-8))],
        ),
    ],
)
def test_a_hold_is_observed_by_its_verdict(found: Assessment, told: list[Any]) -> None:
    assert judged(found) == told
    other = fact("find.pressure_hold_cold", "holds")
    exponent = [each for each in told if each[0] == "hold_exponent"]
    # a hand's own word stands for the hold, and nothing of the hold doubts it
    assert judged(found, other) == [(COLD, "holds"), *exponent]


@pytest.mark.parametrize("verdict", ["no_leak_found", "tight"])
def test_a_hold_that_finds_none_sees_the_complaint_where_a_rate_is_told(verdict: Any) -> None:
    rate = fact("owner.rate", "0.35", "L/1000 km")
    loss = ("loss_rate", Figure(pytest.approx(RATE)))  # type: ignore[arg-type]
    assert judged(Assessment(verdict), rate) == [
        loss, (COLD, "holds"), ("hold_sensitivity", "sees_the_complaint")
    ]  # fmt: skip
    assert judged(Assessment("too_weak"), rate) == [
        loss, (COLD, "holds"), ("hold_sensitivity", "too_weak")
    ]  # fmt: skip
    assert judged(Assessment("leaking", leak_flow=FLOW), rate)[1:] == [
        (COLD, Figure(2e-8, 1e-8, 3e-8))
    ]


def test_a_ranking_is_asked_with_features_tools_and_the_shut_gates_that_a_test_needs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[tuple[Any, ...]] = []
    monkeypatch.setattr(
        observed, "rank_causes", lambda *given, **named: asked.append((given, named))
    )

    def ask(*told: tuple[str, str, str, str | None]) -> tuple[Any, ...]:
        here = job(*told)
        observed.rank(RULES, here, here.log[-1].event.moment)
        return asked.pop()

    known = observed.knowledge(RULES)
    needed = {gate for test in known.tests.values() for gate in test.gates}
    given, named = ask(fact("car.name", "Heron"))
    assert given == (known, list(known.needed), [], RULES.limits)
    assert (named["tools"], named["closed"]) == (None, [])  # nothing is known to be shut
    hot = (fact("coolant.temperature", "74", "°C"), fact("system.pressure_sign", "hose_soft"))
    features = RULES.fields["car.features"].options[:2]
    given, named = ask(
        *hot, fact("shop.tools", "lamp"), fact("car.features", features[0]),
        fact("car.lacks", ",".join(features)), fact("car.drive", "high_voltage"),
        fact("find.weep_hole", "wet"), fact("place.site", "soft_or_slope"),
    )  # fmt: skip
    has = [each for each in known.features if each != features[1]]  # told both ways: it has it
    assert given == (known, has, [Observation("weep_hole", "wet")], RULES.limits)
    assert named["tools"] == ("lamp",)
    assert named["closed"] == ["cold"]  # the ground's gate is shut too, and no test needs it
    assert "cold" in needed
    assert "site" not in needed


def test_words_of_a_field_that_takes_several() -> None:
    assert observed.several(job(), "shop.tools") is None
    assert observed.several(job(("not_done", "shop.tools", "", None)), "shop.tools") is None
    assert observed.several(job(fact("shop.tools", "lamp,mirror")), "shop.tools") == (
        "lamp", "mirror"
    )  # fmt: skip
    assert observed.several(job(fact("owner.rate", "0.3", "L/1000 km")), "owner.rate") is None
