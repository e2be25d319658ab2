"""The record leaves the phone as one file, and is read and printed elsewhere without a network."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.browser.conftest import NARROW, PHONE, Phone, Server, phone_with_server
from tests.browser.stretches import press_the_row
from tests.browser.technician import Technician
from tests.screen.records import measured
from weeptrace.job.files import to_text

# A photograph of something black on white, larger than what is kept.
PHOTOGRAPH = """() => {
  const canvas = Object.assign(document.createElement("canvas"), { width: 2000, height: 1500 });
  const paper = canvas.getContext("2d");
  paper.fillStyle = "white";
  paper.fillRect(0, 0, 2000, 1500);
  paper.fillStyle = "black";
  paper.fillRect(500, 300, 600, 700);
  return canvas.toDataURL("image/jpeg").split(",")[1];
}"""
# A phone that shares: keeps what it was given; refuses where the test says so.
SHARES = """(refuses) => {
  window.shared = [];
  navigator.canShare = ({ files }) => files.length === 1;
  navigator.share = async ({ files: [file] }) => {
    window.shared.push({ name: file.name, type: file.type, text: await file.text() });
    if (refuses) throw new DOMException("not here", refuses);
  };
}"""


@pytest.fixture(scope="module")
def with_the_record(
    playwright: Playwright, dist: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Technician]:
    """A job that lacks one picture is opened from its file, and the picture is taken."""
    folder = tmp_path_factory.mktemp("record")
    with phone_with_server(playwright, dist, folder) as (phone, server):
        yield _photographed(phone, server, folder / "job.json")


def _photographed(phone: Phone, server: Server, file: Path) -> Technician:
    other = {"job": "01990000-0000-7000-8000-0000000000a1", "device": "0"}  # before this phone's
    events = [{**event, **other} for event in measured(None).events]
    file.write_text(to_text(events), "utf-8")
    tech = Technician(phone, server.url)
    server.stop()
    tech.press("kPa, °C, litres")
    tech.page.get_by_label("Open a job file").set_input_files(file)
    tech.title("Picture of it wet")
    picture = base64.b64decode(tech.page.evaluate(PHOTOGRAPH))
    with tech.page.expect_file_chooser() as asked:
        tech.main("Take a picture")
    asked.value.set_files({"name": "seam.jpg", "mimeType": "image/jpeg", "buffer": picture})
    press_the_row(tech, "The fan is disconnected", "Fan reconnected")
    tech.title("Hand-over record")
    return tech


@pytest.fixture
def photographed(with_the_record: Technician) -> Technician:
    """The app opened anew on that record, without a network; nothing was complained of yet."""
    tech = with_the_record
    tech.page.reload()
    tech.title("Hand-over record")
    tech.phone.errors.clear()
    tech.phone.foreign.clear()
    return tech


@contextmanager
def opened(tech: Technician, file: Path) -> Iterator[Page]:
    """The saved file on a phone without a network."""
    context = tech.phone.context
    assert context is not None
    context.set_offline(True)
    page = context.new_page()
    page.goto(file.as_uri())
    yield page
    page.close()


def wider_than_the_screen(page: Page) -> int:
    wide: int = page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
    return wide


def pages_of(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def test_the_saved_record_is_whole_without_a_network(
    photographed: Technician, tmp_path: Path
) -> None:
    html = photographed.downloads("Save record", tmp_path / "record.html")
    assert html.count("data:image/jpeg;base64,") == 1
    with opened(photographed, tmp_path / "record.html") as page:
        page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})

        picture = page.get_by_role("img", name=re.compile("^Picture, wet, "))
        picture.scroll_into_view_if_needed()
        expect(picture).to_be_visible()
        assert picture.evaluate("(img) => [img.naturalWidth, img.naturalHeight]") == [1600, 1200]
        for kind, count in (("plot", 2), ("class-rule", 1), ("day", 1), ("fluids", 1)):
            drawn = page.locator(f"svg.{kind}")
            expect(drawn).to_have_count(count)
            box = drawn.first.bounding_box()
            assert box is not None
            assert box["width"] > 300
            assert box["height"] > 60
        assert wider_than_the_screen(page) <= 0

        # Nothing that was not checked is told in smaller letters than what was found.
        sizes = """(part) => [...document.querySelectorAll(part)]
            .map((each) => parseFloat(getComputedStyle(each).fontSize))"""
        unchecked = page.evaluate(sizes, ".not_checked li")
        found = page.evaluate(sizes, ".compared td, .cause td, .coolant td")
        assert min(unchecked) >= max(found)

        page.set_viewport_size({"width": NARROW[0], "height": NARROW[1]})
        assert wider_than_the_screen(page) <= 0
        for part in page.locator("svg, img, td, h1, h2").all():
            box = part.bounding_box()
            assert box is None or box["x"] + box["width"] <= NARROW[0]
    assert photographed.phone.errors == []
    assert photographed.phone.foreign == [(tmp_path / "record.html").as_uri()]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_two_sheets(photographed: Technician, tmp_path: Path, paper: str) -> None:
    photographed.downloads("Save record", tmp_path / "record.html")
    with opened(photographed, tmp_path / "record.html") as page:
        assert pages_of(page.pdf(format=paper)) in (1, 2)
        page.emulate_media(media="print")
        page.set_viewport_size({"width": 688, "height": 1000})  # A4 within its margins
        plots = [each.bounding_box() for each in page.locator("svg.plot").all()]
        assert plots[0] is not None
        assert plots[1] is not None
        assert plots[0]["y"] == plots[1]["y"]  # side by side
        assert plots[0]["x"] + plots[0]["width"] < plots[1]["x"]
        for side in ("width", "height"):
            assert plots[0][side] == pytest.approx(plots[1][side], abs=0.1)  # px
        size = page.locator("h1").evaluate("(h1) => parseFloat(getComputedStyle(h1).fontSize)")
        assert size == pytest.approx(20 / 72 * 96, abs=0.01)  # 20 pt


def test_the_record_is_shared_where_the_phone_can(photographed: Technician) -> None:
    photographed.page.evaluate(SHARES, None)
    photographed.press("Save record")
    photographed.page.wait_for_function("() => window.shared.length === 1")
    (file,) = photographed.page.evaluate("() => window.shared")
    assert file["name"] == "L-014-record.html"
    assert file["type"] == "text/html"
    assert "data:image/jpeg;base64," in file["text"]
    assert "did not share" not in photographed.text()


def test_a_refused_share_is_told_and_the_file_is_downloaded(
    photographed: Technician, tmp_path: Path
) -> None:
    photographed.page.evaluate(SHARES, "NotAllowedError")
    html = photographed.downloads("Save record", tmp_path / "record.html")
    assert "<!doctype html>" in html
    photographed.sees("This phone did not share L-014-record.html. It is among the downloads")


def test_a_share_that_the_hand_closes_gives_no_second_file(photographed: Technician) -> None:
    photographed.page.evaluate(SHARES, "AbortError")
    given: list[str] = []
    photographed.page.on("download", lambda file: given.append(file.suggested_filename))
    photographed.press("Save record")
    photographed.page.wait_for_function("() => window.shared.length === 1")
    photographed.wait(2.0)
    photographed.press("Menu")
    photographed.press("Record so far")
    photographed.title("Hand-over record")
    assert given == []
    assert "did not share" not in photographed.text()
