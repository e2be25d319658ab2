"""The true state of a job's world, and how time moves it on. ``World`` adds acts and senses."""

from __future__ import annotations

import random
from typing import Final, Literal

from weeptrace.practice.car import Cap, Leak
from weeptrace.practice.warm import opening
from weeptrace.practice.world import harms as bound
from weeptrace.practice.world.cars import BREEZE, WorldCar
from weeptrace.practice.world.circuit import Circuit, filled
from weeptrace.practice.world.harms import Harm, monoxide
from weeptrace.practice.world.heat import (
    EXCHANGE,
    LOAD,
    MANIFOLD,
    MANIFOLD_TIME,
    RAM,
    SOAKS,
    STANDING,
    Warm,
    capacities,
    radiator,
    toward,
    two_lumps,
)
from weeptrace.practice.world.parts import PARTS

PUMP: Final = 0.45  # share of the liquid that the pump's inlet needs: own choice
POCKET: Final = 0.25  # share of the system that trapped air may take before the pump loses its head
STARVED: Final = 0.04  # share of it in the heater, which lies high, before that stays cold
TURNS: Final = {"off": 0.0, "idle": 1.0, "load": 2.5}  # pump speed, of idle: common practice
ELECTRIC: Final = 0.3  # heat of an electric drive, of an engine's: own choice
# CO of an idling petrol engine: 3 g/min (from memory: some g/min cold), 4.4e-5 m3/s at 25 °C.
MONOXIDE_FROM: Final = {"petrol": 4.4e-5, "diesel": 4.4e-6, "none": 0.0}
CHANGES: Final = 0.3 / 3600.0  # 1/s of fresh air through shut doors: own choice
_HOTTEST: Final = 520.0  # K, the end of the vapour equation
_STEPS: Final = {"running": 5.0, "soak": 20.0, "cooling": 90.0, "cold": 600.0}  # s

Neck = Literal["cap", "open", "tester", "vacuum"]


class Scene:
    """Everything that is true, SI. ``now`` s since the car arrived; ``harms`` only grows."""

    def __init__(self, car: WorldCar, seed: int) -> None:
        self.car, self.place = car, car.place
        self.now, self.harms = 0.0, list[Harm]()
        self.rng = random.Random(seed)
        inside = filled(car.car, car.capacity, car.headspace, car.level)
        self.circuit = Circuit(car.car, inside, [], None, None, bottle=0.5 * car.car.reservoir)
        self.start_liquid = self.circuit.liquid + self.circuit.bottle
        self.leaks = list(car.car.leaks)
        self.inflow = car.inflow
        self.botched = car.botched
        self.warm = Warm(car.arrives + (4.0 if car.arrives > 320.0 else 0.0), car.arrives, 0.0)
        self.warm = Warm(self.warm.metal, self.warm.coolant, self.warm.metal)
        self.neck: Neck = "cap"
        self.relief = car.place.relief
        self.load: Literal["off", "idle", "load"] = "off"
        self.speed, self.odometer, self.ran_for, self.dry_for = 0.0, 0.0, 0.0, 0.0
        self.fan, self.fan_plugged, self.battery_on, self.key_here = False, True, True, True
        self.somebody_in = False  # who starts it where the key is at hand
        self.keeps_key = 0.0  # and until when they keep it
        self.battery_off_at = 0.0
        self.parts_off, self.loose = set[str](), set[str]()
        self.new_leak = ""
        self.cylinder, self.oil, self.fluid, self.fluid_short = 0.0, 0.0, 0.0, 0.0
        self.timed = True  # the camshaft stands as the crankshaft asks
        self.oil_mixed, self.gas_seen, self.dye, self.clamped = False, False, False, False
        self.pan: Literal["none", "open", "covered"] = "none"
        self.in_pan, self.puddle, self.poured, self.taken_away = 0.0, 0.0, 0.0, 0.0
        self.wet: dict[str, float] = {}
        self.closed, self.firm, self.monoxide = car.place.closed, car.place.firm, 0.0
        self.site = car.place.site
        self.room = car.place.room
        self.support: Literal["none", "jack", "stands"] = "none"
        self.proven, self.under, self.away = False, False, False
        self.isolated, self.refrigerant_open, self.handed_back = False, False, False
        self.towed = False  # onto a truck, and not started since
        self.stays = False  # left standing, and not started since
        self._lasting = set[str]()
        self.circuit.warmed(car.arrives)
        self.seal()
        self.circuit.let_out()

    # --- what follows from the state ---

    @property
    def running(self) -> bool:
        """The engine, or the electric drive, runs."""
        return self.load != "off"

    @property
    def share(self) -> float:
        """How full the circuit is: liquid over what is there at the mark."""
        return self.circuit.liquid / self.car.capacity

    @property
    def pumped(self) -> bool:
        """The pump turns and has liquid before it."""
        pocket = self.circuit.trapped > POCKET * self.car.capacity
        return self.running and self.share > PUMP and not pocket and "belt" not in self.parts_off

    @property
    def heater_fed(self) -> bool:
        """Coolant goes through the heater."""
        high = self.share < 0.8 or self.circuit.trapped > STARVED * self.car.capacity
        return self.pumped and not high and not self.clamped

    @property
    def engine_can_start(self) -> bool:
        """By itself, a hybrid that is ready or one started from afar, or by somebody inside."""
        ready = (self.car.drive != "none" or self.somebody_in) and self.key_here
        return self.battery_on and not self.running and (ready or self.car.remote)

    @property
    def fan_can_start(self) -> bool:
        """The fan can start by itself, now or as the metal's heat soaks in."""
        if self.car.fan == "belt":
            return self.engine_can_start
        timed = self.car.fan == "any_time" and self.fan_plugged and self.battery_on
        return timed or self.fan_starts_soon

    @property
    def fan_starts_soon(self) -> bool:
        """An electric fan may start while its plug is pulled: by the engine, or by its heat."""
        if not (self.fan_plugged and self.battery_on):
            return False
        hot = max(self.warm.coolant, self.warm.metal) >= self.car.engine.fan_off
        after = self.car.fan in ("after_run", "any_time") and hot
        return self.running or self.engine_can_start or after

    @property
    def wet_is_live(self) -> bool:
        """The leak is at a high-voltage part that nobody isolated: what is wet with it is live."""
        at = bool(self.leaks) and not self.new_leak and self.car.part in PARTS
        return at and PARTS[self.car.part].voltage and self.live

    @property
    def live(self) -> bool:
        """The loop that leaks runs through a high-voltage part that nobody isolated."""
        return self.car.voltage_near and not self.isolated

    @property
    def leaking(self) -> bool:
        """The fault, or a new one, is still there."""
        return bool(self.leaks) or self.inflow > 0.0

    @property
    def open_parts(self) -> list[str]:
        """Wet parts that are off or loose."""
        return sorted(p for p in self.parts_off | self.loose if PARTS[p].wet)

    # --- time ---

    def wait(self, seconds: float) -> None:
        """Time passes for this many s: heat, pressure, leak, fans by themselves, level."""
        left = seconds
        while left > 1e-9:
            step = min(left, _STEPS[self._pace()])
            self._pass(step)
            left -= step

    def _pace(self) -> str:
        if self.running:
            return "running"
        if self.warm.metal - self.warm.coolant > 1.0 or self.fan or self.circuit.boiling:
            return "soak"
        pressed = self.leaks and abs(self.circuit.gauge) > 1e3
        warm = abs(self.warm.coolant - self.place.air) > 1.0
        return "cooling" if warm or pressed else "cold"

    def _pass(self, time: float) -> None:
        self.now += time
        capacity = self._heat(time)
        circuit = self.circuit
        circuit.warmed(min(self.warm.coolant, _HOTTEST))
        if self.pumped and opening(self.car.engine, self.warm.coolant) > 0.0:
            circuit.rise(time)
        if self.running:
            self.ran_for += time
            circuit.blown_in(self.inflow * time)
            self.gas_seen = self.gas_seen or self.inflow > 0.0
            self.cylinder = 0.0
        circuit.creep(time)
        circuit.boil(capacity)
        self.fell(circuit.let_out())
        self._leak(time)
        if circuit.state.temperature < self.warm.coolant:
            self.warm = Warm(self.warm.metal, circuit.state.temperature, self.warm.exhaust)
        self.fans()
        self._room(time)
        self._lasts(time)

    def _heat(self, time: float) -> float:
        engine, turns = self.car.engine, TURNS[self.load] if self.pumped else 0.0
        metal, coolant = capacities(engine, self.circuit.liquid)
        loss = engine.loss * BREEZE[self.place.weather]
        air_share = 1.0 if self.fan else self.speed / RAM
        away = radiator(engine, self.warm.coolant, turns or SOAKS * min(self.share, 1.0), air_share)
        exchange = EXCHANGE * turns or STANDING * min(max(self.share, 0.02), 1.0)
        power = LOAD[self.load] * engine.power * (ELECTRIC if self.car.fuel == "none" else 1.0)
        split = metal / (metal + coolant)
        hot, wet = two_lumps(
            (self.warm.metal, self.warm.coolant), (metal, coolant),
            (loss * split, loss * (1.0 - split) + away), exchange, power, self.place.air, time,
        )  # fmt: skip
        pipe = hot if self.car.fuel == "none" or not self.running else MANIFOLD[self.load]
        exhaust = toward(self.warm.exhaust, max(pipe, hot), time, MANIFOLD_TIME)
        self.warm = Warm(hot, wet, exhaust)
        return coolant

    def _leak(self, time: float) -> None:
        outside = "pan" if self.pan != "none" else "leaked"
        goes = self.car.goes
        into = outside if goes == "outside" or self.new_leak else goes
        gone = self.circuit.leak(time, TURNS[self.load], into)
        if gone <= 0.0:
            return
        where = self.new_leak or self.car.part
        self.wet[where] = self.wet.get(where, 0.0) + gone
        self.in_pan += gone if into == "pan" else 0.0
        self.puddle += gone if into == "leaked" else 0.0
        self.cylinder += gone if into == "cylinder" and not self.running else 0.0
        self.oil += gone if into == "oil" else 0.0
        self.fluid += gone if into == "fluid" else 0.0
        pumped = self.neck == "tester" and self.circuit.gauge > bound.SPRAY
        self.lasts("shocked", "pressed_out", pumped and self.live and into == outside)
        hot = self.warm.exhaust > bound.AUTOIGNITION and self.car.near_exhaust
        self.lasts("glycol_fire", "dripped_on_exhaust", hot and self.running)

    def fans(self) -> None:
        """The fan goes on or off by itself, as the engine, its switch and its plug have it."""
        engine, at = self.car.engine, self.warm.coolant
        if self.car.fan == "belt":
            self.fan = self.running and "belt" not in self.parts_off
        elif self.fan_can_start:
            self.fan = at >= engine.fan_on or (self.fan and at >= engine.fan_off)
        else:
            self.fan = False

    def _room(self, time: float) -> None:
        if not self.closed or self.speed > 0.0:
            self.monoxide = 0.0
            return
        source = MONOXIDE_FROM[self.car.fuel] * LOAD[self.load]
        room = self.room
        self.monoxide = monoxide(self.monoxide, source, CHANGES * room, room, time)

    def _lasts(self, time: float) -> None:
        circuit, running = self.circuit, self.running
        dry = running and not self.pumped
        self.dry_for = self.dry_for + time if dry else 0.0
        self.oil_mixed = self.oil_mixed or (running and self.oil + self.fluid > 0.0)
        boils = circuit.liquid > 0.0 and circuit.boiling and self.warm.coolant > bound.BOILS
        self.lasts("overheated", "boils", running and boils)
        self.lasts("overheated", "metal", running and self.warm.metal > bound.HEAD)
        self.lasts("run_dry", "pump", self.dry_for > bound.DRY_TIME)
        self.lasts("oil_spoilt", "mixed", running and self.oil + self.fluid > bound.SPOILT)
        cracks = running and self.clamped and self.warm.coolant > bound.CRACKS
        self.lasts("over_pressured", "clamped_pipe", cracks)
        self.lasts("gassed", "room", self.monoxide > bound.MONOXIDE and not self.away)
        self.pressed()

    def pressed(self) -> None:
        """Whether the weakest part is over its rating."""
        over = self.circuit.gauge > bound.OVER * self.car.weakest
        self.lasts("over_pressured", "weakest_part", over)

    # --- harms ---

    def hurt(self, kind: str, why: str) -> None:
        """A harm happens now."""
        self.harms.append(Harm(self.now, kind, why))

    def lasts(self, kind: str, why: str, so: bool) -> None:
        """A harm that begins when it becomes so, and counts once while it lasts."""
        key = f"{kind} {why}"
        if so and key not in self._lasting:
            self.hurt(kind, why)
        (self._lasting.add if so else self._lasting.discard)(key)

    def opens_hot(self, why: str) -> None:
        """Whoever opens the circuit now is sprayed where it is hot and pressed, or boils up."""
        hot = self.warm.coolant > bound.SCALD
        flash = self.circuit.vapour > self.car.car.atmosphere and self.circuit.liquid > 0.0
        if (hot and self.circuit.gauge > bound.SPRAY) or flash:
            self.hurt("sprayed", why)
            self.spills_hot()

    def spills_hot(self) -> None:
        """Coolant gets onto the exhaust manifold."""
        if self.warm.exhaust > bound.AUTOIGNITION and self.circuit.state.strength > 0.0:
            self.hurt("glycol_fire", "spilled_on_exhaust")

    def hands_in(self) -> None:
        """Hands are among what turns: fan, belt and pulleys lie within a sleeve of each other."""
        self.at_work()
        if self.fan or self.fan_can_start:
            self.hurt("caught", "fan")
        if self.running or self.engine_can_start:
            self.hurt("caught", "belt")

    def at_work(self) -> None:
        """Somebody works at the car, bent over it or under it, where it stands."""
        unsafe = self.site != "safe"
        self.lasts("struck", "lightning" if self.site == "storm" else "traffic", unsafe)

    def wet_hands(self) -> None:
        """Hands are in the coolant: it carries the voltage of a part that it drips on."""
        if self.wet_is_live:
            self.hurt("shocked", "wet_with_it")

    def fell(self, volume: float) -> None:
        """``volume`` m3 ran over: into the pan under the car, else on the ground."""
        if self.pan == "none":
            self.puddle += volume
            return
        self.circuit.went["spilled"] = self.circuit.went.get("spilled", 0.0) - volume
        self.in_pan += volume

    # --- how it is closed ---

    def seal(self) -> None:
        """Open or closed, by neck and parts; which leaks are there."""
        circuit = self.circuit
        circuit.leaks = [] if self.clamped and self.car.fault == "heater_core" else self.leaks
        if self.neck == "open" or self.open_parts:
            self.fell(circuit.opened())
            return
        cap = self.car.car.cap or Cap(self.car.weakest)
        if self.neck == "cap":
            circuit.closed(cap.opening, cap.returns)
        else:
            held = self.neck == "tester" and self.relief
            circuit.closed(self.car.weakest if held else None, None)

    def repaired(self, part: str, botched: bool) -> None:
        """The fault at a ``part`` is mended, but for a ``botched`` new joint."""
        self.leaks, self.inflow, self.new_leak = [], 0.0, ""
        if botched:
            self.leaks = [Leak("", 2e-6 / 60.0)]  # 2 mL/min at 100 kPa: own choice
            self.new_leak = part
        self.seal()
