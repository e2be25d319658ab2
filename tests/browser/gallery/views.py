"""Views that hold every block and every verdict's shape: fictional, to be looked at."""

from __future__ import annotations

from tests.browser.gallery.pieces import (
    DO,
    EVENT,
    NBSP,
    PICTURE,
    READINGS,
    Json,
    action,
    ledger_row,
    pad,
    plot,
    recorder,
    state,
    title,
    verdict,
    view,
)

READ = action("READ", None, "Stops the time. Type after.", do={"read": pad()})
HOLD_KEYS = [action("Pumped", "pump"), action("Bumped", "bump"), action("End", "stop")]
STOP = action("Stop, refer", "stop", do={"reason": {**EVENT, "kind": "stopped"}})
READ_SO_FAR = "8 of 15" + NBSP + "min"
CANNOT_SEE = [
    {"block": "heading", "text": "This hold cannot see"},
    state("not_measured", "", "a seal that leaks only turning"),
    state("not_measured", "", "a crack that opens only hot"),
    state("not_measured", "", "the return valve in the cap"),
]
TEMPERATURE = pad(
    event={"kind": "fact", "field": "coolant.temperature", "typed": "", "unit": None},
    label="Coolant, by probe", unit="°C", units=["°C", "°F"], division=None, step=1, signed=True,
    last=None, same_as_last=False, hints=["range −40 to 130"],
)  # fmt: skip

VERDICTS = {
    "tight": verdict("tight", ["Tight"], None, "not larger than 0.03", tip=None, hides_below=0.03),
    "no_leak_found": verdict(
        "no_leak_found", ["No leak found", "larger than"], "0.14", hides_below=0.14
    ),
    "seeping": verdict("seeping", ["Seeping"], "0.12", "0.07 to 0.18", tip=0.12, span=[0.07, 0.18]),
    "seeping_or_leaking": verdict(
        "seeping_or_leaking", ["Seeping or leaking"], "0.29", "0.18 to 0.41", tip=0.29,
        span=[0.18, 0.41],
    ),
    "leaking": verdict(
        "leaking", ["Leaking"], "1.7", "1.5 to 1.9, 95" + NBSP + "%", "16 readings at 100 kPa",
        tip=1.7, span=[1.5, 1.9], owner=1.4,
    ),
    "leaking_or_gross": verdict(
        "leaking_or_gross", ["Leaking or gross"], "4.6", "3.1 to 6.4", tip=4.6, span=[3.1, 6.4]
    ),
    "gross": verdict("gross", ["Gross"], None, "more than 5", tip=9, owner=4.5),
    "leak_size_unknown": verdict(
        "leak_size_unknown", ["Leaks, size not known"], None, "stored volume not measured",
        known=False,
    ),
    "too_weak": verdict(
        "too_weak", ["Not sensitive enough"], None, "could miss 0.9; owner says 0.6",
        hides_below=0.9, owner=0.6,
    ),
    "not_judged": verdict(
        "not_judged", ["Not judged"], None, "4 readings, needs 5", known=False
    ),
}  # fmt: skip

VIEWS: dict[str, Json] = {
    "gate": view(
        "gate", 2,
        [
            title("Cool-down gate"),
            {"block": "value", "label": "Top tank, by probe, 14:06", "value": "74", "unit": "°C",
             "shape": "stop", "word": "Too hot"},
            {"block": "scale", "low": 20, "high": 90, "major": 10, "minor": 2, "unit": "°C",
             "limit": {"at": 50, "words": "open below"},
             "marks": [{"at": 74, "words": "now", "filled": True}],
             "sentence": "Now 74 °C; open below 50 °C."},
            state("waits", f"Below 50{NBSP}°C at about 14:30", "14:24 to 14:36, bonnet open.",
                  "The phone beeps. Do other work."),
            state("not_measured", "Pressure", figure="not measured", framed=True),
        ],
        [action("Did it earlier", "clock", do={"earlier": TEMPERATURE}), STOP],
        action("Measure again", "temperature", do={"pad": TEMPERATURE}),
        "Hot coolant sprays when the cap turns. Leave it shut.",
    ),
    "recorder": view(
        "recorder", 7, [title("Pressure hold", READ_SO_FAR), recorder()], HOLD_KEYS, READ
    ),
    "recorder_practice": view(
        "recorder", 7, [title("Pressure hold", READ_SO_FAR), recorder()], HOLD_KEYS, READ,
        practice=True,
    ),
    "recorder_events": view(
        "recorder", 7,
        [title("Pressure hold", READ_SO_FAR), recorder(plot=plot(
            marks=[{"x": 3.5, "words": "pumped"}, {"x": 12.5, "words": "bumped"}],
            points=[
                {"x": i, "y": p, "kind": ("read", "suspect")[i == 4]}
                for i, p in enumerate(READINGS)
            ]))],
        HOLD_KEYS, READ,
    ),
    "recorder_first": view(
        "recorder", 7,
        [title("Pressure hold"), {"block": "prompt", "text": "Pump to 110 kPa, then READ."},
         recorder(last=None, fall=None, start=None, due=None, plot=None,
                  due_label="The first READ starts the time")],
        [action("Pumped", "pump")], READ,
    ),
    "inline_pad": view(
        "capacity", 4,
        [title("Cooling system", "2 of 7"),
         {"block": "prompt", "text": "Read the coolant's temperature at the tank."}, TEMPERATURE],
        [action("Not measured", "not_measured")], None,
    ),
    "inline_pad_caution": view(
        "capacity", 4,
        [title("Cooling system", "2 of 7"),
         {"block": "prompt", "text": "Read the coolant's temperature at the tank."}, TEMPERATURE],
        [action("Not measured", "not_measured")], None,
        "Hot coolant sprays. Keep it shut until cold.", level="warning",
    ),
    "ledger": view(
        "teardown", 5,
        [title("What comes off", "2 off"),
         {"block": "ledger", "rows": [
             {"off": "off", "on": "to_do", "now": False, "word": "Upper hose",
              "lines": ["Off", "tray, left", "10:31"], "do": None,
              "more": [action("Where it lies"), action("Picture", "camera")]},
             {"off": "to_do", "on": "waits", "now": True, "word": "Fan connector",
              "lines": ["Disconnected"], "do": DO, "more": []},
             {"off": "to_do", "on": "on", "now": False, "word": "Under-tray",
              "lines": ["Off", "10:02"], "do": None, "more": []},
         ]},
         {"block": "photo", "photos": [{"id": "erased-one", "caption": "Upper hose"}]}],
        [action("Stays on"), action("Nothing more")], None,
    ),
    "mix": view(
        "mix", 17,
        [
            title(f"Mix 4.30{NBSP}L in one jug", f"to 50{NBSP}%"),
            {"block": "picture", "picture": "tank", "high": 7.6, "major": 2, "unit": "L",
             "parts": [
                 {"amount": 3.3, "pattern": "hatched", "value": f"3.30{NBSP}L", "word": "stays in",
                  "sub": f"residual, measured 35{NBSP}%"},
                 {"amount": 2.65, "pattern": "solid", "value": f"2.65{NBSP}L",
                  "word": "concentrate", "sub": "ethylene, from the label"},
                 {"amount": 1.65, "pattern": "dotted", "value": f"1.65{NBSP}L", "word": "water",
                  "sub": "deionised"},
             ],
             "sentence": "3.30 L stay in, then 2.65 L concentrate, then 1.65 L water."},
            {"block": "heading", "text": "Freeze point, ethylene, within 2 K"},
            {"block": "scale", "low": -46, "high": 2, "major": 10, "minor": 1, "unit": "°C",
             "limit": None,
             "marks": [
                 {"at": -37, "words": "after −37", "filled": True, "from": -39, "to": -35},
                 {"at": -20, "words": f"now −20{NBSP}°C", "filled": False}],
             "sentence": "After -37 °C, now -20 °C."},
            state("not_measured", "", "Premix alone ends at 43.5 %."),
        ],
        [action("What I have", "jug"), action("Measure again", "undo")],
        action(f"Mixed, 4.30{NBSP}L"), "Poison. Lid on the jug.",
    ),
    "choice": view(
        "choice", 3,
        [
            title("Where is it wet", "3 of 9"),
            {"block": "prompt", "text": "Choose the highest wet place."},
            {"block": "choice", "rows": [
                {"label": "Upper hose", "sub": "at the clamp", "chosen": False, "do": DO},
                {"label": "Radiator, left tank", "sub": "", "chosen": True, "do": DO},
                {"label": "Water pump", "sub": "below the shaft", "chosen": False, "do": DO},
                {"label": "Not reachable", "sub": "", "chosen": False, "do": DO},
            ]},
        ],
        [action("Not measured", "not_measured")], None,
    ),
    "text": view(
        "text", 1,
        [
            title("The owner's words", "1 of 4"),
            {"block": "prompt", "text": "Type what the owner says, as it is said."},
            {"block": "text", "event": {**EVENT, "field": "owner.words"}, "label": "Complaint",
             "longest": 140, "store": "Store"},
        ],
        [], None,
    ),
    "ledger_off": view(
        "ledger_off", 13,
        [
            title("What comes off", "2 off"),
            {"block": "prompt", "text": "Take off in this order. Say where it lies."},
            {"block": "ledger", "rows": [
                ledger_row("Under-tray", "9 screws, bag 1", "14:12", off="off", more=[
                    action("Where"), action("Picture", "camera", do={"photo": PICTURE})]),
                ledger_row("Latch", "2 bolts M8, scribed", "14:20", off="off", more=[
                    action("Where"), action("Picture", "camera", do={"photo": PICTURE})]),
                ledger_row("Air guides", "clips", on="waits", now=True, do=DO),
                ledger_row("Fan connector", "plug", on="waits", do=DO),
                ledger_row("Shroud", "left on", on="waits"),
            ]},
        ],
        [action("Stays on"), action("A part of your own", "plus"), action("Nothing more")],
        action("Clips out: Air guides"),
    ),
    "ledger_on": view(
        "ledger_on", 15,
        [
            title("Goes back on", "4 of 9 on"),
            {"block": "ledger", "rows": [
                *[ledger_row(part, "bolts", at, on="on") for part, at in (
                    ("Radiator", "15:12"), ("Condenser", "15:20"),
                    ("Transmission cooler lines", "15:34"), ("Hoses", "15:41"))],
                ledger_row("Shroud", "4 screws M6, tray cell 3", off="off", now=True, do=DO),
                ledger_row("Fan connector", "tied up, left", "needed to run", off="off", do=DO),
                ledger_row("Air guides", "6 clips, bag 2", off="off", do=DO),
                ledger_row("Latch", "2 bolts M8, scribed", off="off", do=DO),
                ledger_row("Under-tray", "9 screws, bag 1", off="off", do=DO),
            ]},
        ],
        [action("Picture", "camera", do={"photo": PICTURE}), action("Undo hoses on", "undo")],
        action("Shroud is on"),
    ),
    "photo": view(
        "photo", 9,
        [
            title("Picture of it wet"),
            {"block": "prompt", "text": "Take one picture of the wet place."},
            {"block": "photo", "photos": [
                {"id": "before", "caption": "before, 10:31"},
                {"id": "after", "caption": "after, 10:44"}]},
        ],
        [action("Not measured", "not_measured")],
        action("Take the picture", "camera", do={"photo": PICTURE}),
    ),
    "bars": view(
        "bars", 9,
        [
            title("Find it", "4 known"),
            {"block": "bars", "sentence": "Most likely: seam of the tank, 62 %", "rows": [
                {"label": "Seam of the tank", "figure": "62 %", "share": 0.62, "solid": True,
                 "sub": "proven", "do": {"look": "find.cause.seam"}},
                {"label": "Hose end", "figure": "21 %", "share": 0.21, "solid": False,
                 "sub": "crust above it", "do": {"look": "find.cause.hose"}},
            ]},
        ],
        [action("Questions", "search")], action("Next test", None, do={"look": "find.test.cap"}),
    ),
    "signature": view(
        "signature", 9,
        [
            title("Signature", "12 of 12"),
            {"block": "prompt", "text": "Hand the phone over. The owner signs with a finger."},
            {"block": "table", "heads": [],
             "rows": [["Price quoted", "480 EUR"], ["Ceiling agreed", "560 EUR"]], "figures": [1]},
            {"block": "signature", "event": PICTURE, "label": "R. Sand", "store": "Signed"},
        ],
        [action("Not measured", "not_measured")],
        None,
    ),
    "checklist": view(
        "checklist", 6,
        [
            title("Before the hold", "2 of 4 done"),
            {"block": "checklist", "rows": [
                {"shape": "done", "label": "Cap off, cold", "figure": "14:12", "do": None},
                {"shape": "done", "label": "Level at the neck", "figure": "14:13", "do": None},
                {"shape": "to_do", "label": "Fan plug off", "figure": "", "do": DO},
                {"shape": "not_done", "label": "Rear heater", "figure": "not fitted", "do": DO},
            ]},
            {**state("not_done", "Cap seal", "not checked, because it is new", figure="14:15"),
             "do": DO},
            {"block": "heading", "text": "What the hold needs"},
            {"block": "table", "heads": ["", "before", "after"],
             "rows": [["kPa/min", "0.48", "0.01"], ["L/1000 km", "1.7", "0.14"],
                      ["Readings", "16", "16"]], "figures": [1, 2]},
        ],
        [], action("Fit the tester", None, None),
    ),
    "record": view(
        "record", 24,
        [
            title("Hand-over record", "L-014"),
            VERDICTS["no_leak_found"],
            *CANNOT_SEE,
            plot(next=None, now=15),
            {"block": "table", "heads": ["", "before, 10:12", "after, 15:34"],
             "rows": [["Verdict", "leaking", "no leak found"], ["Coolant", "21 °C", "20 °C"]],
             "figures": []},
        ],
        [action("Save", "export", do={"call": "save_record"})],
        action("Print", "print", do={"call": "print"}),
    ),
    "verdict_full": view(
        "verdict", 20,
        [VERDICTS["no_leak_found"], *CANNOT_SEE,
         state(None, "", "Limit after repair 0.15. Reached. Also needs: old place dry, level watch "
               "booked.")],
        [action("Hold 15 min more", "clock", "would show 0.11, ends 16:04")],
        action("Look at the old place"),
    ),
    **{f"verdict_{name}": view(
        "verdict", 7,
        [block, state(None, "Lower mark after about 300 km.",
                      "Hold and owner agree: one leak can explain the loss."),
         state("not_measured", "Place", figure="not found yet", framed=True)],
        [action("Readings", "undo"), STOP], action("Find the place"),
        "Hot metal and exhaust. Fan unplugged, gloves on.") for name, block in VERDICTS.items()},
}  # fmt: skip
