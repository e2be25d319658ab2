"""A reader of another language: its words where it has them, its order, case and plural forms."""

from __future__ import annotations

from dataclasses import replace

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand.told import word
from weeptrace import screen
from weeptrace.finding import Reason
from weeptrace.job.advance import fold
from weeptrace.refusal import Refusal
from weeptrace.rules import load
from weeptrace.rules.kept import completed
from weeptrace.screen.figures import Show
from weeptrace.told import Figure
from weeptrace.words import sentences

RULES = load()
UNITS = {each["id"]: each["units"] for each in RULES.unit_sets}
POLISH = Show(RULES, UNITS["psi"], language="pl")


def test_there_is_a_beginning_of_a_second_language() -> None:
    own = RULES.languages["pl"]
    assert len(own) >= 20
    assert all(sentences("pl")[id] == words for id, words in own.items())
    assert len(sentences("pl")) >= len(sentences())


def test_a_sentence_stands_in_the_order_of_its_language_and_the_units_of_its_reader() -> None:
    hot = Reason("too_hot", "reason.warmup.too_hot", {
        "hottest": Figure(391.15, "temperature"), "highest": Figure(388.15, "temperature"),
    })  # fmt: skip
    assert POLISH.told(hot).replace("\xa0", " ") == (
        "244.4 °F to więcej niż 239 °F. Zatrzymaj silnik. Niczego nie otwieraj."
    )
    into = Refusal("x", "refused.uptake.taken_up_does_not", figures={
        "measured": Figure(2e-3, "volume"), "room": Figure(1e-3, "volume"),
    })  # fmt: skip
    # The room comes first here, and second in English.
    words = POLISH.told(into).replace("\xa0", " ")
    assert words.startswith("W 1.057 US qt wolnego miejsca nie zmieści się 2.113 US qt.")


def test_a_count_takes_the_forms_of_its_language() -> None:
    def faults(count: int, show: Show) -> str:
        return show.told(Reason("x", "refused.door.rules_at_fault", {"count": count, "fault": "…"}))

    # Cardinal plural rules of Unicode CLDR: one, few, many.
    assert [faults(n, POLISH).split(".")[0] for n in (1, 2, 5, 12, 22, 25)] == [
        "Plik reguł ma jeden błąd", "Pliki reguł mają 2 błędy", "Pliki reguł mają 5 błędów",
        "Pliki reguł mają 12 błędów", "Pliki reguł mają 22 błędy", "Pliki reguł mają 25 błędów",
    ]  # fmt: skip
    english = Show(RULES, UNITS["kpa"])
    assert [faults(n, english).split(" fault")[0] for n in (1, 2)] == [
        "A rule file has a", "The rule files have 2",
    ]  # fmt: skip


def test_a_page_is_in_the_readers_language_as_far_as_that_has_got() -> None:
    log = Hands(Logbook()).until("gate.cold").log
    job = fold(RULES, log.events)
    made = {
        language: screen.view(
            RULES, job, log.moment(), screen.preferences({"language": language}, RULES)
        )
        for language in ("en", "pl", "xx")
    }
    assert made["xx"] == made["en"]
    titles = {language: view["blocks"][0]["text"] for language, view in made.items()}
    assert titles["en"] == word("gate.cold.title")
    assert titles["pl"] == "Czekanie na ostygnięcie"
    assert made["pl"]["foot"]["main"]["label"] == "Zmierz teraz"
    # No Polish yet: in English, and not left out.
    assert word("field.system.pressure_sign") in str(made["pl"]["blocks"])


def test_a_region_has_its_own_words_and_all_others_of_its_language() -> None:
    own = RULES.languages["en-US"]
    assert len(own) >= 25
    assert all(words != RULES.texts[id] for id, words in own.items())
    american = RULES.in_language("en-US")
    assert american.text("field.hand.bonnet") == "Hood, both catches"
    assert {**american.texts, **{id: RULES.texts[id] for id in own}} == RULES.texts
    assert sentences("en-US")["units.kpa"] == "kPa, °C, liters"
    assert sentences("en-US").keys() == sentences().keys() | own.keys()
    chosen = screen.preferences({"language": "en-US"}, RULES)
    assert chosen.language == "en-US"
    british = screen.preferences({"language": "en-GB"}, RULES)
    assert RULES.in_language(british.language).texts == RULES.texts


def test_older_rules_are_told_in_another_language_only_where_its_english_is_the_same() -> None:
    bonnet, film, title = "field.hand.bonnet", "field.look.screen_film", "gate.cold.title"
    older = replace(
        RULES,
        texts={**RULES.texts, bonnet: "Bonnet shut twice", title: "Another gate"},
        languages={"en-US": {bonnet: "Hood shut twice"}},
    )
    kept = completed(older, RULES)
    american, polish = kept.in_language("en-US"), kept.in_language("pl")
    assert american.text(bonnet) == "Hood shut twice"  # its own words for its own English
    assert american.text(film) == RULES.in_language("en-US").text(film) != RULES.text(film)
    assert RULES.languages["pl"][title] != "Another gate"
    assert polish.text(title) == "Another gate"
    told = completed(replace(older, languages={}), RULES).in_language("en-US")
    assert told.text(bonnet) == "Bonnet shut twice"
    same = replace(RULES, languages={})
    assert completed(same, RULES).languages == RULES.languages
