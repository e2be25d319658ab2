"""The pictures of the procedures, from the menu, with no network, as a browser sets their words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.browser.conftest import Phone, Server
from tests.browser.technician import Technician

# Words that reach over the frame of their own box, or off the sheet; px.
OVER = """() => {
  const over = [];
  const sheet = document.documentElement.viewBox.baseVal;
  for (const words of document.querySelectorAll("text")) {
    const { x, y, width, height } = words.getBBox();
    const frame = words.closest("g")?.querySelector("rect")?.getBBox() ?? sheet;
    if (x < frame.x || y < frame.y - 1 || x + width > frame.x + frame.width
        || y + height > frame.y + frame.height + 1) over.push(words.textContent);
  }
  return over;
}"""
SET = "() => document.querySelectorAll('text').length"
SHOWN = "() => [...document.images].every((image) => image.complete && image.naturalWidth > 0)"


@pytest.fixture
def ids(dist: Path) -> list[str]:
    return sorted(path.stem for path in (dist / "procedures").glob("*.svg"))


def test_the_pictures_open_from_the_menu_without_a_network(
    phone: Phone, server: Server, ids: list[str]
) -> None:
    tech = Technician(phone, server.url)
    server.stop()
    tech.press("kPa, °C, litres")
    tech.press("Menu")
    assert phone.context is not None
    with phone.context.expect_page() as opened:
        tech.page.get_by_role("link", name="Procedures as pictures").click()
    page = opened.value
    page.wait_for_load_state()
    assert page.get_by_role("heading", level=1).inner_text() == "Procedures as pictures"
    assert page.get_by_role("img").count() == len(ids) > 1
    assert page.evaluate(SHOWN)
    wide = page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0
    for id in ids:
        page.goto(f"{server.url}procedures/index.html")
        page.locator(f"a[href='{id}.svg']").first.click()
        page.wait_for_url(re.compile(rf"/{id}\.svg$"))
        assert page.evaluate(SET) > 10
        assert page.evaluate(OVER) == []
    # For a picture alone a browser asks the origin for an icon, which is no file of the release.
    assert [error for error in phone.errors if "favicon.ico" not in error] == []
    assert phone.foreign == []
