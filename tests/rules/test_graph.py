"""The pictures of the procedures hold every step and gate once, and nothing lies over another."""

from __future__ import annotations

import re
import sys
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from weeptrace.rules import Rules, load
from weeptrace.rules.conditions import parse
from weeptrace.rules.source import COMPUTED as COMPUTED_BY_JOBS
from weeptrace.screen.figures import Preferences, Show

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "webshell/tools/procedures"))
import graph
import graph_draw
import graph_layout as layout
import plain_words

RULES = load()
SHOW = Show(RULES, Preferences(RULES.unit_sets[0]["units"]).units)
SVG = "{http://www.w3.org/2000/svg}"


def many_times(rules: Rules, id: str, times: int) -> Rules:
    """The same rules with a procedure that many times as long, every step and phase a new one."""
    one = rules.procedures[id]
    phases, steps, texts = [], [], dict(rules.texts)
    for n in range(times):
        for phase in one.phases:
            phases.append(replace(phase, id=f"{phase.id}_{n}"))
            texts[f"phase.{phase.id}_{n}"] = texts[f"phase.{phase.id}"]
        for step in one.steps:
            steps.append(replace(step, id=f"{step.id}_{n}", phase=f"{step.phase}_{n}"))
            for part in ("title", "prompt"):
                texts[f"step.{step.id}_{n}.{part}"] = texts[f"step.{step.id}.{part}"]
    longer = replace(one, phases=tuple(phases), steps=tuple(steps))
    return replace(rules, procedures={id: longer}, texts=texts)


LONG = many_times(RULES, "coolant_loss", 3)
CASES = [
    *(pytest.param(RULES, id, id=id) for id in RULES.procedures),
    pytest.param(LONG, "coolant_loss", id="three_times_as_long"),
]


_laid: dict[tuple[int, str], layout.Picture] = {}


def laid_out(rules: Rules, id: str) -> layout.Picture:
    """The picture of a procedure, laid out once for all tests."""
    key = (len(rules.procedures[id].steps), id)
    if key not in _laid:
        _laid[key] = graph.picture(rules, id)
    return _laid[key]


def all_text(element: ET.Element) -> str:
    return " ".join(each.text or "" for each in element.iter(f"{SVG}text"))


@pytest.mark.parametrize(("rules", "id"), CASES)
def test_every_step_and_every_gate_stands_there_once(rules: Rules, id: str) -> None:
    procedure = rules.procedures[id]
    root = ET.fromstring(graph_draw.document(laid_out(rules, id)))
    drawn = Counter(each.get("id") for each in root.iter() if each.get("id") != "hatch")
    del drawn[None]
    gates = {phase.gate for phase in procedure.phases} - {None}
    gates |= {gate for step in procedure.steps for gate in step.gates}
    wanted = [f"step-{step.id}" for step in procedure.steps] + [f"gate-{each}" for each in gates]
    assert drawn == Counter(wanted)
    boxes = {each.get("id"): each for each in root.iter(f"{SVG}g")}
    for step in procedure.steps:
        box = boxes[f"step-{step.id}"]
        said = all_text(box)
        assert rules.text(f"step.{step.id}.title") in said
        for hazard in step.hazards:
            assert rules.text(rules.cautions[hazard]) in said
            assert f"{rules.level(hazard).capitalize()}." in said
        frame = box.find(f"{SVG}rect")
        assert frame is not None
        assert (frame.get("stroke-dasharray") is not None) is step.skip
        assert any(each.get("fill") == "url(#hatch)" for each in box) is bool(step.hazards)


@pytest.mark.parametrize(("rules", "id"), CASES)
def test_no_box_lies_over_another_and_all_lie_on_the_sheet(rules: Rules, id: str) -> None:
    made = laid_out(rules, id)
    for one, other in combinations(made.boxes, 2):
        beside = one.right <= other.x or other.right <= one.x
        above = one.bottom <= other.y or other.bottom <= one.y
        assert beside or above, (one, other)
    for box in made.boxes:
        assert box.x >= box.column * layout.COLUMN + layout.EDGE
        assert box.right <= (box.column + 1) * layout.COLUMN
        assert made.head <= box.y
        assert box.bottom <= made.height - layout.FOOT + 0.01
        for line in (*box.item.lines, *box.item.caution):
            assert layout.width_of(line.text, line.kind) <= box.width


@pytest.mark.parametrize(("rules", "id"), CASES)
def test_steps_are_read_downward_then_to_the_right(rules: Rules, id: str) -> None:
    made = laid_out(rules, id)
    steps = [box for box in made.boxes if box.item.kind == "step"]
    assert [box.item.id for box in steps] == [step.id for step in rules.procedures[id].steps]
    assert all((a.column, a.y) < (b.column, b.y) for a, b in pairwise(steps))
    assert max(box.column for box in made.boxes) < made.columns


@pytest.mark.parametrize(("rules", "id"), CASES)
def test_no_head_stands_alone_at_the_foot_of_a_column(rules: Rules, id: str) -> None:
    made = laid_out(rules, id)
    feet = [a for a, b in pairwise(made.boxes) if a.column != b.column] + [made.boxes[-1]]
    gates = {phase.id for phase in rules.procedures[id].phases if phase.gate is not None}
    for box in feet:
        assert box.item.kind in ("step", "gate") or box.item.id in gates


@pytest.mark.parametrize(("rules", "id"), CASES)
def test_ways_back_lie_beside_the_boxes_and_not_over_each_other(rules: Rules, id: str) -> None:
    made = laid_out(rules, id)
    for back in made.backs:
        assert back.end.y < back.start.y
        x = layout.RIGHT + 10 + back.lane * layout.LANE
        assert layout.RIGHT < x < layout.COLUMN - 4  # where one column leads to the next
    for one, other in combinations(made.backs, 2):
        if (one.start.column, one.lane) == (other.start.column, other.lane):
            assert one.start.bottom < other.end.y or other.start.bottom < one.end.y


def test_a_way_back_leads_to_what_it_makes_undone() -> None:
    procedure = RULES.procedures["coolant_loss"]
    again = [step for step in procedure.steps if step.again is not None]
    assert again
    for step in again:
        back = graph.way_back(RULES, procedure, step)
        assert len(back) == 1
        target = next(each for each in procedure.steps if each.id == back[0])
        assert step.again is not None
        cleared = RULES.fields[step.again].clears
        assert {target.asks, target.reads, *target.checks} & set(cleared)


@pytest.mark.parametrize(("rules", "id"), CASES)
def test_a_picture_stands_alone(rules: Rules, id: str) -> None:
    """The app's policy forbids a style and a script in it; and nothing is fetched."""
    root = ET.fromstring(graph_draw.document(laid_out(rules, id)))
    kinds = {each.tag.removeprefix(SVG) for each in root.iter()}
    assert kinds == {"svg", "title", "desc", "rect", "defs", "pattern", "path", "text", "g"}
    for each in root.iter():
        for name, value in each.attrib.items():
            assert name not in ("style", "class", "href", "src")
            assert value == "url(#hatch)" or not re.search(r"url\(|//", value)
    assert root[0].tag == f"{SVG}title"
    assert root[1].tag == f"{SVG}desc"
    assert root[0].text and root[1].text  # noqa: PT018 - both are told to a screen reader


def test_words_that_look_like_markup_stay_words() -> None:
    nasty = "<script>alert(\"1\")</script> & 'x'"
    texts = {**RULES.texts, "step.car_name.title": nasty, "step.car_name.prompt": nasty}
    made = graph.picture(replace(RULES, texts=texts), "coolant_loss")
    root = ET.fromstring(graph_draw.document(made))
    assert not list(root.iter(f"{SVG}script"))
    box = next(each for each in root.iter() if each.get("id") == "step-car_name")
    assert all_text(box).replace(" ", "").startswith(nasty.replace(" ", ""))


def test_a_sheet_lies_like_paper() -> None:
    made = graph.picture(RULES, "coolant_loss")
    assert 1.1 < made.width / made.height < 1.8  # a sheet of A4 that lies is 1.41


def test_every_computed_figure_has_words() -> None:
    assert set(plain_words.COMPUTED) == set(COMPUTED_BY_JOBS)


@pytest.mark.parametrize(
    ("condition", "words"),
    [
        ("known(car.name)", "“Car” is answered"),
        ("not known(car.name)", "“Car” is not answered"),
        ("ledger.out == 0", "“parts still off” is 0"),
        ("coolant.temperature < limit.gate.temperature", "“{coolant.temperature}” is below 50 °C"),
        (
            "within(coolant.temperature, limit.gate.evidence_age)",
            "“{coolant.temperature}” is not older than 20\N{NO-BREAK SPACE}min",
        ),
        (
            'work.route == "measure" and (work.route == "seen" or known(car.name))',
            "“{work.route}” is {work.route.measure}, and (“{work.route}” is {work.route.seen}, "
            "or “Car” is answered)",
        ),
        (
            'work.route == "measure" or work.route == "seen"',
            "“{work.route}” is {work.route.measure} or {work.route.seen}",
        ),
        (
            'work.route != "measure" and work.route != "seen"',
            "“{work.route}” is neither {work.route.measure} nor {work.route.seen}",
        ),
    ],
)
def test_conditions_in_plain_words(condition: str, words: str) -> None:
    def named(match: re.Match[str]) -> str:
        id = match[1]
        return RULES.text(f"field.{id}" if f"field.{id}" in RULES.texts else f"choice.{id}")

    said = plain_words.plain(SHOW, parse(condition)).replace("50\N{NO-BREAK SPACE}", "50 ")
    assert said == re.sub(r"\{([\w.]+)\}", named, words)


def test_a_word_too_wide_for_its_box_is_cut() -> None:
    lines = layout.wrapped("W" * 60, 200.0, "title")
    assert "".join(line.text for line in lines) == "W" * 60
    assert all(layout.width_of(line.text, "title") <= 200.0 for line in lines)
