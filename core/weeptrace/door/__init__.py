"""The one door: named operations, JSON in, JSON out, schemas, errors.

>>> call("properties.atmosphere", {"altitude": {"value": 0, "unit": "m"}})["pressure"]
{'value': 101.325, 'unit': 'kPa'}
>>> call("no.such", {})["error"]["code"]
'unknown_operation'
"""

from __future__ import annotations

import json
import math
from importlib.util import find_spec
from typing import Any

from weeptrace.door.check import validate
from weeptrace.door.registry import OPERATIONS, Json, Operation
from weeptrace.door.shown import help_of, room_of, shown
from weeptrace.refusal import Refusal
from weeptrace.rules.source import RulesError

__all__ = ["OPERATIONS", "Operation", "call", "call_text", "help_of", "room_of", "shown"]

# Importing a room registers its operations; they are listed in this order.
# isort: off
from weeptrace.door import properties, hold, fill, loss, warmup, causes, quote, job, car  # noqa: F401

if find_spec(".practice", "weeptrace"):  # left off the phone: webshell/tools/pack.py
    from weeptrace.door import practice  # noqa: F401
# isort: on


def call(operation: str, payload: Json) -> Json:
    """Run a named operation.

    Parameters
    ----------
    operation: one of the names that ``python -m weeptrace --list`` prints.
    payload: its input, as its JSON Schema says.

    Returns
    -------
    Its output, or ``{"error": {"code", "message", "path", "accepted", "text", "figures"}}``, as
    ``Refusal.as_dict`` says. Nothing is raised.
    """
    try:
        found = OPERATIONS.get(operation)
        if found is None:
            raise Refusal(
                "unknown_operation",
                "refused.door.unknown_operation",
                "",
                "accepted.these",
                {"operation": operation, "these": ", ".join(OPERATIONS)},
            )
        _refuse_non_finite(payload, "")
        validate(operation, payload)
        return found.run(payload)
    except Refusal as refusal:
        return {"error": refusal.as_dict()}
    except RulesError as problem:
        return {"error": _rules_at_fault(problem).as_dict()}
    except (ArithmeticError, RecursionError):
        return {"error": Refusal("not_computable", "refused.door.not_computable").as_dict()}
    except Exception as problem:  # the door's promise: an answer, never a traceback
        return {
            "error": Refusal(
                "internal",
                "refused.door.internal",
                figures={"problem": repr(problem)},
            ).as_dict()
        }


def call_text(operation: str, text: str) -> str:
    """As ``call``, JSON text in and out; text that is not JSON gets an error, never a traceback."""
    try:
        payload = json.loads(text, parse_constant=_no_constant)
    except (ValueError, RecursionError) as problem:
        refused = problem if isinstance(problem, Refusal) else _not_json(text, problem)
        answer = {"error": refused.as_dict()}
    else:
        answer = call(operation, payload)
    return json.dumps(answer, ensure_ascii=False, allow_nan=False)


def _no_constant(word: str) -> float:
    raise Refusal(
        "not_json",
        "refused.not_json.constant",
        "",
        "accepted.finite_number",
        {"word": word},
    )


def _not_json(text: str, problem: Exception) -> Refusal:
    if not text.strip():
        return Refusal("not_json", "refused.not_json.empty", "", "accepted.json_object")
    if isinstance(problem, json.JSONDecodeError):
        figures = {"line": problem.lineno, "column": problem.colno}
        return Refusal("not_json", "refused.not_json.at", "", "accepted.json_object", figures)
    if isinstance(problem, RecursionError):
        return Refusal("not_json", "refused.not_json.nested", "", "accepted.json_object")
    # What ``json`` raises of itself else: a whole number of thousands of digits.
    return Refusal("not_json", "refused.not_json.long_number", "", "accepted.finite_number")


def _refuse_non_finite(value: Any, path: str) -> None:
    if isinstance(value, float) and not math.isfinite(value):
        raise Refusal("not_finite", "refused.door.not_finite", path, "accepted.finite_number")
    if isinstance(value, dict):
        for key, item in value.items():
            _refuse_non_finite(item, f"{path}.{key}" if path else str(key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            _refuse_non_finite(item, f"{path}[{index}]")


def _rules_at_fault(problem: RulesError) -> Refusal:
    """The first fault of the rule files, and where it stands, for whoever edits them."""
    first = problem.faults[0]
    return Refusal(
        "rules_at_fault",
        "refused.door.rules_at_fault",
        first.place,
        "accepted.rules",
        {"fault": str(first), "count": len(problem.faults)},
    )
