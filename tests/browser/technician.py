"""A technician's hands: acts on the app by role and label alone, by a clock that can be moved.

The eyes keep every line that was on the screen when a key was pressed, so that a test can look
through all of a job's pages at its end.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.conftest import Phone, equip
from tests.exact_units import EXACT
from tests.screen.foreign import SETS, foreign
from tests.screen.hand.told import out, si

NBSP = "\N{NO-BREAK SPACE}"
START = 30.0  # s that a start may take before the clock is held; from then on it is moved by hand
PATIENCE = 60_000  # ms, for a busy machine
BEGAN = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
# What the first page calls each set of units, and how finely a hand types in a unit.
SET_KEYS = {"kpa": "kPa, °C, litres", "bar": "bar, °C, litres", "psi": "psi, °F, US quarts"}
TYPED = {"kPa": 0, "bar": 2, "psi": 3, "°C": 0, "°F": 0, "L": 2, "US qt": 2, "m": 0, "ft": 0}
# The title, and each line that is shown, drawn or read out; of a choice what is chosen, of an empty
# field its example. A pad's unit key offers other units.
SHOWN = """() => {
  const choices = [...document.querySelectorAll("select")];
  for (const each of choices) each.hidden = true;
  const lines = [
    document.querySelector("h1")?.innerText ?? "",
    ...[...document.querySelectorAll("header, main, div.foot, dialog[open]")].flatMap((place) => [
      ...place.innerText.split("\\n"),
      ...[...place.querySelectorAll("input")].map((each) => each.placeholder),
      ...[...place.querySelectorAll("svg text")].map((text) => text.textContent),
      ...[...place.querySelectorAll("[aria-label]:not(.unit)")].map((each) => each.ariaLabel),
    ]),
    ...choices.map((each) => each.selectedOptions[0]?.text ?? ""),
  ];
  for (const each of choices) each.hidden = false;
  return lines;
}"""


class Technician:
    """One person with one phone, the whole app on it. ``time`` is in s since the day's start.

    ``units`` is the set that the gauges at hand show, and that is chosen on the first page.
    """

    def __init__(self, phone: Phone, url: str, units: str = "kpa") -> None:
        self.phone = phone
        self.url = url
        self.set = units
        self.units = SETS[units]
        self.seen: dict[str, str] = {}  # each line that was on the screen, and the page it was on
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
        self.look()
        self.phone.kill()
        self.time += away
        self.page = self._opened(self.phone.start())

    def choose_units(self) -> None:
        """Answer the first page with the units of the gauges at hand."""
        self.press(SET_KEYS[self.set])

    def own(self, value: float | str, unit: str) -> str:
        """A figure in kPa, °C, L, m or L/1000 km as the gauges at hand show it, without unit."""
        own = self.units[EXACT[unit][0]]
        number = f"{out(si(value, unit), own):.{TYPED[own]}f}"
        return number.rstrip("0").rstrip(".") if TYPED[own] > 2 else number

    def look(self) -> None:
        """Keep what is on the screen."""
        title, *lines = self.page.evaluate(SHOWN)
        for line in lines:
            self.seen.setdefault(" ".join(line.split()), title)

    def strange(self, units: dict[str, str]) -> list[str]:
        """All lines seen so far with a figure or an axis in another unit than these."""
        self.look()
        return [
            f"{title}: {line}"
            for line, title in self.seen.items()
            if foreign(f"1 {line}" if line in EXACT else line, units)
        ]

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.time += seconds
        self.page.clock.fast_forward(round(seconds * 1000))

    def press(self, name: str, *, exact: bool = True) -> None:
        """Press the key of this name; a row's name begins with its state."""
        spoken = r"\s".join(map(re.escape, name.split()))
        whole = rf"^((to do|now) )?{spoken}$" if exact else spoken
        self.look()
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
        self.look()
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
        self.look()
        self.taps += 1
        self.page.get_by_role("button", name=re.compile("^STORE")).click()

    def type(self, title: str, number: str) -> None:
        """On the pad of the screen with this title: key in a number and store it."""
        self.title(title)
        self.key_in(number)
        self.store()

    def skip(self, title: str) -> None:
        """Leave out what the screen with this title asks."""
        self.title(title)
        self.leave_out()

    def leave_out(self) -> None:
        """Press the key that leaves out what is asked: "Not measured", or "Skip"."""
        self.look()
        self.taps += 1
        self.page.get_by_role("button", name=re.compile(r"^(Not\smeasured|Skip)$")).click()

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
