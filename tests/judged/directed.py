"""A technician whose car is used by somebody else just before a step: told to the phone as it is.

The phone is told by the key of the menu, or by taking back the answer that is no longer so. What
that other person did hurts nobody by the words of a page, so it does not count. Whoever goes on
reads the pages as ever: by the rules as they are, a gate then asks for all of it again.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final

from weeptrace.job.state import EMPTY
from weeptrace.practice.world.player import Player
from weeptrace.practice.world.world import World
from weeptrace.rules import load

RUNS: Final = 1200.0  # s that somebody lets the engine idle: own choice
NIGHT: Final = 14 * 3600.0  # s
ENOUGH: Final = 0.8  # of its coolant, with which somebody starts it


@dataclass(frozen=True)
class Deed:
    """What somebody does: ``acts`` of the world; what that shuts by the rules as they are.

    ``undoes``: the fields whose answers are no longer so, or, of ``gives``, all that give a
    variable that word. ``key``: of the menu, that says so. ``night``: a night passes before, and
    nobody tells the phone.
    """

    gates: tuple[str, ...]
    acts: tuple[str, ...]
    undoes: tuple[str, ...] = ()
    gives: tuple[tuple[str, str], ...] = ()
    key: str = ""
    night: bool = False


# With the doors open: the exhaust of that run goes out. Whoever runs it stays in it.
_IN: Final = ("battery_on", "plug_fan", "key_here", "get_in keeps=60")
_IN_DEAD: Final = ("battery_on", "key_here", "get_in keeps=60")  # its fan stays unplugged
_USED: Final = ("open_air", *_IN, "start_engine", "idle", "stop_engine")
_GARAGE: Final = "close_room room=50"  # m3, of one car: own choice
DEEDS: Final[Mapping[str, Deed]] = {
    "night": Deed(
        ("key_away", "fan_safe", "cold", "cool_metal", "cold_for_vacuum", "airbags", "open_air"),
        (*_USED, _GARAGE), night=True,
    ),
    "night_in": Deed(("key_away", "fan_safe", "airbags"), _IN, night=True),
    "night_jack": Deed(("stands",), ("lower_car", "raise_car"), night=True),
    "night_fan_off": Deed(("fan_back",), ("unplug_fan",), night=True),
    "ran": Deed(
        ("key_away", "fan_safe", "cold", "cool_metal", "cold_for_vacuum", "airbags"),
        _USED, key="engine.ran",
    ),
    "shunted": Deed(("key_away", "fan_safe", "airbags"), (*_IN, "start_engine", "stop_engine"),
                    key="engine.ran"),
    "moved_up": Deed(("stands", "on_wheels"), ("lower_car", "move_car", "raise_car"),
                     key="car.moved"),
    "pushed_in": Deed(("open_air",), ("lower_car", "move_car", _GARAGE), key="car.moved"),
    "tester_on": Deed(("neck_free",), ("open_neck", "fit_tester"), ("pressure.released",),
                      (("neck", "closed"),)),
    "cap_off": Deed(("closed_up", "test_closed", "road_closed"), ("open_neck",),
                    gives=(("neck", "closed"),)),
    "brimful": Deed(("closed_up", "test_closed", "road_closed"),
                    ("open_neck", "fill_to where=neck", "close_neck"),
                    gives=(("level", "at_mark"),)),
    "clamped": Deed(("closed_up",), ("heater_clamped",), gives=(("clamps", "off"),)),
    "plugs_out": Deed(("on_wheels",), ("plugs_out",), gives=(("plugs", "in"),)),
    "tray_off": Deed(("on_wheels", "test_closed", "road_closed"), ("take_off part=tray",),
                     gives=(("tray", "on"),)),
    "belt_slipped": Deed(("ready_to_run",), ("slip_belt",), ("belt.kind",)),
    "night_tester": Deed(("under_tester",), ("no_relief",), night=True),
    "key_back": Deed(("key_away",), ("unplug_fan", *_IN_DEAD), gives=(("key", "away"),)),
    "made_live": Deed(("high_voltage",), ("made_live",), ("high_voltage.isolated",)),
}  # fmt: skip
# What asks for what was taken apart; what says which way the work goes.
BACK: Final = frozenset({"closed_up", "ready_to_run", "on_wheels", "neck_free", "fan_back",
                         "test_closed", "road_closed", "under_tester"})  # fmt: skip
CHOSEN: Final = ("fill.how", "test.enough", "test.kind")
HALF: Final = 0.5
OFTEN: Final = 0.8  # of the pages at which nothing is taken back
_CLOSED_COLD: Final = ("tester_on", "cap_off", "brimful")


@dataclass
class Directed:
    """Before some ``steps`` are read, one deed of those that shut a gate of theirs: each once.

    ``gates``: of each step, those that matter. ``leaves``: what was chosen is also taken back with
    something not put back. ``done``: the deeds, with their steps.
    """

    gates: Mapping[str, frozenset[str]]
    seed: int
    most: int = 3
    done: list[tuple[str, str]] = field(default_factory=list)
    leaves: bool = False
    left: bool = False
    returned: int = 0

    def _leaves(self, player: Player) -> bool:
        """What was chosen to be done is taken back while something of it is not put back."""
        step = player.page.step
        if not self.leaves or self.left or step == player.at or not _not_back(player.world):
            return False
        if not any(BACK & gates for gates in self.gates.values()):
            return False
        chance = random.Random(f"{self.seed}:{step}").random()
        if player.world.running or player.world.under or chance < HALF:
            return False
        undos = _undos(player, CHOSEN)
        if not undos:
            return False
        player.store(undos[-1])
        self.left = True
        self.done.append((f"{undos[-1]['field']} taken back", step))
        return True

    def _returns(self, player: Player) -> bool:
        """What such a step was told is taken back later, as the car stands by then."""
        step, world = player.page.step, player.world
        if step == player.at or step in self.gates or self.returned >= self.most:
            return False
        if world.running or world.under or random.Random(f"{self.seed}:{step}").random() < OFTEN:
            return False
        undos = _undos(player, _told_at(frozenset(self.gates)))
        if not undos:
            return False
        player.store(undos[-1])
        self.returned += 1
        self.done.append((f"{undos[-1]['field']} taken back", step))
        return True

    def __call__(self, player: Player) -> bool:
        """Whether something was done, so that the phone is to be looked at again."""
        step = player.page.step
        if self._leaves(player) or self._returns(player):
            return True
        if step == player.at or step not in self.gates or len(self.done) >= 2 * self.most:
            return False
        if step in {at for _, at in self.done}:
            return False
        rng = random.Random(f"{self.seed}:{step}")
        fit = [name for name, deed in DEEDS.items() if set(deed.gates) & self.gates[step]]
        rng.shuffle(fit)
        if rng.random() < HALF:  # what shuts fewest gates, so that the others stay open
            fit.sort(key=lambda name: len(DEEDS[name].gates))
        else:  # what lets no page come again
            fit.sort(key=lambda name: not DEEDS[name].night and not DEEDS[name].key)
        for name in fit:
            if name == "belt_slipped" and player.eyes.given.get("belt.kind") != "timing":
                continue
            if _can(name, player.world) and _told(DEEDS[name], player):
                _do(DEEDS[name], player)
                self.done.append((name, step))
                player.world.wait(30.0)
                player.judged = len(player.world.harms)
                return True
        return False


def _can(name: str, world: World) -> bool:
    """Whether somebody would do it to the car as it stands."""
    if world.running or world.under:
        return False
    if name in ("ran", "shunted"):
        return _whole(world)
    if name in ("moved_up", "night_jack"):
        return world.place.stands
    if name in _CLOSED_COLD:
        return world.warm.coolant < 313.15 and abs(world.circuit.gauge) < 5e3
    if name == "night_tester":
        return world.neck == "tester" and world.relief and abs(world.circuit.gauge) < 5e3
    if name == "made_live":
        return world.isolated
    if name == "key_back":
        return world.car.fan != "belt" and not world.fan_starts_soon
    if name == "night_fan_off":
        return world.car.fan != "belt"
    return True


def _not_back(world: World) -> bool:
    """Whether something is off, open, clamped or out of it."""
    off = bool(world.parts_off or world.loose) or world.share < ENOUGH
    return off or world.clamped or world.neck != "cap"


def _whole(world: World) -> bool:
    """Whether somebody would start it: nothing off that it needs, and coolant in it."""
    off = world.parts_off - {"tray", "cover", "trim"} | world.loose
    return not off and world.share > ENOUGH and world.cylinder == 0.0 and not world.under


def _told(deed: Deed, player: Player) -> bool:
    """Tell the phone; whether there was anything to tell, or a night that tells by itself."""
    if deed.night:
        player.body.leave(NIGHT)
        player.phone.restart(player.world.now)
        player.store({"kind": "resumed", "field": "app.resumed", "typed": "", "unit": None})
        return True
    if deed.key:
        keys = (key["do"].get("event") for key in player.page.more)
        event = next((each for each in keys if each and each["field"] == deed.key), None)
        if event is None:
            return False
        player.store(event)
        return True
    undos = _undos(player, {*deed.undoes, *_giving(deed)})
    for undo in undos:
        player.store(undo)
    return bool(undos)


def _undos(player: Player, fields: Collection[str]) -> list[Mapping[str, Any]]:
    """What takes the answers to some fields back, as the list of what is stored offers it."""
    offered = (row.get("do", {}).get("event") for row in player.look("so_far").blocks("state"))
    return [each for each in offered if each and each["kind"] == "undo" and each["field"] in fields]


@cache
def _told_at(steps: frozenset[str]) -> frozenset[str]:
    """The fields that some steps ask, check or read."""
    every = load().procedures[EMPTY.procedure].steps
    asked = ((each.asks, each.reads, *each.checks) for each in every if each.id in steps)
    return frozenset(name for names in asked for name in names if name)


def _giving(deed: Deed) -> set[str]:
    """The fields that give a variable one of the deed's words."""
    state = load().state
    return {
        name
        for variable, word in deed.gives
        for name, _, given in state[variable].given
        if given == word
    }


def _do(deed: Deed, player: Player) -> None:
    world = player.world
    for act in deed.acts:
        name, *given = act.split()
        if name == "start_engine" and not _whole(world):
            continue
        if name == "idle":
            if world.running:
                world.wait(RUNS)
        elif name == "made_live":
            world.isolated = False
        elif name == "no_relief":
            world.relief = False
            world.seal()
        else:
            told = (pair.split("=", 1) for pair in given)
            world.do(name, **{key: float(v) if v[0].isdigit() else v for key, v in told})
    if "raise_car" in deed.acts:
        player.eyes.stays_up()
