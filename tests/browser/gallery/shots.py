"""Draws every view of the gallery: ``python -m tests.browser.gallery.shots FOLDER [name ...]``."""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.gallery.serve import SHELL, site
from tests.browser.gallery.views import VIEWS

sys.path.insert(0, str(SHELL / "tools"))
import machine

SIZES = {"390": (390, 844), "320": (320, 640)}
JOB = "#job=01900000-0000-7000-8000-000000000001"


def opened(browser: Browser, url: str, size: tuple[int, int], faults: list[str]) -> Page:
    """A fresh page at an address, its first question answered."""
    width, height = size
    page = browser.new_page(
        viewport={"width": width, "height": height}, device_scale_factor=2, locale="en-GB"
    )
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(url)
    page.get_by_role("button", name="kPa").click()
    page.wait_for_timeout(250)
    return page


def main() -> None:
    """Write a picture of each view at each size; print what the browser complained of."""
    folder, names = Path(sys.argv[1]), sys.argv[2:] or list(VIEWS)
    folder.mkdir(parents=True, exist_ok=True)
    faults: list[str] = []
    with sync_playwright() as driver, site() as address:
        browser = driver.chromium.launch(
            executable_path=machine.browser(), args=machine.browser_arguments()
        )
        for name in names:
            for word, size in SIZES.items():
                page = opened(browser, f"{address}?view={name}{JOB}", size, faults)
                page.screenshot(path=folder / f"{name}-{word}.png")
                page.close()
        browser.close()
    print("\n".join(sorted(set(faults))) or "no complaints")


if __name__ == "__main__":
    main()
