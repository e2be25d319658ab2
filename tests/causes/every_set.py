"""P(cause | answers) by adding up every set of causes there is, with numpy: no growing of sets.

Written from the compiled rules, finding by finding, not from the engine.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np


def probabilities(
    bundle: dict[str, Any],
    features: Sequence[str],
    answers: Sequence[tuple[str, str]],
    several: float,
    attention: float,
) -> dict[str, float]:
    """Each cause's chance; answers of the history are left out by the caller."""
    total = sum(each["weight"] for each in bundle["causes"].values())
    causes = [
        id
        for id, each in bundle["causes"].items()
        if each["needs"] is None or each["needs"] in features
    ]
    there = {
        cause: ((np.arange(2 ** len(causes)) >> n) & 1).astype(bool)
        for n, cause in enumerate(causes)
    }
    weight = np.ones(2 ** len(causes))
    for cause, is_there in there.items():
        odds = bundle["causes"][cause]["weight"] / total * several
        weight *= np.where(is_there, odds, 1.0)
    weight[0] = 0.0  # somebody complains

    def product(links: dict[str, float]) -> Any:
        out = np.ones(2 ** len(causes))
        for cause, factor in links.items():
            if cause in there:
                out *= np.where(there[cause], factor, 1.0)
        return out

    # By state: chances of what was told with a source, shown without one, and not shown.
    told: dict[str, list[Any]] = {}
    for finding, value in answers:
        entry = bundle["findings"][finding]
        if entry["kind"] == "places":
            for place, state in entry["places"].items():
                three = told.setdefault(state, [1.0, 1.0, 1.0])
                if place == value:
                    wet, dry = entry["seen"], entry["misread"]
                else:
                    share = 1.0 if value == entry["none"] else attention
                    wet, dry = 1.0 - share * entry["seen"], 1.0 - entry["misread"]
                shown = dry if entry["source"] else wet
                told[state] = [three[0] * wet, three[1] * shown, three[2] * dry]
            continue
        index = entry["values"].index(value)
        flat = entry["misread"] / (len(entry["values"]) - 1)

        def chance(state: bool, entry: Any = entry, index: int = index, flat: float = flat) -> Any:
            def at_most(level: int) -> Any:
                if level < 0:
                    return 0.0
                out = sum(entry["background"][: level + 1])
                if state:
                    out *= sum(entry["given_state"][: level + 1])
                return out * product(
                    {c: sum(link["chance"][: level + 1]) for c, link in entry["from"].items()}
                )

            true = at_most(index) - at_most(index - 1)
            return (1.0 - entry["misread"]) * true + flat * (1.0 - true)

        if entry["state"] is None:
            weight *= chance(False)
        else:
            three = told.setdefault(entry["state"], [1.0, 1.0, 1.0])
            so, not_so = chance(True), chance(False)
            told[entry["state"]] = [three[0] * so, three[1] * so, three[2] * not_so]
    for state, (source, shown, dry) in told.items():
        entry = bundle["states"][state]
        none = (1.0 - entry["background"]) * product(
            {cause: 1.0 - link["chance"] for cause, link in entry["from"].items()}
        )
        down = entry["run_down"]
        weight *= (1.0 - none) * source + none * (down * shown + (1.0 - down) * dry)
    return {cause: float(weight[there[cause]].sum() / weight.sum()) for cause in causes}
