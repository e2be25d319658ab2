"""The pages of a warm-up held whole: its log as it runs, and what each judgement of it says."""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from typing import Any, Final

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand.plain import NBSP, caution, event, foot, key, prompt, row, stores, title
from tests.screen.hand.told import word
from tests.screen.test_view import RULES, view
from weeptrace.finding import Estimate, Reason
from weeptrace.job import warm
from weeptrace.job.advance import fold
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import warm_up
from weeptrace.warmup.data import Assessment, Fan, Gas, Heater, Purge, Stop, Thermostat

Json = dict[str, Any]
UNITS: Final = {each["id"]: each["units"] for each in RULES.unit_sets}
FAN_ON: Final = key(word("field.warm.fan_on"), stores("mark", "warm.fan_on"))
FAN_OFF: Final = key(word("field.warm.fan_off"), stores("mark", "warm.fan_off"))
FALLS: Final = key("Level falls", stores("mark", "engine.level_falls"), "drop")
END: Final = key("End", stores("mark", "warm.ended"), "stop")
HAZARD: Final = caution(word("caution.running_engine"), "warning")


@cache
def walked() -> Logbook:
    log = Logbook()
    Hands(log).until("warm_log")
    return log


def warming() -> Logbook:
    """A job whose warm-up is about to be read."""
    return deepcopy(walked())


def pad(name: str, last: tuple[str, float] | None, same: bool = False) -> Json:
    """°C, 1 a step; the ranges are those of the two fields, by the rules: -40 to 150 and to 120."""
    high = {"warm.coolant": 150.0, "warm.vent": 120.0}[name]
    return {
        "block": "pad", "event": event("reading", name), "label": word(f"field.{name}"),
        "unit": "°C", "units": ["°C", "°F"], "step": 1.0, "division": None,
        "signed": True,
        "last": last and {"typed": last[0], "value": pytest.approx(last[1])},
        "same_as_last": same, "hints": [f"range \N{MINUS SIGN}40 to {high:.0f}"],
    }  # fmt: skip


def read(last: tuple[str, float] | None, same: bool = False) -> Json:
    do = {"read": pad("warm.coolant", last, same)}
    return key("READ", do, sub="Coolant. Holds the time.")


def vent(last: tuple[str, float] | None) -> Json:
    return key("Vent", {"read": pad("warm.vent", last)}, "temperature")


def seen(name: str, was: bool) -> Json:
    shape, figure = ("done", "seen") if was else ("not_measured", "not seen")
    return row(shape, word(f"field.warm.fan_{name}"), figure=figure)


def recorder(**has: Any) -> Json:
    return {
        "block": "recorder", "last": None, "fall": None, "start": None, "due": None,
        "interval": 60.0, "due_label": "Press READ at the first reading",
        "call": "Selwick Heron van: read the coolant's temperature", "plot": None, **has,
    }  # fmt: skip


def test_the_log_of_a_warm_up_from_its_first_reading_on() -> None:
    log = warming()
    beforehand = row("stop", f"{word('stop_hot.beforehand')} 115{NBSP}°C", word("stop_hot.also"))
    head, asks = word("step.warm_log.title"), prompt(word("step.warm_log.prompt"))
    fans = [seen("on", False), seen("off", False)]
    made = view(log)
    assert made["blocks"] == [title(head, "0 read"), asks, beforehand, recorder(), *fans]
    assert made["foot"] == foot(read(None), FALLS, caution=HAZARD)
    assert made["awake"]
    log.now += 60.0
    first = log.add("reading", "warm.coolant", "20", "°C")
    start = {"at": first["at"], "mono": pytest.approx(first["mono"]), "boot": "boot-1"}
    made = view(log)
    last: Json = {"value": "20", "unit": "°C", "label": f"Coolant, at 0:00{NBSP}min"}
    assert made["blocks"] == [
        title(head, "1 read"), beforehand,
        recorder(last=last, start=start, due=60.0, due_label="READ at 1:00"), *fans,
    ]  # fmt: skip
    assert made["foot"] == foot(read(("20", 20.0)), vent(None), FAN_ON, END, FALLS, caution=HAZARD)
    log.now += 60.0
    log.add("reading", "warm.coolant", "45", "°C")
    log.now += 3.0
    log.add("reading", "warm.vent", "38.5", "°C")
    log.add("mark", "warm.fan_on")
    made = view(log)
    last = {"value": "45", "unit": "°C", "label": f"Coolant, at 1:00{NBSP}min"}
    drawn = {
        "block": "plot",
        "x": {"low": 0.0, "high": 3, "labels": [0.0, 1.0, 2.0, 3.0], "minor": 1.0, "unit": "min"},
        "y": {"low": pytest.approx(15.0), "high": 50.0, "labels": [20.0, 30.0, 40.0, 50.0],
              "unit": "°C"},
        "points": [{"x": 0.0, "y": pytest.approx(20.0), "kind": "read"},
                   {"x": pytest.approx(1.0), "y": pytest.approx(45.0), "kind": "read"}],
        "fit": [], "now": pytest.approx(1.0), "limit": None, "marks": [], "next": None,
        "words": "coolant", "sentence": f"Coolant from 20 to 45{NBSP}°C.",
    }  # fmt: skip
    assert made["blocks"] == [
        title(head, "2 read"), beforehand,
        recorder(last=last, start=start, due=120.0, due_label="READ at 2:00", plot=drawn),
        seen("on", True), seen("off", False),
        row("done", word("field.warm.vent"), figure=f"38.5{NBSP}°C"),
    ]  # fmt: skip
    keys = (vent(("38.5", 38.5)), FAN_OFF, END, FALLS)
    assert made["foot"] == foot(read(("45", 45.0)), *keys, caution=HAZARD)
    log.add("mark", "warm.fan_off")
    log.now += 60.0
    log.add("reading", "warm.vent", "41", "°C")
    log.add("reading", "warm.coolant", "60", "°C")
    made = view(log)
    assert made["blocks"][-3:] == [
        seen("on", True), seen("off", True),
        row("done", word("field.warm.vent"), figure=f"41{NBSP}°C"),
    ]  # fmt: skip
    assert made["foot"]["keys"][1] == FAN_ON
    assert made["foot"]["main"] == read(("60", 60.0), same=True)


def test_the_page_after_the_warm_up_can_take_its_end_back() -> None:
    log = Logbook()
    work = Hands(log).until("warm_result")
    ended = next(e for e in log.events if e["field"] == "warm.ended")
    made = view(log)
    main = key(word("step.warm_result.main"), stores("done", "warm.seen"))
    longer = key("Run longer", stores("undo", "warm.ended", "", ended["id"]), "clock")
    readings = key("Readings", {"look": "so_far"}, "undo")
    assert made["foot"] == foot(main, longer, readings)
    assert made["blocks"][0] == title(word("step.warm_result.title"))
    work.answer()
    assert work.at() != "warm_result"


def judged(**has: Any) -> Assessment:
    usual: Json = {
        "thermostat": Thermostat("not_measured"), "fan": Fan("not_measured"),
        "heater": Heater("not_measured"), "air_sign": "not_measured", "gas": Gas("not_measured"),
        "purge": Purge("not_measured"), "stop": (), "not_measured": (),
    }  # fmt: skip
    return Assessment(**{**usual, **has})


def at(kelvin: float) -> Estimate:
    return Estimate(kelvin, kelvin - 2.0, kelvin + 2.0)


HOT: Final = row("stop", f"88{NBSP}°C is above 115{NBSP}°C",
                 word("stop_hot.now"), framed=True)  # fmt: skip
COLD: Final = row("stop", word("warm.stop_heater_suddenly_cold"), framed=True)
HOTTEST: Final = row(None, word("warm.hottest"), figure=f"88{NBSP}°C", framed=True)


def part(name: str, says: str, shape: str, *more: str, figure: str = "") -> Json:
    return row(shape, word(f"warm.{name}"), word(f"warm.{name}_{says}"), *more, figure=figure,
               framed=True)  # fmt: skip


NOT_SEEN: Final = "not_measured"
THERMOSTAT: Final = part("thermostat", NOT_SEEN, NOT_SEEN)
HEATER: Final = part("heater", NOT_SEEN, NOT_SEEN)
FAN: Final = part("fan", NOT_SEEN, NOT_SEEN)


@pytest.mark.parametrize(
    ("found", "rows"),
    [
        (judged(), [HOTTEST, THERMOSTAT, HEATER, FAN]),
        (
            judged(thermostat=Thermostat("opens", at(361.15)), heater=Heater("good", at(0.714)),
                   air_sign="no", fan=Fan("cycled")),
            [HOTTEST, part("thermostat", "opens", "done", figure=f"88{NBSP}°C"),
             part("heater", "good", "done", figure="0.71"), part("fan", "cycled", "done")],
        ),
        (
            judged(thermostat=Thermostat("stuck_open"), heater=Heater("weak", at(0.4)),
                   air_sign="yes", fan=Fan("on_only")),
            [HOTTEST, part("thermostat", "stuck_open", "stop"),
             part("heater", "weak", "stop", word("warm.air_sign"), figure="0.40"),
             part("fan", "on_only", NOT_SEEN)],
        ),
        (
            judged(thermostat=Thermostat("closed_or_no_flow"), fan=Fan("always_on"),
                   stop=(Stop(Reason("heater_suddenly_cold", ""), 60.0),
                         Stop(Reason("too_hot", ""), 90.0))),
            [COLD, HOT, HOTTEST, part("thermostat", "closed_or_no_flow", "stop"), HEATER,
             part("fan", "always_on", NOT_SEEN)],
        ),
        (
            judged(thermostat=Thermostat("not_seen"), heater=Heater(NOT_SEEN, None),
                   air_sign="yes", fan=Fan("off_only")),
            [HOTTEST, part("thermostat", "not_seen", NOT_SEEN),
             part("heater", NOT_SEEN, NOT_SEEN, word("warm.air_sign")),
             part("fan", "off_only", NOT_SEEN)],
        ),
        (None, [HOTTEST, row(NOT_SEEN, word("warm.not_judged"), word("warm.needs_air"),
                             framed=True)]),
    ],
)  # fmt: skip
def test_each_judgement_of_a_warm_up_has_its_own_rows(
    monkeypatch: pytest.MonkeyPatch, found: Assessment | None, rows: list[Json]
) -> None:
    log = warming()
    for celsius in ("60", "88", "70"):
        log.now += 60.0
        log.add("reading", "warm.coolant", celsius, "°C")
    log.add("mark", "warm.ended")
    monkeypatch.setattr(warm, "assess", lambda rules, job: found)
    made = view(log)
    assert made["step"] == "warm_result"
    assert made["blocks"][1:] == rows
    told = warm_up.rows(Show(RULES, UNITS["kpa"]), fold(RULES, log.events))
    said = [(r["word"], " ".join(x for x in (r["figure"], *r["lines"]) if x)) for r in rows]
    assert list(told) == said
    log.add("fact", "hot.happened", "Fuse blown")
    told = warm_up.rows(Show(RULES, UNITS["kpa"]), fold(RULES, log.events))
    assert list(told) == [(word("field.hot.happened"), "Fuse blown"), *said]


def test_a_warm_up_without_a_reading_has_no_hottest_one() -> None:
    log = warming()
    log.add("mark", "warm.ended")
    told = warm_up.rows(Show(RULES, UNITS["kpa"]), fold(RULES, log.events))
    assert list(told) == [
        (word("warm.hottest"), "not measured"), (word("warm.not_judged"), word("warm.needs_air"))
    ]  # fmt: skip
