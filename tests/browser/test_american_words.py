"""British or American words: chosen in the menu whatever the units, and kept."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, expect

from tests.browser.conftest import Phone, Server, violations
from tests.browser.stretches import begin, hear_the_owner
from tests.browser.technician import PATIENCE, Technician

BRITISH, AMERICAN = "bonnet propped", "hood propped"


def choice(tech: Technician, name: str) -> Locator:
    """The menu's choice of this name; the menu is open."""
    return tech.page.get_by_role("dialog").get_by_role("button", name=name, exact=True)


def choose_words(tech: Technician, name: str) -> None:
    """In the menu, choose these words and close it."""
    tech.press("Menu")
    choice(tech, name).click()
    expect(choice(tech, name)).to_have_attribute("aria-pressed", "true")
    tech.press("Close")


def told(tech: Technician, there: str, not_there: str) -> None:
    """One word stands on the page, and the other does not."""
    tech.sees(re.compile(there))
    assert not_there not in tech.text()


def test_american_words_are_chosen_with_metric_units_and_kept(phone: Phone, server: Server) -> None:
    tech = Technician(phone, server.url)
    server.stop()
    begin(tech, "Selwick Heron van", "Measure it")
    hear_the_owner(tech)
    tech.type("Cap rating", "110")
    tech.skip("System capacity")
    tech.skip("Coolant in the car")
    tech.skip("Altitude here")
    tech.type("Air temperature here", "12")
    tech.title("Secure the car")
    told(tech, BRITISH, AMERICAN)

    choose_words(tech, "American")
    told(tech, AMERICAN, BRITISH)
    tech.no_sideways_scrolling()
    tech.page.reload()
    tech.title("Secure the car")
    # Drawn anew, not as it was seen last.
    expect(tech.page.get_by_text(re.compile("Last seen"))).to_have_count(0, timeout=PATIENCE)
    told(tech, AMERICAN, BRITISH)

    # The units stay as they were chosen.
    tech.press("Menu")
    for name, pressed in (
        ("American", "true"), ("British", "false"), ("now kPa, °C, litres", "true")
    ):  # fmt: skip
        expect(choice(tech, name)).to_have_attribute("aria-pressed", pressed)
    tech.press("Close")
    tech.press("Menu")
    tech.press("Stored so far")
    tech.sees(re.compile(r"110\s+kPa"))
    tech.press("Back")

    choose_words(tech, "British")
    told(tech, BRITISH, AMERICAN)
    assert phone.errors == []
    assert phone.foreign == []
    assert violations(tech.page) == []
