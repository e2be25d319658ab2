"""The rules that are never broken, as compiled, against the table of the trade."""

from __future__ import annotations

from tests.proof import invariants, trade
from tests.proof.offered import Told
from weeptrace.rules import Rules

PROVEN = {check.__name__ for check in invariants.ALL}


def never_broken(rules: Rules) -> Told:
    """What one of them lacks: the entry, its mark, one of its keepers, or its proof."""
    for words, id, mark, keepers, proofs in trade.NEVER_BROKEN:
        entry = rules.never.get(id)
        if entry is None:
            return f"{words}: there is no {id}"
        if entry.rule != mark:
            return f"{words}: {id} is {entry.rule}, not {mark}"
        kept = {
            *entry.acts, *entry.gates, *entry.hazards, *entry.capped, *entry.asked, *entry.texts,
            entry.person, entry.why,
        }  # fmt: skip
        if lacking := [name for name in keepers if name not in kept]:
            return f"{words}: {id} is not kept by {', '.join(lacking)}"
        if unproved := set(proofs) - PROVEN:
            return f"{words}: nothing proves {', '.join(unproved)}"
    return None
