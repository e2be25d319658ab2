"""The cap, the shut gate, the price and the warm-up by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import product
from statistics import NormalDist
from typing import Final

from tests.screen.hand.holds import last_of_pad, minutes
from tests.screen.hand.page import Count, Line, Piece, Plain, Shown, line
from tests.screen.hand.reader import Reader
from tests.screen.hand.told import RULES, Json, Told, by_hand, si, word

# What follows the owner's yes where coolant is drained, and where it is not; common practice.
DRAINED: Final = (
    "drain", "lines", "off", "transfer", "on", "joints", "mix", "quality", "fill", "warm_up",
    "proof", "road", "recheck", "clean_up", "follow", "record",
)  # fmt: skip
DRY: Final = ("off", "on", "joints", "proof", "recheck", "follow", "record")
RISKS: Final = ("risk.fastener", "risk.fitting", "risk.brittle", "risk.more_wet", "risk.aim")


def cap_page(told: Told, reader: Reader) -> Iterator[Line]:
    """What is printed, what it is pumped to (80 %), where it opened, what is accepted."""
    rating = told.number("car.cap_rating")
    assert rating is not None
    opened = [told.typed(f"cap.opening_{n}") for n in (1, 2, 3)]
    yield line(f"table: {word('screen.cap_print')} | ", reader.figure(rating, "pressure"))
    yield line(f"table: {word('screen.cap_target')} | ", reader.limit(0.8 * rating, "pressure"))
    shown = ", ".join(each for each in opened if each) or "not measured"
    yield line(f"table: {word('screen.cap_opened')} | {shown}")
    low = reader.number(0.9 * rating, "pressure")  # 10 % below to 15 % above: common practice
    yield line(f"table: {word('screen.cap_allowed')} | ", low, " to ",
               reader.figure(1.15 * rating, "pressure"))  # fmt: skip


def clock(event: Json, ahead: float = 0.0) -> str:
    return (datetime.fromisoformat(event["at"]) + timedelta(seconds=ahead)).strftime("%H:%M")


def gate_page(told: Told, reader: Reader, fresh: bool = True) -> Iterator[Line]:
    """The cool-down gate: how hot, and when it will be cold by Newton's law of cooling."""
    name, kind = "coolant.temperature", "temperature"
    yield from reader.pad(told, name)
    edge = si("50", "°C")
    value, event = told.number(name), told.event(name)
    title = word("gate.cold.title")
    if value is None or event is None:
        return
    yield line(f"state of the job: {title} | ", reader.figure(value, kind))
    cold = value < edge
    state = word("shut.met.temperature" if cold else "shut.unmet.temperature") if fresh else "Old"
    label = f"{word(f'field.{name}')}, {clock(event)}"
    yield line(f"value: {label} | ", reader.figure(value, kind), f" | {state}")
    below, when = word("shut.open_below"), "now" if fresh else "then"
    yield line(f"scale: {when} | ", reader.plain(value, kind))
    yield line(f"scale: limit {below} | ", reader.plain(edge, kind))
    now = reader.figure(value, kind)
    yield line(f"scale: {when.capitalize()} ", now, f"; {below} ", reader.figure(edge, kind), ".")
    if cold or not fresh:
        return
    ambient, figure = told.number("place.ambient"), reader.figure(edge, kind)
    if ambient is None or ambient >= edge:
        yield line("state waits: Waits to fall below ", figure, " | Measure again later.")
        return
    # T - Ta falls by 1/e in 30 to 50 min with the bonnet open (common practice).
    share = math.log((value - ambient) / (edge - ambient))
    usual, soon, late = (clock(event, 60.0 * tau * share) for tau in (40.0, 30.0, 50.0))
    then = f"{soon} to {late}, bonnet open. | Then measure again. Do other work."
    yield line("state waits: Below ", figure, f" at about {usual} | {then}")


def usual_minutes(repair: str) -> tuple[float, float, float]:
    """Low, likely and high minutes of what follows, read from the procedure's own text."""
    wanted = DRY if repair in ("hose_or_clamp", "cap") else DRAINED
    wanted += ("top_up",) if repair == "radiator_with_cooler" else ()
    found: dict[str, list[float]] = {}
    for path in (RULES / "procedures" / "coolant_loss").glob("*.toml"):
        id = ""
        for text in path.read_text("utf-8").split("\n"):
            key, _, value = text.partition(" = ")
            if text == "[[phase]]":
                id = ""
            elif key == "id" and not id:
                id = value.strip('"')
            elif key == "minutes":
                found[id] = [float(each) for each in value.strip("[]").split(",")]
    low, likely, high = (sum(found[id][end] for id in wanted) for end in range(3))
    return low, likely, high


def stays_below(told: Told, share: float, hours: float, work: tuple[float, float, float]) -> float:
    """The money that this share of such jobs stays below.

    PERT's mean and deviation of the hours that were typed, their spread as that of the usual ones;
    each risk adds half an hour to one job in ten, or to one in two where it is likely.
    """
    rate = told.number("shop.rate") or 0.0
    low, high = (hours * end / work[1] for end in (work[0], work[2]))
    mean = (told.number("quote.parts") or 0.0) + rate * (low + 4.0 * hours + high) / 6.0
    sd = rate * (high - low) / 6.0
    chances = [0.5 if told.choice(name) == "likely" else 0.1 for name in RISKS]
    weights = [0.0] * (len(RISKS) + 1)  # of so many risks come true
    for come in product((0, 1), repeat=len(RISKS)):
        weights[sum(come)] += math.prod(
            p if c else 1.0 - p for p, c in zip(chances, come, strict=True)
        )
    least, most = 0.0, 10.0 * mean + 1e4
    for _ in range(60):
        middle = (least + most) / 2.0
        below = sum(
            w * NormalDist(mean + 0.5 * rate * n, sd).cdf(middle) for n, w in enumerate(weights)
        )
        least, most = (middle, most) if below < share else (least, middle)
    return most


def price_page(told: Told, reader: Reader) -> Iterator[Line]:
    """What hours and parts come to, the usual time, and the price and ceiling by that."""
    hours, parts = told.number("quote.hours"), told.number("quote.parts")
    rate, money = told.number("shop.rate"), f" {told.choice('shop.currency')}"
    yield line(f"title: {word('step.quote_total.title')} | ", Count())
    work = usual_minutes(str(told.choice("repair.kind")))
    low, likely, high = (60.0 * each for each in work)
    yield line(f"table: {word('screen.hours_usual')} | ", reader.figure(likely, "time"), " (",
               reader.number(low, "time"), " to ", reader.figure(high, "time"), ")")  # fmt: skip
    known: list[Piece] = []
    total = 0.0
    if hours is not None and rate is not None:
        total += hours / 3600.0 * rate
        known += [*reader.figure(hours, "time"), " at ", Shown(rate, 0), ": ", Shown(total, 0)]
    if parts is not None:
        total += parts
        known += [", " if known else "", f"{word('field.quote.parts')}: ", Shown(parts, 0)]
    if known:
        yield line("table: ", known, " | ", Shown(total, 0), money)
    if rate is not None and hours is not None:
        for id, share in (("price_half", 0.5), ("price_ceiling", 0.8)):
            amount = stays_below(told, share, hours / 3600.0, work)
            yield line(f"table: {word(f'screen.{id}')} | ", Shown(amount, 0), money)
    yield from reader.pad(told, "quote.total")


def warm_log_page(told: Told, reader: Reader) -> Iterator[Line]:
    """The last needle of the coolant and of the vent, and when the next one is due."""
    name, vent = "warm.coolant", "warm.vent"
    read, kind = told.readings(name), "temperature"
    last, event, _ = read[-1]
    yield line(f"title: {word('step.warm_log.title')} | {len(read)} read")
    above = reader.figure(si("115", "°C"), kind)  # common practice: past it the engine is stopped
    yield line(f"state stop: {word('stop_hot.beforehand')} ", above, f" | {word('stop_hot.also')}")
    yield line(f"last: Coolant, at {minutes(last)} min | {by_hand(event)}")
    first = read[0][1]
    yield line(f"start: {first['at']} | ", Plain(first["mono"]), f" | {first['boot']}")
    due = 60.0 * (math.floor(last / 60.0 + 0.4) + 1)
    yield line("due: ", Plain(due), " by ", Plain(60.0), f" | READ at {minutes(due)}")
    if vents := told.readings(vent):
        typed = by_hand(vents[-1][1])
        yield line(f"state done: {word(f'field.{vent}')} | {typed}")
        yield from last_of_pad(told, reader, vent)
    yield from reader.pad(told, name)
    yield from reader.pad(told, vent)
    yield from last_of_pad(told, reader, name)
    if len(read) > 1:
        for time, _, value in read:
            yield line("plot: read ", Plain(time / 60.0), " min | ", reader.plain(value, kind))
        yield line(f"plot: in {reader.unit(kind)}, now ", Plain(last / 60.0))
        shown = [reader.number(value, kind) for _, _, value in (read[0], read[-1])]
        yield line("plot: Coolant from ", shown[0], " to ", shown[1], f" {reader.unit(kind)}.")


def warm_result_page(told: Told, reader: Reader, steady: int) -> Iterator[Line]:
    """The hottest coolant, and what share of its heat the vents give over the last ``steady``."""
    hottest = max(value for _, _, value in told.readings("warm.coolant"))
    figure = reader.figure(hottest, "temperature")
    yield line(f"state , framed: {word('warm.hottest')} | ", figure)
    ambient, vents = told.number("place.ambient"), told.readings("warm.vent")[-steady:]
    if ambient is None or not steady:
        return
    hot = [value for _, _, value in told.readings("warm.coolant")[-steady:]]
    coolant = sum(hot) / steady - ambient
    share = (sum(value for _, _, value in vents) / steady - ambient) / coolant
    heat, sign = ("good", "done") if share >= 0.6 else ("weak", "stop")
    air = "" if heat == "good" else f" | {word('warm.air_sign')}"
    yield line(f"state {sign}, framed: {word('warm.heater')} | ", Shown(share, 2),
               f" | {word(f'warm.heater_{heat}')}{air}")  # fmt: skip
