"""A refusal held to its code, its place, what it accepts, and its words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from weeptrace.refusal import Refusal


def refused(call: Callable[[], object], code: str, path: str, accepted: str, words: str) -> None:
    """Call, and hold what is raised to all that a reader is told."""
    with pytest.raises(Refusal) as caught:
        call()
    refusal = caught.value
    assert (refusal.code, refusal.path, refusal.accepted) == (code, path, accepted)
    assert words in refusal.message
