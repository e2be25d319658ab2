"""What the trade knows of fields by name: the one table that is not taken from the rules.

The oracle must not learn what is dangerous from the rules that it judges, or a rule deleted there
would be forgotten here too. So the danger of answering a field stands here a second time. Common
practice; the burn figures follow Moritz & Henriques 1947 (60 °C burns in 3 to 5 s, from memory).
A field that a new step asks, and that can hurt, gets a line here.
"""

from __future__ import annotations

import re
from typing import Final

COLD_BELOW: Final = 323.15  # K, 50 °C
EVIDENCE_AGE: Final = 20.0 * 60.0  # s

TEMPERATURE: Final = "coolant.temperature"
SIGN: Final = "system.pressure_sign"
PRESSING: Final = "under_pressure"
CONSENT: Final = "consent.how"
REFUSED: Final = "refused"
FILLED: Final = "coolant.filled"
LEVEL: Final = "level.end"
# Parts with coolant behind them: whatever kind of repair was chosen, it is lost when they come off.
JOINTS: Final = (
    "part.hose", "part.upper_hose", "part.lower_hose", "part.radiator", "part.heater_hoses",
    "part.heater_valve", "part.heater_core", "part.water_pump", "part.tank_hoses",
    "part.reservoir", "part.thermostat_housing", "part.thermostat",
)  # fmt: skip
DRAINED: Final = "coolant.drained"
AIR: Final = "engine.air"
CLOSED_ROOM: Final = "closed_room"
CONDITION: Final = "coolant.condition"
OILY: Final = ("cream", "oil_film")
# Coolant in engine oil or transmission fluid, looked for before any start.
OILS: Final = ("oil.engine", "oil.transmission")
MIXED: Final = "mixed"
TOWED: Final = "tow"
OVERRIDE: Final = ("cream.person", "cream.why")
RAISED: Final = "car.raised"
ON_GROUND: Final = "on_ground"
STANDS: Final = ("stands.set", "stands.pushed", "stands.rocked")
FAN_OFF: Final = ("fan.off",)
# Key away, or earth lead off as well: what keeps an engine from starting with a hand at its belt.
KEY: Final = "safe.key"
KEY_AWAY: Final = ("engine_cold", "earth_off")
FAN_ON: Final = ("fan.on",)
DRIVES_OFF: Final = ("test.level_now",)  # its owner drives it, with what is tested
LEAVES: Final = ("job.closed",)  # the car goes back

OPENS: Final = "hot_coolant"
RUNS: Final = "running_engine"
UNDER_CAR: Final = "under_car"
FAN: Final = "spinning_fan"
NOT_OURS: Final = "not_ours"
HOT: Final = "hot_metal"
DRIVES: Final = "drives_off"
VACUUM: Final = "vacuum_boils"

# The hazard that answering a field brings: the step that asks it must warn of it.
HAZARDS: Final = {
    OPENS: (
        "cold.level", "cap.opening_1", "hold.level", "tester.fitted", "test.fitted", "test.dye_in",
        "test.gas_level",
        "coolant.missing_before", "coolant.drained", "lines.marked", "ledger.off_complete",
        "vacuum.overflow_blocked", "bleed.nose_up", "coolant.filled", "fill.cap_on",
        "after.fitted", "recheck.seen", "finding.level_set", "test.level_set", "after.level_set",
        "test.tester_off", "level.after",
    ),
    "stored_pressure": (
        "tester.self_fall", "cap.holds", "hold.strokes", "test.isolated", "test.steady",
        "after.strokes",
    ),
    "left_alone": ("test.strokes", "test.evening", "test.note_left"),
    "letting_off": ("pressure.released", "test.released", "dry.released", "after.released"),
    "air_in_empty": ("dry.pumped_up",),
    "fan_goes_on": FAN_ON,
    FAN: (*FAN_OFF, "look.crust", "joint.belt", "road.look", "recheck.clamps",
          "zone.cap_neck", "after.other", "joint.home", "joint.plugs_in", "joint.rubbers",
          "off.hidden", "match.hose_shape", "match.pump_bolts", "match.opening_temperature",
          "match.core_size", "drain.covered", "oil.engine", "oil.transmission",
          "test.sump"),
    HOT: ("finding.dried", "finding.wet_again", "after.old_place", "road.look",
          "arrival.cooled"),
    DRIVES: DRIVES_OFF,
    RUNS: ("test.ran", "test.idled", "warm.coolant", "bleed.no_bubbles", "road.driven",
           "finding.ran", "level.ran"),
    UNDER_CAR: ("look.below", "lines.two_wrenches", "transmission.level_at", "ledger.on_complete"),
    VACUUM: ("vacuum.pressure",),
    "airbag": ("airbags.waited",),
    "engine_drops": ("timing.propped",),
    "fan_left_off": LEAVES,
    "cranking": ("test.cylinders", "test.turned"),
    "hot_work": ("broken.method",),
    "spill": ("kit.stands",),
    "poison": (
        "cold.strength", "coolant.condition", "drain.pan", "coolant.residual_strength",
        "coolant.mixed", "recheck.strength", "level.litres", "clean.washed",
    ),
    NOT_OURS: (
        "safe.high_voltage", "high_voltage.isolated", "match.condenser_brackets",
        "match.heater_size",
    ),
}  # fmt: skip
# A hand is at the belt, or turns the engine by it, though the caution is another.
BELT_TOO: Final = ("test.cylinders", "test.turned", "liquid.why", "ledger.off_complete",
                   "ledger.on_complete", "timing.marks", "timing.turned")  # fmt: skip
# A hand is on metal, or a body over a car that came in hot: cool by what was measured.
TOUCHES: Final = ("finding.dried", "arrival.cooled")
# Opens the neck or loads a hose as well, though its caution is another: a phone shows one.
OPENS_TOO: Final = ("cold.strength", "coolant.condition", "recheck.clamps", "recheck.strength")
# Works at an open neck while the engine idles: begun cold, and no hand goes near.
OPEN_AT_IDLE: Final = ("bleed.no_bubbles",)
# Pumps a system up or draws a vacuum in it.
PRESSES: Final = (
    "hold.strokes", "test.isolated", "test.steady", "test.strokes", "test.evening",
    "dry.pumped_up",
    "vacuum.pressure", "after.strokes",
)  # fmt: skip
# Which loop it is: nothing is opened or pressed against high voltage, and unanswered is not no.
DRIVE: Final = "car.drive"
NO_HIGH_VOLTAGE: Final = "no_high_voltage"
TOLD_LIVE: Final = "told.high_voltage"
LOOP: Final = "car.loop"
HARMLESS_LOOP: Final = "engine_or_heater"
LIVE_LOOP_LEAKS: Final = "drive.high_voltage_loop"
MADE_DEAD: Final = ("high_voltage.person", "high_voltage.isolated")
# What shows liquid in a cylinder, or coolant in the sump; a look that finds all dry takes back an
# earlier wet one only.
CYLINDERS: Final = "test.cylinders"
GAS: Final = "test.gas"
TOLD_LIQUID: Final = "drive.coolant_in_cylinder"
TURNED: Final = "test.turned"  # stops hard, with liquid above a piston
SUMP: Final = "test.sump"
BEGUN_BY: Final = dict.fromkeys(
    (CYLINDERS, GAS, TURNED, SUMP), "test.again"
)  # another test keeps what was seen
START_ANYWAY: Final = ("liquid.person", "liquid.why")
# A drive: what closes the car before it in a test, and after a fill or a hold before the road.
ROAD: Final = "road.driven"
KIND: Final = "test.kind"
DYE: Final = "dye"
DECIDED: Final = "drive.decision"
IDLED: Final = "test.idled"  # looked at from outside, with the engine running
DRIPS: Final = "drips"
CLOSED: Final = ("test.cap_on", "test.level_set", "test.tray_on")
TRAY: Final = "road.tray_on"
CLOSES: Final = {"after.fitted": ("after.cap_on", "after.level_set"), "fill.how": ("fill.cap_on",)}
# The engine idles while it is done, though its caution is another.
RUNS_TOO: Final = ("transmission.level_at",)
# A hand goes under the car as well, though its caution is another.
UNDER_TOO: Final = ("coolant.drained", "ledger.off_complete", "joint.plug_tight")
# What shakes or moves a car that stands on stands, or leaves it alone for a night; what was off the
# ground is let down for a road test. After each the stands are looked at again.
MOVES_CAR: Final = re.compile(
    r"car\.moved|engine\.ran|(test|finding)\.ran|test\.(idled|morning|level_now)|warm\.coolant|bleed\.no_bubbles"
    r"|transmission\.level_at|road\.driven|level\.ran|engine\.level_falls|work\.reopened"
)
# Hotter than this no engine runs on, until somebody has said why; common practice.
HOTTEST: Final = ("warm.coolant", "road.hottest")
STOP_ABOVE: Final = 388.15  # K, 115 °C
HAPPENED: Final = "hot.happened"
STANDS_AGE: Final = 12.0 * 3600.0  # s, a working day
KIT_STANDS: Final = "kit.stands"
MISSING: Final = "missing"
# A car that was moved, or a phone that was put away: the engine may stand in another room now.
AIR_UNKNOWN: Final = re.compile(
    r"app\.resumed|car\.moved|road\.driven|test\.(morning|ran|level_now)|work\.reopened"
)
AIR_AGE: Final = 2.0 * 3600.0  # s
# The fan and its leads lie where these hazards send a hand.
NEAR_FAN: Final = (OPENS, FAN, HOT, VACUUM)
# The fan is live again when it was put back, by whatever entry, or when an engine ran, whoever ran
# it. Of a part the word counts too.
FAN_LIVE: Final = re.compile(
    r"fan\.on|engine\.ran|test\.(ran|idled|level_now)|warm\.(coolant|fan_on|fan_off)|bleed\.no_bubbles|finding\.ran|road\.driven"
    r"|level\.ran|engine\.level_falls|part\.(fan_plug|belt) on"
)
# An engine that ran has its key here again; the battery goes on with the fan.
RAN: Final = (
    r"engine\.ran|(test|finding)\.ran|test\.(idled|level_now)|warm\.(coolant|fan_on|fan_off)"
    r"|bleed\.no_bubbles"
    r"|transmission\.level_at|road\.driven|level\.ran|engine\.level_falls"
)
KEY_HERE: Final = re.compile(rf"{RAN}|fan\.on")
# It may be hot again, or nobody knows: the phone was away.
HEATS: Final = re.compile(rf"{RAN}|road\.hottest|test\.cylinders|app\.resumed")
TOUCH_AGE: Final = 12.0 * 3600.0  # s, a working day
FAN_GONE: Final = re.compile(r"fan\.off|part\.fan_plug off")
FAN_AGE: Final = 12.0 * 3600.0  # s, a working day
# Pumping a system up needs the lowest rating in its circuit and the end of the gauge's scale.
RATING: Final = "car.cap_rating"
SPAN: Final = "tester.span"
CAPS: Final = {
    **dict.fromkeys(
        ("hold.strokes", "hold.pressure", "dry.pumped_up", "dry.pressure", "after.strokes",
         "after.pressure", "test.pressure", "test.strokes", "test.evening", "test.morning"),
        (RATING, SPAN),
    ),
    **dict.fromkeys(("cap.opening_1", "cap.opening_2", "cap.opening_3"), (SPAN,)),
}  # fmt: skip
# A needle above the rating is let off first: at once, and to four fifths where nobody watches over
# night. It is above from half a division on; above 1.15 of the rating somebody looks at the car.
RATED: Final = {
    **dict.fromkeys(("hold.pressure", "dry.pressure", "after.pressure", "test.pressure",
                     "test.morning", "over.let_off"), 1.0),
    "test.evening": 0.8,
}  # fmt: skip
DIVISION: Final = "tester.division"
HOLD: Final = "hold.pressure"
AT_ONCE: Final = 120.0  # s in which a gross leak loses half (common practice)
EASED: Final = "over.let_off"
LOOKED: Final = "over.looked"
SOUND_CAP: Final = 1.15
# Of these the pressures, and a lower rating and a shorter scale than a plain course has, Pa.
PRESSURES: Final = ("hold.pressure", "dry.pressure", "after.pressure", "test.pressure",
                    "test.evening", "test.morning", "cap.opening_1", "cap.opening_2",
                    "cap.opening_3")  # fmt: skip
LOW: Final = {RATING: 60e3, SPAN: 50e3}
# A vacuum boils what is warmer than this (water at 40 °C boils at 7 kPa absolute).
VACUUM_BELOW: Final = 313.15  # K, 40 °C
# A heater core lies behind airbags: earth lead off and waited, before any trim comes off.
REPAIR: Final = "repair.kind"
HEATER: Final = "heater_core"
WAITED: Final = "airbags.waited"
TRIM_OFF: Final = ("ledger.off_complete",)
BATTERY_ON: Final = re.compile(rf"{RAN}|fan\.on")
# A timing belt that came off: turned two turns by hand with its marks in line, before a start.
BELT: Final = "belt.kind"
TIMING: Final = "timing"
TIMED: Final = "timing.turned"
# Whatever heats a system, puts pressure on it, or leaves it unwatched undoes an older measurement.
DISTURBS: Final = re.compile(
    r"engine\.(ran|level_falls)|app\.resumed|warm\.(coolant|vent|fan_on|fan_off)"
    r"|(hold|after|dry|test)\.(strokes|pumped_up|pumped|pressure|evening|morning|ran|idled|cylinders|steady"
    r"|isolated|level_now)"
    r"|road\.(driven|hottest)|bleed\.no_bubbles|finding\.ran|transmission\.level_at|level\.ran"
)
# Parts that an engine may run without; every other one must be on.
MAY_BE_OFF: Final = (
    "part.under_tray", "part.air_guides", "part.latch", "part.condenser", "part.trim",
)  # fmt: skip
# The tester is on, or air is in, and what lets off: no job is closed with pressure left in.
LET_OFF: Final = {
    "pressure.released": "tester.fitted", "test.released": "test.fitted",
    "dry.released": "dry.pumped_up", "after.released": "after.fitted",
}  # fmt: skip
# What must follow what was done, before the job is closed.
FOLLOWS: Final = {**LET_OFF, FILLED: DRAINED}
# A result, and the mark by which the same begins anew: the screen of the one offers the other.
BEGINS: Final = {
    "pressure.released": "hold.again", "test.result": "test.again", "test.enough": "test.again",
    "dry.released": "dry.again", "vacuum.seen": "vacuum.again", "after.released": "after.again",
}  # fmt: skip
REOPENED: Final = "work.reopened"  # begins all of it anew, after a late finding
ONLY_LETS_OFF: Final = ("watch_off", "test_off", "dry_off", "after_off")  # steps without a result
# A word that the caution of a hazard must say.
SAYS: Final = {
    OPENS: "Hot coolant", FAN: "Unplug it", RUNS: "stay clear", UNDER_CAR: "rock the stands",
    NOT_OURS: "never open", HOT: "Hot metal", DRIVES: "Before it drives",
    "stored_pressure": "rating", "left_alone": "Overnight not above",
    "letting_off": "Release slowly",
    "fan_goes_on": "Hands and tools out", "air_in_empty": "Hand pump only",
    "airbag": "battery off", "engine_drops": "Never under",
    "poison": "Poison", "spill": "Cover it", "cranking": "Do not crank",
    "hot_work": "away from heat", "unagreed": "yes", VACUUM: "boils",
    "fan_left_off": "Reconnect it", "raising": "Nobody under it",
}  # fmt: skip
# The neck: what opens it or leaves a tester on it, and what says that its cap is on and locked.
NECK_OPENED: Final = (
    "cold.level", "cold.strength", "coolant.condition", "cap.opening_1", "hold.level",
    "tester.fitted", "pressure.released", "pressure.level_set", "finding.level_set",
    "test.fitted", "test.level_set", "test.gas_level", "dry.pumped_up", "vacuum.pressure",
    "bleed.nose_up", "bleed.no_bubbles", "coolant.filled", "coolant.missing_before",
    "after.fitted", "after.released", "after.level_set", "recheck.seen", "recheck.strength",
    "part.cap off",
)  # fmt: skip
NECK_CLOSED: Final = (
    "pressure.cap_on", "finding.cap_on", "test.cap_on", "test.tester_off", "test.dye_in",
    "fill.cap_on", "after.cap_on", "level.end", "level.after", "part.cap on", "cap.how replaced",
)  # fmt: skip
# Brim-full for a hold, or drawn down for a gas test: put back before the engine heats it closed.
LEVEL_MOVED: Final = (
    "hold.level", "after.fitted", "test.gas_level", "bleed.no_bubbles", "coolant.filled",
    "coolant.drained", "engine.level_falls",
)  # fmt: skip
LEVEL_SET: Final = (
    "pressure.level_set", "finding.level_set", "test.level_set", "after.level_set",
    "test.tester_off", "test.dye_in", "fill.cap_on", "recheck.seen", "coolant.missing_before",
    "level.end at_mark", "level.after",
)  # fmt: skip
# What is out, on, off or up for a look, and what puts it back: it does not run, drive or leave so.
OUT_AND_BACK: Final = {
    "plugs": (("test.cylinders", "liquid.why"), ("test.plugs_in",)),
    "clamps": (("test.isolated",), ("test.clamps_off",)),
    "tray": (("look.below", "part.under_tray off"),
             ("test.tray_on", "road.tray_on", "part.under_tray on", "hand.tools_out done")),
    "car": (("car.raised raised",), ("car.raised on_ground",)),
}  # fmt: skip
PUT_BACK: Final = {
    "neck": (NECK_OPENED, NECK_CLOSED), "level": (LEVEL_MOVED, LEVEL_SET), **OUT_AND_BACK,
}  # fmt: skip
NOT_TO_RUN: Final = ("plugs",)
# An engine that runs with its neck not closed: at the neck on purpose, or under a tester that can
# let off by itself, and never brim-full.
GAS_TEST: Final = "gas"
WARM_HOLD: Final = "warm_hold"
RELIEF: Final = ("test.relief_works", "test.level_set")
# Where work begins only on firm, level ground.
SITE: Final = "place.site"
FIRM: Final = "firm_level"
ON_SITE: Final = ("kit.seen",)
# Takes something off, or lets the coolant out: only with the owner's consent, within the ceiling.
TAKES_OFF: Final = ("coolant.drained", "lines.marked", "ledger.off_complete")
TOTAL: Final = "quote.total"
CEILINGS: Final = ("quote.ceiling_new", "quote.ceiling", "quote.total")  # the first that is known
ADDED: Final = ("extra", "broken")  # .price and .how of each, begun anew by .found
# Fields of circuits that nobody opens here: they may be looked at and ticked, never taken off.
NEVER_OPENED: Final = re.compile(r"refrigerant|air_con|high_voltage|orange|inverter|battery_loop")
# Verdicts that say how small a leak is: none without readings.
FINDS_NO_LEAK: Final = ("no_leak_found", "tight", "seeping")

# What this table tells apart beside the rules: so that a search keeps it apart too, whatever the
# rules have forgotten. Words, numbers, fields; a computed name stands for what it is made of.
APART: Final[dict[str, tuple[float | str, ...]]] = {
    TEMPERATURE: (COLD_BELOW, VACUUM_BELOW), SIGN: (PRESSING,), CONSENT: (REFUSED,),
    CONDITION: OILY,
    REPAIR: (HEATER,), BELT: (TIMING,),
    KEY: KEY_AWAY, **dict.fromkeys(OILS, (MIXED,)),
    RAISED: (ON_GROUND,), SITE: (FIRM,), AIR: (CLOSED_ROOM,), KIT_STANDS: (MISSING,),
    **{f"{kin}.how": (REFUSED,) for kin in ADDED}, **CAPS,
    EASED: (RATING, SPAN),
    **dict.fromkeys(HOTTEST, (STOP_ABOVE,)),
    "quote.over": (), DRIVE: (NO_HIGH_VOLTAGE,), LOOP: (HARMLESS_LOOP,), TOLD_LIVE: ("yes",),
    LIVE_LOOP_LEAKS: ("yes",), CYLINDERS: ("wet", "dry"), GAS: ("changed",), TURNED: ("stops",),
    SUMP: ("coolant",), IDLED: (DRIPS,), TOLD_LIQUID: ("yes",),
}  # fmt: skip
