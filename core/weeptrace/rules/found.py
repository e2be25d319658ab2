"""Fields for what the causes room asks: each finding's question, what the car has, tools at hand.

They are made from the knowledge, so that a new finding needs no second entry; their words stand
among the texts, as those of other fields do.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

FINDING: Final = "find"
PLACE: Final = "place"  # findings that may name any place share their answers' words
FEATURES: Final = "car.features"
LACKS: Final = "car.lacks"  # what it was told not to have; the rest is not known
TOOLS: Final = "shop.tools"


def fields(causes: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Field entries as the bundle holds them. ``places`` findings take several words."""
    if not causes["findings"]:
        return {}
    out = {f"{FINDING}.{id}": _field(entry) for id, entry in causes["findings"].items()}
    known = features(causes)
    tools = {tool for entry in causes["tests"].values() for tool in entry["tools"]}
    out[FEATURES] = {"kind": "choices", "options": known}
    out[LACKS] = {"kind": "choices", "options": known, "worded_as": FEATURES}
    out[TOOLS] = {"kind": "choices", "options": sorted(tools)}
    return out


def features(causes: Mapping[str, Any]) -> list[str]:
    """What a car may have or not: what a cause needs, or a caution is about."""
    needs = {entry["needs"] for entry in causes["causes"].values()} - {None}
    named = {key[1] for each in causes["cautions"].values() for key in each if key[0] == "feature"}
    return sorted(needs | named)


def _field(entry: Mapping[str, Any]) -> dict[str, Any]:
    made = {
        "kind": "choices" if entry["kind"] == "places" else "choice",
        "options": [*entry["values"], *entry["neutral"]],
    }
    if "worded_as" in entry:
        made["worded_as"] = f"{FINDING}.{entry['worded_as']}"
    return made
