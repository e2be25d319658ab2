"""The page of figures and the core read the same words as a number."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from hypothesis import example, given
from hypothesis import strategies as st

from weeptrace.quantity import parse
from weeptrace.refusal import Refusal

FORM: Final = Path(__file__).parents[2] / "webshell" / "figures" / "form.js"
NUMBER: Final = re.search(r"const NUMBER = /\^(.*)\$/;", FORM.read_text("utf-8"))


def core_reads(text: str) -> bool:
    try:
        parse(text)
    except Refusal:
        return False
    return True


@given(st.text("0123456789+-.,eE x", max_size=18) | st.floats(allow_nan=False).map(str))
@example("1e5")
@example("-0,5")
@example("123456789012.123456789")
@example("1234567890123")
@example("1.1234567890")
def test_page_and_core_read_the_same_numbers(text: str) -> None:
    assert NUMBER is not None
    page = re.compile(NUMBER[1].replace(r"\d", "[0-9]"))
    text = text.strip()
    assert bool(page.fullmatch(text)) is core_reads(text)
