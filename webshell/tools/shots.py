"""Pictures of the app's screens, at both sizes, into tests/browser/shots/ (not kept in git).

A scene is a function that takes a page of the fresh app and leads it to a screen; its name is the
picture's. Add one by writing it below and naming it in ``SCENES``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from phone import phone, served
from playwright.sync_api import Page, sync_playwright
from steps import ROOT, step

SHOTS = ROOT / "tests" / "browser" / "shots"
SIZES = ((390, 844), (320, 640))
PORT = 8138
READY = 120_000  # ms that a first start may take on a busy machine


def units(_: Page) -> None:
    """The first start: which units the gauges show."""


def home(page: Page) -> None:
    """The list of jobs, still empty, with the practice cars."""
    page.get_by_role("button", name="kPa").click()
    page.get_by_role("button", name="New job").wait_for(timeout=READY)


def first_step(page: Page) -> None:
    """A new job."""
    home(page)
    page.get_by_role("button", name="New job").click(timeout=READY)
    page.get_by_role("heading", level=1).wait_for(timeout=READY)


def menu(page: Page) -> None:
    """The menu over the first step."""
    first_step(page)
    page.get_by_role("button", name=re.compile("menu", re.IGNORECASE)).first.click()


SCENES: tuple[Callable[[Page], None], ...] = (units, home, first_step, menu)


def take(folder: Path, browser: str) -> None:
    """Take a picture of every scene at every size."""
    SHOTS.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright, served(folder, PORT) as url:
        for width, height in SIZES:
            for scene in SCENES:
                name = f"{scene.__name__}-{width}x{height}.png"
                with step(name), phone(playwright, browser, (width, height)) as context:
                    page = context.pages[0]
                    page.goto(url)
                    page.get_by_role("button", name="kPa").wait_for()
                    scene(page)
                    page.screenshot(path=SHOTS / name)
    print(f"The pictures lie in {SHOTS.relative_to(ROOT)}/.")
