"""What a job's file and its entries are refused for, in words that help; what is taken of them."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from tests.logbook import Logbook
from weeptrace.job import files
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.refusal import Refusal
from weeptrace.rules import load
from weeptrace.screen.figures import Show
from weeptrace.told import plain

RULES = load()
JOB = "01990000-0000-7000-8000-0000000000a1"
Json = dict[str, Any]


def events() -> list[Json]:
    log = Logbook(job=JOB)
    log.add("fact", "car.name", "Selwick Lärche “2.4”")
    log.add("fact", "car.capacity", "7.6", "L")
    return log.events


def refused(changed: list[Json] | str) -> Refusal:
    text = changed if isinstance(changed, str) else files.to_text(changed)
    with pytest.raises(Refusal) as problem:
        files.from_text(text)
    return problem.value


def with_(number: int, **keys: Any) -> list[Json]:
    made = events()
    made[number] = {**made[number], **keys}
    return made


def test_a_file_is_plain_text_with_its_format_and_version() -> None:
    text = files.to_text(events())
    assert "Selwick Lärche “2.4”" in text
    assert json.loads(text) == {"format": "weeptrace.job", "version": 1, "events": events()}
    assert files.from_text(text) == events()
    assert text.startswith('{\n "format"')  # a line for each key, for eyes and for diffs


@pytest.mark.parametrize(
    ("keys", "place", "accepted"),
    [
        ({"seq": -1}, ".seq", "0 to 999999999"),
        ({"seq": 10**9}, ".seq", "0 to 999999999"),
        ({"seq": 1.5}, ".seq", "0, 1, 2 …"),
        ({"seq": True}, ".seq", "0, 1, 2 …"),
        ({"seq": 2**53}, ".seq", "0, 1, 2 …"),
        ({"mono": 1.1e12}, ".mono", "up to 1000000000000 ms"),
        ({"mono": -1.1e12}, ".mono", "up to 1000000000000 ms"),
        ({"mono": "0"}, ".mono", "milliseconds since the boot"),
        ({"at": "2026-11-25T14:09:00"}, ".at", "2026-11-25T14:09:00+01:00"),
        ({"at": "noon"}, ".at", "ISO 8601 with offset"),
        ({"id": "1"}, ".id", "a UUIDv7"),
        ({"unit": 1}, ".unit", "a text, or null"),
        ({"supersedes": 1}, ".supersedes", "a text, or null"),
        ({"typed": None}, ".typed", "a text"),
        ({"boot": 1}, ".boot", "a text"),
        ({"device": None}, ".device", "a text"),
        ({"kind": 1}, ".kind", "a text"),
        ({"field": 1}, ".field", "a text"),
        ({"job": "01990000-0000-7000-8000-0000000000a2"}, ".job", "one job"),
        ({"colour": "red"}, "", "supersedes"),
    ],
)
def test_an_event_that_no_phone_stores_is_refused_with_its_place(
    keys: Json, place: str, accepted: str
) -> None:
    problem = refused(with_(2, **keys))
    assert problem.path == f"events[2]{place}"
    assert accepted in problem.accepted
    assert problem.message.startswith(f"The file is damaged at events[2]{place}: ")
    assert problem.message.endswith("Nothing was taken from it.")


@pytest.mark.parametrize(
    "keys",
    [{"seq": 0}, {"seq": 10**9 - 1}, {"seq": 2.0}, {"mono": 1e12}, {"mono": -1e12},
     {"unit": None}, {"supersedes": None}],
)  # fmt: skip
def test_what_a_phone_may_store_is_taken(keys: Json) -> None:
    changed = with_(2, **keys)
    assert files.from_text(files.to_text(changed)) == changed


def test_a_job_s_name_is_a_uuid_and_no_more_of_a_wrong_one_is_repeated_than_40_signs() -> None:
    made = [{**event, "job": "x" * 60} for event in events()]
    problem = refused(made)
    assert f"“{'x' * 40}” is not the name of a customer's job." in problem.message
    assert (problem.path, problem.accepted) == ("events[0].job", "a UUIDv7")


@pytest.mark.parametrize(
    ("text", "code", "words", "path"),
    [
        ("{", "damaged_file", "damaged at line 1, column 2", "line 1"),
        ("{\n\n}}", "damaged_file", "damaged at line 3, column 2", "line 3"),
        ("[]", "not_a_job_file", "not a job file of this app", "format"),
        ('{"format": "other"}', "not_a_job_file", "not a job file of this app", "format"),
        ('{"format": "weeptrace.job", "version": 2, "events": []}', "other_version",
         "of version 2; this app reads version 1", "version"),
        ('{"format": "weeptrace.job", "version": true, "events": []}', "other_version",
         "of version true; this app reads version 1", "version"),
        ('{"format": "weeptrace.job", "version": "%s", "events": []}' % ("v" * 40),
         "other_version", "of version \"%s; this app" % ("v" * 19), "version"),
        ('{"format": "weeptrace.job", "version": 1, "events": [], "%s": 1}' % ("k" * 30),
         "damaged_file", f"contains “{'k' * 20}”, which does not belong in a job file", "k" * 20),
        ('{"format": "weeptrace.job", "version": 1}', "damaged_file",
         "holds no list of events", "events"),
        ('{"format": "weeptrace.job", "version": 1, "events": [1]}', "damaged_file",
         "holds no list of events", "events"),
        ('{"format": "weeptrace.job", "version": 1, "events": []}', "damaged_file",
         "There are no events.", "events"),
        ('{"format": "weeptrace.job", "format": "weeptrace.job", "version": 1, "events": []}',
         "damaged_file", "a key appears twice", ""),
        ('{"format": NaN}', "damaged_file", "bad number: NaN", ""),
    ],
)  # fmt: skip
def test_a_file_that_is_none_is_refused_with_its_reason(
    text: str, code: str, words: str, path: str
) -> None:
    problem = refused(text)
    assert (problem.code, problem.path) == (code, path)
    assert words in problem.message
    assert "Nothing was taken from it." in problem.message


def test_an_event_stands_once_and_one_of_them_opens_the_job() -> None:
    made = events()
    problem = refused([*made, {**made[1], "seq": 9}])
    assert (problem.path, problem.accepted) == ("events[3].id", "each id once")
    assert "An event appears twice." in problem.message
    problem = refused(made[1:])
    assert (problem.path, problem.accepted) == ("events", "one event of kind “opened”")
    assert "No event opens the job." in problem.message
    foreign = refused(with_(2, **{"k" * 30: 1}))
    assert f"The event contains “{'k' * 20}”, which does not belong in an event." in foreign.message


def test_a_moment_is_in_seconds_by_both_clocks() -> None:
    moment = read_moment({"at": "1970-01-01T01:00:10+01:00", "mono": 2500, "boot": "b"})
    assert (moment.wall, moment.mono, moment.boot) == (10.0, 2.5, "b")
    assert moment.second() == ("b", 2)
    assert moment.second(-1) == ("b", 1)
    later = read_moment({"at": "1970-01-01T01:01:10+01:00", "mono": 9500, "boot": "b"})
    assert later.since(moment) == 7.0  # within a boot by its own clock
    assert later.age(moment) == 60.0  # how old it is: by the longer one
    other = read_moment({"at": "1970-01-01T01:01:10+01:00", "mono": 0, "boot": "c"})
    assert (other.since(moment), other.age(moment)) == (60.0, 60.0)


def trouble(kind: str, field: str, typed: str = "", unit: str | None = None) -> tuple[str, str]:
    log = Logbook()
    log.add(kind, field, typed, unit)
    job = fold(RULES, log.events)
    (found,) = job.troubles.values()
    assert not job.answered(field)
    return found.words.replace("\N{NO-BREAK SPACE}", " "), plain(found.accepted)


def word(id: str) -> str:
    return RULES.text(id)


def test_what_an_entry_is_refused_for() -> None:
    name = word("field.car.name")
    assert trouble("mark", "car.name")[0] == f"“mark” does not answer “{name}”."
    signs = trouble("fact", "car.name", "  ")
    assert signs == ("Type 1 to 28 characters; this has 0.", "1 to 28 characters")
    longest = RULES.fields["car.name"].longest
    assert longest == 28
    assert trouble("fact", "car.name", "a" * 29)[0] == "Type 1 to 28 characters; this has 29."
    words = ", ".join(word(f"choice.test.gas.{w}") for w in RULES.fields["test.gas"].options)
    assert trouble("fact", "test.gas", "z" * 50)[0] == f"“{'z' * 40}” is none of: {words}."
    part = word("field.part.radiator")
    off = trouble("fact", "part.radiator", "on")[0]
    assert off == f"{part} is not off, so it can't be refitted. Mark it as off first."
    assert (
        trouble("fact", "part.radiator", "y" * 50)[0] == f"“{'y' * 40}” is neither “off” nor “on”."
    )
    count = word("field.quote.total")
    assert trouble("fact", "quote.total", "3", "L") == (
        f"{count} is a count without a unit. Accepted: 0 to 100000.", "0 to 100000"
    )  # fmt: skip
    several = next(f for f in RULES.fields.values() if f.kind == "choices")
    said = trouble("fact", several.id, f"{several.options[0]},{'q' * 50}")[0]
    assert said.startswith(f"“{'q' * 40}” is none of: ")
    assert said.count(",") == len(several.options) - 1 + sum(
        word(several.word(o)).count(",") for o in several.options
    )
    assert trouble("fact", "no.such", "1")[0] == "“no.such” is not a field of these rules."


def test_several_words_are_kept_once_in_the_field_s_order() -> None:
    several = next(f for f in RULES.fields.values() if f.kind == "choices")
    first, second, third = several.options[:3]
    log = Logbook()
    log.add("fact", several.id, ",".join((third, first, third)))
    assert fold(RULES, log.events).value(several.id) == f"{first},{third}"
    assert second not in (first, third)


def test_words_are_kept_with_their_spaces_tidied_and_none_of_28_is_lost() -> None:
    log = Logbook()
    log.add("fact", "car.name", "  Selwick   Larkspur ")
    assert fold(RULES, log.events).value("car.name") == "Selwick Larkspur"
    log.add("fact", "car.name", "a" * 28)
    assert fold(RULES, log.events).value("car.name") == "a" * 28


@pytest.mark.parametrize(
    ("typed", "unit", "kept"),
    [
        # The cap is rated 110 kPa; the gauge ends at 100 kPa: the lower of both caps it.
        ("100", "kPa", 100e3), ("100.1", "kPa", None), ("0", "kPa", 0.0), ("-0.1", "kPa", None),
        ("1", "bar", 100e3), ("1.01", "bar", None),
    ],
)  # fmt: skip
def test_a_needle_goes_no_higher_than_rating_and_scale(
    typed: str, unit: str, kept: float | None
) -> None:
    log = Logbook()
    log.add("fact", "car.cap_rating", "110", "kPa")
    log.add("fact", "tester.span", "100", "kPa")
    log.add("reading", "hold.pressure", typed, unit)
    job = fold(RULES, log.events)
    assert [f.value for _, f in job.present("hold.pressure").times()] == (
        [] if kept is None else [pytest.approx(kept)]
    )
    if kept is None:
        over = "" if typed.startswith("-") else f": above the {cap_name('tester.span')}"
        words = job.troubles["hold.pressure"].words.replace("\N{NO-BREAK SPACE}", " ")
        top = "0 to 100 kPa" if unit == "kPa" else "0 to 1.00 bar"
        assert words == f"{typed} {unit} is not accepted{over}. Accepted: {top}. Type it again."


def cap_name(field: str) -> str:
    name = word(f"field.{field}")
    return name[0].lower() + name[1:]


def test_a_range_is_never_told_higher_than_it_is() -> None:
    """110 kPa are 15.954 psi (NIST SP 811: 6.894757 kPa each): told as 15.9, not as 16.0."""
    log = Logbook()
    log.add("fact", "tester.span", "110", "kPa")
    log.add("reading", "hold.pressure", "16.0", "psi")
    words = fold(RULES, log.events).troubles["hold.pressure"].words
    assert words.replace("\N{NO-BREAK SPACE}", " ").endswith(
        "Accepted: 0 to 15.9 psi. Type it again."
    )


def test_a_field_is_told_by_the_name_that_its_own_rules_give_it() -> None:
    """One of older rules that this version has no words for, on the screen and beside it."""
    own = "field.car.former"
    field = replace(RULES.fields["car.name"], id="car.former")
    rules = replace(
        RULES,
        fields={**RULES.fields, "car.former": field},
        texts={**RULES.texts, own: "Former name"},
    )
    log = Logbook()
    log.add("mark", "car.former")
    trouble = fold(rules, log.events).troubles["car.former"]
    units = rules.unit_sets[0]["units"]
    for told in (trouble.words, Show(rules, units).told(trouble.said)):
        assert told == "“mark” does not answer “Former name”."


@pytest.mark.parametrize(("typed", "kept"), [("-70", 70e3), ("70", 70e3), ("79", 79e3)])
def test_a_vacuum_is_typed_with_either_sign(typed: str, kept: float) -> None:
    log = Logbook()
    log.add("fact", "place.altitude", "2000", "m")
    log.add("reading", "vacuum.pressure", typed, "kPa")
    (only,) = fold(RULES, log.events).present("vacuum.pressure").times()
    assert only[1].value == pytest.approx(kept)


def test_a_vacuum_goes_no_deeper_than_the_air_here() -> None:
    """79.5 kPa at 2000 m (ISO 2533); at the sea the field's own range ends first."""
    log = Logbook()
    log.add("fact", "place.altitude", "2000", "m")
    log.add("reading", "vacuum.pressure", "80", "kPa")
    words = fold(RULES, log.events).troubles["vacuum.pressure"].words
    assert "80 kPa is not accepted: above the air pressure here." in words
    log = Logbook()
    log.add("reading", "vacuum.pressure", "101.1", "kPa")
    words = fold(RULES, log.events).troubles["vacuum.pressure"].words
    assert "101.1 kPa is not accepted. Accepted: 0 to 101" in words
