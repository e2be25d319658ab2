"""The record's sections row by row: of four hand-made jobs, whole, as a hand writes them."""

from __future__ import annotations

from functools import cache
from typing import Final

import pytest

from tests.logbook import Logbook
from tests.screen.hand.plain import NBSP
from tests.screen.hand.told import FIELDS, Told, word
from tests.screen.records import RULES, add, measured, mended_before, seen, with_every_section
from weeptrace.job.advance import fold
from weeptrace.screen.figures import Show
from weeptrace.screen.record.facts import Section, sections

UNITS: Final = {each["id"]: each["units"] for each in RULES.unit_sets}
Rows = list[tuple[str, str]]


def told_by(log: Logbook) -> dict[str, Section]:
    return sections(Show(RULES, UNITS["kpa"]), fold(RULES, log.events))


def at(id: str) -> str:
    return word(f"record.{id}")


def named(**fields: str) -> Rows:
    """Rows by the fields' ids, with "__" for the dot."""
    return [(word(f"field.{id.replace('__', '.')}"), said.replace("_", NBSP))
            for id, said in fields.items()]  # fmt: skip


def joined(**fields: str) -> str:
    return "; ".join(f"{name}: {said}" for name, said in named(**fields))


def answer(id: str, option: str) -> str:
    """A choice in the table's words."""
    return word(f"choice.{FIELDS[id].get('worded_as', id)}.{option}")


def clock(log: Logbook, name: str) -> str:
    return Told(log.events).clock(name)


def fields(*ids: str) -> str:
    return "; ".join(word(f"field.{id}") for id in ids)


CAR: Final = named(
    complaint__words="It only drips at night", owner__rate="0.35_L/1000 km",
    car__cap_rating="110_kPa", car__capacity="7.6_L",
    car__glycol=answer("car.glycol", "ethylene"), place__altitude="190_m", place__ambient="8_°C",
)  # fmt: skip
TESTER: Final = named(
    tester__span="160_kPa", tester__division="2_kPa", tester__stroke_volume="40_mL",
    tester__adapter="Neck, wide", tester__self_fall="0_kPa",
)  # fmt: skip
FOUND: Final = [
    *named(told__seen="0 of 10 asked", look__seen="0 of 8 asked"),
    (at("row_told"), joined(car__odometer="84000_km", quote__diagnosis="90_EUR")),
    (at("row_cold"), joined(cold__level="−5_mm", cold__strength="47_%",
                            coolant__condition=answer("coolant.condition", "clean"),
                            oil__engine=answer("oil.engine", "clean"),
                            oil__transmission=answer("oil.transmission", "clean"))),
    (at("row_cap"), joined(cap__how=answer("cap.how", "replaced"))),
]  # fmt: skip
CONSENT: Final = named(consent__who="R. Sand", consent__how=answer("consent.how", "spoken"))
REPAIR: Final = answer("repair.kind", "radiator")
QUOTE: Final = [
    *named(repair__kind=REPAIR, quote__hours="3.5_h", quote__reason="Seam wet again after drying",
           quote__parts="310_EUR", quote__total="480_EUR", quote__ceiling="560_EUR"),
    *CONSENT,
]  # fmt: skip
PARTS: Final = [
    ("New part against the car", "14 of 14 points matched"),
    ("Off and on again", fields("part.under_tray", "part.upper_hose", "part.radiator")),
    ("Left on", fields("part.condenser")),
    ("Joints, a second look", "10 of 10 points ticked"),
]
COOLANT: Final = named(
    coolant__missing_before="0.3_L", coolant__drained="4.3_L", coolant__residual_strength="35_%",
    coolant__target_strength="50_%", coolant__at_hand=answer("coolant.at_hand", "concentrate"),
    fill__how=answer("fill.how", "open_neck"), coolant__filled="4.55_L", coolant__spilled="0.05_L",
)  # fmt: skip
AFTER: Final = [
    (at("row_counted"), joined(fastener__off="14_pieces", fastener__on="14_pieces")),
    (at("row_labels"), joined(coolant__label_fits=answer("coolant.label_fits", "fits"))),
    (at("row_seen"), joined(after__other=answer("after.other", "none"))),
    (at("row_again"), joined(level__end=answer("level.end", "at_mark"))),
    (at("row_clean"), joined(clean__washed="done", clean__can="the blue can")),
    *named(hand__seen="0 of 5 asked"),
]
WATCH: Final = named(watch__level="22_mm", watch__area="not measured",
                     watch__booked=answer("watch.booked", "booked"))  # fmt: skip
OWNER: Final = [at("owner_level"), at("owner_poison"), at("owner_cap")]
BLIND: Final = ("turning", "hot", "cap", "cylinder")


def blind(*more: str) -> str:
    what = "; ".join(word(f"cannot_see.{id}") for id in (*BLIND, *more))
    return f"These holds cannot see: {what}."


def unanswered() -> list[str]:
    return [
        f"Not reachable: {fields('zone.valley')}.",
        f"Not done: {fields('bleed.no_bubbles', 'recheck.clamps', 'road.driven')}.",
        f"Not given: {fields('clean.receipt', 'quote.left_out')}.",
        f"No picture taken: {fields('finding.photo_again', 'finding.photo_wet')}.",
        f"Not measured: {fields('level.litres', 'recheck.strength', 'watch.area')}.",
    ]


def proof(log: Logbook) -> Rows:
    said = {
        "finding.place": answer("finding.place", "radiator_seam"),
        "finding.watch": answer("finding.watch", "pressure"), "finding.dried": "yes",
        "finding.wet_again": answer("finding.wet_again", "wet"),
        "after.old_place": answer("after.old_place", "dry"),
    }  # fmt: skip
    return [(word(f"field.{id}"), f"{words}, {clock(log, id)}") for id, words in said.items()]


@cache
def of_measured() -> dict[str, Section]:
    return told_by(measured())


def test_a_job_measured_before_and_after_has_its_sections_in_order() -> None:
    made = of_measured()
    assert list(made) == [
        "car", "found", "cause", "quote", "parts", "coolant", "balance", "warm", "after_work",
        "watch", "tester", "not_checked", "owner",
    ]  # fmt: skip
    assert all(each.heading == at(id) and each.id == id for id, each in made.items())


@pytest.mark.parametrize(
    ("id", "rows"),
    [("car", CAR), ("found", FOUND), ("cause", proof(measured())), ("quote", QUOTE),
     ("parts", PARTS), ("after_work", AFTER), ("watch", WATCH), ("tester", TESTER),
     ("not_checked", []), ("owner", [])],
)  # fmt: skip
def test_a_job_measured_before_and_after_row_by_row(id: str, rows: Rows) -> None:
    made = of_measured()[id]
    assert list(made.rows) == rows
    assert bool(made.lines) is (id in ("not_checked", "owner"))


def test_a_job_measured_before_and_after_with_its_fluids_and_what_was_not_checked() -> None:
    made = of_measured()
    rows = {id: list(each.rows) for id, each in made.items()}
    assert rows["coolant"][:8] == COOLANT
    assert [name for name, _ in rows["coolant"][8:]] == [
        "Mix plan", "Strength after, planned", "Freeze point after, planned"
    ]  # fmt: skip
    assert made["balance"].lines == (word("screen.waste"),)
    assert [name for name, _ in rows["balance"]] == [
        "Balance", f"Waste: {word('waste.used_coolant')}", f"Waste: {word('waste.spilled')}"
    ]  # fmt: skip
    assert made["coolant"].lines == made["warm"].lines == ()
    lines = list(made["not_checked"].lines)
    assert lines[0] == blind()
    assert lines[2].startswith("Not looked at: ")
    assert sorted(lines[2].removesuffix(".").partition(": ")[2].split("; ")) == sorted(
        "; ".join(word(f"field.{id}") for id, field in FIELDS.items()
                  if id.startswith("zone.") and id not in ("zone.radiator_seam", "zone.valley")
                  and field["kind"] == "choice").split("; ")
    )  # fmt: skip
    assert [lines[1], *lines[3:]] == unanswered()
    assert list(made["owner"].lines) == OWNER


def test_what_else_a_record_can_tell_row_by_row() -> None:
    made = told_by(with_every_section())
    assert list(made) == [
        "car", "found", "cause", "other_holds", "tests", "quote", "parts", "coolant", "balance",
        "transmission", "warm", "after_work", "watch", "tester", "not_checked", "owner",
    ]  # fmt: skip
    assert list(made["tests"].rows) == [
        ("Held overnight",
         joined(test__block_evening="21_°C", test__air_evening="17_°C",
                test__strokes="9_counted", test__evening="85_kPa", test__morning="40_kPa",
                test__block_morning="12_°C", test__air_morning="11_°C",
                test__cylinders=answer("test.cylinders", "not_looked"))
         + f"; A tight car shows: 70{NBSP}kPa (64 to 75); with the block at: 12{NBSP}°C"
         # 69.3 by the balance of tests/hold/test_overnight.py
         "; What the night shows: Fell more than cooling explains")
    ]  # fmt: skip
    more = joined(extra__price="40_EUR", extra__how=answer("extra.how", "written"),
                  extra__who="R. Sand")  # fmt: skip
    assert list(made["quote"].rows) == [*QUOTE, (at("added"), f"Belt is soaked. {more}")]
    assert list(made["transmission"].rows) == named(
        transmission__caught="350_g", transmission__filled="340_g"
    )
    assert made["not_checked"].lines[0] == blind("pushed_open", "small")


def test_a_second_round_keeps_what_the_first_one_did() -> None:
    made = told_by(mended_before())
    assert list(made) == [
        "car", "found", "cause", "quote", "parts", "coolant", "balance", "warm", "earlier",
        "tester", "not_checked", "owner",
    ]  # fmt: skip
    before = joined(
        finding__wet_again=answer("finding.wet_again", "wet"), repair__kind=REPAIR,
        quote__total="480_EUR", consent__who="R. Sand", consent__how=CONSENT[1][1],
        coolant__drained="4.3_L", coolant__filled="4.55_L",
        after__old_place=answer("after.old_place", "dry"),
        after__other=answer("after.other", "none"),
    )  # fmt: skip
    parts = "; ".join(f"{name}: {said}" for name, said in PARTS)
    assert list(made["earlier"].rows) == [
        (answer("finding.place", "radiator_seam"), f"{before}; {parts}")
    ]
    assert list(made["quote"].rows) == named(repair__kind=answer("repair.kind", "hose_or_clamp"))
    assert made["parts"].rows == ()
    left = {name: said for name, said in COOLANT if name != word("field.coolant.spilled")}
    assert dict(made["coolant"].rows[:7]) == left
    assert made["coolant"].rows[7] == (word("field.coolant.spilled"), "not measured")
    assert list(made["not_checked"].lines) == [
        blind(), f"Not measured: {fields('coolant.spilled', 'watch.area')}.", at("not_watched")
    ]  # fmt: skip
    assert [words for name, words in made["cause"].rows[1:]] == ["not measured"] * 3


def test_a_clamp_that_one_can_see_row_by_row() -> None:
    log = seen()
    made = told_by(log)
    assert list(made) == [
        "car", "found", "cause", "quote", "parts", "after_work", "watch", "not_checked", "owner"
    ]  # fmt: skip
    assert made["car"].rows == ()
    assert list(made["found"].rows) == FOUND[-1:]
    assert list(made["cause"].rows) == [
        (word("field.finding.place"),
         f"{answer('finding.place', 'upper_hose')}, {clock(log, 'finding.place')}"),
        (word("field.finding.watch"),
         f"{answer('finding.watch', 'not_done')}, {clock(log, 'finding.watch')}"),
        *named(finding__dried="not measured", finding__wet_again="not measured"),
        (word("field.after.old_place"),
         f"{answer('after.old_place', 'dry')}, {clock(log, 'after.old_place')}"),
    ]  # fmt: skip
    assert list(made["quote"].rows) == [
        *named(repair__kind=answer("repair.kind", "hose_or_clamp"),
               quote__total=f"40_{at('currency')}"), *CONSENT,
    ]  # fmt: skip
    assert list(made["parts"].rows) == [
        ("New part against the car", "2 of 2 points matched"),
        ("Off and on again", fields("part.clamp")),
        ("Joints, a second look", "4 of 4 points ticked"),
    ]
    put_in = joined(level__end=answer("level.end", "at_mark"),
                    level__put_in=answer("level.put_in", "little"))  # fmt: skip
    assert list(made["after_work"].rows) == [(at("row_again"), put_in)]
    assert list(made["watch"].rows) == [
        *named(watch__level="not measured", watch__area="not measured"), WATCH[2]
    ]  # fmt: skip
    assert list(made["not_checked"].lines) == [
        at("no_hold_at_all"), f"No picture taken: {fields('finding.photo_wet')}.",
        f"Not measured: {fields('level.litres')}.",
    ]  # fmt: skip
    assert list(made["owner"].lines) == OWNER


@pytest.mark.parametrize(
    ("told", "lines"),
    [
        ((("fact", "cap.how", "tested", None),), OWNER[:2]),
        ((("fact", "cap.how", "tested", None), ("done", "cap.replaced", "", None)), OWNER),
    ],
)
def test_the_owner_is_told_of_a_cap_only_where_it_is_new(
    told: tuple[tuple[str, str, str, str | None], ...], lines: list[str]
) -> None:
    log = Logbook()
    add(log, told)
    assert list(told_by(log)["owner"].lines) == lines


def test_what_was_found_otherwise_than_sound_is_told_in_words() -> None:
    log = Logbook()
    add(log, (("fact", "told.smell", "no", None), ("fact", "told.overheated", "to_the_stop", None),
              ("done", "told.seen", "", None)))  # fmt: skip
    rows = list(told_by(log)["found"].rows)
    over = answer("told.overheated", "to_the_stop")
    assert rows == named(told__seen=f"2 of 10 asked; {word('field.told.overheated')}: {over}")
    log.add("fact", "told.overheated", "no")
    assert list(told_by(log)["found"].rows) == named(
        told__seen=f"2 of 10 asked; {at('no_findings')}"
    )


def test_a_new_ceiling_and_what_broke_stand_with_the_price() -> None:
    log = measured()
    add(log, (("fact", "broken.what", "Neck snapped", None),
              ("fact", "broken.minutes", "30", "min"),
              ("fact", "broken.price", "0", "1"), ("fact", "broken.how", "spoken", None),
              ("fact", "quote.ceiling_new", "700", "1"), ("fact", "ceiling.who", "R. Sand", None),
              ("fact", "ceiling.how", "written", None)))  # fmt: skip
    broke = joined(broken__minutes="30_min", broken__price="0_EUR",
                   broken__how=answer("broken.how", "spoken"))  # fmt: skip
    assert list(told_by(log)["quote"].rows) == [
        *QUOTE, (at("added"), f"Neck snapped. {broke}"),
        *named(quote__ceiling_new="700_EUR", ceiling__who="R. Sand",
               ceiling__how=answer("ceiling.how", "written")),
    ]  # fmt: skip


def test_a_stop_and_a_missing_warm_up_are_told_as_not_checked() -> None:
    log = Logbook()
    add(log, (("fact", "coolant.drained", "4", "L"), ("fact", "coolant.filled", "4", "L"),
              ("not_done", "owner.rate", "nobody knows", None),
              ("fact", "watch.booked", "booked", None),
              ("stopped", "gate.job", "dark", None)))  # fmt: skip
    assert list(told_by(log)["not_checked"].lines) == [
        at("no_hold_at_all"), f"Not measured: nobody knows: {fields('owner.rate')}.",
        at("not_warmed"), "The job was stopped: dark",
    ]  # fmt: skip
