"""The record by hand: each figure of each part of the file, from the log and plain arithmetic."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from typing import Final

from tests.screen.hand import fluids
from tests.screen.hand.holds import HIDES, SIZED, assessment, left, minutes, over, plate
from tests.screen.hand.page import Line, Piece, Two, line
from tests.screen.hand.reader import Reader
from tests.screen.hand.told import FIELDS, Told, by_hand, word
from weeptrace.hold.data import Assessment

HOLDS: Final = (("before", "hold.pressure", "Hold", True),
                ("after", "after.pressure", "Hold after the repair", False))  # fmt: skip
_PLAIN: Final = {
    "car": ("owner.rate", "car.cap_rating", "car.capacity", "place.altitude", "place.ambient"),
    "coolant": ("coolant.residual_strength", "coolant.target_strength"),
    "watch": ("watch.level", "watch.area"),
    "tester": ("tester.span", "tester.division", "tester.stroke_volume", "tester.self_fall"),
}
_TIMED: Final = (
    "finding.place",
    "finding.watch",
    "finding.dried",
    "finding.wet_again",
    "after.old_place",
)
_MONEY: Final = ("quote.parts", "quote.total", "quote.ceiling")
# Rows that join several answers under one heading: name, what it counts.
_JOINED: Final = {
    ("found", "told"): (("car.odometer", ""), ("quote.diagnosis", "EUR")),
    ("found", "cold"): (("cold.level", ""), ("cold.strength", ""), ("coolant.condition", ""),
                        ("oil.engine", ""), ("oil.transmission", "")),
    ("after_work", "counted"): (("fastener.off", "pieces"), ("fastener.on", "pieces")),
}  # fmt: skip


def answer(told: Told, name: str) -> str:
    """An answer in words: a choice in its own, a figure as typed with its unit."""
    field, event = FIELDS[name], told.event(name)
    assert event is not None
    if field["kind"] == "choice":
        return word(f"choice.{field.get('worded_as', name)}.{event['typed']}")
    return "yes" if field["kind"] == "yes" else told.typed(name) or "not measured"


def lines_of(told: Told, reader: Reader, now: str) -> Iterator[Line]:
    """All lines of a record with a figure, but axes and the day."""
    number = told.choice("job.number")
    yield line(f"sheet: {told.choice('car.name')}, job {number}, {now[:10]} {now[11:16]}")
    yield from verdict(told, reader)
    yield from compared(told, reader)
    for part, names in _PLAIN.items():
        for name in names:
            if told.typed(name):
                yield line(f"{part}: {word(f'field.{name}')} | {told.typed(name)}")
    for name in _TIMED:
        yield line(f"cause: {word(f'field.{name}')} | {answer(told, name)}, {told.clock(name)}")
    for (part, row), asked in _JOINED.items():
        words = "; ".join(
            f"{word(f'field.{name}')}: {answer(told, name)}{f' {what}' if what else ''}"
            for name, what in asked
        )
        yield line(f"{part}: {word(f'record.row_{row}')} | {words}")
    yield line(f"quote: {word('field.quote.hours')} | {told.typed('quote.hours')}")
    for name in _MONEY:
        money = f"{told.typed(name)} {told.choice('shop.currency')}"
        yield line(f"quote: {word(f'field.{name}')} | {money}")
    hottest = max(value for _, _, value in told.readings("warm.coolant"))
    yield line(f"warm: {word('warm.hottest')} | ", reader.figure(hottest, "temperature"))
    yield from coolant(told, reader)
    yield from poured(told, reader)
    for _, field, name, _ in HOLDS:
        read = told.readings(field)
        said = ", ".join(f"{minutes(t)} {by_hand(e)}" for t, e, _ in read)
        yield line(f"readings: {name}, {read[0][1]['at'][11:16]}: {said}.")


def phrase(found: Assessment, reader: Reader) -> Line:
    """A verdict as one phrase with its figure."""
    head, unit = word(f"verdict.{found.verdict}"), reader.unit("loss_per_distance")
    head, per = head[0].lower() + head[1:], found.per_distance
    if found.verdict in SIZED and per is not None:
        ends = (reader.loss(per.value), " (", reader.loss(per.low), " to ", reader.loss(per.high))
        return line(f"{head}, ", ends, f") {unit}")
    if found.verdict in HIDES and found.not_larger_than is not None:
        return line(f"{head} ", reader.loss(found.not_larger_than), f" {unit}")
    return line(head)


def joined(said: Iterable[Line], between: str) -> list[Piece]:
    made: list[Piece] = []
    for each in said:
        made += [between if made else "", *each]
    return made


def verdict(told: Told, reader: Reader) -> Iterator[Line]:
    """The last hold's plate: its phrase, its conditions, what is left, its lines, the classes."""
    found = assessment(told, "after.pressure", wet=False)
    assert found is not None
    unit = reader.unit("loss_per_distance")
    yield line(f"verdict: {word('record.after')}: ", phrase(found, reader))
    conditions = list(over(told, reader, "after.pressure"))
    conditions[0] = str(conditions[0]).replace("over: ", "verdict: ")
    rest = line(f". {word('weighed.left')}: ", left(told, found), ".")
    under = [
        line("verdict: ", str(each[0]).removeprefix("plate line: "), each[1:])
        for each in plate(told, reader, found)
        if str(each[0]).startswith("plate line: ")
    ]
    yield line(conditions, rest)
    yield from under
    if not any(str(each[0]).startswith("rule: ") for each in plate(told, reader, found)):
        return
    for place in ("verdict", "class-rule"):
        yield line(f"{place}: {word('record.hold_line.scale')} {unit}.")
    for litres in (0.03, 0.3, 5.0):
        edge = reader.plain(1e-9 * litres, "loss_per_distance").value
        yield line("class-rule: ", General(edge))


class General(Two):
    """A figure to two digits, without the noughts at its end."""

    def fits(self, text: str) -> bool:
        return text == f"{float(f'{self.value:.1e}'):g}"


def compared(told: Told, reader: Reader) -> Iterator[Line]:
    """Before beside after, and under each plot how fast it fell."""
    columns, unit = [], reader.unit("pressure_rate")
    for name, field, _, wet in HOLDS:
        found, read, kin = assessment(told, field, wet), told.readings(field), field.split(".")[0]
        assert found is not None
        strokes = told.typed(f"{kin}.strokes")
        engine = told.number("coolant.temperature", until=read[0][1])
        assert engine is not None
        assert found.compliance is not None
        level = answer(told, "hold.level") if kin == "hold" else "not asked"
        give = reader.figure(found.compliance.value, "compliance")
        columns.append({
            "": line(f"{name}, {read[0][1]['at'][11:16]}"),
            "Verdict": phrase(found, reader),
            "Readings, time": line(f"{len(read)} in {minutes(read[-1][0])} min"),
            "Start, end": line(", ".join(f"{by_hand(e)}" for _, e, _ in
                                         (read[0], read[-1]))),
            "One division": line(str(told.typed("tester.division"))),
            "Strokes, stored volume": line(f"{strokes} strokes, ", give),
            "Level, coolant": line(f"{level}, ", reader.figure(engine, "temperature")),
        })  # fmt: skip
        fall, kind = found.fall, "pressure_rate"
        assert fall is not None
        value, low, high = (reader.number(v, kind) for v in (fall.value, fall.low, fall.high))
        yield line(f"holds: {name}: falls ", value, " (", low, " to ", high, f") {unit}")
        ends = (reader.figure(read[0][2], "pressure"), reader.figure(read[-1][2], "pressure"))
        yield line(f"plot: {len(read)} readings in {minutes(read[-1][0])} minutes, from ", ends[0],
                   " to ", ends[1], ". Falls ", reader.figure(fall.value, kind), ".")  # fmt: skip
    for row in columns[0]:
        yield line(f"holds: {row} | ", columns[0][row], " | ", columns[1][row])


def coolant(told: Told, reader: Reader) -> Iterator[Line]:
    """The plan of the mix, its strength, and where it freezes."""
    hand = "coolant.at_hand"
    yield line(f"coolant: {word(f'field.{hand}')} | {answer(told, hand)}")
    made, glycol = fluids.mixed(told), told.choice("car.glycol")
    kinds = [kind for kind in ("concentrate", "premix", "water") if kind in made]
    amounts = [line(reader.figure(made[kind], "volume"), f" {kind}") for kind in kinds]
    yield line("coolant: Mix plan | ", joined(amounts, ", "))
    yield line("coolant: Strength after, planned | ", fluids.percent(made["result"]))
    freezes = None if glycol is None else fluids.freezes(glycol, made["result"])
    if freezes is not None:
        figure = reader.figure(freezes, "temperature", 1.3)
        unit = reader.unit("temperature")
        tail = f", inhibited coolant, within {2 if unit == '°C' else 4} {unit}"
        yield line("coolant: Freeze point after, planned | ", figure, tail)


def poured(told: Told, reader: Reader) -> Iterator[Line]:
    """The streams as lengths with their figures, spoken and written, and whether it closes."""
    names = {"Out": "coolant.drained", "Missing before": "coolant.missing_before",
             "Spilled": "coolant.spilled", "In": "coolant.filled"}  # fmt: skip
    volumes = {name: told.number(field) or 0.0 for name, field in names.items()}
    found = fluids.balance(told)
    assert found is not None
    volumes["More in than gone" if found[0] < 0.0 else "Left over: out less in"] = abs(found[0])
    volumes |= {"Waste: used coolant": volumes["Out"], "Waste: with absorbent": volumes["Spilled"]}
    said = {name: line(f"{name} ", reader.figure(v, "volume")) for name, v in volumes.items()}
    rest = next(name for name in said if name.startswith(("More", "Left")))
    groups = {"Gone": ("Out", "Missing before", "Spilled"), "In": ("In",), "Left over": (rest,),
              "Waste": ("Waste: used coolant", "Waste: with absorbent")}  # fmt: skip
    spoken = [line(f"{g}: ", joined((said[n] for n in own), ", ")) for g, own in groups.items()]
    yield line("fluids: ", joined(spoken, "; "))
    for each in said.values():
        yield line("fluids: ", each)
    yield line("balance: Balance | ", sentences(fluids.balanced(found, reader)))


def sentences(row: Line) -> list[Piece]:
    """A row of a page as sentences of a table, the last one without its stop."""
    words = "".join(piece if isinstance(piece, str) else "\0" for piece in row)
    words = words.partition(": ")[2].replace(". | ", ". ").replace(" | ", ". ")
    figures = (piece for piece in row if not isinstance(piece, str))
    texts = words.removesuffix(".").split("\0")
    return [texts[0], *(piece for text in texts[1:] for piece in (next(figures), text))]


def times_of(text: str) -> list[str]:
    return re.findall(r"\d\d:\d\d", text)


def day(shown: list[str], told: Told) -> None:
    """The day adds up: stretch follows stretch, and each begins and ends with an entry."""
    said, *labels = shown
    clocks = {event["at"][11:16] for event in told.events}
    stretches = {
        name: times_of(times)
        for name, times in re.findall(
            r"([A-Z][a-z-]*(?: [a-z]+)?) ((?:\d\d:\d\d to \d\d:\d\d(?:, )?)+)", said
        )
    }
    ends = sorted(
        pair for times in stretches.values() for pair in zip(times[::2], times[1::2], strict=True)
    )
    assert {end for pair in ends for end in pair} <= clocks
    assert [start for start, _ in ends[1:]] == [end for _, end in ends[:-1]]
    begun = [times[0] for times in stretches.values()]
    written = [label for label in labels if times_of(label)]
    assert set(written) - set(begun) <= {
        f"{hour:02d}:{m:02d}" for hour in range(24) for m in (0, 30)
    }
    short = [label for label in labels if "short" in label]
    if short:
        count, together = map(int, re.findall(r"\d+", short[0]))
        lengths = sorted(sum(span(*pair) for pair in zip(t[::2], t[1::2], strict=True))
                         for t in stretches.values())  # fmt: skip
        assert math.isclose(sum(lengths[:count]), together, abs_tol=count + 1)


def span(start: str, end: str) -> int:
    first, last = (60 * int(each[:2]) + int(each[3:]) for each in (start, end))
    return last - first
