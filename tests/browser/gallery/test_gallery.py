"""Every block and every verdict's shape keeps its contract, its sizes and its names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import get_args

import fastjsonschema
import pytest
from playwright.sync_api import Browser, Page

from tests.browser.gallery.pieces import NBSP
from tests.browser.gallery.shots import JOB, SIZES, opened
from tests.browser.gallery.views import VIEWS
from weeptrace.door.blocks import BLOCKS, VIEW
from weeptrace.hold.data import Verdict

VALID = fastjsonschema.compile(VIEW)
# Least sizes of what is pressed, CSS px: READ, number keys, all others.
READ, NUMBER, OTHER = 96, 48, 48

BOXES = """() => [...document.querySelectorAll("button:not([hidden]), input:not(.hidden), .key")]
  .map((e) => ({ e, box: e.getBoundingClientRect() }))
  .filter(({ box }) => box.width > 0)
  .map(({ e, box }) => ({
    name: e.getAttribute("aria-label") ?? e.labels?.[0]?.textContent ?? e.textContent.trim(),
    kind: e.classList.contains("read") ? "read" : e.classList.contains("number") ? "number" : "",
    width: box.width, height: box.height, right: box.right,
  }))"""


@pytest.fixture
def faults() -> list[str]:
    return []


@pytest.mark.parametrize("name", VIEWS)
def test_view_keeps_the_contract(name: str) -> None:
    VALID(VIEWS[name])


def test_gallery_holds_every_block_and_verdict() -> None:
    shown = [block for view in VIEWS.values() for block in view["blocks"]]
    in_feet = {"caution" for view in VIEWS.values() if view["foot"]["caution"]}
    assert {block["block"] for block in shown} | in_feet == set(BLOCKS)
    assert {block["verdict"] for block in shown if block["block"] == "verdict"} == set(
        get_args(Verdict)
    )


@pytest.fixture(scope="module")
def drawn(browser: Browser, address: str) -> Iterator[tuple[Page, list[str]]]:
    """A page whose first question is answered, and what its browser complained of."""
    faults: list[str] = []
    page = opened(browser, address, SIZES["390"], faults)
    yield page, faults
    page.close()


@pytest.mark.parametrize("name", VIEWS)
def test_view_is_drawn_to_be_pressed_with_a_knuckle(
    name: str, drawn: tuple[Page, list[str]], address: str
) -> None:
    page, faults = drawn
    page.goto(f"{address}?view={name}{JOB[:-2]}{list(VIEWS).index(name) + 10}")  # no last view
    page.get_by_role("navigation", name="Keys").wait_for()
    least = {"read": READ, "number": NUMBER, "": OTHER}
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        boxes = page.evaluate(BOXES)
        assert len(boxes) > 3
        assert [b for b in boxes if b["height"] < least[b["kind"]] or b["width"] < OTHER] == []
        assert [b for b in boxes if b["right"] > width + 0.5] == []
        assert [b for b in boxes if not b["name"]] == []
        _one_first_heading(page)
        main = VIEWS[name]["foot"]["main"]
        if main is not None:
            box = page.get_by_role("button", name=main["label"]).last.bounding_box()
            assert box is not None
            assert box["y"] + box["height"] <= height  # unscrolled, whatever stands over it
    assert faults == []


def _one_first_heading(page: Page) -> None:
    """Whoever listens to the page finds its one heading of the first level."""
    assert page.get_by_role("heading", level=1).count() == 1


def test_every_page_has_one_heading_of_the_first_level(
    browser: Browser, address: str, faults: list[str]
) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(address)
    page.get_by_role("button", name="kPa").wait_for()
    _one_first_heading(page)
    page.close()
    page = opened(browser, address, (390, 844), faults)
    _one_first_heading(page)
    page.get_by_role("button", name="Menu").click()
    page.get_by_role("heading", name="Menu").wait_for()
    _one_first_heading(page)
    page.get_by_role("button", name="Close").click()
    page.goto(f"{address}?view=gate{JOB}")
    page.get_by_role("button", name="Stop, refer").click()
    page.get_by_role("textbox").wait_for()
    _one_first_heading(page)
    page.goto(f"{address}?view=recorder{JOB}")
    page.get_by_role("button", name="READ", exact=True).click()
    page.get_by_role("status").filter(has_text="Time stopped").wait_for()
    _one_first_heading(page)
    page.close()
    page = opened(browser, f"{address}?starting{JOB}", (390, 844), faults)
    page.get_by_role("heading", level=1).wait_for(state="attached")
    _one_first_heading(page)
    page.close()
    assert faults == []


WARNED = """() => {
  const part = document.querySelector(".caution");
  const word = part.querySelector("strong");
  const plate = getComputedStyle(word).backgroundColor;
  return [part.getAttribute("aria-label"), word.innerText, plate !== "rgba(0, 0, 0, 0)",
    part.querySelector("path").getAttribute("d").split("L").length];
}"""


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("inline_pad_caution", ["Warning", "WARNING", True, 5]),
        ("verdict_gross", ["Caution", "CAUTION", False, 3]),
    ],
)
def test_a_warning_is_told_from_a_caution_by_word_plate_and_pattern(
    browser: Browser, address: str, faults: list[str], name: str, told: list[str | bool | int]
) -> None:
    """By a screen reader too, and without colour."""
    page = opened(browser, f"{address}?view={name}{JOB}", SIZES["320"], faults)
    page.locator(".caution path").first.wait_for(state="attached")
    assert page.evaluate(WARNED) == told
    page.close()
    assert faults == []


@pytest.mark.parametrize("size", [(1280, 800), (640, 360), (390, 844)])
def test_so_has_a_hold_that_calls_beside_the_jobs_or_lies_on_its_side(
    size: tuple[int, int], browser: Browser, address: str, faults: list[str]
) -> None:
    page = opened(browser, f"{address}?view=recorder&left=12{JOB}", size, faults)
    _one_first_heading(page)
    page.locator(".strip.call").wait_for()
    _one_first_heading(page)
    assert page.get_by_role("heading", level=1).inner_text() == "Pressure hold"
    page.close()
    assert faults == []


@pytest.mark.parametrize("size", SIZES)
def test_reading_is_two_moments(
    size: str, browser: Browser, address: str, faults: list[str]
) -> None:
    """READ freezes the time; the value is typed after, and stored with that time."""
    page = opened(browser, f"{address}?view=recorder{JOB}", SIZES[size], faults)
    page.get_by_role("button", name="READ", exact=True).click()
    strip = page.get_by_role("status").filter(has_text="Time stopped")
    stopped = strip.inner_text()
    assert page.get_by_role("button", name="Waits: value not typed").is_disabled()
    for key in ("9", "5", "Decimal point", "5", "Erase", "5"):
        page.get_by_role("button", name=key, exact=True).click()
    _everything_on_screen(page, SIZES[size][1])
    page.wait_for_timeout(1100)
    assert strip.inner_text() == stopped
    page.get_by_role("button", name="STORE 95.5").click()
    page.get_by_role("status").filter(has_text="Saved").wait_for(state="attached")
    event = page.evaluate(LAST_EVENT)
    page.close()
    assert (event["typed"], event["unit"], event["field"]) == ("95.5", "kPa", "hold.pressure")
    assert event["kind"] == "reading"
    assert faults == []


# What the phone holds, newest event last.
LAST_EVENT = """() => new Promise((resolve) => {
  indexedDB.open("weeptrace").onsuccess = ({ target }) => {
    const all = target.result.transaction("events").objectStore("events").getAll();
    all.onsuccess = () => resolve(all.result.at(-1));
  };
})"""


def _everything_on_screen(page: Page, height: int) -> None:
    for key in ["1", "9", "0", "Decimal point", "Erase", "Minus 1", "Plus 1", "Same as last 96"]:
        box = page.get_by_role("button", name=key, exact=True).bounding_box()
        assert box is not None
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= height


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (-3550, r"late 59:\d\d"),
        (-3610, rf"late 1{NBSP}h 0{NBSP}min"),
        (-34700, rf"late 9{NBSP}h 38{NBSP}min"),
        (-360010, rf"late 100{NBSP}h 0{NBSP}min"),
    ],
)
def test_a_reading_that_is_late_by_hours_says_so_in_the_width_of_a_phone(
    seconds: int, words: str, browser: Browser, address: str, faults: list[str]
) -> None:
    for width, height in SIZES.values():
        url = f"{address}?view=recorder&left={seconds}{JOB}"
        page = opened(browser, url, (width, height), faults)
        timer = page.get_by_role("timer")
        assert re.fullmatch(words, timer.inner_text())
        box = timer.bounding_box()
        assert box is not None
        side = page.evaluate(SIDE)
        assert side <= box["x"]
        assert box["x"] + box["width"] <= width - side + 0.5
        page.close()
    assert faults == []


# What stays free beside the content, CSS px.
SIDE = "() => parseFloat(getComputedStyle(document.querySelector('.content')).paddingLeft)"


def test_half_typed_reading_outlives_the_page(
    browser: Browser, address: str, faults: list[str]
) -> None:
    page = opened(browser, f"{address}?view=recorder{JOB}", (390, 844), faults)
    page.get_by_role("button", name="READ", exact=True).click()
    page.get_by_role("button", name="9", exact=True).click()
    page.wait_for_timeout(300)
    left = page.evaluate("Date.now()")
    page.goto("about:blank")
    page.wait_for_timeout(300)
    page.goto(address + "?view=recorder")
    page.get_by_role("button", name="STORE 9").click()
    page.get_by_role("status").filter(has_text="Saved").wait_for(state="attached")
    event = page.evaluate(LAST_EVENT)
    assert event["typed"] == "9"
    assert page.evaluate("(at) => Date.parse(at)", event["at"]) < left
    page.close()
    assert faults == []
