"""Find it on a phone without a network: a few answers, the likeliest cause, the next test."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import NARROW, PHONE, Phone, Server, violations
from tests.browser.stretches import begin
from tests.browser.technician import Technician


@pytest.mark.parametrize("size", [PHONE, NARROW], ids=["390x844", "320x640"])
def test_a_few_answers_lead_to_the_next_test(
    phone: Phone, server: Server, size: tuple[int, int]
) -> None:
    phone.size = size
    tech = Technician(phone, server.url)
    server.stop()
    begin(tech, "Selwick Heron van", "Measure it")
    tech.title("The complaint")
    tech.press("Menu")
    tech.press("Find it")
    tech.title("Find it")
    tech.sees(re.compile("Nothing is known about this car yet"))
    tech.no_sideways_scrolling()

    tech.press("Questions")
    tech.title("Questions")
    tech.press("Water-pump weep hole", exact=False)
    tech.sees("Water-pump weep hole (mirror or borescope)?")
    tech.press("Wet", exact=False)
    tech.press("Back to the causes")
    tech.title("Find it")
    chances = tech.page.get_by_role("list", name=re.compile("^Most likely"))
    expect(chances.get_by_role("button").first).to_contain_text("Water-pump shaft seal")
    tech.no_sideways_scrolling()

    # Why, and what would prove it.
    tech.press("Water-pump shaft seal", exact=False)
    tech.sees("Likely is not proven. Proven by")
    tech.sees("For it")
    tech.no_sideways_scrolling()
    tech.press("Back to the causes")

    # The next test is the one big key; it says what it takes and what it asks.
    tech.press("Next test", exact=False)
    tech.title("Next best test")
    tech.sees("What do you find?")
    tech.no_sideways_scrolling()
    tech.press("Back to the causes")
    tech.press("Back to the job")
    tech.title("The complaint")
    assert phone.errors == []
    assert phone.foreign == []
    assert violations(tech.page) == []
