"""A job as long as a file may hold, in the browser's runtime: its stack is small."""

from __future__ import annotations

import json
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import START, WATCHED, Phone, Server
from tests.browser.test_runtime import ask, states
from tests.logbook import Logbook

MOST = 20_000
PATIENCE = 500_000  # ms, for a busy machine
FRESH = "01990000-0000-7000-8000-fffffffffff0"


@pytest.fixture
def page(phone: Phone, server: Server) -> Page:
    page = phone.start()
    page.goto(f"{server.url}test-page.html")
    page.evaluate(START, f"/{WATCHED}")
    return page


def answer(page: Page, name: str, payload: object) -> dict[str, Any]:
    told = ask(page, name, payload, PATIENCE)
    assert "answer" in told, told
    found = told["answer"]
    assert isinstance(found, dict)
    assert "error" not in found, found
    return found


# The events cross into the page once, as one text; then the page's own hand passes them on.
TAKE = "(text) => { window.longest = JSON.parse(text); }"
OPEN = """(timeout) => window.tested.ask("open", window.longest, { timeout })
  .then((answer) => ({ answer }), (error) => ({ code: error.code, words: error.message }))"""


@pytest.mark.timeout(600)
def test_the_longest_job_is_opened_twice_and_taken_back_at_both_ends(page: Page) -> None:
    log = Logbook(job="01990000-0000-7000-8000-0000000000a1")
    while len(log.events) < MOST:
        log.now += 5.0
        log.add("fact", "car.name", f"Car {len(log.events)}")
    page.evaluate(TAKE, json.dumps({"job": log.job, "events": log.events}))
    for _ in range(2):  # the first is freed as the second takes its place
        opened = page.evaluate(OPEN, PATIENCE)
        assert opened == {"answer": {"count": MOST, "wants": None}}
    for number, undone in enumerate((log.events[-1], log.events[1])):
        undo = {
            **undone, "id": FRESH[:-1] + str(number), "seq": MOST + number, "kind": "undo",
            "supersedes": undone["id"],
        }  # fmt: skip
        told = answer(page, "advance", {"event": undo})
        assert told["state"] == "accepted"
    view = answer(page, "view", {"job": log.job, "now": log.moment()})
    assert view["bar"]["title"] == f"Car {MOST - 2}"
    assert states(page) == ["starting", "ready"], "one engine did it all"
