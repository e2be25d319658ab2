"""Gates that open by what the job knows, held whole; what is refused; what keeps the screen on."""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.logbook import Logbook
from tests.screen.hand.plain import NBSP, caution, event, foot, key, prompt, row, stores, title
from tests.screen.hand.told import word
from tests.screen.test_view import RULES, blocks, described, holding, view
from weeptrace.job.advance import fold
from weeptrace.job.car.left import BACK
from weeptrace.job.events import read_moment
from weeptrace.refusal import Refusal
from weeptrace.rules import conditions
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import gate

Json = dict[str, Any]
SHOW: Final = Show(RULES, next(e["units"] for e in RULES.unit_sets if e["id"] == "kpa"))
Told = tuple[str, str, str, str | None]


def page(id: str, *told: Told) -> tuple[list[Json], Json, dict[str, str]]:
    """What a gate shows of a job of these entries, and the entries' ids by field."""
    log, ids = Logbook(), {}
    for kind, name, typed, unit in told:
        log.now += 5.0
        ids[name] = log.add(kind, name, typed, unit)["id"]
    job, now = fold(RULES, log.events), read_moment(log.moment())
    assert not job.troubles
    body, made = gate.blocks(SHOW, job, RULES.gates[id], now)
    assert body[:2] == [title(word(f"gate.{id}.title")), prompt(word(f"gate.{id}.prompt"))]
    stop = {"reason": event("stopped", f"gate.{id}")}
    assert made == foot(None, key(word("screen.so_far"), {"look": "so_far"}, "undo"),
                        key(word("screen.stop_refer"), stop, "stop"))  # fmt: skip
    return body[2:], made, ids


def still_off(name: str) -> Json:
    return row("stop", word(f"field.{name}"), "still off", framed=True)


def known(name: str, words: str, id: str) -> Json:
    """What was answered and keeps it shut: a press takes it back."""
    undo = stores("undo", name, "", id)
    return row("stop", word(f"field.{name}"), words, word("screen.press_to_undo"), framed=True,
               do=undo)  # fmt: skip


def unknown(name: str, do: Json | None = None) -> Json:
    kind = RULES.fields[name].kind
    words = {"choice": "not answered", "quantity": "not measured"}.get(kind, "not done yet")
    return row("stop", word(f"field.{name}"), words, framed=True, do=do)


def choice(name: str) -> Json:
    return parts.choice(RULES, RULES.fields[name])


def ask(name: str) -> Json:
    return parts.words(SHOW, name)


OFF: Final[tuple[Told, ...]] = (
    ("fact", "repair.kind", "radiator", None), ("fact", "part.upper_hose", "off", None),
    ("fact", "part.under_tray", "off", None), ("fact", "part.radiator", "off", None),
    ("fact", "part.radiator", "on", None), ("fact", "part.fan_plug", "off", None),
)  # fmt: skip


def test_an_engine_runs_with_nothing_off_that_it_needs() -> None:
    """The tray hangs in the way of nobody who runs the engine; before the road it is on too."""
    unfilled = row("stop", word("shut.seen.unfilled"), framed=True)
    rows, _, _ = page("ready_to_run", *OFF)
    assert rows == [still_off("part.upper_hose"), still_off("part.fan_plug"), unfilled]
    rows, _, _ = page("ready_to_run", *OFF, ("fact", "part.upper_hose", "on", None))
    assert rows == [still_off("part.fan_plug"), unfilled]
    rows, _, _ = page("road_closed", *OFF)
    off = [each for each in rows if each["lines"] == ["still off"]]
    names = ("part.under_tray", "part.upper_hose", "part.fan_plug")
    assert sorted(off, key=str) == sorted(map(still_off, names), key=str)
    assert unknown("road.tray_on", stores("done", "road.tray_on")) in rows


def test_an_engine_does_not_run_while_the_coolant_is_out() -> None:
    rows, _, ids = page("ready_to_run", ("fact", "coolant.drained", "4", "L"))
    assert known("coolant.drained", f"4{NBSP}L", ids["coolant.drained"]) in rows
    typed = {"pad": parts.pad(SHOW, fold(RULES, Logbook().events), RULES.fields["coolant.filled"])}
    assert unknown("coolant.filled", typed) in rows
    assert row("stop", word("shut.seen.drained"), framed=True) in rows
    assert len(rows) == 3
    rows, _, _ = page("ready_to_run", ("fact", "coolant.drained", "4", "L"),
                      ("fact", "coolant.filled", "4", "L"))  # fmt: skip
    assert rows == []


def test_nothing_comes_off_past_what_was_agreed() -> None:
    money: tuple[Told, ...] = (
        ("fact", "quote.total", "480", "1"), ("fact", "quote.ceiling", "400", "1"),
        ("fact", "consent.how", "refused", None),
    )  # fmt: skip
    rows, _, ids = page("agreed", *money)
    no = known("consent.how", word("choice.consent.how.refused"), ids["consent.how"])
    assert rows == [no, row("stop", word("screen.over_ceiling"), figure="80", framed=True)]
    rows, _, _ = page("agreed", ("fact", "consent.how", "spoken", None))
    assert rows == [row("stop", word("screen.over_ceiling"), figure="not measured", framed=True)]
    rows, _, _ = page("agreed")
    assert rows[:2] == [unknown("consent.how"), choice("consent.how")]


def test_oil_in_the_coolant_wants_a_person_and_a_reason() -> None:
    cream: Told = ("fact", "coolant.condition", "cream", None)
    oils: tuple[Told, ...] = (
        ("fact", "oil.engine", "clean", None), ("fact", "oil.transmission", "clean", None),
    )  # fmt: skip
    rows, _, ids = page("no_cream", cream, *oils)
    words = word("choice.coolant.condition.cream")
    said = known("coolant.condition", words, ids["coolant.condition"])
    mixed = row("stop", word("shut.seen.oil"), framed=True)
    # One line of words is typed at a time.
    person = [unknown("cream.person"), ask("cream.person"), unknown("cream.why")]
    assert rows == [said, mixed, *person]
    rows, _, _ = page("no_cream", cream, *oils, ("fact", "cream.person", "A. Reed", None))
    assert rows == [said, mixed, unknown("cream.why"), ask("cream.why")]
    # What nobody looked at is asked beside it.
    rows, _, ids = page("no_cream", cream)
    said = known("coolant.condition", words, ids["coolant.condition"])
    asked = [
        each for oil in ("oil.engine", "oil.transmission") for each in (unknown(oil), choice(oil))
    ]
    assert rows == [said, *asked, mixed, *person]


def test_the_ground_is_asked_where_it_is_not_firm() -> None:
    rows, _, ids = page("site", ("fact", "place.site", "storm", None))
    assert rows == [known("place.site", word("choice.place.site.storm"), ids["place.site"])]
    rows, _, _ = page("site")
    assert rows == [unknown("place.site"), choice("place.site")]


def test_what_is_refused_is_told_only_where_it_is_asked() -> None:
    log = described()
    log.add("fact", "coolant.temperature", "999", "°C")
    refused = view(log)["blocks"][1]
    assert refused["word"] == word("screen.refused")
    assert "999" in refused["lines"][0]
    log = Logbook()
    log.add("fact", "car.cap_rating", "9999", "kPa")
    assert view(log)["step"] == "car_name"
    assert word("screen.refused") not in [b.get("word") for b in view(log)["blocks"]]
    log = described()
    gone = next(e for e in log.events if e["field"] == "car.cap_rating")
    log.add("undo", "car.cap_rating", supersedes=gone["id"])
    log.add("fact", "car.cap_rating", "9999", "kPa")
    made = view(log)
    assert [b["event"]["field"] for b in blocks(made, "pad")] == ["car.cap_rating"]
    assert made["blocks"][1]["word"] == word("screen.refused")


@pytest.mark.parametrize(
    ("log", "awake"), [(Logbook(), False), (described(), False)], ids=["name", "gate"]
)
def test_the_screen_goes_dark_where_nothing_is_timed(log: Logbook, awake: bool) -> None:
    assert view(log)["awake"] is awake


def test_the_shop_has_no_causes() -> None:
    log = Logbook(job="shop")
    log.events.clear()
    log.add("opened", "rules.shop", RULES.hash)
    assert view(log)["step"] == "shop_name"
    assert view(log, "so_far")["step"] == "so_far"
    with pytest.raises(Refusal) as refused:
        view(log, "find")
    assert (refused.value.code, refused.value.path) == ("unknown_look", "look")
    with pytest.raises(Refusal) as refused:
        view(Logbook(), "another")
    assert refused.value.accepted == "so_far, record, find"


def test_a_needle_above_the_rating_first_comes_down_and_then_asks_what_it_did() -> None:
    log = holding("110", "128")
    over = log.events[-1]["id"]
    made = view(log)
    now = f"{word('over.now')} 110{NBSP}kPa"
    assert made["blocks"] == [
        title(word("over.title"), f"128{NBSP}kPa"),
        row("stop", now, word("over.slowly"), word("over.why"), framed=True),
    ]  # fmt: skip
    slip = key(word("over.slip"), stores("undo", "hold.pressure", "", over), "undo")
    stop = key(word("screen.stop_refer"), {"reason": event("stopped", "gate.job")}, "stop")
    main, hazard = made["foot"]["main"], made["foot"]["caution"]
    pad = main["do"]["read"]
    assert pad["event"] == event("reading", "over.let_off")
    read = key(word("over.main"), {"read": pad}, None, word("over.type"))
    assert made["foot"] == foot(read, slip, stop, caution=hazard)
    assert hazard == caution(word("caution.letting_off"))
    log.now += 20.0
    log.add("reading", "over.let_off", "105", "kPa")
    made = view(log)
    ask = {
        "block": "text", "event": event("fact", "over.looked"), "store": "Store",
        "label": word("field.over.looked"), "longest": RULES.fields["over.looked"].longest,
    }  # fmt: skip
    assert made["blocks"] == [
        title(word("over.was"), f"128{NBSP}kPa"),
        row("stop", word("over.look"), f"{word('over.rating')} 110{NBSP}kPa", framed=True),
        prompt(word("over.ask")), ask,
    ]  # fmt: skip
    assert made["foot"] == foot(None, slip, stop, caution=hazard)


def test_all_that_keeps_a_gate_shut_says_stop_and_is_framed() -> None:
    """What no hand answers too: what the job itself reckons, as that a leak is gross."""
    reckoned = set()
    job = fold(RULES, Logbook().events)
    for each in RULES.gates.values():
        names = set(conditions.fields(each.opens)) - {"coolant.temperature", "system.pressure_sign"}
        for name in names:
            rows = gate._rows(gate.Shut(SHOW, job, each, (), {name: []}), name)
            states = [made for made in rows if made["block"] == "state"]
            assert all((made["shape"], made["framed"]) == ("stop", True) for made in states), name
            if name not in RULES.fields:
                assert rows == states
                reckoned |= {name} if rows else set()
    assert reckoned == {
        "quote.over",
        "ledger.unfilled",
        "seen.liquid",
        "seen.oil",
        "seen.unfit",
        "hold.gross",
        *BACK,
    }


@pytest.mark.parametrize("said", RULES.fields["system.pressure_sign"].options)
def test_the_pressure_of_a_car_that_is_still_hot_stands_framed_as_it_was_answered(
    said: str,
) -> None:
    log = Logbook()
    log.add("fact", "coolant.temperature", "90", "°C")
    log.add("fact", "system.pressure_sign", said)
    job, now = fold(RULES, log.events), read_moment(log.moment())
    body, _ = gate.blocks(SHOW, job, RULES.gates["cold"], now)
    pressing = row("stop", word("shut_by.system.pressure_sign"), framed=True)
    answer = word(f"choice.system.pressure_sign.{said}")
    none = row("done", word("field.system.pressure_sign"), figure=answer, framed=True)
    assert body[-1] == (pressing if said == "under_pressure" else none)
