"""A body at a car: does the acts of a page's entry, one after the other, as its words say.

What stands already as an act would make it is left; what must go before by the nature of things is
done first: nobody pours through a closed neck, or drives off a lift.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from weeptrace.practice.world.acts import ACTS
from weeptrace.practice.world.page import Page
from weeptrace.practice.world.world import World

# State of the car by which an act is done already: (key of the truth, its value).
_DONE: Final[Mapping[str, tuple[str, bool]]] = {
    "open_neck": ("neck_open", True),
    "close_neck": ("cap_on", True),
    "fit_tester": ("tester_on", True),
    "unplug_fan": ("fan_plugged", False),
    "plug_fan": ("fan_plugged", True),
    "battery_off": ("battery_on", False),
    "battery_on": ("battery_on", True),
    "key_away": ("key_here", False),
    "key_here": ("key_here", True),
    "start_engine": ("engine_running", True),
    "stop_engine": ("engine_running", False),
    "go_under": ("raised", False),
    "come_out": ("person_under", False),
    "raise_car": ("raised", True),
    "lower_car": ("raised", False),
    "set_stands": ("raised", False),
    "push_rock": ("raised", False),
    "open_pan": ("open_pan", True),
    "cover_pan": ("open_pan", False),
    "open_air": ("air_closed", False),
}
# What must be so before an act can be done at all, and the act that makes it so.
_FIRST: Final[Mapping[str, tuple[str, ...]]] = {
    "fit_tester": ("open_neck",),
    "close_neck": ("remove_tester",),
    "pull_vacuum": ("remove_tester",),
    "fill_to": ("remove_tester", "open_neck"),
    "pour_in": ("remove_tester", "open_neck"),
    "draw_level_for_gas": ("remove_tester", "open_neck"),
    "start_engine": ("come_out", "battery_on", "key_here", "plugs_in"),
    "drive": ("come_out", "lower_car", "start_engine"),
    "lower_car": ("come_out",),
}
# Acts that nobody takes for done when they were not.
NOTICED: Final = ("start_engine", "drive", "fit_tester", "push_rock", "fill_by_vacuum", "fill_to",
                  "pull_vacuum", "isolate_voltage", "blow_dry", "try_relief")  # fmt: skip
# Where a leak is looked at, and what turns beside it (common practice, of an engine bay).
NEAR_FAN: Final = ("upper_hose", "lower_hose", "radiator", "radiator_front", "radiator_seam",
                   "hose", "clamp", "cap_neck", "thermostat")  # fmt: skip
NEAR_BELT: Final = ("water_pump", "thermostat", "engine_side", "lower_hose")

WARM: Final = 353.15  # K, a gauge in the middle (common practice)
COLD: Final = 313.15  # K, no more than hand-warm (common practice)
LONGEST: Final = 1800.0  # s that anybody lets an engine idle for a test
BLEEDING: Final = 3600.0  # s that anybody waits for the fan
HOT: Final = 363.15  # K, a gauge at its usual height (common practice)
TOO_HOT: Final = 388.15  # K, at which every page says stop
PATIENCE: Final = 43200.0  # s that anybody waits for an engine to cool


class Body:
    """Hands, eyes and patience at one car. ``place`` is where it is wet, as far as is known."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.place = "none"
        self.failed: list[str] = []  # acts of the last words that could not be done
        self.leaking = False  # known to leak, and said so
        self.repaired: tuple[str, ...] = ()
        self.poured = 0.0  # m3 that the last acts put in, and that they caught
        self.caught = 0.0
        self.drained = 0.0  # m3 that the drain gave since it was last filled, on all visits
        self.refilled: float | None = None  # m3 poured in since it was drained, if it was
        self.lids = False  # it was read: keep the lid on, and leave no drip or puddle behind
        self.wipes = False

    def act(self, acts: Sequence[str], page: Page) -> None:
        """Do them in order; figures that an act needs are read on the page."""
        before = self.world.truth()
        self.failed = []
        for each in acts:
            name, *given = each.split()
            self._do(name, dict(pair.split("=", 1) for pair in given), page)
        after = self.world.truth()
        self.poured, self.caught = (
            max(0.0, float(after[key]) - float(before[key])) for key in ("poured", "in_pan")
        )
        if any(each.split()[0] == "drain" for each in acts):
            self.drained = self.caught + (0.0 if self.refilled else self.drained)
            self.refilled = 0.0 if self.caught > 0.0 else self.refilled
        elif self.refilled is not None:
            self.refilled += self.poured

    def _do(self, name: str, given: dict[str, str], page: Page) -> None:
        own = getattr(self, f"_{name}", None)
        if own is not None:
            own(given, page)
            return
        how = self._how(given, page)
        if how is None or self._done(name):
            return
        for first in _FIRST.get(name, ()):
            if not self._done(first):
                self._do(first, {}, page)
        if name == "drive":
            how = {"distance": how["distance"], "time": how.get("time", how["distance"] / 14.0)}
        if name == "take_off" and how["part"] in self._off():
            return
        if name == "put_on":
            if how["part"] != "cap" and how["part"] not in self._off():
                return
            how["renewed"] = how["part"] in self.repaired
        if name == "hand_back":
            how["said_leaking"] = self.leaking
        done = self.world.do(name, **how)
        if not done and name == "unplug_fan":
            self._do("battery_off", {}, page)  # the words offer it; a fan on the belt has no plug
        elif not done and name in NOTICED:
            self.failed.append(name)

    def _off(self) -> tuple[str, ...]:
        return tuple(self.world.truth()["parts_off"])

    def _done(self, name: str) -> bool:
        truth = self.world.truth()
        if name == "plugs_in":
            return "plugs" not in self._off()
        if name == "unplug_fan" and not truth["battery_on"]:
            return True
        if name == "remove_tester":  # a vacuum tool is on where it is neither open nor capped
            return bool(truth["neck_open"] or truth["cap_on"])
        key, value = _DONE.get(name, ("", True))
        if name == "open_neck" and truth["tester_on"]:
            return True
        return bool(key) and bool(truth[key]) is value

    def _how(self, given: dict[str, str], page: Page) -> dict[str, Any] | None:
        """What an act is told; None where there is nothing to do it to."""
        how: dict[str, Any] = {}
        for key, word in given.items():
            if word in ("shown", "between"):
                figures = page.shown(key)
                if not figures:
                    return None
                how[key] = figures[0] if word == "shown" else sum(figures[:2]) / len(figures[:2])
            elif word == "deep":
                how[key] = -0.85 * float(self.world.truth()["atmosphere"])
            elif word == "place":
                if self.place == "none":
                    return None
                how[key] = self.place
            elif word in ("yes", "no"):
                how[key] = word == "yes"
            else:
                how[key] = float(word) if word[0].isdigit() else word
        return how

    # --- acts that take their time ----------------------------------------------------------

    def _wait(self, given: dict[str, str], page: Page) -> None:
        self.world.wait(float(given["time"]))

    def _reach(self, given: dict[str, str], page: Page) -> None:
        """Hands go to the place: what turns beside it is near."""
        if self.place in NEAR_FAN:
            self.world.do("reach_near_fan")
        if self.place in NEAR_BELT:
            self.world.do("reach_near_belt")

    def _until(self, goal: float) -> None:
        """The engine idles until its coolant is so warm."""
        end = self.world.now + LONGEST
        while self.world.now < end and self.warmth() < goal:
            self.world.wait(60.0)

    def _warm_up(self, given: dict[str, str], page: Page) -> None:
        self._until(WARM)

    def _idle_until(self, given: dict[str, str], page: Page) -> None:
        self._until(min(page.shown("temperature"), default=WARM))

    def _cool_down(self, given: dict[str, str], page: Page) -> None:
        """Leave it until it is cold, or until nobody waits any longer."""
        end = self.world.now + PATIENCE
        while self.world.now < end and self.warmth() > COLD:
            self.leave(1800.0)

    def _leave_alone(self, given: dict[str, str], page: Page) -> None:
        self.leave(float(given["time"]))

    def leave(self, seconds: float) -> None:
        """Away from the car. Whoever has read so covers the pan and wipes up the puddle before."""
        if self.wipes:
            self.world.do("wash_spill")
            self.world.do("open_pan")
        if (self.lids or self.wipes) and self.world.truth()["open_pan"]:
            self.world.do("cover_pan")
        self.world.do("leave_alone", time=seconds)

    def _until_fan(self, given: dict[str, str], page: Page) -> None:
        """It idles until the fan runs and the coolant is hot, or too hot, or for long enough."""
        end = self.world.now + BLEEDING
        while self.world.now < end and self.warmth() < TOO_HOT:
            self.world.wait(30.0)
            if self.world.sense("fan_running") and self.warmth() > HOT:
                return

    def _wait_steady(self, given: dict[str, str], page: Page) -> None:
        """Ten minutes with little change of the coolant, or an hour."""
        for _ in range(6):
            before = self.warmth()
            self.world.wait(600.0)
            if abs(self.warmth() - before) < 2.0:
                return

    def warmth(self) -> float:
        """K, by the probe at the top tank."""
        return float(self.world.sense("coolant_temperature"))


def known(acts: Iterable[str]) -> list[str]:
    """The acts that neither a world nor a body knows."""
    names = (each.split()[0] for each in acts)
    return [name for name in names if name not in ACTS and not hasattr(Body, f"_{name}")]
