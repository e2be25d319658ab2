"""What the ids that the figure of causes asks and answers are called, for the page."""

from __future__ import annotations

from typing import Any, Final

from weeptrace.job import observed
from weeptrace.quantity import units_of
from weeptrace.rules import Rules
from weeptrace.rules.found import FEATURES, FINDING, TOOLS

Json = dict[str, Any]

FOR: Final = "causes.rank"


def words(rules: Rules) -> Json:
    """``tables``: of ids, by the names that the schema gives them (``x-names``); ``answers``: of
    each question, by id; ``units``: of a question that is answered by a figure as well.

    >>> from weeptrace.rules import load
    >>> made = words(load())
    >>> made["tables"]["tool"]["uv_lamp"], made["answers"]["weep_hole"]["wet"]
    ('UV lamp', 'Wet or fresh crust')
    """
    known = observed.knowledge(rules)
    measured = {
        id: each.measure["dimension"] for id, each in known.findings.items() if each.measure
    }
    return {
        "tables": {
            "question": {id: rules.text(f"field.{FINDING}.{id}") for id in known.findings},
            "test": {id: rules.text(f"test.{id}") for id in known.tests},
            "cause": {id: rules.text(f"cause.{id}.name") for id in known.causes},
            "feature": _choices(rules, FEATURES),
            "tool": _choices(rules, TOOLS),
            "gate": {id: rules.text(f"gate.{id}.title") for id in rules.gates},
            "hazard": {id: rules.text(text) for id, text in rules.cautions.items()},
        },
        "answers": {id: _choices(rules, f"{FINDING}.{id}") for id in known.findings},
        "units": {id: units_of(dimension) for id, dimension in measured.items()},
    }


def _choices(rules: Rules, name: str) -> dict[str, str]:
    field = rules.fields[name]
    return {option: rules.text(field.word(option)) for option in field.options}
