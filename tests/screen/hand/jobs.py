"""Jobs by chance for the pages: cars, places, testers, typed in whatever units a shop has."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Final

from tests.exact_units import EXACT
from tests.hands import Answer
from tests.logbook import Logbook
from tests.screen.hand.told import out, si
from tests.simulated_car import Car, Kind, draw

# What a hand may type a figure in, and to how many decimals; the units of three kinds of shop.
SHOPS: Final[dict[str, dict[str, tuple[str, int]]]] = {
    "kpa": {"pressure": ("kPa", 1), "volume": ("L", 2), "small": ("mL", 0),
            "temperature": ("°C", 0), "length": ("m", 0), "loss": ("L/1000 km", 2)},
    "bar": {"pressure": ("bar", 3), "volume": ("UK pt", 2), "small": ("mL", 0),
            "temperature": ("°C", 1), "length": ("ft", 0), "loss": ("L/1000 km", 2)},
    "psi": {"pressure": ("psi", 3), "volume": ("US qt", 2), "small": ("L", 4),
            "temperature": ("°F", 0), "length": ("ft", 0), "loss": ("US qt/1000 mi", 2)},
    "old": {"pressure": ("inHg", 2), "volume": ("UK gal", 3), "small": ("mL", 0),
            "temperature": ("°F", 0), "length": ("m", 0), "loss": ("L/1000 km", 3)},
}  # fmt: skip


class Shop:
    """One shop's way of typing."""

    def __init__(self, id: str) -> None:
        self.units = SHOPS[id]

    def types(self, value: float, kind: str) -> Answer:
        """An SI value as it is typed there."""
        unit, decimals = self.units[kind]
        return f"{out(value, unit):.{decimals}f}", unit


def shift_of(typed: Answer) -> float:
    """What was typed, in SI again."""
    number, unit = typed
    assert unit in EXACT
    return si(number, unit)


HOLDS: Final = ("tight", "settling", "seeping", "leaking", "gross", "cooling_leak", "cooling")


def car_of(rng: random.Random, shop: Shop, rating: float) -> dict[str, Answer]:
    """What is known of car, place and tester."""
    return {
        "car.cap_rating": shop.types(rating, "pressure"),
        "car.capacity": shop.types(rng.uniform(4.5e-3, 14e-3), "volume"),
        "car.glycol": (rng.choice(["ethylene", "propylene"]), None),
        "owner.rate": shop.types(rng.choice([0.2e-9, 1e-9, 4e-9]), "loss"),
        "place.altitude": shop.types(rng.choice([-300.0, 0.0, 190.0, 1350.0, 2400.0]), "length"),
        "place.ambient": shop.types(273.15 + rng.uniform(-12.0, 30.0), "temperature"),
        "tester.span": shop.types(2.0 * rating, "pressure"),
        "tester.stroke_volume": shop.types(rng.uniform(25e-6, 60e-6), "small"),
        "cold.level": (rng.choice(["-5", "12", "0"]), "mm"),
        "cold.strength": (f"{rng.randrange(20, 60)}", "%"),
    }


def held(
    seed: int,
    kind: Kind,
    shop_id: str,
    count: int = 16,
    unknown: tuple[str, ...] = (),
    fine: bool = False,
) -> Logbook:
    """A job up to the last reading of its hold; ``unknown`` fields were not measured.

    ``fine``: with a gauge of 0.1 kPa a division.
    """
    rng, shop = random.Random(f"{seed} {kind} {shop_id}"), Shop(shop_id)
    car = draw(rng, kind)
    told = car_of(rng, shop, 1.02 * car.start)
    ambient = shift_of(told["place.ambient"])
    division = shift_of(shop.types(100.0 if fine else rng.choice([0.2e3, 1e3, 2e3]), "pressure"))
    told["tester.division"] = shop.types(division, "pressure")
    told["tester.self_fall"] = shop.types(rng.choice([0.0, 0.0, 0.3]) * division, "pressure")
    log = Logbook()
    log.describe_car()
    for name, (typed, unit) in told.items():
        log.now += 3.0
        if name in unknown:
            log.add("not_done", name)
        else:
            log.add("fact", name, typed, unit)
    log.add("done", "tester.self_seen")
    log.add("done", "fan.off")
    log.add("fact", "coolant.temperature", *shop.types(ambient + rng.uniform(0, 5), "temperature"))
    log.add("fact", "system.pressure_sign", "hose_soft")
    strokes = car.strokes(car.start, shift_of(told["tester.stroke_volume"]))
    log.fit_the_tester(f"{max(strokes, 1.0):.0f}")
    if "hold.strokes" in unknown:
        log.add("not_done", "hold.strokes")
    pump(log, rng, shop, car, division, count)
    return log


def pump(
    log: Logbook, rng: random.Random, shop: Shop, car: Car, division: float, count: int
) -> None:
    """The hold itself: the needle of a simulated car, a minute apart, now and then bumped."""
    times = [60.0 * n for n in range(count)]
    top = 1.019 * car.start
    for n, pressure in enumerate(car.needles(times, division, rng)):
        log.now += 60.0 + rng.choice([0.0, 0.0, 4.0, -3.0])
        log.add("reading", "hold.pressure", *shop.types(min(max(pressure, 0.0), top), "pressure"))
        if n == 9 and rng.random() < 0.3:
            log.now += 1.7
            log.add("mark", rng.choice(["hold.disturbed", "hold.missed", "hold.pumped"]))


def said(log: Logbook, answers: Mapping[str, Answer]) -> None:
    """Figures typed one after the other."""
    for name, (typed, unit) in answers.items():
        log.now += 3.0
        log.add("fact", name, typed, unit)
