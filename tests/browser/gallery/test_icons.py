"""The app's icons as pixels are drawings of those in lines."""

from __future__ import annotations

import json

import pytest
from playwright.sync_api import Browser

from tests.browser.gallery.serve import SHELL

LISTED = json.loads((SHELL / "manifest.webmanifest").read_text("utf-8"))["icons"]
PIXELS = [each for each in LISTED if each["type"] == "image/png"]

# The mean difference of a channel, 0 to 255, between a picture and a drawing of its size.
APART = """async ([picture, drawing, size]) => {
  const pixels = await Promise.all([picture, drawing].map(async (src) => {
    const image = new Image();
    image.src = src;
    await image.decode();
    const board = new OffscreenCanvas(size, size).getContext("2d");
    board.drawImage(image, 0, 0, size, size);
    return board.getImageData(0, 0, size, size).data;
  }));
  const apart = pixels[0].reduce((sum, each, i) => sum + Math.abs(each - pixels[1][i]), 0);
  return apart / (4 * size * size);
}"""


@pytest.mark.parametrize("icon", PIXELS, ids=lambda icon: icon["src"])
def test_an_icon_of_pixels_is_the_drawing(
    icon: dict[str, str], browser: Browser, address: str
) -> None:
    drawing = "icons/app-maskable.svg" if "maskable" in icon["src"] else "icons/app.svg"
    page = browser.new_page()
    page.goto(address)
    apart = page.evaluate(APART, [icon["src"], drawing, int(icon["sizes"].split("x")[0])])
    page.close()
    assert apart < 1.0  # edges only; another drawing is some 30 apart
