"""Parts of the car, by name: what each holds, how low it is, what a hand touches there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal


@dataclass(frozen=True)
class Part:
    """One part. ``stays``: share of the liquid that stays in when it is off; 1 where it is dry.

    ``touch``: whose temperature a hand meets. ``turning``: fan, belt or pulleys are within a sleeve
    of it (common practice). ``voltage``: at a loop of the drive. Shares: common practice, a drain
    takes about two thirds.
    """

    stays: float = 1.0
    touch: Literal["coolant", "metal", "exhaust", "air"] = "air"
    turning: bool = False
    voltage: bool = False

    @property
    def wet(self) -> bool:
        """It holds coolant."""
        return self.stays < 1.0


PARTS: Final[dict[str, Part]] = {
    "upper_hose": Part(0.60, "coolant", True),
    "lower_hose": Part(0.20, "coolant", True),
    "heater_hose": Part(0.55, "coolant", True),
    "hose": Part(0.30, "coolant", True),
    "clamp": Part(0.30, "coolant", True),
    "radiator": Part(0.35, "coolant", True),
    "heater_core": Part(0.60, "coolant"),
    "water_pump": Part(0.25, "coolant", True),
    "thermostat": Part(0.60, "coolant", True),
    "reservoir": Part(0.90, "coolant", True),
    "drain_plug": Part(0.33, "coolant"),
    "head": Part(0.40, "metal", True),
    "head_gasket": Part(0.40, "metal", True),
    "inverter_hose": Part(0.50, "coolant", voltage=True),
    "battery_cooler": Part(0.40, "coolant", voltage=True),
    "block": Part(1.0, "metal"),
    "exhaust": Part(1.0, "exhaust"),
    "plugs": Part(1.0, "metal", True),
    "cylinder": Part(1.0, "metal", True),
    "cap": Part(1.0, "coolant", True),
    "fan": Part(1.0, "air", True),
    "belt": Part(1.0, "air", True),
    "trim": Part(),
    "tray": Part(),
    "cover": Part(),
    "wheel": Part(),
    "carpet": Part(),
    "ground": Part(),
}
LOOPS: Final = ("engine", "heater", "inverter", "battery")
