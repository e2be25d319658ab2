"""Fluids by hand: the mix, the vacuum fill, the balance, the level after cooling and the watch."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Final

from tests.exact_units import EXACT
from tests.screen.hand.page import Line, Piece, Plain, Shown, line
from tests.screen.hand.reader import Reader, atmosphere
from tests.screen.hand.told import LIMITS, Told, si, word

_TABLE: Final = Path(__file__).parents[2] / "published" / "glycol_freezing.csv"
STREAMS: Final = (
    "coolant.missing_before", "coolant.drained", "coolant.spilled", "coolant.filled",
)  # fmt: skip
# Densities at 20 °C, kg/m3, and molar masses, kg/mol (CRC Handbook, 102nd ed.).
_DENSITY: Final = {"ethylene": 1113.2, "propylene": 1036.1, "water": 998.2}
_MOLAR: Final = {"ethylene": 0.062068, "propylene": 0.076095, "water": 0.018015}
_ROOM: Final = 1.3  # K between a published table read across ten points and the core's curve


def by_mass(glycol: str, share: float) -> float:
    """The share by mass of a share by the unmixed volumes."""
    heavy = share * _DENSITY[glycol]
    return heavy / (heavy + (1.0 - share) * _DENSITY["water"])


def freezes(glycol: str, share: float) -> float | None:
    """Where inhibited coolant freezes, K: ASHRAE Handbook 2001, a straight line between rows."""
    with _TABLE.open(encoding="utf-8") as file:
        rows = [
            (float(row["mass_pct"]) / 100.0, float(row["T_freeze_C"]) + 273.15)
            for row in csv.DictReader(file)
            if row["source"] == "ASHRAE2001" and row["glycol"] == {"e": "EG", "p": "PG"}[glycol[0]]
        ]
    wanted = by_mass(glycol, share)
    for (w0, t0), (w1, t1) in pairwise([*rows, (0.61, 2.0 * rows[-1][1] - rows[-2][1])]):
        if w0 <= wanted <= w1:
            return t0 + (t1 - t0) * (wanted - w0) / (w1 - w0)
    return None


def percent(share: float) -> list[Piece]:
    """A share in percent, to a tenth where it is not a whole one."""
    tenths = round(1000.0 * share + 1e-7)
    return [Shown(100.0 * share, 0 if tenths % 10 == 0 else 1), " %"]


def mixed(told: Told) -> dict[str, float]:
    """What stays in, what is poured, and what comes of it: glycol is kept, volumes add."""
    names = ("car.capacity", "coolant.drained", "coolant.residual_strength",
             "coolant.target_strength")  # fmt: skip
    capacity, drained, strength, target = (told.number(name) or 0.0 for name in names)
    room = min(drained + (told.number("coolant.missing_before") or 0.0), capacity)
    residual = capacity - room
    if told.choice("coolant.at_hand") == "concentrate":
        poured = min(max(target * capacity - strength * residual, 0.0), room)
        amounts, best = {"concentrate": poured, "water": room - poured}, 1.0
    else:
        amounts, poured, best = {"premix": room}, 0.5 * room, 0.5
    result = (strength * residual + poured) / capacity
    best = best if target > strength or "premix" in amounts else 0.0
    more = math.nan
    if best != strength:
        more = (target * capacity - strength * residual - best * room) / (best - strength)
    return {
        **{name: volume for name, volume in amounts.items() if volume > 1e-9 * room},
        "capacity": capacity, "room": room, "residual": residual, "strength": strength,
        "target": target, "result": result, "more": more if 0.0 < more <= residual else math.nan,
    }  # fmt: skip


def mix_page(told: Told, reader: Reader) -> Iterator[Line]:
    """The plan as a column, how it ends, and where it freezes."""
    made, unit = mixed(told), reader.unit("volume")
    volume = reader.figure(made["room"], "volume")
    yield line("title: Mix ", volume, " | to ", Shown(100.0 * made["target"], 0), " %")
    yield line(f"key: {word('step.mix_plan.main')}, ", volume)
    glycol = told.choice("car.glycol")
    named = glycol or "glycol not known"
    subs = {"concentrate": f"{named}, from the label", "water": "deionised",
            "premix": f"{named}, 50 %"}  # fmt: skip
    yield line("tank: ", reader.number(made["residual"], "volume"),
               f" {unit} stays in | residual, measured ", percent(made["strength"]), " | ",
               reader.plain(made["residual"], "volume"))  # fmt: skip
    poured = [kind for kind in ("concentrate", "premix", "water") if kind in made]
    for kind in poured:
        sub = f" {unit} {kind} | {subs[kind]} | "
        amount = reader.number(made[kind], "volume"), reader.plain(made[kind], "volume")
        yield line("tank: ", amount[0], sub, amount[1])
    yield line("tank: full ", reader.plain(made["capacity"], "volume"), f" {unit}")
    words: list[Piece] = []
    for kind in poured:
        words += [", " if words else "", *reader.figure(made[kind], "volume"), f" {kind}"]
    stays = reader.figure(made["residual"], "volume")
    yield line("tank: ", stays, " stays in. Pour ", words, ".")
    yield from ending(made, reader)
    yield from freezing(told, made, reader)


def ending(made: dict[str, float], reader: Reader) -> Iterator[Line]:
    if abs(made["result"] - made["target"]) <= LIMITS["fill.strength_tolerance"] + 1e-9:
        return
    how = line(" It cannot be reached with what is at hand.")
    if not math.isnan(made["more"]):
        how = line(" Draw off ", reader.figure(made["more"], "volume"),
                   " more first, or use concentrate.")  # fmt: skip
    yield line("state stop: Ends at ", percent(made["result"]), " | Wanted is ",
               percent(made["target"]), ". |", how)  # fmt: skip


def freezing(told: Told, made: dict[str, float], reader: Reader) -> Iterator[Line]:
    glycol, unit = told.choice("car.glycol"), reader.unit("temperature")
    after = None if glycol is None else freezes(glycol, made["result"])
    if glycol is None or after is None:
        return
    kelvin = 1.0 / float(EXACT[unit][1])  # degrees in a kelvin
    room, reach = _ROOM * kelvin, {"°C": 2.0, "°F": 3.6}[unit]
    shown = reader.number(after, "temperature", _ROOM)
    at = reader.plain(after, "temperature").value
    ends = (Plain(at - reach, room), Plain(at + reach, room))
    yield line("scale: after ", shown, " | ", Plain(at, room), " ", ends[0], " to ", ends[1])
    now = freezes(glycol, made["strength"])
    if now is not None:
        mark = Plain(reader.plain(now, "temperature").value, room)
        yield line("scale: now ", reader.number(now, "temperature", _ROOM), " | ", mark)
    yield line(
        "scale: Freezes from about ", shown, f" {unit}, {glycol}, within {reach:.0f} {unit}."
    )


def uptake(told: Told) -> tuple[float, float] | None:
    """Room that was empty before a vacuum fill, and the part of it that fills, m3.

    ``U = V (1 - (p - pv)/(p0 - pv))``: dry air stays, vapour does not (Boyle). Vapour by Magnus
    (Alduchov and Eskridge, J. Appl. Meteorol. 35, 1996) and Raoult; the coolant as ethylene glycol.
    """
    drained, read = told.number("coolant.drained"), told.readings("vacuum.pressure")
    if drained is None or not read:
        return None
    room = drained + (told.number("coolant.missing_before") or 0.0)
    outside = atmosphere(told.number("place.altitude") or 0.0)
    last = sorted(pressure for _, _, pressure in read[-5:])
    left = outside - (last[(len(last) - 1) // 2] + last[len(last) // 2]) / 2.0
    celsius = max((told.number("coolant.temperature") or 288.15) - 273.15, 0.0)
    saturated = 610.94 * math.exp(17.625 * celsius / (243.04 + celsius))
    glycol = by_mass("ethylene", told.number("coolant.target_strength") or 0.5)
    water = (1.0 - glycol) / _MOLAR["water"]
    vapour = saturated * water / (water + glycol / _MOLAR["ethylene"])
    return room, room * (1.0 - (left - vapour) / (outside - vapour))


def uptake_page(told: Told, reader: Reader) -> Iterator[Line]:
    """What it will take, what must stand ready, and the air that stays."""
    known = uptake(told)
    if known is None:
        return
    (room, taken), near = known, 1e-3 * known[0]  # the vapour's own source is as near as that
    yield line("table: Empty before the fill | ", reader.figure(room, "volume"))
    yield line("table: It will take | ", reader.figure(taken, "volume", near))
    yield line("table: Air that stays | ", reader.figure(room - taken, "volume", near))
    needed = 1.15 * taken + 1e-3
    words = line(reader.figure(needed, "volume", 1.15 * near), " must be ready")
    enough, ready = (
        "More than it takes, so that it does not run dry.",
        told.number("fill.container"),
    )
    if ready is None:
        yield line("state now, framed: ", words, f" | {enough} | {word('screen.two_jugs')}")
    elif ready >= needed:
        there = reader.figure(ready, "volume")
        yield line("state done, framed: ", words, " | ", there, f" is there | {enough}")
    else:
        short = reader.figure(needed - ready, "volume", 1.15 * near)
        there = line(reader.figure(ready, "volume"), " is there, ", short)
        after = f" short. | {word('screen.join_containers')}"
        yield line("state stop, framed: ", words, " | ", there, after)


def spread(value: float) -> float:
    """Half of the 95 % interval of a poured volume: 2 % of it, 0.05 L at the least."""
    return max(0.02 * value, si("0.05", "L"))


def balance(told: Told) -> tuple[float, float, float] | None:
    """Out less in, and its interval by root sum square; a volume is never below nought."""
    volumes = [told.number(name) for name in STREAMS]
    if any(volume is None for volume in volumes):
        return None
    value = low = high = 0.0
    for name, volume in zip(STREAMS, volumes, strict=True):
        assert volume is not None
        down, up = min(spread(volume), volume), spread(volume)
        if name == "coolant.filled":
            value, down, up = value - volume, up, down
        else:
            value += volume
        low, high = math.hypot(low, down), math.hypot(high, up)
    return value, value - low, value + high


def balance_page(told: Told, reader: Reader) -> Iterator[Line]:
    """Each stream as typed, whether it closes, and the waste."""
    for name in STREAMS:
        typed = told.typed(name)
        if typed is not None:
            yield line(f"table: {word(f'field.{name}')} | {typed}")
    for name, waste in (("coolant.drained", "used_coolant"), ("coolant.spilled", "spilled")):
        volume = told.number(name)
        if volume is not None:
            yield line(f"table: {word(f'waste.{waste}')} | ", reader.figure(volume, "volume"))
    found = balance(told)
    if found is None:
        return
    yield line("state ", balanced(found, reader))


def balanced(found: tuple[float, float, float], reader: Reader) -> Line:
    value, low, high = found
    left = line("Out less in: ", reader.figure(value, "volume"), " (", reader.number(low, "volume"),
                " to ", reader.number(high, "volume"), ", 95 %).")  # fmt: skip
    if low > 0.0 or high < 0.0:
        cause = word(f"misfit.{'air_left' if low > 0.0 else 'uncounted_spill'}")
        return line("stop, framed: ", reader.figure(abs(value), "volume"), f": {cause} | ", left)
    if max(value - low, high - value) <= si("1", "L"):
        return line("done, framed: The balance closes | ", left, f" | {word('screen.closes')}")
    return line("not_measured, framed: Too vague to say | ", left)


def row(told: Told, reader: Reader, name: str) -> Iterator[Line]:
    """A figure that can be typed anew on the page."""
    shown = told.typed(name) or "not measured"
    sign = "done" if told.typed(name) else "not_measured"
    yield line(f"state {sign}, framed: {word(f'field.{name}')} | {shown}")
    yield from reader.pad(told, name)


def recheck_page(told: Told, reader: Reader) -> Iterator[Line]:
    """How far the cold level fell, times its area, against the air that a fill leaves."""
    for name in ("recheck.before", "recheck.after", "watch.area"):
        yield from row(told, reader, name)
    before, after, area = (
        told.number(name) for name in ("recheck.before", "recheck.after", "watch.area")
    )
    if before is None or after is None or area is None:
        return
    fell, how = area * (before - after), told.choice("fill.how")
    most = si({"vacuum": "150", "open_neck": "500"}[str(how)], "mL")
    expected = line(f"{word('screen.level_expected')} ", reader.figure(most, "small_volume"), ".")
    sign, more = ("stop", f" | {word('screen.level_more')}") if fell > most else ("done", "")
    figure = reader.figure(fell, "small_volume")
    yield line(
        f"state {sign}, framed: {word('screen.level_change')} | ", figure, " | ", expected, more
    )


def watch_page(told: Told, reader: Reader) -> Iterator[Line]:
    for name in ("watch.level", "watch.area"):
        yield from row(told, reader, name)
