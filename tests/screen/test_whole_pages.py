"""Pages held whole: every block, key and event of a few hand-made jobs, written out by hand."""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.logbook import Logbook
from tests.screen.hand.common import stop
from tests.screen.hand.plain import (
    NBSP,
    foot,
    heading,
    key,
    row,
    stores,
    table,
    title,
)
from tests.screen.hand.told import word
from tests.screen.test_view import RULES, described, view
from weeptrace.screen import own_rules

Json = dict[str, Any]
EXPORT: Final = {"call": "export"}


def pad_of(made: Json, name: str) -> Json:
    """A pad's own words are held elsewhere; here it is the field's and nothing is filled in."""
    assert made["event"]["field"] == name
    assert made["event"]["typed"] == ""
    return made


# --- what may be done at any time -----------------------------------------------------------------

SO_FAR: Final = key(word("screen.so_far"), {"look": "so_far"}, "undo")
FIND: Final = key(word("find.title"), {"look": "find"}, "search")
RAN: Final = key(word("screen.engine_ran"), stores("mark", "engine.ran"), "clock")
MOVED: Final = key(word("field.car.moved"), stores("mark", "car.moved"), "clock")
RECORD: Final = key(word("screen.record_so_far"), {"look": "record"}, "print")
SEEN: Final = key(word("choice.work.route.seen"), stores("fact", "work.route", "seen"), "drop")


def mark(name: str) -> Json:
    return key(word(f"field.{name}"), stores("mark", name), "plus")


def more(*before: Json, seen: bool = False, closed: bool = False) -> list[Json]:
    ends = [key(word("screen.export"), EXPORT, "export"), *([] if closed else [stop("job")])]
    return [*([SEEN] if seen else []), FIND, *before, SO_FAR, RAN, MOVED, RECORD, *ends]


@pytest.mark.parametrize(
    ("told", "offered"),
    [
        ((), more()),
        ((("fact", "work.route", "measure"),), more(seen=True)),
        ((("fact", "work.route", "seen"),), more()),
        (
            (("fact", "work.route", "measure"), ("fact", "finding.place", "upper_hose")),
            more(),
        ),
        ((("fact", "consent.how", "refused"),), more()),
        ((("not_done", "consent.how", ""),), more()),
        (
            (("fact", "consent.how", "spoken"),),
            more(mark("extra.found"), mark("broken.found")),
        ),
        (
            (("fact", "consent.how", "spoken"), ("closed", "job.closed", "")),
            more(mark("work.reopened"), closed=True),
        ),
        ((("closed", "job.closed", ""),), more(mark("work.reopened"), closed=True)),
    ],
)
def test_what_may_be_done_at_any_time_follows_what_is_known(
    told: tuple[tuple[str, str, str], ...], offered: list[Json]
) -> None:
    log = Logbook()
    for kind, name, typed in told:
        log.add(kind, name, typed)
    assert view(log)["more"] == offered


def test_the_shop_s_own_page_offers_what_is_stored_and_no_more() -> None:
    log = Logbook(job="shop")
    log.events.clear()
    log.add("opened", "rules.shop", RULES.hash)
    made = view(log)
    assert made["more"] == [SO_FAR]
    assert made["bar"] == {"title": word("screen.new_shop"), "number": ""}
    assert (made["practice"], made["awake"], made["rules"]) == (False, False, "")


@pytest.mark.parametrize(
    ("told", "bar", "practice"),
    [
        ((), (word("screen.new_coolant_loss"), ""), False),
        ((("car.name", "Heron"), ("job.number", "L-7")), ("Heron", "L-7"), False),
        ((("job.practice", "larkspur"),), (word("screen.new_coolant_loss"), ""), True),
    ],
)
def test_the_bar_says_car_and_number_and_whether_it_is_practice(
    told: tuple[tuple[str, str], ...], bar: tuple[str, str], practice: bool
) -> None:
    log = Logbook()
    for name, typed in told:
        log.add("fact", name, typed)
    made = view(log)
    assert (made["bar"]["title"], made["bar"]["number"]) == bar
    assert made["practice"] is practice
    assert made["job"] == "job-1"


# --- an entry that cannot be read -----------------------------------------------------------------


def test_an_entry_that_cannot_be_read_stands_there_raw_and_can_be_taken_back() -> None:
    log = described()
    spoilt = log.add("sparkle", "hold.pressure", "1")
    for n in range(2):
        log.add("fact", "car.name", f"Later {n}")
    made = view(log)
    why = made["blocks"][1]["lines"][0]
    assert "sparkle" in why
    assert made["blocks"] == [
        title("An entry cannot be read"),
        row("stop", "The job stops here", why, framed=True),
        heading("The entry, as it was stored"),
        table(*([name, str(value)] for name, value in spoilt.items()), figures=()),
        row(None, "", "2 later entries are stored and wait behind it."),
    ]
    assert made["foot"] == foot(
        key("Take this entry back", stores("undo", "hold.pressure", "", spoilt["id"]), "undo"),
        key("Export the job", EXPORT, "export"),
    )
    assert made["state"] == {"shape": "stop", "word": "Cannot be read", "figure": "see the job"}
    assert (made["step"], made["open"], made["bar"]["title"]) == (
        "broken", False, "Selwick Larkspur 2.4"
    )  # fmt: skip


# --- all that is stored ---------------------------------------------------------------------------


def test_the_list_of_a_job_that_was_only_opened_says_that_it_is_empty() -> None:
    made = view(Logbook(), "so_far")
    assert made["blocks"] == [
        title("Stored so far", "0"), row("not_measured", "Nothing is stored yet")
    ]  # fmt: skip
    assert made["foot"] == foot(key("Back to the job", {"look": ""}, "back"))


def test_the_list_of_what_is_stored_whole() -> None:
    log = Logbook()
    name = log.add("fact", "car.name", "Heron", at=60.0)
    route = log.add("fact", "work.route", "measure", at=120.0)
    first = log.add("photo", "finding.photo_wet", "picture-1", at=180.0)
    bare = log.add("photo", "part.radiator", "picture-3", at=181.0)
    second = log.add("photo", "finding.photo_wet", "picture-2", at=182.0)
    area = log.add("fact", "watch.area", "40", "cm2", at=240.0)
    slip = log.add("fact", "quote.total", "48", "1", at=300.0)
    price = log.add("fact", "quote.total", "480", "1", at=360.0, supersedes=slip["id"])
    unknown = log.add("not_done", "owner.rate", "", at=420.0)
    wild = log.add("fact", "car.cap_rating", "9999", "kPa", at=480.0)
    gone = log.add("fact", "cold.level", "-5", "mm", at=540.0)
    log.add("undo", "cold.level", supersedes=gone["id"], at=541.0)
    log.add("resumed", "app.resumed")
    made = view(log, "so_far")
    shown = {b["word"]: b for b in reversed(made["blocks"]) if b["block"] == "state"}
    back = "press to take it back"

    def stored(event: Json, clock: str, figure: str, shape: str = "done") -> Json:
        do = stores("undo", event["field"], "", event["id"])
        words = word(f"field.{event['field']}")
        return row(shape, words, clock, back, figure=figure, do=do)

    def typed(event: Json, clock: str, figure: str, shape: str = "done") -> Json:
        words = word(f"field.{event['field']}")
        pad = pad_of(shown[words]["do"]["pad"], event["field"])
        assert pad["event"] == {**pad["event"], "kind": "fact", "supersedes": event["id"]}
        return row(shape, words, clock, figure=figure, do={"pad": pad})

    refused = shown[word("field.car.cap_rating")]["lines"][1]
    assert "20 to 250" in refused.replace(NBSP, " ")
    body = [
        row("stop", word("field.car.cap_rating"), "14:08", refused, figure=f"9999{NBSP}kPa"),
        stored(unknown, "14:07", "not measured", "not_measured"),
        typed(price, "14:05", "480"),  # a correction keeps the moment of what it corrects
        typed(area, "14:04", f"40{NBSP}cm2"),
        stored(second, "14:03", "picture-2"),
        stored(bare, "14:03", "picture-3"),
        stored(first, "14:03", "picture-1"),
        stored(route, "14:02", word("record_choice.work.route.measure")),
        stored(name, "14:01", "Heron"),
        row("not_done", word("field.cold.level"), "taken back or corrected", figure=f"−5{NBSP}mm"),
        row("not_done", word("field.quote.total"), "taken back or corrected", figure="48"),
        heading(word("screen.pictures")),
        {"block": "photo", "photos": [
            {"id": "picture-1", "caption": word("field.finding.photo_wet")},
            {"id": "picture-2", "caption": word("field.finding.photo_wet")},
            {"id": "picture-3", "caption": word("field.part.radiator")},
        ]},
    ]  # fmt: skip
    assert wild["id"] != price["id"]
    assert made["blocks"][0] == title("Stored so far", "9")
    assert sorted(map(str, made["blocks"][1:])) == sorted(map(str, body))
    assert made["blocks"][-2:] == body[-2:]
    assert made["foot"] == foot(key("Back to the job", {"look": ""}, "back"))
    assert made["step"] == "so_far"


# --- rules of another age -------------------------------------------------------------------------


def test_a_job_whose_rules_are_not_here_says_so_on_every_page() -> None:
    log = Logbook("0123456789abcdef0123")
    log.describe_car()
    first = f"{word('screen.rules_missing')} 0123456789ab"
    then = f"{word('screen.rules_missing_then')} {RULES.hash}."
    for look in ("", "so_far", "record", "find"):
        made = view(log, look)
        assert made["blocks"][1] == row("not_measured", first, then, framed=True)
        assert made["rules"] == f"{first} {then}"


def test_what_is_stored_of_a_job_that_nobody_can_judge() -> None:
    long = "x" * 90
    events = [
        {"field": "car.name", "typed": "Heron", "unit": None, "at": "2026-11-25T09:05:00+01:00"},
        {"field": long, "typed": long, "unit": long, "at": "2026-11-25T09:06:00+01:00"},
        {"field": "owner.rate", "typed": "0.4", "unit": "L", "at": "2026-11-25T09:07:00+01:00"},
    ]
    numbers = [{"field": "job.number", "typed": "L-014"}, {"field": "job.practice", "typed": "a"}]
    made = own_rules.raw_view(RULES, "job-9", events, "Too old.")
    text = "screen.rules_unread"
    assert made == {
        "job": "job-9", "practice": False, "bar": {"title": "Heron", "number": ""},
        "edge": {"phases": [word(f"{text}_phase")], "now": 0}, "step": "rules_unread",
        "state": {"shape": "stop", "word": word(f"{text}_state"), "figure": ""},
        "rules": "Too old.",
        "blocks": [
            title(word(text)),
            row("stop", word(f"{text}_then"), "Too old.", framed=True),
            heading(word(f"{text}_events")),
            table(["car.name", "Heron", "09:05"], [long[:60], long[:60], "09:06"],
                  ["owner.rate", "0.4 L", "09:07"], figures=()),
        ],
        "foot": foot(key(word("screen.export"), EXPORT, "export")),
        "more": [], "awake": False, "open": False,
    }  # fmt: skip
    made = own_rules.raw_view(RULES, "job-9", numbers, "")
    assert made["practice"] is True
    assert made["bar"] == {"title": word("screen.new_coolant_loss"), "number": "L-014"}
    assert made["blocks"][-1] == table(
        ["job.number", "L-014", ""], ["job.practice", "a", ""], figures=()
    )
    events[0]["typed"] = long
    assert own_rules.raw_view(RULES, "j", events, "")["bar"]["title"] == long[:60]
