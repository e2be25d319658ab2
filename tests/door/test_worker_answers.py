"""What the page's worker answers to each question: the door, and the jobs that it has open."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

import weeptrace
from tests.logbook import Logbook
from weeptrace import bridge
from weeptrace.door import OPERATIONS, call, shown
from weeptrace.rules import bundle, load
from weeptrace.rules.model import of_entry
from weeptrace.screen.figures import Show

Json = dict[str, Any]
RULES = load()
PSI = {"units": next(each["units"] for each in RULES.unit_sets if each["id"] == "psi")}
GALLON = 3.785411784  # L; the US gallon is 231 cubic inches of 16.387064 mL by definition


def ask(name: str, **question: Any) -> Json:
    answer: Json = json.loads(bridge.ask(name, json.dumps(question)))
    assert "error" not in answer, answer
    return answer


def shop(*entries: tuple[str, str, str | None]) -> Logbook:
    log = Logbook(job="shop")
    log.events.clear()
    log.add("opened", "rules.shop", RULES.hash)
    for field, typed, unit in entries:
        log.now += 10.0
        log.add("fact", field, typed, unit)
    return log


def test_it_says_what_it_is() -> None:
    about = ask("about")
    assert set(about) == {"version", "bundle", "unit_sets"}
    assert about["version"] == weeptrace.__version__
    assert about["bundle"] == RULES.hash
    sets = {each["id"]: each for each in about["unit_sets"]}
    assert list(sets) == ["kpa", "bar", "psi"]
    assert sets["psi"]["units"]["pressure"] == "psi"
    assert [each["label"] for each in sets.values()] == [
        RULES.texts[f"units.{id}"] for id in ("kpa", "bar", "psi")
    ]


def test_it_gives_its_rules_to_keep() -> None:
    """All but the sentences of the program, which come with each version of it."""
    kept, whole = ask("rules")["bundle"], json.loads(json.dumps(bundle()))
    left = {id: words for id, words in whole["texts"].items() if of_entry(id)}
    assert {"step.car_name.title", "gate.cold.title"} < left.keys()
    assert not {"screen.back", "door.hold.title.wet", "refused.judge.length"} & left.keys()
    assert kept == {**whole, "texts": left}


def test_the_answer_is_text_as_it_is_read() -> None:
    assert '"temperature": "°C"' in bridge.ask("about", "{}")


def test_an_opened_job_tells_how_many_events_it_holds_and_moves_on() -> None:
    log = Logbook()
    log.add("fact", "car.name", "Larkspur")
    assert ask("open", job=log.job, events=log.events) == {"count": 2, "wants": None}
    before = ask("view", job=log.job, now=log.moment())
    assert before["bar"]["title"] == "Larkspur"
    event = log.add("fact", "car.name", "Harebell")
    assert ask("advance", event=event) == {"state": "accepted", "message": ""}
    assert ask("view", job=log.job, now=log.moment())["bar"]["title"] == "Harebell"


@pytest.mark.parametrize("look", ["", "so_far"])
def test_one_question_takes_an_entry_and_gives_the_page_that_follows(look: str) -> None:
    log = Logbook()
    ask("open", job=log.job, events=log.events)
    event = log.add("fact", "car.name", "Harebell")
    asked = {"job": log.job, "now": log.moment(), "preferences": PSI, "look": look}
    told = ask("advance", event=event, **asked)
    assert (told["state"], told["message"]) == ("accepted", "")
    assert told["view"] == ask("view", **asked)
    assert told["view"]["bar"]["title"] == "Harebell"


def test_a_refused_entry_is_answered_with_its_words_and_only_that_one() -> None:
    log = Logbook()
    ask("open", job=log.job, events=log.events)
    wrong = ask("advance", event=log.add("fact", "car.capacity", "7000", "L"))
    assert wrong["state"] == "refused"
    assert wrong["message"].startswith("7000 L is not accepted. Accepted: 0.5 to ")
    # Another field's trouble is not this one's.
    assert ask("advance", event=log.add("fact", "car.name", "Larkspur")) == {
        "state": "accepted", "message": "",
    }  # fmt: skip
    assert ask("advance", event=log.add("fact", "car.capacity", "7.6", "L"))["message"] == ""


def test_an_entry_behind_one_that_cannot_be_read_waits() -> None:
    log = Logbook()
    ask("open", job=log.job, events=log.events)
    assert ask("advance", event=log.add("fact", "car.capacity", "7000", "L"))["message"]
    assert ask("advance", event=log.add("sparkle", "car.name", "1"))["state"] == "waiting"
    # The trouble of the figure before it is not its own.
    behind = ask("advance", event=log.add("fact", "car.capacity", "7.6", "L"))
    assert behind == {"state": "waiting", "message": ""}


def test_the_preferences_and_the_look_reach_the_view() -> None:
    log = Logbook()
    log.describe_car()
    log.add("done", "fan.off")
    ask("open", job=log.job, events=log.events)
    asked = {"job": log.job, "now": log.moment()}
    for more, unit in (({}, "°C"), ({"preferences": PSI}, "°F")):
        foot = json.dumps(ask("view", **asked, **more)["foot"], ensure_ascii=False)
        assert f'"unit": "{unit}"' in foot
    shown = ask("view", **asked, look="so_far")
    assert "110 kPa" in json.dumps(shown, ensure_ascii=False).replace("\u00a0", " ")
    assert shown != ask("view", **asked)


def test_a_job_on_damaged_rules_is_shown_raw_and_takes_nothing() -> None:
    log = Logbook("0123456789ab")
    log.add("fact", "car.name", "Larkspur")
    damaged = {**bundle(), "hash": "0123456789ab"}
    opened = ask("open", job=log.job, events=log.events, rules=damaged)
    assert opened == {"count": 2, "wants": None}
    view = ask("view", job=log.job, now=log.moment())
    assert view["step"] == "rules_unread"
    assert view["bar"]["title"] == "Larkspur"
    told = ask("advance", event=log.add("fact", "car.capacity", "7.6", "L"))
    assert told["state"] == "waiting"
    assert told["message"] == view["rules"] != ""


def test_a_new_job_begins_with_what_the_shop_typed_once_with_its_day() -> None:
    log = shop(
        ("tester.span", "160", "kPa"), ("shop.name", "Corner garage", None),
        ("tester.division", "2", "kPa"), ("tester.division", "5", "kPa"),
    )  # fmt: skip
    log.add("done", "shop.done")
    made = ask("new", events=log.events)["events"]
    assert [(e["field"], e["typed"], e["unit"]) for e in made] == [
        ("tester.span", "160", "kPa"), ("shop.name", "Corner garage", None),
        ("tester.division", "5", "kPa"),
    ]  # fmt: skip
    assert [e["moment"] for e in made] == [log.moment(at) for at in (10.0, 20.0, 40.0)]
    assert {e["kind"] for e in made} == {"fact"}
    assert set(made[0]) == {"kind", "field", "typed", "unit", "moment"}


def test_a_new_job_without_a_shop_begins_with_nothing() -> None:
    assert ask("new", events=[]) == {"events": []}


def test_a_call_goes_through_the_door() -> None:
    payload = {"altitude": {"value": 0, "unit": "m"}}
    answer = ask("call", operation="properties.atmosphere", payload=payload)
    assert answer["pressure"]["value"] == pytest.approx(101.325)  # ISO 2533: sea level


def test_the_figures_are_all_operations_on_typed_figures() -> None:
    told, show = ask("figures"), Show(RULES, RULES.unit_sets[0]["units"])
    assert set(told) == {"figures"}
    names = [name for name in OPERATIONS if not name.startswith(("job.", "practice."))]
    assert [each["name"] for each in told["figures"]] == names
    for each in told["figures"]:
        whole = shown(OPERATIONS[each["name"]], show.told)
        assert {key: each[key] for key in whole} == whole
        assert (each["words"] is not None) == (each["name"] == "causes.rank")
    assert {each["room"] for each in told["figures"]} == {
        "Properties", "Hold", "Fill", "Loss", "Warm-up", "Causes", "Quote",
    }  # fmt: skip


def test_a_figure_is_answered_in_the_readers_units() -> None:
    asked: Json = {
        "operation": "properties.atmosphere", "payload": {"altitude": {"value": 0, "unit": "m"}},
    }  # fmt: skip
    own = ask("figure", **asked, preferences=PSI)
    assert own["pressure"]["unit"] == "psi"
    assert own["pressure"]["value"] == pytest.approx(14.696, abs=5e-4)  # one atmosphere
    assert own["temperature"]["unit"] == "°F"
    assert own["temperature"]["value"] == pytest.approx(59.0)  # 15 °C
    assert ask("figure", **asked)["pressure"]["unit"] == "kPa"


def plainly(answer: Json) -> Json:
    """An answer with the spaces and minus signs of the command line."""
    text = json.dumps(answer, ensure_ascii=False)
    made: Json = json.loads(text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-"))
    return made


def shortly(answer: Json) -> Json:
    """An answer whose limits end in no noughts: a page tells them to two figures."""
    text = json.dumps(answer, ensure_ascii=False)
    short = re.sub(r"\d+\.\d+(?= L/1000 km)", lambda found: f"{float(found[0]):g}", text)
    made: Json = json.loads(short)
    return made


def test_in_the_doors_own_units_a_figure_is_what_the_door_answers() -> None:
    """What bears a value but no unit is no quantity, and stays as it is."""
    bare = False
    for each in ask("figures")["figures"]:
        asked = {"operation": each["name"], "payload": each["sample"]}
        answer = ask("figure", **asked)
        assert shortly(plainly(answer)) == shortly(ask("call", **asked))
        bare |= answer.get("exponent", {}).keys() == {"value", "assumed"}
    assert bare


# Figures of a fluid that its tables give in one unit to everybody, and the core's one warming rate.
ONE_UNIT = {"1/K", "mPa·s", "Pa·s", "kJ/(kg·K)", "K/min", "min/1000 km"}
PRINTED = {"properties.hydrometer": {"°F"}}  # the temperature of its scale


def units_within(value: Any) -> Iterator[str]:
    """The units of all quantities, and those that a form begins with."""
    if isinstance(value, dict):
        begin = value.get("x-default-unit")
        yield from [] if begin is None else [begin]
        if isinstance(value.get("unit"), str) and "value" in value:
            yield value["unit"]
        for key, each in value.items():
            yield from units_within(each) if key != "examples" else ()  # no form shows them
    elif isinstance(value, list):
        for each in value:
            yield from units_within(each)


@pytest.mark.parametrize("chosen", [each["id"] for each in RULES.unit_sets])
def test_form_example_and_answer_of_a_figure_are_in_the_readers_units(chosen: str) -> None:
    units = next(each["units"] for each in RULES.unit_sets if each["id"] == chosen)
    own = {*units.values(), "s", "min", "1", "kg/m³", *ONE_UNIT}
    reader = {"preferences": {"units": units}}
    for each in ask("figures", **reader)["figures"]:
        asked = {"operation": each["name"], "payload": each["sample"], **reader}
        found = {*units_within(each["input"]), *units_within(each["sample"])}
        found |= set(units_within(ask("figure", **asked)))
        # A difference of two temperatures is in K beside °C.
        more = {"K"} if units["temperature"] == "°C" else set()
        assert found - own <= {*more, *PRINTED.get(each["name"], ())}, each["name"]


def test_a_difference_of_temperatures_has_no_zero_to_shift() -> None:
    """10 K are 18 degrees Fahrenheit, 1.8 to a kelvin."""
    units = {"°C": "°F"}
    given = {"margin": {"value": 10.0, "unit": "K", "low": -5.0}}
    made = bridge._reread(given, units, Show(RULES, PSI["units"]))["margin"]
    assert made["unit"] == "°F"
    assert [made["value"], made["low"]] == pytest.approx([18.0, -9.0])
    assert bridge._reread(given, {"°C": "°C"}, Show(RULES, PSI["units"])) == given


def test_an_example_in_other_units_is_as_round_as_a_hand_types() -> None:
    """1900 m are 6233.6 ft of 0.3048 m."""
    figures = {each["name"]: each for each in ask("figures", preferences=PSI)["figures"]}
    sample = figures["properties.atmosphere"]["sample"]
    assert sample["altitude"] == {"value": 6234.0, "unit": "ft"}


def test_what_the_core_refuses_is_told_in_the_readers_own_units() -> None:
    """9 L out of 7.6 L: 9.51 out of 8.031 US quarts of 0.946352946 L."""
    sample = OPERATIONS["fill.mix"].sample
    litres = {key: {"value": value, "unit": "L"} for key, value in
              (("capacity", 7.6), ("drained", 9.0))}  # fmt: skip
    payload = {**sample, **litres}
    asked = {"operation": "fill.mix", "payload": payload, "preferences": PSI}
    refused = json.loads(bridge.ask("figure", json.dumps(asked)))["error"]
    words = refused["message"].replace("\xa0", " ")
    assert words.startswith("Drained 9.51 US qt and missing 0 US qt must lie between zero and")
    assert refused["accepted"].replace("\xa0", " ") == "0 to 8.031 US qt"
    refused = json.loads(bridge.ask("figure", json.dumps({**asked, "preferences": {}})))["error"]
    assert refused["accepted"].replace("\xa0", " ") == "0 to 7.6 L"
    plain = json.loads(bridge.ask("call", json.dumps(asked)))["error"]
    assert plain["accepted"] == "0 to 7.6 L"


def test_every_number_of_a_quantity_and_every_quantity_of_a_list_changes() -> None:
    units = {"L": "US gal", "kPa": "kPa"}
    given = {
        "rows": [{"amount": {"value": 3.785411784, "unit": "L", "low": 0, "high": 37.85411784}}],
        "held": {"value": 1.5, "unit": "kPa", "low": 1.0},
        "word": {"unit": "L"},
        "number": {"unit": 3, "value": 1},
        "plain": 2.5,
        "other": {"value": 4, "unit": "mm"},
        "none": None,
    }
    made = bridge._reread(given, units, Show(RULES, PSI["units"]))
    amount = made["rows"][0]["amount"]
    assert amount["unit"] == "US gal"
    assert [amount[key] for key in ("value", "low", "high")] == pytest.approx(
        [3.785411784 / GALLON, 0.0, 37.85411784 / GALLON]
    )
    assert made["held"] == {"value": 1.5, "unit": "kPa", "low": 1.0}
    assert {key: made[key] for key in ("word", "number", "plain", "other", "none")} == {
        key: given[key] for key in ("word", "number", "plain", "other", "none")
    }


def test_what_is_asked_amiss_is_answered_by_name() -> None:
    error = json.loads(bridge.ask("view", '{"job": "never opened"}'))["error"]
    assert error["code"] == "internal"
    assert "“view”" in error["message"]
    assert "never opened" in error["message"]
    refused = json.loads(bridge.ask("open", '{"job": "j", "events": 3}'))
    assert set(refused) == {"error"}


@pytest.mark.parametrize("name", ["job.record", "job.calendar", "job.view"])
@pytest.mark.parametrize("at", ["soon", ""])
def test_a_moment_that_is_none_is_refused_in_words(name: str, at: str) -> None:
    sample = {**OPERATIONS[name].sample, "now": {"at": at, "mono": 0, "boot": "b"}}
    assert call(name, sample)["error"]["code"] == "damaged_event"
