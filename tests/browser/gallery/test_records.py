"""The hand-over record is no wider than the phone, on its page and as the file that leaves it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.gallery.record_views import JOBS, record_views
from tests.browser.gallery.shots import JOB, opened
from tests.screen.records import RULES, mended_before, record, with_every_section
from weeptrace import screen
from weeptrace.job.advance import fold
from weeptrace.screen.figures import Show
from weeptrace.screen.record.drawing.day import Stretch, day
from weeptrace.screen.record.facts import sections
from weeptrace.screen.record.style import STYLE

WIDTHS = (320, 360, 390)
ROWS = 12  # of a day; of more phases the shortest are told together

# Every line of text that is drawn beyond the window's sides, every word of a drawing that stands on
# another (lines may touch by 6 px, which is leading), and by how much the page scrolls.
OUTSIDE = """() => {
  const found = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let text; (text = texts.nextNode()); ) {
    if (!text.data.trim() || text.parentElement.closest(".hidden, style")) continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    for (const { left, right, width } of range.getClientRects())
      if (width > 0 && (left < -0.5 || right > innerWidth + 0.5)) found.push(text.data.trim());
  }
  const over = [];
  for (const drawing of document.querySelectorAll("svg:is(.day, .fluids)")) {
    const words = [...drawing.querySelectorAll("text")];
    const boxes = words.map((word) => word.getBoundingClientRect());
    boxes.forEach((a, i) => boxes.slice(0, i).forEach((b, k) => {
      const beside = a.right <= b.left || b.right <= a.left;
      const apart = a.bottom <= b.top + 6 || b.bottom <= a.top + 6;
      if (!beside && !apart) over.push(`${words[i].textContent} on ${words[k].textContent}`);
    }));
  }
  const page = document.querySelector("main") ?? document.documentElement;
  return { found, over, wider: page.scrollWidth - page.clientWidth, height: page.scrollHeight };
}"""


def test_the_jobs_have_every_section_that_a_record_can_have() -> None:
    show = Show(RULES, screen.preferences(None, RULES).units)
    have: set[str] = set()
    for made in (with_every_section, mended_before):
        have |= set(sections(show, fold(RULES, made().events)))
    # Those of the record, as its headings name them.
    named = {id.removeprefix("record.") for id in RULES.texts if id.startswith("record.")}
    assert have == {
        "car", "found", "cause", "other_holds", "tests", "quote", "parts", "coolant", "balance",
        "transmission", "warm", "after_work", "earlier", "watch", "tester", "not_checked", "owner",
    }  # fmt: skip
    assert have <= named


def _no_text_outside(page: Page, what: str) -> None:
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 664})
        told = page.evaluate(OUTSIDE)
        assert told["height"] > 1500, what  # it is the whole record that was looked at
        assert told["found"] == [], (what, width)
        assert told["over"] == [], (what, width)
        assert told["wider"] == 0, (what, width)


@pytest.mark.parametrize("name", record_views())
def test_no_word_of_the_record_leaves_the_phone(name: str, browser: Browser, address: str) -> None:
    faults: list[str] = []
    page = opened(browser, f"{address}?core&view={quote(name)}{JOB}", (320, 664), faults)
    page.get_by_role("heading", name="Hand-over record").wait_for()
    _no_text_outside(page, name)
    page.close()
    assert faults == []


def test_no_phase_of_the_day_stands_on_its_time(browser: Browser) -> None:
    """Whatever phases a day had, and however long their names are."""
    phases = RULES.procedures["coolant_loss"].phases
    names = {phase.id: RULES.text(f"phase.{phase.id}") for phase in phases}
    began = datetime(2026, 11, 25, 11, 8, tzinfo=UTC)
    lasted = timedelta(minutes=20)
    show = Show(RULES, RULES.unit_sets[0]["units"])
    drawn = [
        day(show, names, [Stretch(id, began + n * lasted, began + (n + 1) * lasted)
                    for n, id in enumerate(list(names)[first : first + ROWS])])
        for first in range(0, len(names), ROWS)
    ]  # fmt: skip
    assert sum(one.count(">11:08<") for one in drawn) == len(drawn)
    page = browser.new_page(viewport={"width": 320, "height": 664})
    page.set_content(f"<style>{STYLE}</style>{''.join(drawn)}")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 664})
        told = page.evaluate(OUTSIDE)
        assert told["over"] == []
        assert told["found"] == []
    page.close()


@pytest.mark.parametrize("name", JOBS)
def test_no_word_of_the_file_leaves_the_phone(name: str, browser: Browser) -> None:
    page = browser.new_page(viewport={"width": 320, "height": 664})
    for units in RULES.unit_sets:
        page.set_content(record(JOBS[name](), preferences={"units": units["units"]}))
        _no_text_outside(page, f"{name}, {units['id']}")
    page.close()
