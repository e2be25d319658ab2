"""A browser with a phone's screen on a served dist/, for figures and pictures."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import machine
from playwright.sync_api import BrowserContext, Playwright
from steps import Stop

TOOLS = Path(__file__).resolve().parent


@contextmanager
def served(folder: Path, port: int) -> Iterator[str]:
    """The address of a folder, served while the block runs."""
    command = [sys.executable, str(TOOLS / "server.py"), str(folder), str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    url = f"http://localhost:{port}/"
    try:
        for _ in range(200):
            try:
                urllib.request.urlopen(url, timeout=5).close()
                break
            except OSError:
                time.sleep(0.05)
        else:
            raise Stop(f"No server came up at {url}; is the port taken?")
        yield url
    finally:
        process.kill()
        process.wait()


@contextmanager
def phone(
    playwright: Playwright, browser: str, size: tuple[int, int] = (390, 844)
) -> Iterator[BrowserContext]:
    """A fresh browser with a phone's screen, closed after the block."""
    with tempfile.TemporaryDirectory() as profile:
        context = playwright.chromium.launch_persistent_context(
            profile,
            executable_path=browser,
            args=machine.browser_arguments(),
            viewport={"width": size[0], "height": size[1]},
            device_scale_factor=2,
            has_touch=True,
            is_mobile=True,
            locale="en-GB",
        )
        try:
            yield context
        finally:
            context.close()
