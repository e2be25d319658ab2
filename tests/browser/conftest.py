"""The built app, a server that can be stopped, and a phone: a browser whose store outlives it."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, Request, sync_playwright

from tests.browser.gallery.serve import site

ROOT = Path(__file__).resolve().parents[2]
TOOLS = ROOT / "webshell" / "tools"
sys.path.insert(0, str(TOOLS))
import machine  # noqa: E402
import release  # noqa: E402

# Width and height of the two phones, CSS px: a common one, and the narrowest that WCAG 2.2 (1.4.10
# Reflow) asks for.
PHONE = (390, 844)
NARROW = (320, 640)

WATCHED = "test/watched.js"

# Tests start hundreds of engines and compute little in each: the runtime's quick compiler alone
# halves the CPU time of a start. What measures, and what compares numbers, has all compilers.
QUICK = "--js-flags=--liftoff-only"

# Starts an engine in the page and keeps it at `window.tested`; notes every state.
START = """async (url) => {
  const { createEngine } = await import("/engine/client.js");
  window.states = [];
  const onState = (state) => window.states.push(state);
  window.tested = createEngine({ url: new URL(url, location.href), onState });
}"""

# Notes what the policy forbids, in a page or in a worker.
WATCH = """
self.violations = [];
(self.document ?? self).addEventListener("securitypolicyviolation", (event) => {
  self.violations.push(`${event.violatedDirective} ${event.sourceFile} ${event.sample}`);
});"""
KEPT_OFFLINE = """async () =>
  Boolean((await navigator.serviceWorker.getRegistration())?.active)"""
# Scripts that only tests use, served beside the app.
TEST_FILES = {
    "test/watch.js": WATCH,
    WATCHED: "import './watch.js'; import '../engine/worker.js';",
    "test/broken.js": "throw new Error('broken on purpose');",
    "test-page.html": "<!doctype html><title>Tests</title><link rel=icon href=icons/app.svg>",
}


@pytest.fixture(scope="session")
def dist() -> Path:
    """The app, built once a session."""
    return release.build()


@dataclass
class Server:
    """The files of a folder at one address; the process can be stopped and started."""

    folder: Path
    port: int
    process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        """The address of the app."""
        return f"http://localhost:{self.port}/"

    def start(self) -> None:
        """Start, and return once it answers."""
        assert not self.answers(), f"another server at {self.url}"
        command = [sys.executable, str(TOOLS / "server.py"), str(self.folder), str(self.port)]
        self.process = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        for _ in range(200):
            if self.answers():
                return
            time.sleep(0.05)
        raise TimeoutError(f"no server at {self.url}")

    def answers(self) -> bool:
        """Whether anything answers at the address."""
        with suppress(urllib.error.URLError, ConnectionError):
            urllib.request.urlopen(f"{self.url}licences/index.txt", timeout=5).close()
            return True
        return False

    def stop(self) -> None:
        """End the process; from here on nothing answers."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None
        assert not self.answers()


def free_port() -> int:
    """The same for all servers of this process, one after the other, so that a store fits each.

    Below those that a system gives out unasked.
    """
    first = 20_000 + os.getpid() * 16 % 12_000
    for port in range(first, first + 16):
        with suppress(OSError), socket.socket() as free:
            free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            free.bind(("localhost", port))
            return port
    raise OSError(f"no free port at {first}")


@contextmanager
def serving(dist: Path, folder: Path) -> Iterator[Server]:
    """A running server of a copy of the app, with the tests' own worker scripts beside it."""
    shutil.copytree(dist, folder)
    for name, text in TEST_FILES.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text)
    running = Server(folder, free_port())
    running.start()
    try:
        yield running
    finally:
        running.stop()


@pytest.fixture
def server(dist: Path, tmp_path: Path) -> Iterator[Server]:
    """A running server of the app, one a test."""
    with serving(dist, tmp_path / "site") as running:
        yield running


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Playwright, started once a session."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """A browser without a store of its own, started once a session."""
    started = playwright.chromium.launch(
        executable_path=machine.browser(), args=[*machine.browser_arguments(), QUICK]
    )
    yield started
    started.close()


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """The shell before a fake engine, served once a session."""
    with site() as served:
        yield served


@dataclass
class Phone:
    """A browser with a phone's screen and a store that outlives it."""

    playwright: Playwright
    profile: Path
    origin: str
    size: tuple[int, int] = PHONE
    quick: bool = True
    context: BrowserContext | None = None
    errors: list[str] = field(default_factory=list)  # console errors and exceptions of pages
    foreign: list[str] = field(default_factory=list)  # requests that left the app's origin

    def start(self) -> Page:
        """Start the browser on the store as it was left; returns an empty page."""
        width, height = self.size
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=machine.browser(),
            args=[*machine.browser_arguments(), *([QUICK] if self.quick else [])],
            viewport={"width": width, "height": height},
            device_scale_factor=2,
            has_touch=True,
            is_mobile=True,
            locale="en-GB",
            timezone_id="UTC",
        )
        self.context.set_default_timeout(60_000)  # ms: the machine may be busy
        self.context.add_init_script(WATCH)
        self.context.on("request", self._on_request)
        self.context.on("console", self._on_console)
        self.context.on("weberror", lambda error: self.errors.append(str(error.error)))
        return self.context.pages[0]

    def kill(self) -> None:
        """End the browser's process as a phone's system does: at once, without a word."""
        own = self.processes()
        assert own, "the browser runs under this profile"
        for pid in own:
            os.kill(pid, signal.SIGKILL)
        self.lost()

    def processes(self) -> list[int]:
        """The browser's main process, and what started it where that waits for it; or none."""
        listing = subprocess.run(
            ["ps", "-axww", "-o", "pid=,stat=,args="], capture_output=True, text=True, check=True
        ).stdout
        rows = [line.split(maxsplit=2) for line in listing.splitlines()]
        return [
            int(pid)
            for pid, state, words in rows
            if f"--user-data-dir={self.profile}" in words
            and " --type=" not in words
            and not state.startswith("Z")
        ]

    def lost(self) -> None:
        """Wait until a killed browser is gone; there is nothing left in it to close."""
        for _ in range(200):
            if not self.processes():
                self.context = None
                return
            time.sleep(0.05)
        raise TimeoutError("a killed browser is still there")

    def stop(self) -> None:
        """Close the browser."""
        if self.context is not None:
            with suppress(Exception):  # the browser may be gone already
                self.context.close()
            self.context = None

    def _on_request(self, request: Request) -> None:
        if not request.url.startswith((self.origin, "data:", "blob:")):
            self.foreign.append(request.url)

    def _on_console(self, message: Any) -> None:
        if message.type == "error":
            self.errors.append(f"{message.text} ({message.location.get('url', '')})")


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: Server) -> Iterator[Phone]:
    """A phone of the common size, not started yet."""
    one = Phone(playwright, tmp_path / "profile", server.url)
    yield one
    one.stop()


@contextmanager
def phone_with_server(
    playwright: Playwright, dist: Path, folder: Path, size: tuple[int, int] = PHONE
) -> Iterator[tuple[Phone, Server]]:
    """A phone and a running server, for the tests of a file that share them."""
    with serving(dist, folder / "site") as running:
        one = Phone(playwright, folder / "profile", running.url, size)
        try:
            yield one, running
        finally:
            one.stop()


# Puts the whole app on the phone as its first page does, but starts no engine meanwhile.
REGISTER = """async () => (await import("/device/update.js")).register(() => {})"""
EQUIPPED: dict[tuple[str, bytes], Path] = {}  # stores that hold a release, by address and release


def equip(phone: Phone) -> None:
    """Give a phone that was never started the whole app, as the service worker keeps it.

    It is put on a first phone by the browser; the next of that address get a copy of that store.
    """
    with urllib.request.urlopen(f"{phone.origin}service-worker.js", timeout=60) as told:
        release = phone.origin, told.read()
    if release not in EQUIPPED:
        first = Phone(phone.playwright, phone.profile.with_name("equipped"), phone.origin)
        page = first.start()
        page.goto(f"{phone.origin}test-page.html")
        page.evaluate(REGISTER)
        installed(page)
        first.stop()
        assert (first.errors, first.foreign) == ([], [])
        EQUIPPED[release] = first.profile
    # But for the browser's own cache, from which nothing of the app should come.
    shutil.copytree(EQUIPPED[release], phone.profile, ignore=shutil.ignore_patterns("Cache"))


def installed(page: Page) -> None:
    """Wait until the service worker holds the whole app."""
    for _ in range(1200):
        if page.evaluate(KEPT_OFFLINE):
            return
        time.sleep(0.1)
    raise TimeoutError("the service worker was not installed")


def violations(page: Page) -> list[str]:
    """What the security policy forbade in the page and in its watched workers."""
    found: list[str] = list(page.evaluate("() => window.violations"))
    for worker in page.workers:
        found += worker.evaluate("() => self.violations ?? []")
    return found
