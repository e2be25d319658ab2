"""The causes room's operation: ranked causes, what is not ruled out, and the next tests."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
)
from weeptrace.quantity import to_si
from weeptrace.refusal import Refusal
from weeptrace.rules import limits, load
from weeptrace.told import Said, Sentence, plain

if TYPE_CHECKING:
    from weeptrace.causes import Knowledge, Observation
    from weeptrace.causes.explain import Reason
    from weeptrace.causes.plan import Proposal

_TEXT: Final[Json] = {"type": "string"}
_CHANCE: Final[Json] = {"type": "number", "minimum": 0, "maximum": 1, "x-share": True}
_WORDS: Final[Json] = {"type": "array", "items": _TEXT}
# The answer to the question that stands beside it.
_ANSWER: Final[Json] = {"type": "string", "x-answers": "finding"}


def _id(table: str) -> Json:
    """An id, which a page shows by its name in a table."""
    return {"type": "string", "x-names": table}


def _ids(table: str) -> Json:
    return {"type": "array", "items": _id(table)}


_FIGURE: Final[Json] = object_schema(
    {
        "value": {"type": "number"},
        "unit": _TEXT,
        "low": {"type": "number"},
        "high": {"type": "number"},
    },
    ["value", "unit"],
) | {"x-interval": True}
_REASON = object_schema(
    {
        "finding": _id("question"),
        "value": _ANSWER,
        "words": _TEXT,
        "strength": {"type": "string", "enum": ["weak", "clear", "strong"]},
        "why": _TEXT,
        "same_sign_as": _ids("question"),
    }
)
_TURN = object_schema(
    {"finding": _id("question"), "value": _ANSWER, "probability": _CHANCE, "leader": _id("cause")}
)
_OUTPUT = object_schema(
    {
        "causes": {
            "type": "array",
            "items": object_schema(
                {
                    "id": _TEXT,
                    "words": _TEXT,
                    "probability": _CHANCE,
                    "zone": _TEXT,
                    "part": _TEXT,
                    "for": {"type": "array", "items": _REASON},
                    "against": {"type": "array", "items": _REASON},
                    "proven": {"type": "boolean"},
                }
            ),
        },
        "more_than_one": _CHANCE,
        "not_ruled_out": {
            "type": "array",
            "items": object_schema(
                {"id": _TEXT, "words": _TEXT, "probability": _CHANCE, "test": _id("test")},
                ["id", "words", "probability"],
            ),
        },
        "masked": {
            "type": "array",
            "items": object_schema({"id": _TEXT, "words": _TEXT, "lacks": _id("feature")}),
        },
        "next_tests": {
            "type": "array",
            "items": object_schema(
                {
                    "id": _TEXT,
                    "words": _TEXT,
                    "role": {
                        "type": "string",
                        "enum": ["decide", "prove", "second_leak", "close", "due", "clears"],
                    },
                    "why": _TEXT,
                    "minutes": {"type": "number"},
                    "gain": quantity_schema("time"),
                    "cost": quantity_schema("time"),
                    "asks": _ids("question"),
                    "hazards": _ids("hazard"),
                    "gates": _ids("gate"),
                    "would_change": _TURN,
                },
                [
                    "id", "words", "role", "why", "minutes", "gain", "cost", "asks", "hazards",
                    "gates",
                ],
            ),
        },
        "enough": {"type": "boolean"},
        "enough_words": _TEXT,
        "contradictions": {
            "type": "array",
            "items": object_schema(
                {"findings": _ids("question"), "recheck": _id("question"), "why": _TEXT}
            ),
        },
        "cautions": {"type": "array", "items": object_schema({"code": _TEXT, "words": _TEXT})},
    }
)  # fmt: skip


@cache
def _knowledge() -> Knowledge:
    from weeptrace.causes import from_bundle

    return from_bundle(load().causes, limits())


@operation(
    "causes.rank",
    input=object_schema(
        {
            "features": {**_ids("feature"), "maxItems": 50},
            "observations": {
                "type": "array",
                "maxItems": 300,
                "items": object_schema(
                    {
                        "finding": _id("question"),
                        "value": {
                            "anyOf": [_TEXT, _FIGURE],
                            "x-answers": "finding",
                        },
                    }
                ),
            },
            "tools": _ids("tool"),
            "closed_gates": _ids("gate"),
        },
        ["observations"],
    ),
    output=_OUTPUT,
    sample={
        "features": ["drain_plug"],
        "observations": [
            {"finding": "loss_rate", "value": {"value": 0.2, "unit": "L/1000 km"}},
            {"finding": "wet_ground_zone", "value": "below_pump_end"},
            {"finding": "weep_hole", "value": "wet"},
        ],
    },
)
def causes_rank(payload: Json) -> Json:
    """See ``weeptrace.causes.rank.rank``."""
    from weeptrace.causes import rank

    known = _knowledge()
    _among(payload, "tools", sorted({tool for test in known.tests.values() for tool in test.tools}))
    _among(payload, "closed_gates", sorted(load().gates))
    found = rank(
        known,
        payload.get("features"),
        [
            _observation(known, each, f"observations[{index}]")
            for index, each in enumerate(payload["observations"])
        ],
        limits(),
        tools=payload.get("tools"),
        closed=payload.get("closed_gates", ()),
    )
    return {
        "causes": [
            {
                "id": each.id,
                "words": _cause(each.id),
                "probability": each.probability,
                "zone": known.causes[each.id].zone,
                "part": known.causes[each.id].part,
                "for": [_reason(known, reason) for reason in each.plus],
                "against": [_reason(known, reason) for reason in each.minus],
                "proven": each.proven,
            }
            for each in found.causes
        ],
        "more_than_one": found.several,
        "not_ruled_out": [
            {"id": each.id, "words": _cause(each.id), "probability": each.probability}
            | ({} if each.test is None else {"test": each.test})
            for each in found.not_ruled_out
        ],
        "masked": [
            {"id": id, "words": _cause(id), "lacks": lacks} for id, lacks in found.masked.items()
        ],
        "next_tests": [_proposal(each) for each in found.next_tests],
        "enough": found.plan.enough,
        "enough_words": "" if found.plan.why is None else _said(found.plan.why),
        "contradictions": [
            {"findings": list(each.findings), "recheck": each.recheck, "why": _said(each.why)}
            for each in found.contradictions
        ],
        "cautions": [
            {"code": id, "words": _said(Sentence(f"found_caution.{id}"))} for id in found.cautions
        ],
    }


def _said(told: Sentence) -> Said:
    """A sentence in the usual units, those of the rules' own limits among them."""
    return plain(told, load().named)


def _cause(id: str) -> Said:
    return _said(Sentence(f"cause.{id}.name"))


def _among(payload: Json, key: str, known: list[str]) -> None:
    for index, name in enumerate(payload.get(key, ())):
        if name not in known:
            raise Refusal(
                f"unknown_{key.removeprefix('closed_').removesuffix('s')}",
                "refused.door_causes.no_among",
                f"{key}[{index}]",
                "accepted.these",
                {"name": name, "key": key.replace("_", " "), "these": ", ".join(known)},
            )


def _observation(known: Knowledge, each: Json, path: str) -> Observation:
    from weeptrace.causes import Figure, Observation

    value: Any = each["value"]
    if isinstance(value, str):
        return Observation(each["finding"], value)
    finding = known.findings.get(each["finding"])
    if finding is None or finding.measure is None:
        return Observation(each["finding"], Figure(value["value"]))
    dimension = finding.measure["dimension"]
    middle = read(each, "value", dimension, path=path)
    ends = {
        end: to_si(float(value[end]), value["unit"], dimension, f"{path}.value.{end}")
        for end in ("low", "high")
        if end in value
    }
    if not ends.get("low", middle) <= middle <= ends.get("high", middle):
        raise Refusal(
            "low_above_high",
            "refused.door_causes.value_does_not_lie",
            f"{path}.value",
            "accepted.low_then_value_then_high",
        )
    return Observation(each["finding"], Figure(middle, ends.get("low"), ends.get("high")))


def _reason(known: Knowledge, each: Reason) -> Json:
    return {
        "finding": each.finding,
        "value": each.value,
        "words": _said(known.said(each.finding, each.value)),
        "strength": each.strength,
        "why": _said(each.why),
        "same_sign_as": list(each.same_sign_as),
    }


def _proposal(each: Proposal) -> Json:
    out: Json = {
        "id": each.test,
        "words": _said(Sentence(f"test.{each.test}")),
        "role": each.role,
        "why": _said(each.why),
        "minutes": each.time / 60.0,
        "gain": give(max(each.gain, 0.0), "min"),
        "cost": give(each.cost, "min"),
        "asks": list(each.asks),
        "hazards": list(each.hazards),
        "gates": list(each.gates),
    }
    if each.turn is not None:
        out["would_change"] = {
            "finding": each.turn.finding,
            "value": each.turn.value,
            "probability": each.turn.chance,
            "leader": each.turn.leader,
        }
    return out
