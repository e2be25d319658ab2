"""What a body does to parts, fan, battery and engine. Each act says whether it could be done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from weeptrace.practice.acts import part_lines
from weeptrace.practice.world import harms as bound
from weeptrace.practice.world.neck_acts import let_run, open_neck
from weeptrace.practice.world.parts import PARTS
from weeptrace.practice.world.scene import Scene
from weeptrace.practice.world.touch import touched

_HOSES: Final = frozenset({"upper_hose", "lower_hose", "heater_hose", "hose", "clamp"})
_HEAD: Final = frozenset({"head", "head_gasket"})
_AIRBAGS: Final = frozenset({"trim", "heater_core"})  # behind dash and trim
_WORKING: Final = 10.0  # s that a hand stays on a part it works at: own choice
_WIPING: Final = 4.0


def touch_hot(scene: Scene, part: str, time: float = 1.0) -> bool:
    """A bare hand touches a ``part`` for a ``time`` in s."""
    touched(scene, part, time)
    return True


def wipe(scene: Scene, part: str) -> bool:
    """A ``part`` is wiped dry."""
    touched(scene, part, _WIPING)
    scene.wet.pop(part, None)
    return True


def blow_dry(scene: Scene, part: str) -> bool:
    """A ``part`` is blown dry; a cylinder only with its plug out."""
    if part == "cylinder":
        if "plugs" not in scene.parts_off:
            return False
        scene.cylinder = 0.0
    scene.wet.pop(part, None)
    return True


def loosen(scene: Scene, part: str) -> bool:
    """A ``part`` is loosened, and what stands above it runs out."""
    if part == "cap":
        return open_neck(scene)
    if part in scene.loose | scene.parts_off:
        return False
    touched(scene, part, _WORKING)
    scene.loose.add(part)
    if PARTS[part].wet:
        let_run(scene, part)
    scene.seal()
    return True


def take_off(scene: Scene, part: str) -> bool:
    """A ``part`` comes off, and what stands above it runs out."""
    if part == "cap":
        return open_neck(scene)
    if part in scene.parts_off:
        return False
    if part not in scene.loose:
        loosen(scene, part)
    charged = scene.now - scene.battery_off_at < bound.AIRBAGS
    if part in _AIRBAGS and (scene.battery_on or charged):
        scene.hurt("struck", "airbag")
    scene.loose.discard(part)
    scene.parts_off.add(part)
    if part == "radiator":
        scene.fluid_short += part_lines(scene.car.car, plugged=False)
    scene.seal()
    return True


def put_on(scene: Scene, part: str, renewed: bool = True) -> bool:
    """A ``part`` goes on again; ``renewed``: with a sound one, or a sound seal."""
    if part not in scene.parts_off | scene.loose:
        return False
    if PARTS[part].turning:
        scene.hands_in()
    scene.parts_off.discard(part)
    scene.loose.discard(part)
    if renewed and (_same(part, scene.car.part) or part == scene.new_leak):
        botched, scene.botched = scene.botched, False
        scene.repaired(part, botched)
    scene.seal()
    return True


def tighten(scene: Scene, part: str) -> bool:
    """A ``part`` is tightened: a loose clamp, or a joint that was made badly."""
    if PARTS[part].turning:
        scene.hands_in()
    scene.loose.discard(part)
    clamp = scene.car.fault == "hose_clamp" and part in _HOSES and not scene.new_leak
    if clamp or (scene.new_leak and part == scene.new_leak):
        scene.repaired(part, botched=False)
    scene.seal()
    return True


def _same(part: str, other: str) -> bool:
    return part == other or {part, other} <= _HOSES or {part, other} <= _HEAD


def plugs_out(scene: Scene) -> bool:
    """Spark or glow plugs come out."""
    return not scene.running and take_off(scene, "plugs")


def plugs_in(scene: Scene) -> bool:
    """Spark or glow plugs go in."""
    return put_on(scene, "plugs")


def top_fluid(scene: Scene) -> bool:
    """Transmission fluid is topped up to what it lacks."""
    scene.fluid_short = 0.0
    return True


def change_oils(scene: Scene) -> bool:
    """Engine oil and transmission fluid are drained, flushed and filled anew."""
    if scene.running:
        return False
    scene.oil = scene.fluid = 0.0
    scene.oil_mixed = False
    return True


def unplug_fan(scene: Scene) -> bool:
    """The fan's plug, beside its blades, is pulled; a fan on the belt has none."""
    if scene.car.fan == "belt":
        return False
    if scene.fan or scene.fan_starts_soon:
        scene.hurt("caught", "fan")
    scene.fan_plugged = False
    scene.fans()
    return True


def plug_fan(scene: Scene) -> bool:
    """The fan's plug goes in."""
    scene.fan_plugged = True
    scene.fans()
    return True


def battery_off(scene: Scene, negative_first: bool = True) -> bool:
    """The battery is disconnected; the spanner shorts it unless ``negative_first``."""
    if scene.running:
        return False
    if not negative_first and scene.battery_on:
        scene.hurt("battery_shorted", "positive_first")
    if scene.battery_on:
        scene.battery_on, scene.battery_off_at = False, scene.now
    scene.fans()
    return True


def battery_on(scene: Scene) -> bool:
    """The battery is connected."""
    scene.battery_on = True
    return True


def key_away(scene: Scene) -> bool:
    """The key is out of reach of the car, once who sits in it gives it up."""
    if scene.key_here and scene.now < scene.keeps_key:
        return False
    scene.key_here = False
    return True


def get_in(scene: Scene, keeps: float = 0.0) -> bool:
    """Somebody else is in it, who starts it where the key is there, and ``keeps`` that for s."""
    scene.somebody_in, scene.keeps_key = True, scene.now + keeps
    return True


def key_here(scene: Scene) -> bool:
    """The key is at the car."""
    scene.key_here = True
    return True


def start_engine(scene: Scene) -> bool:
    """The engine, or the drive, is started and idles."""
    ready = scene.battery_on and scene.key_here and "plugs" not in scene.parts_off
    if scene.running or not ready or not _turned(scene):
        return False
    shaken(scene, "engine_started")
    scene.load, scene.towed, scene.stays = "idle", False, False
    scene.fans()
    return True


def stop_engine(scene: Scene) -> bool:
    """The engine is stopped."""
    was, scene.load = scene.running, "off"
    scene.fans()
    return was


def rev(scene: Scene, time: float = 5.0) -> bool:
    """The engine is held at speed for a ``time`` in s."""
    if not scene.running:
        return False
    scene.load = "load"
    scene.wait(time)
    scene.load = "idle"
    return True


def crank(scene: Scene) -> bool:
    """The starter turns it without firing; with the plugs out it blows the cylinders empty."""
    if scene.running or not scene.battery_on:
        return False
    if "plugs" in scene.parts_off:
        scene.cylinder = 0.0
        return True
    return _turned(scene)


def turn_by_hand(scene: Scene) -> bool:
    """Turned by a spanner at the crank, two turns; liquid, or a valve, stops it without damage."""
    if scene.running:
        return False
    scene.hands_in()
    scene.timed = True  # turned until the marks are in line
    return "plugs" in scene.parts_off or pressed(scene) < bound.ROD


def pressed(scene: Scene) -> float:
    """Pressure at the end of a stroke, Pa abs, with what is in the cylinder."""
    return bound.compression(
        scene.cylinder, scene.car.swept, scene.car.ratio, scene.car.car.atmosphere
    )


def slip_belt(scene: Scene) -> bool:
    """The timing belt is slackened, and slips some teeth."""
    scene.timed = scene.car.fuel == "none"
    return not scene.timed


def _turned(scene: Scene) -> bool:
    if not scene.timed:
        scene.hurt("valves_bent", "belt_slipped")
        return False
    if scene.car.fuel == "none" or pressed(scene) < bound.ROD:
        return True
    scene.hurt("hydrolocked", "cylinder")
    return False


def shaken(scene: Scene, why: str) -> None:
    """The car is shaken, ``why`` by an id: who is under it is under a car that may fall."""
    if scene.under and scene.support != "none":
        scene.hurt("crushed", why)
    scene.proven = False


def drive(scene: Scene, distance: float, time: float) -> bool:
    """Drive a ``distance`` in m for a ``time`` in s, and stop the engine."""
    if not scene.running and not start_engine(scene):
        return False
    if scene.support != "none":
        scene.hurt("driven_unfit", "raised")
        _falls(scene)
    if scene.parts_off or scene.loose or scene.neck != "cap":
        scene.hurt("driven_unfit", "not_put_together")
    if scene.car.fan != "belt" and not scene.fan_plugged:  # it boils where it stands in traffic
        scene.hurt("driven_unfit", "fan_off")
    _from_the_pan(scene)
    scene.load, scene.speed = "load", distance / time
    scene.wait(time)
    scene.odometer += distance
    scene.speed = 0.0
    return stop_engine(scene)


def tow(scene: Scene) -> bool:
    """Onto a truck, engine off: it leaves so."""
    scene.towed = _moved(scene)
    return scene.towed


def leave_standing(scene: Scene) -> bool:
    """It is left where it stands, engine off: nobody drives it home."""
    scene.stays = not scene.running
    return scene.stays


def move_car(scene: Scene) -> bool:
    """Rolled to firm, level ground, away from traffic; a storm is over by then."""
    scene.firm, scene.site = True, "safe"
    return _moved(scene)


def _moved(scene: Scene) -> bool:
    if scene.support != "none":
        scene.hurt("driven_unfit", "raised")
        _falls(scene)
    _from_the_pan(scene)
    return not scene.running


def _from_the_pan(scene: Scene) -> None:
    """The car leaves the covered pan that stood under it; an open one stays where it is."""
    if scene.pan == "covered":
        scene.taken_away += scene.in_pan
        scene.in_pan, scene.pan = 0.0, "none"


def _falls(scene: Scene) -> None:
    if scene.under:
        scene.hurt("crushed", "fell")
    scene.support, scene.proven = "none", False


DOES: Final[dict[str, Callable[..., bool]]] = {
    each.__name__: each
    for each in (
        touch_hot, wipe, blow_dry, loosen, take_off, put_on, tighten, plugs_out, plugs_in,
        top_fluid, change_oils, unplug_fan, plug_fan, battery_off, battery_on, key_away, key_here,
        get_in, slip_belt, start_engine, stop_engine, rev, crank, turn_by_hand, drive,
        tow, leave_standing, move_car,
    )
}  # fmt: skip
