"""The table of hands quotes the words of every page, as they are today, and knows each act."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import pytest

from weeptrace.practice.world import hands
from weeptrace.practice.world.answers import Eyes, table
from weeptrace.practice.world.body import Body, known
from weeptrace.practice.world.drawn import some_car
from weeptrace.practice.world.world import World
from weeptrace.rules import Field, Step, load

RULES: Final = load()
STEPS: Final = {step.id: step for step in RULES.procedures["coolant_loss"].steps}
STOPS: Final = {
    "stop.too_hot": ("stop_hot.title", "stop_hot.now"),
    "stop.level_falls": ("stop_low.title", "stop_hot.now"),
    "stop.above_rating": ("over.title", "over.now"),
    "stopped": ("screen.stopped", "stopped.refer"),
}


def words(step: Step) -> tuple[str, str, str, str]:
    """Title, prompt, caution and main key of a step's page."""
    caution = RULES.texts[RULES.cautions[step.hazards[0]]] if step.hazards else ""
    name = f"step.{step.id}"
    return (RULES.texts[f"{name}.title"], RULES.texts[f"{name}.prompt"], caution,
            RULES.texts.get(f"{name}.main", ""))  # fmt: skip


def quoted(entry: hands.Entry) -> tuple[str, str, str, str]:
    """What an entry was written from."""
    return entry.title, entry.prompt, entry.caution, entry.main


def options(field: Field) -> set[str]:
    """The words of a choice's answers."""
    return {RULES.texts[field.word(word)] for word in field.options}


@pytest.mark.parametrize("step", STEPS.values(), ids=STEPS)
def test_a_page_has_an_entry_by_its_words_of_today(step: Step) -> None:
    entry = hands.pages()[step.id]
    assert quoted(entry) == words(step), f"read {step.id} again, and write its acts anew"
    asked = RULES.fields[step.asks] if step.asks else None
    if asked is not None and asked.kind == "choice":
        assert set(entry.chosen) == options(asked)
    assert set(entry.rows) == {RULES.texts[f"field.{name}"] for name in step.checks}


@pytest.mark.parametrize("gate", RULES.gates)
def test_a_gate_has_an_entry_by_its_words_of_today(gate: str) -> None:
    entry = hands.pages()[f"gate.{gate}"]
    assert entry.title == RULES.texts[f"gate.{gate}.title"]
    assert entry.prompt == RULES.texts[f"gate.{gate}.prompt"]


@pytest.mark.parametrize("name", STOPS)
def test_a_page_that_stops_has_an_entry_by_its_words_of_today(name: str) -> None:
    entry = hands.pages()[name]
    assert (entry.title, entry.prompt) == tuple(RULES.texts[id] for id in STOPS[name])


def test_no_entry_is_left_of_a_page_that_is_gone() -> None:
    there = {*STEPS, *(f"gate.{gate}" for gate in RULES.gates), *STOPS}
    assert set(hands.pages()) == there


def test_a_changed_word_is_seen() -> None:
    entry = hands.pages()["cold_level"]
    assert quoted(replace(entry, caution="")) != words(STEPS["cold_level"])
    assert quoted(replace(entry, prompt=f"{entry.prompt} ")) != words(STEPS["cold_level"])


def test_rows_of_ledger_gates_and_stopped_jobs_are_words_of_today() -> None:
    pressed = hands.pressed()
    parts = {
        RULES.texts[f"field.{field.id}"]
        for field in RULES.fields.values()
        if field.kind == "part" and ".own_" not in field.id
    }
    assert set(pressed["off"]) == set(pressed["on"]) == parts
    every = set(map(str, RULES.texts.values()))
    for name in ("gate", "left"):
        assert set(pressed[name]) <= every, name
    left = {
        text
        for id, text in RULES.texts.items()
        if id.startswith("stopped.") and f"{id}_then" in RULES.texts
    }
    assert set(pressed["left"]) == left


def test_phrases_stand_in_the_texts() -> None:
    every = " ".join(str(text) for text in RULES.texts.values())
    for name, phrases in hands.phrases().items():
        for phrase in phrases:
            assert phrase in every, name


def test_headings_and_keys_that_acts_hang_on_are_words_of_today() -> None:
    every = set(map(str, RULES.texts.values()))
    for entry in hands.pages().values():
        assert {*entry.asked, *entry.keys, *entry.earlier} <= every


def test_every_act_is_one_that_a_body_can_do() -> None:
    for name, entry in hands.pages().items():
        tables = (entry.chosen, entry.rows, entry.earlier, entry.keys, entry.asked)
        acts = [
            *entry.acts,
            *entry.cautioned,
            *(act for each in tables for own in each.values() for act in own),
        ]
        assert known(acts) == [], name
    for rows in hands.pressed().values():
        assert known(act for own in rows.values() for act in own) == []
    assert known(["fly_away"]) == ["fly_away"]


def test_each_page_finds_an_answer_to_what_it_asks() -> None:
    world = World(some_car(1), 1)
    import random

    eyes = Eyes(world, Body(world), random.Random(1))
    for step in STEPS.values():
        for name in (*step.checks, *filter(None, (step.asks, step.reads))):
            field = RULES.fields[name]
            if name == "drive.decision":  # by what the page says of it
                continue
            if field.kind == "choice":
                found = eyes.zone(name) if name.startswith("zone.") else None
                found = found or eyes.choose(name, field.options)
                assert found in field.options, name
            elif field.kind in ("quantity", "reading", "count", "text"):
                assert eyes.type(name)[0], name
    assert set(table()["free"]) <= set(RULES.fields)
    assert set(table()["drawn"]) | set(table()["sensed"]) <= set(RULES.fields)
