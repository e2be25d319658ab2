"""The page of likely causes held whole: what a given ranking draws, row by row and key by key."""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.screen.hand.plain import NBSP, caution, foot, heading, key, prompt, row, table, title
from tests.screen.hand.told import word
from tests.screen.test_view import RULES, described, view
from weeptrace.causes.explain import Reason
from weeptrace.causes.fit import Contradiction
from weeptrace.causes.plan import Plan, Proposal
from weeptrace.causes.rank import Open, Ranked, Ranking
from weeptrace.job import observed
from weeptrace.refusal import Refusal
from weeptrace.told import Sentence

Json = dict[str, Any]
KNOWN: Final = observed.knowledge(RULES)
CAUSES: Final = list(KNOWN.causes)
BACK: Final = foot(key(word("find.back"), {"look": "find"}, "back"))


def said(table: str, id: str) -> str:
    """What a cause or a test is called where it stands alone."""
    return word(f"cause.{id}.title" if table == "cause" else f"test.{id}")


def reason(strength: str, *same: str) -> Reason:
    value = {"strong": "wet", "weak": "dry_stain"}[strength]
    return Reason("weep_hole", value, 1.0, strength, Sentence(f"{strength} why"), same)


def proposal(test: str, gain: float, *asks: str) -> Proposal:
    why = Sentence("ranked.line.second_leak")
    return Proposal(test, "decides", why, 60.0, gain, 120.0, asks, (), (), None)


PLUS: Final = (reason("strong"), reason("weak", "puddle_test"))
MINUS: Final = (reason("weak"),)


def ranking(**has: Any) -> Ranking:
    usual: Json = {
        "causes": (), "several": 0.126, "not_ruled_out": (), "masked": {},
        "plan": Plan((), False, None), "contradictions": (), "cautions": (), "forbidden": {},
    }  # fmt: skip
    return Ranking(**{**usual, **has})


def page(monkeypatch: pytest.MonkeyPatch, found: Ranking, look: str = "find") -> Json:
    monkeypatch.setattr(observed, "rank", lambda rules, job, now: found)
    return view(described(), look)


KEYS: Final = (
    key(word("find.asks"), {"look": "find.asks"}, "search"),
    key(word("screen.back"), {"look": ""}, "back"),
)
SEVERAL: Final = row(None, "", word("find.several"), figure=f"13{NBSP}%")


def bar(id: str, share: float, figure: str, sub: str = "", solid: bool = False) -> Json:
    return {"label": said("cause", id), "figure": f"{figure}{NBSP}%", "share": share,
            "solid": solid, "sub": sub, "do": {"look": f"find.cause.{id}"}}  # fmt: skip


def bars(*rows: Json) -> Json:
    sentence = word("find.nothing")
    if rows:
        sentence = f"{word('find.likeliest')} {rows[0]['label']}, {rows[0]['figure']}"
    return {"block": "bars", "rows": list(rows), "sentence": sentence}


def test_a_ranking_of_nothing_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    made = page(monkeypatch, ranking())
    known = made["blocks"][0]["count"]  # what the car of these tests tells
    assert made["blocks"] == [
        title(word("find.title"), known), bars(), SEVERAL, heading(word("find.not_ruled_out"))
    ]  # fmt: skip
    assert known == "7 known"
    assert made["foot"] == foot(None, *KEYS)


def test_a_ranking_is_drawn_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """The five likeliest of 2 % or more; the others are not ruled out; then the cautions."""
    a, b, c, d, e, f, g, h = CAUSES[:8]
    shares = (0.4, 0.3, 0.25, 0.2, 0.02, 0.02)
    causes = [Ranked(id, share, (), (), False) for id, share in zip((a, b, c, d, e, f), shares,
                                                                   strict=True)]  # fmt: skip
    causes[0] = Ranked(a, 0.4, PLUS, MINUS, True)
    causes[1] = Ranked(b, 0.3, PLUS, MINUS, False)
    cautions = list(KNOWN.cautions)[:3]
    enough, misfit = Sentence("ranked.line.proven_second"), Sentence("ranked.line.misfit")
    made = page(
        monkeypatch,
        ranking(
            causes=tuple(causes),
            not_ruled_out=(Open(a, 0.4, "cap_test"), Open(f, 0.02, None), Open(g, 0.005, "dye_uv")),
            masked={h: "feature"},
            plan=Plan((proposal("cap_test", 600.0), proposal("dye_uv", 60.0)), True, enough),
            contradictions=(Contradiction(("weep_hole", "puddle_test"), "weep_hole", misfit),),
            cautions=tuple(cautions),
        ),
    )
    again = f"{word('find.recheck')} {word('field.find.weep_hole')}"
    mind = [word(f"found_caution.{id}") for id in cautions]
    assert made["blocks"] == [
        title(word("find.title"), "7 known"),
        row("done", word("find.enough"), word(enough.text), framed=True),
        row("stop", word("find.contradiction"), word(misfit.text), again, framed=True,
            do={"look": "find.ask.weep_hole"}),
        bars(bar(a, 0.4, "40", word("find.proven"), solid=True),
             bar(b, 0.3, "30", "Wet or fresh crust"), bar(c, 0.25, "25"), bar(d, 0.2, "20"),
             bar(e, 0.02, "2")),
        SEVERAL,
        heading(word("find.mind")),
        *(row(None, "", each) for each in mind[1:]),
        heading(word("find.not_ruled_out")),
        row("not_measured", said("cause", f), figure=f"2{NBSP}%"),
        row("not_measured", said("cause", g), said("test", "dye_uv"),
            figure=f"under 1{NBSP}%"),
        row("not_done", said("cause", h), word("find.masked")),
    ]  # fmt: skip
    main = key(word("find.next"), {"look": "find.test.cap_test"}, None, said("test", "cap_test"))
    assert made["foot"] == foot(main, *KEYS, caution=caution(mind[0], KNOWN.levels[cautions[0]]))


@pytest.mark.parametrize(("share", "drawn"), [(0.0199, 0), (0.02, 1)])
def test_a_chance_below_a_fiftieth_is_not_drawn(
    monkeypatch: pytest.MonkeyPatch, share: float, drawn: int
) -> None:
    made = page(monkeypatch, ranking(causes=(Ranked(CAUSES[0], share, (), (), False),)))
    (made_bars,) = [b for b in made["blocks"] if b["block"] == "bars"]
    assert len(made_bars["rows"]) == drawn


def test_one_caution_stands_at_the_foot_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    id = next(iter(KNOWN.cautions))
    made = page(monkeypatch, ranking(cautions=(id,)))
    assert heading(word("find.mind")) not in made["blocks"]
    assert made["foot"]["caution"] == caution(word(f"found_caution.{id}"), "warning")  # hot coolant


def test_why_something_seen_forbids_a_test_stands_with_its_caution(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """That of the caution at the foot as well, which has no room for it there."""
    oil, empty, other = list(KNOWN.cautions)[:3]
    ids = ("why.block.engine_oil_look-milky", "why.block.loss_rate-gross",
           "why.block.level_cold-empty")  # fmt: skip
    why = [Sentence(id) for id in ids]
    forbidden = {oil: (why[0],), empty: (why[1], why[2])}
    made = page(monkeypatch, ranking(cautions=(oil, empty, other), forbidden=forbidden))
    at = made["blocks"].index(heading(word("find.mind")))
    assert made["blocks"][at + 1 : at + 4] == [
        row(None, "", word(f"found_caution.{oil}"), word(ids[0])),
        row(None, "", word(f"found_caution.{empty}"), word(ids[1]), word(ids[2])),
        row(None, "", word(f"found_caution.{other}")),
    ]
    assert made["foot"]["caution"]["text"] == word(f"found_caution.{oil}")


@pytest.mark.parametrize(
    ("finding", "answer", "after"),
    [
        ("residue_at", "hose_end,cap_neck", ["state.at_cap_neck.otherwise",
                                             "state.at_hose_end.otherwise"]),
        ("residue_at", "none", []),
        ("gas_test", "positive", ["state.combustion_gas.otherwise"]),
        ("gas_test", "negative", []),
        ("weep_hole", "not_visible", []),
        ("looked_when", "cold_and_dry", ["doubt.looked_when.cold_and_dry.residue_at",
                                         "doubt.looked_when.cold_and_dry.wet_ground_zone"]),
        ("looked_when", "warm", []),
        ("onset", "sudden", []),
    ],
)  # fmt: skip
def test_a_question_says_how_far_its_answers_can_be_trusted(
    finding: str, answer: str, after: list[str]
) -> None:
    """Before it is answered, what is to be known of the look; after, what may make it seem so."""
    log = described()
    otherwise = KNOWN.why(f"finding.{finding}.otherwise")
    before = [] if otherwise is None else [row(None, "", word(otherwise.text))]
    look = f"find.ask.{finding}"
    head = [title(word("find.ask")), prompt(word(f"field.find.{finding}")), *before]
    fresh = view(log, look)["blocks"]
    assert fresh[:-1] == head
    assert fresh[-1]["block"] == "choice"
    log.add("fact", f"find.{finding}", answer)
    told = view(log, look)["blocks"]
    assert told[: len(head)] == head
    assert told[len(head)]["block"] == "choice"
    assert told[len(head) + 1 :] == [row(None, "", word(f"why.{key}")) for key in after]


@pytest.mark.parametrize("proven", [True, False])
def test_a_cause_with_what_speaks_for_and_against(
    monkeypatch: pytest.MonkeyPatch, proven: bool
) -> None:
    id = next(id for id, cause in KNOWN.causes.items() if len(cause.proof) > 1)
    ask = {"look": "find.ask.weep_hole"}
    made = page(
        monkeypatch, ranking(causes=(Ranked(id, 0.3, PLUS, (), proven),)), f"find.cause.{id}"
    )
    proofs = [said("test", test) for test in KNOWN.causes[id].proof]
    state = (
        row("done", word("find.proven"), figure=f"30{NBSP}%", framed=True)
        if proven
        else row("to_do", word("find.not_proven"), *proofs, figure=f"30{NBSP}%", framed=True)
    )
    strong, weak = (word(f"find.strength.{each}") for each in ("strong", "weak"))
    assert made["blocks"] == [
        title(said("cause", id)), state, row(None, "", word(f"cause.{id}.why")),
        heading(word("find.for")),
        row(None, "Wet or fresh crust", "strong why", figure=strong, do=ask),
        row(None, "Old dry stain", "weak why", word("find.same_sign"), figure=weak, do=ask),
        heading(word("find.against")), row(None, "", word("find.no_reason")),
    ]  # fmt: skip
    assert made["foot"] == BACK
    assert made["step"] == f"find.cause.{id}"


def question(finding: str) -> Json:
    look = {"look": f"find.ask.{finding}"}
    return row("to_do", word(f"field.find.{finding}"), framed=True, do=look)


def test_a_test_says_what_it_takes_and_what_is_asked_after_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    id = "long_hold_overnight"
    test = KNOWN.tests[id]
    tools = sorted(word(f"choice.shop.tools.{tool}") for tool in test.tools)
    takes = [[word("find.takes"), f"{test.time / 60:.0f}{NBSP}min"],
             [word("find.waits"), f"{test.waits / 60:.0f}{NBSP}min"]]  # fmt: skip
    end = [
        heading(word("find.then")), *(question(finding) for finding in test.gives),
        *(row("waits", word(f"gate.{gate}.title"), word("find.gate")) for gate in test.gates),
    ]  # fmt: skip
    head = [title(word("find.test")), prompt(said("test", id))]
    tooled = [word("find.tools"), ", ".join(tools)]
    made = page(monkeypatch, ranking(), f"find.test.{id}")
    assert made["blocks"] == [*head, table(*takes, tooled, figures=()), *end]
    hazard = RULES.cautions[test.hazards[0]]
    assert made["foot"] == {**BACK, "caution": caution(word(hazard), RULES.levels[test.hazards[0]])}
    asked = ("weep_hole", test.gives[0])  # asked anyhow, and once
    plan = Plan((proposal(id, 540.0, *asked),), False, None)
    made = page(monkeypatch, ranking(plan=plan), f"find.test.{id}")
    gain = [word("find.gain"), f"9{NBSP}min"]
    assert made["blocks"] == [
        *head, row(None, "", word("ranked.line.second_leak")),
        table(*takes, gain, tooled, figures=()), end[0], question("weep_hole"), *end[1:],
    ]  # fmt: skip


def test_a_test_without_tools_waits_or_hazards_says_none(monkeypatch: pytest.MonkeyPatch) -> None:
    test = KNOWN.tests["intake"]
    assert (test.tools, test.gates, test.hazards, test.waits) == (frozenset(), (), (), 0.0)
    made = page(monkeypatch, ranking(), "find.test.intake")
    assert made["blocks"][2] == table(
        [word("find.takes"), f"{test.time / 60:.0f}{NBSP}min"], figures=()
    )
    assert made["foot"] == BACK


@pytest.mark.parametrize(
    "look",
    ["find.cause.weep_hole", "find.test.weep_hole", "find.ask.cap_test_x", "find.ask.radiator_core",
     "find.cause.cap_test", "find.test.radiator_core", "find.other", "find.other.cap_test"],
)  # fmt: skip
def test_there_is_no_look_at_one_thing_as_another(
    monkeypatch: pytest.MonkeyPatch, look: str
) -> None:
    causes = (Ranked("radiator_core", 0.3, (), (), False),)
    with pytest.raises(Refusal) as refused:
        page(monkeypatch, ranking(causes=causes), look)
    assert (refused.value.code, refused.value.accepted) == ("unknown_look", "find")
    assert look in refused.value.message
