"""A shut gate, drawn from what is unmet in its rule: what keeps it shut, and a way to give that.

Every piece of the condition that is not as the gate wants it has a row by its kind: a measurement
its value, its scale and how long it takes; a choice its question; a tick its press. What is
measured is measured again; what was answered is taken back, and then asked.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from weeptrace.job.car.left import BACK, Back
from weeptrace.job.car.parts import parts_out
from weeptrace.job.events import Moment
from weeptrace.job.procedure import Known, gate_state, over_the_ceiling, unmet
from weeptrace.job.state import Fact, Job
from weeptrace.quantity import from_si
from weeptrace.rules import Field, Gate, conditions
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, clock
from weeptrace.screen.parts import Json
from weeptrace.warmup.lumped import cool_down

# What a job computes and no press gives: the sentence, to which "so far" leads.
_SEEN: Final = {
    "ledger.unfilled": "unfilled",
    "left.coolant": "drained",
    "ledger.unlevelled": "unlevelled",
    "hold.gross": "gross",
    "seen.liquid": "liquid",
    "seen.oil": "oil",
    "seen.unfit": "unfit",
}
_NO_DRIVE: Final = ("hold.gross", "seen.unfit", "drive.decision")
_BELOW: Final = ("<", "<=")
_MEASURED: Final = ("quantity", "count", "reading")
_ICONS: Final = {"temperature": "temperature"}


@dataclass(frozen=True)
class Shut:
    """A shut gate of a job. ``unmet``: by name, what its condition wants of it and is not so."""

    show: Show
    job: Job
    gate: Gate
    stale: tuple[str, ...]
    unmet: dict[str, list[conditions.Tree]]

    def fresh(self, name: str) -> Fact | None:
        """What is known of a field and not too old."""
        fact = self.job.facts.get(name)
        return None if fact is None or fact.value is None or name in self.stale else fact

    @property
    def measures(self) -> list[Field]:
        """What the gate has measured, met or not, in the order of its condition."""
        fields = (self.show.rules.fields[name] for name in self.gate.evidence)
        return [field for field in fields if field.kind in _MEASURED]


def blocks(show: Show, job: Job, gate: Gate, now: Moment) -> tuple[list[Json], Json]:
    """The blocks and the foot of a shut gate."""
    shut = _shut(show, job, gate, now)
    text = show.rules.text
    body = [parts.title(text(f"gate.{gate.id}.title"))]
    if prompt := text(f"gate.{gate.id}.prompt"):
        body.append(parts.prompt(prompt))
    named = [field.id for field in shut.measures]
    # Where something is measured its page shows all of the evidence; else what is unmet alone.
    named = [*named, *gate.evidence, *shut.unmet] if named else list(shut.unmet)
    for name in dict.fromkeys(named):
        body += _rows(shut, name)
    return body, _foot(shut)


def _shut(show: Show, job: Job, gate: Gate, now: Moment) -> Shut:
    rules, known = show.rules, Known(show.rules, job)
    stale = gate_state(rules, job, gate, now, known).stale
    return Shut(show, job, gate, stale, unmet(rules, job, gate, now, known))


def _rows(shut: Shut, name: str) -> list[Json]:
    """What is known of one piece, and the hand that gives it."""
    field = shut.show.rules.fields.get(name)
    if field is None:
        return _computed(shut, name)
    if field in shut.measures:
        return _measured(shut, field)
    if field.kind == "choice":
        return _chosen(shut, field)
    return _pressed(shut, field)


def _computed(shut: Shut, name: str) -> list[Json]:
    rules, text = shut.show.rules, shut.show.rules.text
    if name in ("ledger.out_to_run", "ledger.out"):
        return [  # it goes on at a step of its own, behind what keeps hands from the fan
            parts.state("stop", text(f"field.{part.id}"), [text("shut.still_off")], framed=True)
            for part in parts_out(rules, shut.job)
            if part.needed_to_run or name == "ledger.out"
        ]
    if name in BACK and rules.fields[BACK[name].field].kind not in _MEASURED:
        back = BACK[name]  # one row where its own tick is asked for too
        return [] if back.field in shut.unmet else [_back(shut, back)]
    if name == "seen.wet_since":  # the answer is taken back here, and then asked again
        answered = shut.fresh("liquid.why") is not None
        return _pressed(shut, rules.fields["liquid.why"]) if answered else []
    if name == "quote.over":
        over = over_the_ceiling(shut.job)
        figure = text("shut.not_measured") if over is None else f"{over:.0f}"
        return [parts.state("stop", text("screen.over_ceiling"), [], figure, True)]
    return [parts.state("stop", text(f"shut.seen.{_SEEN.get(name, 'computed')}"), framed=True)]


def _back(shut: Shut, back: Back) -> Json:
    """What is to be put back as it was: one press says that it is."""
    rules, text = shut.show.rules, shut.show.rules.text
    field = rules.fields[back.field]
    words = text(field.word(back.typed)) if back.typed else text(f"field.{field.id}")
    do = {"event": parts.event(field.id, parts.KIND[field.kind], back.typed)}
    return parts.state("stop", words, [text("shut.not_done")], "", True, do)


def _pressed(shut: Shut, field: Field) -> list[Json]:
    """A tick, a number, a line of words or a part: one press gives it, another takes it back."""
    show, text = shut.show, shut.show.rules.text
    fact = shut.job.facts.get(field.id)
    answered = shut.fresh(field.id)
    numeric = field.kind in _MEASURED
    none = text("shut.not_measured" if numeric else "shut.not_done")
    words = none if fact is None else show.fact(field, fact)
    lines = [text("screen.done_before") if field.id in shut.stale else words]
    do = None
    if answered is not None:
        lines.append(text("screen.press_to_undo"))
        do = {"event": parts.event(field.id, "undo", supersedes=answered.event.id)}
    elif numeric:
        do = {"pad": parts.pad(show, shut.job, field)}
    elif field.kind == "text":
        first = next(name for name in shut.unmet if _is_text(shut, name))
        words_here = [parts.words(show, field.id)] if field.id == first else []
        return [parts.state("stop", text(f"field.{field.id}"), lines, framed=True), *words_here]
    else:
        typed = field.options[-1] if field.kind == "part" else ""
        do = {"event": parts.event(field.id, parts.KIND[field.kind], typed)}
    return [parts.state("stop", text(f"field.{field.id}"), lines, "", True, do)]


def _is_text(shut: Shut, name: str) -> bool:
    field = shut.show.rules.fields.get(name)
    return field is not None and field.kind == "text" and shut.fresh(name) is None


def _chosen(shut: Shut, field: Field) -> list[Json]:
    """A choice: what was answered, and its question where it is due."""
    show, rules, text = shut.show, shut.show.rules, shut.show.rules.text
    answered = shut.fresh(field.id)
    name = text(f"field.{field.id}")
    if answered is not None and field.id not in shut.unmet:
        return [parts.state("done", name, [], show.fact(field, answered), True)]
    if answered is not None and not shut.measures:
        undo = {"event": parts.event(field.id, "undo", supersedes=answered.event.id)}
        lines = [show.fact(field, answered), text("screen.press_to_undo")]
        return [parts.state("stop", name, lines, "", True, undo)]
    due = not any(field.id in shut.unmet for field in shut.measures)
    if answered is not None:
        own = f"shut_by.{field.id}" in rules.texts
        lines = [] if own else [show.fact(field, answered)]
        word = text(f"shut_by.{field.id}") if own else name
        rows = [parts.state("stop", word, lines, framed=True)]
    elif shut.measures:
        rows = (
            [] if due else [parts.state("not_measured", name, [], text("shut.not_measured"), True)]
        )
    else:
        before = field.id in shut.stale
        lines = [text("screen.done_before" if before else "shut.not_answered")]
        rows = [parts.state("stop", name, lines, framed=True)]
    if due:
        if f"ask.{field.id}" in rules.texts:
            rows.append(parts.heading(text(f"ask.{field.id}")))
        rows.append(parts.choice(rules, field))
    return rows


def _measured(shut: Shut, field: Field) -> list[Json]:
    """A measurement: its value, the scale with what it must be, and how long that takes."""
    show, text = shut.show, shut.show.rules.text
    fact = shut.job.facts.get(field.id)
    if fact is None or not isinstance(fact.value, float):
        name = text(f"field.{field.id}")
        return [parts.state("not_measured", name, [], text("shut.not_measured"), framed=True)]
    fresh, met = shut.fresh(field.id) is not None, field.id not in shut.unmet
    limit = next(_limits(shut, field.id), None)
    shape = ("done" if met else "stop") if fresh else "not_measured"
    body: list[Json] = [
        {
            "block": "value",
            "label": f"{text(f'field.{field.id}')}, {clock(fact.event.at)}",
            "value": show.number(fact.value, field.unit_key) if field.dimension else
            f"{fact.value:.0f}",
            "unit": show.unit(field.unit_key) if field.dimension else "",
            "shape": shape,
            "word": _met(show, field, met) if fresh else text("shut.old"),
        }
    ]  # fmt: skip
    if limit is not None and field.dimension:
        body.append(_scale(show, field, fact.value, limit, "now" if fresh else "then"))
    if not fresh:
        body.append(parts.state("waits", text("shut.stale"), [text("shut.before_it_opens")]))
    elif not met:
        body.append(_wait(shut, field, fact, limit))
    return body


def _met(show: Show, field: Field, met: bool) -> str:
    """The word for a measurement that is as it must be, or is not, by what is measured."""
    word = "met" if met else "unmet"
    kind = field.dimension if f"shut.{word}.{field.dimension}" in show.rules.texts else "any"
    return show.rules.text(f"shut.{word}.{kind}")


def _limits(shut: Shut, name: str) -> Iterator[tuple[str, float]]:
    """What the gate's condition holds a measurement against: the comparison, and the value, SI."""
    for word, left, right in conditions.comparisons(shut.gate.opens):
        if left == ["field", name] and right[0] in ("limit", "number"):
            value = shut.show.rules.limits[right[1]] if right[0] == "limit" else right[1]
            yield word, value


def _scale(show: Show, field: Field, value: float, limit: tuple[str, float], when: str) -> Json:
    unit, text = show.unit(field.unit_key), show.rules.text
    here, edge = from_si(value, unit), from_si(limit[1], unit)
    major = _major(here, edge, 20.0 if unit == "°F" else 10.0 if unit == "°C" else None)
    low = math.floor((min(here, edge - 3 * major) - 1) / major) * major
    high = math.ceil((max(here, edge + 4 * major) + 1) / major) * major
    words = text("shut.open_below" if limit[0] in _BELOW else "shut.open_above")
    return {
        "block": "scale",
        "low": low,
        "high": high,
        "major": major if high - low <= 9 * major else 2 * major,
        "minor": major / 5,
        "unit": unit,
        "limit": {"at": edge, "words": words},
        "marks": [
            {
                "at": here,
                "words": text("shut.now" if when == "now" else "shut.then"),
                "filled": True,
            }
        ],
        "sentence": show.say(
            f"shut.{when}_below" if limit[0] in _BELOW else f"shut.{when}_above",
            value=show.figure(value, field.unit_key),
            limit=show.limit(limit[1], field.unit_key),
        ),
    }


def _major(here: float, edge: float, usual: float | None) -> float:
    """The step of a scale's long marks: ten degrees, else a round one that shows both values."""
    if usual is not None:
        return usual
    reach = max(abs(here - edge), abs(edge) / 5.0, 1e-9)
    return float(10.0 ** math.ceil(math.log10(reach / 5.0)))


def _wait(shut: Shut, field: Field, fact: Fact, limit: tuple[str, float] | None) -> Json:
    """What it waits for; of an engine that cools, with the bonnet open, how long."""
    show, text = shut.show, shut.show.rules.text
    later = [text("shut.later")]
    if limit is None or not field.dimension:
        return parts.state("waits", text(f"field.{field.id}"), later)
    edge, below = show.limit(limit[1], field.unit_key), limit[0] in _BELOW
    ambient = shut.job.value("place.ambient")
    # Only of the engine is it known how it cools.
    cools = field.id == "coolant.temperature" and below
    if not cools or not isinstance(ambient, float) or ambient >= limit[1]:
        waits = show.say(f"shut.waits_{'below' if below else 'above'}", limit=edge)
        return parts.state("waits", waits, later)
    about, between = cooled(show, fact, ambient, limit[1])
    return parts.state(
        "waits",
        show.say("shut.below_at", limit=edge, at=about),
        [between, text("shut.other_work")],
    )


def cooled(show: Show, fact: Fact, ambient: float, goal: float) -> tuple[str, str]:
    """When an engine of a measured temperature is as cool as ``goal`` (K, above ``ambient``).

    "14:30", "14:24 to 14:36, bonnet open.": Newton's law of cooling, ``warmup.lumped.cool_down``.
    """
    assert isinstance(fact.value, float)
    wait = cool_down(
        start=fact.value, ambient=ambient, goal=goal, limits=show.rules.limits, open_bonnet=True
    )
    about, low, high = (clock(fact.event.at, t) for t in (wait.value, wait.low, wait.high))
    return about, show.say("shut.between", low=low, high=high)


def _other_test(shut: Shut) -> list[Json]:
    """The way to another test, where nothing drives and nothing of this one is fitted."""
    job = shut.job
    over = job.answered("test.result") or job.answered("test.enough")
    tested = job.answered("test.kind") and not over
    fitted = any(job.answered(name) for name in ("test.fitted", "test.isolated"))
    if fitted or not tested or shut.unmet.keys().isdisjoint(_NO_DRIVE):
        return []
    again = {"event": parts.event("test.again", "mark")}
    return [parts.key(shut.show.rules.text("field.test.again"), again, "pump")]


def _foot(shut: Shut) -> Json:
    """The measurement that is due, the way to an earlier one, and "stop, refer"."""
    show, rules, text = shut.show, shut.show.rules, shut.show.rules.text
    stop = parts.stop_key(rules, shut.gate.id)
    so_far = parts.key(text("screen.so_far"), {"look": "so_far"}, "undo")
    if not shut.measures:
        return {"caution": None, "keys": [*_other_test(shut), so_far, stop], "main": None}
    due = next((field for field in shut.measures if field.id in shut.unmet), None)
    field = due or shut.measures[0]
    pad = parts.pad(show, shut.job, field)
    words = text("shut.again" if field.id in shut.job.facts else "shut.measure")
    measure = parts.key(words, {"pad": pad}, _ICONS.get(field.dimension or ""))
    earlier = parts.key(text("screen.earlier"), {"earlier": pad}, "clock")
    return {
        "caution": _caution(shut),
        "keys": [earlier if due else measure, stop],
        "main": measure if due else None,
    }


def _caution(shut: Shut) -> Json | None:
    """What the hazard warns of that stands first behind the gate, in the order of the hazards."""
    rules = shut.show.rules
    behind = {
        hazard
        for procedure in rules.procedures.values()
        for step in procedure.steps
        if shut.gate.id in step.gates
        for hazard in step.hazards
    }
    first = next((hazard for hazard in rules.cautions if hazard in behind), None)
    return None if first is None else parts.hazard(rules, first)
