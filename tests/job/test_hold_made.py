"""What a hold, a warm-up log and the causes are given: what the job knew, in SI, and no more."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.logbook import Logbook
from weeptrace.causes import Figure, Observation
from weeptrace.hold.data import Action, Hold, Strokes
from weeptrace.job import holds, observed, warm
from weeptrace.job.advance import fold
from weeptrace.rules import load

RULES = load()


def described(*told: tuple[str, ...]) -> Logbook:
    log = Logbook()
    for field, typed, unit in (
        ("car.cap_rating", "110", "kPa"), ("car.capacity", "7.6", "L"),
        ("place.altitude", "0", "m"),
        ("place.ambient", "20", "°C"), ("tester.division", "2", "kPa"),
        ("tester.stroke_volume", "40", "mL"), ("tester.self_fall", "3.6", "kPa"),
        ("tester.own_fall", "1.8", "kPa"), ("owner.rate", "0.3", "L/1000 km"),
        ("coolant.temperature", "26", "°C"), ("hold.strokes", "6", "1"),
        ("after.strokes", "9", "1"),
        ("coolant.drained", "4", "L"), ("coolant.missing_before", "0.5", "L"),
    ):  # fmt: skip
        log.add("fact", field, typed, unit)
    for field, *typed in told:
        log.add("fact", field, *typed) if typed else log.add("not_done", field)
    assert not fold(RULES, log.events).troubles
    return log


def read(log: Logbook, field: str, *needles: str, every: float = 60.0) -> Logbook:
    for needle in needles:
        log.now += every
        log.add("reading", field, needle, "kPa")
    return log


def made(log: Logbook, field: str) -> Hold:
    job = fold(RULES, log.events)
    assert not job.troubles
    hold = holds.hold(RULES, job, job.present(field))
    assert hold is not None
    return hold


def test_a_hold_before_the_repair_knows_the_car_the_place_and_the_tester() -> None:
    hold = made(read(described(), holds.PRESSURE, "100", "99"), holds.PRESSURE)
    assert [(each.time, each.pressure) for each in hold.readings] == [(0.0, 100e3), (60.0, 99e3)]
    # The engine's temperature was measured once: before the first reading.
    assert [each.temperature for each in hold.readings] == [pytest.approx(273.15 + 26.0), None]
    assert (hold.kind, hold.medium, hold.division) == ("pressure", "coolant", 2e3)
    assert hold.rated == pytest.approx(110e3)
    assert hold.atmosphere == pytest.approx(101325.0)  # ISO 2533, at the sea
    assert isinstance(hold.stored, Strokes)
    assert (hold.stored.count, hold.stored.volume) == (6.0, pytest.approx(40e-6))
    assert (hold.evacuated_volume, hold.engine_temperature) == (None, None)
    assert hold.liquid_volume == pytest.approx(7.6e-3)
    assert hold.self_leak == pytest.approx(3600.0 / 180.0)  # in three minutes on a blank
    assert hold.owner_rate == pytest.approx(0.3e-3 / 1e6)
    assert hold.planned == 15 * 60.0
    assert hold.ambient_temperature == pytest.approx(293.15)
    assert hold.wet is None
    assert hold.actions == ()


def test_a_hold_after_the_repair_has_its_own_strokes_and_no_owner() -> None:
    hold = made(read(described(), holds.AFTER, "100", "99"), holds.AFTER)
    assert (hold.kind, hold.medium) == ("pressure", "coolant")
    assert isinstance(hold.stored, Strokes)
    assert hold.stored.count == 9.0
    assert hold.owner_rate is None  # what the owner told was of the leak that was mended


@pytest.mark.parametrize(
    ("field", "kind", "medium"),
    [(holds.VACUUM, "vacuum", "coolant"), (holds.DRY, "pressure", "air")],
)
def test_a_drained_system_is_as_large_as_what_came_out(field: str, kind: str, medium: str) -> None:
    hold = made(read(described(), field, "80", "79"), field)
    assert (hold.kind, hold.medium) == (kind, medium)
    assert hold.stored is None
    assert hold.evacuated_volume == pytest.approx(4.5e-3)  # drained, and missing before
    assert hold.engine_temperature == pytest.approx(299.15)
    assert hold.owner_rate is None
    less = made(read(described(("coolant.missing_before",)), field, "80", "79"), field)
    assert less.evacuated_volume == pytest.approx(4e-3)
    none = made(read(described(("coolant.drained",)), field, "80", "79"), field)
    assert none.evacuated_volume is None


def test_what_was_not_measured_stays_unknown() -> None:
    nothing = described(
        ("car.cap_rating",), ("car.capacity",), ("place.altitude",), ("place.ambient",),
        ("hold.strokes",), ("owner.rate",), ("coolant.temperature",),
    )  # fmt: skip
    hold = made(read(nothing, holds.PRESSURE, "100"), holds.PRESSURE)
    assert (hold.rated, hold.liquid_volume, hold.atmosphere, hold.ambient_temperature) == (
        None,
    ) * 4
    assert (hold.stored, hold.owner_rate, hold.readings[0].temperature) == (None, None, None)
    once = made(read(described(("tester.self_fall",)), holds.PRESSURE, "100"), holds.PRESSURE)
    assert once.self_leak == pytest.approx(1800.0 / 180.0)  # as it was entered once
    never = described(("tester.self_fall",), ("tester.own_fall",), ("tester.stroke_volume",))
    hold = made(read(never, holds.PRESSURE, "100"), holds.PRESSURE)
    assert (hold.self_leak, hold.stored) == (None, None)


def test_without_a_division_nothing_is_judged() -> None:
    job = fold(RULES, read(described(("tester.division",)), holds.PRESSURE, "100", "99").events)
    found = holds.assess(RULES, job, job.present(holds.PRESSURE))
    assert (found.verdict, found.reason.code) == ("not_judged", "no_division")
    assert "division is not known" in found.reason.message


def test_marks_cut_a_hold_where_they_were_made() -> None:
    log = read(described(), holds.PRESSURE, "100", "99")
    marks = ("pumped", "disturbed", "missed", "ended")
    for mark in marks:
        log.now += 10.0
        log.add("mark", f"hold.{mark}")
    hold = made(log, holds.PRESSURE)
    # Where nobody watched it is cut as where it was bumped; its end cuts nothing.
    assert hold.actions == (
        Action("pumped", 70.0), Action("disturbed", 80.0), Action("disturbed", 90.0),
    )  # fmt: skip
    assert made(described(), holds.PRESSURE).readings == ()


def test_a_mark_before_any_reading_is_of_no_hold() -> None:
    log = described()
    log.add("mark", "hold.disturbed")
    assert made(log, holds.PRESSURE).actions == ()


@pytest.mark.parametrize(
    ("engine", "air_around", "warm"),
    [("31", "20", True), ("29.9", "20", False), ("9", "20", False), (None, "20", False),
     ("60", None, False)],
)  # fmt: skip
def test_an_engine_10_kelvin_above_the_air_is_too_warm(
    engine: str | None, air_around: str | None, warm: bool
) -> None:
    """Common practice; limits/hold/when.toml."""
    log = Logbook()
    for field, typed in (("coolant.temperature", engine), ("place.ambient", air_around)):
        if typed is not None:
            log.add("fact", field, typed, "°C")
    assert holds.too_warm(RULES, fold(RULES, log.events)) is warm


FALLS = ("110", "108", "106", "104", "102", "100", "98", "96", "95", "93")
STILL = ("110",) * 12


def test_what_is_left_of_a_leak_is_its_flow_after_over_its_flow_before() -> None:
    log = read(described(("after.strokes", "6", "1")), holds.PRESSURE, *FALLS)
    log = read(log, holds.AFTER, *FALLS)
    job = fold(RULES, log.events)
    before, after = (
        holds.assess(RULES, job, job.present(field)) for field in (holds.PRESSURE, holds.AFTER)
    )
    share = holds.left(RULES, before, after)
    assert share is not None
    assert share.value == pytest.approx(1.0, rel=0.1)  # the same fall: nothing was mended
    assert share.low < 1.0 < share.high
    for lacking in (replace(after, leak_flow=None),):
        assert holds.left(RULES, before, lacking) is None
    for lacking in (replace(before, leak_flow=None), replace(before, exponent=None)):
        assert holds.left(RULES, lacking, after) is None
    # At half the pressure a leak of the same flow is larger by 2 to the power of its law.
    assert after.target is not None
    assert before.exponent is not None
    half = holds.left(RULES, before, replace(after, target=after.target / 2.0))
    assert half is not None
    raised = (before.target or 0.0) / (after.target / 2.0)
    level = (before.target or 0.0) / after.target
    ratio = (raised / level) ** before.exponent.value
    assert half.value / share.value == pytest.approx(ratio)


@pytest.fixture
def warming() -> Logbook:
    log = described()
    log.now += 60.0
    began = log.now
    for at, field, typed in (
        (0.0, "warm.coolant", "30"), (60.0, "warm.vent", "20"), (100.0, "warm.coolant", "50"),
        (130.0, "warm.vent", "28"), (200.0, "warm.coolant", "90"), (291.0, "warm.vent", "44"),
        (400.0, "warm.coolant", "80"), (500.0, "warm.coolant", "95"),
    ):  # fmt: skip
        log.now = began + at
        log.add("reading", field, typed, "°C")
    return log


def test_each_row_of_a_warm_up_has_the_nearest_vent_within_90_seconds(warming: Logbook) -> None:
    rows = warm.rows(RULES, fold(RULES, warming.events))
    assert [row.time for row in rows] == [0.0, 100.0, 200.0, 400.0, 500.0]
    assert [row.coolant - 273.15 for row in rows] == pytest.approx([30.0, 50.0, 90.0, 80.0, 95.0])
    vents = [None if row.vent is None else round(row.vent - 273.15, 6) for row in rows]
    # 60 s; 30 s, not 40; 70 s, not 91; none: 109 s; none.
    assert vents == [20.0, 28.0, 28.0, None, None]
    assert [row.fan for row in rows] == [None] * 5
    assert warm.hottest(fold(RULES, warming.events)) == pytest.approx(273.15 + 95.0)


def test_the_fan_is_as_it_was_last_seen_and_before_its_first_mark_the_other_way(
    warming: Logbook,
) -> None:
    began = next(e["mono"] for e in warming.events if e["field"] == "warm.coolant") / 1000.0
    for at, mark in ((150.0, "warm.fan_on"), (300.0, "warm.fan_off"), (400.0, "warm.fan_on")):
        warming.add("mark", mark, at=began + at)
    rows = warm.rows(RULES, fold(RULES, warming.events))
    assert [row.fan for row in rows] == [False, False, True, True, True]
    warming.add("mark", "warm.fan_off", at=began + 450.0)
    rows = warm.rows(RULES, fold(RULES, warming.events))
    assert [row.fan for row in rows] == [False, False, True, True, False]


def test_without_rows_or_the_air_s_temperature_a_warm_up_is_not_judged(warming: Logbook) -> None:
    assert warm.assess(RULES, fold(RULES, warming.events)) is not None
    warming.add("not_done", "place.ambient")
    assert warm.assess(RULES, fold(RULES, warming.events)) is None
    assert warm.assess(RULES, fold(RULES, described().events)) is None
    assert warm.hottest(fold(RULES, described().events)) is None
    assert warm.rows(RULES, fold(RULES, described().events)) == []


ZONES = {id: field.place for id, field in RULES.fields.items() if field.place}


def told(log: Logbook) -> dict[str, list[object]]:
    found: dict[str, list[object]] = {}
    for each in observed.observations(RULES, fold(RULES, log.events)):
        found.setdefault(each.finding, []).append(each.value)
    return found


def test_the_owner_s_rate_is_a_figure_unless_a_word_was_said() -> None:
    assert told(described())["loss_rate"] == [Figure(pytest.approx(0.3e-9))]
    assert "loss_rate" not in told(described(("owner.rate",)))
    word = RULES.fields["find.loss_rate"].options[0]
    assert told(described(("find.loss_rate", word)))["loss_rate"] == [word]


def test_places_are_told_as_residue_before_a_hold_and_as_wet_under_pressure_after_it() -> None:
    (first, place), (second, other) = list(ZONES.items())[:2]
    log = described((first, "wet"), (second, "wet"))
    assert told(log)["residue_at"] == [place, other]
    assert "wet_under_pressure_at" not in told(log)
    read(log, holds.PRESSURE, *FALLS)
    assert told(log)["wet_under_pressure_at"] == [place, other]
    assert "residue_at" not in told(log)


def test_all_zones_dry_are_told_as_none_and_one_not_reached_as_nothing() -> None:
    dry = [(zone, "dry") for zone in ZONES]
    assert told(described(*dry))["residue_at"] == ["none"]
    assert "residue_at" not in told(described(*dry[1:]))
    assert "residue_at" not in told(described(*dry[1:], (dry[0][0], "not_reachable")))


@pytest.mark.parametrize(("again", "proven"), [("wet", True), ("dry", False)])
def test_a_place_wet_again_is_proven(again: str, proven: bool) -> None:
    zone = next(iter(ZONES)).removeprefix("zone.")
    log = described(("finding.place", zone), ("finding.wet_again", again))
    assert told(log).get("wet_again_at") == ([ZONES[f"zone.{zone}"]] if proven else None)


def test_a_hold_is_told_as_its_flow_with_its_ends() -> None:
    log = read(described(), holds.PRESSURE, *FALLS)
    job = fold(RULES, log.events)
    flow = holds.assess(RULES, job, job.present(holds.PRESSURE)).leak_flow
    assert flow is not None
    assert told(log)["pressure_hold_cold"] == [Figure(flow.value, flow.low, flow.high)]
    assert "hold_sensitivity" not in told(log)
    word = RULES.fields["find.pressure_hold_cold"].options[0]
    log.add("fact", "find.pressure_hold_cold", word)
    assert told(log)["pressure_hold_cold"] == [word]  # what was said by hand, and nothing twice


def test_a_hold_that_stands_still_holds_and_says_what_it_could_see() -> None:
    log = read(described(), holds.PRESSURE, *STILL)
    assert told(log)["pressure_hold_cold"] == ["holds"]
    assert told(log)["hold_sensitivity"] == ["too_weak"]  # 0.3 L/1000 km would not show here
    fine = described(
        ("hold.strokes", "1", "1"), ("tester.self_fall", "0", "kPa"),
        ("tester.division", "1", "kPa"), ("owner.rate", "3", "L/1000 km"),
    )  # fmt: skip
    log = read(fine, holds.PRESSURE, *STILL, *STILL)
    assert told(log)["pressure_hold_cold"] == ["holds"]
    assert told(log)["hold_sensitivity"] == ["sees_the_complaint"]
    log.add("not_done", "owner.rate")  # no complaint, so none that it could have seen
    assert "hold_sensitivity" not in told(log)


def test_a_hold_without_a_size_is_told_by_its_shape() -> None:
    log = read(described(("hold.strokes",)), holds.PRESSURE, *FALLS)
    assert told(log)["pressure_hold_cold"] == ["slow_fall"]
    log = read(described(("hold.strokes",)), holds.PRESSURE, "110", "75", "50", "40", every=30.0)
    assert told(log)["pressure_hold_cold"] == ["fast_fall"]
    log = read(described(("tester.division",)), holds.PRESSURE, *FALLS)
    assert "pressure_hold_cold" not in told(log)


def test_an_answer_of_several_words_is_several_observations() -> None:
    several = [f for f in RULES.fields.values() if f.kind == "choices" and f.id.startswith("find.")]
    for field in several:
        log = described((field.id, ",".join(field.options[:2])))
        seen = observed.observations(RULES, fold(RULES, log.events))
        finding = field.id.removeprefix("find.")
        for word in field.options[:2]:
            assert Observation(finding, word) in seen
