"""Every branch of the procedure, walked to its end by a pair of hands."""

from __future__ import annotations

import pytest

from tests.hands import RULES, SKIP, Answer, Hands
from tests.logbook import Logbook
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import gate_state, over_the_ceiling

KINDS = RULES.fields["repair.kind"].options
WET = [kind for kind in KINDS if kind not in ("hose_or_clamp", "cap", "none")]
PHASES = {phase.id: phase for phase in RULES.procedures["coolant_loss"].phases}


def hands(**answers: Answer | str) -> Hands:
    """``hands(repair__kind="cap")``: two underscores stand for the dot."""
    given = {
        name.replace("__", "."): (said, None) if isinstance(said, str) else said
        for name, said in answers.items()
    }
    return Hands(Logbook(), given)


def corrected(work: Hands, field: str, typed: str, unit: str | None = None) -> None:
    """The last entry of a field is typed again."""
    old = [event for event in work.log.events if event["field"] == field][-1]
    work.log.add(old["kind"], field, typed, unit, supersedes=old["id"])


def opens(work: Hands, gate: str) -> bool | None:
    return gate_state(RULES, work.job, RULES.gates[gate], read_moment(work.log.moment())).open


@pytest.mark.parametrize("route", ["measure", "seen"])
@pytest.mark.parametrize("kind", KINDS)
def test_every_repair_is_walked_from_intake_to_closed(kind: str, route: str) -> None:
    work = hands(repair__kind=kind, work__route=route, cap__how="replaced").until("closed")
    way = work.passed
    steps = [each for each in way if not each.startswith("gate.")]
    assert len(steps) == len(set(steps))  # none twice
    own = [f.id for f in RULES.fields.values() if kind in f.belongs and ".own_" not in f.id]
    own = [part for part in own if part != "part.hose"]  # the clamp is re-seated
    assert all(work.job.value(part) == "on" for part in own)
    matched = [step for step in way if step.startswith("match_")]
    assert len(matched) == (kind != "none")
    assert ("drain" in way) == ("warm_log" in way) == ("road_test" in way) == (kind in WET)
    assert ("transmission_filled" in way) == (kind == "radiator_with_cooler")
    assert any(step.startswith("transfer_") for step in way) == (kind in WET)
    assert work.job.value("cap.how") == "replaced"


@pytest.mark.parametrize("how", ["vacuum", "open_neck"])
def test_both_ways_to_fill(how: str) -> None:
    way = hands(fill__how=how, dry__wanted="dry_air").until("closed").passed
    assert ("vacuum_verdict" in way) == ("uptake_plan" in way) == (how == "vacuum")
    assert ("bleed" in way) == ("bubbles" in way) == (how == "open_neck")
    filled = way.index("vacuum_fill" if how == "vacuum" else "fill_up")
    assert way.index("dry_release") < filled


def test_on_the_road_the_place_and_the_kit_come_first() -> None:
    work = hands(work__where="mobile").until("closed")
    first = ["car_name", "arrival", "where", "site_look", "kit", "route", "drive_kind"]
    assert work.passed[:7] == first
    assert "drive" in work.passed
    bad = hands(work__where="mobile", place__site="road_edge").until("gate.site")
    bad.log.add("stopped", "gate.site", "no room beside the road")
    assert bad.job.stopped is not None
    assert "site_look" not in hands().until("closed").passed


@pytest.mark.parametrize(
    ("needles", "holds", "valve", "failed"),
    [
        (("108", "110", "109"), "holds", "opens", False),
        (("99", "110", "126"), "holds", "has_none", False),  # 110 kPa less a tenth, and 15 % more
        (("98", "110", "109"), "holds", "opens", True),
        (("108", "127", "109"), "holds", "opens", True),
        (("108", "110", "109"), "falls", "opens", True),
        (("108", "110", "109"), "holds", "stuck", True),
    ],
)
def test_a_cap_that_does_not_keep_its_rating_is_replaced_before_the_job_closes(
    needles: tuple[str, ...], holds: str, valve: str, failed: bool
) -> None:
    work = hands(cap__how="tested", cap__holds=holds, cap__return_valve=valve)
    for number, needle in enumerate(needles, 1):
        work.answers[f"cap.opening_{number}"] = (needle, "kPa")
    way = work.until("closed").passed
    assert way.index("cap_first") < way.index("cap_third") < way.index("hold_level")
    assert ("cap_new" in way) is failed


@pytest.mark.parametrize("route", ["measure", "seen"])
def test_no_job_closes_with_the_cap_not_measured(route: str) -> None:
    work = hands(work__route=route, repair__kind="none").until(
        "cap_line" if route == "measure" else "cap_line_seen"
    )
    here = work.at()
    work.log.add("not_done", "cap.how", "no time")
    assert work.at() == here


TESTS = [word for word in RULES.fields["test.kind"].options if word != "none"]


@pytest.mark.parametrize("kind", TESTS)
def test_each_test_that_follows_a_hold_is_walked_and_another_begins_anew(kind: str) -> None:
    answers = {"finding__place": "not_found", "test__kind": kind, "test__result": "not_found"}
    answers |= {"drive__decision": "tow"} if kind == "gas" else {}  # it is shown: nobody drives
    work = hands(**answers, repair__kind="none").until("test_enough")
    assert "cap_line" in work.passed
    ran = {"warm_hold", "run_watch", "dye", "gas"}
    ways = {"warm_hold": "warm_run", "gas": "gas_run", "run_watch": "test_run", "dye": "dye_drive"}
    assert ran == set(ways)
    assert {way for way in ways.values() if way in work.passed} == {ways.get(kind)} - {None}
    assert ("dye_drive" in work.passed) == (kind == "dye")
    drives = kind in {"dye", "level_watch"}
    assert ("test_drive" in work.passed) == ("test_close" in work.passed) == drives
    assert ("gas_level" in work.passed) == ("gas_seen" in work.passed) == (kind == "gas")
    assert ("test_verdict" in work.passed) == (kind in {"warm_hold", "heater_isolation"})
    if kind == "warm_hold":  # never fitted hot
        way = work.passed
        assert way.index("test_fit") < way.index("warm_run") < way.index("test_readings")
    work.log.add("mark", "test.again")
    assert work.at() == "test_kind"
    assert any("test.kind" in facts for facts in work.job.cleared)
    work.answers["test.kind"] = ("none", None)
    if kind == "gas":  # it was found: liquid may be in a cylinder, and nobody drives it
        assert work.job.value("test.gas") is None
        work.answers["drive.decision"] = ("tow", None)
    work.until("closed")
    kept = [series.field for series in work.job.past]
    assert ("test.pressure" in kept) == (kind in {"warm_hold", "heater_isolation"})


def test_a_place_that_a_test_shows_is_named_dried_and_seen_wet_again() -> None:
    work = hands(finding__place="not_found", test__kind="dye", test__result="found")
    work.until("test_found").answer()
    assert work.at() == "place"
    work.answers["finding.place"] = ("heater_hoses", None)
    work.until("closed")
    assert work.passed.count("wet_again") == 1
    assert work.job.value("test.kind") == "dye"


def test_a_place_that_stays_dry_is_no_proof() -> None:
    work = hands(finding__wet_again="dry", test__kind="none").until("repair_kind")
    assert "test_kind" in work.passed


@pytest.mark.parametrize("look", ["cream", "oil_film"])
def test_oil_in_the_coolant_stops_the_engine_until_a_person_answers_for_it(look: str) -> None:
    work = hands(coolant__condition=look).until("cream_person")
    assert "drain" not in work.passed  # asked before anything is drained
    assert opens(work, "no_cream") is not True
    work.log.add("not_done", "cream.person")
    assert work.at() == "cream_person"
    work.log.add("fact", "cream.person", "R. Sand")
    work.until("cream_why")
    assert "reassembly" in work.passed  # what was changed and flushed is told once it is mended
    assert opens(work, "no_cream") is not True
    work.log.add("fact", "cream.why", "oil cooler is bypassed")
    assert opens(work, "no_cream") is True
    work.until("warm_log")
    corrected(work, "cream.why", " ")  # refused: the reason is gone
    assert opens(work, "no_cream") is not True


def test_oil_found_late_stops_the_road_test_too() -> None:
    work = hands().until("road_test")
    work.log.add("fact", "coolant.condition", "cream")
    assert work.at() == "cream_person"
    assert opens(work, "no_cream") is not True


def test_a_coolant_that_nobody_looked_at_is_not_clean() -> None:
    assert opens(hands(), "no_cream") is None


def test_under_the_car_only_on_what_was_set_pushed_and_rocked() -> None:
    work = hands(car__raised="raised").until("stands_set")
    assert opens(work, "stands") is not True
    for tick in ("set", "pushed"):
        work.log.add("done", f"stands.{tick}")
        assert work.at() == "stands_set"
    work.log.add("done", "stands.rocked")
    assert work.at() == "look_below"
    work.until("drain")
    down = next(event for event in work.log.events if event["field"] == "stands.rocked")
    work.log.add("undo", "stands.rocked", supersedes=down["id"])
    assert opens(work, "stands") is not True
    assert "look_below" not in hands().until("closed").passed


def test_work_that_is_found_waits_for_its_own_yes() -> None:
    work = hands().until("teardown")
    work.log.add("mark", "extra.found")
    for step in ("extra_what", "extra_price", "extra_who", "extra_how"):
        assert work.at() == step
        work.answer()
    assert over_the_ceiling(work.job) == pytest.approx(480.0 + 40.0 - 560.0)
    assert work.at() == "teardown"


def test_hidden_damage_is_more_work() -> None:
    work = hands(off__hidden="found").until("extra_what")
    assert "hidden" in work.passed
    assert "transfer_radiator" not in work.passed


def test_the_ceiling_stops_the_work_until_it_is_raised_or_the_work_taken_back() -> None:
    work = hands(extra__price=("81", "1"), ceiling__how="refused").until("teardown")
    work.log.add("mark", "extra.found")
    work.until("gate.agreed")
    assert over_the_ceiling(work.job) == pytest.approx(1.0)
    corrected(work, "extra.how", "refused")
    assert work.at() == "teardown"
    corrected(work, "extra.how", "spoken")
    assert work.at() == "gate.agreed"
    corrected(work, "ceiling.how", "spoken")
    assert work.at() == "ceiling_new"
    work.log.add("fact", "quote.ceiling_new", "560", "1")
    assert work.at() == "ceiling_new"  # it does not cover
    work.log.add("fact", "quote.ceiling_new", "561", "1")
    assert work.at() == "teardown"
    # The next one counts on top of it, and needs a yes of its own.
    work.log.add("mark", "extra.found")
    work.until("ceiling_who")
    assert over_the_ceiling(work.job) == pytest.approx(81.0)


def test_a_broken_piece_is_a_small_repair_and_no_heat_comes_near_plastic() -> None:
    work = hands(broken__near="plastic", broken__price=("30", "1")).until("teardown")
    work.log.add("mark", "broken.found")
    work.until("teardown")
    way = work.passed[work.passed.index("broken_what") :]
    assert way == [
        "broken_what", "broken_near", "broken_method_plastic", "broken_thread", "broken_hardware",
        "broken_minutes", "broken_price", "broken_how", "broken_mended",
    ]  # fmt: skip
    assert "heat" not in RULES.fields["broken.method_plastic"].options
    assert "heat" in RULES.fields["broken.method"].options
    assert over_the_ceiling(work.job) == pytest.approx(480.0 + 30.0 - 560.0)


def test_as_many_fasteners_on_as_came_off_or_a_word_why() -> None:
    work = hands(fastener__on=("13", "1")).until("fastener_why")
    work.log.add("not_done", "fastener.why")
    assert work.at() == "fastener_why"
    corrected(work, "fastener.on", "14", "1")
    assert work.at() == "fill_how"
    assert "fastener_why" not in hands().until("closed").passed
    assert "fasteners_on" not in hands(fastener__off=SKIP).until("closed").passed


def test_a_fluid_that_differs_from_what_the_maker_asks_is_not_filled() -> None:
    work = hands(repair__kind="radiator_with_cooler").until("coolant_label")
    work.log.add("fact", "coolant.label_fits", "differs")
    assert work.at() == "coolant_label"
    work.until("transmission_label")
    work.log.add("fact", "transmission.label_fits", "differs")
    assert work.at() == "transmission_label"


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("wanted", ["hold", "no_hold"])
def test_no_car_leaves_with_its_fan_off(kind: str, wanted: str) -> None:
    work = hands(repair__kind=kind, after__wanted=wanted, cap__how="replaced").until("closed")
    assert opens(work, "fan_back") is True
    assert ("road_test" in work.passed) == (kind in WET)


@pytest.mark.parametrize(
    ("answers", "asked"),
    [
        ({"repair__kind": "heater_core"}, True),
        ({"repair__kind": "none", "look__carpet": "yes"}, True),
        ({"repair__kind": "none", "look__screen_film": "yes", "drive__decision": "tow"}, True),
        ({}, False),
    ],
)
def test_a_wet_cabin_is_asked_about_before_the_car_goes_back(
    answers: dict[str, str], asked: bool
) -> None:
    work = hands(**answers).until("first_look")
    for name in ("look.carpet", "look.screen_film"):
        if name in work.answers:
            work.log.add("fact", name, work.answers[name][0])
    assert ("cabin" in work.until("closed").passed) is asked


@pytest.mark.parametrize("phase", PHASES)
def test_every_phase_tells_its_minutes_and_what_it_ends_with(phase: str) -> None:
    low, likely, high = PHASES[phase].minutes
    assert 0 < low <= likely <= high
    assert PHASES[phase].evidence


def test_the_questions_that_do_not_apply_are_not_asked() -> None:
    way = hands(
        work__route="seen", repair__kind="hose_or_clamp", cap__how="replaced",
        finding__watch="not_done",
    )  # fmt: skip
    assert way.until("closed").passed == [
        "car_name", "arrival", "where", "route", "drive_kind", "secured", "key_off", "fan_off",
        "place",
        "photo_wet", "watch_how", "repair_kind", "repair_opened",
        "match_hose", "quote_total", "consent_who", "consent_how", "gate.stands", "gate.cold",
        "teardown", "reassembly", "joints", "after_wanted", "old_place", "end_level", "end_litres",
        "end_put_in",
        "cap_line_seen", "level_watch", "gate.on_wheels", "gate.fan_back", "hand_over",
    ]  # fmt: skip
