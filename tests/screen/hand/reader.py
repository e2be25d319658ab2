"""A reader's units: what a figure is in them, and the pad that asks one."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from tests.exact_units import EXACT
from tests.screen.hand.page import Line, Piece, Plain, Shown, Two, line
from tests.screen.hand.told import DECIMALS, FIELDS, LIMITS, SETS, WORDS, Told, out, si, word

SEA: Final = 101325.0  # Pa
_NAMED: Final = re.compile(r"\{([^}]+)\}")


def atmosphere(altitude: float) -> float:
    """Standard pressure at an altitude in m, Pa (ISO 2533:1975: T0 288.15 K, 6.5 K/km, g_n, R)."""
    exponent = 9.80665 / (287.05287 * 0.0065)
    return float(SEA * ((288.15 - 0.0065 * altitude) / 288.15) ** exponent)


@dataclass(frozen=True)
class Reader:
    """One who chose a set of units."""

    id: str

    def unit(self, kind: str) -> str:
        return SETS[self.id][kind]

    def number(self, value: float, kind: str, slack: float = 0.0) -> Shown:
        """An SI value as a figure without its unit; ``slack`` in SI."""
        unit = self.unit(kind)
        room = slack / float(EXACT[unit][1])
        return Shown(out(value, unit), DECIMALS[unit], room)

    def figure(self, value: float, kind: str, slack: float = 0.0) -> list[Piece]:
        """An SI value as a figure with its unit."""
        return [self.number(value, kind, slack), f" {self.unit(kind)}"]

    def limit(self, value: float, kind: str) -> list[Piece]:
        """What must not be passed: never shown higher than it is."""
        unit = self.unit(kind)
        return [Shown(out(value, unit), DECIMALS[unit], down=True), f" {unit}"]

    def text(self, id: str, told: Told) -> Line:
        """A text of the rules with the figures that it names."""
        pieces: list[Piece] = []
        for at, piece in enumerate(_NAMED.split(word(id))):
            if at % 2 == 0:
                pieces.append(piece)
                continue
            names, kind, *down = piece.split(":")
            values = {name: self._named(told, name) for name in names.split(" of ")}
            unknown = next((name for name, each in values.items() if each is None), None)
            value = math.prod(each for each in values.values() if each is not None)
            if unknown is not None:
                pieces.append(f"“{word(f'field.{unknown}')}”")
            elif kind == "difference":
                degrees = value / float(EXACT[self.unit("temperature")][1])
                unit = self.unit("temperature")
                pieces += [Shown(degrees, 0, down=bool(down)), f" {unit}"]
            elif kind in ("long_length", "loss_per_distance"):
                unit = self.unit(kind)
                pieces += [Two(out(value, unit)), f" {unit}"]
            else:
                pieces += self.limit(value, kind) if down else self.figure(value, kind)
        return tuple(pieces)

    def _named(self, told: Told, name: str) -> float | None:
        room, _, limit = name.partition(".")
        return LIMITS[limit] if room == "limit" else told.number(name)

    def loss(self, value: float) -> Two:
        """A loss per distance, to two digits."""
        return Two(out(value, self.unit("loss_per_distance")))

    def plain(self, value: float, kind: str) -> Plain:
        """An SI value as a bare number in the reader's unit."""
        return Plain(out(value, self.unit(kind)))

    def pad(self, told: Told, name: str) -> Iterator[Line]:
        """What the pad of a field says."""
        field, of = FIELDS[name], f"pad of {name}: "
        label = str(WORDS.get(f"pad.{name}") or word(f"field.{name}"))
        if field["kind"] == "count":
            low, high = (float(end) for end in field["range"])
            yield line(of, "step ", Plain(1.0))
            yield line(of, "hint range ", _neat(low), " to ", _neat(high))
            return
        dimension = field["dimension"]
        unit = self.unit(field.get("shown_in", dimension))
        low, high = (si(*end.split(" ", 1)) for end in field["range"])
        for other in field.get("not_above", ()):
            cap = told.number(other)
            high = high if cap is None else min(high, cap)
        if field.get("within_atmosphere"):
            high = min(high, atmosphere(told.number("place.altitude") or 0.0))
        step, division = 10.0 ** -DECIMALS[unit], told.number("tester.division")
        others = [u for u in EXACT if EXACT[u][0] == dimension and u in DECIMALS and u != "1"]
        units = [unit, *(u for u in others if u != unit)]
        yield line(of, f"{label} | {' '.join(units)} | {unit}")
        if field["kind"] == "reading" and dimension == "pressure" and division is not None:
            step = out(division, unit) / 2.0
            yield line(of, "division ", Plain(2.0 * step, 1e-6 + 1e-5 * step))
            yield line(of, "hint division ", Plain(2.0 * step, 1e-6 + 1e-5 * step))
        shown = out(low, unit), out(high, unit)
        yield line(of, "step ", Plain(step, 1e-6))
        rating = told.number(field["rated"]) if "rated" in field else None
        if rating is None:
            yield line(of, "hint range ", _neat(shown[0]), " to ", _top(shown[1]))
        else:  # above it a needle is let off
            yield line(of, "hint rating ", Shown(out(rating, unit), DECIMALS[unit], down=True))


def _top(value: float) -> Shown:
    """The end of a range, never told higher than it is."""
    if abs(value) >= 1000.0:
        return Shown(value, 0, down=True)
    text = f"{math.floor(100.0 * value + 1e-6) / 100.0:.2f}".rstrip("0").rstrip(".")
    return Shown(value, len(text.partition(".")[2]), down=True)


def _neat(value: float) -> Shown:
    """To two decimals, without those that are nought; from a thousand on to none."""
    if abs(value) >= 1000.0:
        return Shown(value, 0, 0.6)
    text = f"{math.ceil(100.0 * value - 1e-6) / 100.0 + 0.0:.2f}".rstrip("0").rstrip(".")
    return Shown(value, len(text.partition(".")[2]), 0.006)
