"""The closed set of blocks that a view is made of: the contract with the shell, as JSON Schema.

A view is plain data. The shell draws it and turns touches into events; it computes nothing and
knows nothing of coolant. All text is final, in the user's units; a number and its unit are joined
by a no-break space. Numbers that the shell places on an axis are in the axis' own unit.
"""

from __future__ import annotations

from typing import Any, Final, get_args

from weeptrace.hold.data import Verdict
from weeptrace.rules.model import LEVELS

Json = dict[str, Any]

TEXT: Final[Json] = {"type": "string"}
NUMBER: Final[Json] = {"type": "number"}
LINES: Final[Json] = {"type": "array", "items": TEXT}

# The seven state shapes, and none.
SHAPE: Final[Json] = {
    "enum": ["done", "now", "to_do", "waits", "not_measured", "not_done", "stop", None]
}


_DEFINED: Final[dict[str, Json]] = {}


def _defined(name: str, schema: Json) -> Json:
    """A schema that stands once and is referred to: what a validator is compiled to stays small."""
    _DEFINED[name] = schema
    return {"$ref": f"#/definitions/{name}"}


def _object(properties: Json, optional: tuple[str, ...] = ()) -> Json:
    schema = {
        "type": "object",
        "properties": properties,
        "required": [key for key in properties if key not in optional],
        "additionalProperties": False,
    }
    return _defined(properties["block"]["const"], schema) if "block" in properties else schema


def _or_none(schema: Json) -> Json:
    return {"oneOf": [schema, {"type": "null"}]}


# What the shell completes with id, device, seq, at, mono, boot and job, and stores.
_EVENT: Final[Json] = _object(
    {
        "kind": TEXT,
        "field": TEXT,
        "typed": TEXT,
        "unit": _or_none(TEXT),
        "supersedes": TEXT,
    },
    optional=("supersedes",),
)
EVENT: Final[Json] = _defined("event", _EVENT)

# A number pad. `event` is the event to store, with `typed` and `unit` left to the hand.
PAD: Final[Json] = _object(
    {
        "block": {"const": "pad"},
        "event": EVENT,
        "label": TEXT,  # over the value: "Needle, to half a division"
        "unit": TEXT,
        "units": LINES,  # the units that the hand may change to; the first is `unit`
        "step": NUMBER,  # of the minus and plus keys, in `unit`
        "division": _or_none(NUMBER),  # of the rule under the value, in `unit`
        "signed": {"type": "boolean"},
        "last": _or_none(_object({"typed": TEXT, "value": NUMBER})),
        "same_as_last": {"type": "boolean"},  # whether the key exists now
        "hints": LINES,  # right of the value: "division 2", "range 0 to 160"
    }
)

_DO: Final[Json] = {
    "oneOf": [
        _object({"event": EVENT}),  # store it
        _object({"read": PAD}),  # freeze the time, then the pad
        _object({"pad": PAD}),  # open the pad
        _object({"earlier": PAD}),  # the pad, after asking how many minutes ago
        _object({"reason": EVENT}),  # ask for a few words first; they become `typed`
        _object({"photo": EVENT}),  # take or choose a picture; its id becomes `typed`
        _object({"erase": TEXT}),  # erase the picture of this id from the phone
        _object({"look": TEXT}),  # another look at the same job: "so_far", "" for the step
        _object({"call": {"enum": ["home", "export", "print", "save_record", "calendar"]}}),
    ]
}
DO: Final[Json] = _defined("do", _DO)

_ACTION: Final[Json] = _object(
    {
        "label": TEXT,
        "sub": _or_none(TEXT),  # a second line under the label
        "icon": _or_none(TEXT),
        "do": DO,
    }
)
ACTION: Final[Json] = _defined("action", _ACTION)

PLOT: Final[Json] = _object(
    {
        "block": {"const": "plot"},
        "x": _object(
            {
                "low": NUMBER,
                "high": NUMBER,
                "labels": {"type": "array", "items": NUMBER},
                "minor": NUMBER,
                "unit": TEXT,
            }
        ),
        "y": _object(
            {
                "low": NUMBER,
                "high": NUMBER,
                "labels": {"type": "array", "items": NUMBER},
                "unit": TEXT,
            }
        ),
        "points": {
            "type": "array",
            "items": _object({"x": NUMBER, "y": NUMBER, "kind": {"enum": ["read", "suspect"]}}),
        },
        # The fit, its 95 % band (low, high), drawn up to `now` solid and ahead of it dotted.
        "fit": {
            "type": "array",
            "items": {"type": "array", "items": NUMBER, "minItems": 4, "maxItems": 4},
        },  # x, y, low, high
        "now": NUMBER,
        "limit": _or_none(
            _object(
                {
                    "line": {"type": "array", "items": {"type": "array", "items": NUMBER}},
                    "words": TEXT,
                }
            )
        ),
        "marks": {"type": "array", "items": _object({"x": NUMBER, "words": TEXT})},
        "next": _or_none(NUMBER),
        "words": TEXT,  # in the plot: "fit, band 95 %"
        "sentence": TEXT,  # for a screen reader
    }
)

SCALE: Final[Json] = _object(
    {
        "block": {"const": "scale"},  # a straight graduated edge
        "low": NUMBER,
        "high": NUMBER,
        "major": NUMBER,
        "minor": NUMBER,
        "unit": TEXT,
        "limit": _or_none(_object({"at": NUMBER, "words": TEXT})),
        # wedge: filled now (dye), open before; `from`/`to` a bar under it
        "marks": {
            "type": "array",
            "items": _object(
                {
                    "at": NUMBER,
                    "words": TEXT,
                    "filled": {"type": "boolean"},
                    "from": NUMBER,
                    "to": NUMBER,
                },
                optional=("from", "to"),
            ),
        },
        "sentence": TEXT,
    }
)

VERDICT: Final[Json] = _object(
    {
        "block": {"const": "verdict"},
        "verdict": {"enum": list(get_args(Verdict))},  # gives the plate its shape
        "over": TEXT,  # small, over the plate: "Hold at 110 kPa, 15 min"
        "head": LINES,  # "No leak found", "larger than"
        "figure": _or_none(TEXT),
        "unit": TEXT,
        "lines": LINES,  # "1.5 to 1.9", "16 readings at 100 kPa"
        # log rule, same unit as the figure; null where no size is known
        "rule": _or_none(
            _object(
                {
                    "low": NUMBER,
                    "high": NUMBER,
                    "limits": {"type": "array", "items": NUMBER},  # between the classes
                    "words": LINES,  # one more than limits: tight, seeping, leaking, gross
                    "tip": _or_none(NUMBER),  # the figure
                    "span": _or_none({"type": "array", "items": NUMBER}),  # its 95 % interval
                    "hides_below": _or_none(NUMBER),  # a leak can hide below this
                    "owner": _or_none(NUMBER),
                    "under": TEXT,
                }
            )
        ),
    }
)

BLOCKS: Final[dict[str, Json]] = {
    "title": _object({"block": {"const": "title"}, "text": TEXT, "count": TEXT}),
    "prompt": _object({"block": {"const": "prompt"}, "text": TEXT}),
    "heading": _object({"block": {"const": "heading"}, "text": TEXT}),
    # A row with a state shape at its left: strong word, plain lines under it, figure at the right.
    # A row with `do` can be pressed.
    "state": _object(
        {"block": {"const": "state"}, "shape": SHAPE, "word": TEXT, "lines": LINES,
         "figure": TEXT, "framed": {"type": "boolean"}, "do": DO,
         "refused": TEXT},  # the id of the entry whose refusal it tells
        optional=("do", "refused"),
    ),
    "value": _object({"block": {"const": "value"}, "label": TEXT, "value": TEXT, "unit": TEXT,
                      "shape": SHAPE, "word": TEXT}),
    "scale": SCALE,
    "pad": PAD,
    "choice": _object({
        "block": {"const": "choice"},
        "rows": {"type": "array", "items": _object(
            {"label": TEXT, "sub": TEXT, "chosen": {"type": "boolean"}, "do": DO})},
    }),
    "text": _object({"block": {"const": "text"}, "event": EVENT, "label": TEXT,
                     "longest": {"type": "integer"}, "store": TEXT}),
    # Chances, each a length of one edge from 0 to 1; solid where it is proved.
    "bars": _object({
        "block": {"const": "bars"},
        "rows": {"type": "array", "items": _object(
            {"label": TEXT, "sub": TEXT, "figure": TEXT, "share": NUMBER,
             "solid": {"type": "boolean"}, "do": DO})},
        "sentence": TEXT,
    }),
    # A place to sign with a finger; the drawing is kept as a picture, its id becomes `typed`.
    "signature": _object({"block": {"const": "signature"}, "event": EVENT, "label": TEXT,
                          "store": TEXT}),
    "checklist": _object({
        "block": {"const": "checklist"},
        "rows": {"type": "array", "items": _object(
            {"shape": SHAPE, "label": TEXT, "figure": TEXT, "do": _or_none(DO)})},
    }),
    "recorder": _object({
        "block": {"const": "recorder"},
        "last": _or_none(_object({"value": TEXT, "unit": TEXT, "label": TEXT})),
        "fall": _or_none(_object({"label": TEXT, "value": TEXT, "unit": TEXT, "interval": TEXT})),
        # the first reading's clock: null before it. Seconds since it: mono in one boot, else wall.
        "start": _or_none(_object({"at": TEXT, "mono": NUMBER, "boot": TEXT})),
        "due": _or_none(NUMBER),  # next reading, seconds since start
        "interval": NUMBER,  # seconds; the countdown rule spans it
        "due_label": TEXT,  # "Next READ at 9:00"
        "call": TEXT,  # said with the call: "Larkspur 2.4: read the needle"
        "plot": _or_none(PLOT),
    }),
    "plot": PLOT,
    "verdict": VERDICT,
    "table": _object({
        "block": {"const": "table"}, "heads": LINES,
        "rows": {"type": "array", "items": LINES},
        "figures": {"type": "array", "items": {"type": "integer"}},  # columns: they end in line
    }),
    "picture": _object({
        "block": {"const": "picture"},
        "picture": {"const": "tank"},  # a graduated column filled from below by patterns
        "high": NUMBER, "major": NUMBER, "unit": TEXT,
        "parts": {"type": "array", "items": _object({  # from the bottom up
            "amount": NUMBER, "pattern": {"enum": ["hatched", "solid", "dotted", "open"]},
            "value": TEXT, "word": TEXT, "sub": TEXT})},
        "sentence": TEXT,
    }),
    # What came off and where it is: OFF at the left edge, ON at the right.
    "ledger": _object({
        "block": {"const": "ledger"},
        "rows": {"type": "array", "items": _object({
            "off": {"enum": ["off", "to_do"]},
            "on": {"enum": ["on", "to_do", "waits"]},
            "now": {"type": "boolean"},  # the next one to act on
            "word": TEXT, "lines": LINES, "do": _or_none(DO), "more": {
                "type": "array", "items": ACTION},
        })},
    }),
    # Pictures that the phone keeps; one that was erased is missing there.
    "photo": _object({
        "block": {"const": "photo"},
        "photos": {"type": "array", "items": _object({"id": TEXT, "caption": TEXT})},
    }),
    "caution": _object({
        "block": {"const": "caution"}, "level": {"enum": list(LEVELS)}, "text": TEXT,
    }),
}  # fmt: skip

VIEW: Final[Json] = _object(
    {
        "job": TEXT,
        "practice": {"type": "boolean"},
        "bar": _object({"title": TEXT, "number": TEXT}),
        "edge": _object({"phases": LINES, "now": {"type": "integer"}}),
        "step": TEXT,
        "state": _object({"shape": SHAPE, "word": TEXT, "figure": TEXT}),  # for the job list
        # Which rules it runs on, where they are not this version's own; else "". For the menu.
        "rules": TEXT,
        "blocks": {"type": "array", "items": {"oneOf": list(BLOCKS.values())}},
        "foot": _object(
            {
                "caution": _or_none(BLOCKS["caution"]),
                "keys": {"type": "array", "items": ACTION},
                "main": _or_none(ACTION),
            }
        ),
        # What may be done at any time; the menu offers it.
        "more": {"type": "array", "items": ACTION},
        # What the shell keeps going while this view stands: the screen on, the next call.
        "awake": {"type": "boolean"},
        # Whether a system stands open or under pressure: no new version takes over then.
        "open": {"type": "boolean"},
    }
) | {"definitions": _DEFINED}
