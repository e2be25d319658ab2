"""What the gallery's views are put together from: keys, blocks, a view around them."""

from __future__ import annotations

from typing import Any

from weeptrace.rules import load
from weeptrace.screen.figures import Show
from weeptrace.told import Figure

Json = dict[str, Any]

NBSP = "\N{NO-BREAK SPACE}"
RULES = load()
SHOW = Show(RULES, RULES.unit_sets[0]["units"])
# The words of a text, as a page says them.
say = SHOW.say
PHASES = [phase.id for phase in RULES.procedures["coolant_loss"].phases]

EVENT: Json = {"kind": "done", "field": "gallery", "typed": "", "unit": None}
DO: Json = {"event": EVENT}


def action(label: str, icon: str | None = None, sub: str | None = None, **more: Any) -> Json:
    """A key."""
    return {"label": label, "sub": sub, "icon": icon, "do": DO, **more}


def view(
    step: str, phase: str, blocks: list[Json], keys: list[Json], main: Json | None,
    caution: str | None = None, practice: bool = False, level: str = "caution",
) -> Json:  # fmt: skip
    """A view around blocks."""
    return {
        "job": "01900000-0000-7000-8000-000000000001",
        "practice": practice,
        "bar": {"title": "Larkspur 2.4", "number": "L-014"},
        "edge": {"phases": [say(f"phase.{id}") for id in PHASES], "now": PHASES.index(phase)},
        "step": step,
        "state": {"shape": "now", "word": say("recorder.key.read"), "figure": f"in 0:23{NBSP}min"},
        "rules": "",
        "blocks": blocks,
        "foot": {
            "caution": {"block": "caution", "level": level, "text": caution} if caution else None,
            "keys": keys,
            "main": main,
        },
        "awake": step == "recorder",
        "more": [],
        "open": False,
    }


LOSS = Figure(0.3e-9, "loss_per_distance")


def kpa(pressure: float) -> Figure:
    """A pressure of a sentence."""
    return Figure(1e3 * pressure, "pressure")


def pad(**more: Any) -> Json:
    """A needle's pad."""
    return {
        "block": "pad",
        "event": {"kind": "reading", "field": "hold.pressure", "typed": "", "unit": None},
        "label": say("pad.hold.pressure"),
        "unit": "kPa",
        "units": ["kPa", "bar", "psi"],
        "step": 1,
        "division": 2,
        "signed": False,
        "last": {"typed": "96", "value": 96},
        "same_as_last": True,
        "hints": [
            say("pad_hint.division", division=2.0),
            say("pad_hint.range", low="0", high="160"),
        ],
        **more,
    }


def title(text: str, count: str = "") -> Json:
    """A title."""
    return {"block": "title", "text": text, "count": count}


def state(
    shape: str | None, word: str, *lines: str, figure: str = "", framed: bool = False
) -> Json:
    """A row with a state shape."""
    return {
        "block": "state", "shape": shape, "word": word, "lines": list(lines), "figure": figure,
        "framed": framed,
    }  # fmt: skip


PICTURE: Json = {"kind": "photo", "field": "gallery.picture", "typed": "", "unit": None}


def ledger_row(
    word: str, *lines: str, off: str = "to_do", on: str = "to_do", now: bool = False,
    do: Json | None = None, more: list[Json] | None = None,
) -> Json:  # fmt: skip
    """A part of the ledger."""
    return {
        "off": off, "on": on, "now": now, "word": word, "lines": list(lines), "do": do,
        "more": more or [],
    }  # fmt: skip


READINGS = [100, 99, 99, 99, 98, 98, 98, 97, 96]
FIT = [
    [0, 99.9, 99.3, 100.5], [2, 99.0, 98.5, 99.4], [4, 98.2, 97.9, 98.6], [6, 97.4, 97.0, 97.8],
    [8, 96.6, 95.9, 97.2], [10, 95.7, 94.9, 96.6], [12, 94.9, 93.8, 96.0], [15, 93.6, 92.2, 95.1],
]  # fmt: skip


def plot(**more: Any) -> Json:
    """A hold's plot."""
    return {
        "block": "plot",
        "x": {"low": 0, "high": 15, "labels": [0, 5, 10, 15], "minor": 1, "unit": "min"},
        "y": {"low": 90, "high": 102, "labels": [90, 95, 100], "unit": "kPa"},
        "points": [{"x": i, "y": p, "kind": "read"} for i, p in enumerate(READINGS)],
        "fit": FIT,
        "now": 8.6,
        "limit": {"line": [[0, 100], [15, 98.7]], "words": say("plot.limit", loss=LOSS)},
        "marks": [],
        "next": 9,
        "words": say("plot.fit"),
        "sentence": say("plot.spoken.read", count=9, time="8", first=kpa(100), last=kpa(96)),
        **more,
    }


def recorder(**more: Any) -> Json:
    """A hold under way; the fake engine sets `start` so that 23 s are left."""
    return {
        "block": "recorder",
        "last": {"value": "96", "unit": "kPa", "label": say("recorder.last", time="8:00")},
        "fall": {
            "label": say("recorder.fall"), "value": "0.42", "unit": "kPa/min",
            "interval": "0.29 to 0.54, 95" + NBSP + "%",
        },
        "start": {"at": "2026-11-25T14:00:00.000+01:00", "mono": 0, "boot": "gallery"},
        "due": 540,
        "interval": 60,
        "due_label": say("recorder.next", time="9:00"),
        "call": say("recorder.call", car="Larkspur 2.4"),
        "plot": plot(),
        **more,
    }  # fmt: skip


def verdict(kind: str, figure: str | None, *lines: str, **rule: Any) -> Json:
    """A verdict's plate and its rule."""
    known = rule.pop("known", True)
    return {
        "block": "verdict",
        "verdict": kind,
        "over": say(
            "hold.over_warm", at=kpa(100), time="15:00", warmth=Figure(293.15, "temperature")
        ),
        "head": SHOW.lines(f"verdict.{kind}"),
        "figure": figure,
        "unit": f"L/1000{NBSP}km",
        "lines": list(lines),
        "rule": {
            "low": 0.01, "high": 20, "limits": [0.03, 0.3, 5],
            "words": [say(f"class.{id}") for id in ("tight", "seeping", "leaking", "gross")],
            "tip": None, "span": None, "hides_below": None, "owner": None,
            "under": say("hold.scale", unit=SHOW.loss_unit()), **rule,
        } if known else None,
    }  # fmt: skip
