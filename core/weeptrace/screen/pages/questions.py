"""The questions of the causes: all that are open, and one of them.

What another page or a measurement gave is known already, and not asked again.
"""

from __future__ import annotations

from typing import Final

from weeptrace.causes import Knowledge
from weeptrace.job import observed
from weeptrace.job.state import Job
from weeptrace.rules import Field
from weeptrace.rules.found import FEATURES, FINDING, LACKS, TOOLS
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json
from weeptrace.told import Sentence

LOOK: Final = "find"
OWN: Final = (FEATURES, LACKS, TOOLS)
_ASKS: Final = f"{FINDING}."

Page = tuple[list[Json], Json]


def question(show: Show, job: Job, name: str) -> Json:
    field = show.rules.fields[name]
    words = [show.say(field.word(word)) for word in observed.several(job, name) or ()]
    look = name if name in OWN else name.partition(".")[2]
    return parts.state(
        "done" if words else "to_do",
        show.say(f"field.{name}"),
        [", ".join(words)] if words else [],
        framed=True,
        do={"look": f"{LOOK}.ask.{look}"},
    )


def elsewhere(show: Show, job: Job) -> dict[str, list[str]]:
    """By finding, the answers that another page or a measurement gave: it is not asked again.

    A place that one answer shows is not all that there is to say of them: that is asked on.
    """
    out: dict[str, list[str]] = {}
    known = observed.knowledge(show.rules).findings
    for each in observed.shown(show.rules, job):
        finding = known[each.told.finding]
        one = finding.kind == "places" and each.by in show.rules.fields
        if not each.by.startswith(_ASKS) and not (one and each.told.value != finding.values[0]):
            out.setdefault(each.told.finding, []).append(told(show, each))
    return out


def told(show: Show, each: observed.Shown) -> str:
    """What shows a finding: the finding's own word, or the figure that was measured."""
    value = each.told.value
    if isinstance(value, str):
        return show.say(show.rules.fields[f"{_ASKS}{each.told.finding}"].word(value))
    dimension = observed.knowledge(show.rules).findings[each.told.finding].measure
    assert dimension is not None
    field = show.rules.fields.get(each.by)
    return show.figure(value.value, field.unit_key if field else dimension["dimension"])


def every(show: Show, job: Job, known: Knowledge) -> Page:
    """Every question that is open, by the test that it comes from, and what is known already."""
    shown = elsewhere(show, job)
    by_test: dict[str, list[str]] = {}
    for id, finding in known.findings.items():
        if id not in shown:
            by_test.setdefault(finding.tests[0], []).append(f"{FINDING}.{id}")
    count = len(known.findings) - len(shown) + len(OWN)
    body = [
        parts.title(show.say("find.asks"), f"{count}"),
        *[question(show, job, name) for name in OWN],
    ]
    for test in known.tests:
        if test in by_test:
            body.append(parts.heading(show.say(f"test.{test}")))
            body += [question(show, job, name) for name in by_test[test]]
    if shown:
        body.append(parts.heading(show.say("find.elsewhere")))
    body += [
        parts.state("done", show.say(f"field.{FINDING}.{id}"), [", ".join(words)])
        for id, words in shown.items()
    ]
    return body, back(show)


def one(show: Show, job: Job, known: Knowledge, name: str) -> Page:
    """One question; of places and things at hand several may be true at once.

    Where a field of the job asks the same and is not answered yet, it is that field's answer.
    """
    rules = show.rules
    same = rules.fields.get(rules.same.get(name, ""))
    if same is not None and not job.answered(name):
        return _same(show, job, known, name, same)
    field = rules.fields[name]
    fact = job.facts.get(name)
    told = observed.several(job, name) or ()
    rows = []
    for word in field.options:
        chosen = word in told
        if field.kind == "choices":
            left = (
                [each for each in told if each != word]
                if chosen
                else _with(field.options, told, word)
            )
            typed = ",".join(left)
        else:
            typed = word
        before = None if fact is None else fact.event.id
        off = (chosen and field.kind == "choice") or not typed
        event = (
            parts.event(name, "undo", supersedes=before)
            if off and before is not None
            else parts.event(name, "fact", typed, supersedes=before)
        )
        rows.append(
            {
                "label": rules.text(field.word(word)),
                "sub": "",
                "chosen": chosen,
                "do": {"event": event},
            }
        )
    body = [
        parts.title(rules.text("find.ask")),
        parts.prompt(rules.text(f"field.{name}")),
        *lines(show, known.why(f"finding.{name.removeprefix(_ASKS)}.otherwise")),
        {"block": "choice", "rows": rows},
        *lines(show, *_misled(known, name, told)),
    ]
    return body, back(show)


def _same(show: Show, job: Job, known: Knowledge, name: str, field: Field) -> Page:
    body = [
        parts.title(show.say("find.ask")),
        parts.prompt(show.say(f"field.{name}")),
        *lines(show, known.why(f"finding.{name.removeprefix(_ASKS)}.otherwise")),
        parts.pad(show, job, field) if field.numeric else parts.choice(show.rules, field),
    ]
    return body, back(show)


def _misled(known: Knowledge, name: str, told: tuple[str, ...]) -> list[Sentence | None]:
    """Why what was answered may seem so and not be, or says less than it seems."""
    finding = known.findings.get(name.removeprefix(_ASKS))
    if finding is None:
        return []
    seen = [value for value in told if value in finding.values[1:]]
    states = [finding.places.get(value, finding.state) for value in seen]
    links = [f"state.{state}.otherwise" for state in states if state]
    links += [
        f"doubt.{finding.id}.{doubt['value']}.{doubt['finding']}"
        for doubt in finding.doubts
        if doubt["value"] in told
    ]
    return [known.why(link) for link in dict.fromkeys(links)]


def _with(options: tuple[str, ...], told: tuple[str, ...], word: str) -> list[str]:
    """The words told and one more, in order; "none" excludes all others, and they it."""
    if word == "none":
        return ["none"]
    return [each for each in options if (each in told or each == word) and each != "none"]


def back(show: Show) -> Json:
    key = parts.key(show.say("find.back"), {"look": LOOK}, "back")
    return {"caution": None, "keys": [], "main": key}


def lines(show: Show, *told: Sentence | None) -> list[Json]:
    """A row for each sentence; older rules have no words for some."""
    known = [each for each in told if each is not None and each.text in show.rules.texts]
    return [parts.state(None, "", [show.told(each)]) for each in known]
