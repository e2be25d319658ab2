"""The door with a memory, for the page's worker: it keeps the folded jobs between questions.

``ask(name, text) -> text``, JSON both ways. The worker may be killed at any time: the page opens
its jobs again from the stored events.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from weeptrace import __version__, door, screen
from weeptrace.job.advance import advance, fold
from weeptrace.job.state import Job
from weeptrace.quantity import dimension_of, from_si, to_si
from weeptrace.refusal import Refusal
from weeptrace.rules import Rules, bundle, load, of_bundle
from weeptrace.rules.kept import to_keep
from weeptrace.screen import named, own_rules
from weeptrace.screen.figures import Show
from weeptrace.told import Said

Json = dict[str, Any]


@dataclass(frozen=True)
class _Unread:
    """A job whose own rules this version can't read: its events, and why."""

    events: list[Json]
    why: str


# A job with the rules that it is judged by.
_jobs: Final[dict[str, tuple[Rules, Job] | _Unread]] = {}


def ask(name: str, text: str) -> str:
    """Answer one question, by the names below. Nothing is raised."""
    try:
        return _text(_ANSWERS[name](json.loads(text)))
    except Refusal as problem:
        return _text({"error": problem.as_dict()})
    except Exception as problem:  # the page must get an answer, whatever happened in here
        return _text(
            {
                "error": Refusal(
                    "internal",
                    "refused.bridge.no_answer",
                    figures={"name": name, "problem": repr(problem)},
                ).as_dict()
            }
        )


def _text(answer: Json) -> str:
    return json.dumps(answer, ensure_ascii=False, allow_nan=False)


def _about(_: Json) -> Json:
    rules = load()
    return {
        "version": __version__,
        "bundle": rules.hash,
        "unit_sets": [
            {"id": each["id"], "label": rules.text(f"units.{each['id']}"), "units": each["units"]}
            for each in rules.unit_sets
        ],
    }


def _rules(_: Json) -> Json:
    """The rules of this version as a bundle, for the page to keep for the jobs made on them."""
    return {"bundle": to_keep(bundle())}


def _open(question: Json) -> Json:
    """Fold a job. ``wants`` is the hash of the rules that it began on, where others judge it now:
    the page opens it again with that bundle as ``rules``, if it has kept it."""
    events = question["events"]
    try:
        rules = of_bundle(question.get("rules"))
    except Refusal as problem:
        _jobs[question["job"]] = _Unread(events, problem.message)
        return {"count": len(events), "wants": None}
    job = fold(rules, events)
    _jobs[question["job"]] = rules, job
    wants = job.rules if own_rules.missing(rules, job) else None
    return {"count": len(events), "wants": wants}


def _new(question: Json) -> Json:
    """What a new job begins with: tester and shop as entered once, with the days of that."""
    shop = fold(load(), question["events"]) if question["events"] else None
    kept = shop.facts.values() if shop is not None else ()
    events = [fact.event for fact in sorted(kept, key=lambda fact: fact.event.seq)]
    return {
        "events": [
            {
                "kind": event.kind,
                "field": event.field,
                "typed": event.typed,
                "unit": event.unit,
                "moment": {
                    "at": event.at,
                    "mono": event.moment.mono * 1000.0,
                    "boot": event.moment.boot,
                },
            }
            for event in events
            if event.field != "shop.done"
        ]
    }


def _advance(question: Json) -> Json:
    """What became of one stored event, and with ``now`` the view of the job as it then stands."""
    told = _taken(question)
    return {**told, "view": _view(question)} if "now" in question else told


def _taken(question: Json) -> Json:
    """What became of an event: accepted, refused with words, or waiting."""
    event = question["event"]
    opened = _jobs[event["job"]]
    if isinstance(opened, _Unread):
        return {"state": "waiting", "message": opened.why}
    rules, job = opened
    job = advance(rules, job, event)
    _jobs[event["job"]] = rules, job
    trouble = job.troubles.get(event["field"])
    words = ""
    if trouble is not None and trouble.event.id == event["id"]:
        chosen = screen.preferences(question.get("preferences"), rules)
        words = Show(rules, chosen.units, job, chosen.language).told(trouble.said)
    return {"state": job.seen.get(event["id"], "waiting"), "message": words}


def _view(question: Json) -> Json:
    opened = _jobs[question["job"]]
    if isinstance(opened, _Unread):
        return own_rules.raw_view(load(), question["job"], opened.events, opened.why)
    rules, job = opened
    chosen = screen.preferences(question.get("preferences"), rules)
    return screen.view(rules, job, question["now"], chosen, question.get("look", ""))


def _call(question: Json) -> Json:
    return door.call(question["operation"], question["payload"])


_BEGIN: Final = "x-default-unit"
_TYPED: Final = 4  # significant digits, as fine as a gauge is read
_ANY_WARMTH: Final = 300.0  # K, from which a difference is counted
# Rooms whose operations take a job or a practice car, not figures that a hand can type; the phone
# has none of the latter.
_NOT_TYPED: Final = frozenset({"job", "practice"})


def _figures(question: Json) -> Json:
    """The operations that answer from typed figures, with form and sample in the reader's units."""
    rules = load()
    chosen = screen.preferences(question.get("preferences"), rules)
    show = Show(rules, chosen.units, language=chosen.language)
    units = _own_units(rules, chosen.units)
    return {
        "figures": [
            {
                "name": each.name,
                "room": door.room_of(each),
                **_in_units(door.shown(each, show.told), units, show),
                "words": named.words(show.rules) if each.name == named.FOR else None,
            }
            for each in door.OPERATIONS.values()
            if each.name.partition(".")[0] not in _NOT_TYPED
        ],
    }


def _own_units(rules: Rules, own: Mapping[str, str]) -> dict[str, str]:
    """The reader's unit for each that samples and answers are in."""
    usual = rules.unit_sets[0]["units"]
    return {usual[key]: own[key] for key in usual}


def _in_units(told: Json, units: Mapping[str, str], show: Show) -> Json:
    """A figure's form and sample in the reader's units, the sample as round as a hand types."""
    sample = _reread(told["sample"], units, show, _TYPED)
    return {**told, "input": _begun(told["input"], units), "sample": sample}


def _begun(schema: Any, units: Mapping[str, str]) -> Any:
    """A form that begins with the reader's units."""
    if isinstance(schema, list):
        return [_begun(each, units) for each in schema]
    if not isinstance(schema, dict):
        return schema
    made = {key: _begun(each, units) for key, each in schema.items()}
    begin = made.get(_BEGIN)
    return made if begin is None else {**made, _BEGIN: units.get(begin, begin)}


def _figure(question: Json) -> Json:
    """What one of them answers, in the reader's own units."""
    rules = load()
    chosen = screen.preferences(question.get("preferences"), rules)
    show = Show(rules, chosen.units, language=chosen.language)
    answer: Json = _reread(_call(question), _own_units(rules, chosen.units), show)
    return answer


def _reread(value: Any, units: Mapping[str, str], show: Show, digits: int | None = None) -> Any:
    """An answer, each quantity in the unit that ``units`` names for its own, sentences as well.

    ``digits``: how many significant ones a figure keeps that is told in another unit.
    """
    if isinstance(value, list):
        return [_reread(each, units, show, digits) for each in value]
    if isinstance(value, Said):
        return show.told(value.told)
    if not isinstance(value, dict) or "dimension" in value:  # a refusal's own figure stays in SI
        return value
    unit = value.get("unit")
    if not (isinstance(unit, str) and isinstance(value.get("value"), float | int)):
        return {key: _reread(each, units, show, digits) for key, each in value.items()}
    # A temperature in K is a difference of two: 10 K are 18 °F, and stay 10 K beside °C.
    apart = unit == "K" and units.get("°C", "°C") != "°C"
    shown = units["°C"] if apart else units.get(unit, unit)
    if shown == unit:
        return value

    def other(number: float) -> float:
        if apart:
            return from_si(_ANY_WARMTH + number, shown) - from_si(_ANY_WARMTH, shown)
        return from_si(to_si(number, unit, dimension_of(unit)), shown)

    ends = {key: other(value[key]) for key in ("value", "low", "high") if key in value}
    kept = ends if digits is None else {key: float(f"{v:.{digits}g}") for key, v in ends.items()}
    return {**value, **kept, "unit": shown}


_ANSWERS: Final[dict[str, Callable[[Json], Json]]] = {
    "about": _about,
    "rules": _rules,
    "open": _open,
    "new": _new,
    "advance": _advance,
    "view": _view,
    "call": _call,
    "figures": _figures,
    "figure": _figure,
}
