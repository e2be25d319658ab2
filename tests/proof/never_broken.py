"""The rules that are never broken, as compiled, against the table of the trade."""

from __future__ import annotations

from typing import Final

from tests.proof import invariants
from tests.proof.offered import Told
from tests.proof.trade import (
    AIR,
    CONDITION,
    CONSENT,
    DRIVE,
    DRIVES,
    FAN,
    FILLED,
    HOT,
    KEY,
    LOOP,
    MADE_DEAD,
    NOT_OURS,
    OILS,
    OPENS,
    OVERRIDE,
    RATED,
    RATING,
    RUNS,
    SITE,
    STANDS,
    START_ANYWAY,
    TIMED,
    UNDER_CAR,
    VACUUM,
    WAITED,
)
from weeptrace.rules import Rules

# Acts that open a loop; that bring a hand to what turns; that press a loop without opening it; that
# start an engine.
OPENING: Final = (
    "open_system", "take_sample", "pour_dye", "unclamp_hose", "turn_clamp", "pinch_hose",
)  # fmt: skip
BY_HAND: Final = (
    "reach_near_fan", "reach_near_belt", "touch_hot_metal", "look_near_hot", "turn_by_hand",
)  # fmt: skip
PRESSING_IT: Final = ("pump_up", "pump_air", "evacuate", "leave_alone", "stand_by_pressure")
AT_IDLE: Final = "idle_open_neck"
STARTING: Final = ("start_engine", "run_under_tester", AT_IDLE, "drive_off")

# The rules that are never broken: words, the entry of never.toml, the mark, what it must name as
# its keepers, and the invariants that prove it.
NEVER_BROKEN: Final = (
    ("opened only cold, without pressure", "open_only_cold", "hard",
     (*OPENING, "cold", OPENS),
     ("opens_cold",)),
    ("not measured stays not measured", "unmeasured_is_not_measured", "hard",
     ("screen.not_measured", "verdict.no_leak_found"), ("no_number_from_nothing",)),
    ("never above the lowest rating", "never_above_the_rating", "hard",
     (*RATED, RATING, "stored_pressure", "left_alone", "test.relief_works",
      "test.child_safe", "test.note_left"),
     ("caps_known", "under_the_scale", "lets_off")),
    ("fans are live until off", "fans_are_live", "hard",
     (*OPENING, *BY_HAND, "evacuate", "pump_air", "key_away", "fan_safe", FAN, KEY, "fan.off"),
     ("fan_off", "key_away")),
    ("stands before anybody goes under", "stands_before_under", "hard",
     ("go_under", "stands", UNDER_CAR, *STANDS),
     ("on_stands",)),
    ("refrigerant, high voltage: look", "refrigerant_and_high_voltage", "hard",
     (*OPENING, *PRESSING_IT, AT_IDLE, NOT_OURS, "high_voltage", DRIVE, LOOP, "safe.high_voltage",
      *MADE_DEAD),
     ("never_opened", "isolated")),
    ("cream bars the engine", "cream_stops_the_engine", "override",
     (*STARTING, "no_cream", RUNS, CONDITION, *OILS, *OVERRIDE), ("ready_to_run",)),
    ("mixed oil goes by tow", "mixed_oil_goes_by_tow", "override",
     ("hand_back", "oil_goes", *OVERRIDE), ("oil_goes",)),
    ("liquid bars the engine", "no_liquid", "override",
     (*STARTING, "no_liquid", RUNS, *START_ANYWAY), ("no_liquid",)),
    ("no drive that is not fit", "no_drive_unfit", "hard",
     ("test_closed", "road_closed", "not_gross", "fan_back", DRIVES),
     ("fit_to_drive", "after_gross", "fan_back")),
    ("no hand on hot metal", "metal_only_cool", "hard",
     ("touch_hot_metal", "lean_over_hot", AT_IDLE, "cool_metal", HOT), ("touches_cool",)),
    ("closed, at its mark, no clamps", "closed_before_heat", "hard",
     ("start_engine", "drive_off", "drive_road", "hand_back", "closed_up", RUNS, DRIVES),
     ("put_back",)),
    ("a tester that lets off", "tester_lets_off", "hard",
     ("run_under_tester", "under_tester", RUNS, "test.relief_works"), ("put_back",)),
    ("whole before it runs", "whole_before_it_runs", "hard",
     (*STARTING, "ready_to_run", RUNS, FILLED, TIMED), ("ready_to_run", "filled_up", "timed")),
    ("a vacuum only on cold coolant", "vacuum_only_cold", "hard",
     ("evacuate", "cold_for_vacuum", VACUUM), ("cold_for_vacuum",)),
    ("no live airbag behind the trim", "airbags_dead", "hard",
     ("take_trim_off", "airbags", "airbag", WAITED), ("airbags_dead",)),
    ("the ground decides", "ground_decides", "hard",
     ("work_at_site", "site", "spill", SITE), ("firm_ground",)),
    ("leaves on its wheels", "leaves_on_its_wheels", "hard",
     ("hand_back", "on_wheels", "fan_left_off"), ("put_back",)),
    ("glycol is poison", "poison", "hard", ("poison",), ("warned",)),
    ("engine in open air or extraction", "open_air", "hard",
     (*STARTING[:-1], "open_air", RUNS, AIR), ("open_air",)),
    ("stop, refer at every gate", "stop_refer", "hard", ("screen.stop_refer",), ("stop_offered",)),
    ("nothing comes off without a yes", "consent_first", "hard",
     ("take_off_agreed", "agreed", "unagreed", "consent.who", CONSENT, "extra.who", "extra.how"),
     ("consented",)),
)  # fmt: skip
PROVEN = {check.__name__ for check in invariants.ALL}


def never_broken(rules: Rules) -> Told:
    """What one of them lacks: the entry, its mark, one of its keepers, or its proof."""
    for words, id, mark, keepers, proofs in NEVER_BROKEN:
        entry = rules.never.get(id)
        if entry is None:
            return f"{words}: there is no {id}"
        if entry.rule != mark:
            return f"{words}: {id} is {entry.rule}, not {mark}"
        kept = {
            *entry.acts, *entry.gates, *entry.hazards, *entry.capped, *entry.asked, *entry.texts,
            entry.person, entry.why,
        }  # fmt: skip
        if lacking := [name for name in keepers if name not in kept]:
            return f"{words}: {id} is not kept by {', '.join(lacking)}"
        if unproved := set(proofs) - PROVEN:
            return f"{words}: nothing proves {', '.join(unproved)}"
    return None
