"""Several jobs, several tabs, pictures: what the shell does around one job's screen."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.gallery.pieces import say
from tests.browser.gallery.shots import SIZES

Json = dict[str, Any]

HELD = "01900000-0000-7000-8000-0000000000a1"  # its recorder runs
OTHER = "01900000-0000-7000-8000-0000000000b1"

# All that a store of the phone holds.
STORED = """(name) => new Promise((resolve) => {
  indexedDB.open("weeptrace").onsuccess = ({ target }) => {
    const all = target.result.transaction(name).objectStore(name).getAll();
    all.onsuccess = () => { target.result.close(); resolve(all.result); };
  };
})"""
NOTE_VIBRATION = """window.vibrated = [];
Object.defineProperty(navigator, "vibrate", { value: (ms) => window.vibrated.push(ms) });"""


@pytest.fixture
def errors() -> list[str]:
    """What the pages complained of."""
    return []


@pytest.fixture
def phone_of_one(browser: Browser, address: str, errors: list[str]) -> Iterator[BrowserContext]:
    """A phone whose first question is answered, with a hold that runs."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, device_scale_factor=2, locale="en-GB"
    )
    context.set_default_timeout(60_000)  # ms: the machine may be busy
    context.add_init_script(NOTE_VIBRATION)
    context.on("weberror", lambda error: errors.append(str(error.error)))
    context.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    page = context.new_page()
    page.goto(f"{address}?view=choice&running={HELD}#job={HELD}")
    page.get_by_role("button", name="kPa").click()
    expect(key(page, "READ")).to_be_visible()
    page.close()
    yield context
    context.close()


def key(page: Page, name: str) -> Any:
    """The key of exactly this name."""
    return page.get_by_role("button", name=name, exact=True)


def running_key(page: Page) -> Any:
    """The key that reads the recorder of another job."""
    return page.get_by_role("navigation", name="Running").get_by_role("button")


def events(page: Page, job: str) -> list[Json]:
    """The events of a job, in order."""
    return [event for event in page.evaluate(STORED, "events") if event["job"] == job]


def readings(page: Page) -> list[Json]:
    """The readings of the hold that runs."""
    return [event for event in events(page, HELD) if event["kind"] == "reading"]


@pytest.mark.parametrize("size", SIZES)
def test_a_hold_is_read_from_another_job_and_one_comes_back(
    size: str, phone_of_one: BrowserContext, address: str, errors: list[str]
) -> None:
    width, height = SIZES[size]
    page = phone_of_one.new_page()
    page.set_viewport_size({"width": width, "height": height})
    page.goto(f"{address}?view=text&running={HELD}#job={OTHER}")
    page.get_by_label("Complaint").fill("smells sweet")
    expect(running_key(page)).to_have_text(re.compile(r"Larkspur 2.4\s+READ\s+0:\d\d"))
    box = running_key(page).bounding_box()
    assert box["height"] >= 48

    pressed = page.evaluate("Date.now()")
    running_key(page).click()
    expect(page.get_by_text("Time stopped")).to_be_visible()
    page.wait_for_timeout(1500)
    for digit in ("9", "5"):
        key(page, digit).click()
    page.get_by_role("button", name="STORE 95").click()

    expect(page.get_by_text(re.compile(r"Larkspur 2.4: 95\skPa saved \d\d:\d\d"))).to_be_visible()
    expect(page.get_by_label("Complaint")).to_have_value("smells sweet")
    (reading,) = readings(page)
    assert (reading["typed"], reading["unit"]) == ("95", "kPa")
    typed_after = page.evaluate("(at) => Date.parse(at)", reading["at"]) - pressed
    assert -50 <= typed_after < 1000, "the time is the press's, not the typing's"
    assert [e["typed"] for e in events(page, OTHER) if e["kind"] != "resumed"] == []
    assert page.evaluate(STORED, "drafts") == []
    assert errors == []


def test_a_hold_is_read_from_the_list_and_from_the_menu(
    phone_of_one: BrowserContext, address: str, errors: list[str]
) -> None:
    page = phone_of_one.new_page()
    page.goto(f"{address}?running={HELD}")
    key(page, "Back").click()
    expect(key(page, "New job")).to_be_visible()
    running_key(page).click()
    key(page, "9").click()
    page.get_by_role("button", name="STORE 9").click()
    expect(key(page, "New job")).to_be_visible()
    expect(page.get_by_text(re.compile("saved"))).to_be_visible()

    key(page, "Menu").click()
    page.get_by_role("dialog").get_by_role("button", name="Larkspur 2.4 READ").click()
    expect(page.get_by_text("Time stopped")).to_be_visible()
    key(page, "Back").click()  # nothing typed, nothing stored
    expect(key(page, "New job")).to_be_visible()
    assert [event["typed"] for event in readings(page)] == ["9"]
    assert page.evaluate(STORED, "drafts") == []
    assert errors == []


def test_a_refused_reading_is_told_where_one_is(phone_of_one: BrowserContext, address: str) -> None:
    page = phone_of_one.new_page()
    page.goto(f"{address}?view=choice&running={HELD}&refuse=Too+much.#job={OTHER}")
    running_key(page).click()
    key(page, "9").click()
    page.get_by_role("button", name="STORE 9").click()
    expect(page.get_by_text("Larkspur 2.4: Too much.")).to_be_visible()
    expect(page.get_by_role("heading", name=say("step.place.title"))).to_be_visible()
    assert len(readings(page)) == 1, "stored all the same"


def test_a_call_comes_on_another_job_by_the_jobs_name(
    phone_of_one: BrowserContext, address: str
) -> None:
    page = phone_of_one.new_page()
    page.goto(f"{address}?view=choice&running={HELD}&left=12#job={HELD}")
    expect(key(page, "READ")).to_be_visible()
    page.evaluate("(job) => { location.hash = `job=${job}`; }", OTHER)
    page.evaluate("dispatchEvent(new PopStateEvent('popstate'))")
    expect(page.get_by_text(re.compile(r"In 10\ss. Larkspur 2.4: read the needle"))).to_be_visible()
    assert page.evaluate("window.vibrated") == [[80]]


def test_two_tabs_do_not_act_on_one_job(
    phone_of_one: BrowserContext, address: str, errors: list[str]
) -> None:
    here = f"{address}?view=recorder&running={HELD}#job={HELD}"
    notice = "This job is open in another tab. Close it there, or take it over here."
    first = phone_of_one.new_page()
    first.goto(here)
    key(first, "READ").click()
    expect(first.get_by_text("Time stopped")).to_be_visible()
    key(first, "9").click()

    second = phone_of_one.new_page()
    second.goto(here)
    expect(second.get_by_text(notice)).to_be_visible()
    expect(second.get_by_text("Pressure hold").first).to_be_visible()  # what was seen last
    expect(second.get_by_role("button", name="READ")).to_have_count(0)
    before = len(events(second, HELD))
    key(second, "Take it over here").click()
    expect(second.get_by_role("button", name="STORE 9")).to_be_visible()  # half typed over there

    expect(first.get_by_text(notice)).to_be_visible()
    expect(key(first, "9")).to_have_count(0)
    first.keyboard.press("5")
    key(second, "6").click()
    second.get_by_role("button", name="STORE 96").click()
    expect(key(second, "READ")).to_be_visible()
    assert [event["typed"] for event in readings(second)] == ["96"]
    assert len(events(second, HELD)) == before + 2  # taken up again, and the reading

    second.close()  # the first one acts again by itself
    expect(first.get_by_text(notice)).to_have_count(0)
    key(first, "READ").click()
    key(first, "8").click()
    first.get_by_role("button", name="STORE 8").click()
    expect(key(first, "READ")).to_be_visible()
    assert [event["typed"] for event in readings(first)] == ["96", "8"]
    assert errors == []


# A photograph as a phone takes it: 2000 x 1000 px, with the place in it.
PHOTOGRAPH = """() => {
  const canvas = Object.assign(document.createElement("canvas"), { width: 2000, height: 1000 });
  canvas.getContext("2d").fillRect(200, 200, 600, 300);
  return canvas.toDataURL("image/jpeg").split(",")[1];
}"""
PLACE = b"Exif\0\0MM\0*\0\0\0\x08\0\0GPS 47.0001 N"
KEPT = """async () => {
  const db = await new Promise((resolve) => {
    indexedDB.open("weeptrace").onsuccess = ({ target }) => resolve(target.result);
  });
  const store = db.transaction("photos").objectStore("photos");
  const read = (asked) => new Promise((resolve) => {
    asked.onsuccess = () => resolve(asked.result);
  });
  const [ids, blobs] = await Promise.all([read(store.getAllKeys()), read(store.getAll())]);
  db.close();
  return Promise.all(blobs.map(async (blob, i) => {
    const { width, height } = await createImageBitmap(blob);
    const text = new TextDecoder("latin1").decode(await blob.arrayBuffer());
    return { id: ids[i], type: blob.type, width, height, text };
  }));
}"""


def test_a_picture_is_kept_small_without_its_place_and_can_be_erased(
    phone_of_one: BrowserContext, address: str, errors: list[str]
) -> None:
    page = phone_of_one.new_page()
    page.goto(f"{address}?view=photo#job={OTHER}")
    plain = base64.b64decode(page.evaluate(PHOTOGRAPH))
    segment = b"\xff\xe1" + (len(PLACE) + 2).to_bytes(2, "big") + PLACE
    picture = plain[:2] + segment + plain[2:]

    def take(name: str, kind: str, content: bytes) -> None:
        with page.expect_file_chooser() as asked:
            key(page, say("step.photo_wet.main")).click()
        assert asked.value.element.get_attribute("accept") == "image/*"
        assert asked.value.element.get_attribute("capture") == "environment"
        asked.value.set_files({"name": name, "mimeType": kind, "buffer": content})

    take("notes.jpg", "image/jpeg", b"no picture at all")
    expect(page.get_by_text("That file is no picture that this phone can read.")).to_be_visible()
    assert page.evaluate(KEPT) == []
    assert [event for event in events(page, OTHER) if event["kind"] == "photo"] == []

    take("seam.jpg", "image/jpeg", picture)
    expect(page.get_by_role("img", name="picture 1")).to_be_visible()
    (kept,) = page.evaluate(KEPT)
    assert (kept["type"], kept["width"], kept["height"]) == ("image/jpeg", 1600, 800)
    assert "Exif" not in kept["text"]
    assert "47.0001" not in kept["text"]
    (event,) = [event for event in events(page, OTHER) if event["kind"] == "photo"]
    assert event["typed"] == kept["id"]
    assert event["field"] == "gallery.picture"

    key(page, "Erase: picture 1").click()
    assert len(page.evaluate(KEPT)) == 1  # asked, not done
    key(page, "Erase for good: picture 1").click()
    expect(page.get_by_text("Picture erased")).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("Erase"))).to_have_count(0)
    assert page.evaluate(KEPT) == []
    assert event in events(page, OTHER)
    page.reload()
    expect(page.get_by_text("Picture erased")).to_be_visible()
    assert errors == []


def test_a_signature_is_drawn_kept_as_a_picture_and_not_kept_empty(
    phone_of_one: BrowserContext, address: str, errors: list[str]
) -> None:
    page = phone_of_one.new_page()
    page.goto(f"{address}?view=signature#job={OTHER}")
    paper = page.get_by_role("img", name="Sign here")
    key(page, "Signed").click()  # nothing is drawn
    box = paper.bounding_box()
    for strokes, press in ((1, "Clear"), (2, "")):
        for stroke in range(strokes):
            page.mouse.move(box["x"] + 40, box["y"] + 40 + 30 * stroke)
            page.mouse.down()
            page.mouse.move(box["x"] + 200, box["y"] + 90)
            page.mouse.up()
        if press:
            key(page, press).click()
            key(page, "Signed").click()
            assert page.evaluate(KEPT) == []
    key(page, "Signed").click()
    expect(page.get_by_text(re.compile("Saved")).first).to_be_visible()
    (kept,) = page.evaluate(KEPT)
    assert kept["type"] == "image/jpeg"
    assert kept["height"] >= 300  # 160 px at two dots a px
    (event,) = [event for event in events(page, OTHER) if event["kind"] == "photo"]
    assert event["typed"] == kept["id"]
    assert errors == []
