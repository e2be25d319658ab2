"""Whether a stored entry is taken: its kind, unit, range, and what caps it."""

from __future__ import annotations

from weeptrace.job.car.parts import parts_out
from weeptrace.job.events import Event
from weeptrace.job.procedure import Known
from weeptrace.job.state import Fact, Job
from weeptrace.properties import air
from weeptrace.quantity import canonical, format_si, from_si, parse, to_si, units_of
from weeptrace.refusal import Refusal
from weeptrace.rules import Field, Rules
from weeptrace.rules.model import LONGEST
from weeptrace.told import Sentence

# The kinds of event that answer a kind of field; a page stores the first.
EVENT_KINDS = {
    "text": ("fact",),
    "choice": ("fact",),
    "choices": ("fact",),
    "yes": ("done", "closed"),
    "quantity": ("fact",),
    "count": ("fact",),
    "reading": ("reading",),
    "mark": ("mark",),
    "photo": ("photo",),
    "part": ("fact",),
}


def judge(rules: Rules, job: Job, field: Field, event: Event) -> Fact:
    """The fact that an event makes. Raises ``Refusal`` with the accepted range and unit."""
    if event.kind == "not_done" and field.kind not in ("reading", "mark"):
        short(event.typed, least=0)
        return Fact(event, None)
    if event.kind == "photo" and field.kind == "part":
        return Fact(event, job.value(field.id))
    if event.kind not in EVENT_KINDS[field.kind]:
        raise Refusal(
            "wrong_kind",
            "refused.judge.does_not_answer",
            figures={"kind": event.kind, "label": label(rules, field)},
        )
    if field.only is not None and not Known(rules, job).holds(field.only):
        raise Refusal(
            "not_now",
            "refused.judge.not_now",
            figures={"label": label(rules, field)},
        )
    if field.kind in ("yes", "mark", "photo"):
        return Fact(event, "yes")
    if field.kind == "part":
        return _part(rules, job, field, event)
    if field.kind == "choice":
        if event.typed not in field.options:
            raise _no_option(rules, field, event.typed)
        return Fact(event, event.typed)
    if field.kind == "choices":
        return _several(rules, field, event)
    if field.kind == "text":
        return Fact(event, short(event.typed, field.longest))
    return Fact(event, _number(rules, job, field, event))


def _no_option(rules: Rules, field: Field, typed: str) -> Refusal:
    accepted = tuple(rules.sentence(field.word(word)) for word in field.options)
    return Refusal(
        "not_an_option",
        "refused.judge.not_an_option",
        figures={"typed": typed[:40], "accepted": accepted},
    )


def _several(rules: Rules, field: Field, event: Event) -> Fact:
    """Words with commas between, each an option, in the field's order."""
    told = event.typed.split(",")
    for word in told:
        if word not in field.options:
            raise _no_option(rules, field, word)
    return Fact(event, ",".join(word for word in field.options if word in told))


def short(typed: str, longest: int = LONGEST, least: int = 1) -> str:
    """Words as typed, spaces tidied. Raises ``Refusal`` where there are too few or too many."""
    words = " ".join(typed.split())
    if not least <= len(words) <= longest:
        raise Refusal(
            "length",
            "refused.judge.length",
            "",
            "accepted.signs",
            {"least": least, "longest": longest, "count": len(words)},
        )
    return words


def _part(rules: Rules, job: Job, field: Field, event: Event) -> Fact:
    """A part goes off, and on only when it is off."""
    if event.typed not in field.options:
        raise Refusal(
            "not_an_option", "refused.judge.neither_off_nor_on", figures={"typed": event.typed[:40]}
        )
    if event.typed == "on" and field not in parts_out(rules, job):
        name = label(rules, field)
        raise Refusal("not_off", "refused.judge.not_off_cant_go", figures={"name": name})
    return Fact(event, event.typed)


def judge_reading(rules: Rules, job: Job, field: Field, event: Event) -> Fact:
    """As ``judge``, and no second reading at the same time."""
    fact = judge(rules, job, field, event)
    readings = job.present(field.id).readings
    near = (readings.get(event.moment.second(shift)) for shift in (-1, 0, 1))
    for other in filter(None, near):
        apart = abs(event.moment.since(other.event.moment))
        if apart < rules.limits["recorder.same_time"]:
            raise Refusal(
                "repeated_time",
                "refused.judge.repeated_time",
                "",
                "accepted.one_reading_moment",
                {"typed": other.event.typed, "unit": other.event.unit or ""},
            )
    return fact


def _number(rules: Rules, job: Job, field: Field, event: Event) -> float:
    dimension = field.dimension or "ratio"
    try:
        number = parse(event.typed)
        unit = canonical(event.unit or "1")
        if field.kind == "count" and unit != "1":
            raise Refusal(
                "wrong_dimension",
                "refused.judge.count_without_unit",
                "",
                "accepted.count",
                {"label": label(rules, field)},
            )
        value = to_si(number.value, unit, dimension)
        value = abs(value) if field.either_sign else value
    except Refusal as problem:
        accepted = accepted_range(rules, job, field, event.unit)
        raise Refusal(
            problem.code,
            "refused.judge.not_read",
            "",
            "accepted.these",
            {"message": Sentence.of(problem), "accepted": accepted, "these": accepted},
        ) from None
    low, high, cap = bounds(rules, job, field)
    # A typed "16.0 psi" must not fail against a rating of 16.0 psi by a rounding of the last bit.
    if not low - 1e-9 * abs(low) <= value <= high + 1e-9 * abs(high):
        accepted = accepted_range(rules, job, field, unit)
        given = event.typed if unit == "1" else f"{event.typed} {unit}"
        capped = cap is not None and value > high
        raise Refusal(
            "out_of_range",
            "refused.judge.above_cap" if capped else "refused.judge.out_of_range",
            "",
            "accepted.these",
            {
                "given": given,
                "cap": (cap,) if cap is not None else (),
                "accepted": accepted,
                "these": accepted,
            },
        )
    return value


def bounds(rules: Rules, job: Job, field: Field) -> tuple[float, float, Sentence | None]:
    """The accepted range in SI, and what caps it; None for the field's own range."""
    low = float("-inf") if field.low is None else field.low
    high = float("inf") if field.high is None else field.high
    cap = None
    for other in field.not_above:
        value = job.value(other)
        if isinstance(value, float) and value < high:
            known = f"not_above.{other}" in rules.texts
            high, cap = value, rules.sentence(f"not_above.{other}" if known else f"field.{other}")
    if field.within_atmosphere:
        altitude = job.value("place.altitude")
        here = air.pressure(altitude if isinstance(altitude, float) else 0.0)
        if here < high:
            high, cap = here, Sentence("capped.air")
    return low, high, cap


def accepted_range(rules: Rules, job: Job, field: Field, unit: str | None) -> Sentence:
    """The accepted range in the unit that was typed, or a usual one where that is no unit of it."""
    counted = field.kind == "count"
    accepted = ["1"] if counted else units_of(field.dimension or "ratio")
    usual: str = "1" if counted else rules.unit_sets[0]["units"].get(field.unit_key, accepted[0])
    shown = unit if unit in accepted else usual
    low, high, _ = bounds(rules, job, field)
    if shown == "1":
        return Sentence("accepted.field_range", {"low": f"{low:.0f}", "high": f"{high:.0f}"})
    decimals = rules.decimals.get(shown, 1)
    top = format_si(high, shown, decimals, down=True)
    least = f"{round(from_si(low, shown), decimals):g}"
    return Sentence("accepted.field_range", {"low": least, "high": top})


def label(rules: Rules, field: Field) -> Sentence:
    """The field's name on screen."""
    return rules.sentence(f"field.{field.id}")
