"""The closed list of what a body does, with the names of what each act is told.

``World.do`` takes these names only. A name that ends in ``?`` may be left out. Pressures are Pa
gauge, volumes litres (as poured from a can), distances m, times s.
"""

from __future__ import annotations

from typing import Final

ACTS: Final[dict[str, tuple[str, ...]]] = {
    # The neck and what is fitted to it.
    "open_neck": (),
    "close_neck": (),
    "fit_tester": ("relief?",),  # a relief valve: true or false; the place's own where left out
    "remove_tester": (),
    "pump_to": ("pressure",),
    "let_off": (),
    "try_relief": (),
    "pull_vacuum": ("pressure",),
    "fill_by_vacuum": ("litres?",),  # what the container holds
    "face_over_neck": (),
    "dip": (),
    # The liquid.
    "drain": (),
    "draw_off": ("litres",),
    "draw_level_for_gas": (),
    "pour_in": ("litres", "strength?"),
    "fill_to": ("where", "strength?"),  # neck, mark
    "dye_in": (),
    "heater_clamped": (),
    "heater_unclamped": (),
    # Parts.
    "loosen": ("part",),
    "take_off": ("part",),
    "put_on": ("part", "renewed?"),
    "tighten": ("part",),
    "wipe": ("part",),
    "blow_dry": ("part",),
    "plugs_out": (),
    "plugs_in": (),
    "top_fluid": (),
    "change_oils": (),
    # Fan, battery, key, engine.
    "unplug_fan": (),
    "plug_fan": (),
    "battery_off": ("negative_first?",),
    "battery_on": (),
    "key_away": (),
    "key_here": (),
    "get_in": ("keeps?",),  # somebody else
    "start_engine": (),
    "stop_engine": (),
    "rev": ("time?",),
    "crank": (),
    "turn_by_hand": (),
    "slip_belt": (),  # by somebody else
    "drive": ("distance", "time"),
    "tow": (),
    "leave_standing": (),
    "move_car": (),
    # A body near the car.
    "reach_near_fan": (),
    "reach_near_belt": (),
    "touch_hot": ("part", "time?"),
    "go_under": (),
    "come_out": (),
    "raise_car": (),
    "jack_only": (),
    "set_stands": (),
    "push_rock": (),
    "lower_car": (),
    "leave_alone": ("time",),
    # The place.
    "open_pan": (),
    "cover_pan": (),
    "pour_away": (),
    "wash_spill": (),
    "close_room": ("room?",),
    "open_air": (),
    # What only a qualified person may open.
    "touch_voltage": ("loop",),
    "isolate_voltage": ("qualified?",),
    "open_refrigerant": ("recovered?",),
    # The end.
    "hand_back": ("said_leaking?",),
}

SENSES: Final = (
    "coolant_temperature", "metal_temperature", "air_temperature", "hose_hard", "hissing", "level",
    "level_missing", "fan_running", "needle", "wet_place", "drip_rate", "coolant_look", "oil_look",
    "fluid_look", "cylinder_wet", "gas_in_coolant", "heater_warm", "strength", "odometer",
    "cap_opens", "pump_weeps", "cabin_fogged", "engine_running", "boiling_heard", "fluid_low",
    "pan_volume", "room_monoxide", "stands_firm", "turns_freely", "sump_look", "drips",
)  # fmt: skip
"""What ``World.sense`` knows."""

TRUTHS: Final = (
    "coolant_temperature", "metal_temperature", "exhaust_temperature", "air_temperature",
    "atmosphere", "pressure", "liquid", "liquid_volume", "gas_volume", "level_missing", "strength",
    "neck_open", "cap_on", "tester_on", "engine_running", "engine_can_start", "fan_running",
    "fan_can_start", "fan_plugged", "battery_on", "key_here", "belt_moving", "raised", "stood",
    "person_under", "cylinder_wet", "cylinder_liquid", "oil_mixed", "voltage_near",
    "voltage_isolated", "parts_off", "open_pan", "air_closed", "carbon_monoxide", "boiling",
    "air_trapped", "trapped_volume", "tray_on", "dye", "leaking", "handed_back", "odometer",
    "leaked", "spilled", "boiled_off", "in_pan", "in_bottle", "in_oil", "in_cabin", "poured",
    "taken_away", "refrigerant_open", "start_liquid", "in_cylinder", "in_fluid", "drawn", "puddle",
    "fluid_short", "engine_fed", "heater_fed",
)  # fmt: skip
"""What ``World.truth`` has: SI, flat."""
