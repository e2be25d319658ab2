"""A phone whose store is poisoned, shut, newer than the app, or holds thousands of jobs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.gallery.pieces import say
from tests.browser.technician import PATIENCE

OWN = "01900000-0000-7000-8000-0000000000a1"
GHOST = "01900000-0000-7000-8000-0000000000b1"
PAST = 2**53  # the first number that has no next one in a program that counts in doubles

# The store of the third version, as the app laid it out then.
LAY_OUT = """(version) => new Promise((resolve) => {
  const opening = indexedDB.open("weeptrace", version);
  opening.onupgradeneeded = () => {
    const db = opening.result;
    for (const name of ["bundles", "photos", "drafts", "settings"]) db.createObjectStore(name);
    db.createObjectStore("events", { keyPath: ["device", "seq"] }).createIndex("job", "job");
    db.createObjectStore("views", { keyPath: "job" });
  };
  opening.onsuccess = () => { opening.result.close(); resolve(); };
})"""
FILL = """([store, rows]) => new Promise((resolve, reject) => {
  indexedDB.open("weeptrace").onsuccess = ({ target: { result: db } }) => {
    const write = db.transaction(store, "readwrite");
    for (const [value, ...key] of rows) write.objectStore(store).put(value, ...key);
    write.oncomplete = () => { db.close(); resolve(); };
    write.onerror = () => reject(write.error);
  };
})"""
STORED = """(name) => new Promise((resolve) => {
  indexedDB.open("weeptrace").onsuccess = ({ target: { result: db } }) => {
    const all = db.transaction(name).objectStore(name).getAll();
    all.onsuccess = () => { db.close(); resolve(all.result); };
  };
})"""
KINDS = f"""([job, kind]) => ({STORED})("events").then((all) =>
  all.some((each) => each.job === job && each.kind === kind))"""
COUNT = STORED.replace("getAll", "count")
PREFERENCES = {"unit_set": "kpa", "units": {}, "language": "en", "sounds": False, "theme": "day"}


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport={"width": 390, "height": 844}, locale="en-GB")
    context.set_default_timeout(60_000)
    yield context
    context.close()


def event(number: int, job: str, seq: int, device: str, kind: str = "fact") -> dict[str, Any]:
    return {
        "id": f"01990000-0000-7000-8000-{number:012x}", "device": device, "seq": seq,
        "at": "2026-11-25T14:00:00.000+00:00", "mono": 1000, "boot": "b", "job": job,
        "kind": kind, "field": "car.name", "typed": "test", "unit": None,
    }  # fmt: skip


def laid_out(phone: BrowserContext, address: str) -> tuple[Page, dict[str, Any]]:
    """A page beside the app, its store laid out as before, and a view to fill it with."""
    page = phone.new_page()
    page.goto(f"{address}gallery/views.json")
    views: dict[str, Any] = json.loads(page.evaluate("document.body.innerText"))
    page.evaluate(LAY_OUT, 3)
    page.evaluate(FILL, ["settings", [[PREFERENCES, "preferences"], ["own", "device"]]])
    return page, views["gate"]


def key(page: Page, name: str) -> Any:
    return page.get_by_role("button", name=name, exact=True)


def card(page: Page, name: str) -> Any:
    return page.get_by_role("main").get_by_role("button", name=re.compile(name))


@pytest.fixture
def poisoned(phone: BrowserContext, address: str) -> Page:
    """A phone that an earlier version left so: a file numbered its last entry 2^53 - 1, that number
    and 2^53 are taken, and nothing has a number after them."""
    page, view = laid_out(phone, address)
    own = [event(1, OWN, 1, "own", "opened"), event(2, OWN, 2, "own")]
    ghost = [
        event(3, GHOST, 1, "other", "opened"), event(4, GHOST, PAST - 1, "other"),
        event(5, GHOST, PAST, "own", "resumed"),
    ]  # fmt: skip
    nameless = [event(6, "", 3, "other", "opened"), event(7, "calls", 4, "other", "opened")]
    page.evaluate(FILL, ["events", [[each] for each in (*own, *ghost, *nameless)]])
    page.evaluate(FILL, ["settings", [[PAST, "next_seq"], [1, "number_L"]]])
    seen = "2026-11-25T14:00:00.000+00:00"
    mine = {**view, "job": OWN, "bar": {"title": "My own car", "number": "L-001"}}
    kept = [
        {"job": OWN, "seen": seen, "view": mine},
        {"job": GHOST, "seen": seen, "view": {"bar": None}},
        {"job": "calls", "seen": seen, "view": None},
    ]
    page.evaluate(FILL, ["views", [[each] for each in kept]])
    page.goto(f"{address}?view=gate")
    return page


def test_a_poisoned_phone_heals_at_its_next_start(poisoned: Page, address: str) -> None:
    page = poisoned
    expect(card(page, "My own car")).to_be_visible(timeout=PATIENCE)
    key(page, "New job").click()
    expect(page).to_have_url(re.compile("#job="))
    made = page.url.partition("#job=")[2]
    expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=PATIENCE)
    key(page, "Back").click()
    card(page, "My own car").click()
    expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_text("Last seen")).to_have_count(0)
    page.wait_for_function(KINDS, arg=[OWN, "resumed"], timeout=PATIENCE)
    stored = page.evaluate(STORED, "events")
    assert len({(each["device"], each["seq"]) for each in stored}) == len(stored)
    assert max(each["seq"] for each in stored) < 1000
    assert {each["kind"] for each in stored if each["job"] == made} >= {"opened", "fact"}
    assert [each["kind"] for each in stored if each["job"] == OWN] == ["opened", "fact", "resumed"]
    ghost = sorted((each for each in stored if each["job"] == GHOST), key=lambda each: each["seq"])
    assert [each["kind"] for each in ghost][:3] == ["opened", "fact", "resumed"], "in their order"
    assert {each["job"] for each in stored} == {OWN, GHOST, made, "", "calls"}, "nothing is lost"


@pytest.mark.parametrize(
    ("seq", "size", "words"),
    [
        (2_000_000, 1, "counts far past this phone"),
        (3, 40_000_000, "larger than any job file"),
    ],
    ids=["ahead of all counting", "too large"],
)
def test_a_file_that_no_phone_wrote_is_refused_by_the_store(
    seq: int, size: int, words: str, phone: BrowserContext, address: str, tmp_path: Path
) -> None:
    """The core has let these events through; the store knows its own count."""
    page, _ = laid_out(phone, address)
    page.goto(f"{address}?view=gate")
    events = [event(1, GHOST, 1, "other", "opened"), event(2, GHOST, seq, "other")]
    file = tmp_path / "far.json"
    file.write_text(json.dumps({"job": GHOST, "events": events}) + " " * size)
    expect(key(page, "New job")).to_be_visible(timeout=PATIENCE)
    page.get_by_label("Open a job file").set_input_files(file)
    expect(page.get_by_text(words)).to_be_visible(timeout=PATIENCE)
    assert page.evaluate(STORED, "events") == []
    file.write_text(json.dumps({"job": GHOST, "events": [events[0]]}))
    page.get_by_label("Open a job file").set_input_files(file)
    expect(page).to_have_url(re.compile(GHOST), timeout=PATIENCE)


@pytest.mark.parametrize("ghost", [GHOST, "calls"])
def test_a_job_whose_view_is_damaged_is_listed_opened_and_left(poisoned: Page, ghost: str) -> None:
    page = poisoned
    expect(card(page, "A stored job")).to_have_count(2)
    page.evaluate("(job) => { location.hash = `#job=${job}`; }", ghost)
    expect(key(page, "Back")).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_text("another tab")).to_have_count(0)
    key(page, "Back").click()
    expect(card(page, "My own car")).to_be_visible(timeout=PATIENCE)


def test_a_job_that_can_not_be_folded_says_so_and_is_given_out(
    poisoned: Page, address: str, tmp_path: Path
) -> None:
    page = poisoned
    page.goto(f"{address}?view=gate&unfoldable={GHOST}#job={GHOST}")
    expect(page.get_by_role("heading", name="This job can't be shown")).to_be_visible(
        timeout=PATIENCE
    )
    expect(page.get_by_text("The app could not answer “open”.")).to_be_visible(timeout=PATIENCE)
    with page.expect_download() as caught:
        key(page, "Export the job").click()
    caught.value.save_as(tmp_path / "job.json")
    given = json.loads((tmp_path / "job.json").read_text("utf-8"))["events"]
    assert {each["job"] for each in given} == {GHOST}
    assert len(given) >= 3
    key(page, "All jobs").click()
    card(page, "My own car").click()
    expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_role("heading", name="This job can't be shown")).to_have_count(0)


def test_a_job_that_can_not_be_marked_as_opened_again_is_shown_all_the_same(
    phone: BrowserContext, address: str
) -> None:
    page, view = laid_out(phone, address)
    page.evaluate(FILL, ["events", [[event(1, OWN, 1, "own", "opened")]]])
    page.evaluate(
        FILL, ["views", [[{"job": OWN, "seen": event(1, OWN, 1, "own")["at"], "view": view}]]]
    )
    page.add_init_script("""IDBObjectStore.prototype.add = () => {
      throw new DOMException("full", "QuotaExceededError"); };""")
    page.goto(f"{address}?view=gate#job={OWN}")
    expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_text("could not store that the job was opened again")).to_be_visible(
        timeout=PATIENCE
    )


@pytest.mark.parametrize("name", ["UnknownError", "InvalidStateError", "SecurityError"])
def test_a_store_that_does_not_open_says_so_and_what_to_do(
    name: str, phone: BrowserContext, address: str
) -> None:
    page = phone.new_page()
    page.add_init_script(f"""if (!sessionStorage.opens) IDBFactory.prototype.open = () => {{
      throw new DOMException("no", "{name}"); }};""")
    page.goto(address)
    expect(
        page.get_by_role("heading", name="The jobs on this phone can't be reached")
    ).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_text(name)).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_text("Do not clear the data of this site")).to_be_visible(timeout=PATIENCE)
    page.evaluate("sessionStorage.opens = '1'")
    key(page, "Try again").click()
    expect(page.get_by_role("button", name="kPa")).to_be_visible(timeout=PATIENCE)


def test_a_store_of_a_newer_version_says_so_and_stays_as_it_is(
    phone: BrowserContext, address: str
) -> None:
    page = phone.new_page()
    page.goto(f"{address}gallery/views.json")
    page.evaluate(LAY_OUT, 99)
    page.evaluate(FILL, ["events", [[event(1, OWN, 1, "own", "opened")]]])
    page.goto(address)
    expect(page.get_by_role("heading", name="A newer version of this app was here")).to_be_visible(
        timeout=PATIENCE
    )
    expect(page.get_by_text("can't read them and has changed nothing")).to_be_visible(
        timeout=PATIENCE
    )
    expect(key(page, "Try again")).to_be_visible(timeout=PATIENCE)
    assert len(page.evaluate(STORED, "events")) == 1


MANY = 5000


def test_thousands_of_jobs_are_listed_a_page_at_a_time(phone: BrowserContext, address: str) -> None:
    page, view = laid_out(phone, address)
    page.evaluate("""([view, many]) => new Promise((resolve) => {
      indexedDB.open("weeptrace").onsuccess = ({ target: { result: db } }) => {
        const write = db.transaction("views", "readwrite");
        for (let n = 0; n < many; n++) {
          const job = `01900000-0000-7000-8000-${String(n).padStart(12, "0")}`;
          const seen = new Date(Date.UTC(2026, 0, 1) + n * 60_000).toISOString();
          const bar = { title: `Car ${n}`, number: `L-${n}` };
          write.objectStore("views").put({ job, seen, view: { ...view, job, bar } });
        }
        write.oncomplete = () => { db.close(); resolve(); };
      };
    })""", [view, MANY])  # fmt: skip
    # How many views are read, and how many boxes are asked for their size, in the start.
    page.add_init_script("""window.read = 0; window.asked = 0;
      const all = IDBObjectStore.prototype.getAll;
      IDBObjectStore.prototype.getAll = function (...given) {
        if (this.name === "views") window.read += 1;
        return all.apply(this, given);
      };
      const width = Object.getOwnPropertyDescriptor(Element.prototype, "clientWidth");
      Object.defineProperty(Element.prototype, "clientWidth", { get() {
        window.asked += 1;
        return width.get.call(this);
      } });""")
    page.goto(f"{address}?view=gate")  # the first start after the update, then one like any other
    expect(key(page, "New job")).to_be_visible(timeout=PATIENCE)
    page.reload()
    expect(key(page, "New job")).to_be_visible(timeout=PATIENCE)
    cards = page.get_by_role("main").locator(".jobs > li")
    expect(cards).to_have_count(30)
    assert page.evaluate("window.read") == 0, "no view is read for the list"
    assert page.evaluate("window.asked") < 30, "no card makes the page be laid out anew"
    expect(page.get_by_role("heading", name=f"{MANY} jobs open")).to_be_visible(timeout=PATIENCE)
    expect(cards.first).to_contain_text(f"Car {MANY - 1}")
    expect(cards.first.locator("svg path").first).to_be_attached()
    first = page.evaluate(
        "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null"
    )
    print(f"\n{MANY} jobs: first contentful paint after {first} ms")

    key(page, f"Show 30 more of {MANY - 30}").click()
    expect(cards).to_have_count(60)
    page.get_by_role("searchbox").fill("car 17")
    expect(cards).to_have_count(30)
    page.get_by_role("searchbox").fill("L-1717")
    expect(cards).to_have_count(1)
    expect(cards.first).to_contain_text("Car 1717")
    page.get_by_role("searchbox").fill("")
    key(page, "Menu").click()
    expect(page.get_by_role("heading", name="Units")).to_be_visible(timeout=PATIENCE)
    key(page, "Close").click()
    key(page, "New job").click()
    expect(page).to_have_url(re.compile("#job="))
    expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=PATIENCE)
    key(page, "Back").click()
    expect(page.get_by_role("heading", name=f"{MANY + 1} jobs open")).to_be_visible(
        timeout=PATIENCE
    )
    expect(cards).to_have_count(30)


def test_a_job_that_is_as_long_as_a_file_may_be_says_so(
    phone: BrowserContext, address: str
) -> None:
    page, _ = laid_out(phone, address)
    page.evaluate("""([first, many]) => new Promise((resolve) => {
      indexedDB.open("weeptrace").onsuccess = ({ target: { result: db } }) => {
        const write = db.transaction("events", "readwrite");
        for (let seq = 1; seq <= many; seq++) {
          const id = `01990000-0000-7000-8000-${String(seq).padStart(12, "0")}`;
          const kind = seq === 1 ? "opened" : "fact";
          write.objectStore("events").put({ ...first, id, seq, kind });
        }
        write.oncomplete = () => { db.close(); resolve(); };
      };
    })""", [event(1, OWN, 1, "own"), 20_000])  # fmt: skip
    page.evaluate(FILL, ["settings", [[20_001, "next_seq"]]])
    page.goto(f"{address}?view=choice#job={OWN}")
    expect(page.get_by_role("heading", name=say("step.place.title"))).to_be_visible(
        timeout=PATIENCE
    )
    page.get_by_role("main").get_by_role("button").first.click()
    expect(page.get_by_text("This job holds 20000 entries")).to_be_visible(timeout=PATIENCE)
    assert page.evaluate(COUNT, "events") == 20_000
    key(page, "Back").click()
    key(page, "New job").click()
    expect(page).to_have_url(re.compile(f"#job=(?!{OWN}$)"))
    assert page.evaluate(COUNT, "events") == 20_002
