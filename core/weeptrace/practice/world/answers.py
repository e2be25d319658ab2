"""How a person finds the answer to a field: by instruments and eyes, from papers, or freely.

``answers.toml`` lists what is sensed, what is drawn and what is chosen freely; what follows from
what is seen stands here. All figures are typed as a hand types them.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from weeptrace.practice.world.body import Body
from weeptrace.practice.world.world import World
from weeptrace.quantity import from_si

MARK: Final = 20.0  # mm that the cold mark stands above the lower one: own choice
AREA: Final = 1e-2  # m2 of the level in the tank: common practice, about 100 cm2
STROKE: Final = 40e-6  # m3, the technicians' own pump
WARM: Final = 318.15  # K, 45 °C, from which an engine counts as warm: common practice
BLOW: Final = 1050.0  # kg/m3 of a half-strength coolant, cold (common practice)
_BEFORE: Final = 84_000.0  # km on the dashboard as it comes: own choice

_LOOKS: Final = {"oily": "cream"}  # of the coolant, by what is seen in it


@cache
def table() -> dict[str, Any]:
    """The lists of ``answers.toml``."""
    return tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8"))


class Eyes:
    """One person's eyes, instruments and papers at one car; ``given`` are answers so far."""

    def __init__(self, world: World, body: Body, rng: random.Random) -> None:
        self.world, self.body, self.rng = world, body, rng
        self.given: dict[str, str] = {}
        self.dropped: dict[str, str] = {}  # answers that were thought better of, by field
        self.wished: dict[str, list[str]] = {}  # what is chosen where it is free, in turn, by field
        stands = world.car.place.stands and rng.random() < 0.5
        self._raised = "raised" if stands else "on_ground"
        self._chosen: dict[str, Callable[[], str | None]] = {
            "work.where": lambda: "workshop" if world.car.place.closed else "mobile",
            "place.site": self._site,
            "kit.stands": lambda: "have" if world.car.place.stands else "missing",
            "car.raised": lambda: self._raised,
            "arrival.hot": lambda: _yes(self._hottest() > WARM or self._is("hissing")),
            "safe.key": self._key,
            "oil.engine": lambda: (
                "not_here" if world.car.fuel == "none" else self._mixed("oil_look")
            ),
            "oil.transmission": lambda: (
                "not_here" if world.car.car.transmission is None else self._mixed("fluid_look")
            ),
            "car.drive": self._drive,
            "told.high_voltage": lambda: "no" if world.car.drive == "none" else "yes",
            "car.loop": self._loop,
            "car.glycol": lambda: world.car.car.glycol,
            "told.overheated": lambda: "hot" if world.car.arrives > 380.0 else "no",
            "look.oil": lambda: _yes(self._look() in _LOOKS),
            "look.carpet": lambda: _yes(self._wet() == "cabin"),
            "look.screen_film": lambda: _yes(self._is("cabin_fogged")),
            "look.puddle": lambda: _yes(self._wet() is not None),
            "system.pressure_sign": self._pressure,
            "coolant.condition": lambda: _LOOKS.get(self._look(), "clean"),
            "cap.holds": self._cap,
            "hold.level": lambda: self.rng.choice(("to_neck", "to_neck", "as_found")),
            "finding.place": lambda: self._wet() or "not_found",
            "finding.wet_again": self._again,
            "after.old_place": lambda: "wet" if self._wet() else "dry",
            "after.other": self._other,
            "road.look": lambda: "wet" if self._wet() else "dry",
            "engine.air": self._air,
            "test.gas": lambda: "changed" if self._is("gas_in_coolant") else "not_changed",
            "test.cylinders": lambda: "wet" if self._is("cylinder_wet") else "dry",
            "test.turned": lambda: self._turned(),
            "test.sump": self._sump,
            "test.idled": lambda: "drips" if self._is("drips") else "dry",
            "level.put_in": lambda: "more" if self._put_in() > 1e-3 else "little",
            "level.bleed": lambda: self._bleed(),
            "test.result": lambda: "found" if self._wet() else "not_found",
            "drive.oil_mixed": lambda: _yes(world.sense("oil_look") == "milky"),
            "drive.transmission_oil_mixed": lambda: _yes(
                self._look() in _LOOKS or world.sense("fluid_look") == "milky"
            ),
            "drive.coolant_in_cylinder": lambda: _yes(self._is("cylinder_wet")),
            "drive.combustion_gas": lambda: _yes(self._is("gas_in_coolant")),
            "drive.cabin_film": lambda: _yes(self._is("cabin_fogged")),
            "drive.high_voltage_loop": lambda: _yes(world.car.loop in ("inverter", "battery")),
            "repair.kind": self._repair,
            "level.end": self._level_end,
        }
        self._measured: dict[str, Callable[[], tuple[float, str, int]]] = {
            "coolant.temperature": lambda: (from_si(self._hottest(), "°C"), "°C", 1),
            "car.capacity": lambda: (self._litres(world.car.car.capacity or 8e-3), "L", 1),
            "car.cap_rating": lambda: (from_si(self._rating(), "kPa"), "kPa", 0),
            "car.odometer": lambda: (_BEFORE + float(world.sense("odometer")) / 1e3, "km", 0),
            "place.altitude": lambda: (world.car.car.altitude, "m", 0),
            **dict.fromkeys(
                ("cold.level", "recheck.before", "recheck.after", "watch.level", "test.level_now",
                 "test.level_later"), self._height),
            **dict.fromkeys(("hold.strokes", "after.strokes", "test.strokes"), self._strokes),
            "coolant.missing_before": self._poured,
            "coolant.filled": self._refilled,
            "level.litres": self._poured,
            "coolant.drained": lambda: (self._litres(body.drained), "L", 1),
            "coolant.spilled": lambda: (self._litres(world.truth()["spilled"]), "L", 1),
            "fill.container": lambda: (self._litres(world.car.place.container), "L", 1),
            "warm.vent": lambda: (52.0 if self._is("heater_warm") else 24.0, "°C", 0),
            "test.caught": self._caught,
        }  # fmt: skip

    # --- what a page asks -------------------------------------------------------------------

    def choose(self, field: str, options: Sequence[str]) -> str:
        """One of the options of a choice, as it is."""
        found = self._chosen[field]() if field in self._chosen else None
        if found is None:
            old = self.dropped.pop(field, None)
            if old is not None and field == "consent.how":
                return "refused"  # who takes a yes back says no
            can = [word for word in table()["free"][field] if word in options and word != old]
            wish = [word for word in self._wish(field) if word in can]
            found = self.rng.choice(wish or can)
        return found if found in options else options[-1]

    def _wish(self, field: str) -> list[str]:
        """The next wish alone; the last one stays."""
        wished = self.wished.get(field, [])
        return [wished.pop(0)] if len(wished) > 1 else wished

    def type(self, field: str) -> tuple[str, str | None]:
        """What is typed for a figure or a line of words, with its unit."""
        lists = table()
        if field in lists["words"]:
            return lists["words"][field], None
        if field in self._measured:
            value, unit, decimals = self._measured[field]()
        elif field in lists["sensed"]:
            what, unit, decimals = lists["sensed"][field]
            value = from_si(float(self.world.sense(what)), unit)
        else:
            low, high, unit, decimals = lists["drawn"][field]
            value = self.rng.uniform(low, high)
        typed = f"{value:.{decimals}f}"
        return "0" if float(typed) == 0.0 else typed, unit

    def stays_down(self) -> None:
        """It did not stand when it was pushed: the job is done on the ground."""
        self._raised = "on_ground"

    def stays_up(self) -> None:
        """It was raised: from then on it is said to be."""
        self._raised = "raised"

    # --- what is seen -----------------------------------------------------------------------

    def _is(self, what: str) -> bool:
        return self.world.sense(what) is True

    def _hottest(self) -> float:
        """K, the higher of thermostat housing and top tank."""
        at = (self.world.sense(f"{what}_temperature") for what in ("metal", "coolant"))
        return max(float(each) for each in at)

    def _mixed(self, what: str) -> str:
        return "mixed" if self.world.sense(what) == "milky" else "clean"

    def _turned(self) -> str:
        if self.world.car.fuel == "none":
            return "not_here"
        return "freely" if self._is("turns_freely") else "stops"

    def _sump(self) -> str:
        if self.world.car.fuel == "none":
            return "not_here"
        return "oil" if self.world.sense("sump_look") == "oil" else "coolant"

    def _bleed(self) -> str:
        """An electric drive does not warm its loop enough at rest, and what leaks is not run."""
        cool = self.world.car.fuel == "none"
        return "tow" if self.body.leaking or cool else "run"

    def _put_in(self) -> float:
        """m3 that was poured in over all, as the page asks; what was drained is no less air."""
        return float(self.world.truth()["poured"])

    def _look(self) -> str:
        return str(self.world.sense("coolant_look"))

    def _wet(self) -> str | None:
        """The zone where it is wet; also what the body then knows of the place."""
        self.body.place = str(self.world.sense("wet_place"))
        for zone, places in table()["zones"].items():
            if self.body.place in places:
                return str(zone)
        return None

    def zone(self, field: str) -> str:
        """Whether a zone is wet."""
        return "wet" if self._wet() == field.partition(".")[2] else "dry"

    def _site(self) -> str:
        ground = "firm_level" if self.world.firm else "soft_or_slope"
        return {"traffic": "road_edge", "storm": "storm"}.get(self.world.site, ground)

    def _key(self) -> str:
        if self.world.truth()["key_here"]:
            return "not_yet"
        return "earth_off" if self.world.car.remote or self._hottest() > WARM else "engine_cold"

    def _drive(self) -> str:
        return "no_high_voltage" if self.world.car.drive == "none" else "high_voltage"

    def _loop(self) -> str:
        loop = self.world.car.loop
        return "engine_or_heater" if loop in ("engine", "heater") else loop

    def _pressure(self) -> str:
        return "under_pressure" if self._is("hose_hard") else "hose_soft"

    def _rating(self) -> float:
        cap = self.world.car.car.cap
        return cap.rating if cap is not None else 110e3

    def _cap(self) -> str:
        return "holds" if float(self.world.sense("cap_opens")) > 0.9 * self._rating() else "falls"

    def _again(self) -> str:
        return "wet" if self._wet() else "dry"

    def _other(self) -> str:
        """Wet anywhere but at the old place, which has its own question."""
        zone = self._wet()
        return "found" if zone and zone != self.given.get("finding.place") else "none"

    def _air(self) -> str | None:
        """What is done so that the exhaust goes out: the doors and the hose are there."""
        return "hose_on_tailpipe" if self.world.truth()["air_closed"] else "outdoors"

    def _repair(self) -> str:
        kind, *parts = table()["repairs"][self.given.get("finding.place", "not_found")]
        mixed = self._look() in _LOOKS and self.world.car.car.transmission is not None
        if kind == "none" and mixed:  # oil in the coolant, and a cooler that it comes from
            kind, parts = "radiator", ["radiator"]
        elif kind == "none" and self.given.get("cap.holds") == "falls":
            kind, parts = "cap", ["cap"]
        if kind == "radiator" and self.world.car.car.transmission is not None:
            kind = "radiator_with_cooler"
        self.body.repaired = tuple(parts)
        return str(kind)

    def _level_end(self) -> str:
        if self.world.sense("level") in ("at_mark", "to_neck"):
            return "at_mark"
        return "towed" if self.given.get("level.end") == "below_mark" else "below_mark"

    def _litres(self, volume: float) -> float:
        return float(from_si(volume, "L"))

    def _height(self) -> tuple[float, str, int]:
        return MARK - 1000.0 * float(self.world.sense("level_missing")) / AREA, "mm", 0

    def _poured(self) -> tuple[float, str, int]:
        return self._litres(self.body.poured), "L", 1

    def _refilled(self) -> tuple[float, str, int]:
        """All that went in since the drain, on whichever visit of the page."""
        poured = self.body.refilled
        return self._litres(self.body.poured if poured is None else poured), "L", 1

    def _caught(self) -> tuple[float, str, int]:
        return 1000.0 * BLOW * float(self.world.sense("drip_rate")) * 900.0, "g", 0

    def _strokes(self) -> tuple[float, str, int]:
        """What was counted while pumping: gas squeezed and hoses given, by strokes of the pump."""
        truth, car = self.world.truth(), self.world.car.car
        rise = max(0.0, float(truth["pressure"]))
        gas = float(truth["gas_volume"]) * rise / float(truth["atmosphere"])
        return max(1.0, round((gas + car.hoses.volume(rise)) / STROKE)), "1", 0


def _yes(so: bool) -> str:
    return "yes" if so else "no"
