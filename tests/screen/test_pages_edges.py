"""Edges of the pages: words and shapes where something is lacking, refused, or at its limit."""

from __future__ import annotations

from typing import Any

import pytest

from tests.logbook import Logbook
from tests.screen.hand.told import word
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.job.state import Job
from weeptrace.rules import Step, load
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, preferences
from weeptrace.screen.pages import answers, balance, checks, find, questions, transmission

RULES = load()
SHOWS = {
    each["id"]: Show(RULES, preferences({"units": each["units"]}, RULES).units)
    for each in RULES.unit_sets
}
SHOW = SHOWS["kpa"]
NBSP = "\N{NO-BREAK SPACE}"
Json = dict[str, Any]


def log(*told: tuple[str, ...]) -> Logbook:
    made = Logbook()
    for field, *typed in told:
        made.now += 5.0
        kind = RULES.fields[field].kind
        if typed and typed[0] == "not done":
            made.add("not_done", field)
        elif typed:
            made.add("fact", field, typed[0], typed[1] if len(typed) > 1 else None)
        else:
            made.add("mark" if kind == "mark" else "done", field)
    return made


def job(*told: tuple[str, ...]) -> Job:
    made = fold(RULES, log(*told).events)
    assert not made.troubles, made.troubles
    return made


def shown_by(shows: str) -> Step:
    return next(s for s in RULES.procedures["coolant_loss"].steps if s.shows == shows)


def rows(body: list[Json], kind: str = "state") -> list[tuple[Any, ...]]:
    return [
        (r["shape"], r["word"].replace(NBSP, " "), [x.replace(NBSP, " ") for x in r["lines"]],
         r["figure"].replace(NBSP, " "), r["framed"])
        for r in body if r["block"] == kind
    ]  # fmt: skip


def table(body: list[Json]) -> list[list[str]]:
    return [
        [c.replace(NBSP, " ") for c in r] for t in body if t["block"] == "table" for r in t["rows"]
    ]


def kinds(body: list[Json]) -> list[str]:
    return [each["block"] for each in body]


def test_a_question_goes_through_its_words_and_then_is_open_again() -> None:
    for name in ("zone.upper_hose", "drive.oil_mixed"):
        field = RULES.fields[name]
        (row,) = answers.rows(RULES, job(), [name])
        assert (row["shape"], row["figure"], row["label"]) == ("to_do", "", word(f"field.{name}"))
        assert row["do"]["event"] == parts.event(name, "fact", field.options[0])
        assert "supersedes" not in row["do"]["event"]
        for at, option in enumerate(field.options):
            here = job((name, option))
            (row,) = answers.rows(RULES, here, [name])
            first = at == 0
            shape = "done" if first else "not_done" if option.startswith("not_") else "now"
            assert (row["shape"], row["figure"]) == (shape, RULES.text(field.word(option)))
            event, before = row["do"]["event"], here.facts[name].event.id
            if option == field.options[-1]:
                assert (event["kind"], event["typed"]) == ("undo", "")
            else:
                assert (event["kind"], event["typed"]) == ("fact", field.options[at + 1])
            assert event["supersedes"] == before
        (row,) = answers.rows(RULES, job((name, "not done")), [name])
        assert (row["shape"], row["figure"]) == ("to_do", "")


def test_the_zones_of_the_car_are_questions_of_one_word_each() -> None:
    zones = answers.zones(RULES)
    assert [zone.id for zone in zones] == [f for f in RULES.fields if f.startswith("zone.")
                                           and RULES.fields[f].kind == "choice"]  # fmt: skip
    assert "zone.seen" not in [zone.id for zone in zones]


def test_a_page_of_questions_counts_its_answers_and_ends_by_its_key() -> None:
    at = shown_by("answers")
    first, second = at.checks[:2]
    word_of = RULES.fields[first].options[0]
    body, foot = answers.blocks(SHOW, job((first, word_of), (second, "not done")), at)
    assert kinds(body) == ["title", "prompt", "checklist"]
    assert body[0]["count"] == f"1 of {len(at.checks)}"
    assert body[0]["text"] == word(f"step.{at.id}.title")
    assert body[1]["text"] == word(f"step.{at.id}.prompt")
    assert [r["label"] for r in body[2]["rows"]] == [word(f"field.{n}") for n in at.checks]
    assert foot["main"]["do"] == {"event": parts.event(str(at.asks), "done")}
    assert (foot["main"]["label"], foot["main"]["icon"]) == (word(f"step.{at.id}.main"), "tick")
    assert len(foot["keys"]) == bool(at.gates)


@pytest.mark.parametrize("at", [s for s in RULES.procedures["coolant_loss"].steps
                                if s.shows == "checks" or (s.checks and s.asks is None)],
                         ids=lambda s: s.id)  # fmt: skip
def test_a_checklist_ticks_its_rows_one_by_one(at: Step) -> None:
    one = at.checks[0]
    stored = log((one,))
    body, foot = checks.blocks(SHOW, fold(RULES, stored.events), at)
    assert kinds(body) == ["title", "prompt", "checklist"]
    assert body[0]["count"] == f"1 of {len(at.checks)}"
    first, *others = body[2]["rows"]
    assert (first["shape"], first["figure"]) == ("done", "14:00")
    undo = stored.events[-1]["id"]
    assert first["do"]["event"] == parts.event(one, "undo", supersedes=undo)
    assert [(r["shape"], r["figure"], r["do"]["event"]["kind"]) for r in others] == [
        ("to_do", "", "done") for _ in others
    ]
    if others:
        assert foot["main"]["label"] == word(f"field.{at.checks[1]}")
        assert foot["main"]["do"]["event"] == parts.event(at.checks[1], "done")
    else:
        assert foot["main"] is None
    assert [k["do"]["reason"]["field"] for k in foot["keys"]] == [
        f"gate.{g}" for g in at.gates[-1:]
    ]


FLUIDS = (("car.capacity", "8", "L"), ("coolant.drained", "4", "L"),
          ("coolant.missing_before", "0", "L"), ("coolant.spilled", "0", "L"))  # fmt: skip


def test_a_balance_says_what_was_not_measured() -> None:
    body, foot = balance.blocks(SHOW, job(*FLUIDS), shown_by("balance"))
    assert kinds(body)[:3] == ["title", "state", "table"]
    shape, words, lines, _, framed = rows(body)[0]
    assert (shape, words, framed) == ("not_measured", "Not judged", True)
    filled = word("field.coolant.filled")
    assert lines == [f"Not measured: {filled}."]
    typed = dict(map(tuple, table(body)[:4]))
    assert typed == {
        word("field.coolant.missing_before"): "0 L", word("field.coolant.drained"): "4 L",
        word("field.coolant.spilled"): "0 L", word("field.coolant.filled"): "not measured",
    }  # fmt: skip
    assert foot["main"]["do"]["event"] == parts.event("balance.seen", "done")
    assert foot["keys"][0]["do"] == {"look": "so_far"}
    assert (foot["caution"], foot["keys"][0]["icon"]) == (None, "undo")


@pytest.mark.parametrize(
    ("filled", "shape", "word_of"),
    [("4", "done", "The balance closes"), ("3", "stop", None), ("4.9", "stop", None)],
)
def test_a_balance_that_does_not_close_says_by_how_much(
    filled: str, shape: str, word_of: str | None
) -> None:
    body, _ = balance.blocks(
        SHOW, job(*FLUIDS, ("coolant.filled", filled, "L")), shown_by("balance")
    )
    verdict = rows(body)[0]
    assert verdict[0] == shape
    left = 4.0 - float(filled)
    minus = "\N{MINUS SIGN}" if left < 0 else ""
    said = verdict[2][0].replace("-", "\N{MINUS SIGN}")
    assert said.startswith(f"Out less in: {minus}{abs(left):.2f} L (")
    assert said.endswith(", 95 %).")
    if word_of is not None:
        assert verdict[1] == word_of
        assert verdict[2][1] == word("screen.closes")
    else:
        assert verdict[1].startswith(f"{abs(left):.2f} L: ")
        assert verdict[2][1:] == [] or verdict[2][1].startswith("Or: ")
    told = dict(balance.rows(SHOW, job(*FLUIDS, ("coolant.filled", filled, "L"))))
    assert told["Balance"].replace(NBSP, " ").startswith(f"{verdict[1]}. Out less in: ")


def test_rounds_are_added_up_where_there_are_more_than_one() -> None:
    twice = (*FLUIDS, ("coolant.filled", "4", "L"), ("work.reopened",),
             ("coolant.drained", "3", "L"), ("coolant.filled", "3.1", "L"))  # fmt: skip
    body, _ = balance.blocks(SHOW, job(*twice), shown_by("balance"))
    typed = dict(map(tuple, table(body)[:4]))
    assert typed[word("field.coolant.drained")] == "7.00 L"
    assert typed[word("field.coolant.filled")] == "7.10 L"


def test_what_ran_out_of_the_transmission_stands_above_its_pad() -> None:
    at = shown_by("transmission")
    body, foot = transmission.blocks(SHOW, job(), at)
    assert "table" not in kinds(body)
    assert transmission.lines(SHOW, job()) == ()
    plain = kinds(body)
    body, same = transmission.blocks(SHOW, job(("transmission.caught", "430", "g")), at)
    assert kinds(body) == [*plain[:2], "table", *plain[2:]]
    ((words, figure),) = table(body)
    # Transmission fluid of 850 kg/m3 or so (common practice): 430 g are half a litre.
    assert words in [text for id, text in RULES.texts.items() if id.startswith("transmission.")]
    assert 0.45 < float(figure.split(" ")[0]) < 0.55
    assert foot["main"] == same["main"]


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.0, "0 %"), (0.005, "under 1 %"), (0.0099, "under 1 %"), (0.01, "1 %"), (0.5, "50 %"),
     (0.99, "99 %"), (0.991, "over 99 %"), (0.999, "over 99 %"), (1.0, "100 %"), (0.126, "13 %")],
)  # fmt: skip
def test_a_chance_is_never_rounded_to_all_or_nothing(share: float, words: str) -> None:
    assert find._percent(SHOW, share).replace(NBSP, " ") == words


def test_none_excludes_all_other_words_and_they_it() -> None:
    every = ("none", "a", "b", "c")
    assert questions._with(every, ("a", "b"), "none") == ["none"]
    assert questions._with(every, ("none",), "b") == ["b"]
    assert questions._with(every, ("c",), "a") == ["a", "c"]
    assert questions._with(every, (), "a") == ["a"]


def ask(made: Job, id: str) -> list[Json]:
    body, foot = find.page(SHOW, made, f"find.ask.{id}", NOW)
    assert foot["main"]["do"] == {"look": "find"}
    assert foot["main"]["icon"] == "back"
    assert body[0]["text"] == word("find.ask")
    rows: list[Json] = next(each for each in body if each["block"] == "choice")["rows"]
    return rows


NOW = read_moment(Logbook().moment())


def test_a_word_of_one_is_taken_back_by_a_second_press_and_of_several_left_out() -> None:
    one = next(f for f in RULES.fields.values() if f.id.startswith("find.") and f.kind == "choice")
    finding = one.id.removeprefix("find.")
    first, second = one.options[:2]
    for row, option in zip(ask(job(), finding), one.options, strict=True):
        assert row["do"]["event"] == parts.event(one.id, "fact", option)
        assert row["chosen"] is False
    here = job((one.id, first))
    before = here.facts[one.id].event.id
    a, b = ask(here, finding)[:2]
    assert (a["chosen"], b["chosen"]) == (True, False)
    assert a["do"]["event"] == parts.event(one.id, "undo", supersedes=before)
    assert b["do"]["event"] == parts.event(one.id, "fact", second, supersedes=before)
    some = next(
        f for f in RULES.fields.values() if f.id.startswith("find.") and f.kind == "choices"
    )
    finding = some.id.removeprefix("find.")
    options = [o for o in some.options if o != "none"]
    first, second = options[:2]
    here = job((some.id, first))
    before = here.facts[some.id].event.id
    by_word = dict(zip(some.options, ask(here, finding), strict=True))
    assert by_word[first]["do"]["event"] == parts.event(some.id, "undo", supersedes=before)
    both = ",".join(o for o in some.options if o in (first, second))
    assert by_word[second]["do"]["event"] == parts.event(some.id, "fact", both, supersedes=before)
    here = job((some.id, both))
    before = here.facts[some.id].event.id
    by_word = dict(zip(some.options, ask(here, finding), strict=True))
    assert [o for o, r in by_word.items() if r["chosen"]] == both.split(",")
    assert by_word[first]["do"]["event"] == parts.event(some.id, "fact", second, supersedes=before)


def test_all_questions_stand_by_their_test_with_what_was_answered() -> None:
    one = next(f for f in RULES.fields.values() if f.id.startswith("find.") and f.kind == "choice")
    body, foot = find.page(SHOW, job((one.id, one.options[1])), "find.asks", NOW)
    asked = [b for b in body if b["block"] == "state"]
    every = [f.id for f in RULES.fields.values() if f.id.startswith("find.")]
    assert body[0]["count"] == str(len(asked))
    assert {b["word"] for b in asked} >= {RULES.text(f"field.{id}") for id in every}
    (done,) = [b for b in asked if b["shape"] == "done"]
    assert (done["word"], done["lines"]) == (
        RULES.text(f"field.{one.id}"), [RULES.text(one.word(one.options[1]))]
    )  # fmt: skip
    assert all(b["lines"] == [] and b["framed"] for b in asked if b is not done)
    assert done["do"] == {"look": f"find.ask.{one.id.removeprefix('find.')}"}
    assert foot["main"]["do"] == {"look": "find"}
