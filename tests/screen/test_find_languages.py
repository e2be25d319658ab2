"""The causes' pages and figure in another language, region and set of units: the words that are
there, English for the rest."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import pytest

from tests.screen.hand.told import word
from tests.screen.test_view import RULES, blocks, described
from weeptrace import bridge, screen
from weeptrace.job import observed
from weeptrace.job.advance import fold
from weeptrace.screen.figures import Show
from weeptrace.told import Sentence, plain

Json = dict[str, Any]
PSI: Final[Mapping[str, str]] = next(s["units"] for s in RULES.unit_sets if s["id"] == "psi")
KNOWN: Final = observed.knowledge(RULES)
SEAL: Final = "pump_shaft_seal"
POLISH: Final = RULES.languages["pl"]


TOLD: Final = {
    "weep_hole": "wet", "wet_ground_zone": "none", "odometer": "high", "recent_work": "none",
    "cabin_sign": "windscreen_film",
}  # fmt: skip


def seen(
    language: str, look: str, units: Mapping[str, str] = PSI, told: Mapping[str, str] = TOLD
) -> Json:
    """A page of a car with these answers."""
    log = described()
    for finding, value in told.items():
        log.add("fact", f"find.{finding}", value)
    chosen = screen.preferences({"language": language, "units": units}, RULES)
    return screen.view(RULES, fold(RULES, log.events), log.moment(), chosen, look)


def rows(made: Json) -> dict[str, list[str]]:
    return {each["word"]: each["lines"] for each in blocks(made, "state")}


def test_a_polish_page_has_its_cause_and_reason_and_english_for_the_rest() -> None:
    title = POLISH[f"cause.{SEAL}.title"]
    (bars,) = blocks(seen("pl", "find"), "bars")
    assert bars["rows"][0]["label"] == title
    assert bars["rows"][0]["sub"] == POLISH["choice.find.weep_hole.wet"]
    assert bars["rows"][1]["label"] in {word(f"cause.{id}.title") for id in KNOWN.causes}
    made = seen("pl", f"find.cause.{SEAL}")
    assert made["blocks"][0]["text"] == title
    told = rows(made)
    reason = POLISH[f"why.state.at_pump_weep.{SEAL}"]
    assert told[POLISH["choice.find.weep_hole.wet"]] == [reason]
    # No Polish yet: the film's answer, and what is said of it.
    film = word("choice.find.cabin_sign.windscreen_film")
    assert told[film] == [word("ranked.line.other_cause")]


def test_what_a_plan_says_is_a_sentence_of_the_readers_language() -> None:
    pages = [seen("pl", f"find.test.{id}", told={}) for id in KNOWN.tests]
    said = [line for made in pages for lines in rows(made).values() for line in lines]
    name = POLISH[f"cause.{SEAL}.name"]
    turns = [line for line in said if "na czele jest" in line]
    assert turns
    assert not [line for line in said if " leads." in line]
    assert any(line.endswith(f"„{name}”.") for line in turns)
    # What has no Polish stands in it in English.
    assert any(word("field.find.residue_at") in line for line in turns)


def test_a_sentence_within_another_is_in_polish_or_english_each_for_itself() -> None:
    polish = Show(RULES, PSI, language="pl")
    known, unknown = f"why.state.at_pump_weep.{SEAL}", "why.state.at_hose_end.hose_joint"
    for id, words in ((known, POLISH[known]), (unknown, word(unknown))):
        told = Sentence("ranked.line.would_show", {"why": Sentence(id)})
        assert polish.told(told) == f"Byłoby to widać. {words}"


def test_a_region_says_what_it_says_otherwise() -> None:
    american, british = (json.dumps(seen(each, "find")) for each in ("en-US", "en"))
    assert "a windshield that fogs" in american
    assert "a windscreen that fogs" in british
    assert "windscreen that" not in american


@pytest.mark.parametrize("units", ["psi", "kpa"])
def test_an_answer_is_told_in_the_units_of_its_reader(units: str) -> None:
    chosen = next(each["units"] for each in RULES.unit_sets if each["id"] == units)
    told = json.dumps(seen("en", "find", chosen), ensure_ascii=False)
    for id in (id for id, cause in KNOWN.causes.items() if cause.needs is None):
        told += json.dumps(seen("en", f"find.cause.{id}", chosen), ensure_ascii=False)
    told = told.replace("\N{NO-BREAK SPACE}", " ")
    foreign = {"psi": ("km", "kPa", " L/", "°C"), "kpa": (" mi", "psi", " qt", "°F")}[units]
    assert "1000 mi" in told if units == "psi" else "1000 km" in told
    assert not [each for each in foreign if each in told]


def test_a_reason_that_names_a_limit_is_told_in_the_units_of_its_reader() -> None:
    """50 °C are 122 °F; 60 kPa are 8.7 psi (1 psi is 6.894757 kPa); 1 L is 1.0567 US qt."""
    id = f"why.state.at_pump_weep.{SEAL}"
    words = "Below {limit.gate.temperature:temperature}, {limit.x.p:pressure}, {limit.x.v:volume}."
    limits = {**RULES.limits, "x.p": 60e3, "x.v": 1e-3}
    rules = replace(RULES, limits=limits, texts={**RULES.texts, id: words})
    told = Sentence("ranked.line.would_show", {"why": Sentence(id)})
    said = Show(rules, PSI).told(told).replace("\N{NO-BREAK SPACE}", " ")
    assert said == "It would show. Below 122 °F, 8.7 psi, 1.06 US qt."
    answer = Sentence("choice.find.odometer.high")
    assert plain(answer, RULES.named).replace("\N{NO-BREAK SPACE}", " ") == "Over 150000 km"


def test_the_figure_of_causes_is_told_in_the_readers_language_and_units() -> None:
    payload = {"observations": [{"finding": "weep_hole", "value": "wet"},
                                {"finding": "odometer", "value": "high"}]}  # fmt: skip
    asked = {"operation": "causes.rank", "payload": payload,
             "preferences": {"language": "pl", "units": PSI}}  # fmt: skip
    answer: Json = json.loads(bridge.ask("figure", json.dumps(asked)))
    first = answer["causes"][0]
    assert (first["id"], first["words"]) == (SEAL, POLISH[f"cause.{SEAL}.name"])
    (weep,) = [each for each in first["for"] if each["finding"] == "weep_hole"]
    assert weep["words"] == POLISH["choice.find.weep_hole.wet"]
    assert weep["why"] == POLISH[f"why.state.at_pump_weep.{SEAL}"]
    other = answer["causes"][1]
    assert other["words"] == word(f"cause.{other['id']}.name")


def test_a_figure_that_is_not_known_is_named_as_each_language_quotes_it() -> None:
    assert "“Cap rating”" in RULES.text("step.pump_up.prompt")
    assert "„Cap rating”" in RULES.in_language("pl").text("step.pump_up.prompt")
