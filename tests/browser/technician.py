"""A technician's hands: acts on the app by role and label alone, by a clock that can be moved."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.conftest import Phone, equip

NBSP = "\N{NO-BREAK SPACE}"
START = 30.0  # s that a start may take before the clock is held; from then on it is moved by hand
PATIENCE = 60_000  # ms, for a busy machine
BEGAN = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


class Technician:
    """One person with one phone, the whole app on it. ``time`` is in s since the day's start."""

    def __init__(self, phone: Phone, url: str) -> None:
        self.phone = phone
        self.url = url
        self.time = 0.0
        self.first_needle = 0.0
        self.taps = 0
        equip(phone)
        self.page = self._opened(phone.start())

    def _opened(self, page: Page) -> Page:
        """The app on a page, under a clock that is moved by hand."""
        page.clock.install(time=BEGAN + timedelta(seconds=self.time))
        page.goto(self.url)
        self.time += START
        page.clock.pause_at(BEGAN + timedelta(seconds=self.time))
        return page

    def killed(self, *, away: float = 20.0) -> None:
        """The phone's system ends the browser; some seconds later it is started again."""
        self.phone.kill()
        self.time += away
        self.page = self._opened(self.phone.start())

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.time += seconds
        self.page.clock.fast_forward(round(seconds * 1000))

    def press(self, name: str, *, exact: bool = True) -> None:
        """Press the key of this name; a row's name begins with its state."""
        spoken = r"\s".join(map(re.escape, name.split()))
        whole = rf"^((to do|now) )?{spoken}$" if exact else spoken
        self.taps += 1
        self.page.get_by_role("button", name=re.compile(whole)).click()

    def press_together(self, *names: str) -> None:
        """Press these keys one after the other, faster than the screen is drawn again."""
        keys = self.page.get_by_role("button")
        found = [keys.filter(has_text=re.compile(rf"^\s*{re.escape(name)}\s*$")) for name in names]
        handles = [key.element_handle() for key in found]
        self.taps += len(names)
        self.page.evaluate("keys => keys.forEach(key => key.click())", handles)

    def main(self, name: str, *, exact: bool = True) -> None:
        """Press the page's main key of this name; rows may bear the same words."""
        spoken = r"\s".join(map(re.escape, name.split()))
        keys = self.page.get_by_role("navigation", name="Keys")
        whole = f"^{spoken}$" if exact else spoken
        self.taps += 1
        keys.get_by_role("button", name=re.compile(whole)).click()

    def sees(self, words: str | re.Pattern[str]) -> None:
        """These words stand on the screen."""
        expect(self.page.get_by_text(words).first).to_be_visible(timeout=PATIENCE)

    def title(self, words: str) -> None:
        """The screen has this title, and no other heading of the first level."""
        first = self.page.get_by_role("heading", level=1)
        heading = self.page.get_by_role("heading", name=words, level=1)
        expect(heading).to_be_visible(timeout=PATIENCE)
        expect(first).to_have_count(1)

    def write(self, label: str, words: str) -> None:
        """Fill in a text and store it."""
        self.taps += 1
        self.page.get_by_label(label, exact=True).fill(words)
        self.press("Store")

    def key_in(self, number: str) -> None:
        """Press the digits of a number on the pad."""
        for sign in number:
            self.press({".": "Decimal point", "-": "Sign"}.get(sign, sign))

    def store(self) -> None:
        """Press STORE, whatever value it repeats."""
        self.taps += 1
        self.page.get_by_role("button", name=re.compile("^STORE")).click()

    def type(self, title: str, number: str) -> None:
        """On the pad of the screen with this title: key in a number and store it."""
        self.title(title)
        self.key_in(number)
        self.store()

    def skip(self, title: str) -> None:
        """Answer the screen with this title with "not measured"."""
        self.title(title)
        self.press("Not measured")

    def choose(self, title: str, option: str) -> None:
        """Choose an option on the screen with this title."""
        self.title(title)
        self.press(option, exact=False)

    def read(self, number: str) -> None:
        """Press READ now, type the needle two seconds later."""
        self.press("READ")
        self.sees("Time stopped")
        self.wait(2.0)
        self.key_in(number)
        self.store()

    def downloads(self, key: str, to: Path) -> str:
        """Press a key that gives a file, and return the file's text."""
        with self.page.expect_download() as caught:
            self.press(key)
        caught.value.save_as(to)
        return to.read_text("utf-8")

    def text(self) -> str:
        """All words on the screen, with ordinary spaces."""
        return self.page.get_by_role("main").inner_text().replace(NBSP, " ")

    def no_sideways_scrolling(self) -> None:
        """The page is no wider than the phone."""
        wide = self.page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, f"{wide} px too wide at {self.text()[:60]!r}"
