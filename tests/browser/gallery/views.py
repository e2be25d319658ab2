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
    say,
    state,
    title,
    verdict,
    view,
)
from weeptrace.told import Figure


def litres(volume: float) -> Figure:
    """A volume of a sentence."""
    return Figure(1e-3 * volume, "volume")


def sure(low: str, high: str) -> str:
    """The line of an interval, L/1000 km."""
    ends = {"low": Figure(1e-9 * float(low), "loss_per_distance"),
            "high": Figure(1e-9 * float(high), "loss_per_distance")}  # fmt: skip
    return say("hold.sure", **ends)


READ = action(say("recorder.key.read"), None, say("recorder.read_then"), do={"read": pad()})
HOLD_KEYS = [
    action(say("recorder.key.pumped"), "pump"),
    action(say("recorder.key.disturbed"), "bump"),
    action(say("recorder.key.ended"), "stop"),
]
STOP = action(say("screen.stop_refer"), "stop", do={"reason": {**EVENT, "kind": "stopped"}})
READ_SO_FAR = say("recorder.minutes", done=8, all=15)
CANNOT_SEE = [
    {"block": "heading", "text": say("screen.cannot_see")},
    state("not_measured", "", say("cannot_see.turning")),
    state("not_measured", "", say("cannot_see.hot")),
    state("not_measured", "", say("cannot_see.cap")),
]
TEMPERATURE = pad(
    event={"kind": "fact", "field": "coolant.temperature", "typed": "", "unit": None},
    label=say("field.coolant.temperature"), unit="°C", units=["°C", "°F"], division=None,
    step=1, signed=True,
    last=None, same_as_last=False, hints=[say("pad_hint.range", low="−40", high="130")],
)  # fmt: skip

VERDICTS = {
    "tight": verdict("tight", "0.03", hides_below=0.03),
    "no_leak_found": verdict("no_leak_found", "0.14", hides_below=0.14),
    "seeping": verdict("seeping", "0.12", sure("0.07", "0.18"), tip=0.12, span=[0.07, 0.18]),
    "seeping_or_leaking": verdict(
        "seeping_or_leaking", "0.29", sure("0.18", "0.41"), tip=0.29, span=[0.18, 0.41]
    ),
    "leaking": verdict(
        "leaking", "1.7", sure("1.5", "1.9"), "1.3 mL/min (1.1 to 1.5)", tip=1.7, span=[1.5, 1.9],
        owner=1.4,
    ),
    "leaking_or_gross": verdict(
        "leaking_or_gross", "4.6", sure("3.1", "6.4"), tip=4.6, span=[3.1, 6.4]
    ),
    "gross": verdict("gross", None, say("hold.half_lost"), tip=9, owner=4.5),
    "leak_size_unknown": verdict("leak_size_unknown", None, say("hold.strokes"), known=False),
    "too_weak": verdict("too_weak", "0.9", say("hold.too_coarse"), hides_below=0.9, owner=0.6),
    "not_judged": verdict(
        "not_judged", None, say("reason.hold.too_few_readings", readings=5.0), known=False
    ),
}  # fmt: skip

VIEWS: dict[str, Json] = {
    "gate": view(
        "gate", "cool_down",
        [
            title(say("gate.cold.title")),
            {"block": "value", "label": say("record.line.timed",
             words=say("field.coolant.temperature"), time="14:06"), "value": "74", "unit": "°C",
             "shape": "stop", "word": say("shut.unmet.temperature")},
            {"block": "scale", "low": 20, "high": 90, "major": 10, "minor": 2, "unit": "°C",
             "limit": {"at": 50, "words": say("shut.open_below")},
             "marks": [{"at": 74, "words": say("shut.now"), "filled": True}],
             "sentence": say("shut.now_below", value="74 °C", limit="50 °C")},
            state("waits", say("shut.below_at", limit=f"50{NBSP}°C", at="14:30"),
                  say("shut.between", low="14:24", high="14:36"), say("shut.other_work")),
            state("not_measured", say("field.system.pressure_sign"),
             figure=say("shut.not_measured"), framed=True),
        ],
        [action(say("screen.earlier"), "clock", do={"earlier": TEMPERATURE}), STOP],
        action(say("shut.again"), "temperature", do={"pad": TEMPERATURE}),
        say("caution.hot_coolant"),
    ),
    "recorder": view(
        "recorder", "hold", [title(say("step.hold_readings.title"), READ_SO_FAR), recorder()],
         HOLD_KEYS, READ
    ),
    "recorder_practice": view(
        "recorder", "hold", [title(say("step.hold_readings.title"), READ_SO_FAR), recorder()],
         HOLD_KEYS, READ,
        practice=True,
    ),
    "recorder_events": view(
        "recorder", "hold",
        [title(say("step.hold_readings.title"), READ_SO_FAR), recorder(plot=plot(
            marks=[{"x": 3.5, "words": say("plot.mark.pumped")},
             {"x": 12.5, "words": say("plot.mark.disturbed")}],
            points=[
                {"x": i, "y": p, "kind": ("read", "suspect")[i == 4]}
                for i, p in enumerate(READINGS)
            ]))],
        HOLD_KEYS, READ,
    ),
    "recorder_first": view(
        "recorder", "hold",
        [title(say("step.hold_readings.title")),
         {"block": "prompt", "text": say("step.hold_readings.prompt")},
         recorder(last=None, fall=None, start=None, due=None, plot=None,
                  due_label=say("recorder.first"))],
        [action(say("recorder.key.pumped"), "pump")], READ,
    ),
    "inline_pad": view(
        "capacity", "intake",
        [title(say("step.ambient.title"), say("answer.count", done=2, all=7)),
         {"block": "prompt", "text": say("step.ambient.prompt")}, TEMPERATURE],
        [action(say("screen.not_measured"), "not_measured")], None,
    ),
    "inline_pad_caution": view(
        "capacity", "intake",
        [title(say("step.ambient.title"), say("answer.count", done=2, all=7)),
         {"block": "prompt", "text": say("step.ambient.prompt")}, TEMPERATURE],
        [action(say("screen.not_measured"), "not_measured")], None,
        say("caution.hot_coolant"), level="warning",
    ),
    "ledger": view(
        "teardown", "off",
        [title(say("step.teardown.title"), say("ledger.off", done=2)),
         {"block": "ledger", "rows": [
             {"off": "off", "on": "to_do", "now": False, "word": say("field.part.upper_hose"),
              "lines": [say("comes.off"), "tray, left", "10:31"], "do": None,
              "more": [action(say("screen.where")), action(say("screen.photo"), "camera")]},
             {"off": "to_do", "on": "waits", "now": True, "word": say("field.part.fan_plug"),
              "lines": [say("comes.disconnected")], "do": DO, "more": []},
             {"off": "to_do", "on": "on", "now": False, "word": say("field.part.under_tray"),
              "lines": [say("comes.off"), "10:02"], "do": None, "more": []},
         ]},
         {"block": "photo", "photos": [{"id": "erased-one",
          "caption": say("field.part.upper_hose")}]}],
        [action(say("screen.stays_on")), action(say("step.teardown.main"))], None,
    ),
    "mix": view(
        "mix", "mix",
        [
            title(say("mix.title", volume=litres(4.3)), say("mix.to", share=Figure(0.5, "ratio"))),
            {"block": "picture", "picture": "tank", "high": 7.6, "major": 2, "unit": "L",
             "parts": [
                 {"amount": 3.3, "pattern": "hatched", "value": f"3.30{NBSP}L",
                  "word": say("mix.tank.residual", unit="L").partition(" ")[2],
                  "sub": say("mix.measured", share=f"35{NBSP}%")},
                 {"amount": 2.65, "pattern": "solid", "value": f"2.65{NBSP}L",
                  "word": "concentrate",
                   "sub": say("mix.tank_sub.concentrate", glycol=say("glycol.ethylene"))},
                 {"amount": 1.65, "pattern": "dotted", "value": f"1.65{NBSP}L", "word": "water",
                  "sub": say("mix.tank_sub.water")},
             ],
             "sentence": say("mix.spoken.tank", volume=litres(3.3),
                             amounts=say("mix.amount.concentrate", volume=litres(2.65)))},
            {"block": "heading", "text": say("mix.freeze.heading")},
            {"block": "scale", "low": -46, "high": 2, "major": 10, "minor": 1, "unit": "°C",
             "limit": None,
             "marks": [
                 {"at": -37, "words": say("mix.freeze.after", at=Figure(236.15, "temperature")),
                  "filled": True, "from": -39, "to": -35},
                 {"at": -20, "words": say("mix.freeze.now", at=Figure(253.15, "temperature")),
                  "filled": False}],
             "sentence": say("mix.spoken.freeze", at=Figure(236.15, "temperature"),
                             glycol=say("glycol.ethylene"), within=Figure(2.0, "difference"))},
            state("not_measured", "", say("mix.ends.at", share=f"43.5{NBSP}%")),
        ],
        [action(say("shared.key.change"), "jug"), action(say("shut.again"), "undo")],
        action(say("mix.key.with", main=say("step.mix_plan.main"), volume=litres(4.3))),
        say("caution.poison"),
    ),
    "choice": view(
        "choice", "cause",
        [
            title(say("step.place.title"), say("answer.count", done=3, all=9)),
            {"block": "prompt", "text": say("step.place.prompt")},
            {"block": "choice", "rows": [
                {"label": say("choice.finding.place.upper_hose"), "sub": "at the clamp",
                 "chosen": False, "do": DO},
                {"label": say("choice.finding.place.radiator_seam"), "sub": "", "chosen": True,
                 "do": DO},
                {"label": say("choice.finding.place.water_pump"), "sub": "below the shaft",
                 "chosen": False, "do": DO},
                {"label": say("choice.finding.place.not_found"), "sub": "", "chosen": False,
                 "do": DO},
            ]},
        ],
        [action(say("screen.skip"), "not_measured")], None,
    ),
    "text": view(
        "text", "intake",
        [
            title(say("step.complaint.title"), say("answer.count", done=1, all=4)),
            {"block": "prompt", "text": say("step.complaint.prompt")},
            {"block": "text", "event": {**EVENT, "field": "owner.words"},
             "label": say("field.complaint.words"),
             "longest": 140, "store": say("shared.key.store")},
        ],
        [], None,
    ),
    "ledger_off": view(
        "ledger_off", "off",
        [
            title(say("step.teardown.title"), say("ledger.off", done=2)),
            {"block": "prompt", "text": say("step.teardown.prompt")},
            {"block": "ledger", "rows": [
                ledger_row(say("field.part.under_tray"), "9 screws, bag 1", "14:12", off="off",
                 more=[
                    action(say("screen.where")),
                     action(say("screen.photo"), "camera", do={"photo": PICTURE})]),
                ledger_row(say("field.part.latch"), "2 bolts M8, scribed", "14:20", off="off",
                 more=[
                    action(say("screen.where")),
                     action(say("screen.photo"), "camera", do={"photo": PICTURE})]),
                ledger_row(say("field.part.air_guides"), "clips", on="waits", now=True, do=DO),
                ledger_row(say("field.part.fan_plug"), "plug", on="waits", do=DO),
                ledger_row(say("field.part.fan_shroud"), say("ledger.left_on"), on="waits"),
            ]},
        ],
        [action(say("screen.stays_on")), action(say("screen.own_part"), "plus"),
         action(say("step.teardown.main"))],
        action(say("ledger.comes", how=say("comes.off"), part=say("field.part.air_guides"))),
    ),
    "ledger_on": view(
        "ledger_on", "on",
        [
            title(say("step.reassembly.title"), say("ledger.on", done=4, all=9)),
            {"block": "ledger", "rows": [
                *[ledger_row(part, "bolts", at, on="on") for part, at in (
                    (say("field.part.radiator"), "15:12"), (say("field.part.condenser"), "15:20"),
                    (say("field.part.transmission_lines"), "15:34"),
                     (say("field.part.hose"), "15:41"))],
                ledger_row(say("field.part.fan_shroud"), "4 screws M6, tray cell 3", off="off",
                 now=True, do=DO),
                ledger_row(say("field.part.fan_plug"), "tied up, left",
                 say("screen.needed_to_run"), off="off", do=DO),
                ledger_row(say("field.part.air_guides"), "6 clips, bag 2", off="off", do=DO),
                ledger_row(say("field.part.latch"), "2 bolts M8, scribed", off="off", do=DO),
                ledger_row(say("field.part.under_tray"), "9 screws, bag 1", off="off", do=DO),
            ]},
        ],
        [action(say("screen.photo"), "camera", do={"photo": PICTURE}),
         action(say("shared.key.change"), "undo")],
        action(say("ledger.is_on", part=say("field.part.fan_shroud"))),
    ),
    "photo": view(
        "photo", "cause",
        [
            title(say("step.photo_wet.title")),
            {"block": "prompt", "text": say("step.photo_wet.prompt")},
            {"block": "photo", "photos": [
                {"id": "before", "caption": "before, 10:31"},
                {"id": "after", "caption": "after, 10:44"}]},
        ],
        [action(say("screen.skip"), "not_measured")],
        action(say("step.photo_wet.main"), "camera", do={"photo": PICTURE}),
    ),
    "bars": view(
        "bars", "cause",
        [
            title(say("find.title"), say("find.known", done=4)),
            {"block": "bars", "sentence": say("find.likeliest", cause="seam of the tank",
             share=f"62{NBSP}%"), "rows": [
                {"label": "Seam of the tank", "figure": "62 %", "share": 0.62, "solid": True,
                 "sub": say("find.proven"), "do": {"look": "find.cause.seam"}},
                {"label": "Hose end", "figure": "21 %", "share": 0.21, "solid": False,
                 "sub": "crust above it", "do": {"look": "find.cause.hose"}},
            ]},
        ],
        [action(say("find.asks"), "search")],
         action(say("find.next"), None, do={"look": "find.test.cap"}),
    ),
    "signature": view(
        "signature", "quote",
        [
            title(say("step.consent_signature.title"), say("answer.count", done=12, all=12)),
            {"block": "prompt", "text": say("step.consent_signature.prompt")},
            {"block": "table", "heads": [],
             "rows": [[say("field.quote.total"), "480 EUR"],
                      [say("field.quote.ceiling"), "560 EUR"]], "figures": [1]},
            {"block": "signature", "event": PICTURE, "label": "R. Sand",
             "store": say("step.consent_signature.main")},
        ],
        [action(say("screen.skip"), "not_measured")],
        None,
    ),
    "checklist": view(
        "checklist", "quality",
        [
            title(say("step.vacuum_ready.title"), say("answer.count", done=2, all=4)),
            {"block": "checklist", "rows": [
                {"shape": "done", "label": say("field.vacuum.overflow_blocked"),
                 "figure": "14:12", "do": None},
                {"shape": "done", "label": say("field.vacuum.container_full"), "figure": "14:13",
                 "do": None},
                {"shape": "to_do", "label": say("field.vacuum.line_primed"), "figure": "",
                 "do": DO},
                {"shape": "not_done", "label": say("field.vacuum.heater_open"),
                 "figure": "not fitted", "do": DO},
            ]},
            {**state("not_done", say("field.vacuum.container_high"),
             say("answer.none_why.not_done", why="it is new"), figure="14:15"),
             "do": DO},
            {"block": "heading", "text": say("record.holds")},
            {"block": "table", "heads": ["", say("record.when.before"), say("record.when.after")],
             "rows": [["kPa/min", "0.48", "0.01"], ["L/1000 km", "1.7", "0.14"],
                      [say("record.column.time"), "16", "16"]], "figures": [1, 2]},
        ],
        [], action(say("step.fit_tester.main"), None, None),
    ),
    "record": view(
        "record", "record",
        [
            title(say("step.hand_over.title"), "L-014"),
            VERDICTS["no_leak_found"],
            *CANNOT_SEE,
            plot(next=None, now=15),
            {"block": "table", "heads": ["",
             *(say("record.line.timed", words=say(f"record.when.{id}"), time=at)
                                for id, at in (("before", "10:12"), ("after", "15:34")))],
             "rows": [[say("record.column.verdict"), say("judged.alone.leaking"),
                       say("judged.alone.no_leak_found")],
                      [say("record.coolant"), "21 °C", "20 °C"]],
             "figures": []},
        ],
        [action(say("record.key.save"), "export", do={"call": "save_record"})],
        action(say("record.key.print"), "print", do={"call": "print"}),
    ),
    "verdict_full": view(
        "verdict", "hold",
        [VERDICTS["no_leak_found"], *CANNOT_SEE,
         state(None, say("weighed.side.no_leak_likely"),
               say("weighed.says.weights", leak=f"3{NBSP}%", no_leak=f"97{NBSP}%"))],
        [action(say("hold.key.longer"), "clock", say("weighed.says.more", count=15))],
        action(say("step.after_verdict.main")),
    ),
    **{f"verdict_{name}": view(
        "verdict", "hold",
        [block, state(None, say("weighed.side.leak_very_likely"),
                      say("weighed.says.best", explanation=say("explanation.leak"))),
         state("not_measured", say("hold.row.give"), figure=say("answer.none.not_measured"),
          framed=True)],
        [action(say("shared.key.readings"), "undo"), STOP], action(say("step.hold_verdict.main")),
        say("caution.hot_metal")) for name, block in VERDICTS.items()},
}  # fmt: skip
