"""The pages of a hold by hand: the running recorder and the verdict.

What comes out of the fit is taken in SI from the judgement of the hold, which is put together here
from the log; which figure is shown, under which name, in which unit, with which ends, is ours.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, Final

from tests.screen.hand.page import Line, Plain, Shown, Two, line
from tests.screen.hand.reader import Reader, atmosphere
from tests.screen.hand.told import FIELDS, LIMITS, Told, by_hand, out, si, word
from weeptrace.hold.assess import assess
from weeptrace.hold.compare import ratio
from weeptrace.hold.data import Action, Assessment, Estimate, Hold, Reading, Strokes
from weeptrace.refusal import Refusal

# The verdicts that name a leak with its size, and those that name what could still hide.
SIZED: Final = ("seeping", "seeping_or_leaking", "leaking", "leaking_or_gross", "gross")
HIDES: Final = ("no_leak_found", "tight", "too_weak")
WITH_LEAK: Final = ("leak", "leak_and_settling", "air_side", "air_leak", "both")
FLOW: Final = 6e7  # mL/min in 1 m3/s
MARKS: Final = {"pumped": "pumped", "disturbed": "bumped", "missed": "missed"}


def minutes(seconds: float) -> str:
    """Seconds as a clock of minutes: 9:02."""
    whole = math.floor(seconds + 0.5)
    return f"{whole // 60}:{whole % 60:02d}"


def assessment(told: Told, field: str, wet: bool | None = None) -> Assessment | None:
    """The judgement of the hold whose needle this field is, from what the log tells."""
    kin, read = field.partition(".")[0], told.readings(field)
    division = told.number("tester.division")
    if division is None:
        return None
    engine = told.number("coolant.temperature", until=read[0][1])
    altitude, drained = told.number("place.altitude"), kin in ("vacuum", "dry")
    volume, count = told.number("tester.stroke_volume"), told.number(f"{kin}.strokes")
    fall = told.number("tester.self_fall")
    empty = told.number("coolant.drained")
    hold = Hold(
        readings=tuple(
            Reading(time, pressure, None if n else engine)
            for n, (time, _, pressure) in enumerate(read)
        ),
        division=division,
        kind="vacuum" if kin == "vacuum" else "pressure",
        medium="air" if kin == "dry" else "coolant",
        rated=told.number("car.cap_rating"),
        atmosphere=None if altitude is None else atmosphere(altitude),
        stored=None if drained or volume is None or count is None else Strokes(count, volume),
        evacuated_volume=None
        if not drained or empty is None
        else empty + (told.number("coolant.missing_before") or 0.0),
        engine_temperature=engine if drained else None,
        liquid_volume=told.number("car.capacity"),
        self_leak=None if fall is None else fall / 180.0,  # a test of three minutes
        actions=tuple(
            Action("pumped" if name == "pumped" else "disturbed", time)
            for time, name in marks(told, field)
        ),
        owner_rate=told.number("owner.rate") if kin == "hold" else None,
        planned=900.0,
        ambient_temperature=told.number("place.ambient"),
        wet=wet,
    )
    return assess(hold, LIMITS)


def marks(told: Told, field: str) -> list[tuple[float, str]]:
    """What was done to it, and when, s since the first reading."""
    kin, start = field.partition(".")[0], told.readings(field)[0][1]
    return [
        ((event["mono"] - start["mono"]) / 1000.0, event["field"].partition(".")[2])
        for event in told.events
        if event["kind"] == "mark" and event["field"].partition(".")[0] == kin
        and event["field"].partition(".")[2] in MARKS
    ]  # fmt: skip


def over(told: Told, reader: Reader, field: str) -> Line:
    read = told.readings(field)
    engine = told.number("coolant.temperature", until=read[0][1])
    warmth = [] if engine is None else [", ", *reader.figure(engine, "temperature")]
    start = reader.figure(read[0][2], "pressure")
    return line("over: Hold at ", start, f", {minutes(read[-1][0])} min", warmth)


def verdict_page(told: Told, reader: Reader, field: str, wet: bool | None = None) -> Iterator[Line]:
    """All that the verdict's page says in figures."""
    found = assessment(told, field, wet)
    assert found is not None
    yield over(told, reader, field)
    yield from plate(told, reader, found)
    if field == "after.pressure":
        yield line(f"table: {word('weighed.left')} | ", left(told, found))
    yield from apart(told, reader, field, found)
    yield from explained(found)
    yield from smaller(reader, found)
    yield from air(reader, found)
    if found.exponent is not None:
        how = "assumed" if found.exponent.assumed else "measured"
        yield line("table: Leak exponent | ", Shown(found.exponent.value, 2), f", {how}")
    if found.compliance is not None:
        give = reader.figure(found.compliance.value, "compliance")
        yield line("table: Stored volume | ", give)
    if found.more_time is not None:
        yield line(
            "key: Hold longer | About ", whole_minutes(found.more_time), " min more would decide it"
        )


def left(told: Told, after: Assessment, wet: bool | None = True) -> Line:
    """What is left of the leak before the repair, at the pressure of that hold."""
    before = assessment(told, "hold.pressure", wet)
    if before is None or before.leak_flow is None or after.leak_flow is None:
        return line(word("weighed.left_unknown"))
    assert before.exponent is not None
    assert before.target is not None
    assert after.target is not None
    # A leak goes with a power of the pressure: both are compared at the pressure before.
    raised = (before.target / after.target) ** before.exponent.value
    flow = after.leak_flow
    same = Estimate(flow.value * raised, flow.low * raised, flow.high * raised)
    try:
        part = ratio(before.leak_flow, same, LIMITS)
    except Refusal:
        return line(word("weighed.left_unknown"))
    value, low, high = (Shown(100.0 * v, 0) for v in (part.value, part.low, part.high))
    return line(value, " % (", low, " % to ", high, " %)")


def whole_minutes(seconds: float) -> Shown:
    return Shown(max(seconds, 60.0) / 60.0, 0)


def plate(told: Told, reader: Reader, found: Assessment) -> Iterator[Line]:
    """The head, the one figure of it, the lines under it and the rule of classes."""
    head, unit = word(f"verdict.{found.verdict}"), reader.unit("loss_per_distance")
    per, hidden = found.per_distance, found.not_larger_than
    if found.verdict in SIZED and per is not None:
        yield line(f"plate: {head} | ", reader.loss(per.value), f" {unit}")
        yield line(
            "plate line: ", reader.loss(per.low), " to ", reader.loss(per.high), ", 95 % sure"
        )
        if found.leak_flow is not None:
            yield line("plate line: ", flow(found.leak_flow))
        yield line("rule: tip ", reader.plain(per.value, "loss_per_distance"))
        yield line("rule: span ", reader.plain(per.low, "loss_per_distance"), " to ",
                   reader.plain(per.high, "loss_per_distance"))  # fmt: skip
    elif found.verdict in HIDES and hidden is not None:
        yield line(f"plate: {head} | ", reader.loss(hidden), f" {unit}")
        yield line("rule: hides_below ", reader.plain(hidden, "loss_per_distance"))
    else:
        yield line(f"plate: {head} | None ")
        if found.verdict != "gross" and found.reason is not None:
            yield line(f"plate line: {found.reason.message}".replace("\N{NO-BREAK SPACE}", " "))
        elif found.verdict != "gross" and found.rate is not None:
            rate, kind = found.rate, "pressure_rate"
            yield line("plate line: falls ", reader.figure(rate.value, kind), " (",
                       reader.number(rate.low, kind), " to ", reader.number(rate.high, kind),
                       ")")  # fmt: skip
        return
    yield from rule(told, reader)


def rule(told: Told, reader: Reader) -> Iterator[Line]:
    """The rule of classes: 0.03, 0.3 and 5 L in 1000 km, and what the owner tells."""
    unit, owner = reader.unit("loss_per_distance"), told.number("owner.rate")
    edges = [1e-9 * litres for litres in (0.03, 0.3, 5.0)]  # m3/m
    low, high = (reader.plain(v, "loss_per_distance") for v in (edges[0] / 3.0, 4.0 * edges[2]))
    yield line("rule: ", low, " to ", high, f", {unit}, long marks: class limits")
    for name, edge in zip(("tight", "seeping", "leaking"), edges, strict=True):
        yield line(f"rule: {name} up to ", reader.plain(edge, "loss_per_distance"))
    if owner:
        yield line("rule: owner ", reader.plain(owner, "loss_per_distance"))


def flow(estimate: Any) -> Line:
    """mL/min whatever the reader's units are: value (low to high)."""
    value, low, high = (Two(FLOW * v) for v in (estimate.value, estimate.low, estimate.high))
    return line(value, " mL/min (", low, " to ", high, ")")


def apart(told: Told, reader: Reader, field: str, found: Assessment) -> Iterator[Line]:
    read = told.readings(field)
    if found.suspect_readings:
        yield from reader.pad(told, field)
        yield from last_of_pad(told, reader, field)
    for place in found.suspect_readings:
        time, event, _ = read[place]
        words = f"{by_hand(event)} at {minutes(time)} does not fit"
        yield line(f"state not_done, framed: {words} | {word('weighed.again')}")


def share(weight: float) -> list[str | Shown]:
    """A weight in percent; what is nearly nothing or all is told as that."""
    if weight < 0.005:
        return ["<1 %"]
    return [">99 %"] if weight > 0.995 else [Shown(100.0 * weight, 0), " %"]


def answer(found: Assessment) -> str:
    """Leak or no leak, with how sure that is in a word: very likely from 9 of 10."""
    if found.favoured is None:
        return ""
    if found.favoured == "cannot_tell":
        return word("weighed.cannot_tell")
    leaks = sum(w for name, w in found.explanations.items() if name in WITH_LEAK)
    leak = found.favoured in WITH_LEAK
    sure = (leaks if leak else 1.0 - leaks) >= LIMITS["hold.very_likely_weight"]
    return f"{'A leak' if leak else 'No leak'}, {'very likely' if sure else 'likely'}"


def explained(found: Assessment) -> Iterator[Line]:
    """Leak against no leak, and each explanation that is worth a word."""
    if not found.explanations:
        return
    leaks = sum(w for name, w in found.explanations.items() if name in WITH_LEAK)
    sums = line("Leak ", share(leaks), ", no leak ", share(1.0 - leaks))
    best, sign = "", "waits"
    if found.favoured not in (None, "cannot_tell"):
        sign = ""
        best = f" | Best: {word(f'explanation.{found.favoured}')}"
    yield line(f"state {sign}: {answer(found)}{best} | ", sums)
    for name, weight in found.explanations.items():
        if weight >= 0.005:
            yield line(f"table: {word(f'explanation.{name}')} | ", share(weight))


def smaller(reader: Reader, found: Assessment) -> Iterator[Line]:
    """What such a hold could see, and what would let it see less."""
    least, unit = found.smallest_detectable, reader.unit("loss_per_distance")
    if least is None:
        return
    name = word("weighed.smaller")
    if found.verdict in SIZED or not found.advice:
        yield line(f"table: {name} | ", reader.loss(least), f" {unit}")
        return
    yield line(f"heading: {name}, {unit}")
    yield line(f"table: {word('weighed.this_hold')} | ", reader.loss(least))
    for way in found.advice:
        sees = reader.loss(way.smallest_detectable)
        yield line(
            f"table: {word(f'advice.{way.code}')} | ", whole_minutes(way.time), " min | ", sees
        )


def air(reader: Reader, found: Assessment) -> Iterator[Line]:
    """Of a drained system; the deepest vacuum stands as a needle does, without its sign."""
    if found.residual_fraction is not None:
        left = Shown(100.0 * found.residual_fraction, 0)
        yield line(f"table: {word('screen.residual')} | ", left, " %")
    if found.best_vacuum is not None:
        deep = reader.figure(abs(found.best_vacuum.value), "pressure")
        yield line(f"table: {word('screen.best_vacuum')} | ", deep)
    if found.air_flow is not None:
        yield line(f"table: {word('screen.air_flow')} | ", flow(found.air_flow))
    equal = found.liquid_equivalent
    if equal is not None and equal.orifice.low > 0.0:
        yield line(f"table: {word('screen.as_liquid')} | ", flow(equal.orifice))


def recorder_page(
    told: Told, reader: Reader, field: str, wet: bool | None = None
) -> Iterator[Line]:
    """All that the running recorder says in figures."""
    found, read = assessment(told, field, wet), told.readings(field)
    assert found is not None
    last, event, _ = read[-1]
    title = {"hold": "hold_readings", "vacuum": "vacuum_readings", "after": "after_readings",
             "dry": "dry_readings", "test": "test_readings"}[field.partition(".")[0]]  # fmt: skip
    yield line(f"title: {word(f'step.{title}.title')} | ", Shown(last / 60.0, 0), " of 15 min")
    typed = by_hand(event)
    yield line(f"last: Last, at {minutes(last)} min | {typed}")
    first = read[0][1]
    yield line(f"start: {first['at']} | ", Plain(first["mono"]), f" | {first['boot']}")
    pace = 60.0 if found.next_reading is None else found.next_reading
    due = pace * (math.floor(last / pace + 0.4) + 1)
    yield line("due: ", Plain(due), " by ", Plain(pace), f" | READ at {minutes(due)}")
    name = told.choice("car.name")
    yield line(f"call: {name}: read the needle")
    if found.fall is not None and last >= 180.0:
        kind, fall = "pressure_rate", found.fall
        ends = line(reader.number(fall.low, kind), " to ", reader.number(fall.high, kind))
        yield line("fall: Fall so far, 95 % | ", reader.figure(fall.value, kind), " | ", ends)
    yield from so_far(reader, found)
    yield from apart(told, reader, field, found)
    if len(read) > 1:
        yield from plot(told, reader, field, found, due)
    yield from reader.pad(told, field)
    yield from last_of_pad(told, reader, field)


def last_of_pad(told: Told, reader: Reader, field: str) -> Iterator[Line]:
    """The last reading as the pad repeats it, in the pad's unit."""
    _, event, _ = told.readings(field)[-1]
    unit = reader.unit(FIELDS[field]["dimension"])
    value = out(si(event["typed"], event["unit"]), unit)
    shown = event["typed"] if event["unit"] == unit else f"{value:.4g}"
    yield line(f"pad of {field}: last {shown}, ", Plain(value))


def so_far(reader: Reader, found: Assessment) -> Iterator[Line]:
    """What the readings speak for so far."""
    words = answer(found)
    if not words:
        return
    made: list[Line] = []
    if found.verdict in ("no_leak_found", "tight") and found.not_larger_than is not None:
        none = reader.loss(found.not_larger_than)
        made.append(line("none above ", none, f" {reader.unit('loss_per_distance')}"))
    if found.more_time is not None:
        made.append(line("About ", whole_minutes(found.more_time), " min more would decide it"))
    elif found.verdict == "too_weak":
        made.append(line(word("weighed.no_time")))
    yield line(f"state waits: So far: {words}", *(line(" | ", each) for each in made))


def plot(
    told: Told, reader: Reader, field: str, found: Assessment, due: float | None
) -> Iterator[Line]:
    """Readings, fit, band and the line of a leak at the class limit, in the reader's pressure."""
    read, kind = told.readings(field), "pressure"
    last = read[-1][0]
    for n, (time, _, pressure) in enumerate(read):
        sort = "suspect" if n in found.suspect_readings else "read"
        yield line(f"plot: {sort} ", Plain(time / 60.0), " min | ", reader.plain(pressure, kind))
    yield line(f"plot: in {reader.unit(kind)}, now ", Plain(last / 60.0))
    for point in found.curve:
        ends = (point.pressure, point.low, point.high)
        yield line("plot: fit ", Plain(point.time / 60.0), *(
            piece for end in ends for piece in (" ", reader.plain(end, kind))
        ))  # fmt: skip
        if point.limit is not None:
            yield line(
                "plot: limit ", Plain(point.time / 60.0), " ", reader.plain(point.limit, kind)
            )
    if any(point.limit is not None for point in found.curve):
        unit = reader.unit("loss_per_distance")
        yield line("plot: limit a leak of ", reader.loss(0.3e-9), f" {unit}")
    if found.curve:
        yield line("plot: fit, band 95 %")
    for time, name in marks(told, field):
        yield line(f"plot: {MARKS[name]} ", Plain(time / 60.0))
    if due is not None:
        yield line("plot: next ", Plain(due / 60.0))
    fall = found.fall
    falls = [] if fall is None else [" Falls ", *reader.figure(fall.value, "pressure_rate"), "."]
    yield line(f"plot: {len(read)} readings in {minutes(last)} minutes, from ",
               reader.figure(read[0][2], kind), " to ", reader.figure(read[-1][2], kind), ".",
               falls)  # fmt: skip
