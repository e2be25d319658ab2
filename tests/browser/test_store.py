"""The browser is killed at every write of a short job; what was written, and what the screen called
saved, is there afterwards."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import ConsoleMessage, Page, Playwright
from playwright.sync_api import Error as Gone

from tests.browser.conftest import Phone

Json = dict[str, Any]

# Tells of each write that is complete; after the last one that is wanted, the page does nothing
# more. (`window.left` is how many writes are still let through.)
WATCH_WRITES = """(() => {
  window.left = Infinity;
  const begin = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (stores, mode, options) {
    const made = begin.call(this, stores, mode, options);
    if (mode !== "readwrite") return made;
    made.wrote = [];
    made.addEventListener("complete", () => {
      console.info(`wrote ${JSON.stringify(made.wrote)}`);
      window.left -= 1;
      if (window.left === 0) for (;;);
    });
    return made;
  };
  for (const name of ["add", "put", "delete"]) {
    const write = IDBObjectStore.prototype[name];
    IDBObjectStore.prototype[name] = function (...values) {
      this.transaction.wrote?.push([this.name, name, ...values]);
      return write.apply(this, values);
    };
  }
})();"""

STORED = """() => new Promise((resolve, reject) => {
  const opening = indexedDB.open("weeptrace");
  opening.onerror = opening.onblocked = (event) => reject(new Error(event.type));
  opening.onsuccess = async ({ target: { result: db } }) => {
    const all = {};
    for (const name of ["events", "drafts"]) {
      const asked = db.transaction(name).objectStore(name).getAll();
      await new Promise((done) => { asked.onsuccess = done; });
      all[name] = asked.result;
    }
    db.close();
    resolve(all);
  };
})"""


class Written:
    """What a phone holds, by the writes that were complete, over all its starts."""

    def __init__(self) -> None:
        self.events: dict[str, Json] = {}
        self.drafts: dict[str, Json] = {}
        self.writes = 0
        self._last = -1
        self._browser: list[int] = []

    def typed(self) -> list[str]:
        """What was typed for the newest job, in order."""
        jobs = [event["job"] for event in self.events.values() if event["kind"] == "opened"]
        return [
            event["typed"]
            for event in self.events.values()
            if event["job"] == jobs[-1] and event["kind"] in ("reading", "done")
        ]

    def take(self, said: ConsoleMessage) -> None:
        """Follow one complete write."""
        if not said.text.startswith("wrote "):
            return
        self._note(json.loads(said.text.removeprefix("wrote ")))
        if self.writes == self._last:
            for process in self._browser:
                os.kill(process, signal.SIGKILL)

    def kill_after(self, writes: int, browser: list[int]) -> None:
        """End the browser's processes once so many writes are complete."""
        self._last, self._browser = writes, browser

    def _note(self, wrote: list[list[Any]]) -> None:
        self.writes += 1
        for store, act, value, *key in wrote:
            if store == "events":
                self.events[value["id"]] = value
            elif store == "drafts" and act == "put":
                self.drafts[key[0]] = value
            elif store == "drafts":
                self.drafts.pop(value, None)


# A short job: a reading, and the end of its hold.
def _new(page: Page) -> None:
    page.get_by_role("button", name="New job").click()
    page.get_by_role("button", name="READ", exact=True).wait_for()


def _read(page: Page) -> None:
    page.get_by_role("button", name="READ", exact=True).click()
    page.get_by_text("Time stopped").wait_for()


def _digit(page: Page) -> None:
    page.get_by_role("button", name="9", exact=True).click()
    page.get_by_role("button", name="STORE 9").wait_for()


def _store(page: Page) -> None:
    page.get_by_role("button", name="STORE 9").click()
    page.get_by_role("status").filter(has_text="Saved").wait_for(state="attached")


def _end(page: Page) -> None:
    page.get_by_role("button", name="End", exact=True).click()
    page.get_by_role("status").filter(has_text="Saved").wait_for(state="attached")


JOB: list[tuple[Callable[[Page], None], list[str]]] = [
    (_new, []), (_read, []), (_digit, []), (_store, ["9"]), (_end, ["9", ""]),
]  # fmt: skip


def _started(phone: Phone, written: Written, address: str) -> Page:
    """The app on the phone as it was left, its own writes of a start done."""
    page = phone.start()
    page.add_init_script(WATCH_WRITES)
    page.on("console", written.take)
    page.goto(f"{address}?view=recorder")
    return page


def _quiet(page: Page, written: Written) -> None:
    """Wait until nothing is written any more."""
    before = -1
    while before != written.writes:
        before = written.writes
        page.wait_for_timeout(200)


def _home(page: Page, written: Written) -> None:
    """Out of whatever the phone went on with, to the list of jobs."""
    new = page.get_by_role("button", name="New job")
    back = page.get_by_role("button", name="Back")
    new.or_(back).first.wait_for()
    _quiet(page, written)
    while not new.is_visible():
        back.click()
        _quiet(page, written)


def _holds(page: Page, written: Written) -> None:
    """What is stored is what was written, no more and no less."""
    stored = page.evaluate(STORED)
    by_id = {event["id"]: event for event in stored["events"]}
    resumed = {id for id, event in by_id.items() if event["kind"] == "resumed"}
    assert {id: e for id, e in by_id.items() if id not in resumed} == {
        id: e for id, e in written.events.items() if e["kind"] != "resumed"
    }
    assert sorted(map(json.dumps, stored["drafts"])) == sorted(
        map(json.dumps, written.drafts.values())
    )


def test_killed_at_every_write(playwright: Playwright, tmp_path: Path, address: str) -> None:
    phone = Phone(playwright, tmp_path / "profile", address)
    written = Written()
    page = _started(phone, written, address)
    page.get_by_role("button", name="kPa").click()
    _home(page, written)
    before = written.writes
    for act, _ in JOB:
        act(page)
    _quiet(page, written)
    count = written.writes - before  # of an undisturbed job
    stored_events = sum(event["kind"] != "resumed" for event in written.events.values())
    assert stored_events == 4  # opened, number, reading, end
    assert count >= 8

    for boundary in range(1, count + 1):
        _home(page, written)
        browser = phone.processes()
        assert browser
        known = written.writes
        saved: list[str] = []
        written.kill_after(known + boundary, browser)
        page.evaluate("(left) => { window.left = left; }", boundary)
        with suppress(Gone):
            for act, called_saved in JOB:
                act(page)
                saved = called_saved
            _quiet(page, written)
        assert written.writes == known + boundary, "killed at this write and at no other"
        phone.lost()

        page = _started(phone, written, address)
        page.get_by_role("button", name="Back").or_(
            page.get_by_role("button", name="New job")
        ).first.wait_for()
        _quiet(page, written)
        _holds(page, written)
        assert written.typed()[: len(saved)] == saved
    print(f"\nkilled at {count} writes of a job of {stored_events} events")
    phone.stop()
