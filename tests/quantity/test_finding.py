"""A reason bears figures, and is still one thing among others."""

from __future__ import annotations

from weeptrace.finding import Reason


def test_a_reason_with_figures_can_be_kept_once_in_a_set() -> None:
    words = "The hold starts below {least:pressure}."
    one, same = (Reason("low", words, {"least": least}) for least in (2e3, 2e3))
    other = Reason("low", words, {"least": 3e3})
    assert (one == same, one == other) == (True, False)
    assert {one, same, other} == {one, other}
    assert len({one, same, other}) == 2
