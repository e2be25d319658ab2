"""What the pages of the causes say: chances as ranked, minutes and tools as in the tables."""

from __future__ import annotations

import tomllib
from typing import Any, Final

import pytest

from tests.logbook import Logbook
from tests.screen.hand.told import RULES as FOLDER
from tests.screen.hand.told import word
from tests.screen.test_view import RULES, blocks, described, view
from weeptrace.causes.explain import Reason
from weeptrace.causes.rank import Ranking
from weeptrace.job import observed
from weeptrace.job.advance import fold
from weeptrace.job.events import read_moment
from weeptrace.screen.figures import Show

Json = dict[str, Any]
TESTS: Final[dict[str, Json]] = tomllib.loads(
    (FOLDER / "causes" / "tests.toml").read_text("utf-8")
)["test"]
CAUTIONS: Final[dict[str, Json]] = tomllib.loads(
    (FOLDER / "causes" / "cautions.toml").read_text("utf-8")
)["caution"]
NBSP: Final = "\N{NO-BREAK SPACE}"
KNOWN: Final = observed.knowledge(RULES)
FOR_ALL: Final = Show(RULES, RULES.unit_sets[0]["units"])
# What an owner and a first look may tell; each is a job of its own.
TOLD: Final[dict[str, tuple[str, ...]]] = {
    "nothing": (),
    "a weep hole": ("weep_hole",),
    "smoke and pressure": ("exhaust_white", "hose_feel", "coolant_look"),
    "a cabin": ("cabin_sign", "heater_output"),
}


def told(name: str) -> Logbook:
    """A job in which each of these findings gave its first answer."""
    log = described()
    log.pass_the_gate()
    for finding in TOLD[name]:
        log.add("fact", f"find.{finding}", RULES.fields[f"find.{finding}"].options[0])
    return log


def ranking(log: Logbook) -> Ranking:
    return observed.rank(RULES, fold(RULES, log.events), read_moment(log.moment()))


def chance(share: float) -> str:
    """A chance in whole per cent; what is nearly nothing or all is told as that."""
    if share == 0.0 or share == 1.0:
        return f"{100 * share:.0f} %"
    if share < 0.01:
        return "under 1 %"
    return "over 99 %" if share > 0.99 else f"{100.0 * share:.0f} %"


# The owner's 0.35 L/1000 km: its class as the command line and as a page to two figures tell it.
PAGE: Final = {"0.3 L/1000 km to 5 L/1000 km": "0.30 L/1000 km to 5.0 L/1000 km"}


def answer(reason: Reason) -> str:
    """A finding's answer as a page says it."""
    told = FOR_ALL.told(KNOWN.said(reason.finding, reason.value))
    return PAGE.get(plain(told), plain(told))


def plain(text: str) -> str:
    return text.replace(NBSP, " ")


@pytest.mark.parametrize("name", TOLD)
def test_the_likeliest_causes_stand_with_their_chances(name: str) -> None:
    log = told(name)
    found, made = ranking(log), view(log, "find")
    (bars,) = blocks(made, "bars")
    shown = [each for each in found.causes if each.probability >= 0.02][:5]
    for row, each in zip(bars["rows"], shown, strict=True):
        assert row["label"] == word(f"cause.{each.id}.title")
        assert plain(row["figure"]) == chance(each.probability)
        assert row["share"] == each.probability
        assert row["solid"] == each.proven
        assert row["do"] == {"look": f"find.cause.{each.id}"}
        because = word("find.proven") if each.proven else answer(each.plus[0]) if each.plus else ""
        assert plain(row["sub"]) == because
    first = bars["rows"][0]
    assert bars["sentence"] == f"{word('find.likeliest')} {first['label']}, {first['figure']}"
    rows = blocks(made, "state")
    several = next(row for row in rows if row["lines"] == [word("find.several")])
    assert plain(several["figure"]) == chance(found.several)
    names = {row["label"] for row in bars["rows"]}
    open_still = {
        word(f"cause.{each.id}.title"): each
        for each in found.not_ruled_out
        if word(f"cause.{each.id}.title") not in names
    }
    held = [row for row in rows if row["shape"] == "not_measured"]
    assert [row["word"] for row in held] == list(open_still)
    for row in held:
        each = open_still[row["word"]]
        assert plain(row["figure"]) == chance(each.probability)
        assert row["lines"] == ([word(f"test.{each.test}")] if each.test else [])
    masked = [row["word"] for row in rows if row["shape"] == "not_done"]
    assert masked == [word(f"cause.{id}.title") for id in found.masked]
    cautions = [word(f"found_caution.{id}") for id in found.cautions]
    level = CAUTIONS[found.cautions[0]]["level"] if cautions else None
    assert made["foot"]["caution"] == (
        {"block": "caution", "level": level, "text": cautions[0]} if cautions else None
    )
    main = made["foot"]["main"]
    following = found.next_tests[0].test
    assert main["do"] == {"look": f"find.test.{following}"}
    assert (main["label"], main["sub"]) == (
        word("find.next"), word(f"test.{following}")
    )  # fmt: skip
    assert [key["do"]["look"] for key in made["foot"]["keys"]] == ["find.asks", ""]


@pytest.mark.parametrize("name", TOLD)
def test_each_test_says_its_minutes_tools_and_gates(name: str) -> None:
    log = told(name)
    found = ranking(log)
    for id in [proposal.test for proposal in found.next_tests] + ["overnight_hold", "dye"]:
        if id not in TESTS:
            continue
        entry, made = TESTS[id], view(log, f"find.test.{id}")
        gain = next((each.gain for each in found.next_tests if each.test == id), None)
        rows = [[word("find.takes"), f"{entry['minutes']} min"]]
        if entry.get("waits"):
            rows.append([word("find.waits"), f"{entry['waits']} min"])
        if gain is not None:
            rows.append([word("find.gain"), f"{gain / 60.0:.0f} min"])
        if entry.get("tools"):
            tools = sorted(word(f"choice.shop.tools.{tool}") for tool in entry["tools"])
            rows.append([word("find.tools"), ", ".join(tools)])
        (table,) = blocks(made, "table")
        assert [[plain(cell) for cell in row] for row in table["rows"]] == rows
        prompt = blocks(made, "prompt")[0]["text"]
        assert prompt == word(f"test.{id}")
        gates = [row["word"] for row in blocks(made, "state") if row["shape"] == "waits"]
        assert gates == [word(f"gate.{gate}.title") for gate in entry.get("gates", ())]
        assert made["foot"]["main"]["do"] == {"look": "find"}


@pytest.mark.parametrize("name", TOLD)
def test_each_cause_says_its_chance_and_its_reasons(name: str) -> None:
    log = told(name)
    found = ranking(log)
    job = fold(RULES, log.events)
    own = {each.told.finding for each in observed.shown(RULES, job) if each.by.startswith("find.")}
    for each in found.causes[:4]:
        made = view(log, f"find.cause.{each.id}")
        assert made["blocks"][0]["text"] == word(f"cause.{each.id}.title")
        first, common, *others = blocks(made, "state")
        assert common["lines"] == [word(f"cause.{each.id}.why")]
        assert first["shape"] == ("done" if each.proven else "to_do")
        assert first["word"] == word("find.proven" if each.proven else "find.not_proven")
        assert (plain(first["figure"]), first["framed"]) == (chance(each.probability), True)
        reasons = [*each.plus, *each.minus]
        rows = [row for row in others if row["word"]]
        assert [plain(row["word"]) for row in rows] == [answer(reason) for reason in reasons]
        for row, reason in zip(rows, reasons, strict=True):
            assert row["lines"][0] == FOR_ALL.told(reason.why)
            assert (word("find.same_sign") in row["lines"]) == bool(reason.same_sign_as)
            assert row["figure"] == word(f"find.strength.{reason.strength}")
            asked = {"look": f"find.ask.{reason.finding}"}
            assert row.get("do") == (asked if reason.finding in own else None)
        headings = [block["text"] for block in blocks(made, "heading")]
        assert headings == [word("find.for"), word("find.against")]


def test_of_several_answers_one_more_or_less_is_a_press_and_none_excludes_them() -> None:
    log = described()
    (field,) = (f for f in RULES.fields.values() if f.id == "find.residue_at")
    one, two = [option for option in field.options if option != "none"][:2]

    def rows() -> dict[str, Json]:
        (choice,) = blocks(view(log, "find.ask.residue_at"), "choice")
        return dict(zip(field.options, choice["rows"], strict=True))

    def press(option: str) -> None:
        event = rows()[option]["do"]["event"]
        log.add(event["kind"], event["field"], event["typed"], supersedes=event.get("supersedes"))

    assert not any(row["chosen"] for row in rows().values())
    press(two)
    press(one)
    assert [o for o, row in rows().items() if row["chosen"]] == [one, two]
    assert rows()[one]["do"]["event"]["typed"] == two
    assert rows()["none"]["do"]["event"]["typed"] == "none"
    press("none")
    assert [o for o, row in rows().items() if row["chosen"]] == ["none"]
    press(one)
    assert [o for o, row in rows().items() if row["chosen"]] == [one]
    press(one)  # nothing is chosen then: an answer of before does not come back
    assert not any(row["chosen"] for row in rows().values())
