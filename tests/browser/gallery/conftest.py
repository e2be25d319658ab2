"""The gallery's site and a browser to look at it."""

from __future__ import annotations

from collections.abc import Iterator

import machine
import pytest
from playwright.sync_api import Browser, Playwright

from tests.browser.gallery.serve import site


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with site() as served:
        yield served


@pytest.fixture(scope="module")
def browser(playwright: Playwright) -> Iterator[Browser]:
    started = playwright.chromium.launch(
        executable_path=machine.browser(), args=machine.browser_arguments()
    )
    yield started
    started.close()
