"""The engine's worker, the service worker and the policy, in the browser that ships them."""

from __future__ import annotations

import functools
import json
import re
import threading
from collections.abc import Iterator
from http.server import ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, Worker
from server import Handler

from tests.browser.conftest import (
    START,
    WATCHED,
    Phone,
    Server,
    equip,
    installed,
    phone_with_server,
    violations,
)  # fmt: skip

ASK = """([name, payload, timeout]) => window.tested.ask(name, payload, { timeout })
  .then((answer) => ({ answer }), (error) => ({ code: error.code, words: error.message }))"""


def ask(page: Page, name: str, payload: object, timeout: int = 60_000) -> dict[str, object]:
    """Ask the tested engine; an error comes back as its code and words."""
    found: dict[str, object] = page.evaluate(ASK, [name, payload, timeout])
    return found


def engine_worker(page: Page) -> Worker:
    """The worker of the tested engine that runs now."""
    return [worker for worker in page.workers if worker.url.endswith(WATCHED)][-1]


def states(page: Page) -> list[str]:
    """The states that the tested engine has told, without repeats in a row."""
    told: list[str] = page.evaluate("() => window.states.map((s) => s.state)")
    return [now for before, now in zip([None, *told], told, strict=False) if now != before]


@pytest.fixture(scope="module")
def running(
    playwright: Playwright, dist: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Phone]:
    """A browser that runs, for the tests that need nothing of its store."""
    with phone_with_server(playwright, dist, tmp_path_factory.mktemp("runtime")) as (phone, _):
        phone.start()
        yield phone


@pytest.fixture
def page(running: Phone) -> Iterator[Page]:
    """A new page of the app's origin that runs the tested engine and nothing else."""
    assert running.context is not None
    running.errors.clear()
    page = running.context.new_page()
    page.goto(f"{running.origin}test-page.html")
    page.evaluate(START, f"/{WATCHED}")
    yield page
    page.close()


def test_engine_starts_in_named_stages_under_the_policy(page: Page, running: Phone) -> None:
    answer = ask(page, "about", {})["answer"]
    assert isinstance(answer, dict)
    assert answer["version"]
    told = page.evaluate("() => window.states")
    assert [each["stage"] for each in told] == sorted(each["stage"] for each in told)
    assert {each["stage"] for each in told} == set(range(1, told[0]["stages"] + 1))
    assert all(each["words"] for each in told)
    assert page.evaluate("() => performance.getEntriesByName('engine-ready').length") == 1
    assert violations(page) == []
    assert running.errors == []
    assert running.foreign == []


def test_the_policy_is_in_force_in_page_and_worker(page: Page) -> None:
    """Shows that the checks for violations can fail."""
    ask(page, "about", {})
    # In a task of its own: the tests' own hand may evaluate text, the page may not.
    attempt = """() => new Promise((resolve) => setTimeout(() => {
      try { eval("1"); resolve("ran"); } catch (error) { resolve(error.name); }
    }))"""
    assert page.evaluate(attempt) == "EvalError"
    assert engine_worker(page).evaluate(attempt) == "EvalError"
    page.wait_for_timeout(100)
    found = violations(page)
    assert len(found) == 2
    assert all("eval" in each for each in found)


def test_an_answer_of_the_door_crosses_the_border_whole(page: Page) -> None:
    payload = {"operation": "no.such", "payload": {}}
    answer = ask(page, "call", payload)["answer"]
    assert isinstance(answer, dict)
    assert answer["error"]["code"] == "unknown_operation"


@pytest.mark.parametrize(
    ("end", "words"),
    [
        ("() => { self.close(); }", "ended"),
        ("() => { setTimeout(() => { throw new Error('torn'); }); }", "torn"),
    ],
    ids=["ended silently", "an error outside Python"],
)
def test_a_dead_worker_rejects_what_waits_and_starts_again(
    page: Page, end: str, words: str
) -> None:
    ask(page, "about", {})
    worker = engine_worker(page)
    worker.evaluate("() => { self.onmessage = () => {}; }")  # the call stays unanswered
    page.evaluate(f"() => {{ window.pending = ({ASK})(['about', {{}}, 60000]); }}")
    worker.evaluate(end)
    lost = page.evaluate("() => window.pending")
    assert lost["code"] == "died"
    assert words in lost["words"]
    again = ask(page, "about", {})["answer"]
    assert isinstance(again, dict)
    assert again["version"]
    assert states(page) == ["starting", "ready", "starting", "ready"]


def test_a_late_answer_rejects_what_waits_and_starts_again(page: Page) -> None:
    ask(page, "about", {})
    engine_worker(page).evaluate("() => { self.onmessage = () => {}; }")
    page.evaluate(f"() => {{ window.behind = ({ASK})(['about', {{}}, 60000]); }}")
    page.evaluate("() => { window.tested.restart(); }")
    assert page.evaluate("() => window.behind")["code"] == "died"
    ask(page, "about", {})
    engine_worker(page).evaluate("() => { self.onmessage = () => {}; }")
    late = ask(page, "about", {}, timeout=50)
    assert late["code"] == "timed_out"
    assert "0.05 s" in str(late["words"])
    assert "answer" in ask(page, "about", {})


def test_a_start_that_fails_twice_is_told_and_can_be_tried_again(
    phone: Phone, server: Server
) -> None:
    page = phone.start()
    page.goto(f"{server.url}test-page.html")
    # Started and asked in one go: who asks after the second failure is told "not_started".
    first = page.evaluate(
        f"(url) => ({START})(url).then(() => ({ASK})(['about', {{}}, 60000]))", "/test/broken.js"
    )
    assert first["code"] == "died"
    page.wait_for_function("() => window.tested.state === 'failed'")
    assert ask(page, "about", {})["code"] == "not_started"
    assert states(page) == ["starting", "failed"]
    assert "broken on purpose" in page.evaluate("() => window.states.at(-1).words")
    page.evaluate("() => { window.tested.restart(); }")
    assert page.evaluate("() => window.states.at(-1).state") == "starting"


def test_the_installed_app_runs_with_the_server_gone(phone: Phone, server: Server) -> None:
    page = phone.start()
    page.goto(server.url)
    page.get_by_role("button", name="kPa, °C, litres").wait_for()
    installed(page)
    assert phone.errors == []
    assert phone.foreign == []
    server.stop()
    phone.kill()
    phone.errors.clear()
    page = phone.start()
    page.goto(server.url)
    page.evaluate(START, "/engine/worker.js")
    assert "answer" in ask(page, "about", {})
    kept = page.evaluate("async () => (await fetch('/scenarios.json')).json()")
    assert kept == json.loads((server.folder / "scenarios.json").read_text())
    policy = page.evaluate(
        "async () => (await fetch('/index.html')).headers.get('content-security-policy')"
    )
    assert "default-src 'none'" in policy
    assert page.evaluate("async () => (await fetch('/no/such')).status") == 404
    assert violations(page) == []
    assert phone.foreign == []


def change_release(server: Server, path: str, text: str, told: str | None = None) -> None:
    """Put a new release on the host in which one text file differs.

    ``told`` is the text that the service worker is told of; the file's own where it is left out.
    """
    import hashlib

    (server.folder / path).write_text(text)
    worker = server.folder / "service-worker.js"
    digest = hashlib.sha256((text if told is None else told).encode()).hexdigest()
    source = worker.read_text()
    source, files = re.subn(rf'("{re.escape(path)}": ")[0-9a-f]{{64}}', rf"\g<1>{digest}", source)
    source, names = re.subn(r'("release": ")[0-9a-f]+', rf"\g<1>{digest[:12]}", source)
    assert (files, names) == (1, 1)
    worker.write_text(source)


READ = "async () => (await fetch('/licences/index.txt')).text()"
UPDATE = """async () => {
  const registration = await navigator.serviceWorker.getRegistration();
  const found = await registration.update();
  const installing = found.installing;
  if (!installing) return found.waiting ? "installed" : "none";
  if (installing.state !== "installing") return installing.state;
  return new Promise((resolve) => { installing.onstatechange = () => resolve(installing.state); });
}"""


def test_a_new_release_waits_for_the_users_word(phone: Phone, server: Server) -> None:
    equip(phone)
    page = phone.start()
    page.goto(server.url)
    old = page.evaluate(READ)
    change_release(server, "licences/index.txt", "new text")
    # Only what changed is fetched: the largest file is not even there to fetch.
    (server.folder / "runtime" / "stdlib.zip").unlink()
    assert page.evaluate(UPDATE) == "installed"
    assert page.evaluate(READ) == old
    page.reload()
    assert page.evaluate(READ) == old
    page.get_by_role("button", name="kPa, °C, litres").click()
    page.get_by_role("button", name="Menu").click()
    with page.expect_navigation():
        page.get_by_role("button", name="Take the new version").click()
    assert page.evaluate(READ) == "new text"
    assert len(page.evaluate("async () => caches.keys()")) == 1
    page.evaluate(START, "/engine/worker.js")
    assert "answer" in ask(page, "about", {})


def test_a_file_that_the_signal_lost_is_asked_for_again(
    phone: Phone, dist: Path, tmp_path: Path
) -> None:
    lost, asked = "/licences/index.txt", []

    class Unsteady(Handler):
        """Hangs up twice on one file that no page asks for; once, a browser asks by itself."""

        def do_GET(self) -> None:  # noqa: N802 - the base class' name
            asked.append(self.path)
            if self.path == lost and asked.count(lost) <= 2:
                self.close_connection = True
            else:
                super().do_GET()

    handler = functools.partial(Unsteady, directory=str(dist))
    with ThreadingHTTPServer(("localhost", 0), handler) as host:
        threading.Thread(target=host.serve_forever, daemon=True).start()
        phone.origin = f"http://localhost:{host.server_address[1]}/"
        page = phone.start()
        page.goto(phone.origin)
        installed(page)
        host.shutdown()
    assert asked.count(lost) == 3
    page.reload()
    page.get_by_role("button", name="kPa, °C, litres").wait_for()


def test_a_release_that_comes_damaged_is_not_taken(phone: Phone, server: Server) -> None:
    equip(phone)
    page = phone.start()
    page.goto(server.url)
    old = page.evaluate(READ)
    change_release(server, "licences/index.txt", "sign in to this network", told="new text")
    assert page.evaluate(UPDATE) == "redundant"
    page.reload()
    assert page.evaluate(READ) == old
