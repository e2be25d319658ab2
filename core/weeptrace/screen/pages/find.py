"""Find it: likely causes and why, what is not ruled out, and the next best test. Looks of a job.

"find" the ranking; "find.cause.ID" why; "find.test.ID" a test; "find.ask.ID" one question;
"find.asks" all questions.
"""

from __future__ import annotations

from typing import Final

from weeptrace.causes import Knowledge, Ranking
from weeptrace.causes.explain import Reason
from weeptrace.causes.plan import Proposal
from weeptrace.causes.rank import Ranked
from weeptrace.job import observed
from weeptrace.job.events import Moment
from weeptrace.job.state import Job
from weeptrace.refusal import Refusal
from weeptrace.rules.found import FINDING, TOOLS
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import questions
from weeptrace.screen.pages.questions import Page
from weeptrace.screen.parts import Json
from weeptrace.told import Sentence

LOOK: Final = questions.LOOK
_SHOWN: Final = 5  # causes on the first page
_LEAST: Final = 0.02  # a chance below it is not drawn


def page(show: Show, job: Job, look: str, now: Moment) -> Page:
    """The blocks and the foot of one of the looks. ``Refusal`` where there is no such look."""
    _, kind, id = (*look.split(".", 2), "", "")[:3]
    known = observed.knowledge(show.rules)
    if kind == "asks":
        return questions.every(show, job, known)
    if kind == "ask" and (id in known.findings or id in questions.OWN):
        return questions.one(show, job, known, id if id in questions.OWN else f"{FINDING}.{id}")
    found = observed.rank(show.rules, job, now)
    ranked = next((each for each in found.causes if each.id == id), None)
    if kind == "cause" and ranked is not None:
        return _cause(show, job, known, ranked)
    if kind == "test" and id in known.tests:
        return _test(show, job, known, found, id)
    if kind:
        raise Refusal(
            "unknown_look",
            "refused.screen.no_look",
            "look",
            "accepted.these",
            {"look": look, "these": LOOK},
        )
    return _ranking(show, job, known, found)


def _ranking(show: Show, job: Job, known: Knowledge, found: Ranking) -> Page:
    say = show.say
    told = observed.observations(show.rules, job)
    body = [
        parts.title(say("find.title"), say("find.known", done=len(told))),
        *_contradicted(show, found),
    ]
    if not told:
        body.append(parts.prompt(say("find.nothing")))
    shown = [each for each in found.causes if each.probability >= _LEAST][:_SHOWN]
    body.append(_bars(show, shown))
    body.append(
        parts.state(None, "", [say("find.several")], _percent(show, found.several)),
    )
    mind = _mind(show, found)
    if mind:
        body += [parts.heading(say("find.mind")), *mind]
    body.append(parts.heading(say("find.not_ruled_out")))
    first = {each.id for each in shown}
    body += [
        parts.state(
            "not_measured",
            _title(show, each.id),
            [say(f"test.{each.test}")] if each.test else [],
            _percent(show, each.probability),
        )
        for each in found.not_ruled_out
        if each.id not in first
    ]
    body += [parts.state("not_done", _title(show, id), [say("find.masked")]) for id in found.masked]
    keys = [
        parts.key(say("find.asks"), {"look": f"{LOOK}.asks"}, "search"),
        parts.key(say("screen.back"), {"look": ""}, "back"),
    ]
    next_one = found.next_tests[0] if found.next_tests else None
    if found.plan.why is not None:
        why = show.told(found.plan.why)
        body.insert(1, parts.state("done", say("find.enough"), [why], framed=True))
    main = None
    if next_one is not None:
        main = parts.key(
            say("find.next"),
            {"look": f"{LOOK}.test.{next_one.test}"},
            sub=say(f"test.{next_one.test}"),
        )
    cautions = [parts.caution(say(f"found_caution.{id}"), known.level(id)) for id in found.cautions]
    return body, {
        "caution": cautions[0] if cautions else None,
        "keys": keys,
        "main": main,
    }


def _mind(show: Show, found: Ranking) -> list[Json]:
    """The cautions but the one at the foot, which stands here too where there is more to say."""
    rows = [
        (id, [show.say(f"found_caution.{id}"), *map(show.told, found.forbidden.get(id, ()))])
        for id in found.cautions
    ]
    first = found.cautions[:1]
    return [parts.state(None, "", lines) for id, lines in rows if id not in first or lines[1:]]


def _contradicted(show: Show, found: Ranking) -> list[Json]:
    """Findings that exclude each other, and the one to look at again."""
    return [
        parts.state(
            "stop",
            show.say("find.contradiction"),
            [
                show.told(each.why),
                show.say("find.recheck", question=show.say(f"field.{FINDING}.{each.recheck}")),
            ],
            framed=True,
            do={"look": f"{LOOK}.ask.{each.recheck}"},
        )
        for each in found.contradictions
    ]


def _bars(show: Show, causes: list[Ranked]) -> Json:
    say = show.say
    rows = [
        {
            "label": _title(show, each.id),
            "figure": _percent(show, each.probability),
            "share": each.probability,
            "solid": each.proven,
            "sub": say("find.proven") if each.proven else _because(show, each),
            "do": {"look": f"{LOOK}.cause.{each.id}"},
        }
        for each in causes
    ]
    leader = rows[0] if rows else None
    words = say("find.nothing")
    if leader:
        words = say("find.likeliest", cause=str(leader["label"]), share=str(leader["figure"]))
    return {"block": "bars", "rows": rows, "sentence": words}


def _because(show: Show, each: Ranked) -> str:
    return _said(show, each.plus[0]) if each.plus else ""


def _said(show: Show, reason: Reason) -> str:
    """The answer that speaks for or against a cause, in the reader's units."""
    return show.say(show.rules.fields[f"{FINDING}.{reason.finding}"].word(reason.value))


def _cause(show: Show, job: Job, known: Knowledge, cause: Ranked) -> Page:
    say = show.say
    knows = known.causes[cause.id]
    body = [
        parts.title(_title(show, cause.id)),
        parts.state(
            "done" if cause.proven else "to_do",
            say("find.proven" if cause.proven else "find.not_proven"),
            [say(f"test.{id}") for id in knows.proof] if not cause.proven else [],
            _percent(show, cause.probability),
            framed=True,
        ),
        *questions.lines(show, Sentence(f"cause.{cause.id}.why")),
        parts.heading(say("find.for")),
        *_reasons(show, job, cause.plus),
        parts.heading(say("find.against")),
        *_reasons(show, job, cause.minus),
    ]
    return body, questions.back(show)


def _reasons(show: Show, job: Job, reasons: tuple[Reason, ...]) -> list[Json]:
    if not reasons:
        return [parts.state(None, "", [show.say("find.no_reason")])]
    elsewhere = questions.elsewhere(show, job)
    return [
        parts.state(
            None,
            _said(show, each),
            [show.told(each.why)] + ([show.say("find.same_sign")] if each.same_sign_as else []),
            show.say(f"find.strength.{each.strength}"),
            do=None if each.finding in elsewhere else {"look": f"{LOOK}.ask.{each.finding}"},
        )
        for each in reasons
    ]


def _test(show: Show, job: Job, known: Knowledge, found: Ranking, id: str) -> Page:
    say = show.say
    test = known.tests[id]
    proposed: Proposal | None = next((p for p in found.next_tests if p.test == id), None)
    rows = [[say("find.takes"), _minutes(show, test.time)]]
    if test.waits:
        rows.append([say("find.waits"), _minutes(show, test.waits)])
    if proposed is not None:
        rows.append([say("find.gain"), _minutes(show, proposed.gain)])
    if test.tools:
        tools = sorted(say(f"choice.{TOOLS}.{tool}") for tool in test.tools)
        rows.append([say("find.tools"), ", ".join(tools)])
    elsewhere = questions.elsewhere(show, job)
    gives = (*(proposed.asks if proposed else ()), *test.gives)
    body = [
        parts.title(say("find.test")),
        parts.prompt(say(f"test.{id}")),
        *questions.lines(show, proposed.why if proposed else None),
        parts.table(rows),
        parts.heading(say("find.then")),
        *[
            questions.question(show, job, f"{FINDING}.{finding}")
            for finding in dict.fromkeys(gives)
            if finding not in elsewhere
        ],
        *[
            parts.state("waits", say(f"gate.{gate}.title"), [say("find.gate")])
            for gate in test.gates
        ],
    ]
    caution = None
    if test.hazards:
        caution = parts.hazard(show.rules, test.hazards[0])
    return body, {**questions.back(show), "caution": caution}


def _percent(show: Show, share: float) -> str:
    if 0.0 < share < 0.01:
        return show.say("find.under")
    return show.say("find.over") if 0.99 < share < 1.0 else show.figure(share, "ratio")


def _minutes(show: Show, seconds: float) -> str:
    return show.say("find.minutes", minutes=f"{seconds / 60.0:.0f}")


def _title(show: Show, cause: str) -> str:
    """A cause's name where it stands alone."""
    return show.say(f"cause.{cause}.title")
