"""Every key of every number pad stands in the window, with its step's caution and with a notice."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser

from tests.browser.gallery.pad_views import RECORDERS, RULES, pad_views
from tests.browser.gallery.shots import JOB, opened
from tests.browser.gallery.test_gallery import LAST_EVENT

Json = dict[str, Any]

# The narrowest phone, a common one with its browser's address bar, the same without.
SIZES = [(320, 640), (390, 664), (390, 844)]
LEAST = 48.0  # of a key, CSS px
LINES = 56.0  # px of the part that scrolls: two lines of a prompt at once, or of a notice

# Draws every view in turn, opens the pad where it has a page of its own, and measures.
MEASURE = """async (names) => {
  const until = async (met) => {
    for (const end = performance.now() + 10000; !met(); ) {
      if (performance.now() > end) throw new Error(`${met} at ${document.body.innerText}`);
      await new Promise((go) => setTimeout(go));
    }
  };
  const one = (name) => document.querySelector(name);
  const box = (element, { left, top, right, bottom, height } = element.getBoundingClientRect()) => {
    const hit = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
    const name = element.getAttribute("aria-label") ?? element.innerText;
    return { name, left, top, right, bottom, height, hit: element.contains(hit) };
  };
  const lines = (element) => [...(element?.getClientRects() ?? [])].map((one) => box(element, one));
  const show = async ([name, number]) => {
    showView(name);
    await until(() => one(".number").textContent === number);
  };
  const found = [];
  for (const [name, number, own, types] of names) {
    await show([name, number]);
    if (own) {
      one(".main:not(.waiting)").click();
      await until(() => one("h1.label"));
    }
    const more = one(".more");
    found.push({
      name,
      keys: [...document.querySelectorAll(".key.number")].map((key) => box(key)),
      main: box(one(".keys > .main")),
      seconds: [...document.querySelectorAll(".keys .key.second")].map((key) => box(key)),
      caution: lines(one(".caution p")),
      more: more.hidden ? null : box(more),
      content: box(one("main")),
      scrolls: getComputedStyle(one("main")).overflowY,
      wide: document.documentElement.scrollWidth,
    });
    if (types) {
      for (let i = 0; i < 8; i += 1) one('.key.number[aria-label="8"]').click();
      await until(() => one(".typed output").textContent === "88888888");
      const last = found.at(-1);
      last.typed = [...document.querySelectorAll(".key.number")].map((key) => box(key));
      last.store = box(one(".keys > .main"));
      last.words = [...document.querySelectorAll(".pad :is(.label, .hints, output, .unit)")]
        .flatMap(lines);
    }
    if (own) {
      one("button[aria-label=Back]").click();
      await until(() => one(".title"));
    }
    if (types) await show(names[0]); // nothing stays typed
  }
  return found;
}"""


def test_every_step_that_asks_a_number_is_among_the_views() -> None:
    asking = {
        step.id
        for procedure in RULES.procedures.values()
        for step in procedure.steps
        if (step.asks and RULES.fields[step.asks].numeric) or step.shows in RECORDERS
    }
    assert {name.split(",")[0] for name in pad_views()} == {
        *asking,
        "cold gate",
        "stop.above_rating",
    }
    assert len(asking) > 50


@pytest.fixture(scope="module")
def measured(browser: Browser, address: str) -> dict[tuple[int, int], list[Json]]:
    """What stands where, by the window's size."""
    views = pad_views()
    names = [
        (name, view["bar"]["number"], _opens(view), name.endswith("kpa, plain"))
        for name, view in views.items()
    ]
    faults: list[str] = []
    page = opened(browser, f"{address}?core&view={names[0][0]}{JOB}", SIZES[0], faults)
    found = {}
    for size in SIZES:
        page.set_viewport_size({"width": size[0], "height": size[1]})
        found[size] = page.evaluate(MEASURE, names)
    page.close()
    assert faults == []
    return found


def _opens(view: Json) -> bool:
    """Whether the pad is behind the main key: READ, or "Measure again"."""
    main = view["foot"]["main"]
    return main is not None and bool({"read", "pad"} & set(main["do"]))


@pytest.mark.parametrize("size", SIZES)
def test_every_key_of_a_pad_is_in_the_window_under_its_finger(
    size: tuple[int, int], measured: dict[tuple[int, int], list[Json]]
) -> None:
    wrong = [
        (page["name"], key["name"])
        for page in measured[size]
        for key in [*page["keys"], page["main"], *page["seconds"]]
        if not (_inside(key, size) and key["hit"] and key["height"] >= LEAST - 0.01)
    ]
    assert wrong == []
    for page in measured[size]:
        assert all(key["right"] < page["main"]["left"] for key in page["seconds"]), page["name"]
        names = [key["name"] for key in page["keys"]]
        assert [*"123456789"] == names[:9], page["name"]
        assert {"0", "Decimal point", "Erase"} <= set(names[9:]), page["name"]
        assert len(names) == 12 + ("Sign" in names), page["name"]
        assert page["wide"] <= size[0], page["name"]


@pytest.mark.parametrize("size", SIZES)
def test_the_caution_stands_over_the_keys_and_covers_none(
    size: tuple[int, int], measured: dict[tuple[int, int], list[Json]]
) -> None:
    views = pad_views()
    told = 0
    for page in measured[size]:
        words = views[page["name"]]["foot"]["caution"]
        assert bool(page["caution"]) == (words is not None), page["name"]
        told += bool(page["caution"])
        for line in page["caution"]:
            assert line["name"] == words["text"], page["name"]
            assert _inside(line, size), page["name"]
            assert line["hit"], page["name"]
            assert line["bottom"] <= min(key["top"] for key in page["keys"]), page["name"]
    assert told > 20


@pytest.mark.parametrize("size", SIZES)
def test_no_key_moves_under_the_finger_while_the_longest_number_is_typed(
    size: tuple[int, int], measured: dict[tuple[int, int], list[Json]]
) -> None:
    typed = [page for page in measured[size] if "typed" in page]
    assert len(typed) > 50
    for page in typed:
        assert page["typed"] == page["keys"], page["name"]
        assert page["store"]["name"].startswith("STORE"), page["name"]
        assert _inside(page["store"], size), page["name"]
        assert page["store"]["hit"], page["name"]
        assert [words["name"] for words in page["words"] if not _inside(words, size)] == []


@pytest.mark.parametrize("size", SIZES)
def test_prompt_and_notice_keep_lines_to_be_read_and_the_tab_lies_on_no_key(
    size: tuple[int, int], measured: dict[tuple[int, int], list[Json]]
) -> None:
    for page in measured[size]:
        assert page["content"]["height"] >= LINES, page["name"]
        assert page["scrolls"] == "auto", page["name"]
        if page["more"] is not None:
            lowest = min(key["top"] for key in page["keys"])
            assert page["more"]["bottom"] <= lowest, page["name"]


def test_the_notice_before_a_hold_measures_again_beside_what_is_being_typed(
    browser: Browser, address: str
) -> None:
    faults: list[str] = []
    name = quote("pump_up, kpa, warm")
    page = opened(browser, f"{address}?core&view={name}{JOB}", (320, 640), faults)
    before = page.evaluate("Date.now()")
    page.get_by_role("button", name="Too warm: measure again").click()
    page.get_by_role("heading", name="Housing or tank, the higher", level=1).wait_for()
    assert page.get_by_label("Caution").is_visible()  # as on the page that it was pressed on
    page.get_by_role("button", name="1", exact=True).click()
    page.get_by_role("button", name="6", exact=True).click()
    page.get_by_role("button", name="STORE 16").click()
    page.get_by_role("heading", name="Pump up", level=1).wait_for()
    page.get_by_role("button", name="Waits: value not typed").wait_for()
    event = page.evaluate(LAST_EVENT)
    page.close()
    assert (event["kind"], event["field"]) == ("fact", "coolant.temperature")
    assert (event["typed"], event["unit"]) == ("16", "°C")
    assert "supersedes" not in event
    told = datetime.fromisoformat(event["at"]).timestamp() * 1000.0
    assert before <= told <= before + 60_000.0
    assert faults == []


def _inside(box: Json, size: tuple[int, int]) -> bool:
    return bool(
        box["left"] >= 0
        and box["top"] >= 0
        and box["right"] <= size[0]
        and box["bottom"] <= size[1]
    )
