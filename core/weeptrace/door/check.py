"""Whether an input is as its operation's schema says, and what is wrong with it in words."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from weeptrace.door.registry import OPERATIONS, is_quantity
from weeptrace.door.shown import option_at, text_at
from weeptrace.refusal import Refusal
from weeptrace.told import Brought, Sentence, Told

if TYPE_CHECKING:
    from fastjsonschema import JsonSchemaValueException

_LONGEST: Final = 200  # signs of what is accepted, if it is a list of keys
_LONGEST_VALUE: Final = 40
# Rules of a schema that have words of their own; any other has those of "other".
_RULES: Final = (
    "required", "additionalProperties", "type", "enum", "minimum", "exclusiveMinimum", "maximum",
    "minLength", "maxLength", "minItems", "maxItems", "pattern", "anyOf",
)  # fmt: skip


def validate(name: str, payload: Any) -> None:
    """Raise ``Refusal`` (``bad_input``) where an input is not as the operation's schema says.

    A unit may have any of its names: ``to_si`` judges it, with words of its own.
    """
    from fastjsonschema import JsonSchemaValueException

    try:
        _validator(name)(payload)
    except JsonSchemaValueException as problem:
        raise _refusal(name, problem) from None


@cache
def _validator(name: str) -> Callable[[Any], Any]:
    from fastjsonschema import compile  # late: who only lists the operations validates nothing

    compiled: Callable[[Any], Any] = compile(_any_unit(OPERATIONS[name].input), use_default=False)
    return compiled


def _any_unit(schema: Any) -> Any:
    if isinstance(schema, list):
        return [_any_unit(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if is_quantity(schema):
        return {**schema, "properties": {**schema["properties"], "unit": {"type": "string"}}}
    return {key: _any_unit(each) for key, each in schema.items()}


def _refusal(name: str, problem: JsonSchemaValueException) -> Refusal:
    path = ""
    for part in problem.path[1:]:
        path += f"[{part}]" if str(part).isdigit() else f"{'.' if path else ''}{part}"
    schema, value = problem.definition, problem.value
    rule = problem.rule if problem.rule in _RULES else "other"
    accepted = schema[problem.rule]
    figures: dict[str, Brought] = {"these": _listed(accepted), "value": _brief(value)}
    if rule == "required":
        figures["keys"] = ", ".join(key for key in accepted if key not in value)
    elif rule == "additionalProperties":
        known = schema.get("properties", {})
        unknown = [key for key in value if key not in known]
        figures |= {"keys": ", ".join(unknown), "these": _listed(list(known))}
        if is_quantity(schema) and set(unknown) <= {"low", "high"}:
            rule = "interval"
    elif rule == "enum":
        figures["these"] = tuple(_option(name, path, each) for each in accepted)
    elif rule == "pattern":
        text = text_at(name, "in", "pattern", _of_schema(path))
        figures["these"] = (Sentence(text=f"{text or accepted}"),)
    elif rule == "anyOf":
        figures["these"] = tuple(_form(each) for each in accepted)
    elif rule == "type":
        return Refusal(
            "bad_input", "refused.schema.type", path, f"accepted.type.{accepted}", figures
        )
    return Refusal("bad_input", f"refused.schema.{rule}", path, "accepted.these", figures)


def _of_schema(path: str) -> str:
    """Where the words of a place stand: without the numbers of a list's rows.

    >>> _of_schema("at_hand[2].kind"), _of_schema("low.stretches[0][3].time")
    ('at_hand.kind', 'low.stretches.rows.time')
    """
    return re.sub(r"\[\d+\]", "", path.replace("][", "].rows["))


def _option(name: str, path: str, option: str | None) -> Told:
    """An id of an enum in words, with the id where that is another."""
    text = text_at(name, "in", "option", option_at(_of_schema(path), option))
    words = Sentence(text=f"{text or option}")
    return Sentence("accepted.option", {"words": words, "id": json.dumps(option)})


def _form(schema: Any) -> Told:
    """One of several forms that an input may have."""
    if is_quantity(schema):
        return Sentence("accepted.quantity")
    return Sentence(f"accepted.type.{schema['type']}")


def _listed(accepted: Any) -> str:
    words = ", ".join(map(str, accepted)) if isinstance(accepted, list) else str(accepted)
    return words[:_LONGEST]


def _brief(value: Any) -> str:
    words = str(value) if isinstance(value, int | float | str) else type(value).__name__
    return words[:_LONGEST_VALUE]
