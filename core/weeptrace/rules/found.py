"""Fields for what the causes room asks: each finding's question, what the car has, tools at hand.

They are made from the knowledge, so that a new finding needs no second entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

FINDING: Final = "find"
FEATURES: Final = "car.features"
TOOLS: Final = "shop.tools"


def fields(causes: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Field entries as the bundle holds them. ``places`` findings take several words."""
    if not causes["findings"]:
        return {}
    out = {
        f"{FINDING}.{id}": {
            "kind": "choices" if entry["kind"] == "places" else "choice",
            "options": [*entry["values"], *entry["neutral"]],
        }
        for id, entry in causes["findings"].items()
    }
    needs = {entry["needs"] for entry in causes["causes"].values()} - {None}
    named = {key[1] for each in causes["cautions"].values() for key in each if key[0] == "feature"}
    tools = {tool for entry in causes["tests"].values() for tool in entry["tools"]}
    out[FEATURES] = {"kind": "choices", "options": sorted(needs | named)}
    out[TOOLS] = {"kind": "choices", "options": sorted(tools)}
    return out


def texts(causes: Mapping[str, Any]) -> dict[str, str]:
    """The words of those fields: the knowledge's own questions and answers."""
    words = causes["words"]
    made: dict[str, str] = {}
    for id, entry in causes["findings"].items():
        made[f"field.{FINDING}.{id}"] = words["question"][id]
        named = words["value"].get(id, {})
        for value in (*entry["values"], *entry["neutral"]):
            said = named.get(value) or words["place"].get(value) or value.replace("_", " ")
            made[f"choice.{FINDING}.{id}.{value}"] = said[:1].upper() + said[1:]
    return made
